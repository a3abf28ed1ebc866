//! The fonts that are shipped with the program, and how wide a text is in them.

use std::sync::Once;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

static REGULAR: &[u8] = include_bytes!("../fonts/DejaVuSans.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/DejaVuSans-Bold.ttf");
static FONTS: Once = Once::new();

// Its text size over the height of the em square.
pub(crate) const SIZE_OVER_EM: f64 = 1.2;

fn fonts() {
    FONTS.call_once(|| {
        // The bytes are part of the program; a test fails if they are not a font.
        let _ = register_font("sans-serif", FontStyle::Normal, REGULAR);
        let _ = register_font("sans-serif", FontStyle::Bold, BOLD);
    });
}

/// The font of a text of this size, px.
pub(crate) fn font(size: f64, bold: bool) -> FontDesc<'static> {
    fonts();
    let style = if bold {
        FontStyle::Bold
    } else {
        FontStyle::Normal
    };
    FontDesc::new(FontFamily::SansSerif, size * SIZE_OVER_EM, style)
}

/// Width of a line of text, px.
pub fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    // Measured ten times larger, because plotters rounds to whole pixels.
    font(10.0 * size, bold)
        .layout_box(text)
        .map_or(0.6 * size * text.len() as f64, |b| {
            0.1 * f64::from(b.1.0 - b.0.0)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_fonts_are_fonts() {
        assert!(register_font("trial", FontStyle::Normal, REGULAR).is_ok());
        assert!(register_font("trial", FontStyle::Bold, BOLD).is_ok());
        // Advance of "0" in DejaVu Sans is 1303 of 2048 units, of its ten digits ten times that;
        // the size is the height from ascent to descent, 1.164 em.
        let w = text_width("0123456789", 100.0, false);
        assert!(
            (w - 1000.0 * 1303.0 / 2048.0 * 1.2 / 1.164).abs() < 4.0,
            "{w}"
        );
    }
}
