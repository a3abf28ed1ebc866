//! Bootstrap: intervals from drawing the same results again.

use rand::RngExt;

use crate::error::{SamplingError, count};
use crate::interval::{Interval, confidence};
use crate::order::interpolated;
use crate::seed::{Purpose, seed_for, stream};

/// Most resamples of a bootstrap.
const MOST_RESAMPLES: u64 = 1_000_000;

/// How a bootstrap is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resampling {
    /// How many resamples; 1000 gives the ends of a 95 % interval to a few per cent of its width.
    pub times: u32,
    /// Confidence of the interval, as 0.95.
    pub confidence: f64,
    /// Root number of the draws.
    pub root: u64,
}

impl Resampling {
    /// 1000 resamples for a confidence of 0.95, drawn by a root number.
    pub fn usual(root: u64) -> Self {
        Self {
            times: 1000,
            confidence: 0.95,
            root,
        }
    }

    pub(crate) fn check(&self) -> Result<(), SamplingError> {
        count("resamples", u64::from(self.times), 1, MOST_RESAMPLES)?;
        confidence(self.confidence)?;
        Ok(())
    }

    /// The draws of resample `number` from `count` items, for the factor `axis`.
    pub(crate) fn draws(
        &self,
        number: u32,
        axis: u64,
        count: usize,
    ) -> impl Iterator<Item = usize> + use<> {
        let key = seed_for(Purpose::Resample, self.root, u64::from(number), axis);
        let mut random = stream(key);
        (0..count).map(move |_| random.random_range(0..count as u64) as usize)
    }

    /// The interval that holds the middle share of the values from all resamples; the values are not empty.
    pub(crate) fn interval(&self, mut values: Vec<f64>) -> Interval {
        values.sort_by(f64::total_cmp);
        let miss = 0.5 * (1.0 - self.confidence);
        Interval {
            low: interpolated(&values, miss),
            high: interpolated(&values, 1.0 - miss),
        }
    }
}
