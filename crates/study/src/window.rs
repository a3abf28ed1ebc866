//! The torque window: the least torque at which the base stands in the yearly wind (service) and in the design gust (strength),
//! the largest at which it lets go in every impact asked for, and what lies between. The 700-year wind (survival) is told and
//! moves nothing.
//!
//! ```text
//! window = [max(service, strength), min(proof, washer bending)]  and, for every impact, a torque that passes it
//! ```
//!
//! "No window" is a result. Then each of a short list of changes to the design is tried by the same computation, and the
//! list says which of them would open one.

mod case;
mod confidence;
mod designs;
mod fragility;
mod limits;
mod opening;
mod scatter;
mod search;
mod table;

pub use case::{
    CaseFacts, CaseRequest, CaseWords, Criteria, ImpactCase, Place, cases, passed_over,
};
pub use confidence::{Confidence, ConfidentWindow, Estimate, confident_window};
pub use designs::{
    Combination, DesignAnswer, DesignProblem, DesignRequest, Source, search_designs,
};
pub use fragility::{Fragility, FragilityPoint, FragilityRequest, curve_torques, fragility};
pub use limits::{Limit, LimitKind, with_torque};
pub use opening::{Opening, openings};
pub use scatter::{Realisation, Scatter};
pub use search::{Edge, How, PassingRange, Searched, Stretch, Trial};
pub use table::{End, Nearest, Pass, Reason, Row, RowKind, Standing, nearest_torque, table};

use giveway_mechanics::retention::Grade;
use giveway_scenario::model::{Anchorage, Scenario};
use limits::WindLimits;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::StudyError;
use crate::supports::Supports;
use search::{Search, search};

/// How finely a window is searched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fineness {
    /// Torques of the scan of one impact.
    points: usize,
    /// Largest ratio minus one of the torques on both sides of a limit of the wind.
    wind: f64,
    /// Largest ratio minus one of the two torques at the edge of what passes.
    edge: f64,
    /// Whether the wind is asked for the window's lower end alone.
    brief: bool,
}

/// Least torque that is tried, as a part of the bolts' yield torque.
const LEAST_SHARE: f64 = 0.01;
/// As a window is told.
const FINE: Fineness = Fineness {
    points: 20,
    wind: 1e-4,
    edge: 0.01,
    brief: false,
};
/// As many designs are compared first.
const COARSE: Fineness = Fineness {
    points: 10,
    wind: 0.02,
    edge: 0.05,
    brief: true,
};
/// As the best of them are compared.
const BRIEF: Fineness = Fineness {
    wind: 2e-3,
    brief: true,
    ..FINE
};
/// Largest ratio minus one of the two torques at the edge of what passes.
const ACCURACY: f64 = FINE.edge;

/// The window of one base.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TorqueWindow {
    /// Least and largest torque, N.m; none: there is no window.
    pub window_nm: Option<[f64; 2]>,
    /// Torque of the scenario, N.m; none where it gives a preload.
    pub torque_nm: Option<f64>,
    /// Whether that torque lies in the window.
    pub torque_is_inside: Option<bool>,
    /// The limit that sets the lower end.
    pub lower: Limit,
    /// The limit that sets the upper end; none where nothing does up to the bolts' yield load.
    pub upper: Option<Limit>,
    /// Every limit: those of the wind (service, strength, and where the wind limits from above), those of the parts, those of
    /// the impacts in their order.
    pub limits: Vec<Limit>,
    /// The torque from which the base does not come apart in the 700-year wind: told, and it moves no end of the window.
    pub survival: Limit,
    /// The impacts in their order.
    pub cases: Vec<CaseFacts>,
    /// What the search of each impact found.
    pub searched: Vec<Searched>,
    /// Torques that were searched, N.m; the upper one takes the bolts to their yield load.
    pub from_to_nm: [f64; 2],
    /// One sentence.
    pub sentence: String,
    /// Runs of an impact in all.
    pub runs: usize,
}

/// Computes the window of a design under the impacts of the list, which are the same design under other vehicles.
///
/// # Errors
/// A fixed obstacle, no impact, a design that cannot be made ready.
pub fn torque_window(
    design: &Scenario,
    cases: &[ImpactCase],
    supports: &Supports,
) -> Result<TorqueWindow, StudyError> {
    window_within(design, cases, supports, &FINE)
}

