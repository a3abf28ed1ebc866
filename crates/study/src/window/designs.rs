//! Which bolt size, bolt circle and number of bolts have a torque window: every combination, coarse first, then the best of
//! them finely. The pole is not followed after its release, unless dents are asked for: the window of a base is
//! `giveway window` itself.
//!
//! Every combination is the scenario with these three values changed, read again: what follows from them (washers, notch, plates
//! that the file does not give) goes with them, and what the scenario's checks refuse - washers that meet, bolts inside the
//! pole or over the edge of the plate - is refused here with the same words.

use giveway_scenario::model::Scenario;
use giveway_scenario::parts::BOLT_SIZES;
use giveway_scenario::{Diagnostic, read};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::case::{CaseFacts, CaseRequest, Criteria, cases, passed_over};
use super::limits::{Limit, LimitKind};
use super::{BRIEF, COARSE, Fineness, TorqueWindow, window_within};
use crate::supports::Supports;

/// Combinations that are computed finely.
const BEST: usize = 6;
/// Most combinations.
const MOST: usize = 400;
/// Circles that are tried unless others are asked for, as parts of the design's.
const CIRCLES: [f64; 4] = [0.85, 1.0, 1.15, 1.3];

/// What is varied; what is empty is taken around the design.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct DesignRequest {
    /// Bolt sizes by name.
    pub sizes: Vec<String>,
    /// Diameters of the bolt circle, m.
    pub circles_m: Vec<f64>,
    /// Numbers of bolts.
    pub bolts: Vec<usize>,
}

/// One combination.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Combination {
    /// Number of bolts.
    pub bolts: usize,
    /// Size of the bolts.
    pub size: String,
    /// Diameter of the bolt circle, m.
    pub circle_m: f64,
    /// Whether it is the scenario's own.
    pub own: bool,
    /// The window, N.m; none: no torque serves, or it was refused.
    pub window_nm: Option<[f64; 2]>,
    /// The torque in the middle of the window, by ratio, N.m.
    pub torque_nm: Option<f64>,
    /// How far both ends are from that torque, as a part of it.
    pub margin_fraction: Option<f64>,
    /// What sets the lower end, with its torque where there is no window.
    pub lower: String,
    /// What sets the upper end.
    pub upper: String,
    /// Whether the ends are fine, to 1 %.
    pub fine: bool,
    /// Why the scenario's checks refuse it.
    pub refused: Option<String>,
}

/// The answer.
#[derive(Debug, Clone, Serialize)]
pub struct DesignAnswer {
    /// Of the scenario.
    pub title: String,
    /// Version of the model.
    pub model_version: u32,
    /// What decides whether an impact is passed.
    pub criteria: Criteria,
    /// The impacts.
    pub cases: Vec<String>,
    /// Combinations: those with a window first, the widest first; then those without; then those refused.
    pub combinations: Vec<Combination>,
    /// What an estimate is worth.
    pub caution: &'static str,
}

/// A scenario as it is read again with changes.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// Its text.
    pub text: &'a str,
    /// Its name.
    pub file: &'a str,
    /// Changes to it.
    pub changes: &'a [(String, String)],
}

impl Source<'_> {
    fn with(&self, c: &Combination) -> Vec<(String, String)> {
        let mut changes = self.changes.to_vec();
        let circle = giveway_units::shortest_number(c.circle_m);
        let own = [
            ("slip_base.bolts", c.bolts.to_string()),
            ("slip_base.bolt.size", format!("\"{}\"", c.size)),
            ("slip_base.bolt_circle", format!("\"{circle} m\"")),
        ];
        changes.retain(|(path, _)| own.iter().all(|(p, _)| p != path));
        changes.extend(own.map(|(path, value)| (path.to_owned(), value)));
        changes
    }
}

/// Tries every combination.
///
/// # Errors
/// What is wrong with the scenario itself, a change that no impact takes over, too many combinations.
pub fn search_designs(
    source: Source<'_>,
    request: &CaseRequest,
    asked: &DesignRequest,
) -> Result<DesignAnswer, DesignProblem> {
    let design = read(source.text, source.file, source.changes)
        .map_err(DesignProblem::Scenario)?
        .scenario;
    let impacts = cases(source.text, source.file, source.changes, request)
        .map_err(DesignProblem::Scenario)?;
    if let Some(problem) = passed_over(source.changes, &design, &impacts) {
        return Err(DesignProblem::PassedOver(problem));
    }
    let list = combinations(&design, asked)?;
    let within = |c: &Combination, fineness: &Fineness| computed(source, request, c, fineness);
    let mut found: Vec<Combination> = (list.par_iter()).map(|c| within(c, &COARSE)).collect();
    rank(&mut found);
    let best = found
        .iter()
        .take(BEST)
        .filter(|c| c.window_nm.is_some())
        .count();
    let finer: Vec<Combination> = (found[..best].par_iter())
        .map(|c| within(c, &BRIEF))
        .collect();
    found.splice(..best, finer);
    // A fine end may lie a few percent away from the coarse one.
    rank(&mut found);
    Ok(DesignAnswer {
        title: design.title,
        model_version: giveway_mechanics::MODEL_VERSION,
        criteria: request.criteria,
        cases: impacts.into_iter().map(|c| c.facts.name).collect(),
        combinations: found,
        caution: giveway_occupant::CAUTION,
    })
}

/// Why nothing was tried.
#[derive(Debug)]
pub enum DesignProblem {
    /// The scenario is wrong.
    Scenario(Vec<Diagnostic>),
    /// A change without effect on the impacts.
    PassedOver(String),
    /// What is asked for.
    Asked(String),
}

