//! One value: from a node of the tree to data in SI, with its literal, checked for kind, unit and range.

mod fault;
mod lists;
mod ranged;

pub(crate) use fault::{Fault, Faults, Read, float_literal, quoted, units, wanted};
pub(crate) use ranged::{Ranged, ranged};

use giveway_units::{Dimension, UnitError, invisible, nearest, parse};

use crate::diagnostic::Said;
use crate::grammar::{Kind, Options, Row};
use crate::store::Data;
use crate::tree::{Content, Node, shortened};
use fault::{read_quantity, unit_fault, wrong_type};
use lists::{each, read_list, read_pairs, read_position};

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
            Said::that(format!("`{}` is not a finite number", node.shown()))
                .found(node.shown())
                .allowed(row.range_text(row.possible)),
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
        Said::that(format!("`{}` is not known here", shortened(text)))
            .found(format!("\"{}\"", shortened(text)))
            .allowed(names.join(", "))
            .hint_of(
                nearest(&squeezed, names.iter().copied())
                    .map(|name| format!("{} = \"{name}\"", row.key())),
            ),
    ))
}

fn read_count(row: &Row, node: &Node) -> Result<usize, Fault> {
    let Content::Integer(text) = &node.content else {
        return Err(wrong_type(row, node));
    };
    match text.parse::<i128>() {
        Ok(n) if (0..=1_000_000).contains(&n) => {
            usize::try_from(n).map_err(|_| wrong_type(row, node))
        }
        _ => Err((
            "S032",
            Said::that("this number of them is not possible")
                .found(node.shown())
                .allowed(row.range_text(row.possible)),
        )),
    }
}

/// A text without characters that cannot be seen; notes may have lines.
fn all_seen(row: &Row, node: &Node, text: &str) -> Result<(), Fault> {
    let lines = |c: char| row.path == "notes" && matches!(c, '\n' | '\t' | '\r');
    let Some(c) = text.chars().find(|c| invisible(*c) && !lines(*c)) else {
        return Ok(());
    };
    Err((
        "S074",
        Said::that(format!(
            "this text holds the invisible character U+{:04X}",
            u32::from(c)
        ))
        .found(node.shown())
        .allowed("characters that can be seen"),
    ))
}

/// Named choices, each once, at least one.
fn read_choices(row: &Row, node: &Node, options: Options) -> Result<Vec<String>, Faults> {
    let items = match &node.content {
        Content::List(items) if !items.is_empty() => items,
        _ => return Err(vec![(node.place, wrong_type(row, node))]),
    };
    let all = each(items, |item| match &item.content {
        Content::Text(text) => read_choice(row, text, options),
        _ => Err(wrong_type(row, item)),
    })?;
    let mut names: Vec<String> = Vec::new();
    for name in all {
        if !names.iter().any(|n| n == name) {
            names.push(name.to_owned());
        }
    }
    Ok(names)
}

/// The named place that a text is; none for a length.
fn read_place(
    row: &Row,
    node: &Node,
    names: &'static [&'static str],
) -> Result<Option<&'static str>, Fault> {
    let Content::Text(text) = &node.content else {
        return Ok(None);
    };
    let word = text.trim();
    if let Some(name) = names.iter().find(|name| **name == word) {
        return Ok(Some(name));
    }
    if !word.starts_with(|c: char| c.is_alphabetic()) {
        return Ok(None);
    }
    Err((
        "S013",
        Said::that(format!(
            "`{}` is not a place that is known here",
            shortened(word)
        ))
        .found(node.shown())
        .allowed(wanted(row.kind))
        .hint_of(
            nearest(word, names.iter().copied()).map(|name| format!("{} = \"{name}\"", row.key())),
        ),
    ))
}

/// Reads the value of a row. Ranges are not looked at here.
pub(crate) fn read(row: &Row, node: &Node) -> Result<Read, Faults> {
    let (data, literal) = match row.kind {
        Kind::Choices(options) => {
            let names = read_choices(row, node, options)?;
            let literals: Vec<_> = names.iter().map(|n| quoted(n)).collect();
            (Data::Texts(names), format!("[{}]", literals.join(", ")))
        }
        Kind::Pairs((a, _), (b, _)) => read_pairs(row, node, a, b)?,
        Kind::Quantities(dimension, _) => {
            let (values, literal) =
                read_list(row, node, |node| read_quantity(row, node, dimension))?;
            if values.is_empty() {
                return Err(vec![(node.place, wrong_type(row, node))]);
            }
            (Data::Reals(values), literal)
        }
        Kind::Numbers => {
            let (numbers, literal) = read_list(row, node, |node| read_position(row, node))?;
            (Data::Counts(numbers), literal)
        }
        _ => return read_one(row, node).map_err(|fault| vec![(node.place, fault)]),
    };
    Ok(Read { data, literal })
}

/// The same of a value that is no list.
fn read_one(row: &Row, node: &Node) -> Result<Read, Fault> {
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
        Kind::Count => {
            let n = read_count(row, node)?;
            (Data::Count(n), n.to_string())
        }
        Kind::Flag => match &node.content {
            Content::Flag(flag) => (Data::Flag(*flag), flag.to_string()),
            _ => return Err(wrong_type(row, node)),
        },
        Kind::Text => {
            let text = plain_text().ok_or_else(|| wrong_type(row, node))?;
            all_seen(row, node, &text)?;
            let literal = quoted(&text);
            (Data::Text(text), literal)
        }
        Kind::Choice(options) => {
            let text = plain_text().ok_or_else(|| wrong_type(row, node))?;
            let name = read_choice(row, &text, options)?;
            (Data::Text(name.to_owned()), quoted(name))
        }
        Kind::LengthOrName(names) => {
            if let Some(name) = read_place(row, node, names)? {
                return Ok(Read {
                    data: Data::Text(name.to_owned()),
                    literal: quoted(name),
                });
            }
            let (si, literal) = read_quantity(row, node, Dimension::Length)?;
            (Data::Real(si), literal)
        }
        Kind::Choices(_) | Kind::Pairs(..) | Kind::Quantities(..) | Kind::Numbers => {
            return Err(wrong_type(row, node));
        }
    };
    Ok(Read { data, literal })
}
