//! The support, solved: modes, basis and the shape tables that the time loop reads.
//!
//! It depends on the support, the mesh, the number of modes and the contact heights only, so a sweep
//! over anything else solves it once.

use std::sync::Arc;

use giveway_mechanics::modes::{ElasticBasis, SupportModes};
use giveway_mechanics::support::SupportMesh;
use nalgebra::{Matrix2, Vector2, Vector3};

use giveway_scenario::model::{Anchorage, Face, Scenario, StruckFace, Support};

use wide::f64x2;

use crate::clock::SAMPLE_S;
use crate::error::ImpactError;

/// Spacing of the contact table along the pole, m.
const TABLE_STEP_M: f64 = 0.02;
/// The table reaches this far up the pole, m.
const TABLE_REACH_M: f64 = 2.6;

/// Longest step while nothing touches, in samples.
pub(crate) const LONGEST: usize = 16;

/// What a support solution depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct SupportKey {
    support: Support,
    plate_thickness_m: f64,
    plate_radius_m: f64,
    modes: usize,
    pole_elements: usize,
    arm_elements: usize,
    contact_heights_m: Vec<f64>,
}

impl SupportKey {
    /// Key of a scenario.
    pub fn of(scenario: &Scenario) -> Self {
        let s = &scenario.solver;
        let modes = match scenario.base.anchorage {
            Anchorage::Slip => s.elastic_modes,
            Anchorage::Fixed => 0,
        };
        Self {
            support: scenario.support.clone(),
            plate_thickness_m: scenario.base.upper_plate_m,
            plate_radius_m: scenario.base.plate_radius_m,
            modes,
            pole_elements: s.pole_elements,
            arm_elements: s.arm_elements,
            contact_heights_m: vec![main_contact_height(scenario)],
        }
    }

    /// Whether the body and its modes are the same, wherever it is struck.
    fn of_same_body(&self, other: &Self) -> bool {
        let Self {
            support,
            plate_thickness_m,
            plate_radius_m,
            modes,
            pole_elements,
            arm_elements,
            contact_heights_m: _,
        } = self;
        *support == other.support
            && *plate_thickness_m == other.plate_thickness_m
            && *plate_radius_m == other.plate_radius_m
            && [*modes, *pole_elements, *arm_elements]
                == [other.modes, other.pole_elements, other.arm_elements]
    }
}

/// The struck face of a scenario.
pub fn struck_face(scenario: &Scenario) -> &Face {
    match scenario.impact.face {
        StruckFace::Front => &scenario.vehicle.front,
        StruckFace::LeftSide | StruckFace::RightSide => &scenario.vehicle.side,
    }
}

/// Height above the pole foot of the band that can carry the largest force, m.
pub fn main_contact_height(scenario: &Scenario) -> f64 {
    let peak = |c: &[(f64, f64)]| c.iter().fold(0.0_f64, |m, p| m.max(p.1));
    let band = struck_face(scenario).bands.iter().fold(
        None::<&giveway_scenario::model::Band>,
        |best, b| match best {
            Some(o) if peak(&o.crush_curve) >= peak(&b.crush_curve) => Some(o),
            _ => Some(b),
        },
    );
    let slip_plane = scenario
        .as_found
        .slip_plane_height_m
        .unwrap_or(scenario.site.slip_plane_height_m);
    band.map_or(0.5, |b| 0.5 * (b.lower_m + b.upper_m)) - slip_plane
}

/// A solved support.
#[derive(Debug, Clone)]
pub struct SupportSolution {
    pub(crate) key: SupportKey,
    /// Modes and mass properties.
    pub modes: Arc<SupportModes>,
    /// Basis of the time loop.
    pub basis: ElasticBasis,
    /// Foot displacements u_x, u_y, u_z and rotations r_x, r_y, r_z for pairs of coordinates.
    pub(crate) foot: Vec<[f64x2; 6]>,
    /// Pole deflection along x and along y at the table's heights, and their rise to the next height, for pairs of
    /// coordinates; the pairs of one height stand side by side, an odd last one beside a zero.
    table: Vec<[f64x2; 4]>,
    table_heights: usize,
    /// Moment at the foot and at the contact height for pairs of coordinates: (x-z, y-z plane), N.m.
    foot_moment_rows: Vec<[f64x2; 2]>,
    pub(crate) kink_rows: Vec<[f64x2; 2]>,
    /// Stiffness of a kink at the contact height, sum M_i M_i^T/omega_i^2, N.m/rad.
    pub(crate) kink_stiffness: Matrix2<f64>,
    /// Moment at the foot that a kink's turn takes off, sum M_0i M_i^T/omega_i^2, N.m/rad.
    pub(crate) kink_at_foot: Matrix2<f64>,
    /// The elastic coordinates' free motion over 1 to [`LONGEST`] samples: what coordinate and rate become of coordinate
    /// and rate (qq, qw, wq, ww).
    swings: Vec<[f64; 4]>,
    /// Change of the pole's radius along its height.
    pub(crate) taper: f64,
    /// Height of the moment station above the foot, m.
    pub(crate) moment_height_m: f64,
}