/// The widest window first; equal ones in the order in which they were tried.
fn rank(list: &mut [Combination]) {
    let key = |c: &Combination| match (&c.window_nm, &c.refused) {
        (Some([from, to]), _) => to / from,
        (None, None) => 0.0,
        (None, Some(_)) => -1.0,
    };
    list.sort_by(|a, b| key(b).total_cmp(&key(a)));
}

fn combinations(
    design: &Scenario,
    asked: &DesignRequest,
) -> Result<Vec<Combination>, DesignProblem> {
    let base = &design.base;
    let own = |size: &giveway_scenario::parts::BoltSize| {
        (size.diameter_m - base.bolt.diameter_m).abs() < 1e-6
    };
    let sizes: Vec<String> = if asked.sizes.is_empty() {
        let place = BOLT_SIZES.iter().position(own).ok_or_else(|| {
            let mm = 1e3 * base.bolt.diameter_m;
            DesignProblem::Asked(format!(
                "a bolt of {mm:.1} mm is no size by name; say --bolt-size"
            ))
        })?;
        let inch = BOLT_SIZES[place].threads_per_inch.is_some();
        (place.saturating_sub(2)..=place + 2)
            .filter_map(|i| BOLT_SIZES.get(i))
            .filter(|s| s.threads_per_inch.is_some() == inch)
            .map(|s| s.name.to_owned())
            .collect()
    } else {
        asked.sizes.clone()
    };
    if let Some(odd) = sizes
        .iter()
        .find(|name| BOLT_SIZES.iter().all(|s| s.name != name.as_str()))
    {
        let known: Vec<&str> = BOLT_SIZES.iter().map(|s| s.name).collect();
        return Err(DesignProblem::Asked(format!(
            "bolt size {odd}: there are {}",
            known.join(", ")
        )));
    }
    // Whole steps of 5 mm; the own circle stays as it is.
    let rounded = |part: f64| match part {
        1.0 => base.bolt_circle_m,
        part => (200.0 * part * base.bolt_circle_m).round() / 200.0,
    };
    let circles: Vec<f64> = if asked.circles_m.is_empty() {
        CIRCLES.iter().map(|&part| rounded(part)).collect()
    } else {
        asked.circles_m.clone()
    };
    let counts = if asked.bolts.is_empty() {
        vec![3, 4]
    } else {
        asked.bolts.clone()
    };
    let count = sizes.len() * circles.len() * counts.len();
    if count > MOST {
        return Err(DesignProblem::Asked(format!(
            "{count} combinations; at most {MOST} are tried"
        )));
    }
    let mut list = Vec::new();
    for &bolts in &counts {
        for size in &sizes {
            for &circle_m in &circles {
                let same_size = (BOLT_SIZES.iter()).any(|s| s.name == size && own(s));
                list.push(Combination {
                    bolts,
                    size: size.clone(),
                    circle_m,
                    own: same_size
                        && bolts == base.bolt_count
                        && (circle_m - base.bolt_circle_m).abs() < 1e-6,
                    window_nm: None,
                    torque_nm: None,
                    margin_fraction: None,
                    lower: String::new(),
                    upper: String::new(),
                    fine: false,
                    refused: None,
                });
            }
        }
    }
    Ok(list)
}

fn computed(
    source: Source<'_>,
    request: &CaseRequest,
    c: &Combination,
    fineness: &Fineness,
) -> Combination {
    let changes = source.with(c);
    let refused = |reason: String| Combination {
        refused: Some(reason),
        ..c.clone()
    };
    let first = |problems: Vec<Diagnostic>| {
        problems
            .first()
            .map_or_else(String::new, |d| d.message.clone())
    };
    let made = read(source.text, source.file, &changes)
        .map(|loaded| loaded.scenario)
        .and_then(|design| Ok((design, cases(source.text, source.file, &changes, request)?)));
    let (design, mut impacts) = match made {
        Ok(made) => made,
        Err(problems) => return refused(first(problems)),
    };
    if request.criteria != Criteria::Everything {
        for case in &mut impacts {
            case.scenario.flight.pole = false;
        }
    }
    match window_within(&design, &impacts, &Supports::new(), fineness) {
        Ok(window) => told(c, &window, fineness),
        Err(error) => refused(error.to_string()),
    }
}

fn told(c: &Combination, w: &TorqueWindow, fineness: &Fineness) -> Combination {
    let end = |limit: &Limit| {
        let name = governs(limit, &w.cases);
        match (w.window_nm, limit.torque_nm) {
            (Some(_), _) => name,
            (None, Some(t)) => format!("{name} ({t:.0} N.m)"),
            (None, None) => format!("{name} (no torque)"),
        }
    };
    Combination {
        window_nm: w.window_nm,
        torque_nm: w.window_nm.map(|[from, to]| (from * to).sqrt()),
        margin_fraction: w.window_nm.map(|[from, to]| (to / from).sqrt() - 1.0),
        lower: end(&w.lower),
        upper: w
            .upper
            .as_ref()
            .map_or("yield of the bolts".to_owned(), end),
        fine: fineness == &BRIEF,
        ..c.clone()
    }
}

/// What a limit is called in short.
fn governs(limit: &Limit, cases: &[CaseFacts]) -> String {
    match limit.kind {
        LimitKind::Wind { grade, .. } => giveway_results::grades::wind_name(grade).to_owned(),
        LimitKind::Proof => "proof load".to_owned(),
        LimitKind::WasherBending => "washer bending".to_owned(),
        LimitKind::Impact { case } => cases
            .get(case)
            .map_or_else(String::new, |facts| facts.name.clone()),
    }
}
