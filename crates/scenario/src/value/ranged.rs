//! Values against the possible and the plausible range of their row.

use giveway_units::{edit_distance, parse, shown_in};

use super::fault::{Faults, Read};
use crate::diagnostic::{Place, Said};
use crate::grammar::{Kind, Row};
use crate::store::Data;
use crate::tree::{Content, Node};

/// How a value lies in the ranges of its row.
pub(crate) enum Ranged {
    Plausible,
    /// It is unusual, or the first of a list that is.
    Implausible(Place, Said),
    /// What is impossible: every such element of a list.
    Impossible(Faults),
}

/// Holds the value against the possible and the plausible range.
pub(crate) fn ranged(row: &Row, node: &Node, read: &Read) -> Ranged {
    let literal = || read.literal.trim_matches('"').to_owned();
    let values: Vec<(Place, f64, String)> = match &read.data {
        Data::Real(value) => vec![(node.place, *value, literal())],
        // Counts are small whole numbers.
        Data::Count(n) => vec![(node.place, *n as f64, literal())],
        Data::Reals(values) => {
            let place = |i: usize| match &node.content {
                Content::List(items) => items.get(i).map_or(node.place, |item| item.place),
                _ => node.place,
            };
            let found = |value: f64| match row.kind.measure() {
                Some((dimension, unit)) => shown_in(value, dimension, unit, 6),
                None => giveway_units::shortest_number(value),
            };
            let each = values.iter().enumerate();
            each.map(|(i, v)| (place(i), *v, found(*v))).collect()
        }
        _ => return Ranged::Plausible,
    };
    let (mut impossible, mut unusual) = (Vec::new(), None);
    for (place, value, found) in values {
        let inside = |(low, high): (f64, f64)| low <= value && value <= high;
        let said = |message: &str, allowed: String| {
            Said::that(message)
                .found(found.clone())
                .allowed(allowed)
                .hint_of(meant(row, &found))
        };
        if !inside(row.possible) {
            let code = if matches!(row.kind, Kind::Count) {
                "S032"
            } else {
                "S030"
            };
            let said = said("this value is not possible", row.range_text(row.possible));
            impossible.push((place, (code, said)));
        } else if !inside(row.plausible) && unusual.is_none() {
            let usual = format!("usual: {}", row.range_text(row.plausible));
            let said = said("this value is possible but unusual", usual);
            unusual = Some((place, said));
        }
    }
    match unusual {
        _ if !impossible.is_empty() => Ranged::Impossible(impossible),
        Some((place, said)) => Ranged::Implausible(place, said),
        None => Ranged::Plausible,
    }
}

/// A value this many times beyond the plausible range looks like a slip in the unit; nearer ones are unusual values.
const SLIP: f64 = 4.0;

/// The same number in another unit, where that is plausible and a slip likely: `50 km/s` was meant as `50 km/h`.
fn meant(row: &Row, found: &str) -> Option<String> {
    let Kind::Quantity(dimension, _) = row.kind else {
        return None;
    };
    let quantity = parse(found, dimension).ok()?;
    let (least, most) = row.plausible;
    let size = quantity.si.abs();
    let slipped = size > SLIP * most.abs().max(least.abs()) || (least > 0.0 && SLIP * size < least);
    if !slipped {
        return None;
    }
    dimension
        .units()
        .iter()
        .filter(|unit| unit.name != quantity.unit.name)
        .filter(|unit| {
            let si = unit.to_si(quantity.number);
            row.plausible.0 <= si && si <= row.plausible.1 && row.plausible.0.is_finite()
        })
        .min_by_key(|unit| edit_distance(unit.name, quantity.unit.name))
        .map(|unit| {
            let number = giveway_units::shortest_number(quantity.number);
            let text = format!("{} = \"{number} {}\"", row.key(), unit.name);
            let in_usual = match row.kind {
                Kind::Quantity(_, usual) if usual != unit.name => {
                    format!(
                        " ({})",
                        shown_in(unit.to_si(quantity.number), dimension, usual, 4)
                    )
                }
                _ => String::new(),
            };
            format!("did you mean {}? write {text}{in_usual}", unit.name)
        })
}
