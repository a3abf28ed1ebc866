//! The upper side of the vehicle's body as panels that dent, and what a rod that comes down on them feels.
//!
//! The side view's outline, carried across the width, gives rectangles. For each rod and panel the part of the rod's
//! axis over the rectangle is found in closed form; its lower side is deepest at one of the two ends of that part,
//! where the rod ends or crosses an edge of the rectangle, so those two points carry the contact. With t along the
//! panel, n its outward normal, r the rod's radius:
//!
//! ```text
//! depth   D = r - (P - P0).n
//! force   f = k D, along the gradient of D: n at a rod's end, n - c (d.n - r')/(d.c) where the axis d leaves the
//!         rectangle through an edge with the outward normal c
//! ```
//!
//! so the work of the force is the energy of the dent. At an edge that two panels share each counts half. Whatever
//! comes to lie inside the body without having come through its skin (a pole in the crushed front, a pole on the
//! ground under the vehicle) is not touched.
//!
//! The force-dent law is a straight line through the force at a stated dent, with a straight unloading line; see
//! `vehicle.skin` of the scenario for its source (assumed throughout).

use giveway_mechanics::crush::{CrushLaw, CrushState, DentLaw};
use giveway_scenario::model::{Scenario, Vehicle};
use nalgebra::{Matrix3, Vector3};

use super::outcome::{Part, Zone};
use super::piece::Piece;

/// A rod that is first seen over a panel deeper than this has not come through its skin, m.
const THROUGH_M: f64 = 0.08;
/// A dent deeper than this has broken through: the panel holds no longer, m (assumed).
const LARGEST_DENT_M: f64 = 0.6;
/// Steeper than this (rise over run) a panel beside the roof is glass.
const GLASS_SLOPE: f64 = 0.3;
/// Within this height of the top, a flat panel is the roof, m.
const ROOF_BAND_M: f64 = 0.12;
/// A rod that leaves the panel through an edge more steeply than this is pushed as if it left it so, rise over run.
const LARGEST_TILT: f64 = 3.0;
/// Speed below which sliding friction is smoothed, m/s.
const SLIDE_SCALE_MPS: f64 = 0.05;

/// One panel, in vehicle axes from the centre of mass.
#[derive(Debug, Clone)]
pub(crate) struct Panel {
    pub zone: Zone,
    start: Vector3<f64>,
    along: Vector3<f64>,
    normal: Vector3<f64>,
    length: f64,
    half_width: f64,
    /// Where the crushed front ends, along the panel, m.
    crushed: f64,
    /// Share of the force at the front and at the rear edge: half where another panel has the same edge.
    shares: [f64; 2],
    law: CrushLaw,
}

/// The panels of a vehicle, front to rear; its front is crushed up to `front`, vehicle axes, m.
pub(crate) fn panels(s: &Scenario, front: f64) -> Vec<Panel> {
    let v = &s.vehicle;
    let zones = zones(v);
    let count = zones.len();
    v.outline
        .windows(2)
        .zip(zones)
        .enumerate()
        .map(|(i, (ends, zone))| {
            let at = |p: (f64, f64)| Vector3::new(v.cg_to_front_m - p.0, 0.0, p.1 - v.cg_height_m);
            let (start, end) = (at(ends[0]), at(ends[1]));
            let length = (end - start).norm();
            let along = (end - start) / length;
            let crushed = if along.x < 0.0 {
                ((front - start.x) / along.x).max(0.0)
            } else {
                0.0
            };
            let share = |shared: bool| if shared { 0.5 } else { 1.0 };
            let skin = &v.skin;
            let (force, width) = match zone {
                Zone::Roof => (skin.roof_force_n, skin.roof_width_m),
                Zone::Windscreen | Zone::RearWindow => (skin.glass_force_n, skin.roof_width_m),
                _ => (skin.panel_force_n, v.width_m),
            };
            let points = [(0.0, 0.0), (skin.depth_m, force)];
            Panel {
                zone,
                start,
                along,
                // (tz, 0, -tx): up and outward for a segment that runs rearward.
                normal: Vector3::new(along.z, 0.0, -along.x),
                length,
                half_width: 0.5 * width,
                crushed,
                shares: [share(crushed == 0.0 && i > 0), share(i + 1 < count)],
                law: CrushLaw::new(&points, force / skin.depth_m / skin.recovery),
            }
        })
        .collect()
}

