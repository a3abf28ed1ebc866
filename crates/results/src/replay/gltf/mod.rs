//! The motion as a binary glTF 2.0 file with one animation, for any viewer of that open standard.
//!
//! Vehicle, upper plate and bolts are nodes with animated place and attitude. Pole and arms are jointed segments between
//! the points of their tracks, so that bending shows. The file is metres and seconds; its y axis is up, as the standard
//! wants, by one rotation at the root, below which everything is in the site frame.
//!
//! Where the pole flies and is not followed, the animation ends with what is known of it.
//!
//! # References
//! - Khronos Group, glTF 2.0 Specification, 2021 (ISO/IEC 12113:2022).

mod mesh;
mod turn;
mod writer;

use serde_json::json;

use super::model::{Replay, VehicleScene};
use super::track::{Samples, Tracks};
use crate::ResultsError;
use mesh::Mesh;
use turn::{distance, turns};
use writer::{Motion, Writer};

/// Sides of round things.
const ROUND: u32 = 20;
/// Side of the square of ground that is shown, m.
const GROUND_M: f64 = 60.0;
/// Thickness of the lower stub that is shown below the ground, m.
const BELOW_M: f64 = 0.3;

/// Colours, linear RGB, and roughness.
const MATERIALS: [(&str, [f64; 3], f64); 7] = [
    ("body", [0.35, 0.51, 0.67], 0.5),
    ("glass", [0.76, 0.86, 0.93], 0.2),
    ("tyre", [0.033, 0.04, 0.05], 0.9),
    ("steel", [0.07, 0.09, 0.12], 0.5),
    ("lower plate", [0.57, 0.53, 0.47], 0.7),
    ("upper plate", [0.33, 0.58, 0.84], 0.6),
    ("ground", [0.69, 0.64, 0.56], 1.0),
];
const BODY: usize = 0;
const GLASS: usize = 1;
const TYRE: usize = 2;
const STEEL: usize = 3;
const LOWER: usize = 4;
const UPPER: usize = 5;
const GROUND: usize = 6;

impl Replay {
    /// The motion as a binary glTF file (`.glb`).
    ///
    /// # Errors
    /// A track that the scene needs is missing.
    pub fn to_glb(&self) -> Result<Vec<u8>, ResultsError> {
        let tracks = Tracks::of(self);
        let get = |name: &str| {
            let none = || ResultsError::scene(format!("the replay has no track `{name}`"));
            tracks.get(name).ok_or_else(none)
        };
        let pole = get("pole_axis")?;
        let end_s = pole.until_s.unwrap_or(self.end_s).min(self.end_s);
        let mut w = Writer::new(end_s);
        let mut top = vec![ground(&mut w), lower(self, &mut w)];
        top.push(vehicle(&self.scene.vehicle, get("vehicle")?, &mut w));
        if !self.scene.base.fixed {
            top.push(plate(self, get("plate")?, &mut w));
        }
        let sides = match self.scene.pole.sides {
            0 => ROUND,
            n => n,
        };
        top.extend(segments(
            "pole",
            pole,
            &self.scene.pole.radii_m,
            sides,
            &mut w,
        ));
        for (i, arm) in self.scene.arms.iter().enumerate() {
            let name = format!("arm{}", i + 1);
            let track = get(&name)?;
            top.extend(segments(&name, track, &arm.radii_m, ROUND, &mut w));
            if let Some(lamp) = &arm.luminaire {
                let size = [lamp.length_m, lamp.width_m, lamp.height_m];
                top.extend(luminaire(&name, track, arm.radii_m.len(), size, &mut w));
            }
        }
        for bolt in &self.bolts {
            if let Some(track) = tracks.get(&format!("bolt{}", bolt.number)) {
                top.push(self.bolt(track, &mut w));
            }
        }
        // z up becomes y up: a quarter turn about x.
        let h = core::f64::consts::FRAC_1_SQRT_2;
        let root =
            w.node(json!({ "name": "site", "rotation": [-h, 0.0, 0.0, h], "children": top }));
        w.finish(root, &MATERIALS, &self.title, &self.caution)
    }

