//! What bounds the torque without an impact: wind from below, bolts and plate washers from above.
//!
//! ```text
//! proof:   T/(K d) <= 0.9 F_y A_s        the clamp that the wrench leaves, before it relaxes
//! washer:  T/(K d) <= t^2 W F_y/(1.5 b)  the strip over the notch
//! ```
//!
//! The wind's limits are roots of the static check of the clamped base; both its margins rise with the clamp.

use giveway_impact::ImpactError;
use giveway_mechanics::clamp::{preload_from_torque, tensile_load, washer_strip_load};
use giveway_mechanics::erection::PROOF_SHARE;
use giveway_mechanics::retention::Retention;
use giveway_scenario::model::Scenario;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::StudyError;
use crate::supports::Supports;

/// What a torque is limited by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum LimitKind {
    /// A bolt gaps in the design wind.
    Gap {
        /// Number of the bolt that gaps first, from 1.
        bolt: usize,
        /// The way the wind blows then, rad.
        wind_azimuth_rad: f64,
    },
    /// The clamped faces slip in the design wind.
    Slip {
        /// The way the wind blows then, rad.
        wind_azimuth_rad: f64,
    },
    /// A bolt reaches its proof load when it is tightened.
    Proof,
    /// The plate washers begin to bend into the notches.
    WasherBending,
    /// A test fails.
    Impact {
        /// Its place among the tests, from 0.
        case: usize,
    },
}

/// One limit of the torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Limit {
    /// What limits.
    #[serde(flatten)]
    pub kind: LimitKind,
    /// Torque, N.m; none where no torque up to the bolt's yield load satisfies it.
    pub torque_nm: Option<f64>,
    /// One sentence.
    pub sentence: String,
}

/// The scenario with every slip bolt tightened to a torque. Torques found on site are replaced.
///
/// # Errors
/// A torque, nut factor, relaxation or bolt without meaning.
pub fn with_torque(scenario: &Scenario, torque_nm: f64) -> Result<Scenario, StudyError> {
    let mut s = scenario.clone();
    let base = &mut s.base;
    base.torque_nm = Some(torque_nm);
    base.preload_n = preload_from_torque(
        torque_nm,
        base.nut_factor,
        base.bolt.diameter_m,
        base.relaxation,
    )?;
    s.as_found.torques_nm.clear();
    Ok(s)
}

/// Nut factor of the bolts as they are: found on site, else the design's.
pub(super) fn nut_factor(scenario: &Scenario) -> f64 {
    let found = scenario.as_found.threads.nut_factor();
    found.unwrap_or(scenario.base.nut_factor)
}

/// Torque at which the wrench leaves a clamp, N.m: T = K d F.
fn torque_of(scenario: &Scenario, clamp_n: f64) -> f64 {
    nut_factor(scenario) * scenario.base.bolt.diameter_m * clamp_n
}

/// Torque at which a bolt reaches its yield load while it is tightened, N.m: nobody tightens beyond it.
pub(super) fn yield_torque(scenario: &Scenario) -> Result<f64, StudyError> {
    let bolt = &scenario.base.bolt;
    let load = tensile_load(bolt.yield_pa, bolt.stress_area_m2)?;
    Ok(torque_of(scenario, load))
}

/// The limits of bolts and plate washers.
pub(super) fn of_the_parts(scenario: &Scenario) -> Result<[Limit; 2], StudyError> {
    let base = &scenario.base;
    let proof_n = PROOF_SHARE * tensile_load(base.bolt.yield_pa, base.bolt.stress_area_m2)?;
    let thickness = scenario.as_found.plate_washer_m;
    let strip_n = washer_strip_load(
        thickness.unwrap_or(base.plate_washer_m),
        base.plate_washer_diameter_m - base.bolt.diameter_m,
        base.notch_span_m,
        base.plate_washer_yield_pa,
    )?;
    let limit = |kind, clamp_n: f64, words: &str| {
        let torque = torque_of(scenario, clamp_n);
        let kn = clamp_n / 1e3;
        Limit {
            kind,
            torque_nm: Some(torque),
            sentence: format!("Above {torque:.0} N.m ({kn:.0} kN a bolt) {words}."),
        }
    };
    Ok([
        limit(
            LimitKind::Proof,
            proof_n,
            "the bolts are tightened beyond their proof load",
        ),
        limit(
            LimitKind::WasherBending,
            strip_n,
            "the plate washers bend into the notches",
        ),
    ])
}

