//! Large rotations without transcendental functions in the loop.
//!
//! A rotation is a unit quaternion (w, x, y, z). One step with the rotation vector phi = 2 h multiplies
//! by (1, g)/|(1, g)| with g = h (1 + |h|^2/3), which is tan(|h|) to third order: only + - * / sqrt.

use nalgebra::{Matrix3, Vector3};
use wide::f64x2;

use crate::lanes::{Two3, Two33, two};

/// Unit quaternion, body axes to site axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Attitude {
    /// Scalar part.
    pub w: f64,
    /// Vector part.
    pub v: Vector3<f64>,
}

/// g of the rotation vector `phi`.
#[inline]
fn half_tangent(phi: &Vector3<f64>) -> Vector3<f64> {
    let h = phi * 0.5;
    h * (1.0 + h.norm_squared() * (1.0 / 3.0))
}

/// What the rotation by g makes of a vector, and what it makes the vector of: a + 2 (+-g x a + g x (g x a))/(1 + g^2).
#[inline]
fn turned(a: &Vector3<f64>, g: &Vector3<f64>) -> [Vector3<f64>; 2] {
    let scale = 2.0 / (1.0 + g.norm_squared());
    let first = g.cross(a);
    let second = g.cross(&first);
    [a + (first + second) * scale, a + (second - first) * scale]
}

impl Attitude {
    /// No rotation.
    pub fn identity() -> Self {
        Self {
            w: 1.0,
            v: Vector3::zeros(),
        }
    }

    /// Rotation about the vertical by `angle` rad.
    pub fn yaw(angle: f64) -> Self {
        Self {
            w: libm::cos(0.5 * angle),
            v: Vector3::new(0.0, 0.0, libm::sin(0.5 * angle)),
        }
    }

    /// This attitude followed by the rotation vector `phi` (site axes, rad).
    #[inline]
    pub fn rotated_by(&self, phi: &Vector3<f64>) -> Self {
        let g = half_tangent(phi);
        // (1, g) * (w, v), whose size is the product of theirs
        let size = (1.0 + g.norm_squared()) * (self.w * self.w + self.v.norm_squared());
        let n = 1.0 / size.sqrt();
        let w = self.w - g.dot(&self.v);
        let v = self.v + g * self.w + g.cross(&self.v);
        Self { w: w * n, v: v * n }
    }

    /// The rotation `first` followed by this one (quaternion product).
    pub fn after(&self, first: &Self) -> Self {
        Self {
            w: self.w * first.w - self.v.dot(&first.v),
            v: first.v * self.w + self.v * first.w + self.v.cross(&first.v),
        }
    }

    /// Rotation matrix, body axes to site axes.
    #[inline]
    pub fn matrix(&self) -> Matrix3<f64> {
        let (w, x, y, z) = (self.w, self.v.x, self.v.y, self.v.z);
        Matrix3::new(
            1.0 - 2.0 * (y * y + z * z),
            2.0 * (x * y - w * z),
            2.0 * (x * z + w * y),
            2.0 * (x * y + w * z),
            1.0 - 2.0 * (x * x + z * z),
            2.0 * (y * z - w * x),
            2.0 * (x * z - w * y),
            2.0 * (y * z + w * x),
            1.0 - 2.0 * (x * x + y * y),
        )
    }

    /// Roll, pitch, yaw of ISO 8855 axes (z-y-x sequence), rad.
    pub fn roll_pitch_yaw(&self) -> [f64; 3] {
        let m = self.matrix();
        let pitch = -libm::asin(m[(2, 0)].clamp(-1.0, 1.0));
        [
            libm::atan2(m[(2, 1)], m[(2, 2)]),
            pitch,
            libm::atan2(m[(1, 0)], m[(0, 0)]),
        ]
    }

    /// As w, x, y, z.
    pub fn to_array(self) -> [f64; 4] {
        [self.w, self.v.x, self.v.y, self.v.z]
    }
}

