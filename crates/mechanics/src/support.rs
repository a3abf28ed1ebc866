//! The support above the slip plane as beams and lumps: mesh, mass and stiffness matrices, mass properties.
//!
//! Coordinates: origin at the pole foot on the slip plane, site axes, undeformed shape. The mesh of the
//! pole is graded toward the foot, where the blow comes.

use giveway_scenario::model::{Support, Tube};
use nalgebra::{DMatrix, DVector, Matrix3, SMatrix, Vector3};
use thiserror::Error;

use crate::beam::{self, BeamStation, element, lump, rigid_rows};
use crate::tube::{properties_at, section_properties};

/// Why a support could not be modelled.
#[derive(Debug, Error, Clone, PartialEq)]
pub enum SupportError {
    /// A value that makes no body.
    #[error("support: {what} is {value}; it must be finite and positive")]
    BadValue {
        /// Quantity.
        what: &'static str,
        /// Value found.
        value: f64,
    },
    /// A matrix that should be positive definite is not.
    #[error("support: the {0} matrix is not positive definite")]
    NotPositive(&'static str),
}

/// Mesh and matrices of a support.
#[derive(Debug, Clone)]
pub struct SupportMesh {
    /// Nodes, m.
    pub nodes: Vec<Vector3<f64>>,
    /// Number of pole nodes; they come first, from foot to tip.
    pub pole_nodes: usize,
    /// For each arm: the pole node it springs from, then its own nodes from root to tip.
    pub arm_nodes: Vec<Vec<usize>>,
    /// Luminaire positions beyond each arm's tip, relative to the tip node, m.
    pub luminaire_offsets: Vec<Vec<Vector3<f64>>>,
    /// Stiffness, 6 degrees of freedom a node.
    pub stiffness: DMatrix<f64>,
    /// Consistent mass.
    pub mass: DMatrix<f64>,
    /// Pole length, m.
    pub length_m: f64,
    /// Bending stiffness at the pole nodes, N.m^2.
    pub pole_tube: Tube,
}

/// Mass properties about the centre of mass.
#[derive(Debug, Clone)]
pub struct MassProperties {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Centre of mass from the foot, m.
    pub centre_m: Vector3<f64>,
    /// Inertia tensor about the centre of mass, kg.m^2.
    pub inertia_kgm2: Matrix3<f64>,
}

/// Stiffness and mass per length of a tube at the fraction `x` of its length.
pub fn station(tube: &Tube, x: f64) -> BeamStation {
    let p = properties_at(tube, x);
    let m = &tube.material;
    let g = m.youngs_pa / (2.0 * (1.0 + m.poisson));
    BeamStation {
        axial_n: m.youngs_pa * p.area_m2,
        bending_nm2: m.youngs_pa * p.second_moment_m4,
        torsion_nm2: g * p.torsion_m4,
        mass_kgpm: m.density_kgpm3 * p.area_m2,
        rotary_kgm: m.density_kgpm3 * p.second_moment_m4,
        polar_kgm: m.density_kgpm3 * p.polar_m4,
    }
}

fn require(what: &'static str, value: f64) -> Result<(), SupportError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(SupportError::BadValue { what, value })
    }
}

/// Exponent of the mesh grading: z = L xi^p.
const GRADING: f64 = 1.5;

/// Pole node heights: graded, with a node at every height in `snap`.
fn pole_heights(length: f64, elements: usize, snap: &[f64]) -> Vec<f64> {
    let mut z: Vec<f64> = (0..=elements)
        .map(|i| length * libm::pow(i as f64 / elements as f64, GRADING))
        .collect();
    z[elements] = length;
    let mut taken = vec![false; z.len()];
    for &h in snap {
        if h <= 0.0 || h >= length || z.contains(&h) {
            continue;
        }
        let near = (1..elements)
            .filter(|&i| !taken[i])
            .min_by(|&i, &j| (z[i] - h).abs().total_cmp(&(z[j] - h).abs()));
        match near {
            // Moving the nearest free node keeps the count when it stays between its neighbours.
            Some(i) if z[i - 1] < h && h < z[i + 1] => {
                z[i] = h;
                taken[i] = true;
            }
            _ => {
                z.push(h);
                taken.push(true);
                z.sort_by(f64::total_cmp);
            }
        }
    }
    z
}

