//! The share of the runs beyond a limit, against one swept quantity, and how that estimate settles.
//!
//! The intervals are those of Clopper and Pearson, exact for independent runs; for points of a Sobol' sequence or a Latin
//! hypercube, whose shares scatter less, they are on the safe side.

use giveway_sampling::{clopper_pearson, proportion_trace};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::AnalysisError;
use super::limit::ColumnLimit;
use super::places::{AxisValues, Fixed};
use super::source::{NOWHERE, RowLimits, Source};

/// Confidence of the intervals.
const LEVEL: f64 = 0.95;

/// Shares beyond a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exceedance {
    /// Column of the output.
    pub value: String,
    /// The limit.
    pub limit: ColumnLimit,
    /// Places along.
    pub x: AxisValues,
    /// What is kept at one value.
    pub fixed: Vec<Fixed>,
    /// The points, rising in x.
    pub points: Vec<ExceedancePoint>,
    /// Where the settling is told: the place whose share is nearest to one half, SI.
    pub settling_at: f64,
    /// The estimate there against the number of runs, in the order of the sample.
    pub settling: Vec<Settled>,
    /// Confidence of the intervals.
    pub confidence: f64,
}

/// One place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExceedancePoint {
    /// Where, SI.
    pub x: f64,
    /// Runs with a value.
    pub runs: u64,
    /// Runs without one, which are not in the share.
    pub without_value: u64,
    /// Runs beyond the limit.
    pub beyond: u64,
    /// Runs whose base held.
    pub held: u64,
    /// Share beyond.
    pub share: f64,
    /// Its interval.
    pub interval: [f64; 2],
}

/// An estimate after so many runs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settled {
    /// Runs so far, those without a value not counted.
    pub runs: u64,
    /// Share so far.
    pub share: f64,
    /// Its interval.
    pub interval: [f64; 2],
}

impl Source<'_> {
    pub(super) fn exceedance(
        &self,
        (column, values): (&str, &[f64]),
        x_axis: usize,
        fixed: &[(usize, u32)],
        limits: &RowLimits,
    ) -> Result<Exceedance, AnalysisError> {
        let Some(limit) = limits.shown.clone() else {
            return Err(AnalysisError::NoValue {
                column: column.to_owned(),
                runs: 0,
                failed: 0,
            });
        };
        let what = || format!("share of `{column}` beyond {}", limit.value);
        let fault = |source| AnalysisError::Sampling {
            what: what(),
            source,
        };
        let rows = self.rows_at(fixed);
        let (x, of_x) = self.places(x_axis, &rows)?;
        // Outcomes in the order of the sample, none without a value.
        let mut outcomes: Vec<Vec<Option<bool>>> = vec![Vec::new(); x.values.len()];
        let mut held = vec![0; x.values.len()];
        for (row, place) in rows.iter().zip(&of_x) {
            if *place == NOWHERE {
                continue;
            }
            let (row, place) = (*row as usize, *place as usize);
            let value = values[row];
            outcomes[place].push(self.is_beyond(limits, row, value));
            held[place] += u64::from(self.held.as_ref().is_some_and(|h| h[row]));
        }
        let mut points = Vec::new();
        let mut settling: Option<(f64, usize)> = None;
        for (i, list) in outcomes.iter().enumerate() {
            let runs = list.iter().flatten().count() as u64;
            if runs == 0 {
                continue;
            }
            let beyond = list.iter().flatten().filter(|b| **b).count() as u64;
            let share = beyond as f64 / runs as f64;
            let interval = clopper_pearson(beyond, runs, LEVEL).map_err(fault)?;
            let off = (share - 0.5).abs();
            if settling.is_none_or(|(least, _)| off < least) {
                settling = Some((off, i));
            }
            points.push(ExceedancePoint {
                x: x.values[i],
                runs,
                without_value: list.len() as u64 - runs,
                beyond,
                held: held[i],
                share,
                interval: [interval.low, interval.high],
            });
        }
        let Some((_, place)) = settling else {
            return Err(AnalysisError::NoValue {
                column: column.to_owned(),
                runs: rows.len() as u64,
                failed: rows.iter().filter(|r| self.failed[**r as usize]).count() as u64,
            });
        };
        let trace = proportion_trace(&outcomes[place], LEVEL).map_err(fault)?;
        Ok(Exceedance {
            value: column.to_owned(),
            settling_at: x.values[place],
            x,
            fixed: self.fixed(fixed),
            points,
            settling: trace
                .into_iter()
                .filter(|t| t.complete.used > 0)
                .map(|t| Settled {
                    runs: t.complete.used,
                    share: t.estimate,
                    interval: [t.interval.low, t.interval.high],
                })
                .collect(),
            limit,
            confidence: LEVEL,
        })
    }
}
