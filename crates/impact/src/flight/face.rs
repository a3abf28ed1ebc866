//! The struck face goes on acting while the foot is against it: the same bands, crush and dent as in the impact, with
//! the pole's bending.

use nalgebra::Vector3;

use super::outcome::{Part, Zone};
use super::piece::Piece;
use super::skin::{Carrier, Hit};
use crate::contact::BandRun;
use crate::prepared::Prepared;

/// A gap smaller than this, and than twice what it closes by in a step, asks for the short step, m.
const NEAR_M: f64 = 0.03;
/// A pole that is suddenly this much deeper than the crush so far has not come through the face, m.
const JUMP_M: f64 = 0.25;

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
    /// Propagators of the elastic coordinates, by step.
    propagators: Vec<(f64, Vec<[f64; 4]>)>,
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
            propagators: Vec::with_capacity(2),
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

    /// Bending swings on freely: q'' + 2 zeta w q' + w^2 q = 0, in closed form.
    pub fn drift(&mut self, p: &Prepared, dt: f64) {
        if !self.propagators.iter().any(|(t, _)| *t == dt) {
            self.propagators.push((dt, propagators(p, dt)));
        }
        let Some((_, table)) = self.propagators.iter().find(|(t, _)| *t == dt) else {
            return;
        };
        let coordinates = self.q.iter_mut().zip(&mut self.w).zip(&mut self.w_mean);
        for ((((q, w), mean), set), [qq, qw, wq, ww]) in coordinates.zip(&self.set).zip(table) {
            let before = *w;
            let swung = *q - set;
            (*q, *w) = (set + qq * swung + qw * *w, wq * swung + ww * *w);
            *mean = 0.5 * (before + *w);
        }
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
        self.load.fill(0.0);
        self.hits.clear();
        self.near = false;
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

/// For each elastic coordinate the closed form of a step: (q, w) becomes (a q + b w, c q + d w).
fn propagators(p: &Prepared, dt: f64) -> Vec<[f64; 4]> {
    let zeta = p.scenario.support.damping_ratio;
    let under = (1.0 - zeta * zeta).sqrt();
    p.solution
        .basis
        .omega
        .iter()
        .map(|omega| {
            // q = e^(-zeta w t) (q0 cos wd t + (w0 + zeta w q0)/wd sin wd t), wd = w sqrt(1 - zeta^2)
            let wd = omega * under;
            let decay = libm::exp(-zeta * omega * dt);
            let (sin, cos) = (libm::sin(wd * dt), libm::cos(wd * dt));
            let part = zeta * omega / wd * sin;
            [
                decay * (cos + part),
                decay * sin / wd,
                -decay * omega * omega / wd * sin,
                decay * (cos - part),
            ]
        })
        .collect()
}
