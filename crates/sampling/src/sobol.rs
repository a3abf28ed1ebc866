//! Sobol' points, plain or scrambled.

use crate::design::{Design, check, checked_dimensions};
use crate::directions::TABLE;
use crate::error::{SamplingError, count};
use crate::seed::{CELL, Purpose, mix, seed_for};

/// Most dimensions of a design.
pub const MOST_DIMENSIONS: usize = TABLE.len() + 1;

/// Binary digits of a coordinate. Up to 2^52 points differ, and each coordinate is exact.
const DIGITS: usize = 52;

/// Most points: 2^52.
const MOST_POINTS: u64 = 1 << DIGITS;

/// How the sequence is randomised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scrambling {
    /// Not at all: the published sequence, whose first point is the origin. An unbounded distribution has no value
    /// there; leaving the point out spoils the balance of the rest (Owen 2020), so scramble instead.
    Plain,
    /// Nested uniform scrambling (Owen 1995): each binary digit is flipped at random, depending on all digits before
    /// it; the root number. Even, keeps the balance, and for smooth results the error falls faster than 1/n.
    Owen(u64),
}

/// The Sobol' sequence with the directions of Joe and Kuo (2008), in the order of the Gray code, as most programs give
/// it. Its first 2^m points, and every further block of 2^m, are balanced: take a power of two.
#[derive(Debug, Clone, PartialEq)]
pub struct Sobol {
    directions: Vec<[u64; DIGITS]>,
    scrambling: Scrambling,
    first: u64,
    size: u64,
}

impl Sobol {
    /// The first `size` points of the sequence in so many dimensions.
    ///
    /// # Errors
    /// No dimension, or more than [`MOST_DIMENSIONS`]; no point, or more than 2^52.
    pub fn new(
        dimensions: usize,
        size: u64,
        scrambling: Scrambling,
    ) -> Result<Self, SamplingError> {
        checked_dimensions(dimensions)?;
        Ok(Self {
            directions: (0..dimensions).map(directions).collect(),
            scrambling,
            first: 0,
            size: count("points of the Sobol' sequence", size, 1, MOST_POINTS)?,
        })
    }

    /// As many points from point `first` of the sequence on, which becomes point 0. Nothing is left out unless it is
    /// asked for.
    ///
    /// # Errors
    /// An end beyond 2^52 points.
    pub fn starting_at(mut self, first: u64) -> Result<Self, SamplingError> {
        self.first = count("points left out", first, 0, MOST_POINTS - self.size)?;
        Ok(self)
    }
}

impl Design for Sobol {
    fn dimensions(&self) -> usize {
        self.directions.len()
    }

    fn size(&self) -> u64 {
        self.size
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        let number = self.first + index;
        let gray = number ^ (number >> 1);
        for (axis, (place, directions)) in (0..).zip(point.iter_mut().zip(&self.directions)) {
            // x = v_1 g_1 xor v_2 g_2 xor ..., g the binary digits of the Gray code, least first
            let mut digits = 0;
            let mut rest = gray;
            while rest != 0 {
                digits ^= directions[rest.trailing_zeros() as usize];
                rest &= rest - 1;
            }
            *place = match self.scrambling {
                Scrambling::Plain => digits as f64 * CELL,
                Scrambling::Owen(root) => {
                    middle(nested(digits, seed_for(Purpose::Scramble, root, 0, axis)))
                }
            };
        }
        Ok(())
    }
}

/// The middle of a cell of width 2^-52: never 0 or 1.
fn middle(digits: u64) -> f64 {
    (digits as f64 + 0.5) * CELL
}

/// Flips each digit by a random bit that belongs to the digits before it.
fn nested(digits: u64, key: u64) -> u64 {
    let mut flips = 0;
    for place in 0..DIGITS {
        // The node of the binary tree: a leading one, then the digits before this place.
        let node = (1 << place) | (digits >> (DIGITS - place));
        flips = (flips << 1) | (mix(key ^ mix(key.wrapping_add(node))) >> 63);
    }
    digits ^ flips
}

/// Direction numbers v_1 to v_52 of one axis as whole multiples of 2^-52.
fn directions(axis: usize) -> [u64; DIGITS] {
    let mut numbers = [0; DIGITS];
    let Some(&(coefficients, initial)) = axis.checked_sub(1).and_then(|row| TABLE.get(row)) else {
        // The first axis is van der Corput's sequence: v_k = 2^-k.
        for (k, number) in numbers.iter_mut().enumerate() {
            *number = 1 << (DIGITS - 1 - k);
        }
        return numbers;
    };
    let degree = initial.len();
    for k in 0..DIGITS {
        numbers[k] = if k < degree {
            // v_k = m_k / 2^k
            u64::from(initial[k]) << (DIGITS - 1 - k)
        } else {
            // v_k = a_1 v_(k-1) xor ... xor a_(s-1) v_(k-s+1) xor v_(k-s) xor v_(k-s) / 2^s
            let oldest = numbers[k - degree];
            let mut number = oldest ^ (oldest >> degree);
            for back in 1..degree {
                if (coefficients >> (degree - 1 - back)) & 1 == 1 {
                    number ^= numbers[k - back];
                }
            }
            number
        };
    }
    numbers
}
