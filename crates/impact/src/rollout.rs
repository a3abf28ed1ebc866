//! The vehicle after the engagement, under its tyres (or its guide) alone.
//!
//! Until the flight of the pole is computed, this is what follows: the occupant numbers need a record
//! that is long enough for the flail rule.

use nalgebra::{Vector2, Vector3};

use crate::engine::Run;
use crate::outcome::VehicleRecord;
use crate::prepared::SAMPLE_S;
use crate::record::Keep;

/// Step of the roll-out in samples; the record repeats the mean acceleration of a step.
const STEP_SAMPLES: usize = 5;

/// Extends the record to the scenario's record limit. Returns the number of steps.
pub(crate) fn roll_out(run: &Run<'_>, record: &mut VehicleRecord, keep: Keep) -> usize {
    let p = run.p;
    let limit = p.scenario.solver.record_limit_s;
    let missing = (limit - run.time) / SAMPLE_S;
    let steps = if missing > 0.0 {
        (missing / STEP_SAMPLES as f64) as usize
    } else {
        0
    };
    let dt = STEP_SAMPLES as f64 * SAMPLE_S;
    let g = p.scenario.site.gravity_mps2;
    let (mut x, mut v, mut spin) = (run.vx, run.vv, run.vspin.clone());
    for _ in 0..steps {
        let mut force = Vector3::zeros();
        let mut torque = Vector3::zeros();
        if !p.vehicle.guided {
            force.z = -p.vehicle.mass * g;
            let r = spin.rotation;
            let rate = spin.rate;
            let ahead = Vector2::new(r[(0, 0)], r[(1, 0)]);
            let ahead = ahead / ahead.norm().max(1e-9);
            for wheel in &p.vehicle.wheels {
                let arm = r * wheel.arm;
                let f = wheel.force(x.z + arm.z, &(v + rate.cross(&arm)), &ahead);
                force += f;
                torque += arm.cross(&f);
            }
        }
        let before = (v, spin.rotation, spin.rate.z);
        v += force * (dt / p.vehicle.mass);
        let place = x;
        x += v * dt;
        if !p.vehicle.guided {
            spin.momentum += torque * dt;
            spin.drift(dt);
        }
        let dv = (v - before.0) / dt;
        let a = (before.1.tr_mul(&dv) + spin.rotation.tr_mul(&dv)) * 0.5;
        let a: [f64; 3] = a.into();
        record.acceleration_mps2.extend([a; STEP_SAMPLES]);
        if keep != Keep::Everything {
            continue;
        }
        let yaw_rate = 0.5 * (before.2 + spin.rate.z);
        let attitude = spin.attitude.roll_pitch_yaw();
        for k in 1..=STEP_SAMPLES {
            let f = k as f64 / STEP_SAMPLES as f64;
            record.yaw_rate_radps.push(yaw_rate);
            record.position_m.push((place + (x - place) * f).into());
            record
                .end_velocity_mps
                .push((before.0 + (v - before.0) * f).into());
            record.attitude_rad.push(attitude);
        }
    }
    steps
}
