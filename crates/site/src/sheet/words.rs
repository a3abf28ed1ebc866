//! Numbers of the sheet in words, as a crew says them.

use core::f64::consts::PI;

use giveway_mechanics::erection::Series;
use giveway_units::shown;

/// Inch in m.
const INCH: f64 = 0.0254;

/// A length in mm with that many significant digits: `75 mm`.
pub fn mm(length_m: f64, digits: usize) -> String {
    format!("{} mm", shown(1e3 * length_m, digits))
}

/// A length in m, two decimals.
pub fn metres(length_m: f64) -> String {
    format!("{length_m:.2} m")
}

/// A force in kN, three digits.
pub fn kn(force_n: f64) -> String {
    format!("{} kN", shown(1e-3 * force_n, 3))
}

/// A small force in N, and in kg that weigh as much at standard gravity, so that a crew can feel it.
pub fn pull(force_n: f64) -> String {
    format!(
        "{} N (about {} kg)",
        shown(force_n, 2),
        shown(force_n / 9.80665, 2)
    )
}

/// A torque.
pub fn torque(torque_nm: f64) -> String {
    format!("{} N.m", shown(torque_nm, 3))
}

/// An angle in degrees, three digits.
pub fn degrees(angle_rad: f64) -> String {
    format!("{}\u{b0}", shown(angle_rad.to_degrees(), 3))
}

/// A margin in per cent.
pub fn percent(fraction: f64) -> String {
    format!("{} %", shown(100.0 * fraction, 2))
}

/// Length of a bolt as it is ordered: `110 mm`; `4-3/4 in (120.7 mm)`.
pub fn ordered(length_m: f64, series: Series) -> String {
    let quarters = (4.0 * length_m / INCH).round();
    let whole = (4.0 * length_m / INCH - quarters).abs() < 1e-6;
    match series {
        Series::Inch if whole && quarters >= 1.0 => {
            let inches = libm::floor(0.25 * quarters);
            let rest = ["", "1/4", "1/2", "3/4"][(quarters - 4.0 * inches) as usize & 3];
            let text = match (inches > 0.0, rest.is_empty()) {
                (true, true) => format!("{inches}"),
                (true, false) => format!("{inches}-{rest}"),
                (false, _) => rest.to_owned(),
            };
            format!("{text} in ({})", mm(length_m, 4))
        }
        _ => mm(length_m, 4),
    }
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
        assert_eq!(ordered(0.110, Series::Metric), "110 mm");
        assert_eq!(ordered(4.75 * INCH, Series::Inch), "4-3/4 in (120.6 mm)");
        assert_eq!(ordered(5.0 * INCH, Series::Inch), "5 in (127 mm)");
        assert_eq!(ordered(0.118, Series::Inch), "118 mm");
    }
}
