//! Corridor score of ISO/TS 18571.
//!
//! Per sample 1 inside the inner corridor, 0 outside the outer one and the square of the remaining share
//! between them; the corridors are 0.05 and 0.50 of the measured peak. The document's other scores are in
//! [`super::rating`].
//!
//! References
//! - ISO/TS 18571, Road vehicles - Objective rating metric for non-ambiguous signals (recalled).

use super::{check, peak};
use crate::OccupantError;

/// Half-width of the inner corridor over the measured peak.
const INNER: f64 = 0.05;
/// Half-width of the outer corridor over the measured peak.
const OUTER: f64 = 0.50;

/// Corridor score, 0 to 1: the mean of ((outer - |T - C|)/(outer - inner))^2, held between 0 and 1.
/// Example: a constant 1 against 1.1 gives ((0.5 - 0.1)/0.45)^2 = 0.790123.
///
/// # Errors
/// Traces of different length, without samples, not finite, or a measured trace that is zero throughout.
pub fn corridor_score(measured: &[f64], computed: &[f64]) -> Result<f64, OccupantError> {
    check(measured, computed, 1)?;
    let peak = peak(measured)?;
    let width = (OUTER - INNER) * peak;
    let mut sum = 0.0;
    for (t, c) in measured.iter().zip(computed) {
        let left = ((OUTER * peak - (t - c).abs()) / width).clamp(0.0, 1.0);
        sum += left * left;
    }
    Ok(sum / measured.len() as f64)
}
