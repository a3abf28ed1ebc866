//! Years of service: what becomes of the clamp, and what the daily wind does to screws and welds.
//!
//! Fatigue: the structural-support specification replaces years of wind by equivalent static pressure ranges whose stress
//! ranges are held against the constant-amplitude threshold of the detail. Both are uncertain, so ranges are given: of the
//! stress (a clamp that holds its joint closed against one that has let go) and of the threshold (how the detail was made).
//!
//! # References
//! - AASHTO, Standard Specifications for Structural Supports, section 11: natural wind gust 250 C_d I_F Pa at a yearly mean
//!   of 5 m/s, vortex shedding 0.613 V_c^2 C_d I_F / beta Pa with beta 0.005, not on tubes that taper by more than 11.7 mm a
//!   metre (recalled: verify against the current edition).
//! - Thresholds of the same section: fasteners in tension 48 MPa; tube in a transverse plate by fillet welds 18 MPa, by a
//!   full-penetration weld 31 MPa (recalled).
//! - Relaxation 6.5 % of galvanised parts in five days, Munse 1967 (seen); its growth with the logarithm of time (recalled).

use crate::erection::{group_tension, screw_stiffnesses};
use crate::strength::{InputError, not_negative, positive, within};
use crate::tube::{along, diameter_at, properties_at};
use giveway_scenario::model::{Arm, Section, Support, Tube};
use schemars::JsonSchema;
use serde::Serialize;

/// Gust pressure range of the specification at its mean speed, Pa (recalled).
const GUST_PA: f64 = 250.0;
/// Yearly mean speed that it belongs to, m/s (recalled).
const MEAN_MPS: f64 = 5.0;
/// Half the density of air, kg/m^3.
const HALF_AIR: f64 = 0.613;
/// Damping ratio of a lighting pole in vortex shedding (recalled).
const DAMPING: f64 = 0.005;
/// Greatest taper that still sheds in step over its length, m of diameter per m (0.14 in per ft, recalled).
const TAPER: f64 = 0.0117;
/// Speeds at which vortices matter, m/s (recalled).
const SHEDDING_MPS: [f64; 2] = [5.0, 20.0];
/// Threshold of a fastener in tension, Pa (recalled).
pub const FASTENER_PA: f64 = 48e6;
/// Thresholds of the tube at its foot plate: fillet welds, full penetration, Pa (recalled).
pub const FOOT_PA: [f64; 2] = [18e6, 31e6];
/// Drag of a round tube in moderate wind (AASHTO, recalled).
const ROUND_DRAG: f64 = 1.10;
/// Drag of flat or multisided tubes in moderate wind (AASHTO, recalled).
const FLAT_DRAG: f64 = 1.20;
/// Days after which the published loss by relaxation was read (Munse, seen).
const RELAXED_DAYS: f64 = 5.0;
/// Time after which a clamp begins to relax by the logarithm of time, days: an hour (common practice, no source).
const START_DAYS: f64 = 1.0 / 24.0;

/// Natural wind gust: static pressure range, Pa, P = 250 C_d I_F (V/5)^2.
///
/// # Errors
/// A value that is not above zero.
pub fn gust_pressure(drag: f64, importance: f64, mean_mps: f64) -> Result<f64, InputError> {
    let cd = positive("drag coefficient C_d", drag)?;
    let i = positive("fatigue importance factor I_F", importance)?;
    let v = positive("yearly mean wind speed, m/s", mean_mps)? / MEAN_MPS;
    Ok(GUST_PA * cd * i * v * v)
}

/// Speed at which vortices are shed in step with a frequency, m/s: V_c = f d / S, S = 0.18 of a round tube, 0.15 of a
/// multisided, 0.11 of a square one (recalled).
///
/// # Errors
/// A frequency or diameter that is not above zero.
pub fn critical_speed(
    section: Section,
    frequency_hz: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let strouhal = match section {
        Section::Round => 0.18,
        Section::Square => 0.11,
        Section::EightSided | Section::TwelveSided | Section::SixteenSided => 0.15,
    };
    let f = positive("frequency, Hz", frequency_hz)?;
    Ok(f * positive("diameter, m", diameter_m)? / strouhal)
}

