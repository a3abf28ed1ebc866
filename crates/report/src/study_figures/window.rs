//! The torque window: every limit of the torque on one axis, the window that they leave, and below it what each impact does.

use giveway_mechanics::retention::Grade;
use giveway_results::grades::wind_name;
use giveway_study::analysis::ColumnLimit;
use giveway_study::window::{ConfidentWindow, Limit, LimitKind, Searched, TorqueWindow};
use giveway_units::spoken_title;

use super::quantity::short;
use super::shade::hatch;
use super::sheet::sheet;
use super::window_scan::scans;
use crate::axis::Axis;
use crate::chart::Chart;
use crate::clip::Window;
use crate::figure::{Anchor, Figure, look};
use crate::lettering::text_width;
use crate::palette::{Colour, GRID, INK, Marker, NAVY, PAPER, PLUM, Pen, SEA, SLATE};
use crate::{FigureFile, ReportError, painted};

/// What a window is drawn from.
#[derive(Debug, Clone, Copy)]
pub struct WindowPicture<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The window of the design.
    pub window: &'a TorqueWindow,
    /// The window under scatter, where it was asked for.
    pub confident: Option<&'a ConfidentWindow>,
    /// Limit of the velocity change, where the governing document has one.
    pub velocity_limit: Option<&'a ColumnLimit>,
    /// The caution.
    pub caution: &'a str,
}

/// Title of the torque axis.
const TORQUE: &str = "Tightening torque, N.m";
/// Left end of the torque axis on the page.
pub const LEFT: f64 = 400.0;
/// Its right end.
pub const RIGHT: f64 = 1080.0;
const TOP: f64 = 135.0;
const ROW: f64 = 46.0;
/// Height of a bar.
const BAR: f64 = 28.0;

/// One row of the upper part.
struct Row {
    words: String,
    /// Ranges of torque that satisfy it, N.m.
    ranges: Vec<[f64; 2]>,
    look: RowLook,
}

#[derive(Clone, Copy, PartialEq)]
enum RowLook {
    /// One requirement.
    Requirement,
    /// The window of the design.
    Window,
    /// The window under scatter.
    Confident,
}

/// Draws the window.
///
/// # Errors
/// A number that is not finite, a painter that fails.
pub fn window_figure(name: &str, picture: &WindowPicture<'_>) -> Result<FigureFile, ReportError> {
    painted(&draw(name, picture)?)
}

fn draw(name: &str, p: &WindowPicture<'_>) -> Result<Figure, ReportError> {
    let w = p.window;
    let rows = rows(p);
    // Below the last row stand the intervals of the window under scatter.
    let bottom = TOP + ROW * rows.len() as f64 + 8.0;
    let scan_top = bottom + 130.0;
    let scan_bottom = scan_top + 420.0;
    let height = scan_bottom + 150.0;
    let mut f = sheet(
        name,
        &headline(w),
        &format!("{}: {}", p.title, w.sentence),
        height,
        p.caution,
    );
    let x = torques(p, name)?;
    let chart = Chart {
        area: Window {
            left: LEFT,
            top: TOP,
            right: RIGHT,
            bottom,
        },
        x,
        y: Axis {
            low: 0.0,
            high: 1.0,
        },
    };
    axis(&mut f, &chart);
    if let Some([from, to]) = w.window_nm {
        // The window runs through both parts.
        let (a, b) = (chart.at(from, 0.0).0, chart.at(to, 0.0).0);
        f.rect((a, TOP), (b, bottom), NAVY, 0.08);
        f.rect((a, scan_top), (b, scan_bottom), NAVY, 0.08);
    }
    for (i, row) in rows.iter().enumerate() {
        draw_row(&mut f, &chart, row, TOP + ROW * (i as f64 + 0.5));
    }
    design(&mut f, &chart, w.torque_nm, bottom, scan_top, scan_bottom);
    for (i, row) in rows.iter().enumerate() {
        numbers(&mut f, &chart, row, TOP + ROW * (i as f64 + 0.5), p);
    }
    key(&mut f, bottom + 62.0);
    let area = Window {
        left: LEFT,
        top: scan_top,
        right: RIGHT,
        bottom: scan_bottom,
    };
    scans(&mut f, name, w, p.velocity_limit, area, x)?;
    f.set_alt_text(words(p, &rows));
    f.finish()
}

fn headline(w: &TorqueWindow) -> String {
    match w.window_nm {
        Some([from, to]) => format!("Torque window: {from:.0} to {to:.0} N.m"),
        None => "Torque window: none".to_owned(),
    }
}

