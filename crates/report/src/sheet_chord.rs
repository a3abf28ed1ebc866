//! How the height of the lower plate is measured: over a straight edge on the ground.

use crate::printed::drawing::{Drawing, ENLARGED, Filling, Line, width_of};
use crate::sheet_section::Measures;
use giveway_draw::Anchor;

/// Size of the drawing, mm.
const WIDTH: f64 = 60.0;
const HEIGHT: f64 = 19.5;

/// The drawing with its scale 1 : n; `plate_radius_m`, `thickness_m` and `pole_m` are those of plates and pole.
pub fn draw(
    m: &Measures,
    plate_radius_m: f64,
    thickness_m: [f64; 2],
    pole_m: f64,
) -> (Drawing, f64) {
    let n = if m.chord_m <= 1.55 { 20.0 } else { 40.0 };
    let k = 1e3 / (n * ENLARGED);
    let mut d = Drawing::new(WIDTH, HEIGHT);
    let (axis, chord) = (0.5 * WIDTH, HEIGHT - 6.6);
    let top = chord - k * m.slip_plane_height_m;
    let half = 0.5 * k * m.chord_m;
    let r = k * plate_radius_m;
    let pole = 0.5 * k * pole_m;
    // Ground that bulges beside the base and dips below the straight edge.
    let ground = [
        (0.5, chord + 1.6),
        (axis - half, chord),
        (axis - 0.72 * half, chord + 1.5),
        (axis - 0.3 * half, chord + 1.0),
        (axis + 0.3 * half, chord + 1.0),
        (axis + 0.7 * half, chord + 1.7),
        (axis + half, chord),
        (WIDTH - 0.5, chord + 1.2),
    ];
    d.line(&ground, Line::Outline);
    for (x, y) in [
        (4.0, 2.0),
        (14.0, 2.2),
        (24.0, 2.0),
        (41.0, 2.0),
        (50.0, 2.4),
        (56.0, 2.1),
    ] {
        d.line(&[(x, chord + y), (x - 1.2, chord + y + 1.7)], Line::Thin);
    }
    d.line(&[(axis - half, chord), (axis + half, chord)], Line::Dashed);
    let [lower, upper] = thickness_m.map(|t| k * t);
    // Foundation, plates, pole.
    let above = top - 0.35;
    for (high, low, filling, line) in [
        (chord + 1.0, chord + 3.6, Filling::Grey, Line::Thin),
        (top, top + lower, Filling::Paper, Line::Outline),
        (above - upper, above, Filling::Paper, Line::Outline),
    ] {
        d.rectangle((axis - r, high), (axis + r, low), filling, line);
    }
    for x in [axis - pole, axis + pole] {
        d.line(&[(x, above - upper), (x, 3.0)], Line::Outline);
    }
    let broken = [
        (axis - pole - 1.0, 3.2),
        (axis - 0.6, 2.6),
        (axis + 0.6, 3.6),
        (axis + pole + 1.0, 2.8),
    ];
    d.line(&broken, Line::Thin);
    // Limit of the lower plate's top over the straight edge.
    let limit = chord - k * m.stub_limit_m;
    let x = axis + r + 9.0;
    d.line(&[(axis + r + 1.0, limit), (x + 1.5, limit)], Line::Dashed);
    d.line(&[(x, limit - 4.0), (x, limit)], Line::Thin);
    d.head((x, limit - 4.0), (x, limit), 1.8);
    d.line(&[(x, chord + 3.5), (x, chord)], Line::Thin);
    d.head((x, chord + 3.5), (x, chord), 1.8);
    let words = format!("at most {}", m.say.fine(m.stub_limit_m));
    let room = WIDTH - 0.5 - 0.5 * width_of(&words, false);
    d.text((x.min(room), limit - 5.4), &words, Anchor::Middle);
    // Length of the straight edge.
    let y = HEIGHT - 1.6;
    for side in [-1.0, 1.0] {
        let end = axis + side * half;
        d.line(&[(end, chord + 0.6), (end, y + 0.9)], Line::Thin);
        d.arrow((axis + side * 12.0, y), (end, y), Line::Thin);
    }
    let text = format!("straight edge {}", m.say.long(m.chord_m));
    d.text((axis, y), &text, Anchor::Middle);
    (d, n)
}
