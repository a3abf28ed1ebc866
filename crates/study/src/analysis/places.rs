//! Where the runs stand along a swept quantity: at its listed values, at words, or in bins of drawn numbers.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::AnalysisError;
use super::source::{AxisData, NOWHERE, Source};

/// Bins of a drawn quantity.
const BINS: usize = 12;
/// Runs that a bin should have on average, at least.
const RUNS_PER_BIN: usize = 8;

/// The places along an axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxisValues {
    /// Column of the table.
    pub column: String,
    /// Value of each place, SI, rising; of words their numbers from 0, of bins their middles.
    pub values: Vec<f64>,
    /// The words, where the places are words; else empty.
    pub words: Vec<String>,
    /// Ends of the bins, one more than places, where drawn numbers were put into bins; else empty.
    pub bins: Vec<f64>,
}

/// A swept quantity that is kept at one value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fixed {
    /// Column of the table.
    pub column: String,
    /// The value, SI; none for a word.
    pub value: Option<f64>,
    /// The word; none for a number.
    pub word: Option<String>,
}

impl Source<'_> {
    /// The places of an axis and of every row on it; `bins` at most for drawn numbers.
    pub(super) fn places(
        &self,
        axis: usize,
        rows: &[u32],
    ) -> Result<(AxisValues, Vec<u32>), AnalysisError> {
        let column = self.layout.axes[axis].column.clone();
        let mut out = AxisValues {
            column,
            values: Vec::new(),
            words: Vec::new(),
            bins: Vec::new(),
        };
        let of_rows = |all: &[u32]| rows.iter().map(|r| all[*r as usize]).collect();
        let places = match &self.axes[axis] {
            AxisData::Numbers(levels, places) => {
                out.values = levels.clone();
                of_rows(places)
            }
            AxisData::Words(words, places) => {
                out.values = (0..words.len()).map(|i| i as f64).collect();
                out.words = words.clone();
                of_rows(places)
            }
            AxisData::Drawn(numbers) => {
                let own: Vec<f64> = rows.iter().map(|r| numbers[*r as usize]).collect();
                bins(&own, &mut out)
            }
        };
        if out.values.len() < 2 {
            return Err(AnalysisError::OnePoint { column: out.column });
        }
        Ok((out, places))
    }

    /// The rows in which these axes stand at these places.
    pub(super) fn rows_at(&self, fixed: &[(usize, u32)]) -> Vec<u32> {
        (0..self.rows() as u32)
            .filter(|&row| {
                fixed.iter().all(|&(axis, place)| match &self.axes[axis] {
                    AxisData::Numbers(_, places) | AxisData::Words(_, places) => {
                        places[row as usize] == place
                    }
                    AxisData::Drawn(_) => true,
                })
            })
            .collect()
    }

    /// The same as it is told.
    pub(super) fn fixed(&self, fixed: &[(usize, u32)]) -> Vec<Fixed> {
        fixed
            .iter()
            .map(|&(axis, place)| {
                let place = place as usize;
                let (value, word) = match &self.axes[axis] {
                    AxisData::Numbers(levels, _) => (levels.get(place).copied(), None),
                    AxisData::Words(words, _) => (None, words.get(place).cloned()),
                    AxisData::Drawn(_) => (None, None),
                };
                Fixed {
                    column: self.layout.axes[axis].column.clone(),
                    value,
                    word,
                }
            })
            .collect()
    }
}

/// Bins of equal width; the last one holds its upper end.
fn bins(numbers: &[f64], out: &mut AxisValues) -> Vec<u32> {
    let there = || numbers.iter().filter(|x| !x.is_nan());
    let (low, high) = there().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(*x), high.max(*x))
    });
    let count = (there().count() / RUNS_PER_BIN).clamp(2, BINS);
    if low >= high {
        out.values = there().take(1).copied().collect();
        return vec![0; numbers.len()];
    }
    let width = (high - low) / count as f64;
    out.bins = (0..=count).map(|i| low + width * i as f64).collect();
    out.values = out.bins.windows(2).map(|w| 0.5 * (w[0] + w[1])).collect();
    numbers
        .iter()
        .map(|x| {
            if x.is_nan() {
                NOWHERE
            } else {
                (((x - low) / width) as u32).min(count as u32 - 1)
            }
        })
        .collect()
}
