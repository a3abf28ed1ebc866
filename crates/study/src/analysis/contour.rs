//! Lines of one level over a grid of values.
//!
//! Each cell of the grid is cut into four triangles that meet in its middle, whose value is the mean of its corners; in a
//! triangle the value is linear, so that a line of one level is straight and there is no ambiguous saddle. Cells with a
//! corner without value have no line.
//!
//! References: P. Bourke, CONREC: a contouring subroutine, Byte (July 1987): the middle vertex [recalled].

/// A polyline in the units of the axes.
pub type Line = Vec<[f64; 2]>;

/// The lines on which the value is `level`. `values[y][x]` stands at `(x[x], y[y])`; both axes rise.
pub fn contour(x: &[f64], y: &[f64], values: &[Vec<Option<f64>>], level: f64) -> Vec<Line> {
    let mut pieces = Vec::new();
    for j in 1..y.len() {
        for i in 1..x.len() {
            let corners = [
                ([x[i - 1], y[j - 1]], values[j - 1][i - 1]),
                ([x[i], y[j - 1]], values[j - 1][i]),
                ([x[i], y[j]], values[j][i]),
                ([x[i - 1], y[j]], values[j][i - 1]),
            ];
            let known: Vec<([f64; 2], f64)> = corners
                .iter()
                .filter_map(|(p, v)| v.map(|v| (*p, v)))
                .collect();
            let &[a, b, c, d] = known.as_slice() else {
                continue;
            };
            // Most cells lie wholly on one side.
            let above = known.iter().filter(|(_, v)| *v >= level).count();
            if above == 0 || above == known.len() {
                continue;
            }
            let middle = (
                [0.5 * (x[i - 1] + x[i]), 0.5 * (y[j - 1] + y[j])],
                0.25 * (a.1 + b.1 + c.1 + d.1),
            );
            for (p, q) in [(a, b), (b, c), (c, d), (d, a)] {
                pieces.extend(cut([p, q, middle], level));
            }
        }
    }
    joined(pieces)
}

/// The piece of the level's line in a triangle. A corner at the level counts as above it, so that neighbours agree.
fn cut(corners: [([f64; 2], f64); 3], level: f64) -> Option<[[f64; 2]; 2]> {
    let mut ends = Vec::new();
    for (a, b) in [(0, 1), (1, 2), (2, 0)] {
        let ((p, u), (q, v)) = (corners[a], corners[b]);
        if (u >= level) != (v >= level) {
            // From the same side always, so that both triangles at an edge get the same bits.
            let ((p, u), (q, v)) = if u < v {
                ((p, u), (q, v))
            } else {
                ((q, v), (p, u))
            };
            let s = (level - u) / (v - u);
            ends.push([p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]);
        }
    }
    match ends.as_slice() {
        &[a, b] if a != b => Some([a, b]),
        _ => None,
    }
}

/// Pieces joined at equal ends.
fn joined(pieces: Vec<[[f64; 2]; 2]>) -> Vec<Line> {
    use std::collections::BTreeMap;
    let bits = |p: [f64; 2]| (p[0].to_bits(), p[1].to_bits());
    let mut at: BTreeMap<(u64, u64), Vec<usize>> = BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        for end in piece {
            at.entry(bits(*end)).or_default().push(i);
        }
    }
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    let mut grow = |from: usize, used: &mut Vec<bool>| {
        used[from] = true;
        let mut halves = [Vec::new(), Vec::new()];
        for (half, start) in halves.iter_mut().zip(pieces[from]) {
            let mut tip = start;
            half.push(tip);
            while let Some(&next) = at[&bits(tip)].iter().find(|i| !used[**i]) {
                used[next] = true;
                let [a, b] = pieces[next];
                tip = if bits(a) == bits(tip) { b } else { a };
                half.push(tip);
            }
        }
        let [mut back, ahead] = halves;
        back.reverse();
        back.extend(ahead);
        lines.push(back);
    };
    for i in 0..pieces.len() {
        if !used[i] {
            grow(i, &mut used);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(n: usize, f: impl Fn(f64, f64) -> f64) -> (Vec<f64>, Vec<f64>, Vec<Vec<Option<f64>>>) {
        let x: Vec<f64> = (0..n)
            .map(|i| -1.0 + 2.0 * i as f64 / (n - 1) as f64)
            .collect();
        // Uneven on purpose.
        let y: Vec<f64> = x.iter().map(|v| v + 0.2 * v * v).collect();
        let values = (y.iter())
            .map(|y| x.iter().map(|x| Some(f(*x, *y))).collect())
            .collect();
        (x, y, values)
    }

    #[test]
    fn the_contour_of_a_plane_is_its_line() {
        // 2 x - 3 y + 1 = 0.4 is met by every point of the contour.
        let (x, y, values) = grid(9, |x, y| 2.0 * x - 3.0 * y + 1.0);
        let lines = contour(&x, &y, &values, 0.4);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].len() > 10);
        for p in &lines[0] {
            assert!((2.0 * p[0] - 3.0 * p[1] + 0.6).abs() < 1e-12, "{p:?}");
        }
        // It runs from edge to edge of the grid.
        let on_edge = |p: [f64; 2]| {
            [x[0], x[8]].iter().any(|e| (e - p[0]).abs() < 1e-12)
                || [y[0], y[8]].iter().any(|e| (e - p[1]).abs() < 1e-12)
        };
        assert!(on_edge(lines[0][0]) && on_edge(*lines[0].last().unwrap()));
    }

    #[test]
    fn the_contour_of_a_bowl_is_a_closed_circle() {
        let (x, y, values) = grid(81, |x, y| x * x + y * y);
        let lines = contour(&x, &y, &values, 0.25);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].first(), lines[0].last());
        for p in &lines[0] {
            // Linear within cells of width h: |r - 0.5| below h^2/(4 r), h = 0.035.
            let r = libm::hypot(p[0], p[1]);
            assert!((r - 0.5).abs() < 0.035 * 0.035 / 2.0, "{r}");
        }
    }

    #[test]
    fn holes_have_no_line_and_a_saddle_has_two() {
        let (x, y, mut values) = grid(3, |x, _| x);
        values[1][1] = None;
        assert!(contour(&x, &y, &values, 0.1).is_empty());
        let saddle = vec![vec![Some(1.0), Some(0.0)], vec![Some(0.0), Some(1.0)]];
        assert_eq!(contour(&[0.0, 1.0], &[0.0, 1.0], &saddle, 0.75).len(), 2);
        let flat = vec![vec![Some(1.0); 2]; 2];
        assert!(contour(&[0.0, 1.0], &[0.0, 1.0], &flat, 1.0).is_empty());
    }
}