/// From zero to somewhat beyond everything that limits.
fn torques(p: &WindowPicture<'_>, name: &str) -> Result<Axis, ReportError> {
    let w = p.window;
    let [_, most] = w.from_to_nm;
    // What is nearest counts: limits of the wind, of the impacts and of the window, the own torque.
    let mut ends: Vec<f64> = (w.limits.iter())
        .filter(|l| !matches!(l.kind, LimitKind::Proof | LimitKind::WasherBending))
        .filter_map(|l| l.torque_nm)
        .filter(|t| *t < most)
        .collect();
    ends.extend(w.torque_nm);
    ends.extend(w.window_nm.map(|w| w[1]));
    if let Some(c) = p.confident {
        let both = [c.lower, c.upper].into_iter().flatten();
        ends.extend(both.map(|e| e.torque_nm));
    }
    let far = ends.iter().fold(0.0, |m: f64, t| m.max(*t));
    // A limit of the parts not far beyond is shown too.
    let parts = w.limits.iter().filter_map(|l| l.torque_nm);
    let far = parts.filter(|t| *t < 1.5 * far).fold(far, f64::max);
    let mut axis = Axis::covering(&[0.0, far.max(0.1 * most)], 0.0, name, "torque")?;
    axis.high *= 1.2;
    Ok(axis)
}

fn rows(p: &WindowPicture<'_>) -> Vec<Row> {
    let w = p.window;
    let [least, most] = w.from_to_nm;
    // The first two limits are those of the wind from below.
    let row = |(i, limit): (usize, &Limit)| -> Option<Row> {
        let from = |t: Option<f64>| t.map(|t| vec![[t, f64::INFINITY]]).unwrap_or_default();
        let upto = |t: Option<f64>| t.map(|t| vec![[0.0, t]]).unwrap_or_default();
        let (words, ranges) = match limit.kind {
            LimitKind::Wind {
                grade, wind_mps, ..
            } => {
                let asked = match grade {
                    Grade::Service => "no bolt gaps or slides",
                    Grade::Strength => "nothing yields or slips far",
                    Grade::Survival => "the base does not come apart",
                };
                let below = i < 2;
                (
                    format!("{}, {wind_mps:.0} m/s: {asked}", wind_name(grade)),
                    if below {
                        from(limit.torque_nm)
                    } else {
                        upto(limit.torque_nm)
                    },
                )
            }
            LimitKind::Proof => (
                "bolts below their proof load".to_owned(),
                upto(limit.torque_nm),
            ),
            LimitKind::WasherBending => {
                ("plate washers stay flat".to_owned(), upto(limit.torque_nm))
            }
            LimitKind::Impact { .. } => return None,
        };
        Some(Row {
            words,
            ranges,
            look: RowLook::Requirement,
        })
    };
    let mut rows: Vec<Row> = w.limits.iter().enumerate().filter_map(row).collect();
    for (case, found) in w.cases.iter().zip(&w.searched) {
        rows.push(Row {
            words: format!("passes {}", case.name),
            ranges: passing(found, least, most),
            look: RowLook::Requirement,
        });
    }
    rows.push(Row {
        words: "torque window of the design".to_owned(),
        ranges: w.window_nm.into_iter().collect(),
        look: RowLook::Window,
    });
    if let Some(c) = p.confident {
        rows.push(Row {
            words: format!("window at {} % confidence", short(100.0 * c.level)),
            ranges: c.window_nm.into_iter().collect(),
            look: RowLook::Confident,
        });
    }
    rows
}

/// Passing ranges; one that reaches the end of what was searched is open there.
fn passing(found: &Searched, least: f64, most: f64) -> Vec<[f64; 2]> {
    (found.ranges.iter())
        .map(|r| {
            let from = if r.from_nm <= least { 0.0 } else { r.from_nm };
            let to = if r.to_nm >= most {
                f64::INFINITY
            } else {
                r.to_nm
            };
            [from, to]
        })
        .collect()
}

fn axis(f: &mut Figure, chart: &Chart) {
    let w = chart.area;
    f.in_each(|f, system| {
        let (ticks, title) = chart.x.said(TORQUE, 9, system);
        for (t, text) in ticks {
            let x = chart.at(t, 0.0).0;
            f.line([(x, w.top), (x, w.bottom)], 1.0, GRID, &[]);
            let look = look(15.0, INK).at(Anchor::Middle);
            f.text((x, w.bottom + 17.0), &text, look);
        }
        let at = (w.right + 16.0, w.bottom + 17.0);
        f.text(at, &title, look(16.0, INK).bold());
    });
    f.line([(w.left, w.bottom), (w.right, w.bottom)], 1.5, INK, &[]);
}