    fn bolt(&self, track: &Samples, w: &mut Writer) -> usize {
        let b = &self.scene.base;
        let size = &b.bolt;
        let half = 0.5 * size.across_flats_m / libm::cos(core::f64::consts::PI / 6.0);
        let washers = b.plate_washer.thickness_m;
        let bottom = -(b.lower_plate_m + washers + size.head_height_m);
        let upper = b.upper_plate_m + washers;
        let mut mesh = Mesh::default();
        let shank = bottom + size.head_height_m + size.length_m;
        mesh.tube(
            (0.5 * size.diameter_m, 0.5 * size.diameter_m),
            (bottom, shank),
            12,
        );
        mesh.tube((half, half), (bottom, bottom + size.head_height_m), 6);
        mesh.tube((half, half), (upper, upper + size.nut_height_m), 6);
        let node = w.meshed(&track.name, &mesh, STEEL);
        let times = &track.times_s;
        let places: Vec<[f64; 3]> = (0..times.len())
            .map(|i| [0, 1, 2].map(|axis| track.values[axis][i]))
            .collect();
        w.animate(node, Motion::Place, times, &places);
        if let Some(gone) = track.until_s {
            w.vanish(node, gone);
        }
        node
    }
}

fn ground(w: &mut Writer) -> usize {
    let mut mesh = Mesh::default();
    let half = 0.5 * GROUND_M;
    mesh.cuboid([-half, -half, -0.05], [half, half, 0.0]);
    w.meshed("ground", &mesh, GROUND)
}

/// Lower plate and stub, or nothing but an empty node for a fixed obstacle.
fn lower(replay: &Replay, w: &mut Writer) -> usize {
    let b = &replay.scene.base;
    if b.fixed {
        return w.node(json!({ "name": "fixed obstacle" }));
    }
    let level = replay.scene.site.slip_plane_height_m;
    let stub = replay.scene.pole.radii_m.first().copied().unwrap_or(0.1);
    let mut mesh = Mesh::default();
    let from = level - b.lower_plate_m;
    mesh.tube(
        (b.plate_radius_m, b.plate_radius_m),
        (from, level),
        corners(replay),
    );
    mesh.tube((stub, stub), (-BELOW_M, from), ROUND);
    w.meshed("lower plate", &mesh, LOWER)
}

/// Corners of the plates as they are shown: two for each bolt.
fn corners(replay: &Replay) -> u32 {
    2 * replay.scene.base.bolt_count.clamp(2, 12) as u32
}

fn plate(replay: &Replay, track: &Samples, w: &mut Writer) -> usize {
    let b = &replay.scene.base;
    let mut mesh = Mesh::default();
    let radii = (b.plate_radius_m, b.plate_radius_m);
    mesh.tube(radii, (0.0, b.upper_plate_m), corners(replay));
    let node = w.meshed("upper plate", &mesh, UPPER);
    w.pose(node, track);
    node
}

fn vehicle(v: &VehicleScene, track: &Samples, w: &mut Writer) -> usize {
    let place = |p: &[f64; 2]| [v.cg_to_front_m - p[0], p[1] - v.cg_height_m];
    let mut body = Mesh::default();
    let outline: Vec<[f64; 2]> = v.side_view.iter().map(place).collect();
    body.extruded(&outline, 0.5 * v.width_m);
    let mut children = vec![w.meshed("body", &body, BODY)];
    if let Some(glass) = &v.windows {
        let mut mesh = Mesh::default();
        let side: Vec<[f64; 2]> = shrunk(&glass.side).iter().map(place).collect();
        mesh.extruded(&side, 0.5 * v.width_m + 0.004);
        children.push(w.meshed("windows", &mesh, GLASS));
    }
    if !v.guided {
        let mut mesh = Mesh::default();
        let front = v.cg_to_front_axle_m;
        for x in [front, front - v.wheelbase_m] {
            for side in [-1.0, 1.0] {
                let middle = [x, side * 0.5 * v.track_m, v.wheel_radius_m - v.cg_height_m];
                mesh.wheel(middle, v.wheel_radius_m, 0.09 + 0.02);
            }
        }
        children.push(w.meshed("wheels", &mesh, TYRE));
    }
    let node = w.node(json!({ "name": "vehicle", "children": children }));
    w.pose(node, track);
    node
}

