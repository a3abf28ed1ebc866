//! The two systems of units that people read: SI, and the customary units of the United States. Data stay SI.
//!
//! References: NIST SP 811 (2008), appendix B.

use crate::dimension::{Dimension, Unit};
use crate::number::shown;
use crate::text::{in_unit, shown_in};

/// What a tape in inches resolves.
const SIXTEENTHS: f64 = 16.0;

/// A system of units that a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum System {
    /// Metres, kilograms, newtons, kilometres an hour.
    #[default]
    Si,
    /// Inches, feet, pounds, miles an hour.
    Us,
}

impl System {
    /// Every system.
    pub const ALL: [Self; 2] = [Self::Si, Self::Us];

    /// As written: `si`, `us`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Si => "si",
            Self::Us => "us",
        }
    }

    /// The system of that name.
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim().to_ascii_lowercase();
        Self::ALL.into_iter().find(|s| s.name() == name)
    }

    /// The system that a unit belongs to; none where it belongs to both (degrees, seconds, g).
    pub fn of(unit: &Unit, dimension: Dimension) -> Option<Self> {
        const US: [&str; 27] = [
            "in", "ft", "yd", "in2", "ft2", "lb", "slug", "mph", "ft/s", "ft/s2", "lbf", "kip",
            "lbf.ft", "lbf.in", "kip.ft", "kip.in", "ft.lbf", "lbf.s", "psi", "ksi", "psf",
            "in/ft", "lbf/in", "kip/in", "lbf/ft", "lb/ft3", "lbf/ft3",
        ];
        let both = matches!(
            dimension,
            Dimension::Time | Dimension::Frequency | Dimension::AngularRate | Dimension::Ratio
        ) || matches!(unit.name, "deg" | "rad" | "mrad" | "g");
        match both {
            true => None,
            false if US.contains(&unit.name) => Some(Self::Us),
            false => Some(Self::Si),
        }
    }

    /// The unit of this system in which people say what they would say in `usual` (a unit of the SI).
    pub fn unit(self, dimension: Dimension, usual: &str) -> &str {
        if self == Self::Si {
            return usual;
        }
        match (dimension, usual) {
            (Dimension::Length, "m" | "km") => "ft",
            (Dimension::Length, _) => "in",
            (Dimension::Area, "m2") => "ft2",
            (Dimension::Area, _) => "in2",
            (Dimension::Mass, _) => "lb",
            (Dimension::Speed, "km/h") => "mph",
            (Dimension::Speed, _) => "ft/s",
            (Dimension::Acceleration, "m/s2") => "ft/s2",
            (Dimension::Force, "kN" | "MN") => "kip",
            (Dimension::Force, _) => "lbf",
            (Dimension::Torque, "kN.m") => "kip.ft",
            (Dimension::Torque, _) => "lbf.ft",
            (Dimension::Energy, _) => "ft.lbf",
            (Dimension::Impulse, _) => "lbf.s",
            (Dimension::Stress, "MPa" | "GPa") => "ksi",
            (Dimension::Stress, "kPa") => "psf",
            (Dimension::Stress, _) => "psi",
            (Dimension::Angle, "mm/m") => "in/ft",
            (Dimension::Stiffness, _) => "kip/in",
            (Dimension::Damping, _) => "lbf.s/in",
            (Dimension::Density, _) => "lb/ft3",
            (Dimension::UnitWeight, _) => "lbf/ft3",
            (Dimension::Inertia, _) => "slug.ft2",
            _ => usual,
        }
    }

    /// A value for people: `digits` significant digits in the unit that stands for `usual`; inches in the fractions of a
    /// tape where they are such.
    pub fn said(self, si: f64, dimension: Dimension, usual: &str, digits: usize) -> String {
        match (self, dimension, self.unit(dimension, usual)) {
            (Self::Us, Dimension::Length, "in") => in_inches(si, digits),
            (_, _, unit) => shown_in(si, dimension, unit, digits),
        }
    }
}

/// A length in inches, as a tape shows it: `4-1/2 in` where a sixteenth is within a quarter of one, else with `digits`
/// significant digits.
pub fn in_inches(length_m: f64, digits: usize) -> String {
    let inches = in_unit(length_m, Dimension::Length, "in");
    let sixteenths = (SIXTEENTHS * inches).round();
    let near = (SIXTEENTHS * inches - sixteenths).abs() <= 0.25 && sixteenths != 0.0;
    if length_m == 0.0 || !near || inches.abs() > 240.0 || inches.abs() < 0.12 {
        return format!("{} in", shown(inches, digits));
    }
    let sign = if sixteenths < 0.0 { "-" } else { "" };
    // Exact: at most 16 x 240.
    let (mut top, mut bottom) = (sixteenths.abs() as u32 % 16, 16);
    let whole = sixteenths.abs() as u32 / 16;
    while top > 0 && top.is_multiple_of(2) {
        (top, bottom) = (top / 2, bottom / 2);
    }
    match (whole, top) {
        (_, 0) => format!("{sign}{whole} in"),
        (0, _) => format!("{sign}{top}/{bottom} in"),
        _ => format!("{sign}{whole}-{top}/{bottom} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_said_as_a_tape_shows_them() {
        for (m, said) in [
            (0.0127, "1/2 in"),
            (0.1143, "4-1/2 in"),
            (0.1016, "4 in"),
            (0.100, "3-15/16 in"),
            (0.013, "1/2 in"),
            (-0.022, "-7/8 in"),
            (0.0, "0 in"),
            (0.00038, "0.015 in"),
            (0.0025, "0.0984 in"),
            (0.0148, "0.583 in"),
        ] {
            assert_eq!(in_inches(m, 3), said, "{m}");
        }
        assert_eq!(in_inches(f64::NAN, 3), "NaN in");
        assert_eq!(in_inches(f64::INFINITY, 3), "inf in");
    }

    #[test]
    fn each_system_says_its_own_units() {
        let t = |system: System| system.said(203.372_692_249_71, Dimension::Torque, "N.m", 3);
        assert_eq!([t(System::Si), t(System::Us)], ["203 N.m", "150 lbf.ft"]);
        let v = |system: System| system.said(13.411_2, Dimension::Speed, "km/h", 3);
        assert_eq!([v(System::Si), v(System::Us)], ["48.3 km/h", "30 mph"]);
        assert_eq!(System::named(" US "), Some(System::Us));
        assert_eq!(System::named("metric"), None);
    }
}
