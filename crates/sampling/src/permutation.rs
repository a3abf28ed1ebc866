//! A random order of 0 to n - 1, any element of which is found alone.

use crate::seed::{Purpose, mix, seed_for};

/// Rounds of the network. Four suffice in theory for a good round function (Luby and Rackoff 1988); small sets want
/// more.
const ROUNDS: usize = 8;

/// A permutation of `0..size` drawn by a key, without a table: a Feistel network on the next power of four, walked
/// again from every element that falls outside (Black and Rogaway 2002).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Permutation {
    size: u64,
    half_bits: u32,
    keys: [u64; ROUNDS],
}

impl Permutation {
    /// The permutation that belongs to a root number and an axis; `size` up to 2^62.
    pub(crate) fn new(size: u64, root: u64, axis: u64) -> Self {
        let mut half_bits = 1;
        while 1_u64 << (2 * half_bits) < size {
            half_bits += 1;
        }
        let mut keys = [0; ROUNDS];
        for (round, place) in (0..).zip(&mut keys) {
            *place = seed_for(Purpose::Order, root, round, axis);
        }
        Self {
            size,
            half_bits,
            keys,
        }
    }

    /// Where an element below `size` goes.
    pub(crate) fn of(&self, element: u64) -> u64 {
        let mut at = element;
        loop {
            at = self.network(at);
            if at < self.size {
                return at;
            }
        }
    }

    fn network(&self, element: u64) -> u64 {
        let mask = (1 << self.half_bits) - 1;
        let (mut left, mut right) = (element >> self.half_bits, element & mask);
        for key in &self.keys {
            // (L, R) -> (R, L xor F(R))
            let mixed = mix(key ^ mix(right.wrapping_add(*key))) >> (64 - self.half_bits);
            (left, right) = (right, left ^ mixed);
        }
        (left << self.half_bits) | right
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_element_once() {
        for size in [1, 2, 3, 4, 5, 16, 17, 100, 1000, 4096] {
            let order = Permutation::new(size, 3, 0);
            let mut seen = vec![false; size as usize];
            for i in 0..size {
                let at = order.of(i) as usize;
                assert!(!seen[at], "{at} of {size} twice");
                seen[at] = true;
            }
        }
    }

    /// The 24 orders of four, and the places of pairs among ten, come equally often.
    #[test]
    fn orders_are_equally_likely() {
        let mut orders = std::collections::BTreeMap::new();
        let mut pairs = vec![0_u32; 100];
        let draws = 48_000;
        for key in 0..draws {
            let four = Permutation::new(4, key, 0);
            *orders
                .entry([0, 1, 2, 3].map(|i| four.of(i)))
                .or_insert(0_u32) += 1;
            let ten = Permutation::new(10, key, 1);
            pairs[(ten.of(2) * 10 + ten.of(7)) as usize] += 1;
        }
        let chi = |counts: &[u32], cells: f64| {
            let expected = draws as f64 / cells;
            counts
                .iter()
                .map(|&c| (f64::from(c) - expected) * (f64::from(c) - expected) / expected)
                .sum::<f64>()
        };
        let counts: Vec<u32> = orders.into_values().collect();
        assert_eq!(counts.len(), 24);
        // chi^2: 49.7 with 23 degrees of freedom and 135.9 with 89 are passed with the probability 0.001
        assert!(chi(&counts, 24.0) < 49.7, "{}", chi(&counts, 24.0));
        let pairs: Vec<u32> = (0..100)
            .filter(|i| i / 10 != i % 10)
            .map(|i| pairs[i])
            .collect();
        assert!(chi(&pairs, 90.0) < 135.9, "{}", chi(&pairs, 90.0));
    }
}
