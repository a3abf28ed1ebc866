//! Statistics of many runs: proportions, quantiles, means, fragility curves, and how far an estimate has settled.
//!
//! Pure functions of the results in the order of their indices. Intervals that rest on independent runs say so; for a
//! Latin hypercube or a scrambled sequence the estimates scatter less than the intervals show, as a rule.
//!
//! # References
//! - E. B. Wilson, Probable inference, the law of succession, and statistical inference, JASA 22 (1927).
//! - C. J. Clopper, E. S. Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial,
//!   Biometrika 26 (1934).
//! - B. P. Welford, Note on a method for calculating corrected sums of squares and products, Technometrics 4 (1962).
//! - R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996).
//! - W. J. Conover, Practical Nonparametric Statistics, section 3.2: intervals of quantiles from order statistics.
//! - R. E. Barlow et al., Statistical Inference under Order Restrictions (1972): pooling adjacent violators.
//! - R. L. Berger, Multiparameter hypothesis testing and acceptance sampling, Technometrics 24 (1982): tests in a fixed
//!   sequence need no correction.
//!
//! All recalled.

mod binomial;
mod error;
mod fragility;
mod isotonic;
mod quantile;
mod running;
mod trace;

pub use binomial::{clopper_pearson, clopper_pearson_lower, clopper_pearson_upper, wilson};
pub use error::StatisticsError;
pub use fragility::{Crossing, Fragility, FragilityPoint, Level};
pub use isotonic::{Trend, isotonic};
pub(crate) use quantile::interpolated;
pub use quantile::{QuantileEstimate, quantile, quantile_estimate};
pub use running::Running;
pub use trace::{TracePoint, checkpoints, mean_trace, proportion_trace};

/// From a lower to an upper bound, both belonging to it; a bound may be infinite.
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
