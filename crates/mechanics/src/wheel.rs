//! One wheel on the road: vertical spring and damper, horizontal force within the friction circle.
//!
//! Rolling is free but for a stated fraction of braking; the lateral force rises with the slip angle and
//! saturates at mu N. Both are smooth functions of the velocity of the contact point:
//! F = mu N x/sqrt(1 + x^2) with x = v/v_0 (our own choice; its limits are Coulomb's).

use nalgebra::{Vector2, Vector3};

/// Speed scale of the braking force, m/s.
const BRAKE_SCALE: f64 = 0.1;
/// Slip (lateral over longitudinal speed) at which the lateral force reaches 71 % of its limit, and the
/// speed scale at standstill, m/s.
const SLIP_SCALE: f64 = 0.08;
const LATERAL_SCALE: f64 = 0.2;

/// One wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Wheel {
    /// Contact point in vehicle axes from the centre of mass, m.
    pub arm: Vector3<f64>,
    /// Static load, N.
    pub static_load_n: f64,
    /// Vertical stiffness of tyre and suspension, N/m.
    pub stiffness_npm: f64,
    /// Vertical damping, N.s/m.
    pub damping_nspm: f64,
    /// Friction coefficient on the road.
    pub friction: f64,
    /// Fraction of full braking.
    pub braking: f64,
}

impl Wheel {
    /// Force at the height `z` and velocity `v` of the contact point (site axes), with the vehicle's
    /// forward direction on the ground `ahead` (unit).
    #[inline]
    pub fn force(&self, z: f64, v: &Vector3<f64>, ahead: &Vector2<f64>) -> Vector3<f64> {
        let n = (self.static_load_n - self.stiffness_npm * z - self.damping_nspm * v.z).max(0.0);
        let along = v.x * ahead.x + v.y * ahead.y;
        let across = v.y * ahead.x - v.x * ahead.y;
        let limit = self.friction * n;
        if self.braking == 0.0 {
            // Nothing along the wheel, and what acts across it stays below the limit.
            let scale = SLIP_SCALE * along.abs() + LATERAL_SCALE;
            let fy = -limit * across / (across * across + scale * scale).sqrt();
            return Vector3::new(-fy * ahead.y, fy * ahead.x, n);
        }
        let fx = -self.braking * limit * along / (along * along + BRAKE_SCALE * BRAKE_SCALE).sqrt();
        let scale = SLIP_SCALE * along.abs() + LATERAL_SCALE;
        let fy = -limit * across / (across * across + scale * scale).sqrt();
        let size = (fx * fx + fy * fy).sqrt();
        let cut = if size > limit { limit / size } else { 1.0 };
        let (fx, fy) = (fx * cut, fy * cut);
        Vector3::new(fx * ahead.x - fy * ahead.y, fx * ahead.y + fy * ahead.x, n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wheel(braking: f64) -> Wheel {
        Wheel {
            arm: Vector3::zeros(),
            static_load_n: 3000.0,
            stiffness_npm: 2e4,
            damping_nspm: 1500.0,
            friction: 0.76,
            braking,
        }
    }

    #[test]
    fn friction_stays_in_the_circle_and_opposes_motion() {
        let w = wheel(1.0);
        for (vx, vy) in [(10.0, 0.0), (10.0, 5.0), (0.0, -8.0), (0.001, 0.0)] {
            let f = w.force(0.0, &Vector3::new(vx, vy, 0.0), &Vector2::x());
            assert!((f.x * f.x + f.y * f.y).sqrt() <= 0.76 * 3000.0 * (1.0 + 1e-12));
            assert!(f.x * vx + f.y * vy <= 0.0);
        }
        // Full braking: mu N to within the regularisation.
        let f = w.force(0.0, &Vector3::new(10.0, 0.0, 0.0), &Vector2::x());
        assert!((f.x + 0.76 * 3000.0).abs() < 1.0);
        // Sliding broadside: mu N.
        let f = wheel(0.0).force(0.0, &Vector3::new(0.0, 8.0, 0.0), &Vector2::x());
        assert!((f.y + 0.76 * 3000.0).abs() < 1.0);
    }

    #[test]
    fn a_lifted_wheel_pulls_nothing() {
        let f = wheel(1.0).force(0.2, &Vector3::new(9.0, 2.0, 0.0), &Vector2::x());
        assert_eq!(f, Vector3::zeros());
    }
}
