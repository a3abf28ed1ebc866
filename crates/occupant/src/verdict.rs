//! What a verdict is made of.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::en12767::Classes;

/// Said with every verdict.
pub const CAUTION: &str = "Engineering estimate. It is no substitute for a full-scale crash test or for an approval; \
     local codes and licensed practice decide.";

/// Said with every verdict that a limit from memory decided.
pub const VERIFY: &str = "verify against the current edition of the standard";

/// Said of a verdict in which values computed from the motion stand without a range.
pub const POINT_ESTIMATES: &str = "; values without a range are point estimates";
/// Said of values that were judged although their range holds the maximum.
const TOLD: &str =
    "the values are judged; the maximum lies within the range that tests in print leave of";

/// How well a limit is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Read in a text of the source or in a text that quotes it.
    Seen,
    /// Written from memory.
    Recalled,
    /// Computed or carried over from other limits.
    Derived,
    /// Given in the scenario.
    Scenario,
}

/// Outcome of one check or of a whole set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Within the preferred limit, or within the maximum where there is no preferred one.
    Pass,
    /// Beyond the preferred limit, within the maximum; or an estimate whose range holds the maximum.
    Marginal,
    /// Beyond the maximum.
    Fail,
    /// Not evaluated; the remark says why.
    NotEvaluated,
}

impl Outcome {
    /// In one word, as it stands beside a check.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Marginal => "marginal",
            Self::Fail => "fail",
            Self::NotEvaluated => "not judged",
        }
    }
}

/// Verdict of the blow by one document: all its checks but those of the dents that the falling support leaves. These rest
/// on a rough estimate and have a verdict of their own, so that they never hide this one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Blow {
    /// Within every limit.
    Pass,
    /// Within every maximum, beyond a preferred limit.
    Marginal,
    /// A maximum lies in the range of what was computed.
    Undecided,
    /// Beyond a maximum.
    Fail,
    /// A check that the document needs was not evaluated.
    NotEvaluated,
}

impl Blow {
    /// The verdict of the blow from the checks of a document.
    pub fn of(checks: &[Check]) -> Self {
        let blow: Vec<&Check> = checks.iter().filter(|c| c.dent().is_none()).collect();
        match worst(&blow) {
            Outcome::Pass => Self::Pass,
            Outcome::Marginal if blow.iter().any(|c| c.undecided()) => Self::Undecided,
            Outcome::Marginal => Self::Marginal,
            Outcome::Fail => Self::Fail,
            Outcome::NotEvaluated => Self::NotEvaluated,
        }
    }

    /// The same as an outcome.
    pub fn outcome(self) -> Outcome {
        match self {
            Self::Pass => Outcome::Pass,
            Self::Marginal | Self::Undecided => Outcome::Marginal,
            Self::Fail => Outcome::Fail,
            Self::NotEvaluated => Outcome::NotEvaluated,
        }
    }

    /// What every page and text says of it first.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "the blow passes",
            Self::Marginal => "the blow passes, beyond a preferred limit",
            Self::Undecided => "the blow is undecided",
            Self::Fail => "the blow fails",
            Self::NotEvaluated => "the blow is not judged",
        }
    }

    /// The same in one word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Undecided => "undecided",
            other => other.outcome().word(),
        }
    }

    /// Every verdict.
    pub const ALL: [Self; 5] = [
        Self::Pass,
        Self::Marginal,
        Self::Undecided,
        Self::Fail,
        Self::NotEvaluated,
    ];

    /// The verdict of that name in data files.
    pub fn named(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|b| b.key() == key)
    }

    /// Its name in data files.
    pub fn key(self) -> &'static str {
        match self {
            Self::NotEvaluated => "not-evaluated",
            other => other.word(),
        }
    }
}

/// A remark on a dent that the falling support leaves, beside the verdict of the blow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DentRemark {
    /// Part of the vehicle: `roof` or `windscreen`.
    pub part: &'static str,
    /// Its own verdict.
    pub outcome: Outcome,
}

impl DentRemark {
    /// "roof: marginal".
    pub fn in_short(self) -> String {
        format!("{}: {}", self.part, self.outcome.word())
    }

