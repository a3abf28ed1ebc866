//! The slip base in the storyboard: plates with their notches, bolts, stub.

use giveway_impact::outcome::Snapshot;
use giveway_scenario::model::{Anchorage, Scenario, SlipBase};

use crate::view::{Look, Place, View, closed, placed, ring, upright};
use giveway_draw::{Figure, INK, NAVY, SKY, SLATE, STEEL, STONE};

/// Azimuths of the bolts, rad.
pub fn azimuths(base: &SlipBase) -> Vec<f64> {
    (0..base.bolt_count.max(1))
        .map(|i| {
            base.first_bolt_azimuth_rad
                + core::f64::consts::TAU * i as f64 / base.bolt_count.max(1) as f64
        })
        .collect()
}

/// Outline of a plate with its notches about its own centre, m.
///
/// The plate's corners lie on the circumscribing circle, cut across at every bolt; each notch opens outward from
/// the seat of its bolt with the half-angle beta.
pub fn plate(base: &SlipBase, notched: bool) -> Vec<(f64, f64)> {
    let radius = base.plate_radius_m;
    let seat = 0.5 * base.bolt_circle_m;
    let hole = 0.5 * base.bolt.diameter_m;
    let beta = base.notch_half_angle_rad;
    // Half of the angle that a cut corner spans, rad.
    let cut = 0.33;
    let edge = radius * libm::cos(cut);
    let mut out = Vec::new();
    for a in azimuths(base) {
        let (c, s) = (libm::cos(a), libm::sin(a));
        // (outward, to the left) of the bolt's direction to plate axes.
        let mut push = |n: f64, t: f64| out.push((n * c - t * s, n * s + t * c));
        let corner = radius * libm::sin(cut);
        push(edge, -corner);
        if notched && edge > seat {
            // Walls touch the seat's circle: start at c + r (-sin b n + cos b t) and run along cos b n + sin b t.
            let (cb, sb) = (libm::cos(beta), libm::sin(beta));
            let (n0, t0) = (seat - hole * sb, hole * cb);
            let mouth = (t0 + (edge - n0) * sb / cb.max(0.05)).min(0.95 * corner);
            push(edge, -mouth);
            push(n0, -t0);
            push(seat - hole, 0.0);
            push(n0, t0);
            push(edge, mouth);
        }
        push(edge, corner);
    }
    out
}

/// A point of the upper plate, where the snapshot has it.
pub fn on_plate(snapshot: &Snapshot, p: Place) -> Place {
    placed(snapshot.plate_centre_m, snapshot.plate_rotation, p)
}

/// Draws the slip base in a close-up.
pub fn draw(f: &mut Figure, view: &View, scenario: &Scenario, snapshot: &Snapshot) {
    if scenario.base.anchorage == Anchorage::Fixed {
        return;
    }
    match view.look {
        Look::FromAbove => from_above(f, view, scenario, snapshot),
        Look::FromTheSide => from_the_side(f, view, scenario, snapshot),
    }
}

fn from_above(f: &mut Figure, view: &View, scenario: &Scenario, snapshot: &Snapshot) {
    let base = &scenario.base;
    let level = scenario.site.slip_plane_height_m;
    let outline = plate(base, true);
    let lower: Vec<Place> = outline.iter().map(|p| [p.0, p.1, level]).collect();
    view.shape(f, &lower, STONE, Some((INK, 1.5)));
    for a in azimuths(base) {
        // Where the bolt sat.
        let seat = 0.5 * base.bolt_circle_m;
        let p = view.at([seat * libm::cos(a), seat * libm::sin(a), level]);
        if view.window.contains(p) {
            f.ring(p, 0.5 * base.bolt.diameter_m * view.scale, 1.0, SLATE);
        }
    }
    let moved = |p: Place| on_plate(snapshot, p);
    let upper: Vec<Place> = outline.iter().map(|p| moved([p.0, p.1, 0.0])).collect();
    view.glaze(f, &upper, SKY, 0.55, NAVY);
    let foot = ring([0.0; 3], 0.5 * scenario.support.pole.base_diameter_m, 40);
    let foot: Vec<Place> = foot.into_iter().map(moved).collect();
    view.glaze(f, &foot, STEEL, 0.35, STEEL);
    for bolt in snapshot.bolts_m.iter().flatten() {
        // Hexagon of the head: 1.5 d across flats.
        let r = 0.75 * base.bolt.diameter_m / 0.866;
        view.shape(f, &ring(*bolt, r, 6), INK, None);
    }
}

