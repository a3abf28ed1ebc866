//! Regions above a level over a grid, and the look of a surface whose axes are words.

use giveway_units::spoken_title;

use super::quantity::short;
use super::shade::{held, is_dark, nothing};
use super::surface_shown::Shown;
use giveway_draw::{Figure, INK, LIMIT, PAPER, look};

/// The region in which the value is `level` or more, as polygons: whole cells joined along their row, and the parts of the
/// triangles that the level cuts.
pub fn region(x: &[f64], y: &[f64], values: &[Vec<Option<f64>>], level: f64) -> Vec<Vec<[f64; 2]>> {
    let mut out = Vec::new();
    for j in 1..y.len() {
        // First column of a run of whole cells.
        let mut open: Option<usize> = None;
        for i in 1..=x.len() {
            let corners = (i < x.len()).then(|| corners(x, y, values, i, j)).flatten();
            let whole = corners.is_some_and(|c| c.iter().all(|(_, v)| *v >= level));
            if whole {
                open.get_or_insert(i - 1);
                continue;
            }
            if let Some(from) = open.take() {
                let (a, b) = (x[from], x[i - 1]);
                out.push(vec![[a, y[j - 1]], [b, y[j - 1]], [b, y[j]], [a, y[j]]]);
            }
            let Some(c) = corners else { continue };
            let middle = (
                [0.5 * (c[0].0[0] + c[1].0[0]), 0.5 * (c[0].0[1] + c[2].0[1])],
                0.25 * c.iter().map(|c| c.1).sum::<f64>(),
            );
            for k in 0..4 {
                let part = above([c[k], c[(k + 1) % 4], middle], level);
                if part.len() > 2 {
                    out.push(part);
                }
            }
        }
    }
    out
}

type Corner = ([f64; 2], f64);

fn corners(
    x: &[f64],
    y: &[f64],
    values: &[Vec<Option<f64>>],
    i: usize,
    j: usize,
) -> Option<[Corner; 4]> {
    Some([
        ([x[i - 1], y[j - 1]], values[j - 1][i - 1]?),
        ([x[i], y[j - 1]], values[j - 1][i]?),
        ([x[i], y[j]], values[j][i]?),
        ([x[i - 1], y[j]], values[j][i - 1]?),
    ])
}

/// The part of a triangle at or above a level.
fn above(corners: [Corner; 3], level: f64) -> Vec<[f64; 2]> {
    let mut out = Vec::new();
    for k in 0..3 {
        let ((p, u), (q, v)) = (corners[k], corners[(k + 1) % 3]);
        if u >= level {
            out.push(p);
        }
        if (u >= level) != (v >= level) {
            let s = (level - u) / (v - u);
            out.push([p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]);
        }
    }
    out
}

/// One rectangle a place with its number in it.
pub fn cells(f: &mut Figure, s: &Shown<'_>) {
    let numbers = s.x.len() <= 12 && s.y.len() <= 20;
    for (j, row) in s.surface.cells.iter().enumerate() {
        for (i, cell) in row.iter().enumerate() {
            let w = s.around(i, j);
            let (a, b) = ((w.left + 4.0, w.top + 4.0), (w.right - 4.0, w.bottom - 4.0));
            let middle = w.middle();
            let value = s.values[j][i];
            match value {
                _ if cell.is_held() => held(f, w),
                None => nothing(f, w),
                Some(v) => f.rect(w, s.colour(s.step_of(v)), 1.0),
            }
            f.frame(w, 1.0, PAPER);
            let beyond = |v: f64| s.surface.limit.as_ref().is_some_and(|l| l.is_beyond(v));
            if cell.value.is_some_and(beyond) {
                f.frame((a, b), 3.5, LIMIT);
            }
            let Some(v) = value.filter(|_| numbers) else {
                continue;
            };
            f.in_each(|f, system| {
                let text = short(v * spoken_title(&s.q.title(), system).1);
                if cell.is_held() {
                    let style = look(16.0, INK).bold().middle();
                    f.label(middle, &text, style, PAPER);
                } else {
                    let dark = is_dark(s.colour(s.step_of(v)));
                    let colour = if dark { PAPER } else { INK };
                    f.text(middle, &text, look(16.0, colour).bold().middle());
                }
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The region under a plane has the area of the closed form.
    #[test]
    fn the_area_above_a_level_of_a_plane_is_exact() {
        // v = x + y on the unit square; v >= 0.5 leaves out a triangle of 1/8, v >= 1.5 keeps one.
        let axis: Vec<f64> = (0..=7).map(|i| f64::from(i) / 7.0).collect();
        let values: Vec<Vec<Option<f64>>> = (axis.iter())
            .map(|y| axis.iter().map(|x| Some(x + y)).collect())
            .collect();
        let area = |level: f64| -> f64 {
            region(&axis, &axis, &values, level)
                .iter()
                .map(|p| {
                    let next = p.iter().cycle().skip(1);
                    0.5 * p
                        .iter()
                        .zip(next)
                        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
                        .sum::<f64>()
                })
                .sum()
        };
        for (level, exact) in [
            (-1.0, 1.0),
            (0.5, 0.875),
            (1.0, 0.5),
            (1.5, 0.125),
            (2.5, 0.0),
        ] {
            assert!(
                (area(level) - exact).abs() < 1e-12,
                "{level}: {}",
                area(level)
            );
        }
    }
}
