//! One table for one base: each row asks something of the torque - the wind by grade, bolts, plate washers, every impact -
//! and tells from which torque to which it is met, what governs at both ends, why it is not met elsewhere, and by how much it
//! is met at the design's torque.

use giveway_mechanics::retention::Grade;
use giveway_results::grades::{event_words, wind_name};
use giveway_scenario::model::Scenario;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::case::{CaseFacts, ImpactCase};
use super::limits::{Limit, LimitKind, with_torque};
use super::search::{How, Searched, Stretch, Trial};
use super::{FINE, TorqueWindow, lower_first, scan, struck};
use crate::error::StudyError;
use crate::supports::Supports;

/// What a row asks about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RowKind {
    /// A grade of the check in the wind.
    Wind,
    /// The bolts' proof load.
    Proof,
    /// The plate washers.
    WasherBending,
    /// An impact.
    Impact,
}

/// What lies at an end of a passing range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct End {
    /// What governs there: a check, an event, a part.
    pub governs: String,
    /// What happens beyond.
    pub words: String,
    /// Part of its own limit that is left on the passing side; none where nothing is measured against a limit.
    pub inside_fraction: Option<f64>,
    /// The same just beyond the end, below zero: a cliff where it is far below.
    pub beyond_fraction: Option<f64>,
}

/// A range of torques that meets what a row asks; without an end it goes on to the end of what was searched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pass {
    /// Least torque, N.m.
    pub from_nm: f64,
    /// Largest torque, N.m.
    pub to_nm: f64,
    /// What lies at its lower end.
    pub from: Option<End>,
    /// What lies at its upper end.
    pub to: Option<End>,
}

/// What comes of a range of torques.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reason {
    /// Least torque, N.m; none: from the least that was searched.
    pub from_nm: Option<f64>,
    /// Largest torque, N.m; none: to the largest that was searched.
    pub to_nm: Option<f64>,
    /// Whether the row's question is met.
    pub passes: bool,
    /// What happens.
    pub words: String,
}

impl Reason {
    /// "8 to 203 N.m: the base lets go, ...".
    pub fn said(&self) -> String {
        let range = match (self.from_nm, self.to_nm) {
            (Some(a), Some(b)) => format!("{a:.0} to {b:.0} N.m"),
            (Some(a), None) => format!("from {a:.0} N.m"),
            (None, Some(b)) => format!("up to {b:.0} N.m"),
            (None, None) => "at every torque".to_owned(),
        };
        format!("{range}: {}", self.words)
    }
}

/// How a row stands at one torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Standing {
    /// The torque, N.m.
    pub torque_nm: f64,
    /// Whether it is met.
    pub passes: bool,
    /// The check or event nearest to its limit.
    pub governs: String,
    /// Part of the limit that is left, below zero beyond it; of the wind the pressure borne over that asked for, less one.
    /// None where nothing is measured against a limit.
    pub margin_fraction: Option<f64>,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Row {
    /// What asks.
    pub name: String,
    /// What it is about.
    pub kind: RowKind,
    /// Place of the impact among the impacts.
    pub case: Option<usize>,
    /// Whether it counts for the window; the 700-year wind is told beside it.
    pub counts: bool,
    /// Whether it sets the window's lower end.
    pub sets_lower: bool,
    /// Whether it sets the window's upper end.
    pub sets_upper: bool,
    /// Document by whose limits it is judged.
    pub document: Option<String>,
    /// Its own limit in words, where one check governs.
    pub limit: Option<String>,
    /// Where it is met.
    pub passes: Vec<Pass>,
    /// What comes of every torque.
    pub reasons: Vec<Reason>,
    /// How it stands at the design's torque; none where the scenario gives a preload.
    pub design: Option<Standing>,
    /// Remarks that move nothing: dents.
    pub remarks: Vec<String>,
}

