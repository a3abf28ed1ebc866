//! Special functions of statistics: the normal distribution, the incomplete beta function with its inverse, and the
//! binomial and Student distributions that follow from it.
//!
//! Pure functions through `libm`: the same bits on every platform. Arguments outside a function's domain give NaN.
//!
//! # References
//! - M. J. Wichura, Algorithm AS 241: The percentage points of the normal distribution, Applied Statistics 37 (1988)
//!   477-484 (coefficients seen in the Python standard library).
//! - C. Loader, Fast and accurate computation of binomial probabilities (2000): deviance and Stirling error (recalled).
//! - W. H. Press et al., Numerical Recipes, section 6.4: continued fraction of the incomplete beta function by the
//!   method of Lentz (recalled).
//! - NIST Digital Library of Mathematical Functions 8.17 (recalled).

mod beta;
mod normal;

pub use beta::{
    beta_quantile, binomial_cdf, binomial_probability, binomial_survival, incomplete_beta,
    student_quantile,
};
pub use normal::{normal_cdf, normal_density, normal_quantile};
