//! Words of the table: tools, origins, weights, what is measured, and the verdicts.

use giveway_units::{Dimension, unit_named};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What it is measured with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tool {
    /// Tape or steel rule.
    Tape,
    /// Feeler gauge or calliper.
    FeelerGauge,
    /// Torque wrench.
    TorqueWrench,
    /// Protractor or bevel.
    Protractor,
    /// Spirit level.
    Level,
    /// A look.
    Eye,
    /// The job's papers.
    Papers,
}

impl Tool {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Tape => "tape",
            Self::FeelerGauge => "feeler gauge or calliper",
            Self::TorqueWrench => "torque wrench",
            Self::Protractor => "protractor",
            Self::Level => "level",
            Self::Eye => "eye",
            Self::Papers => "papers",
        }
    }
}

/// Where a limit comes from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// Read in a text of the source or in a text that quotes it.
    Seen,
    /// Written from memory.
    Recalled,
    /// Computed from the scenario.
    Derived,
    /// A fact of the trade without publication.
    #[default]
    CommonPractice,
}

impl Origin {
    /// The source with its mark: `AASHTO support specifications: ... [seen]`.
    pub fn marked(self, source: &str) -> String {
        match self {
            Self::Seen => format!("{source} [seen]"),
            Self::Recalled => format!("{source} [recalled]"),
            Self::Derived => format!("{source} [derived]"),
            Self::CommonPractice => source.to_owned(),
        }
    }
}

/// How much a requirement weighs in the decision.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Without it the base is not accepted, and while it is not known, neither.
    Essential,
    /// It must be put right, but does not stop the base by itself.
    Important,
    /// Durability and records; no effect on the impact.
    Minor,
}

/// A measured quantity, count or date; in the table its everyday unit, or a word.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(try_from = "String")]
pub enum Measure {
    /// Words only.
    #[default]
    None,
    /// A quantity with its everyday unit.
    Quantity(Dimension, &'static str),
    /// A plain number.
    Number,
    /// A date.
    Date,
    /// Numbers of bolts, counted from 1.
    Bolts,
}

impl TryFrom<String> for Measure {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        use Dimension::{Angle, Density, Length, Stress, Torque, UnitWeight};
        let dimensions = [Length, Angle, Torque, Stress, Density, UnitWeight];
        match word.as_str() {
            "number" => Ok(Self::Number),
            "date" => Ok(Self::Date),
            "bolts" => Ok(Self::Bolts),
            unit => dimensions
                .into_iter()
                .find_map(|d| Some(Self::Quantity(d, unit_named(unit, d)?.name)))
                .ok_or_else(|| format!("`{unit}` is measured by no tool")),
        }
    }
}

/// A word that may stand for a value.
#[derive(Debug, PartialEq, Deserialize)]
pub struct Word {
    /// As written.
    pub word: &'static str,
    /// What it means for the requirement.
    pub verdict: Verdict,
    /// What it says, a few words.
    pub meaning: &'static str,
    /// Scenario path that is set to the word; none = as designed.
    #[serde(default)]
    pub sets: Option<&'static str>,
}

/// Outcome of one requirement.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Beyond the limit.
    Fails,
    /// Measured nothing: open.
    NotMeasured,
    /// Within the limit by less than the reading of the tool can tell.
    Close,
    /// There is no limit to hold it against.
    NotJudged,
    /// Within the limit.
    Meets,
}

impl Verdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::NotMeasured => "not measured",
            Self::Close => "close",
            Self::NotJudged => "not judged",
            Self::Meets => "meets",
        }
    }
}