/// Vortex shedding: static pressure range, Pa, P = 0.613 V_c^2 C_d I_F / beta; none where it does not apply: a tube that
/// tapers by more than 11.7 mm a metre, or a critical speed outside 5 to 20 m/s.
///
/// # Errors
/// A value that is not above zero; a negative taper.
pub fn vortex_pressure(
    critical_mps: f64,
    taper: f64,
    drag: f64,
    importance: f64,
) -> Result<Option<f64>, InputError> {
    let v = positive("critical speed V_c, m/s", critical_mps)?;
    let cd = positive("drag coefficient C_d", drag)?;
    let i = positive("fatigue importance factor I_F", importance)?;
    let straight = not_negative("taper, m per m", taper)? <= TAPER;
    let often = (SHEDDING_MPS[0]..=SHEDDING_MPS[1]).contains(&v);
    Ok((straight && often).then(|| HALF_AIR * v * v * cd * i / DAMPING))
}

/// Moment range of a pressure range on a tube about its thick end, N.m: M = int P d(s) s ds.
fn tube_moment(tube: &Tube, length_m: f64, pressure_pa: f64) -> f64 {
    along(length_m)
        .map(|(x, part)| part * pressure_pa * diameter_at(tube, x) * x * length_m)
        .sum()
}

/// How a detail stands the daily wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FatigueVerdict {
    /// The larger stress range is below the lower threshold.
    Endures,
    /// The ranges overlap.
    Marginal,
    /// The smaller stress range is above the higher threshold.
    Cracks,
}

/// A detail under the daily wind.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct FatigueDetail {
    /// Moment range that works at it, N.m.
    pub moment_nm: f64,
    /// Least and largest stress range, Pa.
    pub stress_pa: [f64; 2],
    /// Least and largest threshold, Pa.
    pub threshold_pa: [f64; 2],
    /// Verdict.
    pub verdict: FatigueVerdict,
}

impl FatigueVerdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Endures => "endures",
            Self::Marginal => "marginal",
            Self::Cracks => "cracks",
        }
    }
}

impl FatigueDetail {
    fn new(moment_nm: f64, stress_pa: [f64; 2], threshold_pa: [f64; 2]) -> Self {
        let verdict = match () {
            () if stress_pa[1] <= threshold_pa[0] => FatigueVerdict::Endures,
            () if stress_pa[0] > threshold_pa[1] => FatigueVerdict::Cracks,
            () => FatigueVerdict::Marginal,
        };
        Self {
            moment_nm,
            stress_pa,
            threshold_pa,
            verdict,
        }
    }
}

fn drag(section: Section) -> f64 {
    if section == Section::Round {
        ROUND_DRAG
    } else {
        FLAT_DRAG
    }
}

/// The pole's foot under the natural gust on pole and arms: sigma = M/W, for the fillet and the full-penetration weld.
///
/// # Errors
/// A size or speed without meaning.
pub fn foot_fatigue(
    support: &Support,
    importance: f64,
    mean_mps: f64,
) -> Result<FatigueDetail, InputError> {
    let length = positive("pole length, m", support.pole_length_m)?;
    let pressure = gust_pressure(drag(support.pole.section), importance, mean_mps)?;
    let mut moment = tube_moment(&support.pole, length, pressure);
    for arm in &support.arms {
        let p = gust_pressure(drag(arm.tube.section), importance, mean_mps)?;
        // Across the arm: its area at the height of its middle.
        let run = libm::hypot(arm.reach_m, arm.rise_m);
        let mean = 0.5 * (arm.tube.base_diameter_m + arm.tube.tip_diameter_m);
        moment += p * mean * run * (arm.attachment_height_m + 0.5 * arm.rise_m);
        let top = arm.attachment_height_m + arm.rise_m;
        for luminaire in &arm.luminaires {
            let p = gust_pressure(luminaire.drag_coefficient, importance, mean_mps)?;
            moment += p * luminaire.drag_area_m2 * top;
        }
    }
    let section = properties_at(&support.pole, 0.0);
    let modulus = section.second_moment_m4 / (0.5 * support.pole.base_diameter_m);
    let stress = moment / positive("section modulus of the foot, m^3", modulus)?;
    Ok(FatigueDetail::new(moment, [stress, stress], FOOT_PA))
}

