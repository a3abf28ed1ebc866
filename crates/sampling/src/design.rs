//! What every design can do, and the simplest one.

use std::ops::Range;

use crate::error::{SamplingError, count};
use crate::seed::{seed, unit};
use crate::sobol::MOST_DIMENSIONS;

/// A list of points in the unit cube, each computed from its index alone.
pub trait Design: Send + Sync {
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
}

/// Refuses an index or a slice that does not fit a design.
pub(crate) fn check(design: &impl Design, index: u64, point: &[f64]) -> Result<(), SamplingError> {
    let (size, dimensions) = (design.size(), design.dimensions());
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

/// Dimensions of a design within its limits, 1 to [`MOST_DIMENSIONS`].
pub(crate) fn checked_dimensions(dimensions: usize) -> Result<usize, SamplingError> {
    count("dimensions", dimensions as u64, 1, MOST_DIMENSIONS as u64)?;
    Ok(dimensions)
}

/// The indices of part `number` (from 1) of `of` parts of `size` points. The parts follow one another, leave nothing out
/// and differ in length by one point at most.
///
/// # Errors
/// No part, or a number outside 1 to `of`.
pub fn part(size: u64, number: u64, of: u64) -> Result<Range<u64>, SamplingError> {
    count("parts", of, 1, u64::MAX)?;
    count("number of the part", number, 1, of)?;
    // floor(size k / n), in 128 bits
    let edge = |k: u64| (u128::from(size) * u128::from(k) / u128::from(of)) as u64;
    Ok(edge(number - 1)..edge(number))
}

/// Independent points, even over the cube: plain Monte Carlo. A longer list begins with the shorter one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MonteCarlo {
    dimensions: usize,
    size: u64,
    root: u64,
}

impl MonteCarlo {
    /// `size` points in so many dimensions, drawn by a root number: coordinate `axis` of point `index` is
    /// `unit(seed(root, index, axis))`.
    ///
    /// # Errors
    /// No point; no dimension, or more than [`MOST_DIMENSIONS`].
    pub fn new(dimensions: usize, size: u64, root: u64) -> Result<Self, SamplingError> {
        Ok(Self {
            dimensions: checked_dimensions(dimensions)?,
            size: count("points", size, 1, u64::MAX)?,
            root,
        })
    }
}

impl Design for MonteCarlo {
    fn dimensions(&self) -> usize {
        self.dimensions
    }

    fn size(&self) -> u64 {
        self.size
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        for (axis, place) in (0..).zip(point) {
            *place = unit(seed(self.root, index, axis));
        }
        Ok(())
    }
}
