//! The shape of the table's rows, and the table itself, `requirements.toml`.

use std::sync::LazyLock;

use giveway_scenario::ConditionKind;
use giveway_scenario::model::Scenario;
use serde::Deserialize;

use super::derived::{DesignNumber, MadeText};
use super::kinds::{Measure, Origin, Tool, Weight, Word};
use crate::profile::{Basis, Bound, Twin};

/// A limit of the profile, of the design, or of both.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// As the profile sets it.
    Set(Bound),
    /// Zero.
    Nothing,
    /// Computed from the design; none where it does not give it.
    #[serde(rename = "design")]
    Derived(DesignNumber),
    /// The lesser of the two; none where the design gives none.
    Lesser(Bound, DesignNumber),
    /// The greater of the two; none where the design gives none.
    Greater(Bound, DesignNumber),
}

impl Limit {
    /// The value in both systems, SI; none where the design does not give it.
    pub fn of(self, basis: Basis<'_>) -> Option<Twin> {
        let both = |bound, number: DesignNumber, pick: fn(f64, f64) -> f64| {
            let own = number.of(basis.design)?;
            let twin = basis.profile.limit(bound);
            Some(Twin {
                si: pick(twin.si, own),
                us: pick(twin.us, own),
            })
        };
        match self {
            Self::Set(bound) => Some(basis.profile.limit(bound)),
            Self::Nothing => Some(Twin::both(0.0)),
            Self::Derived(number) => number.of(basis.design).map(Twin::both),
            Self::Lesser(bound, number) => both(bound, number, f64::min),
            Self::Greater(bound, number) => both(bound, number, f64::max),
        }
    }

    /// The limit of the profile that takes part.
    fn bound(self) -> Option<Bound> {
        match self {
            Self::Set(bound) | Self::Lesser(bound, _) | Self::Greater(bound, _) => Some(bound),
            Self::Derived(_) | Self::Nothing => None,
        }
    }
}

/// How a measured value is judged.
#[derive(Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// Not less.
    AtLeast(Limit),
    /// Not more.
    AtMost(Limit),
    /// Neither less than the first nor more than the second.
    Between(Limit, Limit),
    /// Magnitude not more.
    #[serde(rename = "within")]
    WithinPlusMinus(Limit),
    /// From the design's value less a fraction of it to the value plus the fraction.
    NearDesign(Bound),
    /// A date not more than so many days before the inspection.
    NoOlderThan(Bound),
    /// By the words alone.
    #[default]
    ByWord,
}

