//! Figure 6, where the pole's flight was followed: side and plan to one scale, the way of its tip and foot, first contacts.

use crate::page::{MARGIN, WIDTH, kmph, page};
use crate::storyboard::{self, body, check, pole};
use crate::view::{Extent, Look, Place, View, travel};
use crate::{ReportError, base, found};
use giveway_draw::{
    Axis, EARTH, Figure, GRID, INK, LIMIT, NAVY, PAPER, RUST, SLATE, STEEL, STONE, Window, look,
};
use giveway_impact::flight::outcome::{Contact, Flight, FlightEnding, Part, Zone};
use giveway_impact::outcome::{Engagement, MotionFrame};
use giveway_results::Summary;
use giveway_scenario::model::Scenario;
use giveway_units::Dimension;

const NAME: &str = "flight";
/// Poles that are drawn from the hand-over to the end.
const POLES: usize = 7;
const TOP: f64 = 112.0;
const GROUND: f64 = 30.0;
/// Largest heights of the two views, px.
const TALL: (f64, f64) = (560.0, 420.0);
const LINE: f64 = 26.0;

/// Draws the figure; none where no flight was followed.
///
/// # Errors
/// A place that is not finite.
pub fn draw(
    scenario: &Scenario,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Option<Figure>, ReportError> {
    let Some(flight) = &engagement.flight else {
        return Ok(None);
    };
    let frames: Vec<&MotionFrame> = (engagement.frames.iter())
        .filter(|f| f.pose.time_s >= flight.hand_over.time_s - 1e-9)
        .collect();
    let (Some(first), Some(last)) = (frames.first(), frames.last()) else {
        return Ok(None);
    };
    for f in &frames {
        check(NAME, &f.pose)?;
    }
    let scenario = &found::as_drawn(scenario);
    let travel = travel(scenario);
    let shown = evenly(&frames);
    let blow = moment(flight, last);
    let struck = nearest(&frames, blow).unwrap_or(last);
    let e = extent(&frames, struck, scenario, travel);
    let wide = WIDTH - 2.0 * MARGIN;
    let scale = (wide / e.long())
        .min(TALL.0 / (e.high + 0.4))
        .min(TALL.1 / e.broad());
    let (tall, plan) = (scale * (e.high + 0.4) + GROUND, scale * e.broad());
    let rows = flight.contacts.len().div_ceil(2).max(1);
    let list = TOP + tall + 34.0 + plan + 44.0;
    let height = list + LINE * rows as f64 + 76.0;
    let facts = format!(
        "{} at {}; the pole {} at {:.2} s",
        summary.impact.vehicle_class,
        kmph(summary.impact.speed_mps),
        match flight.ending {
            FlightEnding::AtRest => "lies still",
            FlightEnding::TimeLimit => "is followed no further",
        },
        flight.end_time_s
    );
    let title = "Where the pole goes";
    let mut f = page(NAME, title, &facts, libm::ceil(height), summary);
    let [side, above] = views(&e, scale, (tall, plan), travel);
    background(&mut f, &side, scenario);
    strips(&mut f, &above, scenario);
    for view in [&side, &above] {
        poles(&mut f, view, &shown);
        body(scenario, &struck.pose).draw(&mut f, view);
        for (frame, colour) in [(struck, STEEL), (last, RUST)] {
            pole(&mut f, view, scenario, &frame.pose, (3.0, colour));
        }
        ways(&mut f, view, &frames);
        marks(&mut f, view, &flight.contacts);
        let w = view.window;
        f.frame(w, 1.0, SLATE);
    }
    let note = format!(
        "vehicle and dark pole at {:.2} s, pole at the end in orange; dashed: way of the tip, dotted: of the foot",
        struck.pose.time_s
    );
    f.text((MARGIN, TOP - 18.0), &note, look(15.0, SLATE));
    f.text((MARGIN, TOP + tall + 18.0), "from above", look(15.0, SLATE));
    contacts(&mut f, &flight.contacts, list);
    f.set_alt_text(words(&flight.contacts, first, last, summary));
    Ok(Some(f.finish()?))
}

/// The moment for which the vehicle is drawn: the hardest blow on it, else the first on the ground, else the end.
fn moment(flight: &Flight, last: &MotionFrame) -> f64 {
    (flight.contacts.iter())
        .filter(|c| ON_VEHICLE.contains(&c.zone))
        .max_by(|a, b| a.impulse_ns.total_cmp(&b.impulse_ns))
        .or(flight.first(&[Zone::Ground]))
        .map_or(last.pose.time_s, |c| c.time_s)
}

/// The two views, from the side and from above, so tall.
fn views(e: &Extent, scale: f64, (tall, plan): (f64, f64), travel: (f64, f64)) -> [View; 2] {
    let middle = 0.5 * (e.low_u + e.high_u);
    let origin_x = 0.5 * WIDTH - scale * middle;
    let window = |top: f64, tall: f64| Window::sized((MARGIN, top), (WIDTH - 2.0 * MARGIN, tall));
    let view = |window: Window, ground: f64, look| View {
        window,
        origin: (origin_x, ground),
        scale,
        look,
        travel,
    };
    let side = window(TOP, tall);
    let above = window(TOP + tall + 34.0, plan);
    [
        view(side, side.bottom - GROUND, Look::FromTheSide),
        view(above, above.top + scale * e.high_v, Look::FromAbove),
    ]
}

const ON_VEHICLE: [Zone; 5] = [
    Zone::Bonnet,
    Zone::Windscreen,
    Zone::Roof,
    Zone::RearWindow,
    Zone::Deck,
];

/// Frames at even times from the first to the last.
fn evenly<'a>(frames: &[&'a MotionFrame]) -> Vec<&'a MotionFrame> {
    let (Some(first), Some(last)) = (frames.first(), frames.last()) else {
        return Vec::new();
    };
    let (from, to) = (first.pose.time_s, last.pose.time_s);
    (0..POLES)
        .filter_map(|k| nearest(frames, from + (to - from) * k as f64 / (POLES - 1) as f64))
        .copied()
        .collect()
}

