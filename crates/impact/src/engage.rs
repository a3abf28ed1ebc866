//! The engagement from first touch to release (or to a stop), and what is asked of it.

use crate::clock::SAMPLE_S;
use crate::contact::LEAST_UPRIGHT;
use crate::error::ImpactError;
use crate::finish::finish;
use crate::flight::EndState;
use crate::outcome::{Ending, Engagement, VehicleRecord};
use crate::pace::Pace;
use crate::prepared::Prepared;
use crate::record::Recorder;
use crate::request::{Keep, RecordRequest, Workspace};
use crate::state::Run;

/// How long the struck face must have been clear before the engagement is over, s.
#[derive(Debug, Clone, Copy)]
struct Clear {
    /// Where the face cannot touch the released pole again.
    parted: f64,
    /// Of an obstacle that stands.
    standing: f64,
    /// Where the pole, by its swing, is still near the face or coming back.
    near: f64,
    /// Of a base that holds.
    held: f64,
}

impl Clear {
    const USUAL: Self = Self {
        parted: 0.0,
        standing: 0.02,
        near: 0.2,
        held: 0.1,
    };
}

/// A vehicle that has not touched the pole after this time has missed it, s.
const MISS_TIME_S: f64 = 0.05;

impl Prepared {
    /// Computes the impact.
    ///
    /// # Errors
    /// A state that stops being finite, with body, quantity and time.
    pub fn engage(&self, request: RecordRequest) -> Result<Engagement, ImpactError> {
        self.engage_in(request, &mut Workspace::new())
    }

    /// Computes the impact with the memory of an earlier record: the same digits as [`Prepared::engage`].
    ///
    /// # Errors
    /// As [`Prepared::engage`].
    pub fn engage_in(
        &self,
        request: RecordRequest,
        workspace: &mut Workspace,
    ) -> Result<Engagement, ImpactError> {
        self.engage_keeping(request, workspace, None)
    }

    /// Computes the impact and, where the pole is followed, also the vehicle's record as it would be without that: the same
    /// digits as those of [`Prepared::without_flight`], from one engagement. None where the pole is not followed.
    ///
    /// # Errors
    /// As [`Prepared::engage`].
    pub fn engage_both(
        &self,
        request: RecordRequest,
        workspace: &mut Workspace,
    ) -> Result<(Engagement, Option<VehicleRecord>), ImpactError> {
        let mut alone = None;
        let engagement = self.engage_keeping(request, workspace, Some(&mut alone))?;
        Ok((engagement, alone))
    }

    fn engage_keeping(
        &self,
        request: RecordRequest,
        workspace: &mut Workspace,
        alone: Option<&mut Option<VehicleRecord>>,
    ) -> Result<Engagement, ImpactError> {
        let keep = if request.trace || request.rollout {
            Keep::Everything
        } else {
            Keep::Nothing
        };
        let spare = std::mem::take(&mut workspace.spare);
        run(self, request, keep, spare, alone)
    }

    /// Computes the impact for its numbers and the flail-space numbers: no histories, and of the vehicle's record the
    /// accelerations only, up to the record limit. What is there has the digits of [`Prepared::engage`].
    ///
    /// # Errors
    /// As [`Prepared::engage`].
    pub fn engage_briefly(&self, workspace: &mut Workspace) -> Result<Engagement, ImpactError> {
        let request = RecordRequest {
            trace: false,
            rollout: true,
        };
        let spare = std::mem::take(&mut workspace.spare);
        run(self, request, Keep::Accelerations, spare, None)
    }

    /// Steps the clamped pole for a while without a vehicle and returns the largest movement of its foot
    /// or centre of mass, m: a start from static rest moves nothing.
    ///
    /// # Errors
    /// A state that stops being finite.
    pub fn stand_still(&self, seconds: f64) -> Result<f64, ImpactError> {
        stand_still(self, seconds)
    }

    /// State of vehicle and support at the end of the engagement, for [`crate::flight::fly`].
    ///
    /// # Errors
    /// As [`Prepared::engage`].
    pub fn end_state(&self) -> Result<EndState, ImpactError> {
        self.ended_after(Clear::USUAL)
    }

    /// The same of an engagement that goes on until nothing has touched for `clear_s`.
    #[cfg(test)]
    pub(crate) fn end_state_after(&self, clear_s: f64) -> Result<EndState, ImpactError> {
        let clear = Clear {
            parted: clear_s,
            standing: clear_s,
            near: 10.0 * clear_s,
            held: 5.0 * clear_s,
        };
        self.ended_after(clear)
    }

    fn ended_after(&self, clear: Clear) -> Result<EndState, ImpactError> {
        let (request, spare) = (RecordRequest::NUMBERS, VehicleRecord::default());
        let (run, ..) = to_the_end(self, request, Keep::Nothing, spare, clear)?;
        Ok(EndState::of(&run))
    }
}

impl Run<'_> {
    /// Whether the engagement is over, and how.
    fn ended(&self, clear: Clear) -> Option<Ending> {
        let since = self.contact_end.map(|(t, _)| self.time - t + 1e-9);
        let Some(since) = since else {
            return (self.time >= MISS_TIME_S - 1e-9).then_some(Ending::NoContact);
        };
        if self.contact_force > 0.0 {
            return None;
        }
        let rebounded = self.vv.dot(&self.direction) <= 0.0;
        if self.fixed() {
            let over = rebounded || since >= clear.standing;
            return over.then_some(Ending::FixedObstacle);
        }
        if self.all_released() {
            let over = self.foot_clear
                && (since >= clear.near || (since >= clear.parted && self.parted()));
            return (over || rebounded).then_some(Ending::Released);
        }
        // A base that holds while the vehicle has left it for good.
        (rebounded || since >= clear.held).then_some(Ending::Held)
    }
}