/// The cap screws of an arm under the natural gust across it. While the clamp keeps the flange closed a screw sees the share
/// k_b/(k_b + k_c) of the load on it; once it has let go, all of it.
///
/// # Errors
/// A size or speed without meaning; fewer than three screws.
pub fn arm_screw_fatigue(
    arm: &Arm,
    importance: f64,
    mean_mps: f64,
) -> Result<FatigueDetail, InputError> {
    let p = gust_pressure(drag(arm.tube.section), importance, mean_mps)?;
    let length = libm::hypot(arm.reach_m, arm.rise_m);
    let mut moment = tube_moment(&arm.tube, length, p);
    for luminaire in &arm.luminaires {
        let p = gust_pressure(luminaire.drag_coefficient, importance, mean_mps)?;
        moment += p * luminaire.drag_area_m2 * (length + luminaire.lever_m);
    }
    let joint = &arm.joint;
    let screw = &joint.screw;
    let load = group_tension(moment, joint.screws, joint.circle_m)?;
    let [kb, kc] = screw_stiffnesses(joint)?;
    let all = load / positive("stress area of a screw, m^2", screw.stress_area_m2)?;
    Ok(FatigueDetail::new(
        moment,
        [all * kb / (kb + kc), all],
        [FASTENER_PA; 2],
    ))
}

/// Clamp of a bolt after so many days, N: F(t) = F_0 (1 - r ln(1 + t/t_0)/ln(1 + t_5/t_0)), r the loss in five days. It does
/// not fall below zero.
///
/// # Errors
/// A clamp or time below zero, a loss outside 0 to below 1.
pub fn clamp_after(first_clamp_n: f64, five_day_loss: f64, days: f64) -> Result<f64, InputError> {
    let f = not_negative("clamp as left by the wrench, N", first_clamp_n)?;
    let r = within(
        "loss by relaxation",
        five_day_loss,
        (0.0..1.0).contains(&five_day_loss),
        "0 to below 1",
    )?;
    let t = not_negative("time since tightening, days", days)?;
    let grown = libm::log1p(t / START_DAYS) / libm::log1p(RELAXED_DAYS / START_DAYS);
    Ok((f * (1.0 - r * grown)).max(0.0))
}

/// When to read the torque again.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Recheck {
    /// The service wind opens or moves the joint: the clamp walks away and no interval helps. The torque must rise.
    Walks,
    /// First after a week, when most of the relaxation is over, then at this interval, days.
    Every(f64),
}

