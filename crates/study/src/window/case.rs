//! The impacts that a window must pass: each vehicle, speed and approach asked for.

use std::cell::RefCell;

use giveway_impact::outcome::Ending;
use giveway_impact::{ImpactError, Workspace};
use giveway_occupant::limits::document;
use giveway_occupant::{Check, Outcome};
use giveway_results::Summary;
use giveway_results::summary::Status;
use giveway_scenario::model::{CriteriaSet, Scenario};
use giveway_scenario::{Diagnostic, read};
use giveway_units::Dimension;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::search::Trial;
use crate::error::StudyError;
use crate::governing::{GoverningTest, governing, with_vehicle};
use crate::numbers::MOTION;
use crate::pass::point;
use crate::supports::Supports;

/// Which checks decide whether an impact is passed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Criteria {
    /// Every check of the blow; dents of roof and windscreen are remarks.
    #[default]
    Blow,
    /// The base lets go, and the velocity change or impact velocity of the document is within its limit.
    Velocity,
    /// The blow, and the dents.
    Everything,
}

impl Criteria {
    /// Every one, as written.
    pub const NAMES: [(&'static str, Self); 3] = [
        ("blow", Self::Blow),
        ("velocity", Self::Velocity),
        ("everything", Self::Everything),
    ];

    /// What is judged.
    pub fn words(self) -> &'static str {
        match self {
            Self::Blow => "every check of the blow; dents are remarks",
            Self::Velocity => "release and velocity alone; all else is a remark",
            Self::Everything => "every check of the blow, and the dents",
        }
    }

    /// Whether a check decides.
    fn counts(self, check: &Check) -> bool {
        match self {
            Self::Blow => check.dent().is_none(),
            Self::Velocity => {
                check.key.starts_with("oiv_") || check.key.starts_with("velocity_change_")
            }
            Self::Everything => true,
        }
    }
}

/// One impact that the base must pass.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpactCase {
    /// What it is.
    pub facts: CaseFacts,
    /// The scenario; its torque is what the window varies.
    pub scenario: Scenario,
    /// What decides.
    pub criteria: Criteria,
}

/// What an impact is, in words and numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CaseFacts {
    /// Name, for example `3-60 low speed, centre, travelling 20 degrees`.
    pub name: String,
    /// Vehicle class.
    pub vehicle_class: String,
    /// Mass of the vehicle, kg.
    pub vehicle_mass_kg: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Direction of travel, rad.
    pub heading_rad: f64,
    /// Where the pole meets the front, to the left of its centre, m.
    pub offset_m: f64,
    /// The document that judges it, with its edition; none where release alone does.
    pub document: Option<String>,
}

impl ImpactCase {
    /// A scenario as it is, judged by the blow.
    pub fn new(name: String, scenario: Scenario) -> Self {
        let set = scenario.criteria.sets.first();
        Self {
            facts: CaseFacts {
                name,
                vehicle_class: scenario.vehicle.class.clone(),
                vehicle_mass_kg: scenario.vehicle.mass_kg,
                speed_mps: scenario.impact.speed_mps,
                heading_rad: scenario.impact.velocity_direction_rad,
                offset_m: scenario.impact.offset_m,
                document: set.map(|&set| document(set).title.to_owned()),
            },
            scenario,
            criteria: Criteria::Blow,
        }
    }
}

/// Where the pole meets the front.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// A part of the width to the left of the centre, as written.
    Part(f64, String),
    /// So far to the left of the centre, m.
    At(f64),
}

/// Places by name, as parts of the width to the left of the centre.
const PLACES: [(&str, f64); 5] = [
    ("centre", 0.0),
    ("quarter-left", 0.25),
    ("quarter-right", -0.25),
    ("corner-left", 0.45),
    ("corner-right", -0.45),
];

