//! The look of a surface over two axes of numbers: shaded steps, lines with numbers, the limit, what is held or absent.

use giveway_study::analysis::{AxisValues, SurfaceCell, contour};

use super::quantity::Quantity;
use super::shade::{held, nothing};
use super::surface_cells::region;
use super::surface_shown::{AREA, Shown};
use giveway_draw::{Figure, INK, LIMIT, PAPER, Point, Window, look, text_width, tick_text};

/// Shaded regions with lines between them, and what is held or absent over them.
pub fn smooth(f: &mut Figure, s: &Shown<'_>) {
    let filled = filled(s);
    for i in 0..s.count() {
        // Everything from the step's lower end on, one step over the other; the lowest covers all.
        let lowest = f64::NEG_INFINITY;
        let from = if i == 0 { lowest } else { s.steps[i] };
        for polygon in region(&s.x, &s.y, &filled, from) {
            let points: Vec<Point> = polygon.iter().map(|p| s.chart.at(p[0], p[1])).collect();
            let colour = s.colour(i);
            // A hair of the same colour closes the seams between neighbours.
            f.fill(points.iter().copied(), colour, 1.0);
            f.round(&points, 0.6, colour);
        }
    }
    let mut labels: Vec<Point> = Vec::new();
    let mut texts = Vec::new();
    let limit_lines = s.limit_lines();
    let limit = s.surface.limit.as_ref().map(|l| l.value * s.q.scale);
    let is_limit =
        |level: f64| limit.is_some_and(|l| libm::fabs(l - level) < 1e-9 * l.abs().max(1.0));
    for i in 1..s.count() {
        let level = s.steps[i];
        for line in contour(&s.x, &s.y, &filled, level) {
            let points: Vec<Point> = line.iter().map(|p| s.chart.at(p[0], p[1])).collect();
            f.line(points.iter().copied(), 1.1, INK);
            // The limit has a name of its own.
            if is_limit(level) {
                continue;
            }
            if let Some(at) = place_for_label(s, &points, &labels, &limit_lines) {
                labels.push(at);
                texts.push((at, tick_text(level, s.decimals)));
            }
        }
    }
    for (j, row) in s.surface.cells.iter().enumerate() {
        for (i, cell) in row.iter().enumerate() {
            if cell.is_held() {
                held(f, s.around(i, j));
            } else if cell.value.is_none() {
                nothing(f, s.around(i, j));
            }
        }
    }
    // Where values were computed.
    if s.x.len() * s.y.len() <= 900 {
        for (j, row) in s.surface.cells.iter().enumerate() {
            for (i, cell) in row.iter().enumerate() {
                if cell.value.is_some() && !cell.is_held() {
                    dot(f, s.chart.at(s.x[i], s.y[j]));
                }
            }
        }
    }
    let limit = draw_limit(f, s, &limit_lines, &labels);
    for (at, text) in texts {
        // Where the name of the limit had to stand the key tells the steps.
        let meets = |(p, half): (Point, f64)| {
            libm::fabs(p.0 - at.0) < half + 22.0 && libm::fabs(p.1 - at.1) < 22.0
        };
        if !limit.is_some_and(meets) {
            f.label(at, &text, look(14.0, INK).middle(), PAPER);
        }
    }
}

/// Values for shading: a place that is held or has no value takes the mean of its free neighbours, so that the scale does not
/// run up to a cliff; the place itself is covered afterwards.
fn filled(s: &Shown<'_>) -> Vec<Vec<Option<f64>>> {
    let free = |i: usize, j: usize| -> Option<f64> {
        let cell = s.surface.cells.get(j)?.get(i)?;
        if cell.is_held() { None } else { s.values[j][i] }
    };
    (0..s.y.len())
        .map(|j| {
            (0..s.x.len())
                .map(|i| {
                    free(i, j).or_else(|| {
                        let mut near = Vec::new();
                        for (di, dj) in [
                            (-1, 0),
                            (1, 0),
                            (0, -1),
                            (0, 1),
                            (-1, -1),
                            (1, 1),
                            (-1, 1),
                            (1, -1),
                        ] {
                            let (a, b) = (i as i64 + di, j as i64 + dj);
                            if a >= 0 && b >= 0 {
                                near.extend(free(a as usize, b as usize));
                            }
                        }
                        // Beside the nearest ones diagonal ones count only where there are no others.
                        let count = near.len();
                        (count > 0).then(|| near.iter().sum::<f64>() / count as f64)
                    })
                })
                .collect()
        })
        .collect()
}