/// What the mesh is made from is finite and positive.
fn check(support: &Support, pole_elements: usize) -> Result<(), SupportError> {
    let pole = &support.pole;
    require("pole length", support.pole_length_m)?;
    require("pole base diameter", pole.base_diameter_m)?;
    require("pole tip diameter", pole.tip_diameter_m)?;
    require("pole wall", pole.wall_m)?;
    require("pole density", pole.material.density_kgpm3)?;
    require("pole Young's modulus", pole.material.youngs_pa)?;
    require("slip plate mass", support.plate_mass_kg)?;
    require("pole elements", if pole_elements >= 2 { 1.0 } else { 0.0 })
}

/// Adds the matrix of an element between two nodes.
fn add_element(target: &mut DMatrix<f64>, i: usize, j: usize, source: &beam::ElementMatrix) {
    for (bi, ni) in [(0, i), (1, j)] {
        for (bj, nj) in [(0, i), (1, j)] {
            for r in 0..6 {
                for c in 0..6 {
                    target[(6 * ni + r, 6 * nj + c)] += source[(6 * bi + r, 6 * bj + c)];
                }
            }
        }
    }
}

/// Adds the mass of a lump at a node.
fn add_lump(m: &mut DMatrix<f64>, node: usize, lump: &SMatrix<f64, 6, 6>) {
    for r in 0..6 {
        for c in 0..6 {
            m[(6 * node + r, 6 * node + c)] += lump[(r, c)];
        }
    }
}

/// Adds the lumps: slip plate (thickness and radius) at the foot, luminaires beyond the arm tips, extra masses on the pole.
/// The luminaires' offsets from the tip of each arm.
fn add_lumps(
    m: &mut DMatrix<f64>,
    support: &Support,
    (arm_nodes, node_at): (&[Vec<usize>], &dyn Fn(f64) -> usize),
    (upper_plate_thickness_m, plate_radius_m): (f64, f64),
) -> Vec<Vec<Vector3<f64>>> {
    let l = support.pole_length_m;
    let (mp, r2) = (support.plate_mass_kg, plate_radius_m * plate_radius_m);
    let t2 = upper_plate_thickness_m * upper_plate_thickness_m;
    // Disc: I_x = I_y = m (r^2/4 + t^2/12), I_z = m r^2/2.
    let flat = mp * (0.25 * r2 + t2 / 12.0);
    let disc = Matrix3::from_diagonal(&Vector3::new(flat, flat, 0.5 * mp * r2));
    add_lump(m, 0, &lump(mp, &disc, &Vector3::zeros()));
    let mut luminaire_offsets = Vec::new();
    for (arm, ids) in support.arms.iter().zip(arm_nodes) {
        let mut offsets = Vec::new();
        for lum in &arm.luminaires {
            let offset = Vector3::new(
                lum.lever_m * libm::cos(arm.azimuth_rad),
                lum.lever_m * libm::sin(arm.azimuth_rad),
                0.0,
            );
            add_lump(
                m,
                ids[ids.len() - 1],
                &lump(lum.mass_kg, &Matrix3::zeros(), &offset),
            );
            offsets.push(offset);
        }
        luminaire_offsets.push(offsets);
    }
    for s in &support.lumps {
        let offset = Vector3::new(
            s.offset_m * libm::cos(s.azimuth_rad),
            s.offset_m * libm::sin(s.azimuth_rad),
            0.0,
        );
        add_lump(
            m,
            node_at(s.height_m.clamp(0.0, l)),
            &lump(s.mass_kg, &Matrix3::zeros(), &offset),
        );
    }
    luminaire_offsets
}