/// The same, as finely as asked.
fn window_within(
    design: &Scenario,
    cases: &[ImpactCase],
    supports: &Supports,
    fineness: &Fineness,
) -> Result<TorqueWindow, StudyError> {
    if design.base.anchorage == Anchorage::Fixed {
        return Err(StudyError::Window(
            "a fixed obstacle has no bolts to tighten".into(),
        ));
    }
    if cases.is_empty() {
        return Err(StudyError::Window("no impact to pass".into()));
    }
    let most_nm = limits::yield_torque(design)?;
    let from_nm = LEAST_SHARE * most_nm;
    let tightened = |torque| with_torque(design, torque);
    let whole = [from_nm, most_nm];
    let wind = if fineness.brief {
        limits::of_the_wind_briefly(&tightened, supports, whole, fineness.wind)?
    } else {
        limits::of_the_wind(Grade::ALL, &tightened, supports, whole, fineness.wind)?
    };
    let parts = limits::of_the_parts(design)?;
    // One solution of every support first, so that no two threads solve the same.
    for case in cases {
        supports.prepare(&case.scenario)?;
    }
    let within = |range: [f64; 2]| -> Vec<Searched> {
        let range = scan(range, whole, fineness);
        cases
            .par_iter()
            .map(|c| search(&range, |t| struck(c, t, supports)))
            .collect()
    };
    let together = |searched| combined(design, cases, wind.clone(), parts.clone(), searched, whole);
    if fineness.brief {
        // Nothing outside the limits of wind and parts can be in the window.
        let bear = (parts.iter().filter_map(|l| l.torque_nm)).fold(most_nm, f64::min);
        let asks = (wind.iter().filter_map(|w| w.from.torque_nm)).fold(from_nm, f64::max);
        let found = together(within([asks.min(bear / 1.02), bear]));
        if found.window_nm.is_some() || found.searched.iter().all(|s| !s.ranges.is_empty()) {
            return Ok(found);
        }
    }
    Ok(together(within(whole)))
}

/// The scan of an impact between two torques, N.m, with the steps that the fineness has between those of the whole.
fn scan([from_nm, to_nm]: [f64; 2], whole: [f64; 2], fineness: &Fineness) -> Search {
    let share = libm::log(to_nm / from_nm) / libm::log(whole[1] / whole[0]);
    let steps = libm::ceil(share * (fineness.points - 1) as f64 - 1e-9);
    Search {
        from_nm,
        to_nm,
        points: steps.max(1.0) as usize + 1,
        accuracy: fineness.edge,
    }
}

/// An impact at a torque.
fn struck(case: &ImpactCase, torque_nm: f64, supports: &Supports) -> Trial {
    let scenario = with_torque(&case.scenario, torque_nm);
    case::trial(scenario, case.criteria, supports, torque_nm)
}

/// Puts the limits together.
fn combined(
    design: &Scenario,
    cases: &[ImpactCase],
    wind: [WindLimits; 3],
    parts: [Limit; 2],
    searched: Vec<Searched>,
    from_to_nm: [f64; 2],
) -> TorqueWindow {
    let [_, most_nm] = from_to_nm;
    let [service, strength, survival] = wind;
    let of_wind = greater(&service.from, &strength.from).clone();
    let parts: Vec<Limit> = [service.upto, strength.upto]
        .into_iter()
        .flatten()
        .chain(parts)
        .collect();
    let most_of_parts = parts
        .iter()
        .filter_map(|l| l.torque_nm)
        .fold(most_nm, f64::min);
    let allowed = of_wind
        .torque_nm
        .map_or_else(Vec::new, |from| common(from, most_of_parts, &searched));
    // The widest in ratio; of equal ones the lowest.
    let window_nm = allowed
        .into_iter()
        .fold(None, |best: Option<[f64; 2]>, next| match best {
            Some(b) if b[1] / b[0] >= next[1] / next[0] => Some(b),
            _ => Some(next),
        });
    // Without a window the limits are told nearest to the torque that the wind asks for.
    let near = window_nm.map_or(of_wind.torque_nm.unwrap_or(most_nm), |w| w[0]);
    let chosen: Vec<Option<&PassingRange>> =
        searched.iter().map(|s| nearest(&s.ranges, near)).collect();
    let impacts: Vec<Limit> = chosen
        .iter()
        .enumerate()
        .map(|(i, range)| impact_limit(i, &cases[i].facts.name, *range, &searched[i]))
        .collect();
    let upper = parts
        .iter()
        .chain(&impacts)
        .filter(|l| l.torque_nm.is_none_or(|t| t < most_nm))
        .min_by(|a, b| order(a).total_cmp(&order(b)))
        .cloned();
    let lower = chosen
        .iter()
        .enumerate()
        .filter_map(|(i, range)| lower_edge_limit(i, &cases[i].facts.name, (*range)?))
        .filter(|_| window_nm.is_some())
        .fold(of_wind.clone(), |a, b| greater(&a, &b).clone());
    let torque_nm = design.base.torque_nm;
    let mut window = TorqueWindow {
        torque_is_inside: torque_nm
            .map(|t| window_nm.is_some_and(|[from, to]| from <= t && t <= to)),
        window_nm,
        torque_nm,
        lower,
        upper,
        runs: searched.iter().map(|s| s.runs).sum(),
        limits: [service.from, strength.from]
            .into_iter()
            .chain(parts)
            .chain(impacts)
            .collect(),
        survival: survival.from,
        cases: cases.iter().map(|c| c.facts.clone()).collect(),
        searched,
        from_to_nm,
        sentence: String::new(),
    };
    window.sentence = sentence(&window);
    window
}

