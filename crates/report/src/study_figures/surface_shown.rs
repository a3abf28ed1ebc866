//! A surface as it is drawn: values in shown units, steps of the colour, and where a place lies on the page.

use giveway_study::analysis::{Side, Surface, SurfaceCell};

use super::quantity::Quantity;
use super::shade::step;
use giveway_draw::{Axis, Chart, Colour, Point, Window};

/// Plotting area of numbers.
pub const AREA: Window = Window::new((115.0, 140.0), (1040.0, 885.0));

/// Everything that the drawing needs, in shown units.
pub struct Shown<'a> {
    pub surface: &'a Surface,
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
    pub chart: Chart,
    /// Left and right edge of each column of places on the page.
    pub columns: Vec<(f64, f64)>,
    /// Upper and lower edge of each row of places.
    pub rows: Vec<(f64, f64)>,
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
        let ((left, right), (top, bottom)) = (self.columns[i], self.rows[j]);
        Window::new((left, top), (right, bottom))
    }

    /// Whether a place of that kind lies at most so far across and up from a point of the page. Only the columns and rows near
    /// the point are looked through: surfaces have 100 000 places and more.
    pub fn is_near(&self, p: Point, far: (f64, f64), kind: impl Fn(&SurfaceCell) -> bool) -> bool {
        let near = |spans: &[(f64, f64)], at: f64, far: f64| -> Vec<usize> {
            (0..spans.len())
                .filter(|k| at >= spans[*k].0 - far && at <= spans[*k].1 + far)
                .collect()
        };
        let columns = near(&self.columns, p.0, far.0);
        near(&self.rows, p.1, far.1)
            .iter()
            .any(|j| columns.iter().any(|i| kind(&self.surface.cells[*j][*i])))
    }
}

/// From where to where the places of an axis reach on the page: half way to the neighbours, with words half a place beyond the
/// ends, else to the ends of the axis. `at` gives the place on the page.
pub fn spans(values: &[f64], words: bool, axis: Axis, at: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let half = |a: usize, b: usize| at(0.5 * (values[a] + values[b]));
    let (first, last) = match values {
        [first, .., last] if words => (first - 0.5, last + 0.5),
        [only] if words => (only - 0.5, only + 0.5),
        _ => (axis.low, axis.high),
    };
    (0..values.len())
        .map(|k| {
            let low = if k > 0 { half(k - 1, k) } else { at(first) };
            let high = if k + 1 < values.len() {
                half(k, k + 1)
            } else {
                at(last)
            };
            (low.min(high), low.max(high))
        })
        .collect()
}
