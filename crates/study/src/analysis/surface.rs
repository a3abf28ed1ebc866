//! An output over two swept quantities.

use giveway_sampling::quantile;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::AnalysisError;
use super::contour::{Line, contour};
use super::limit::ColumnLimit;
use super::places::{AxisValues, Fixed};
use super::source::{NOWHERE, Source};

/// A surface; `cells[y][x]`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Surface {
    /// Column of the output.
    pub value: String,
    /// Places along.
    pub x: AxisValues,
    /// Places up.
    pub y: AxisValues,
    /// What is kept at one value.
    pub fixed: Vec<Fixed>,
    /// Quantile of the runs at each place that the value is.
    pub quantile: f64,
    /// Largest number of runs with a value at a place: 1 where nothing was reduced.
    pub most_runs: u64,
    /// The cells, row by row from the lowest y.
    pub cells: Vec<Vec<SurfaceCell>>,
    /// Limit of the output.
    pub limit: Option<ColumnLimit>,
    /// Where the value is the limit, linear between the places; in units of the axes.
    pub limit_lines: Vec<Line>,
    /// Whether the table tells how runs end; without it no cell is marked as held.
    pub tells_endings: bool,
}

/// One place of a surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurfaceCell {
    /// Runs.
    pub runs: u64,
    /// Failed ones among them.
    pub failed: u64,
    /// Runs whose base held.
    pub held: u64,
    /// Runs without failure that have no such value.
    pub without_value: u64,
    /// The value; none where no run has one.
    pub value: Option<f64>,
}

impl SurfaceCell {
    /// Whether at least half of the runs that did not fail held.
    pub fn is_held(&self) -> bool {
        self.held > 0 && 2 * self.held >= self.runs - self.failed
    }
}

impl Surface {
    /// Values by place.
    pub fn values(&self) -> Vec<Vec<Option<f64>>> {
        let row = |row: &Vec<SurfaceCell>| row.iter().map(|c| c.value).collect();
        self.cells.iter().map(row).collect()
    }
}

/// Counts of a place, with the values that it holds.
#[derive(Debug, Clone, Default)]
pub(super) struct Gathered {
    pub runs: u64,
    pub failed: u64,
    pub held: u64,
    pub values: Vec<f64>,
}

impl Source<'_> {
    /// Adds a row to what was gathered at its place.
    pub(super) fn gather(&self, row: u32, values: &[f64], at: &mut Gathered) {
        let row = row as usize;
        at.runs += 1;
        at.failed += u64::from(self.failed[row]);
        at.held += u64::from(self.held.as_ref().is_some_and(|h| h[row]));
        if !values[row].is_nan() {
            at.values.push(values[row]);
        }
    }

    /// A surface of an output over two axes with others kept at places.
    pub(super) fn surface(
        &self,
        (column, values): (&str, &[f64]),
        [x_axis, y_axis]: [usize; 2],
        fixed: &[(usize, u32)],
        p: f64,
        limit: Option<ColumnLimit>,
    ) -> Result<Surface, AnalysisError> {
        if x_axis == y_axis {
            return Err(AnalysisError::SameTwice {
                column: self.layout.axes[x_axis].column.clone(),
            });
        }
        let rows = self.rows_at(fixed);
        let (x, of_x) = self.places(x_axis, &rows)?;
        let (y, of_y) = self.places(y_axis, &rows)?;
        let mut gathered = vec![Gathered::default(); x.values.len() * y.values.len()];
        for ((row, i), j) in rows.iter().zip(&of_x).zip(&of_y) {
            if *i != NOWHERE && *j != NOWHERE {
                let place = *j as usize * x.values.len() + *i as usize;
                self.gather(*row, values, &mut gathered[place]);
            }
        }
        let mut most_runs = 0;
        let cells: Vec<SurfaceCell> = gathered
            .into_iter()
            .map(|mut g| {
                g.values.sort_by(f64::total_cmp);
                most_runs = most_runs.max(g.values.len() as u64);
                SurfaceCell {
                    runs: g.runs,
                    failed: g.failed,
                    held: g.held,
                    without_value: g.runs
                        - g.failed
                        - (g.values.len() as u64).min(g.runs - g.failed),
                    value: quantile(&g.values, p).ok(),
                }
            })
            .collect();
        let cells: Vec<Vec<SurfaceCell>> =
            cells.chunks(x.values.len()).map(<[_]>::to_vec).collect();
        let mut surface = Surface {
            value: column.to_owned(),
            fixed: self.fixed(fixed),
            quantile: p,
            most_runs,
            cells,
            limit_lines: Vec::new(),
            tells_endings: self.held.is_some(),
            limit,
            x,
            y,
        };
        if let Some(limit) = &surface.limit
            && surface.x.words.is_empty()
            && surface.y.words.is_empty()
        {
            let values = surface.values();
            surface.limit_lines =
                contour(&surface.x.values, &surface.y.values, &values, limit.value);
        }
        Ok(surface)
    }
}