/// The torques from `from` to `to` that pass every impact, as rising ranges.
fn common(from: f64, to: f64, searched: &[Searched]) -> Vec<[f64; 2]> {
    let mut allowed = vec![[from, to]];
    for found in searched {
        allowed = allowed
            .iter()
            .flat_map(|a| {
                found
                    .ranges
                    .iter()
                    .map(move |r| [a[0].max(r.from_nm), a[1].min(r.to_nm)])
            })
            .filter(|r| r[0] <= r[1])
            .collect();
    }
    allowed.retain(|r| r[0] <= r[1]);
    allowed
}

/// Order of upper limits: one that no torque satisfies comes first.
fn order(limit: &Limit) -> f64 {
    limit.torque_nm.unwrap_or(0.0)
}

/// The lower limit that asks for more; one that no torque satisfies asks for most.
fn greater<'a>(a: &'a Limit, b: &'a Limit) -> &'a Limit {
    let asks = |l: &Limit| l.torque_nm.unwrap_or(f64::INFINITY);
    if asks(b) > asks(a) { b } else { a }
}

/// The range that holds a torque, else the one nearest to it in ratio.
fn nearest(ranges: &[PassingRange], torque_nm: f64) -> Option<&PassingRange> {
    let away = |r: &PassingRange| (r.from_nm / torque_nm).max(torque_nm / r.to_nm).max(1.0);
    ranges.iter().min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// The largest torque of the range that passes an impact.
fn impact_limit(case: usize, name: &str, range: Option<&PassingRange>, found: &Searched) -> Limit {
    let (torque_nm, sentence) = match range {
        Some(PassingRange {
            to_nm,
            upper_edge: Some(edge),
            ..
        }) => (
            Some(*to_nm),
            format!(
                "Above {to_nm:.0} N.m {name} fails: {}.",
                how_it_fails(&edge.failing)
            ),
        ),
        Some(range) => (
            Some(range.to_nm),
            format!("{name} passes up to the bolts' yield load."),
        ),
        None => {
            let reasons: Vec<String> = table::reasons(found).iter().map(Reason::said).collect();
            let why = reasons.join("; ");
            (None, format!("{name} passes at no torque: {why}."))
        }
    };
    Limit {
        kind: LimitKind::Impact { case },
        torque_nm,
        sentence,
    }
}

/// The least torque of a range, where an impact fails below it.
fn lower_edge_limit(case: usize, name: &str, range: &PassingRange) -> Option<Limit> {
    let edge = range.lower_edge.as_ref()?;
    Some(Limit {
        kind: LimitKind::Impact { case },
        torque_nm: Some(range.from_nm),
        sentence: format!(
            "Below {:.0} N.m {name} fails: {}.",
            range.from_nm,
            how_it_fails(&edge.failing)
        ),
    })
}

fn how_it_fails(trial: &Trial) -> String {
    if let Some(reason) = &trial.reason {
        return reason.trim_end_matches('.').to_owned();
    }
    let speed = trial
        .velocity_change_mps
        .map_or_else(String::new, |v| format!(", velocity change {v:.1} m/s"));
    match (trial.how(), &trial.closest_title) {
        (How::Holds, _) => format!("the base holds{speed}"),
        (_, Some(check)) => format!(
            "the base lets go, {} is beyond its limit{speed}",
            lower_first(check)
        ),
        (_, None) => format!("the pole is not released{speed}"),
    }
}

/// A title within a sentence.
fn lower_first(title: &str) -> String {
    let mut letters = title.chars();
    let first = letters.next().map(|c| c.to_ascii_lowercase());
    // An abbreviation keeps its capitals.
    if letters.clone().next().is_some_and(char::is_uppercase) {
        return title.to_owned();
    }
    first.into_iter().chain(letters).collect()
}

fn sentence(window: &TorqueWindow) -> String {
    let upper = window
        .upper
        .as_ref()
        .map_or("nothing fails up to the bolts' yield load.", |l| {
            &l.sentence
        });
    match window.window_nm {
        Some([from, to]) => format!(
            "Tighten to between {from:.0} and {to:.0} N.m. {} {upper}",
            window.lower.sentence
        ),
        None => format!("No torque serves. {} {upper}", window.lower.sentence),
    }
}