/// Names of the outline's segments: the roof is what is flat near the top, steep ones beside it are glass, what is
/// ahead of it bonnet, what is behind it deck.
pub(crate) fn zones(v: &Vehicle) -> Vec<Zone> {
    let top = v.outline.iter().fold(0.0_f64, |m, p| m.max(p.1));
    let segments: Vec<(f64, f64)> = v
        .outline
        .windows(2)
        .map(|w| {
            let slope = (w[1].1 - w[0].1) / (w[1].0 - w[0].0).max(1e-9);
            (slope, w[0].1.min(w[1].1))
        })
        .collect();
    let roof = |s: &(f64, f64)| s.0.abs() < GLASS_SLOPE && s.1 > top - ROOF_BAND_M;
    let first = segments.iter().position(roof);
    let last = segments.iter().rposition(roof);
    segments
        .iter()
        .enumerate()
        .map(|(i, s)| match (first, last) {
            (Some(a), Some(b)) if i >= a && i <= b => Zone::Roof,
            (Some(a), _) if i + 1 == a && s.0 > GLASS_SLOPE => Zone::Windscreen,
            (_, Some(b)) if i == b + 1 && s.0 < -GLASS_SLOPE => Zone::RearWindow,
            (Some(a), _) if i < a => Zone::Bonnet,
            _ => Zone::Deck,
        })
        .collect()
}

/// One end of one rod's overlap with one panel, in the course of a flight.
#[derive(Debug, Clone, Copy, Default)]
struct Seat {
    /// The rod came from outside.
    outside: bool,
    /// It was over the panel at the last step.
    seen: bool,
    /// Depth at which it was first seen there, m: force begins beyond it.
    offset: f64,
    state: CrushState,
    rub: Vector3<f64>,
}

/// A contact at this step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hit {
    pub zone: Zone,
    pub part: Part,
    /// Site frame, m.
    pub place: Vector3<f64>,
    /// Vehicle axes from the centre of mass, m.
    pub on_vehicle: Vector3<f64>,
    /// Speed at which the two come together along the normal, m/s.
    pub closing: f64,
    /// Force on the rod, site frame, N.
    pub force: Vector3<f64>,
    /// Energy taken by dent and friction in this step, J.
    pub energy: f64,
}

/// The vehicle's skin during a flight.
#[derive(Debug, Clone)]
pub(crate) struct Skin {
    panels: Vec<Panel>,
    friction: f64,
    /// The front is crushed up to here: no skin ahead of it, vehicle axes, m.
    pub front: f64,
    seats: Vec<Seat>,
    stride: usize,
    /// Sphere about the centre of mass that holds every panel, m.
    reach: f64,
    /// Sphere about the centre of mass that holds the whole body, m, and the box that does, vehicle axes.
    body: f64,
    hull: [Vector3<f64>; 2],
    pub dent_j: f64,
    pub rub_j: f64,
    pub hits: Vec<Hit>,
    least_over_roof: f64,
    begun: bool,
}

/// The vehicle as the skin sees it.
pub(crate) struct Carrier {
    pub x: Vector3<f64>,
    pub v: Vector3<f64>,
    pub rotation: Matrix3<f64>,
    pub rate: Vector3<f64>,
}