/// The torque that comes nearest to meeting every row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Nearest {
    /// The torque, N.m.
    pub torque_nm: f64,
    /// Rows that it misses, the worst first: name and how it stands.
    pub misses: Vec<(String, Standing)>,
    /// One sentence.
    pub sentence: String,
}

/// The table of a window: wind, parts, impacts, and last what moves nothing.
///
/// # Errors
/// A design that cannot be made ready at its torque.
pub fn table(
    design: &Scenario,
    cases: &[ImpactCase],
    window: &TorqueWindow,
    supports: &Supports,
) -> Result<Vec<Row>, StudyError> {
    let mut rows: Vec<Row> = (window.limits.iter().enumerate())
        .filter_map(|(i, limit)| match limit.kind {
            LimitKind::Impact { case } => {
                let (facts, found) = (window.cases.get(case)?, window.searched.get(case)?);
                Some((of_an_impact(case, facts, found), limit))
            }
            _ => Some((of_a_limit(limit, i < 2, window.from_to_nm)?, limit)),
        })
        .map(|(row, limit)| {
            // A limit may set both ends: an impact whose passing range is the window.
            let sets = |end: &Limit| match (&end.kind, &limit.kind) {
                (LimitKind::Impact { case: a }, LimitKind::Impact { case: b }) => a == b,
                (a, b) => a == b && end.torque_nm == limit.torque_nm,
            };
            Row {
                sets_lower: sets(&window.lower),
                sets_upper: window.upper.as_ref().is_some_and(sets),
                ..row
            }
        })
        .collect();
    let survival = of_a_limit(&window.survival, true, window.from_to_nm);
    rows.extend(survival.map(|row| Row {
        counts: false,
        ..row
    }));
    if let Some(torque) = window.torque_nm {
        let stand = standings(&rows, design, cases, window, supports, torque)?;
        for (row, standing) in rows.iter_mut().zip(stand) {
            row.design = Some(standing);
        }
    }
    Ok(rows)
}

/// The row of a limit of wind or parts; those of impacts have more to tell.
fn of_a_limit(limit: &Limit, from_below: bool, [least, most]: [f64; 2]) -> Option<Row> {
    let (name, kind, governs, asks) = match &limit.kind {
        LimitKind::Wind {
            grade,
            wind_mps,
            by,
            bolt,
            ..
        } => (
            format!("{} of {wind_mps:.0} m/s", wind_name(*grade)),
            RowKind::Wind,
            by.map_or("dead load".to_owned(), |by| event_words(by, *bolt)),
            match grade {
                Grade::Service => "no bolt gaps or slides",
                Grade::Strength => "nothing yields, the plates slip by 1 mm at most",
                Grade::Survival => "the base does not come apart",
            },
        ),
        LimitKind::Proof => (
            "bolts, proof load".to_owned(),
            RowKind::Proof,
            "proof load".to_owned(),
            "0.9 of the yield load while tightening",
        ),
        LimitKind::WasherBending => (
            "plate washers".to_owned(),
            RowKind::WasherBending,
            "washer bending".to_owned(),
            "they do not bend into the notches",
        ),
        LimitKind::Impact { .. } => return None,
    };
    let beyond = match kind {
        RowKind::Wind => format!("{governs} in it"),
        RowKind::WasherBending => "they bend".to_owned(),
        RowKind::Proof | RowKind::Impact => format!("beyond the {governs}"),
    };
    let (passes, reasons) = side(limit, from_below, [least, most], (governs, beyond));
    Some(Row {
        name,
        kind,
        case: None,
        counts: true,
        sets_lower: false,
        sets_upper: false,
        document: None,
        limit: Some(asks.to_owned()),
        passes,
        reasons,
        design: None,
        remarks: Vec::new(),
    })
}

