//! Contrast of the page's inks on paper.
//!
//! # References
//! - Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio; AA asks for 4.5 (recalled).

use crate::printed::style::{HAIR, INK, SOFT};

// Relative luminance of #rrggbb.
fn luminance(colour: &str) -> f64 {
    let part = |i: usize| {
        let v = u8::from_str_radix(&colour[i..i + 2], 16).expect("a colour");
        let c = f64::from(v) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            libm::pow((c + 0.055) / 1.055, 2.4)
        }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}

#[test]
fn text_and_lines_stand_out_from_paper() {
    let ratio = |c: &str| 1.05 / (luminance(c) + 0.05);
    assert!(ratio(INK) > 7.0, "{}", ratio(INK));
    assert!(ratio(SOFT) > 7.0, "{}", ratio(SOFT));
    // Lines ask for 3.
    assert!(ratio(HAIR) > 3.0, "{}", ratio(HAIR));
    // Black on white is 21 by definition.
    assert!((ratio("#000000") - 21.0).abs() < 1e-9);
}
