//! Free-free modes of the support and the basis for time stepping.
//!
//! The six rigid-body motions are carried with large rotation elsewhere; here is the elastic part in the
//! floating frame: the lowest free-free modes plus static attachment shapes (inertia relief) for unit
//! forces at the contact heights and unit force and moment at the foot, in both planes. The union is
//! made orthonormal in mass and diagonal in stiffness again, so every coordinate is one oscillator.
//!
//! References: R. R. Craig, M. C. C. Bampton, AIAA J. 6 (1968) 1313; inertia-relief attachment modes after
//! D. J. Rixen, Mechanical Systems and Signal Processing 18 (2004) 1217 (recalled).

use nalgebra::{Cholesky, DMatrix, DVector, Dyn, SymmetricEigen};

use crate::beam::{hermite, hermite_curvature};
use crate::support::{MassProperties, SupportError, SupportMesh, product, quadratic};

/// Everything about a support that does not depend on the vehicle; solved once per distinct support.
#[derive(Debug, Clone)]
pub struct SupportModes {
    /// Mesh and matrices.
    pub mesh: SupportMesh,
    /// Mass properties.
    pub properties: MassProperties,
    /// Squared circular frequencies of the elastic free-free modes, rising, (rad/s)^2.
    pub omega_squared: Vec<f64>,
    /// Their shapes, orthonormal in mass, one column each.
    pub shapes: DMatrix<f64>,
    mass: SparseRows,
    stiffness: SparseRows,
    /// Rigid-body displacements R and M R (R^T M R)^-1.
    rigid: DMatrix<f64>,
    rigid_load: DMatrix<f64>,
    static_factor: Cholesky<f64, Dyn>,
}

/// Stiffness given to the rigid motions where a static solve needs one, (rad/s)^2. The result of an
/// inertia-relief solve does not depend on it.
const RIGID_SHIFT: f64 = 1e3;

/// Two modes whose squared frequencies differ by less than this fraction belong together.
const PAIR: f64 = 1e-6;

/// Nonzero entries of a symmetric matrix, row by row.
#[derive(Debug, Clone)]
struct SparseRows(Vec<Vec<(usize, f64)>>);

impl SparseRows {
    fn of(a: &DMatrix<f64>) -> Self {
        Self(
            (0..a.nrows())
                .map(|i| {
                    (0..a.ncols())
                        .filter(|&j| a[(i, j)] != 0.0)
                        .map(|j| (j, a[(i, j)]))
                        .collect()
                })
                .collect(),
        )
    }

    fn times(&self, u: &DVector<f64>) -> DVector<f64> {
        DVector::from_iterator(
            u.len(),
            self.0
                .iter()
                .map(|row| row.iter().map(|&(j, a)| a * u[j]).sum::<f64>()),
        )
    }

    /// V^T A V for the columns of V, symmetric to the last bit.
    fn quadratic(&self, v: &[DVector<f64>]) -> DMatrix<f64> {
        let mut out = DMatrix::zeros(v.len(), v.len());
        for (j, column) in v.iter().enumerate() {
            let product = self.times(column);
            for (i, other) in v.iter().enumerate().take(j + 1) {
                let s = other.dot(&product);
                out[(i, j)] = s;
                out[(j, i)] = s;
            }
        }
        out
    }
}

impl SupportModes {
    /// Solves for the lowest `wanted` elastic free-free modes and factors the static problem.
    ///
    /// The modes come from a block Krylov space of the inverse (shift-invert, start block: loads at the
    /// foot, the pole tip and the arm tips) with full re-orthogonalisation and a Rayleigh-Ritz step.
    ///
    /// # Errors
    /// A mass or stiffness matrix that is not positive definite.
    pub fn solve(mesh: SupportMesh, wanted: usize) -> Result<Self, SupportError> {
        let properties = mesh.mass_properties();
        let rigid = mesh.rigid_modes(&properties.centre_m);
        let rigid_mass = product(&mesh.mass, &rigid);
        let gram_inverse = quadratic(&mesh.mass, &rigid)
            .try_inverse()
            .ok_or(SupportError::NotPositive("rigid mass"))?;
        let rigid_load = product(&rigid_mass, &gram_inverse);
        let mut shifted = mesh.stiffness.clone();
        for j in 0..shifted.ncols() {
            for i in 0..shifted.nrows() {
                let mut sum = 0.0;
                for k in 0..6 {
                    sum += rigid_load[(i, k)] * rigid_mass[(j, k)];
                }
                shifted[(i, j)] += RIGID_SHIFT * sum;
            }
        }
        let static_factor =
            Cholesky::new(shifted).ok_or(SupportError::NotPositive("static stiffness"))?;
        let mut out = Self {
            properties,
            omega_squared: Vec::new(),
            shapes: DMatrix::zeros(mesh.mass.nrows(), 0),
            mass: SparseRows::of(&mesh.mass),
            stiffness: SparseRows::of(&mesh.stiffness),
            rigid,
            rigid_load,
            static_factor,
            mesh,
        };
        out.find_modes(wanted);
        Ok(out)
    }

