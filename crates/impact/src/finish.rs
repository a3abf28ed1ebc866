//! Closing a run: per-bolt stories, flags, the vehicle's roll-out and the storyboard's instants.

use giveway_mechanics::joint::Departure;

use crate::books::{energy_book, momentum_book};
use crate::error::ImpactError;
use crate::flags::flags;
use crate::flight::{self, EndState, fly_on};
use crate::motion::{frames_of_engagement, frames_of_flight};
use crate::outcome::{
    BarOutcome, BoltFate, BoltOutcome, Ending, Engagement, Fold, VehicleRecord, WorkCount,
};
use crate::record::Recorder;
use crate::request::{Keep, RecordRequest};
use crate::rollout::roll_out;
use crate::state::Run;
use crate::storyboard::snapshots;

fn bolts(run: &Run<'_>) -> Vec<BoltOutcome> {
    let laws = run.p.base.iter().flat_map(|base| &base.bolts);
    run.bolts
        .iter()
        .zip(laws)
        .enumerate()
        .map(|(i, (b, law))| BoltOutcome {
            number: i + 1,
            azimuth_rad: libm::atan2(b.axis.y, b.axis.x),
            fate: match b.departure {
                None => BoltFate::Held,
                Some(Departure::LowerNotch) => BoltFate::LeftLowerNotch,
                Some(Departure::UpperNotch) => BoltFate::LeftUpperNotch,
                Some(Departure::Squeezed) => BoltFate::SqueezedOut,
                Some(Departure::Sheared) => BoltFate::Sheared,
                Some(Departure::Ruptured) => BoltFate::Ruptured,
                Some(Departure::Stripped) => BoltFate::Stripped,
            },
            release_time_s: run.release_times[i],
            preload_n: law.axial.preload,
            peak_tension_n: run.peaks.bolt_tension[i].0,
            peak_tension_time_s: run.peaks.bolt_tension[i].1,
            peak_slip_force_n: run.peaks.bolt_force_squared[i].sqrt(),
            friction_j: b.energy.friction,
            keeper_j: b.energy.keeper,
            held_lower_n: b.peak_held[0],
            held_upper_n: b.peak_held[1],
            could_hold_lower_n: law.holds()[0],
            could_hold_upper_n: law.holds()[1],
            held_j: b.energy.faults.total(),
        })
        .collect()
}

/// Largest rise of a bolt's tension over its preload, the bolt's number and the time, s.
fn tension_rise(run: &Run<'_>) -> (f64, usize, f64) {
    let laws = run.p.base.iter().flat_map(|base| &base.bolts);
    let mut most = (0.0, 0, 0.0);
    for (i, (&(tension, time), law)) in run.peaks.bolt_tension.iter().zip(laws).enumerate() {
        if time > 0.0 && law.axial.preload > 0.0 {
            let rise = tension / law.axial.preload - 1.0;
            // of equals the earliest
            if rise > most.0 || (most.1 > 0 && rise == most.0 && time < most.2) {
                most = (rise, i + 1, time);
            }
        }
    }
    most
}

fn bars(run: &Run<'_>) -> Vec<BarOutcome> {
    let laws = run.p.base.iter().flat_map(|base| &base.bars);
    run.bars
        .iter()
        .zip(laws)
        .filter_map(|(bar, law)| {
            Some(BarOutcome {
                stub: law.kind.listed()?,
                limit_n: law.law.limit_n,
                peak_n: bar.peak_n,
                sheared: bar.gone,
                energy_j: bar.energy_j,
            })
        })
        .collect()
}

