//! One row of the grammar.

use giveway_units::{Dimension, shortest_number, shown_in};

use crate::store::{Data, Store};

/// What a value is and how it is written.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// A quantity in quotes, for example `"200 N.m"`; the unit is the one shown.
    Quantity(Dimension, &'static str),
    /// A plain number; a text in percent is read too.
    Number,
    /// A whole number, not negative.
    Count,
    /// `true` or `false`.
    Flag,
    /// Free text.
    Text,
    /// One of the named choices.
    Choice(Options),
    /// A list of named choices.
    Choices(Options),
    /// A list of pairs of quantities.
    Pairs((Dimension, &'static str), (Dimension, &'static str)),
    /// A length, or one of the named places.
    LengthOrName(&'static [&'static str]),
    /// A list of quantities, or one quantity.
    Quantities(Dimension, &'static str),
    /// A list of whole numbers that count from 1, or one such number.
    Numbers,
}

impl Kind {
    /// Dimension and usual unit of a quantity or of a list of quantities.
    pub(crate) fn measure(self) -> Option<(Dimension, &'static str)> {
        match self {
            Kind::Quantity(dimension, unit) | Kind::Quantities(dimension, unit) => {
                Some((dimension, unit))
            }
            _ => None,
        }
    }
}

/// Named choices.
#[derive(Debug, Clone, Copy)]
pub enum Options {
    /// These.
    Fixed(&'static [&'static str]),
    /// Materials and `other`.
    Materials,
    /// Bolt sizes.
    BoltSizes,
    /// Bolt grades.
    BoltGrades,
    /// Vehicle classes.
    Classes,
}

impl Options {
    /// The names, in the order of their table.
    pub fn names(self) -> Vec<&'static str> {
        let mut names: Vec<&'static str> = match self {
            Options::Fixed(names) => names.to_vec(),
            Options::Materials => crate::parts::MATERIALS
                .iter()
                .map(|m| m.name)
                .chain([crate::parts::OTHER_MATERIAL])
                .collect(),
            Options::BoltSizes => crate::parts::BOLT_SIZES.iter().map(|s| s.name).collect(),
            Options::BoltGrades => crate::parts::BOLT_GRADES.iter().map(|g| g.name).collect(),
            Options::Classes => crate::classes::CLASSES
                .iter()
                .map(|c| c.name.as_str())
                .collect(),
        };
        names.dedup();
        names
    }
}

/// A value made from other values, and how, in words.
pub(crate) struct Made {
    pub data: Data,
    pub how: String,
}

/// Makes a value from others; `at` is the path of the section that holds it. None = not (yet) possible.
type Maker = fn(&Store, at: &str) -> Option<Made>;

