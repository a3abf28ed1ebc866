//! The window that most bases of a design share under the scatter of their installation.
//!
//! For each realisation of the scatter its own lower and upper limit is found. With a confidence c the lower end is the
//! c-quantile of the lower limits and the upper end the (1 - c)-quantile of the upper ones; each comes with its interval
//! from order statistics, which says how far the number of realisations carries.

use giveway_sampling::quantile_estimate;
use giveway_scenario::model::Scenario;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::case::{ImpactCase, trial};
use super::limits::{Limit, LimitKind, stands_from};
use super::scatter::{Realisation, Scatter};
use super::{ACCURACY, TorqueWindow};
use crate::error::StudyError;
use crate::supports::Supports;

/// Impacts whose limit lies within this factor of the least one are followed for every realisation.
const NEAR: f64 = 1.5;
/// Step of the search outward from the design's limit, as a ratio.
const STRIDE: f64 = 1.2;
/// Confidence of the intervals of the two ends.
const INTERVAL_LEVEL: f64 = 0.95;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence {
    /// Part of the bases that each end must suit, 0.5 to below 1.
    pub level: f64,
    /// Realisations.
    pub realisations: u64,
    /// Root of the random numbers.
    pub root: u64,
}

/// An end of the window with its interval; an end of the interval is none where the realisations are too few for it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Estimate {
    /// Torque, N.m.
    pub torque_nm: f64,
    /// Interval of 95 %, N.m.
    pub interval_nm: [Option<f64>; 2],
}

/// The window under scatter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ConfidentWindow {
    /// Part of the bases that each end suits.
    pub level: f64,
    /// Realisations.
    pub realisations: u64,
    /// Root of the random numbers.
    pub root: u64,
    /// Least and largest torque, N.m; none: there is no window at this confidence.
    pub window_nm: Option<[f64; 2]>,
    /// The lower end; none where some base in `1 - level` of them does not stand at any torque.
    pub lower: Option<Estimate>,
    /// The upper end; none where some base in `1 - level` of them fails at every torque.
    pub upper: Option<Estimate>,
    /// Lower limit of each realisation in order, N.m; none: at no torque.
    pub lower_nm: Vec<Option<f64>>,
    /// Upper limit of each realisation in order, N.m; none: at no torque.
    pub upper_nm: Vec<Option<f64>>,
    /// Places of the impacts that were followed.
    pub followed: Vec<usize>,
    /// One sentence.
    pub sentence: String,
}

/// Computes the window under scatter from that of the design.
///
/// # Errors
/// A level outside 0.5 to 1, no realisation, a design that cannot be made ready.
pub fn confident_window(
    design: &Scenario,
    cases: &[ImpactCase],
    of_design: &TorqueWindow,
    scatter: &Scatter,
    asked: Confidence,
    supports: &Supports,
) -> Result<ConfidentWindow, StudyError> {
    if !(asked.level >= 0.5 && asked.level < 1.0) {
        return Err(StudyError::Window(format!(
            "a confidence of {} is not between 0.5 and 1",
            asked.level
        )));
    }
    let bases = scatter.realisations(design.base.bolt_count, asked.realisations, asked.root)?;
    let followed = near(&of_design.limits, of_design.from_to_nm[1]);
    let limits: Vec<(Option<f64>, Option<f64>)> = bases
        .par_iter()
        .map(|base| {
            let one = OneBase {
                base,
                design,
                of_design,
                supports,
            };
            Ok((one.lower()?, one.upper(cases, &followed)))
        })
        .collect::<Result<_, StudyError>>()?;
    let (lower_nm, upper_nm): (Vec<_>, Vec<_>) = limits.into_iter().unzip();
    // A base that stands at no torque asks for any; one that fails at every torque allows none.
    let lower = end(&lower_nm, f64::INFINITY, asked.level)?;
    let upper = end(&upper_nm, 0.0, 1.0 - asked.level)?;
    let window_nm = match (lower, upper) {
        (Some(l), Some(u)) if l.torque_nm <= u.torque_nm => Some([l.torque_nm, u.torque_nm]),
        _ => None,
    };
    Ok(ConfidentWindow {
        level: asked.level,
        realisations: asked.realisations,
        root: asked.root,
        sentence: sentence(asked.level, window_nm, lower, upper),
        window_nm,
        lower,
        upper,
        lower_nm,
        upper_nm,
        followed,
    })
}