// The contour of the windows, smaller about its middle, as the figures draw it.
fn shrunk(contour: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let n = contour.len().max(1) as f64;
    let middle = [0, 1].map(|axis| contour.iter().map(|p| p[axis] / n).sum::<f64>());
    contour
        .iter()
        .map(|p| {
            [
                middle[0] + 0.86 * (p[0] - middle[0]),
                middle[1] + 0.72 * (p[1] - middle[1]),
            ]
        })
        .collect()
}

/// One node for each stretch between points of a line: it stands on the first and points to the second.
fn segments(name: &str, track: &Samples, radii: &[f64], sides: u32, w: &mut Writer) -> Vec<usize> {
    let mut nodes = Vec::new();
    for k in 0..radii.len().saturating_sub(1) {
        let ends = |i: usize| -> Option<([f64; 3], [f64; 3])> {
            let at = |j: usize| -> Option<[f64; 3]> {
                let c = |axis: usize| track.values.get(3 * j + axis).map(|v| v[i]);
                Some([c(0)?, c(1)?, c(2)?])
            };
            Some((at(k)?, at(k + 1)?))
        };
        let Some(steps) = (0..track.times_s.len())
            .map(ends)
            .collect::<Option<Vec<_>>>()
        else {
            break;
        };
        let Some(first) = steps.first() else { break };
        let length = distance(first.0, first.1);
        if length <= 0.0 {
            continue;
        }
        let mut mesh = Mesh::default();
        mesh.tube((radii[k], radii[k + 1]), (0.0, length), sides);
        let node = w.meshed(&format!("{name}-{}", k + 1), &mesh, STEEL);
        let places: Vec<[f64; 3]> = steps.iter().map(|s| s.0).collect();
        w.animate(node, Motion::Place, &track.times_s, &places);
        w.animate(
            node,
            Motion::Turn,
            &track.times_s,
            &turns([0.0, 0.0, 1.0], &steps),
        );
        nodes.push(node);
    }
    nodes
}

/// The box at an arm's last point, along the direction from the arm's tip.
fn luminaire(
    name: &str,
    track: &Samples,
    tip: usize,
    size: [f64; 3],
    w: &mut Writer,
) -> Option<usize> {
    let steps: Vec<([f64; 3], [f64; 3])> = (0..track.times_s.len())
        .map(|i| {
            let at = |j: usize| -> Option<[f64; 3]> {
                let c = |axis: usize| track.values.get(3 * j + axis).map(|v| v[i]);
                Some([c(0)?, c(1)?, c(2)?])
            };
            Some((at(tip - 1)?, at(tip)?))
        })
        .collect::<Option<_>>()?;
    let mut mesh = Mesh::default();
    let half = size.map(|s| 0.5 * s);
    mesh.cuboid(half.map(|h| -h), half);
    let node = w.meshed(&format!("{name}-luminaire"), &mesh, STEEL);
    let places: Vec<[f64; 3]> = steps.iter().map(|s| s.1).collect();
    w.animate(node, Motion::Place, &track.times_s, &places);
    w.animate(
        node,
        Motion::Turn,
        &track.times_s,
        &turns([1.0, 0.0, 0.0], &steps),
    );
    Some(node)
}

#[cfg(test)]
mod tests {
    use super::turn::cross;
    use super::*;

    fn turned(q: [f64; 4], v: [f64; 3]) -> [f64; 3] {
        let t = cross([q[0], q[1], q[2]], v).map(|c| 2.0 * c);
        let tt = cross([q[0], q[1], q[2]], t);
        [0, 1, 2].map(|i| v[i] + q[3] * t[i] + tt[i])
    }

    #[test]
    fn turns_lead_the_axis_into_each_direction() {
        let o = [0.0; 3];
        let to = [
            [0.0, 0.0, 2.0],
            [1.0, 0.0, 1.0],
            [0.0, 3.0, 0.0],
            [0.0, 0.0, -1.0],
            [0.0, 0.0, 1.0],
        ];
        let steps: Vec<_> = to.iter().map(|b| (o, *b)).collect();
        for (q, (_, b)) in turns([0.0, 0.0, 1.0], &steps).into_iter().zip(&steps) {
            let out = turned(q, [0.0, 0.0, 1.0]);
            let length = distance(o, *b);
            for i in 0..3 {
                assert!((out[i] - b[i] / length).abs() < 1e-9, "{out:?} {b:?}");
            }
        }
    }
}
