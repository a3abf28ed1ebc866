//! What was found on site in a close-up of the slip base: grout, stubs, conduit, lumps, soil.
//!
//! Everything stands where the solver has it. A bar that has given way is drawn as a dashed outline; what lies
//! inside or under steel is drawn as an outline over it.

use giveway_impact::outcome::{BarOutcome, Snapshot};
use giveway_scenario::model::{Plate, Scenario, SlipBase};

use crate::base::{azimuths, on_plate};
use crate::view::{Look, Place, View, closed, ring, upright};
use giveway_draw::{EARTH, Figure, GROUT, INK, LIMIT, Point, SLATE, STRAW};

/// Reach of the grout that is drawn around a single bolt, m; around all bolts it is the cover.
const AROUND_ONE_M: f64 = 0.08;
/// Spacing of the slanting lines in grout and soil, px along the axes.
const HATCH_PX: f64 = 14.0;

/// Lets the scenario show the base as it was found: turned, at its height, with the washers that are there.
pub fn as_drawn(scenario: &Scenario) -> Scenario {
    let mut s = scenario.clone();
    let found = &scenario.as_found;
    s.base.first_bolt_azimuth_rad += found.turned_rad;
    if let Some(height) = found.slip_plane_height_m {
        s.site.slip_plane_height_m = height;
    }
    if let Some(thickness) = found.plate_washer_m {
        s.base.plate_washer_m = thickness;
    }
    s
}

/// Draws what lies under and behind the plates; to be called before the base is drawn.
pub fn beneath(f: &mut Figure, view: &View, scenario: &Scenario) {
    grout(f, view, scenario);
    soil(f, view, scenario);
}

/// Draws what stands in the slip plane; to be called after the base is drawn. `bars` is what became of the bars (empty: all
/// stand).
pub fn above(f: &mut Figure, view: &View, scenario: &Scenario, s: &Snapshot, bars: &[BarOutcome]) {
    lumps(f, view, scenario, s);
    let level = scenario.site.slip_plane_height_m;
    let base = &scenario.base;
    let gone = |stub: Option<usize>| bars.iter().any(|b| b.stub == stub && b.sheared);
    for (i, stub) in scenario.as_found.stubs.iter().enumerate() {
        let from_axis = base.plate_radius_m + stub.gap_m + 0.5 * stub.diameter_m;
        let foot = [
            from_axis * libm::cos(stub.azimuth_rad),
            from_axis * libm::sin(stub.azimuth_rad),
            level - base.lower_plate_m,
        ];
        let tip = level + stub.projection_m;
        rim(f, view, base, s, base.plate_radius_m);
        bar(f, view, foot, tip, stub.diameter_m, gone(Some(i + 1)));
    }
    if let Some(conduit) = &scenario.as_found.conduit {
        let foot = [0.0, 0.0, level - base.lower_plate_m];
        let tip = level + conduit.projection_m;
        let opening = 0.5 * conduit.diameter_m + conduit.gap_m;
        rim(f, view, base, s, opening);
        bar(f, view, foot, tip, conduit.diameter_m, gone(None));
    }
}

/// The grout bed between ground and bolt heads.
fn grout(f: &mut Figure, view: &View, scenario: &Scenario) {
    let Some(grout) = &scenario.as_found.grout else {
        return;
    };
    let base = &scenario.base;
    let seat = 0.5 * base.bolt_circle_m;
    // Underside of the head: below lower plate, plate washer and the head itself.
    let head = scenario.site.slip_plane_height_m
        - base.lower_plate_m
        - base.plate_washer_m
        - base.bolt.head_height_m;
    let surface = (head - grout.gap_m).max(0.0);
    let pads: Vec<(Place, f64)> = if grout.bolts.is_empty() {
        vec![([0.0, 0.0, surface], seat + grout.cover_m)]
    } else {
        azimuths(base)
            .iter()
            .enumerate()
            .filter(|(i, _)| grout.bolts.contains(&(i + 1)))
            .map(|(_, a)| {
                let at = [seat * libm::cos(*a), seat * libm::sin(*a), surface];
                (at, grout.cover_m.min(AROUND_ONE_M))
            })
            .collect()
    };
    for (at, reach) in pads {
        let outline: Vec<Place> = match view.look {
            Look::FromAbove => ring(at, reach, 60),
            Look::FromTheSide => upright(view, at, reach, (0.0, surface)).to_vec(),
        };
        view.shape(f, &outline, GROUT, Some((INK, 1.0)));
        hatch(f, view, &outline);
    }
}

/// Soil or a wall behind the foot.
fn soil(f: &mut Figure, view: &View, scenario: &Scenario) {
    let Some(soil) = &scenario.as_found.soil else {
        return;
    };
    let level = scenario.site.slip_plane_height_m;
    let near = scenario.base.plate_radius_m + soil.gap_m;
    let far = near + 3.0;
    let (c, s) = (libm::cos(soil.azimuth_rad), libm::sin(soil.azimuth_rad));
    let place = |n: f64, t: f64, z: f64| [n * c - t * s, n * s + t * c, z];
    let face = level + soil.height_m;
    let back = face + (far - near) * libm::tan(soil.slope_rad);
    let outline = match view.look {
        Look::FromAbove => [
            place(near, -3.0, face),
            place(near, 3.0, face),
            place(far, 3.0, face),
            place(far, -3.0, face),
        ],
        Look::FromTheSide => [
            place(near, 0.0, 0.0),
            place(near, 0.0, face),
            place(far, 0.0, back),
            place(far, 0.0, 0.0),
        ],
    };
    view.shape(f, &outline, EARTH, Some((INK, 1.2)));
    hatch(f, view, &outline);
}

