//! Numbers of the sheet in words, as a crew says them.

use core::f64::consts::PI;

use giveway_mechanics::erection::Series;
use giveway_units::{Dimension, System, in_inches, shown};

/// Inch in m.
const INCH: f64 = 0.0254;

/// Numbers in a system of units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Say(pub System);

impl Say {
    /// A length that a tape measures: `75 mm`, `4-5/16 in`, always to the sixteenth that a crew can read.
    pub fn length(self, length_m: f64) -> String {
        match self.0 {
            System::Si => {
                let mm = 1e3 * length_m;
                let digits = if libm::fabs(mm) >= 1000.0 { 4 } else { 3 };
                format!("{} mm", shown(mm, digits))
            }
            System::Us => in_inches(on_tape(length_m), 3),
        }
    }

    /// A thickness, as a calliper or feeler gauge reads it: `0.5 mm`, `0.015 in`, `5/16 in`.
    pub fn fine(self, length_m: f64) -> String {
        match self.0 {
            System::Si => self.length(length_m),
            System::Us => in_inches(length_m, 3),
        }
    }

    /// A length along the pole: `6.25 m`, `20.5 ft`.
    pub fn long(self, length_m: f64) -> String {
        match self.0 {
            System::Si => format!("{} m", shown((100.0 * length_m).round() / 100.0, 4)),
            System::Us => {
                let feet = length_m / (12.0 * INCH);
                format!("{} ft", shown((10.0 * feet).round() / 10.0, 4))
            }
        }
    }

    /// A slope as a level with a rule shows it: `5 mm in 1 m`, `1/16 in per ft`.
    pub fn slope(self, slope_rad: f64) -> String {
        match self.0 {
            System::Si => format!("{:.1} mm in 1 m", 1e3 * slope_rad),
            System::Us => format!("{:.2} in per ft", 12.0 * slope_rad),
        }
    }

    /// A force in kN or kip, three digits.
    pub fn force(self, force_n: f64) -> String {
        self.0.said(force_n, Dimension::Force, "kN", 3)
    }

    /// A pull that a person gives a rope: `120 N (about 12 kg)`, `27 lb`.
    pub fn pull(self, force_n: f64) -> String {
        match self.0 {
            System::Si => format!(
                "{} N (about {} kg)",
                shown(force_n, 2),
                shown(force_n / 9.80665, 2)
            ),
            System::Us => format!("{} lb", shown(force_n / 4.448_221_615_260_5, 2)),
        }
    }

    /// A torque: `180 N.m`, `133 lbf.ft`.
    pub fn torque(self, torque_nm: f64) -> String {
        self.0.said(torque_nm, Dimension::Torque, "N.m", 3)
    }

    /// A moment: `1.25 kN.m`, `0.92 kip.ft`.
    pub fn moment(self, moment_nm: f64) -> String {
        self.0.said(moment_nm, Dimension::Torque, "kN.m", 3)
    }

    /// A stress: `21 MPa`, `3.05 ksi`.
    pub fn stress(self, stress_pa: f64) -> String {
        self.0.said(stress_pa, Dimension::Stress, "MPa", 3)
    }

    /// A mass, whole.
    pub fn mass(self, mass_kg: f64) -> String {
        match self.0 {
            System::Si => format!("{mass_kg:.0} kg"),
            System::Us => format!("{:.0} lb", mass_kg / 0.453_592_37),
        }
    }

    /// A wind speed.
    pub fn speed(self, speed_mps: f64) -> String {
        match self.0 {
            System::Si => format!("{speed_mps:.0} m/s"),
            System::Us => format!("{:.0} mph", speed_mps / 0.447_04),
        }
    }

    /// An angle in degrees, three digits.
    pub fn angle(self, angle_rad: f64) -> String {
        format!("{}\u{b0}", shown(angle_rad.to_degrees(), 3))
    }

    /// Length of a bolt as it is ordered, in its own series: `110 mm`; `4-3/4 in (120.7 mm)`.
    pub fn ordered(self, length_m: f64, series: Series) -> String {
        match (series, self.0) {
            (Series::Inch, System::Us) => in_inches(length_m, 4),
            (Series::Metric, System::Us) => {
                format!("{} ({})", mm4(length_m), self.length(length_m))
            }
            (Series::Metric, System::Si) => mm4(length_m),
            (Series::Inch, System::Si) if in_inches(length_m, 4).contains('.') => mm4(length_m),
            (Series::Inch, System::Si) => format!("{} ({})", in_inches(length_m, 4), mm4(length_m)),
        }
    }
}

