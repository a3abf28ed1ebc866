//! Which drawn quantities matter: elementary effects along trajectories, shares of the variance from crossed samples.
//!
//! The estimators and their bootstrap are those of `giveway_sampling`; this module brings the rows of the table into the
//! order of the design, a run without a value being none.

use giveway_sampling::{Crossed, Interval, MonteCarlo, Resampling, SamplingError, Trajectories};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::AnalysisError;
use super::layout::Role;
use super::places::Fixed;
use super::source::{NOWHERE, Source};

/// Levels of trajectories and the edge that they keep from 0 and 1, as the plan draws them.
pub(crate) const LEVELS: u32 = 4;
/// See [`LEVELS`].
pub(crate) const EDGE: f64 = 0.01;
/// Root of the bootstrap's draws.
const BOOTSTRAP_ROOT: u64 = 1;

/// Elementary effects on one output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Screening {
    /// Column of the output.
    pub value: String,
    /// What is kept at one value.
    pub fixed: Vec<Fixed>,
    /// The drawn quantities, the one that matters most first.
    pub factors: Vec<ScreeningFactor>,
    /// How much of the sample stands behind it.
    pub complete: String,
    /// Trajectories.
    pub trajectories: u64,
    /// Confidence of the intervals.
    pub confidence: f64,
}

/// One drawn quantity; in units of the output per run through its whole distribution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScreeningFactor {
    /// Column of the table.
    pub column: String,
    /// Mean effect, mu.
    pub mean: f64,
    /// Mean of the magnitudes, mu*.
    pub mean_absolute: f64,
    /// Its bootstrap interval.
    pub mean_absolute_interval: [f64; 2],
    /// Standard deviation, sigma.
    pub deviation: f64,
    /// Its bootstrap interval.
    pub deviation_interval: [f64; 2],
    /// Effects used.
    pub used: u64,
}

/// Shares of the variance of one output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Indices {
    /// Column of the output.
    pub value: String,
    /// What is kept at one value.
    pub fixed: Vec<Fixed>,
    /// Mean of the output.
    pub mean: f64,
    /// Its variance.
    pub variance: f64,
    /// The drawn quantities, the one that matters most first.
    pub factors: Vec<IndicesFactor>,
    /// How much of the sample stands behind it.
    pub complete: String,
    /// Confidence of the intervals.
    pub confidence: f64,
}

/// One drawn quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IndicesFactor {
    /// Column of the table.
    pub column: String,
    /// First-order index.
    pub first: f64,
    /// Its bootstrap interval.
    pub first_interval: [f64; 2],
    /// Total index.
    pub total: f64,
    /// Its bootstrap interval.
    pub total_interval: [f64; 2],
}

fn ends(i: Interval) -> [f64; 2] {
    [i.low, i.high]
}

impl Source<'_> {
    /// Columns of the drawn quantities.
    fn factors(&self) -> Vec<&str> {
        (self.layout.axes.iter())
            .filter(|a| a.role == Role::Drawn)
            .map(|a| a.column.as_str())
            .collect()
    }

    /// Results in the order of the design, one a point.
    fn by_point(&self, values: &[f64], fixed: &[(usize, u32)], size: usize) -> Vec<Option<f64>> {
        let mut results = vec![None; size];
        for row in self.rows_at(fixed) {
            let (point, value) = (self.points[row as usize], values[row as usize]);
            if point != NOWHERE && (point as usize) < size && !value.is_nan() {
                results[point as usize] = Some(value);
            }
        }
        results
    }

    /// Points of the sample: runs of the plan over the places of everything that is not drawn.
    pub(super) fn sample_size(&self) -> u64 {
        let levels = self.axes.iter().zip(&self.layout.axes);
        let places: u64 = levels
            .filter(|(_, info)| info.role != Role::Drawn)
            .map(|(axis, _)| axis.levels().max(1) as u64)
            .product();
        self.study.file.card.planned_rows / places.max(1)
    }

    /// Elementary effects on an output, at one place of the rest.
    pub(super) fn screening(
        &self,
        (column, values): (&str, &[f64]),
        fixed: &[(usize, u32)],
        seed: u64,
    ) -> Result<Screening, AnalysisError> {
        let fault = |source| AnalysisError::Sampling {
            what: format!("screening of `{column}`"),
            source,
        };
        let names = self.factors();
        let count = self.sample_size() / (names.len() as u64 + 1);
        let resampling = Resampling::usual(BOOTSTRAP_ROOT);
        let effects = (|| {
            let design = Trajectories::new(names.len(), count, LEVELS, seed)?.with_edge(EDGE)?;
            let size = count as usize * (names.len() + 1);
            design.effects(&self.by_point(values, fixed, size), &resampling)
        })()
        .map_err(fault)?;
        let mut factors: Vec<ScreeningFactor> = names
            .iter()
            .zip(&effects.factors)
            .map(|(name, e)| ScreeningFactor {
                column: (*name).to_owned(),
                mean: e.mean,
                mean_absolute: e.mean_absolute,
                mean_absolute_interval: ends(e.mean_absolute_interval),
                deviation: e.standard_deviation,
                deviation_interval: ends(e.standard_deviation_interval),
                used: e.used,
            })
            .collect();
        factors.sort_by(|a, b| b.mean_absolute.total_cmp(&a.mean_absolute));
        Ok(Screening {
            value: column.to_owned(),
            fixed: self.fixed(fixed),
            factors,
            complete: effects.complete.to_string(),
            trajectories: count,
            confidence: resampling.confidence,
        })
    }

    /// Shares of the variance of an output, at one place of the rest.
    pub(super) fn indices(
        &self,
        (column, values): (&str, &[f64]),
        fixed: &[(usize, u32)],
    ) -> Result<Indices, AnalysisError> {
        let names = self.factors();
        let rows = self.sample_size() / (names.len() as u64 + 2);
        let resampling = Resampling::usual(BOOTSTRAP_ROOT);
        let found = (|| {
            // The indices look at the order of the runs alone, not at the points.
            let base = MonteCarlo::new(2 * names.len(), rows, 0)?;
            let size = rows as usize * (names.len() + 2);
            Crossed::new(base, rows)?.indices(&self.by_point(values, fixed, size), &resampling)
        })()
        .map_err(|source: SamplingError| AnalysisError::Sampling {
            what: format!("shares of the variance of `{column}`"),
            source,
        })?;
        let mut factors: Vec<IndicesFactor> = names
            .iter()
            .zip(&found.factors)
            .map(|(name, f)| IndicesFactor {
                column: (*name).to_owned(),
                first: f.first,
                first_interval: ends(f.first_interval),
                total: f.total,
                total_interval: ends(f.total_interval),
            })
            .collect();
        factors.sort_by(|a, b| b.total.total_cmp(&a.total));
        Ok(Indices {
            value: column.to_owned(),
            fixed: self.fixed(fixed),
            mean: found.mean,
            variance: found.variance,
            factors,
            complete: found.complete.to_string(),
            confidence: resampling.confidence,
        })
    }
}
