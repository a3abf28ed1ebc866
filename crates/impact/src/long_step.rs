//! Bolts that all stick, in steps that are longer than their springs would allow.
//!
//! While every bolt sticks, the upper plate is held in the slip plane by springs: along x and y by n k, about z by n k r^2. In a
//! step of length h these act with a weighted mean of the plate's places y before, at and after the step's start,
//!
//! ```text
//! -K (theta y(-h) + (1 - 2 theta) y(0) + theta y(h))
//! ```
//!
//! so that to the force -K y(0), which the bolts' law gives, comes -theta K (y(h) - 2 y(0) + y(-h)). With theta = 1/4 or more any
//! step is stable; here theta is what brings the product of the step and the frequency to [`STEP_LIMIT`], and what is stable with all of
//! the bending. y(h) hangs on that
//! force: with A h^2 of it the plate goes further, where A is the plate's mobility with what the midpoint rule leaves of the
//! bending in such a step. The error is of second order in h, as the step's own.
//!
//! # References
//! - N. M. Newmark, J. Eng. Mech. Div. ASCE 85 (1959) EM3, 67: the weighted mean, beta = theta (recalled).

use giveway_scenario::model::Scenario;
use nalgebra::{Matrix3, Matrix6, Vector3};
use wide::f64x2;

use crate::solution::{SupportSolution, both};

/// Largest product of circular frequency and step that is used on the joint.
pub(crate) const STEP_LIMIT: f64 = 1.2;

/// A step that is taken while every bolt sticks or every one slides for sure.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LongStep {
    /// Its length, s.
    pub dt: f64,
    /// theta K along the slip plane, N/m, and about z, N.m.
    #[cfg(test)]
    pub weight: [f64; 2],
    /// (1 + theta K A h^2)^-1 theta K.
    ahead: Matrix3<f64>,
}

impl LongStep {
    pub fn new(s: &Scenario, solution: &SupportSolution, dt: f64) -> Self {
        let damping = s.support.damping_ratio;
        let mobility = slip_mobility(solution, damping, dt);
        let radius = 0.5 * s.base.bolt_circle_m;
        let along = s.base.bolt_count as f64 * s.solver.stick_stiffness_npm;
        let twist = along * radius * radius;
        // Square of step and frequency: the softest direction in the plane, and the twist.
        let squared = |a: &Matrix3<f64>| {
            let [mean, half] = [1.0, -1.0].map(|sign| 0.5 * (a[(0, 0)] + sign * a[(1, 1)]));
            let across = mean + (half * half + a[(0, 1)] * a[(0, 1)]).sqrt();
            (along * across).max(twist * a[(2, 2)]) * dt * dt
        };
        let stable = 0.25 - 1.0 / squared(&slip_mobility(solution, damping, 0.0));
        let theta = (1.0 / (STEP_LIMIT * STEP_LIMIT) - 1.0 / squared(&mobility)).max(stable);
        let theta = theta.max(0.0);
        let weight = [theta * along, theta * twist];
        let matrix = Matrix3::from_diagonal(&Vector3::new(weight[0], weight[0], weight[1]));
        let inverse = (Matrix3::identity() + matrix * mobility * (dt * dt)).try_inverse();
        Self {
            dt,
            #[cfg(test)]
            weight,
            ahead: inverse.map_or(matrix, |inverse| inverse * matrix),
        }
    }

    /// Force along x and y, N, and moment about z, N.m, on the foot that sticks, from y(h) - 2 y(0) + y(-h) without them, m and rad; all
    /// along the support's axes.
    #[inline]
    pub fn stick_ahead(&self, bend: [f64; 3]) -> [f64; 3] {
        (-(self.ahead * Vector3::from(bend))).into()
    }
}

/// How the upright pole's foot yields to forces and moments along its six directions in a step of length `dt`, m/s^2 and rad/s^2 for a
/// unit: rigid part and all elastic coordinates.
pub(crate) fn foot_mobility(solution: &SupportSolution, damping: f64, dt: f64) -> Matrix6<f64> {
    let m = &solution.modes.properties;
    let inverse = m.inertia_kgm2.try_inverse().unwrap_or_else(Matrix3::zeros);
    let lever = (-m.centre_m).cross_matrix();
    let linear = Matrix3::identity() / m.mass_kg - lever * inverse * lever;
    let turn = -(lever * inverse);
    let mut mobility = Matrix6::zeros();
    mobility.fixed_view_mut::<3, 3>(0, 0).copy_from(&linear);
    mobility.fixed_view_mut::<3, 3>(0, 3).copy_from(&turn);
    mobility
        .fixed_view_mut::<3, 3>(3, 0)
        .copy_from(&turn.transpose());
    mobility.fixed_view_mut::<3, 3>(3, 3).copy_from(&inverse);
    // What the midpoint rule leaves of a kick.
    let left = |w: f64| 1.0 / (1.0 + damping * w * dt + 0.25 * w * w * dt * dt);
    let bending = solution.foot.iter().zip(solution.basis.omega.chunks(2));
    for (row, omega) in bending {
        let left = f64x2::from([left(omega[0]), omega.get(1).map_or(0.0, |&w| left(w))]);
        mobility += Matrix6::from_fn(|i, j| both(row[i] * row[j] * left));
    }
    mobility
}

/// The part of it along x and y and about z.
fn slip_mobility(solution: &SupportSolution, damping: f64, dt: f64) -> Matrix3<f64> {
    const SLIP: [usize; 3] = [0, 1, 5];
    let mobility = foot_mobility(solution, damping, dt);
    Matrix3::from_fn(|i, j| mobility[(SLIP[i], SLIP[j])])
}