/// A place on a line for its number: inside, not on what is held, away from other numbers.
fn place_for_label(
    s: &Shown<'_>,
    points: &[Point],
    taken: &[Point],
    limit: &[Vec<Point>],
) -> Option<Point> {
    let length: f64 = points
        .windows(2)
        .map(|w| libm::hypot(w[1].0 - w[0].0, w[1].1 - w[0].1))
        .sum();
    if length < 70.0 {
        return None;
    }
    let inner = Window::new(
        (s.chart.area.left + 30.0, AREA.top + 16.0),
        (AREA.right - 30.0, AREA.bottom - 16.0),
    );
    let near_limit = |p: Point| {
        (limit.iter().flatten())
            .any(|q| libm::fabs(q.0 - p.0) < 30.0 && libm::fabs(q.1 - p.1) < 14.0)
    };
    let middle = points.len() / 2;
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(|i| i.abs_diff(middle));
    let free = |p: Point| {
        inner.contains(p)
            && taken
                .iter()
                .all(|t| libm::fabs(t.0 - p.0) > 60.0 || libm::fabs(t.1 - p.1) > 24.0)
            && !s.covered(p, 26.0)
    };
    let best = (order.iter())
        .map(|i| points[*i])
        .find(|p| free(*p) && !near_limit(*p));
    best.or_else(|| order.iter().map(|i| points[*i]).find(|p| free(*p)))
}

impl Shown<'_> {
    /// The lines of the limit on the page.
    fn limit_lines(&self) -> Vec<Vec<Point>> {
        let scale = |axis: &AxisValues| Quantity::of(&axis.column).scale;
        let (along, up) = (scale(&self.surface.x), scale(&self.surface.y));
        let line = |line: &Vec<[f64; 2]>| {
            (line.iter())
                .map(|p| self.chart.at(p[0] * along, p[1] * up))
                .collect()
        };
        self.surface.limit_lines.iter().map(line).collect()
    }

    /// Whether something of that half width at a point would lie on what is held or has no value.
    fn covered(&self, p: Point, half: f64) -> bool {
        self.is_near(p, (half, 12.0), |c| c.is_held() || c.value.is_none())
    }

    /// A line in pieces: those over places that are held, and the others.
    fn runs(&self, points: &[Point]) -> Vec<(bool, Vec<Point>)> {
        let mut out: Vec<(bool, Vec<Point>)> = Vec::new();
        for pair in points.windows(2) {
            // Short steps, so that the border is met closely.
            let length = libm::hypot(pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            let steps = libm::ceil(length / 3.0).clamp(1.0, 2000.0);
            for k in 0..steps as usize {
                let at = |k: f64| {
                    let s = k / steps;
                    (
                        pair[0].0 + s * (pair[1].0 - pair[0].0),
                        pair[0].1 + s * (pair[1].1 - pair[0].1),
                    )
                };
                let (a, b) = (at(k as f64), at(k as f64 + 1.0));
                let middle = (0.5 * (a.0 + b.0), 0.5 * (a.1 + b.1));
                let holds = self.is_near(middle, (0.0, 0.0), SurfaceCell::is_held);
                match out.last_mut() {
                    Some((before, run)) if *before == holds => run.push(b),
                    _ => out.push((holds, vec![a, b])),
                }
            }
        }
        out
    }
}

/// The limit: where the base lets go a pale edge, a thick dashed line over it, and its name; where it holds a thin
/// line. Returns the place of the name and half its width.
fn draw_limit(
    f: &mut Figure,
    s: &Shown<'_>,
    lines: &[Vec<Point>],
    labels: &[Point],
) -> Option<(Point, f64)> {
    let limit = s.surface.limit.as_ref()?;
    let mut free: Vec<Point> = Vec::new();
    for line in lines {
        for (holds, run) in s.runs(line) {
            if holds {
                f.dashed(run, 1.6, LIMIT, &[2.0, 5.0]);
                continue;
            }
            f.line(run.iter().copied(), 7.0, PAPER);
            f.dashed(run.iter().copied(), 3.6, LIMIT, &[16.0, 6.0]);
            free.extend(run);
        }
    }
    let text = format!("limit {}", s.q.text(limit.value));
    let half = 0.5 * text_width(&text, 15.0, true) + 8.0;
    let area = s.chart.area;
    let apart = |p: &Point| {
        let far = |q: &Point| libm::hypot(p.0 - q.0, 3.0 * (p.1 - q.1));
        labels.iter().map(far).fold(400.0, f64::min)
    };
    let inside = |p: &&Point| {
        p.0 > area.left + half
            && p.0 < area.right - half
            && p.1 > area.top + 40.0
            && p.1 < area.bottom - 16.0
            && !s.covered(**p, half + 6.0)
    };
    let best = (free.iter().filter(inside)).max_by(|a, b| apart(a).total_cmp(&apart(b)));
    let at = *best?;
    let style = look(15.0, LIMIT).bold().middle();
    f.label(at, &text, style, PAPER);
    Some((at, half))
}

/// The sign of a place that was computed, seen on pale and dark.
pub fn dot(f: &mut Figure, p: Point) {
    f.disc(p, 3.4, PAPER);
    f.disc(p, 2.2, INK);
}