    /// "roof: marginal, the limit lies in the range of a rough estimate".
    pub fn words(self) -> String {
        let more = match self.outcome {
            Outcome::Marginal => ", the limit lies in the range of a rough estimate",
            Outcome::Fail => ", by a rough estimate",
            Outcome::Pass | Outcome::NotEvaluated => "",
        };
        self.in_short() + more
    }
}

/// One quantity against its limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Check {
    /// Name of the check, with the unit of its value.
    pub key: String,
    /// Plain title.
    pub title: String,
    /// Unit of value and limits.
    pub unit: String,
    /// Computed value with its sign, in `unit`; its magnitude is judged.
    pub value: Option<f64>,
    /// Least and largest of the value in `unit`: of an estimate that rests on an assumed law, or the range that tests in print
    /// leave a number of the motion. It is judged unless `point_estimate` says that the value was.
    pub value_range: Option<[f64; 2]>,
    /// Whether the value was judged as it was computed from the model's motion; a range is then told beside it.
    #[serde(default)]
    pub point_estimate: bool,
    /// Preferred limit, in `unit`.
    pub limit_preferred: Option<f64>,
    /// Maximum, in `unit`.
    pub limit_max: Option<f64>,
    /// Document, edition and clause or subject of the limit.
    pub source: String,
    /// How well the maximum is known.
    pub mark: Mark,
    /// How well the preferred limit is known.
    pub preferred_mark: Option<Mark>,
    /// Fraction of the maximum that is left: 1 - |value| / maximum; negative beyond it.
    pub margin_fraction: Option<f64>,
    /// Outcome.
    pub outcome: Outcome,
    /// Whether the set can be judged at all without this check.
    pub essential: bool,
    /// Why it was not evaluated, or what the value stands for.
    pub remark: Option<String>,
    /// The advice to verify, where a recalled limit decided the outcome.
    pub advice: Option<String>,
}

/// The verdict by one document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetVerdict {
    /// Name of the criteria set as in the scenario file.
    pub set: String,
    /// Document and edition.
    pub document: String,
    /// The checks, in the order of the document's table.
    pub checks: Vec<Check>,
    /// Classes of EN 12767; none for other documents.
    pub en12767: Option<Classes>,
    /// Overall outcome.
    pub outcome: Outcome,
    /// The overall outcome in one sentence.
    pub sentence: String,
    /// What limits the verdict: test conditions that differ from the document's, overrides that match nothing,
    /// recalled limits that decided.
    pub notes: Vec<String>,
    /// [`CAUTION`].
    pub caution: String,
}

/// Grades a value by its magnitude: outcome and margin fraction. None where a number is not finite or the maximum is
/// not above zero.
pub fn grade(value: f64, preferred: Option<f64>, max: f64) -> Option<(Outcome, f64)> {
    let usable = value.is_finite() && max.is_finite() && max > 0.0;
    if !usable {
        return None;
    }
    let size = value.abs();
    let outcome = if size > max {
        Outcome::Fail
    } else if preferred.is_some_and(|p| size > p) {
        Outcome::Marginal
    } else {
        Outcome::Pass
    };
    // margin = 1 - |value| / maximum
    Some((outcome, 1.0 - size / max))
}

/// Grades an estimate by its whole range, of magnitudes: beyond the maximum only where all of it is, within it only where
/// all of it is, and marginal where the estimate cannot decide. As [`grade`] otherwise; the margin is the estimate's.
pub fn grade_range(
    value: f64,
    [low, high]: [f64; 2],
    preferred: Option<f64>,
    max: f64,
) -> Option<(Outcome, f64)> {
    let (_, margin) = grade(value, None, max)?;
    let usable = low.is_finite() && high.is_finite();
    usable.then(|| {
        let outcome = if low > max {
            Outcome::Fail
        } else if high > max || preferred.is_some_and(|p| value.abs() > p) {
            Outcome::Marginal
        } else {
            Outcome::Pass
        };
        (outcome, margin)
    })
}

impl SetVerdict {
    /// The verdict of the blow.
    pub fn blow(&self) -> Blow {
        Blow::of(&self.checks)
    }

