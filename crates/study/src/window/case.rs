//! The impacts that a window must pass: each vehicle, speed and approach asked for.

use giveway_impact::ImpactError;
use giveway_impact::outcome::Ending;
use giveway_occupant::Outcome;
use giveway_results::summary::Status;
use giveway_scenario::model::{CriteriaSet, Scenario};
use giveway_scenario::{Diagnostic, read};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::search::Trial;
use crate::error::StudyError;
use crate::governing::{GoverningTest, governing, with_vehicle};
use crate::numbers::Numbers;
use crate::pass::numbers;
use crate::supports::Supports;

/// One impact that the base must pass.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpactCase {
    /// What it is.
    pub facts: CaseFacts,
    /// The scenario; its torque is what the window varies.
    pub scenario: Scenario,
}

/// What an impact is, in words and numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CaseFacts {
    /// Name, for example `3-60 low speed, heading 20 degrees`.
    pub name: String,
    /// Vehicle class.
    pub vehicle_class: String,
    /// Mass of the vehicle, kg.
    pub vehicle_mass_kg: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Direction of travel, rad.
    pub heading_rad: f64,
}

impl ImpactCase {
    /// A scenario as it is.
    pub fn new(name: String, scenario: Scenario) -> Self {
        Self {
            facts: CaseFacts {
                name,
                vehicle_class: scenario.vehicle.class.clone(),
                vehicle_mass_kg: scenario.vehicle.mass_kg,
                speed_mps: scenario.impact.speed_mps,
                heading_rad: scenario.impact.velocity_direction_rad,
            },
            scenario,
        }
    }
}

/// Which impacts a window must pass. What is empty is taken from the governing document.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaseRequest {
    /// Vehicle classes of the scenario grammar; empty: those of the document's tests.
    pub classes: Vec<String>,
    /// Speeds, m/s; empty: the low and the high speed of the document's tests.
    pub speeds_mps: Vec<f64>,
    /// Directions of travel, rad; empty: that of the scenario.
    pub headings_rad: Vec<f64>,
}

/// The impacts of a scenario text. The vehicle of a class comes with all its values; what the file says of its own
/// vehicle beyond the class stays where the class is the file's own.
///
/// # Errors
/// What is wrong with the scenario, an unknown class.
pub fn cases(
    text: &str,
    file: &str,
    overrides: &[(String, String)],
    request: &CaseRequest,
) -> Result<Vec<ImpactCase>, Vec<Diagnostic>> {
    let own = read(text, file, overrides)?.scenario;
    let set = own.criteria.sets.first().copied();
    let tests = set.map(|set| governing(set, own.impact.speed_mps));
    let headings = match request.headings_rad.as_slice() {
        [] => vec![own.impact.velocity_direction_rad],
        given => given.to_vec(),
    };
    let mut found = Vec::new();
    for (class, test) in vehicles_and_tests(&own, tests.as_ref(), request) {
        for &heading in &headings {
            let mut s = with_vehicle(text, file, overrides, &own.vehicle.class, &class, heading)?;
            test.apply(&mut s);
            let mut name = test.name.clone();
            if !request.classes.is_empty() || !request.speeds_mps.is_empty() {
                name = format!("{class} at {:.0} km/h", test.speed_kmph);
                // Not in the centre of the front like every other stated speed: said.
                if test.quarter {
                    name.push_str(", quarter point");
                }
            }
            if headings.len() > 1 {
                name = format!("{name}, travelling {:.0} degrees", heading.to_degrees());
            }
            found.push(ImpactCase::new(name, s));
        }
    }
    Ok(found)
}

/// Class and test of every combination asked for.
fn vehicles_and_tests(
    own: &Scenario,
    tests: Option<&[GoverningTest; 2]>,
    request: &CaseRequest,
) -> Vec<(String, GoverningTest)> {
    let kmph = |mps: f64| mps * 3.6;
    let base = |speed_kmph: f64, class: &str| -> GoverningTest {
        // A stated speed is a test in the centre of the front unless it is the document's fast one.
        let like = tests.and_then(|t| t.iter().find(|t| (t.speed_kmph - speed_kmph).abs() < 0.5));
        GoverningTest {
            name: like.map_or_else(|| format!("{speed_kmph:.0} km/h"), |t| t.name.clone()),
            document: tests.map_or("no document", |t| t[0].document),
            class: giveway_scenario::classes::class(class).map_or("", |c| c.name),
            speed_kmph,
            quarter: like.is_some_and(|t| t.quarter),
        }
    };
    let speeds: Vec<f64> = match (request.speeds_mps.as_slice(), tests) {
        ([], Some(t)) => t.iter().map(|t| t.speed_kmph).collect(),
        ([], None) => vec![kmph(own.impact.speed_mps)],
        (given, _) => given.iter().map(|&v| kmph(v)).collect(),
    };
    let classes: Vec<String> = match (request.classes.as_slice(), tests) {
        ([], Some(t)) => vec![t[0].class.to_owned()],
        ([], None) => vec![own.vehicle.class.clone()],
        (given, _) => given.to_vec(),
    };
    classes
        .iter()
        .flat_map(|class| {
            speeds
                .iter()
                .map(|&speed| (class.clone(), base(speed, class)))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// One torque in one impact; `scenario` is the impact at that torque.
pub(super) fn trial(
    scenario: Result<Scenario, StudyError>,
    supports: &Supports,
    torque_nm: f64,
) -> Trial {
    let outcome = scenario.and_then(|s| {
        let judged_by = s.criteria.sets.first().copied();
        let prepared = supports.prepare(&s)?;
        Ok((numbers(&prepared)?, judged_by))
    });
    match outcome {
        Ok((numbers, judged_by)) => judged(torque_nm, &numbers, judged_by),
        Err(error) => Trial {
            torque_nm,
            passes: false,
            ending: None,
            velocity_change_mps: None,
            closest_check: None,
            closest_title: None,
            margin_fraction: None,
            reason: Some(match error {
                StudyError::Impact(ImpactError::CannotStand(_)) => {
                    "the clamp cannot carry the dead load".to_owned()
                }
                error => error.to_string(),
            }),
        },
    }
}

/// Whether the numbers pass: by the governing document, or by release alone where the scenario names none.
fn judged(torque_nm: f64, numbers: &Numbers, judged_by: Option<CriteriaSet>) -> Trial {
    let verdict = numbers.verdicts.first();
    let whole = numbers.status == Status::Complete;
    let (passes, reason) = match (whole, numbers.ending, judged_by) {
        (false, ..) => (false, Some("the run does not close its books".to_owned())),
        (_, Ending::NoContact, _) => (false, Some("the vehicle misses the pole".to_owned())),
        (_, ending, None) => (ending == Ending::Released, None),
        (..) => match numbers.outcome() {
            Outcome::Pass | Outcome::Marginal => (true, None),
            Outcome::Fail => (false, None),
            Outcome::NotEvaluated => (false, verdict.map(|v| v.sentence.clone())),
        },
    };
    Trial {
        torque_nm,
        passes,
        ending: Some(numbers.ending),
        velocity_change_mps: numbers.velocity_change_mps(),
        closest_check: verdict.and_then(|v| v.closest_check.clone()),
        closest_title: verdict.and_then(|v| v.closest_title.clone()),
        margin_fraction: verdict.and_then(|v| v.margin_fraction),
        reason,
    }
}
