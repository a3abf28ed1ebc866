//! A chart with two axes: frame, grid, series with direct labels, limits and instants.

use giveway_units::System;

use crate::axis::Axis;
use crate::clip::Window;
use crate::figure::{Anchor, Figure, Point, TextLook, look};
use crate::lettering::text_width;
use crate::palette::{Colour, GRID, INK, LIMIT, Marker, PAPER, Pen, SLATE};

const TICK: f64 = 15.0;
const LABEL: f64 = 16.0;

/// A chart's place on the page and its two ranges.
#[derive(Debug, Clone, Copy)]
pub struct Chart {
    /// Plotting area.
    pub area: Window,
    /// Horizontal axis.
    pub x: Axis,
    /// Vertical axis.
    pub y: Axis,
}

/// The name of a series, to be set beside its end.
#[derive(Debug, Clone)]
pub struct EndLabel {
    /// Text.
    pub text: String,
    /// Colour.
    pub colour: Colour,
    /// Where the series ends, in the units of the axes.
    pub from: (f64, f64),
}

/// An instant that is worth a line across the chart.
#[derive(Debug, Clone)]
pub struct Instant {
    /// Time in the unit of the axis.
    pub time: f64,
    /// A few words.
    pub text: String,
}

impl Chart {
    /// Draws frame, grid, numbers and axis titles.
    pub fn frame(&self, f: &mut Figure, x_title: Option<&str>, y_title: &str) {
        let w = self.area;
        f.in_each(|f, system| {
            self.up(f, y_title, 6, system);
            let title = self.columns(f, x_title.unwrap_or_default(), 9, x_title.is_some(), system);
            if x_title.is_some() {
                let look = look(LABEL, INK).bold().end();
                f.text((w.right, w.bottom + 40.0), &title, look);
            }
        });
        if self.y.low < 0.0 && self.y.high > 0.0 {
            let y = self.at(0.0, 0.0).1;
            f.line([(w.left, y), (w.right, y)], 1.0, SLATE);
        }
        self.corner(f);
    }

    /// The same over the time since first touch, in ms, whose title stands below where `last`: a cursor may move in it.
    pub fn over_time(&self, f: &mut Figure, last: bool, y_title: &str) {
        f.clock(self.area, self.x);
        self.frame(f, last.then_some("time since first touch, ms"), y_title);
    }

    /// The page positions of pairs of values.
    pub fn points(&self, x: &[f64], y: &[f64]) -> Vec<Point> {
        x.iter().zip(y).map(|(x, y)| self.at(*x, *y)).collect()
    }

    /// Frame, grid and numbers for titles that are written elsewhere.
    pub fn grid(&self, f: &mut Figure, x_title: &str, y_title: &str) {
        f.in_each(|f, system| {
            self.rows(f, y_title, 6, system);
            self.columns(f, x_title, 9, true, system);
        });
        self.corner(f);
    }

    /// The lines of both axes.
    pub fn corner(&self, f: &mut Figure) {
        let [a, _, c, d] = self.area.corners();
        f.line([a, d, c], 1.5, INK);
    }

    /// Lines across with their numbers, and the title above, in a system of units.
    pub fn up(&self, f: &mut Figure, title: &str, wanted: usize, system: System) {
        let title = self.rows(f, title, wanted, system);
        let at = (self.area.left, self.area.top - 17.0);
        f.text(at, &title, look(LABEL, INK).bold());
    }

    /// Lines across with their numbers in a system of units; returns the title with its unit.
    pub fn rows(&self, f: &mut Figure, title: &str, wanted: usize, system: System) -> String {
        let w = self.area;
        let (ticks, title) = self.y.said(title, wanted, system);
        for (t, text) in ticks {
            let y = self.at(0.0, t).1;
            f.line([(w.left, y), (w.right, y)], 1.0, GRID);
            f.text((w.left - 9.0, y), &text, look(TICK, INK).end());
        }
        title
    }

    /// Lines up and, where asked for, their numbers; returns the title with its unit.
    pub fn columns(
        &self,
        f: &mut Figure,
        title: &str,
        wanted: usize,
        numbers: bool,
        system: System,
    ) -> String {
        let w = self.area;
        let (ticks, title) = self.x.said(title, wanted, system);
        for (t, text) in ticks {
            let x = self.at(t, 0.0).0;
            f.line([(x, w.top), (x, w.bottom)], 1.0, GRID);
            if numbers {
                f.text((x, w.bottom + 17.0), &text, look(TICK, INK).middle());
            }
        }
        title
    }

    /// Page position of a pair of values.
    pub fn at(&self, x: f64, y: f64) -> Point {
        let w = self.area;
        (
            w.left + self.x.fraction(x) * (w.right - w.left),
            w.bottom - self.y.fraction(y) * (w.bottom - w.top),
        )
    }