    /// The dents that were judged, each with its own verdict.
    pub fn dents(&self) -> Vec<DentRemark> {
        dents(&self.checks)
    }
}

fn dents(checks: &[Check]) -> Vec<DentRemark> {
    let judged = checks.iter().filter(|c| c.outcome != Outcome::NotEvaluated);
    judged
        .filter_map(|c| {
            c.dent().map(|part| DentRemark {
                part,
                outcome: c.outcome,
            })
        })
        .collect()
}

impl Check {
    /// The part of the vehicle whose dent this check judges; none for a check of the blow.
    pub fn dent(&self) -> Option<&'static str> {
        match self.key.as_str() {
            "roof_crush_m" => Some("roof"),
            "windscreen_crush_m" => Some("windscreen"),
            _ => None,
        }
    }

    /// The title as it stands in a list within a sentence: "Occupant impact velocity, longitudinal" becomes
    /// "longitudinal occupant impact velocity"; what is in brackets goes.
    pub fn name(&self) -> String {
        in_a_sentence(&self.title)
    }

    /// Whether this was judged by a range that holds the maximum.
    pub fn undecided(&self) -> bool {
        self.outcome == Outcome::Marginal && !self.point_estimate && self.holds_maximum()
    }

    /// Whether the value was judged although the range that is told beside it holds the maximum.
    pub fn open(&self) -> bool {
        self.point_estimate && self.holds_maximum()
    }

    fn holds_maximum(&self) -> bool {
        let holds =
            |[low, high]: [f64; 2]| self.limit_max.is_some_and(|max| low <= max && high > max);
        self.value_range.is_some_and(holds)
    }

    /// Whether a recalled limit decided the outcome: the maximum for a fail, the preferred limit or the maximum otherwise.
    pub fn decided_by_recalled(&self) -> bool {
        let max = self.mark == Mark::Recalled;
        let preferred = self.preferred_mark == Some(Mark::Recalled);
        match self.outcome {
            Outcome::Fail => max,
            Outcome::Pass | Outcome::Marginal => max || preferred,
            Outcome::NotEvaluated => false,
        }
    }
}

/// A title inside a sentence, as [`Check::name`] says it; the first letter stays large where it begins an abbreviation.
fn in_a_sentence(title: &str) -> String {
    let bare = title.split(" (").next().unwrap_or(title);
    let mut letters = bare.chars();
    let small: String = match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => bare.to_owned(),
    };
    match small.split_once(", ") {
        Some((what, direction)) => format!("{direction} {what}"),
        None => small,
    }
}

/// Overall outcome of all checks, those of dents too: any fail fails; an essential check that is missing leaves it open;
/// then the worst of the rest.
pub fn overall(checks: &[Check]) -> Outcome {
    worst(&checks.iter().collect::<Vec<_>>())
}

fn worst(checks: &[&Check]) -> Outcome {
    let any = |outcome: Outcome| checks.iter().any(|c| c.outcome == outcome);
    let open = checks
        .iter()
        .any(|c| c.essential && c.outcome == Outcome::NotEvaluated);
    if any(Outcome::Fail) {
        Outcome::Fail
    } else if open || !(any(Outcome::Pass) || any(Outcome::Marginal)) {
        Outcome::NotEvaluated
    } else if any(Outcome::Marginal) {
        Outcome::Marginal
    } else {
        Outcome::Pass
    }
}