/// A rigid body that carries its angular momentum in site axes, stepped by the midpoint of its rotation.
#[derive(Debug, Clone)]
pub struct Spin {
    /// Attitude.
    pub attitude: Attitude,
    /// Rotation matrix of `attitude`.
    pub rotation: Matrix3<f64>,
    /// Angular momentum about the centre of mass, site axes, kg.m^2/s.
    pub momentum: Vector3<f64>,
    /// Inverse of the inertia in body axes, 1/(kg.m^2).
    pub inverse_inertia: Matrix3<f64>,
    /// Angular velocity at the last drift, site axes, rad/s.
    pub rate: Vector3<f64>,
}

impl Spin {
    /// A body at rest. None when the inertia cannot be inverted.
    pub fn at_rest(attitude: Attitude, inertia: Matrix3<f64>) -> Option<Self> {
        Some(Self {
            attitude,
            rotation: attitude.matrix(),
            momentum: Vector3::zeros(),
            inverse_inertia: inertia.try_inverse()?,
            rate: Vector3::zeros(),
        })
    }

    /// Kinetic energy of the rotation with the momentum `l`, J.
    #[inline]
    pub fn energy_with(&self, l: &Vector3<f64>) -> f64 {
        let b = self.rotation.tr_mul(l);
        0.5 * b.dot(&(self.inverse_inertia * b))
    }

    /// Turns by one step, with the rate omega = R I^-1 R^T L taken at the middle of the step; the middle
    /// is found with the rate of the last step, which is enough for second order.
    #[inline]
    pub fn drift(&mut self, dt: f64) {
        let g = half_tangent(&(self.rate * (0.5 * dt)));
        let [_, momentum] = turned(&self.momentum, &g);
        let r = &self.rotation;
        [self.rate, _] = turned(&(r * (self.inverse_inertia * r.tr_mul(&momentum))), &g);
        self.attitude = self.attitude.rotated_by(&(self.rate * dt));
        self.rotation = self.attitude.matrix();
    }
}

/// As [`half_tangent`].
#[inline(always)]
fn half_tangents(phi: Two3) -> Two3 {
    let h = phi.times(f64x2::splat(0.5));
    h.times(f64x2::splat(1.0) + h.dot(&h) * f64x2::splat(1.0 / 3.0))
}

/// As [`turned`].
#[inline(always)]
fn both_turned(a: &Two3, g: &Two3) -> [Two3; 2] {
    let scale = f64x2::splat(2.0) / (f64x2::splat(1.0) + g.dot(g));
    let first = g.cross(a);
    let second = g.cross(&first);
    [
        a.plus(first.plus(second).times(scale)),
        a.plus(second.minus(first).times(scale)),
    ]
}

/// Two attitudes.
#[derive(Clone, Copy)]
struct TwoAttitudes {
    w: f64x2,
    v: Two3,
}

impl TwoAttitudes {
    /// As [`Attitude::rotated_by`].
    #[inline(always)]
    fn rotated_by(&self, phi: Two3) -> Self {
        let one = f64x2::splat(1.0);
        let g = half_tangents(phi);
        let size = (one + g.dot(&g)) * (self.w * self.w + self.v.dot(&self.v));
        let n = one / size.sqrt();
        let w = self.w - g.dot(&self.v);
        let v = self.v.plus(g.times(self.w)).plus(g.cross(&self.v));
        Self {
            w: w * n,
            v: v.times(n),
        }
    }

    /// As [`Attitude::matrix`].
    #[inline(always)]
    fn matrix(&self) -> Two33 {
        let (w, [x, y, z]) = (self.w, self.v.0);
        let (one, two) = (f64x2::splat(1.0), f64x2::splat(2.0));
        Two33([
            Two3([
                one - two * (y * y + z * z),
                two * (x * y + w * z),
                two * (x * z - w * y),
            ]),
            Two3([
                two * (x * y - w * z),
                one - two * (x * x + z * z),
                two * (y * z + w * x),
            ]),
            Two3([
                two * (x * z + w * y),
                two * (y * z - w * x),
                one - two * (x * x + y * y),
            ]),
        ])
    }
}