/// The rule of the re-torque interval: the clamp that is left at the end of an interval must still be above the least clamp
/// that the design wind needs; at most `longest` days (the agency's interval), halved until it holds.
///
/// # Errors
/// As [`clamp_after`].
pub fn recheck(
    first_clamp_n: f64,
    five_day_loss: f64,
    least_clamp_n: f64,
    gaps_or_slips: bool,
    longest_days: f64,
) -> Result<Recheck, InputError> {
    let least = not_negative("least clamp in the design wind, N", least_clamp_n)?;
    let mut days = positive("longest interval, days", longest_days)?;
    if gaps_or_slips {
        return Ok(Recheck::Walks);
    }
    while clamp_after(first_clamp_n, five_day_loss, days)? < least {
        days *= 0.5;
        if days < RELAXED_DAYS {
            return Ok(Recheck::Walks);
        }
    }
    Ok(Recheck::Every(days))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, wanted: f64, tolerance: f64) {
        assert!((found - wanted).abs() <= tolerance, "{found} for {wanted}");
    }

    #[test]
    fn pressures_by_hand() {
        // 250 x 1.1 x 1 = 275 Pa (5.7 psf); at 10 m/s four times that.
        near(gust_pressure(1.1, 1.0, 5.0).unwrap(), 275.0, 1e-12);
        near(gust_pressure(1.1, 1.0, 10.0).unwrap(), 1100.0, 1e-12);
        // 1 Hz x 0.2 m / 0.18 = 1.111 m/s: too slow to matter; 5 Hz: 5.556 m/s.
        near(
            critical_speed(Section::Round, 1.0, 0.2).unwrap(),
            0.2 / 0.18,
            1e-15,
        );
        assert_eq!(vortex_pressure(0.2 / 0.18, 0.0, 1.1, 1.0).unwrap(), None);
        let p = vortex_pressure(1.0 / 0.18, 0.0, 1.1, 1.0).unwrap().unwrap();
        near(
            p,
            0.613 * (1.0_f64 / 0.18) * (1.0 / 0.18) * 1.1 / 0.005,
            1e-9,
        );
        // A tapered pole does not shed in step.
        assert_eq!(vortex_pressure(1.0 / 0.18, 0.0118, 1.1, 1.0).unwrap(), None);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(gust_pressure(bad, 1.0, 5.0).is_err(), "{bad}");
            assert!(critical_speed(Section::Round, 1.0, bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_clamp_relaxes_with_the_logarithm_of_time() {
        near(clamp_after(1000.0, 0.065, 0.0).unwrap(), 1000.0, 1e-12);
        near(clamp_after(1000.0, 0.065, 5.0).unwrap(), 935.0, 1e-9);
        // Twenty years: ln(1 + 175 320)/ln(121) = 2.5177 times the loss of five days.
        near(
            clamp_after(1000.0, 0.065, 7305.0).unwrap(),
            1000.0 - 65.0 * 2.51770,
            0.01,
        );
        assert_eq!(clamp_after(1000.0, 0.9, 1e9).unwrap(), 0.0);
        assert!(clamp_after(1000.0, 1.0, 1.0).is_err() && clamp_after(1000.0, 0.1, -1.0).is_err());
    }

    #[test]
    fn the_interval_follows_from_what_the_wind_needs() {
        assert_eq!(
            recheck(1000.0, 0.065, 500.0, false, 731.0).unwrap(),
            Recheck::Every(731.0)
        );
        assert_eq!(
            recheck(1000.0, 0.065, 500.0, true, 731.0).unwrap(),
            Recheck::Walks
        );
        assert_eq!(
            recheck(1000.0, 0.065, 990.0, false, 731.0).unwrap(),
            Recheck::Walks
        );
        // 900 N are reached after exp(0.1/0.065 x ln 121) - 1 hours = 1598 h = 66.6 days: 731/16 = 45.7 days.
        assert_eq!(
            recheck(1000.0, 0.065, 900.0, false, 731.0).unwrap(),
            Recheck::Every(731.0 / 16.0)
        );
    }

    #[test]
    fn verdicts_compare_ranges() {
        let v = |s: [f64; 2], t: [f64; 2]| FatigueDetail::new(1.0, s, t).verdict;
        assert_eq!(v([1.0, 2.0], [2.0, 3.0]), FatigueVerdict::Endures);
        assert_eq!(v([1.0, 2.5], [2.0, 3.0]), FatigueVerdict::Marginal);
        assert_eq!(v([3.1, 4.0], [2.0, 3.0]), FatigueVerdict::Cracks);
    }
}