impl SupportSolution {
    /// Solves the support of a scenario.
    ///
    /// # Errors
    /// A support that makes no body.
    pub fn solve(scenario: &Scenario) -> Result<Arc<Self>, ImpactError> {
        let key = SupportKey::of(scenario);
        let mesh = SupportMesh::build(
            &key.support,
            key.plate_thickness_m,
            key.plate_radius_m,
            key.pole_elements,
            key.arm_elements,
        )?;
        let modes = SupportModes::solve(mesh, key.modes.max(2))?;
        Ok(Self::on(key, Arc::new(modes)))
    }

    /// The solution of a scenario whose support is the same body struck elsewhere: its modes are these, so that it costs a
    /// tenth, with the digits of [`SupportSolution::solve`]. None for another body.
    pub fn struck_as(&self, scenario: &Scenario) -> Option<Arc<Self>> {
        let key = SupportKey::of(scenario);
        let same = self.key.of_same_body(&key);
        same.then(|| Self::on(key, Arc::clone(&self.modes)))
    }

    fn on(key: SupportKey, modes: Arc<SupportModes>) -> Arc<Self> {
        let basis = modes.basis(key.modes, &key.contact_heights_m);
        let n = basis.len();
        let rows = basis.node_rows(0);
        let foot = (0..n)
            .step_by(2)
            .map(|i| std::array::from_fn(|d| pair_at(&rows[d], i)))
            .collect();
        let length = modes.mesh.length_m;
        let entries = (TABLE_REACH_M.min(length) / TABLE_STEP_M) as usize + 2;
        let heights: Vec<[Vec<f64>; 2]> = (0..entries)
            .map(|k| basis.pole_deflection(&modes.mesh, k as f64 * TABLE_STEP_M))
            .collect();
        let table = (0..entries)
            .flat_map(|k| {
                let (here, next) = (&heights[k], &heights[(k + 1).min(entries - 1)]);
                (0..n).step_by(2).map(|i| {
                    let pair = |shape: &Vec<f64>| pair_at(shape, i);
                    let (x, y) = (pair(&here[0]), pair(&here[1]));
                    [x, y, pair(&next[0]) - x, pair(&next[1]) - y]
                })
            })
            .collect();
        let moment_height_m = key.contact_heights_m[0].clamp(0.0, length);
        let at = |z: f64| {
            let ei = modes.mesh.pole_bending_stiffness(z);
            let [x, y] = basis.pole_curvature(&modes.mesh, z);
            (ei, x, y)
        };
        let (e0, x0, y0) = at(0.0);
        let (e1, x1, y1) = at(moment_height_m);
        let moments: Vec<[f64; 4]> = (0..n)
            .map(|i| [e0 * x0[i], e0 * y0[i], e1 * x1[i], e1 * y1[i]])
            .collect();
        let moment_rows = |which: [usize; 2]| {
            let rows = moments.chunks(2).map(|pair| {
                let second = pair.get(1).copied().unwrap_or([0.0; 4]);
                which.map(|d| f64x2::from([pair[0][d], second[d]]))
            });
            rows.collect::<Vec<_>>()
        };
        let (foot_moment_rows, kink_rows) = (moment_rows([0, 1]), moment_rows([2, 3]));
        let kink_stiffness = moments.iter().zip(&basis.omega).fold(
            Matrix2::zeros(),
            |sum: Matrix2<f64>, (m, omega)| {
                let m = Vector2::new(m[2], m[3]) / *omega;
                sum + m * m.transpose()
            },
        );
        let kink_at_foot = moments.iter().zip(&basis.omega).fold(
            Matrix2::zeros(),
            |sum: Matrix2<f64>, (m, omega)| {
                let (foot, station) = (Vector2::new(m[0], m[1]), Vector2::new(m[2], m[3]));
                sum + foot * station.transpose() / (omega * omega)
            },
        );
        let zeta = key.support.damping_ratio;
        let swings = (1..=LONGEST)
            .flat_map(|samples| basis.omega.iter().map(move |&w| (samples, w)))
            .map(|(samples, omega)| free_swing(omega, zeta, samples as f64 * SAMPLE_S))
            .collect();
        let pole = &key.support.pole;
        let taper = 0.5 * (pole.tip_diameter_m - pole.base_diameter_m) / key.support.pole_length_m;
        Arc::new(Self {
            key,
            modes,
            basis,
            foot,
            table,
            table_heights: entries,
            foot_moment_rows,
            kink_rows,
            kink_stiffness,
            kink_at_foot,
            swings,
            taper,
            moment_height_m,
        })
    }

