//! One run's part of a picture: heading, the scene to scale, numbers, the last event.

use giveway_impact::outcome::Snapshot;
use giveway_occupant::Blow;

use super::camera::Camera;
use super::cut::{Cut, WHOLE};
use super::run::{FOOT, FilmView, HEIGHT, Shown};
use super::work;
use crate::ReportError;
use crate::closeup::{self, CLOSE};
use crate::page::fitted;
use crate::storyboard::{self, draw_elevation, draw_plan};
use crate::view::{Look, View};
use giveway_draw::{Figure, INK, LIMIT, NAVY, PAPER, RUST, SEA, SLATE, Window, look, text_width};

/// Heading above the scene, numbers below it, px.
const HEAD: f64 = 78.0;
const NUMBERS: f64 = 58.0;
/// Height of the scene, px.
pub const TALL: f64 = HEIGHT - FOOT.0 - FOOT.1 - 8.0 - HEAD - NUMBERS - 10.0;

/// Draws a run between `left` and `left + wide`, down to `bottom`.
pub fn draw(
    f: &mut Figure,
    run: &Shown,
    (left, wide, bottom): (f64, f64, f64),
    (camera, cut): (&Camera, Option<&Cut>),
    index: usize,
    time: f64,
) -> Result<(), ReportError> {
    let Some(s) = run.pose(time) else {
        return Err(ReportError::Film {
            reason: format!("`{}` has no poses at {time} s", run.heading),
        });
    };
    storyboard::check("film", &s)?;
    heading(f, run, (left, wide), index, time);
    let window = Window::sized((left, HEAD), (wide, camera.tall()));
    let view = camera.at(index, window, run.travel(), time);
    match (camera.view(), cut) {
        (FilmView::Section, Some(cut)) if view.scale > WHOLE => {
            cut.draw(f, run, &s, &view, time);
            unknown(f, run, &view, time);
        }
        (FilmView::Side | FilmView::Section, _) => side(f, run, &s, &view, camera, time),
        (FilmView::Plan, _) => plan(f, run, &s, &view),
        (FilmView::Base, _) => base(f, run, &s, window, time),
    }
    numbers(f, run, &s, (left, wide, bottom), time);
    Ok(())
}

fn heading(f: &mut Figure, run: &Shown, (left, wide): (f64, f64), index: usize, time: f64) {
    let colour = if index.is_multiple_of(2) { NAVY } else { RUST };
    f.rect(((left, 8.0), (left + wide, 13.0)), colour, 1.0);
    // The text of a heading grows a little in the reader's units.
    let (size, lines) = heading_lines(&run.heading, 0.97 * wide);
    for (i, line) in lines.iter().enumerate() {
        let one = lines.len() == 1;
        let y = if one { 32.0 } else { 24.0 + 18.0 * i as f64 };
        f.text((left, y), line, look(size, INK).bold());
    }
    let bolts = &run.replay.bolts;
    let held = bolts.iter().filter(|b| b.release_time_s.is_none());
    let state = match held.count() {
        0 => "the base has let go".to_owned(),
        n if n == bolts.len() => "the base has not let go".to_owned(),
        1 => "one bolt has not let go".to_owned(),
        n => format!("{n} bolts have not let go"),
    };
    let (slow, end) = run.span();
    if time < slow.min(end) {
        let name = &run.replay.scene.vehicle.name;
        let text = vehicle_words(name, run.scenario.impact.speed_mps);
        let text = fitted(&text, 15.0, false, wide);
        f.text((left, 61.0), &text, look(15.0, SLATE));
        return;
    }
    // The verdict speaks of the whole event, so it comes at its end.
    if time < end - 1e-9 {
        f.text((left, 61.0), &state, look(15.0, INK));
        return;
    }
    let blow = Blow::named(&run.replay.headline.outcome).unwrap_or(Blow::NotEvaluated);
    let word = blow.words();
    let colour = match blow {
        Blow::Pass => SEA,
        Blow::Marginal | Blow::Undecided => RUST,
        Blow::Fail => LIMIT,
        Blow::NotEvaluated => SLATE,
    };
    let w = text_width(word, 15.0, true) + 18.0;
    f.rect(((left, 51.0), (left + w, 73.0)), colour, 1.0);
    let ink = if colour == SEA { INK } else { PAPER };
    f.text((left + 9.0, 62.0), word, look(15.0, ink).bold());
    let state = fitted(&state, 15.0, false, wide - w - 10.0);
    f.text((left + w + 10.0, 62.0), &state, look(15.0, INK));
}

