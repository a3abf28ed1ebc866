//! The struck face goes on acting while the foot is against it: the same bands, crush and dent as in the impact, with
//! the pole's bending.

use nalgebra::Vector3;

use super::outcome::{Part, Zone};
use super::piece::Piece;
use super::skin::{Carrier, Hit};
use crate::contact::{BandRun, LEAST_UPRIGHT};
use crate::prepared::Prepared;
use crate::solution::free_swing;

/// A gap smaller than this, and than twice what it closes by in a step, asks for the short step, m.
const NEAR_M: f64 = 0.03;
/// A pole that is suddenly this much deeper than the crush so far has not come through the face, m.
const JUMP_M: f64 = 0.25;

/// The part of the pole that may meet the face, above its foot, m, and at how many heights besides the foot its bending is looked at.
const LOWER_POLE_M: f64 = 3.0;
const LOOKED_AT: usize = 6;

/// The struck face and the pole's bending.
#[derive(Debug, Clone)]
pub(crate) struct Face {
    bands: Vec<BandRun>,
    /// Elastic coordinates and their rates.
    pub q: Vec<f64>,
    pub w: Vec<f64>,
    /// Mean of `w` over the last drift, at the same instant as the rigid velocities.
    w_mean: Vec<f64>,
    /// The coordinates about which they swing.
    set: Vec<f64>,
    load: Vec<f64>,
    /// Way inward of the body behind a struck side, m.
    inward: f64,
    /// Length of the last step whose swing was carried out, s, and the free motion over it.
    swings: (f64, Vec<[f64; 4]>),
    /// Time for which bending has swung freely since then, s.
    owed: f64,
    /// Largest deflection of the lower pole while nothing bends it, m; infinite where that is not known.
    most: f64,
    /// Longest step that may come next, s.
    step: f64,
    /// A band is near the pole.
    pub near: bool,
    pub crush_j: f64,
    pub rub_j: f64,
    pub bending_j: f64,
    pub hits: Vec<Hit>,
}

impl Face {
    pub fn new(bands: Vec<BandRun>, inward: f64, [q, w, set]: [Vec<f64>; 3], step: f64) -> Self {
        Self {
            inward,
            set,
            load: vec![0.0; q.len()],
            swings: (0.0, Vec::new()),
            owed: 0.0,
            most: f64::INFINITY,
            hits: Vec::with_capacity(bands.len()),
            bands,
            q,
            w_mean: w.clone(),
            w,
            step,
            near: false,
            crush_j: 0.0,
            rub_j: 0.0,
            bending_j: 0.0,
        }
    }

    /// Largest crush of a band, m.
    pub fn crush(&self) -> f64 {
        self.bands
            .iter()
            .fold(0.0_f64, |m, b| m.max(b.state.largest_m))
    }

    /// Largest crush of each band, m.
    pub fn crushes(&self) -> Vec<f64> {
        self.bands.iter().map(|b| b.state.largest_m).collect()
    }

    /// The longest step that may come next, s.
    pub fn allow(&mut self, step: f64) {
        self.step = step;
    }

    pub fn kick(&mut self, dt: f64) {
        if self.hits.is_empty() {
            // Nothing bends the pole.
            return;
        }
        for (w, f) in self.w.iter_mut().zip(&self.load) {
            let gain = f * dt;
            // What the kick changes in w^2/2.
            self.bending_j += gain * (*w + 0.5 * gain);
            *w += gain;
        }
    }

    /// Bending swings on freely; that is worked out when it is asked for.
    pub fn drift(&mut self, dt: f64) {
        self.owed += dt;
    }

    /// Carries out the swing so far, the last `step` of it by itself: the rate that counts is its mean.
    fn swing(&mut self, p: &Prepared, step: f64) {
        let before = self.owed - step;
        if before > 1e-9 {
            self.swing_by(free_swings(p, before));
        }
        if self.owed > 0.0 {
            let (length, mut table) = std::mem::take(&mut self.swings);
            if length != step {
                table.clear();
                table.extend(free_swings(p, step));
            }
            self.swing_by(table.iter().copied());
            self.swings = (step, table);
        }
        self.owed = 0.0;
    }

