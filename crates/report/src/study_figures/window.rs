//! The torque window at a glance: a bar over the torque for everything that asks something of it - wind, bolts, washers, every
//! impact - with what governs at its ends, the design's torque marked and the common window shaded. Narrow, with large
//! letters, so that it is read on a phone.

use giveway_study::window::{ConfidentWindow, End, How, Pass, Row, TorqueWindow};
use giveway_units::spoken_title;

use super::shade::{hatch, held};
use super::sheet::wrapped;
use crate::{FigureFile, ReportError, painted};
use giveway_draw::{
    Axis, Chart, Colour, Figure, GRID, INK, NAVY, PAPER, SLATE, Window, look, text_width,
};

/// What a window is drawn from.
#[derive(Debug, Clone, Copy)]
pub struct WindowPicture<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The window of the design.
    pub window: &'a TorqueWindow,
    /// Its table.
    pub table: &'a [Row],
    /// The window under scatter, where it was asked for.
    pub confident: Option<&'a ConfidentWindow>,
    /// The caution.
    pub caution: &'a str,
}

/// Title of the torque axis.
const TORQUE: &str = "Tightening torque, N.m";
const WIDTH: f64 = 760.0;
const LEFT: f64 = 26.0;
const RIGHT: f64 = WIDTH - 26.0;
/// Heights of lines of text, and of a bar.
const NAME: f64 = 27.0;
const SMALL: f64 = 23.0;
const BAR: f64 = 32.0;
const PASSES: Colour = (0xa9, 0xd6, 0xcb);
const FAILS: Colour = (0xf4, 0xf4, 0xf2);

/// One bar.
struct Bar {
    name: Vec<String>,
    about: Vec<String>,
    /// Ranges that pass, N.m; what reaches the end of what was searched is open.
    ranges: Vec<[f64; 2]>,
    /// Ranges where the base holds, N.m.
    holds: Vec<[f64; 2]>,
    /// What governs below and above, at the ends of the ranges.
    ends: Vec<Label>,
    /// Navy: the common window.
    common: bool,
}

/// Words at an end of a range.
struct Label {
    torque_nm: f64,
    text: String,
    /// Whether they tell what lies above the end.
    above: bool,
}

impl Bar {
    fn height(&self) -> f64 {
        NAME * self.name.len() as f64
            + SMALL * (self.about.len() + self.ends.len()) as f64
            + BAR
            + 24.0
    }
}

/// Draws the window.
///
/// # Errors
/// A number that is not finite, a painter that fails.
pub fn window_figure(name: &str, picture: &WindowPicture<'_>) -> Result<FigureFile, ReportError> {
    painted(&drawn_window(name, picture)?)
}

/// The same before it is painted.
pub(crate) fn drawn_window(name: &str, p: &WindowPicture<'_>) -> Result<Figure, ReportError> {
    let w = p.window;
    let mut bars = bars(p);
    let x = torques(p, &bars, name)?;
    for bar in &mut bars {
        bar.ends.retain(|end| end.torque_nm < x.high);
    }
    let facts = wrapped(&facts(p), 18.0, RIGHT - LEFT - 20.0);
    let caution = wrapped(p.caution, 15.0, RIGHT - LEFT);
    let top = 62.0 + SMALL * facts.len() as f64 + 60.0;
    let bottom = top + bars.iter().map(Bar::height).sum::<f64>();
    let foot = bottom + 62.0 + 3.0 * 34.0;
    let height = foot + 20.0 * caution.len() as f64 + 12.0;
    let mut f = Figure::new(name, &headline(w), WIDTH, height);
    f.text((LEFT, 34.0), &headline(w), look(28.0, INK).bold());
    for (i, line) in facts.iter().enumerate() {
        f.text((LEFT, 68.0 + SMALL * i as f64), line, look(18.0, SLATE));
    }
    let chart = Chart {
        area: Window::new((LEFT, top), (RIGHT, bottom)),
        x,
        y: Axis::new(0.0, 1.0),
    };
    grid(&mut f, &chart);
    if let Some([from, to]) = w.window_nm {
        let (a, b) = (chart.at(from, 0.0).0, chart.at(to, 0.0).0);
        f.rect(((a, top - 6.0), (b, bottom)), NAVY, 0.10);
        for x in [a, b] {
            f.dashed([(x, top - 6.0), (x, bottom)], 1.2, NAVY, &[4.0, 4.0]);
        }
    }
    let mut y = top + 8.0;
    for bar in &bars {
        paint(&mut f, &chart, bar, y, w.torque_nm);
        y += bar.height();
    }
    design(&mut f, &chart, w.torque_nm);
    key(&mut f, bottom + 76.0);
    for (i, line) in caution.iter().enumerate() {
        f.text((LEFT, foot + 20.0 * i as f64), line, look(15.0, SLATE));
    }
    f.set_alt_text(words(p));
    Ok(f.finish()?)
}

