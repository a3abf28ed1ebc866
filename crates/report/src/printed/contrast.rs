//! Contrast of the page's inks on paper.
//!
//! # References
//! - Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio; AA asks for 4.5 (recalled).

use crate::dossier::ink::{contrast, parse};
use crate::printed::style::{HAIR, INK, SOFT};
use giveway_draw::PAPER;

#[test]
fn text_and_lines_stand_out_from_paper() {
    let ratio = |c: &str| contrast(parse(c).expect("a colour"), PAPER);
    assert!(ratio(INK) > 7.0, "{}", ratio(INK));
    assert!(ratio(SOFT) > 7.0, "{}", ratio(SOFT));
    // Lines ask for 3.
    assert!(ratio(HAIR) > 3.0, "{}", ratio(HAIR));
    // Black on white is 21 by definition.
    assert!((ratio("#000000") - 21.0).abs() < 1e-9);
}
