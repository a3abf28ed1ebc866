//! Many poles: one line each, the worst first. A crew's list of what to do next.

use std::collections::BTreeMap;

use giveway_occupant::CAUTION;
use giveway_scenario::{Diagnostic, Severity};
use giveway_units::System;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::decision::{Decision, RULE};
use crate::finding::{Said, diagnostic};
use crate::inspection::{Inspection, inspect_in};
use crate::pole_type::{PoleType, Solver};
use crate::record::Record;
use crate::requirements::{Verdict, Weight};

/// Version of the layout.
pub const SURVEY_FORMAT: u32 = 1;

/// The list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Survey {
    /// Version of this layout.
    pub format: u32,
    /// The rule of the decisions.
    pub rule: String,
    /// Said with every decision.
    pub caution: String,
    /// How the lines are sorted.
    pub sorted_by: String,
    /// Number of poles that are not accepted.
    pub no_go: usize,
    /// Number of poles of which it cannot be told.
    pub cannot_tell: usize,
    /// Number of poles that are accepted.
    pub go: usize,
    /// Number of records that were refused.
    pub refused: usize,
    /// Records that could not be read: nobody knows how these poles stand, so they come before all others.
    pub unreadable: Vec<Unreadable>,
    /// The poles, the worst first.
    pub poles: Vec<PoleLine>,
}

/// A record that was refused.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Unreadable {
    /// Identifier, where it could be read.
    pub pole: Option<String>,
    /// File.
    pub file: String,
    /// Line where its first problem stands.
    pub line: usize,
    /// The first problem.
    pub problem: String,
}

impl Unreadable {
    /// A refused record; none where nothing is said of it.
    pub fn new(pole: Option<String>, problems: &[Diagnostic]) -> Option<Self> {
        let first = problems
            .iter()
            .find(|d| d.severity == Severity::Error)
            .or(problems.first())?;
        let found = first
            .found
            .as_ref()
            .map_or(String::new(), |f| format!(" (`{f}`)"));
        let path = if first.path.is_empty() {
            String::new()
        } else {
            format!("{}: ", first.path)
        };
        Some(Self {
            pole,
            file: first.file.clone(),
            line: first.line,
            problem: format!("{path}{}{found}", first.message),
        })
    }
}

/// One pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PoleLine {
    /// Place in the list, from 1.
    pub rank: usize,
    /// Identifier.
    pub pole: String,
    /// Day of the inspection.
    pub date: String,
    /// Free text about the place, in one line.
    pub place: String,
    /// Latitude and longitude, degrees.
    pub position_deg: Option<[f64; 2]>,
    /// Names of photos.
    pub photos: Vec<String>,
    /// Title of its type.
    pub type_title: String,
    /// Decision.
    pub decision: Decision,
    /// Largest value over its limit in both tests as found; more than 1 fails. None where a run gave no number.
    pub load_as_found: Option<f64>,
    /// The same as designed.
    pub load_as_designed: Option<f64>,
    /// The same at the worst plausible value of something not measured.
    pub load_at_worst: Option<f64>,
    /// Velocity change of the low-speed test as found, m/s.
    pub low_speed_as_found_mps: Option<f64>,
    /// The same as designed, m/s.
    pub low_speed_as_designed_mps: Option<f64>,
    /// Velocity change of the high-speed test as found, m/s.
    pub high_speed_as_found_mps: Option<f64>,
    /// The same as designed, m/s.
    pub high_speed_as_designed_mps: Option<f64>,
    /// Number of requirements that fail.
    pub failing: usize,
    /// Number of items that were not measured.
    pub not_measured: usize,
    /// Number of essential items that were not measured.
    pub essential_not_measured: usize,
    /// What to do first.
    pub first: String,
    /// File of the record.
    pub file: String,
    /// Line where it begins.
    pub line: usize,
}

const SORTED_BY: &str = "unreadable first; then no-go before cannot tell before go; then the larger load as found, unknown before known; then the \
     larger load at the worst plausible value of what was not measured; then the pole's name";

/// A pole of a survey with everything about it.
pub struct Inspected {
    /// The inspection.
    pub inspection: Inspection,
    /// Its warnings.
    pub warnings: Vec<Diagnostic>,
    /// File of the record.
    pub file: String,
    /// Line where it begins.
    pub line: usize,
}

