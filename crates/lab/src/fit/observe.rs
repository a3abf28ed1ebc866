//! One run laid beside what was measured.

use giveway_impact::outcome::Engagement;
use giveway_impact::{RecordRequest, Workspace};
use giveway_scenario::model::Scenario;
use giveway_study::Supports;
use nalgebra::{DMatrix, DVector};

use crate::quantity::Quantity;
use crate::record::velocity_change;

/// Half of ln(2 pi).
const HALF_LOG_TWO_PI: f64 = 0.918_938_533_204_672_8;
/// Record behind the last instant, s.
const BEHIND_S: f64 = 2e-3;

/// A measured number.
#[derive(Debug, Clone)]
pub(crate) struct NumberDatum {
    pub case: usize,
    pub quantity: &'static Quantity,
    pub value: f64,
    /// Of measurement and model together.
    pub deviation: f64,
    pub what: String,
}

/// A measured trace at some instants.
#[derive(Debug, Clone)]
pub(crate) struct TraceDatum {
    pub case: usize,
    pub column: String,
    pub times_s: Vec<f64>,
    pub values: Vec<f64>,
    /// Deviation of its time zero, s; 0 where it is certain.
    pub shift_s: f64,
    pub spread: Spread,
    pub what: String,
}

/// Covariance of a trace's errors, as its Cholesky factor.
#[derive(Debug, Clone)]
pub(crate) struct Spread {
    factor: DMatrix<f64>,
    /// Standard deviation of each value.
    pub deviations: Vec<f64>,
}

impl Spread {
    /// d^2 I + e^2 exp(-|t_i - t_j|/tau); none where it is not positive definite.
    pub fn new(times_s: &[f64], deviation: f64, error: f64, correlation_s: f64) -> Option<Self> {
        let n = times_s.len();
        let entry = |i: usize, j: usize| {
            let apart = (times_s[i] - times_s[j]).abs();
            let own = if i == j { deviation * deviation } else { 0.0 };
            own + error * error * libm::exp(-apart / correlation_s)
        };
        let matrix = DMatrix::from_fn(n, n, entry);
        let deviations = (0..n).map(|i| matrix[(i, i)].sqrt()).collect();
        Some(Self {
            factor: matrix.cholesky()?.l(),
            deviations,
        })
    }

    fn log_density(&self, residual: Vec<f64>) -> f64 {
        let n = residual.len() as f64;
        let mut r = DVector::from_vec(residual);
        if !self.factor.solve_lower_triangular_mut(&mut r) {
            return f64::NEG_INFINITY;
        }
        let scale: f64 = self.factor.diagonal().iter().map(|l| libm::log(*l)).sum();
        -0.5 * r.norm_squared() - scale - n * HALF_LOG_TWO_PI
    }
}

impl NumberDatum {
    pub fn log_likelihood(&self, computed: Option<f64>) -> f64 {
        let Some(computed) = computed.filter(|c| c.is_finite()) else {
            return f64::NEG_INFINITY;
        };
        let z = (self.value - computed) / self.deviation;
        -0.5 * z * z - libm::log(self.deviation) - HALF_LOG_TWO_PI
    }
}

impl TraceDatum {
    pub fn log_likelihood(&self, computed: &[f64]) -> f64 {
        if computed.len() != self.values.len() {
            return f64::NEG_INFINITY;
        }
        let residual = self
            .values
            .iter()
            .zip(computed)
            .map(|(m, c)| m - c)
            .collect();
        self.spread.log_density(residual)
    }
}

/// What the model says of every datum.
#[derive(Debug, Clone)]
pub(crate) struct Predicted {
    pub numbers: Vec<Option<f64>>,
    pub traces: Vec<Vec<f64>>,
}

impl Predicted {
    pub fn empty(numbers: usize, traces: usize) -> Self {
        Self {
            numbers: vec![None; numbers],
            traces: vec![Vec::new(); traces],
        }
    }
}

/// Runs a case and puts its numbers in; none where it cannot be computed.
pub(crate) fn run_case(
    case: usize,
    mut scenario: Scenario,
    supports: &Supports,
    (numbers, traces): (&[NumberDatum], &[TraceDatum]),
    shifts: &[f64],
    predicted: &mut Predicted,
) -> Option<()> {
    let own: Vec<(usize, &TraceDatum)> = traces
        .iter()
        .enumerate()
        .filter(|t| t.1.case == case)
        .collect();
    // The engagement alone: the pole is not followed, and the vehicle rolls on no longer than the traces last.
    scenario.flight.pole = false;
    let last = own
        .iter()
        .filter_map(|(_, t)| Some(t.times_s.last()? + 4.0 * t.shift_s));
    scenario.solver.record_limit_s = last.fold(0.0, f64::max) + BEHIND_S;
    let request = RecordRequest {
        trace: own.iter().any(|(_, t)| of_history(&t.column)),
        rollout: !own.is_empty(),
    };
    let prepared = supports.prepare(&scenario).ok()?;
    let engagement = prepared.engage_in(request, &mut Workspace::new()).ok()?;
    for (i, n) in numbers.iter().enumerate().filter(|n| n.1.case == case) {
        predicted.numbers[i] = (n.quantity.of)(&scenario, &engagement);
    }
    for (i, t) in own {
        predicted.traces[i] = trace_of(&engagement, &t.column, &t.times_s, shifts[i])?;
    }
    Some(())
}

