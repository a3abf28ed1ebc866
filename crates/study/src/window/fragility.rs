//! The probability that a base of the design fails an impact, against the torque: the fragility curve.
//!
//! At each torque every realisation of the scatter is struck. The share that fails carries its Clopper-Pearson interval; the
//! curve through the shares never falls. How the estimate settles with the number of runs is told for the torque whose
//! share is nearest to one half.

use giveway_sampling::{LevelCount, ProbabilityCurve, Trend, proportion_trace};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::TorqueWindow;
use super::case::{CaseFacts, ImpactCase, trial};
use super::scatter::Scatter;
use crate::error::StudyError;
use crate::supports::Supports;

/// Confidence of the intervals.
const LEVEL: f64 = 0.95;

/// Most torques of a curve.
const MOST_TORQUES: usize = 200;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct FragilityRequest {
    /// Torques, rising, N.m.
    pub torques_nm: Vec<f64>,
    /// Realisations at each.
    pub realisations: u64,
    /// Root of the random numbers.
    pub root: u64,
}

/// One torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FragilityPoint {
    /// Torque, N.m.
    pub torque_nm: f64,
    /// Runs.
    pub runs: u64,
    /// Runs that fail the impact; those that could not be computed or judged count as failing.
    pub failing: u64,
    /// Runs among these that could not be computed or judged.
    pub not_judged: u64,
    /// Runs whose base did not let go.
    pub held: u64,
    /// Share that fails.
    pub share: f64,
    /// Its Clopper-Pearson interval of 95 %.
    pub interval: [f64; 2],
    /// The share on the curve that never falls.
    pub fitted: f64,
    /// The band of the whole curve at 95 %.
    pub band: [f64; 2],
}

/// How an estimate settles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Settling {
    /// Runs so far.
    pub runs: u64,
    /// Share that fails.
    pub share: f64,
    /// Its interval of 95 %.
    pub interval: [f64; 2],
}

/// The curve of one impact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fragility {
    /// The impact.
    pub case: CaseFacts,
    /// Root of the random numbers.
    pub root: u64,
    /// The torques, rising.
    pub points: Vec<FragilityPoint>,
    /// Torque whose settling is told, N.m.
    pub settling_at_nm: f64,
    /// Its estimate against the number of runs.
    pub settling: Vec<Settling>,
}

/// Torques for the curves of a window in equal ratios: from half the least limit of an impact to twice the greatest, within those
/// that were searched.
///
/// # Errors
/// Fewer than 2 or more than 200 torques.
pub fn curve_torques(window: &TorqueWindow, count: usize) -> Result<Vec<f64>, StudyError> {
    if !(2..=MOST_TORQUES).contains(&count) {
        return Err(StudyError::Window(format!(
            "a fragility curve takes 2 to {MOST_TORQUES} torques, not {count}"
        )));
    }
    let [least, most] = window.from_to_nm;
    let ends = window
        .searched
        .iter()
        .filter_map(|s| s.ranges.last().map(|r| r.to_nm));
    let (low, high) = ends.fold((most, least), |(low, high), t| (low.min(t), high.max(t)));
    let from = (0.5 * low).max(least);
    let to = (2.0 * high).min(most).max(2.0 * from);
    let last = (count - 1) as f64;
    Ok((0..count)
        .map(|i| from * libm::pow(to / from, i as f64 / last))
        .collect())
}

/// Computes the curve.
///
/// # Errors
/// Torques that do not rise, no realisation.
pub fn fragility(
    case: &ImpactCase,
    scatter: &Scatter,
    request: &FragilityRequest,
    supports: &Supports,
) -> Result<Fragility, StudyError> {
    let torques = &request.torques_nm;
    if torques.is_empty() || !torques.windows(2).all(|w| w[0] < w[1]) {
        return Err(StudyError::Window(
            "the torques of a curve must rise".into(),
        ));
    }
    let bolts = case.scenario.base.bolt_count;
    let bases = scatter.realisations(bolts, request.realisations, request.root)?;
    supports.prepare(&case.scenario)?;
    // Every run: fails, not judged, held.
    let struck: Vec<[bool; 3]> = torques
        .par_iter()
        .flat_map(|&torque| {
            bases.par_iter().map(move |base| {
                let scenario = base.at(&case.scenario, torque);
                let t = trial(scenario, case.criteria, supports, torque);
                [
                    !t.passes,
                    t.reason.is_some(),
                    t.ending == Some(giveway_impact::outcome::Ending::Held),
                ]
            })
        })
        .collect();
    let at = |i: usize| &struck[i * bases.len()..(i + 1) * bases.len()];
    let count = |i: usize, k: usize| at(i).iter().filter(|s| s[k]).count() as u64;
    let counts: Vec<LevelCount> = torques
        .iter()
        .enumerate()
        .map(|(i, &torque)| LevelCount {
            at: torque,
            exceeded: count(i, 0),
            runs: request.realisations,
        })
        .collect();
    let curve = ProbabilityCurve::new(&counts, Trend::Rising, LEVEL)?;
    let points: Vec<FragilityPoint> = curve
        .points()
        .iter()
        .enumerate()
        .map(|(i, p)| FragilityPoint {
            torque_nm: p.level.at,
            runs: p.level.runs,
            failing: p.level.exceeded,
            not_judged: count(i, 1),
            held: count(i, 2),
            share: p.share,
            interval: [p.pointwise.low, p.pointwise.high],
            fitted: p.fitted,
            band: [p.band.low, p.band.high],
        })
        .collect();
    let middle = points
        .iter()
        .enumerate()
        .min_by(|a, b| (a.1.share - 0.5).abs().total_cmp(&(b.1.share - 0.5).abs()))
        .map_or(0, |p| p.0);
    let outcomes: Vec<Option<bool>> = at(middle).iter().map(|s| Some(s[0])).collect();
    let settling = proportion_trace(&outcomes, LEVEL)?
        .into_iter()
        .map(|p| Settling {
            runs: p.runs,
            share: p.estimate,
            interval: [p.interval.low, p.interval.high],
        })
        .collect();
    Ok(Fragility {
        case: case.facts.clone(),
        root: request.root,
        settling_at_nm: torques[middle],
        points,
        settling,
    })
}
