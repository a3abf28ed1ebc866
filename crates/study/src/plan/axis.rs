//! Axes of the grid: a path and its values.

use giveway_scenario::grammar::{Kind, row_at};
use giveway_units::{Dimension, in_unit, parse, shortest_number};

use super::finding::{Findings, Said};
use super::item::{Content, Item, unknown};

/// Most values of one axis.
const MOST_VALUES: u64 = 100_000;

/// A path and its values, as after `--set`.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    pub path: String,
    pub values: Vec<String>,
    /// Place of each value in the file.
    pub places: Vec<usize>,
    pub at: usize,
}

/// Keys of a range.
const RANGE: [&str; 4] = ["from", "to", "steps", "spacing"];

/// Whether a table is a range and not a section of the scenario.
pub(super) fn is_range(entries: &[(String, Item)]) -> bool {
    entries.iter().any(|(key, _)| RANGE.contains(&key.as_str())) || entries.is_empty()
}

/// Reads the values of a path.
pub(super) fn axis(path: &str, item: &Item, findings: &mut Findings<'_>) -> Option<Axis> {
    let (values, places) = match &item.content {
        Content::List(items) => (
            items.iter().map(|i| i.raw.clone()).collect::<Vec<_>>(),
            items.iter().map(|i| i.at).collect(),
        ),
        Content::Table(entries) => {
            let values = range(path, item, entries, findings)?;
            let places = vec![item.at; values.len()];
            (values, places)
        }
        _ => {
            item.wrong(
                path,
                "a list of values or a range { from, to, steps }",
                findings,
            );
            return None;
        }
    };
    if values.is_empty() {
        let said = Said::that("an axis without a value leaves no run");
        findings.add("T012", item.at, path, said.allowed("one value or more"));
        return None;
    }
    Some(Axis {
        path: path.to_owned(),
        values,
        places,
        at: item.at,
    })
}

/// One end of a range: its number, and the unit in which it was written.
fn end(
    path: &str,
    item: &Item,
    dimension: Option<Dimension>,
    findings: &mut Findings<'_>,
) -> Option<(f64, &'static str)> {
    let read = match dimension {
        Some(dimension) => parse(&item.raw, dimension)
            .map(|q| (q.number, q.unit.name))
            .map_err(|e| e.to_string()),
        None => match item.content {
            Content::Number(number) if number.is_finite() => Ok((number, "")),
            _ => Err("this is no finite number".to_owned()),
        },
    };
    match read {
        Ok(end) => Some(end),
        Err(problem) => {
            let said = Said::that(problem).found(item.raw.clone());
            findings.add("T020", item.at, path, said);
            None
        }
    }
}

fn range(
    path: &str,
    item: &Item,
    entries: &[(String, Item)],
    findings: &mut Findings<'_>,
) -> Option<Vec<String>> {
    let of = |key: &str| entries.iter().find(|(k, _)| k == key).map(|(_, i)| i);
    for (key, inner) in entries {
        if !RANGE.contains(&key.as_str()) {
            unknown(key, inner, &RANGE, "in a range", findings);
        }
    }
    let mut fault = |said: Said| {
        findings.add("T020", item.at, path, said);
        None
    };
    let (Some(from), Some(to), Some(steps)) = (of("from"), of("to"), of("steps")) else {
        let said = Said::that("a range needs `from`, `to` and `steps`");
        return fault(said.hint("{ from = \"50 N.m\", to = \"400 N.m\", steps = 8 }"));
    };
    let dimension = match row_at(path).map(|row| row.kind) {
        Some(Kind::Quantity(dimension, _)) => Some(dimension),
        Some(Kind::LengthOrName(_)) => Some(Dimension::Length),
        Some(Kind::Number | Kind::Count) => None,
        Some(_) => {
            let said = Said::that("only numbers have a range; list the values instead");
            return fault(said);
        }
        // The scenario's own reader says what is wrong with the path.
        None => return Some(vec![from.raw.clone()]),
    };
    let by_ratio = match of("spacing").map(|i| i.raw.as_str()) {
        None | Some("even") => false,
        Some("ratio") => true,
        Some(other) => {
            let said = Said::that("this spacing is not known");
            return fault(said.found(other).allowed("even, ratio"));
        }
    };
    let count = steps.whole(path, findings)?;
    let (low, unit) = end(path, from, dimension, findings)?;
    let (high, high_unit) = end(path, to, dimension, findings)?;
    // Both in the unit of `from`.
    let high = match dimension {
        Some(d) if high_unit != unit => in_unit(parse(&to.raw, d).ok()?.si, d, unit),
        _ => high,
    };
    let mut fault = |said: Said| {
        findings.add("T020", item.at, path, said);
        None
    };
    if low >= high {
        let said = Said::that("the range does not run upward")
            .found(format!("{} to {}", from.raw, to.raw))
            .hint(format!("from = {:?}, to = {:?}", to.raw, from.raw));
        return fault(said);
    }
    if !(2..=MOST_VALUES).contains(&count) {
        let said = Said::that("a range has this many values, both ends counted");
        return fault(
            said.found(count.to_string())
                .allowed(format!("2 to {MOST_VALUES}")),
        );
    }
    if by_ratio && low <= 0.0 {
        return fault(Said::that("values by ratio start above zero").found(from.raw.clone()));
    }
    let whole = matches!(row_at(path).map(|r| r.kind), Some(Kind::Count));
    // Both are small whole numbers.
    let intervals = (count - 1) as f64;
    Some(
        (0..count)
            .map(|i| {
                let part = i as f64 / intervals;
                let value = if i + 1 == count {
                    high
                } else if by_ratio {
                    low * libm::pow(high / low, part)
                } else {
                    low + (high - low) * part
                };
                let value = if whole { value.round() } else { value };
                format!("{} {unit}", shortest_number(value))
                    .trim()
                    .to_owned()
            })
            .collect(),
    )
}
