//! Which inputs matter: Morris screening and Sobol' indices.
//!
//! Both are a [`crate::sampling::Design`] that says which runs to make, and a function that takes the results in the
//! order of the runs. A result that is not finite stands for a run that failed; what rests on it is left out and the
//! rest is counted.
//!
//! # References
//! - M. D. Morris, Factorial sampling plans for preliminary computational experiments, Technometrics 33 (1991) 161-174.
//! - F. Campolongo, J. Cariboni, A. Saltelli, An effective screening design for sensitivity analysis of large models,
//!   Environmental Modelling & Software 22 (2007): the mean of the absolute effects.
//! - A. Saltelli, P. Annoni, I. Azzini, F. Campolongo, M. Ratto, S. Tarantola, Variance based sensitivity analysis of
//!   model output, Computer Physics Communications 181 (2010) 259-270, table 2 (b) and (f).
//! - M. J. W. Jansen, Analysis of variance designs for model output, Computer Physics Communications 117 (1999) 35-43.
//! - B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap (1993): percentile intervals.
//!
//! All recalled.

mod crossed;
mod error;
mod morris;
mod resampling;

pub use crossed::{Crossed, FactorIndices, SobolIndices};
pub use error::SensitivityError;
pub use morris::{FactorEffects, Trajectories, elementary_effects};
pub use resampling::Resampling;