impl Skin {
    /// `front_crush` is how far the front has been crushed, m.
    pub fn new(s: &Scenario, front_crush: f64) -> Self {
        let front = s.vehicle.cg_to_front_m - front_crush;
        let panels = panels(s, front);
        let reach = panels
            .iter()
            .flat_map(|p| {
                [p.start, p.start + p.along * p.length]
                    .map(|e| Vector3::new(e.x, p.half_width, e.z).norm())
            })
            .fold(0.0, f64::max);
        let v = &s.vehicle;
        let along = v.cg_to_front_m.max(v.length_m - v.cg_to_front_m);
        let body = Vector3::new(along, 0.5 * v.width_m, v.cg_height_m)
            .norm()
            .max(reach);
        let top = v.outline.iter().fold(0.0_f64, |m, o| m.max(o.1));
        let wide = panels
            .iter()
            .fold(0.5 * v.width_m, |m, p| m.max(p.half_width));
        let hull = [
            Vector3::new(v.cg_to_front_m - v.length_m, -wide, -v.cg_height_m),
            Vector3::new(v.cg_to_front_m, wide, top - v.cg_height_m),
        ];
        Self {
            panels,
            body,
            hull,
            friction: s.vehicle.face_friction,
            front,
            seats: Vec::new(),
            stride: 0,
            reach,
            dent_j: 0.0,
            rub_j: 0.0,
            hits: Vec::with_capacity(16),
            least_over_roof: f64::INFINITY,
            begun: false,
        }
    }

    /// The first look is over: what is inside the body now has not come through its skin.
    pub fn begin(&mut self) {
        self.begun = true;
    }

    /// Distance of a rod's axis from the body, m, at least. `from` and `to` are its ends in vehicle axes from the centre of
    /// mass. Measured from the sphere about the body, and from the box across the box's faces and across the rod.
    pub fn away(&self, from: &Vector3<f64>, to: &Vector3<f64>) -> f64 {
        let [low, high] = &self.hull;
        let mut gap = segment_distance(from, to) - self.body;
        for i in 0..3 {
            gap = gap.max(from[i].min(to[i]) - high[i]);
            gap = gap.max(low[i] - from[i].max(to[i]));
        }
        let across = Vector3::new(from.y - to.y, to.x - from.x, 0.0);
        let size = across.norm();
        if size > 1e-9 {
            let n = across / size;
            let (middle, half) = ((low + high) * 0.5, (high - low) * 0.5);
            gap = gap.max(n.dot(&(from - middle)).abs() - half.dot(&n.abs()));
        }
        gap
    }

    /// Fits the store to the pieces; histories begin anew.
    pub fn fit(&mut self, pieces: &[Piece]) {
        let most = pieces.iter().map(|p| p.rods.len()).max().unwrap_or(0);
        self.stride = most * self.panels.len() * 2;
        self.seats = vec![Seat::default(); self.stride * pieces.len()];
    }

    /// Contact of one piece with the body: fills `hits`, adds the forces to the piece and returns force and moment on
    /// the vehicle about its centre of mass. `dt` is the step that led here.
    pub fn touch(
        &mut self,
        index: usize,
        piece: &mut Piece,
        car: &Carrier,
        dt: f64,
    ) -> (Vector3<f64>, Vector3<f64>) {
        let (mut force, mut moment) = (Vector3::zeros(), Vector3::zeros());
        let rate = piece.rate();
        for number in 0..piece.rods.len() {
            let rod = &piece.rods[number];
            let by_car = |end: &Vector3<f64>| car.rotation.tr_mul(&(end - car.x));
            let ends = [by_car(&rod.ends[0]), by_car(&rod.ends[1])];
            let (radii, part) = ([rod.radius_from, rod.radius_to], rod.part);
            if segment_distance(&ends[0], &ends[1]) > self.reach + radii[0].max(radii[1]) {
                continue;
            }
            let seen = Seen::new(ends, radii);
            let mut sides = Sides::default();
            for panel in 0..self.panels.len() {
                let overlap = overlap(&self.panels[panel], &seen, &mut sides);
                for end in 0..2 {
                    let key = index * self.stride + (number * self.panels.len() + panel) * 2 + end;
                    let Some(overlap) = &overlap else {
                        self.seats[key].seen = false;
                        continue;
                    };
                    let at = (&overlap[end], &seen);
                    if let Some(hit) = self.press([key, panel], part, at, (piece, &rate), car, dt) {
                        piece.push(&hit.force, &hit.place);
                        force -= hit.force;
                        moment -= (hit.place - car.x).cross(&hit.force);
                        self.hits.push(hit);
                    }
                }
            }
        }
        (force, moment)
    }

