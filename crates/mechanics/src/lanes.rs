//! The same on two bodies, or two wheels, side by side in one register: each lane takes the operations of the plain form in
//! their order, so that its digits are those of the plain form. Arrays are taken apart by name: `map` of an array is not always
//! compiled away.

use nalgebra::{Matrix3, Vector3};
use wide::f64x2;

/// Two numbers.
#[inline(always)]
pub(crate) fn two(a: f64, b: f64) -> f64x2 {
    f64x2::from([a, b])
}

/// Two vectors.
#[derive(Clone, Copy)]
pub(crate) struct Two3(pub [f64x2; 3]);

impl Two3 {
    #[inline(always)]
    pub fn of(a: &Vector3<f64>, b: &Vector3<f64>) -> Self {
        Self([two(a.x, b.x), two(a.y, b.y), two(a.z, b.z)])
    }

    /// The same vector twice.
    #[inline(always)]
    pub fn both(a: &Vector3<f64>) -> Self {
        Self::of(a, a)
    }

    #[inline(always)]
    pub fn apart(self) -> [Vector3<f64>; 2] {
        let [x, y, z] = self.0;
        let (x, y, z) = (x.to_array(), y.to_array(), z.to_array());
        [
            Vector3::new(x[0], y[0], z[0]),
            Vector3::new(x[1], y[1], z[1]),
        ]
    }

    #[inline(always)]
    pub fn dot(&self, b: &Self) -> f64x2 {
        let ([x, y, z], [u, v, w]) = (self.0, b.0);
        x * u + y * v + z * w
    }

    #[inline(always)]
    pub fn cross(&self, b: &Self) -> Self {
        let ([x, y, z], [u, v, w]) = (self.0, b.0);
        Self([y * w - z * v, z * u - x * w, x * v - y * u])
    }

    #[inline(always)]
    pub fn times(self, c: f64x2) -> Self {
        let [x, y, z] = self.0;
        Self([x * c, y * c, z * c])
    }

    #[inline(always)]
    pub fn minus(self, b: Self) -> Self {
        let ([x, y, z], [u, v, w]) = (self.0, b.0);
        Self([x - u, y - v, z - w])
    }

    #[inline(always)]
    pub fn plus(self, b: Self) -> Self {
        let ([x, y, z], [u, v, w]) = (self.0, b.0);
        Self([x + u, y + v, z + w])
    }
}

/// Two matrices, by their columns.
#[derive(Clone, Copy)]
pub(crate) struct Two33(pub [Two3; 3]);

impl Two33 {
    #[inline(always)]
    pub fn of(a: &Matrix3<f64>, b: &Matrix3<f64>) -> Self {
        let column = |i: usize| {
            let at = |r: usize| two(a[(r, i)], b[(r, i)]);
            Two3([at(0), at(1), at(2)])
        };
        Self([column(0), column(1), column(2)])
    }

    #[inline(always)]
    pub fn apart(self) -> [Matrix3<f64>; 2] {
        let [first, second, third] = self.0;
        let ([a, b], [c, d], [e, f]) = (first.apart(), second.apart(), third.apart());
        [
            Matrix3::from_columns(&[a, c, e]),
            Matrix3::from_columns(&[b, d, f]),
        ]
    }

    #[inline(always)]
    pub fn times(&self, v: &Two3) -> Two3 {
        let [a, b, c] = self.0;
        let [x, y, z] = v.0;
        a.times(x).plus(b.times(y)).plus(c.times(z))
    }

    /// The transposed times `v`.
    #[inline(always)]
    pub fn transposed_times(&self, v: &Two3) -> Two3 {
        let [a, b, c] = &self.0;
        Two3([a.dot(v), b.dot(v), c.dot(v)])
    }
}
