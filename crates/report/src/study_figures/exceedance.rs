//! The probability of being beyond a limit or of failing an impact, with binomial intervals, and how the estimate settles.

use giveway_study::analysis::{AxisValues, Exceedance, Side};
use giveway_study::window::Fragility;

use super::frame::{frame, limit_text, place_text, range, scale, shown, sign, whisker};
use super::quantity::{Quantity, capital, short};
use super::sheet::{Facts, column, kept, sheet};
use crate::ReportError;
use crate::{FigureFile, painted};
use giveway_draw::{
    Axis, Chart, EndLabel, Figure, GRID, INK, PENS, Pen, Point, SLATE, Window, look,
};

const UPPER: Window = Window::new((95.0, 140.0), (1030.0, 560.0));
const LOWER: Window = Window::new((95.0, 690.0), (1030.0, 930.0));

/// One place, shares from 0 to 1.
struct Share {
    x: f64,
    share: f64,
    interval: [f64; 2],
    held: Option<f64>,
    fitted: Option<f64>,
    runs: u64,
}

/// A curve in the words of the picture.
struct Told<'a> {
    name: &'a str,
    title: String,
    line: String,
    x: AxisValues,
    points: Vec<Share>,
    /// Runs, share, interval.
    settling: Vec<(u64, f64, [f64; 2])>,
    settling_at: f64,
    /// What the share is of.
    what: String,
    confidence: f64,
    note: String,
    caution: &'a str,
}

/// Draws the shares beyond a limit of a study.
pub fn draw(name: &str, e: &Exceedance, facts: &Facts<'_>) -> Result<Figure, ReportError> {
    let q = Quantity::of(&e.value);
    let qx = Quantity::of(&e.x.column);
    let beyond = match e.limit.beyond {
        Side::Above => format!("{} beyond {}", q.words, limit_text(&e.limit, &q)),
        Side::Below => format!("{} below {}", q.words, q.text(e.limit.value)),
    };
    let without: u64 = e.points.iter().map(|p| p.without_value).sum();
    let note = match without {
        0 => String::new(),
        n => format!("{n} runs have no value and are not in the shares."),
    };
    let (study, runs, kept) = (&facts.analysis.title, facts.runs(), kept(&e.fixed));
    let told = Told {
        name,
        title: format!("Probability of exceeding the limit against {}", qx.words),
        line: format!("{study}: share of runs with {beyond}; {runs}{kept}"),
        x: e.x.clone(),
        points: (e.points.iter())
            .map(|p| Share {
                x: p.x,
                share: p.share,
                interval: p.interval,
                held: share(p.held, p.runs + p.without_value),
                fitted: None,
                runs: p.runs,
            })
            .collect(),
        settling: (e.settling.iter())
            .map(|s| (s.runs, s.share, s.interval))
            .collect(),
        settling_at: e.settling_at,
        what: "beyond the limit".to_owned(),
        confidence: e.confidence,
        note,
        caution: facts.caution,
    };
    told.draw()
}

/// A part of some runs, where there are any.
fn share(of: u64, runs: u64) -> Option<f64> {
    (runs > 0).then(|| of as f64 / runs as f64)
}

/// Draws the probability of failing an impact against the torque.
///
/// # Errors
/// A curve without points, a number that is not finite, a painter that fails.
pub fn fragility_figure(
    name: &str,
    title: &str,
    curve: &Fragility,
    caution: &str,
) -> Result<FigureFile, ReportError> {
    let column = "slip_base_clamp_torque_nm";
    let not_judged: u64 = curve.points.iter().map(|p| p.not_judged).sum();
    let note = match not_judged {
        0 => String::new(),
        n => format!("{n} runs could not be computed or judged; they count as failing."),
    };
    let c = &curve.case;
    let told = Told {
        name,
        title: format!("Probability of failing {}", c.name),
        line: format!(
            "{title}: {} of {} at {}; {} bases of this design at each torque",
            c.vehicle_class,
            Quantity::of("vehicle_mass_kg").text(c.vehicle_mass_kg),
            Quantity::of("impact_speed_mps").text(c.speed_mps),
            curve.points.first().map_or(0, |p| p.runs)
        ),
        x: AxisValues {
            column: column.to_owned(),
            values: curve.points.iter().map(|p| p.torque_nm).collect(),
            words: Vec::new(),
            bins: Vec::new(),
        },
        points: (curve.points.iter())
            .map(|p| Share {
                x: p.torque_nm,
                share: p.share,
                interval: p.interval,
                held: share(p.held, p.runs),
                fitted: Some(p.fitted),
                runs: p.runs,
            })
            .collect(),
        settling: (curve.settling.iter())
            .map(|s| (s.runs, s.share, s.interval))
            .collect(),
        settling_at: curve.settling_at_nm,
        what: "fails the impact".to_owned(),
        confidence: 0.95,
        note,
        caution,
    };
    painted(&told.draw()?)
}

