//! SI values back to text.

use crate::dimension::{Dimension, Unit};
use crate::number::{shortest_number, shown};
use crate::quantity::{parse, unit_named};

/// Whether a character does something to a terminal or a page instead of standing in it: control characters, those that
/// turn the direction of the writing, and those without any width.
///
/// References: Unicode Standard Annex 9, Unicode Bidirectional Algorithm, 2.1 to 2.6 (explicit and implicit marks);
/// Unicode Standard, chapter 23 (format characters, tags).
pub fn invisible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The value of `si` in `unit` (nearest f64; not promised to read back to the same bits).
///
/// `unit` must be a unit of `dimension`; otherwise the SI value is returned as it is.
pub fn in_unit(si: f64, dimension: Dimension, unit: &str) -> f64 {
    unit_named(unit, dimension).map_or(si, |u| si * u.over / u.times)
}

/// Text for people: `digits` significant digits in `unit`, for example `8.33 m/s`.
pub fn shown_in(si: f64, dimension: Dimension, unit: &str, digits: usize) -> String {
    format!("{} {unit}", shown(in_unit(si, dimension, unit), digits))
}

/// Text that [`parse`] reads back to the very same bits, in `unit` if a decimal number of at most 17 digits
/// in that unit does it, else in the SI unit (which always does).
///
/// Of all numbers that read back, the one with the fewest digits is taken.
pub fn exact_text(si: f64, dimension: Dimension, unit: &str) -> String {
    if dimension == Dimension::Ratio {
        return shortest_number(si);
    }
    if let Some(unit) = unit_named(unit, dimension)
        && let Some(number) = exact_number(si, unit)
    {
        let text = format!("{number} {}", unit.name);
        if parse(&text, dimension).is_ok_and(|q| q.si.to_bits() == si.to_bits()) {
            return text;
        }
    }
    format!("{} {}", shortest_number(si), dimension.units()[0].name)
}

/// The decimal number of fewest digits that gives exactly `si` in `unit`.
fn exact_number(si: f64, unit: &Unit) -> Option<String> {
    let near = si * unit.over / unit.times;
    if !near.is_finite() {
        return None;
    }
    let same = |number: f64| unit.to_si(number).to_bits() == si.to_bits();
    for digits in 0..16 {
        let number: f64 = format!("{near:.digits$e}").parse().ok()?;
        if same(number) {
            return Some(shortest_number(number));
        }
    }
    // Neighbours of the nearest number, outward: the two roundings of `to_si` may skip it.
    for step in 0..4u64 {
        for bits in [near.to_bits() + step, near.to_bits().wrapping_sub(step)] {
            let number = f64::from_bits(bits);
            if number.is_finite() && same(number) {
                return Some(shortest_number(number));
            }
        }
    }
    None
}