    /// Number of elastic coordinates.
    pub fn coordinates(&self) -> usize {
        self.basis.len()
    }

    /// Bending moment at the contact height for the elastic coordinates `q`, N.m, in the planes x-z and y-z.
    #[inline]
    pub(crate) fn contact_moment(&self, q: &[f64]) -> Vector2<f64> {
        let [x, y] = sums(&self.kink_rows, q);
        Vector2::new(x, y)
    }

    /// The same at the foot.
    #[inline]
    pub(crate) fn foot_moment(&self, q: &[f64]) -> Vector2<f64> {
        let [x, y] = sums(&self.foot_moment_rows, q);
        Vector2::new(x, y)
    }

    /// Elastic coordinates of a support that stands unloaded with a kink of the turn `turn` at the contact height.
    pub(crate) fn kinked(&self, turn: &Vector2<f64>) -> Vec<f64> {
        let (x, y) = (f64x2::splat(turn.x), f64x2::splat(turn.y));
        let coordinates = self.kink_rows.iter().zip(pairs(&self.basis.omega));
        let pairs = coordinates.map(|(m, omega)| (m[0] * x + m[1] * y) / (omega * omega));
        pairs
            .flat_map(f64x2::to_array)
            .take(self.coordinates())
            .collect()
    }

    /// The free motion of each elastic coordinate over 1 to [`LONGEST`] samples, with its circular frequency, rad/s.
    pub(crate) fn swings(&self, samples: usize) -> impl Iterator<Item = (&[f64; 4], f64)> {
        let n = self.coordinates();
        let swings = &self.swings[(samples - 1) * n..][..n];
        swings.iter().zip(self.basis.omega.iter().copied())
    }

    /// Displacement and rotation of the foot for the elastic coordinates `q`.
    #[inline]
    pub(crate) fn foot_motion(&self, q: &[f64]) -> (Vector3<f64>, Vector3<f64>) {
        let [x, y, z, a, b, c] = sums(&self.foot, q);
        (Vector3::new(x, y, z), Vector3::new(a, b, c))
    }

    /// Adds to `load` what the force `f` and the moment `t` at the foot (support axes) do on the elastic
    /// coordinates.
    #[inline]
    pub(crate) fn add_foot_load(&self, f: &Vector3<f64>, t: &Vector3<f64>, load: &mut [f64]) {
        let (x, y, z) = (f64x2::splat(f.x), f64x2::splat(f.y), f64x2::splat(f.z));
        let (a, b, c) = (f64x2::splat(t.x), f64x2::splat(t.y), f64x2::splat(t.z));
        add_pairs(load, &self.foot, |row| {
            let force = row[0] * x + row[1] * y + row[2] * z;
            force + (row[3] * a + row[4] * b + row[5] * c)
        });
    }

    /// Largest deflection of the pole at the height `z` above the foot that the energy of its bending allows, m:
    /// |u|^2 <= sum omega_i^2 a_i^2 sum |phi_i|^2/omega_i^2 with the amplitudes a_i (Cauchy and Schwarz). The same in every
    /// direction, as the shapes of a round pole may lie in any.
    pub(crate) fn swing(&self, z: f64, q: &[f64], w: &[f64]) -> f64 {
        let (k, f) = self.table_place(z);
        let part = f64x2::splat(f);
        let shapes = self.table_row(k).iter().flat_map(|row| {
            let (x, y) = (row[0] + row[2] * part, row[1] + row[3] * part);
            (x * x + y * y).to_array()
        });
        let (mut energy, mut give) = (0.0, 0.0);
        for (((q, w), omega), shape) in q.iter().zip(w).zip(&self.basis.omega).zip(shapes) {
            energy += omega * omega * q * q + w * w;
            give += shape / (omega * omega);
        }
        (energy * give).sqrt()
    }

