//! What can be wrong with data or a level of confidence.

/// Why a statistic cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatisticsError {
    /// No data, or too few.
    #[error("{given} results are too few; {least} are needed")]
    TooFew {
        /// How many there are.
        given: usize,
        /// How many are needed.
        least: usize,
    },
    /// A level of confidence outside 0 to 1.
    #[error("the confidence {value} must be above 0 and below 1, as 0.95")]
    Confidence {
        /// The level.
        value: f64,
    },
    /// A probability outside 0 to 1.
    #[error("{value} is no probability; it must be from 0 to 1")]
    Probability {
        /// The value.
        value: f64,
    },
    /// More successes than trials, or no trial.
    #[error(
        "{successes} of {trials} is no count of successes; there must be a trial, and no more successes than trials"
    )]
    Counts {
        /// Successes.
        successes: u64,
        /// Trials.
        trials: u64,
    },
    /// A result that is not a number.
    #[error("result {index} is {value}; leave out the runs that failed, and say how many")]
    NotFinite {
        /// Place in the data, from 0.
        index: usize,
        /// The value.
        value: f64,
    },
    /// Data that must be in ascending order and are not.
    #[error(
        "the value at place {index} is not above the one before it; sort the data and join equal levels"
    )]
    Order {
        /// Place in the data, from 0.
        index: usize,
    },
    /// Lists that belong together and differ in length.
    #[error("{values} values do not fit {weights} weights")]
    Lengths {
        /// Length of the first list.
        values: usize,
        /// Length of the second list.
        weights: usize,
    },
    /// A weight that is not above zero.
    #[error("weight {index} is {value}; it must be above zero")]
    Weight {
        /// Place in the list, from 0.
        index: usize,
        /// The weight.
        value: f64,
    },
}

/// A level of confidence, or the error.
pub(crate) fn confidence(value: f64) -> Result<f64, StatisticsError> {
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        Err(StatisticsError::Confidence { value })
    }
}

/// A probability, or the error.
pub(super) fn probability(value: f64) -> Result<f64, StatisticsError> {
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err(StatisticsError::Probability { value })
    }
}

/// Data without NaN or infinity, or the error.
pub(super) fn all_finite(values: &[f64]) -> Result<(), StatisticsError> {
    match values.iter().position(|value| !value.is_finite()) {
        None => Ok(()),
        Some(index) => Err(StatisticsError::NotFinite {
            index,
            value: values[index],
        }),
    }
}
