//! Time histories of two runs laid over each other, one panel a quantity.

use crate::headline::cut;
use crate::page::{MARGIN, titled};
use crate::{FigureFile, ReportError, painted};
use giveway_draw::{Axis, Chart, EndLabel, PENS, SLATE, Window, look, tick_text};

/// Height of a panel with its heading, px.
const PANEL: f64 = 380.0;
/// Above the first panel, px.
const TOP: f64 = 130.0;

/// One quantity of both runs.
#[derive(Debug, Clone)]
pub struct OverlayPanel<'a> {
    /// What is drawn, with its unit.
    pub title: String,
    /// Clock, s, and values of the old run, in the unit of the title.
    pub old: (&'a [f64], Vec<f64>),
    /// Clock, s, and values of the new run.
    pub new: (&'a [f64], Vec<f64>),
    /// A line below the title: scores, for example.
    pub words: String,
}

/// Draws the panels below each other: the old run solid, the new one dashed. `name` becomes the file's stem; `runs` names
/// the two.
///
/// # Errors
/// No panels, or a number that is not finite.
pub fn overlay(
    name: &str,
    title: &str,
    runs: [&str; 2],
    caution: &str,
    panels: &[OverlayPanel<'_>],
) -> Result<FigureFile, ReportError> {
    if panels.is_empty() {
        return Err(ReportError::EmptyTrace);
    }
    let height = TOP + PANEL * panels.len() as f64 + 60.0;
    let mut f = titled(name, title, height);
    for (i, (word, run)) in ["old", "new"].into_iter().zip(runs).enumerate() {
        let y = 62.0 + 22.0 * i as f64;
        let line = [(MARGIN, y), (MARGIN + 50.0, y)];
        f.dashed(line, 3.0, PENS[i].colour, PENS[i].dash);
        let text = format!("{word}: {}", cut(run, 110));
        f.text((MARGIN + 60.0, y), &text, look(16.0, SLATE));
    }
    let mut told = vec![format!(
        "{title}. Old: {}, solid. New: {}, dashed.",
        runs[0], runs[1]
    )];
    for (i, panel) in panels.iter().enumerate() {
        let ms = |clock: &[f64]| -> Vec<f64> { clock.iter().map(|t| 1e3 * t).collect() };
        let clocks = [panel.old.0, panel.new.0].map(ms);
        let top = TOP + PANEL * i as f64;
        let values = panel.old.1.iter().chain(&panel.new.1).chain([&0.0]);
        let chart = Chart {
            area: Window::new((110.0, top + 48.0), (1190.0, top + PANEL - 62.0)),
            x: Axis::covering(clocks.iter().flatten(), 0.0, name, "time")?,
            y: Axis::covering(values, 0.06, name, &panel.title)?,
        };
        chart.frame(&mut f, Some("time since first touch, ms"), &panel.title);
        f.text((110.0, top + 10.0), &panel.words, look(15.0, SLATE));
        let mut ends = Vec::new();
        for (k, values) in [&panel.old.1, &panel.new.1].into_iter().enumerate() {
            chart.series(&mut f, &clocks[k], values, PENS[k], 2.6, false);
            let Some((last, time)) = values.last().zip(clocks[k].last()) else {
                continue;
            };
            let word = ["old", "new"][k];
            let peak = values
                .iter()
                .fold(0.0, |m: f64, v| if v.abs() > m.abs() { *v } else { m });
            ends.push(EndLabel {
                text: format!("{word}, peak {}", shown(peak)),
                colour: PENS[k].colour,
                from: (*time, *last),
            });
            let (peak, end) = (shown(peak), shown(*last));
            told.push(format!(
                "{}, {word}: peak {peak}, at the end {end}.",
                panel.title
            ));
        }
        chart.end_labels(&mut f, &ends);
    }
    f.text((MARGIN, height - 18.0), caution, look(13.0, SLATE));
    f.set_alt_text(told.join(" "));
    painted(&f.finish()?)
}

/// About three figures.
fn shown(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        v if v >= 1.0 => 2,
        _ => 3,
    };
    tick_text(value, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_runs_are_drawn_and_told() {
        let clock: Vec<f64> = (0..50).map(|i| 1e-3 * f64::from(i)).collect();
        let panel = OverlayPanel {
            title: "force, kN".into(),
            old: (&clock, clock.iter().map(|t| 100.0 * t).collect()),
            new: (&clock[..20], clock[..20].iter().map(|t| 80.0 * t).collect()),
            words: "phase 3 %".into(),
        };
        let file = overlay("force", "Force", ["<a>", "b"], "A caution.", &[panel]).unwrap();
        assert!(
            file.alt_text.contains("old: peak 4.90"),
            "{}",
            file.alt_text
        );
        assert!(file.svg.contains("&lt;a&gt;") && !file.svg.contains("<a>"));
        assert!(overlay("x", "X", ["a", "b"], "", &[]).is_err());
        let bad = OverlayPanel {
            title: "x".into(),
            old: (&clock, vec![f64::NAN; 50]),
            new: (&clock, vec![0.0; 50]),
            words: String::new(),
        };
        assert!(overlay("x", "X", ["a", "b"], "", &[bad]).is_err());
    }
}
