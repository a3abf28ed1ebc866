//! Designs of points, distributions of inputs, sensitivity indices and intervals of estimates, for studies of many runs.
//! It is arithmetic alone: it makes no runs, knows no input or result by name, opens no files and knows no clock.
//!
//! ```text
//! Design --point(index)--> u in the unit cube --Distribution::quantile, Levels::pick--> inputs of run `index`
//! results of the runs --Trajectories::effects, Crossed::indices--> which inputs matter
//! results of the runs --clopper_pearson, quantile_estimate, Running, ProbabilityCurve--> estimates with intervals
//! ```
//!
//! A design is a function of its settings, a root number and the index of the point. Any part of a study can be computed
//! anywhere, in any order, with the same bits. What enters a run (designs, [`Distribution::quantile`]) goes through
//! `libm` and is the same on every platform; what is computed from results (intervals, indices) may differ in the last
//! digits between platforms, since `statrs` uses the platform's logarithm.
//!
//! A run that failed or has no such number is `None` in the results. It is never replaced or silently dropped: every
//! estimate carries [`Complete`], how much was used and how much was left out.
//!
//! ```
//! use giveway_sampling::{Design, Distribution, LatinHypercube, Placement};
//!
//! let friction = Distribution::triangular(0.1, 0.15, 0.25)?;
//! let mass_kg = Distribution::truncated_normal(1500.0, 200.0, 900.0, 2300.0)?;
//! let design = LatinHypercube::new(2, 100, Placement::Random, 42)?;
//! let point = design.point(17)?;
//! let values = [friction.quantile(point[0])?, mass_kg.quantile(point[1])?];
//! assert!(values[0] > 0.1 && values[1] < 2300.0);
//! # Ok::<(), giveway_sampling::SamplingError>(())
//! ```
//!
//! # References
//! Random numbers and designs:
//! - J. O'Connor, J.-P. Aumasson, S. Neves, Z. Wilcox-O'Hearn, BLAKE3 (2020); D. J. Bernstein, ChaCha, a variant of
//!   Salsa20 (2008); G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators, OOPSLA (2014).
//! - M. D. McKay, R. J. Beckman, W. J. Conover, A comparison of three methods for selecting values of input variables,
//!   Technometrics 21 (1979): Latin hypercube.
//! - M. Luby, C. Rackoff, How to construct pseudorandom permutations from pseudorandom functions, SIAM J. Comput. 17
//!   (1988); J. Black, P. Rogaway, Ciphers with arbitrary finite domains (2002): walking the cycle.
//! - S. Joe, F. Y. Kuo, Constructing Sobol sequences with better two-dimensional projections, SIAM J. Sci. Comput. 30
//!   (2008) 2635-2654.
//! - A. B. Owen, Randomly permuted (t, m, s)-nets and (t, s)-sequences (1995); On dropping the first Sobol' point (2020).
//!
//! Distributions:
//! - M. J. Wichura, Algorithm AS 241: The percentage points of the normal distribution, Applied Statistics 37 (1988)
//!   477-484 (coefficients seen in the Python standard library).
//! - N. L. Johnson, S. Kotz, N. Balakrishnan, Continuous Univariate Distributions 1 (1994): truncated normal, lognormal.
//!
//! Sensitivity:
//! - M. D. Morris, Factorial sampling plans for preliminary computational experiments, Technometrics 33 (1991) 161-174.
//! - F. Campolongo, J. Cariboni, A. Saltelli, An effective screening design for sensitivity analysis of large models,
//!   Environmental Modelling & Software 22 (2007): the mean of the absolute effects.
//! - A. Saltelli, P. Annoni, I. Azzini, F. Campolongo, M. Ratto, S. Tarantola, Variance based sensitivity analysis of
//!   model output, Computer Physics Communications 181 (2010) 259-270, table 2 (b) and (f).
//! - M. J. W. Jansen, Analysis of variance designs for model output, Computer Physics Communications 117 (1999) 35-43.
//! - B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap (1993): percentile intervals.
//!
//! Estimates:
//! - C. J. Clopper, E. S. Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial,
//!   Biometrika 26 (1934); E. B. Wilson, Probable inference, JASA 22 (1927).
//! - B. P. Welford, Note on a method for calculating corrected sums of squares and products, Technometrics 4 (1962).
//! - R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996).
//! - W. J. Conover, Practical Nonparametric Statistics, section 3.2: intervals of quantiles from order statistics.
//! - R. E. Barlow et al., Statistical Inference under Order Restrictions (1972): pooling adjacent violators.
//! - R. L. Berger, Multiparameter hypothesis testing and acceptance sampling, Technometrics 24 (1982): tests in a fixed
//!   sequence need no correction.
//!
//! All recalled, except where "seen" is said; the tests compare with SciPy, SALib and mpmath.

mod beta;
mod binomial;
mod complete;
mod crossed;
mod curve;
mod design;
mod directions;
mod discrete;
mod distribution;
mod error;
mod grid;
mod interval;
mod isotonic;
mod latin;
mod morris;
mod normal;
mod order;
mod permutation;
mod posterior;
mod resampling;
mod running;
mod seed;
mod sobol;
mod trace;
mod truncated;

pub use binomial::{clopper_pearson, clopper_pearson_lower, clopper_pearson_upper, wilson};
pub use complete::Complete;
pub use crossed::{Crossed, FactorIndices, SobolIndices};
pub use curve::{Crossing, CurvePoint, LevelCount, ProbabilityCurve};
pub use design::{Design, MonteCarlo, part};
pub use discrete::Levels;
pub use distribution::Distribution;
pub use error::SamplingError;
pub use grid::Grid;
pub use interval::Interval;
pub use isotonic::{Trend, isotonic};
pub use latin::{LatinHypercube, Placement};
pub use morris::{Effects, FactorEffects, Trajectories, elementary_effects};
pub use normal::{normal_cdf, normal_density, normal_quantile};
pub use order::{QuantileEstimate, quantile, quantile_between, quantile_estimate};
pub use posterior::{Cloud, effective};
pub use resampling::Resampling;
pub use running::Running;
pub use seed::{seed, unit};
pub use sobol::{MOST_DIMENSIONS, Scrambling, Sobol};
pub use trace::{TracePoint, checkpoints, mean_trace, proportion_trace};
