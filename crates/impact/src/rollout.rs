//! The vehicle under its tyres (or its guide) alone: after an engagement whose pole is not followed, and after a pole
//! has come to rest. The occupant numbers need a record that is long enough for the flail rule.

use giveway_mechanics::attitude::Spin;
use giveway_mechanics::wheel::{Ride, push_of};
use nalgebra::{Matrix3, Vector3};

use crate::clock::SAMPLE_S;
use crate::outcome::VehicleRecord;
use crate::prepared::Prepared;
use crate::request::Keep;

/// Step of the roll-out in samples; the record repeats the mean acceleration of a step.
const STEP_SAMPLES: usize = 20;

/// Extends the record from `time` to the scenario's record limit, from the vehicle's place, velocity and spin. Returns
/// the number of steps.
pub(crate) fn roll_out(
    p: &Prepared,
    time: f64,
    start: (Vector3<f64>, Vector3<f64>, Spin),
    record: &mut VehicleRecord,
    keep: Keep,
) -> usize {
    let limit = p.scenario.solver.record_limit_s;
    let missing = (limit - time) / SAMPLE_S;
    let steps = if missing > 0.0 {
        (missing / STEP_SAMPLES as f64) as usize
    } else {
        0
    };
    let dt = STEP_SAMPLES as f64 * SAMPLE_S;
    let (mut x, mut v, mut spin) = start;
    let half = 0.5 * dt;
    let (mut push, mut turn) = wheel_forces(p, &x, &v, &spin.rotation, &spin.rate);
    for _ in 0..steps {
        let before = (v, spin.rotation, x);
        // Midpoint rule: the middle of the step is found with the forces of the last one.
        let momentum = spin.momentum + turn * half;
        let (mut middle, mut rate) = (spin.rotation, spin.rate);
        if !p.vehicle.guided {
            middle = spin.attitude.rotated_by(&(rate * half)).matrix();
            rate = middle * (spin.inverse_inertia * middle.tr_mul(&momentum));
        }
        let v_middle = v + push * (half / p.vehicle.mass);
        (push, turn) = wheel_forces(p, &(x + v * half), &v_middle, &middle, &rate);
        v += push * (dt / p.vehicle.mass);
        x += (before.0 + v) * half;
        if !p.vehicle.guided {
            spin.momentum += turn * dt;
            spin.attitude = spin.attitude.rotated_by(&(rate * dt));
            spin.rotation = spin.attitude.matrix();
            spin.rate = rate;
        }
        let dv = (v - before.0) / dt;
        let a = (before.1.tr_mul(&dv) + spin.rotation.tr_mul(&dv)) * 0.5;
        let a: [f64; 3] = a.into();
        record.acceleration_mps2.extend([a; STEP_SAMPLES]);
        if keep != Keep::Everything {
            continue;
        }
        let yaw_rate = spin.rate.z;
        let attitude = spin.attitude.roll_pitch_yaw();
        for k in 1..=STEP_SAMPLES {
            let f = k as f64 / STEP_SAMPLES as f64;
            record.yaw_rate_radps.push(yaw_rate);
            record
                .position_m
                .push((before.2 + (x - before.2) * f).into());
            record
                .end_velocity_mps
                .push((before.0 + (v - before.0) * f).into());
            record.attitude_rad.push(attitude);
        }
    }
    steps
}

/// Force and moment about the centre of mass on the vehicle; none on a guided one.
fn wheel_forces(
    p: &Prepared,
    x: &Vector3<f64>,
    v: &Vector3<f64>,
    rotation: &Matrix3<f64>,
    rate: &Vector3<f64>,
) -> (Vector3<f64>, Vector3<f64>) {
    let mut force = Vector3::zeros();
    if p.vehicle.guided {
        return (force, Vector3::zeros());
    }
    force.z = -p.vehicle.mass * p.scenario.site.gravity_mps2;
    let ride = Ride {
        x,
        v,
        rotation,
        rate,
    };
    let (push, turn) = push_of(&p.vehicle.wheels, &ride, |_| 0.0);
    (force + push, turn)
}
