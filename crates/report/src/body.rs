//! The vehicle in the storyboard: its side view as an extruded body, wheels, windows, crushed face.

use giveway_impact::outcome::Snapshot;
use giveway_scenario::model::{Band, Scenario, StruckFace, Vehicle};

use crate::view::{Look, Place, View, placed, turned};
use giveway_draw::{BODY, Figure, GLASS, INK, RUBBER, SLATE, circle, without_straights};
use giveway_results::replay::silhouette::{side_view, top, wheel_radius, windows};

/// The vehicle of a scenario at one instant.
pub struct Body<'a> {
    pub scenario: &'a Scenario,
    pub snapshot: &'a Snapshot,
}

impl Body<'_> {
    fn vehicle(&self) -> &Vehicle {
        &self.scenario.vehicle
    }

    /// Site place of a point given behind the foremost line, to the left, above the ground.
    fn place(&self, behind_m: f64, left_m: f64, height_m: f64) -> Place {
        let v = self.vehicle();
        let local = [v.cg_to_front_m - behind_m, left_m, height_m - v.cg_height_m];
        placed(
            self.snapshot.vehicle_position_m,
            self.snapshot.vehicle_rotation,
            local,
        )
    }

    /// All corners, for the extent of the views.
    pub fn corners(&self) -> Vec<Place> {
        let half = 0.5 * self.vehicle().width_m;
        side_view(self.vehicle())
            .iter()
            .flat_map(|&(d, h)| [self.place(d, -half, h), self.place(d, half, h)])
            .collect()
    }

    /// Whether the vehicle stands between a place and the eye: the place is on the ray to the eye outside the box round the
    /// vehicle, or in the box beyond the flank that the eye sees (a pole that has pressed in the roof's middle lies behind
    /// the glass of the doors). A pole in the dented front is not hidden, for the front is drawn pushed in.
    pub fn hides(&self, view: &View, place: Place) -> bool {
        let v = self.vehicle();
        let [w, x, y, z] = self.snapshot.vehicle_rotation;
        let back = [w, -x, -y, -z];
        let centre = self.snapshot.vehicle_position_m;
        let from = turned(back, [0, 1, 2].map(|i| place[i] - centre[i]));
        let (c, s) = view.travel;
        let eye = match view.look {
            Look::FromTheSide => [s, -c, 0.0],
            Look::FromAbove => [0.0, 0.0, 1.0],
        };
        let towards = turned(back, eye);
        let lowest = side_view(v)
            .iter()
            .map(|p| p.1)
            .fold(f64::INFINITY, f64::min);
        let half = 0.5 * v.width_m;
        let low = [v.cg_to_front_m - v.length_m, -half, lowest - v.cg_height_m];
        let high = [v.cg_to_front_m, half, top(v) - v.cg_height_m];
        let (mut enters, mut leaves) = (f64::NEG_INFINITY, f64::INFINITY);
        for i in 0..3 {
            if towards[i].abs() < 1e-9 {
                if from[i] < low[i] || from[i] > high[i] {
                    return false;
                }
                continue;
            }
            let (a, b) = (
                (low[i] - from[i]) / towards[i],
                (high[i] - from[i]) / towards[i],
            );
            enters = enters.max(a.min(b));
            leaves = leaves.min(a.max(b));
        }
        if enters > 0.0 && enters < leaves {
            return true;
        }
        view.look == Look::FromTheSide && self.behind_the_flank(from, towards)
    }

    /// Whether the ray from a place in the vehicle's own directions goes out through the sheet of a flank.
    fn behind_the_flank(&self, from: Place, towards: Place) -> bool {
        let v = self.vehicle();
        // A ray along the vehicle meets no flank.
        if towards[1].abs() < 0.2 {
            return false;
        }
        let near = towards[1].signum();
        let struck = match self.scenario.impact.face {
            StruckFace::Front => 0.0,
            StruckFace::LeftSide => 1.0,
            StruckFace::RightSide => -1.0,
        };
        let dent = if struck * near > 0.0 {
            self.deepest() + 0.5 * self.scenario.support.pole.base_diameter_m
        } else {
            0.0
        };
        let far = (near * (0.5 * v.width_m - dent) - from[1]) / towards[1];
        let (x, z) = (from[0] + far * towards[0], from[2] + far * towards[2]);
        let at = (v.cg_to_front_m - x, z + v.cg_height_m);
        far > 0.0 && encloses(&self.crushed_outline(), at)
    }

    fn bands(&self) -> &[Band] {
        match self.scenario.impact.face {
            StruckFace::Front => &self.vehicle().front.bands,
            StruckFace::LeftSide | StruckFace::RightSide => &self.vehicle().side.bands,
        }
    }

    /// Largest crush, m.
    fn deepest(&self) -> f64 {
        self.snapshot.crush_m.iter().copied().fold(0.0, f64::max)
    }

    /// The side view cut through the pole's track: the front is pushed back to set-back plus crush.
    fn crushed_outline(&self) -> Vec<(f64, f64)> {
        let outline = side_view(self.vehicle());
        if self.scenario.impact.face != StruckFace::Front || self.deepest() <= 0.0 {
            return outline;
        }
        let lowest = self.bands().first().map_or(0.0, |b| b.lower_m);
        let pushed = |h: f64| -> f64 {
            // What hangs below the lowest band goes back with it.
            let h = h.max(lowest);
            self.bands()
                .iter()
                .zip(&self.snapshot.crush_m)
                .filter(|(b, crush)| **crush > 0.0 && h >= b.lower_m && h <= b.upper_m)
                .map(|(b, crush)| b.setback_m + crush)
                .fold(0.0, f64::max)
        };
        let middle = 0.5 * self.vehicle().length_m;
        let mut out = Vec::new();
        for (i, &(d0, h0)) in outline.iter().enumerate() {
            let (d1, h1) = outline[(i + 1) % outline.len()];
            // Every 2 cm along the edge, so that the steps of the bands show.
            let parts = (libm::ceil(libm::hypot(d1 - d0, h1 - h0) / 0.02) as usize).clamp(1, 400);
            for k in 0..parts {
                let s = k as f64 / parts as f64;
                let (d, h) = (d0 + s * (d1 - d0), h0 + s * (h1 - h0));
                out.push((if d < middle { d.max(pushed(h)) } else { d }, h));
            }
        }
        out
    }

    pub fn draw(&self, f: &mut Figure, view: &View) {
        match view.look {
            Look::FromTheSide => self.draw_side(f, view),
            Look::FromAbove => self.draw_plan(f, view),
        }
    }

    fn draw_side(&self, f: &mut Figure, view: &View) {
        let half = 0.5 * self.vehicle().width_m;
        // The near side is the one further to the right of the travel.
        let depth = |left: f64| view.depth(self.place(0.5 * self.vehicle().length_m, left, 0.5));
        let right = depth(-half) <= depth(half);
        let near = if right { -half } else { half };
        let sheet = |outline: &[(f64, f64)], left: f64| -> Vec<Place> {
            (outline.iter())
                .map(|&(d, h)| self.place(d, left, h))
                .collect()
        };
        let section = without_straights(&self.crushed_outline(), 0.003);
        self.wheels(f, view, -near);
        view.shape(f, &sheet(&section, -near), BODY, Some((INK, 1.2)));
        let whole = side_view(self.vehicle());
        for (i, &a) in section.iter().enumerate() {
            let b = section[(i + 1) % section.len()];
            let strip = [
                self.place(a.0, near, a.1),
                self.place(b.0, near, b.1),
                self.place(b.0, -near, b.1),
                self.place(a.0, -near, a.1),
            ];
            view.shape(f, &strip, BODY, None);
        }
        // Edges across the upper body: they show only when the vehicle is not seen square on.
        for &(d, h) in whole.iter().filter(|p| p.1 > 0.6 * top(self.vehicle())) {
            let line = [self.place(d, -half, h), self.place(d, half, h)];
            view.line(f, &line, 1.0, SLATE);
        }
        view.shape(f, &sheet(&section, near), BODY, Some((INK, 1.5)));
        self.windows(f, view, near);
        self.wheels(f, view, near);
        let close = view.scale > 150.0;
        if self.deepest() > 0.0 && self.scenario.impact.face == StruckFace::Front && !close {
            let front: Vec<Place> = (whole.iter())
                .filter(|(d, _)| *d < 0.3 * self.vehicle().length_m)
                .map(|&(d, h)| self.place(d, near, h))
                .collect();
            view.dashed(f, &front, 1.2, INK, &[4.0, 3.0]);
        }
    }

    fn wheels(&self, f: &mut Figure, view: &View, left: f64) {
        if self.vehicle().guided {
            return;
        }
        let v = self.vehicle();
        let radius = wheel_radius(self.vehicle());
        let front = v.cg_to_front_m - v.cg_to_front_axle_m;
        let side = left.signum() * (0.5 * v.track_m + 0.08);
        for behind in [front, front + v.wheelbase_m] {
            let circle = |r: f64, y: f64| -> Vec<Place> {
                let corners = circle((behind, radius), r, 28).into_iter();
                corners.map(|(x, z)| self.place(x, y, z)).collect()
            };
            let inner = side - left.signum() * 0.18;
            let mut tread = circle(radius, side);
            tread.extend(circle(radius, inner));
            view.silhouette(f, &tread, RUBBER, None);
            view.shape(f, &circle(0.55 * radius, side), BODY, Some((INK, 1.0)));
            view.shape(f, &circle(0.12 * radius, side), RUBBER, None);
        }
    }

    // The contour above the waist, drawn smaller, with a pillar.
    fn windows(&self, f: &mut Figure, view: &View, left: f64) {
        let Some(w) = windows(self.vehicle()) else {
            return;
        };
        let n = w.side.len() as f64;
        let corners = w.side.iter();
        let middle = corners.fold((0.0, 0.0), |m, p| (m.0 + p.0 / n, m.1 + p.1 / n));
        let (wide, high) = (0.86, 0.72);
        let inner = |p: (f64, f64)| {
            let d = middle.0 + wide * (p.0 - middle.0);
            let h = middle.1 + high * (p.1 - middle.1);
            self.place(d, left, h)
        };
        let glass: Vec<Place> = w.side.iter().map(|p| inner(*p)).collect();
        view.shape(f, &glass, GLASS, Some((SLATE, 1.0)));
        let pillar = 0.5 * (w.roof.0 + w.roof.1);
        let roof = top(self.vehicle());
        let line = [inner((pillar, w.waist)), inner((pillar, roof))];
        view.line(f, &line, 4.0, BODY);
    }

    /// Only the outline from above, translucent.
    pub fn shadow(&self, f: &mut Figure, view: &View) {
        view.glaze(f, &self.outline_from_above(), BODY, 0.35, SLATE);
    }

    fn draw_plan(&self, f: &mut Figure, view: &View) {
        view.shape(f, &self.outline_from_above(), BODY, Some((INK, 1.5)));
        self.roof(f, view);
    }

    fn outline_from_above(&self) -> Vec<Place> {
        let v = self.vehicle();
        let (half, length) = (0.5 * v.width_m, v.length_m);
        let (ahead, offset) = (v.cg_to_front_m, self.scenario.impact.offset_m);
        let rest = |from: f64, to: f64, at: &dyn Fn(f64) -> (f64, f64)| -> Vec<(f64, f64)> {
            let parts = 80;
            (0..=parts)
                .map(|i| at(from + (to - from) * f64::from(i) / f64::from(parts)))
                .collect()
        };
        let struck = self.scenario.impact.face;
        let dent = |face: StruckFace, at: f64, s: f64| {
            let hit = face == struck;
            if hit { self.print(s - at) } else { 0.0 }
        };
        // (behind, left): the front from left to right with its corners, right side, rear, left side.
        let corner = 0.12 * v.width_m;
        let mut edge = rest(half, -half, &|y| {
            let round = (y.abs() - (half - corner)).max(0.0);
            (round.max(dent(StruckFace::Front, offset, y)), y)
        });
        edge.extend(rest(corner, length, &|d| {
            (d, dent(StruckFace::RightSide, ahead - offset, d) - half)
        }));
        edge.extend(rest(length, corner, &|d| {
            (d, half - dent(StruckFace::LeftSide, ahead - offset, d))
        }));
        edge.iter()
            .map(|e| self.place(e.0, e.1, v.cg_height_m))
            .collect()
    }

    // Depth of the pole's print at a distance along the face from its middle: a flat bottom of the pole's breadth
    // with sloping flanks.
    fn print(&self, along: f64) -> f64 {
        let depth = self.deepest();
        let bottom = 0.5 * self.scenario.support.pole.base_diameter_m;
        let flank = (0.7 * depth).max(1e-6);
        depth * (1.0 - (along.abs() - bottom).max(0.0) / flank).clamp(0.0, 1.0)
    }

    fn roof(&self, f: &mut Figure, view: &View) {
        let Some(w) = windows(self.vehicle()) else {
            return;
        };
        let half = 0.5 * self.vehicle().width_m;
        let height = top(self.vehicle());
        let quad = |(a, b): (f64, f64), wide: f64| -> Vec<Place> {
            let corners = [(a, wide), (b, wide), (b, -wide), (a, -wide)];
            corners.map(|p| self.place(p.0, p.1, height)).to_vec()
        };
        // A long tail carries no glass.
        let glass = (w.glass.0, w.glass.1.min(w.roof.1 + 0.6));
        view.shape(f, &quad(glass, 0.86 * half), GLASS, Some((SLATE, 1.0)));
        view.shape(f, &quad(w.roof, 0.74 * half), BODY, Some((SLATE, 1.0)));
    }
}

