//! Which torques pass a test: a scan, then every edge between passing and failing closed in on.
//!
//! Whether a base lets go is a step in the torque, not a slope: a little more clamp and the same car is stopped. So
//! nothing is interpolated between two torques; an edge is halved until the torques on both sides of it differ by
//! the accuracy asked for. More than one range may pass: each is kept. A range narrower than the steps of
//! the scan can be missed.

use giveway_impact::outcome::Ending;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What one torque did in one test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Trial {
    /// Tightening torque, N.m.
    pub torque_nm: f64,
    /// Whether the test is passed. A run that could not be computed or judged does not pass.
    pub passes: bool,
    /// How the engagement ended; none where it could not be computed.
    pub ending: Option<Ending>,
    /// Speed lost along the direction of travel, m/s.
    pub velocity_change_mps: Option<f64>,
    /// Key of the check with the least margin.
    pub closest_check: Option<String>,
    /// Its plain title.
    pub closest_title: Option<String>,
    /// Its margin: 1 - |value|/maximum.
    pub margin_fraction: Option<f64>,
    /// Why it could not be computed or judged.
    pub reason: Option<String>,
}

/// A passing torque beside a failing one, apart by no more than the accuracy asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Edge {
    /// The side that passes.
    pub passing: Trial,
    /// The side that does not.
    pub failing: Trial,
}

/// A range of torques that pass. An end without an edge lies at the end of the torques searched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PassingRange {
    /// Least torque that passes, N.m.
    pub from_nm: f64,
    /// Largest torque that passes, N.m.
    pub to_nm: f64,
    /// What lies at its lower end.
    pub lower_edge: Option<Edge>,
    /// What lies at its upper end.
    pub upper_edge: Option<Edge>,
}

/// What a search found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Searched {
    /// The ranges that pass, rising.
    pub ranges: Vec<PassingRange>,
    /// The torques of the scan, rising.
    pub scan: Vec<Trial>,
    /// Runs in all.
    pub runs: usize,
}

/// Where and how finely to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Least torque, N.m.
    pub from_nm: f64,
    /// Largest torque, N.m.
    pub to_nm: f64,
    /// Torques of the scan, in equal ratios; at least 2.
    pub points: usize,
    /// Largest ratio minus one of the two torques of an edge.
    pub accuracy: f64,
}

/// Searches. `run` is called from several threads; the result does not depend on their number.
pub fn search(search: &Search, run: impl Fn(f64) -> Trial + Sync) -> Searched {
    let last = search.points.max(2) - 1;
    let ratio = search.to_nm / search.from_nm;
    let scan: Vec<Trial> = (0..=last)
        .into_par_iter()
        .map(|i| {
            let torque = match i {
                0 => search.from_nm,
                i if i == last => search.to_nm,
                i => search.from_nm * libm::pow(ratio, i as f64 / last as f64),
            };
            run(torque)
        })
        .collect();
    let closed: Vec<(usize, Edge, usize)> = (1..scan.len())
        .into_par_iter()
        .filter(|&i| scan[i - 1].passes != scan[i].passes)
        .map(|i| {
            let (edge, runs) = close_in(&scan[i - 1], &scan[i], search.accuracy, &run);
            (i, edge, runs)
        })
        .collect();
    let runs = scan.len() + closed.iter().map(|c| c.2).sum::<usize>();
    Searched {
        ranges: ranges(&scan, &closed),
        scan,
        runs,
    }
}

/// Halves the interval, in ratio, until its ends differ by no more than the accuracy.
fn close_in(
    low: &Trial,
    high: &Trial,
    accuracy: f64,
    run: &(impl Fn(f64) -> Trial + Sync),
) -> (Edge, usize) {
    let (mut low, mut high) = (low.clone(), high.clone());
    let mut runs = 0;
    while high.torque_nm > low.torque_nm * (1.0 + accuracy) {
        let middle = run((low.torque_nm * high.torque_nm).sqrt());
        runs += 1;
        if middle.passes == low.passes {
            low = middle;
        } else {
            high = middle;
        }
    }
    let edge = if low.passes {
        Edge {
            passing: low,
            failing: high,
        }
    } else {
        Edge {
            passing: high,
            failing: low,
        }
    };
    (edge, runs)
}

fn ranges(scan: &[Trial], closed: &[(usize, Edge, usize)]) -> Vec<PassingRange> {
    let mut found = Vec::new();
    // Edges come in the order of the torque and lead in and out by turns.
    let mut edges = closed.iter().map(|c| &c.1);
    let mut begin = match scan.first() {
        Some(first) if first.passes => Some((first.torque_nm, None)),
        _ => None,
    };
    loop {
        let (from_nm, lower_edge) = match begin.take() {
            Some(b) => b,
            None => match edges.next() {
                Some(e) => (e.passing.torque_nm, Some(e.clone())),
                None => return found,
            },
        };
        let upper_edge = edges.next().cloned();
        let to_nm = match (&upper_edge, scan.last()) {
            (Some(e), _) => e.passing.torque_nm,
            (None, Some(last)) => last.torque_nm,
            (None, None) => from_nm,
        };
        let open = upper_edge.is_none();
        found.push(PassingRange {
            from_nm,
            to_nm,
            lower_edge,
            upper_edge,
        });
        if open {
            return found;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trial(torque_nm: f64, passes: bool) -> Trial {
        Trial {
            torque_nm,
            passes,
            ending: None,
            velocity_change_mps: None,
            closest_check: None,
            closest_title: None,
            margin_fraction: None,
            reason: None,
        }
    }

    const WIDE: Search = Search {
        from_nm: 10.0,
        to_nm: 1000.0,
        points: 20,
        accuracy: 0.01,
    };

    fn found(passes: impl Fn(f64) -> bool + Sync) -> Vec<[f64; 2]> {
        search(&WIDE, |t| trial(t, passes(t)))
            .ranges
            .iter()
            .map(|r| [r.from_nm, r.to_nm])
            .collect()
    }

    #[test]
    fn a_cliff_is_found_to_one_percent_from_the_passing_side() {
        for cliff in [10.5, 33.3, 180.0, 999.0] {
            let ranges = found(|t| t < cliff);
            let [[from, to]] = ranges.as_slice() else {
                panic!("{ranges:?}")
            };
            assert_eq!(*from, 10.0);
            assert!(*to < cliff && *to * 1.0101 > cliff, "{cliff}: {to}");
        }
    }

    #[test]
    fn two_ranges_are_kept_apart() {
        let ranges = found(|t| t < 50.0 || (t > 200.0 && t < 600.0));
        assert_eq!(ranges.len(), 2, "{ranges:?}");
        assert!((ranges[1][0] / 200.0 - 1.0).abs() < 0.0101);
        assert!((ranges[1][1] / 600.0 - 1.0).abs() < 0.0101);
    }

    #[test]
    fn everything_and_nothing() {
        assert_eq!(found(|_| true), [[10.0, 1000.0]]);
        assert_eq!(found(|_| false), [[0.0; 2]; 0]);
        let all = search(&WIDE, |t| trial(t, true));
        assert!(all.ranges[0].lower_edge.is_none() && all.ranges[0].upper_edge.is_none());
        assert_eq!(all.runs, 20);
    }
}
