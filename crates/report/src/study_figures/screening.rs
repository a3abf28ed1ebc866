//! Elementary effects: how much each drawn quantity matters, against how far its effect depends on where one stands.

use giveway_study::analysis::{Screening, ScreeningFactor};

use super::frame::{sign, whisker};
use super::quantity::{Quantity, capital, short};
use super::sheet::{Facts, column, kept, sheet};
use crate::ReportError;
use giveway_draw::{Axis, Chart, Figure, INK, PAPER, PENS, Point, SLATE, Window, look, text_width};

const AREA: Window = Window::new((105.0, 140.0), (930.0, 830.0));
/// Left edge of the list.
const LIST: f64 = 985.0;

pub fn draw(name: &str, s: &Screening, facts: &Facts<'_>) -> Result<Figure, ReportError> {
    let q = Quantity::of(&s.value);
    let shown = |v: f64| v * q.scale;
    let along: Vec<f64> = (s.factors.iter())
        .map(|p| shown(p.mean_absolute_interval[1].max(p.mean_absolute)))
        .chain([0.0])
        .collect();
    let up: Vec<f64> = (s.factors.iter())
        .map(|p| shown(p.deviation_interval[1].max(p.deviation)))
        .chain([0.0])
        .collect();
    let chart = Chart {
        area: AREA,
        x: Axis::covering(&along, 0.06, name, "mean of the effects")?,
        y: Axis::covering(&up, 0.08, name, "scatter of the effects")?,
    };
    let title = format!("What moves the {}: screening", q.words);
    let line = format!(
        "{}: {} trajectories, {}; {}{}",
        facts.analysis.title,
        s.trajectories,
        s.complete,
        facts.runs(),
        kept(&s.fixed)
    );
    let mut f = sheet(name, &title, &line, 960.0, facts.caution);
    let unit = match q.unit {
        "" => String::new(),
        unit => format!(", {unit}"),
    };
    let mean = format!("Mean size of the effect, \u{3bc}*{unit}");
    let scatter = format!("Scatter of the effect, \u{3c3}{unit}");
    chart.frame(&mut f, Some(&mean), &scatter);
    guides(&mut f, &chart);
    let places: Vec<Point> = (s.factors.iter())
        .map(|p| chart.at(shown(p.mean_absolute), shown(p.deviation)))
        .collect();
    let mut bars: Vec<[Point; 2]> = Vec::new();
    for (p, at) in s.factors.iter().zip(&places) {
        let [a, b] = p.mean_absolute_interval.map(|v| chart.at(shown(v), 0.0).0);
        let [c, d] = p.deviation_interval.map(|v| chart.at(0.0, shown(v)).1);
        bars.push([(a, at.1), (b, at.1)]);
        bars.push([(at.0, c), (at.0, d)]);
    }
    for [a, b] in &bars {
        whisker(&mut f, *a, *b, SLATE);
    }
    for (i, at) in places.iter().enumerate() {
        sign(&mut f, *at, PENS[i % 4], true);
    }
    numbers_beside(&mut f, &places, &bars);
    list(&mut f, s, &q);
    f.set_alt_text(words(s, &q, &title, &line));
    Ok(f.finish()?)
}

/// The number of each sign where it covers least, with a line to it where that is farther off.
fn numbers_beside(f: &mut Figure, places: &[Point], bars: &[[Point; 2]]) {
    let mut taken: Vec<Window> = Vec::new();
    for (i, at) in places.iter().enumerate() {
        let text = format!("{}", i + 1);
        let half = 0.5 * text_width(&text, 17.0, true) + 3.0;
        let space = |p: Point| Window::new((p.0 - half, p.1 - 10.0), (p.0 + half, p.1 + 10.0));
        let mut best: Option<(f64, Point)> = None;
        for ring in 0..5 {
            for turn in 0..16 {
                let angle = core::f64::consts::TAU * (f64::from(turn) + 0.5) / 16.0;
                let r = 20.0 + 15.0 * f64::from(ring);
                let p = (at.0 + r * libm::cos(angle), at.1 - r * libm::sin(angle));
                let w = space(p);
                let outside = w.left < AREA.left || w.bottom > AREA.bottom || w.top < AREA.top;
                let signs = places.iter().filter(|q| w.meets(&space(**q))).count();
                let numbers = taken.iter().filter(|t| w.meets(t)).count();
                let crossed = bars.iter().filter(|b| !w.polyline(*b).is_empty()).count();
                let cost = 100.0 * f64::from(u8::from(outside))
                    + (8 * signs + 20 * numbers + crossed) as f64
                    + 0.8 * f64::from(ring);
                if best.is_none_or(|b| cost < b.0) {
                    best = Some((cost, p));
                }
            }
        }
        let Some((_, p)) = best else { continue };
        let far = libm::hypot(p.0 - at.0, p.1 - at.1);
        if far > 24.0 {
            let s = (far - 11.0) / far;
            let end = (at.0 + s * (p.0 - at.0), at.1 + s * (p.1 - at.1));
            f.line([*at, end], 1.0, INK);
        }
        let style = look(17.0, INK).bold().middle();
        f.label(p, &text, style, PAPER);
        taken.push(space(p));
    }
}

