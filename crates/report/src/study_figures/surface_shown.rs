//! A surface as it is drawn: values in shown units, steps of the colour, and where a place lies on the page.

use giveway_study::analysis::{Side, Surface};

use super::quantity::Quantity;
use super::shade::step;
use giveway_draw::chart::Chart;
use giveway_draw::clip::Window;
use giveway_draw::palette::Colour;

/// Plotting area of numbers.
pub const AREA: Window = Window {
    left: 115.0,
    top: 140.0,
    right: 1040.0,
    bottom: 885.0,
};

/// Everything that the drawing needs, in shown units.
pub struct Shown<'a> {
    /// The surface.
    pub surface: &'a Surface,
    /// The output.
    pub q: Quantity,
    /// Places along.
    pub x: Vec<f64>,
    /// Places up.
    pub y: Vec<f64>,
    /// Values; none where there are none.
    pub values: Vec<Vec<Option<f64>>>,
    /// Ends of the steps, rising: one more than steps.
    pub steps: Vec<f64>,
    /// Decimals of the steps' ends.
    pub decimals: usize,
    /// The chart.
    pub chart: Chart,
}

impl Shown<'_> {
    /// The step of a value.
    pub fn step_of(&self, value: f64) -> usize {
        let above = self.steps.iter().filter(|s| **s <= value).count();
        above.saturating_sub(1).min(self.steps.len() - 2)
    }

    /// Colour of a step: dark is what a limit forbids.
    pub fn colour(&self, i: usize) -> Colour {
        let limit = self.surface.limit.as_ref();
        let turned = limit.is_some_and(|l| l.beyond == Side::Below);
        step(if turned { self.count() - 1 - i } else { i }, self.count())
    }

    /// Number of steps.
    pub fn count(&self) -> usize {
        self.steps.len() - 1
    }

    /// The part of the page that belongs to a place: half way to its neighbours.
    pub fn around(&self, i: usize, j: usize) -> Window {
        let span = |v: &[f64], k: usize, words: bool, ends: (f64, f64)| {
            let half = |a: usize, b: usize| 0.5 * (v[a] + v[b]);
            let low = match k {
                0 if words => v[0] - 0.5,
                0 => ends.0,
                k => half(k - 1, k),
            };
            let high = if k + 1 < v.len() {
                half(k, k + 1)
            } else if words {
                v[k] + 0.5
            } else {
                ends.1
            };
            (low, high)
        };
        let s = self.surface;
        let (cx, cy) = (self.chart.x, self.chart.y);
        let (a, b) = span(&self.x, i, !s.x.words.is_empty(), (cx.low, cx.high));
        let (c, d) = span(&self.y, j, !s.y.words.is_empty(), (cy.low, cy.high));
        let (left, one) = self.chart.at(a, c);
        let (right, other) = self.chart.at(b, d);
        Window {
            left,
            top: one.min(other),
            right,
            bottom: one.max(other),
        }
    }
}
