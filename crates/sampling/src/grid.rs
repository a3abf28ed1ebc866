//! The full grid: every combination of levels.

use crate::design::{Design, check};
use crate::error::{SamplingError, count};

/// Every combination of levels on each axis, the last axis running fastest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    counts: Vec<u64>,
    size: u64,
}

impl Grid {
    /// A grid with so many levels on each axis. Without an axis it has one point.
    ///
    /// # Errors
    /// An axis without a level, or 2^63 combinations or more.
    pub fn new(counts: &[u64]) -> Result<Self, SamplingError> {
        let most = u64::MAX >> 1;
        let mut size = 1_u64;
        for &levels in counts {
            count("levels of an axis", levels, 1, most)?;
            size = size.saturating_mul(levels);
        }
        count("combinations of the grid", size, 1, most)?;
        Ok(Self {
            counts: counts.to_vec(),
            size,
        })
    }

    /// The level on each axis, counted from 0, of one combination.
    ///
    /// # Errors
    /// An index past the last combination.
    pub fn levels(&self, index: u64) -> Result<Vec<u64>, SamplingError> {
        if index >= self.size {
            return Err(SamplingError::NoSuchPoint {
                index,
                size: self.size,
            });
        }
        let mut rest = index;
        let mut levels = vec![0; self.counts.len()];
        for (level, &of) in levels.iter_mut().zip(&self.counts).rev() {
            *level = rest % of;
            rest /= of;
        }
        Ok(levels)
    }

    /// The index of a combination of levels: the inverse of [`Grid::levels`]; none for levels that are not in the grid.
    pub fn index(&self, levels: &[u64]) -> Option<u64> {
        let fits = levels.len() == self.counts.len();
        let inside = levels
            .iter()
            .zip(&self.counts)
            .all(|(level, of)| level < of);
        (fits && inside).then(|| {
            levels
                .iter()
                .zip(&self.counts)
                .fold(0, |index, (level, of)| index * of + level)
        })
    }
}

/// The centre (k + 1/2)/n of each level: a discrete distribution of n equal weights has its value k there.
impl Design for Grid {
    fn dimensions(&self) -> usize {
        self.counts.len()
    }

    fn size(&self) -> u64 {
        self.size
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        let levels = self.levels(index)?;
        for ((place, level), &of) in point.iter_mut().zip(levels).zip(&self.counts) {
            // u = (k + 1/2) / n
            *place = (level as f64 + 0.5) / of as f64;
        }
        Ok(())
    }
}