    /// Force at one end of the part of one rod over one panel.
    fn press(
        &mut self,
        [key, panel]: [usize; 2],
        part: Part,
        (point, rod): (&End, &Seen),
        (piece, rate): (&Piece, &Vector3<f64>),
        car: &Carrier,
        dt: f64,
    ) -> Option<Hit> {
        let panel = &self.panels[panel];
        let seat = &mut self.seats[key];
        if point.depth <= 0.0 {
            (seat.outside, seat.seen) = (true, true);
        } else if !seat.seen {
            // Nothing has come through the skin before the first step.
            seat.outside = point.depth < THROUGH_M && self.begun;
            seat.seen = true;
            seat.offset = point.depth;
        }
        seat.offset = seat.offset.min(point.depth.max(0.0));
        if point.depth > LARGEST_DENT_M {
            seat.outside = false;
        }
        if !seat.outside {
            seat.state.force_n = 0.0;
            seat.rub = Vector3::zeros();
            return None;
        }
        if panel.zone == Zone::Roof {
            self.least_over_roof = self.least_over_roof.min(-point.depth);
        }
        let (before, crush) = (seat.state.force_n, seat.state.crush_m);
        if point.depth <= seat.offset && before == 0.0 && crush == 0.0 {
            // It has not come down yet, or has left.
            seat.rub = Vector3::zeros();
            return None;
        }
        let force = panel
            .law
            .advance(&mut seat.state, point.depth - seat.offset, &DentLaw::SOLID);
        let taken = point.weight * 0.5 * (before + force) * (seat.state.crush_m - crush);
        self.dent_j += taken;
        if force <= 0.0 {
            seat.rub = Vector3::zeros();
            return None;
        }
        let [on_vehicle, direction] = point.touch(panel, rod);
        let place = car.x + car.rotation * on_vehicle;
        let push = car.rotation * direction;
        let relative = piece.velocity_with(rate, &place) - car.v - car.rate.cross(&(place - car.x));
        let along = relative.dot(&push) / push.norm_squared();
        let slide = relative - push * along;
        let scale = SLIDE_SCALE_MPS * SLIDE_SCALE_MPS;
        let rub =
            slide * (-self.friction * point.weight * force / (slide.norm_squared() + scale).sqrt());
        let rubbed = -0.5 * (rub + seat.rub).dot(&slide) * dt;
        seat.rub = rub;
        self.rub_j += rubbed;
        Some(Hit {
            zone: panel.zone,
            part,
            place,
            on_vehicle,
            closing: -relative.dot(&(car.rotation * panel.normal)),
            force: push * (point.weight * force) + rub,
            energy: taken + rubbed,
        })
    }

    /// Least height of a rod over the roof's panels, m; negative = dented, none = never over them.
    pub fn least_over_roof(&self) -> Option<f64> {
        self.least_over_roof
            .is_finite()
            .then_some(self.least_over_roof)
    }

    /// Largest dent, and the largest that stays, of a zone, m.
    pub fn dent(&self, zone: Zone) -> (f64, f64) {
        let count = self.panels.len() * 2;
        let mut most = (0.0_f64, 0.0_f64);
        for (i, seat) in self.seats.iter().enumerate() {
            let panel = &self.panels[(i % count) / 2];
            if panel.zone == zone {
                most.0 = most.0.max(seat.state.largest_m);
                most.1 = most.1.max(panel.law.permanent(&seat.state));
            }
        }
        most
    }
}

