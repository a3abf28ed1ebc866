//! How well a computed trace follows a measured one.
//!
//! Both traces are sampled at the same instants, evenly. [`sprague_geers`] separates magnitude from phase,
//! [`residuals`] looks at the difference, [`accept`] applies the acceptance of NCHRP Web-Only Document 179 to both,
//! [`corridor::corridor_score`] gives the corridor score of ISO/TS 18571 and [`rating::rating`] its other scores.
//!
//! ```text
//! S_mm = sum m^2    S_cc = sum c^2    S_mc = sum m c
//! M = sqrt(S_cc / S_mm) - 1
//! P = acos(S_mc / sqrt(S_mm S_cc)) / pi
//! C = sqrt(M^2 + P^2)
//! ```
//!
//! References
//! - M. A. Sprague and T. L. Geers, A spectral-element method for modelling cavitation in transient fluid-structure
//!   interaction, International Journal for Numerical Methods in Engineering 60, 2004 (formulas seen).
//! - M. H. Ray and others, NCHRP Web-Only Document 179, 2011: acceptance (recalled).
//! - ISO/TS 18571, Road vehicles - Objective rating metric for non-ambiguous signals (recalled).

pub mod corridor;
pub mod rating;

use core::f64::consts::PI;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::OccupantError;
use crate::motion::usable;

/// Largest magnitude taken for data in a trace, in its own unit.
const TRACE_CEILING: f64 = 1e100;

/// Largest magnitude of M and of P (recalled: NCHRP Web-Only Document 179).
pub const LARGEST_MAGNITUDE_OR_PHASE: f64 = 0.40;
/// Largest mean residual over the measured peak (recalled: NCHRP Web-Only Document 179).
pub const LARGEST_MEAN_RESIDUAL: f64 = 0.05;
/// Largest standard deviation of the residual over the measured peak (recalled: NCHRP Web-Only Document 179).
pub const LARGEST_RESIDUAL_DEVIATION: f64 = 0.35;

/// Magnitude, phase and combined error, as fractions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SpragueGeers {
    /// M: positive where the computed trace is larger.
    pub magnitude: f64,
    /// P: 0 in phase, 1 in opposition.
    pub phase: f64,
    /// C = sqrt(M^2 + P^2).
    pub combined: f64,
}

/// Mean and standard deviation of measured minus computed, over the measured peak.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Residuals {
    /// Mean of the difference over the largest magnitude of the measured trace.
    pub mean_fraction: f64,
    /// Sample standard deviation of the difference over the same.
    pub deviation_fraction: f64,
}

/// Acceptance by NCHRP Web-Only Document 179.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Acceptance {
    /// M, P and C.
    pub sprague_geers: SpragueGeers,
    /// Residuals.
    pub residuals: Residuals,
    /// |M| up to 40 %.
    pub magnitude_accepted: bool,
    /// P up to 40 %.
    pub phase_accepted: bool,
    /// |mean residual| up to 5 % of the peak.
    pub mean_residual_accepted: bool,
    /// Standard deviation up to 35 % of the peak.
    pub deviation_accepted: bool,
    /// All four.
    pub accepted: bool,
}

/// Sprague-Geers errors of `computed` against `measured`, any unit, same instants.
///
/// # Errors
/// Fewer than two samples, different lengths, a value that is not finite, or a trace that is zero throughout.
pub fn sprague_geers(measured: &[f64], computed: &[f64]) -> Result<SpragueGeers, OccupantError> {
    check(measured, computed, 2)?;
    let norm = |x: &[f64]| x.iter().map(|v| v * v).sum::<f64>().sqrt();
    let (norm_m, norm_c) = (norm(measured), norm(computed));
    for (trace, size) in [("measured", norm_m), ("computed", norm_c)] {
        if size == 0.0 {
            return Err(OccupantError::ZeroTrace { trace });
        }
    }
    // M = sqrt(S_cc / S_mm) - 1
    let magnitude = norm_c / norm_m - 1.0;
    // P = acos(S_mc / sqrt(S_mm S_cc)) / pi, as the angle between the unit vectors u and v: 2 atan(|u - v| / |u + v|),
    // which keeps its digits where the arc cosine loses half of them
    let (mut apart, mut along) = (0.0, 0.0);
    for (m, c) in measured.iter().zip(computed) {
        let (u, v) = (m / norm_m, c / norm_c);
        apart += (u - v) * (u - v);
        along += (u + v) * (u + v);
    }
    let phase = 2.0 * libm::atan2(apart.sqrt(), along.sqrt()) / PI;
    Ok(SpragueGeers {
        magnitude,
        phase,
        combined: (magnitude * magnitude + phase * phase).sqrt(),
    })
}

/// Residuals of `computed` against `measured`, over the measured peak.
///
/// # Errors
/// As [`sprague_geers`], except that a computed trace of zeros is allowed.
pub fn residuals(measured: &[f64], computed: &[f64]) -> Result<Residuals, OccupantError> {
    check(measured, computed, 2)?;
    let peak = peak(measured)?;
    let count = measured.len() as f64;
    let difference = || measured.iter().zip(computed).map(|(m, c)| m - c);
    let mean = difference().sum::<f64>() / count;
    let squares = difference().map(|e| (e - mean) * (e - mean)).sum::<f64>();
    Ok(Residuals {
        mean_fraction: mean / peak,
        deviation_fraction: (squares / (count - 1.0)).sqrt() / peak,
    })
}

/// Applies the acceptance of NCHRP Web-Only Document 179 (recalled).
///
/// # Errors
/// As [`sprague_geers`].
pub fn accept(measured: &[f64], computed: &[f64]) -> Result<Acceptance, OccupantError> {
    let sprague_geers = sprague_geers(measured, computed)?;
    let residuals = residuals(measured, computed)?;
    let magnitude_accepted = sprague_geers.magnitude.abs() <= LARGEST_MAGNITUDE_OR_PHASE;
    let phase_accepted = sprague_geers.phase <= LARGEST_MAGNITUDE_OR_PHASE;
    let mean_residual_accepted = residuals.mean_fraction.abs() <= LARGEST_MEAN_RESIDUAL;
    let deviation_accepted = residuals.deviation_fraction <= LARGEST_RESIDUAL_DEVIATION;
    Ok(Acceptance {
        sprague_geers,
        residuals,
        magnitude_accepted,
        phase_accepted,
        mean_residual_accepted,
        deviation_accepted,
        accepted: magnitude_accepted
            && phase_accepted
            && mean_residual_accepted
            && deviation_accepted,
    })
}

fn check(measured: &[f64], computed: &[f64], needed: usize) -> Result<(), OccupantError> {
    if measured.len() < needed {
        return Err(OccupantError::TooFewSamples {
            needed,
            found: measured.len(),
        });
    }
    if computed.len() != measured.len() {
        return Err(OccupantError::Length {
            quantity: "computed",
            expected: measured.len(),
            found: computed.len(),
        });
    }
    usable("measured", measured, 1, TRACE_CEILING)?;
    usable("computed", computed, 1, TRACE_CEILING)
}

/// Largest magnitude of the measured trace.
fn peak(measured: &[f64]) -> Result<f64, OccupantError> {
    let peak = measured
        .iter()
        .fold(0.0_f64, |largest, m| largest.max(m.abs()));
    if peak > 0.0 {
        Ok(peak)
    } else {
        Err(OccupantError::ZeroTrace { trace: "measured" })
    }
}
