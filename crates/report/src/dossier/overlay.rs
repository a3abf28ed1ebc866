//! Histories of several runs in one picture: up to four as lines of their own over each other, more of them as a sheet of small
//! charts on one scale with the other runs pale behind.

use crate::ReportError;
use crate::page::{MARGIN, titled};
use giveway_draw::{
    Anchor, Axis, Chart, EndLabel, Figure, GRID, INK, NAVY, PENS, SLATE, STONE, Window, look,
    thinned,
};
use giveway_results::DrawnHistory;
use giveway_units::spoken_title;

/// A run's name in the picture and its histories.
pub struct Course<'a> {
    pub label: String,
    pub history: &'a DrawnHistory,
}

/// One quantity of a history.
struct Quantity {
    title: &'static str,
    unit: &'static str,
    factor: f64,
    of: fn(&DrawnHistory) -> &[f64],
}

const QUANTITIES: [Quantity; 3] = [
    Quantity {
        title: "Speed lost along the initial direction of travel, m/s",
        unit: "m/s",
        factor: 1.0,
        of: |h| &h.velocity_change_mps,
    },
    Quantity {
        title: "Contact force, kN",
        unit: "kN",
        factor: 1e-3,
        of: |h| &h.contact_force_n,
    },
    Quantity {
        title: "Largest crush of the struck face, mm",
        unit: "mm",
        factor: 1e3,
        of: |h| &h.crush_m,
    },
];

/// Most runs that share a chart.
const MOST_OVER: usize = 4;

/// The picture.
///
/// # Errors
/// A number that is not finite.
pub fn draw(runs: &[Course], caution: &str) -> Result<Figure, ReportError> {
    if runs.len() <= MOST_OVER {
        over_each_other(runs, caution)
    } else {
        sheet(runs, caution)
    }
}

fn times_ms(runs: &[Course]) -> Vec<Vec<f64>> {
    let of = |r: &Course| scaled(&r.history.time_s, 1e3);
    runs.iter().map(of).collect()
}

fn scaled(values: &[f64], factor: f64) -> Vec<f64> {
    values.iter().map(|v| factor * v).collect()
}

fn over_each_other(runs: &[Course], caution: &str) -> Result<Figure, ReportError> {
    const NAME: &str = "courses";
    const HEIGHT: f64 = 300.0;
    let top = |n: usize| 112.0 + (HEIGHT + 70.0) * n as f64;
    let bottom = top(QUANTITIES.len());
    let mut f = titled(NAME, "The runs over each other", bottom + 40.0);
    let times = times_ms(runs);
    let x = Axis::covering(times.iter().flatten(), 0.0, NAME, "time")?;
    let mut told = Vec::new();
    for (n, q) in QUANTITIES.iter().enumerate() {
        let curve = |r: &Course| scaled((q.of)(r.history), q.factor);
        let curves: Vec<Vec<f64>> = runs.iter().map(curve).collect();
        let chart = Chart {
            area: Window::new((95.0, top(n)), (1200.0, top(n) + HEIGHT)),
            x,
            y: Axis::covering(curves.iter().flatten().chain([&0.0]), 0.08, NAME, q.title)?,
        };
        chart.over_time(&mut f, n + 1 == QUANTITIES.len(), q.title);
        let mut ends = Vec::new();
        for (((run, time), curve), pen) in runs.iter().zip(&times).zip(&curves).zip(PENS) {
            chart.series(&mut f, time, curve, pen, 2.8, true);
            let (last, label) = (curve.len() - 1, &run.label);
            let most = format!("{} {}", short(largest(curve)), q.unit);
            ends.push(EndLabel {
                text: format!("{label} max {most}"),
                colour: pen.colour,
                from: (time[last], curve[last]),
            });
            told.push(format!("{} in {label} at most {most}", q.title));
        }
        chart.end_labels(&mut f, &ends);
    }
    f.text((MARGIN, bottom + 24.0), caution, look(13.0, SLATE));
    let told = told.join("; ");
    f.set_alt_text(format!(
        "Three charts against time, a line for each run. {told}."
    ));
    Ok(f.finish()?)
}

/// Numbers and lines of a small chart.
fn ticks(f: &mut Figure, chart: &Chart, title: &str) {
    let (x, y, w) = (chart.x, chart.y, chart.area);
    f.in_each(|f, system| {
        for (axis, title, across) in [(y, title, true), (x, "time, ms", false)] {
            for (t, text) in axis.said(title, 4, system).0 {
                let (a, b) = if across { (x.low, t) } else { (t, y.low) };
                let p = chart.at(a, b);
                let (line, at, anchor) = if across {
                    ([p, (w.right, p.1)], (w.left - 8.0, p.1), Anchor::End)
                } else {
                    ([p, (p.0, w.top)], (p.0, w.bottom + 16.0), Anchor::Middle)
                };
                f.line(line, 1.0, GRID);
                f.text(at, &text, look(14.0, INK).at(anchor));
            }
        }
    });
}

fn sheet(runs: &[Course], caution: &str) -> Result<Figure, ReportError> {
    const NAME: &str = "courses";
    const ACROSS: usize = 3;
    let (w, h) = (400.0, 230.0);
    let rows = runs.len().div_ceil(ACROSS);
    let bottom = 120.0 + (h + 84.0) * rows as f64;
    let q = &QUANTITIES[0];
    let mut f = titled(NAME, "The runs on one scale", bottom + 10.0);
    f.in_each(|f, system| {
        let (title, _) = spoken_title(q.title, system);
        let text = format!("{title}, against time in ms; the other runs pale behind");
        f.text((MARGIN, 64.0), &text, look(16.0, SLATE));
    });
    let times = times_ms(runs);
    let curves: Vec<&[f64]> = runs.iter().map(|r| (q.of)(r.history)).collect();
    let x = Axis::covering(times.iter().flatten(), 0.0, NAME, "time")?;
    let values = curves.iter().copied().flatten().chain([&0.0]);
    let y = Axis::covering(values, 0.1, NAME, q.title)?;
    let mut told = Vec::new();
    for (n, run) in runs.iter().enumerate() {
        let left = 70.0 + (w + 50.0) * (n % ACROSS) as f64;
        let top = 112.0 + (h + 84.0) * (n / ACROSS) as f64;
        let chart = Chart {
            area: Window::sized((left, top), (w, h)),
            x,
            y,
        };
        f.clock(chart.area, x);
        ticks(&mut f, &chart, q.title);
        let line = |k: usize| thinned(&chart.points(&times[k], curves[k]));
        for k in (0..runs.len()).filter(|k| *k != n) {
            // The pale ones may be coarser.
            let pale = giveway_draw::without_straights(&line(k), 1.0);
            f.line(pale, 1.2, STONE);
        }
        f.line(line(n), 3.2, NAVY);
        chart.corner(&mut f);
        let most = format!("at most {} {}", short(largest(curves[n])), q.unit);
        let text = format!("{}: {most}", run.label);
        f.text((left, top - 14.0), &text, look(16.0, NAVY).bold());
        told.push(format!("{} {most}", run.label));
    }
    f.text((MARGIN, bottom - 14.0), caution, look(13.0, SLATE));
    let (title, told) = (q.title, told.join("; "));
    f.set_alt_text(format!(
        "{title}, a small chart for each run on one scale: {told}."
    ));
    Ok(f.finish()?)
}

fn largest(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

fn short(v: f64) -> String {
    if v.abs() < 20.0 {
        format!("{v:.2}")
    } else {
        format!("{v:.0}")
    }
}
