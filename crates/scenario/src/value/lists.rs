//! Values that are lists: of quantities, of numbers that count from 1, of pairs.

use giveway_units::Dimension;

use super::fault::{Fault, Faults, read_quantity, wanted, wrong_type};
use crate::diagnostic::{Place, Said};
use crate::grammar::Row;
use crate::store::Data;
use crate::tree::{Content, Node};

/// Every element of a list; the faults of all of them.
pub(super) fn each<T>(
    items: &[Node],
    read: impl Fn(&Node) -> Result<T, Fault>,
) -> Result<Vec<T>, Faults> {
    let (mut values, mut faults) = (Vec::with_capacity(items.len()), Vec::new());
    for item in items {
        match read(item) {
            Ok(value) => values.push(value),
            Err(fault) => faults.push(of_element(item, fault)),
        }
    }
    if faults.is_empty() {
        Ok(values)
    } else {
        Err(faults)
    }
}

/// A fault of an element of a list: the suggestion is the element, not a whole line.
fn of_element(item: &Node, (code, mut said): Fault) -> (Place, Fault) {
    said.suggestion = said
        .suggestion
        .map(|s| s.rsplit(" = ").next().unwrap_or_default().to_owned());
    (item.place, (code, said))
}

/// A list that is longer than it may be.
fn too_many(node: &Node, of: &str, found: usize, allowed: String) -> Faults {
    let said = Said::that(format!("too many {of}"))
        .found(format!("{found} {of}"))
        .allowed(allowed);
    vec![(node.place, ("S032", said))]
}

/// Most entries of a list of values.
const MOST_ENTRIES: usize = 24;

/// A list of values, or one value that stands for a list of one; the literal is always a list.
pub(super) fn read_list<T>(
    row: &Row,
    node: &Node,
    read: impl Fn(&Node) -> Result<(T, String), Fault>,
) -> Result<(Vec<T>, String), Faults> {
    let Content::List(items) = &node.content else {
        let (value, literal) = read(node).map_err(|fault| vec![(node.place, fault)])?;
        return Ok((vec![value], format!("[{literal}]")));
    };
    if items.len() > MOST_ENTRIES {
        let allowed = format!("at most {MOST_ENTRIES}: {}", wanted(row.kind));
        return Err(too_many(node, "entries", items.len(), allowed));
    }
    let (values, literals): (Vec<T>, Vec<String>) = each(items, read)?.into_iter().unzip();
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
            Said::that("there is no such number: they count from 1")
                .found(node.shown())
                .allowed(wanted(row.kind)),
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
) -> Result<(Data, String), Faults> {
    let Content::List(items) = &node.content else {
        return Err(vec![(node.place, wrong_type(row, node))]);
    };
    if items.len() > MOST_POINTS {
        let allowed = format!("at most {MOST_POINTS}");
        return Err(too_many(node, "points", items.len(), allowed));
    }
    let (mut pairs, mut literals, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for item in items {
        let pair = match &item.content {
            Content::List(pair) => pair.as_slice(),
            _ => &[],
        };
        let [first, second] = pair else {
            faults.push((item.place, wrong_type(row, item)));
            continue;
        };
        let read = |node, dimension| read_quantity(row, node, dimension);
        match (read(first, a), read(second, b)) {
            (Ok((x, x_text)), Ok((y, y_text))) => {
                pairs.push((x, y));
                literals.push(format!("[{x_text}, {y_text}]"));
            }
            (x, y) => {
                faults.extend(x.err().map(|fault| of_element(first, fault)));
                faults.extend(y.err().map(|fault| of_element(second, fault)));
            }
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok((Data::Pairs(pairs), format!("[{}]", literals.join(", "))))
}