impl SupportMesh {
    /// Builds the mesh.
    ///
    /// # Errors
    /// A dimension, mass or stiffness that is not finite and positive.
    pub fn build(
        support: &Support,
        upper_plate_thickness_m: f64,
        plate_radius_m: f64,
        pole_elements: usize,
        arm_elements: usize,
    ) -> Result<Self, SupportError> {
        let pole = &support.pole;
        check(support, pole_elements)?;
        let l = support.pole_length_m;
        let snap: Vec<f64> = support
            .arms
            .iter()
            .map(|a| a.attachment_height_m.min(l))
            .chain(support.lumps.iter().map(|s| s.height_m.clamp(0.0, l)))
            .collect();
        let heights = pole_heights(l, pole_elements, &snap);
        let mut nodes: Vec<Vector3<f64>> =
            heights.iter().map(|&z| Vector3::new(0.0, 0.0, z)).collect();
        let pole_nodes = nodes.len();
        let node_at = |h: f64| {
            (0..pole_nodes)
                .min_by(|&i, &j| (heights[i] - h).abs().total_cmp(&(heights[j] - h).abs()))
                .unwrap_or(0)
        };

        let mut arm_nodes = Vec::new();
        for arm in &support.arms {
            require("arm reach", arm.reach_m)?;
            require("arm wall", arm.tube.wall_m)?;
            require("arm base diameter", arm.tube.base_diameter_m)?;
            require("arm tip diameter", arm.tube.tip_diameter_m)?;
            let root = node_at(arm.attachment_height_m.min(l));
            let run = Vector3::new(
                arm.reach_m * libm::cos(arm.azimuth_rad),
                arm.reach_m * libm::sin(arm.azimuth_rad),
                arm.rise_m,
            );
            let n = arm_elements.max(1);
            let mut ids = vec![root];
            for i in 1..=n {
                ids.push(nodes.len());
                nodes.push(nodes[root] + run * (i as f64 / n as f64));
            }
            arm_nodes.push(ids);
        }

        let dofs = 6 * nodes.len();
        let mut k = DMatrix::zeros(dofs, dofs);
        let mut m = DMatrix::zeros(dofs, dofs);
        for i in 0..pole_nodes - 1 {
            let (z0, z1) = (heights[i], heights[i + 1]);
            let (ke, me) = element(&nodes[i], &nodes[i + 1], |x| {
                station(pole, (z0 + (z1 - z0) * x) / l)
            });
            add_element(&mut k, i, i + 1, &ke);
            add_element(&mut m, i, i + 1, &me);
        }
        for (arm, ids) in support.arms.iter().zip(&arm_nodes) {
            let n = (ids.len() - 1) as f64;
            for e in 0..ids.len() - 1 {
                let (ke, me) = element(&nodes[ids[e]], &nodes[ids[e + 1]], |x| {
                    station(&arm.tube, (e as f64 + x) / n)
                });
                add_element(&mut k, ids[e], ids[e + 1], &ke);
                add_element(&mut m, ids[e], ids[e + 1], &me);
            }
        }

        let luminaire_offsets = add_lumps(
            &mut m,
            support,
            (&arm_nodes, &node_at),
            (upper_plate_thickness_m, plate_radius_m),
        );
        Ok(Self {
            nodes,
            pole_nodes,
            arm_nodes,
            luminaire_offsets,
            stiffness: k,
            mass: m,
            length_m: l,
            pole_tube: pole.clone(),
        })
    }

    /// Rigid-body displacements about `centre`: 6 columns.
    pub fn rigid_modes(&self, centre: &Vector3<f64>) -> DMatrix<f64> {
        let mut r = DMatrix::zeros(6 * self.nodes.len(), 6);
        for (i, p) in self.nodes.iter().enumerate() {
            r.view_mut((6 * i, 0), (6, 6))
                .copy_from(&rigid_rows(&(p - centre)));
        }
        r
    }