/// The limits of the design wind, to the accuracy (a ratio minus one), from the side that holds; torques from `least_nm` to
/// `most_nm` are tried. `tightened` is the scenario at a torque.
pub(super) fn of_the_wind(
    tightened: &dyn Fn(f64) -> Result<Scenario, StudyError>,
    supports: &Supports,
    [least_nm, most_nm]: [f64; 2],
    accuracy: f64,
) -> Result<[Limit; 2], StudyError> {
    let at = |torque: f64| -> Result<Option<Retention>, StudyError> {
        match supports.prepare(&tightened(torque)?) {
            Ok(prepared) => Ok(prepared.retention()?),
            // Too little clamp for the dead load alone.
            Err(ImpactError::CannotStand(_)) => Ok(None),
            Err(error) => Err(error.into()),
        }
    };
    let least =
        |margin: &dyn Fn(&Retention) -> f64| -> Result<Option<(f64, Retention)>, StudyError> {
            let Some(top) = at(most_nm)?.filter(|r| margin(r) > 0.0) else {
                return Ok(None);
            };
            let (mut low, mut high) = (least_nm, (most_nm, top));
            if let Some(bottom) = at(least_nm)?.filter(|r| margin(r) > 0.0) {
                return Ok(Some((least_nm, bottom)));
            }
            while high.0 > low * (1.0 + accuracy) {
                let middle = (low * high.0).sqrt();
                match at(middle)? {
                    Some(r) if margin(&r) > 0.0 => high = (middle, r),
                    _ => low = middle,
                }
            }
            Ok(Some(high))
        };
    let gap = least(&|r| least_gap(r).1)?;
    let slip = least(&|r| r.slip_margin.unwrap_or(f64::INFINITY))?;
    Ok([gap_limit(gap, most_nm), slip_limit(slip, most_nm)])
}

/// The bolt that gaps first (its place in the list) and its margin.
fn least_gap(r: &Retention) -> (usize, f64) {
    r.bolts
        .iter()
        .enumerate()
        .map(|(i, b)| (i, b.gap_margin))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((0, 0.0))
}

fn gap_limit(found: Option<(f64, Retention)>, most_nm: f64) -> Limit {
    match found {
        Some((torque, r)) => {
            let first = &r.bolts[least_gap(&r).0];
            let degrees = first.wind_azimuth_rad.to_degrees();
            Limit {
                kind: LimitKind::Gap {
                    bolt: first.number,
                    wind_azimuth_rad: first.wind_azimuth_rad,
                },
                torque_nm: Some(torque),
                sentence: format!(
                    "Below {torque:.0} N.m bolt {} gaps in the design wind (blowing towards {degrees:.0} degrees).",
                    first.number
                ),
            }
        }
        None => Limit {
            kind: LimitKind::Gap {
                bolt: 0,
                wind_azimuth_rad: 0.0,
            },
            torque_nm: None,
            sentence: format!(
                "A bolt gaps in the design wind at every torque up to {most_nm:.0} N.m."
            ),
        },
    }
}

fn slip_limit(found: Option<(f64, Retention)>, most_nm: f64) -> Limit {
    let wind_azimuth_rad = found
        .as_ref()
        .and_then(|(_, r)| r.slip_azimuth_rad)
        .unwrap_or(0.0);
    let degrees = wind_azimuth_rad.to_degrees();
    Limit {
        kind: LimitKind::Slip { wind_azimuth_rad },
        torque_nm: found.as_ref().map(|f| f.0),
        sentence: match found {
            Some((torque, _)) => format!(
                "Below {torque:.0} N.m the plates slip in the design wind (blowing towards {degrees:.0} degrees)."
            ),
            None => format!(
                "The plates slip in the design wind at every torque up to {most_nm:.0} N.m."
            ),
        },
    }
}
