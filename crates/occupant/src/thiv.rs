//! Theoretical head impact velocity (THIV) and post-impact head deceleration (PHD), planar, with yaw.
//!
//! The head starts at (x0, y0) in vehicle axes with the velocity of that point of the vehicle and then flies free
//! over the ground. With D the vector from the vehicle's centre C to the head in a ground frame that coincides
//! with the vehicle axes at first touch, psi the turn since then and R the rotation by psi:
//!
//! ```text
//! psi' = w                       psi(0) = 0
//! D''  = -R(psi) a               D(0) = (x0, y0)      D'(0) = w(0) x D(0)
//! r    = R(-psi) D               contact: |r_x - x0| = 0.6 m or |r_y - y0| = 0.3 m
//! THIV = |R(-psi) D' - w x r|    at contact
//! PHD  = largest |(a_x, a_y)| after contact
//! ```
//!
//! Heading and velocity at first touch cancel. Over an interval the heading turns at the middle yaw rate and the
//! ground-frame acceleration is that of the middle heading; the error of one interval is (w T)^2 / 24 of its velocity
//! change, below 1e-7 at 10 rad/s and 100 us. Contact is located inside the interval. The yaw rates at first touch and
//! at contact are interpolated between the middles of intervals.
//!
//! PHD comes in two variants: 10 ms running mean (US texts) and 10 Hz four-pole phaseless filter (EN 1317; recalled,
//! of medium certainty).
//!
//! References
//! - EN 1317-1:2010, Road restraint systems, part 1: terminology and general criteria for test methods (recalled).
//! - EN 1317-1:1998 (recalled).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::filter::{Edge, LowPass};
use crate::flail::{LATERAL_SPACE_M, LONGITUDINAL_SPACE_M, RIDEDOWN_WINDOW_S, Surface};
use crate::means::{Extreme, VelocityGain};
use crate::motion::Motion;
use crate::{KMPH_PER_MPS, STANDARD_GRAVITY_MPS2};

/// Frequency at which the filter of the second PHD variant is 3 dB down, Hz (recalled, medium certainty).
pub const PHD_FILTER_HZ: f64 = 10.0;

/// Result of the free head.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HeadImpact {
    /// Theoretical head impact velocity, m/s; none where the head meets nothing in the record.
    pub thiv_mps: Option<f64>,
    /// The same in km/h, the unit of EN 1317.
    pub thiv_kmph: Option<f64>,
    /// When the head meets the surface, s.
    pub contact_time_s: Option<f64>,
    /// Which surface it meets.
    pub surface: Option<Surface>,
    /// Velocity of the head relative to the vehicle at contact, or at the end of the record without contact,
    /// along x and y, m/s.
    pub relative_velocity_mps: [f64; 2],
    /// How far the head has moved in the vehicle by then, along x and y, m.
    pub displacement_m: [f64; 2],
    /// PHD of 10 ms means, g; none without contact or with less than 10 ms of record after it.
    pub phd_10ms_mean: Option<Extreme>,
    /// PHD of the 10 Hz filtered acceleration, g; none without contact or with too coarse a sampling.
    pub phd_10hz_filter: Option<Extreme>,
}

/// Flight of the head seen from the centre of mass, in the ground frame of first touch.
#[derive(Debug, Clone, Copy)]
struct Flight {
    /// Head minus centre, m.
    d: [f64; 2],
    /// Its rate, m/s.
    v: [f64; 2],
    /// Cosine and sine of psi.
    turn: [f64; 2],
}

impl Flight {
    /// After `tau` with ground-frame acceleration `a` of the centre and yaw rate `w`.
    #[inline(always)]
    fn after(&self, a: [f64; 2], w: f64, tau: f64) -> Self {
        self.turned(a, tau, compose(self.turn, rotation(w * tau)))
    }

    #[inline(always)]
    fn turned(&self, a: [f64; 2], tau: f64, turn: [f64; 2]) -> Self {
        Self {
            d: [
                self.d[0] + tau * (self.v[0] - 0.5 * a[0] * tau),
                self.d[1] + tau * (self.v[1] - 0.5 * a[1] * tau),
            ],
            v: [self.v[0] - a[0] * tau, self.v[1] - a[1] * tau],
            turn,
        }
    }

    /// Displacement of the head in vehicle axes: R(-psi) D - r0.
    #[inline(always)]
    fn displacement(&self, r0: [f64; 2]) -> [f64; 2] {
        let r = rotate_back(self.turn, self.d);
        [r[0] - r0[0], r[1] - r0[1]]
    }