/// The verdict in words: the blow first, with what decided it and what is missing; then each dent that was judged.
pub(crate) fn sentence(checks: &[Check]) -> String {
    let blow = Blow::of(checks);
    let names = |wanted: &dyn Fn(&Check) -> bool| -> String {
        let found = checks.iter().filter(|c| wanted(c));
        found.map(Check::name).collect::<Vec<_>>().join(", ")
    };
    let of_blow =
        |outcome: Outcome| names(&|c| c.dent().is_none() && c.outcome == outcome && !c.undecided());
    let open = names(&|c| c.dent().is_none() && c.undecided());
    let mut text = blow.words().replacen('t', "T", 1);
    match blow {
        Blow::Pass => {
            let evaluated = checks
                .iter()
                .filter(|c| c.dent().is_none() && c.outcome != Outcome::NotEvaluated);
            text.push_str(&format!(
                " the {} checks that were evaluated",
                evaluated.count()
            ));
        }
        Blow::Marginal => text.push_str(&format!(": {}", of_blow(Outcome::Marginal))),
        Blow::Fail => text.push_str(&format!(": {}", of_blow(Outcome::Fail))),
        Blow::Undecided => {
            text.push_str(&format!(": the maximum lies in the range of {open}"));
            let beyond = of_blow(Outcome::Marginal);
            if !beyond.is_empty() {
                text.push_str(&format!("; beyond the preferred limit: {beyond}"));
            }
        }
        Blow::NotEvaluated => {
            text.push_str(": a check that the document needs was not evaluated");
        }
    }
    let points = checks
        .iter()
        .any(|c| c.dent().is_none() && c.point_estimate && c.value_range.is_none());
    let told = names(&|c| c.dent().is_none() && c.open());
    if blow != Blow::NotEvaluated && !told.is_empty() {
        text.push_str(&format!("; {TOLD} {told}"));
    }
    if blow != Blow::NotEvaluated && points {
        text.push_str(POINT_ESTIMATES);
    }
    let missing = names(&|c| c.outcome == Outcome::NotEvaluated);
    if !missing.is_empty() {
        text.push_str("; not evaluated: ");
        text.push_str(&missing);
    }
    text.push('.');
    let remarks: Vec<String> = dents(checks).into_iter().map(DentRemark::words).collect();
    if !remarks.is_empty() {
        text.push_str(&format!(" Remarks: {}.", remarks.join("; ")));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grading_at_and_around_the_limits() {
        assert_eq!(
            grade(3.0, Some(3.0), 5.0),
            Some((Outcome::Pass, 1.0 - 3.0 / 5.0))
        );
        assert_eq!(
            grade(-4.0, Some(3.0), 5.0),
            Some((Outcome::Marginal, 1.0 - 4.0 / 5.0))
        );
        assert_eq!(grade(5.0, Some(3.0), 5.0), Some((Outcome::Marginal, 0.0)));
        assert_eq!(
            grade(-6.0, None, 5.0),
            Some((Outcome::Fail, 1.0 - 6.0 / 5.0))
        );
        assert_eq!(grade(5.0, None, 5.0), Some((Outcome::Pass, 0.0)));
        assert_eq!(grade(f64::NAN, None, 5.0), None);
        assert_eq!(grade(1.0, None, f64::NAN), None);
        assert_eq!(grade(1.0, None, 0.0), None);
    }

    #[test]
    fn titles_in_sentences() {
        assert_eq!(in_a_sentence("Height of it"), "height of it");
        assert_eq!(
            in_a_sentence("Ridedown, lateral (10 ms mean)"),
            "lateral ridedown"
        );
        assert_eq!(in_a_sentence("THIV"), "THIV");
        assert_eq!(in_a_sentence(""), "");
    }

    #[test]
    fn an_estimate_is_graded_by_its_whole_range() {
        let of = |value: f64, range: [f64; 2]| grade_range(value, range, None, 0.1).map(|g| g.0);
        assert_eq!(of(0.05, [0.035, 0.071]), Some(Outcome::Pass));
        assert_eq!(of(0.08, [0.05, 0.11]), Some(Outcome::Marginal));
        assert_eq!(of(0.12, [0.09, 0.17]), Some(Outcome::Marginal));
        assert_eq!(of(0.18, [0.13, 0.25]), Some(Outcome::Fail));
        assert_eq!(of(0.05, [0.035, f64::NAN]), None);
        let preferred = |value: f64| grade_range(value, [0.03, 0.09], Some(0.06), 0.1).map(|g| g.0);
        assert_eq!(preferred(0.05), Some(Outcome::Pass));
        assert_eq!(preferred(-0.07), Some(Outcome::Marginal));
        let margin = grade_range(0.12, [0.09, 0.17], None, 0.1).unwrap().1;
        assert!((margin + 0.2).abs() < 1e-12);
    }
}
