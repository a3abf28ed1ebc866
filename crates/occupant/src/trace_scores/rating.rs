//! Phase, magnitude and slope scores of ISO/TS 18571 and its overall rating, written from knowledge of the method
//! \[recalled\]: verify constants and procedure against the document before relying on them.
//!
//! ```text
//! phase      the shift n within 20 % of the length that correlates best:  E_P = (0.2 N - |n|) / (0.2 N)
//! magnitude  both traces shifted, cut to what they share and warped in time by the path of least cost within a band of
//!            10 %:  e = sum |C - T| / sum |T|,  E_M = (0.5 - e) / 0.5
//! slope      both shifted and cut; central differences, mean of 9:  e = sum |C' - T'| / sum |T'|,  E_S = (2 - e) / 2
//! rating     R = 0.4 Z + 0.2 E_P + 0.2 E_M + 0.2 E_S,  Z the corridor score
//! ```
//!
//! Every score is held between 0 and 1. The document wants 10 kHz.
//!
//! References
//! - ISO/TS 18571, Road vehicles - Objective rating metric for non-ambiguous signals (recalled).
//! - H. Sakoe and S. Chiba, Dynamic programming algorithm optimization for spoken word recognition, IEEE Transactions on
//!   Acoustics, Speech and Signal Processing 26, 1978: the path of least cost (recalled).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::check;
use super::corridor::corridor_score;
use crate::OccupantError;

/// Largest shift over the length.
const LARGEST_SHIFT: f64 = 0.2;
/// Half-width of the warping band over the length.
const BAND: f64 = 0.1;
/// Magnitude error at which the score is zero.
const LARGEST_MAGNITUDE_ERROR: f64 = 0.5;
/// Slope error at which the score is zero.
const LARGEST_SLOPE_ERROR: f64 = 2.0;
/// Samples of the mean of the slope.
const SLOPE_WINDOW: usize = 9;
/// Fewest samples that can be rated.
pub const FEWEST_SAMPLES: usize = 20;
/// Most samples that are rated: the warping needs memory as their square.
pub const MOST_SAMPLES: usize = 20_000;

/// The four scores and the rating, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Rating {
    /// Corridor score.
    pub corridor: f64,
    /// Phase score.
    pub phase: f64,
    /// Magnitude score.
    pub magnitude: f64,
    /// Slope score.
    pub slope: f64,
    /// Overall rating.
    pub overall: f64,
    /// Grade of the overall rating.
    pub grade: Grade,
    /// Samples by which the computed trace was shifted to correlate best; positive: it was late.
    pub shift_samples: i64,
}

/// Grades of the overall rating (recalled).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Above 0.94.
    Excellent,
    /// Above 0.80.
    Good,
    /// Above 0.58.
    Fair,
    /// The rest.
    Poor,
}

impl Grade {
    /// Of an overall rating.
    pub fn of(overall: f64) -> Self {
        match overall {
            r if r > 0.94 => Self::Excellent,
            r if r > 0.80 => Self::Good,
            r if r > 0.58 => Self::Fair,
            _ => Self::Poor,
        }
    }
}

/// Rates `computed` against `measured`, any unit, same instants, evenly sampled.
/// Example: a constant 1 against 1.1 has the corridor score 0.790, phase 1, magnitude 0.8; a ramp against one 1.5 times
/// as steep has the slope score 0.75.
///
/// # Errors
/// Fewer samples than [`FEWEST_SAMPLES`] or more than [`MOST_SAMPLES`], traces of different length, a value that is not
/// finite, or a measured trace that is zero throughout.
pub fn rating(measured: &[f64], computed: &[f64]) -> Result<Rating, OccupantError> {
    check(measured, computed, FEWEST_SAMPLES)?;
    if measured.len() > MOST_SAMPLES {
        return Err(OccupantError::TooManySamples {
            most: MOST_SAMPLES,
            found: measured.len(),
        });
    }
    let corridor = corridor_score(measured, computed)?;
    let (shift, [phase, magnitude, slope]) = if measured == computed {
        // What the search would find: no shift, no error.
        (0, [1.0; 3])
    } else {
        let shift = best_shift(measured, computed);
        let most = LARGEST_SHIFT * measured.len() as f64;
        // E_P = (0.2 N - |n|) / (0.2 N)
        let phase = ((most - shift.unsigned_abs() as f64) / most).clamp(0.0, 1.0);
        let (t, c) = shared(measured, computed, shift);
        let magnitude = score(warped_error(t, c), LARGEST_MAGNITUDE_ERROR);
        let slope = score(relative_error(&slopes(t), &slopes(c)), LARGEST_SLOPE_ERROR);
        (shift, [phase, magnitude, slope])
    };
    // R = 0.4 Z + 0.2 E_P + 0.2 E_M + 0.2 E_S
    let overall = 0.4 * corridor + 0.2 * (phase + magnitude + slope);
    Ok(Rating {
        corridor,
        phase,
        magnitude,
        slope,
        overall,
        grade: Grade::of(overall),
        shift_samples: shift as i64,
    })
}

