//! Contrast of two colours, and words of a pale colour made dark enough to be read.
//!
//! # References
//! - Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio (recalled).

use giveway_draw::{Colour, PAPER};

/// What text needs (level AA).
const TEXT: f64 = 4.5;

/// A colour of the form `#1f262d`.
pub fn parse(text: &str) -> Option<Colour> {
    let hex = text
        .strip_prefix('#')
        .filter(|h| h.len() == 6 && h.is_ascii())?;
    let part = |i: usize| u8::from_str_radix(&hex[i..i + 2], 16).ok();
    Some((part(0)?, part(2)?, part(4)?))
}

/// A colour as it is written: `#1f262d`.
pub fn hex(c: Colour) -> String {
    format!("#{:02x}{:02x}{:02x}", c.0, c.1, c.2)
}

/// Contrast ratio of two colours, 1 to 21.
pub fn contrast(a: Colour, b: Colour) -> f64 {
    // (L1 + 0.05) / (L2 + 0.05), L1 the lighter one
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The colour, darkened as far as words on paper need. Words that are nearly white stand on something dark and stay.
pub fn readable(colour: Colour) -> Colour {
    if luminance(colour) > 0.8 {
        return colour;
    }
    let scaled = |k: u16| {
        let part = |v: u8| (u16::from(v) * k / 64) as u8;
        (part(colour.0), part(colour.1), part(colour.2))
    };
    (0..=64)
        .rev()
        .map(scaled)
        .find(|c| contrast(*c, PAPER) >= TEXT)
        .unwrap_or((0, 0, 0))
}

fn luminance(c: Colour) -> f64 {
    // c / 12.92 up to 0.04045, else ((c + 0.055) / 1.055)^2.4
    let part = |v: u8| {
        let c = f64::from(v) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            libm::pow((c + 0.055) / 1.055, 2.4)
        }
    };
    0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_draw::*;

    #[test]
    fn contrast_of_known_pairs() {
        // Black on white is 21 by definition; #767676 is the lightest grey that passes on white, 4.54 (recalled).
        assert!((contrast((0, 0, 0), PAPER) - 21.0).abs() < 1e-9);
        assert!((contrast((0x76, 0x76, 0x76), PAPER) - 4.54).abs() < 0.01);
        assert_eq!(parse("#1F262d"), Some((0x1f, 0x26, 0x2d)));
        assert_eq!(parse("#1F26\u{e9}"), None);
    }

    #[test]
    fn words_in_every_colour_of_the_figures_can_be_read() {
        for colour in [
            INK, SLATE, NAVY, RUST, SEA, PLUM, STRAW, SKY, STONE, LIMIT, STEEL, BODY, EARTH,
        ] {
            let dark = readable(colour);
            assert!(contrast(dark, PAPER) >= 4.5, "{colour:?} becomes {dark:?}");
            if contrast(colour, PAPER) >= 4.5 {
                assert_eq!(dark, colour);
            }
        }
        assert_eq!(readable(PAPER), PAPER);
    }
}
