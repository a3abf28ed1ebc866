//! How far the next step goes.

use giveway_mechanics::joint::{BoltState, JointLaw};

use crate::clock::SAMPLE_S;
use crate::contact::BandRun;
use crate::solution::LONGEST;
use crate::state::Run;

/// A bolt sticks as long as friction remembers no more sliding than this, m/s (assumed).
const STILL_MPS: f64 = 1e-6;
/// A bolt slides for sure where it slides so many times further in a long step than its stick spring is stretched: what it then
/// bears across its way is as much softer than the spring (assumed).
const SLIDES_STRETCHES: f64 = 10.0;
/// The shaft may yield soon from this part of its moment on, with the dent so far (assumed).
const YIELDS_SOON: f64 = 0.4;
/// A bolt that leaves within so many long steps is awaited with short ones (assumed).
const AWAITED_STEPS: f64 = 2.0;

/// How far the next step goes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pace {
    /// Samples that it takes at once, and steps that make one sample.
    pub samples: usize,
    pub steps: usize,
    /// Its length, s.
    pub dt: f64,
}

impl Run<'_> {
    /// How far the next step goes; the run ends at the sample before `limit` at the latest.
    pub(crate) fn pace(&self, limit: f64) -> Pace {
        let p = self.p;
        let samples = self.room(limit);
        let dt = if samples > 1 {
            samples as f64 * SAMPLE_S
        } else if self.all_released() && !self.blocked() {
            p.free_step
        } else if self.hinge.since.is_some() {
            p.folded_step()
        } else {
            let long = self.long_step().filter(|dt| self.time + dt < limit);
            long.unwrap_or(p.clamped_step)
        };
        let whole = |x: f64| ((x + 0.5) as usize).max(1);
        Pace {
            samples: whole(dt / SAMPLE_S),
            steps: whole(SAMPLE_S / dt),
            dt,
        }
    }

    /// Samples that the next step may take at once: more than one while the released pole flies free of base and vehicle, where
    /// neither a band nor the plates can touch before the step's end, and while nothing but the struck face can act on it.
    fn room(&self, limit: f64) -> usize {
        let apart = self.apart_until.is_infinite() && !self.fixed();
        let pushed = self.contact_force > 0.0 && apart;
        if !(self.free || pushed) || self.p.face.body.is_some() || self.near_kink().is_some() {
            return 1;
        }
        let samples = |until: f64| ((until - self.time) / SAMPLE_S) as usize;
        let touch = match (apart, self.foot_clear) {
            (false, _) => 1,
            (true, clear) => self.p.touch_samples[usize::from(clear)],
        };
        let most = if pushed {
            touch
        } else {
            let bands = self.bands.iter().map(BandRun::clear_until);
            let until = bands.fold(self.apart_until, f64::min);
            samples(until).clamp(touch, LONGEST)
        };
        most.min(samples(limit)).max(1)
    }

    /// The long step that the joint takes now: while every bolt sticks, or, up to a sample, while every one that has not left slides
    /// for sure and does not leave soon.
    fn long_step(&self) -> Option<f64> {
        let base = self.p.base.as_ref()?;
        if base.pier.is_some() || self.blocked() || self.yields_soon() {
            return None;
        }
        let sticks = self.sticks();
        // Behind a struck side a second body swings.
        let most = if sticks && self.p.face.body.is_none() {
            f64::INFINITY
        } else {
            SAMPLE_S
        };
        let mut long = self.p.long_steps.iter().map(|long| long.dt);
        let dt = long.find(|&dt| dt <= most)?;
        let slides = |(bolt, law): (&BoltState, &JointLaw)| {
            let stretch = bolt.force.norm() / law.stick_stiffness;
            let surely = bolt.slides_at() * dt > SLIDES_STRETCHES * stretch;
            bolt.departure.is_some() || (surely && !bolt.leaves_within(AWAITED_STEPS * dt))
        };
        let all = sticks || self.bolts.iter().zip(&base.bolts).all(slides);
        (all && dt > self.p.clamped_step).then_some(dt)
    }

    /// Whether the shaft has yielded or may yield soon, at the struck height or at its foot.
    fn yields_soon(&self) -> bool {
        let watched = YIELDS_SOON * self.kink_limit();
        let elastic = self.p.scenario.solver.elastic_modes > 0;
        let kinks = elastic && self.struck_moment.norm_squared() > watched * watched;
        self.kink.since.is_some() || kinks || self.hinge.near()
    }

    /// Whether every bolt is in its notches and sticks.
    pub(crate) fn sticks(&self) -> bool {
        let mut bolts = self.bolts.iter();
        bolts.all(|bolt| bolt.departure.is_none() && bolt.sliding_speed() < STILL_MPS)
    }
}