fn nearest<'a, 'b>(frames: &'b [&'a MotionFrame], time: f64) -> Option<&'b &'a MotionFrame> {
    let i = frames.partition_point(|f| f.pose.time_s < time - 1e-9);
    frames.get(i).or(frames.last())
}

/// What both views show.
fn extent(
    frames: &[&MotionFrame],
    struck: &MotionFrame,
    scenario: &Scenario,
    travel: (f64, f64),
) -> Extent {
    let mut e = Extent {
        low_u: -1.0,
        high_u: 1.0,
        low_v: -1.2,
        high_v: 1.2,
        high: 2.0,
    };
    for f in frames {
        let arms = f.pose.arms_m.iter().flatten();
        for p in f.pose.pole_axis_m.iter().chain(arms) {
            e.add(travel, *p, 0.6);
        }
    }
    for p in body(scenario, &struck.pose).corners() {
        e.add(travel, p, 0.6);
    }
    e
}

fn background(f: &mut Figure, view: &View, scenario: &Scenario) {
    let w = view.window;
    let ground = view.origin.1;
    let heights = Axis::new(0.0, (ground - w.top) / view.scale);
    storyboard::heights(f, &heights, (w, ground, view.scale), (13.0, GRID));
    f.rect(((w.left, ground), (w.right, w.bottom)), EARTH, 1.0);
    f.line([(w.left, ground), (w.right, ground)], 1.5, INK);
    let along = Axis::new(
        (w.left - view.origin.0) / view.scale,
        (w.right - view.origin.0) / view.scale,
    );
    f.in_each(|f, system| {
        let unit = system.unit(Dimension::Length, "m");
        for (u, text) in along.said(storyboard::METRES, 10, system).0 {
            let x = view.origin.0 + view.scale * u;
            f.line([(x, ground), (x, ground + 6.0)], 1.2, INK);
            if x > w.left + 14.0 && x < w.right - 14.0 {
                let look = look(13.0, INK).middle();
                f.text((x, ground + 17.0), &format!("{text} {unit}"), look);
            }
        }
    });
    base::lower_plate(f, view, scenario);
}

/// Strips of the cross-section, seen from above.
fn strips(f: &mut Figure, view: &View, scenario: &Scenario) {
    let w = view.window;
    f.rect(w, PAPER, 1.0);
    let far = 200.0;
    for strip in &scenario.site.ground.strips {
        let corners = [
            [-far, strip.right_m, 0.0],
            [far, strip.right_m, 0.0],
            [far, strip.left_m, 0.0],
            [-far, strip.left_m, 0.0],
        ];
        for edge in [[corners[0], corners[1]], [corners[3], corners[2]]] {
            view.dashed(f, &edge, 1.2, STONE, &[10.0, 6.0]);
        }
        let at = view.at([0.0, 0.5 * (strip.right_m + strip.left_m), 0.0]);
        if at.1 > w.top + 8.0 && at.1 < w.bottom - 8.0 {
            f.text((w.left + 8.0, at.1), &strip.name, look(13.0, SLATE));
        }
    }
    base::seat_circle(f, view, scenario);
}

