//! Requirements of an installed base: one table. Reading, judging, putting right and the worst plausible case of
//! what was not measured all come from it.
//!
//! A [`Requirement`] is one thing that an inspector measures or looks at. Its [`Detail`]s are measured only where the
//! finding itself was made (how strong the grout is matters once there is grout at the heads); each has a value that is
//! assumed where it was not measured.
//!
//! Marks tell where a limit comes from: *seen* in a text of the source or of a text that quotes it, *recalled* from
//! memory, *derived* here from a formula; without a publication it is *common practice, no source*.
//!
//! References
//! - AASHTO, Standard Specifications for Structural Supports for Highway Signs, Luminaires and Traffic Signals: stub up
//!   to 100 mm above a 1.5 m chord (seen).
//! - A highway agency's handbook: washers hold the plates 3 to 6 mm apart so that they cannot mate and bind; they must
//!   not dish into the notches (seen).

mod derived;
mod rows;

use giveway_scenario::ConditionKind;
use giveway_scenario::model::Scenario;
use giveway_units::{Dimension, System};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use rows::REQUIREMENTS;

use crate::profile::{Basis, Bound, Twin};

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// Read in a text of the source or in a text that quotes it.
    Seen,
    /// Written from memory.
    Recalled,
    /// Computed from the scenario.
    Derived,
    /// A fact of the trade without publication.
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

/// A measured quantity, count or date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// Words only.
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

