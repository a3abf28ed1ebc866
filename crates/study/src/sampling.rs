//! Points for studies: seeds, distributions, and designs whose every point is computed from its index alone.
//!
//! Everything here is pure: no state, no clock, no thread. A design is a function of its settings, a root number and the
//! index of the point, so parts of a study can be computed anywhere and in any order, with the same bits. Points lie in
//! the unit cube; [`Distribution::quantile`] turns a coordinate into a value.
//!
//! ```
//! use giveway_study::sampling::{Design, Distribution, LatinHypercube, Placement};
//!
//! let friction = Distribution::triangular(0.1, 0.15, 0.25)?;
//! let mass_kg = Distribution::normal(1500.0, 200.0)?.between(900.0, 2300.0)?;
//! let design = LatinHypercube::new(2, 100, Placement::Random, 42)?;
//! let point = design.point(17)?;
//! let values = [friction.quantile(point[0])?, mass_kg.quantile(point[1])?];
//! assert!(values[0] > 0.1 && values[1] < 2300.0);
//! # Ok::<(), giveway_study::sampling::SamplingError>(())
//! ```
//!
//! # References
//! - G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators, OOPSLA (2014): SplitMix64.
//! - D. Blackman, S. Vigna, Scrambled linear pseudorandom number generators, ACM TOMS 47 (2021): xoshiro256++.
//! - D. Lemire, Fast random integer generation in an interval, ACM TOMACS 29 (2019).
//! - M. D. McKay, R. J. Beckman, W. J. Conover, A comparison of three methods for selecting values of input variables,
//!   Technometrics 21 (1979): Latin hypercube.
//! - S. Joe, F. Y. Kuo, Constructing Sobol sequences with better two-dimensional projections, SIAM J. Sci. Comput. 30
//!   (2008) 2635-2654.
//! - A. B. Owen, Randomly permuted (t, m, s)-nets and (t, s)-sequences (1995): nested uniform scrambling; On dropping
//!   the first Sobol' point (2020).
//! - M. Luby, C. Rackoff, How to construct pseudorandom permutations from pseudorandom functions, SIAM J. Comput. 17
//!   (1988); J. Black, P. Rogaway, Ciphers with arbitrary finite domains (2002): walking the cycle.
//! - N. L. Johnson, S. Kotz, N. Balakrishnan, Continuous Univariate Distributions 1 (1994): truncated normal and
//!   lognormal.
//!
//! All recalled.

mod design;
mod directions;
mod discrete;
mod distribution;
mod error;
mod generator;
mod grid;
mod latin;
mod permutation;
mod sobol;
mod truncated;

pub use design::{Design, RandomPoints};
pub use discrete::Discrete;
pub use distribution::Distribution;
pub use error::SamplingError;
pub use generator::{Generator, seed, unit};
pub use grid::Grid;
pub use latin::{LatinHypercube, Placement};
pub use sobol::{MOST_DIMENSIONS, Scrambling, Sobol};