/// Distance of a segment from the origin.
fn segment_distance(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    let d = b - a;
    let l = d.norm_squared();
    let s = if l > 0.0 {
        (-a.dot(&d) / l).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (a + d * s).norm()
}

/// An end of the part of a rod that lies over a panel.
#[derive(Debug, Clone, Copy)]
struct End {
    /// Place on the rod, 0 to 1 from its first end to its last.
    s: f64,
    /// The edge of the panel that it leaves there; none at the rod's own end.
    edge: Option<usize>,
    weight: f64,
    depth: f64,
}

impl End {
    /// Place on the rod's axis and gradient of the depth, which is the direction of the force on the rod; vehicle axes.
    fn touch(&self, panel: &Panel, rod: &Seen) -> [Vector3<f64>; 2] {
        let (d, radii) = (&rod.d, rod.radii);
        let mut direction = panel.normal;
        if let Some(edge) = self.edge {
            let side = Vector3::y();
            let c = [-panel.along, panel.along, -side, side][edge];
            // s moves so that the point stays on the edge's plane: grad D = -(n - c (d.n - r')/(d.c)).
            let tilt = (d.dot(&panel.normal) - (radii[1] - radii[0])) / d.dot(&c);
            direction -= c * tilt.clamp(-LARGEST_TILT, LARGEST_TILT);
        }
        [rod.ends[0] + d * self.s, direction]
    }
}

/// A rod in vehicle axes.
struct Seen {
    ends: [Vector3<f64>; 2],
    d: Vector3<f64>,
    radii: [f64; 2],
}

impl Seen {
    fn new(ends: [Vector3<f64>; 2], radii: [f64; 2]) -> Self {
        let d = ends[1] - ends[0];
        Self { ends, d, radii }
    }
}

/// Where a rod crosses the two sides of a panel of this half width: one over the other panels is mostly as wide.
#[derive(Default)]
struct Sides {
    half_width: f64,
    at: [f64; 2],
}

/// Both ends of the rod's part over the panel, nearer end of the rod first.
fn overlap(panel: &Panel, rod: &Seen, sides: &mut Sides) -> Option<[End; 2]> {
    if panel.crushed >= panel.length {
        return None;
    }
    let (rel, d) = (rod.ends[0] - panel.start, &rod.d);
    let (u0, du) = (rel.dot(&panel.along), d.dot(&panel.along));
    let (y0, dy) = (rel.y, d.y);
    let w = panel.half_width;
    if sides.half_width != w {
        *sides = Sides {
            half_width: w,
            at: [-(y0 + w) / dy, (w - y0) / dy],
        };
    }
    let (low, high) = (u0 - panel.crushed, panel.length - u0);
    // Bounds on s, a + b s >= 0, for the front and the rear edge and the two sides, and where they are met.
    let bounds = [
        (low, du, -low / du),
        (high, -du, high / du),
        (y0 + w, dy, sides.at[0]),
        (w - y0, -dy, sides.at[1]),
    ];
    let mut ends = [(0.0, None), (1.0, None)];
    for (edge, (a, b, s)) in bounds.into_iter().enumerate() {
        if b.abs() < 1e-12 {
            if a < 0.0 {
                return None;
            }
            continue;
        }
        if b > 0.0 {
            if s > ends[0].0 {
                ends[0] = (s, Some(edge));
            }
        } else if s < ends[1].0 {
            ends[1] = (s, Some(edge));
        }
        if ends[0].0 > ends[1].0 {
            return None;
        }
    }
    let (above, rising) = (rel.dot(&panel.normal), d.dot(&panel.normal));
    let radii = rod.radii;
    let end = |(s, edge): (f64, Option<usize>)| End {
        s,
        edge,
        weight: edge.map_or(1.0, |edge| panel.shares.get(edge).copied().unwrap_or(1.0)),
        depth: radii[0] + (radii[1] - radii[0]) * s - (above + rising * s),
    };
    Some([end(ends[0]), end(ends[1])])
}
