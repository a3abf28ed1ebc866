//! Thinning and packing of a track.
//!
//! A sample is left out where the line between its kept neighbours, as they are written, passes it within the tolerance of
//! every column (Ramer 1972). So the written track is never farther from a sample than its tolerance.

use super::model::{Track, TrackKind};
use crate::ResultsError;

/// Unit of the times, s.
pub(super) const TICK_S: f64 = 1e-5;
/// Largest whole number that is written.
const LARGEST: f64 = 9e15;

/// One column before packing.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub name: String,
    pub values: Vec<f64>,
    /// Unit of its whole numbers.
    pub scale: f64,
    pub tolerance: Tolerance,
}

/// How far the line between kept samples may pass a sample.
#[derive(Debug, Clone, Copy)]
pub(super) enum Tolerance {
    /// Everywhere the same.
    Same(f64),
    /// The first until that time, s, the second after it.
    Until(f64, f64, f64),
}

impl Tolerance {
    fn at(self, time_s: f64) -> f64 {
        match self {
            Self::Same(t) => t,
            Self::Until(end_s, before, after) => {
                if time_s <= end_s {
                    before
                } else {
                    after
                }
            }
        }
    }
}

/// A scalar: tolerance 0.5 % of its range, unit a power of ten not above a tenth of that.
pub(super) fn scalar(name: &str, values: Vec<f64>) -> Column {
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let range = high - low;
    let tolerance = 5e-3 * range;
    let scale = if tolerance.is_finite() && tolerance > 1e-12 {
        power_of_ten(0.1 * tolerance)
    } else {
        power_of_ten(1e-4 * high.abs().clamp(1e-3, 1e9))
    };
    Column {
        name: name.to_owned(),
        values,
        scale,
        tolerance: Tolerance::Same(tolerance.max(scale)),
    }
}

// The largest power of ten not above x, by its decimal text so that the written unit is the exact one.
fn power_of_ten(x: f64) -> f64 {
    let exponent = libm::floor(libm::log10(x)) as i32;
    format!("1e{exponent}").parse().unwrap_or(1.0)
}

/// Packs columns on one clock. Samples that fall on the tick of an earlier one are left out.
///
/// # Errors
/// A time or value that is not finite or too large, with its place.
pub(super) fn pack(
    name: &str,
    kind: TrackKind,
    times_s: &[f64],
    columns: &[Column],
    span: (f64, Option<f64>),
) -> Result<Track, ResultsError> {
    let bad = |what: &str, i: usize| ResultsError::NotFinite {
        place: format!("replay, track {name}, {what}, sample {}", i + 1),
    };
    let mut ticks: Vec<i64> = Vec::with_capacity(times_s.len());
    let mut chosen: Vec<usize> = Vec::with_capacity(times_s.len());
    for (i, t) in times_s.iter().enumerate() {
        let tick = whole(*t, TICK_S).ok_or_else(|| bad("time", i))?;
        if ticks.last().is_none_or(|last| tick > *last) {
            ticks.push(tick);
            chosen.push(i);
        }
    }
    let mut wholes: Vec<Vec<i64>> = Vec::with_capacity(columns.len());
    for c in columns {
        let list: Option<Vec<i64>> = chosen
            .iter()
            .map(|&i| whole(c.values[i], c.scale))
            .collect();
        wholes.push(list.ok_or_else(|| {
            let i = c.values.iter().position(|v| whole(*v, c.scale).is_none());
            bad(&c.name, i.unwrap_or(0))
        })?);
    }
    let kept = thinned(&ticks, &chosen, columns, &wholes);
    let times: Vec<i64> = kept.iter().map(|&i| ticks[i]).collect();
    Ok(Track {
        name: name.to_owned(),
        kind,
        columns: columns.iter().map(|c| c.name.clone()).collect(),
        scale: columns.iter().map(|c| c.scale).collect(),
        from_s: span.0,
        until_s: span.1,
        times: differences(&times),
        values: wholes
            .iter()
            .map(|w| differences(&kept.iter().map(|&i| w[i]).collect::<Vec<_>>()))
            .collect(),
    })
}

fn whole(value: f64, unit: f64) -> Option<i64> {
    let n = (value / unit).round();
    (n.abs() < LARGEST).then_some(n as i64)
}

fn differences(values: &[i64]) -> Vec<i64> {
    let mut before = 0;
    values
        .iter()
        .map(|v| {
            let d = v - before;
            before = *v;
            d
        })
        .collect()
}

// Indices into `ticks` that are kept, rising: between two kept samples the worst of those that miss is kept too.
fn thinned(ticks: &[i64], chosen: &[usize], columns: &[Column], wholes: &[Vec<i64>]) -> Vec<usize> {
    let n = ticks.len();
    if n < 3 {
        return (0..n).collect();
    }
    let mut keep = vec![false; n];
    keep[0] = true;
    keep[n - 1] = true;
    let mut open = vec![(0, n - 1)];
    while let Some((a, b)) = open.pop() {
        let span = (ticks[b] - ticks[a]) as f64;
        // Largest miss over its tolerance.
        let mut worst = (1.0, None);
        for (c, w) in columns.iter().zip(wholes) {
            let (from, to) = (w[a] as f64 * c.scale, w[b] as f64 * c.scale);
            for i in a + 1..b {
                let part = (ticks[i] - ticks[a]) as f64 / span;
                let miss = (from + part * (to - from) - c.values[chosen[i]]).abs();
                let share = miss / c.tolerance.at(ticks[i] as f64 * TICK_S);
                if share > worst.0 {
                    worst = (share, Some(i));
                }
            }
        }
        if let Some(i) = worst.1 {
            keep[i] = true;
            open.push((a, i));
            open.push((i, b));
        }
    }
    (0..n).filter(|&i| keep[i]).collect()
}
