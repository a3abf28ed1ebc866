//! What every design can do, and the simplest one.

use super::error::{SamplingError, count};
use super::generator::{seed, unit};
use super::sobol::MOST_DIMENSIONS;

/// A list of points in the unit cube, each computed from its index alone.
pub trait Design {
    /// Coordinates of a point.
    fn dimensions(&self) -> usize;

    /// Number of points.
    fn size(&self) -> u64;

    /// Writes point `index`, counted from 0, into a slice of [`Design::dimensions`] numbers from 0 to 1.
    ///
    /// # Errors
    /// An index past the last point, or a slice of another length.
    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError>;

    /// Point `index`, counted from 0.
    ///
    /// # Errors
    /// An index past the last point.
    fn point(&self, index: u64) -> Result<Vec<f64>, SamplingError> {
        let mut point = vec![0.0; self.dimensions()];
        self.fill(index, &mut point)?;
        Ok(point)
    }

    /// Refuses an index or a slice that does not fit.
    ///
    /// # Errors
    /// As [`Design::fill`].
    fn check(&self, index: u64, point: &[f64]) -> Result<(), SamplingError> {
        let (size, dimensions) = (self.size(), self.dimensions());
        if index >= size {
            return Err(SamplingError::NoSuchPoint { index, size });
        }
        if point.len() != dimensions {
            return Err(SamplingError::Length {
                given: point.len(),
                dimensions,
            });
        }
        Ok(())
    }
}

/// Dimensions of a design within its limits.
pub(super) fn checked_dimensions(dimensions: usize) -> Result<usize, SamplingError> {
    count("dimensions", dimensions as u64, 1, MOST_DIMENSIONS as u64)?;
    Ok(dimensions)
}

/// Independent points, even over the cube: plain Monte Carlo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RandomPoints {
    dimensions: usize,
    root: u64,
}

impl RandomPoints {
    /// As many points as wanted in so many dimensions.
    ///
    /// # Errors
    /// No dimension, or more than [`MOST_DIMENSIONS`].
    pub fn new(dimensions: usize, root: u64) -> Result<Self, SamplingError> {
        Ok(Self {
            dimensions: checked_dimensions(dimensions)?,
            root,
        })
    }
}

impl Design for RandomPoints {
    fn dimensions(&self) -> usize {
        self.dimensions
    }

    fn size(&self) -> u64 {
        u64::MAX
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        self.check(index, point)?;
        let row = seed(self.root, index);
        for (axis, place) in (0..).zip(point) {
            *place = unit(seed(row, axis));
        }
        Ok(())
    }
}
