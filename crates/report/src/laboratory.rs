//! Pictures of the laboratory: draws of a posterior pair by pair, and measured traces in the band of the predictions.

use crate::page::{MARGIN, WIDTH, titled};
use crate::{FigureFile, ReportError, painted};
use giveway_draw::{Axis, Chart, Figure, GRID, INK, NAVY, PAPER, PENS, SKY, SLATE, Window, look};
use giveway_lab::fit::{Posterior, TraceFit};
use giveway_units::{Dimension, in_unit, spoken_title};

/// Most draws that are painted in one panel.
const MOST_DRAWN: usize = 700;
/// Bars of a histogram.
const BARS: usize = 24;
const TOP: f64 = 110.0;
const PANEL: f64 = 400.0;

/// One parameter to be drawn.
#[derive(Debug, Clone)]
pub struct DrawnParameter<'a> {
    /// Name.
    pub title: &'a str,
    /// Dimension and unit for people; no unit for a plain number.
    pub measure: (Dimension, &'static str),
    /// Draws, SI.
    pub values: &'a [f64],
}

impl DrawnParameter<'_> {
    fn unit(&self) -> String {
        match self.measure.1 {
            "" => String::new(),
            unit => format!(", {unit}"),
        }
    }

    fn shown(&self) -> Vec<f64> {
        let (dimension, unit) = self.measure;
        let number = |v: &f64| match unit {
            "" => *v,
            unit => in_unit(*v, dimension, unit),
        };
        self.values.iter().map(number).collect()
    }
}

