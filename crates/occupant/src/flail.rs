//! Flail-space model: the occupant as a free point mass in the vehicle.
//!
//! The occupant keeps its velocity while the vehicle slows down; relative to the vehicle it moves by
//!
//! ```text
//! u''(t) = -a(t),  u(0) = u'(0) = 0          in vehicle axes, turning of the vehicle neglected
//! t* = first t with |u_x| = 0.6 m or |u_y| = 0.3 m
//! OIV_x = u_x'(t*),  OIV_y = u_y'(t*)
//! ```
//!
//! The acceleration is constant over each interval, so u is a parabola there and t* is a root of a quadratic:
//! t* and the impact velocity are exact for the record as given. After t* the occupant rides the vehicle; the
//! ridedown acceleration is the largest 10 ms mean of each component of a.
//!
//! Where neither distance is reached in the record, the impact velocity is the velocity change of the vehicle
//! during contact with the support or its parts and the ridedown is "no contact" (an FHWA acceptance letter
//! prints exactly that; seen).
//!
//! References
//! - J. D. Michie, Collision risk assessment based on occupant flail-space model, Transportation Research Record 796, 1981 (recalled).
//! - H. E. Ross and others, NCHRP Report 350, 1993, appendix A (recalled).
//! - AASHTO, Manual for Assessing Safety Hardware (MASH), 2nd edition, 2016, appendix A (recalled).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::means::{Extreme, VelocityGain};
use crate::motion::Motion;

/// Free distance ahead of and behind the occupant, m (recalled: Michie 1981).
pub const LONGITUDINAL_SPACE_M: f64 = 0.6;
/// Free distance to either side of the occupant, m (recalled: Michie 1981).
pub const LATERAL_SPACE_M: f64 = 0.3;
/// Averaging window of the ridedown acceleration, s (recalled: NCHRP Report 350, 1993).
pub const RIDEDOWN_WINDOW_S: f64 = 0.010;

/// Which surface the occupant meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Surface {
    /// Ahead.
    Forward,
    /// Behind.
    Rearward,
    /// On the left.
    Left,
    /// On the right.
    Right,
}

/// Where the occupant impact velocity comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum VelocityBasis {
    /// The occupant crossed the free space.
    FlailSpace,
    /// It did not: the velocity change of the vehicle during contact stands in.
    ContactVelocityChange,
}

/// What can be said about the ridedown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RidedownStatus {
    /// Evaluated from the occupant's contact to the end of the record.
    Evaluated,
    /// The occupant reaches no surface in the record.
    NoContact,
    /// Less than one averaging window is left after the occupant's contact.
    RecordTooShort,
}

/// Result of the flail-space model. Velocities are those of the occupant relative to the vehicle: positive
/// forward and to the left. Ridedown accelerations are the vehicle's: a braking vehicle has a negative one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FlailSpace {
    /// Occupant impact velocity along x, m/s.
    pub oiv_longitudinal_mps: f64,
    /// Occupant impact velocity along y, m/s.
    pub oiv_lateral_mps: f64,
    /// Where these velocities come from.
    pub basis: VelocityBasis,
    /// When the occupant meets the surface, t*, s; none where it does not.
    pub contact_time_s: Option<f64>,
    /// Which surface it meets.
    pub surface: Option<Surface>,
    /// Largest 10 ms mean after contact along x.
    pub ridedown_longitudinal: Option<Extreme>,
    /// Largest 10 ms mean after contact along y.
    pub ridedown_lateral: Option<Extreme>,
    /// Whether and why (not) the ridedown was evaluated.
    pub ridedown_status: RidedownStatus,
    /// How far the occupant has moved at contact, or at the end of the record without contact, along x and y, m.
    pub displacement_m: [f64; 2],
}

/// State of the free occupant: displacement and velocity relative to the vehicle.
#[derive(Debug, Clone, Copy, Default)]
struct Flight {
    u: [f64; 2],
    v: [f64; 2],
}

impl Flight {
    /// After `tau` of constant vehicle acceleration a: u + v tau - a tau^2 / 2, v - a tau.
    #[inline(always)]
    fn after(&self, a: &[f64; 3], tau: f64) -> Self {
        let [u, v] = [self.u, self.v];
        Self {
            u: [
                u[0] + tau * (v[0] - 0.5 * a[0] * tau),
                u[1] + tau * (v[1] - 0.5 * a[1] * tau),
            ],
            v: [v[0] - a[0] * tau, v[1] - a[1] * tau],
        }
    }

