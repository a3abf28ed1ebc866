//! What each installation condition does: the same impact with it put right, and with it alone.
//!
//! With the conditions c of a base as found, the velocity change Dv of a set of conditions and * for "as found":
//!
//! ```text
//! gain(c)         = Dv(*) - Dv(* without c)     leave-one-out: what putting c right brings now
//! alone effect(c) = Dv(c) - Dv(none)            one at a time: what c would do to a base without fault
//! ```
//!
//! Conditions interact: two that each hold the base have no gain singly. They are ranked by gain; where gains
//! agree to the printed digit, by the effect alone; then in the order of the kinds.

use giveway_results::{ConditionCase, ConditionFinding};
use giveway_scenario::ConditionKind;
use giveway_scenario::model::{AsFound, Scenario};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::StudyError;
use crate::numbers::Numbers;
use crate::pass::numbers;
use crate::sentence::sentence;
use crate::supports::Supports;
use crate::words::flag_words;

/// Velocity changes are printed, and ranked, to this step, m/s.
pub(crate) const STEP_MPS: f64 = 0.1;

/// The comparison of one scenario's conditions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Counterfactuals {
    /// Everything as found.
    pub as_found: ConditionCase,
    /// Everything put right.
    pub all_put_right: ConditionCase,
    /// The conditions present, worst first; empty for a base as designed.
    pub findings: Vec<ConditionFinding>,
    /// More numbers of the run as found; null where it could not be computed.
    pub as_found_numbers: Option<Numbers>,
    /// More numbers of the run with everything put right; null likewise.
    pub all_put_right_numbers: Option<Numbers>,
    /// Distinct runs: 1 without conditions, 2 with one, 4 with two, 2 + 2 n with n of them.
    pub runs: usize,
}

/// Computes a scenario as found, with everything put right, with each condition put right, and with each alone.
///
/// Runs go side by side on the threads at hand; the result does not depend on their number. A run that cannot be
/// computed stands in its place with the reason.
pub fn compare_conditions(scenario: &Scenario, supports: &Supports) -> Counterfactuals {
    compare_with(scenario, supports, None)
}

/// The same with the run as found computed already.
pub(crate) fn compare_with(
    scenario: &Scenario,
    supports: &Supports,
    as_found: Option<Result<Numbers, StudyError>>,
) -> Counterfactuals {
    let found = &scenario.as_found;
    let kinds = found.present();
    let mut plan = Plan(vec![found.clone()]);
    let all_right = plan.place(AsFound::default());
    let places: Vec<(ConditionKind, usize, usize)> = kinds
        .into_iter()
        .map(|kind| {
            let put_right = plan.place(found.without(kind));
            (kind, put_right, plan.place(found.only(kind)))
        })
        .collect();
    // The first run solves the support that the others share.
    let first = as_found.unwrap_or_else(|| run(scenario, supports));
    let rest: Vec<Result<Numbers, StudyError>> = plan.0[1..]
        .par_iter()
        .map(|as_found| {
            let scenario = Scenario {
                as_found: as_found.clone(),
                ..scenario.clone()
            };
            run(&scenario, supports)
        })
        .collect();
    let mut numbers: Vec<_> = std::iter::once(first).chain(rest).collect();
    let cases: Vec<ConditionCase> = numbers.iter().map(case).collect();
    let mut findings: Vec<ConditionFinding> = places
        .into_iter()
        .map(|(kind, put_right, alone)| {
            finding(
                kind,
                &cases[0],
                &cases[put_right],
                &cases[alone],
                &cases[all_right],
            )
        })
        .collect();
    rank(&mut findings);
    let sentences: Vec<String> = findings.iter().map(|f| sentence(f, &findings)).collect();
    for (finding, sentence) in findings.iter_mut().zip(sentences) {
        finding.sentence = sentence;
    }
    let all_put_right_numbers = numbers[all_right].as_ref().ok().cloned();
    Counterfactuals {
        as_found: cases[0].clone(),
        all_put_right: cases[all_right].clone(),
        findings,
        as_found_numbers: numbers.swap_remove(0).ok(),
        all_put_right_numbers,
        runs: plan.0.len(),
    }
}

/// The distinct states of the base to be run, as found first.
struct Plan(Vec<AsFound>);

impl Plan {
    /// Where a state stands; it is entered if it is new.
    fn place(&mut self, state: AsFound) -> usize {
        let known = self.0.iter().position(|other| *other == state);
        known.unwrap_or_else(|| {
            self.0.push(state);
            self.0.len() - 1
        })
    }
}

fn run(scenario: &Scenario, supports: &Supports) -> Result<Numbers, StudyError> {
    numbers(&supports.prepare(scenario)?)
}

/// A run in few numbers, or the reason why there is none.
fn case(run: &Result<Numbers, StudyError>) -> ConditionCase {
    let n = match run {
        Ok(numbers) => numbers,
        Err(problem) => return ConditionCase::failed(problem.to_string()),
    };
    ConditionCase {
        status: Some(n.status),
        ending: Some(n.ending),
        velocity_change_mps: n.velocity_change_mps(),
        outcome: n.outcome(),
        margin_fraction: n.verdicts.first().and_then(|v| v.margin_fraction),
        peak_force_n: Some(n.peak_force_n),
        peak_crush_m: Some(n.peak_crush_m),
        stands_in_wind: n.stands_in_wind,
        flags: n.flags.iter().map(|f| f.word.clone()).collect(),
        error: None,
    }
}

/// Everything about one condition but its rank and its sentence.
fn finding(
    kind: ConditionKind,
    as_found: &ConditionCase,
    if_put_right: &ConditionCase,
    alone: &ConditionCase,
    all_put_right: &ConditionCase,
) -> ConditionFinding {
    let difference = |worse: &ConditionCase, better: &ConditionCase| {
        Some(worse.reliable_velocity_change_mps()? - better.reliable_velocity_change_mps()?)
    };
    // A word is this condition's if it goes with it or comes with it.
    let has = |case: &ConditionCase, word: &str| case.flags.iter().any(|w| w == word);
    let flags = flag_words(kind)
        .iter()
        .filter(|w| has(as_found, w) && (!has(if_put_right, w) || has(alone, w)))
        .map(|w| (*w).to_owned())
        .collect();
    ConditionFinding {
        rank: 0,
        kind,
        title: kind.title().to_owned(),
        put_right: kind.put_right().to_owned(),
        flags,
        gain_mps: difference(as_found, if_put_right),
        alone_effect_mps: difference(alone, all_put_right),
        as_found: as_found.clone(),
        if_put_right: if_put_right.clone(),
        alone: alone.clone(),
        all_put_right: all_put_right.clone(),
        sentence: String::new(),
    }
}

/// A difference in whole steps of what is printed; unknown ones stand below all known ones.
pub(crate) fn in_steps(difference_mps: Option<f64>) -> i64 {
    // A conversion from f64 saturates: no overflow.
    difference_mps.map_or(i64::MIN, |d| (d / STEP_MPS).round() as i64)
}

/// Sorts by gain, then effect alone, then kind, and numbers from 1.
fn rank(findings: &mut [ConditionFinding]) {
    findings.sort_by(|a, b| {
        let key = |f: &ConditionFinding| (in_steps(f.gain_mps), in_steps(f.alone_effect_mps));
        key(b).cmp(&key(a)).then(a.kind.cmp(&b.kind))
    });
    for (i, finding) in findings.iter_mut().enumerate() {
        finding.rank = i + 1;
    }
}
