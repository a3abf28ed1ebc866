//! A plate washer that dishes into the notch: a strip bent beyond yield.
//!
//! The washer is a strip of net width W = D_w - d and thickness t that lies as a simple beam on the notch's two edges,
//! span b, with the bolt's tension T in its middle (the head's width, which relieves it, is left out: the upper
//! estimate). With m the bending moment over that at first yield, M_y = F_y W t^2/6, the middle has m = r = T/T_y,
//! T_y = t^2 W F_y/(1.5 b), and m falls linearly to the ends.
//!
//! The material is bilinear: E up to yield, then e E with e = 1/100. A rectangle with the curvature c, in units of that
//! at first yield, then carries (superpose an elastic body e E and an elastic-plastic one (1 - e) E; derived)
//!   m(c) = (1 - e)(3/2 - 1/(2 c^2)) + e c,  c >= 1;  m = c below.
//! The slope at the end is the integral of the curvature over half the span; in units of its value at first yield,
//! theta_y = T_y b^2/(16 E I), I = W t^3/12, partial integration gives (derived)
//!   theta/theta_y = (2/r) integral_0^r c dm = (2/r)(r c_r - integral_0^{c_r} m dc),
//!   integral_0^c m dc = 1/2 + (1 - e)(3/2 (c - 1) + (1/c - 1)/2) + e (c^2 - 1)/2.
//! Unloading is elastic, so that r theta_y springs back and theta - r theta_y stays. Without hardening, e = 0, it would
//! be theta/theta_y = (3 - 2 sqrt(3 - 2 r))/r, at r = 1.5 the double of theta_y and a mechanism from there on.
//!
//! # References
//! - S. Timoshenko, Strength of Materials, part II: bending beyond the yield point (recalled).
//! - EN 1993-1-5, annex C.6: hardening slope E/100 for steel plates (recalled).

use crate::clamp::washer_strip_load;
use crate::strength::{InputError, not_negative, positive};
use giveway_scenario::model::SlipBase;

/// Slope after yield over Young's modulus.
const HARDENING: f64 = 0.01;
/// Steepest dish, rad: 10 degrees, where the head rests on the notch's edges (assumed).
pub const LARGEST_DISH_RAD: f64 = 0.174_532_925_199_432_95;

/// Slope that stays in a plate washer of thickness `washer_t_m` after its bolt carried `tension_n`, rad: 0 up to the
/// strip's yield load, then growing without a step, at most [`LARGEST_DISH_RAD`]. See the module's text.
///
/// # Errors
/// A negative tension; washer, span or material that is not above zero; a washer no wider than the bolt.
pub fn dish_angle(tension_n: f64, base: &SlipBase, washer_t_m: f64) -> Result<f64, InputError> {
    let tension = not_negative("bolt tension T, N", tension_n)?;
    let width = base.plate_washer_diameter_m - base.bolt.diameter_m;
    let span = base.notch_span_m;
    let at_yield = washer_strip_load(washer_t_m, width, span, base.plate_washer_yield_pa)?;
    let youngs = positive("Young's modulus of the plates, Pa", base.plate_youngs_pa)?;
    // Far beyond any dish the ratio stops counting, so that no square overflows.
    let r = (tension / at_yield).min(1e6);
    if r <= 1.0 {
        return Ok(0.0);
    }
    // theta_y = T_y b^2/(16 E I), I = W t^3/12
    let second = width * washer_t_m * washer_t_m * washer_t_m / 12.0;
    let theta_y = at_yield * span * span / (16.0 * youngs * second);
    Ok((theta_y * lasting(r)).clamp(0.0, LARGEST_DISH_RAD))
}

/// Extra resistance of a bolt whose plate washers have dished, N: T tan(theta), the washer climbs its own dish.
///
/// # Errors
/// As [`dish_angle`].
pub fn dish_force(tension_n: f64, base: &SlipBase, washer_t_m: f64) -> Result<f64, InputError> {
    Ok(tension_n * libm::tan(dish_angle(tension_n, base, washer_t_m)?))
}

/// Lasting end slope over theta_y at r = T/T_y > 1.
fn lasting(r: f64) -> f64 {
    let c = curvature(r);
    let soft = 1.0 - HARDENING;
    // integral_0^c m dc
    let area =
        0.5 + soft * (1.5 * (c - 1.0) + 0.5 * (1.0 / c - 1.0)) + 0.5 * HARDENING * (c * c - 1.0);
    2.0 / r * (r * c - area) - r
}

/// Curvature at the relative moment m > 1: the root of m(c). Newton's steps from c = 1 grow towards it without
/// passing it, because m(c) rises and is concave.
fn curvature(m: f64) -> f64 {
    let soft = 1.0 - HARDENING;
    let mut c: f64 = 1.0;
    for _ in 0..100 {
        let missing = m - (soft * (1.5 - 0.5 / (c * c)) + HARDENING * c);
        let next = c + missing / (soft / (c * c * c) + HARDENING);
        if next <= c {
            break;
        }
        c = next;
    }
    c
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dish_begins_at_yield_and_grows_without_a_step() {
        assert_eq!(lasting(1.0), 0.0);
        let mut last = 0.0;
        for i in 1..=4000 {
            let r = 1.0 + 0.001 * f64::from(i);
            let now = lasting(r);
            assert!(now > last && now - last < 0.2, "{r}: {last} to {now}");
            last = now;
        }
    }

    #[test]
    fn the_curvature_gives_its_moment_back() {
        for c in [1.0, 1.2, 2.0, 5.0, 30.0, 400.0] {
            let m = 0.99 * (1.5 - 0.5 / (c * c)) + 0.01 * c;
            assert!((curvature(m) / c - 1.0).abs() < 1e-12, "{c}");
        }
    }
}