    /// Draws a series as a line. With `markers` its pen's marker appears along it.
    pub fn series(
        &self,
        f: &mut Figure,
        x: &[f64],
        y: &[f64],
        pen: Pen,
        width: f64,
        markers: bool,
    ) {
        let points = self.points(x, y);
        for piece in self.area.polyline(&thinned(&points)) {
            f.dashed(piece, width, pen.colour, pen.dash);
        }
        if markers {
            let step = (self.area.right - self.area.left) / 9.0;
            // Each marker shape starts elsewhere, so that markers of close lines do not cover each other.
            let shift = match pen.marker {
                Marker::Disc => 0.2,
                Marker::Square => 0.45,
                Marker::Triangle => 0.7,
                Marker::Diamond => 0.95,
            };
            let mut next = self.area.left + shift * step;
            for p in points {
                if p.0 >= next {
                    if self.area.contains(p) {
                        marker(f, p, pen);
                    }
                    next = p.0 + step;
                }
            }
        }
    }

    /// A level that must not be passed, with its name below the line.
    pub fn limit(&self, f: &mut Figure, value: f64, text: &str) {
        let y = self.at(0.0, value).1;
        let w = self.area;
        if y < w.top - 0.5 || y > w.bottom + 0.5 {
            return;
        }
        f.dashed([(w.left, y), (w.right, y)], 2.0, LIMIT, &[10.0, 6.0]);
        let at = (w.left + 10.0, y + 14.0);
        f.label(at, text, look(LABEL - 1.0, LIMIT), PAPER);
    }

    /// A level for comparison; its name stands where it covers the curves least.
    pub fn level(&self, f: &mut Figure, value: f64, text: &str, curves: &[Vec<Point>]) {
        let y = self.at(0.0, value).1;
        let w = self.area;
        f.dashed([(w.left, y), (w.right, y)], 1.5, SLATE, &[8.0, 5.0]);
        let size = LABEL - 1.0;
        let length = text_width(text, size, false);
        let mut places = Vec::new();
        for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
            let x = w.left + 10.0 + share * (w.right - w.left - length - 20.0);
            places.push((x, y - 13.0));
            places.push((x, y + 13.0));
        }
        self.clear_label(f, &places, text, look(size, SLATE), curves);
    }

    /// A text anchored at its start, at the first of the places where it covers the fewest of the curves; returns
    /// that place.
    pub fn clear_label(
        &self,
        f: &mut Figure,
        places: &[Point],
        text: &str,
        look: TextLook,
        curves: &[Vec<Point>],
    ) -> Option<Point> {
        let w = self.area;
        let (length, half) = (text_width(text, look.size, look.bold), 0.75 * look.size);
        let covered = |p: Point| -> usize {
            let space = Window::new((p.0 - 4.0, p.1 - half), (p.0 + length + 4.0, p.1 + half));
            let outside = space.left < w.left
                || space.right > w.right
                || space.top < w.top
                || space.bottom > w.bottom;
            let crossings = curves
                .iter()
                .filter(|c| !space.polyline(c).is_empty())
                .count();
            crossings + if outside { 100 } else { 0 }
        };
        let at = *places.iter().min_by_key(|p| covered(**p))?;
        f.label(at, text, look, PAPER);
        Some(at)
    }

    /// Vertical lines at instants; their words stand at the top, staggered where they would meet.
    pub fn instants(&self, f: &mut Figure, instants: &[Instant], words: bool) {
        let w = self.area;
        let mut taken: Vec<(f64, f64, usize)> = Vec::new();
        for i in instants {
            let x = self.at(i.time, 0.0).0;
            if x < w.left - 0.5 || x > w.right + 0.5 {
                continue;
            }
            f.dashed([(x, w.top), (x, w.bottom)], 1.5, SLATE, &[2.0, 4.0]);
            if !words {
                continue;
            }
            let size = LABEL - 1.0;
            let length = text_width(&i.text, size, false);
            let to_left = x + 8.0 + length > w.right;
            let (a, b) = if to_left {
                (x - 8.0 - length, x - 2.0)
            } else {
                (x + 2.0, x + 8.0 + length)
            };
            let row = (0..6)
                .find(|r| taken.iter().all(|t| t.2 != *r || t.0 > b || t.1 < a))
                .unwrap_or(0);
            taken.push((a, b, row));
            let y = w.top + 12.0 + 22.0 * row as f64;
            let (at, anchor) = if to_left {
                ((x - 6.0, y), Anchor::End)
            } else {
                ((x + 6.0, y), Anchor::Start)
            };
            f.label(at, &i.text, look(size, SLATE).at(anchor), PAPER);
        }
    }

    /// Names of series beside the right edge, each joined to its end and moved apart where they would cover each other.
    pub fn end_labels(&self, f: &mut Figure, labels: &[EndLabel]) {
        let w = self.area;
        let mut order: Vec<(Point, &EndLabel)> = labels
            .iter()
            .map(|l| {
                let p = self.at(l.from.0, l.from.1);
                ((p.0, p.1.clamp(w.top, w.bottom)), l)
            })
            .collect();
        order.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
        let gap = LABEL + 6.0;
        let wanted: Vec<f64> = order.iter().map(|o| o.0.1).collect();
        for ((end, label), y) in order.iter().zip(spread(&wanted, gap, w.top, w.bottom)) {
            if w.right - end.0 > 12.0 {
                let stroke = [*end, (w.right + 2.0, end.1)];
                f.dashed(stroke, 1.0, label.colour, &[2.0, 5.0]);
            }
            let line = [(w.right + 2.0, end.1), (w.right + 14.0, y)];
            f.line(line, 1.2, label.colour);
            let place = (w.right + 18.0, y);
            f.text(place, &label.text, look(LABEL, label.colour).bold());
        }
    }
}

