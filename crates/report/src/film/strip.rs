//! The strip at the foot of a picture: the clock, its speed, how far the film has gone, the last event of each run.

use super::clock::Clock;
use super::run::{FOOT, HEIGHT, Shown};
use giveway_draw::{Figure, GRID, INK, NAVY, RUST, SLATE, look};

/// Draws the strip between two edges of the page; returns the room between the words in its first line.
pub fn draw(
    f: &mut Figure,
    runs: &[Shown],
    clock: &Clock,
    time: f64,
    (left, right): (f64, f64),
) -> (f64, f64) {
    let top = HEIGHT - FOOT.0 - FOOT.1;
    let (y, bar) = (top + 40.0, 8.0);
    let (now, speed) = (clock_text(time), speed_text(clock.speed_at(time)));
    f.text((left, top + 14.0), &now, look(23.0, INK).bold());
    f.text((right, top + 14.0), &speed, look(15.0, SLATE).end());
    let at = |t: f64| left + (right - left) * clock.part(t);
    f.rect(((left, y), (right, y + bar)), GRID, 1.0);
    f.rect(((left, y), (at(time), y + bar)), SLATE, 1.0);
    // Bolts that let go: a stroke above the bar for the first run, below it for the second, in their colours.
    for (i, run) in runs.iter().enumerate() {
        let (colour, from, to) = match i % 2 {
            0 => (NAVY, y - 7.0, y),
            _ => (RUST, y + bar, y + bar + 7.0),
        };
        for event in run.replay.events.iter().filter(|e| e.bolt.is_some()) {
            let x = at(event.time_s);
            f.line([(x, from), (x, to)], 3.0, colour);
        }
    }
    (left + 130.0, right - 185.0)
}

fn clock_text(time: f64) -> String {
    if time < 0.9995 {
        format!("{:.1} ms", 1e3 * time)
    } else {
        format!("{time:.2} s")
    }
}

fn speed_text(speed: f64) -> String {
    if (speed - 1.0).abs() < 1e-9 {
        "true speed".to_owned()
    } else if speed < 1.0 {
        let slower = 1.0 / speed;
        if (slower - slower.round()).abs() < 0.05 {
            format!("slowed down {slower:.0} times")
        } else {
            format!("slowed down {slower:.1} times")
        }
    } else {
        format!("{speed:.1} times as fast")
    }
}
