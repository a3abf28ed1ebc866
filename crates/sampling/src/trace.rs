//! How an estimate settles as runs are added.

use crate::binomial::clopper_pearson;
use crate::complete::{Complete, missing};
use crate::error::SamplingError;
use crate::interval::{Interval, confidence};
use crate::running::Running;

/// The estimate from the first runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TracePoint {
    /// How many runs.
    pub runs: u64,
    /// Estimate from them.
    pub estimate: f64,
    /// Its interval.
    pub interval: Interval,
    /// How many of the runs had a result.
    pub complete: Complete,
}

/// Where a trace is taken: 16, 32, 64, ... runs (powers of two, at which a Sobol' sequence is balanced), and all of them.
pub fn checkpoints(runs: u64) -> Vec<u64> {
    let mut places: Vec<u64> = (4..63).map(|k| 1 << k).take_while(|&n| n < runs).collect();
    places.extend((runs > 0).then_some(runs));
    places
}

/// The share of runs with a true outcome after more and more runs, with Clopper-Pearson intervals. A run without an outcome
/// is none; it counts among the runs of [`TracePoint::complete`] only.
///
/// # Errors
/// No outcome up to the first point of the trace, a confidence outside 0 to 1.
pub fn proportion_trace(
    outcomes: &[Option<bool>],
    level: f64,
) -> Result<Vec<TracePoint>, SamplingError> {
    let (mut successes, mut trials) = (0, 0);
    trace(outcomes, |new| {
        for outcome in new.iter().flatten() {
            trials += 1;
            successes += u64::from(*outcome);
        }
        let interval = clopper_pearson(successes, trials, level)?;
        Ok((successes as f64 / trials as f64, interval, trials))
    })
}

/// The mean after more and more runs, with Student's intervals. A run without a result is none; it counts among the runs of
/// [`TracePoint::complete`] only.
///
/// # Errors
/// Fewer than two results up to the first point of the trace, results that are not finite, a confidence outside 0 to 1.
pub fn mean_trace(values: &[Option<f64>], level: f64) -> Result<Vec<TracePoint>, SamplingError> {
    missing(values)?;
    confidence(level)?;
    let mut running = Running::new();
    trace(values, |new| {
        for value in new {
            running.push(*value);
        }
        let interval = running.mean_interval(level)?;
        Ok((
            running.mean().unwrap_or(f64::NAN),
            interval,
            running.complete().used,
        ))
    })
}

/// Points of a trace from a function that takes in the runs that each point adds and gives estimate, interval and number of
/// results used so far.
fn trace<T>(
    results: &[T],
    mut add: impl FnMut(&[T]) -> Result<(f64, Interval, u64), SamplingError>,
) -> Result<Vec<TracePoint>, SamplingError> {
    let mut done = 0;
    let mut points = Vec::new();
    for runs in checkpoints(results.len() as u64) {
        let (estimate, interval, used) = add(&results[done..runs as usize])?;
        done = runs as usize;
        points.push(TracePoint {
            runs,
            estimate,
            interval,
            complete: Complete {
                what: "runs",
                used,
                left_out: runs - used,
                missing_runs: runs - used,
            },
        });
    }
    if points.is_empty() {
        return Err(SamplingError::TooFew {
            what: "runs",
            given: 0,
            least: 1,
        });
    }
    Ok(points)
}