/// The window in a few words.
pub(crate) fn headline(w: &TorqueWindow) -> String {
    match w.window_nm {
        Some([from, to]) => format!("Torque window: {from:.0} to {to:.0} N.m"),
        None => "Torque window: none".to_owned(),
    }
}

/// Whose window it is, and by which document, where one judges all.
fn facts(p: &WindowPicture<'_>) -> String {
    let mut text = p.title.to_owned();
    if let Some(document) = one_document(p.table) {
        text.push_str(&format!(". Impacts judged by {document}"));
    }
    text
}

fn one_document(table: &[Row]) -> Option<&str> {
    let mut all = table.iter().filter_map(|r| r.document.as_deref());
    let first = all.next()?;
    all.all(|d| d == first).then_some(first)
}

fn bars(p: &WindowPicture<'_>) -> Vec<Bar> {
    let w = p.window;
    let [least, most] = w.from_to_nm;
    let open = |a: f64, b: f64| {
        [
            if a <= least { 0.0 } else { a },
            if b >= most { f64::INFINITY } else { b },
        ]
    };
    let range = |p: &Pass| open(p.from_nm, p.to_nm);
    let one = one_document(p.table).is_some();
    let lines = |text: &str, size: f64| wrapped(text, 1.06 * size, RIGHT - LEFT);
    let common = |name: String, range: Option<[f64; 2]>| Bar {
        name: vec![name],
        about: Vec::new(),
        ranges: range.into_iter().collect(),
        holds: Vec::new(),
        ends: Vec::new(),
        common: true,
    };
    let mut bars = vec![common("common window".to_owned(), w.window_nm)];
    if let Some(c) = p.confident {
        let name = format!("window at {:.0} % confidence", 100.0 * c.level);
        bars.push(common(name, c.window_nm));
    }
    bars.extend(p.table.iter().map(|row| {
        let mut about = row.limit.clone().unwrap_or_default();
        if let (Some(document), false) = (&row.document, one) {
            about = format!("{about}; {document}");
        }
        let held = row.case.and_then(|i| w.searched.get(i));
        let holds = held.map_or_else(Vec::new, |s| {
            (s.stretches.iter())
                .filter(|s| s.how == How::Holds)
                .map(|s| open(s.from_nm, s.to_nm))
                .collect()
        });
        let mut ends: Vec<Label> = row.passes.iter().flat_map(labels).collect();
        if row.passes.is_empty() {
            // Why not, each reason with its torques.
            ends = (row.reasons.iter())
                .flat_map(|r| lines(&r.said(), 18.0))
                .map(|text| Label {
                    torque_nm: 0.0,
                    text,
                    above: true,
                })
                .collect();
        }
        let mark = if row.counts { "" } else { " (moves no end)" };
        Bar {
            name: lines(&format!("{}{mark}", row.name), 21.0),
            about: lines(&about, 18.0),
            ranges: row.passes.iter().map(range).collect(),
            holds,
            ends,
            common: false,
        }
    }));
    bars
}

fn labels(pass: &Pass) -> Vec<Label> {
    let ends = [
        (&pass.from, pass.from_nm, "below", false),
        (&pass.to, pass.to_nm, "above", true),
    ];
    let label = |(end, torque_nm, word, above): (&Option<End>, f64, &str, bool)| {
        let governs = &end.as_ref()?.governs;
        Some(Label {
            torque_nm,
            text: format!("{word}: {governs}"),
            above,
        })
    };
    ends.into_iter().filter_map(label).collect()
}