    /// What the free motion makes of every coordinate and rate about its set.
    fn swing_by(&mut self, motions: impl Iterator<Item = [f64; 4]>) {
        let coordinates = self.q.iter_mut().zip(&mut self.w).zip(&mut self.w_mean);
        for ((((q, w), mean), set), [qq, qw, wq, ww]) in coordinates.zip(&self.set).zip(motions) {
            let before = *w;
            let swung = *q - set;
            (*q, *w) = (set + qq * swung + qw * *w, wq * swung + ww * *w);
            *mean = 0.5 * (before + *w);
        }
    }

    /// The elastic coordinates now.
    pub fn elastic(&self, p: &Prepared) -> Vec<f64> {
        let mut now = self.clone();
        now.swing(p, now.owed);
        now.q
    }

    /// Largest deflection of the lower pole that the energy of its bending allows, with the set of a kink, m.
    fn largest_swing(&self, p: &Prepared) -> f64 {
        let swung: Vec<f64> = self.q.iter().zip(&self.set).map(|(q, s)| q - s).collect();
        let still = vec![0.0; swung.len()];
        let at = |z: f64| {
            let s = &p.solution;
            s.swing(z, &swung, &self.w) + s.swing(z, &self.set, &still)
        };
        (0..=LOOKED_AT)
            .map(|k| at(k as f64 * LOWER_POLE_M / LOOKED_AT as f64))
            .fold(0.0, f64::max)
    }

    /// The next touch looks at every band.
    #[cfg(test)]
    pub fn look(&mut self) {
        self.most = f64::INFINITY;
    }

    /// Whether no band can come near the pole within two of the longest steps that may come next: by the pole's straight axis, with
    /// as much room about it as its bending can take. A band that the pole does not stand before is told so.
    fn clear(&mut self, p: &Prepared, pole: &Piece, car: &Carrier) -> bool {
        let face = &p.face;
        let rod = &pole.rods[0];
        let axis = car.rotation.tr_mul(&rod.unit);
        if axis.z < LEAST_UPRIGHT {
            self.bands.iter_mut().for_each(BandRun::stand_aside);
            return true;
        }
        let foot = car.rotation.tr_mul(&(rod.ends[0] - car.x));
        let rate = pole.rate();
        let velocity = pole.velocity_with(&rate, &rod.ends[0]) - car.v;
        let rate = car.rotation.tr_mul(&(rate - car.rate));
        // Of the foot as the vehicle sees it.
        let moves = car.rotation.tr_mul(&velocity) - car.rotation.tr_mul(&car.rate).cross(&foot);
        let soon = 2.0 * self.step;
        // At a fixed height the pole stands aside by so much.
        let room = NEAR_M + self.most / axis.z;
        for (band, law) in self.bands.iter_mut().zip(&face.bands) {
            if band.is_retired() {
                continue;
            }
            let height = (law.height - foot.z) / axis.z;
            let point = foot + axis * height;
            // Of the place where the axis passes the band's height.
            let v = moves + rate.cross(&(axis * height));
            let v = v - axis * (v.z / axis.z);
            let radius = 0.5 * p.scenario.support.pole.base_diameter_m + p.solution.taper * height;
            let gap = point.dot(&face.normal) - radius - law.reach + self.inward + band.lost(law);
            if height > LOWER_POLE_M || gap < room + soon * (-v.dot(&face.normal)).max(0.0) {
                let along = point.dot(&face.tangent);
                let beside = (face.from - along).max(along - face.to);
                if !(0.0..=LOWER_POLE_M).contains(&height)
                    || beside < room + soon * v.dot(&face.tangent).abs()
                {
                    return false;
                }
                band.stand_aside();
            } else if height < 0.0 && -height * axis.z > room + soon * moves.norm() {
                band.stand_aside();
            } else {
                band.rest();
            }
        }
        true
    }

