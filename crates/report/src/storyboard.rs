//! Figure 5: what happened, in up to six instants: elevation, plan and two close-ups of the slip base, to scale.

use crate::body::Body;
use crate::history::instants_in_words;
use crate::page::{MARGIN, WIDTH, kmph, ms, page};
use crate::view::{Extent, Look, Place, View, ends, flat, travel};
use crate::{ReportError, base, closeup, found};
use giveway_draw::{
    Axis, Colour, DrawError, EARTH, Figure, GRID, INK, NAVY, PAPER, SLATE, STEEL, STONE, STRAW,
    Window, look, text_width,
};
use giveway_impact::outcome::{Engagement, Snapshot};
use giveway_occupant::DentRemark;
use giveway_results::Summary;
use giveway_scenario::model::Scenario;
use giveway_units::{Dimension, System};

const NAME: &str = "storyboard";
/// Title of distances.
pub const METRES: &str = "distance, m";
/// A foot in m.
const FOOT: f64 = 0.3048;
const SHOWN: usize = 6;
const COLUMNS: usize = 3;
const GAP: f64 = 26.0;
const HEADER: f64 = 44.0;
const GROUND: f64 = 24.0;
/// Tallest elevation and tallest plan of a cell, px; both are drawn at one scale and nothing is cut off.
const TALLEST: f64 = 620.0;

/// Largest scale at which elevation and plan fit their cell's height, px/m.
fn scale_by_height(e: &Extent) -> f64 {
    (TALLEST / e.high).min(TALLEST / e.broad())
}

