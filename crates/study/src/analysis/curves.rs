//! An output against one swept quantity, with bands over what was drawn.

use giveway_sampling::quantile;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::AnalysisError;
use super::limit::ColumnLimit;
use super::places::{AxisValues, Fixed};
use super::source::{AxisData, NOWHERE, Source};
use super::surface::Gathered;

/// Quantiles of a curve's points: two bands about the median.
pub const BAND_SHARES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// Most curves of a set.
const MOST_CURVES: usize = 4;

/// Curves of one output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CurveSet {
    /// Column of the output.
    pub value: String,
    /// Places along.
    pub x: AxisValues,
    /// What is kept at one value.
    pub fixed: Vec<Fixed>,
    /// The curves.
    pub curves: Vec<Curve>,
    /// Limit of the output.
    pub limit: Option<ColumnLimit>,
    /// Largest number of runs with a value at a place: 1 where there is nothing to band.
    pub most_runs: u64,
}

/// One curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    /// What tells it from the others; none where it is the only one.
    pub of: Option<Fixed>,
    /// Its points, rising in x.
    pub points: Vec<CurvePoint>,
}

/// One point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    /// Where it stands, SI.
    pub x: f64,
    /// Runs.
    pub runs: u64,
    /// Failed ones among them.
    pub failed: u64,
    /// Runs whose base held.
    pub held: u64,
    /// The quantiles 0.05, 0.25, 0.5, 0.75 and 0.95; none where no run has a value.
    pub quantiles: Option<[f64; 5]>,
}

impl CurvePoint {
    /// Whether at least half of the runs that did not fail held.
    pub fn is_held(&self) -> bool {
        self.held > 0 && 2 * self.held >= self.runs - self.failed
    }
}

impl Source<'_> {
    /// Curves of an output against an axis; with a family, one curve for each of at most four of its places.
    pub(super) fn curves(
        &self,
        (column, values): (&str, &[f64]),
        x_axis: usize,
        family: Option<usize>,
        fixed: &[(usize, u32)],
        limit: Option<ColumnLimit>,
    ) -> Result<CurveSet, AnalysisError> {
        let members: Vec<Option<(usize, u32)>> = match family {
            Some(axis) => spread(self.axes[axis].levels(), MOST_CURVES)
                .into_iter()
                .map(|place| Some((axis, place as u32)))
                .collect(),
            None => vec![None],
        };
        let all = self.rows_at(fixed);
        let (x, of_x) = self.places(x_axis, &all)?;
        let mut most_runs = 0;
        let mut curves = Vec::new();
        for member in members {
            let mut gathered = vec![Gathered::default(); x.values.len()];
            for (row, place) in all.iter().zip(&of_x) {
                let own = member.is_none_or(|(axis, wanted)| match &self.axes[axis] {
                    AxisData::Numbers(_, places) | AxisData::Words(_, places) => {
                        places[*row as usize] == wanted
                    }
                    AxisData::Drawn(_) => true,
                });
                if own && *place != NOWHERE {
                    self.gather(*row, values, &mut gathered[*place as usize]);
                }
            }
            let points = (x.values.iter().zip(gathered))
                .filter(|(_, g)| g.runs > 0)
                .map(|(&x, mut g)| {
                    g.values.sort_by(f64::total_cmp);
                    most_runs = most_runs.max(g.values.len() as u64);
                    let mut shares = [0.0; 5];
                    let found = (shares.iter_mut().zip(BAND_SHARES)).all(|(share, p)| {
                        let value = quantile(&g.values, p).ok();
                        *share = value.unwrap_or(0.0);
                        value.is_some()
                    });
                    CurvePoint {
                        x,
                        runs: g.runs,
                        failed: g.failed,
                        held: g.held,
                        quantiles: found.then_some(shares),
                    }
                })
                .collect();
            let of = member.map(|m| self.fixed(&[m]).remove(0));
            curves.push(Curve { of, points });
        }
        Ok(CurveSet {
            value: column.to_owned(),
            fixed: self.fixed(fixed),
            x,
            curves,
            limit,
            most_runs,
        })
    }
}

/// At most `most` of `count` places, evenly spread, with both ends.
pub(super) fn spread(count: usize, most: usize) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    (0..most)
        .map(|i| (i * (count - 1) + (most - 1) / 2) / (most - 1))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chosen_places_keep_both_ends() {
        assert_eq!(spread(3, 4), [0, 1, 2]);
        assert_eq!(spread(10, 4), [0, 3, 6, 9]);
        assert_eq!(spread(6, 4), [0, 2, 3, 5]);
    }
}