/// Lumps on one wall of the notches, as triangles pointing at the bolt's way.
fn lumps(f: &mut Figure, view: &View, scenario: &Scenario, snapshot: &Snapshot) {
    let Some(lump) = &scenario.as_found.lump else {
        return;
    };
    if view.look != Look::FromAbove {
        return;
    }
    let base = &scenario.base;
    let beta = base.notch_half_angle_rad;
    let (cb, sb) = (libm::cos(beta), libm::sin(beta));
    // Wall: from the seat along (cos b, sin b), its inward normal (sin b, -cos b).
    let seat = 0.5 * base.bolt_circle_m;
    let half = 0.5 * base.notch_span_m;
    let start = 0.25 * base.bolt.diameter_m;
    let along = |l: f64, out: f64| {
        (
            seat - half * sb + l * cb + out * sb,
            half * cb + l * sb - out * cb,
        )
    };
    for (i, a) in azimuths(base).iter().enumerate() {
        if !lump.bolts.is_empty() && !lump.bolts.contains(&(i + 1)) {
            continue;
        }
        let corners = [
            along(start, 0.0),
            along(start + 0.5 * lump.length_m, lump.height_m),
            along(start + lump.length_m, 0.0),
        ];
        let places: Vec<Place> = (corners.iter())
            .map(|(n, t)| {
                let (c, s) = (libm::cos(*a), libm::sin(*a));
                let flat = [n * c - t * s, n * s + t * c, 0.0];
                match lump.plate {
                    Plate::Lower => [flat[0], flat[1], scenario.site.slip_plane_height_m],
                    Plate::Upper => on_plate(snapshot, flat),
                }
            })
            .collect();
        view.shape(f, &places, STRAW, Some((INK, 1.0)));
    }
}

/// The circle of the upper plate that meets a bar, from above.
fn rim(f: &mut Figure, view: &View, base: &SlipBase, s: &Snapshot, radius: f64) {
    if view.look != Look::FromAbove {
        return;
    }
    let circle = ring([0.0, 0.0, base.upper_plate_m], radius, 48);
    let circle: Vec<Place> = (circle.into_iter()).map(|p| on_plate(s, p)).collect();
    view.dashed(f, &closed(&circle), 1.0, SLATE, &[3.0, 3.0]);
}

/// An upright bar from its foot to the height of its tip.
fn bar(f: &mut Figure, view: &View, foot: Place, tip_m: f64, diameter_m: f64, gone: bool) {
    let r = 0.5 * diameter_m;
    let outline: Vec<Place> = match view.look {
        Look::FromAbove => ring([foot[0], foot[1], tip_m], r, 24),
        Look::FromTheSide => upright(view, foot, r, (foot[2], tip_m)).to_vec(),
    };
    if gone {
        view.dashed(f, &closed(&outline), 1.6, LIMIT, &[4.0, 3.0]);
    } else {
        view.shape(f, &outline, LIMIT, Some((INK, 1.2)));
    }
}

/// Slanting lines inside a polygon: grout and soil are told from steel without their colour.
fn hatch(f: &mut Figure, view: &View, places: &[Place]) {
    let points: Vec<Point> = places.iter().map(|p| view.at(*p)).collect();
    let area = view.window.polygon(&points);
    for (a, b) in slanting(&area, HATCH_PX) {
        f.line([a, b], 0.8, SLATE);
    }
}

/// The pieces inside a polygon of the lines x + y = i spacing (even-odd rule).
fn slanting(polygon: &[Point], spacing: f64) -> Vec<(Point, Point)> {
    let sums = || polygon.iter().map(|p| p.0 + p.1);
    let (low, high) = sums().fold((f64::INFINITY, f64::NEG_INFINITY), |r, s| {
        (r.0.min(s), r.1.max(s))
    });
    let mut pieces = Vec::new();
    if high - low > 1e4 || polygon.len() < 3 {
        return pieces;
    }
    let mut line = (libm::floor(low / spacing) + 0.5) * spacing;
    while line < high {
        let mut cuts: Vec<Point> = Vec::new();
        for (i, &a) in polygon.iter().enumerate() {
            let b = polygon[(i + 1) % polygon.len()];
            let (da, db) = (a.0 + a.1 - line, b.0 + b.1 - line);
            if (da < 0.0) != (db < 0.0) {
                let s = da / (da - db);
                cuts.push((a.0 + s * (b.0 - a.0), a.1 + s * (b.1 - a.1)));
            }
        }
        cuts.sort_by(|p, q| p.0.total_cmp(&q.0));
        pieces.extend(cuts.chunks_exact(2).map(|c| (c[0], c[1])));
        line += spacing;
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slanting_lines_end_at_the_outline() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let pieces = slanting(&square, 4.0);
        // x + y = 2, 6, 10, 14, 18.
        assert_eq!(pieces.len(), 5);
        assert_eq!(pieces[0], ((0.0, 2.0), (2.0, 0.0)));
        assert_eq!(pieces[4], ((8.0, 10.0), (10.0, 8.0)));
        assert!(slanting(&square[..2], 4.0).is_empty());
    }
}