impl Told<'_> {
    fn draw(&self) -> Result<Figure, ReportError> {
        if self.points.is_empty() {
            return Err(ReportError::BadColumn {
                column: self.x.column.clone(),
                reason: "no place along it has a run with a value".to_owned(),
            });
        }
        let mut f = sheet(self.name, &self.title, &self.line, 1060.0, self.caution);
        self.upper(&mut f)?;
        self.lower(&mut f)?;
        f.set_alt_text(self.words());
        Ok(f.finish()?)
    }

    fn upper(&self, f: &mut Figure) -> Result<(), ReportError> {
        let (qx, places) = shown(&self.x);
        let scale = scale(&self.x, &qx);
        let chart = Chart {
            area: UPPER,
            x: range(&self.x, &places, self.name, 0.04)?,
            y: Axis::new(0.0, 104.0),
        };
        frame(f, &chart, &self.x, &qx.title(), "Share of the runs, %");
        let at = |p: &Share, share: f64| chart.at(p.x * scale, 100.0 * share);
        let [main, second, ..] = PENS;
        let words = !self.x.words.is_empty();
        let joined = self.points.iter();
        let joined = joined.map(|p| at(p, p.fitted.unwrap_or(p.share)));
        if !words {
            f.dashed(joined, 2.6, main.colour, main.dash);
        }
        let held: Vec<Point> = (self.points.iter())
            .filter_map(|p| p.held.map(|h| at(p, h)))
            .collect();
        let any_held = self.points.iter().any(|p| p.held.is_some_and(|h| h > 0.0));
        if any_held {
            if !words {
                f.dashed(held.iter().copied(), 2.2, second.colour, second.dash);
            }
            for p in &held {
                sign(f, *p, second, false);
            }
        }
        for p in &self.points {
            whisker(f, at(p, p.interval[0]), at(p, p.interval[1]), main.colour);
            sign(f, at(p, p.share), main, true);
        }
        let Some(last) = self.points.last() else {
            return Ok(());
        };
        let end = |text: String, pen: Pen, share: f64| EndLabel {
            text,
            colour: pen.colour,
            from: (last.x * scale, 100.0 * share),
        };
        let (fitted, holds) = (last.fitted.unwrap_or(last.share), last.held.unwrap_or(0.0));
        let mut ends = vec![end(self.what.clone(), main, fitted)];
        if any_held {
            ends.push(end("the base holds".to_owned(), second, holds));
        }
        if words {
            let (mut x, y) = (UPPER.left, UPPER.bottom + 78.0);
            for (label, pen) in ends.iter().zip([main, second]) {
                sign(f, (x + 8.0, y), pen, pen == main);
                f.text((x + 24.0, y), &label.text, look(15.0, INK));
                x += 240.0;
            }
        } else {
            chart.end_labels(f, &ends);
        }
        let fitted = if self.points.iter().any(|p| p.fitted.is_some()) {
            "Line: the curve through the shares that never falls. "
        } else {
            ""
        };
        let text = format!(
            "{fitted}Upright bars: {:.0} % interval of each share (Clopper and Pearson). {}",
            100.0 * self.confidence,
            self.note
        );
        let below = if words { 98.0 } else { 64.0 };
        let at = (UPPER.left, UPPER.bottom + below);
        column(f, at, 1240.0, &text, SLATE);
        Ok(())
    }

    /// The estimate against the number of runs; the runs double from mark to mark.
    fn lower(&self, f: &mut Figure) -> Result<(), ReportError> {
        let Some((most, ..)) = self.settling.last() else {
            return Ok(());
        };
        let place = |runs: u64| libm::log2(runs.max(1) as f64);
        let first = self.settling.first().map_or(0.0, |s| place(s.0));
        let chart = Chart {
            area: LOWER,
            x: Axis::new(first - 0.3, (place(*most) + 0.15).max(first + 1.0)),
            y: Axis::new(0.0, 104.0),
        };
        let w = LOWER;
        f.in_each(|f, system| {
            chart.rows(f, "", 5, system);
        });
        let mut taken = f64::NEG_INFINITY;
        for (runs, ..) in self.settling.iter().rev() {
            let x = chart.at(place(*runs), 0.0).0;
            f.line([(x, w.top), (x, w.bottom)], 1.0, GRID);
            if taken == f64::NEG_INFINITY || taken - x > 46.0 {
                let text = runs.to_string();
                f.text((x, w.bottom + 17.0), &text, look(15.0, INK).middle());
                taken = x;
            }
        }
        chart.corner(f);
        let qx = Quantity::of(&self.x.column);
        let at_words = place_text(&self.x, &qx, self.settling_at);
        let title = format!("How the estimate settles at {at_words}: share so far, %");
        f.text((w.left, w.top - 17.0), &title, look(16.0, INK).bold());
        let along = "Runs so far (each mark doubles them)";
        let at = (w.right, w.bottom + 40.0);
        f.text(at, along, look(16.0, INK).bold().end());
        let pen = PENS[0];
        let point = |s: &(u64, f64, [f64; 2]), v: f64| chart.at(place(s.0), 100.0 * v);
        let mut outline: Vec<Point> = self.settling.iter().map(|s| point(s, s.2[1])).collect();
        outline.extend(self.settling.iter().rev().map(|s| point(s, s.2[0])));
        f.fill(outline, pen.colour, 0.13);
        for k in [0, 1] {
            let edge: Vec<Point> = self.settling.iter().map(|s| point(s, s.2[k])).collect();
            f.dashed(edge, 1.0, pen.colour, &[2.0, 3.0]);
        }
        let line: Vec<Point> = self.settling.iter().map(|s| point(s, s.1)).collect();
        f.line(line.iter().copied(), 2.6, pen.colour);
        for p in line {
            sign(f, p, pen, true);
        }
        if let Some((runs, share, i)) = self.settling.last() {
            let [part, low, high] = [*share, i[0], i[1]].map(|v| short(100.0 * v));
            let ends = [EndLabel {
                text: format!("{part} % ({low} to {high} %)"),
                colour: pen.colour,
                from: (place(*runs), 100.0 * share),
            }];
            chart.end_labels(f, &ends);
        }
        Ok(())
    }

    fn words(&self) -> String {
        let qx = Quantity::of(&self.x.column);
        let percent = |share: f64| short(100.0 * share);
        let list: Vec<String> = (self.points.iter())
            .map(|p| {
                let place = place_text(&self.x, &qx, p.x);
                let [low, high] = p.interval.map(percent);
                let (part, runs) = (percent(p.share), p.runs);
                format!("{place}: {part} % of {runs} runs ({low} to {high} %)")
            })
            .collect();
        let at = place_text(&self.x, &qx, self.settling_at);
        let settled = |(runs, share, _): &(u64, f64, [f64; 2])| {
            let share = percent(*share);
            format!(
                " Below: the estimate at {at} against the number of runs; {share} % after {runs}."
            )
        };
        let settled = self.settling.last().map(settled).unwrap_or_default();
        format!(
            "{}. {}. Share of the runs {}: {}.{settled} {}",
            capital(&self.title),
            self.line,
            self.what,
            list.join("; "),
            self.note
        )
    }
}