/// From zero to somewhat beyond the ends that lie near the window or the design's torque.
fn torques(p: &WindowPicture<'_>, bars: &[Bar], name: &str) -> Result<Axis, ReportError> {
    let w = p.window;
    let [_, most] = w.from_to_nm;
    let own = (w.torque_nm.into_iter())
        .chain(w.window_nm.map(|w| w[1]))
        .chain(w.lower.torque_nm)
        .fold(0.0, f64::max);
    let far = (bars.iter().flat_map(|b| b.ranges.iter().flatten()))
        .copied()
        .filter(|t| t.is_finite() && *t < (4.0 * own).max(0.1 * most))
        .fold(own.max(0.1 * most), f64::max);
    let mut axis = Axis::covering(&[0.0, far], 0.0, name, "torque")?;
    axis.high *= 1.15;
    Ok(axis)
}

fn grid(f: &mut Figure, chart: &Chart) {
    let w = chart.area;
    f.in_each(|f, system| {
        let (ticks, title) = chart.x.said(TORQUE, 6, system);
        for (t, text) in ticks {
            let x = chart.at(t, 0.0).0;
            f.line([(x, w.top), (x, w.bottom)], 1.0, GRID);
            let at = (x.clamp(LEFT + 6.0, RIGHT - 16.0), w.bottom + 18.0);
            f.text(at, &text, look(18.0, INK).middle());
        }
        let look = look(18.0, INK).bold().middle();
        f.text((0.5 * WIDTH, w.bottom + 44.0), &title, look);
    });
    f.line([(w.left, w.bottom), (w.right, w.bottom)], 1.5, INK);
}

fn paint(f: &mut Figure, chart: &Chart, bar: &Bar, y: f64, design: Option<f64>) {
    let mut y = y + 0.5 * NAME;
    for line in &bar.name {
        f.label((LEFT, y), line, look(21.0, INK).bold(), PAPER);
        y += NAME;
    }
    for line in &bar.about {
        f.label((LEFT, y - 2.0), line, look(18.0, SLATE), PAPER);
        y += SMALL;
    }
    let track = Window::new((LEFT, y - 10.0), (RIGHT, y - 10.0 + BAR));
    let middle = 0.5 * (track.top + track.bottom);
    let corners = |[from, to]: [f64; 2]| -> Option<(f64, f64)> {
        let a = chart.at(from.max(0.0), 0.0).0;
        let b = chart.at(to.min(chart.x.high), 0.0).0.max(a + 3.0);
        (from < chart.x.high).then_some((a, b))
    };
    f.rect(track, FAILS, 1.0);
    hatch(f, track, 10.0, 1.0, (0x9a, 0xa2, 0xa9));
    for (a, b) in bar.holds.iter().filter_map(|r| corners(*r)) {
        held(f, Window::new((a, track.top), (b, track.bottom)));
    }
    f.frame(track, 1.0, SLATE);
    for (a, b) in bar.ranges.iter().filter_map(|r| corners(*r)) {
        let colour = if bar.common { NAVY } else { PASSES };
        f.rect(((a, track.top), (b, track.bottom)), colour, 1.0);
        f.frame(((a, track.top), (b, track.bottom)), 1.8, INK);
    }
    if let Some(t) = design.filter(|t| *t < chart.x.high) {
        let x = chart.at(t, 0.0).0;
        let on_navy = bar.common && !bar.ranges.is_empty();
        let colour = if on_navy { PAPER } else { INK };
        let line = [(x, track.top), (x, track.bottom)];
        f.dashed(line, 3.0, colour, &[7.0, 4.0]);
    }
    if bar.ranges.iter().all(|r| corners(*r).is_none()) {
        let style = look(19.0, INK).bold().middle();
        f.label((0.5 * WIDTH, middle), "no torque", style, PAPER);
    }
    for range in &bar.ranges {
        let Some(place) = corners(*range) else {
            continue;
        };
        f.in_each(|f, system| {
            let factor = spoken_title(TORQUE, system).1;
            numbers(f, bar.common, *range, place, middle, (chart.x.high, factor));
        });
    }
    y = track.bottom + 0.5 * SMALL + 2.0;
    for end in &bar.ends {
        let x = chart.at(end.torque_nm, 0.0).0;
        let wide = 1.06 * text_width(&end.text, 18.0, false);
        // Beside the end, on its side; within the page in any case.
        let at = if end.above {
            x.min(RIGHT - wide).max(LEFT)
        } else {
            (x - wide).max(LEFT)
        };
        f.label((at, y), &end.text, look(18.0, INK), PAPER);
        y += SMALL;
    }
}

