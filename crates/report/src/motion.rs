//! Figure 1: speed lost and acceleration of the vehicle against time.

use giveway_impact::outcome::Engagement;
use giveway_occupant::STANDARD_GRAVITY_MPS2;
use giveway_occupant::filter::{ChannelClass, Edge, LowPass};
use giveway_results::Summary;

use crate::ReportError;
use crate::history::{History, instants, instants_in_words, peak};
use crate::page::{kmph, page};
use giveway_draw::{Axis, Chart, EndLabel, Figure, NAVY, PENS, Pen, SKY, Window, tick_text};

const NAME: &str = "motion";

/// A limit line: value and words.
struct Limit {
    value: f64,
    text: String,
}

// The limits of the first document that limits the velocity change or, failing that, the impact velocity.
fn limits(summary: &Summary) -> Vec<Limit> {
    let find = |key: &str| {
        (summary.verdicts.iter())
            .flat_map(|v| v.checks.iter().map(move |c| (v, c)))
            .find(|(_, c)| c.key == key)
    };
    let (found, what) = match find("velocity_change_mps") {
        Some(found) => (Some(found), "velocity change"),
        None => (find("oiv_longitudinal_mps"), "occupant impact velocity"),
    };
    let Some((verdict, check)) = found else {
        return Vec::new();
    };
    let limit = |value: f64, word: &str| Limit {
        value,
        text: format!("{word} of {what} {value:.2} m/s, {}", verdict.document),
    };
    check
        .limit_preferred
        .map(|v| limit(v, "preferred limit"))
        .into_iter()
        .chain(check.limit_max.map(|v| limit(v, "maximum")))
        .collect()
}

pub fn draw(
    history: &History,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Figure, ReportError> {
    let speed = summary.impact.speed_mps;
    let end = engagement.velocity_change_at_end_mps;
    let facts = format!(
        "{} at first touch, {} at the end of the engagement",
        kmph(speed),
        kmph(speed - end)
    );
    let mut f = page(NAME, "Motion of the vehicle", &facts, 980.0, summary);
    let lost = history.scaled("velocity_change_mps", 1.0)?;
    let limits = limits(summary);
    let time = Axis::covering(&history.time_ms, 0.0, NAME, "time")?;
    let values = lost.iter().chain(limits.iter().map(|l| &l.value));
    let chart = Chart {
        area: Window::new((95.0, 130.0), (1130.0, 470.0)),
        x: time,
        y: Axis::covering(values.chain([&0.0]), 0.22, NAME, "velocity change")?,
    };
    let title = "Speed lost along the initial direction of travel, m/s";
    chart.over_time(&mut f, false, title);
    chart.instants(&mut f, &instants(engagement), true);
    for l in &limits {
        chart.limit(&mut f, l.value, &l.text);
    }
    chart.series(&mut f, &history.time_ms, &lost, PENS[0], 3.0, false);
    let last = lost.len() - 1;
    let ends = [EndLabel {
        text: format!("{:.2} m/s lost", lost[last]),
        colour: NAVY,
        from: (history.time_ms[last], lost[last]),
    }];
    chart.end_labels(&mut f, &ends);
    let peak_g = acceleration(&mut f, history, engagement, time)?;
    let limit_words: Vec<&str> = limits.iter().map(|l| l.text.as_str()).collect();
    f.set_alt_text(format!(
        "Two charts against time. Above: the vehicle, struck at {}, loses {:.2} m/s by the end of the engagement; \
         {}. Limits shown: {}. Below: its acceleration in vehicle axes; the largest forward component filtered by \
         CFC 60 is {peak_g:.1} g.",
        kmph(speed),
        end,
        instants_in_words(summary),
        if limit_words.is_empty() {
            "none".to_owned()
        } else {
            limit_words.join("; ")
        },
    ));
    Ok(f.finish()?)
}

// The lower chart; returns the largest filtered forward acceleration, g.
fn acceleration(
    f: &mut Figure,
    history: &History,
    engagement: &Engagement,
    time: Axis,
) -> Result<f64, ReportError> {
    let g = 1.0 / STANDARD_GRAVITY_MPS2;
    let filter = LowPass::channel(ChannelClass::Cfc60, history.interval_s()).ok();
    let smooth = |raw: &[f64]| match filter {
        Some(filter) => filter.run(raw, Edge::Rest, Edge::Hold),
        None => raw.to_vec(),
    };
    let names = ["vehicle_ax_mps2", "vehicle_ay_mps2", "vehicle_az_mps2"];
    let words = ["forward", "to the left", "upward"];
    let raw = history.scaled(names[0], g)?;
    let mut curves = Vec::new();
    for name in names {
        curves.push(smooth(&history.scaled(name, g)?));
    }
    // The raw trace may be spiky: it may widen the axis to three times the filtered one and is cut beyond.
    let values = curves.iter().flatten();
    let most = 3.0 * values.fold(0.1, |m: f64, v| m.max(v.abs()));
    let shown: Vec<f64> = raw.iter().map(|v| v.clamp(-most, most)).collect();
    let values = curves.iter().flatten().chain(&shown);
    let chart = Chart {
        area: Window::new((95.0, 545.0), (1130.0, 885.0)),
        x: time,
        y: Axis::covering(values, 0.05, NAME, "acceleration")?,
    };
    let title = "Acceleration in vehicle axes, g (CFC 60; pale: forward, unfiltered)";
    chart.over_time(f, true, title);
    let pale = Pen {
        colour: SKY,
        ..PENS[0]
    };
    chart.series(f, &history.time_ms, &shown, pale, 1.0, false);
    let mut ends = Vec::new();
    let last = history.time_ms.len() - 1;
    for ((curve, word), pen) in curves.iter().zip(words).zip(PENS) {
        chart.series(f, &history.time_ms, curve, pen, 2.5, true);
        ends.push(EndLabel {
            text: format!("{word}, peak {} g", tick_text(peak(curve).1, 1)),
            colour: pen.colour,
            from: (history.time_ms[last], curve[last]),
        });
    }
    chart.instants(f, &instants(engagement), false);
    chart.end_labels(f, &ends);
    Ok(peak(&curves[0]).1)
}