/// [`Spin::drift`] of two bodies at once, with the same digits.
#[inline]
pub fn drift_both(a: &mut Spin, b: &mut Spin, dt: f64) {
    let attitude = TwoAttitudes {
        w: two(a.attitude.w, b.attitude.w),
        v: Two3::of(&a.attitude.v, &b.attitude.v),
    };
    let before = Two3::of(&a.rate, &b.rate);
    let g = half_tangents(before.times(f64x2::splat(0.5 * dt)));
    let [_, momentum] = both_turned(&Two3::of(&a.momentum, &b.momentum), &g);
    let rotation = Two33::of(&a.rotation, &b.rotation);
    let inverse = Two33::of(&a.inverse_inertia, &b.inverse_inertia);
    let rate = rotation.times(&inverse.times(&rotation.transposed_times(&momentum)));
    let [rate, _] = both_turned(&rate, &g);
    let attitude = attitude.rotated_by(rate.times(f64x2::splat(dt)));
    let w = attitude.w.to_array();
    let vectors = attitude.v.apart();
    let rotations = attitude.matrix().apart();
    let rates = rate.apart();
    for (i, spin) in [a, b].into_iter().enumerate() {
        spin.rate = rates[i];
        spin.attitude = Attitude {
            w: w[i],
            v: vectors[i],
        };
        spin.rotation = rotations[i];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_bodies_at_once_turn_as_each_alone() {
        let inertia = [
            Matrix3::new(900.0, 3.0, 1.0, 3.0, 1100.0, -20.0, 1.0, -20.0, 60.0),
            Matrix3::new(300.0, 0.0, 0.0, 0.0, 1400.0, 0.0, 0.0, 0.0, 1500.0),
        ];
        let mut alone = inertia.map(|i| Spin::at_rest(Attitude::yaw(0.3), i).unwrap());
        alone[0].momentum = Vector3::new(2000.0, -300.0, 70.0);
        alone[1].momentum = Vector3::new(-20.0, 900.0, 1300.0);
        let [mut a, mut b] = alone.clone();
        for _ in 0..2000 {
            alone.iter_mut().for_each(|spin| spin.drift(1e-4));
            drift_both(&mut a, &mut b, 1e-4);
            for (spin, both) in alone.iter().zip([&a, &b]) {
                assert_eq!(spin.attitude, both.attitude);
                assert_eq!(spin.rotation, both.rotation);
                assert_eq!(spin.rate, both.rate);
            }
        }
        assert!((alone[0].rotation[(2, 2)] - 1.0).abs() > 1e-3);
    }

    #[test]
    fn quarter_turn_in_small_steps() {
        let mut a = Attitude::identity();
        let n = 20_000;
        let phi = Vector3::new(0.0, 0.0, std::f64::consts::FRAC_PI_2 / n as f64);
        for _ in 0..n {
            a = a.rotated_by(&phi);
        }
        let b = Attitude::yaw(std::f64::consts::FRAC_PI_2);
        assert!((a.w - b.w).abs() < 1e-12 && (a.v - b.v).norm() < 1e-12);
        let m = a.matrix();
        assert!((m.transpose() * m - Matrix3::identity()).norm() < 1e-13);
        assert!((a.roll_pitch_yaw()[2] - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
    }

    #[test]
    fn torque_free_spin_keeps_energy() {
        let i = Matrix3::new(900.0, 3.0, 1.0, 3.0, 1100.0, -20.0, 1.0, -20.0, 60.0);
        let mut s = Spin::at_rest(Attitude::identity(), i).unwrap();
        s.rate = Vector3::new(2.0, 1.0, 4.0);
        s.momentum = i * s.rate;
        let e0 = s.energy_with(&s.momentum);
        for _ in 0..20_000 {
            s.drift(5e-5);
        }
        let e1 = s.energy_with(&s.momentum);
        assert!(((e1 - e0) / e0).abs() < 1e-7, "{}", (e1 - e0) / e0);
    }
}