fn from_the_side(f: &mut Figure, view: &View, scenario: &Scenario, snapshot: &Snapshot) {
    lower_plate(f, view, scenario);
    let base = &scenario.base;
    let d = base.bolt.diameter_m;
    let gap = 2.0 * base.plate_washer_m;
    for bolt in snapshot.bolts_m.iter().flatten() {
        // Shank, head below, nut above; plate washers between head or nut and plate.
        let bottom = bolt[2] - base.lower_plate_m - gap - 0.65 * d;
        let top = bolt[2] + base.upper_plate_m + gap + 0.9 * d;
        let bar = |r: f64, z0: f64, z1: f64| upright(view, *bolt, r, (z0, z1));
        view.shape(f, &bar(0.5 * d, bottom, top + 0.4 * d), STEEL, None);
        view.shape(f, &bar(0.8 * d, bottom, bottom + 0.65 * d), INK, None);
        view.shape(f, &bar(0.8 * d, top - 0.9 * d, top), INK, None);
        let washer = 0.5 * base.plate_washer_diameter_m;
        let t = base.plate_washer_m;
        let under = bolt[2] - base.lower_plate_m;
        let over = bolt[2] + base.upper_plate_m;
        view.shape(f, &bar(washer, under - t, under), STEEL, Some((INK, 0.8)));
        view.shape(f, &bar(washer, over, over + t), STEEL, Some((INK, 0.8)));
    }
    upper_plate(f, view, scenario, snapshot);
}

/// Stub and lower plate from the side.
pub fn lower_plate(f: &mut Figure, view: &View, scenario: &Scenario) {
    let base = &scenario.base;
    if base.anchorage == Anchorage::Fixed {
        return;
    }
    let level = scenario.site.slip_plane_height_m;
    let foot = 0.5 * scenario.support.pole.base_diameter_m;
    let stub: Vec<Place> = ring([0.0; 3], foot, 24)
        .into_iter()
        .flat_map(|[x, y, _]| [[x, y, -0.5], [x, y, level - base.lower_plate_m]])
        .collect();
    view.silhouette(f, &stub, STONE, Some((INK, 1.0)));
    let outline = plate(base, false);
    let lower: Vec<Place> = (outline.iter())
        .flat_map(|p| [[p.0, p.1, level - base.lower_plate_m], [p.0, p.1, level]])
        .collect();
    view.silhouette(f, &lower, STONE, Some((INK, 1.2)));
}

/// Upper plate from the side.
pub fn upper_plate(f: &mut Figure, view: &View, scenario: &Scenario, snapshot: &Snapshot) {
    let base = &scenario.base;
    if base.anchorage == Anchorage::Fixed {
        return;
    }
    let corners: Vec<Place> = plate(base, false)
        .iter()
        .flat_map(|p| [0.0, base.upper_plate_m].map(|z| on_plate(snapshot, [p.0, p.1, z])))
        .collect();
    view.silhouette(f, &corners, SKY, Some((NAVY, 1.2)));
}

/// The bolt circle on the ground, for the plan to scale.
pub fn bolt_circle(f: &mut Figure, view: &View, scenario: &Scenario) {
    let circle = ring([0.0; 3], scenario.base.plate_radius_m, 40);
    view.shape(f, &circle, STONE, Some((INK, 1.0)));
}

/// The same as a line, over whatever stands there.
pub fn seat_circle(f: &mut Figure, view: &View, scenario: &Scenario) {
    let circle = ring([0.0; 3], scenario.base.plate_radius_m, 40);
    view.dashed(f, &closed(&circle), 1.2, INK, &[2.5, 3.0]);
}