/// Whether a column stands in the history of the engagement and not in the vehicle's record.
pub(crate) fn of_history(column: &str) -> bool {
    !matches!(
        column,
        "velocity_change_mps" | "acceleration_x_mps2" | "acceleration_y_mps2" | "yaw_rate_radps"
    )
}

/// A computed trace at these instants of a clock that runs late by `shift`.
fn trace_of(e: &Engagement, column: &str, times_s: &[f64], shift: f64) -> Option<Vec<f64>> {
    let r = &e.record;
    let (clock, values): (Vec<f64>, Vec<f64>) = if of_history(column) {
        (e.trace.time_s.clone(), e.trace.column(column)?.to_vec())
    } else {
        let ends = (0..r.acceleration_mps2.len()).map(|i| (i + 1) as f64 * r.interval_s);
        let values = match column {
            "velocity_change_mps" => velocity_change(&r.acceleration_mps2, r.interval_s),
            "acceleration_x_mps2" => r.acceleration_mps2.iter().map(|a| a[0]).collect(),
            "acceleration_y_mps2" => r.acceleration_mps2.iter().map(|a| a[1]).collect(),
            _ => r.yaw_rate_radps.clone(),
        };
        (ends.collect(), values)
    };
    let cumulative = !averaged(column);
    Some(at_instants(&clock, &values, times_s, shift, cumulative))
}

/// Whether a trace is taken as the mean since the instant before, and not at the instant.
pub(crate) fn averaged(column: &str) -> bool {
    column.starts_with("acceleration_")
}

/// Values at instants: in a straight line between samples where the trace is a state (0 before the clock begins), the mean
/// since the instant before where it is an acceleration.
pub(crate) fn at_instants(
    clock: &[f64],
    values: &[f64],
    times_s: &[f64],
    shift: f64,
    state: bool,
) -> Vec<f64> {
    let level = |sums: &[f64], t: f64| {
        let next = clock.partition_point(|c| *c < t);
        if next == 0 {
            // From rest at time zero to the first sample.
            let first = clock.first().copied().unwrap_or(1.0);
            return if t <= 0.0 || first <= 0.0 {
                0.0
            } else {
                sums[0] * t / first
            };
        }
        if next >= clock.len() {
            return sums[clock.len() - 1];
        }
        let part = (t - clock[next - 1]) / (clock[next] - clock[next - 1]);
        sums[next - 1] + part * (sums[next] - sums[next - 1])
    };
    if values.is_empty() {
        return vec![0.0; times_s.len()];
    }
    if state {
        return times_s.iter().map(|t| level(values, t - shift)).collect();
    }
    let (mut sum, mut last) = (0.0, 0.0);
    let sums: Vec<f64> = clock
        .iter()
        .zip(values)
        .map(|(t, v)| {
            sum += v * (t - last);
            last = *t;
            sum
        })
        .collect();
    let width = if times_s.len() > 1 {
        times_s[1] - times_s[0]
    } else {
        times_s[0].max(1e-4)
    };
    times_s
        .iter()
        .map(|t| (level(&sums, t - shift) - level(&sums, t - width - shift)) / width)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_of_states_and_means() {
        let clock = [0.1, 0.2, 0.3];
        let v = [1.0, 2.0, 3.0];
        assert_eq!(
            at_instants(&clock, &v, &[0.05, 0.15, 0.9], 0.0, true),
            [0.5, 1.5, 3.0]
        );
        assert_eq!(at_instants(&clock, &v, &[0.1, 0.2], 0.1, true), [0.0, 1.0]);
        let means = at_instants(&clock, &v, &[0.2, 0.4], 0.0, false);
        assert!(
            (means[0] - 1.5).abs() < 1e-12 && (means[1] - 1.5).abs() < 1e-12,
            "{means:?}"
        );
        assert_eq!(at_instants(&[], &[], &[0.1], 0.0, true), [0.0]);
    }

    /// Two values with the covariance [[5, 4/e], [4/e, 5]]: density by hand.
    #[test]
    fn errors_that_hang_together() {
        let s = Spread::new(&[0.0, 0.01], 1.0, 2.0, 0.01).unwrap();
        let c = 4.0 * libm::exp(-1.0);
        let det = 25.0 - c * c;
        let (a, b) = (1.0, -2.0);
        let square = (5.0 * a * a - 2.0 * c * a * b + 5.0 * b * b) / det;
        let expected = -0.5 * square - 0.5 * libm::log(det) - libm::log(2.0 * std::f64::consts::PI);
        assert!((s.log_density(vec![a, b]) - expected).abs() < 1e-12);
        assert!(Spread::new(&[0.0, 0.0], 0.0, 1.0, 0.01).is_none());
    }
}