/// The sixteenth of an inch on a tape that is nearest; the length itself where that is less than an eighth of an inch off
/// zero, too short for a tape.
fn on_tape(length_m: f64) -> f64 {
    const SIXTEENTH: f64 = INCH / 16.0;
    if libm::fabs(length_m) < 2.0 * SIXTEENTH {
        return length_m;
    }
    SIXTEENTH * libm::round(length_m / SIXTEENTH)
}

fn mm4(length_m: f64) -> String {
    format!("{} mm", shown(1e3 * length_m, 4))
}

/// A margin in per cent.
pub fn percent(fraction: f64) -> String {
    format!("{} %", shown(100.0 * fraction, 2))
}

/// A direction seen from above, against the direction of traffic.
pub fn direction(azimuth_rad: f64) -> String {
    let mut a = libm::remainder(azimuth_rad, 2.0 * PI).to_degrees();
    // A hair's breadth must not turn "against" into "-180".
    let round = a.round();
    if (a - round).abs() < 1e-6 {
        a = round;
    }
    let size = libm::fabs(a);
    if size == 0.0 {
        "with the traffic".to_owned()
    } else if size == 180.0 {
        "against the traffic".to_owned()
    } else {
        let side = if a > 0.0 { "left" } else { "right" };
        if size == 90.0 {
            format!("square to the {side} of the traffic")
        } else {
            format!("{}\u{b0} to the {side} of the traffic", shown(size, 3))
        }
    }
}

/// A list with "and" before its last.
pub fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Small numbers in words.
pub fn count(n: usize) -> String {
    const WORDS: [&str; 9] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    WORDS
        .get(n)
        .map_or_else(|| n.to_string(), |w| (*w).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_said_from_the_traffic() {
        let deg = PI / 180.0;
        assert_eq!(direction(0.0), "with the traffic");
        assert_eq!(direction(-PI), "against the traffic");
        assert_eq!(direction(3.0 * PI), "against the traffic");
        assert_eq!(direction(0.5 * PI), "square to the left of the traffic");
        assert_eq!(
            direction(-60.0 * deg),
            "60\u{b0} to the right of the traffic"
        );
        assert_eq!(
            direction(390.0 * deg),
            "30\u{b0} to the left of the traffic"
        );
    }

    #[test]
    fn bolts_are_ordered_in_their_own_series() {
        let (si, us) = (Say(System::Si), Say(System::Us));
        assert_eq!(si.ordered(0.110, Series::Metric), "110 mm");
        assert_eq!(si.ordered(4.75 * INCH, Series::Inch), "4-3/4 in (120.6 mm)");
        assert_eq!(us.ordered(4.5 * INCH, Series::Inch), "4-1/2 in");
        assert_eq!(us.ordered(0.110, Series::Metric), "110 mm (4-5/16 in)");
    }

    #[test]
    fn numbers_are_said_in_both_systems() {
        let both = |f: &dyn Fn(Say) -> String| System::ALL.map(|s| f(Say(s)));
        assert_eq!(
            both(&|s| s.length(0.207_000_000_000_000_03)),
            ["207 mm", "8-1/8 in"]
        );
        assert_eq!(both(&|s| s.fine(0.0005)), ["0.5 mm", "0.0197 in"]);
        assert_eq!(both(&|s| s.long(10.668)), ["10.67 m", "35 ft"]);
        assert_eq!(both(&|s| s.torque(203.372_692)), ["203 N.m", "150 lbf.ft"]);
        assert_eq!(
            both(&|s| s.slope(0.005)),
            ["5.0 mm in 1 m", "0.06 in per ft"]
        );
        assert_eq!(both(&|s| s.mass(453.592_37)), ["454 kg", "1000 lb"]);
        assert_eq!(both(&|s| s.pull(89.0)), ["89 N (about 9.1 kg)", "20 lb"]);
    }
}
