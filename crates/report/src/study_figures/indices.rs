//! Shares of the variance: first-order and total index of each drawn quantity as bars with their intervals.

use giveway_study::analysis::Indices;

use super::frame::whisker;
use super::quantity::{Quantity, capital};
use super::shade::hatch;
use super::sheet::{Facts, kept, sheet};
use crate::ReportError;
use giveway_draw::{
    Axis, Chart, Figure, INK, NAVY, PAPER, RUST, SLATE, Window, look, text_width, tick_text,
};

/// Most quantities that are drawn.
const MOST: usize = 16;

pub fn draw(name: &str, s: &Indices, facts: &Facts<'_>) -> Result<Figure, ReportError> {
    let q = Quantity::of(&s.value);
    let factors = &s.factors[..s.factors.len().min(MOST)];
    let row = 64.0;
    let names: Vec<String> = (factors.iter())
        .map(|p| capital(&Quantity::of(&p.column).words))
        .collect();
    let widths = names.iter().map(|n| text_width(n, 16.0, false));
    let left = (60.0 + widths.fold(0.0, f64::max)).clamp(120.0, 460.0);
    let bottom = 130.0 + row * factors.len() as f64;
    let area = Window::new((left, 130.0), (1210.0, bottom));
    let ends: Vec<f64> = (factors.iter())
        .flat_map(|p| [p.first_interval, p.total_interval].concat())
        .chain(factors.iter().flat_map(|p| [p.first, p.total]))
        .chain([0.0, 1.0])
        .collect();
    let chart = Chart {
        area,
        x: Axis::covering(&ends, 0.02, name, "shares of the variance")?,
        y: Axis::new(0.0, factors.len() as f64),
    };
    let title = format!("What makes the {} scatter", q.words);
    let line = format!(
        "{}: {}; mean {}, standard deviation {}; {}{}",
        facts.analysis.title,
        s.complete,
        q.text(s.mean),
        q.text(s.variance.max(0.0).sqrt()),
        facts.runs(),
        kept(&s.fixed)
    );
    let height = area.bottom + 165.0;
    let mut f = sheet(name, &title, &line, height, facts.caution);
    frame(&mut f, &chart);
    let bar = 21.0;
    for (i, (p, words)) in factors.iter().zip(&names).enumerate() {
        let y = area.top + row * (i as f64 + 0.5);
        f.text((area.left - 12.0, y), words, look(16.0, INK).end());
        let rows = [
            (y - bar - 1.0, p.first, p.first_interval, true),
            (y + 1.0, p.total, p.total_interval, false),
        ];
        for (top, value, interval, first) in rows {
            let w = bar_window(&chart, value, top, bar);
            look_of(&mut f, w, first);
            let middle = top + 0.5 * bar;
            let [a, b] = interval.map(|v| chart.at(v, 0.0).0);
            f.line([(a, middle), (b, middle)], 5.0, PAPER);
            whisker(&mut f, (a, middle), (b, middle), INK);
            let end = chart.at(value.max(interval[1]).max(0.0), 0.0).0 + 12.0;
            let at = (end, middle);
            f.label(at, &tick_text(value, 2), look(15.0, INK).bold(), PAPER);
        }
    }
    key(&mut f, &area, factors.len() < s.factors.len());
    f.set_alt_text(words(s, &title, &line));
    Ok(f.finish()?)
}

fn bar_window(chart: &Chart, value: f64, top: f64, bar: f64) -> Window {
    let (zero, end) = (chart.at(0.0, 0.0).0, chart.at(value, 0.0).0);
    Window::new((zero.min(end), top), (zero.max(end), top + bar))
}

/// Full for the first-order index, hatched for the total one.
fn look_of(f: &mut Figure, w: Window, first: bool) {
    if w.right - w.left < 0.5 {
        return;
    }
    if first {
        f.rect(w, NAVY, 1.0);
    } else {
        f.rect(w, PAPER, 1.0);
        hatch(f, w, 7.0, 2.0, RUST);
        f.frame(w, 1.6, RUST);
    }
}

fn frame(f: &mut Figure, chart: &Chart) {
    let w = chart.area;
    f.in_each(|f, system| {
        chart.columns(f, "", 6, true, system);
    });
    let zero = chart.at(0.0, 0.0).0;
    f.line([(zero, w.top), (zero, w.bottom)], 1.5, INK);
    let at = (w.right, w.bottom + 40.0);
    f.text(at, "Share of the variance", look(16.0, INK).bold().end());
}

fn key(f: &mut Figure, area: &Window, cut: bool) {
    let y = area.bottom + 78.0;
    let mut x = 40.0;
    let entries = [
        "first-order index: what would go if this were known",
        "total index: what would be left if all else were known",
    ];
    for (text, first) in entries.into_iter().zip([true, false]) {
        let w = Window::new((x, y - 10.0), (x + 46.0, y + 10.0));
        look_of(f, w, first);
        f.text((x + 56.0, y), text, look(15.0, INK));
        x += 56.0 + text_width(text, 15.0, false) + 40.0;
    }
    let more = if cut {
        " Quantities of smaller total index are in analysis.json."
    } else {
        ""
    };
    let text =
        format!("Thin bars: 95 % bootstrap intervals; an estimate may lie a little below 0.{more}");
    f.text((40.0, y + 32.0), &text, look(15.0, SLATE));
}

fn words(s: &Indices, title: &str, line: &str) -> String {
    let list: Vec<String> = (s.factors.iter())
        .map(|p| {
            let told = |v: f64, interval: [f64; 2]| {
                let [v, low, high] = [v, interval[0], interval[1]].map(|v| tick_text(v, 2));
                format!("{v} ({low} to {high})")
            };
            let first = told(p.first, p.first_interval);
            let total = told(p.total, p.total_interval);
            let words = Quantity::of(&p.column).words;
            format!("{words}: first {first}, total {total}")
        })
        .collect();
    format!(
        "{title}. {line}. Shares of the variance: {}.",
        list.join("; ")
    )
}
