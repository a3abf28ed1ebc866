//! Mean and variance of numbers that come one after another.

use crate::beta::student_quantile;
use crate::complete::Complete;
use crate::error::SamplingError;
use crate::interval::{Interval, confidence};

/// Count, mean and variance so far (Welford 1962). The digits depend on the order: push in the order of the
/// run's index. A run without a result, or with one that is not finite, is counted apart and changes nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Running {
    count: u64,
    left_out: u64,
    mean: f64,
    /// Sum of (x - mean)^2.
    squares: f64,
}

impl Running {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in the result of a run; none if it has no such number.
    pub fn push(&mut self, x: impl Into<Option<f64>>) {
        let Some(x) = x.into().filter(|x| x.is_finite()) else {
            self.left_out += 1;
            return;
        };
        // m' = m + (x - m)/n,  S' = S + (x - m)(x - m')
        self.count += 1;
        let before = x - self.mean;
        self.mean += before / self.count as f64;
        self.squares += before * (x - self.mean);
    }

    /// How many finite numbers came.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// How many runs stand behind it, and how many had no number.
    pub fn complete(&self) -> Complete {
        Complete {
            what: "runs",
            used: self.count,
            left_out: self.left_out,
            missing_runs: self.left_out,
        }
    }

    /// Their mean; none without a number.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then_some(self.mean)
    }

    /// Variance, with n - 1 below; none with fewer than two numbers.
    pub fn variance(&self) -> Option<f64> {
        (self.count > 1).then(|| self.squares / (self.count - 1) as f64)
    }

    /// Standard deviation, with n - 1 below; none with fewer than two numbers.
    pub fn standard_deviation(&self) -> Option<f64> {
        self.variance().map(f64::sqrt)
    }

    /// Interval of the mean by Student's distribution: for independent runs, exact for normal results, close for many.
    ///
    /// # Errors
    /// Fewer than two numbers, a confidence outside 0 to 1.
    pub fn mean_interval(&self, level: f64) -> Result<Interval, SamplingError> {
        let level = confidence(level)?;
        let variance = self.variance().ok_or(SamplingError::TooFew {
            what: "runs",
            given: self.count,
            least: 2,
        })?;
        // m +- t s / sqrt n,  t with n - 1 degrees of freedom
        let n = self.count as f64;
        let half = student_quantile(n - 1.0, level) * (variance / n).sqrt();
        Ok(Interval {
            low: self.mean - half,
            high: self.mean + half,
        })
    }
}