/// 1 without error, 0 from the largest one on, in a straight line between.
fn score(error: f64, largest: f64) -> f64 {
    ((largest - error) / largest).clamp(0.0, 1.0)
}

/// What the two share when the computed trace is shifted: `computed[i + shift]` belongs to `measured[i]`.
fn shared<'a>(measured: &'a [f64], computed: &'a [f64], shift: isize) -> (&'a [f64], &'a [f64]) {
    let n = measured.len();
    let m = shift.unsigned_abs();
    if shift >= 0 {
        (&measured[..n - m], &computed[m..])
    } else {
        (&measured[m..], &computed[..n - m])
    }
}

/// The shift of the largest cross correlation; of equal ones the smallest.
fn best_shift(measured: &[f64], computed: &[f64]) -> isize {
    // Beyond the largest shift the score is zero whatever is found.
    let most = (LARGEST_SHIFT * measured.len() as f64) as isize;
    let mut best = (correlation(measured, computed), 0);
    for m in 1..=most {
        for shift in [m, -m] {
            let (t, c) = shared(measured, computed, shift);
            let here = correlation(t, c);
            // Rounding must not move traces that fit best as they stand.
            if here > best.0 + 1e-12 {
                best = (here, shift);
            }
        }
    }
    best.1
}

/// r = sum (t - mean t)(c - mean c) / sqrt(sum (t - mean t)^2 sum (c - mean c)^2); of a constant trace 0.
fn correlation(t: &[f64], c: &[f64]) -> f64 {
    let n = t.len() as f64;
    let mean = |x: &[f64]| sum(x, x, |x, _| x) / n;
    let (a, b) = (mean(t), mean(c));
    let tt = sum(t, t, |t, _| (t - a) * (t - a));
    let cc = sum(c, c, |c, _| (c - b) * (c - b));
    let tc = sum(t, c, |t, c| (t - a) * (c - b));
    let norm = (tt * cc).sqrt();
    if norm > 0.0 { tc / norm } else { 0.0 }
}

