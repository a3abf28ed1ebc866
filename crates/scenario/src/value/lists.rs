//! Values that are lists: of quantities, of numbers that count from 1, of pairs.

use giveway_units::Dimension;

use super::fault::{Fault, read_quantity, wanted, wrong_type};
use crate::diagnostic::Said;
use crate::grammar::Row;
use crate::store::Data;
use crate::tree::{Content, Node};

/// A fault of an element of a list: the suggestion is the element, not a whole line.
pub(super) fn of_element((code, mut said): Fault) -> Fault {
    said.suggestion = said
        .suggestion
        .map(|s| s.rsplit(" = ").next().unwrap_or_default().to_owned());
    (code, said)
}

/// Most entries of a list of values.
const MOST_ENTRIES: usize = 24;

/// A list of values, or one value that stands for a list of one; the literal is always a list.
pub(super) fn read_list<T>(
    row: &Row,
    node: &Node,
    read: impl Fn(&Node) -> Result<(T, String), Fault>,
) -> Result<(Vec<T>, String), Fault> {
    let Content::List(items) = &node.content else {
        let (value, literal) = read(node)?;
        return Ok((vec![value], format!("[{literal}]")));
    };
    if items.len() > MOST_ENTRIES {
        return Err((
            "S032",
            Said {
                message: "too many entries".into(),
                found: Some(format!("{} entries", items.len())),
                allowed: Some(format!("at most {MOST_ENTRIES}: {}", wanted(row.kind))),
                suggestion: None,
            },
        ));
    }
    let mut values = Vec::with_capacity(items.len());
    let mut literals = Vec::with_capacity(items.len());
    for item in items {
        let (value, literal) = read(item).map_err(of_element)?;
        values.push(value);
        literals.push(literal);
    }
    Ok((values, format!("[{}]", literals.join(", "))))
}

/// A number that counts from 1.
pub(super) fn read_position(row: &Row, node: &Node) -> Result<(usize, String), Fault> {
    let Content::Integer(text) = &node.content else {
        return Err(wrong_type(row, node));
    };
    match text.parse::<i128>().map(usize::try_from) {
        Ok(Ok(number)) if (1..=1000).contains(&number) => Ok((number, number.to_string())),
        _ => Err((
            "S070",
            Said {
                message: "there is no such number: they count from 1".into(),
                found: Some(node.shown()),
                allowed: Some(wanted(row.kind)),
                suggestion: None,
            },
        )),
    }
}

/// Most points of a polyline.
const MOST_POINTS: usize = 200;

pub(super) fn read_pairs(
    row: &Row,
    node: &Node,
    a: Dimension,
    b: Dimension,
) -> Result<(Data, String), Fault> {
    let Content::List(items) = &node.content else {
        return Err(wrong_type(row, node));
    };
    if items.len() > MOST_POINTS {
        return Err((
            "S032",
            Said {
                message: "too many points".into(),
                found: Some(format!("{} points", items.len())),
                allowed: Some(format!("at most {MOST_POINTS}")),
                suggestion: None,
            },
        ));
    }
    let mut pairs = Vec::with_capacity(items.len());
    let mut literals = Vec::with_capacity(items.len());
    for item in items {
        let Content::List(pair) = &item.content else {
            return Err(wrong_type(row, item));
        };
        let [first, second] = pair.as_slice() else {
            return Err(wrong_type(row, item));
        };
        let (x, x_text) = read_quantity(row, first, a)?;
        let (y, y_text) = read_quantity(row, second, b)?;
        pairs.push((x, y));
        literals.push(format!("[{x_text}, {y_text}]"));
    }
    Ok((Data::Pairs(pairs), format!("[{}]", literals.join(", "))))
}
