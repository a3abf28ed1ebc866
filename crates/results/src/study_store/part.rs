//! Parts of a plan: contiguous slices of nearly equal length, so that parts computed on several machines join without
//! overlap.

use std::ops::Range;

/// Rows of part `part` of `parts`, counted from 1: from floor((part - 1) N / parts) to floor(part N / parts), the end not
/// included. Lengths differ by at most one. None for a part that does not exist.
pub fn part_rows(planned_rows: u64, part: u64, parts: u64) -> Option<Range<u64>> {
    if part == 0 || part > parts {
        return None;
    }
    let bound = |k: u64| {
        // The quotient is at most N.
        (u128::from(k) * u128::from(planned_rows) / u128::from(parts)) as u64
    };
    Some(bound(part - 1)..bound(part))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_join_without_gap_or_overlap() {
        for (rows, parts) in [(100, 7), (3, 7), (0, 2), (1_000_000, 1), (u64::MAX, 1000)] {
            let mut next = 0;
            for k in 1..=parts {
                let r = part_rows(rows, k, parts).unwrap();
                assert_eq!(r.start, next);
                let length = r.end - r.start;
                assert!(length == rows / parts || length == rows / parts + 1);
                next = r.end;
            }
            assert_eq!(next, rows);
        }
        assert_eq!(part_rows(10, 0, 3), None);
        assert_eq!(part_rows(10, 4, 3), None);
        assert_eq!(part_rows(10, 1, 0), None);
    }
}
