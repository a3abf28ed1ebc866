//! An output over two swept quantities: shaded steps with a line and a number at each, the limit, and what does not let go.

use super::frame::{limit_text, range, shown};
use super::quantity::{Quantity, capital, short};
use super::shade::{held, nothing};
use super::sheet::{Facts, column, kept, sheet};
use super::surface_cells::cells;
use super::surface_shown::{AREA, Shown, spans};
use super::surface_smooth::{dot, smooth};
use crate::ReportError;
use giveway_draw::{
    Axis, Chart, Colour, Figure, INK, LIMIT, SLATE, Window, look, text_width, tick_text,
};
use giveway_study::analysis::{AxisValues, Surface};
use giveway_units::{System, spoken_title};

const HEIGHT: f64 = 1000.0;
/// Left edge of the key.
const KEY: f64 = 1090.0;

pub fn draw(name: &str, surface: &Surface, facts: &Facts<'_>) -> Result<Figure, ReportError> {
    let q = Quantity::of(&surface.value);
    let (qx, x) = shown(&surface.x);
    let (qy, y) = shown(&surface.y);
    let stepped = !surface.x.words.is_empty() || !surface.y.words.is_empty();
    let widest = (surface.y.words.iter())
        .map(|w| text_width(w, 15.0, false))
        .fold(0.0, f64::max);
    let area = Window {
        left: AREA.left.max((widest + 50.0).min(420.0)),
        ..AREA
    };
    let mut chart = Chart {
        area,
        x: range(&surface.x, &x, name, 0.0)?,
        y: range(&surface.y, &y, name, 0.0)?,
    };
    if stepped {
        chart.x = whole_cells(chart.x, &x, &surface.x.words);
        chart.y = whole_cells(chart.y, &y, &surface.y.words);
        if !surface.y.words.is_empty() {
            // Words are read from the top.
            (chart.y.low, chart.y.high) = (chart.y.high, chart.y.low);
        }
    }
    let scaled = |v: Option<f64>| v.map(|v| v * q.scale);
    let values: Vec<Vec<Option<f64>>> = (surface.values().into_iter())
        .map(|row| row.into_iter().map(scaled).collect())
        .collect();
    // The scale serves what lets go; what holds is hatched.
    let cells_of = surface.cells.iter().flatten().zip(values.iter().flatten());
    let free: Vec<f64> = cells_of
        .filter(|(c, _)| !c.is_held())
        .filter_map(|(_, v)| *v)
        .collect();
    let (steps, decimals) = steps(&free, name, &surface.value)?;
    let columns = spans(&x, !surface.x.words.is_empty(), chart.x, |v| {
        chart.at(v, 0.0).0
    });
    let rows = spans(&y, !surface.y.words.is_empty(), chart.y, |v| {
        chart.at(0.0, v).1
    });
    let s = Shown {
        columns,
        rows,
        surface,
        q,
        x,
        y,
        values,
        steps,
        decimals,
        chart,
    };
    let quantile = quantile_words(surface.quantile);
    let what = match surface.most_runs {
        0 | 1 => String::new(),
        runs => format!("; {quantile} of up to {runs} runs at each place"),
    };
    let title = format!("{} over {} and {}", capital(&s.q.words), qx.words, qy.words);
    let (runs, kept) = (facts.runs(), kept(&surface.fixed));
    let line = format!("{}: {runs}{kept}{what}", facts.analysis.title);
    let mut f = sheet(name, &title, &line, HEIGHT, facts.caution);
    if stepped {
        cells(&mut f, &s);
    } else {
        smooth(&mut f, &s);
    }
    axes(&mut f, &s, &qx, &qy);
    key(&mut f, &s, stepped);
    f.set_alt_text(words(&s, &title, &line));
    Ok(f.finish()?)
}

/// Room for whole cells at both ends of numbers.
fn whole_cells(axis: Axis, values: &[f64], words: &[String]) -> Axis {
    match values {
        [a, b, .., y, z] if words.is_empty() => Axis {
            low: axis.low - 0.5 * (b - a),
            high: axis.high + 0.5 * (z - y),
        },
        [a, b] | [a, _, b] if words.is_empty() => {
            let half = 0.5 * (b - a) / (values.len() - 1) as f64;
            Axis::new(axis.low - half, axis.high + half)
        }
        _ => axis,
    }
}

