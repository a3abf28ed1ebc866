//! Where runs stand, by ranges: neighbouring runs in neighbouring rows of one shard are one span, so that ten million runs
//! take no more memory than the shards that hold them.

use std::collections::BTreeMap;
use std::ops::Range;

/// A row of a shard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct At {
    /// Position of the shard in a list.
    pub shard: u32,
    pub row: u32,
}

impl At {
    /// So many rows on; a shard's rows are counted by 32 bits.
    pub fn after(self, rows: u64) -> Self {
        At {
            row: self.row + rows as u32,
            ..self
        }
    }
}

/// Runs and the place of the first of them.
pub type Piece = (Range<u64>, At);

/// Runs with their places; no run stands twice.
#[derive(Debug, Default)]
pub struct Spans {
    // First run; end, place of the first.
    map: BTreeMap<u64, (u64, At)>,
}

impl Spans {
    /// In the order of the plan.
    pub fn pieces(&self) -> impl Iterator<Item = Piece> {
        self.map.iter().map(|(&first, &(end, at))| (first..end, at))
    }

    /// Place of a run.
    pub fn at(&self, run: u64) -> Option<At> {
        let (&first, &(end, at)) = self.map.range(..=run).next_back()?;
        (run < end).then(|| at.after(run - first))
    }

    /// What lies within a range.
    pub fn within(&self, range: &Range<u64>) -> Vec<Piece> {
        let before = self.map.range(..range.start).next_back();
        before
            .into_iter()
            .chain(self.map.range(range.clone()))
            .filter_map(|(&first, &(end, at))| {
                let part = first.max(range.start)..end.min(range.end);
                (!part.is_empty()).then(|| (part.clone(), at.after(part.start - first)))
            })
            .collect()
    }

    /// Takes out and returns what lies within a range.
    pub fn remove(&mut self, range: &Range<u64>) -> Vec<Piece> {
        let pieces = self.within(range);
        for (piece, at) in &pieces {
            let (&first, &(end, start)) = (self.map.range(..=piece.start).next_back())
                .expect("a piece lies in the span that begins before it");
            if first < piece.start {
                self.map.insert(first, (piece.start, start));
            } else {
                self.map.remove(&first);
            }
            if piece.end < end {
                let rest = at.after(piece.end - piece.start);
                self.map.insert(piece.end, (end, rest));
            }
        }
        pieces
    }

    /// Adds runs of which none is there yet.
    pub fn insert(&mut self, range: Range<u64>, at: At) {
        if let Some((&first, (end, start))) = self.map.range_mut(..range.start).next_back()
            && *end == range.start
            && start.shard == at.shard
            && start.after(range.start - first) == at
        {
            *end = range.end;
        } else if !range.is_empty() {
            self.map.insert(range.start, (range.end, at));
        }
    }
}

/// What is missing from a range, given ascending pieces of it.
pub fn gaps(range: &Range<u64>, present: impl Iterator<Item = Range<u64>>) -> Vec<Range<u64>> {
    let mut gaps = Vec::new();
    let mut next = range.start;
    for piece in present {
        if piece.start > next {
            gaps.push(next..piece.start);
        }
        next = piece.end;
    }
    if next < range.end {
        gaps.push(next..range.end);
    }
    gaps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(shard: u32, row: u32) -> At {
        At { shard, row }
    }

    #[test]
    fn neighbours_are_one_span_and_others_are_not() {
        let mut spans = Spans::default();
        spans.insert(10..20, at(1, 0));
        spans.insert(20..25, at(1, 10));
        spans.insert(25..30, at(2, 0));
        spans.insert(30..30, at(2, 5));
        let pieces: Vec<Piece> = spans.pieces().collect();
        assert_eq!(pieces, [(10..25, at(1, 0)), (25..30, at(2, 0))]);
        assert_eq!(spans.at(24), Some(at(1, 14)));
        assert_eq!(spans.at(25), Some(at(2, 0)));
        assert_eq!((spans.at(9), spans.at(30)), (None, None));
    }

    #[test]
    fn every_cut_takes_out_what_it_covers_and_leaves_the_rest() {
        // Held against a list with one entry a run.
        for start in 0..14 {
            for end in start..14 {
                let mut spans = Spans::default();
                let mut list = [None; 14];
                for (range, place) in [(2..5, at(1, 7)), (5..9, at(2, 0)), (11..13, at(1, 20))] {
                    for run in range.clone() {
                        list[run as usize] = Some(place.after(run - range.start));
                    }
                    spans.insert(range, place);
                }
                let cut: Vec<(u64, At)> = (spans.remove(&(start..end)).into_iter())
                    .flat_map(|(r, a)| r.clone().map(move |run| (run, a.after(run - r.start))))
                    .collect();
                let expected: Vec<(u64, At)> = (start..end)
                    .filter_map(|run| Some((run, list[run as usize]?)))
                    .collect();
                assert_eq!(cut, expected, "{start}..{end}");
                for run in 0..14 {
                    let there = list[run as usize].filter(|_| !(start..end).contains(&run));
                    assert_eq!(spans.at(run), there, "{start}..{end}: {run}");
                }
            }
        }
    }

    #[test]
    fn gaps_are_what_is_missing() {
        assert_eq!(
            gaps(&(2..9), [3..5, 7..8].into_iter()),
            vec![2..3, 5..7, 8..9]
        );
        assert_eq!(gaps(&(0..0), std::iter::empty()), Vec::new());
    }
}
