//! Quantiles of a sample, with intervals that need no model of the distribution.

use crate::beta::beta_probability;
use crate::error::SamplingError;
use crate::interval::{all_finite, confidence, probability};

/// A quantile with the order statistics that bracket the true one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuantileEstimate {
    /// Interpolated quantile of the sample.
    pub value: f64,
    /// Lower bound; none where the sample is too small for one.
    pub low: Option<f64>,
    /// Upper bound; none where the sample is too small for one.
    pub high: Option<f64>,
}

/// Quantile `p` of ascending data, interpolated between the neighbours (Hyndman and Fan's type 7, as NumPy's default).
///
/// # Errors
/// No data, data not in order or not finite, a `p` outside 0 to 1.
pub fn quantile(ascending: &[f64], p: f64) -> Result<f64, SamplingError> {
    check(ascending)?;
    Ok(interpolated(ascending, probability(p)?))
}

/// Quantile `p` of ascending data with an interval that holds for independent runs of any distribution, each side
/// missing with at most half of the rest of the confidence (Conover).
///
/// # Errors
/// As [`quantile`], or a confidence outside 0 to 1.
pub fn quantile_estimate(
    ascending: &[f64],
    p: f64,
    level: f64,
) -> Result<QuantileEstimate, SamplingError> {
    check(ascending)?;
    let p = probability(p)?;
    let miss = 0.5 * (1.0 - confidence(level)?);
    let n = ascending.len() as u64;
    // With B binomial (n, p), x_(l) is above the quantile with at most P(B <= l - 1), x_(u) below it with P(B >= u).
    // l - 1: how many counts from 0 on have P(B <= count) <= miss.
    let low = partition(n, |count| binomial_cdf(count, n, p) <= miss);
    // u - 1: the first count with P(B > count) <= miss.
    let high = partition(n, |count| binomial_survival(count, n, p) > miss);
    Ok(QuantileEstimate {
        value: interpolated(ascending, p),
        low: low.checked_sub(1).map(|place| ascending[place as usize]),
        high: ascending.get(high as usize).copied(),
    })
}

/// Quantile `p` of a distribution by its probability of less, which rises from below `p` to above it between the two ends: 50 halvings.
pub fn quantile_between([mut low, mut high]: [f64; 2], p: f64, below: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if below(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Quantile of ascending, finite, non-empty data.
pub(crate) fn interpolated(ascending: &[f64], p: f64) -> f64 {
    // h = (n - 1) p;  x_floor(h) + (h - floor h)(x_(floor h + 1) - x_floor(h))
    let last = ascending.len() - 1;
    let h = last as f64 * p;
    let place = (h.floor() as usize).min(last);
    let (here, next) = (ascending[place], ascending[(place + 1).min(last)]);
    here + (h - place as f64) * (next - here)
}

/// P(B <= k) for B binomial (n, p) = I_(1-p)(n - k, k + 1).
fn binomial_cdf(k: u64, n: u64, p: f64) -> f64 {
    if k >= n {
        return 1.0;
    }
    beta_probability((n - k) as f64, k as f64 + 1.0, 1.0 - p)
}

/// P(B > k) for B binomial (n, p) = I_p(k + 1, n - k).
fn binomial_survival(k: u64, n: u64, p: f64) -> f64 {
    if k >= n {
        return 0.0;
    }
    beta_probability(k as f64 + 1.0, (n - k) as f64, p)
}

/// The first number from 0 to `end` for which a condition that holds at first and fails from then on fails.
fn partition(end: u64, holds: impl Fn(u64) -> bool) -> u64 {
    let (mut low, mut high) = (0, end);
    while low < high {
        let middle = low + (high - low) / 2;
        if holds(middle) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    low
}

fn check(ascending: &[f64]) -> Result<(), SamplingError> {
    if ascending.is_empty() {
        return Err(SamplingError::TooFew {
            what: "runs",
            given: 0,
            least: 1,
        });
    }
    all_finite(ascending)?;
    match ascending.windows(2).position(|pair| pair[0] > pair[1]) {
        None => Ok(()),
        Some(place) => Err(SamplingError::Order { index: place + 1 }),
    }
}