impl Place {
    fn offset_m(&self, width_m: f64) -> f64 {
        match self {
            Self::Part(part, _) => part * width_m,
            Self::At(offset) => *offset,
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Part(_, name) => name.clone(),
            Self::At(m) => format!(
                "{:.0} mm {} of the centre",
                1e3 * m.abs(),
                if *m < 0.0 { "right" } else { "left" }
            ),
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
    /// Places on the front; empty: those of the document's tests.
    pub places: Vec<Place>,
    /// Documents, each with tests and limits of its own; empty: the first of the scenario.
    pub documents: Vec<CriteriaSet>,
    /// What decides.
    pub criteria: Criteria,
}

/// A request in words, as at the command line.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CaseWords {
    /// Vehicle classes.
    pub vehicles: Vec<String>,
    /// Speeds with their unit.
    pub speeds: Vec<String>,
    /// Directions of travel with their unit.
    pub headings: Vec<String>,
    /// Places on the front: a length to the left with its unit, or the name of a place.
    pub offsets: Vec<String>,
    /// Documents by the names of the scenario file.
    pub documents: Vec<String>,
    /// `blow`, `velocity` or `everything`.
    pub criteria: Option<String>,
}

impl CaseWords {
    /// The request.
    ///
    /// # Errors
    /// What is wrong, after the name of the option.
    pub fn read(&self) -> Result<CaseRequest, String> {
        let quantity = |option: &str, text: &str, dimension| {
            giveway_units::parse(text, dimension)
                .map(|q| q.si)
                .map_err(|e| format!("{option} {text}: error: {e}"))
        };
        let speed = |text: &String| {
            let v = quantity("speed", text, Dimension::Speed)?;
            if v > 0.0 && v.is_finite() {
                Ok(v)
            } else {
                Err(format!("speed {text}: error: a speed must be above zero"))
            }
        };
        let place = |text: &String| match PLACES.iter().find(|(name, _)| name == text) {
            Some((name, part)) => Ok(Place::Part(*part, (*name).to_owned())),
            None => quantity("offset", text, Dimension::Length)
                .map(Place::At)
                .map_err(|e| {
                    let names = PLACES.map(|p| p.0).join(", ");
                    format!("{e}; or one of {names}")
                }),
        };
        let set = |text: &String| {
            let mut all = CriteriaSet::ALL.iter().copied();
            all.find(|set| set.name() == text).ok_or_else(|| {
                let names: Vec<&str> = CriteriaSet::ALL.iter().map(|s| s.name()).collect();
                let names = names.join(", ");
                format!("document {text}: error: it may be one of {names}")
            })
        };
        let criteria = match &self.criteria {
            None => Criteria::default(),
            Some(text) => {
                let named = Criteria::NAMES.iter().find(|(name, _)| name == text);
                let names = Criteria::NAMES.map(|c| c.0).join(", ");
                named
                    .map(|c| c.1)
                    .ok_or_else(|| format!("criteria {text}: error: it may be one of {names}"))?
            }
        };
        Ok(CaseRequest {
            classes: self.vehicles.clone(),
            speeds_mps: self.speeds.iter().map(speed).collect::<Result<_, _>>()?,
            headings_rad: (self.headings.iter())
                .map(|text| quantity("heading", text, Dimension::Angle))
                .collect::<Result<_, _>>()?,
            places: self.offsets.iter().map(place).collect::<Result<_, _>>()?,
            documents: self.documents.iter().map(set).collect::<Result<_, _>>()?,
            criteria,
        })
    }
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
    let sets: Vec<Option<CriteriaSet>> = if request.documents.is_empty() {
        vec![own.criteria.sets.first().copied()]
    } else {
        request.documents.iter().copied().map(Some).collect()
    };
    let headings = match request.headings_rad.as_slice() {
        [] => vec![own.impact.velocity_direction_rad],
        given => given.to_vec(),
    };
    let mut found = Vec::new();
    for set in &sets {
        let tests = set.map(|set| governing(set, own.impact.speed_mps));
        for (class, test) in vehicles_and_tests(&own, tests.as_ref(), request) {
            let of_the_test = if test.quarter {
                Place::Part(0.25, "quarter point".to_owned())
            } else {
                Place::Part(0.0, "centre".to_owned())
            };
            let places = match request.places.as_slice() {
                [] => std::slice::from_ref(&of_the_test),
                given => given,
            };
            for place in places {
                for &heading in &headings {
                    let own_class = &own.vehicle.class;
                    let mut s = with_vehicle(text, file, overrides, own_class, &class, heading)?;
                    test.apply(&mut s);
                    s.impact.offset_m = place.offset_m(s.vehicle.width_m);
                    if !request.documents.is_empty() {
                        s.criteria.sets = set.iter().copied().collect();
                    }
                    let mut name = test.name.clone();
                    if !request.classes.is_empty() || !request.speeds_mps.is_empty() {
                        name = format!("{class} at {:.0} km/h", test.speed_kmph);
                    }
                    name = format!("{name}, {}", place.words());
                    if headings.len() > 1 {
                        let degrees = heading.to_degrees();
                        name = format!("{name}, travelling {degrees:.0} degrees");
                    }
                    if let (Some(set), true) = (set, sets.len() > 1) {
                        name = format!("{name}, {}", set.name());
                    }
                    let mut case = ImpactCase::new(name, s);
                    case.criteria = request.criteria;
                    found.push(case);
                }
            }
        }
    }
    Ok(found)
}

/// Why a change that was asked for has no effect on the impacts, which bring values of their own: nothing that is asked is
/// passed over. None where every change counts.
pub fn passed_over(
    changes: &[(String, String)],
    design: &Scenario,
    list: &[ImpactCase],
) -> Option<String> {
    let wanted = &design.impact;
    let near = |a: f64, b: f64| (a - b).abs() <= 1.0e-6;
    changes.iter().find_map(|(path, _)| {
        let advice = match path.as_str() {
            "impact.offset" => (list.iter())
                .any(|c| !near(c.scenario.impact.offset_m, wanted.offset_m))
                .then_some(
                    "each impact of a window has a place on the front of its own; say --offset",
                ),
            "impact.speed" => (list.iter())
                .all(|c| !near(c.scenario.impact.speed_mps, wanted.speed_mps))
                .then_some("no impact of the window has this speed; say --speed"),
            "impact.velocity_direction" | "impact.heading" => (list.iter())
                .all(|c| {
                    let own = &c.scenario.impact;
                    !near(own.velocity_direction_rad, wanted.velocity_direction_rad)
                        || !near(own.heading_rad, wanted.heading_rad)
                })
                .then_some("no impact of the window travels and points that way; say --heading"),
            path if path.starts_with("impact.") => (list.iter())
                .any(|c| {
                    let own = &c.scenario.impact;
                    own.face != wanted.face || !near(own.braking, wanted.braking)
                })
                .then_some("the impacts of a window do not take it over; write it into the file"),
            path if path.starts_with("vehicle.") => (list.iter())
                .all(|c| c.scenario.vehicle.class != design.vehicle.class)
                .then_some("no impact of the window has this vehicle; say --vehicle"),
            _ => None,
        };
        advice.map(|advice| format!("--set {path}: error: {advice}"))
    })
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
            class: giveway_scenario::classes::class(class).map_or("", |c| &c.name),
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

thread_local! {
    /// Memory of each thread for its runs, one after the other.
    static MEMORY: RefCell<Workspace> = RefCell::new(Workspace::new());
}

/// One torque in one impact; `scenario` is the impact at that torque.
pub(super) fn trial(
    scenario: Result<Scenario, StudyError>,
    criteria: Criteria,
    supports: &Supports,
    torque_nm: f64,
) -> Trial {
    let outcome = scenario.and_then(|s| {
        let judged_by = s.criteria.sets.first().copied();
        let prepared = supports.prepare(&s)?;
        let summary = MEMORY.with_borrow_mut(|memory| point(&prepared, memory, false))?;
        Ok(judged(torque_nm, &summary, judged_by, criteria))
    });
    outcome.unwrap_or_else(|error| {
        let reason = match error {
            StudyError::Impact(ImpactError::CannotStand(_)) => {
                "the clamp cannot carry the dead load".to_owned()
            }
            error => error.to_string(),
        };
        Trial {
            reason: Some(reason),
            ..Trial::nothing_known(torque_nm)
        }
    })
}

/// Whether a run passes: by the governing document, or by release alone where the scenario names none.
fn judged(
    torque_nm: f64,
    summary: &Summary,
    judged_by: Option<CriteriaSet>,
    criteria: Criteria,
) -> Trial {
    let verdict = summary.verdicts.first();
    let whole = summary.status == Status::Complete;
    let of_checks = |checks: &[&Check]| {
        let known = checks.iter().any(|c| c.outcome != Outcome::NotEvaluated);
        known && checks.iter().all(|c| c.outcome != Outcome::Fail)
    };
    let counting: Vec<&Check> = verdict.map_or_else(Vec::new, |v| {
        v.checks.iter().filter(|c| criteria.counts(c)).collect()
    });
    let (passes, reason) = match (whole, summary.ending, verdict) {
        (false, ..) => (false, Some("the run does not close its books".to_owned())),
        (_, Ending::NoContact, _) => (false, Some("the vehicle misses the pole".to_owned())),
        (_, ending, Some(_)) if judged_by.is_some() && criteria == Criteria::Velocity => {
            (ending == Ending::Released && of_checks(&counting), None)
        }
        (_, _, Some(v)) if judged_by.is_some() => match v.blow().outcome() {
            Outcome::Pass | Outcome::Marginal => {
                let dents = v.dents();
                let dented = dents.iter().any(|d| d.outcome == Outcome::Fail);
                (criteria != Criteria::Everything || !dented, None)
            }
            Outcome::Fail => (false, None),
            Outcome::NotEvaluated => (false, Some(v.sentence.clone())),
        },
        (_, ending, _) => (ending == Ending::Released, None),
    };
    // Of a torque that fails a check that fails; of one that passes a check that the torque moves, which height and mass of
    // the support are not. An estimate of a dent may lie beyond its limit and pass.
    let fails = counting.iter().any(|c| c.outcome == Outcome::Fail);
    let moves = |c: &Check| c.dent().is_some() || MOTION.iter().any(|key| c.key.starts_with(key));
    let closest = (counting.iter())
        .filter(|c| {
            if fails {
                c.outcome == Outcome::Fail
            } else {
                moves(c)
            }
        })
        .filter_map(|c| c.margin_fraction.map(|m| (c, m)))
        .filter(|(_, m)| fails || *m >= 0.0)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|_| reason.is_none());
    Trial {
        passes,
        ending: Some(summary.ending),
        velocity_change_mps: velocity_change_mps(summary),
        closest_check: closest.map(|c| c.0.key.clone()),
        closest_title: closest.map(|c| c.0.title.clone()),
        closest_value: closest.and_then(|c| c.0.value),
        closest_limit: closest.and_then(|c| c.0.limit_max),
        closest_unit: closest.map(|c| c.0.unit.clone()),
        margin_fraction: closest.map(|c| c.1),
        dents: ["roof", "windscreen"].map(|part| {
            let mut dents = verdict?.dents().into_iter();
            dents.find(|d| d.part == part).map(|d| d.outcome)
        }),
        reason,
        ..Trial::nothing_known(torque_nm)
    }
}

fn velocity_change_mps(summary: &Summary) -> Option<f64> {
    let change = &summary.velocity_change;
    let value = change
        .at_contact_end_mps
        .unwrap_or(change.at_engagement_end_mps);
    value.is_finite().then_some(value)
}
