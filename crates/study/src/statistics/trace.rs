//! How an estimate settles as runs are added.

use super::Interval;
use super::binomial::clopper_pearson;
use super::error::{StatisticsError, all_finite, confidence};
use super::running::Running;

/// The estimate from the first runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TracePoint {
    /// How many runs.
    pub runs: u64,
    /// Estimate from them.
    pub estimate: f64,
    /// Its interval.
    pub interval: Interval,
}

/// Where a trace is taken: 16, 32, 64, ... runs (powers of two, at which a Sobol' sequence is balanced), and all of them.
pub fn checkpoints(runs: u64) -> Vec<u64> {
    let mut places: Vec<u64> = (4..63).map(|k| 1 << k).take_while(|&n| n < runs).collect();
    places.extend((runs > 0).then_some(runs));
    places
}

/// The share of true outcomes after more and more runs, with Clopper-Pearson intervals.
///
/// # Errors
/// No outcome, a confidence outside 0 to 1.
pub fn proportion_trace(outcomes: &[bool], level: f64) -> Result<Vec<TracePoint>, StatisticsError> {
    enough(outcomes.len(), 1)?;
    let mut successes = 0;
    let mut done = 0;
    let mut points = Vec::new();
    for runs in checkpoints(outcomes.len() as u64) {
        let new = &outcomes[done..runs as usize];
        successes += new.iter().filter(|&&outcome| outcome).count() as u64;
        done = runs as usize;
        points.push(TracePoint {
            runs,
            estimate: successes as f64 / runs as f64,
            interval: clopper_pearson(successes, runs, level)?,
        });
    }
    Ok(points)
}

/// The mean after more and more runs, with Student's intervals.
///
/// # Errors
/// Fewer than two values, values that are not finite, a confidence outside 0 to 1.
pub fn mean_trace(values: &[f64], level: f64) -> Result<Vec<TracePoint>, StatisticsError> {
    enough(values.len(), 2)?;
    all_finite(values)?;
    confidence(level)?;
    let mut running = Running::new();
    let mut done = 0;
    let mut points = Vec::new();
    for runs in checkpoints(values.len() as u64) {
        for &value in &values[done..runs as usize] {
            running.push(value);
        }
        done = runs as usize;
        points.push(TracePoint {
            runs,
            estimate: running.mean().unwrap_or(f64::NAN),
            interval: running.mean_interval(level)?,
        });
    }
    Ok(points)
}

fn enough(given: usize, least: usize) -> Result<(), StatisticsError> {
    if given < least {
        return Err(StatisticsError::TooFew { given, least });
    }
    Ok(())
}
