//! The whole motion as poses: the engagement at 2 kHz, the flight at 500 Hz.

use giveway_mechanics::attitude::Attitude;
use nalgebra::Vector3;

use crate::flight::EndState;
use crate::flight::outcome::{Frame, Pose};
use crate::outcome::{MotionFrame, Snapshot};
use crate::prepared::Prepared;
use crate::record::Recorder;
use crate::state::Run;
use crate::storyboard::{arm_axis, pole_axis, snapshot};

/// Every so many samples of the engagement.
const EVERY: usize = 5;
/// Interval in flight, s.
const FLIGHT_S: f64 = 2e-3;

/// The engagement: every 500 us and its last sample.
pub(crate) fn frames_of_engagement(run: &Run<'_>, recorder: &Recorder) -> Vec<MotionFrame> {
    let last = recorder.poses.len().saturating_sub(1);
    recorder
        .poses
        .iter()
        .enumerate()
        .filter(|(i, _)| i.is_multiple_of(EVERY) || *i == last)
        .map(|(_, pose)| MotionFrame {
            pose: snapshot(run, recorder, pose, String::new()),
            force_n: pose.force.into(),
            force_place_m: pose.force_place.map(Into::into),
        })
        .collect()
}

/// The flight from the hand-over to its end.
pub(crate) fn frames_of_flight(p: &Prepared, end: &EndState, flight: &[Frame]) -> Vec<MotionFrame> {
    let mut due = f64::NEG_INFINITY;
    let last = flight.len().saturating_sub(1);
    flight
        .iter()
        .enumerate()
        .filter(|(i, frame)| {
            let take = frame.time_s >= due - 1e-9 || *i == last;
            if take {
                due = frame.time_s + FLIGHT_S;
            }
            take
        })
        .map(|(_, frame)| of_flight(p, end, frame))
        .collect()
}

fn of_flight(p: &Prepared, end: &EndState, frame: &Frame) -> MotionFrame {
    let q = frame.elastic.as_slice();
    // A pose is that of the support's origin; the shapes are told from its centre of mass.
    let body = |pose: &Pose| {
        let [w, x, y, z] = pose.rotation;
        let attitude = Attitude {
            w,
            v: Vector3::new(x, y, z),
        };
        let rotation = attitude.matrix();
        let centre =
            Vector3::from(pose.position_m) + rotation * p.solution.modes.properties.centre_m;
        (attitude, rotation, centre)
    };
    let (attitude, rotation, centre) = body(&frame.pieces[0]);
    let (_, turn) = p.solution.foot_motion(q);
    let mut plate = attitude.rotated_by(&(rotation * turn));
    if let Some(hinge) = &end.hinge {
        plate = plate.after(hinge);
    }
    let pole_axis_m = pole_axis(p, &centre, &rotation, q);
    let arms = p.solution.modes.mesh.arm_nodes.len();
    MotionFrame {
        pose: Snapshot {
            time_s: frame.time_s,
            label: String::new(),
            vehicle_position_m: frame.vehicle.position_m,
            vehicle_rotation: frame.vehicle.rotation,
            crush_m: frame.crush_m.clone(),
            plate_centre_m: pole_axis_m[0],
            plate_rotation: plate.to_array(),
            pole_axis_m,
            arms_m: (0..arms)
                .map(|arm| {
                    // Arms that have broken off are pieces of their own.
                    let (_, rotation, centre) =
                        body(frame.pieces.get(arm + 1).unwrap_or(&frame.pieces[0]));
                    arm_axis(p, arm, &centre, &rotation, q)
                })
                .collect(),
            bolts_m: vec![None; p.scenario.base.bolt_count],
        },
        force_n: frame.force_n,
        force_place_m: frame.force_place_m,
    }
}