/// Places of the impacts whose limit lies near the least one.
fn near(limits: &[Limit], most_nm: f64) -> Vec<usize> {
    let impacts: Vec<(usize, f64)> = limits
        .iter()
        .filter_map(|l| match l.kind {
            LimitKind::Impact { case } => Some((case, l.torque_nm.unwrap_or(0.0))),
            _ => None,
        })
        .collect();
    let least = impacts.iter().map(|i| i.1).fold(most_nm, f64::min);
    impacts
        .into_iter()
        .filter(|(_, torque)| *torque <= NEAR * least)
        .map(|i| i.0)
        .collect()
}

/// One realisation.
struct OneBase<'a> {
    base: &'a Realisation,
    design: &'a Scenario,
    of_design: &'a TorqueWindow,
    supports: &'a Supports,
}

impl OneBase<'_> {
    /// The torque from which this base stands in the wind, by service and strength, found outward from the design's limit.
    fn lower(&self) -> Result<Option<f64>, StudyError> {
        let limits = self.of_design.limits.iter().take(2);
        let start = limits.filter_map(|l| l.torque_nm).fold(0.0, f64::max);
        let tightened = |torque| self.base.at(self.design, torque);
        let range = self.of_design.from_to_nm;
        let found = stands_from(&tightened, self.supports, range, start, 0.1 * ACCURACY)?;
        Ok(found.torque_nm)
    }

    /// The torque up to which it passes the impacts and its parts bear the clamp.
    fn upper(&self, cases: &[ImpactCase], followed: &[usize]) -> Option<f64> {
        let ratio = self.base.largest_clamp_ratio(self.design);
        let limits = &self.of_design.limits;
        // The first two limits bound from below, the others from above.
        let parts = limits
            .iter()
            .skip(2)
            .filter(|l| !matches!(l.kind, LimitKind::Impact { .. }))
            .filter_map(|l| l.torque_nm)
            .map(|torque| torque / ratio)
            .fold(self.of_design.from_to_nm[1], f64::min);
        followed.iter().try_fold(parts, |most, &i| {
            // Beyond the least limit so far nothing needs to be known.
            self.impact(&cases[i], most)
        })
    }

    /// The largest torque up to `most` that passes an impact, found outward from there or from the design's limit.
    fn impact(&self, case: &ImpactCase, most: f64) -> Option<f64> {
        let passes = |torque: f64| {
            let scenario = self.base.at(&case.scenario, torque);
            trial(scenario, case.criteria, self.supports, torque).passes
        };
        if passes(most) {
            return Some(most);
        }
        let least = self.of_design.from_to_nm[0];
        let (mut low, mut high) = (most / STRIDE, most);
        while !passes(low) {
            high = low;
            low /= STRIDE;
            if low < least {
                return None;
            }
        }
        while high > low * (1.0 + ACCURACY) {
            let middle = (low * high).sqrt();
            if passes(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(low)
    }
}

/// The quantile of limits; an absent one counts as `absent`. None where the quantile itself is absent.
fn end(limits: &[Option<f64>], absent: f64, p: f64) -> Result<Option<Estimate>, StudyError> {
    let mut rising: Vec<f64> = limits.iter().filter_map(|l| *l).collect();
    rising.sort_by(f64::total_cmp);
    let missing = limits.len() - rising.len();
    // The quantile among all, with the absent ones at the end where they belong.
    let place = p * (limits.len().max(1) - 1) as f64;
    let below = if absent == 0.0 { missing as f64 } else { 0.0 };
    if rising.is_empty() || place < below || place > below + (rising.len() - 1) as f64 {
        return Ok(None);
    }
    let within = if rising.len() == 1 {
        0.5
    } else {
        (place - below) / (rising.len() - 1) as f64
    };
    let found = quantile_estimate(&rising, within, INTERVAL_LEVEL)?;
    Ok(Some(Estimate {
        torque_nm: found.value,
        interval_nm: [found.low, found.high],
    }))
}

fn sentence(
    level: f64,
    window: Option<[f64; 2]>,
    lower: Option<Estimate>,
    upper: Option<Estimate>,
) -> String {
    let percent = level * 100.0;
    match window {
        Some([from, to]) => format!(
            "Between {from:.0} and {to:.0} N.m {percent:.0} % of the bases stand in the wind and {percent:.0} % of them \
             pass the impacts."
        ),
        None => {
            let stand = lower.map_or_else(
                || "some stand at no torque".to_owned(),
                |e| format!("they stand from {:.0} N.m", e.torque_nm),
            );
            let pass = upper.map_or_else(
                || "some fail at every torque".to_owned(),
                |e| format!("pass up to {:.0} N.m", e.torque_nm),
            );
            format!("No torque suits {percent:.0} % of the bases at both ends: {stand}, {pass}.")
        }
    }
}