    /// Contact of the bands with the pole (the first piece): adds its forces to the piece and returns force and moment
    /// on the vehicle. `dt` is the step that led here.
    pub fn touch(
        &mut self,
        p: &Prepared,
        pole: &mut Piece,
        car: &Carrier,
        time: f64,
        dt: f64,
    ) -> (Vector3<f64>, Vector3<f64>) {
        self.hits.clear();
        self.near = false;
        if self.clear(p, pole, car) {
            return (Vector3::zeros(), Vector3::zeros());
        }
        self.swing(p, dt);
        self.load.fill(0.0);
        let (mut on_car, mut moment) = (Vector3::zeros(), Vector3::zeros());
        let (r, rv) = (pole.spin.rotation, car.rotation);
        let to_vehicle = rv.transpose() * r;
        let rate = pole.rate();
        // Foot of the undeformed pole, vehicle axes.
        let base = rv.tr_mul(&(pole.place(&pole.origin) - car.x));
        for (band, law) in self.bands.iter_mut().zip(&p.face.bands) {
            let Some(touch) = band.locate(
                p,
                law,
                [&self.q, &self.w_mean],
                &to_vehicle,
                &base,
                [time, self.inward],
            ) else {
                continue;
            };
            let so_far = band.state.largest_m + band.state.dent_m;
            if touch.penetration > so_far + JUMP_M {
                band.retire();
                continue;
            }
            let place = car.x + rv * touch.place;
            let relative = pole.velocity_with(&rate, &place) + r * touch.bending_rate
                - car.v
                - car.rate.cross(&(place - car.x));
            let push = rv * touch.direction;
            // d(pen) = -v . direction
            let closing = -relative.dot(&push);
            let gap = so_far - touch.penetration;
            self.near |= gap < NEAR_M + 2.0 * closing.max(0.0) * self.step;
            let (crush, dent, before) = (band.state.crush_m, band.state.dent_m, band.state.force_n);
            let f = law
                .crush
                .advance(&mut band.state, touch.penetration, &law.dent);
            let taken =
                0.5 * (before + f) * (band.state.crush_m - crush + band.state.dent_m - dent);
            self.crush_j += taken;
            if f <= 0.0 {
                band.rub = Vector3::zeros();
                continue;
            }
            let slide = relative - push * (relative.dot(&push) / push.norm_squared());
            let speed = (slide.norm_squared() + 0.0025).sqrt();
            let rub = slide * (-p.face.friction * f / speed);
            let rubbed = -0.5 * (rub + band.rub).dot(&slide) * dt;
            band.rub = rub;
            self.rub_j += rubbed;
            let axis = place - rv * touch.offset;
            let force = push * f + rub;
            pole.push(&(push * f), &axis);
            pole.push(&rub, &place);
            on_car -= force;
            moment -= (axis - car.x).cross(&(push * f)) + (place - car.x).cross(&rub);
            let local = r.tr_mul(&force);
            band.add_load(local.x, local.y, &mut self.load);
            self.hits.push(Hit {
                zone: Zone::Face,
                part: Part::Pole,
                place,
                on_vehicle: touch.place,
                closing: closing / push.norm(),
                force,
                energy: taken + rubbed,
            });
        }
        if !self.hits.is_empty() {
            self.most = f64::INFINITY;
        } else if self.most.is_infinite() {
            self.most = self.largest_swing(p);
        }
        (on_car, moment)
    }

    /// Energy of the bending, kinetic and strain, J.
    pub fn bending_energy(&self, p: &Prepared) -> [f64; 2] {
        let kinetic = self.w.iter().map(|w| 0.5 * w * w).sum();
        let strain = self
            .q
            .iter()
            .zip(&self.set)
            .zip(&p.solution.basis.omega)
            .map(|((q, set), o)| 0.5 * o * o * (q - set) * (q - set))
            .sum();
        [kinetic, strain]
    }
}

/// The free motion of every elastic coordinate over the time `t`.
fn free_swings(p: &Prepared, t: f64) -> impl Iterator<Item = [f64; 4]> {
    let zeta = p.scenario.support.damping_ratio;
    let each = p.solution.basis.omega.iter();
    each.map(move |omega| free_swing(*omega, zeta, t))
}
