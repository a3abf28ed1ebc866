//! Six instants of the engagement, for drawing to scale.

use nalgebra::{Matrix3, Vector3};

use crate::outcome::{Engagement, Snapshot};
use crate::prepared::Prepared;
use crate::record::{Pose, Recorder, node_place};
use crate::state::Run;

/// Chooses six instants: touch, largest force, first and last release, half-way and end; what did not
/// happen is replaced by even spacing.
pub(crate) fn snapshots(run: &Run<'_>, recorder: &Recorder, outcome: &Engagement) -> Vec<Snapshot> {
    let end = outcome.end_time_s;
    let mut wanted: Vec<(f64, String)> = vec![(0.0, "first touch".to_owned())];
    if outcome.peak_force_n > 0.0 {
        wanted.push((outcome.peak_force_time_s, "largest force".to_owned()));
    }
    let mut releases: Vec<(f64, usize)> = outcome
        .bolts
        .iter()
        .filter_map(|b| b.release_time_s.map(|t| (t, b.number)))
        .collect();
    releases.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let (Some(first), Some(last)) = (releases.first(), releases.last()) {
        if first.0 < last.0 - 5e-4 {
            wanted.push((first.0, format!("bolt {} lets go", first.1)));
        }
        let all = releases.len() == outcome.bolts.len();
        let text = if all {
            "all bolts free".to_owned()
        } else {
            format!("bolt {} lets go", last.1)
        };
        wanted.push((last.0, text));
    }
    if let Some(t) = outcome.contact_end_time_s {
        wanted.push((t, "last contact".to_owned()));
    }
    wanted.push((end, "end of engagement".to_owned()));
    wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
    wanted.dedup_by(|b, a| {
        let same = b.0 - a.0 < 5e-4;
        if same && a.1 != b.1 {
            a.1 = format!("{}, {}", a.1, b.1);
        }
        same
    });
    // Fill the widest gaps until there are six.
    while wanted.len() < 6 && end > 0.0 {
        let widest = (0..wanted.len() - 1)
            .max_by(|&i, &j| {
                (wanted[i + 1].0 - wanted[i].0).total_cmp(&(wanted[j + 1].0 - wanted[j].0))
            })
            .unwrap_or(0);
        let Some(next) = wanted.get(widest + 1) else {
            break;
        };
        let t = 0.5 * (wanted[widest].0 + next.0);
        wanted.insert(widest + 1, (t, String::new()));
    }
    wanted.truncate(6);
    wanted
        .into_iter()
        .filter_map(|(t, label)| {
            let i = recorder.poses.partition_point(|p| p.time < t - 1e-9);
            let pose = recorder.poses.get(i).or(recorder.poses.last())?;
            Some(snapshot(run, recorder, pose, label))
        })
        .collect()
}

pub(crate) fn snapshot(run: &Run<'_>, recorder: &Recorder, pose: &Pose, label: String) -> Snapshot {
    let p = run.p;
    let mesh = &p.solution.modes.mesh;
    let n = run.q.len();
    let q = &recorder.store[pose.start..pose.start + n];
    let rotation = pose.attitude.matrix();
    let bands = run.bands.len();
    let crush = recorder.store[pose.start + n..pose.start + n + bands].to_vec();
    let radius = 0.5 * p.scenario.base.bolt_circle_m;
    let height = p.scenario.site.slip_plane_height_m;
    let (_, turn) = p.solution.foot_motion(q);
    let mut plate = pose.attitude.rotated_by(&(rotation * turn));
    if let Some(hinge) = &pose.hinge {
        plate = plate.after(hinge);
    }
    let bolts = run
        .bolts
        .iter()
        .enumerate()
        .map(|(i, b)| {
            let at = pose.start + n + bands + 4 * i;
            let [sx, sy, gone] = [
                recorder.store[at],
                recorder.store[at + 1],
                recorder.store[at + 2],
            ];
            if gone > 0.0 {
                return None;
            }
            // A bolt follows the seat that it has not left.
            let along = sx * b.axis.x + sy * b.axis.y;
            let size = (sx * sx + sy * sy).sqrt();
            let (cb, seat) = (
                libm::cos(p.scenario.base.notch_half_angle_rad),
                [b.axis.x * radius, b.axis.y * radius],
            );
            let share = if along >= size * cb {
                1.0
            } else if along <= -size * cb {
                0.0
            } else {
                0.5
            };
            let mut out = 0.0;
            if share == 0.5 {
                // Squeezed outward along the notch axis by half of the wedge's motion.
                let sb = libm::sin(p.scenario.base.notch_half_angle_rad);
                let across = (size * size - along * along).max(0.0).sqrt();
                out = 0.5 * across * cb / sb;
            }
            Some([
                seat[0] + share * sx + out * b.axis.x,
                seat[1] + share * sy + out * b.axis.y,
                height,
            ])
        })
        .collect();
    Snapshot {
        time_s: pose.time,
        label,
        vehicle_position_m: pose.vx.into(),
        vehicle_rotation: pose.vattitude.to_array(),
        crush_m: crush,
        pole_axis_m: pole_axis(p, &pose.x, &rotation, q),
        arms_m: (0..mesh.arm_nodes.len())
            .map(|arm| arm_axis(p, arm, &pose.x, &rotation, q))
            .collect(),
        plate_centre_m: node_place(p, &pose.x, &rotation, q, 0).into(),
        plate_rotation: plate.to_array(),
        bolts_m: bolts,
    }
}

/// Points of the bent pole axis from foot to tip; `x` and `rotation` are the support's.
pub(crate) fn pole_axis(
    p: &Prepared,
    x: &Vector3<f64>,
    rotation: &Matrix3<f64>,
    q: &[f64],
) -> Vec<[f64; 3]> {
    (0..p.solution.modes.mesh.pole_nodes)
        .map(|node| node_place(p, x, rotation, q, node).into())
        .collect()
}

/// Points of an arm from root to tip, then its outermost luminaire.
pub(crate) fn arm_axis(
    p: &Prepared,
    arm: usize,
    x: &Vector3<f64>,
    rotation: &Matrix3<f64>,
    q: &[f64],
) -> Vec<[f64; 3]> {
    let mesh = &p.solution.modes.mesh;
    let mut points: Vec<[f64; 3]> = mesh.arm_nodes[arm]
        .iter()
        .map(|&node| node_place(p, x, rotation, q, node).into())
        .collect();
    let far = mesh.luminaire_offsets[arm]
        .iter()
        .max_by(|a, b| a.norm().total_cmp(&b.norm()));
    if let (Some(far), Some(&tip)) = (far, points.last()) {
        points.push((Vector3::from(tip) + rotation * far).into());
    }
    points
}
