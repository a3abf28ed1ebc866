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
use crate::solution::{SupportSolution, add_pairs, both};

/// A pole leaning further than this (vertical part of its axis) is no longer met by the bands.
pub(crate) const LEAST_UPRIGHT: f64 = 0.2;
/// No gap closes with a larger acceleration, m/s^2: what 400 kN do to 20 kg, more than any joint without contact (assumed).
pub(crate) const LARGEST_CLOSING_MPS2: f64 = 2e4;
/// The same of what turning and tyres do beside the bending of a pole that nothing holds, m/s^2 (assumed).
pub(crate) const FREE_CLOSING_MPS2: f64 = 200.0;

/// A band in the course of a run.
#[derive(Debug, Clone)]
pub(crate) struct BandRun {
    pub state: CrushState,
    /// Shape along x and along y at the contact, for pairs of coordinates.
    pub row: Vec<[f64x2; 2]>,
    /// Friction on the pole at the last step, site axes, N.
    pub rub: Vector3<f64>,
    /// Contact height above the foot along the pole, m.
    height: Option<f64>,
    /// The pole has gone over this band; it cannot be struck from inside.
    retired: bool,
    /// The pole was not before this band when it was last looked at: beside the face, below or above its own end, or lying.
    aside: bool,
    /// Since when the pole has been behind this band without having come through it, s.
    behind: Option<f64>,
    /// The band cannot touch before this time, s.
    wait_until: f64,
}

/// Sums over the elastic coordinates at a contact: deflection, its rise to the next height of the table, and its rate,
/// each along x and y, in two parts.
#[derive(Default)]
struct Sums {
    place: [f64x2; 2],
    rise: [f64x2; 2],
    rate: [f64x2; 2],
}

impl Sums {
    /// Adds a pair of coordinates and returns its shape at the contact.
    #[inline(always)]
    fn add(&mut self, row: &[f64x2; 4], part: f64x2, q: f64x2, w: f64x2) -> [f64x2; 2] {
        let (x, y) = (row[0] + row[2] * part, row[1] + row[3] * part);
        self.place[0] += x * q;
        self.place[1] += y * q;
        self.rise[0] += row[2] * q;
        self.rise[1] += row[3] * q;
        self.rate[0] += x * w;
        self.rate[1] += y * w;
        [x, y]
    }

    #[inline(always)]
    fn total(&self) -> [f64; 6] {
        [
            both(self.place[0]),
            both(self.place[1]),
            both(self.rise[0]),
            both(self.rise[1]),
            both(self.rate[0]),
            both(self.rate[1]),
        ]
    }
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

/// The least time in which a gap closes at first with the rate `closing`, m/s, and with no larger acceleration than `most`, m/s^2, s:
/// gap = v t + a t^2/2.
pub(crate) fn time_to_close(gap: f64, closing: f64, most: f64) -> f64 {
    let arrival = (closing * closing + 2.0 * most * gap).sqrt();
    (arrival - closing) / most
}

impl BandRun {
    pub fn new(coordinates: usize) -> Self {
        Self {
            state: CrushState::default(),
            row: vec![[f64x2::ZERO; 2]; coordinates.div_ceil(2)],
            rub: Vector3::zeros(),
            height: None,
            retired: false,
            aside: false,
            behind: None,
            wait_until: 0.0,
        }
    }

    /// Takes the band out of the contact for good.
    pub fn retire(&mut self) {
        self.retired = true;
    }

    /// A band with a gap need not be looked at until that gap could have closed: at the present rate `closing`, m/s,
    /// and the acceleration `most`, m/s^2, which the pole does not exceed.
    pub fn wait(&mut self, gap: f64, closing: f64, most: f64, time: f64) {
        if gap > 0.0 {
            self.wait_until = time + time_to_close(gap, closing.max(0.0), most);
        }
    }

    /// Takes back what was said of the time until which it cannot touch.
    pub fn look_again(&mut self) {
        self.wait_until = 0.0;
    }

    /// Size of the pole's shapes at the band's last place, for pairs of coordinates.
    pub fn shapes(&self) -> impl Iterator<Item = f64x2> {
        self.row.iter().map(|[x, y]| (*x * *x + *y * *y).sqrt())
    }

    /// Deepest penetration without a force, m: what face and wall have lost for good.
    pub fn lost(&self, law: &BandLaw) -> f64 {
        law.crush.permanent(&self.state) + self.state.dent_m
    }

    /// Until when the band cannot touch, s.
    pub fn clear_until(&self) -> f64 {
        if self.retired {
            f64::INFINITY
        } else {
            self.wait_until
        }
    }

    /// Whether the pole has gone over the band, which it then cannot strike any more.
    pub fn is_retired(&self) -> bool {
        self.retired
    }

