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

use giveway_impact::Workspace;
use giveway_results::{ConditionCase, ConditionFinding};
use giveway_scenario::ConditionKind;
use giveway_scenario::model::{AsFound, Scenario};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::StudyError;
use crate::numbers::Numbers;
use crate::pass::numbers_in;
use crate::sentence::{in_steps, sentence};
use crate::supports::Supports;

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
    let with = |as_found: &AsFound| Scenario {
        as_found: as_found.clone(),
        ..scenario.clone()
    };
    // The other runs share the support as found or that of the design (the height of the lower plate tells them
    // apart): both are solved before the threads part. What is wrong with a scenario its own run says.
    let first = as_found.unwrap_or_else(|| run(scenario, supports, &mut Workspace::new()));
    if plan.0.len() > 1 {
        drop(supports.prepare(&with(&AsFound::default())));
    }
    let rest: Vec<Result<Numbers, StudyError>> = plan.0[1..]
        .par_iter()
        .map_init(Workspace::new, |workspace, as_found| {
            run(&with(as_found), supports, workspace)
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

fn run(
    scenario: &Scenario,
    supports: &Supports,
    workspace: &mut Workspace,
) -> Result<Numbers, StudyError> {
    numbers_in(&supports.prepare(scenario)?, workspace)
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
    let flags = kind
        .record()
        .words
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

#[cfg(test)]
mod tests {
    use giveway_impact::outcome::Ending;
    use giveway_occupant::Outcome;
    use giveway_results::summary::Status;

    use super::*;

    fn case(velocity_change_mps: f64, ending: Ending) -> ConditionCase {
        ConditionCase {
            status: Some(Status::Complete),
            ending: Some(ending),
            velocity_change_mps: Some(velocity_change_mps),
            outcome: if velocity_change_mps > 4.877 {
                Outcome::Fail
            } else {
                Outcome::Pass
            },
            error: None,
            ..ConditionCase::failed(String::new())
        }
    }

    fn held(velocity_change_mps: f64) -> ConditionCase {
        case(velocity_change_mps, Ending::Held)
    }

    fn free(velocity_change_mps: f64) -> ConditionCase {
        case(velocity_change_mps, Ending::Released)
    }

    /// Findings of a base that costs 9.4 m/s as found and 2.6 m/s put right: kind, put right, alone.
    fn ranked(parts: &[(ConditionKind, ConditionCase, ConditionCase)]) -> Vec<ConditionFinding> {
        let mut all: Vec<ConditionFinding> = parts
            .iter()
            .map(|(kind, right, alone)| finding(*kind, &held(9.4), right, alone, &free(2.6)))
            .collect();
        rank(&mut all);
        let sentences: Vec<String> = all.iter().map(|f| sentence(f, &all)).collect();
        for (f, s) in all.iter_mut().zip(sentences) {
            f.sentence = s;
        }
        all
    }

    fn kinds(all: &[ConditionFinding]) -> Vec<ConditionKind> {
        assert!(all.iter().enumerate().all(|(i, f)| f.rank == i + 1));
        all.iter().map(|f| f.kind).collect()
    }

    #[test]
    fn one_condition_is_said_by_two_numbers() {
        let all = ranked(&[(ConditionKind::Grout, free(2.6), held(9.4))]);
        assert_eq!(
            all[0].in_short(),
            "velocity change 9.4 m/s as found, 2.6 m/s if put right"
        );
        assert_eq!(
            all[0].sentence,
            "Grout at the bolt heads: velocity change 9.4 m/s as found (the base holds, fail), 2.6 m/s if put right \
             (the base lets go, pass)."
        );
        assert_eq!(all[0].gain_mps, Some(9.4 - 2.6));
    }

    #[test]
    fn gain_ranks_then_the_effect_alone_then_the_kind() {
        let all = ranked(&[
            (ConditionKind::Rust, held(9.36), free(2.6)),
            (ConditionKind::Grout, held(9.41), free(3.0)),
            (ConditionKind::Soil, free(8.4), free(2.7)),
            (ConditionKind::Keeper, held(9.40), held(9.0)),
            (ConditionKind::Stub, held(9.43), free(3.02)),
            (ConditionKind::Torque, held(9.9), free(2.1)),
        ]);
        // Gains 0.04, -0.01, 1.0, 0.0, -0.03, -0.5 m/s: those within a tenth are told apart by the effect alone.
        assert_eq!(
            kinds(&all),
            [
                ConditionKind::Soil,
                ConditionKind::Keeper,
                ConditionKind::Grout,
                ConditionKind::Stub,
                ConditionKind::Rust,
                ConditionKind::Torque
            ]
        );
        let said = |kind| &all.iter().find(|f| f.kind == kind).unwrap().sentence;
        assert!(said(ConditionKind::Soil).ends_with("alone it makes 2.7 m/s of 2.6 m/s."));
        assert!(said(ConditionKind::Rust).contains("no noticeable effect"));
        assert!(said(ConditionKind::Torque).contains("less as found than if put right"));
    }

    #[test]
    fn two_that_each_hold_the_base_say_so_of_each_other() {
        let all = ranked(&[
            (ConditionKind::Stub, held(9.4), held(9.2)),
            (ConditionKind::Grout, held(9.4), held(9.3)),
        ]);
        assert_eq!(kinds(&all), [ConditionKind::Grout, ConditionKind::Stub]);
        assert_eq!(
            all[0].sentence,
            "Grout at the bolt heads: velocity change 9.4 m/s as found, 9.4 m/s if put right; nothing is gained as \
             long as anchor-bar stub in the slip plane still holds the base; alone it makes 9.3 m/s of 2.6 m/s."
        );
    }

    #[test]
    fn numbers_that_are_not_known_stand_last_and_give_no_gain() {
        let mut open = free(1.0);
        open.status = Some(Status::Failed);
        let all = ranked(&[
            (ConditionKind::Grout, open, held(9.4)),
            (ConditionKind::Stub, free(f64::NAN), held(9.3)),
            (
                ConditionKind::Nut,
                ConditionCase::failed("the base cannot stand".into()),
                held(9.1),
            ),
            (ConditionKind::Soil, held(9.9), free(2.6)),
        ]);
        assert_eq!(
            kinds(&all),
            [
                ConditionKind::Soil,
                ConditionKind::Grout,
                ConditionKind::Stub,
                ConditionKind::Nut
            ]
        );
        assert!(all[1..].iter().all(|f| f.gain_mps.is_none()));
        assert!(
            all[1]
                .sentence
                .contains("unknown (its books do not close) if put right")
        );
        assert!(all[2].sentence.contains("unknown"));
        assert!(all[3].sentence.contains(
            "unknown (not computed) if put right; the run with it put right could not be computed: the base cannot stand."
        ));
    }

    #[test]
    fn what_only_the_wind_needs_is_said() {
        let stands = |mut case: ConditionCase, stands: bool| {
            case.stands_in_wind = Some(stands);
            case
        };
        let mut all = vec![finding(
            ConditionKind::Torque,
            &stands(free(2.2), false),
            &stands(free(2.6), true),
            &stands(free(2.2), false),
            &stands(free(2.6), true),
        )];
        rank(&mut all);
        assert_eq!(
            sentence(&all[0], &all),
            "Torque other than designed: velocity change 2.2 m/s as found, 2.6 m/s if put right; the velocity change \
             is less as found than if put right; as found the base does not stand in the wind, put right it \
             does."
        );
    }

    #[test]
    fn differences_in_steps_do_not_overflow() {
        assert_eq!(in_steps(Some(0.24)), 2);
        assert_eq!(in_steps(Some(-0.04)), 0);
        assert_eq!(in_steps(None), i64::MIN);
        assert_eq!(in_steps(Some(1e300)), i64::MAX);
    }
}
