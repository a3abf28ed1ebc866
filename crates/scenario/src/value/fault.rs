//! Faults of a value in words, and the quantity that most values are.

use giveway_units::{Dimension, UnitError, parse};

use crate::diagnostic::{Place, Said};
use crate::grammar::{Kind, Row};
use crate::store::Data;
use crate::tree::{Content, Node};

/// A fault of a value: code and what to say.
pub(crate) type Fault = (&'static str, Said);

/// Faults of a value with their places: of a list, those of every element.
pub(crate) type Faults = Vec<(Place, Fault)>;

/// Data, and TOML text that reads to the very same data.
pub(crate) struct Read {
    pub data: Data,
    pub literal: String,
}

/// TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// TOML float that reads back to the same bits.
pub(crate) fn float_literal(value: f64) -> String {
    format!("{value:?}")
}

/// What kind of value a row wants, in words.
pub(crate) fn wanted(kind: Kind) -> String {
    match kind {
        Kind::Quantity(dimension, unit) => {
            format!(
                "{} in quotes with its unit, for example in {unit}",
                dimension.noun()
            )
        }
        Kind::Number => "a number".to_owned(),
        Kind::Count => "a whole number".to_owned(),
        Kind::Flag => "true or false".to_owned(),
        Kind::Text => "a text in quotes".to_owned(),
        Kind::Choice(options) => format!("one of {}", options.names().join(", ")),
        Kind::Choices(options) => format!("a list out of {}", options.names().join(", ")),
        Kind::Pairs((a, ua), (b, ub)) => format!(
            "a list of pairs of {} and {}, for example [[\"0 {ua}\", \"0 {ub}\"], ...]",
            a.noun(),
            b.noun()
        ),
        Kind::LengthOrName(names) => {
            format!("a length with its unit, or one of {}", names.join(", "))
        }
        Kind::Quantities(dimension, unit) => format!(
            "{} with its unit, or a list of them, for example in {unit}",
            dimension.noun()
        ),
        Kind::Numbers => "a whole number from 1 on, or a list of them: [1, 3]".to_owned(),
    }
}

pub(super) fn wrong_type(row: &Row, node: &Node) -> Fault {
    let suggestion = match (&node.content, row.kind) {
        (Content::Text(t), Kind::Number) if t.trim().parse::<f64>().is_ok() => {
            Some(format!("{} = {}", row.key(), t.trim()))
        }
        (Content::Text(t), Kind::Count) if t.trim().parse::<usize>().is_ok() => {
            Some(format!("{} = {}", row.key(), t.trim()))
        }
        (Content::Text(t), Kind::Flag) if matches!(t.trim(), "true" | "false") => {
            Some(format!("{} = {}", row.key(), t.trim()))
        }
        (Content::Integer(t) | Content::Float(t), Kind::Choice(_) | Kind::Text) => {
            Some(format!("{} = \"{t}\"", row.key()))
        }
        (Content::Text(t), Kind::Choices(_)) => Some(format!("{} = [{}]", row.key(), quoted(t))),
        _ => None,
    };
    (
        "S012",
        Said::that(format!(
            "this is {}, but {} is wanted",
            node.is(),
            short_kind(row.kind)
        ))
        .found(node.shown())
        .allowed(wanted(row.kind))
        .hint_of(suggestion),
    )
}

fn short_kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Quantity(dimension, _) => dimension.noun(),
        Kind::Number => "a number",
        Kind::Count => "a whole number",
        Kind::Flag => "true or false",
        Kind::Text => "a text",
        Kind::Choice(_) => "a named choice",
        Kind::Choices(_) => "a list of named choices",
        Kind::Pairs(..) => "a list of pairs",
        Kind::LengthOrName(_) => "a length or a named place",
        Kind::Quantities(..) => "a list of quantities",
        Kind::Numbers => "a list of whole numbers",
    }
}

/// A fault of a quantity, with the corrected line.
pub(super) fn unit_fault(row: &Row, error: &UnitError, found: String) -> Fault {
    let code = match error {
        UnitError::MissingUnit { .. } => "S020",
        UnitError::UnknownUnit { .. } => "S021",
        UnitError::WrongDimension { .. } => "S022",
        UnitError::NotANumber { .. } | UnitError::Empty { .. } => "S023",
        UnitError::NonFinite { .. } => "S024",
    };
    let allowed = match row.kind.measure() {
        Some((dimension, _)) => Some(format!("{} in {}", dimension.noun(), units(dimension))),
        None => Some(wanted(row.kind)),
    };
    // In the unit of the row where only a unit was missing, and as a line to copy.
    let better = match (error, row.kind.measure()) {
        (UnitError::MissingUnit { found, .. }, Some((_, unit))) => {
            Some(format!("{} {unit}", found.trim()))
        }
        _ => error.suggestion().map(str::to_owned),
    };
    let suggestion = better.map(|text| format!("{} = {}", row.key(), quoted(&text)));
    (
        code,
        Said {
            message: shortened_message(&error.to_string()),
            found: Some(found),
            allowed,
            suggestion,
        },
    )
}

fn shortened_message(text: &str) -> String {
    if text.chars().count() > 160 {
        let head: String = text.chars().take(157).collect();
        format!("{head}...")
    } else {
        text.to_owned()
    }
}

/// The units of a dimension, for a message.
pub(crate) fn units(dimension: Dimension) -> String {
    dimension
        .units()
        .iter()
        .map(|u| u.name)
        .collect::<Vec<_>>()
        .join(", ")
}

pub(super) fn read_quantity(
    row: &Row,
    node: &Node,
    dimension: Dimension,
) -> Result<(f64, String), Fault> {
    let text = match &node.content {
        Content::Text(text) => text.clone(),
        // A bare number: the fault is the missing unit, not the type.
        Content::Integer(text) | Content::Float(text) => text.clone(),
        _ => return Err(wrong_type(row, node)),
    };
    match parse(&text, dimension) {
        Ok(quantity) => Ok((quantity.si, quoted(text.trim()))),
        Err(error) => Err(unit_fault(row, &error, node.shown())),
    }
}
