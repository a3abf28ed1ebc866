//! The rows of the table, in the order in which a crew would care: first what holds the foot, then how it is clamped,
//! then what only ages.

use giveway_scenario::ConditionKind as Kind;
use giveway_units::Dimension::{Angle, Density, Length, Stress, Torque, UnitWeight};

use super::derived as from;
use super::{
    Detail, Item, Limit, Measure, Origin, Requirement, Rule, Text, Tool, Verdict, Weight, Word,
    Worst,
};
use crate::profile::Bound;

mod anchors;
mod in_the_way;
mod joint;
mod parts;
mod upkeep;

use Limit::{Derived, Greater, Lesser, Nothing, Set};
use Measure::Quantity;
use Text::Literal;

const PRACTICE: &str = "common practice, no source";
const DEG: f64 = core::f64::consts::PI / 180.0;
const MM: Measure = Quantity(Length, "mm");

const fn item(
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
    const fn or(mut self, words: &'static [Word]) -> Self {
        self.words = words;
        self
    }

    const fn several(mut self) -> Self {
        self.several = true;
        self
    }
}

const fn detail(
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
    const fn assumed(mut self, text: Text, reason: &'static str) -> Self {
        self.assumed = Some((text, reason));
        self
    }

    const fn alone(mut self) -> Self {
        self.alone = true;
        self
    }

    const fn by(mut self, tool: Tool) -> Self {
        self.item.tool = tool;
        self
    }

    const fn or(mut self, words: &'static [Word]) -> Self {
        self.item.words = words;
        self
    }

    const fn several(mut self) -> Self {
        self.item.several = true;
        self
    }
}

const fn meets(word: &'static str, meaning: &'static str) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::Meets,
        sets: None,
    }
}

const fn fails(
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

const fn close(
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

const fn choice(word: &'static str, meaning: &'static str, path: &'static str) -> Word {
    Word {
        word,
        meaning,
        verdict: Verdict::NotJudged,
        sets: Some((path, word)),
    }
}

const fn worst(value: Text, reason: &'static str) -> Option<Worst> {
    Some(Worst { value, reason })
}

/// The requirements, in the order of the reports.
pub const REQUIREMENTS: &[Requirement] = &[
    in_the_way::ROUND_WASHERS,
    in_the_way::GROUT_GAP,
    in_the_way::GROUT_NOTCH_GAP,
    in_the_way::STUB_PROJECTION,
    in_the_way::CONDUIT_PROJECTION,
    in_the_way::SOIL_GAP,
    joint::RUST,
    joint::TORQUE,
    joint::BOLT_THREADS,
    joint::ENGAGED_THREADS,
    joint::PLATE_WASHER_THICKNESS,
    joint::KEEPER_THICKNESS,
    joint::NOTCH_LUMP,
    joint::NOTCH_OFFSET,
    parts::NOTCH_ANGLE,
    in_the_way::PLATE_HEIGHT,
    joint::PATTERN_TURNED,
    parts::ROUND_WASHER_THICKNESS,
    parts::WASHERS_HARDENED,
    parts::BOLT_GRADE,
    parts::BOLT_DIAMETER,
    parts::PROJECTING_THREADS,
    parts::ARM_SCREWS,
    anchors::ANCHOR_BARS,
    anchors::ANCHOR_NUTS,
    anchors::BARS_PRIMED,
    upkeep::FOUNDATION,
    upkeep::PLATE_LEVEL,
    upkeep::POLE_PLUMB,
    upkeep::ZINC,
    upkeep::TIGHTENING_RECORD,
    upkeep::LAST_CHECK,
    upkeep::WRENCH_CALIBRATION,
    anchors::WIRING_DISCONNECT,
];
