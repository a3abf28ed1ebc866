//! An output against one swept quantity: curves with bands over what was drawn, the limit, and where the base holds.

use giveway_study::analysis::{Curve, CurveSet};

use super::frame::{frame, limit_text, place_text, range, scale, shown, sign, whisker};
use super::quantity::{Quantity, capital};
use super::sheet::{Facts, fixed_text, kept, sheet};
use crate::ReportError;
use giveway_draw::{
    Axis, Chart, EndLabel, Figure, INK, LIMIT, PENS, Pen, Point, SLATE, Window, look, text_width,
};

const AREA: Window = Window::new((95.0, 140.0), (1050.0, 760.0));

/// Names of the quantiles.
const BAND_WORDS: [&str; 5] = [
    "5 % lie below",
    "25 % lie below",
    "median",
    "75 % lie below",
    "95 % lie below",
];

pub fn draw(name: &str, set: &CurveSet, facts: &Facts<'_>) -> Result<Figure, ReportError> {
    let q = Quantity::of(&set.value);
    let (qx, places) = shown(&set.x);
    let scale_x = scale(&set.x, &qx);
    let mut all: Vec<f64> = (set.curves.iter().flat_map(|c| &c.points))
        .filter_map(|p| p.quantiles)
        .flatten()
        .map(|v| v * q.scale)
        .collect();
    let limit = set.limit.as_ref().map(|l| l.value * q.scale);
    // A limit far beyond everything is told in words only.
    let reach = all.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    let near = limit.filter(|l| libm::fabs(*l) <= 2.0 * reach.max(1e-9));
    all.extend(near);
    all.push(0.0);
    let chart = Chart {
        area: AREA,
        x: range(&set.x, &places, name, 0.02)?,
        y: Axis::covering(&all, 0.08, name, &set.value)?,
    };
    let title = format!("{} against {}", capital(&q.words), qx.words);
    let (runs, kept) = (facts.runs(), kept(&set.fixed));
    let line = format!("{}: {runs}{kept}", facts.analysis.title);
    let mut f = sheet(name, &title, &line, 940.0, facts.caution);
    frame(&mut f, &chart, &set.x, &qx.title(), &q.capital_title());
    let banded = set.most_runs > 1;
    let lines: Vec<Drawn> = (set.curves.iter())
        .zip(PENS)
        .map(|(c, pen)| Drawn::new(c, pen, scale_x, q.scale, &chart))
        .collect();
    let words = !set.x.words.is_empty();
    if banded && !words {
        for d in &lines {
            d.bands(&mut f, lines.len() > 2);
        }
    }
    let mut ends = Vec::new();
    if let Some(value) = near {
        let y = chart.at(0.0, value).1;
        f.dashed([(AREA.left, y), (AREA.right, y)], 2.4, LIMIT, &[10.0, 6.0]);
        ends.push(EndLabel {
            text: format!("limit {}", q.text(value / q.scale)),
            colour: LIMIT,
            from: (chart.x.high, value),
        });
    }
    let one = lines.len() == 1 && set.curves.iter().all(|c| c.of.is_none());
    for (d, c) in lines.iter().zip(&set.curves) {
        d.line(&mut f, words, banded);
        let Some((x, quantiles)) = d.last else {
            continue;
        };
        let mut name = |text: &str, k: usize| {
            ends.push(EndLabel {
                text: text.to_owned(),
                colour: d.pen.colour,
                from: (x, quantiles[k]),
            });
        };
        if let Some(of) = &c.of {
            let text = of.word.clone().unwrap_or_else(|| fixed_text(of));
            name(&text, 2);
        } else if one && banded && !words {
            for (k, text) in BAND_WORDS.iter().enumerate() {
                name(text, k);
            }
        }
    }
    chart.end_labels(&mut f, &ends);
    key(&mut f, set, &q, near.is_some());
    f.set_alt_text(words_of(set, &q, &qx, &title, &line));
    Ok(f.finish()?)
}

struct DrawnPoint {
    /// The five quantiles.
    at: [Point; 5],
    /// Whether the base holds.
    held: bool,
    /// Whether a point without value lies before it.
    gap: bool,
}

struct Drawn {
    pen: Pen,
    /// The points with a value.
    points: Vec<DrawnPoint>,
    /// The last point in shown units, with its quantiles.
    last: Option<(f64, [f64; 5])>,
}

impl Drawn {
    fn new(curve: &Curve, pen: Pen, scale_x: f64, scale: f64, chart: &Chart) -> Self {
        let mut last = None;
        let mut gap = false;
        let mut points = Vec::new();
        for p in &curve.points {
            let Some(quantiles) = p.quantiles else {
                gap = true;
                continue;
            };
            last = Some((p.x * scale_x, quantiles.map(|v| v * scale)));
            points.push(DrawnPoint {
                at: quantiles.map(|v| chart.at(p.x * scale_x, v * scale)),
                held: p.is_held(),
                gap: std::mem::take(&mut gap),
            });
        }
        Self { pen, points, last }
    }