    fn find_modes(&mut self, wanted: usize) {
        let dofs = self.mesh.mass.nrows();
        let unit = |d: usize| {
            let mut f = DVector::zeros(dofs);
            f[d] = 1.0;
            f
        };
        let tip = 6 * (self.mesh.pole_nodes - 1);
        let mut start: Vec<usize> = (0..6).chain([tip, tip + 1]).collect();
        for arm in &self.mesh.arm_nodes {
            start.extend((0..3).map(|d| 6 * arm[arm.len() - 1] + d));
        }
        let size = (2 * wanted + 40).min(dofs - 6);
        let mut space: Vec<DVector<f64>> = Vec::with_capacity(size + start.len());
        let mut block: Vec<DVector<f64>> = start
            .into_iter()
            .map(|d| self.attachment_shape(&unit(d)))
            .collect();
        while space.len() < size && !block.is_empty() {
            let first = space.len();
            for u in block {
                self.append_orthonormal(&mut space, u);
            }
            block = (first..space.len())
                .map(|i| self.attachment_shape(&self.mass.times(&space[i])))
                .collect();
        }
        let (omega_squared, shapes) = self.ritz(&space);
        let n = (wanted + 2).min(omega_squared.len());
        self.omega_squared = omega_squared[..n].to_vec();
        self.shapes = shapes.columns(0, n).into_owned();
    }

    /// Adds the part of `u` that is new to the space, scaled to unit mass; nothing when it is not new.
    fn append_orthonormal(&self, space: &mut Vec<DVector<f64>>, mut u: DVector<f64>) {
        let before = self.mass.times(&u).dot(&u).sqrt();
        for _ in 0..2 {
            // u -= R (R^T M R)^-1 R^T M u
            for k in 0..6 {
                let s = self.rigid_load.column(k).dot(&u);
                u.axpy(-s, &self.rigid.column(k), 1.0);
            }
            let mu = self.mass.times(&u);
            let shares: Vec<f64> = space.iter().map(|c| c.dot(&mu)).collect();
            for (c, s) in space.iter().zip(shares) {
                u.axpy(-s, c, 1.0);
            }
        }
        let after = self.mass.times(&u).dot(&u).sqrt();
        if after > 1e-7 * before {
            space.push(u / after);
        }
    }

    /// Rayleigh-Ritz on an orthonormal space: squared frequencies, rising, and shapes.
    fn ritz(&self, space: &[DVector<f64>]) -> (Vec<f64>, DMatrix<f64>) {
        let eigen = SymmetricEigen::new(self.stiffness.quadratic(space));
        let mut order: Vec<usize> = (0..space.len()).collect();
        order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
        let turned = product(&DMatrix::from_columns(space), &eigen.eigenvectors);
        (
            order
                .iter()
                .map(|&i| eigen.eigenvalues[i].max(0.0))
                .collect(),
            DMatrix::from_columns(
                &order
                    .iter()
                    .map(|&i| turned.column(i).into_owned())
                    .collect::<Vec<_>>(),
            ),
        )
    }

    /// Frequencies of the elastic modes, Hz.
    pub fn frequencies_hz(&self) -> Vec<f64> {
        self.omega_squared
            .iter()
            .map(|w| w.sqrt() / (2.0 * std::f64::consts::PI))
            .collect()
    }

    /// Static shape under `load`, the free body being held by its own inertia.
    pub fn attachment_shape(&self, load: &DVector<f64>) -> DVector<f64> {
        // f_e = f - M R (R^T M R)^-1 R^T f
        let mut balanced = load.clone();
        for k in 0..6 {
            let s = self.rigid.column(k).dot(load);
            balanced.axpy(-s, &self.rigid_load.column(k), 1.0);
        }
        self.static_factor.solve(&balanced)
    }

