//! The shape of the table's rows.

use giveway_scenario::ConditionKind;
use giveway_scenario::model::Scenario;

use super::kinds::{Measure, Origin, Tool, Weight, Word};
use crate::profile::{Basis, Bound, Twin};

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