/// Numbers at the ends of a range, in the unit of the axis: inside where there is room, else beside it.
fn numbers(
    f: &mut Figure,
    common: bool,
    [from, to]: [f64; 2],
    (a, b): (f64, f64),
    y: f64,
    (far, factor): (f64, f64),
) {
    let style = look(19.0, INK).bold();
    let number = |t: f64| format!("{:.0}", t * factor);
    let low = (from > 0.0).then(|| number(from));
    let high = if to < far {
        Some(number(to))
    } else {
        to.is_finite()
            .then(|| format!("to {} \u{2192}", number(to)))
    };
    let wide = |t: &Option<String>| t.as_ref().map_or(0.0, |t| text_width(t, 19.0, true) + 16.0);
    let fits = b - a > wide(&low) + wide(&high) + 6.0 && !common;
    let plate = if fits { PASSES } else { PAPER };
    if let Some(text) = low {
        if fits || a - wide(&Some(text.clone())) < LEFT {
            f.label((a + 8.0, y), &text, style, plate);
        } else {
            f.label((a - 10.0, y), &text, style.end(), plate);
        }
    }
    if let Some(text) = high {
        if fits || b + wide(&Some(text.clone())) > RIGHT {
            f.label((b - 8.0, y), &text, style.end(), plate);
        } else {
            f.label((b + 10.0, y), &text, style, plate);
        }
    }
}

/// The design's own torque, named above the bars.
fn design(f: &mut Figure, chart: &Chart, torque: Option<f64>) {
    let Some(torque) = torque.filter(|t| *t < chart.x.high) else {
        return;
    };
    let w = chart.area;
    let x = chart.at(torque, 0.0).0;
    let top = w.top - 8.0;
    let corners = [(x, top + 8.0), (x - 8.0, top - 6.0), (x + 8.0, top - 6.0)];
    f.fill(corners, INK, 1.0);
    let text = format!("design {torque:.0} N.m");
    let half = 0.54 * text_width(&text, 19.0, true);
    let at = x.clamp(LEFT + half, RIGHT - half);
    let style = look(19.0, INK).bold().middle();
    f.text((at, top - 20.0), &text, style);
}

fn key(f: &mut Figure, y: f64) {
    let boxes: [(&str, f64, f64); 5] = [
        ("met", LEFT, y),
        ("not met", LEFT + 130.0, y),
        ("the base holds", LEFT + 310.0, y),
        ("met by all: the common window", LEFT, y + 34.0),
        ("torque of the design", LEFT + 420.0, y + 34.0),
    ];
    for (i, (text, x, y)) in boxes.into_iter().enumerate() {
        let w = Window::new((x, y - 11.0), (x + 40.0, y + 11.0));
        let (a, b) = ((w.left, w.top), (w.right, w.bottom));
        match i {
            0 => f.rect((a, b), PASSES, 1.0),
            1 => {
                f.rect((a, b), FAILS, 1.0);
                hatch(f, w, 10.0, 1.0, (0x9a, 0xa2, 0xa9));
            }
            2 => held(f, w),
            3 => f.rect((a, b), NAVY, 1.0),
            _ => f.dashed([(x, y), (x + 40.0, y)], 3.0, INK, &[7.0, 4.0]),
        }
        if i < 4 {
            f.frame((a, b), 1.2, INK);
        }
        f.text((x + 48.0, y), text, look(18.0, INK));
    }
}

fn words(p: &WindowPicture<'_>) -> String {
    let w = p.window;
    let mut list: Vec<String> = (p.table.iter())
        .map(|row| {
            let reasons: Vec<String> = row.reasons.iter().map(|r| r.said()).collect();
            format!("{}: {}", row.name, reasons.join("; "))
        })
        .collect();
    if let Some(c) = p.confident {
        let window = c.window_nm.map(|[a, b]| format!("{a:.0} to {b:.0} N.m"));
        let window = window.unwrap_or_else(|| "no torque".to_owned());
        let level = 100.0 * c.level;
        list.push(format!("window at {level:.0} % confidence: {window}"));
    }
    let own = w.torque_nm.map_or(String::new(), |t| {
        let inside = match w.torque_is_inside {
            Some(true) => ", inside the window",
            Some(false) => ", outside the window",
            None => "",
        };
        format!(" The design's torque is {t:.0} N.m{inside}.")
    });
    format!(
        "{}. {}. Bars over the torque: {}.{own}",
        p.title,
        headline(w),
        list.join(". ")
    )
}
