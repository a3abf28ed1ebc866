//! A scale from pale to dark whose steps stay apart in grey, and hatching.

use giveway_draw::{Colour, Figure, INK, Point, SLATE, Window};

/// Ends of the scale.
const PALE: Colour = (0xf3, 0xf7, 0xfb);
const MIDDLE: Colour = (0x7f, 0xa6, 0xc9);
const DARK: Colour = (0x1b, 0x3a, 0x66);

/// Colour of step `i` of `count`.
pub fn step(i: usize, count: usize) -> Colour {
    let s = if count < 2 {
        0.0
    } else {
        i as f64 / (count - 1) as f64
    };
    if s < 0.5 {
        between(PALE, MIDDLE, 2.0 * s)
    } else {
        between(MIDDLE, DARK, 2.0 * s - 1.0)
    }
}

fn between(a: Colour, b: Colour, s: f64) -> Colour {
    let mix = |a: u8, b: u8| (f64::from(a) + s * (f64::from(b) - f64::from(a))).round() as u8;
    (mix(a.0, b.0), mix(a.1, b.1), mix(a.2, b.2))
}

/// Whether text on this colour must be pale.
pub fn is_dark(c: Colour) -> bool {
    0.2126 * f64::from(c.0) + 0.7152 * f64::from(c.1) + 0.0722 * f64::from(c.2) < 120.0
}

/// Parallel lines at 45 degrees within a rectangle.
pub fn hatch(f: &mut Figure, w: Window, gap: f64, width: f64, colour: Colour) {
    let reach = (w.right - w.left) + (w.bottom - w.top);
    // Lines stand on a lattice of the page, so that neighbouring rectangles meet.
    let first = libm::ceil((w.left + w.top) / gap);
    let count = libm::floor(reach / gap) as i32 + 1;
    for i in 0..=count {
        let sum = (first + f64::from(i)) * gap;
        // x + y = sum
        let line: [Point; 2] = [(sum - w.bottom, w.bottom), (sum - w.top, w.top)];
        for piece in w.polyline(&line) {
            f.line(piece, width, colour);
        }
    }
}

/// The look of what does not let go: paper with dark hatching.
pub fn held(f: &mut Figure, w: Window) {
    f.rect(w, (0xef, 0xec, 0xe6), 1.0);
    hatch(f, w, 9.0, 1.6, INK);
}

/// The look of what has no value: paper with a cross.
pub fn nothing(f: &mut Figure, w: Window) {
    f.rect(w, (0xff, 0xff, 0xff), 1.0);
    let (x, y) = (0.5 * (w.left + w.right), 0.5 * (w.top + w.bottom));
    let r = (0.3 * (w.right - w.left).min(w.bottom - w.top)).min(7.0);
    f.line([(x - r, y - r), (x + r, y + r)], 1.5, SLATE);
    f.line([(x - r, y + r), (x + r, y - r)], 1.5, SLATE);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_of_the_scale_stay_apart_in_grey() {
        let grey =
            |c: Colour| 0.2126 * f64::from(c.0) + 0.7152 * f64::from(c.1) + 0.0722 * f64::from(c.2);
        for count in 2..=9 {
            for i in 1..count {
                let gap = grey(step(i - 1, count)) - grey(step(i, count));
                assert!(gap > 15.0, "{i} of {count}: {gap}");
            }
        }
    }

    #[test]
    fn hatching_stays_inside() {
        let w = Window::new((10.0, 20.0), (60.0, 50.0));
        let mut f = Figure::new("x", "x", 100.0, 100.0);
        hatch(&mut f, w, 8.0, 1.0, INK);
        assert!(f.marks().count() > 7);
        for mark in f.marks() {
            if let giveway_draw::Mark::Stroke { points, .. } = mark {
                assert!(points.iter().all(|p| w.contains(*p)), "{points:?}");
            }
        }
    }
}
