//! Which torques pass a test: a scan, then every edge between passing and failing closed in on.
//!
//! Whether a base lets go is a step in the torque, not a slope: a little more clamp and the same car is stopped. So
//! nothing is interpolated between two torques; an edge is halved until the torques on both sides of it differ by
//! the accuracy asked for. More than one range may pass: each is kept. A range narrower than the steps of
//! the scan can be missed. Why a torque fails is closed in on as well, less finely: each reason has its range of torques.

use giveway_impact::outcome::Ending;
use giveway_occupant::Outcome;
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
    /// Its value and its own limit, in `closest_unit`.
    pub closest_value: Option<f64>,
    /// The limit.
    pub closest_limit: Option<f64>,
    /// The unit of both.
    pub closest_unit: Option<String>,
    /// Its margin: 1 - |value|/maximum.
    pub margin_fraction: Option<f64>,
    /// Verdicts of the dents of roof and windscreen; none where they were not judged.
    pub dents: [Option<Outcome>; 2],
    /// Why it could not be computed or judged.
    pub reason: Option<String>,
}

/// What came of a torque, in a word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// The test is passed.
    Passes,
    /// The base lets go and a check fails; none where no check says why.
    Fails(Option<String>),
    /// The base holds.
    Holds,
    /// The run could not be computed or judged.
    NotJudged,
}

impl Trial {
    /// A torque of which nothing is known.
    pub(super) fn nothing_known(torque_nm: f64) -> Self {
        Self {
            torque_nm,
            passes: false,
            ending: None,
            velocity_change_mps: None,
            closest_check: None,
            closest_title: None,
            closest_value: None,
            closest_limit: None,
            closest_unit: None,
            margin_fraction: None,
            dents: [None; 2],
            reason: None,
        }
    }

    /// What came of it.
    pub fn how(&self) -> How {
        match (self.passes, &self.reason, self.ending) {
            (true, ..) => How::Passes,
            (_, Some(_), _) => How::NotJudged,
            (_, _, Some(Ending::Held)) => How::Holds,
            _ => How::Fails(self.closest_check.clone()),
        }
    }
}

/// Neighbouring torques of which the same came.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stretch {
    /// Least of them, N.m.
    pub from_nm: f64,
    /// Largest of them, N.m.
    pub to_nm: f64,
    /// What came of them.
    pub how: How,
    /// The one that is nearest to the other side: the least margin where they pass, the largest where they fail.
    pub nearest: Trial,
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
    /// What came of every torque, without a gap wider than the accuracy where it changes.
    pub stretches: Vec<Stretch>,
    /// All torques that were tried, rising.
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

impl Search {
    /// The torques of the scan, in equal ratios.
    pub fn torques(&self) -> Vec<f64> {
        let last = self.points.max(2) - 1;
        let ratio = self.to_nm / self.from_nm;
        (0..=last)
            .map(|i| match i {
                0 => self.from_nm,
                i if i == last => self.to_nm,
                i => self.from_nm * libm::pow(ratio, i as f64 / last as f64),
            })
            .collect()
    }
}

/// How much wider the gap may be between two torques that both fail, in another way.
const REASONS: f64 = 5.0;

/// Searches. `run` is called from several threads; the result does not depend on their number.
pub fn search(search: &Search, run: impl Fn(f64) -> Trial + Sync) -> Searched {
    let coarse: Vec<Trial> = search.torques().into_par_iter().map(&run).collect();
    let closed: Vec<Vec<Trial>> = (1..coarse.len())
        .into_par_iter()
        .map(|i| {
            let mut found = Vec::new();
            close_in(
                &coarse[i - 1],
                &coarse[i],
                search.accuracy,
                &run,
                &mut found,
            );
            found
        })
        .collect();
    let mut scan = Vec::new();
    for (trial, then) in coarse
        .into_iter()
        .zip(closed.into_iter().chain([Vec::new()]))
    {
        scan.push(trial);
        scan.extend(then);
    }
    Searched {
        ranges: ranges(&scan),
        stretches: stretches(&scan),
        runs: scan.len(),
        scan,
    }
}

