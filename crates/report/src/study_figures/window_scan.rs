//! Velocity change of each impact against the torque, from the runs of the window's search.

use giveway_impact::outcome::Ending;
use giveway_study::analysis::ColumnLimit;
use giveway_study::window::{Searched, TorqueWindow, Trial};

use super::frame::sign;
use super::sheet::column;
use crate::ReportError;
use crate::axis::Axis;
use crate::chart::{Chart, spread};
use crate::clip::Window;
use crate::figure::{Figure, Point, look};
use crate::palette::{INK, LIMIT, PENS, Pen, SLATE};

/// Draws the lower part.
pub fn scans(
    f: &mut Figure,
    name: &str,
    w: &TorqueWindow,
    limit: Option<&ColumnLimit>,
    area: Window,
    x: Axis,
) -> Result<(), ReportError> {
    let all: Vec<Vec<&Trial>> = w.searched.iter().map(|s| trials(s, x.high)).collect();
    let mut values: Vec<f64> = (all.iter().flatten())
        .filter_map(|t| t.velocity_change_mps)
        .chain([0.0])
        .collect();
    values.extend(limit.map(|l| l.value));
    let chart = Chart {
        area,
        x,
        y: Axis::covering(&values, 0.08, name, "velocity change")?,
    };
    chart.frame(
        f,
        Some("Tightening torque, N.m"),
        "Velocity change of the vehicle, m/s",
    );
    let mut ends: Vec<(Point, Pen, String)> = Vec::new();
    if let Some(limit) = limit {
        let y = chart.at(0.0, limit.value).1;
        f.line([(area.left, y), (area.right, y)], 2.4, LIMIT, &[10.0, 6.0]);
        let pen = Pen {
            colour: LIMIT,
            ..PENS[0]
        };
        let text = format!("limit {:.2} m/s, {}", limit.value, limit.source);
        ends.push(((area.right, y), pen, text));
    }
    for (i, trials) in all.iter().enumerate() {
        let pen = PENS[i % PENS.len()];
        let last = curve(f, &chart, trials, pen);
        if let (Some(last), Some(case)) = (last, w.cases.get(i)) {
            ends.push((last, pen, case.name.clone()));
        }
    }
    names(f, &area, ends);
    key(f, &area);
    Ok(())
}

/// Runs of the scan and at the edges, by torque, as far as the axis goes.
fn trials(found: &Searched, most: f64) -> Vec<&Trial> {
    let edges = (found.ranges.iter())
        .flat_map(|r| [&r.lower_edge, &r.upper_edge])
        .flatten()
        .flat_map(|e| [&e.passing, &e.failing]);
    let mut all: Vec<&Trial> = found.scan.iter().chain(edges).collect();
    all.retain(|t| t.velocity_change_mps.is_some());
    all.sort_by(|a, b| a.torque_nm.total_cmp(&b.torque_nm));
    all.dedup_by(|a, b| a.torque_nm == b.torque_nm);
    // The first one beyond gives the curve its way out.
    let inside = all.iter().filter(|t| t.torque_nm <= most).count();
    all.truncate(inside + 1);
    all
}

/// A line through the runs that let go and one through those that hold; thin dashes over the cliff between them.
fn curve(f: &mut Figure, chart: &Chart, trials: &[&Trial], pen: Pen) -> Option<Point> {
    let at = |t: &Trial| chart.at(t.torque_nm, t.velocity_change_mps.unwrap_or(0.0));
    let held = |t: &Trial| t.ending == Some(Ending::Held);
    for pair in trials.windows(2) {
        if held(pair[0]) != held(pair[1]) {
            for piece in chart.area.polyline(&[at(pair[0]), at(pair[1])]) {
                f.line(piece, 1.6, pen.colour, &[3.0, 4.0]);
            }
        }
    }
    let mut last = None;
    for run in trials.chunk_by(|a, b| held(a) == held(b)) {
        let points: Vec<Point> = run.iter().map(|t| at(t)).collect();
        for piece in chart.area.polyline(&points) {
            last = piece.last().copied();
            f.line(piece, 2.8, pen.colour, pen.dash);
        }
    }
    let mut before: Option<Point> = None;
    for t in trials {
        let p = at(t);
        if !chart.area.contains(p) {
            continue;
        }
        // A lone sign ends its curve, too.
        last = last.filter(|l: &Point| l.0 >= p.0).or(Some(p));
        // Close to another sign of the same look nothing is added.
        let near = before.is_some_and(|b| libm::hypot(b.0 - p.0, b.1 - p.1) < 9.0);
        if !near {
            sign(f, p, pen, t.passes);
            if held(t) {
                f.line(
                    [(p.0 - 3.5, p.1 - 3.5), (p.0 + 3.5, p.1 + 3.5)],
                    1.6,
                    pen.colour,
                    &[],
                );
                f.line(
                    [(p.0 - 3.5, p.1 + 3.5), (p.0 + 3.5, p.1 - 3.5)],
                    1.6,
                    pen.colour,
                    &[],
                );
            }
            before = Some(p);
        }
    }
    last
}

/// Names beside the right edge, each in as many lines as it needs.
fn names(f: &mut Figure, area: &Window, mut ends: Vec<(Point, Pen, String)>) {
    ends.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
    let wanted: Vec<f64> = ends
        .iter()
        .map(|e| e.0.1.clamp(area.top, area.bottom))
        .collect();
    for ((end, pen, name), y) in
        ends.iter()
            .zip(spread(&wanted, 48.0, area.top + 10.0, area.bottom - 24.0))
    {
        f.line(
            [*end, (area.right + 2.0, end.1)],
            1.0,
            pen.colour,
            &[2.0, 5.0],
        );
        f.line(
            [(area.right + 2.0, end.1), (area.right + 14.0, y)],
            1.2,
            pen.colour,
            &[],
        );
        let lines = super::sheet::wrapped(name, 16.0, 255.0);
        for (i, line) in lines.iter().take(2).enumerate() {
            f.text(
                (area.right + 18.0, y + 19.0 * i as f64),
                line,
                look(16.0, pen.colour).bold(),
            );
        }
    }
}

fn key(f: &mut Figure, area: &Window) {
    let left = 40.0;
    let mut y = area.top + 10.0;
    for (filled, crossed, text) in [
        (true, false, "passes its document"),
        (false, false, "fails, though the base lets go"),
        (false, true, "fails: the base holds"),
    ] {
        let p = (left + 9.0, y);
        sign(f, p, PENS[0], filled);
        if crossed {
            f.line(
                [(p.0 - 3.5, p.1 - 3.5), (p.0 + 3.5, p.1 + 3.5)],
                1.6,
                PENS[0].colour,
                &[],
            );
            f.line(
                [(p.0 - 3.5, p.1 + 3.5), (p.0 + 3.5, p.1 - 3.5)],
                1.6,
                PENS[0].colour,
                &[],
            );
        }
        f.text((left + 26.0, y), text, look(15.0, INK));
        y += 28.0;
    }
    f.line(
        [(left, y), (left + 26.0, y)],
        1.6,
        PENS[0].colour,
        &[3.0, 4.0],
    );
    f.text(
        (left + 34.0, y),
        "cliff: nothing lies between",
        look(15.0, INK),
    );
    y += 34.0;
    let text = "A pass is judged by all checks of the governing document, not by the velocity change alone.";
    column(f, (left, y), 270.0, text, SLATE);
}
