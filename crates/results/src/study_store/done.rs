//! Which runs of a slice are finished.

use std::fs::File;
use std::ops::Range;
use std::sync::Mutex;

use super::ledger::entries_at;
use super::row::RunKey;
use super::shard::ShardRuns;
use super::spans::{At, Piece, Spans, gaps};

/// What is kept of a shard.
#[derive(Debug)]
struct Kept {
    /// Rows that failed, ascending.
    failed: Vec<u32>,
    /// Where its rows begin in the ledger.
    keys_at: u64,
}

/// Finished runs of a slice. The keys stay in the ledger.
#[derive(Debug)]
pub struct Done {
    slice: Range<u64>,
    spans: Spans,
    shards: Vec<Kept>,
    runs: u64,
    failed: u64,
    ledger: Option<Mutex<File>>,
}

impl Done {
    /// Of a slice in which nothing is done. Without the ledger no key is known.
    pub(super) fn new(slice: Range<u64>, ledger: Option<File>) -> Self {
        Done {
            slice,
            spans: Spans::default(),
            shards: Vec::new(),
            runs: 0,
            failed: 0,
            ledger: ledger.map(Mutex::new),
        }
    }

    /// Adds a shard, in the order in which they were written: of a run that was computed twice the later row counts.
    pub(super) fn add(&mut self, runs: &ShardRuns, keys_at: u64) {
        let shard = self.shards.len() as u32;
        self.shards.push(Kept {
            failed: runs.failed.clone(),
            keys_at,
        });
        let mut row = 0;
        for &(first, count) in &runs.runs {
            let here = first.max(self.slice.start)..(first + u64::from(count)).min(self.slice.end);
            if !here.is_empty() {
                for piece in self.spans.remove(&here) {
                    self.runs -= piece.0.end - piece.0.start;
                    self.failed -= self.failed_in(&piece);
                }
                let place = At { shard, row }.after(here.start - first);
                self.runs += here.end - here.start;
                self.failed += self.failed_in(&(here.clone(), place));
                self.spans.insert(here, place);
            }
            row += count;
        }
    }

    /// Finished runs in the order of the plan.
    pub(super) fn pieces(&self) -> impl Iterator<Item = Piece> {
        self.spans.pieces()
    }

    /// How many runs of a piece gave no result.
    pub(super) fn failed_in(&self, (runs, at): &Piece) -> u64 {
        let failed = &self.shards[at.shard as usize].failed;
        let end = at.after(runs.end - runs.start).row;
        (failed.partition_point(|row| *row < end) - failed.partition_point(|row| *row < at.row))
            as u64
    }

    /// How many.
    pub fn len(&self) -> u64 {
        self.runs
    }

    /// Whether none is.
    pub fn is_empty(&self) -> bool {
        self.runs == 0
    }

    /// How many gave no result.
    pub fn failed_rows(&self) -> u64 {
        self.failed
    }

    /// Whether the run is finished.
    pub fn contains(&self, index: u64) -> bool {
        self.spans.at(index).is_some()
    }

    /// Whether the run is finished and gave no result.
    pub fn failed(&self, index: u64) -> bool {
        let failed = |at: At| self.shards[at.shard as usize].failed.binary_search(&at.row);
        self.spans.at(index).is_some_and(|at| failed(at).is_ok())
    }

    /// Key with which the run was computed, read from the ledger; none where that does not read.
    pub fn key(&self, index: u64) -> Option<RunKey> {
        let at = self.spans.at(index)?;
        let keys_at = self.shards[at.shard as usize].keys_at;
        let mut ledger = self.ledger.as_ref()?.lock().ok()?;
        let row = entries_at(&mut ledger, keys_at, at.row, 1).ok()?.pop()?;
        (row.index == index).then_some(row.key)
    }

    /// Whether the run is finished with this key.
    pub fn matches(&self, index: u64, key: &RunKey) -> bool {
        self.key(index).is_some_and(|k| k == *key)
    }

    /// Missing runs of the slice.
    pub fn gaps(&self) -> Vec<Range<u64>> {
        gaps(&self.slice, self.spans.pieces().map(|(runs, _)| runs))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study_store::shard::ShardRow;

    fn runs(rows: &[(u64, bool)]) -> ShardRuns {
        let row = |&(index, failed)| ShardRow {
            index,
            key: RunKey::of("", 1),
            failed,
        };
        rows.iter().map(row).collect()
    }

    #[test]
    fn the_later_row_counts_and_gaps_are_what_is_missing() {
        let mut done = Done::new(2..9, None);
        done.add(&runs(&[(3, true), (4, false), (99, true)]), 0);
        assert_eq!((done.len(), done.failed_rows()), (2, 1));
        done.add(&runs(&[(3, false), (7, true)]), 0);
        assert_eq!((done.len(), done.failed_rows()), (3, 1));
        assert!(done.failed(7) && !done.failed(3) && !done.contains(99));
        // Without a ledger no key is known.
        assert!(done.contains(4) && done.key(4).is_none());
        assert_eq!(done.gaps(), vec![2..3, 5..7, 8..9]);
        let at = |shard, row| At { shard, row };
        let pieces: Vec<Piece> = done.pieces().collect();
        assert_eq!(
            pieces,
            [(3..4, at(1, 0)), (4..5, at(0, 1)), (7..8, at(1, 1))]
        );
    }

    #[test]
    fn a_shard_that_begins_before_the_slice_keeps_its_rows() {
        let mut done = Done::new(5..8, None);
        done.add(
            &runs(&[
                (3, false),
                (4, true),
                (5, false),
                (6, true),
                (7, false),
                (8, true),
            ]),
            0,
        );
        assert_eq!((done.len(), done.failed_rows()), (3, 1));
        assert_eq!(done.pieces().next(), Some((5..8, At { shard: 0, row: 2 })));
        assert!(done.failed(6) && !done.failed(5));
    }
}