    /// Velocity of the head in vehicle axes: R(-psi) D' - w x r.
    fn relative_velocity(&self, w: f64) -> [f64; 2] {
        let r = rotate_back(self.turn, self.d);
        let v = rotate_back(self.turn, self.v);
        [v[0] + w * r[1], v[1] - w * r[0]]
    }
}

/// Whether the free space is used up.
#[inline(always)]
fn meets(displacement: [f64; 2]) -> bool {
    displacement[0].abs() >= LONGITUDINAL_SPACE_M || displacement[1].abs() >= LATERAL_SPACE_M
}

/// Flies the head through a record that passed [`Motion::check`].
pub fn head_impact(motion: &Motion, gain: &VelocityGain) -> HeadImpact {
    let dt = motion.interval_s;
    let r0 = motion.head_m;
    let w0 = yaw_rate_at(motion.yaw_rate_radps, 0.0);
    let mut flight = Flight {
        d: r0,
        v: [-w0 * r0[1], w0 * r0[0]],
        turn: [1.0, 0.0],
    };
    for (k, (a, &w)) in motion
        .acceleration_mps2
        .iter()
        .zip(motion.yaw_rate_radps)
        .enumerate()
    {
        // the half turn gives the middle heading, twice the half turn the end heading
        let half_turn = rotation(0.5 * w * dt);
        let ground = rotate(compose(flight.turn, half_turn), [a[0], a[1]]);
        let turn = compose(flight.turn, compose(half_turn, half_turn));
        let next = flight.turned(ground, dt, turn);
        if meets(next.displacement(r0)) {
            let tau = locate(&flight, ground, w, dt, r0);
            let at_contact = flight.after(ground, w, tau);
            let w_contact = yaw_rate_at(motion.yaw_rate_radps, k as f64 + tau / dt);
            return at_surface(motion, gain, &at_contact, w_contact, k as f64 * dt + tau);
        }
        flight = next;
    }
    let w_end = yaw_rate_at(motion.yaw_rate_radps, motion.yaw_rate_radps.len() as f64);
    HeadImpact {
        thiv_mps: None,
        thiv_kmph: None,
        contact_time_s: None,
        surface: None,
        relative_velocity_mps: flight.relative_velocity(w_end),
        displacement_m: flight.displacement(r0),
        phd_10ms_mean: None,
        phd_10hz_filter: None,
    }
}

/// Yaw rate at `place` intervals after first touch, on the straight line through the two nearest middles.
fn yaw_rate_at(middles: &[f64], place: f64) -> f64 {
    let &[.., before_last, last] = middles else {
        return middles.first().copied().unwrap_or(0.0);
    };
    // middle k lies at k + 1/2
    let k = (place - 0.5).max(0.0) as usize;
    let (k, a, b) = match (middles.get(k), middles.get(k + 1)) {
        (Some(&a), Some(&b)) => (k, a, b),
        _ => (middles.len() - 2, before_last, last),
    };
    a + (place - 0.5 - k as f64) * (b - a)
}

/// Time within the interval at which the free space is used up, by bisection to the last bit.
fn locate(flight: &Flight, ground: [f64; 2], w: f64, dt: f64, r0: [f64; 2]) -> f64 {
    let (mut free, mut met) = (0.0, dt);
    loop {
        let tau = 0.5 * (free + met);
        if tau <= free || tau >= met {
            return met;
        }
        if meets(flight.after(ground, w, tau).displacement(r0)) {
            met = tau;
        } else {
            free = tau;
        }
    }
}

fn at_surface(
    motion: &Motion,
    gain: &VelocityGain,
    flight: &Flight,
    w: f64,
    contact_time_s: f64,
) -> HeadImpact {
    let displacement_m = flight.displacement(motion.head_m);
    let [x, y] = displacement_m;
    let surface = if x.abs() / LONGITUDINAL_SPACE_M >= y.abs() / LATERAL_SPACE_M {
        if x > 0.0 {
            Surface::Forward
        } else {
            Surface::Rearward
        }
    } else if y > 0.0 {
        Surface::Left
    } else {
        Surface::Right
    };
    let relative_velocity_mps = flight.relative_velocity(w);
    let [vx, vy] = relative_velocity_mps;
    let thiv_mps = (vx * vx + vy * vy).sqrt();
    let phd_10ms_mean = gain
        .largest_by(RIDEDOWN_WINDOW_S, contact_time_s, |m| {
            m[0] * m[0] + m[1] * m[1]
        })
        .map(|b| Extreme {
            value_g: b.score.sqrt() / STANDARD_GRAVITY_MPS2,
            start_s: b.start_s,
        });
    HeadImpact {
        thiv_mps: Some(thiv_mps),
        thiv_kmph: Some(thiv_mps * KMPH_PER_MPS),
        contact_time_s: Some(contact_time_s),
        surface: Some(surface),
        relative_velocity_mps,
        displacement_m,
        phd_10ms_mean,
        phd_10hz_filter: filtered_phd(motion, contact_time_s),
    }
}

