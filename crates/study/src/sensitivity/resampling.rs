//! Bootstrap: intervals from drawing the same results again.

use super::error::SensitivityError;
use crate::sampling::{Generator, seed};
use crate::statistics::{Interval, StatisticsError};

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
    pub(super) fn check(&self) -> Result<(), SensitivityError> {
        if self.times == 0 {
            return Err(SensitivityError::NoResamples);
        }
        if !(self.confidence > 0.0 && self.confidence < 1.0) {
            return Err(StatisticsError::Confidence {
                value: self.confidence,
            }
            .into());
        }
        Ok(())
    }

    /// The draws of resample `number` from `count` items.
    pub(super) fn draws(&self, number: u32, count: usize) -> impl Iterator<Item = usize> + use<> {
        let mut generator = Generator::new(seed(self.root, u64::from(number)));
        (0..count).map(move |_| generator.below(count as u64) as usize)
    }

    /// The interval that holds the middle share of the values from all resamples.
    pub(super) fn interval(&self, mut values: Vec<f64>) -> Interval {
        values.sort_by(f64::total_cmp);
        let miss = 0.5 * (1.0 - self.confidence);
        Interval {
            low: crate::statistics::interpolated(&values, miss),
            high: crate::statistics::interpolated(&values, 1.0 - miss),
        }
    }
}
