//! Filling of polygons and wide lines by horizontal spans, non-zero winding rule.
//!
//! The backend's own polygon filler works in whole pixels and leaves holes where a wide line crosses
//! itself; this one works in fractions of a pixel and only asks the backend for horizontal spans.

use std::ops::Range;

use crate::figure::Point;

/// Spans of the polygon(s) in some rows of a page: calls `span(row, first, last)` for whole pixels whose centre
/// lies inside. Contours are closed; overlapping contours of one orientation unite.
pub fn fill_spans(
    contours: &[Vec<Point>],
    width: i32,
    rows: Range<i32>,
    mut span: impl FnMut(i32, i32, i32),
) {
    struct Edge {
        top: f64,
        bottom: f64,
        x_top: f64,
        slope: f64,
        turn: i32,
    }
    let mut edges = Vec::new();
    for contour in contours {
        for (i, &a) in contour.iter().enumerate() {
            let b = contour[(i + 1) % contour.len()];
            if a.1 == b.1 {
                continue;
            }
            let (p, q, turn) = if a.1 < b.1 { (a, b, 1) } else { (b, a, -1) };
            edges.push(Edge {
                top: p.1,
                bottom: q.1,
                x_top: p.0,
                slope: (q.0 - p.0) / (q.1 - p.1),
                turn,
            });
        }
    }
    edges.sort_by(|a, b| a.top.total_cmp(&b.top));
    let Some(first) = edges.first() else { return };
    let low = ((first.top - 0.5).ceil() as i32).max(rows.start);
    let high = edges
        .iter()
        .map(|e| e.bottom)
        .fold(f64::NEG_INFINITY, f64::max);
    let high = ((high - 0.5).ceil() as i32).min(rows.end);
    let mut next = 0;
    let mut active: Vec<usize> = Vec::new();
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for row in low..high {
        let y = f64::from(row) + 0.5;
        while next < edges.len() && edges[next].top <= y {
            active.push(next);
            next += 1;
        }
        active.retain(|&i| edges[i].bottom > y);
        crossings.clear();
        crossings.extend(active.iter().map(|&i| {
            let e = &edges[i];
            (e.x_top + e.slope * (y - e.top), e.turn)
        }));
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut winding = 0;
        let mut start = 0.0;
        for &(x, turn) in &crossings {
            if winding == 0 {
                start = x;
            }
            winding += turn;
            if winding == 0 {
                let from = ((start - 0.5).ceil().max(0.0)) as i32;
                let to = ((x - 0.5).ceil() - 1.0).min(f64::from(width - 1)) as i32;
                if from <= to {
                    span(row, from, to);
                }
            }
        }
    }
}

/// Contours of a line of that width with round joints and flat ends, all of one orientation.
pub fn stroke_contours(points: &[Point], width: f64) -> Vec<Vec<Point>> {
    let r = 0.5 * width;
    let mut out = Vec::with_capacity(2 * points.len());
    for (i, pair) in points.windows(2).enumerate() {
        let (a, b) = (pair[0], pair[1]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = libm::hypot(dx, dy);
        if length > 0.0 {
            let (nx, ny) = (-dy / length * r, dx / length * r);
            // Corners in the order that turns from +x to +y: a-n, b-n, b+n, a+n.
            out.push(vec![
                (a.0 - nx, a.1 - ny),
                (b.0 - nx, b.1 - ny),
                (b.0 + nx, b.1 + ny),
                (a.0 + nx, a.1 + ny),
            ]);
        }
        if i > 0 && r > 0.6 {
            out.push(
                (0..10)
                    .map(|k| {
                        let (c, s) = TEN[k];
                        (a.0 + r * c, a.1 + r * s)
                    })
                    .collect(),
            );
        }
    }
    out
}

// Cosine and sine of k 36 degrees.
const TEN: [(f64, f64); 10] = [
    (1.0, 0.0),
    (0.809_017, 0.587_785),
    (0.309_017, 0.951_057),
    (-0.309_017, 0.951_057),
    (-0.809_017, 0.587_785),
    (-1.0, 0.0),
    (-0.809_017, -0.587_785),
    (-0.309_017, -0.951_057),
    (0.309_017, -0.951_057),
    (0.809_017, -0.587_785),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn area(contours: &[Vec<Point>]) -> i32 {
        let mut n = 0;
        fill_spans(contours, 400, 0..400, |_, a, b| n += b - a + 1);
        n
    }

    #[test]
    fn areas_of_simple_shapes() {
        let square = vec![(10.0, 10.0), (110.0, 10.0), (110.0, 60.0), (10.0, 60.0)];
        assert_eq!(area(std::slice::from_ref(&square)), 5000);
        let triangle = vec![(0.0, 0.0), (200.0, 0.0), (0.0, 200.0)];
        assert!((area(&[triangle]) - 20_000).abs() <= 200);
        // Two overlapping squares of one orientation unite: 2 * 5000 - 50 * 50.
        let other: Vec<Point> = square.iter().map(|p| (p.0 + 50.0, p.1)).collect();
        assert_eq!(area(&[square, other]), 7500);
    }

    #[test]
    fn concave_shapes_and_shapes_off_the_page() {
        // An L of 3 squares of 40 px.
        let l = vec![
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 40.0),
            (80.0, 40.0),
            (80.0, 80.0),
            (0.0, 80.0),
        ];
        assert_eq!(area(&[l]), 3 * 1600);
        let off = vec![
            (-500.0, -500.0),
            (900.0, -500.0),
            (900.0, 900.0),
            (-500.0, 900.0),
        ];
        assert_eq!(area(&[off]), 160_000);
        assert_eq!(area(&[vec![]]), 0);
    }

    #[test]
    fn a_wide_line_covers_length_times_width() {
        let straight = stroke_contours(&[(20.0, 50.0), (120.0, 50.0)], 8.0);
        assert_eq!(area(&straight), 800);
        // Back over itself: no hole, no double.
        let back = stroke_contours(&[(20.0, 50.0), (120.0, 50.0), (20.0, 50.0)], 8.0);
        assert!((area(&back) - 800).abs() < 40);
    }
}