    /// Basis of at least `modes` free-free modes (a degenerate pair is never split) and the attachment
    /// shapes for the foot and the given contact heights above it, m. No modes: the rigid support.
    pub fn basis(&self, modes: usize, contact_heights_m: &[f64]) -> ElasticBasis {
        let dofs = self.mesh.mass.nrows();
        if modes == 0 {
            return ElasticBasis {
                omega: Vec::new(),
                shapes: DMatrix::zeros(dofs, 0),
            };
        }
        let mut n = modes.min(self.omega_squared.len());
        while n < self.omega_squared.len()
            && self.omega_squared[n] < self.omega_squared[n - 1] * (1.0 + PAIR)
        {
            n += 1;
        }
        let mut loads: Vec<DVector<f64>> = [0, 1, 3, 4]
            .into_iter()
            .map(|d| {
                let mut f = DVector::zeros(dofs);
                f[d] = 1.0;
                f
            })
            .collect();
        for &z in contact_heights_m {
            if z > 0.0 && z < self.mesh.length_m {
                loads.extend(self.mesh.unit_loads_at(z));
            }
        }
        let mut space: Vec<DVector<f64>> =
            (0..n).map(|i| self.shapes.column(i).into_owned()).collect();
        for load in &loads {
            self.append_orthonormal(&mut space, self.attachment_shape(load));
        }
        let (omega_squared, shapes) = self.ritz(&space);
        ElasticBasis {
            omega: omega_squared.iter().map(|w| w.sqrt()).collect(),
            shapes,
        }
    }
}

/// Generalised symmetric eigenproblem by Cholesky reduction: A = L^-1 K L^-T, phi = L^-T y. The first
/// `skip` modes are left out.
///
/// # Errors
/// A mass matrix that is not positive definite.
pub fn symmetric_modes(
    stiffness: &DMatrix<f64>,
    mass: &DMatrix<f64>,
    skip: usize,
) -> Result<(Vec<f64>, DMatrix<f64>), SupportError> {
    let l = Cholesky::new(mass.clone())
        .ok_or(SupportError::NotPositive("mass"))?
        .unpack();
    let mut half = stiffness.clone();
    l.solve_lower_triangular_mut(&mut half);
    let mut a = half.transpose();
    l.solve_lower_triangular_mut(&mut a);
    let a = (&a + a.transpose()) * 0.5;
    let eigen = SymmetricEigen::new(a);
    let n = eigen.eigenvalues.len();
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&i, &j| eigen.eigenvalues[i].total_cmp(&eigen.eigenvalues[j]));
    let order = &order[skip.min(n)..];
    let mut y = DMatrix::from_columns(
        &order
            .iter()
            .map(|&i| eigen.eigenvectors.column(i).into_owned())
            .collect::<Vec<_>>(),
    );
    l.tr_solve_lower_triangular_mut(&mut y);
    Ok((order.iter().map(|&i| eigen.eigenvalues[i]).collect(), y))
}

/// Elastic coordinates for time stepping: independent oscillators with unit mass.
#[derive(Debug, Clone)]
pub struct ElasticBasis {
    /// Circular frequencies, rad/s, rising.
    pub omega: Vec<f64>,
    /// Shapes on the nodes' degrees of freedom, one column each.
    pub shapes: DMatrix<f64>,
}

impl ElasticBasis {
    /// Number of coordinates.
    pub fn len(&self) -> usize {
        self.omega.len()
    }

    /// Whether the support is rigid.
    pub fn is_empty(&self) -> bool {
        self.omega.is_empty()
    }

    /// Displacements (3) and rotations (3) of a node under each coordinate: row `d` of the result.
    pub fn node_rows(&self, node: usize) -> [Vec<f64>; 6] {
        std::array::from_fn(|d| {
            (0..self.len())
                .map(|i| self.shapes[(6 * node + d, i)])
                .collect()
        })
    }

    /// Deflection of the pole axis along x and y at height `z`.
    pub fn pole_deflection(&self, mesh: &SupportMesh, z: f64) -> [Vec<f64>; 2] {
        let (e, x, l) = mesh.pole_element(z);
        self.pole_combination(e, hermite(x, l))
    }