/// Round ends of about seven steps that cover the values.
fn steps(free: &[f64], name: &str, what: &str) -> Result<(Vec<f64>, usize), ReportError> {
    let axis = Axis::covering(free, 0.0, name, what)?;
    let (mut ticks, mut decimals) = axis.ticks(7);
    if ticks.len() < 5 {
        (ticks, decimals) = axis.ticks(11);
    }
    let width = match ticks.as_slice() {
        [a, b, ..] => b - a,
        _ => axis.high - axis.low,
    };
    let first = ticks.first().copied().unwrap_or(axis.low);
    let mut steps = ticks.clone();
    if first > axis.low {
        steps.insert(0, first - width);
    }
    let last = steps.last().copied().unwrap_or(first);
    if last < axis.high || steps.len() < 2 {
        steps.push(last + width);
    }
    Ok((steps, decimals))
}

fn quantile_words(p: f64) -> String {
    if p == 0.5 {
        "median".to_owned()
    } else {
        format!("{:.0} % quantile", 100.0 * p)
    }
}

fn axes(f: &mut Figure, s: &Shown<'_>, qx: &Quantity, qy: &Quantity) {
    let w = s.chart.area;
    f.frame(w, 1.5, INK);
    let stepped = !s.surface.x.words.is_empty() || !s.surface.y.words.is_empty();
    // Ticks of an axis and its title, in a system of units.
    let said =
        |axis: Axis, of: (&[String], &[f64]), wanted: usize, q: &Quantity, system: System| {
            let (words, values) = of;
            let (ticks, title) = axis.said(&q.capital_title(), wanted, system);
            let ticks: Vec<(f64, String)> = if !words.is_empty() {
                let places = words.iter().enumerate();
                places.map(|(i, w)| (i as f64, w.clone())).collect()
            } else if stepped && values.len() <= 14 {
                let (_, factor) = spoken_title(&q.title(), system);
                values.iter().map(|v| (*v, short(v * factor))).collect()
            } else {
                ticks
            };
            (ticks, title)
        };
    f.in_each(|f, system| {
        let (ticks, title) = said(s.chart.x, (&s.surface.x.words, &s.x), 9, qx, system);
        for (t, text) in ticks {
            let x = s.chart.at(t, 0.0).0;
            f.line([(x, w.bottom), (x, w.bottom + 6.0)], 1.5, INK);
            let look = look(15.0, INK).middle();
            f.text((x, w.bottom + 20.0), &text, look);
        }
        let at = (w.right, w.bottom + 44.0);
        f.text(at, &title, look(16.0, INK).bold().end());
        let (ticks, title) = said(s.chart.y, (&s.surface.y.words, &s.y), 8, qy, system);
        for (t, text) in ticks {
            let y = s.chart.at(0.0, t).1;
            f.line([(w.left - 6.0, y), (w.left, y)], 1.5, INK);
            f.text((w.left - 10.0, y), &text, look(15.0, INK).end());
        }
        f.text((w.left, w.top - 18.0), &title, look(16.0, INK).bold());
    });
}

/// The number of a step's end, beside the key.
fn step_end(f: &mut Figure, s: &Shown<'_>, i: usize, y: f64) {
    f.in_each(|f, system| {
        let (_, factor) = spoken_title(&s.q.title(), system);
        let text = match factor {
            1.0 => tick_text(s.steps[i], s.decimals),
            _ => short(s.steps[i] * factor),
        };
        f.text((KEY + 56.0, y), &text, look(15.0, INK));
    });
}

/// What a sign of the key means, beside it; returns the y of the next.
fn beside(f: &mut Figure, y: f64, text: &str, colour: Colour) -> f64 {
    column(f, (KEY + 56.0, y), 230.0, text, colour) + 20.0
}