    /// Nine of ten runs, pale; half of them, darker; each with thin edges.
    fn bands(&self, f: &mut Figure, only_inner: bool) {
        let pairs: &[(usize, usize, f64)] = if only_inner {
            &[(1, 3, 0.18)]
        } else {
            &[(0, 4, 0.13), (1, 3, 0.22)]
        };
        for run in self.points.chunk_by(|_, b| !b.gap) {
            for (low, high, alpha) in pairs {
                let mut outline: Vec<Point> = run.iter().map(|p| p.at[*high]).collect();
                outline.extend(run.iter().rev().map(|p| p.at[*low]));
                f.fill(outline, self.pen.colour, *alpha);
                for edge in [low, high] {
                    let points = run.iter().map(|p| p.at[*edge]);
                    f.dashed(points, 1.0, self.pen.colour, &[2.0, 3.0]);
                }
            }
        }
    }

    fn line(&self, f: &mut Figure, words: bool, banded: bool) {
        if !words {
            // From a base that lets go to one that holds there is a cliff: only thinly joined.
            for pair in self.points.windows(2) {
                if pair[0].held != pair[1].held && !pair[1].gap {
                    let ends = [pair[0].at[2], pair[1].at[2]];
                    f.dashed(ends, 1.4, self.pen.colour, &[3.0, 5.0]);
                }
            }
            for run in self.points.chunk_by(|a, b| a.held == b.held && !b.gap) {
                let line = run.iter().map(|p| p.at[2]);
                f.dashed(line, 3.0, self.pen.colour, self.pen.dash);
            }
        }
        let many = self.points.len() > 30;
        for (i, p) in self.points.iter().enumerate() {
            if words && banded {
                whisker(f, p.at[0], p.at[4], self.pen.colour);
                f.line([p.at[1], p.at[3]], 7.0, self.pen.colour);
            }
            if !many || p.held || i % (self.points.len() / 15) == 0 {
                sign(f, p.at[2], self.pen, !p.held);
            }
        }
    }
}

fn key(f: &mut Figure, set: &CurveSet, q: &Quantity, limit_shown: bool) {
    let (left, mut y) = (AREA.left, AREA.bottom + 76.0);
    if !set.x.words.is_empty() {
        y += 22.0;
    }
    let pen = PENS[0];
    let mut x = left;
    let all = || set.curves.iter().flat_map(|c| &c.points);
    if all().any(|p| p.is_held()) {
        let text = if set.most_runs > 1 {
            "the base holds in half of the runs or more"
        } else {
            "the base holds"
        };
        for (filled, text) in [(true, "the base lets go"), (false, text)] {
            sign(f, (x + 8.0, y), pen, filled);
            f.text((x + 24.0, y), text, look(15.0, INK));
            x += 24.0 + text_width(text, 15.0, false) + 34.0;
        }
        if set.x.words.is_empty() {
            f.dashed([(x, y), (x + 30.0, y)], 1.4, pen.colour, &[3.0, 5.0]);
            let text = "a cliff: nothing lies between";
            f.text((x + 38.0, y), text, look(15.0, INK));
            x += 38.0 + text_width(text, 15.0, false) + 34.0;
        }
    }
    let numbers = set.x.words.is_empty();
    if set.most_runs > 1 {
        let text = match (numbers, set.curves.len()) {
            (true, 1 | 2) => {
                "dark band: the middle half of the runs; pale band: the middle nine of ten"
            }
            (true, _) => "line: median; band: the middle half of the runs",
            (false, _) => "sign: median; thick: the middle half of the runs; thin: nine of ten",
        };
        f.text((x, y), text, look(15.0, INK));
        x += text_width(text, 15.0, false);
    }
    if x > left {
        y += 26.0;
    }
    let mut x = left;
    if let Some(limit) = &set.limit {
        let mut text = format!("limit {}", limit_text(limit, q));
        if !limit_shown {
            text.push_str(", outside the picture");
        }
        f.text((x, y), &text, look(15.0, LIMIT));
        x += text_width(&text, 15.0, false) + 34.0;
    }
    if !set.x.bins.is_empty() {
        let text = format!("drawn values in {} bins of equal width", set.x.values.len());
        f.text((x, y), &text, look(15.0, SLATE));
    }
}

fn words_of(set: &CurveSet, q: &Quantity, qx: &Quantity, title: &str, line: &str) -> String {
    let curve = |c: &Curve| {
        let of = c.of.as_ref().map(|of| format!("{}: ", fixed_text(of)));
        let of = of.unwrap_or_default();
        let place = |x: f64| place_text(&set.x, qx, x);
        let ends = [c.points.first(), c.points.last()];
        let ends: Vec<String> = ends
            .into_iter()
            .flatten()
            .map(|p| {
                let value = p.quantiles.map_or("no value".to_owned(), |v| q.text(v[2]));
                format!("{value} at {}", place(p.x))
            })
            .collect();
        let held = c.points.iter().filter(|p| p.is_held());
        let held: Vec<String> = held.map(|p| place(p.x)).collect();
        let holds = match (held.first(), held.last()) {
            (Some(a), Some(b)) if a != b => format!("; the base holds from {a} to {b}"),
            (Some(a), _) => format!("; the base holds at {a}"),
            _ => String::new(),
        };
        format!("{of}{}{holds}", ends.join(", "))
    };
    let curves: Vec<String> = set.curves.iter().map(curve).collect();
    let limit = set.limit.as_ref();
    let limit = limit.map(|l| format!(" Limit: {}.", limit_text(l, q)));
    let limit = limit.unwrap_or_default();
    let median = if set.most_runs > 1 { "Medians. " } else { "" };
    format!("{title}. {line}. {median}{}.{limit}", curves.join(". "))
}