/// What strikes, and how fast: under the heading until the first touch.
fn vehicle_words(name: &str, speed_mps: f64) -> String {
    format!("{name} at {:.0} km/h", 3.6 * speed_mps)
}

/// Speeds of a film are told in one unit, that of the speed at the first touch.
fn speed_words(speed_mps: f64) -> String {
    format!("{:.1} km/h", 3.6 * speed_mps)
}

/// A heading as one line, smaller where it is long, or as two; no word of it is lost before that is too little.
fn heading_lines(text: &str, wide: f64) -> (f64, Vec<String>) {
    const SIZE: f64 = 20.0;
    const LEAST: f64 = 15.0;
    let size = SIZE.min(SIZE * wide / text_width(text, SIZE, true).max(1.0));
    if size >= LEAST {
        return (size, vec![text.to_owned()]);
    }
    let mut first = String::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.peek() {
        let longer = format!("{first} {word}");
        if !first.is_empty() && text_width(longer.trim_start(), LEAST, true) > wide {
            break;
        }
        first = longer.trim_start().to_owned();
        words.next();
    }
    let rest: Vec<&str> = words.collect();
    let lines = [first, rest.join(" ")];
    let lines = lines.iter().filter(|line| !line.is_empty());
    let lines = lines.map(|line| fitted(line, LEAST, true, wide)).collect();
    (LEAST, lines)
}

fn side(f: &mut Figure, run: &Shown, s: &Snapshot, view: &View, camera: &Camera, time: f64) {
    let start = run.pose(0.0);
    draw_elevation(f, view, &run.scenario, start.as_ref().unwrap_or(s), s);
    work::over_wide(f, view, run, time);
    unknown(f, run, view, time);
    if camera.close_at(time) {
        for close in closeup::draw(f, view, &run.scenario, s, &run.bars(time)) {
            work::over_close(f, &close, run, time);
        }
    }
}

/// Says so where the pole is no longer followed.
fn unknown(f: &mut Figure, run: &Shown, view: &View, time: f64) {
    if run.pole_until().is_some_and(|until| time > until + 1e-9) {
        let at = (view.window.right - 10.0, view.window.top + 18.0);
        let text = "the pole stands where it was last known: its flight is not followed";
        let room = view.window.right - view.window.left - 20.0;
        let text = fitted(text, 13.0, false, room);
        f.label(at, &text, look(13.0, INK).end(), PAPER);
    }
}

fn plan(f: &mut Figure, run: &Shown, s: &Snapshot, view: &View) {
    let w = view.window;
    draw_plan(f, view, &run.scenario, s);
    work::over_wide(f, view, run, s.time_s);
    unknown(f, run, view, s.time_s);
    f.frame(w, 1.0, SLATE);
}

/// Both close-ups, one above the other or side by side, as large as they can be.
fn base(f: &mut Figure, run: &Shown, s: &Snapshot, w: Window, time: f64) {
    let (before, after, breadth, high) = CLOSE;
    let (wide, tall) = (w.right - w.left, w.bottom - w.top);
    let along = before + after;
    let gap = 10.0;
    // Stacked: both as wide as the window or as their heights allow; beside each other: half of the width each.
    let stacked = (wide / along).min((tall - gap) / (high + 2.0 * breadth));
    let beside = (0.5 * (wide - gap) / along).min(tall / (2.0 * breadth));
    let scale = stacked.max(beside);
    let size = |t: f64| (along * scale, t * scale);
    let windows = if stacked >= beside {
        let left = w.left + 0.5 * (wide - along * scale);
        let (a, b) = (size(high), size(2.0 * breadth));
        [(left, w.top, a), (left, w.top + a.1 + gap, b)]
    } else {
        let (a, b) = (size(2.0 * breadth), size(2.0 * breadth));
        [(w.left, w.top, a), (w.left + a.0 + gap, w.top, b)]
    };
    for ((left, top, (wide, tall)), look_at) in windows
        .into_iter()
        .zip([Look::FromTheSide, Look::FromAbove])
    {
        let window = Window::sized((left, top), (wide, tall));
        let view = closeup::view(look_at, window, (scale, 0.5 * tall), run.travel());
        closeup::panel(f, &view, &run.scenario, s, &run.bars(time));
        work::over_close(f, &view, run, time);
    }
}