/// Of several records of one pole the youngest is kept. Says what was left out: an older record (R501), and a second
/// record of the same day (R070).
pub fn latest(records: Vec<Record>) -> (Vec<Record>, Vec<Diagnostic>) {
    let mut best: BTreeMap<String, usize> = BTreeMap::new();
    let mut said = Vec::new();
    let mut drop = vec![false; records.len()];
    for (i, record) in records.iter().enumerate() {
        let Some(&other) = best.get(&record.pole) else {
            best.insert(record.pole.clone(), i);
            continue;
        };
        let kept = &records[other];
        let (left_out, stays) = if record.date > kept.date {
            best.insert(record.pole.clone(), i);
            (other, i)
        } else {
            (i, other)
        };
        drop[left_out] = true;
        let (older, younger) = (&records[left_out], &records[stays]);
        let same_day = older.date == younger.date;
        let message = if same_day {
            format!(
                "pole {} has another record of {} ({}:{}), which is kept",
                older.pole, older.date, younger.file, younger.at.line
            )
        } else {
            format!(
                "pole {} has a younger record of {} ({}:{}); this one is left out",
                older.pole, younger.date, younger.file, younger.at.line
            )
        };
        said.push(diagnostic(
            if same_day { "R070" } else { "R501" },
            &older.file,
            older.at,
            "pole",
            Said::that(message),
        ));
    }
    let mut index = 0;
    let mut kept = records;
    kept.retain(|_| {
        index += 1;
        !drop[index - 1]
    });
    (kept, said)
}

/// Inspects many poles side by side; the results keep the order of the records, whatever the number of threads. A record
/// that is refused says why.
pub fn inspect_all(
    poles: &[(Record, &PoleType)],
    solver: &Solver<'_>,
    units: Option<System>,
) -> Vec<Result<Inspected, Vec<Diagnostic>>> {
    poles
        .par_iter()
        .map(|(record, pole_type)| {
            inspect_in(record, pole_type, solver, units).map(|(inspection, warnings)| Inspected {
                inspection,
                warnings,
                file: record.file.clone(),
                line: record.at.line,
            })
        })
        .collect()
}

/// The list of the poles, the worst first; records that were refused before them.
pub fn survey(poles: &[Inspected], unreadable: Vec<Unreadable>) -> Survey {
    let mut lines: Vec<PoleLine> = poles.iter().map(line).collect();
    // Larger first; what is unknown counts as larger than any number.
    let size = |load: Option<f64>| load.unwrap_or(f64::INFINITY);
    lines.sort_by(|a, b| {
        a.decision
            .cmp(&b.decision)
            .then(size(b.load_as_found).total_cmp(&size(a.load_as_found)))
            .then(
                b.load_at_worst
                    .unwrap_or(0.0)
                    .total_cmp(&a.load_at_worst.unwrap_or(0.0)),
            )
            .then_with(|| a.pole.cmp(&b.pole))
    });
    for (i, line) in lines.iter_mut().enumerate() {
        line.rank = i + 1;
    }
    let count = |decision| lines.iter().filter(|l| l.decision == decision).count();
    Survey {
        format: SURVEY_FORMAT,
        rule: RULE.to_owned(),
        caution: CAUTION.to_owned(),
        sorted_by: SORTED_BY.to_owned(),
        no_go: count(Decision::NoGo),
        cannot_tell: count(Decision::CannotTell),
        go: count(Decision::Go),
        refused: unreadable.len(),
        unreadable,
        poles: lines,
    }
}

fn line(pole: &Inspected) -> PoleLine {
    let i = &pole.inspection;
    let [low, high] = [i.tests.first(), i.tests.get(1)];
    let found =
        |t: Option<&crate::decision::TestResult>| t.and_then(|t| t.as_found.velocity_change_mps);
    let designed =
        |t: Option<&crate::decision::TestResult>| t.and_then(|t| t.as_designed.velocity_change_mps);
    PoleLine {
        rank: 0,
        pole: i.pole.clone(),
        date: i.date.clone(),
        place: i
            .place
            .iter()
            .map(|n| n.text.as_str())
            .collect::<Vec<_>>()
            .join("; "),
        position_deg: i.position_deg,
        photos: i.photos.clone(),
        type_title: i.type_title.clone(),
        decision: i.decision,
        load_as_found: i.load_as_found(),
        load_as_designed: i.load_as_designed(),
        load_at_worst: i.load_at_worst(),
        low_speed_as_found_mps: found(low),
        low_speed_as_designed_mps: designed(low),
        high_speed_as_found_mps: found(high),
        high_speed_as_designed_mps: designed(high),
        failing: i.count(Verdict::Fails),
        not_measured: i.count(Verdict::NotMeasured),
        essential_not_measured: i
            .not_measured
            .iter()
            .filter(|o| o.weight == Weight::Essential)
            .count(),
        first: first(i),
        file: pole.file.clone(),
        line: pole.line,
    }
}

/// What to do first: the first step, or what to measure.
fn first(i: &Inspection) -> String {
    if let Some(step) = i.order.first() {
        return step.put_right.clone();
    }
    let open = i
        .not_measured
        .iter()
        .find(|o| o.weight == Weight::Essential && (o.would_fail || o.tests.is_none()));
    match (open, i.decision) {
        (Some(open), Decision::CannotTell) => format!("Measure: {}.", open.requirement),
        (_, Decision::Go) => "Nothing.".to_owned(),
        _ => "See the report of the pole.".to_owned(),
    }
}
