//! What the base does to the foot in one step: bolts, bars in the slip plane, soil, foundation, hinge.

use giveway_mechanics::joint::{BoltState, Motion};
use giveway_mechanics::obstacle::SoilLaw;
use nalgebra::{Matrix3, Vector2, Vector3};
use wide::f64x2;

use crate::contact::time_to_close;
use crate::found::BaseLaw;
use crate::hinge::Joint;
use crate::prepared::SOIL_WAY_M;
use crate::rest::on_turn;
use crate::state::Run;

/// The plates have begun to slide once a bolt's upper seat has slid this far: what film of a test shows, m (assumed).
const ONSET_M: f64 = 1e-3;
/// Slope of the upper plate beyond which it stands on edge: 45 degrees. It is then opened by more than the length of a bolt.
const STEEPEST: f64 = 1.0;
/// Slope of the upper plate up to which it moves under a bolt by its yaw alone.
const FLAT: f64 = 0.03;
/// How much more a pole may lean within a step, sine.
const LEAN_MORE: f64 = 0.02;
/// What lets a foot that nothing holds fall beside its turning and bending: weight, and as much again (assumed), m/s^2.
const FALLING_MPS2: f64 = 20.0;
/// The foot is clear of the lower plate when it has risen this far, m.
const CLEAR_RISE_M: f64 = 0.05;

