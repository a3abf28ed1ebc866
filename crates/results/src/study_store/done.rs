//! Which runs of a slice are finished.

use std::collections::BTreeMap;
use std::ops::Range;

use super::row::RunKey;
use super::shard::ShardRow;

/// Where a finished run stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Position of its shard in the store's list.
    pub shard: u32,
    pub row: u32,
    pub key: RunKey,
    pub failed: bool,
}

/// Finished runs of a slice.
#[derive(Debug)]
pub struct Done {
    slice: Range<u64>,
    places: BTreeMap<u64, Place>,
    failed: u64,
}

impl Done {
    /// From shards in the order in which they were written: of a run that was computed twice the later row counts.
    pub(super) fn new<'a>(slice: Range<u64>, shards: impl Iterator<Item = &'a [ShardRow]>) -> Self {
        let mut done = Done {
            slice,
            places: BTreeMap::new(),
            failed: 0,
        };
        for (shard, rows) in (0..).zip(shards) {
            done.add(shard, rows);
        }
        done
    }

    pub(super) fn add(&mut self, shard: u32, rows: &[ShardRow]) {
        for (row, r) in (0..).zip(rows) {
            if !self.slice.contains(&r.index) {
                continue;
            }
            let place = Place {
                shard,
                row,
                key: r.key,
                failed: r.failed,
            };
            let before = self.places.insert(r.index, place);
            self.failed += u64::from(r.failed);
            self.failed -= u64::from(before.is_some_and(|b| b.failed));
        }
    }

    /// Finished runs in the order of the plan.
    pub(super) fn places(&self) -> impl Iterator<Item = (u64, &Place)> {
        self.places.iter().map(|(index, place)| (*index, place))
    }

    /// How many.
    pub fn len(&self) -> u64 {
        self.places.len() as u64
    }

    /// Whether none is.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// How many gave no result.
    pub fn failed_rows(&self) -> u64 {
        self.failed
    }

    /// Whether the run is finished.
    pub fn contains(&self, index: u64) -> bool {
        self.places.contains_key(&index)
    }

    /// Whether the run is finished and gave no result.
    pub fn failed(&self, index: u64) -> bool {
        self.places.get(&index).is_some_and(|p| p.failed)
    }

    /// Key with which the run was computed.
    pub fn key(&self, index: u64) -> Option<RunKey> {
        self.places.get(&index).map(|p| p.key)
    }

    /// Whether the run is finished with this key.
    pub fn matches(&self, index: u64, key: &RunKey) -> bool {
        self.places.get(&index).is_some_and(|p| p.key == *key)
    }

    /// Missing runs of the slice.
    pub fn gaps(&self) -> Vec<Range<u64>> {
        gaps(&self.slice, self.places.keys().copied())
    }
}

/// What is missing from the slice, given ascending indices within it.
pub(super) fn gaps(slice: &Range<u64>, present: impl Iterator<Item = u64>) -> Vec<Range<u64>> {
    let mut gaps = Vec::new();
    let mut next = slice.start;
    for index in present {
        if index > next {
            gaps.push(next..index);
        }
        next = index + 1;
    }
    if next < slice.end {
        gaps.push(next..slice.end);
    }
    gaps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(index: u64, text: &str, failed: bool) -> ShardRow {
        ShardRow {
            index,
            key: RunKey::of(text, 1),
            failed,
        }
    }

    #[test]
    fn the_later_row_counts_and_gaps_are_what_is_missing() {
        let first = [row(3, "a", true), row(4, "b", false), row(99, "x", true)];
        let second = [row(3, "a", false), row(7, "c", true)];
        let done = Done::new(2..9, [&first[..], &second[..]].into_iter());
        assert_eq!(done.len(), 3);
        assert_eq!(done.failed_rows(), 1);
        assert!(done.failed(7) && !done.failed(3) && !done.contains(99));
        assert!(done.matches(4, &RunKey::of("b", 1)));
        assert!(!done.matches(4, &RunKey::of("b", 2)));
        assert_eq!(done.gaps(), vec![2..3, 5..7, 8..9]);
        assert_eq!(gaps(&(0..0), std::iter::empty()), Vec::new());
    }
}