/// Where a limit is kept, from its torque up or down to it, and what is said of either side.
fn side(
    limit: &Limit,
    from_below: bool,
    [least, most]: [f64; 2],
    (governs, beyond): (String, String),
) -> (Vec<Pass>, Vec<Reason>) {
    let reason = |from_nm, to_nm, passes, words: &str| Reason {
        from_nm,
        to_nm,
        passes,
        words: words.to_owned(),
    };
    let end = End {
        governs,
        words: limit.sentence.clone(),
        inside_fraction: Some(0.0),
        beyond_fraction: Some(0.0),
    };
    match limit.torque_nm {
        None => (vec![], vec![reason(None, None, false, &beyond)]),
        // At the least torque that is tried it is met: nothing lies below.
        Some(t) if from_below && t <= least => (
            vec![Pass {
                from_nm: least,
                to_nm: most,
                from: None,
                to: None,
            }],
            vec![reason(None, None, true, "holds")],
        ),
        Some(t) if from_below => (
            vec![Pass {
                from_nm: t,
                to_nm: most,
                from: Some(end),
                to: None,
            }],
            vec![
                reason(None, Some(t), false, &beyond),
                reason(Some(t), None, true, "holds"),
            ],
        ),
        Some(t) => (
            vec![Pass {
                from_nm: least,
                to_nm: t,
                from: None,
                to: Some(end),
            }],
            vec![
                reason(None, Some(t), true, "holds"),
                reason(Some(t), None, false, &beyond),
            ],
        ),
    }
}

fn of_an_impact(case: usize, facts: &CaseFacts, found: &Searched) -> Row {
    let end = |edge: &super::Edge| End {
        governs: governs(&edge.failing),
        words: what_happens(&edge.failing.how(), &edge.failing),
        inside_fraction: edge.passing.margin_fraction,
        beyond_fraction: edge.failing.margin_fraction,
    };
    let passes: Vec<Pass> = (found.ranges.iter())
        .map(|r| Pass {
            from_nm: r.from_nm,
            to_nm: r.to_nm,
            from: r.lower_edge.as_ref().map(end),
            to: r.upper_edge.as_ref().map(end),
        })
        .collect();
    let edges = found
        .ranges
        .iter()
        .flat_map(|r| [&r.upper_edge, &r.lower_edge]);
    // Of all that fails beside what passes; else of what comes nearest.
    let judged = (edges.flatten().map(|e| &e.failing))
        .chain(found.stretches.iter().map(|s| &s.nearest))
        .find(|t| t.closest_limit.is_some());
    let limit = judged.and_then(|t| {
        let (title, limit) = (t.closest_title.as_ref()?, t.closest_limit?);
        let unit = t.closest_unit.as_deref().unwrap_or_default();
        Some(format!(
            "{} up to {} {unit}",
            lower_first(title),
            short(limit)
        ))
    });
    Row {
        name: facts.name.clone(),
        kind: RowKind::Impact,
        case: Some(case),
        counts: true,
        sets_lower: false,
        sets_upper: false,
        document: facts.document.clone(),
        limit,
        passes,
        reasons: reasons(found),
        design: None,
        remarks: dents(&found.scan),
    }
}

/// A number with at most two decimals.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What came of every torque of an impact.
pub(super) fn reasons(found: &Searched) -> Vec<Reason> {
    let last = found.stretches.len().saturating_sub(1);
    (found.stretches.iter().enumerate())
        .map(|(i, s)| Reason {
            from_nm: (i > 0).then_some(s.from_nm),
            to_nm: (i < last).then_some(s.to_nm),
            passes: s.how == How::Passes,
            words: in_words(s),
        })
        .collect()
}

fn in_words(s: &Stretch) -> String {
    what_happens(&s.how, &s.nearest)
}

