//! What can be wrong with a distribution, a design, a level of confidence or the results of a study.

/// Why a distribution or design cannot be made, or a point, value or estimate cannot be given.
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
    /// Bounds in the wrong order, equal, or not a number.
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
    /// Listed values without a weight above zero, with a wrong weight, or with a value twice.
    #[error("a list of values and weights cannot be used: {problem}")]
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
    /// A count that cannot be.
    #[error("{what}: {value} cannot be used; it must be from {least} to {most}")]
    Count {
        /// What is counted.
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
    /// An odd number of levels of a screening.
    #[error("{levels} levels cannot be used; take an even number from 2 to 1000, as 4")]
    OddLevels {
        /// Levels asked for.
        levels: u32,
    },
    /// An edge that leaves nothing between.
    #[error("the edge {edge} must be at least 0 and below 0.5")]
    Edge {
        /// The edge.
        edge: f64,
    },
    /// A base design with an odd number of coordinates.
    #[error("the base design has {dimensions} coordinates; it needs two for each factor")]
    OddBase {
        /// Coordinates of the base design.
        dimensions: usize,
    },
    /// A trajectory on which a step does not move exactly one factor.
    #[error("step {step} of trajectory {trajectory} moves {moved} factors instead of one")]
    Step {
        /// Trajectory, from 0.
        trajectory: usize,
        /// Step, from 0.
        step: usize,
        /// How many factors moved.
        moved: usize,
    },
    /// Results that are not those of the design.
    #[error("{given} results do not fit the {runs} runs of the design")]
    Results {
        /// Number of results.
        given: usize,
        /// Number of runs.
        runs: u64,
    },
    /// A result that is not a number.
    #[error("result {index} is {value}; a run without a result must be given as missing")]
    Result {
        /// Place in the results, from 0.
        index: usize,
        /// The value.
        value: f64,
    },
    /// Too few results.
    #[error("{given} {what} are too few; at least {least} are needed")]
    TooFew {
        /// What is counted.
        what: &'static str,
        /// How many there are.
        given: u64,
        /// How many are needed.
        least: u64,
    },
    /// All results are equal.
    #[error("all results are equal, so there is no variance to share out")]
    Constant,
    /// A level of confidence outside 0 to 1.
    #[error("the confidence {value} must be above 0 and below 1, as 0.95")]
    Confidence {
        /// The level.
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
    /// Too few or an odd number of draws, or nothing to draw.
    #[error(
        "{count} draws of a posterior: an even number from {least} on is wanted, and something to draw"
    )]
    Draws {
        /// Draws asked for.
        count: usize,
        /// Least number.
        least: usize,
    },
    /// Data that no draw of the prior can explain.
    #[error("no draw of the prior gives the data a likelihood above zero")]
    NoLikelihood,
}

/// A number, or the error that it is not finite.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, SamplingError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(SamplingError::NotFinite { what, value })
    }
}

/// A finite number above zero, or the error.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, SamplingError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(SamplingError::NotPositive { what, value })
    }
}

/// A count within limits, or the error.
pub(crate) fn count(
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