/// Sum of `of` over both traces, in eight parts that do not wait for each other.
fn sum(a: &[f64], b: &[f64], of: impl Fn(f64, f64) -> f64) -> f64 {
    let (a8, a_rest) = a.as_chunks::<8>();
    let (b8, b_rest) = b.as_chunks::<8>();
    let mut parts = [0.0; 8];
    for (a, b) in a8.iter().zip(b8) {
        for (part, (a, b)) in parts.iter_mut().zip(a.iter().zip(b)) {
            *part += of(*a, *b);
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| of(*a, *b)).sum();
    parts.iter().sum::<f64>() + rest
}

/// apart/size; of no size it is 0 for equal traces and endless for others.
fn over(apart: f64, size: f64) -> f64 {
    if size > 0.0 {
        apart / size
    } else if apart > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

/// sum |c - t| / sum |t|, as [`over`] has it.
fn relative_error(t: &[f64], c: &[f64]) -> f64 {
    let apart: f64 = t.iter().zip(c).map(|(t, c)| (c - t).abs()).sum();
    let size: f64 = t.iter().map(|t| t.abs()).sum();
    over(apart, size)
}

/// Central differences, one-sided at the ends, then the mean of nine samples, of fewer at the ends. The interval cancels.
fn slopes(x: &[f64]) -> Vec<f64> {
    let last = x.len() - 1;
    let raw: Vec<f64> = (0..x.len())
        .map(|i| match i {
            0 => x[1] - x[0],
            i if i == last => x[last] - x[last - 1],
            i => 0.5 * (x[i + 1] - x[i - 1]),
        })
        .collect();
    let half = SLOPE_WINDOW / 2;
    (0..raw.len())
        .map(|i| {
            let window = &raw[i.saturating_sub(half)..(i + half + 1).min(raw.len())];
            window.iter().sum::<f64>() / window.len() as f64
        })
        .collect()
}

/// Where a step of the path comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Step {
    Both,
    Measured,
    Computed,
}

/// The relative error along the path of least cost: d(i, j) = (t_i - c_j)^2, steps (1, 1), (1, 0), (0, 1), |i - j| within
/// the band.
fn warped_error(t: &[f64], c: &[f64]) -> f64 {
    let n = t.len();
    let band = ((BAND * n as f64) as usize).max(1);
    let width = 2 * band + 1;
    // Cell (i, j) stands in column j + band - i; of the costs in the column after, so that each has a neighbour on both sides.
    let mut steps = vec![Step::Both; n * width];
    let mut before = vec![f64::INFINITY; width + 2];
    let mut now = before.clone();
    // The path begins before (0, 0).
    before[band + 1] = 0.0;
    for i in 0..n {
        now.fill(f64::INFINITY);
        let (from, to) = (i.saturating_sub(band), (i + band + 1).min(n));
        let first = from + band - i;
        let row = &mut steps[i * width + first..i * width + first + (to - from)];
        for ((k, other), step) in (first..).zip(&c[from..to]).zip(row) {
            let (both, measured, computed) = (before[k + 1], before[k + 2], now[k]);
            let cost;
            (cost, *step) = if both <= measured && both <= computed {
                (both, Step::Both)
            } else if measured <= computed {
                (measured, Step::Measured)
            } else {
                (computed, Step::Computed)
            };
            let apart = t[i] - other;
            now[k + 1] = cost + apart * apart;
        }
        std::mem::swap(&mut before, &mut now);
    }
    let (mut i, mut j) = (n - 1, n - 1);
    let (mut apart, mut size) = (0.0, 0.0);
    loop {
        apart += (c[j] - t[i]).abs();
        size += t[i].abs();
        if i == 0 && j == 0 {
            break;
        }
        match steps[i * width + (j + band - i)] {
            Step::Both => {
                i -= 1;
                j -= 1;
            }
            Step::Measured => i -= 1,
            Step::Computed => j -= 1,
        }
    }
    over(apart, size)
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::TAU;

    fn near(a: f64, b: f64, within: f64) {
        assert!((a - b).abs() <= within, "{a} instead of {b}");
    }

    #[test]
    fn equal_traces_are_excellent() {
        let t: Vec<f64> = (0..400)
            .map(|i| libm::sin(TAU * f64::from(i) / 130.0))
            .collect();
        let r = rating(&t, &t).unwrap();
        assert_eq!(
            (r.corridor, r.phase, r.magnitude, r.slope),
            (1.0, 1.0, 1.0, 1.0)
        );
        near(r.overall, 1.0, 1e-15);
        assert_eq!((r.grade, r.shift_samples), (Grade::Excellent, 0));
    }

    #[test]
    fn a_late_pulse_costs_phase_alone() {
        // A pulse that is 30 of 1000 samples late: E_P = (200 - 30)/200 = 0.85; shifted back it is the same pulse.
        let pulse = |late: f64| -> Vec<f64> {
            let at = |i: i32| (f64::from(i) - 450.0 - late) / 60.0;
            (0..1000).map(|i| libm::exp(-at(i) * at(i))).collect()
        };
        let r = rating(&pulse(0.0), &pulse(30.0)).unwrap();
        assert_eq!(r.shift_samples, 30);
        near(r.phase, 0.85, 1e-12);
        near(r.magnitude, 1.0, 1e-9);
        near(r.slope, 1.0, 1e-9);
        let early = rating(&pulse(30.0), &pulse(0.0)).unwrap();
        assert_eq!(early.shift_samples, -30);
        near(early.phase, 0.85, 1e-12);
    }

    #[test]
    fn constants_and_ramps_have_closed_forms() {
        // e = 0.1/1: E_M = (0.5 - 0.1)/0.5 = 0.8; Z = ((0.5 - 0.1)/0.45)^2; slopes are equal.
        let r = rating(&[1.0; 100], &[1.1; 100]).unwrap();
        near(r.magnitude, 0.8, 1e-12);
        near(r.corridor, (0.4 / 0.45) * (0.4 / 0.45), 1e-12);
        assert_eq!((r.phase, r.slope), (1.0, 1.0));
        // Slopes 1 and 1.5: e = 0.5, E_S = (2 - 0.5)/2 = 0.75.
        let ramp = |s: f64| -> Vec<f64> { (0..200).map(|i| s * f64::from(i)).collect() };
        let r = rating(&ramp(1.0), &ramp(1.5)).unwrap();
        near(r.slope, 0.75, 1e-12);
        assert_eq!(r.phase, 1.0);
        // In opposition: e = 2, no score.
        near(rating(&ramp(1.0), &ramp(-1.0)).unwrap().slope, 0.0, 1e-12);
    }

    #[test]
    fn the_path_is_that_of_least_cost() {
        // Two steps at 5 and at 6 of 20: within the band of 2 the path lays them over each other without cost.
        let step =
            |at: usize| -> Vec<f64> { (0..20).map(|i| if i < at { 1.0 } else { 3.0 }).collect() };
        near(warped_error(&step(5), &step(6)), 0.0, 0.0);
        // At 5 and at 9 the band of 2 allows two samples of the four: two of 2 apart remain, each beside a 1 or a 3.
        let left = warped_error(&step(5), &step(9));
        assert!(
            left > 0.0 && left < relative_error(&step(5), &step(9)),
            "{left}"
        );
    }

    #[test]
    fn what_cannot_be_rated_is_refused() {
        assert!(rating(&[1.0; 19], &[1.0; 19]).is_err());
        assert!(rating(&[0.0; 50], &[1.0; 50]).is_err());
        assert!(rating(&[1.0; 50], &[f64::NAN; 50]).is_err());
        assert!(rating(&[1.0; 50], &[1.0; 51]).is_err());
        let long = vec![1.0; MOST_SAMPLES + 1];
        assert!(rating(&long, &long).is_err());
        assert_eq!(
            [0.95, 0.94, 0.80, 0.58].map(Grade::of),
            [Grade::Excellent, Grade::Good, Grade::Fair, Grade::Poor]
        );
    }
}
