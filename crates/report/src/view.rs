//! Views of the site on the page: a point of space to a point of the page, clipped to a window.
//!
//! Both views turn the site about z so that u runs along the initial direction of travel and v to its left:
//! u = x cos a + y sin a, v = -x sin a + y cos a. The elevation shows (u, z) as seen from the right of the travel,
//! the plan shows (u, v) as seen from above.

use giveway_draw::{Colour, Figure, Point, Window, without_straights};
use giveway_scenario::model::{Scenario, Tube};

/// A point of the site, m.
pub type Place = [f64; 3];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// From the right of the travel.
    FromTheSide,
    FromAbove,
}

/// A scaled view in a window of the page.
#[derive(Debug, Clone, Copy)]
pub struct View {
    pub window: Window,
    /// Page point of the site's origin.
    pub origin: Point,
    /// Scale, px/m.
    pub scale: f64,
    pub look: Look,
    /// Cosine and sine of the direction of travel.
    pub travel: (f64, f64),
}

impl View {
    /// Page point of a place.
    pub fn at(&self, p: Place) -> Point {
        let (u, v) = flat(self.travel, p);
        let up = match self.look {
            Look::FromTheSide => p[2],
            Look::FromAbove => v,
        };
        (
            self.origin.0 + self.scale * u,
            self.origin.1 - self.scale * up,
        )
    }

    /// How far to the left of the travel a place lies, m: the elevation's depth.
    pub fn depth(&self, p: Place) -> f64 {
        flat(self.travel, p).1
    }

    /// Filled polygon with an outline.
    pub fn shape(
        &self,
        f: &mut Figure,
        places: &[Place],
        fill: Colour,
        outline: Option<(Colour, f64)>,
    ) {
        let points: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        // Points that make no difference on the page, and shapes seen edge on, are left out.
        let points = without_straights(&points, 0.1);
        let area: f64 = (points.iter())
            .zip(points.iter().cycle().skip(1))
            .map(|(a, b)| 0.5 * (a.0 * b.1 - b.0 * a.1))
            .sum();
        if area.abs() > 0.3 {
            f.fill(self.window.polygon(&points), fill, 1.0);
        }
        if let Some((colour, width)) = outline {
            self.round(f, &points, width, colour);
        }
    }

    /// Translucent polygon with an outline.
    pub fn glaze(
        &self,
        f: &mut Figure,
        places: &[Place],
        fill: Colour,
        alpha: f64,
        outline: Colour,
    ) {
        let points: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        f.fill(self.window.polygon(&points), fill, alpha);
        self.round(f, &points, 1.8, outline);
    }

    /// Silhouette of a convex body given by its corners.
    pub fn silhouette(
        &self,
        f: &mut Figure,
        places: &[Place],
        fill: Colour,
        outline: Option<(Colour, f64)>,
    ) {
        let points: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        let hull = hull(&points);
        f.fill(self.window.polygon(&hull), fill, 1.0);
        if let Some((colour, width)) = outline {
            self.round(f, &hull, width, colour);
        }
    }

    /// Line through places.
    pub fn line(&self, f: &mut Figure, places: &[Place], width: f64, colour: Colour) {
        self.dashed(f, places, width, colour, &[]);
    }

    /// Line of a dash pattern.
    pub fn dashed(
        &self,
        f: &mut Figure,
        places: &[Place],
        width: f64,
        colour: Colour,
        dash: &[f64],
    ) {
        let points: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        self.stroke(f, &points, width, colour, dash);
    }

    /// A tapered tube along places: diameters at its ends, m. Never thinner than `thinnest` px.
    pub fn tube(
        &self,
        f: &mut Figure,
        places: &[Place],
        diameters: (f64, f64),
        thinnest: f64,
        colour: Colour,
    ) {
        let points: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        let mut along = vec![0.0];
        for w in places.windows(2) {
            let d = [w[1][0] - w[0][0], w[1][1] - w[0][1], w[1][2] - w[0][2]];
            along.push(along[along.len() - 1] + (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt());
        }
        let total = along[along.len() - 1];
        if points.len() < 2 || total <= 0.0 {
            return;
        }
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for (i, p) in points.iter().enumerate() {
            let a = points[i.saturating_sub(1)];
            let b = points[(i + 1).min(points.len() - 1)];
            let length = libm::hypot(b.0 - a.0, b.1 - a.1);
            let s = along[i] / total;
            let d = self.scale * (diameters.0 + s * (diameters.1 - diameters.0));
            let r = 0.5 * d.max(thinnest);
            // A tube seen end on has no direction on the page.
            let n = if length > 1e-9 {
                (-(b.1 - a.1) / length, (b.0 - a.0) / length)
            } else {
                (1.0, 0.0)
            };
            left.push((p.0 + r * n.0, p.1 + r * n.1));
            right.push((p.0 - r * n.0, p.1 - r * n.1));
        }
        right.reverse();
        left.extend(right);
        f.fill(self.window.polygon(&left), colour, 1.0);
    }

    /// Line round page points, clipped.
    fn round(&self, f: &mut Figure, points: &[Point], width: f64, colour: Colour) {
        self.stroke(f, &closed(points), width, colour, &[]);
    }

    /// Line through page points, clipped.
    pub fn stroke(
        &self,
        f: &mut Figure,
        points: &[Point],
        width: f64,
        colour: Colour,
        dash: &[f64],
    ) {
        for piece in self.window.polyline(points) {
            f.dashed(piece, width, colour, dash);
        }
    }
}

/// Cosine and sine of the direction of travel.
pub fn travel(scenario: &Scenario) -> (f64, f64) {
    let a = scenario.impact.velocity_direction_rad;
    (libm::cos(a), libm::sin(a))
}

/// How far along the travel and to its left a place lies, m.
pub fn flat((c, s): (f64, f64), p: Place) -> (f64, f64) {
    (p[0] * c + p[1] * s, -p[0] * s + p[1] * c)
}

/// Diameters of a tube at its foot and its tip, m.
pub fn ends(tube: &Tube) -> (f64, f64) {
    (tube.base_diameter_m, tube.tip_diameter_m)
}

/// What views from the side and from above show, m: along the travel (u), to its left (v) and up.
pub struct Extent {
    pub low_u: f64,
    pub high_u: f64,
    pub low_v: f64,
    pub high_v: f64,
    pub high: f64,
}

impl Extent {
    /// So wide that a place is shown, with a margin on the ground.
    pub fn add(&mut self, travel: (f64, f64), p: Place, margin: f64) {
        let (u, v) = flat(travel, p);
        self.low_u = self.low_u.min(u - margin);
        self.high_u = self.high_u.max(u + margin);
        self.low_v = self.low_v.min(v - margin);
        self.high_v = self.high_v.max(v + margin);
        self.high = self.high.max(p[2]);
    }