    /// Time within (0, `interval_s`] at which a surface is first met, and which.
    fn meets(&self, a: &[f64; 3], interval_s: f64) -> Option<(f64, Surface)> {
        const SURFACES: [(usize, f64, f64, Surface); 4] = [
            (0, 1.0, LONGITUDINAL_SPACE_M, Surface::Forward),
            (0, -1.0, LONGITUDINAL_SPACE_M, Surface::Rearward),
            (1, 1.0, LATERAL_SPACE_M, Surface::Left),
            (1, -1.0, LATERAL_SPACE_M, Surface::Right),
        ];
        let mut first: Option<(f64, Surface)> = None;
        for (axis, sign, space, surface) in SURFACES {
            let gap = space - sign * self.u[axis];
            if let Some(tau) = time_to_cross(gap, sign * self.v[axis], -sign * a[axis])
                && tau <= interval_s
                && first.is_none_or(|(earliest, _)| tau < earliest)
            {
                first = Some((tau, surface));
            }
        }
        first
    }
}

/// First tau >= 0 with v tau + a tau^2 / 2 = gap, where gap > 0 has still to be crossed.
fn time_to_cross(gap: f64, v: f64, a: f64) -> Option<f64> {
    if gap <= 0.0 {
        return Some(0.0);
    }
    // v^2 + 2 a gap is the squared speed on arrival; the form below does not cancel
    let arrival_squared = v * v + 2.0 * a * gap;
    if arrival_squared < 0.0 {
        return None;
    }
    let denominator = v + arrival_squared.sqrt();
    (denominator > 0.0).then(|| 2.0 * gap / denominator)
}

/// Runs the flail-space model on a record that passed [`Motion::check`].
///
/// `contact_velocity_change_mps` is the velocity change during contact in vehicle axes, signed as the result is
/// (see [`Motion::velocity_change_by_mps`]); it is used where the occupant reaches no surface.
pub fn flail_space(
    motion: &Motion,
    gain: &VelocityGain,
    contact_velocity_change_mps: [f64; 2],
) -> FlailSpace {
    let dt = motion.interval_s;
    let mut flight = Flight::default();
    for (k, a) in motion.acceleration_mps2.iter().enumerate() {
        let next = flight.after(a, dt);
        // |u + v tau - a tau^2 / 2| <= |u| + |v| dt + |a| dt^2 / 2: most intervals cannot reach a surface
        let within = |axis: usize, space: f64| {
            let reach = flight.v[axis].abs() + 0.5 * a[axis].abs() * dt;
            flight.u[axis].abs() + reach * dt < space
        };
        if !(within(0, LONGITUDINAL_SPACE_M) && within(1, LATERAL_SPACE_M))
            && let Some((tau, surface)) = flight.meets(a, dt)
        {
            let at_contact = flight.after(a, tau);
            let contact_time_s = k as f64 * dt + tau;
            let ridedown = gain.largest_means(RIDEDOWN_WINDOW_S, contact_time_s);
            return FlailSpace {
                oiv_longitudinal_mps: at_contact.v[0],
                oiv_lateral_mps: at_contact.v[1],
                basis: VelocityBasis::FlailSpace,
                contact_time_s: Some(contact_time_s),
                surface: Some(surface),
                ridedown_longitudinal: ridedown.map(|r| r.longitudinal),
                ridedown_lateral: ridedown.map(|r| r.lateral),
                ridedown_status: match ridedown {
                    Some(_) => RidedownStatus::Evaluated,
                    None => RidedownStatus::RecordTooShort,
                },
                displacement_m: at_contact.u,
            };
        }
        flight = next;
    }
    let [oiv_longitudinal_mps, oiv_lateral_mps] = contact_velocity_change_mps;
    FlailSpace {
        oiv_longitudinal_mps,
        oiv_lateral_mps,
        basis: VelocityBasis::ContactVelocityChange,
        contact_time_s: None,
        surface: None,
        ridedown_longitudinal: None,
        ridedown_lateral: None,
        ridedown_status: RidedownStatus::NoContact,
        displacement_m: flight.u,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crossing_takes_the_first_root_only() {
        // moving towards the surface while being pulled back: 0.6 = 4 t - 2 t^2 has roots 0.1629 and 1.837
        let tau = time_to_cross(0.6, 4.0, -4.0).unwrap();
        assert!((4.0 * tau - 2.0 * tau * tau - 0.6).abs() < 1e-14 && tau < 1.0);
        // turned back before the surface
        assert_eq!(time_to_cross(2.1, 4.0, -4.0), None);
        // moving away for good
        assert_eq!(time_to_cross(0.6, -1.0, 0.0), None);
        assert_eq!(time_to_cross(0.6, 0.0, 0.0), None);
        // no acceleration
        assert_eq!(time_to_cross(0.6, 2.0, 0.0), Some(0.3));
        assert_eq!(time_to_cross(0.0, -1.0, 0.0), Some(0.0));
    }
}
