//! Where a band of the struck face meets the pole.
//!
//! A band touches at its mid height. The pole's axis at that height (rigid motion and bending) and its
//! local radius give the penetration along the face normal. The force follows the gradient of that
//! penetration, so that a tilted pole is pushed square to its own surface and the crush energy is the
//! work done.

use giveway_mechanics::crush::CrushState;
use nalgebra::{Matrix3, Vector3};
use wide::f64x2;

use crate::prepared::{BandLaw, Prepared};
use crate::solution::SupportSolution;

/// A pole leaning further than this (vertical part of its axis) is no longer met by the bands.
const LEAST_UPRIGHT: f64 = 0.2;
/// How much faster than the vehicle the gap may close, factor and m/s, for the waiting time of a band.
const CLOSING_FACTOR: f64 = 2.0;
const CLOSING_EXTRA_MPS: f64 = 15.0;

/// A band in the course of a run.
#[derive(Debug, Clone)]
pub(crate) struct BandRun {
    pub state: CrushState,
    /// Shape of each coordinate at the contact, x and y.
    pub row: Vec<f64x2>,
    /// Friction on the pole at the last step, site axes, N.
    pub rub: Vector3<f64>,
    /// Contact height above the foot along the pole, m.
    height: Option<f64>,
    /// The pole has gone over this band; it cannot be struck from inside.
    retired: bool,
    /// The band cannot touch before this time, s.
    wait_until: f64,
}

/// Geometry of a touch, in vehicle axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Touch {
    /// Penetration along the face normal, m; negative = gap.
    pub penetration: f64,
    /// Surface point, from the vehicle's centre of mass, m.
    pub place: Vector3<f64>,
    /// That point from the pole's axis, m.
    pub offset: Vector3<f64>,
    /// Direction of the force on the pole (gradient of the penetration).
    pub direction: Vector3<f64>,
    /// Rate of bending at the contact in support axes, m/s.
    pub bending_rate: Vector3<f64>,
}

impl BandRun {
    pub fn new(coordinates: usize) -> Self {
        Self {
            state: CrushState::default(),
            row: vec![f64x2::ZERO; coordinates],
            rub: Vector3::zeros(),
            height: None,
            retired: false,
            wait_until: 0.0,
        }
    }

    /// Takes the band out of the contact for good.
    pub fn retire(&mut self) {
        self.retired = true;
    }

    /// A band with a gap need not be looked at until that gap could have closed.
    pub fn wait(&mut self, penetration: f64, speed: f64, time: f64) {
        if penetration < 0.0 {
            let closing = CLOSING_FACTOR * speed + CLOSING_EXTRA_MPS;
            self.wait_until = time - penetration / closing;
        }
    }

    /// The touch of this band, if the pole passes through its height within the face's width.
    #[allow(clippy::too_many_arguments)]
    pub fn locate(
        &mut self,
        p: &Prepared,
        law: &BandLaw,
        q: &[f64],
        w: &[f64],
        to_vehicle: &Matrix3<f64>,
        between: &Vector3<f64>,
        time: f64,
    ) -> Option<Touch> {
        if self.retired || time < self.wait_until {
            return None;
        }
        let solution = &p.solution;
        let length = p.scenario.support.pole_length_m;
        let centre = solution.modes.properties.centre_m;
        let axis = Vector3::new(to_vehicle.m13, to_vehicle.m23, to_vehicle.m33);
        if axis.z < LEAST_UPRIGHT {
            self.state.force_n = 0.0;
            return None;
        }
        let base = between - to_vehicle * centre;
        let guess = self
            .height
            .unwrap_or_else(|| (law.height - base.z) / axis.z);
        let (k, f) = solution.table_place(guess);
        let step_m = SupportSolution::table_step();
        let (mut u, mut slope, mut rate) = (f64x2::ZERO, f64x2::ZERO, f64x2::ZERO);
        let part = f64x2::splat(f);
        let rows = solution.table_row(k).iter().zip(q).zip(w);
        for (c, (([at, rise], &q), &w)) in self.row.iter_mut().zip(rows) {
            let (q, w) = (f64x2::splat(q), f64x2::splat(w));
            let place = *at + *rise * part;
            *c = place;
            u += place * q;
            slope += *rise * q;
            rate += place * w;
        }
        let (u, slope, rate) = (u.to_array(), slope.to_array(), rate.to_array());
        let lean = to_vehicle * Vector3::new(slope[0] / step_m, slope[1] / step_m, 1.0);
        if lean.z < LEAST_UPRIGHT {
            self.state.force_n = 0.0;
            return None;
        }
        let point = base + to_vehicle * Vector3::new(u[0], u[1], guess);
        // Slide along the axis to the band's height.
        let shift = (law.height - point.z) / lean.z;
        let point = point + lean * shift;
        let height = guess + shift;
        self.height = Some(height);
        let taper = solution.taper;
        let radius = 0.5 * p.scenario.support.pole.base_diameter_m + taper * height;
        let face = &p.face;
        let penetration = law.reach - (point.dot(&face.normal) - radius);
        if height < 0.0 || height > length {
            if penetration > 0.0 {
                self.retired = true;
            }
            self.state.force_n = 0.0;
            return None;
        }
        let along = point.dot(&face.tangent);
        if along < face.from || along > face.to {
            self.state.force_n = 0.0;
            return None;
        }
        // d(pen) = -v . [e_n - z (kappa - r'/a_z)], kappa = (a . e_n)/a_z
        let tilt = (lean.dot(&face.normal) - taper) / lean.z;
        Some(Touch {
            penetration,
            place: point - face.normal * radius,
            offset: face.normal * -radius,
            direction: face.normal - Vector3::z() * tilt,
            bending_rate: Vector3::new(rate[0], rate[1], 0.0),
        })
    }
}
