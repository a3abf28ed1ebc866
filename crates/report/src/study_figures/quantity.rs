//! Columns as a reader meets them: plain words and a unit of the shop, the road and the laboratory.

pub use crate::headline::upper_first as capital;
use giveway_draw::tick_text;
use giveway_study::plan::output_words;

/// How a column is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Plain words, in small letters.
    pub words: String,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
    /// Shown number over the column's number.
    pub scale: f64,
}

/// Unit of a shown number, and the shown number over the column's number.
#[derive(Debug, Clone, Copy)]
struct Shown(&'static str, f64);

const PLAIN: Shown = Shown("", 1.0);
const MPS: Shown = Shown("m/s", 1.0);
const G: Shown = Shown("g", 1.0);
const KMPH: Shown = Shown("km/h", 1.0);
const MM: Shown = Shown("mm", 1e3);
const KMPH_OF_MPS: Shown = Shown("km/h", 3.6);
const PERCENT: Shown = Shown("%", 100.0);
const KN: Shown = Shown("kN", 1e-3);
const MS: Shown = Shown("ms", 1e3);
const DEGREES: Shown = Shown("degrees", 180.0 / core::f64::consts::PI);
const NM: Shown = Shown("N.m", 1.0);
const KG: Shown = Shown("kg", 1.0);

/// Columns of what was set: name, words, how they are shown.
const KNOWN: &[(&str, &str, Shown)] = &[
    ("preload_n", "preload of each bolt", KN),
    ("slip_base_clamp_torque_nm", "tightening torque", NM),
    ("slip_base_clamp_preload_n", "preload", KN),
    ("slip_base_clamp_nut_factor", "nut factor", PLAIN),
    ("slip_base_clamp_relaxation", "loss by relaxation", PERCENT),
    ("slip_base_bolt_circle_m", "bolt circle", MM),
    ("impact_speed_mps", "impact speed", KMPH_OF_MPS),
    ("impact_heading_rad", "heading", DEGREES),
    (
        "impact_velocity_direction_rad",
        "direction of travel",
        DEGREES,
    ),
    ("vehicle_mass_kg", "vehicle mass", KG),
    ("nut_factor", "nut factor", PLAIN),
    ("friction_inner", "friction between the plates", PLAIN),
    ("friction_outer", "friction under head and nut", PLAIN),
    ("friction_wall", "friction on the notch wall", PLAIN),
    (
        "friction_of_new_factor",
        "friction of a new base, factor",
        PLAIN,
    ),
    ("relaxation", "loss by relaxation", PERCENT),
    ("bumper_height_shift_m", "bumper height, shift", MM),
    ("front_stiffness_factor", "front stiffness, factor", PLAIN),
    ("mass_shift_kg", "vehicle mass, shift", KG),
    ("speed_factor", "speed, factor", PLAIN),
    ("offset_shift_m", "lateral offset, shift", MM),
];

/// Endings of other columns, and how those are shown.
const ENDINGS: &[(&str, Shown)] = &[
    ("_mps2", Shown("m/s\u{b2}", 1.0)),
    ("_mps", MPS),
    ("_kmph", KMPH),
    ("_nspm", Shown("N.s/m", 1.0)),
    ("_npm3", Shown("kN/m\u{b3}", 1e-3)),
    ("_npm", Shown("kN/m", 1e-3)),
    ("_kgpm3", Shown("kg/m\u{b3}", 1.0)),
    ("_kgm2", Shown("kg.m\u{b2}", 1.0)),
    ("_radps", Shown("degrees/s", 180.0 / core::f64::consts::PI)),
    ("_rad", DEGREES),
    ("_pa", Shown("MPa", 1e-6)),
    ("_nm", NM),
    ("_ns", Shown("N.s", 1.0)),
    ("_kg", KG),
    ("_hz", Shown("Hz", 1.0)),
    ("_m2", Shown("mm\u{b2}", 1e6)),
    ("_fraction", PERCENT),
    ("_n", KN),
    ("_m", Shown("m", 1.0)),
    ("_s", MS),
    ("_j", Shown("kJ", 1e-3)),
    ("_g", G),
];

impl Quantity {
    fn new(words: &str, Shown(unit, scale): Shown) -> Self {
        Self {
            words: words.to_owned(),
            unit,
            scale,
        }
    }

    /// Of a column.
    pub fn of(column: &str) -> Self {
        if let Some((_, words, shown)) = KNOWN.iter().find(|k| k.0 == column) {
            return Self::new(words, *shown);
        }
        let ending = ENDINGS.iter().find(|e| column.ends_with(e.0));
        let (ending, shown) = ending.copied().unwrap_or(("", PLAIN));
        if let Some(words) = output_words(column) {
            // What comes out of a blow is small, but for the speed behind the pole.
            let shown = match (column, ending) {
                ("exit_speed_mps", _) => KMPH_OF_MPS,
                (_, "_m") => MM,
                _ => shown,
            };
            return Self::new(words, shown);
        }
        let stem = column.strip_suffix(ending).unwrap_or(column);
        Self::new(&stem.replace('_', " "), shown)
    }

    /// Words and unit, for an axis.
    pub fn title(&self) -> String {
        if self.unit.is_empty() {
            self.words.clone()
        } else {
            format!("{}, {}", self.words, self.unit)
        }
    }

    /// The same with a capital at its beginning.
    pub fn capital_title(&self) -> String {
        capital(&self.title())
    }

    /// A value of the column with unit, to about three digits.
    pub fn text(&self, value: f64) -> String {
        let number = short(value * self.scale);
        match self.unit {
            "" => number,
            "%" => format!("{number} %"),
            unit => format!("{number} {unit}"),
        }
    }
}

/// A number with about three digits, without zeros behind the point that say nothing.
pub fn short(value: f64) -> String {
    let size = value.abs();
    let decimals = if size >= 100.0 || size == 0.0 {
        0
    } else if size >= 10.0 {
        1
    } else if size >= 0.095 {
        2
    } else {
        3
    };
    let text = tick_text(value, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_have_words_and_units() {
        let q = Quantity::of("impact_speed_mps");
        assert_eq!(q.title(), "impact speed, km/h");
        assert_eq!(q.text(30.0 / 3.6), "30 km/h");
        let q = Quantity::of("support_pole_wall_m");
        assert_eq!((q.title().as_str(), q.scale), ("support pole wall, m", 1.0));
        assert_eq!(Quantity::of("steps").title(), "steps");
        assert_eq!(Quantity::of("peak_force_n").text(123_456.0), "123 kN");
        assert_eq!(short(0.1 + 0.2), "0.3");
        assert_eq!(short(-1234.5), "\u{2212}1234");
    }
}