/// What stands in where a value is not given.
#[derive(Clone, Copy)]
pub enum Fallback {
    /// Nothing: it must be given.
    Required,
    /// Nothing: it may be left out.
    Absent,
    /// The vehicle class gives it.
    Class,
    /// A literal and its source.
    Value(&'static str, &'static str),
    /// Computed from other values; the formula in words.
    Computed(&'static str, Computation),
}

/// The function behind [`Fallback::Computed`].
#[derive(Clone, Copy)]
pub struct Computation(pub(crate) Maker);

/// One key of the grammar.
#[derive(Clone, Copy)]
pub struct Row {
    /// Path, `[]` after a list: `support.arm[].reach`.
    pub path: &'static str,
    /// What it is.
    pub kind: Kind,
    /// What stands in where it is not given.
    pub fallback: Fallback,
    /// Outside this range, SI, it is an error: physically impossible or beyond what the program takes.
    pub possible: (f64, f64),
    /// Outside this range, SI, it is a warning: implausible.
    pub plausible: (f64, f64),
    /// What it means, one or two sentences.
    pub meaning: &'static str,
    /// A path that must not be given together with this one.
    pub excludes: Option<&'static str>,
    /// Key of the same section without which this one says nothing: its default stands, and it is required,
    /// only where that key is given.
    pub with: Option<&'static str>,
    /// Only an ingredient of computed values: the resolved copy names it in a comment.
    pub recipe: bool,
}

const ALL: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

const fn new(path: &'static str, kind: Kind) -> Row {
    Row {
        path,
        kind,
        fallback: Fallback::Required,
        possible: ALL,
        plausible: ALL,
        meaning: "",
        excludes: None,
        with: None,
        recipe: false,
    }
}

pub(super) const fn quantity(path: &'static str, dimension: Dimension, unit: &'static str) -> Row {
    new(path, Kind::Quantity(dimension, unit))
}
pub(super) const fn number(path: &'static str) -> Row {
    new(path, Kind::Number)
}
pub(super) const fn count(path: &'static str) -> Row {
    new(path, Kind::Count)
}
pub(super) const fn flag(path: &'static str) -> Row {
    new(path, Kind::Flag)
}
pub(super) const fn text(path: &'static str) -> Row {
    new(path, Kind::Text)
}
pub(super) const fn choice(path: &'static str, options: Options) -> Row {
    new(path, Kind::Choice(options))
}
pub(super) const fn other(path: &'static str, kind: Kind) -> Row {
    new(path, kind)
}

impl Row {
    pub(super) const fn value(mut self, literal: &'static str, source: &'static str) -> Row {
        self.fallback = Fallback::Value(literal, source);
        self
    }
    pub(super) const fn computed(mut self, how: &'static str, maker: Maker) -> Row {
        self.fallback = Fallback::Computed(how, Computation(maker));
        self
    }
    pub(super) const fn class(mut self) -> Row {
        self.fallback = Fallback::Class;
        self
    }
    pub(super) const fn absent(mut self) -> Row {
        self.fallback = Fallback::Absent;
        self
    }
    pub(super) const fn possible(mut self, low: f64, high: f64) -> Row {
        self.possible = (low, high);
        self
    }
    pub(super) const fn plausible(mut self, low: f64, high: f64) -> Row {
        self.plausible = (low, high);
        self
    }
    pub(super) const fn excludes(mut self, path: &'static str) -> Row {
        self.excludes = Some(path);
        self
    }
    pub(super) const fn with(mut self, key: &'static str) -> Row {
        self.with = Some(key);
        self
    }
    pub(super) const fn recipe(mut self) -> Row {
        self.recipe = true;
        self
    }
    pub(super) const fn means(mut self, meaning: &'static str) -> Row {
        self.meaning = meaning;
        self
    }

    /// The last part of the path.
    pub fn key(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// The path of the section that holds it; empty for the top of the file.
    pub fn section(&self) -> &'static str {
        self.path
            .rsplit_once('.')
            .map_or("", |(section, _)| section)
    }

    /// Path of the key without which this one says nothing; `path` is a concrete path of this row.
    pub(crate) fn companion(&self, path: &str) -> Option<String> {
        let section = path.rsplit_once('.').map_or("", |(section, _)| section);
        self.with.map(|key| format!("{section}.{key}"))
    }

    /// A range in words, in the row's unit.
    pub fn range_text(&self, range: (f64, f64)) -> String {
        let show = |x: f64| match (self.kind.measure(), self.kind) {
            (Some((dimension, unit)), _) => shown_in(x, dimension, unit, 6),
            (None, Kind::LengthOrName(_)) => shown_in(x, Dimension::Length, "m", 6),
            _ => shortest_number(x),
        };
        match (range.0.is_finite(), range.1.is_finite()) {
            (true, true) => format!("{} to {}", show(range.0), show(range.1)),
            (true, false) => format!("at least {}", show(range.0)),
            (false, true) => format!("at most {}", show(range.1)),
            (false, false) => "any".to_owned(),
        }
    }
}

impl core::fmt::Debug for Row {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "Row({})", self.path)
    }
}