fn numbers(
    f: &mut Figure,
    run: &Shown,
    s: &Snapshot,
    (left, wide, bottom): (f64, f64, f64),
    time: f64,
) {
    let y = bottom - NUMBERS + 12.0;
    let lost = run.curve("velocity_change_mps", time).unwrap_or(0.0);
    let force = run.curve("contact_force_n", time).unwrap_or(0.0);
    let there = s.bolts_m.iter().flatten().count();
    let bolts = format!("{there} of {}", run.scenario.base.bolt_count);
    let cells = [
        (speed_words(lost), "speed lost"),
        (format!("{:.0} kN", 1e-3 * force), "contact force"),
        (bolts, "bolts in place"),
    ];
    for (i, (value, name)) in cells.iter().enumerate() {
        let x = left + wide * i as f64 / 3.0;
        f.text((x, y), value, look(19.0, INK).bold());
        let shift = text_width(value, 19.0, true) + 8.0;
        f.text((x + shift, y + 1.0), name, look(14.0, SLATE));
    }
    let mut events = run.replay.events.iter().rev();
    if let Some(event) = events.find(|e| e.time_s <= time + 1e-9) {
        let text = format!("{:.0} ms: {}", 1e3 * event.time_s, event.label);
        let text = fitted(&text, 15.0, false, wide);
        f.text((left, y + 27.0), &text, look(15.0, INK));
    }
}

#[cfg(test)]
mod tests {
    use giveway_units::System;

    use super::*;

    /// A long title was cut with an ellipsis over every picture.
    #[test]
    fn a_long_heading_is_whole() {
        let text = "12 m pole on a three-bolt slip base, 28 mm of grout round the heads, struck at 30 km/h by a small car";
        let (size, lines) = heading_lines(text, 600.0);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines.join(" "), text);
        assert!(
            lines
                .iter()
                .all(|line| text_width(line, size, true) <= 600.0)
        );
        assert_eq!(
            heading_lines("short", 600.0),
            (20.0, vec!["short".to_owned()])
        );
        // A word longer than the panel is cut, and nothing hangs.
        let endless = "w".repeat(500);
        let (_, lines) = heading_lines(&endless, 100.0);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].ends_with('\u{2026}'));
        assert_eq!(heading_lines("", 100.0).1, [String::new()]);
    }

    #[test]
    fn speeds_of_a_film_have_one_unit() {
        assert_eq!(speed_words(1.36), "4.9 km/h");
        assert_eq!(
            giveway_units::spoken(&speed_words(1.36), System::Us),
            "3.04 mph"
        );
    }

    /// The heading of a film was in km/h for every reader.
    #[test]
    fn the_heading_speaks_the_readers_units() {
        let mut f = Figure::new("film", "film", 600.0, 100.0);
        let text = vehicle_words("small-car-1100", 30.0 / 3.6);
        f.text((10.0, 10.0), &text, look(15.0, SLATE));
        f.label(
            (10.0, 40.0),
            "push of the car 81 kN",
            look(15.0, SLATE),
            PAPER,
        );
        let said = |system: System| -> Vec<String> {
            let figure = f.said(system);
            let texts = figure.marks().filter_map(|m| match m {
                giveway_draw::Mark::Text { text, .. } => Some(text.clone()),
                _ => None,
            });
            texts.collect()
        };
        assert_eq!(
            said(System::Si),
            ["small-car-1100 at 30 km/h", "push of the car 81 kN"]
        );
        assert_eq!(
            said(System::Us),
            ["small-car-1100 at 18.6 mph", "push of the car 18.2 kip"]
        );
    }
}
