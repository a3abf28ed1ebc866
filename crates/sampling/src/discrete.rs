//! Distributions over listed values: numbers, and words.

use crate::error::{SamplingError, finite};

/// Shares of the places of a list, from weights.
#[derive(Debug, Clone, PartialEq)]
struct Shares {
    /// Probability of each place.
    each: Vec<f64>,
    /// Probability of each place and all before it; the last is 1.
    upto: Vec<f64>,
}

impl Shares {
    /// From weights whose names are for errors.
    fn new<'a>(weights: impl Iterator<Item = (String, f64)> + 'a) -> Result<Self, SamplingError> {
        let mut list = Vec::new();
        for (name, weight) in weights {
            if !(weight.is_finite() && weight >= 0.0) {
                return Err(SamplingError::Values {
                    problem: format!("the weight {weight} of {name} is not zero or more"),
                });
            }
            list.push(weight);
        }
        let total: f64 = list.iter().sum();
        if total == 0.0 {
            return Err(SamplingError::Values {
                problem: "none has a weight above zero".to_owned(),
            });
        }
        finite("the sum of the weights", total)?;
        let mut sum = 0.0;
        let mut upto: Vec<f64> = (list.iter())
            .map(|weight| {
                sum += weight;
                (sum / total).min(1.0)
            })
            .collect();
        // Rounding must not leave a gap below 1 after the last place that has a weight.
        if let Some(last) = list.iter().rposition(|&weight| weight > 0.0) {
            upto[last..].fill(1.0);
        }
        Ok(Self {
            each: list.iter().map(|weight| weight / total).collect(),
            upto,
        })
    }

    /// The first place of a weight above zero up to which the probability is at least `p`, for `p` from 0 to 1.
    fn place(&self, p: f64) -> usize {
        let place = self.upto.partition_point(|&upto| upto < p || upto == 0.0);
        place.min(self.upto.len() - 1)
    }
}

/// Numbers with weights.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Discrete {
    /// Ascending.
    values: Vec<f64>,
    shares: Shares,
}

impl Discrete {
    pub(crate) fn new(weighted: &[(f64, f64)]) -> Result<Self, SamplingError> {
        for &(value, _) in weighted {
            finite("a value", value)?;
        }
        let mut rows = weighted.to_vec();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(pair) = rows.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            return Err(SamplingError::Values {
                problem: format!("{} stands twice", pair[0].0),
            });
        }
        let shares = Shares::new(rows.iter().map(|row| (row.0.to_string(), row.1)))?;
        Ok(Self {
            values: rows.iter().map(|row| row.0).collect(),
            shares,
        })
    }

    /// The least value with F(x) >= p, for `p` from 0 to 1.
    pub(crate) fn quantile(&self, p: f64) -> f64 {
        self.values[self.shares.place(p)]
    }

    /// F(x), the probability of `x` and all below.
    pub(crate) fn cdf(&self, x: f64) -> f64 {
        match self.values.partition_point(|&value| value <= x) {
            0 => 0.0,
            place => self.shares.upto[place - 1],
        }
    }

    pub(crate) fn mean(&self) -> f64 {
        // sum w_i x_i, about the least value
        let least = self.values[0];
        least + self.sum(|value| value - least)
    }

    pub(crate) fn standard_deviation(&self) -> f64 {
        // sqrt(sum w_i (x_i - m)^2)
        let mean = self.mean();
        self.sum(|value| (value - mean) * (value - mean)).sqrt()
    }

    fn sum(&self, term: impl Fn(f64) -> f64) -> f64 {
        (self.values.iter().zip(&self.shares.each))
            .map(|(&value, share)| share * term(value))
            .sum()
    }
}

/// Words with weights, in the order in which they were given: an input that is no number.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    names: Vec<String>,
    shares: Shares,
}

impl Levels {
    /// Words, each with a weight of zero or more; the weights are divided by their sum.
    ///
    /// # Errors
    /// No word, a word twice, a negative weight or one that is not finite, or no weight above zero.
    pub fn new<T: AsRef<str>>(weighted: &[(T, f64)]) -> Result<Self, SamplingError> {
        let names: Vec<String> = (weighted.iter())
            .map(|(name, _)| name.as_ref().to_owned())
            .collect();
        for (place, name) in names.iter().enumerate() {
            if names[..place].contains(name) {
                return Err(SamplingError::Values {
                    problem: format!("`{name}` stands twice"),
                });
            }
        }
        let weights = weighted.iter().map(|row| row.1);
        let named = names.iter().map(|name| format!("`{name}`")).zip(weights);
        let shares = Shares::new(named)?;
        Ok(Self { names, shares })
    }

    /// All words, in the order in which they were given.
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Probability of each word.
    pub fn shares(&self) -> &[f64] {
        &self.shares.each
    }

    /// The place, from 0, of the word that belongs to a coordinate: `u` from 0 to 1 is cut into pieces as long as the
    /// shares, in the order of the words.
    ///
    /// # Errors
    /// A `u` outside 0 to 1.
    pub fn place(&self, u: f64) -> Result<usize, SamplingError> {
        if !(0.0..=1.0).contains(&u) {
            return Err(SamplingError::Probability { value: u });
        }
        Ok(self.shares.place(u))
    }

    /// The word that belongs to a coordinate, as [`Levels::place`].
    ///
    /// # Errors
    /// A `u` outside 0 to 1.
    pub fn pick(&self, u: f64) -> Result<&str, SamplingError> {
        Ok(&self.names[self.place(u)?])
    }
}
