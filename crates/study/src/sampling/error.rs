//! What can be wrong with a distribution, a design or a point asked of it.

/// Why a distribution or a design cannot be made, or a point or value cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SamplingError {
    /// A number that must be finite is not.
    #[error("{what} is {value}; it must be a finite number")]
    NotFinite {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// A number that must be above zero is not.
    #[error("{what} is {value}; it must be above zero")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// Bounds in the wrong order.
    #[error("the lower bound {low} is not below the upper bound {high}")]
    Bounds {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// The mode of a triangular distribution outside its bounds.
    #[error("the mode {mode} is outside the bounds {low} to {high}")]
    Mode {
        /// Lower bound.
        low: f64,
        /// Mode.
        mode: f64,
        /// Upper bound.
        high: f64,
    },
    /// Bounds that leave nearly nothing of the distribution.
    #[error(
        "the bounds {low} to {high} keep only {kept:e} of the distribution; look for a wrong unit, mean or bound"
    )]
    NearlyNothingLeft {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
        /// Probability between the bounds before the cut.
        kept: f64,
    },
    /// Bounds on a distribution that has its own.
    #[error("a {kind} distribution has bounds already; give it other parameters instead of a cut")]
    NotCut {
        /// Name of the distribution.
        kind: &'static str,
    },
    /// A discrete distribution without values, or with a value twice.
    #[error("a discrete distribution needs values, each once; {problem}")]
    Values {
        /// What is wrong.
        problem: String,
    },
    /// A probability outside 0 to 1.
    #[error("{value} is no probability; it must be from 0 to 1")]
    Probability {
        /// The value.
        value: f64,
    },
    /// A probability of 0 or 1 on a side where the distribution has no bound.
    #[error(
        "the probability {value} has no finite value: scramble the sequence, skip its first point, or bound the distribution"
    )]
    Infinite {
        /// The probability.
        value: f64,
    },
    /// A count that a design cannot have.
    #[error("{what} is {value}; it must be from {least} to {most}")]
    Count {
        /// Which count.
        what: &'static str,
        /// Its value.
        value: u64,
        /// Least allowed.
        least: u64,
        /// Most allowed.
        most: u64,
    },
    /// A point that the design does not have.
    #[error("point {index} does not exist; the design has {size}, counted from 0")]
    NoSuchPoint {
        /// Index asked for, from 0.
        index: u64,
        /// Number of points.
        size: u64,
    },
    /// A place for a point of another length.
    #[error("the point has {given} coordinates; the design has {dimensions}")]
    Length {
        /// Length of the place.
        given: usize,
        /// Dimensions of the design.
        dimensions: usize,
    },
}

/// A number, or the error that it is not finite.
pub(super) fn finite(what: &'static str, value: f64) -> Result<f64, SamplingError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(SamplingError::NotFinite { what, value })
    }
}

/// A finite number above zero, or the error.
pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, SamplingError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(SamplingError::NotPositive { what, value })
    }
}

/// A count within limits, or the error.
pub(super) fn count(
    what: &'static str,
    value: u64,
    least: u64,
    most: u64,
) -> Result<u64, SamplingError> {
    if (least..=most).contains(&value) {
        Ok(value)
    } else {
        Err(SamplingError::Count {
            what,
            value,
            least,
            most,
        })
    }
}