/// A word that may stand for a value.
#[derive(Debug, PartialEq)]
pub struct Word {
    /// As written.
    pub word: &'static str,
    /// What it says, a few words.
    pub meaning: &'static str,
    /// What it means for the requirement.
    pub verdict: Verdict,
    /// Scenario path and the text of its value; none = as designed.
    pub sets: Option<(&'static str, &'static str)>,
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

/// A limit of the profile, of the design, or of both.
#[derive(Clone, Copy)]
pub enum Limit {
    /// As the profile sets it.
    Set(Bound),
    /// Zero.
    Nothing,
    /// Computed from the design; none where it does not give it.
    Derived(fn(&Scenario) -> Option<f64>),
    /// The lesser of the two; none where the design gives none.
    Lesser(Bound, fn(&Scenario) -> Option<f64>),
    /// The greater of the two; none where the design gives none.
    Greater(Bound, fn(&Scenario) -> Option<f64>),
}

impl Limit {
    /// The value in both systems, SI; none where the design does not give it.
    pub fn of(self, basis: Basis<'_>) -> Option<Twin> {
        let both = |bound, compute: fn(&Scenario) -> Option<f64>, pick: fn(f64, f64) -> f64| {
            let own = compute(basis.design)?;
            let twin = basis.profile.limit(bound);
            Some(Twin {
                si: pick(twin.si, own),
                us: pick(twin.us, own),
            })
        };
        match self {
            Self::Set(bound) => Some(basis.profile.limit(bound)),
            Self::Nothing => Some(Twin::both(0.0)),
            Self::Derived(compute) => compute(basis.design).map(Twin::both),
            Self::Lesser(bound, compute) => both(bound, compute, f64::min),
            Self::Greater(bound, compute) => both(bound, compute, f64::max),
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
#[derive(Clone, Copy)]
pub enum Rule {
    /// Not less.
    AtLeast(Limit),
    /// Not more.
    AtMost(Limit),
    /// Neither less than the first nor more than the second.
    Between(Limit, Limit),
    /// Magnitude not more.
    WithinPlusMinus(Limit),
    /// From the design's value less a fraction of it to the value plus the fraction.
    NearDesign(Bound),
    /// A date not more than so many days before the inspection.
    NoOlderThan(Bound),
    /// By the words alone.
    ByWord,
}

/// A text that may depend on the pole's type.
#[derive(Clone, Copy)]
pub enum Text {
    /// This text.
    Literal(&'static str),
    /// Made from the scenario.
    Derived(fn(&Scenario) -> String),
}

impl Text {
    /// The text for a type.
    pub fn of(self, design: &Scenario) -> String {
        match self {
            Self::Literal(text) => text.to_owned(),
            Self::Derived(make) => make(design),
        }
    }
}

/// What stands behind a key of `[measured]`: how its value is written and where it goes in the scenario.
pub struct Item {
    /// Key in `[measured]`, column of a CSV.
    pub key: &'static str,
    /// What is measured, plain words.
    pub measured: &'static str,
    /// With what.
    pub tool: Tool,
    /// The quantity, if it is one.
    pub measure: Measure,
    /// Words that may stand instead.
    pub words: &'static [Word],
    /// Scenario path that it sets, `[]` after a list; none where it has no effect on the impact.
    pub path: Option<&'static str>,
    /// Whether several values may be given, divided by `;`.
    pub several: bool,
}

/// A companion of a requirement's own item.
pub struct Detail {
    /// Key, quantity and path.
    pub item: Item,
    /// Value that is assumed where it was not measured, and why; none = the default of the scenario's grammar.
    pub assumed: Option<(Text, &'static str)>,
    /// Whether it is a finding also where the requirement's own value is none: grout packed into a notch under a head that
    /// stands clear.
    pub alone: bool,
}

/// What is assumed of a requirement that was not measured.
pub struct Worst {
    /// The value, as an inspector would write it.
    pub value: Text,
    /// Why it is the worst that is plausible.
    pub reason: &'static str,
}

/// One requirement.
pub struct Requirement {
    /// Key, quantity, tool and path.
    pub item: Item,
    /// What is required, a noun phrase.
    pub title: &'static str,
    /// How a value is judged.
    pub rule: Rule,
    /// A value within the limit by less than this counts as close, SI; for [`Rule::NearDesign`] a fraction of the design.
    pub close: f64,
    /// The design's own value, SI: measuring it changes nothing. None where the design's state is "nothing there".
    pub designed: Option<fn(&Scenario) -> Option<f64>>,
    /// Where the limit comes from.
    pub source: &'static str,
    /// How well the limit is known.
    pub origin: Origin,
    /// How much it weighs.
    pub weight: Weight,
    /// What must be done to put it right, one imperative sentence.
    pub put_right: &'static str,
    /// The condition of the solver that it gives; none where it has no effect on the impact.
    pub condition: Option<ConditionKind>,
    /// Companions.
    pub details: &'static [Detail],
    /// What is assumed where it was not measured; none where it has no effect on the impact.
    pub worst: Option<Worst>,
}

/// The requirement or detail behind a key.
#[derive(Clone, Copy)]
pub struct Found {
    /// Place of the requirement in the table.
    pub requirement: usize,
    /// Place of the detail in the requirement; none = its own item.
    pub detail: Option<usize>,
}

impl Rule {
    /// The limits of the profile that take part.
    fn bounds(self) -> Vec<Bound> {
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

impl Requirement {
    /// Where its limit comes from, and how well that is known: the profile where it sets the limit.
    pub fn origin_in(&self, basis: Basis<'_>) -> (String, Origin) {
        let set = self
            .rule
            .bounds()
            .into_iter()
            .find_map(|b| basis.profile.source(b));
        set.map_or((self.source.to_owned(), self.origin), |source| {
            (source, Origin::CommonPractice)
        })
    }

    /// What must be done to put it right, by the trade's own limits in SI.
    pub fn put_right_for(&self, design: &Scenario) -> String {
        let profile = &crate::profile::Profile::trade();
        self.put_right_in(Basis { design, profile }, System::Si)
    }

    /// What must be done to put it right, with the limit in a system of units.
    pub fn put_right_in(&self, basis: Basis<'_>, system: System) -> String {
        match self.put_right.contains("{limit}") {
            true => {
                let words = crate::judging::bound_words(self, basis, system);
                self.put_right.replace("{limit}", &words)
            }
            false => self.put_right.to_owned(),
        }
    }
}

impl Found {
    /// The requirement.
    pub fn requirement(self) -> &'static Requirement {
        &REQUIREMENTS[self.requirement]
    }

    /// The item itself.
    pub fn item(self) -> &'static Item {
        match self.detail {
            None => &REQUIREMENTS[self.requirement].item,
            Some(i) => &REQUIREMENTS[self.requirement].details[i].item,
        }
    }
}

/// Every item of the table, in its order, details after their requirement.
pub fn items() -> impl Iterator<Item = Found> {
    REQUIREMENTS.iter().enumerate().flat_map(|(i, row)| {
        let own = Found {
            requirement: i,
            detail: None,
        };
        let details = (0..row.details.len()).map(move |d| Found {
            requirement: i,
            detail: Some(d),
        });
        std::iter::once(own).chain(details)
    })
}

/// The item of that key.
pub fn item(key: &str) -> Option<Found> {
    items().find(|found| found.item().key == key)
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
