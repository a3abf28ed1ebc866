//! Figure 3: the slip joint, bolt by bolt.

use giveway_impact::outcome::{BoltFate, BoltOutcome, Engagement};
use giveway_results::Summary;
use giveway_scenario::model::Scenario;

use crate::ReportError;
use crate::history::{History, instants_in_words};
use crate::page::{ms, page};
use giveway_draw::{Axis, Chart, EndLabel, Figure, INK, PENS, Point, Window, look};

const NAME: &str = "joint";

/// What became of a bolt, in words.
pub fn fate_in_words(fate: BoltFate) -> &'static str {
    match fate {
        BoltFate::Held => "held",
        BoltFate::LeftLowerNotch => "left the lower notch",
        BoltFate::LeftUpperNotch => "left by the upper plate",
        BoltFate::SqueezedOut => "squeezed out",
        BoltFate::Sheared => "sheared off",
        BoltFate::Ruptured => "pulled apart",
        BoltFate::Stripped => "its nut stripped",
    }
}

/// One row of charts: column of the trace, factor, title, decimals.
struct Row {
    column: &'static str,
    factor: f64,
    title: &'static str,
    level: Option<(f64, String)>,
}

pub fn draw(
    history: &History,
    scenario: &Scenario,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Figure, ReportError> {
    let bolts = &engagement.bolts;
    let facts = if bolts.is_empty() {
        "a fixed obstacle, there is no slip joint".to_owned()
    } else {
        format!(
            "largest rise of tension {:.1} % at bolt {}",
            100.0 * summary.joint.tension_rise_fraction,
            summary.joint.tension_rise_bolt
        )
    };
    let mut f = page(NAME, "Slip joint", &facts, 1150.0, summary);
    // Up to a little after the last release, so that the lines fill the width.
    let span = history.time_ms[history.time_ms.len() - 1];
    let end = if bolts.iter().all(|b| b.release_time_s.is_some()) && !bolts.is_empty() {
        let last = bolts.iter().filter_map(|b| b.release_time_s);
        last.fold(0.0, |m: f64, t| m.max(1.04e3 * t)).min(span)
    } else {
        span
    };
    let time = Axis::covering(&[0.0, end], 0.0, NAME, "time")?;
    let base = &scenario.base;
    let (preload, travel) = (1e-3 * base.preload_n, 1e3 * base.notch_travel_m);
    let rows = [
        Row {
            column: "tension_n",
            factor: 1e-3,
            title: "Tension of the bolt, kN",
            level: Some((preload, format!("preload {preload:.1} kN"))),
        },
        Row {
            column: "slip_m",
            factor: 1e3,
            title: "Slip of the upper seat from the lower seat, mm",
            level: Some((
                travel,
                format!("free travel {travel:.0} mm along the notch"),
            )),
        },
        Row {
            column: "slip_force_n",
            factor: 1e-3,
            title: "Force that the bolt carries across the slip plane, kN",
            level: None,
        },
    ];
    for (n, row) in rows.iter().enumerate() {
        let top = 130.0 + 325.0 * n as f64;
        let area = Window::new((95.0, top), (1010.0, top + 255.0));
        let last = n + 1 == rows.len();
        draw_row(&mut f, history, bolts, row, (area, time), last)?;
    }
    let told = |b: &BoltOutcome| match b.release_time_s {
        Some(t) => format!(
            "bolt {} {} at {} with a peak force of {:.1} kN",
            b.number,
            fate_in_words(b.fate),
            ms(t),
            1e-3 * b.peak_slip_force_n
        ),
        None => format!("bolt {} held", b.number),
    };
    let words: Vec<String> = bolts.iter().map(told).collect();
    f.set_alt_text(format!(
        "Three charts against time for each bolt of the slip joint: tension, slip and force across the slip plane. {}. \
         The tension rises by at most {:.1} %; {}.",
        if words.is_empty() {
            "There are no bolts".to_owned()
        } else {
            words.join("; ")
        },
        100.0 * summary.joint.tension_rise_fraction,
        instants_in_words(summary)
    ));
    Ok(f.finish()?)
}

fn draw_row(
    f: &mut Figure,
    history: &History,
    bolts: &[BoltOutcome],
    row: &Row,
    (area, time): (Window, Axis),
    last: bool,
) -> Result<(), ReportError> {
    let mut curves = Vec::new();
    for b in bolts {
        let mut values = history.scaled(&format!("bolt{}_{}", b.number, row.column), row.factor)?;
        // After its release a bolt's columns hold 0; its line ends before.
        let alive = match b.release_time_s {
            Some(t) => history
                .time_ms
                .iter()
                .take_while(|ms| **ms < 1e3 * t)
                .count(),
            None => values.len(),
        };
        values.truncate(alive);
        curves.push(values);
    }
    let level = row.level.iter().map(|l| &l.0);
    let chart = Chart {
        area,
        x: time,
        y: Axis::covering(curves.iter().flatten().chain(level), 0.10, NAME, row.title)?,
    };
    chart.over_time(f, last, row.title);
    if let Some((value, text)) = &row.level {
        let line = |c: &Vec<f64>| chart.points(&history.time_ms, c);
        let drawn: Vec<Vec<Point>> = curves.iter().map(line).collect();
        chart.level(f, *value, text, &drawn);
    }
    let mut ends = Vec::new();
    for ((b, values), pen) in bolts.iter().zip(&curves).zip(PENS.iter().cycle()) {
        let Some(&end) = values.last() else { continue };
        let at = history.time_ms[values.len() - 1];
        chart.series(f, &history.time_ms[..values.len()], values, *pen, 2.5, true);
        if b.release_time_s.is_some() {
            let p = chart.at(at, end);
            f.ring(p, 8.0, 2.0, INK);
        }
        let fate = match b.release_time_s {
            _ if row.column != "tension_n" => format!("bolt {}", b.number),
            Some(t) => format!("bolt {} {}, {}", b.number, fate_in_words(b.fate), ms(t)),
            None => format!("bolt {} held", b.number),
        };
        ends.push(EndLabel {
            text: fate,
            colour: pen.colour,
            from: (at, end),
        });
    }
    chart.end_labels(f, &ends);
    if bolts.iter().any(|b| b.release_time_s.is_some()) {
        let place = (area.right, area.top - 17.0);
        f.text(place, "ring: release", look(14.0, INK).end());
    }
    Ok(())
}
