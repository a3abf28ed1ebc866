//! Tapered 3-D Euler-Bernoulli beam element: stiffness and consistent mass, 12 degrees of freedom.
//!
//! Local axes: 1 along the member, 2 and 3 across it. Node degrees of freedom in site axes are
//! (u_x, u_y, u_z, r_x, r_y, r_z). Taper enters through Gauss integration of the section properties;
//! rotary inertia of the section is included, so that rigid-body inertia is exact.
//!
//! References: J. S. Przemieniecki, Theory of Matrix Structural Analysis (1968), beam element and
//! consistent mass (recalled).

use nalgebra::{Matrix3, SMatrix, Vector3};

/// 12 x 12 element matrix.
pub type ElementMatrix = SMatrix<f64, 12, 12>;

/// Gauss points and weights on 0..1, four points.
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_93),
    (0.330_009_478_207_571_87, 0.326_072_577_431_273_07),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_07),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_93),
];

/// What a beam is made of at one place.
#[derive(Debug, Clone, Copy)]
pub struct BeamStation {
    /// Axial stiffness EA, N.
    pub axial_n: f64,
    /// Bending stiffness EI, N.m^2.
    pub bending_nm2: f64,
    /// Torsional stiffness GJ, N.m^2.
    pub torsion_nm2: f64,
    /// Mass per length, kg/m.
    pub mass_kgpm: f64,
    /// Rotary inertia of the section per length about an axis in its plane, kg.m.
    pub rotary_kgm: f64,
    /// Rotary inertia per length about the member's axis, kg.m.
    pub polar_kgm: f64,
}

/// Hermite shape functions at x in 0..1 of an element of length l, on (u_a, slope_a, u_b, slope_b).
pub fn hermite(x: f64, l: f64) -> [f64; 4] {
    let x2 = x * x;
    let x3 = x2 * x;
    [
        1.0 - 3.0 * x2 + 2.0 * x3,
        l * (x - 2.0 * x2 + x3),
        3.0 * x2 - 2.0 * x3,
        l * (x3 - x2),
    ]
}

/// First derivative of [`hermite`] along the element, 1/m.
pub fn hermite_slope(x: f64, l: f64) -> [f64; 4] {
    let x2 = x * x;
    [
        (6.0 * x2 - 6.0 * x) / l,
        1.0 - 4.0 * x + 3.0 * x2,
        (6.0 * x - 6.0 * x2) / l,
        3.0 * x2 - 2.0 * x,
    ]
}

/// Second derivative of [`hermite`] along the element, 1/m^2.
pub fn hermite_curvature(x: f64, l: f64) -> [f64; 4] {
    [
        (12.0 * x - 6.0) / (l * l),
        (6.0 * x - 4.0) / l,
        (6.0 - 12.0 * x) / (l * l),
        (6.0 * x - 2.0) / l,
    ]
}

/// Rows: the member's axes 1, 2, 3 in site axes.
pub fn member_axes(direction: &Vector3<f64>) -> Matrix3<f64> {
    let e1 = direction.normalize();
    // A vertical member gets 2 = x, 3 = y; any other gets 3 in the horizontal plane.
    let (e2, e3) = if e1.x == 0.0 && e1.y == 0.0 {
        (Vector3::x(), Vector3::y() * e1.z.signum())
    } else {
        let e3 = e1.cross(&Vector3::z()).normalize();
        (e3.cross(&e1), e3)
    };
    Matrix3::from_rows(&[e1.transpose(), e2.transpose(), e3.transpose()])
}