impl Run<'_> {
    /// Whether the struck face cannot touch the released pole again before the occupant has met the interior: with the
    /// pole's rigid motion going on as it is, and its bending as far towards the face as its energy allows.
    fn parted(&self) -> bool {
        let p = self.p;
        let (r, rv) = (self.spin.rotation, self.vspin.rotation);
        let axis = r.column(2).into_owned();
        if axis.z < LEAST_UPRIGHT {
            return true;
        }
        let foot = self.x - r * p.solution.modes.properties.centre_m;
        let normal = rv * p.face.normal;
        let tangent = rv * p.face.tangent;
        let time = self.occupant_time();
        self.bands.iter().zip(&p.face.bands).all(|(band, law)| {
            if band.is_retired() {
                return true;
            }
            let height = (self.vx.z + law.height - foot.z) / axis.z;
            if height < 0.0 || height > p.scenario.support.pole_length_m {
                return true;
            }
            let point = foot + axis * height;
            let along = (point - self.vx).dot(&tangent);
            if along < p.face.from || along > p.face.to {
                return true;
            }
            let radius = 0.5 * p.scenario.support.pole.base_diameter_m + p.solution.taper * height;
            let lost = band.lost(law) + self.side.place;
            let gap = (point - self.vx).dot(&normal) - radius - law.reach + lost;
            let moves = self.v + self.spin.rate.cross(&(point - self.x));
            let moves = moves - axis * (moves.z / axis.z) - self.vv;
            let closing = (-moves.dot(&normal)).max(0.0);
            gap - p.solution.swing(height, &self.q, &self.w) > closing * time
        })
    }
}

/// Steps the clamped pole without a vehicle and returns the largest movement of foot or centre of mass, m.
fn stand_still(p: &Prepared, seconds: f64) -> Result<f64, ImpactError> {
    let mut run = Run::new(p)?;
    for band in &mut run.bands {
        band.retire();
    }
    run.forces();
    let (x, foot) = (run.x, run.foot);
    let mut most = 0.0_f64;
    let dt = p.clamped_step;
    for _ in 0..(seconds / dt) as usize {
        run.step(dt);
        most = most.max((run.x - x).norm()).max((run.foot - foot).norm());
    }
    run.check_finite()?;
    Ok(most)
}

/// Runs the engagement and, where asked, what follows it.
fn run(
    p: &Prepared,
    request: RecordRequest,
    keep: Keep,
    spare: VehicleRecord,
    alone: Option<&mut Option<VehicleRecord>>,
) -> Result<Engagement, ImpactError> {
    let (run, recorder, ending) = to_the_end(p, request, keep, spare, Clear::USUAL)?;
    finish(run, recorder, ending, request, alone)
}

/// Runs the engagement until no band has touched for long enough; the velocities are those of its last whole step.
fn to_the_end(
    p: &Prepared,
    request: RecordRequest,
    keep: Keep,
    spare: VehicleRecord,
    clear: Clear,
) -> Result<(Run<'_>, Recorder, Ending), ImpactError> {
    let mut run = Run::new(p)?;
    let limit = p.scenario.solver.engagement_limit_s;
    let mut recorder = Recorder::new(&run, request, limit, keep, spare);
    run.forces();
    run.moments();
    recorder.sample(&run, &[], 0);
    let ending = loop {
        let Pace { samples, steps, dt } = run.pace(limit);
        let between = recorder.between(&run, samples);
        for _ in 0..steps {
            run.stick_on(dt);
            run.step(dt);
        }
        // The sum of the steps, without its rounding.
        run.intervals += samples;
        run.time = run.intervals as f64 * SAMPLE_S;
        run.check_finite()?;
        run.moments();
        run.occupant(samples);
        recorder.sample(&run, &between, samples);
        if let Some(ending) = run.ended(clear) {
            break ending;
        }
        if run.time >= limit - 0.5 * SAMPLE_S {
            break if run.fixed() {
                Ending::FixedObstacle
            } else if run.all_released() {
                Ending::TimeLimit
            } else {
                Ending::Held
            };
        }
    };
    // Bring the velocities to the last whole step.
    let (v, vv) = run.velocities();
    let h = 0.5 * run.last_dt;
    if !run.fixed() {
        run.v = v;
        run.spin.momentum += run.torque * h;
        for (w, f) in run.w.iter_mut().zip(&run.load) {
            *w += f * h;
        }
        if let Some(pier) = run.pier_law() {
            run.pier.kick(&pier, h);
        }
    }
    let push = run.vehicle_push(&run.vforce);
    let guide = run.guide(&push);
    run.side.rate += run.side_push(&push) * h;
    run.external_impulse += (run.external + guide) * h;
    run.vv = vv;
    if !p.vehicle.guided {
        run.vspin.momentum += run.vtorque * h;
    }
    run.last_dt = 0.0;
    Ok((run, recorder, ending))
}
