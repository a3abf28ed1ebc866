//! How the two plates bend between the pole's wall (or the anchorage) and a bolt.
//!
//! The bolt pulls or presses at the lever a from the wall, on the strip of the plate that carries it, which bends like one of the
//! length l = give a: with its anchorage and seats it gives more than by itself. Upper plate: a disc that
//! goes on inside the tube, so that it is not clamped at the wall but turns there. Lower plate: held by anchor nuts and grout
//! close to the bolts, taken as clamped at the same lever (assumed).
//!
//! ```text
//! b   = l/(3 * 0.168) - b_span        width that carries the bolt: a long cantilever plate bends under a load at its free
//!                                     edge like a strip of 1.98 l (w = 0.168 P l^2/D); the notch takes its span off it
//! 1/k = l^3/(3 D b) + 6 l/(5 G b t)   bending and shear of the clamped strip
//!     + (l^2/b) r_w/(D (1 + nu))      upper plate: turning of the disc inside the wall, radius r_w
//! X_p = (F_y t^2/4) min(pi + 2, 2 pi r_w/(n a))               yield lines: a fan round the load, or the sector of one bolt
//!                                                             bending about the wall
//! ```
//!
//! The fan is that of a load at a free edge, which is less than that of one at the root of a notch; the sector's line is as long
//! as the wall's share of one bolt of n.
//!
//! D = E t^3/(12 (1 - nu^2)), nu = 0.3. With a lever of zero the plates do not bend.
//!
//! # References
//! - T. J. Jaramillo, J. Applied Mechanics 17 (1950) 67, as in S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and
//!   Shells, cantilever plates: w = 0.168 P a^2/D at the load for nu = 0.3 (recalled).
//! - K. W. Johansen, Yield-line Theory, 1962: load at a free edge, P = (pi + 2) m (recalled); the sector's line is derived.
//! - Timoshenko and Woinowsky-Krieger, circular plates: a disc turns at its edge by M r/(D (1 + nu)) under the edge moment M per length (recalled).

use crate::strength::{InputError, not_negative, positive};
use giveway_scenario::model::SlipBase;
use std::f64::consts::PI;

/// Poisson's ratio of the plates.
const NU: f64 = 0.3;
/// Deflection under a load at the free edge of a long cantilever plate, in P a^2/D.
const EDGE_LOAD: f64 = 0.168;

/// Both plates at one bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateBending {
    /// Stiffness of the upper plate, N/m.
    pub upper_npm: f64,
    /// Stiffness of the lower plate, N/m.
    pub lower_npm: f64,
    /// Both in series k_p, N/m.
    pub stiffness_npm: f64,
    /// Force at which the weaker one bends for good X_p, N.
    pub yield_n: f64,
    /// Width that carries the bolt b, m.
    pub width_m: f64,
}

/// Stiffness and strength of the plates at one bolt of the base.
///
/// # Errors
/// A thickness, modulus, strength or give that is not above zero, a lever below zero.
pub fn plate_bending(base: &SlipBase) -> Result<PlateBending, InputError> {
    let a = not_negative(
        "lever from the pole's wall to the bolt a, m",
        base.plate_lever_m,
    )?;
    let l = a * positive("give of the plates", base.plate_give)?;
    let e = positive("Young's modulus of the plates, Pa", base.plate_youngs_pa)?;
    let fy = positive("yield strength of the plates, Pa", base.plate_yield_pa)?;
    let upper = positive("upper plate thickness, m", base.upper_plate_m)?;
    let lower = positive("lower plate thickness, m", base.lower_plate_m)?;
    let span = positive("width of the notch at the bolt, m", base.notch_span_m)?;
    let wall = (0.5 * base.bolt_circle_m - a).max(0.0);
    // D/(0.168 l^2) = 3 D b/l^3
    let strip = l / (3.0 * EDGE_LOAD);
    // A notch wider than half of the strip is bridged from farther away: half is left.
    let width = (strip - span).max(0.5 * strip);
    if a == 0.0 {
        return Ok(PlateBending {
            upper_npm: f64::INFINITY,
            lower_npm: f64::INFINITY,
            stiffness_npm: f64::INFINITY,
            yield_n: f64::INFINITY,
            width_m: 0.0,
        });
    }
    let shear_modulus = e / (2.0 * (1.0 + NU));
    let d = |t: f64| e * t * t * t / (12.0 * (1.0 - NU * NU));
    let clamped = |t: f64| l * l * l / (3.0 * d(t) * width) + 1.2 * l / (shear_modulus * width * t);
    let turning = l * l / width * wall / (d(upper) * (1.0 + NU));
    let (up, low) = (clamped(upper) + turning, clamped(lower));
    let thin = upper.min(lower);
    let lines = (PI + 2.0).min(2.0 * PI * wall / (base.bolt_count as f64 * a));
    Ok(PlateBending {
        upper_npm: 1.0 / up,
        lower_npm: 1.0 / low,
        stiffness_npm: 1.0 / (up + low),
        yield_n: 0.25 * fy * thin * thin * lines,
        width_m: width,
    })
}