    pub fn long(&self) -> f64 {
        self.high_u - self.low_u
    }

    pub fn broad(&self) -> f64 {
        self.high_v - self.low_v
    }
}

/// The points and once more the first.
pub fn closed<T: Copy>(points: &[T]) -> Vec<T> {
    points.iter().chain(points.first()).copied().collect()
}

/// Convex hull, anticlockwise (A. M. Andrew, 1979: monotone chain).
fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    sorted.dedup();
    let turn = |o: Point, a: Point, b: Point| (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0);
    let mut chain: Vec<Point> = Vec::new();
    for pass in 0..2 {
        let start = chain.len();
        for &p in &sorted {
            while chain.len() >= start + 2
                && turn(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        if pass == 0 {
            sorted.reverse();
        }
    }
    chain
}

/// A level regular polygon round a place; with many corners a circle.
pub fn ring(centre: Place, radius: f64, corners: u32) -> Vec<Place> {
    let corner = |i: u32| {
        let a = core::f64::consts::TAU * f64::from(i) / f64::from(corners);
        let (x, y) = (radius * libm::cos(a), radius * libm::sin(a));
        [centre[0] + x, centre[1] + y, centre[2]]
    };
    (0..corners).map(corner).collect()
}

/// An upright rectangle across the view, between two heights, as far to either side of a place.
pub fn upright(view: &View, at: Place, half: f64, heights: (f64, f64)) -> [Place; 4] {
    let (c, s) = view.travel;
    let (low, high) = heights;
    [(-half, low), (half, low), (half, high), (-half, high)]
        .map(|(u, z)| [at[0] + u * c, at[1] + u * s, z])
}

/// A vector turned by a quaternion w, x, y, z: v + 2 w (q x v) + 2 q x (q x v).
pub fn turned(q: [f64; 4], v: Place) -> Place {
    let norm = (q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]).sqrt();
    let [w, x, y, z] = q.map(|c| c / norm);
    let cross = |a: Place, b: Place| {
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    };
    let t = cross([x, y, z], v);
    let tt = cross([x, y, z], t);
    [
        v[0] + 2.0 * (w * t[0] + tt[0]),
        v[1] + 2.0 * (w * t[1] + tt[1]),
        v[2] + 2.0 * (w * t[2] + tt[2]),
    ]
}

/// A point of a body: its place turned and moved.
pub fn placed(centre: Place, q: [f64; 4], v: Place) -> Place {
    let t = turned(q, v);
    [centre[0] + t[0], centre[1] + t[1], centre[2] + t[2]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_about_z_takes_x_to_y() {
        let h = core::f64::consts::FRAC_1_SQRT_2;
        let v = turned([h, 0.0, 0.0, h], [2.0, 0.0, 1.0]);
        for (a, b) in v.iter().zip([0.0, 2.0, 1.0]) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn the_hull_of_a_square_with_a_point_inside() {
        let h = hull(&[
            (0.0, 0.0),
            (2.0, 0.0),
            (1.0, 1.0),
            (2.0, 2.0),
            (0.0, 2.0),
            (1.0, 0.0),
        ]);
        assert_eq!(h.len(), 4);
        assert!(!h.contains(&(1.0, 1.0)));
    }

    #[test]
    fn travel_runs_to_the_right_in_both_views() {
        let view = |look| View {
            window: Window::new((0.0, 0.0), (100.0, 100.0)),
            origin: (50.0, 80.0),
            scale: 10.0,
            look,
            travel: (0.0, 1.0), // along site y
        };
        assert_eq!(view(Look::FromTheSide).at([0.0, 3.0, 2.0]), (80.0, 60.0));
        // Site -x lies to the left of a travel along y.
        assert_eq!(view(Look::FromAbove).at([-2.0, 3.0, 9.0]), (80.0, 60.0));
    }
}
