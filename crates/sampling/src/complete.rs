//! How much of a study stands behind an estimate.

use std::fmt;

use crate::error::SamplingError;

/// How much was used and how much was left out, since a result that it needs is missing.
///
/// What is left out is seldom left out by chance. If runs fail in one corner of the inputs, the estimate holds only for
/// the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Complete {
    /// What is counted, in the plural: "runs", "rows", "effects".
    pub what: &'static str,
    /// How many were used.
    pub used: u64,
    /// How many were left out.
    pub left_out: u64,
    /// How many runs have no result.
    pub missing_runs: u64,
}

impl Complete {
    /// Whether nothing was left out.
    pub fn is_whole(&self) -> bool {
        self.left_out == 0
    }

    /// The share that was used, from 0 to 1; 0 if there was nothing.
    pub fn share(&self) -> f64 {
        match self.used + self.left_out {
            0 => 0.0,
            all => self.used as f64 / all as f64,
        }
    }
}

impl fmt::Display for Complete {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            what,
            used,
            left_out,
            missing_runs,
        } = self;
        let all = used + left_out;
        if self.is_whole() {
            return write!(f, "all {all} {what}");
        }
        write!(f, "{used} of {all} {what}; {left_out} left out")?;
        match (*what, missing_runs) {
            ("runs", _) => write!(f, ", since they have no result"),
            (_, 1) => write!(f, ", since 1 run has no result"),
            (_, missing) => write!(f, ", since {missing} runs have no result"),
        }
    }
}

/// Checks that no result that is there is NaN or infinite, and counts those that are missing.
pub(crate) fn missing(results: &[Option<f64>]) -> Result<u64, SamplingError> {
    let mut missing = 0;
    for (index, result) in results.iter().enumerate() {
        match *result {
            None => missing += 1,
            Some(value) if value.is_finite() => {}
            Some(value) => return Err(SamplingError::Result { index, value }),
        }
    }
    Ok(missing)
}