    /// Largest acceleration, m/s^2, of what moves by `shapes` (for pairs of coordinates) by the bending, free of every load: all
    /// coordinates at their amplitude at once.
    pub(crate) fn swing_acceleration(
        &self,
        [q, w]: [&[f64]; 2],
        shapes: impl Iterator<Item = f64x2>,
    ) -> f64 {
        let coordinates = pairs(q).zip(pairs(w)).zip(pairs(&self.basis.omega));
        let all = coordinates.zip(shapes);
        both(all.fold(f64x2::ZERO, |sum, (((q, w), omega), shape)| {
            sum + shape * omega * (omega * omega * q * q + w * w).sqrt()
        }))
    }

    /// Table index and fraction for the height `z` above the foot.
    #[inline]
    pub(crate) fn table_place(&self, z: f64) -> (usize, f64) {
        let x = (z / TABLE_STEP_M).max(0.0);
        let k = (x as usize).min(self.table_heights - 2);
        (k, (x - k as f64).min(1.0))
    }

    /// The table at height `k`: deflection along x and y and their rise to the next height, for pairs of coordinates.
    #[inline]
    pub(crate) fn table_row(&self, k: usize) -> &[[f64x2; 4]] {
        let pairs = self.coordinates().div_ceil(2);
        &self.table[k * pairs..][..pairs]
    }

    /// Spacing of the table, m.
    pub(crate) const fn table_step() -> f64 {
        TABLE_STEP_M
    }
}

/// What q'' + 2 zeta omega q' + omega^2 q = 0 makes of coordinate and rate in the time `t`: qq, qw, wq, ww (below critical
/// damping).
pub(crate) fn free_swing(omega: f64, zeta: f64, t: f64) -> [f64; 4] {
    let decay = zeta * omega;
    let damped = omega * (1.0 - zeta * zeta).sqrt();
    let fall = libm::exp(-decay * t);
    let (cos, sin) = (libm::cos(damped * t), libm::sin(damped * t) / damped);
    [
        fall * (cos + decay * sin),
        fall * sin,
        -fall * omega * omega * sin,
        fall * (cos - decay * sin),
    ]
}

/// Sums over the elastic coordinates of what each pair's row makes of them.
#[inline]
fn sums<const N: usize>(rows: &[[f64x2; N]], q: &[f64]) -> [f64; N] {
    let mut sums = [f64x2::ZERO; N];
    let mut add = |row: &[f64x2; N], q: f64x2| {
        for (sum, shape) in sums.iter_mut().zip(row) {
            *sum += *shape * q;
        }
    };
    let (pairs, rest) = q.as_chunks::<2>();
    for (row, q) in rows.iter().zip(pairs) {
        add(row, f64x2::from(*q));
    }
    if let ([q], Some(row)) = (rest, rows.last()) {
        add(row, f64x2::from([*q, 0.0]));
    }
    let mut whole = [0.0; N];
    for (whole, sum) in whole.iter_mut().zip(sums) {
        *whole = both(sum);
    }
    whole
}

/// Adds to the loads what `on` makes of the row of each pair of coordinates.
#[inline]
pub(crate) fn add_pairs<T>(load: &mut [f64], rows: &[T], on: impl Fn(&T) -> f64x2) {
    let (pairs, rest) = load.as_chunks_mut::<2>();
    for (load, row) in pairs.iter_mut().zip(rows) {
        *load = (f64x2::from(*load) + on(row)).to_array();
    }
    if let ([load], Some(row)) = (rest, rows.last()) {
        *load += on(row).to_array()[0];
    }
}

/// The values at `i` and after it, zero beyond the end.
fn pair_at(values: &[f64], i: usize) -> f64x2 {
    f64x2::from([values[i], values.get(i + 1).copied().unwrap_or(0.0)])
}

/// The pairs of a list, an odd last value beside a zero.
#[inline]
pub(crate) fn pairs(values: &[f64]) -> impl Iterator<Item = f64x2> {
    let (pairs, rest) = values.as_chunks::<2>();
    let last = rest.first().map(|&v| f64x2::from([v, 0.0]));
    pairs.iter().map(|&p| f64x2::from(p)).chain(last)
}

/// Sum of both parts.
#[inline]
pub(crate) fn both(pair: f64x2) -> f64 {
    let [a, b] = pair.to_array();
    a + b
}
