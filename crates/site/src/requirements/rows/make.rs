//! What the rows are written with.

pub(super) use giveway_scenario::ConditionKind as Kind;
pub(super) use giveway_units::Dimension::{Angle, Density, Length, Stress, Torque, UnitWeight};

pub(super) use crate::profile::Bound;
pub(super) use crate::requirements::derived as from;
pub(super) use crate::requirements::kinds::{Measure, Origin, Tool, Verdict, Weight, Word};
pub(super) use crate::requirements::row::{Detail, Item, Limit, Requirement, Rule, Text, Worst};

pub(super) use Limit::{Derived, Greater, Lesser, Nothing, Set};
pub(super) use Measure::Quantity;
pub(super) use Text::Literal;

pub(super) const PRACTICE: &str = "common practice, no source";
pub(super) const DEG: f64 = core::f64::consts::PI / 180.0;
pub(super) const MM: Measure = Quantity(Length, "mm");

/// What a row says where it says nothing else: judged by its words, by common practice, with nothing computed from it.
pub(super) const ROW: Requirement = Requirement {
    item: item("", "", Tool::Eye, Measure::None, None),
    title: "",
    rule: Rule::ByWord,
    close: 0.0,
    designed: None,
    source: PRACTICE,
    origin: Origin::CommonPractice,
    weight: Weight::Minor,
    put_right: "",
    condition: None,
    details: &[],
    worst: None,
};

pub(super) const fn item(
    key: &'static str,
    measured: &'static str,
    tool: Tool,
    measure: Measure,
    path: Option<&'static str>,
) -> Item {
    Item {
        key,
        measured,
        tool,
        measure,
        words: &[],
        path,
        several: false,
    }
}

impl Item {
    pub(super) const fn or(mut self, words: &'static [Word]) -> Self {
        self.words = words;
        self
    }

    pub(super) const fn several(mut self) -> Self {
        self.several = true;
        self
    }
}

pub(super) const fn detail(
    key: &'static str,
    measured: &'static str,
    measure: Measure,
    path: &'static str,
) -> Detail {
    Detail {
        item: item(key, measured, Tool::Tape, measure, Some(path)),
        assumed: None,
        alone: false,
    }
}

impl Detail {
    pub(super) const fn assumed(mut self, text: Text, reason: &'static str) -> Self {
        self.assumed = Some((text, reason));
        self
    }

    pub(super) const fn alone(mut self) -> Self {
        self.alone = true;
        self
    }

    pub(super) const fn by(mut self, tool: Tool) -> Self {
        self.item.tool = tool;
        self
    }

    pub(super) const fn or(mut self, words: &'static [Word]) -> Self {
        self.item.words = words;
        self
    }

    pub(super) const fn several(mut self) -> Self {
        self.item.several = true;
        self
    }
}

pub(super) const fn meets(word: &'static str, meaning: &'static str) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::Meets,
        sets: None,
    }
}

pub(super) const fn fails(
    word: &'static str,
    meaning: &'static str,
    sets: Option<(&'static str, &'static str)>,
) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::Fails,
        sets,
    }
}

pub(super) const fn close(
    word: &'static str,
    meaning: &'static str,
    sets: Option<(&'static str, &'static str)>,
) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::Close,
        sets,
    }
}

pub(super) const fn choice(word: &'static str, meaning: &'static str, path: &'static str) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::NotJudged,
        sets: Some((path, word)),
    }
}

pub(super) const fn worst(value: Text, reason: &'static str) -> Option<Worst> {
    Some(Worst { value, reason })
}