    /// Mass, centre of mass, inertia tensor, from the mass matrix and the rigid-body displacements.
    pub fn mass_properties(&self) -> MassProperties {
        let r = self.rigid_modes(&Vector3::zeros());
        let m = quadratic(&self.mass, &r);
        let mass = m[(0, 0)];
        // First moments sit in the coupling block m S(c)^T.
        let centre = Vector3::new(m[(1, 5)], m[(2, 3)], m[(0, 4)]) / mass;
        let r = self.rigid_modes(&centre);
        let m = quadratic(&self.mass, &r);
        let mut inertia = Matrix3::zeros();
        for i in 0..3 {
            for j in 0..3 {
                inertia[(i, j)] = 0.5 * (m[(3 + i, 3 + j)] + m[(3 + j, 3 + i)]);
            }
        }
        MassProperties {
            mass_kg: mass,
            centre_m: centre,
            inertia_kgm2: inertia,
        }
    }

    /// Element of the pole that contains the height `z` (clamped to the pole) and the place in it, 0..1.
    pub fn pole_element(&self, z: f64) -> (usize, f64, f64) {
        let z = z.clamp(0.0, self.length_m);
        let last = self.pole_nodes - 2;
        let mut e = 0;
        while e < last && self.nodes[e + 1].z < z {
            e += 1;
        }
        let l = self.nodes[e + 1].z - self.nodes[e].z;
        (e, (z - self.nodes[e].z) / l, l)
    }

    /// Loads on the nodes that are equivalent to unit forces along x and y at pole height `z`.
    pub fn unit_loads_at(&self, z: f64) -> [DVector<f64>; 2] {
        let (e, x, l) = self.pole_element(z);
        let n = beam::hermite(x, l);
        let mut fx = DVector::zeros(6 * self.nodes.len());
        let mut fy = fx.clone();
        for (k, node) in [(0, e), (2, e + 1)] {
            fx[6 * node] = n[k];
            fx[6 * node + 4] = n[k + 1];
            fy[6 * node + 1] = n[k];
            fy[6 * node + 3] = -n[k + 1];
        }
        [fx, fy]
    }

    /// Second moment of area of the pole at height `z` times E, N.m^2.
    pub fn pole_bending_stiffness(&self, z: f64) -> f64 {
        let d = crate::tube::diameter_at(&self.pole_tube, z / self.length_m);
        self.pole_tube.material.youngs_pa
            * section_properties(self.pole_tube.section, d, self.pole_tube.wall_m).second_moment_m4
    }
}

/// R^T A R in plain loops, so that the bits do not depend on a processor's vector width.
pub(crate) fn quadratic(a: &DMatrix<f64>, r: &DMatrix<f64>) -> DMatrix<f64> {
    let ar = product(a, r);
    let (n, k) = (r.nrows(), r.ncols());
    let mut out = DMatrix::zeros(k, k);
    for i in 0..k {
        for j in 0..k {
            let mut sum = 0.0;
            for p in 0..n {
                sum += r[(p, i)] * ar[(p, j)];
            }
            out[(i, j)] = sum;
        }
    }
    out
}

/// A B in plain loops (column by column, so the inner loop runs along memory).
pub(crate) fn product(a: &DMatrix<f64>, b: &DMatrix<f64>) -> DMatrix<f64> {
    let mut out = DMatrix::zeros(a.nrows(), b.ncols());
    for j in 0..b.ncols() {
        let mut column = out.column_mut(j);
        for p in 0..a.ncols() {
            let s = b[(p, j)];
            if s != 0.0 {
                for (o, v) in column.iter_mut().zip(a.column(p).iter()) {
                    *o += v * s;
                }
            }
        }
    }
    out
}
