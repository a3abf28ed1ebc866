//! Go, no-go or cannot tell, by a stated rule, from items and runs. Nothing is computed here.

use giveway_occupant::Blow;
use giveway_units::shown;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::judging::ItemResult;
use crate::pole_type::TestNumbers;
use crate::requirements::{Verdict, Weight};

/// The rule, said with every decision.
pub const RULE: &str = "No-go: a governing test fails as found, or an essential requirement fails, or a nut of an anchor bar or a \
screw of the arm is loose, or the clamped base does not stand in the wind as found although it would as designed. Cannot tell: none of these, but a governing test \
could not be judged, or an essential item was not measured and its worst plausible value would fail a governing test or \
has no computed effect. Go: otherwise.";

/// What lets a pole or its arm come down without any vehicle: item, and what was found.
const FALLS: [(&str, &str); 2] = [("anchor_nuts", "loose"), ("arm_screws", "loose")];

/// Whether the base is accepted as it stands.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// It is not.
    NoGo,
    /// Something that decides was not measured.
    CannotTell,
    /// It is.
    Go,
}

impl Decision {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NoGo => "no-go",
            Self::CannotTell => "cannot tell",
            Self::Go => "go",
        }
    }
}

/// One governing test: as found and as designed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TestResult {
    /// Name.
    pub name: String,
    /// Document and edition.
    pub document: String,
    /// Vehicle class.
    pub vehicle_class: String,
    /// Mass of the vehicle, kg.
    pub vehicle_mass_kg: f64,
    /// Speed, km/h.
    pub speed_kmph: f64,
    /// The base as it was found.
    pub as_found: TestNumbers,
    /// The base with everything put right.
    pub as_designed: TestNumbers,
}

/// Something that was not measured, at its worst plausible value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Open {
    /// Key of the item.
    pub item: String,
    /// What is required.
    pub requirement: String,
    /// How much it weighs.
    pub weight: Weight,
    /// The worst plausible value, as an inspector would write it; none where it has no computed effect.
    pub worst_plausible: Option<String>,
    /// Why this value.
    pub reason: Option<String>,
    /// The tests with everything as found and this value; none where it has no computed effect.
    pub tests: Option<[TestNumbers; 2]>,
    /// Whether that value fails a governing test.
    pub would_fail: bool,
    /// What it would do, one sentence.
    pub sentence: String,
}

/// A speed in m/s with one decimal, or why there is none.
pub fn speed(run: &TestNumbers) -> String {
    match (run.velocity_change_mps, &run.error) {
        // No sign on a zero.
        (Some(v), _) => format!("{:.1} m/s", (10.0 * v).round() / 10.0 + 0.0),
        (None, Some(_)) => "not computed".to_owned(),
        (None, None) => "unknown".to_owned(),
    }
}

/// Decides, and says why: the reasons of the decision that was taken. For "go" they name what fails all the same.
pub fn decide(
    tests: &[TestResult],
    items: &[ItemResult],
    open: &[Open],
) -> (Decision, Vec<String>) {
    let mut against = Vec::new();
    for test in tests {
        let (found, designed) = (&test.as_found, &test.as_designed);
        if found.blow == Blow::Fail {
            let also = if designed.blow == Blow::Fail {
                " The design itself fails this test."
            } else {
                ""
            };
            against.push(format!(
                "Test {} ({} kg, {} km/h): velocity change {} as found, {} as designed. {}{also}",
                test.name,
                shown(test.vehicle_mass_kg, 4),
                shown(test.speed_kmph, 4),
                speed(found),
                speed(designed),
                found.sentence,
            ));
        }
    }
    let falls = tests.iter().any(|t| {
        t.as_found.stands_in_wind == Some(false) && t.as_designed.stands_in_wind == Some(true)
    });
    if falls {
        against.push(
            "The clamped base does not stand in the wind as found; as designed it does.".into(),
        );
    }
    for item in items {
        let falls = FALLS.contains(&(item.item.as_str(), item.measured.as_str()));
        if falls || item.weight == Weight::Essential && item.verdict == Verdict::Fails {
            against.push(format!(
                "Essential requirement fails: {} (found {}, required {}).",
                item.requirement, item.measured, item.limit
            ));
        }
    }
    if !against.is_empty() {
        return (Decision::NoGo, against);
    }
    let mut unknown = Vec::new();
    for test in tests {
        if test.as_found.blow == Blow::NotEvaluated {
            unknown.push(format!(
                "Test {} could not be judged: {}",
                test.name, test.as_found.sentence
            ));
        }
    }
    for item in open.iter().filter(|o| o.weight == Weight::Essential) {
        if item.would_fail {
            unknown.push(format!(
                "Not measured: {}. At its worst plausible value ({}) a governing test fails.",
                item.requirement,
                item.worst_plausible.as_deref().unwrap_or("unknown")
            ));
        } else if item.tests.is_none() {
            unknown.push(format!(
                "Not measured: {}. Its effect is not computed, so it must be looked at.",
                item.requirement
            ));
        }
    }
    if !unknown.is_empty() {
        return (Decision::CannotTell, unknown);
    }
    (Decision::Go, beside_go(tests, items, open))
}

/// What is said beside "go": what fails all the same, dents, what was not looked at.
fn beside_go(tests: &[TestResult], items: &[ItemResult], open: &[Open]) -> Vec<String> {
    let failing: Vec<&str> = items
        .iter()
        .filter(|item| item.verdict == Verdict::Fails)
        .map(|item| item.requirement.as_str())
        .collect();
    let mut remarks = match failing.as_slice() {
        [] => Vec::new(),
        list => vec![format!(
            "To be put right all the same, though not essential: {}.",
            list.join("; ")
        )],
    };
    for test in tests {
        if !test.as_found.dents.is_empty() {
            remarks.push(format!(
                "Remark, test {}: {}.",
                test.name,
                test.as_found.dents.join("; ")
            ));
        }
    }
    let unseen: Vec<&str> = open.iter().map(|o| o.requirement.as_str()).collect();
    if !unseen.is_empty() {
        remarks.push(format!(
            "Go says nothing of what was not looked at: {}.",
            unseen.join("; ")
        ));
    }
    remarks
}
