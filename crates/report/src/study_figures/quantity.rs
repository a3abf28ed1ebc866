//! Columns as a reader meets them: plain words and a unit of the shop, the road and the laboratory.

use crate::axis::tick_text;

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

/// Known columns: name, words, unit, scale.
const KNOWN: &[(&str, &str, &str, f64)] = &[
    ("velocity_change_mps", "velocity change", "m/s", 1.0),
    (
        "oiv_longitudinal_mps",
        "longitudinal occupant impact velocity",
        "m/s",
        1.0,
    ),
    (
        "oiv_lateral_mps",
        "lateral occupant impact velocity",
        "m/s",
        1.0,
    ),
    ("ridedown_longitudinal_g", "longitudinal ridedown", "g", 1.0),
    ("ridedown_lateral_g", "lateral ridedown", "g", 1.0),
    ("thiv_kmph", "theoretical head impact velocity", "km/h", 1.0),
    ("asi", "severity index ASI", "", 1.0),
    ("roof_dent_m", "remaining dent of the roof", "mm", 1e3),
    (
        "windscreen_dent_m",
        "remaining dent of the windscreen",
        "mm",
        1e3,
    ),
    ("exit_speed_mps", "speed 12 m behind the pole", "km/h", 3.6),
    ("margin_fraction", "least margin to a limit", "%", 100.0),
    (
        "motion_margin_fraction",
        "least margin of vehicle and occupant",
        "%",
        100.0,
    ),
    (
        "energy_residual_fraction",
        "residual of the energy book",
        "%",
        100.0,
    ),
    ("peak_force_n", "peak force on the pole", "kN", 1e-3),
    ("preload_n", "preload of each bolt", "kN", 1e-3),
    ("peak_crush_m", "largest crush of the vehicle", "mm", 1e3),
    ("slip_onset_s", "time of the first slip", "ms", 1e3),
    ("release_time_s", "time of release", "ms", 1e3),
    (
        "crush_at_slip_onset_m",
        "crush at the first slip",
        "mm",
        1e3,
    ),
    ("crush_at_release_m", "crush at the release", "mm", 1e3),
    (
        "kink_rad",
        "kink at the struck height",
        "degrees",
        180.0 / core::f64::consts::PI,
    ),
    (
        "service_margin_fraction",
        "margin in the yearly wind",
        "%",
        100.0,
    ),
    (
        "strength_margin_fraction",
        "margin in the design gust",
        "%",
        100.0,
    ),
    (
        "survival_margin_fraction",
        "margin in the 700-year wind",
        "%",
        100.0,
    ),
    ("contact_end_time_s", "time of the last touch", "ms", 1e3),
    ("end_time_s", "end of the engagement", "ms", 1e3),
    ("stands_in_wind", "stands in the wind (1: yes)", "", 1.0),
    ("slip_base_clamp_torque_nm", "tightening torque", "N.m", 1.0),
    ("slip_base_clamp_preload_n", "preload", "kN", 1e-3),
    ("slip_base_clamp_nut_factor", "nut factor", "", 1.0),
    (
        "slip_base_clamp_relaxation",
        "loss by relaxation",
        "%",
        100.0,
    ),
    ("slip_base_bolt_circle_m", "bolt circle", "mm", 1e3),
    ("impact_speed_mps", "impact speed", "km/h", 3.6),
    (
        "impact_heading_rad",
        "heading",
        "degrees",
        180.0 / core::f64::consts::PI,
    ),
    (
        "impact_velocity_direction_rad",
        "direction of travel",
        "degrees",
        180.0 / core::f64::consts::PI,
    ),
    ("vehicle_mass_kg", "vehicle mass", "kg", 1.0),
    ("nut_factor", "nut factor", "", 1.0),
    ("friction_inner", "friction between the plates", "", 1.0),
    ("friction_outer", "friction under head and nut", "", 1.0),
    ("friction_wall", "friction on the notch wall", "", 1.0),
    (
        "friction_of_new_factor",
        "friction of a new base, factor",
        "",
        1.0,
    ),
    ("relaxation", "loss by relaxation", "%", 100.0),
    ("bumper_height_shift_m", "bumper height, shift", "mm", 1e3),
    ("front_stiffness_factor", "front stiffness, factor", "", 1.0),
    ("mass_shift_kg", "vehicle mass, shift", "kg", 1.0),
    ("speed_factor", "speed, factor", "", 1.0),
    ("offset_shift_m", "lateral offset, shift", "mm", 1e3),
];

/// Endings of other columns: ending, unit, scale.
const ENDINGS: &[(&str, &str, f64)] = &[
    ("_mps2", "m/s\u{b2}", 1.0),
    ("_mps", "m/s", 1.0),
    ("_kmph", "km/h", 1.0),
    ("_nspm", "N.s/m", 1.0),
    ("_npm3", "kN/m\u{b3}", 1e-3),
    ("_npm", "kN/m", 1e-3),
    ("_kgpm3", "kg/m\u{b3}", 1.0),
    ("_kgm2", "kg.m\u{b2}", 1.0),
    ("_radps", "degrees/s", 180.0 / core::f64::consts::PI),
    ("_rad", "degrees", 180.0 / core::f64::consts::PI),
    ("_pa", "MPa", 1e-6),
    ("_nm", "N.m", 1.0),
    ("_ns", "N.s", 1.0),
    ("_kg", "kg", 1.0),
    ("_hz", "Hz", 1.0),
    ("_m2", "mm\u{b2}", 1e6),
    ("_fraction", "%", 100.0),
    ("_n", "kN", 1e-3),
    ("_m", "m", 1.0),
    ("_s", "ms", 1e3),
    ("_j", "kJ", 1e-3),
    ("_g", "g", 1.0),
];

impl Quantity {
    /// Of a column.
    pub fn of(column: &str) -> Self {
        if let Some((_, words, unit, scale)) = KNOWN.iter().find(|k| k.0 == column) {
            return Self {
                words: (*words).to_owned(),
                unit,
                scale: *scale,
            };
        }
        let ending = ENDINGS.iter().find(|e| column.ends_with(e.0));
        let (ending, unit, scale) = ending.copied().unwrap_or(("", "", 1.0));
        let stem = column.strip_suffix(ending).unwrap_or(column);
        Self {
            words: stem.replace('_', " "),
            unit,
            scale,
        }
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

/// A text with a capital at its beginning.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
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