impl Run<'_> {
    /// Evaluates the base at the present positions and adds its forces to the support's.
    pub(crate) fn base(&mut self) {
        let Some(law) = &self.p.base else { return };
        let base = &self.p.scenario.base;
        let slip_height = self.p.scenario.site.slip_plane_height_m;
        let radius = 0.5 * base.bolt_circle_m;
        let r = self.spin.rotation;
        let (u, turn) = self.p.solution.foot_motion(&self.q);
        let centre = self.p.solution.modes.properties.centre_m;
        let foot = self.x + r * (u - centre);
        self.follow_plate(foot, turn.z);
        if self.nothing_holds() {
            self.apart_until = f64::INFINITY;
            self.foot_clear = self.clear_of_the_base(&foot);
            return;
        }
        let inverse_dt = self.inverse_dt();
        let lower = self.pier.place;
        let yaw = self.spin.rate.z * self.last_dt;
        let mut total = Vector3::zeros();
        let mut moment = Vector3::zeros();
        let mut turn_load = Vector3::zeros();
        let mut hinge_moment = Vector3::zeros();
        let mut released = self.released;
        let mut began = false;
        let mut closing = 0.0_f64;
        let joint = Joint {
            laws: &law.bolts,
            bolts: &self.bolts,
            radius,
            slip_height,
            lower,
            inverse_dt,
        };
        let plate = self.hinge.settle(&joint, foot, &r, turn, self.time);
        let on_edge = plate.slope.norm_squared() > STEEPEST * STEEPEST;
        if on_edge {
            self.lever_out();
            released = self.released;
        }
        let axes = (plate.slope.norm_squared() > FLAT * FLAT).then(|| plate.axes());
        let axes_before = std::mem::replace(&mut self.plate_axes, axes);
        let still_in = if on_edge { 0 } else { self.bolts.len() };
        let plate_radius_squared = base.plate_radius_m * base.plate_radius_m;
        let bolts = self.bolts.iter_mut().take(still_in);
        for (i, (bolt, law)) in bolts.zip(&law.bolts).enumerate() {
            let (upper, slip) = plate.upper(&bolt.axis, radius, &lower);
            let way = bolt.way(law, &slip);
            let place = plate.under(&bolt.axis, radius, &lower, &way.shift);
            let opening = place.z - slip_height;
            let apart = place - upper;
            let twist = match (&axes, &axes_before) {
                (Some([x, y]), Some(before)) => {
                    // The same point of the plate a step ago.
                    let was = before[0] * apart.dot(x) + before[1] * apart.dot(y);
                    (apart - was).xy()
                }
                _ => Vector2::new(-apart.y, apart.x) * yaw,
            };
            let motion = Motion {
                opening_rate: (opening - bolt.opening()) * inverse_dt,
                velocity: (slip - bolt.slip()) * inverse_dt,
                slope: plate.slope,
                twist,
                over_plate: (bolt.axis * radius + slip).norm_squared() <= plate_radius_squared,
                inverse_dt,
            };
            closing = closing.max(-motion.opening_rate);
            let clamped = bolt.departure.is_none();
            began |= self.slip_onset.is_none() && bolt.slid(law) > ONSET_M;
            let events = bolt.advance_along(law, &way, slip, opening, &motion);
            if clamped {
                if bolt.departure.is_none() {
                    self.peaks.of_bolt(i, bolt, self.time);
                }
                if let Some(fraction) = events.released {
                    self.release_times[i] = Some(self.time - self.last_dt * (1.0 - fraction));
                    released += 1;
                    self.events += 1;
                }
                self.events += usize::from(events.keeper_torn);
            }
            let across = Vector3::new(bolt.force.x, bolt.force.y, 0.0);
            let lift = Vector3::new(0.0, 0.0, bolt.lift);
            let lever = place - foot;
            let about_foot = (upper - foot).cross(&across) + lever.cross(&lift);
            total += across + lift;
            moment += about_foot + (foot - self.x).cross(&(across + lift));
            turn_load += r.tr_mul(&about_foot);
            hinge_moment += Vector3::new(about_foot.x, about_foot.y, 0.0);
        }
        self.hinge.book(hinge_moment);
        self.stand_in_the_way(law, foot, (&mut total, &mut moment));
        self.tell(began, released);
        self.load_foot((&total, &moment, &turn_load), &r, &turn);
        if self.all_released() {
            self.foot_clear = self.clear_of_the_base(&foot);
            self.apart_until = self.plates_apart(closing, &foot);
        }
    }

    /// Until when plates that no bolt clamps any more cannot meet, s, from the rate at which the gap between them closes where it
    /// is quickest, m/s.
    fn plates_apart(&self, closing: f64, foot: &Vector3<f64>) -> f64 {
        if self.blocked() || self.pier_law().is_some() {
            return self.time;
        }
        if self.foot_clear {
            return f64::INFINITY;
        }
        let gaps = self.bolts.iter().map(BoltState::apart);
        let gap = gaps.fold(f64::INFINITY, f64::min);
        if gap <= 0.0 || self.contact_force > 0.0 {
            return self.time;
        }
        let solution = &self.p.solution;
        let radius = 0.5 * self.p.scenario.base.bolt_circle_m;
        let up = self.spin.rotation.row(2);
        // What the foot moves across the pole lifts it by the pole's lean, which hardly changes within a step.
        let across = Vector2::new(up[0].abs(), up[1].abs()).add_scalar(LEAN_MORE);
        let (x, y) = (f64x2::splat(across.x), f64x2::splat(across.y));
        let shapes = solution.foot.iter().map(|row| {
            let turn = (row[3] * row[3] + row[4] * row[4] + row[5] * row[5]).sqrt();
            let shape = x * row[0].abs() + y * row[1].abs() + row[2].abs();
            shape + f64x2::splat(radius) * turn
        });
        let bending = solution.swing_acceleration([&self.q, &self.w], shapes);
        let turning = self.spin.rate.norm_squared() * ((foot - self.x).norm() + radius);
        let most = FALLING_MPS2 + 2.0 * turning + bending;
        self.time + time_to_close(gap, closing + 0.5 * most * self.last_dt, most)
    }

    /// Keeps where the foot stands and how far the upper plate has moved in this step.
    #[inline]
    fn follow_plate(&mut self, foot: Vector3<f64>, twist: f64) {
        let turned = self.spin.rate.z * self.last_dt + twist - self.twist;
        self.plate_step = (foot - self.foot, turned);
        self.twist = twist;
        self.foot = foot;
    }

    /// One over the last step, 1/s; none before the first.
    #[inline]
    pub(crate) fn inverse_dt(&self) -> f64 {
        if self.last_dt > 0.0 {
            1.0 / self.last_dt
        } else {
            0.0
        }
    }

    /// What stands in the way of the foot: bars in the foundation that press on the plate's edge towards its middle, and soil.
    #[inline]
    fn stand_in_the_way(
        &mut self,
        law: &BaseLaw,
        foot: Vector3<f64>,
        (total, moment): (&mut Vector3<f64>, &mut Vector3<f64>),
    ) {
        let moved = Vector2::new(foot.x, foot.y);
        let rise = foot.z - self.p.scenario.site.slip_plane_height_m;
        for (bar, law) in self.bars.iter_mut().zip(&law.bars) {
            let was = bar.gone;
            let f = bar.advance(&law.law, &(moved - self.pier.place), rise);
            self.events += usize::from(bar.gone != was);
            *total += Vector3::new(f.x, f.y, 0.0);
            *moment += (foot - self.x).cross(&Vector3::new(f.x, f.y, 0.0));
        }
        if law.pier.is_some() {
            self.pier.load = Vector2::new(-total.x, -total.y);
        }
        if let Some(soil) = &law.soil {
            let f = self.soil.advance(soil, &moved, rise);
            *total += f;
            *moment += (foot - self.x).cross(&f);
        }
    }

    /// Keeps when the plates began to slide and when the last bolt left.
    fn tell(&mut self, began: bool, released: usize) {
        if began {
            self.slip_onset = Some((self.time, self.crush()));
        }
        if released > self.released && released == self.bolts.len() {
            self.crush_at_release = Some(self.crush());
            let (_, vv) = self.velocities();
            self.velocity_at_release = Some(vv);
        }
        self.released = released;
    }

    /// Adds the base's force and its moments to the loads of the support: about its centre, and about the foot in its axes.
    #[inline]
    fn load_foot(
        &mut self,
        (total, moment, about_foot): (&Vector3<f64>, &Vector3<f64>, &Vector3<f64>),
        r: &Matrix3<f64>,
        turn: &Vector3<f64>,
    ) {
        self.force += *total;
        self.torque += *moment;
        self.external += *total;
        self.p
            .solution
            .add_foot_load(&r.tr_mul(total), &on_turn(about_foot, turn), &mut self.load);
    }

    /// The plate stands on edge, opened by more than a bolt's length: every bolt that is left is levered out.
    fn lever_out(&mut self) {
        for (bolt, time) in self.bolts.iter_mut().zip(&mut self.release_times) {
            if bolt.lever_out() {
                *time = Some(self.time);
                self.released += 1;
                self.events += 1;
            }
        }
        if self.crush_at_release.is_none() {
            self.crush_at_release = Some(self.crush());
            self.velocity_at_release = Some(self.velocities().1);
        }
    }

    /// Whether the base can take no force any more; bars and soil that do not stand ahead are not met by a foot that no bolt
    /// holds.
    pub(crate) fn nothing_holds(&self) -> bool {
        self.all_released()
            && self.bolts.iter().all(BoltState::is_clear)
            && !self.blocked()
            && self.pier_law().is_none()
    }

    /// Whether the foot, at this place, is clear of the lower plate and of soil ahead of it.
    fn clear_of_the_base(&self, foot: &Vector3<f64>) -> bool {
        let rise = foot.z - self.p.scenario.site.slip_plane_height_m;
        let mut reach = 2.0 * self.p.scenario.base.plate_radius_m;
        let mut clear_rise = CLEAR_RISE_M;
        // Soil that lies ahead of the foot.
        let ahead =
            |s: &SoilLaw| s.gap_m < reach && s.direction.dot(&Vector2::new(foot.x, foot.y)) > 0.0;
        let soil = self.p.base.as_ref().and_then(|law| law.soil);
        if let Some(soil) = soil.filter(ahead) {
            reach += soil.gap_m + SOIL_WAY_M;
            clear_rise += soil.height_m;
        }
        foot.x * foot.x + foot.y * foot.y > reach * reach || rise > clear_rise
    }
}