pub fn draw(
    scenario: &Scenario,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Figure, ReportError> {
    let scenario = &found::as_drawn(scenario);
    let shown = chosen(&engagement.snapshots);
    if shown.is_empty() {
        return Err(ReportError::NoSnapshots);
    }
    for s in &shown {
        check(NAME, s)?;
    }
    let travel = travel(scenario);
    let cell = (WIDTH - 2.0 * MARGIN - GAP * (COLUMNS - 1) as f64) / COLUMNS as f64;
    let extent = extent(scenario, &shown, travel, cell);
    let scale = (cell / extent.long()).min(scale_by_height(&extent));
    let elevation = (scale * extent.high + GROUND).clamp(430.0, 660.0);
    let plan = (scale * extent.broad()).clamp(60.0, TALLEST);
    let row = HEADER + elevation + 10.0 + plan + 30.0;
    let rows = shown.len().div_ceil(COLUMNS);
    let top = 100.0;
    let height = top + row * rows as f64 + 70.0;
    let mut verdict = vec![summary.blow().words().to_owned()];
    verdict.extend(summary.dents().into_iter().map(DentRemark::in_short));
    let facts = format!(
        "{}; {} at {}; {:.2} m/s lost at the end",
        verdict.join(", "),
        summary.impact.vehicle_class,
        kmph(summary.impact.speed_mps),
        summary.velocity_change.at_engagement_end_mps
    );
    let mut f = page(NAME, "What happened", &facts, libm::ceil(height), summary);
    for (i, s) in shown.iter().enumerate() {
        let left = MARGIN + (cell + GAP) * (i % COLUMNS) as f64;
        let y = top + row * (i / COLUMNS) as f64;
        header(&mut f, left, y, cell, i + 1, s);
        let window = |from: f64, tall: f64| Window::sized((left, from), (cell, tall));
        let origin_x = left - scale * extent.low_u;
        let view = |window: Window, ground: f64, look| View {
            window,
            origin: (origin_x, ground),
            scale,
            look,
            travel,
        };
        let side = window(y + HEADER, elevation);
        let side = view(side, side.bottom - GROUND, Look::FromTheSide);
        draw_elevation(&mut f, &side, scenario, shown[0], s);
        let above = window(y + HEADER + elevation + 10.0, plan);
        let middle = above.top + scale * extent.high_v;
        let above = view(above, middle, Look::FromAbove);
        draw_plan(&mut f, &above, scenario, s);
        // When a bar gave way between first touch and end is not told here.
        let last = i + 1 == shown.len();
        let bars = if last { &engagement.bars[..] } else { &[] };
        closeup::draw(&mut f, &side, scenario, s, bars);
    }
    scale_bar(&mut f, (WIDTH - MARGIN, height - 40.0), scale);
    let words: Vec<String> = (shown.iter())
        .map(|s| {
            let foot = s.pole_axis_m.first().copied().unwrap_or([0.0; 3]);
            let (u, _) = flat(travel, foot);
            let bolts = s.bolts_m.iter().flatten().count();
            format!(
                "{} {}: the pole's foot has moved {:.2} m along the travel and is {:.2} m above the ground, {bolts} bolts \
                 are in place, the largest crush is {:.0} mm",
                ms(s.time_s),
                s.label,
                u,
                foot[2],
                1e3 * s.crush_m.iter().copied().fold(0.0, f64::max)
            )
        })
        .collect();
    f.set_alt_text(format!(
        "{} instants of the impact of a vehicle ({}, {}) on a pole, each seen from the side and from above, to scale, \
         with close-ups of the slip base. {}. In all, {}.",
        shown.len(),
        summary.impact.vehicle_class,
        kmph(summary.impact.speed_mps),
        words.join(". "),
        instants_in_words(summary)
    ));
    Ok(f.finish()?)
}

/// At most six snapshots, the first and the last among them, evenly picked.
fn chosen(all: &[Snapshot]) -> Vec<&Snapshot> {
    if all.len() <= SHOWN {
        return all.iter().collect();
    }
    (0..SHOWN)
        .map(|i| &all[i * (all.len() - 1) / (SHOWN - 1)])
        .collect()
}

/// Refuses a snapshot with a number that cannot be drawn.
pub fn check(figure: &str, s: &Snapshot) -> Result<(), ReportError> {
    let places = s
        .pole_axis_m
        .iter()
        .chain(s.arms_m.iter().flatten())
        .chain(s.bolts_m.iter().flatten())
        .chain([&s.vehicle_position_m, &s.plate_centre_m])
        .flatten();
    let turns = s.vehicle_rotation.iter().chain(&s.plate_rotation);
    let zero = |q: &[f64; 4]| q.iter().all(|c| *c == 0.0);
    let unusable = |v: &f64| !v.is_finite() || v.abs() >= 1.0e6;
    if places
        .chain(turns)
        .chain(&s.crush_m)
        .chain([&s.time_s])
        .any(unusable)
        || zero(&s.vehicle_rotation)
        || zero(&s.plate_rotation)
    {
        return Err(DrawError::NotFinite {
            figure: figure.to_owned(),
            what: format!("the snapshot `{}`", s.label),
        }
        .into());
    }
    Ok(())
}

/// The vehicle of a snapshot.
pub fn body<'a>(scenario: &'a Scenario, snapshot: &'a Snapshot) -> Body<'a> {
    Body { scenario, snapshot }
}

fn extent(scenario: &Scenario, shown: &[&Snapshot], travel: (f64, f64), cell: f64) -> Extent {
    let mut e = Extent {
        low_u: -0.8,
        high_u: 0.8,
        low_v: -0.9,
        high_v: 0.9,
        high: 3.0,
    };
    for s in shown {
        let corners = body(scenario, s).corners();
        let arms = s.arms_m.iter().flatten();
        for p in corners.iter().chain(&s.pole_axis_m).chain(arms) {
            e.add(travel, *p, 0.0);
        }
    }
    e.low_u -= 0.25;
    e.high_u += 0.35;
    e.low_v -= 0.45;
    e.high_v += 0.45;
    e.high += 0.35;
    // The close-ups hang left of the pole: low_u <= -(0.6 + w/scale) with scale = cell/(high_u - low_u).
    let share = (closeup::WIDTH_PX + 14.0) / cell;
    let room = -(0.6 + share * e.high_u) / (1.0 - share);
    e.low_u = e.low_u.min(room);
    // A tall pole or a long arm limits the scale: spend the width evenly.
    let width = cell / scale_by_height(&e);
    let spare = width - e.long();
    if spare > 0.0 {
        e.low_u -= 0.6 * spare;
        e.high_u += 0.4 * spare;
    }
    e
}

fn header(f: &mut Figure, left: f64, y: f64, cell: f64, number: usize, s: &Snapshot) {
    f.disc((left + 15.0, y + 18.0), 15.0, NAVY);
    let (at, number) = ((left + 15.0, y + 18.0), number.to_string());
    f.text(at, &number, look(17.0, PAPER).bold().middle());
    let at = (left + 40.0, y + 18.0);
    f.text(at, &ms(s.time_s), look(19.0, INK).bold());
    let room = cell - 60.0 - text_width(&ms(s.time_s), 19.0, true);
    let size = 17.0 * (room / text_width(&s.label, 17.0, false).max(1.0)).min(1.0);
    f.text((left + cell, y + 18.0), &s.label, look(size, SLATE).end());
}

/// The scene from the side in the view's window; `start` shows where the pole stood.
pub fn draw_elevation(
    f: &mut Figure,
    view: &View,
    scenario: &Scenario,
    start: &Snapshot,
    s: &Snapshot,
) {
    let w = view.window;
    f.rect(w, SKY_PALE, 1.0);
    let ground = view.origin.1;
    let height = Axis::new(0.0, (ground - w.top) / view.scale);
    heights(f, &height, (w, ground, view.scale), (12.0, GRID_PALE));
    f.rect(((w.left, ground), (w.right, w.bottom)), EARTH, 1.0);
    f.line([(w.left, ground), (w.right, ground)], 1.5, INK);
    base::lower_plate(f, view, scenario);
    distances(f, view, ground);
    view.dashed(f, &start.pole_axis_m, 1.2, SLATE, &[7.0, 6.0]);
    behind_and_before(f, view, scenario, s);
    f.frame(w, 1.0, SLATE);
}

// Pole, arms and upper plate in the right order with the vehicle: what it hides first, the rest over it.
fn behind_and_before(f: &mut Figure, view: &View, scenario: &Scenario, s: &Snapshot) {
    let vehicle = body(scenario, s);
    let hidden = |p: &Place| vehicle.hides(view, *p);
    let plate = hidden(&s.plate_centre_m);
    let tubes = std::iter::once(&s.pole_axis_m).chain(&s.arms_m);
    let any = plate || tubes.flat_map(|axis| finely(axis)).any(|p| hidden(&p));
    // From above the plate is too small to be seen.
    let upper_plate = |f: &mut Figure| {
        if view.look == Look::FromTheSide {
            base::upper_plate(f, view, scenario, s);
        }
    };
    if !any {
        vehicle.draw(f, view);
        pole(f, view, scenario, s, (2.5, STEEL));
        upper_plate(f);
        return;
    }
    pole(f, view, scenario, s, (2.5, STEEL));
    upper_plate(f);
    vehicle.draw(f, view);
    let support = &scenario.support;
    let arms = s.arms_m.iter().zip(&support.arms);
    for (axis, model) in arms {
        seen(f, view, axis, ends(&model.tube), 2.0, &hidden);
        if !model.luminaires.is_empty() && axis.last().is_some_and(|p| !hidden(p)) {
            lantern(f, view, axis);
        }
    }
    let d = ends(&support.pole);
    seen(f, view, &s.pole_axis_m, d, 2.5, &hidden);
    if !plate {
        upper_plate(f);
    }
}

/// The parts of a tube that nothing hides.
fn seen(
    f: &mut Figure,
    view: &View,
    axis: &[Place],
    (first, last): (f64, f64),
    thinnest: f64,
    hidden: &impl Fn(&Place) -> bool,
) {
    let places = finely(axis);
    let end = places.len().saturating_sub(1).max(1) as f64;
    let diameter = |i: usize| first + (last - first) * i as f64 / end;
    let mut from = 0;
    for part in places.split(hidden) {
        let to = from + part.len();
        if part.len() > 1 {
            let d = (diameter(from), diameter(to - 1));
            view.tube(f, part, d, thinnest, STEEL);
        }
        from = to + 1;
    }
}

/// A line of places with more places between them.
fn finely(axis: &[Place]) -> Vec<Place> {
    const PARTS: usize = 8;
    let between = axis.windows(2).flat_map(|w| {
        (0..PARTS).map(move |k| {
            let t = k as f64 / PARTS as f64;
            [0, 1, 2].map(|i| w[0][i] + t * (w[1][i] - w[0][i]))
        })
    });
    between.chain(axis.last().copied()).collect()
}

// Ticks along the ground every metre or so, from the pole's axis.
fn distances(f: &mut Figure, view: &View, ground: f64) {
    let w = view.window;
    let along = Axis::new(
        (w.left - view.origin.0) / view.scale,
        (w.right - view.origin.0) / view.scale,
    );
    f.in_each(|f, system| {
        for (u, text) in along.said(METRES, 6, system).0 {
            let x = view.origin.0 + view.scale * u;
            f.line([(x, ground), (x, ground + 5.0)], 1.2, INK);
            if x > w.left + 12.0 && x < w.right - 12.0 {
                let look = look(11.0, INK).middle();
                f.text((x, ground + 13.0), &text, look);
            }
        }
    });
}

/// Lines at even heights over the ground with their numbers: window, ground's and scale's pixels; size of the numbers, colour.
pub fn heights(
    f: &mut Figure,
    height: &Axis,
    (w, ground, scale): (Window, f64, f64),
    (size, colour): (f64, Colour),
) {
    f.in_each(|f, system| {
        let unit = system.unit(Dimension::Length, "m");
        for (z, text) in height.said(METRES, 6, system).0.into_iter().skip(1) {
            let y = ground - scale * z;
            f.line([(w.left, y), (w.right, y)], 1.0, colour);
            let at = (w.right - 4.0, y - 0.68 * size);
            let look = look(size, SLATE).end();
            f.text(at, &format!("{text} {unit}"), look);
        }
    });
}

/// Arms, lanterns and shaft, which is never thinner than `thinnest` px.
pub fn pole(
    f: &mut Figure,
    view: &View,
    scenario: &Scenario,
    s: &Snapshot,
    (thinnest, colour): (f64, Colour),
) {
    let support = &scenario.support;
    for (arm, model) in s.arms_m.iter().zip(&support.arms) {
        view.tube(f, arm, ends(&model.tube), 2.0, colour);
    }
    for (arm, model) in s.arms_m.iter().zip(&support.arms) {
        if !model.luminaires.is_empty() {
            lantern(f, view, arm);
        }
    }
    view.tube(f, &s.pole_axis_m, ends(&support.pole), thinnest, colour);
}

// A lantern has no size in the scenario: a flat box of 0.6 m along the arm.
fn lantern(f: &mut Figure, view: &View, arm: &[Place]) {
    let [.., a, b] = arm else { return };
    let d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    let length = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
    if length <= 0.0 {
        return;
    }
    let along = d.map(|c| c / length);
    let flat = libm::hypot(along[0], along[1]).max(1e-9);
    let across = [-along[1] / flat, along[0] / flat, 0.0];
    let mut corners = Vec::new();
    for i in [-0.3, 0.3] {
        for j in [-0.13, 0.13] {
            for k in [-0.07, 0.05] {
                corners.push([
                    b[0] + i * along[0] + j * across[0],
                    b[1] + i * along[1] + j * across[1],
                    b[2] + i * along[2] + j * across[2] + k,
                ]);
            }
        }
    }
    view.silhouette(f, &corners, STRAW, Some((INK, 1.2)));
}

/// The scene from above in the view's window.
pub fn draw_plan(f: &mut Figure, view: &View, scenario: &Scenario, s: &Snapshot) {
    let w = view.window;
    f.rect(w, ROAD_PALE, 1.0);
    base::bolt_circle(f, view, scenario);
    let vehicle = body(scenario, s);
    behind_and_before(f, view, scenario, s);
    base::seat_circle(f, view, scenario);
    if let Some(foot) = s.pole_axis_m.first() {
        let p = view.at(*foot);
        if view.window.contains(p) && !vehicle.hides(view, *foot) {
            let r = (0.5 * view.scale * scenario.support.pole.base_diameter_m).max(3.5);
            f.disc(p, r, STEEL);
            f.ring(p, r, 1.2, INK);
        }
    }
    let place = (w.left + 8.0, w.bottom - 11.0);
    f.text(place, "from above", look(12.0, SLATE));
    // The direction of travel.
    let (x, y) = (w.right - 96.0, w.bottom - 12.0);
    f.text((x - 6.0, y), "travel", look(12.0, SLATE).end());
    f.line([(x, y), (x + 74.0, y)], 2.0, SLATE);
    let corners = [(x + 86.0, y), (x + 72.0, y - 5.0), (x + 72.0, y + 5.0)];
    f.fill(corners, SLATE, 1.0);
    f.frame(w, 1.0, SLATE);
}

// A ruler of 2 m, right end at the point.
fn scale_bar(f: &mut Figure, at: (f64, f64), scale: f64) {
    f.in_each(|f, system| ruler(f, at, scale, system));
}

fn ruler(f: &mut Figure, at: (f64, f64), scale: f64, system: System) {
    let (long, unit) = match (system, scale > 30.0) {
        (System::Si, true) => (2.0, "m"),
        (System::Si, false) => (5.0, "m"),
        (System::Us, true) => (6.0, "ft"),
        (System::Us, false) => (15.0, "ft"),
    };
    let metres = long * if unit == "ft" { FOOT } else { 1.0 };
    let length = metres * scale;
    let half = 0.5 * length;
    let bar = ((at.0 - length, at.1 - 4.0), (at.0 - half, at.1 + 4.0));
    f.rect(bar, INK, 1.0);
    f.rect(((at.0 - half, at.1 - 4.0), (at.0, at.1 + 4.0)), STONE, 1.0);
    f.frame(((at.0 - length, at.1 - 4.0), (at.0, at.1 + 4.0)), 1.0, INK);
    f.text(
        (at.0 - length - 8.0, at.1),
        &format!("{long:.0} {unit}, distances from the pole's axis"),
        look(13.0, INK).end(),
    );
}

pub const SKY_PALE: Colour = (0xf6, 0xf9, 0xfc);
const ROAD_PALE: Colour = (0xf3, 0xf2, 0xef);
const GRID_PALE: Colour = GRID;