/// Puts the outcome together. `alone` takes the vehicle's record without the pole's flight, where there is one.
pub(crate) fn finish(
    run: Run<'_>,
    mut recorder: Recorder,
    ending: Ending,
    request: RecordRequest,
    alone: Option<&mut Option<VehicleRecord>>,
) -> Result<Engagement, ImpactError> {
    let p = run.p;
    let lost = |v: &nalgebra::Vector3<f64>| (run.start_velocity - v).dot(&run.direction);
    let release_time = if run.fixed() || !run.all_released() {
        None
    } else {
        run.release_times.iter().flatten().copied().reduce(f64::max)
    };
    // What is counted as the velocity change: what the support has pushed, until vehicle and support have parted, or until
    // the occupant has met the interior where a base that lets go strikes the vehicle again later.
    let met = run.occupant_met.filter(|_| release_time.is_some());
    let counted = run.contact_end.map(|(end, _)| match met {
        Some((time, impulse)) if time < end => (time, impulse),
        _ => (end, run.impulse),
    });
    let (tension_rise, tension_rise_bolt, tension_rise_time_s) = tension_rise(&run);
    let trace = recorder.trace(run.bolts.len());
    let mut outcome = Engagement {
        ending,
        end_time_s: run.time,
        release_time_s: release_time,
        contact_end_time_s: counted.map(|(t, _)| t),
        velocity_change_at_release_mps: run.velocity_at_release.as_ref().map(lost),
        velocity_change_at_contact_end_mps: counted.map(|(_, impulse)| impulse / p.vehicle.mass),
        slip_onset_time_s: run.slip_onset.map(|(t, _)| t),
        slip_onset_crush_m: run.slip_onset.map(|(_, c)| c),
        crush_at_release_m: release_time.and(run.crush_at_release),
        occupant_met_time_s: run.occupant_met.map(|(t, _)| t),
        velocity_change_at_end_mps: lost(&run.vv),
        peak_force_n: run.peaks.force,
        peak_force_time_s: run.peaks.force_time,
        contact_impulse_ns: run.impulse,
        peak_crush_m: run.crush(),
        permanent_crush_m: run
            .bands
            .iter()
            .zip(&p.face.bands)
            .map(|(b, law)| law.crush.permanent(&b.state))
            .collect(),
        dent_m: run.bands.iter().fold(0.0_f64, |m, b| m.max(b.state.dent_m)),
        foot_moment_ratio: run.peaks.foot_moment / p.foot_plastic_moment,
        contact_moment_ratio: run.peaks.contact_moment / p.contact_plastic_moment,
        fold: Fold {
            plastic_moment_nm: p.foot_plastic_moment,
            since_s: run.hinge.since,
            angle_rad: run.hinge.angle(),
            path_rad: run.hinge.path,
        },
        kink: Fold {
            plastic_moment_nm: run.kink_limit(),
            since_s: run.kink.since,
            angle_rad: run.kink.turn.norm(),
            path_rad: run.kink.path,
        },
        bars: bars(&run),
        soil_peak_n: run.soil.peak_n,
        foundation_peak_m: run.pier.peak_m,
        tension_rise,
        tension_rise_bolt,
        tension_rise_time_s,
        bolts: bolts(&run),
        energy: energy_book(&run),
        momentum: momentum_book(&run),
        work: WorkCount {
            steps: run.steps,
            rollout_steps: 0,
            events: run.events,
            elastic_coordinates: run.q.len(),
            clamped_step_s: p.clamped_step,
            free_step_s: p.free_step,
        },
        trace,
        record: std::mem::take(&mut recorder.record),
        snapshots: Vec::new(),
        frames: Vec::new(),
        flight: None,
        flags: Vec::new(),
    };
    outcome.flags = flags(&run, ending, &outcome);
    if request.trace {
        outcome.snapshots = snapshots(&run, &recorder, &outcome);
        outcome.frames = frames_of_engagement(&run, &recorder);
    }
    if request.rollout {
        let kept = recorder.keep;
        after(&run, request, kept, alone, &mut outcome)?;
    }
    Ok(outcome)
}

/// The vehicle's record after the engagement: with the pole's flight where the scenario follows it, rolling on alone
/// otherwise.
fn after(
    run: &Run<'_>,
    request: RecordRequest,
    kept: Keep,
    alone: Option<&mut Option<VehicleRecord>>,
    outcome: &mut Engagement,
) -> Result<(), ImpactError> {
    let p = run.p;
    let free = matches!(outcome.ending, Ending::Released)
        || (outcome.ending == Ending::TimeLimit && run.all_released() && !run.fixed());
    let start = (run.vx, run.vv, run.vspin.clone());
    if !(p.scenario.flight.pole && free) {
        outcome.work.rollout_steps = roll_out(p, run.time, start, &mut outcome.record, kept);
        return Ok(());
    }
    if let Some(alone) = alone {
        let record = alone.insert(outcome.record.clone());
        roll_out(p, run.time, start, record, kept);
    }
    let keep = if request.trace {
        flight::Keep::Frames
    } else {
        flight::Keep::Numbers
    };
    let end = EndState::of(run);
    let (flight, car) = fly_on(p, &end, keep, kept, &mut outcome.record)?;
    outcome
        .frames
        .extend(frames_of_flight(p, &end, &flight.frames));
    outcome.work.rollout_steps = roll_out(
        p,
        flight.end_time_s,
        (car.x, car.v, car.spin),
        &mut outcome.record,
        kept,
    );
    outcome.flags.extend(flight::flags(&p.scenario, &flight));
    outcome.flight = Some(flight);
    Ok(())
}