/// Stiffness and consistent mass in site axes of the element from `a` to `b`; `station(x)` gives the
/// beam at the fraction x of the element.
pub fn element(
    a: &Vector3<f64>,
    b: &Vector3<f64>,
    station: impl Fn(f64) -> BeamStation,
) -> (ElementMatrix, ElementMatrix) {
    let d = b - a;
    let l = d.norm();
    let axes = member_axes(&d);
    let mut k = ElementMatrix::zeros();
    let mut m = ElementMatrix::zeros();
    for (x, w) in GAUSS {
        let s = station(x);
        let wl = w * l;
        let lin = [1.0 - x, x];
        let dlin = [-1.0 / l, 1.0 / l];
        let n = hermite(x, l);
        let n1 = hermite_slope(x, l);
        let n2 = hermite_curvature(x, l);
        // Axial (0, 6) and torsion (3, 9).
        for i in 0..2 {
            for j in 0..2 {
                k[(6 * i, 6 * j)] += wl * s.axial_n * dlin[i] * dlin[j];
                m[(6 * i, 6 * j)] += wl * s.mass_kgpm * lin[i] * lin[j];
                k[(6 * i + 3, 6 * j + 3)] += wl * s.torsion_nm2 * dlin[i] * dlin[j];
                m[(6 * i + 3, 6 * j + 3)] += wl * s.polar_kgm * lin[i] * lin[j];
            }
        }
        // Bending: u2 with +r3 = du2/dx, u3 with -r2 = du3/dx.
        for (dofs, sign) in [([1, 5, 7, 11], 1.0), ([2, 4, 8, 10], -1.0)] {
            let f = [1.0, sign, 1.0, sign];
            for i in 0..4 {
                for j in 0..4 {
                    let c = wl * f[i] * f[j];
                    k[(dofs[i], dofs[j])] += c * s.bending_nm2 * n2[i] * n2[j];
                    m[(dofs[i], dofs[j])] +=
                        c * (s.mass_kgpm * n[i] * n[j] + s.rotary_kgm * n1[i] * n1[j]);
                }
            }
        }
    }
    (to_site(&k, &axes), to_site(&m, &axes))
}

/// T^T A T with T = diag(axes, axes, axes, axes).
fn to_site(a: &ElementMatrix, axes: &Matrix3<f64>) -> ElementMatrix {
    let mut out = ElementMatrix::zeros();
    for bi in 0..4 {
        for bj in 0..4 {
            let block = a.fixed_view::<3, 3>(3 * bi, 3 * bj).into_owned();
            let turned = axes.transpose() * block * axes;
            out.fixed_view_mut::<3, 3>(3 * bi, 3 * bj)
                .copy_from(&turned);
        }
    }
    out
}

/// Mass matrix of a rigid lump (mass, inertia about its own centre) at `offset` from its node, on the
/// node's six degrees of freedom.
pub fn lump(mass: f64, inertia: &Matrix3<f64>, offset: &Vector3<f64>) -> SMatrix<f64, 6, 6> {
    let s = offset.cross_matrix();
    let mut m = SMatrix::<f64, 6, 6>::zeros();
    m.fixed_view_mut::<3, 3>(0, 0)
        .copy_from(&(Matrix3::identity() * mass));
    // v_c = v + w x r = v - S w
    m.fixed_view_mut::<3, 3>(0, 3).copy_from(&(-mass * s));
    m.fixed_view_mut::<3, 3>(3, 0)
        .copy_from(&(-mass * s.transpose()));
    m.fixed_view_mut::<3, 3>(3, 3)
        .copy_from(&(inertia + s.transpose() * s * mass));
    m
}

/// The six rigid-body displacements of a node at `r` from the reference point: columns are unit
/// translations and unit rotations.
pub fn rigid_rows(r: &Vector3<f64>) -> SMatrix<f64, 6, 6> {
    let mut m = SMatrix::<f64, 6, 6>::identity();
    m.fixed_view_mut::<3, 3>(0, 3).copy_from(&-r.cross_matrix());
    m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rigid_motion_costs_nothing_and_has_the_rod_inertia() {
        let st = BeamStation {
            axial_n: 1e9,
            bending_nm2: 3e6,
            torsion_nm2: 2e6,
            mass_kgpm: 25.0,
            rotary_kgm: 0.3,
            polar_kgm: 0.6,
        };
        let a = Vector3::new(0.3, -0.2, 1.0);
        let b = Vector3::new(1.5, 0.4, 2.2);
        let (k, m) = element(&a, &b, |_| st);
        let c = (a + b) * 0.5;
        let mut r = SMatrix::<f64, 12, 6>::zeros();
        r.fixed_view_mut::<6, 6>(0, 0)
            .copy_from(&rigid_rows(&(a - c)));
        r.fixed_view_mut::<6, 6>(6, 0)
            .copy_from(&rigid_rows(&(b - c)));
        assert!((k * r).norm() < 1e-3, "{}", (k * r).norm());
        let rm = r.transpose() * m * r;
        let l = (b - a).norm();
        let e = (b - a) / l;
        let across = 25.0 * l * l * l / 12.0 + 0.3 * l;
        let along = 0.6 * l;
        let expected = Matrix3::identity() * across + e * e.transpose() * (along - across);
        let got = rm.fixed_view::<3, 3>(3, 3).into_owned();
        assert!((got - expected).norm() < 1e-10, "{got} {expected}");
        assert!((rm[(0, 0)] - 25.0 * l).abs() < 1e-10);
    }
}