#[cfg(test)]
mod tests {
    use crate::flight::tests::prepared;
    use crate::state::Run;

    /// Released plates never press on each other while they are told apart, in steps that look at them every time.
    #[test]
    fn plates_that_are_told_apart_do_not_meet() {
        for (torque, speed) in [
            ("120 N.m", "30 km/h"),
            ("180 N.m", "20 km/h"),
            ("300 N.m", "30 km/h"),
            ("180 N.m", "60 km/h"),
        ] {
            let p = prepared(&[("slip_base.clamp.torque", torque), ("impact.speed", speed)]);
            let mut run = Run::new(&p).expect("a start");
            run.forces();
            let (mut until, mut told) = (0.0_f64, 0.0);
            while run.time < 0.2 && run.apart_until.is_finite() {
                let (dt, from) = if run.all_released() {
                    (p.free_step, run.time)
                } else {
                    (p.clamped_step, f64::INFINITY)
                };
                run.step(dt);
                if run.contact_force > 0.0 {
                    // What the face pushes was not reckoned with.
                    until = 0.0;
                }
                if run.time < until {
                    told += run.time - from;
                    let lift = run.bolts.iter().fold(0.0_f64, |m, b| m.max(b.lift.abs()));
                    assert_eq!(lift, 0.0, "{torque}, {speed}: at {} s", run.time);
                }
                until = until.max(run.apart_until);
            }
            assert!(
                run.all_released() && told > 1e-3,
                "{torque}, {speed}: {told} s"
            );
        }
    }
}
