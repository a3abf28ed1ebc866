//! What can be wrong with a sensitivity study.

use crate::sampling::SamplingError;
use crate::statistics::StatisticsError;

/// Why sensitivities cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SensitivityError {
    /// The design cannot be made.
    #[error(transparent)]
    Sampling(#[from] SamplingError),
    /// A level of confidence is wrong.
    #[error(transparent)]
    Statistics(#[from] StatisticsError),
    /// Results that are not those of the design.
    #[error("{given} results do not fit the {runs} runs of the design")]
    Results {
        /// Number of results.
        given: usize,
        /// Number of runs.
        runs: u64,
    },
    /// Too many runs failed.
    #[error("only {complete} of {wanted} rows have all their results; at least 2 are needed")]
    TooFewComplete {
        /// Rows or effects with all their results.
        complete: usize,
        /// Rows or effects of the design.
        wanted: u64,
    },
    /// All results are equal.
    #[error("all results are equal, so there is no variance to share out")]
    Constant,
    /// Levels of a screening that are odd, too few or too many.
    #[error("{levels} levels cannot be used; take an even number from 2 to 1000, as 4")]
    Levels {
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
    /// No resample.
    #[error("the number of resamples must be above zero")]
    NoResamples,
}