/// Halves the interval, in ratio, wherever something else came of its ends, until they differ by no more than the accuracy.
/// What lies between is added in rising order.
fn close_in(
    low: &Trial,
    high: &Trial,
    accuracy: f64,
    run: &(impl Fn(f64) -> Trial + Sync),
    found: &mut Vec<Trial>,
) {
    let wide = if low.passes == high.passes {
        REASONS
    } else {
        1.0
    };
    if low.how() == high.how() || high.torque_nm <= low.torque_nm * (1.0 + wide * accuracy) {
        return;
    }
    let middle = run((low.torque_nm * high.torque_nm).sqrt());
    close_in(low, &middle, accuracy, run, found);
    found.push(middle.clone());
    close_in(&middle, high, accuracy, run, found);
}

fn ranges(scan: &[Trial]) -> Vec<PassingRange> {
    let runs: Vec<&[Trial]> = scan.chunk_by(|a, b| a.passes == b.passes).collect();
    let edge = |passing: &Trial, failing: Option<&Trial>| {
        failing.map(|failing| Edge {
            passing: passing.clone(),
            failing: failing.clone(),
        })
    };
    let passing = runs.iter().enumerate().filter(|(_, run)| run[0].passes);
    passing
        .map(|(i, run)| {
            let (first, last) = (&run[0], &run[run.len() - 1]);
            let before = i.checked_sub(1).and_then(|j| runs[j].last());
            let after = runs.get(i + 1).and_then(|next| next.first());
            PassingRange {
                from_nm: first.torque_nm,
                to_nm: last.torque_nm,
                lower_edge: edge(first, before),
                upper_edge: edge(last, after),
            }
        })
        .collect()
}

fn stretches(scan: &[Trial]) -> Vec<Stretch> {
    scan.chunk_by(|a, b| a.how() == b.how())
        .map(|run| {
            let how = run[0].how();
            let margin = |t: &&Trial| t.margin_fraction.unwrap_or(0.0);
            let mut by_margin: Vec<&Trial> = run.iter().collect();
            by_margin.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
            let nearest = match how {
                How::Passes => by_margin[0],
                _ => by_margin[by_margin.len() - 1],
            };
            Stretch {
                from_nm: run[0].torque_nm,
                to_nm: run[run.len() - 1].torque_nm,
                nearest: nearest.clone(),
                how,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trial(torque_nm: f64, passes: bool) -> Trial {
        Trial {
            passes,
            ..Trial::nothing_known(torque_nm)
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

    /// Every reason has its own torques: what fails a check to 200 N.m and holds beyond is two stretches, and a narrow passing
    /// range between two reasons is closed in on from both sides.
    #[test]
    fn reasons_are_told_by_torque() {
        let of = |t: f64, passes: bool| Trial {
            closest_check: Some("roof".into()),
            ending: Some(if t < 200.0 {
                Ending::Released
            } else {
                Ending::Held
            }),
            ..trial(t, passes)
        };
        let never = search(&WIDE, |t| of(t, false));
        assert!(never.ranges.is_empty());
        let hows: Vec<How> = never.stretches.iter().map(|s| s.how.clone()).collect();
        assert_eq!(hows, [How::Fails(Some("roof".into())), How::Holds]);
        let [a, b] = [&never.stretches[0], &never.stretches[1]];
        assert!(a.to_nm < 200.0 && b.from_nm >= 200.0 && b.from_nm < 1.051 * a.to_nm);
        let between = search(&WIDE, |t| of(t, t > 150.0 && t < 200.0));
        assert_eq!(between.stretches.len(), 3);
        let range = &between.ranges[0];
        assert!(range.from_nm > 150.0 && range.from_nm < 1.0101 * 150.0);
        assert!(range.to_nm < 200.0 && range.to_nm > 200.0 / 1.0101);
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
