//! Values against the possible and the plausible range of their row.

use giveway_units::{edit_distance, parse, shown_in};

use super::fault::{Fault, Read};
use crate::diagnostic::Said;
use crate::grammar::{Kind, Row};
use crate::store::Data;

/// How a value lies in the ranges of its row.
pub(crate) enum Ranged {
    Plausible,
    Implausible(Said),
    Impossible(Fault),
}

/// Holds the value against the possible and the plausible range.
pub(crate) fn ranged(row: &Row, read: &Read) -> Ranged {
    let value = match &read.data {
        Data::Real(value) => *value,
        // Counts are small whole numbers.
        Data::Count(n) => *n as f64,
        Data::Reals(values) => return ranged_list(row, values),
        _ => return Ranged::Plausible,
    };
    one_ranged(row, value, read.literal.trim_matches('"').to_owned())
}

/// The worst entry of a list counts; the first of several alike.
fn ranged_list(row: &Row, values: &[f64]) -> Ranged {
    let mut worst = Ranged::Plausible;
    for &value in values {
        let found = match row.kind.measure() {
            Some((dimension, unit)) => shown_in(value, dimension, unit, 6),
            None => giveway_units::shortest_number(value),
        };
        match (one_ranged(row, value, found), &worst) {
            (fault @ Ranged::Impossible(_), _) => return fault,
            (said @ Ranged::Implausible(_), Ranged::Plausible) => worst = said,
            _ => {}
        }
    }
    worst
}

fn one_ranged(row: &Row, value: f64, found: String) -> Ranged {
    let inside = |(low, high): (f64, f64)| low <= value && value <= high;
    if !inside(row.possible) {
        let code = if matches!(row.kind, Kind::Count) {
            "S032"
        } else {
            "S030"
        };
        return Ranged::Impossible((
            code,
            Said {
                message: "this value is not possible".into(),
                found: Some(found.clone()),
                allowed: Some(row.range_text(row.possible)),
                suggestion: meant(row, &found),
            },
        ));
    }
    if !inside(row.plausible) {
        return Ranged::Implausible(Said {
            message: "this value is possible but unusual".into(),
            found: Some(found.clone()),
            allowed: Some(format!("usual: {}", row.range_text(row.plausible))),
            suggestion: meant(row, &found),
        });
    }
    Ranged::Plausible
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