/// Heights as near as can be to the wanted ones (which rise), at least `gap` apart, within the limits if they fit.
pub fn spread(wanted: &[f64], gap: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut y = wanted.to_vec();
    for i in 1..y.len() {
        y[i] = y[i].max(y[i - 1] + gap);
    }
    if let Some(last) = y.last_mut() {
        *last = last.min(bottom.max(top + gap * (wanted.len() - 1) as f64));
    }
    for i in (1..y.len()).rev() {
        y[i - 1] = y[i - 1].min(y[i] - gap);
    }
    y
}

fn marker(f: &mut Figure, p: Point, pen: Pen) {
    let r = 5.5;
    let (x, y) = p;
    match pen.marker {
        Marker::Disc => f.disc(p, r, pen.colour),
        Marker::Square => f.rect(Window::about(p, r), pen.colour, 1.0),
        Marker::Triangle => f.fill(
            [(x, y - r - 1.0), (x + r + 1.0, y + r), (x - r - 1.0, y + r)],
            pen.colour,
            1.0,
        ),
        Marker::Diamond => f.fill(
            [
                (x, y - r - 1.5),
                (x + r + 1.5, y),
                (x, y + r + 1.5),
                (x - r - 1.5, y),
            ],
            pen.colour,
            1.0,
        ),
    }
}

/// A line of fewer points that looks the same.
///
/// Within each half pixel of x only the first, lowest, highest and last point stay; then every point goes that
/// lies within 0.1 px of the chord (D. H. Douglas and T. K. Peucker, 1973).
pub fn thinned(points: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    let column = |p: &Point| libm::floor(2.0 * p.0);
    for run in points.chunk_by(|a, b| column(a) == column(b)) {
        let mut keep = [0, 0, 0, run.len() - 1];
        for (i, p) in run.iter().enumerate() {
            if p.1 < run[keep[1]].1 {
                keep[1] = i;
            }
            if p.1 > run[keep[2]].1 {
                keep[2] = i;
            }
        }
        keep.sort_unstable();
        for (n, &i) in keep.iter().enumerate() {
            if n == 0 || keep[n - 1] != i {
                out.push(run[i]);
            }
        }
    }
    without_straights(&out, 0.1)
}

/// The polyline without the points that lie within the tolerance of the chords that remain.
pub fn without_straights(points: &[Point], tolerance: f64) -> Vec<Point> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut spans = vec![(0, points.len() - 1)];
    while let Some((a, b)) = spans.pop() {
        let (p, q) = (points[a], points[b]);
        let (dx, dy) = (q.0 - p.0, q.1 - p.1);
        let length = libm::hypot(dx, dy);
        let mut worst = (0, tolerance);
        for (i, r) in points.iter().enumerate().take(b).skip(a + 1) {
            let (ex, ey) = (r.0 - p.0, r.1 - p.1);
            // Distance to the chord, or to its start where the chord has no length.
            let off = if length > 1e-9 {
                (dx * ey - dy * ex).abs() / length
            } else {
                libm::hypot(ex, ey)
            };
            // Beyond the chord's ends the distance to the line says nothing.
            let along = dx * ex + dy * ey;
            let off = if along < 0.0 || along > length * length {
                off.max(libm::hypot(ex, ey).min(libm::hypot(r.0 - q.0, r.1 - q.1)))
            } else {
                off
            };
            if off > worst.1 {
                worst = (i, off);
            }
        }
        if worst.0 > 0 {
            keep[worst.0] = true;
            spans.push((a, worst.0));
            spans.push((worst.0, b));
        }
    }
    points
        .iter()
        .zip(keep)
        .filter_map(|(p, k)| k.then_some(*p))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_keep_their_distance_and_stay_inside() {
        let y = spread(&[10.0, 11.0, 12.0, 98.0, 99.0], 10.0, 0.0, 100.0);
        for pair in y.windows(2) {
            assert!(pair[1] - pair[0] >= 10.0 - 1e-12);
        }
        assert_eq!(y[0], 10.0);
        assert_eq!(y[4], 100.0);
        assert!(spread(&[], 10.0, 0.0, 1.0).is_empty());
    }

    #[test]
    fn thinning_keeps_peaks() {
        let mut points: Vec<Point> = (0..10_000).map(|i| (f64::from(i) * 0.01, 0.0)).collect();
        points[7777].1 = 5.0;
        points[1234].1 = -3.0;
        let thin = thinned(&points);
        assert_eq!(thin.len(), 8);
        assert!(thin.contains(&points[7777]) && thin.contains(&points[1234]));
        assert_eq!(thin.first(), points.first());
        assert_eq!(thin.last(), points.last());
    }
}
