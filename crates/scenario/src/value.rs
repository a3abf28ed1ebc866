//! One value: from a node of the tree to data in SI, with its literal, checked for kind, unit and range.

mod lists;
mod ranged;

pub(crate) use ranged::{Ranged, ranged};

use giveway_units::{Dimension, UnitError, invisible, nearest, parse};

use crate::diagnostic::Said;
use crate::grammar::{Kind, Options, Row};
use crate::store::Data;
use crate::tree::{Content, Node, shortened};
use lists::{of_element, read_list, read_pairs, read_position};

/// A fault of a value: code and what to say.
pub(crate) type Fault = (&'static str, Said);

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

fn wrong_type(row: &Row, node: &Node) -> Fault {
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
        Said {
            message: format!(
                "this is {}, but {} is wanted",
                node.is(),
                short_kind(row.kind)
            ),
            found: Some(node.shown()),
            allowed: Some(wanted(row.kind)),
            suggestion,
        },
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
fn unit_fault(row: &Row, error: &UnitError, found: String) -> Fault {
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
    let suggestion = better.map(|text| match row.kind {
        Kind::Pairs(..) => quoted(&text),
        _ => format!("{} = {}", row.key(), quoted(&text)),
    });
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

fn read_quantity(row: &Row, node: &Node, dimension: Dimension) -> Result<(f64, String), Fault> {
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

fn read_number(row: &Row, node: &Node) -> Result<(f64, String), Fault> {
    let value: f64 = match &node.content {
        Content::Integer(text) | Content::Float(text) => match text.parse() {
            Ok(value) => value,
            Err(_) => return Err(wrong_type(row, node)),
        },
        Content::Text(text) => match parse(text, Dimension::Ratio) {
            Ok(quantity) if !quantity.unit.name.is_empty() => {
                return Ok((quantity.si, quoted(text.trim())));
            }
            Ok(_) => return Err(wrong_type(row, node)),
            Err(error @ UnitError::NonFinite { .. }) => {
                return Err(unit_fault(row, &error, node.shown()));
            }
            Err(_) => return Err(wrong_type(row, node)),
        },
        _ => return Err(wrong_type(row, node)),
    };
    if !value.is_finite() {
        return Err((
            "S024",
            Said {
                message: format!("`{}` is not a finite number", node.shown()),
                found: Some(node.shown()),
                allowed: Some(row.range_text(row.possible)),
                suggestion: None,
            },
        ));
    }
    Ok((value, float_literal(value)))
}

fn read_choice(row: &Row, text: &str, options: Options) -> Result<&'static str, Fault> {
    let names = options.names();
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some(name) = names.iter().find(|name| **name == squeezed) {
        return Ok(name);
    }
    Err((
        "S013",
        Said {
            message: format!("`{}` is not known here", shortened(text)),
            found: Some(format!("\"{}\"", shortened(text))),
            allowed: Some(names.join(", ")),
            suggestion: nearest(&squeezed, names.iter().copied())
                .map(|name| format!("{} = \"{name}\"", row.key())),
        },
    ))
}

/// Reads the value of a row. Ranges are not looked at here.
pub(crate) fn read(row: &Row, node: &Node) -> Result<Read, Fault> {
    let plain_text = || match (&node.content, &node.raw) {
        (Content::Text(text), _) => Some(text.clone()),
        // An override is text where text is wanted: `--set slip_base.bolt.grade=8.8`.
        (
            Content::Integer(_) | Content::Float(_) | Content::Flag(_) | Content::Date(_),
            Some(raw),
        ) => Some(raw.clone()),
        _ => None,
    };
    let (data, literal) = match row.kind {
        Kind::Quantity(dimension, _) => {
            let (si, literal) = read_quantity(row, node, dimension)?;
            (Data::Real(si), literal)
        }
        Kind::Number => {
            let (value, literal) = read_number(row, node)?;
            (Data::Real(value), literal)
        }
        Kind::Count => match &node.content {
            Content::Integer(text) => match text.parse::<i128>() {
                Ok(n) if (0..=1_000_000).contains(&n) => {
                    let n = usize::try_from(n).map_err(|_| wrong_type(row, node))?;
                    (Data::Count(n), n.to_string())
                }
                _ => {
                    return Err((
                        "S032",
                        Said {
                            message: "this number of them is not possible".into(),
                            found: Some(node.shown()),
                            allowed: Some(row.range_text(row.possible)),
                            suggestion: None,
                        },
                    ));
                }
            },
            _ => return Err(wrong_type(row, node)),
        },
        Kind::Flag => match &node.content {
            Content::Flag(flag) => (Data::Flag(*flag), flag.to_string()),
            _ => return Err(wrong_type(row, node)),
        },
        Kind::Text => {
            let text = plain_text().ok_or_else(|| wrong_type(row, node))?;
            // Notes may have lines.
            let lines = |c: char| row.path == "notes" && matches!(c, '\n' | '\t' | '\r');
            if let Some(c) = text.chars().find(|c| invisible(*c) && !lines(*c)) {
                return Err((
                    "S074",
                    Said {
                        message: format!(
                            "this text holds the invisible character U+{:04X}",
                            u32::from(c)
                        ),
                        found: Some(node.shown()),
                        allowed: Some("characters that can be seen".into()),
                        suggestion: None,
                    },
                ));
            }
            let literal = quoted(&text);
            (Data::Text(text), literal)
        }
        Kind::Choice(options) => {
            let text = plain_text().ok_or_else(|| wrong_type(row, node))?;
            let name = read_choice(row, &text, options)?;
            (Data::Text(name.to_owned()), quoted(name))
        }
        Kind::Choices(options) => {
            let Content::List(items) = &node.content else {
                return Err(wrong_type(row, node));
            };
            let mut names: Vec<String> = Vec::new();
            for item in items {
                let Content::Text(text) = &item.content else {
                    return Err(wrong_type(row, item));
                };
                let name = read_choice(row, text, options).map_err(of_element)?;
                if !names.iter().any(|n| n == name) {
                    names.push(name.to_owned());
                }
            }
            if names.is_empty() {
                return Err(wrong_type(row, node));
            }
            let literal = format!(
                "[{}]",
                names
                    .iter()
                    .map(|n| quoted(n))
                    .collect::<Vec<_>>()
                    .join(", ")
            );
            (Data::Texts(names), literal)
        }
        Kind::Pairs((a, _), (b, _)) => read_pairs(row, node, a, b)?,
        Kind::LengthOrName(names) => {
            if let Content::Text(text) = &node.content {
                let word = text.trim();
                if let Some(name) = names.iter().find(|name| **name == word) {
                    return Ok(Read {
                        data: Data::Text((*name).to_owned()),
                        literal: quoted(name),
                    });
                }
                if word.starts_with(|c: char| c.is_alphabetic()) {
                    return Err((
                        "S013",
                        Said {
                            message: format!(
                                "`{}` is not a place that is known here",
                                shortened(word)
                            ),
                            found: Some(node.shown()),
                            allowed: Some(wanted(row.kind)),
                            suggestion: nearest(word, names.iter().copied())
                                .map(|name| format!("{} = \"{name}\"", row.key())),
                        },
                    ));
                }
            }
            let (si, literal) = read_quantity(row, node, Dimension::Length)?;
            (Data::Real(si), literal)
        }
        Kind::Quantities(dimension, _) => {
            let (values, literal) =
                read_list(row, node, |node| read_quantity(row, node, dimension))?;
            if values.is_empty() {
                return Err(wrong_type(row, node));
            }
            (Data::Reals(values), literal)
        }
        Kind::Numbers => {
            let (numbers, literal) = read_list(row, node, |node| read_position(row, node))?;
            (Data::Counts(numbers), literal)
        }
    };
    Ok(Read { data, literal })
}