    /// Since when the pole has been behind the band without having come through it, s.
    pub fn behind_since(&self) -> Option<f64> {
        self.behind
    }

    /// The pole is not before the band: no force acts.
    fn set_aside(&mut self) -> Option<Touch> {
        self.stand_aside();
        None
    }

    /// The pole has been seen beside the band, over or under it, or lying: no force acts.
    pub fn stand_aside(&mut self) {
        self.aside = true;
        self.rest();
    }

    /// The pole has been seen clear of the band: no force acts.
    pub fn rest(&mut self) {
        self.height = None;
        self.state.force_n = 0.0;
        self.rub = Vector3::zeros();
    }

    /// Adds what the force `fx`, `fy` (support axes) at the contact does on the elastic coordinates.
    #[inline]
    pub fn add_load(&self, fx: f64, fy: f64, load: &mut [f64]) {
        let (fx, fy) = (f64x2::splat(fx), f64x2::splat(fy));
        add_pairs(load, &self.row, |[x, y]| *x * fx + *y * fy);
    }

    /// The touch of this band, if the pole passes through its height within the face's width. `inward` is the way that the
    /// body behind the face has gone, m.
    pub fn locate(
        &mut self,
        p: &Prepared,
        law: &BandLaw,
        [q, w]: [&[f64]; 2],
        to_vehicle: &Matrix3<f64>,
        base: &Vector3<f64>,
        [time, inward]: [f64; 2],
    ) -> Option<Touch> {
        if self.retired || time < self.wait_until {
            return None;
        }
        let solution = &p.solution;
        let length = p.scenario.support.pole_length_m;
        let axis = Vector3::new(to_vehicle.m13, to_vehicle.m23, to_vehicle.m33);
        if axis.z < LEAST_UPRIGHT {
            return self.set_aside();
        }
        let guess = self
            .height
            .unwrap_or_else(|| (law.height - base.z) / axis.z);
        let (k, f) = solution.table_place(guess);
        let step_m = SupportSolution::table_step();
        let part = f64x2::splat(f);
        let mut sums = Sums::default();
        let rows = solution.table_row(k);
        let ((q_pairs, q_rest), (w_pairs, w_rest)) = (q.as_chunks::<2>(), w.as_chunks::<2>());
        // equal lengths, so that no bound is checked in the loop
        let n = q_pairs.len();
        let (shapes, whole, w_pairs) = (&mut self.row[..n], &rows[..n], &w_pairs[..n]);
        for i in 0..n {
            let (q, w) = (f64x2::from(q_pairs[i]), f64x2::from(w_pairs[i]));
            shapes[i] = sums.add(&whole[i], part, q, w);
        }
        if let (&[q], &[w], Some(c), Some(row)) = (q_rest, w_rest, self.row.last_mut(), rows.last())
        {
            *c = sums.add(row, part, f64x2::from([q, 0.0]), f64x2::from([w, 0.0]));
        }
        let [ux, uy, sx, sy, rx, ry] = sums.total();
        let lean = to_vehicle * Vector3::new(sx / step_m, sy / step_m, 1.0);
        if lean.z <= 0.0 || lean.z * lean.z < LEAST_UPRIGHT * LEAST_UPRIGHT * lean.norm_squared() {
            return self.set_aside();
        }
        let point = base + to_vehicle * Vector3::new(ux, uy, guess);
        // Slide along the axis to the band's height.
        let shift = (law.height - point.z) / lean.z;
        let point = point + lean * shift;
        let height = guess + shift;
        self.height = Some(height);
        let taper = solution.taper;
        let radius = 0.5 * p.scenario.support.pole.base_diameter_m + taper * height;
        let face = &p.face;
        let penetration = law.reach - inward - (point.dot(&face.normal) - radius);
        if height < 0.0 || height > length {
            if penetration > 0.0 {
                self.retired = true;
            }
            return self.set_aside();
        }
        let along = point.dot(&face.tangent);
        if along < face.from || along > face.to {
            return self.set_aside();
        }
        if self.aside {
            if penetration > self.lost(law) {
                // It has come in from the side, from below or lying: no touch of this face, until it stands clear ahead of it.
                self.behind.get_or_insert(time);
                return None;
            }
            self.aside = false;
        }
        // d(pen) = -v . [e_n - z (kappa - r'/a_z)], kappa = (a . e_n)/a_z
        let tilt = (lean.dot(&face.normal) - taper) / lean.z;
        Some(Touch {
            penetration,
            place: point - face.normal * radius,
            offset: face.normal * -radius,
            direction: face.normal - Vector3::z() * tilt,
            bending_rate: Vector3::new(rx, ry, 0.0),
        })
    }
}