/// The pole at even times, as thin lines with their times.
fn poles(f: &mut Figure, view: &View, shown: &[&MotionFrame]) {
    for frame in shown {
        view.line(f, &frame.pose.pole_axis_m, 2.0, STONE);
        for arm in &frame.pose.arms_m {
            view.line(f, arm, 1.4, STONE);
        }
    }
    if view.look == Look::FromAbove {
        return;
    }
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for frame in shown {
        let Some(tip) = frame.pose.pole_axis_m.last() else {
            continue;
        };
        // Times beside the tip; near the ground and near each other they could not be read.
        let at = view.at(*tip);
        let at = (at.0 - 8.0, at.1);
        let near = |t: &(f64, f64)| (t.0 - at.0).abs() < 50.0 && (t.1 - at.1).abs() < 18.0;
        if tip[2] > 1.0 && view.window.contains(at) && !taken.iter().any(near) {
            let text = format!("{:.2} s", frame.pose.time_s);
            f.label(at, &text, look(13.0, SLATE).end(), PAPER);
            taken.push(at);
        }
    }
}

/// Ways of tip and foot.
fn ways(f: &mut Figure, view: &View, frames: &[&MotionFrame]) {
    let axes = || frames.iter().map(|f| &f.pose.pole_axis_m);
    let tip: Vec<Place> = axes().filter_map(|a| a.last().copied()).collect();
    let foot: Vec<Place> = axes().filter_map(|a| a.first().copied()).collect();
    view.dashed(f, &tip, 2.0, NAVY, &[9.0, 5.0]);
    view.dashed(f, &foot, 1.8, NAVY, &[2.5, 4.0]);
}

/// Numbers where the contacts were.
fn marks(f: &mut Figure, view: &View, contacts: &[Contact]) {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (i, c) in contacts.iter().enumerate() {
        let at = view.at(c.place_m);
        if !view.window.contains(at) {
            continue;
        }
        // Numbers that would cover each other go up one after the other.
        let mut label = (at.0, at.1 - 22.0);
        while taken
            .iter()
            .any(|t| (t.0 - label.0).abs() < 22.0 && (t.1 - label.1).abs() < 22.0)
        {
            label.1 -= 23.0;
        }
        taken.push(label);
        f.line([at, label], 1.2, LIMIT);
        f.disc(at, 3.5, LIMIT);
        f.disc(label, 10.5, LIMIT);
        let number = (i + 1).to_string();
        f.text(label, &number, look(13.0, PAPER).bold().middle());
    }
}

fn contacts(f: &mut Figure, contacts: &[Contact], top: f64) {
    let rows = contacts.len().div_ceil(2).max(1);
    let half = 0.5 * (WIDTH - 2.0 * MARGIN);
    for (i, c) in contacts.iter().enumerate() {
        let x = MARGIN + half * (i / rows) as f64;
        let y = top + LINE * (i % rows) as f64;
        f.disc((x + 10.0, y), 10.5, LIMIT);
        let number = (i + 1).to_string();
        f.text((x + 10.0, y), &number, look(13.0, PAPER).bold().middle());
        f.text((x + 30.0, y), &sentence(c), look(15.0, INK));
    }
}

fn sentence(c: &Contact) -> String {
    let part = match c.part {
        Part::Pole => "pole",
        Part::Arm => "arm",
        Part::Luminaire => "luminaire",
        Part::Plate => "upper plate",
    };
    let zone = match c.zone {
        Zone::Face => "struck face",
        Zone::Bonnet => "bonnet",
        Zone::Windscreen => "windscreen",
        Zone::Roof => "roof",
        Zone::RearWindow => "rear window",
        Zone::Deck => "deck",
        Zone::Ground => "ground",
        Zone::Stub => "lower plate",
    };
    format!(
        "{:.3} s: {part} on {zone}, {:.1} m/s, {:.0} N.s",
        c.time_s, c.closing_mps, c.impulse_ns
    )
}

fn words(
    contacts: &[Contact],
    first: &MotionFrame,
    last: &MotionFrame,
    summary: &Summary,
) -> String {
    let told: Vec<String> = contacts.iter().map(sentence).collect();
    let told = match told.as_slice() {
        [] => "none".to_owned(),
        told => told.join("; "),
    };
    let end = |f: &MotionFrame| {
        let [x, y, z] = f.pose.pole_axis_m.last().copied().unwrap_or([0.0; 3]);
        format!("({x:.1}, {y:.1}, {z:.1}) m")
    };
    format!(
        "The flight of the pole of `{}` from the side and from above, to scale. The tip goes from {} to {}. First contacts: \
         {told}.",
        summary.title,
        end(first),
        end(last)
    )
}