    /// Curvature of the pole axis in the x-z and y-z planes at height `z`, 1/m.
    pub fn pole_curvature(&self, mesh: &SupportMesh, z: f64) -> [Vec<f64>; 2] {
        let (e, x, l) = mesh.pole_element(z);
        self.pole_combination(e, hermite_curvature(x, l))
    }

    fn pole_combination(&self, e: usize, n: [f64; 4]) -> [Vec<f64>; 2] {
        let (a, b) = (6 * e, 6 * (e + 1));
        let s = &self.shapes;
        [
            (0..self.len())
                .map(|i| {
                    n[0] * s[(a, i)]
                        + n[1] * s[(a + 4, i)]
                        + n[2] * s[(b, i)]
                        + n[3] * s[(b + 4, i)]
                })
                .collect(),
            (0..self.len())
                .map(|i| {
                    n[0] * s[(a + 1, i)] - n[1] * s[(a + 3, i)] + n[2] * s[(b + 1, i)]
                        - n[3] * s[(b + 3, i)]
                })
                .collect(),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_scenario::model::{Material, Section, Support, Tube};

    fn uniform() -> Support {
        Support {
            pole: Tube {
                section: Section::Round,
                base_diameter_m: 0.2,
                tip_diameter_m: 0.2,
                wall_m: 0.004,
                material: Material {
                    name: "steel".into(),
                    density_kgpm3: 7850.0,
                    youngs_pa: 2.0e11,
                    poisson: 0.3,
                    yield_pa: 3.0e8,
                    ultimate_pa: 4.5e8,
                },
            },
            pole_length_m: 12.0,
            arms: vec![],
            lumps: vec![],
            plate_mass_kg: 1e-6,
            damping_ratio: 0.005,
        }
    }

    #[test]
    fn first_frequencies_of_a_uniform_tube() {
        // f = lambda^2/(2 pi L^2) sqrt(EI/mu), lambda = 4.730 free-free, 1.875 cantilever (handbook).
        let s = uniform();
        let mesh = SupportMesh::build(&s, 0.02, 0.001, 24, 8).unwrap();
        let p = section_of(&s);
        let root = (2.0e11 * p.1 / (7850.0 * p.0)).sqrt() / (2.0 * std::f64::consts::PI * 144.0);
        let modes = SupportModes::solve(mesh.clone(), 14).unwrap();
        let (dense, _) = symmetric_modes(&mesh.stiffness, &mesh.mass, 6).unwrap();
        for (a, b) in modes.omega_squared.iter().zip(&dense) {
            assert!((a / b - 1.0).abs() < 1e-5, "{a} {b}");
        }
        let f = modes.frequencies_hz()[0];
        let expected = 4.730_040_745 * 4.730_040_745 * root;
        assert!((f / expected - 1.0).abs() < 1e-3, "{f} {expected}");
        let n = mesh.mass.nrows() - 6;
        let (w, _) = symmetric_modes(
            &mesh.stiffness.view((6, 6), (n, n)).into_owned(),
            &mesh.mass.view((6, 6), (n, n)).into_owned(),
            0,
        )
        .unwrap();
        let f = w[0].sqrt() / (2.0 * std::f64::consts::PI);
        let expected = 1.875_104_069 * 1.875_104_069 * root;
        assert!((f / expected - 1.0).abs() < 1e-3, "{f} {expected}");
    }

    fn section_of(s: &Support) -> (f64, f64) {
        let p = crate::tube::properties_at(&s.pole, 0.0);
        (p.area_m2, p.second_moment_m4)
    }

    #[test]
    fn basis_is_orthonormal_and_free_of_rigid_motion() {
        let s = uniform();
        let mesh = SupportMesh::build(&s, 0.02, 0.001, 24, 8).unwrap();
        let modes = SupportModes::solve(mesh, 14).unwrap();
        let b = modes.basis(12, &[0.45]);
        let gram = quadratic(&modes.mesh.mass, &b.shapes);
        assert!((gram - DMatrix::identity(b.len(), b.len())).norm() < 1e-8);
        let mr = product(&modes.mesh.mass, &modes.rigid);
        for i in 0..6 {
            for j in 0..b.len() {
                assert!(mr.column(i).dot(&b.shapes.column(j)).abs() < 1e-9);
            }
        }
        assert!(modes.basis(0, &[0.45]).is_empty());
    }
}