fn what_happens(how: &How, t: &Trial) -> String {
    let check = match (&t.closest_title, t.closest_value, t.closest_limit) {
        (Some(title), Some(value), Some(limit)) => {
            let unit = t.closest_unit.as_deref().unwrap_or_default();
            // A value at its limit has more decimals.
            let told = if short(value.abs()) == short(limit) && value.abs() != limit {
                format!("{:.4}", value.abs())
            } else {
                short(value.abs())
            };
            let (title, limit) = (lower_first(title), short(limit));
            Some(format!("{title} {told} {unit} of {limit} {unit}"))
        }
        _ => None,
    };
    let travel = t
        .velocity_change_mps
        .map_or_else(String::new, |v| format!(", velocity change {v:.1} m/s"));
    match (how, check) {
        (How::Passes, Some(check)) => format!("passes, nearest {check}"),
        (How::Passes, None) => format!("passes{travel}"),
        (How::Holds, _) => format!("the base holds{travel}"),
        (How::Fails(_), Some(check)) => format!("lets go, fails {check}"),
        (How::Fails(_), None) => format!("the pole is not released{travel}"),
        (How::NotJudged, _) => t.reason.clone().unwrap_or_default(),
    }
}

fn governs(t: &Trial) -> String {
    match (t.how(), &t.closest_title) {
        (How::Holds, _) => "the base holds".to_owned(),
        (How::NotJudged, _) => "not judged".to_owned(),
        (_, Some(title)) => lower_first(title),
        (_, None) => "release".to_owned(),
    }
}

/// Verdicts of the dents over the torque, where one is not a pass.
fn dents(scan: &[Trial]) -> Vec<String> {
    use giveway_occupant::Outcome;
    ["roof", "windscreen"]
        .iter()
        .enumerate()
        .filter_map(|(i, part)| {
            let runs: Vec<(&str, String)> = scan
                .chunk_by(|a, b| a.dents[i] == b.dents[i])
                .filter_map(|run| {
                    let word = match run[0].dents[i]? {
                        Outcome::Pass | Outcome::NotEvaluated => return None,
                        Outcome::Marginal => "may be beyond its limit",
                        Outcome::Fail => "is beyond its limit",
                    };
                    let (from, to) = (run[0].torque_nm, run[run.len() - 1].torque_nm);
                    Some((word, format!("{from:.0} to {to:.0} N.m")))
                })
                .collect();
            let same = runs.iter().all(|r| r.0 == runs[0].0);
            // Many short runs of one rough estimate say no more than a few.
            let told = match (runs.len(), same) {
                (0, _) => return None,
                (1..=3, true) => {
                    let all: Vec<&str> = runs.iter().map(|r| r.1.as_str()).collect();
                    format!("{} at {}", runs[0].0, all.join(", "))
                }
                (1..=3, false) => {
                    let all: Vec<String> =
                        runs.iter().map(|r| format!("{} at {}", r.0, r.1)).collect();
                    all.join(", ")
                }
                _ => "near or beyond its limit here and there".to_owned(),
            };
            Some(format!("dent of the {part} (rough estimate): {told}"))
        })
        .collect()
}

/// How every row stands at a torque.
fn standings(
    rows: &[Row],
    design: &Scenario,
    cases: &[ImpactCase],
    window: &TorqueWindow,
    supports: &Supports,
    torque_nm: f64,
) -> Result<Vec<Standing>, StudyError> {
    use giveway_impact::ImpactError;
    let retention = match supports.prepare(&with_torque(design, torque_nm)?) {
        Ok(prepared) => prepared.retention()?,
        Err(ImpactError::CannotStand(_)) => None,
        Err(error) => return Err(error.into()),
    };
    let limits: Vec<&Limit> = window
        .limits
        .iter()
        .filter(|l| !matches!(l.kind, LimitKind::Impact { .. }))
        .collect();
    let standing = |passes, governs: String, margin_fraction| Standing {
        torque_nm,
        passes,
        governs,
        margin_fraction,
    };
    Ok(rows
        .par_iter()
        .enumerate()
        .map(|(i, row)| {
            let limit = limits.get(i).copied().unwrap_or(&window.survival);
            match (row.case, &limit.kind) {
                (Some(case), _) => {
                    let t = struck(&cases[case], torque_nm, supports);
                    standing(t.passes, governs(&t), t.margin_fraction)
                }
                (None, LimitKind::Wind { grade, .. }) => match &retention {
                    Some(r) => {
                        let g = r.graded(*grade);
                        let by =
                            g.by.map_or("nothing".to_owned(), |by| event_words(by, g.bolt));
                        standing(g.holds, by, g.margin)
                    }
                    None => standing(false, "dead load".to_owned(), Some(-1.0)),
                },
                (None, _) => {
                    let most = limit.torque_nm.unwrap_or(f64::INFINITY);
                    let governs = match row.kind {
                        RowKind::Proof => "proof load",
                        _ => "washer bending",
                    };
                    let left = 1.0 - torque_nm / most;
                    standing(left >= 0.0, governs.to_owned(), Some(left))
                }
            }
        })
        .collect())
}

