//! Frames of charts over swept quantities: numbers or words along an axis; signs and keys.

use super::quantity::{Quantity, capital};
use crate::ReportError;
use giveway_draw::{
    Axis, Chart, Colour, Figure, GRID, INK, Marker, PAPER, Pen, Point, Window, circle, look,
};
use giveway_study::analysis::{AxisValues, ColumnLimit};

/// The values of an axis in the shown unit.
pub fn shown(values: &AxisValues) -> (Quantity, Vec<f64>) {
    let q = Quantity::of(&values.column);
    let scale = scale(values, &q);
    let shown = values.values.iter().map(|v| v * scale).collect();
    (q, shown)
}

/// Shown number over that of the axis; places of words are numbers of their own.
pub fn scale(values: &AxisValues, q: &Quantity) -> f64 {
    if values.words.is_empty() {
        q.scale
    } else {
        1.0
    }
}

/// A place along an axis in words.
pub fn place_text(values: &AxisValues, q: &Quantity, at: f64) -> String {
    let word = values.words.get(at as usize);
    word.cloned().unwrap_or_else(|| q.text(at))
}

/// The range of an axis: exactly from end to end of numbers or bins, half a place beyond words.
pub fn range(
    values: &AxisValues,
    shown: &[f64],
    figure: &str,
    margin: f64,
) -> Result<Axis, ReportError> {
    if !values.words.is_empty() {
        return Ok(Axis::new(-0.5, shown.len() as f64 - 0.5));
    }
    let mut axis = Axis::covering(shown, 0.0, figure, &values.column)?;
    let widen = margin * (axis.high - axis.low);
    axis.low -= if axis.low == 0.0 { 0.0 } else { widen };
    axis.high += widen;
    Ok(axis)
}

/// A limit in words, with its number.
pub fn limit_text(limit: &ColumnLimit, q: &Quantity) -> String {
    format!("{} ({})", q.text(limit.value), limit.source)
}

/// Frame with numbers up and numbers or words along.
pub fn frame(f: &mut Figure, chart: &Chart, x: &AxisValues, x_title: &str, y_title: &str) {
    if x.words.is_empty() {
        chart.frame(f, Some(&capital(x_title)), y_title);
        return;
    }
    // Its own lines up, none along: the words' places are drawn here.
    let w = chart.area;
    f.in_each(|f, system| chart.up(f, y_title, 6, system));
    chart.corner(f);
    let room = (w.right - w.left) / x.words.len() as f64 - 14.0;
    for (i, word) in x.words.iter().enumerate() {
        let at = chart.at(i as f64, 0.0).0;
        f.line([(at, w.top), (at, w.bottom)], 1.0, GRID);
        let lines = super::sheet::wrapped(word, 15.0, room.max(60.0));
        for (n, line) in lines.iter().take(3).enumerate() {
            let y = w.bottom + 17.0 + 18.0 * n as f64;
            f.text((at, y), line, look(15.0, INK).middle());
        }
    }
}

/// A marker at a point, filled or open.
pub fn sign(f: &mut Figure, p: Point, pen: Pen, filled: bool) {
    let outline: Vec<Point> = outline(p, pen.marker, 7.0);
    if filled {
        f.fill(outline, pen.colour, 1.0);
        return;
    }
    f.fill(outline.iter().copied(), PAPER, 1.0);
    f.round(&outline, 2.2, pen.colour);
}

fn outline((x, y): Point, marker: Marker, r: f64) -> Vec<Point> {
    match marker {
        Marker::Disc => circle((x, y), 0.9 * r, 24),
        Marker::Square => Window::about((x, y), 0.85 * r).corners().to_vec(),
        Marker::Triangle => vec![
            (x, y - 1.1 * r),
            (x + 1.1 * r, y + 0.85 * r),
            (x - 1.1 * r, y + 0.85 * r),
        ],
        Marker::Diamond => vec![
            (x, y - 1.2 * r),
            (x + 1.2 * r, y),
            (x, y + 1.2 * r),
            (x - 1.2 * r, y),
        ],
    }
}

/// An upright interval with short bars at its ends.
pub fn whisker(f: &mut Figure, low: Point, high: Point, colour: Colour) {
    f.line([low, high], 1.8, colour);
    let upright = low.0 == high.0;
    for p in [low, high] {
        let bar = if upright {
            [(p.0 - 5.0, p.1), (p.0 + 5.0, p.1)]
        } else {
            [(p.0, p.1 - 5.0), (p.0, p.1 + 5.0)]
        };
        f.line(bar, 1.8, colour);
    }
}
