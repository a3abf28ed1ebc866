//! Latin hypercube: one point in each of n equal slices of every axis.

use crate::design::{Design, check, checked_dimensions};
use crate::error::{SamplingError, count};
use crate::permutation::Permutation;
use crate::seed::{Purpose, seed_for, unit};

/// Most points of a Latin hypercube: 2^30.
const MOST_POINTS: u64 = 1 << 30;

/// How near a point may come to the edge of its slice, as a share of the slice, so that rounding cannot carry it over.
const EDGE: f64 = 1.0 / (1 << 20) as f64;

/// Where a point lies in its slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placement {
    /// Anywhere, evenly. Means of the results are then unbiased.
    Random,
    /// In the middle.
    Centred,
}

/// A Latin hypercube of a fixed number of points (McKay, Beckman and Conover 1979). The pairing of the axes is random
/// and is not improved afterwards. No table is kept: a point takes the same time and memory among ten or a billion.
#[derive(Debug, Clone, PartialEq)]
pub struct LatinHypercube {
    size: u64,
    placement: Placement,
    root: u64,
    orders: Vec<Permutation>,
}

impl LatinHypercube {
    /// `size` points in so many dimensions, drawn by a root number. Another size gives another list.
    ///
    /// # Errors
    /// No dimension or more than [`crate::MOST_DIMENSIONS`]; no point or more than 2^30.
    pub fn new(
        dimensions: usize,
        size: u64,
        placement: Placement,
        root: u64,
    ) -> Result<Self, SamplingError> {
        checked_dimensions(dimensions)?;
        count("points of the Latin hypercube", size, 1, MOST_POINTS)?;
        let orders = (0..dimensions as u64)
            .map(|axis| Permutation::new(size, root, axis))
            .collect();
        Ok(Self {
            size,
            placement,
            root,
            orders,
        })
    }
}

impl Design for LatinHypercube {
    fn dimensions(&self) -> usize {
        self.orders.len()
    }

    fn size(&self) -> u64 {
        self.size
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        for (axis, (place, order)) in (0..).zip(point.iter_mut().zip(&self.orders)) {
            let within = match self.placement {
                Placement::Random => unit(seed_for(Purpose::Place, self.root, index, axis)),
                Placement::Centred => 0.5,
            };
            // u = (pi(i) + r) / n
            let slice = order.of(index) as f64;
            *place = (slice + within.clamp(EDGE, 1.0 - EDGE)) / self.size as f64;
        }
        Ok(())
    }
}
