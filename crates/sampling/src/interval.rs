//! From a lower to an upper bound.

use crate::error::SamplingError;

/// From a lower to an upper bound, both belonging to it, in the unit of what it bounds; a bound may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower bound.
    pub low: f64,
    /// Upper bound.
    pub high: f64,
}

impl Interval {
    /// Whether `x` is inside.
    pub fn contains(&self, x: f64) -> bool {
        self.low <= x && x <= self.high
    }

    /// Upper less lower bound.
    pub fn width(&self) -> f64 {
        self.high - self.low
    }
}

/// A level of confidence, or the error.
pub(crate) fn confidence(value: f64) -> Result<f64, SamplingError> {
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        Err(SamplingError::Confidence { value })
    }
}

/// A probability, or the error.
pub(crate) fn probability(value: f64) -> Result<f64, SamplingError> {
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err(SamplingError::Probability { value })
    }
}

/// Results without NaN or infinity, or the error.
pub(crate) fn all_finite(values: &[f64]) -> Result<(), SamplingError> {
    match values.iter().position(|value| !value.is_finite()) {
        None => Ok(()),
        Some(index) => Err(SamplingError::Result {
            index,
            value: values[index],
        }),
    }
}