/// Whether a polygon encloses a point (ray to the right, edges counted).
fn encloses(outline: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let mut inside = false;
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if (a.1 > y) != (b.1 > y) && x < a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1) {
            inside = !inside;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_draw::Window;

    /// Seen: in a film the pole lay behind the car and was painted through it. Expected: the car hides it.
    #[test]
    fn what_lies_behind_the_vehicle_is_hidden() {
        let text = include_str!("../../../scenarios/first.toml");
        let loaded = giveway_scenario::read(text, "first.toml", &[]).unwrap();
        let scenario = loaded.scenario;
        let v = &scenario.vehicle;
        let s = Snapshot {
            time_s: 0.0,
            label: String::new(),
            vehicle_position_m: [-v.cg_to_front_m, 0.0, v.cg_height_m],
            vehicle_rotation: [1.0, 0.0, 0.0, 0.0],
            crush_m: vec![0.0; v.front.bands.len()],
            pole_axis_m: Vec::new(),
            arms_m: Vec::new(),
            plate_centre_m: [0.0; 3],
            plate_rotation: [1.0, 0.0, 0.0, 0.0],
            bolts_m: Vec::new(),
        };
        let body = Body {
            scenario: &scenario,
            snapshot: &s,
        };
        let view = |look: Look| View {
            window: Window::new((0.0, 0.0), (100.0, 100.0)),
            origin: (50.0, 90.0),
            scale: 10.0,
            look,
            travel: (1.0, 0.0),
        };
        let side = view(Look::FromTheSide);
        let half = 0.5 * v.width_m;
        // Beside the middle of the car: beyond it, on this side of it, over it, ahead of it, below it.
        let hidden = |p: Place| body.hides(&side, p);
        assert!(hidden([-2.0, half + 0.3, 0.6]));
        assert!(!hidden([-2.0, -half - 0.3, 0.6]));
        assert!(!hidden([-2.0, half + 0.3, top(v) + 0.2]));
        assert!(!hidden([0.5, half + 0.3, 0.6]));
        assert!(!hidden([-2.0, half + 0.3, 0.02]));
        // Seen: a pole that had pressed in the roof was painted over the glass of the doors. Expected: the flank hides
        // what lies in the car, up to the roof; in the dented front, and over the roof, the pole is seen.
        assert!(hidden([-2.0, 0.0, 0.6]) && hidden([-2.0, 0.0, top(v) - 0.1]));
        assert!(!hidden([-2.0, 0.0, top(v) + 0.02]));
        let dented = Snapshot {
            crush_m: vec![0.4; v.front.bands.len()],
            ..s.clone()
        };
        let front = v.front.bands.first().unwrap();
        let pole = [-0.2, 0.0, 0.5 * (front.lower_m + front.upper_m)];
        let other = Body {
            snapshot: &dented,
            ..body
        };
        assert!(!other.hides(&side, pole));
        assert!(body.hides(&side, pole));
        // From above: what the car stands over.
        let above = view(Look::FromAbove);
        assert!(body.hides(&above, [-2.0, 0.0, 0.02]));
        assert!(!body.hides(&above, [-2.0, 0.0, top(v) + 0.2]));
        assert!(!body.hides(&above, [0.5, 0.0, 0.02]));
    }
}