/// Torques between two of the scan that are tried beside the best of them.
const FINER: usize = 4;

/// The torque whose worst miss is least, among those of the scan and finer ones beside the best of them; a miss is the part
/// by which the limit of the row is exceeded.
///
/// # Errors
/// A design that cannot be made ready.
pub fn nearest_torque(
    design: &Scenario,
    cases: &[ImpactCase],
    window: &TorqueWindow,
    rows: &[Row],
    supports: &Supports,
) -> Result<Nearest, StudyError> {
    let mut tried: Vec<(f64, Vec<Standing>)> = Vec::new();
    let at = |torque: f64| -> Result<(f64, Vec<Standing>), StudyError> {
        Ok((
            torque,
            standings(rows, design, cases, window, supports, torque)?,
        ))
    };
    for torque in scan(window.from_to_nm, window.from_to_nm, &FINE).torques() {
        tried.push(at(torque)?);
    }
    // The worst miss, and of equal ones the sum of all.
    let missed = |stand: &[Standing]| {
        (rows.iter().zip(stand))
            .filter(|(row, s)| row.counts && !s.passes)
            .map(|(_, s)| miss(s))
            .fold([0.0, 0.0], |[worst, sum]: [f64; 2], m| {
                [worst.max(m), sum + m]
            })
    };
    let best = |tried: &[(f64, Vec<Standing>)]| {
        let of = |i: &usize| missed(&tried[*i].1);
        (0..tried.len())
            .min_by(|a, b| {
                let ([a, all_a], [b, all_b]) = (of(a), of(b));
                a.total_cmp(&b).then(all_a.total_cmp(&all_b))
            })
            .unwrap_or(0)
    };
    let first = best(&tried);
    let scanned: Vec<f64> = tried.iter().map(|t| t.0).collect();
    for i in [first.checked_sub(1), Some(first)].into_iter().flatten() {
        let [low, high] = match scanned.get(i..i + 2) {
            Some(pair) => [pair[0], pair[1]],
            None => continue,
        };
        for k in 1..FINER {
            let torque = low * libm::pow(high / low, k as f64 / FINER as f64);
            let found = at(torque)?;
            tried.push(found);
        }
    }
    let (torque_nm, stand) = &tried[best(&tried)];
    let mut misses: Vec<(String, Standing)> = (rows.iter().zip(stand))
        .filter(|(row, s)| row.counts && !s.passes)
        .map(|(row, s)| (row.name.clone(), s.clone()))
        .collect();
    misses.sort_by(|a, b| miss(&b.1).total_cmp(&miss(&a.1)));
    let told: Vec<String> = misses
        .iter()
        .map(|(name, s)| {
            let by = match s.margin_fraction {
                Some(m) if m < 0.0 => format!(", {:.0} % beyond its limit", -100.0 * m),
                _ => String::new(),
            };
            format!("{name} ({}{by})", s.governs)
        })
        .collect();
    Ok(Nearest {
        torque_nm: *torque_nm,
        sentence: format!(
            "Nearest to passing: {torque_nm:.0} N.m, which misses {}.",
            told.join("; ")
        ),
        misses,
    })
}

/// By how much a row is missed, as a part of its limit; what has no measure counts as far off.
fn miss(s: &Standing) -> f64 {
    s.margin_fraction.map_or(10.0, |m| (-m).max(0.0))
}