fn draw_row(f: &mut Figure, chart: &Chart, row: &Row, y: f64) {
    let w = chart.area;
    let main = row.look != RowLook::Requirement;
    let mut label = look(16.0, INK).at(Anchor::End);
    label.bold = main;
    for (i, line) in super::sheet::wrapped(&row.words, 16.0, LEFT - 60.0)
        .iter()
        .take(2)
        .enumerate()
    {
        let lines = if text_width(&row.words, 16.0, main) > LEFT - 60.0 {
            2.0
        } else {
            1.0
        };
        let at = y + 18.0 * (i as f64 - 0.5 * (lines - 1.0));
        f.text((LEFT - 16.0, at), line, label);
    }
    let track = Window {
        left: w.left,
        top: y - 0.5 * BAR,
        right: w.right,
        bottom: y + 0.5 * BAR,
    };
    f.rect(
        (track.left, track.top),
        (track.right, track.bottom),
        (0xf4, 0xf4, 0xf2),
        1.0,
    );
    hatch(f, track, 8.0, 1.0, (0x9a, 0xa2, 0xa9));
    f.frame(
        (track.left, track.top),
        (track.right, track.bottom),
        1.0,
        SLATE,
    );
    let (colour, line): (Colour, f64) = match row.look {
        RowLook::Requirement => ((0xcf, 0xe8, 0xe2), 1.6),
        RowLook::Window => (NAVY, 1.6),
        RowLook::Confident => ((0xee, 0xd9, 0xe6), 2.4),
    };
    let edge = match row.look {
        RowLook::Requirement => SEA,
        RowLook::Window => NAVY,
        RowLook::Confident => PLUM,
    };
    if row.ranges.is_empty() {
        let middle = (0.5 * (w.left + w.right), y);
        f.label(
            middle,
            "no torque",
            look(16.0, INK).bold().at(Anchor::Middle),
            PAPER,
        );
    }
    for [from, to] in &row.ranges {
        let (a, b) = (
            chart.at(from.max(0.0), 0.0).0,
            chart.at(to.min(chart.x.high), 0.0).0,
        );
        let b = b.max(a + 2.0);
        f.rect((a, track.top), (b, track.bottom), colour, 1.0);
        f.frame((a, track.top), (b, track.bottom), line, edge);
    }
}

/// The numbers of a row, over everything else.
fn numbers(f: &mut Figure, chart: &Chart, row: &Row, y: f64, p: &WindowPicture<'_>) {
    let w = chart.area;
    if row.ranges.is_empty() {
        let middle = (0.5 * (w.left + w.right), y);
        let style = look(16.0, INK).bold().at(Anchor::Middle);
        f.label(middle, "no torque", style, PAPER);
    }
    for [from, to] in &row.ranges {
        let a = chart.at(from.max(0.0), 0.0).0;
        let b = chart.at(to.min(chart.x.high), 0.0).0.max(a + 2.0);
        f.in_each(|f, system| {
            let (_, factor) = spoken_title(TORQUE, system);
            ends(f, row, [*from, *to], (a, b), y, (chart.x.high, factor));
        });
    }
    if row.look == RowLook::Confident
        && let Some(c) = p.confident
    {
        let percent = short(100.0 * c.level);
        let sides = [
            (c.lower, "stand from", -9.0, Marker::Triangle),
            (c.upper, "pass and bear to", 11.0, Marker::Diamond),
        ];
        for (end, words, dy, marker) in sides {
            let pen = Pen {
                colour: PLUM,
                dash: &[],
                marker,
            };
            let at = (w.right + 26.0, y + dy);
            super::frame::sign(f, at, pen, true);
            let told = match end {
                Some(e) => format!("{percent} % {words} {:.0} N.m", e.torque_nm),
                None => format!("{percent} % {words} no torque"),
            };
            f.text((at.0 + 14.0, at.1), &told, look(15.0, INK));
            let Some(e) = end else { continue };
            let place = |t: f64| (chart.at(t.min(chart.x.high), 0.0).0, y + 0.5 * BAR + 8.0);
            if let [Some(low), Some(high)] = e.interval_nm {
                super::frame::whisker(f, place(low), place(high), PLUM);
            }
            super::frame::sign(f, place(e.torque_nm), pen, true);
        }
    }
}