/// Lines of equal sigma over mu*: below 0.1 nearly linear, above 1 strongly bent or entangled (common practice, no source).
fn guides(f: &mut Figure, chart: &Chart) {
    for (ratio, text) in [(1.0, "\u{3c3} = \u{3bc}*"), (0.1, "\u{3c3} = 0.1 \u{3bc}*")] {
        let far = chart.x.high.min(chart.y.high / ratio);
        let (from, to) = (chart.at(0.0, 0.0), chart.at(far, ratio * far));
        f.dashed([from, to], 1.2, SLATE, &[8.0, 5.0]);
        let wide = text_width(text, 14.0, false);
        let x = (to.0 - wide - 12.0).max(from.0 + 10.0);
        let y = from.1 + (to.1 - from.1) * (x + 0.5 * wide - from.0) / (to.0 - from.0) - 15.0;
        f.label((x, y.max(AREA.top + 12.0)), text, look(14.0, SLATE), PAPER);
    }
}

fn list(f: &mut Figure, s: &Screening, q: &Quantity) {
    let mut y = AREA.top + 8.0;
    f.text((LIST, y), "The strongest first", look(16.0, INK).bold());
    y += 30.0;
    for (i, p) in s.factors.iter().enumerate() {
        if y > AREA.bottom - 60.0 {
            column(f, (LIST, y), 380.0, "and others, in analysis.json", SLATE);
            break;
        }
        sign(f, (LIST + 8.0, y), PENS[i % 4], true);
        let place = (LIST + 24.0, y);
        f.text(place, &format!("{}", i + 1), look(16.0, INK).bold());
        let words = Quantity::of(&p.column).words;
        y = column(f, (LIST + 50.0, y), 330.0, &words, INK);
        y = column(f, (LIST + 50.0, y), 330.0, &numbers(p, q), SLATE) + 8.0;
    }
    let text = "Signs: estimate; bars: 95 % bootstrap intervals. An effect is what a whole run through its own \
                distribution would do. Low and right: acts alone and evenly. High: bends, or depends on others.";
    let lines = super::sheet::wrapped(text, 15.0, 1290.0);
    for (i, line) in lines.iter().enumerate() {
        let at = (AREA.left - 65.0, 898.0 + 19.0 * i as f64);
        f.text(at, line, look(14.0, SLATE));
    }
}

fn numbers(p: &ScreeningFactor, q: &Quantity) -> String {
    let [low, high] = p.mean_absolute_interval.map(|v| short(v * q.scale));
    let direction = if p.mean.abs() < 0.5 * p.mean_absolute {
        "up and down"
    } else if p.mean > 0.0 {
        "rising"
    } else {
        "falling"
    };
    format!("{} ({low} to {high}), {direction}", q.text(p.mean_absolute))
}

fn words(s: &Screening, q: &Quantity, title: &str, line: &str) -> String {
    let list: Vec<String> = (s.factors.iter())
        .map(|p| {
            let (words, scatter) = (Quantity::of(&p.column).words, q.text(p.deviation));
            format!("{words} {}, scatter {scatter}", numbers(p, q))
        })
        .collect();
    format!(
        "{}. {line}. Mean size of the effects, the strongest first: {}.",
        capital(title),
        list.join("; ")
    )
}
