//! What the clamped base opposes to a slow push in the slip plane, by direction: the closed form of the notches.
//!
//! Each bolt costs f = (mu_o + mu_i) F_p against either plate. With gamma the angle between the push and the notch axis n_i, and
//! beta the half angle of the notch:
//!
//! ```text
//! gamma <= beta        the bolt leaves the lower notch        f along the push
//! gamma >= pi - beta   the upper plate leaves the bolt        f along the push
//! otherwise            squeezed between one wall of each:     A = 2 f cos b/(sin b - mu_w cos b)
//!                      along t  A cos b/2 + (f + mu_w A/2) sin b on each wall, the forces along n cancel
//! tan beta <= mu_w     the squeezed bolt is locked            the load at which it is sheared
//! ```
//!
//! With both walls alike N_L = N_U = A/2 and the force on the upper plate along the tangent t is
//! N_U cos b + (f + mu_w N_U) sin b = f/(sin b - mu_w cos b): the wedge of the module's check value f/sin b at mu_w = 0, gamma =
//! 90 degrees. Along n the upper wall leaves N_U sin b - (f + mu_w N_U) cos b = 0. Per unit of push direction the bolt
//! therefore opposes with the component |sin gamma| of that force.
//!
//! References: derived; published for comparison: Texas Transportation Institute report 75-10 (1967): least resistance near 30
//! degrees of incidence, rising with the tension (seen).
//!
//! It is the resistance at first slip of a plate that is pushed without turning; keeper, prying, bearing in the notch root and
//! findings on site are left out. The impact itself does not use it.

use crate::clamp::ClampProperties;
use crate::strength::{InputError, finite};
use giveway_scenario::model::SlipBase;
use serde::Serialize;

/// How a bolt gives way to a push.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// It leaves the lower notch.
    LeavesLower,
    /// The upper plate leaves it behind.
    LeftBehind,
    /// It is squeezed outward between two walls.
    Squeezed,
    /// The walls hold it; it must be sheared.
    Locked,
}

/// One bolt under a push.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BoltResistance {
    /// Number, from 1.
    pub number: usize,
    /// How it gives way.
    pub way: Way,
    /// Force that it opposes along the push, N.
    pub along_n: f64,
    /// Force on the upper plate across the push, positive to its right, N.
    pub across_n: f64,
}

/// The base under a push.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlipResistance {
    /// Direction of the push in the site frame, rad.
    pub direction_rad: f64,
    /// Sum of the bolts along the push, N.
    pub along_n: f64,
    /// The bolts in their order.
    pub bolts: Vec<BoltResistance>,
}

/// Resistance of the clamped base to a push in a direction (site frame, rad), bolt by bolt, N.
///
/// # Errors
/// A base or a direction without meaning.
pub fn slip_resistance(base: &SlipBase, direction_rad: f64) -> Result<SlipResistance, InputError> {
    let clamp = ClampProperties::from_base(base)?;
    let direction = finite("direction of the push, rad", direction_rad)?;
    let [x, y] = [libm::cos(direction), libm::sin(direction)];
    let (sin_b, cos_b) = (
        libm::sin(base.notch_half_angle_rad),
        libm::cos(base.notch_half_angle_rad),
    );
    // f = mu_o T + mu_i N with T = N = F_p
    let f = (base.friction_outer + base.friction_inner) * clamp.preload_n;
    let bolts: Vec<BoltResistance> = (0..clamp.bolt_count)
        .map(|i| {
            let [nx, ny] = clamp.bolt_direction(i);
            let along = x * nx + y * ny;
            // Positive where the push lies to the left of the notch axis.
            let aside = nx * y - ny * x;
            let (way, along_n, across_n) = if along >= cos_b {
                (Way::LeavesLower, f, 0.0)
            } else if along <= -cos_b {
                (Way::LeftBehind, f, 0.0)
            } else if sin_b <= base.friction_wall * cos_b {
                (Way::Locked, clamp.locked_limit_n(clamp.preload_n), 0.0)
            } else {
                // S = f/(sin b - mu_w cos b) against t, the normal to the notch axis on the side of the push
                let s = f / (sin_b - base.friction_wall * cos_b);
                (Way::Squeezed, s * aside.abs(), s * along * aside.signum())
            };
            BoltResistance {
                number: i + 1,
                way,
                along_n,
                across_n,
            }
        })
        .collect();
    Ok(SlipResistance {
        direction_rad: direction,
        along_n: bolts.iter().map(|b| b.along_n).sum(),
        bolts,
    })
}
