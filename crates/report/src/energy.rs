//! Figure 4: where the vehicle's energy went, as stacked areas.

use giveway_impact::outcome::Engagement;
use giveway_results::Summary;

use crate::ReportError;
use crate::history::{History, instants, instants_in_words};
use crate::page::page;
use giveway_draw::{
    Axis, Chart, Colour, EndLabel, Figure, INK, NAVY, PLUM, RUST, SEA, SKY, SLATE, STONE, STRAW,
    Window, look, thinned, tick_text,
};

const NAME: &str = "energy";

// From the bottom of the stack to its top. Neighbours differ in lightness (a test of the palette).
const PARTS: [(&str, &str, Colour); 8] = [
    ("energy_vehicle_kinetic_j", "vehicle, kinetic", NAVY),
    ("energy_support_kinetic_j", "support, kinetic", SKY),
    ("energy_crush_j", "crush of the vehicle", RUST),
    ("energy_bending_j", "bending of the pole", STRAW),
    ("energy_friction_j", "friction of the bolts", PLUM),
    ("energy_keeper_j", "keeper torn", STONE),
    ("energy_dent_j", "dent in the tube", SEA),
    ("energy_other_j", "everything else", SLATE),
];

struct Part {
    words: &'static str,
    colour: Colour,
    kilojoules: Vec<f64>,
}

pub fn draw(
    history: &History,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Figure, ReportError> {
    let books = &summary.books;
    let facts = format!(
        "{:.2} kJ at first touch; residual {:.3} % (limit {:.1} %)",
        1e-3 * summary.energy.initial_kinetic_j,
        100.0 * books.energy_residual_fraction,
        100.0 * books.energy_limit_fraction
    );
    let mut f = page(NAME, "Energy book", &facts, 1080.0, summary);
    let mut parts = Vec::new();
    for (column, words, colour) in PARTS {
        parts.push(Part {
            words,
            colour,
            kilojoules: history.scaled(column, 1e-3)?,
        });
    }
    let time = Axis::covering(&history.time_ms, 0.0, NAME, "time")?;
    let area = |top: f64, bottom: f64| Window::new((95.0, top), (1130.0, bottom));
    let place = (area(130.0, 390.0), time);
    stack(&mut f, history, &parts, place, "Whole book, kJ", false)?;
    let (place, title) = (
        (area(475.0, 975.0), time),
        "What left the vehicle's motion, kJ",
    );
    stack(&mut f, history, &parts[1..], place, title, true)?;
    let marks = Chart {
        area: area(475.0, 975.0),
        x: time,
        y: Axis::new(0.0, 1.0),
    };
    marks.instants(&mut f, &instants(engagement), true);
    let last = history.time_ms.len() - 1;
    let words: Vec<String> = (parts.iter())
        .map(|p| format!("{} {:.2} kJ", p.words, p.kilojoules[last]))
        .collect();
    f.set_alt_text(format!(
        "Stacked areas of energy against time, above with and below without the vehicle's own motion. Of {:.2} kJ at \
         first touch there are at the end: {}. The residual is {:.3} % of the initial energy; {}.",
        1e-3 * summary.energy.initial_kinetic_j,
        words.join(", "),
        100.0 * books.energy_residual_fraction,
        instants_in_words(summary)
    ));
    Ok(f.finish()?)
}

/// A part's share of the stack: lower and upper edge at each instant.
struct Edges {
    lower: Vec<f64>,
    upper: Vec<f64>,
}

// Positive values are stacked upwards from zero, negative ones downwards, each in the order given: for each part
// its edges above and below zero. Where a part has no value on a side, its edges there coincide.
fn edges(parts: &[Part], n: usize) -> Vec<[Edges; 2]> {
    let (mut up, mut down) = (vec![0.0; n], vec![0.0; n]);
    let mut out = Vec::new();
    for p in parts {
        let before = [up.clone(), down.clone()];
        for (i, v) in p.kilojoules.iter().enumerate() {
            up[i] += v.max(0.0);
            down[i] += v.min(0.0);
        }
        let [low_up, high_down] = before;
        out.push([
            Edges {
                lower: low_up,
                upper: up.clone(),
            },
            Edges {
                lower: down.clone(),
                upper: high_down,
            },
        ]);
    }
    out
}

fn stack(
    f: &mut Figure,
    history: &History,
    parts: &[Part],
    (area, x): (Window, Axis),
    title: &str,
    time_title: bool,
) -> Result<(), ReportError> {
    let n = history.time_ms.len();
    let bands = edges(parts, n);
    let last = bands.last().map_or(&[][..], |b| &b[0].upper);
    let mut y = Axis::covering(last.iter().chain([&0.0]), 0.0, NAME, title)?;
    // Room for words at the top; below zero only as far as something is there to see.
    y.high += if time_title { 0.16 } else { 0.05 } * (y.high - y.low);
    let lowest = (bands.iter())
        .flat_map(|b| &b[1].lower)
        .fold(0.0, |m: f64, v| m.min(*v));
    if lowest < -0.005 * y.high {
        y.low = 1.05 * lowest;
    }
    let chart = Chart { area, x, y };
    chart.over_time(f, time_title, title);
    let line = |values: &[f64]| thinned(&chart.points(&history.time_ms, values));
    let mut ends = Vec::new();
    for (p, band) in parts.iter().zip(&bands) {
        for e in band {
            if e.lower == e.upper {
                continue;
            }
            let mut outline = line(&e.upper);
            let mut back = line(&e.lower);
            back.reverse();
            outline.extend(back);
            f.fill(area.polygon(&outline), p.colour, 1.0);
        }
        let value = p.kilojoules[n - 1];
        let e = &band[usize::from(value < 0.0)];
        ends.push(EndLabel {
            text: format!("{} {} kJ", p.words, tick_text(value, 2)),
            colour: match p.colour {
                SKY | STRAW | STONE => INK,
                colour => colour,
            },
            from: (
                history.time_ms[n - 1],
                0.5 * (e.lower[n - 1] + e.upper[n - 1]),
            ),
        });
    }
    for band in &bands {
        for edge in [&band[0].upper, &band[1].lower] {
            for piece in area.polyline(&line(edge)) {
                f.line(piece, 1.0, INK);
            }
        }
    }
    if time_title {
        chart.end_labels(f, &ends);
    } else {
        // The thin bands of the whole book are named in the chart below.
        chart.end_labels(f, &ends[..1]);
        let place = (area.right + 16.0, area.top + 14.0);
        f.text(place, "the rest: see below", look(15.0, SLATE));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_that_changes_its_sign_moves_from_one_side_to_the_other() {
        let part = |kilojoules: &[f64]| Part {
            words: "",
            colour: NAVY,
            kilojoules: kilojoules.to_vec(),
        };
        let b = edges(
            &[part(&[3.0, 3.0]), part(&[-1.0, 2.0]), part(&[1.0, 1.0])],
            2,
        );
        assert_eq!(b[1][0].lower, [3.0, 3.0]);
        assert_eq!(b[1][0].upper, [3.0, 5.0]);
        assert_eq!(b[1][1].lower, [-1.0, 0.0]);
        assert_eq!(b[1][1].upper, [0.0, 0.0]);
        assert_eq!(b[2][0].upper, [4.0, 6.0]);
    }
}
