//! What bounds the torque without an impact: wind from below, bolts and plate washers from above.
//!
//! ```text
//! proof:   T/(K d) <= 0.9 F_y A_s        the clamp that the wrench leaves, before it relaxes
//! washer:  T/(K d) <= t^2 W F_y/(1.5 b)  the strip over the notch
//! ```
//!
//! The wind's limits are ends of the torques at which the slow push of the base under wind meets a grade: service and strength
//! move the window, survival is told beside it. More clamp brings a grade nearer, until a bolt near its yield load yields.

use giveway_impact::ImpactError;
use giveway_mechanics::clamp::{preload_from_torque, tensile_load, washer_strip_load};
use giveway_mechanics::erection::PROOF_SHARE;
use giveway_mechanics::retention::{Event, Grade, Graded, Retention};
use giveway_results::grades::{event_words, wind_name};
use giveway_scenario::model::Scenario;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::StudyError;
use crate::supports::Supports;

/// What a torque is limited by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum LimitKind {
    /// A grade of the check in the wind: the torque from which it is met, or, as a limit from above, up to which.
    Wind {
        /// The grade.
        grade: Grade,
        /// Its wind, 3 s gust at 10 m, m/s.
        wind_mps: f64,
        /// What ends the grade below that torque, or at every torque.
        by: Option<Event>,
        /// Bolt at which it ends, from 1; none where it is no single bolt.
        bolt: Option<usize>,
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

/// The torques of a grade that were looked at first, between the least and the largest.
const LOOKS: i32 = 6;

/// What the wind limits of one grade.
#[derive(Debug, Clone)]
pub(super) struct WindLimits {
    /// The torque from which the grade is met.
    pub from: Limit,
    /// The torque up to which it is met, where one at which the bolts are stretched further meets it no more.
    pub upto: Option<Limit>,
}

/// The limits of the wind for these grades, to the accuracy (a ratio minus one), from the side that holds; torques from
/// `least_nm` to `most_nm` are tried. `tightened` is the scenario at a torque.
pub(super) fn of_the_wind<const N: usize>(
    grades: [Grade; N],
    tightened: &dyn Fn(f64) -> Result<Scenario, StudyError>,
    supports: &Supports,
    [least_nm, most_nm]: [f64; 2],
    accuracy: f64,
) -> Result<[WindLimits; N], StudyError> {
    let at = |torque: f64| -> Result<Option<Retention>, StudyError> {
        match supports.prepare(&tightened(torque)?) {
            Ok(prepared) => Ok(prepared.retention()?),
            // Too little clamp for the dead load alone.
            Err(ImpactError::CannotStand(_)) => Ok(None),
            Err(error) => Err(error.into()),
        }
    };
    // One push answers for every grade.
    let mut looks: Vec<(f64, Option<Retention>)> = Vec::new();
    for i in 0..=LOOKS {
        let torque = if i == LOOKS {
            most_nm
        } else {
            least_nm * libm::pow(most_nm / least_nm, f64::from(i) / f64::from(LOOKS))
        };
        looks.push((torque, at(torque)?));
    }
    let mut found = Vec::new();
    for grade in grades {
        let told = |r: &Option<Retention>| r.as_ref().map(|r| *r.graded(grade));
        let holds = |r: &Option<Retention>| told(r).is_some_and(|g| g.holds);
        // The edge between a torque that holds and one that does not: the one that holds, and what ends the grade beyond.
        let edge = |inside: usize, outside: usize| -> Result<(f64, Option<Graded>), StudyError> {
            let (mut good, mut bad) = (looks[inside].0, looks[outside].0);
            let mut ends = told(&looks[outside].1);
            while good.max(bad) > good.min(bad) * (1.0 + accuracy) {
                let middle = (good * bad).sqrt();
                let r = at(middle)?;
                if holds(&r) {
                    good = middle;
                } else {
                    bad = middle;
                    ends = told(&r);
                }
            }
            Ok((good, ends))
        };
        let wind_mps = looks
            .iter()
            .find_map(|(_, r)| told(r))
            .map_or(0.0, |g| g.wind_mps);
        let limit =
            |torque_nm, ends, sentence| wind_limit(grade, wind_mps, torque_nm, ends, sentence);
        let Some(first) = looks.iter().position(|(_, r)| holds(r)) else {
            let ends = looks.last().and_then(|(_, r)| told(r));
            let how = format!("At every torque up to {most_nm:.0} N.m");
            found.push(WindLimits {
                from: limit(None, ends, how),
                upto: None,
            });
            continue;
        };
        let (from, ends) = if first == 0 {
            (least_nm, None)
        } else {
            edge(first, first - 1)?
        };
        let upto = match (first..looks.len()).find(|&i| !holds(&looks[i].1)) {
            None => None,
            Some(i) => {
                let (torque, ends) = edge(i - 1, i)?;
                Some(limit(Some(torque), ends, format!("Above {torque:.0} N.m")))
            }
        };
        found.push(WindLimits {
            from: limit(Some(from), ends, format!("Below {from:.0} N.m")),
            upto,
        });
    }
    found
        .try_into()
        .map_err(|_| StudyError::Window("a grade of the wind is missing".into()))
}

/// From which torque a base stands in the wind.
pub(super) struct StandsFrom {
    /// The torque, N.m; none: at no torque up to the largest.
    pub torque_nm: Option<f64>,
    /// What ends the grade that asks for most, just below; none where nothing lies below.
    pub ends: Option<Graded>,
}

/// The torque from which service and strength are met, where the least margin of the two is zero: found outward from a
/// start by the line through two margins, told from the side that stands, to the accuracy (a ratio minus one).
pub(super) fn stands_from(
    tightened: &dyn Fn(f64) -> Result<Scenario, StudyError>,
    supports: &Supports,
    [least, most]: [f64; 2],
    start: f64,
    accuracy: f64,
) -> Result<StandsFrom, StudyError> {
    let beside = 1.0 + accuracy / 3.0;
    // Torque and margin on both sides.
    let (mut low, mut high): (Option<[f64; 2]>, Option<[f64; 2]>) = (None, None);
    let mut ends = None;
    let mut torque = start.clamp(least, most);
    for tried in 0.. {
        let (margin, by) = margin_in_wind(tightened(torque)?, supports)?;
        if margin >= 0.0 {
            high = Some([torque, margin]);
            if torque <= least {
                break;
            }
        } else {
            (low, ends) = (Some([torque, margin]), by);
            if torque >= most {
                break;
            }
        }
        torque = match (low, high) {
            (Some([l, _]), Some([h, _])) if h <= l * (1.0 + accuracy) => break,
            (Some([l, below]), Some([h, above])) => {
                let line = l * libm::pow(h / l, below / (below - above));
                // Towards the end that is farther away, so that both close in; halved where the line is of no use.
                let next = if line / l > h / line {
                    line / beside
                } else {
                    line * beside
                };
                let ratio = h / l;
                if tried > 12 {
                    (l * h).sqrt()
                } else if ratio > 1.2 {
                    let inward = ratio.sqrt().sqrt();
                    next.clamp(l * inward, h / inward)
                } else {
                    next.clamp(l * beside, h / beside)
                }
            }
            // The pressure borne grows about as the clamp.
            (None, Some([h, m])) => (h / (1.0 + m).min(3.0) / beside).max(least),
            (Some([l, m]), None) => (l / (1.0 + m).max(0.4) * beside).min(most),
            (None, None) => break,
        };
    }
    Ok(StandsFrom {
        torque_nm: high.map(|h| h[0]),
        ends: ends.filter(|_| low.is_some()),
    })
}

/// The least margin of service and strength, and that grade.
fn margin_in_wind(
    scenario: Scenario,
    supports: &Supports,
) -> Result<(f64, Option<Graded>), StudyError> {
    let retention = match supports.prepare(&scenario) {
        Ok(prepared) => prepared.retention()?,
        // Too little clamp for the dead load alone.
        Err(ImpactError::CannotStand(_)) => None,
        Err(error) => return Err(error.into()),
    };
    let Some(retention) = retention else {
        return Ok((-1.0, None));
    };
    let of = |grade: Grade| {
        let g = *retention.graded(grade);
        let margin = match g.holds {
            true => g.margin.unwrap_or(1.0).max(0.0),
            false => g.margin.unwrap_or(-1.0).min(-1e-6),
        };
        (margin, Some(g))
    };
    let (service, strength) = (of(Grade::Service), of(Grade::Strength));
    Ok(if strength.0 < service.0 {
        strength
    } else {
        service
    })
}

/// The limit from below alone, as one of the grade that asks for most: for comparing designs.
pub(super) fn of_the_wind_briefly(
    tightened: &dyn Fn(f64) -> Result<Scenario, StudyError>,
    supports: &Supports,
    range: [f64; 2],
    accuracy: f64,
) -> Result<[WindLimits; 3], StudyError> {
    let [least, most] = range;
    let found = stands_from(tightened, supports, range, 0.1 * most, accuracy)?;
    let asks = found.ends.map_or(Grade::Service, |g| g.grade);
    Ok(Grade::ALL.map(|grade| {
        let torque_nm = if grade == asks {
            found.torque_nm
        } else {
            Some(least)
        };
        let ends = found.ends.filter(|_| grade == asks);
        let how = match torque_nm {
            Some(torque) => format!("Below {torque:.0} N.m"),
            None => format!("At every torque up to {most:.0} N.m"),
        };
        let wind_mps = ends.map_or(0.0, |g| g.wind_mps);
        WindLimits {
            from: wind_limit(grade, wind_mps, torque_nm, ends, how),
            upto: None,
        }
    }))
}

/// A limit of the wind; `how` begins its sentence.
fn wind_limit(
    grade: Grade,
    wind_mps: f64,
    torque_nm: Option<f64>,
    ends: Option<Graded>,
    how: String,
) -> Limit {
    let wind = format!("the {} of {wind_mps:.0} m/s", wind_name(grade));
    let sentence = match (ends.and_then(|g| g.by.map(|by| (g, by))), torque_nm) {
        (Some((g, by)), _) => format!(
            "{how} {} in {wind} (blowing towards {:.0} degrees).",
            event_words(by, g.bolt),
            g.azimuth_rad.to_degrees()
        ),
        (None, Some(torque)) if wind_mps > 0.0 => {
            format!("From {torque:.0} N.m on the base carries its dead load and {wind}.")
        }
        (None, _) => format!("{how} the clamp does not carry the dead load."),
    };
    Limit {
        kind: LimitKind::Wind {
            grade,
            wind_mps,
            by: ends.and_then(|g| g.by),
            bolt: ends.and_then(|g| g.bolt),
            wind_azimuth_rad: ends.map_or(0.0, |g| g.azimuth_rad),
        },
        torque_nm,
        sentence,
    }
}
