//! Intervals of a proportion from independent trials.

use crate::beta::beta_quantile;
use crate::error::SamplingError;
use crate::interval::{Interval, confidence};
use crate::normal::normal_quantile;

/// Wilson's score interval: close to the wanted confidence on average, below it for some proportions. For display.
///
/// # Errors
/// No trial, more successes than trials, a confidence outside 0 to 1.
pub fn wilson(successes: u64, trials: u64, level: f64) -> Result<Interval, SamplingError> {
    let (k, n, level) = checked(successes, trials, level)?;
    // (p + z^2/2n +- z sqrt(p q / n + z^2/4n^2)) / (1 + z^2/n)
    let z = -normal_quantile(0.5 * (1.0 - level));
    let share = k / n;
    let scale = 1.0 + z * z / n;
    let centre = (share + z * z / (2.0 * n)) / scale;
    let half = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt() / scale;
    Ok(Interval {
        low: if successes == 0 { 0.0 } else { centre - half },
        high: if successes == trials {
            1.0
        } else {
            centre + half
        },
    })
}

/// The exact interval of Clopper and Pearson: never below the wanted confidence. For verdicts.
///
/// # Errors
/// As [`wilson`].
pub fn clopper_pearson(successes: u64, trials: u64, level: f64) -> Result<Interval, SamplingError> {
    let side = 0.5 * (1.0 + confidence(level)?);
    Ok(Interval {
        low: clopper_pearson_lower(successes, trials, side)?,
        high: clopper_pearson_upper(successes, trials, side)?,
    })
}

/// The exact lower bound: the proportion is not below it, with the given one-sided confidence.
///
/// # Errors
/// As [`wilson`].
pub fn clopper_pearson_lower(
    successes: u64,
    trials: u64,
    level: f64,
) -> Result<f64, SamplingError> {
    let (k, n, level) = checked(successes, trials, level)?;
    if successes == 0 {
        return Ok(0.0);
    }
    // P(X >= k | p) = I_p(k, n - k + 1) = 1 - level
    Ok(beta_quantile(k, n - k + 1.0, 1.0 - level))
}

/// The exact upper bound: the proportion is not above it, with the given one-sided confidence.
///
/// # Errors
/// As [`wilson`].
pub fn clopper_pearson_upper(
    successes: u64,
    trials: u64,
    level: f64,
) -> Result<f64, SamplingError> {
    let (k, n, level) = checked(successes, trials, level)?;
    if successes == trials {
        return Ok(1.0);
    }
    // P(X <= k | p) = 1 - I_p(k + 1, n - k) = 1 - level
    Ok(beta_quantile(k + 1.0, n - k, level))
}

fn checked(successes: u64, trials: u64, level: f64) -> Result<(f64, f64, f64), SamplingError> {
    if trials == 0 || successes > trials {
        return Err(SamplingError::Counts { successes, trials });
    }
    Ok((successes as f64, trials as f64, confidence(level)?))
}