/// Every pair of parameters as a cloud of draws, each alone as a histogram: a ridge shows as a slanted cloud.
///
/// # Errors
/// No parameter, or a number that is not finite.
pub fn pair_figure(
    posterior: &Posterior,
    parameters: &[DrawnParameter<'_>],
) -> Result<FigureFile, ReportError> {
    let count = parameters.len();
    if count == 0 {
        return Err(ReportError::EmptyTrace);
    }
    let name = "pairs";
    let title = "What the data says of the parameters, pair by pair";
    let pitch = ((WIDTH - 2.0 * MARGIN) / count as f64).min(460.0);
    let height = TOP + pitch * count as f64 + 60.0;
    let mut f = titled(name, title, height);
    f.text((MARGIN, 64.0), &posterior.title, look(16.0, SLATE));
    let shown: Vec<Vec<f64>> = parameters.iter().map(DrawnParameter::shown).collect();
    let axes = (shown.iter())
        .zip(parameters)
        .map(|(v, p)| Axis::covering(v, 0.04, name, p.title))
        .collect::<Result<Vec<_>, _>>()?;
    let of = |p: &DrawnParameter<'_>| format!("{}{}", p.title, p.unit());
    for (row, p) in parameters.iter().enumerate() {
        for column in 0..=row {
            let left = MARGIN + 58.0 + pitch * column as f64;
            let top = TOP + pitch * row as f64;
            let area = Window::new((left, top + 6.0), (left + pitch - 78.0, top + pitch - 64.0));
            if column == row {
                histogram(&mut f, area, axes[row], &shown[row], &of(p));
            } else {
                let chart = Chart {
                    area,
                    x: axes[column],
                    y: axes[row],
                };
                chart.grid(&mut f, &of(&parameters[column]), &of(p));
                let step = (shown[row].len() / MOST_DRAWN).max(1);
                let pairs = shown[column].iter().zip(&shown[row]).step_by(step);
                for (x, y) in pairs {
                    f.disc(chart.at(*x, *y), 2.2, NAVY);
                }
                let rho = posterior.correlation[row][column];
                let text = format!("correlation {}", giveway_units::shown(rho, 2));
                let at = (area.right - 6.0, area.top + 12.0);
                f.label(at, &text, look(14.0, INK).end(), PAPER);
            }
            if row + 1 == count {
                let at = (0.5 * (area.left + area.right), area.bottom + 42.0);
                f.in_each(|f, system| {
                    let (title, _) = spoken_title(&of(&parameters[column]), system);
                    f.text(at, &title, look(14.0, INK).middle());
                });
            }
        }
    }
    let foot = (MARGIN, height - 18.0);
    f.text(foot, &posterior.caution, look(13.0, SLATE));
    let mut told = vec![format!("{title}. {} draws.", posterior.draws)];
    told.extend(posterior.words.iter().cloned());
    f.set_alt_text(told.join(" "));
    painted(&f.finish()?)
}

fn histogram(f: &mut Figure, area: Window, x: Axis, values: &[f64], title: &str) {
    let mut bars = [0_usize; BARS];
    for v in values {
        let place = (x.fraction(*v) * BARS as f64) as usize;
        bars[place.min(BARS - 1)] += 1;
    }
    let most = bars.iter().copied().max().unwrap_or(1).max(1) as f64;
    let width = (area.right - area.left) / BARS as f64;
    for (i, n) in bars.iter().enumerate().filter(|b| *b.1 > 0) {
        let left = area.left + width * i as f64;
        let top = area.bottom - (*n as f64 / most) * (area.bottom - area.top - 12.0);
        f.rect(((left, top), (left + width - 1.0, area.bottom)), SKY, 1.0);
    }
    f.in_each(|f, system| {
        let (ticks, title) = x.said(title, 5, system);
        for (t, text) in ticks {
            let at = area.left + x.fraction(t) * (area.right - area.left);
            f.line([(at, area.bottom), (at, area.bottom + 5.0)], 1.0, GRID);
            let look = look(15.0, INK).middle();
            f.text((at, area.bottom + 17.0), &text, look);
        }
        f.text((area.left, area.top - 10.0), &title, look(14.0, INK).bold());
    });
    let [_, _, right, left] = area.corners();
    f.line([left, right], 1.5, INK);
}

/// Unit for drawing and factor to it, by the end of a column's name.
fn drawn(column: &str) -> (&'static str, f64) {
    match column {
        c if c.ends_with("_mps2") => ("m/s^2", 1.0),
        c if c.ends_with("_mps") => ("m/s", 1.0),
        c if c.ends_with("_radps") => ("rad/s", 1.0),
        c if c.ends_with("_n") => ("kN", 1e-3),
        c if c.ends_with("_m") => ("mm", 1e3),
        _ => ("", 1.0),
    }
}

/// Measured traces in the bands of the predictions.
///
/// # Errors
/// No trace, or a number that is not finite.
pub fn band_figure(posterior: &Posterior, traces: &[&TraceFit]) -> Result<FigureFile, ReportError> {
    if traces.is_empty() {
        return Err(ReportError::EmptyTrace);
    }
    let name = "predicted";
    let title = "Measured, and predicted by the fit";
    let height = TOP + PANEL * traces.len() as f64 + 60.0;
    let mut f = titled(name, title, height);
    let key = "dashed: measured; line: median of the predictions; dark band: their middle half, pale: nine of ten, measurement and model error included";
    f.text((MARGIN, 64.0), key, look(15.0, SLATE));
    let mut told = vec![format!("{title}: {key}.")];
    for (i, t) in traces.iter().enumerate() {
        let (unit, factor) = drawn(&t.column);
        let top = TOP + PANEL * i as f64;
        let scaled = |v: f64| factor * v;
        let clock: Vec<f64> = t.time_s.iter().map(|s| 1e3 * s).collect();
        let measured: Vec<f64> = t.measured.iter().map(|v| scaled(*v)).collect();
        let band = |q: usize| -> Vec<f64> { t.predicted.iter().map(|p| scaled(p[q])).collect() };
        let bands: Vec<Vec<f64>> = (0..5).map(band).collect();
        let y_title = format!("{}, {unit}", t.what);
        let chart = Chart {
            area: Window::new((110.0, top + 30.0), (1340.0, top + PANEL - 62.0)),
            x: Axis::covering(&clock, 0.0, name, "time")?,
            y: Axis::covering(
                bands[0].iter().chain(&bands[4]).chain(&measured),
                0.06,
                name,
                &t.what,
            )?,
        };
        for (low, high, alpha) in [(0, 4, 0.35), (1, 3, 0.8)] {
            let mut outline = chart.points(&clock, &bands[high]);
            outline.extend(chart.points(&clock, &bands[low]).into_iter().rev());
            f.fill(outline, SKY, alpha);
        }
        chart.frame(&mut f, Some("time since first touch, ms"), &y_title);
        chart.series(&mut f, &clock, &bands[2], PENS[0], 2.2, false);
        chart.series(&mut f, &clock, &measured, PENS[1], 2.6, false);
        let share = giveway_units::shown(100.0 * t.share_in_nine_tenths, 2);
        told.push(format!(
            "{}: {share} % of the instants lie within nine of ten.",
            t.what
        ));
    }
    let foot = (MARGIN, height - 18.0);
    f.text(foot, &posterior.caution, look(13.0, SLATE));
    f.set_alt_text(told.join(" "));
    painted(&f.finish()?)
}