/// A text that may depend on the pole's type.
#[derive(Clone, Copy, Deserialize)]
#[serde(untagged)]
pub enum Text {
    /// This text.
    Literal(&'static str),
    /// Made from the scenario.
    Derived {
        /// By this function.
        made: MadeText,
    },
}

impl Text {
    /// The text for a type.
    pub fn of(self, design: &Scenario) -> String {
        match self {
            Self::Literal(text) => text.to_owned(),
            Self::Derived { made } => made.of(design),
        }
    }
}

/// What stands behind a key of `[measured]`: how its value is written and where it goes in the scenario.
#[derive(Deserialize)]
pub struct Item {
    /// Key in `[measured]`, column of a CSV.
    pub key: &'static str,
    /// What is measured, plain words.
    pub measured: &'static str,
    /// With what.
    pub tool: Tool,
    /// The quantity, if it is one.
    #[serde(default)]
    pub measure: Measure,
    /// Words that may stand instead.
    #[serde(default)]
    pub words: Vec<Word>,
    /// Scenario path that it sets, `[]` after a list; none where it has no effect on the impact.
    pub path: Option<&'static str>,
    /// Whether several values may be given, divided by `;`.
    #[serde(default)]
    pub several: bool,
}

/// A companion of a requirement's own item.
#[derive(Deserialize)]
pub struct Detail {
    /// Key, quantity and path.
    #[serde(flatten)]
    pub item: Item,
    /// Value that is assumed where it was not measured, and why; none = the default of the scenario's grammar.
    #[serde(borrow)]
    pub assumed: Option<(Text, &'static str)>,
    /// Whether it is a finding also where the requirement's own value is none: grout packed into a notch under a head that
    /// stands clear.
    #[serde(default)]
    pub alone: bool,
}

/// What is assumed of a requirement that was not measured.
#[derive(Deserialize)]
pub struct Worst {
    /// The value, as an inspector would write it.
    pub value: Text,
    /// Why it is the worst that is plausible.
    pub reason: &'static str,
}

/// One requirement.
#[derive(Deserialize)]
pub struct Requirement {
    /// Key, quantity, tool and path.
    #[serde(flatten)]
    pub item: Item,
    /// What is required, a noun phrase.
    pub title: &'static str,
    /// How a value is judged.
    #[serde(default)]
    pub rule: Rule,
    /// A value within the limit by less than this counts as close, SI; for [`Rule::NearDesign`] a fraction of the design.
    #[serde(default)]
    pub close: f64,
    /// The design's own value, SI: measuring it changes nothing. None where the design's state is "nothing there".
    pub designed: Option<DesignNumber>,
    /// Where the limit comes from; `{limit}` in the table: as the profile's own limit.
    #[serde(default = "practice")]
    pub source: &'static str,
    /// How well the limit is known.
    #[serde(default)]
    pub origin: Origin,
    /// How much it weighs.
    pub weight: Weight,
    /// What must be done to put it right, one imperative sentence.
    pub put_right: &'static str,
    /// The condition of the solver that it gives; none where it has no effect on the impact.
    pub condition: Option<ConditionKind>,
    /// Companions.
    #[serde(default, rename = "detail")]
    pub details: Vec<Detail>,
    /// What is assumed where it was not measured; none where it has no effect on the impact.
    pub worst: Option<Worst>,
}

fn practice() -> &'static str {
    "common practice, no source"
}

/// The requirements, in the order of the reports.
pub static REQUIREMENTS: LazyLock<Vec<Requirement>> = LazyLock::new(|| {
    #[derive(Deserialize)]
    #[serde(bound(deserialize = "Vec<Requirement>: Deserialize<'de>"))]
    struct Table {
        requirement: Vec<Requirement>,
    }
    let table: Table = toml::from_str(include_str!("../../requirements.toml"))
        .expect("the table that is built in reads");
    let mut rows = table.requirement;
    for row in rows.iter_mut().filter(|row| row.source == "{limit}") {
        let limits = row.rule.bounds();
        row.source = limits.first().map_or("", |limit| limit.standard().source);
    }
    rows
});

impl Rule {
    /// The limits of the profile that take part.
    pub(super) fn bounds(self) -> Vec<Bound> {
        match self {
            Self::AtLeast(l) | Self::AtMost(l) | Self::WithinPlusMinus(l) => {
                l.bound().into_iter().collect()
            }
            Self::Between(low, high) => [low, high].into_iter().filter_map(Limit::bound).collect(),
            Self::NearDesign(bound) | Self::NoOlderThan(bound) => vec![bound],
            Self::ByWord => Vec::new(),
        }
    }
}

impl Item {
    /// What may be written, in words: `a length with its unit, for example "12 mm", or one of missing`.
    pub fn allowed(&self) -> String {
        let quantity = match self.measure {
            Measure::None => None,
            Measure::Quantity(dimension, unit) => Some(format!(
                "{} with its unit, for example in {unit}",
                dimension.noun()
            )),
            Measure::Number => Some("a number".to_owned()),
            Measure::Date => Some("a date such as 2025-09-12".to_owned()),
            Measure::Bolts => Some("numbers of bolts such as \"2 3\"".to_owned()),
        };
        let words: Vec<&str> = self.words.iter().map(|w| w.word).collect();
        let mut parts: Vec<String> = quantity.into_iter().collect();
        if !words.is_empty() {
            parts.push(format!("one of {}", words.join(", ")));
        }
        let mut text = parts.join(", or ");
        if self.several {
            text.push_str("; several divided by `;`");
        }
        text.push_str("; or \"not measured\"");
        text
    }
}
