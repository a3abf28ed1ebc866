//! Latin hypercube: one point in each of n equal slices of every axis.

use super::design::{Design, checked_dimensions};
use super::error::{SamplingError, count};
use super::generator::{CELL, seed, unit};
use super::permutation::Permutation;

/// Where a point lies in its slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placement {
    /// Anywhere, evenly. Means of the results are then unbiased.
    Random,
    /// In the middle.
    Centred,
}

/// A Latin hypercube of a fixed number of points (McKay, Beckman and Conover 1979). The pairing of the axes is random
/// and is not improved afterwards.
#[derive(Debug, Clone, PartialEq)]
pub struct LatinHypercube {
    size: u64,
    placement: Placement,
    axes: Vec<Axis>,
}

#[derive(Debug, Clone, PartialEq)]
struct Axis {
    order: Permutation,
    key: u64,
}

impl LatinHypercube {
    /// `size` points in so many dimensions, drawn by a root number.
    ///
    /// # Errors
    /// No dimension or more than [`super::MOST_DIMENSIONS`]; no point or more than 2^40.
    pub fn new(
        dimensions: usize,
        size: u64,
        placement: Placement,
        root: u64,
    ) -> Result<Self, SamplingError> {
        checked_dimensions(dimensions)?;
        count("points of the Latin hypercube", size, 1, 1 << 40)?;
        let axes = (0..dimensions as u64)
            .map(|axis| {
                let key = seed(root, axis);
                Axis {
                    order: Permutation::new(size, seed(key, 0)),
                    key: seed(key, 1),
                }
            })
            .collect();
        Ok(Self {
            size,
            placement,
            axes,
        })
    }
}

impl Design for LatinHypercube {
    fn dimensions(&self) -> usize {
        self.axes.len()
    }

    fn size(&self) -> u64 {
        self.size
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        self.check(index, point)?;
        for (place, axis) in point.iter_mut().zip(&self.axes) {
            let within = match self.placement {
                Placement::Random => unit(seed(axis.key, index)),
                Placement::Centred => 0.5,
            };
            // u = (pi(i) + r) / n; rounding must not reach 1
            let slice = axis.order.of(index) as f64;
            *place = ((slice + within) / self.size as f64).min(1.0 - 0.5 * CELL);
        }
        Ok(())
    }
}
