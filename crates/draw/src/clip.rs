//! Clipping of lines and polygons to a rectangle of the page.
//!
//! References: I. E. Sutherland and G. W. Hodgman, Reentrant polygon clipping, 1974; Y.-D. Liang and
//! B. A. Barsky, A new concept and method for line clipping, 1984.

use crate::figure::Point;

/// A rectangle of the page: left, top, right, bottom, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Window {
    /// From the upper left to the lower right corner.
    pub const fn new((left, top): Point, (right, bottom): Point) -> Self {
        Self {
            left,
            top,
            right,
            bottom,
        }
    }

    /// Of that width and height, from the upper left corner.
    pub fn sized((left, top): Point, (wide, tall): (f64, f64)) -> Self {
        Self::new((left, top), (left + wide, top + tall))
    }

    /// A square about its middle, as far to each side.
    pub fn about((x, y): Point, far: f64) -> Self {
        Self::new((x - far, y - far), (x + far, y + far))
    }

    /// Its corners, round from the upper left one.
    pub fn corners(&self) -> [Point; 4] {
        let w = self;
        [
            (w.left, w.top),
            (w.right, w.top),
            (w.right, w.bottom),
            (w.left, w.bottom),
        ]
    }

    /// Its middle.
    pub fn middle(&self) -> Point {
        (
            0.5 * (self.left + self.right),
            0.5 * (self.top + self.bottom),
        )
    }

    /// Whether the point lies inside or on the edge.
    pub fn contains(&self, p: Point) -> bool {
        p.0 >= self.left && p.0 <= self.right && p.1 >= self.top && p.1 <= self.bottom
    }

    /// Whether two windows overlap.
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// The part of a polygon inside.
    pub fn polygon(&self, points: &[Point]) -> Vec<Point> {
        // Signed distance inside each edge.
        let edges: [&dyn Fn(Point) -> f64; 4] = [
            &|p| p.0 - self.left,
            &|p| self.right - p.0,
            &|p| p.1 - self.top,
            &|p| self.bottom - p.1,
        ];
        let mut kept = points.to_vec();
        for inside in edges {
            let subject = std::mem::take(&mut kept);
            for (i, &b) in subject.iter().enumerate() {
                let a = subject[(i + subject.len() - 1) % subject.len()];
                let (da, db) = (inside(a), inside(b));
                if (da < 0.0) != (db < 0.0) {
                    let s = da / (da - db);
                    kept.push((a.0 + s * (b.0 - a.0), a.1 + s * (b.1 - a.1)));
                }
                if db >= 0.0 {
                    kept.push(b);
                }
            }
        }
        kept
    }

    /// The pieces of a polyline inside.
    pub fn polyline(&self, points: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        let mut piece: Vec<Point> = Vec::new();
        for pair in points.windows(2) {
            match self.segment(pair[0], pair[1]) {
                Some((a, b)) => {
                    if piece.last() != Some(&a) {
                        if piece.len() > 1 {
                            pieces.push(std::mem::take(&mut piece));
                        }
                        piece = vec![a];
                    }
                    piece.push(b);
                }
                None => {
                    if piece.len() > 1 {
                        pieces.push(std::mem::take(&mut piece));
                    }
                    piece.clear();
                }
            }
        }
        if piece.len() > 1 {
            pieces.push(piece);
        }
        pieces
    }

    fn segment(&self, a: Point, b: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (mut s0, mut s1) = (0.0, 1.0);
        for (p, q) in [
            (-dx, a.0 - self.left),
            (dx, self.right - a.0),
            (-dy, a.1 - self.top),
            (dy, self.bottom - a.1),
        ] {
            if p == 0.0 {
                if q < 0.0 {
                    return None;
                }
            } else if p < 0.0 {
                s0 = f64::max(s0, q / p);
            } else {
                s1 = f64::min(s1, q / p);
            }
        }
        if s0 > s1 {
            return None;
        }
        let at = |s: f64| {
            if s == 0.0 {
                a
            } else if s == 1.0 {
                b
            } else {
                (a.0 + s * dx, a.1 + s * dy)
            }
        };
        Some((at(s0), at(s1)))
    }
}

impl From<(Point, Point)> for Window {
    fn from((a, b): (Point, Point)) -> Self {
        Self::new(a, b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const W: Window = Window::new((0.0, 0.0), (10.0, 10.0));

    #[test]
    fn a_triangle_loses_its_corner() {
        let p = W.polygon(&[(-10.0, 5.0), (5.0, 5.0), (5.0, 20.0)]);
        let area = p
            .iter()
            .zip(p.iter().cycle().skip(1))
            .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
            .sum::<f64>()
            .abs()
            / 2.0;
        // x from 0 to 5, y from 5 to min(10, x + 15): the square of 5 x 5.
        assert!((area - 25.0).abs() < 1e-12);
        assert!(
            W.polygon(&[(20.0, 0.0), (30.0, 0.0), (30.0, 5.0)])
                .is_empty()
        );
    }

    #[test]
    fn a_line_leaves_and_returns() {
        let pieces = W.polyline(&[(1.0, 5.0), (15.0, 5.0), (15.0, 8.0), (1.0, 8.0)]);
        assert_eq!(
            pieces,
            vec![vec![(1.0, 5.0), (10.0, 5.0)], vec![(10.0, 8.0), (1.0, 8.0)]]
        );
    }
}
