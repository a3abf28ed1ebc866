//! Bolts that all stick, in a long step.

use nalgebra::Vector3;
use wide::f64x2;

use crate::solution::{both, pairs};
use crate::state::Run;

impl Run<'_> {
    /// Adds to the forces what the weighted mean asks for a step of length `dt`, where that is a long one and every bolt sticks.
    pub(crate) fn stick_on(&mut self, dt: f64) {
        let p = self.p;
        if dt <= p.clamped_step || !self.sticks() {
            return;
        }
        let Some(long) = p.long_steps.iter().find(|long| long.dt == dt) else {
            return;
        };
        let Some(table) = self.drifts.get(dt, self.free) else {
            return;
        };
        let kick = 0.5 * (self.last_dt + dt);
        let r = self.spin.rotation;
        let momentum = self.spin.momentum + self.torque * kick;
        let rate = r * (self.spin.inverse_inertia * r.tr_mul(&momentum));
        let lever = self.foot - self.x;
        let mass = p.solution.modes.properties.mass_kg;
        let v = self.v + self.force * (kick / mass) + rate.cross(&lever);
        let mut bent = [f64x2::ZERO; 3];
        let coordinates = pairs(&self.q).zip(pairs(&self.w)).zip(pairs(&self.load));
        let rows = p.solution.foot.iter().zip(&table.each);
        for ((row, drift), ((q, w), load)) in rows.zip(coordinates) {
            let moved = drift.ahead(q, w + load * f64x2::splat(kick)) - q;
            bent = [
                bent[0] + row[0] * moved,
                bent[1] + row[1] * moved,
                bent[2] + row[5] * moved,
            ];
        }
        let [x, y, about] = bent.map(both);
        let (moved, turned) = self.plate_step;
        let steps = dt * self.inverse_dt();
        // In the support's axes.
        let moved = r.tr_mul(&(v * dt - moved * steps)) + Vector3::new(x, y, 0.0);
        let turned = rate.z * dt + about - turned * steps;
        // As if the kick before were a whole step: after a shorter one it moves the plate, and what is added, by less.
        let [x, y, about] = [moved.x, moved.y, turned].map(|bend| bend * (dt / kick));
        let [x, y, about] = long.stick_ahead([x, y, about]);
        let on_foot = Vector3::new(x, y, 0.0);
        let moment = Vector3::new(0.0, 0.0, about);
        p.solution.add_foot_load(&on_foot, &moment, &mut self.load);
        let force = r * on_foot;
        self.force += force;
        self.external += force;
        self.torque += moment + lever.cross(&force);
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::Vector3;

    use crate::flight::tests::prepared;
    use crate::prepared::Prepared;
    use crate::state::Run;

    fn started(p: &Prepared) -> Run<'_> {
        let mut run = Run::new(p).expect("a start");
        run.forces();
        run
    }

    /// What is added is theta K times what the plate then does: y(h) - 2 y(0) + y(-h).
    #[test]
    fn the_mean_is_that_of_the_places_which_the_plate_takes() {
        let p = prepared(&[]);
        for long in p.long_steps {
            assert!(long.dt > 1.9 * p.clamped_step, "{}", long.dt);
            let mut run = started(&p);
            let mut most = 0.0_f64;
            while run.time < 6e-3 {
                let (before, about) = (run.force, run.torque);
                run.stick_on(long.dt);
                let added = run.force - before;
                let about = run.torque - about - (run.foot - run.x).cross(&added);
                let (moved, turned) = run.plate_step;
                run.step(long.dt);
                let [along, twist] = long.weight;
                let bend = (run.plate_step.0 - moved) * along;
                let bend = Vector3::new(bend.x, bend.y, (run.plate_step.1 - turned) * twist);
                let added = -Vector3::new(added.x, added.y, about.z);
                // The first step has none before it, and starts with half a kick.
                if run.steps > 1 {
                    let least = [3.0, 3.0, 0.3];
                    for i in 0..3 {
                        let off = (bend[i] - added[i]).abs();
                        assert!(off < 0.02 * added[i].abs() + least[i], "{bend:?} {added:?}");
                    }
                    most = most.max(added.norm());
                }
            }
            assert!(run.sticks() && most > 50.0, "{most}");
        }
    }

    /// Bolts that stick bear in long steps what they bear in steps of 5 us.
    #[test]
    fn what_sticking_bolts_bear_is_that_of_short_steps() {
        let (long, short) = (prepared(&[]), prepared(&[("solver.step", "5 us")]));
        for dt in long.long_steps.map(|long| long.dt) {
            let (mut run, mut fine) = (started(&long), started(&short));
            let mut most = 0.0_f64;
            while run.time < 8e-3 {
                // A history's sample within the step.
                let mut within = run.clone();
                within.stick_on(0.5 * dt);
                within.step(0.5 * dt);
                run.stick_on(dt);
                run.step(dt);
                for state in [&within, &run] {
                    while fine.time < state.time - 1e-9 {
                        fine.step(short.clamped_step);
                    }
                    let bears = state.bolts.iter().zip(&fine.bolts);
                    let off = bears.fold(0.0_f64, |m, (a, b)| m.max((a.force - b.force).norm()));
                    most = most.max(off / 1e4);
                }
            }
            assert!(run.sticks() && fine.sticks());
            assert!(run.bolts[0].force.norm() > 6e3);
            assert!(most < 0.02, "{dt}: {most}");
        }
    }
}
