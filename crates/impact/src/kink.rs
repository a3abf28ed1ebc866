//! The shaft's plastic hinge at the struck height.
//!
//! The bumper bends the shaft over its foot (and over its own inertia above). Where the bending moment at the struck height
//! reaches the plastic moment of the dented tube, the shaft kinks there: theta_p, a turn of the part above against the part
//! below in both planes, that grows so that the moment stays at the limit (rigid-plastic, associated flow). In the elastic
//! coordinates q the kink is an imposed curvature at that station:
//!
//! ```text
//! U = sum omega_i^2 q_i^2/2 - theta_p.(M q) + theta_p.K theta_p/2        strain energy
//! q_i'' + ... + omega_i^2 q_i = f_i + M_i theta_p                        M_i: moment of coordinate i at the station
//! M = M q - K theta_p,  |M| <= M_p,d                                     K = sum M_i M_i^T/omega_i^2
//! ```
//!
//! The turn is found at the middle of the step together with the elastic coordinates (midpoint rule, implicit), so that no
//! stiffness limits the step and the work M dtheta_p is what the strain energy loses.
//!
//! The plastic moment of the dented section is M_p,d = M_p (cos(a/2) - sin(a)/2), a = arccos(1 - 2 X/D), X the dent.
//! A shaft that kinks bounds the shear that reaches the base; a base may then never let go.
//!
//! # References
//! - C. P. Ellinas, Ultimate strength of damaged tubular bracing members, J. Structural Engineering 110 (1984) 245:
//!   plastic moment of the dented section (recalled).
//! - The imposed curvature in elastic coordinates: derived.

use nalgebra::{Matrix2, Vector2};

/// A dent deeper than this part of the diameter weakens no more: the law's range ends there (assumed, as the dent's own).
const DEEPEST: f64 = 0.5;

/// A right angle, rad.
const RIGHT_ANGLE: f64 = std::f64::consts::FRAC_PI_2;
/// Turn of a hinge beyond which the pole's bending is no small rotation any more, rad.
pub(crate) const FAR_RAD: f64 = 0.35;

/// The kink in the course of a run.
#[derive(Debug, Clone, Default)]
pub(crate) struct Kink {
    /// Turn along the planes x-z and y-z, rad.
    pub turn: Vector2<f64>,
    /// Energy spent, J.
    pub spent: f64,
    /// Sum of all turning, rad.
    pub path: f64,
    /// When it first turned, s.
    pub since: Option<f64>,
    /// When it had turned by a right angle, s: the shaft is folded over what struck it.
    pub over: Option<f64>,
}

/// What is left of the plastic moment in a tube with a dent of the depth X over its diameter.
pub(crate) fn dented(depth_over_diameter: f64) -> f64 {
    let ratio = depth_over_diameter.clamp(0.0, DEEPEST);
    // cos a = 1 - 2 X/D = c: cos(a/2) = sqrt((1 + c)/2), sin a = sqrt(1 - c^2)
    let c = 1.0 - 2.0 * ratio;
    (0.5 * (1.0 + c)).sqrt() - 0.5 * (1.0 - c * c).sqrt()
}

impl Kink {
    /// Turn at the middle of a step, whose moment there would be `moment` less `stiffness` times that turn; no more than the
    /// limit is left.
    pub fn settle(
        &mut self,
        moment: Vector2<f64>,
        stiffness: &Matrix2<f64>,
        limit: f64,
        time: f64,
    ) -> Vector2<f64> {
        let left = moment - stiffness * self.turn;
        let size = left.norm();
        if size <= limit {
            return self.turn;
        }
        let along = left / size;
        let half = (size - limit) / along.dot(&(stiffness * along));
        let middle = self.turn + along * half;
        // The whole step turns twice as far, all of it under the limit.
        self.turn = middle + along * half;
        self.spent += limit * 2.0 * half;
        self.path += 2.0 * half;
        self.since.get_or_insert(time);
        if self.turn.norm_squared() > RIGHT_ANGLE * RIGHT_ANGLE {
            self.over.get_or_insert(time);
        }
        middle
    }

    /// Strain energy that the imposed curvature changes, J, for the moment M q.
    pub fn strain(&self, moment: &Vector2<f64>, stiffness: &Matrix2<f64>) -> f64 {
        0.5 * self.turn.dot(&(stiffness * self.turn)) - self.turn.dot(moment)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dent_weakens_the_section() {
        // a = 60 degrees at X/D = 1/4: cos 30 - sin 60/2
        assert!((dented(0.25) - (0.866_025_403_784 - 0.433_012_701_892)).abs() < 1e-9);
        assert_eq!(dented(0.0), 1.0);
        assert!(dented(0.5) > 0.2 && dented(0.9) == dented(0.5));
    }

    #[test]
    fn the_moment_is_brought_back_to_the_limit_and_its_work_is_booked() {
        let k = Matrix2::from_diagonal_element(2e6);
        let mut kink = Kink::default();
        let m = Vector2::new(30e3, 40e3);
        let middle = kink.settle(m, &k, 45e3, 0.01);
        assert!(((m - k * middle).norm() - 45e3).abs() < 1e-6);
        // 5 kN.m too much, 2 MN.m/rad: 2.5 mrad at the middle, 5 mrad in all.
        assert!((kink.path - 5e-3).abs() < 1e-12 && (kink.spent - 225.0).abs() < 1e-9);
        assert_eq!(kink.turn, 2.0 * middle);
        assert_eq!(kink.since, Some(0.01));
        // Unloaded it stays.
        assert_eq!(kink.settle(m * 0.5, &k, 45e3, 0.02), kink.turn);
    }
}
