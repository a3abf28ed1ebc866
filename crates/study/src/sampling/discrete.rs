//! A distribution over listed values.

use super::error::{SamplingError, finite};

/// Values with weights.
#[derive(Debug, Clone, PartialEq)]
pub struct Discrete {
    /// Ascending.
    values: Vec<f64>,
    /// Probability of each value.
    shares: Vec<f64>,
    /// Probability of each value and all below it; the last is 1.
    upto: Vec<f64>,
}

impl Discrete {
    /// Values, each with a weight of zero or more; the weights are divided by their sum. For levels that are no numbers,
    /// take their places in the list: 0, 1, 2, ...
    ///
    /// # Errors
    /// No value, a value twice, a number that is not finite, a negative weight, or no weight above zero.
    pub fn new(weighted: &[(f64, f64)]) -> Result<Self, SamplingError> {
        let mut rows = weighted.to_vec();
        for &(value, weight) in &rows {
            finite("a value", value)?;
            if finite("a weight", weight)? < 0.0 {
                return Err(SamplingError::Values {
                    problem: format!("the weight {weight} of {value} is negative"),
                });
            }
        }
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(pair) = rows.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            return Err(SamplingError::Values {
                problem: format!("{} stands twice", pair[0].0),
            });
        }
        rows.retain(|row| row.1 > 0.0);
        let total: f64 = rows.iter().map(|row| row.1).sum();
        if rows.is_empty() {
            return Err(SamplingError::Values {
                problem: "none has a weight above zero".to_owned(),
            });
        }
        finite("the sum of the weights", total)?;
        let mut sum = 0.0;
        let mut upto: Vec<f64> = rows
            .iter()
            .map(|row| {
                sum += row.1;
                (sum / total).min(1.0)
            })
            .collect();
        if let Some(last) = upto.last_mut() {
            *last = 1.0;
        }
        Ok(Self {
            values: rows.iter().map(|row| row.0).collect(),
            shares: rows.iter().map(|row| row.1 / total).collect(),
            upto,
        })
    }

    /// The values of a weight above zero, ascending.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The least value with F(x) >= p, for `p` from 0 to 1.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let place = self.upto.partition_point(|&upto| upto < p);
        self.values[place.min(self.values.len() - 1)]
    }

    /// F(x), the probability of `x` and all below.
    pub(super) fn cdf(&self, x: f64) -> f64 {
        match self.values.partition_point(|&value| value <= x) {
            0 => 0.0,
            place => self.upto[place - 1],
        }
    }

    pub(super) fn mean(&self) -> f64 {
        // sum w_i x_i, about the least value
        let least = self.values[0];
        least + self.sum(|value| value - least)
    }

    pub(super) fn sd(&self) -> f64 {
        // sqrt(sum w_i (x_i - m)^2)
        let mean = self.mean();
        self.sum(|value| (value - mean) * (value - mean)).sqrt()
    }

    fn sum(&self, term: impl Fn(f64) -> f64) -> f64 {
        self.values
            .iter()
            .zip(&self.shares)
            .map(|(&value, share)| share * term(value))
            .sum()
    }
}