/// Largest resultant of the filtered acceleration at the interval middles from `from_s` on; none where the samples are
/// too far apart for the filter.
fn filtered_phd(motion: &Motion, from_s: f64) -> Option<Extreme> {
    let dt = motion.interval_s;
    let filter = LowPass::phaseless(PHD_FILTER_HZ, dt).ok()?;
    let mut horizontal: Vec<[f64; 2]> = motion
        .acceleration_mps2
        .iter()
        .map(|a| [a[0], a[1]])
        .collect();
    filter.run_axes(&mut horizontal, Edge::Rest, Edge::Hold);
    // the first interval whose middle is not before contact
    let first = (from_s / dt - 0.5).ceil().max(0.0) as usize;
    let mut largest: Option<(usize, f64)> = None;
    for (k, [ax, ay]) in horizontal.iter().enumerate().skip(first) {
        let squared = ax * ax + ay * ay;
        if largest.is_none_or(|(_, before)| squared > before) {
            largest = Some((k, squared));
        }
    }
    largest.map(|(k, squared)| Extreme {
        value_g: squared.sqrt() / STANDARD_GRAVITY_MPS2,
        start_s: k as f64 * dt,
    })
}

/// Cosine and sine of `angle`, rad.
///
/// Small angles, the rule within one interval, take the series to h^6 and h^7; what they leave out is below 2e-16.
#[inline(always)]
fn rotation(angle: f64) -> [f64; 2] {
    if angle.abs() > 0.04 {
        return [libm::cos(angle), libm::sin(angle)];
    }
    let q = angle * angle;
    // cos h = 1 - h^2/2 + h^4/24 - h^6/720;  sin h = h - h^3/6 + h^5/120 - h^7/5040
    [
        1.0 - q * (1.0 / 2.0 - q * (1.0 / 24.0 - q * (1.0 / 720.0))),
        angle * (1.0 - q * (1.0 / 6.0 - q * (1.0 / 120.0 - q * (1.0 / 5040.0)))),
    ]
}

#[inline(always)]
fn compose(p: [f64; 2], q: [f64; 2]) -> [f64; 2] {
    [p[0] * q[0] - p[1] * q[1], p[1] * q[0] + p[0] * q[1]]
}

/// R v.
#[inline(always)]
fn rotate(turn: [f64; 2], v: [f64; 2]) -> [f64; 2] {
    [
        turn[0] * v[0] - turn[1] * v[1],
        turn[1] * v[0] + turn[0] * v[1],
    ]
}

/// R^T v.
#[inline(always)]
fn rotate_back(turn: [f64; 2], v: [f64; 2]) -> [f64; 2] {
    [
        turn[0] * v[0] + turn[1] * v[1],
        turn[0] * v[1] - turn[1] * v[0],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn yaw_rate_between_and_beyond_the_middles() {
        let line = [1.0, 3.0, 5.0];
        for (place, expected) in [(0.0, 0.0), (0.5, 1.0), (1.0, 2.0), (2.5, 5.0), (3.0, 6.0)] {
            assert_eq!(yaw_rate_at(&line, place), expected, "{place}");
        }
        assert_eq!(yaw_rate_at(&[2.0], 0.7), 2.0);
        assert_eq!(yaw_rate_at(&[], 0.7), 0.0);
    }

    #[test]
    fn small_turns_agree_with_sine_and_cosine() {
        for i in -100..=100 {
            let angle = f64::from(i) * 5e-4;
            let [c, s] = rotation(angle);
            assert!((c - libm::cos(angle)).abs() < 4e-16, "{angle}");
            assert!((s - libm::sin(angle)).abs() < 4e-16, "{angle}");
        }
    }
}
