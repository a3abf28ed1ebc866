//! What each installation condition does to an impact: the same impact as found, with one condition put right,
//! with one condition alone, and with everything put right.

use giveway_impact::outcome::Ending;
use giveway_occupant::Outcome;
use giveway_scenario::ConditionKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::summary::Status;

/// One run of the comparison in few numbers. A run that could not be computed has an error and no numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ConditionCase {
    /// Whether the books closed; null where the run could not be computed.
    pub status: Option<Status>,
    /// How the engagement ended.
    pub ending: Option<Ending>,
    /// Speed lost along the initial direction of travel at loss of contact (at the end of the engagement while
    /// contact lasts), m/s.
    pub velocity_change_mps: Option<f64>,
    /// Outcome of the blow by the governing document; `not-evaluated` for a failed run.
    pub outcome: Outcome,
    /// Least margin of the governing document's checks: 1 - |value| / maximum.
    pub margin_fraction: Option<f64>,
    /// Largest contact force, N.
    pub peak_force_n: Option<f64>,
    /// Largest crush over all bands, m.
    pub peak_crush_m: Option<f64>,
    /// Whether the clamped base stands in the design wind.
    pub stands_in_wind: Option<bool>,
    /// Flag words of the run.
    pub flags: Vec<String>,
    /// Why the run could not be computed.
    pub error: Option<String>,
}

impl ConditionCase {
    /// A run that could not be computed.
    pub fn failed(error: String) -> Self {
        Self {
            status: None,
            ending: None,
            velocity_change_mps: None,
            outcome: Outcome::NotEvaluated,
            margin_fraction: None,
            peak_force_n: None,
            peak_crush_m: None,
            stands_in_wind: None,
            flags: Vec::new(),
            error: Some(error),
        }
    }

    /// The velocity change of a run whose books closed, m/s; none otherwise and where it is not finite.
    pub fn reliable_velocity_change_mps(&self) -> Option<f64> {
        self.velocity_change_mps
            .filter(|v| v.is_finite() && self.status == Some(Status::Complete))
    }

    /// The velocity change to one decimal, for example "9.4 m/s", or why it is not known.
    pub fn speed_in_words(&self) -> String {
        match (self.reliable_velocity_change_mps(), self.status) {
            // No sign on a zero.
            (Some(v), _) => format!("{:.1} m/s", (10.0 * v).round() / 10.0 + 0.0),
            (None, Some(_)) => "unknown (its books do not close)".to_owned(),
            (None, None) => "unknown (not computed)".to_owned(),
        }
    }
}

/// What one installation condition does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ConditionFinding {
    /// Place in the order of consequence, from 1.
    pub rank: usize,
    /// The condition.
    pub kind: ConditionKind,
    /// Its title.
    pub title: String,
    /// What has to be done.
    pub put_right: String,
    /// Flag words that this condition raises, defined in `docs/results.md`.
    pub flags: Vec<String>,
    /// Everything as found.
    pub as_found: ConditionCase,
    /// This condition put right, the others as found.
    pub if_put_right: ConditionCase,
    /// Only this condition, the others put right.
    pub alone: ConditionCase,
    /// Everything put right.
    pub all_put_right: ConditionCase,
    /// Velocity change as found minus that with this condition put right, m/s; null where one of the two runs
    /// cannot be relied on.
    pub gain_mps: Option<f64>,
    /// Velocity change with this condition alone minus that with everything put right, m/s; null likewise.
    pub alone_effect_mps: Option<f64>,
    /// All of this in a plain sentence.
    pub sentence: String,
}

impl ConditionFinding {
    /// For example "velocity change 9.4 m/s as found, 2.6 m/s if put right".
    pub fn in_short(&self) -> String {
        compared(&self.as_found, &self.if_put_right, "if put right")
    }
}

/// What a flag word costs: the velocity change as found and with its cause put right. None where no condition has
/// to do with it.
pub(crate) fn consequence(word: &str, findings: &[ConditionFinding]) -> Option<String> {
    let has = |words: &[String]| words.iter().any(|w| w == word);
    let causes: Vec<&ConditionFinding> = findings.iter().filter(|f| has(&f.flags)).collect();
    match causes.as_slice() {
        [] => {
            let any = findings.first()?;
            let gone = any.all_put_right.error.is_none() && !has(&any.all_put_right.flags);
            gone.then(|| {
                compared(
                    &any.as_found,
                    &any.all_put_right,
                    "with everything put right",
                )
            })
        }
        [one] => Some(one.in_short()),
        several => Some(
            several
                .iter()
                .map(|f| format!("{}: {}", f.title, f.in_short()))
                .collect::<Vec<_>>()
                .join("; "),
        ),
    }
}

fn compared(as_found: &ConditionCase, other: &ConditionCase, how: &str) -> String {
    format!(
        "velocity change {} as found, {} {how}",
        as_found.speed_in_words(),
        other.speed_in_words()
    )
}
