//! The engagement: staggered leapfrog from first touch to release (or to a stop).
//!
//! Positions live at whole steps, velocities between them. One force evaluation a step; the bending
//! coordinates are advanced by the midpoint rule between kicks, which is stable for any frequency and
//! exact for static load; path-dependent elements (notch friction, crush) see the positions only. A
//! bolt's force in the step in which it is released is scaled by the part of the step before the
//! release. Nothing is allocated per step.
//!
//! References: leapfrog with implicit fast linear part, A. Stern, E. Grinspun, Multiscale Model. Simul. 7
//! (2009) 1779 (recalled).

use giveway_mechanics::attitude::drift_both;
use giveway_mechanics::wheel::{Ride, push_of};
use nalgebra::{Vector2, Vector3};
use wide::f64x2;

use crate::clock::SAMPLE_S;
use crate::contact::{BandRun, FREE_CLOSING_MPS2, LARGEST_CLOSING_MPS2};
use crate::kink::FAR_RAD;
use crate::solution::{both, pairs};
use crate::state::Run;

/// Wheel forces stay so long, s: a vehicle swings on its tyres at some hertz.
const WHEELS_S: f64 = 4.0 * SAMPLE_S;

impl Run<'_> {
    /// Goes on by `dt`, s.
    pub(crate) fn step(&mut self, dt: f64) {
        self.kick(0.5 * (self.last_dt + dt));
        self.drift(dt);
        self.last_dt = dt;
        self.steps += 1;
        self.time += dt;
        self.forces();
    }

    /// Evaluates every force at the present positions.
    pub(crate) fn forces(&mut self) {
        let g = self.p.scenario.site.gravity_mps2;
        let m = self.p.solution.modes.properties.mass_kg;
        let weight = Vector3::new(0.0, 0.0, -m * g);
        self.force = weight;
        self.torque = Vector3::zeros();
        self.load.fill(0.0);
        self.vtorque = Vector3::zeros();
        self.external = weight;
        if self.p.vehicle.guided {
            self.vforce = Vector3::zeros();
        } else {
            self.vforce = Vector3::new(0.0, 0.0, -self.p.vehicle.mass * g);
            self.external.z -= self.p.vehicle.mass * g;
            self.wheels();
        }
        if !self.foot_clear {
            self.base();
        }
        self.contact();
    }

    fn contact(&mut self) {
        let p = self.p;
        let face = &p.face;
        let (r, rv) = (&self.spin.rotation, &self.vspin.rotation);
        let to_vehicle = rv.transpose() * r;
        // Foot of the undeformed pole, vehicle axes.
        let centre = p.solution.modes.properties.centre_m;
        let base = rv.tr_mul(&(self.x - self.vx)) - to_vehicle * centre;
        let rate = if self.fixed() {
            Vector3::zeros()
        } else {
            self.spin.rate
        };
        let vrate = self.vspin.rate;
        let (mut total, mut friction, mut normal) = (Vector3::zeros(), Vector3::zeros(), 0.0);
        let mut places = Vector3::zeros();
        let free = self.free;
        let bent_far = self.kink.turn.norm_squared() > FAR_RAD * FAR_RAD;
        for (band, law) in self.bands.iter_mut().zip(&face.bands) {
            let Some(touch) = band.locate(
                p,
                law,
                [&self.q, &self.w_mean],
                &to_vehicle,
                &base,
                [self.time, self.side.place],
            ) else {
                continue;
            };
            let (crush, dent, before) = (band.state.crush_m, band.state.dent_m, band.state.force_n);
            let f = law
                .crush
                .advance(&mut band.state, touch.penetration, &law.dent);
            let mean = 0.5 * (before + f);
            self.spent.crush += mean * (band.state.crush_m - crush);
            self.spent.dent += mean * (band.state.dent_m - dent);
            let place = self.vx + rv * touch.place;
            let relative = self.v + rate.cross(&(place - self.x)) + r * touch.bending_rate
                - self.vv
                - vrate.cross(&(place - self.vx));
            if f <= 0.0 {
                band.rub = Vector3::zeros();
                if bent_far {
                    // The place of touch moves along a shaft that is no straight line: no bound on what closes the gap holds.
                    continue;
                }
                // d(pen) = -v . direction; the face and the wall keep what they have lost for good
                let closing = -relative.dot(&(rv * touch.direction)) - self.side.rate;
                let most = if free {
                    let bending = p
                        .solution
                        .swing_acceleration([&self.q, &self.w], band.shapes());
                    FREE_CLOSING_MPS2 + bending
                } else {
                    LARGEST_CLOSING_MPS2
                };
                band.wait(band.lost(law) - touch.penetration, closing, most, self.time);
                continue;
            }
            let push = rv * touch.direction;
            let along = relative.dot(&push) / push.norm_squared();
            let slide = relative - push * along;
            let speed = (slide.norm_squared() + 0.0025).sqrt();
            let rub = slide * (-face.friction * f / speed);
            let force = push * f + rub;
            self.spent.face_rub -= 0.5 * (rub + band.rub).dot(&slide) * self.last_dt;
            band.rub = rub;
            total += force;
            friction += rub;
            normal += f;
            places += place * f;
            // The penetration is that of the axis, so its force acts there; friction acts on the surface.
            let axis = place - rv * touch.offset;
            self.torque += (axis - self.x).cross(&(push * f)) + (place - self.x).cross(&rub);
            self.vtorque -= (axis - self.vx).cross(&(push * f)) + (place - self.vx).cross(&rub);
            let local = r.tr_mul(&force);
            band.add_load(local.x, local.y, &mut self.load);
        }
        self.force += total;
        self.vforce -= total;
        self.contact_force = normal;
        self.contact_friction = friction.norm();
        self.contact_sum = [total, places];
        let free = normal == 0.0 && self.all_released() && self.time < self.apart_until;
        if self.free && !free {
            self.bands.iter_mut().for_each(BandRun::look_again);
        }
        self.free = free;
        if normal > 0.0 {
            if normal > self.peaks.force {
                self.peaks.force = normal;
                self.peaks.force_time = self.time;
            }
            self.contact_end = Some((self.time, self.vv));
        }
    }

    /// Wheel forces, renewed every [`WHEELS_S`]: the road moves the vehicle slowly.
    fn wheels(&mut self) {
        let before = (self.wheel_push, self.wheel_turn);
        let rate = self.vspin.rate;
        if self.time >= self.wheels_due {
            self.wheels_due = self.time + WHEELS_S - 1e-9;
            let ride = Ride {
                x: &self.vx,
                v: &self.vv,
                rotation: &self.vspin.rotation,
                rate: &rate,
            };
            (self.wheel_push, self.wheel_turn) = push_of(&self.p.vehicle.wheels, &ride, |_| 0.0);
        }
        let power =
            (before.0 + self.wheel_push).dot(&self.vv) + (before.1 + self.wheel_turn).dot(&rate);
        self.spent.tyre -= 0.5 * power * self.last_dt;
        self.vforce += self.wheel_push;
        self.vtorque += self.wheel_turn;
        self.external += self.wheel_push;
    }

    /// What a guide adds to the forces on the vehicle, N.
    pub(crate) fn guide(&self, push: &Vector3<f64>) -> Vector3<f64> {
        if self.p.vehicle.guided {
            push * self.p.vehicle.mass - self.vforce
        } else {
            Vector3::zeros()
        }
    }

    pub(crate) fn kick(&mut self, dt: f64) {
        if !self.fixed() {
            let m = self.p.solution.modes.properties.mass_kg;
            self.v += self.force * (dt / m);
            self.spin.momentum += self.torque * dt;
            for (w, f) in self.w.iter_mut().zip(&self.load) {
                *w += f * dt;
            }
            if let Some(pier) = self.pier_law() {
                self.pier.kick(&pier, dt);
            }
        }
        let push = self.vehicle_push(&self.vforce);
        self.side.rate += self.side_push(&push) * dt;
        self.vv += push * dt;
        if !self.p.vehicle.guided {
            self.vspin.momentum += self.vtorque * dt;
        }
        // What the guide takes up counts as external.
        let guide = self.guide(&push);
        self.external_impulse += (self.external + guide) * dt;
        let on_vehicle = self.vforce - self.wheel_push;
        self.impulse -= on_vehicle.dot(&self.direction) * dt;
    }

    pub(crate) fn drift(&mut self, dt: f64) {
        self.vx += self.vv * dt;
        if let Some(body) = &self.p.face.body {
            body.drift(&mut self.side, dt);
            self.spent.damping += body.damping * self.side.rate * self.side.rate * dt;
        }
        match (self.p.vehicle.guided, self.fixed()) {
            (true, true) => return,
            (false, true) => return self.vspin.drift(dt),
            (true, false) => self.spin.drift(dt),
            (false, false) => drift_both(&mut self.vspin, &mut self.spin, dt),
        }
        self.x += self.v * dt;
        if let Some(pier) = self.pier_law() {
            self.pier.drift(&pier, dt);
        }
        let Some(table) = self.drifts.get(dt, self.free) else {
            return self.swing(dt);
        };
        let mut loss = f64x2::ZERO;
        // A kink's turn acts like a force on every coordinate; it is found at the middle of the step first.
        let near = self.near_kink().map(|moment| (moment, self.kink_limit()));
        let middle = near.map(|(before, limit)| {
            let mut after = [f64x2::ZERO; 2];
            let coordinates = pairs(&self.q).zip(pairs(&self.w));
            let rows = self.p.solution.kink_rows.iter().zip(&table.each);
            for ((q, w), (row, d)) in coordinates.zip(rows) {
                let q1 = d.ahead(q, w);
                after = [after[0] + row[0] * q1, after[1] + row[1] * q1];
            }
            let moment = 0.5 * (before + Vector2::new(both(after[0]), both(after[1])));
            self.kink.settle(moment, &table.kink, limit, self.time)
        });
        let (q_pairs, q_rest) = self.q.as_chunks_mut::<2>();
        let (w_pairs, w_rest) = self.w.as_chunks_mut::<2>();
        let (mean_pairs, mean_rest) = self.w_mean.as_chunks_mut::<2>();
        let force = |i: usize| {
            middle.map_or(f64x2::ZERO, |turn| {
                let row = &self.p.solution.kink_rows[i];
                row[0] * f64x2::splat(turn.x) + row[1] * f64x2::splat(turn.y)
            })
        };
        let turned = self.kink.since.is_some();
        let whole = q_pairs.iter_mut().zip(w_pairs).zip(mean_pairs);
        for (i, (((q, w), mean), d)) in whole.zip(&table.each).enumerate() {
            let (q0, w0) = (f64x2::from(*q), f64x2::from(*w));
            let (q1, w1);
            (q1, w1, loss) = if turned {
                d.advance_under(q0, w0, force(i), loss)
            } else {
                d.advance(q0, w0, loss)
            };
            *mean = ((w0 + w1) * 0.5).to_array();
            (*q, *w) = (q1.to_array(), w1.to_array());
        }
        if let ([q], [w], [mean], Some(d)) = (q_rest, w_rest, mean_rest, table.each.last()) {
            let (q0, w0) = (f64x2::from([*q, 0.0]), f64x2::from([*w, 0.0]));
            let last = table.each.len() - 1;
            let (q1, w1);
            (q1, w1, loss) = if turned {
                d.advance_under(q0, w0, force(last), loss)
            } else {
                d.advance(q0, w0, loss)
            };
            *mean = 0.5 * (*w + w1.to_array()[0]);
            (*q, *w) = (q1.to_array()[0], w1.to_array()[0]);
        }
        self.spent.damping += both(loss);
        self.struck_moment = self.p.solution.contact_moment(&self.q);
    }

    /// The elastic coordinates over some samples in which nothing acts on them: exact.
    fn swing(&mut self, dt: f64) {
        let samples = (dt / SAMPLE_S).round() as usize;
        let all = self.q.iter_mut().zip(&mut self.w).zip(&mut self.w_mean);
        let swings = self.p.solution.swings(samples);
        let mut loss = 0.0;
        for (((q, w), mean), (swing, omega)) in all.zip(swings) {
            let [qq, qw, wq, ww] = *swing;
            let (q0, w0) = (*q, *w);
            let (q1, w1) = (qq * q0 + qw * w0, wq * q0 + ww * w0);
            loss += 0.5 * (omega * omega * (q0 - q1) * (q0 + q1) + (w0 - w1) * (w0 + w1));
            *mean = (q1 - q0) / dt;
            (*q, *w) = (q1, w1);
        }
        self.spent.damping += loss;
        self.struck_moment = self.p.solution.contact_moment(&self.q);
    }
}