/// Numbers at the ends of a range, in the unit of the axis: inside where there is room, else beside it.
fn ends(
    f: &mut Figure,
    row: &Row,
    [from, to]: [f64; 2],
    (a, b): (f64, f64),
    y: f64,
    (far, factor): (f64, f64),
) {
    let number = |t: f64| format!("{:.0}", t * factor);
    let style = look(16.0, INK).bold();
    let low = (from > 0.0).then(|| number(from));
    let high = if to < far {
        Some(number(to))
    } else {
        to.is_finite()
            .then(|| format!("to {} \u{2192}", number(to)))
    };
    let wide = |t: &Option<String>| t.as_ref().map_or(0.0, |t| text_width(t, 16.0, true) + 14.0);
    let fits = b - a > wide(&low) + wide(&high) + 6.0 && row.look != RowLook::Window;
    let plate = |inside: bool| if inside { (0xcf, 0xe8, 0xe2) } else { PAPER };
    if let Some(text) = low {
        if fits {
            f.label(
                (a + 7.0, y),
                &text,
                style,
                plate(row.look == RowLook::Requirement),
            );
        } else {
            f.label((a - 9.0, y), &text, style.at(Anchor::End), PAPER);
        }
    }
    if let Some(text) = high {
        if fits {
            let own = plate(row.look == RowLook::Requirement);
            f.label((b - 7.0, y), &text, style.at(Anchor::End), own);
        } else {
            f.label((b + 9.0, y), &text, style, PAPER);
        }
    }
}

/// The own torque of the design through both parts.
fn design(f: &mut Figure, chart: &Chart, torque: Option<f64>, bottom: f64, top: f64, end: f64) {
    let Some(torque) = torque else {
        return;
    };
    let x = chart.at(torque, 0.0).0;
    f.line(
        [(x, TOP - 6.0), (x, bottom)],
        2.6,
        INK,
        &[12.0, 4.0, 3.0, 4.0],
    );
    f.line([(x, top), (x, end)], 2.6, INK, &[12.0, 4.0, 3.0, 4.0]);
    let text = format!("design {torque:.0} N.m");
    let half = 0.5 * text_width(&text, 16.0, true);
    let at = x.clamp(LEFT + half, RIGHT - half);
    f.text(
        (at, TOP - 18.0),
        &text,
        look(16.0, INK).bold().at(Anchor::Middle),
    );
}

fn key(f: &mut Figure, y: f64) {
    let mut x = 40.0;
    let boxes: [(&str, bool); 2] = [("satisfied", false), ("not satisfied", true)];
    for (text, not) in boxes {
        let w = Window {
            left: x,
            top: y - 10.0,
            right: x + 40.0,
            bottom: y + 10.0,
        };
        let (a, b) = ((w.left, w.top), (w.right, w.bottom));
        if not {
            f.rect(a, b, (0xf4, 0xf4, 0xf2), 1.0);
            hatch(f, w, 8.0, 1.0, (0x9a, 0xa2, 0xa9));
            f.frame(a, b, 1.0, SLATE);
        } else {
            f.rect(a, b, (0xcf, 0xe8, 0xe2), 1.0);
            f.frame(a, b, 1.6, SEA);
        }
        f.text((x + 48.0, y), text, look(15.0, INK));
        x += 48.0 + text_width(text, 15.0, false) + 28.0;
    }
}

fn words(p: &WindowPicture<'_>, rows: &[Row]) -> String {
    let w = p.window;
    let list: Vec<String> = rows
        .iter()
        .map(|r| {
            let ranges: Vec<String> = (r.ranges.iter())
                .map(|[from, to]| match (*from > 0.0, to.is_finite()) {
                    (true, true) => format!("{from:.0} to {to:.0} N.m"),
                    (true, false) => format!("from {from:.0} N.m"),
                    (false, true) => format!("up to {to:.0} N.m"),
                    (false, false) => "any torque".to_owned(),
                })
                .collect();
            let said = if ranges.is_empty() {
                "no torque".to_owned()
            } else {
                ranges.join(", ")
            };
            format!("{}: {said}", r.words)
        })
        .collect();
    let own = w.torque_nm.map_or(String::new(), |t| {
        let inside = match w.torque_is_inside {
            Some(true) => ", inside the window",
            Some(false) => ", outside the window",
            None => "",
        };
        format!(" The design's torque is {t:.0} N.m{inside}.")
    });
    format!(
        "{}. {}. Bars on a torque axis: {}.{own} Below: velocity change against the torque for each impact.",
        p.title,
        headline(w),
        list.join("; ")
    )
}