fn key(f: &mut Figure, s: &Shown<'_>, stepped: bool) {
    let mut y = AREA.top + 8.0;
    f.in_each(|f, system| {
        let (title, _) = spoken_title(&s.q.capital_title(), system);
        y = column(f, (KEY, AREA.top + 8.0), 280.0, &title, INK) + 8.0;
    });
    let high = 30.0;
    for i in (0..s.count()).rev() {
        f.rect(((KEY, y), (KEY + 46.0, y + high)), s.colour(i), 1.0);
        f.frame(((KEY, y), (KEY + 46.0, y + high)), 1.0, INK);
        step_end(f, s, i + 1, y);
        y += high;
    }
    step_end(f, s, 0, y);
    y += 40.0;
    let swatch = |y: f64| Window::new((KEY, y - 14.0), (KEY + 46.0, y + 14.0));
    let all = || s.surface.cells.iter().flatten();
    if all().any(|c| c.is_held()) {
        held(f, swatch(y));
        f.frame(swatch(y), 1.0, INK);
        let text = if s.surface.most_runs > 1 {
            "no release: the base holds in half of the runs or more"
        } else {
            "no release: the base holds"
        };
        y = beside(f, y, text, INK);
    } else if s.surface.tells_endings {
        y = column(f, (KEY, y), 280.0, "The base lets go everywhere.", INK) + 12.0;
    }
    if all().any(|c| !c.is_held() && c.value.is_none()) {
        nothing(f, swatch(y));
        f.frame(swatch(y), 1.0, SLATE);
        y = beside(f, y, "no value: failed, or nothing to tell", INK);
    }
    if let Some(limit) = &s.surface.limit {
        let text = format!("limit {}", limit_text(limit, &s.q));
        if stepped {
            f.frame(((KEY + 3.0, y - 11.0), (KEY + 43.0, y + 11.0)), 3.5, LIMIT);
            y = beside(f, y, &format!("beyond the {text}"), LIMIT);
        } else if s.surface.limit_lines.is_empty() {
            let text = format!("Not crossed here: {text}.");
            y = column(f, (KEY, y), 280.0, &text, LIMIT) + 12.0;
        } else {
            f.dashed([(KEY, y), (KEY + 46.0, y)], 3.6, LIMIT, &[16.0, 6.0]);
            y = beside(f, y, &text, LIMIT);
        }
    }
    if !stepped && s.x.len() * s.y.len() <= 900 {
        dot(f, (KEY + 23.0, y));
        beside(f, y, "computed; linear between", INK);
    }
}

fn words(s: &Shown<'_>, title: &str, line: &str) -> String {
    let mut least: Option<(f64, usize, usize)> = None;
    let mut most = least;
    let (mut held, mut beyond, mut known) = (0, 0, 0);
    for (j, row) in s.surface.cells.iter().enumerate() {
        for (i, c) in row.iter().enumerate() {
            held += usize::from(c.is_held());
            let Some(v) = c.value else { continue };
            known += 1;
            beyond += usize::from(s.surface.limit.as_ref().is_some_and(|l| l.is_beyond(v)));
            if c.is_held() {
                continue;
            }
            if least.is_none_or(|l| v < l.0) {
                least = Some((v, i, j));
            }
            if most.is_none_or(|m| v > m.0) {
                most = Some((v, i, j));
            }
        }
    }
    let part = |axis: &AxisValues, k: usize| match axis.words.get(k) {
        Some(word) => word.clone(),
        None => Quantity::of(&axis.column).text(axis.values[k]),
    };
    let place = |found: Option<(f64, usize, usize)>| {
        let Some((v, i, j)) = found else {
            return "nowhere".to_owned();
        };
        let (x, y) = (part(&s.surface.x, i), part(&s.surface.y, j));
        format!("{} at {x} and {y}", s.q.text(v))
    };
    let limit = match &s.surface.limit {
        Some(l) => format!(
            " Beyond the limit of {} are {beyond} of {known} places.",
            limit_text(l, &s.q)
        ),
        None => String::new(),
    };
    format!(
        "{title}. {line}. Where the base lets go the value runs from {} to {}. The base holds at {held} of {} places.{limit}",
        place(least),
        place(most),
        s.x.len() * s.y.len()
    )
}
