//! Reads a table of reference values and compares every case with what is computed under its id.

use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::Path;

/// A file of `tests/data`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    #[serde(rename = "about")]
    _about: String,
    case: Vec<Case>,
}

/// One reference value.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    source: String,
    mark: String,
    quantity: String,
    expected: f64,
    tolerance: f64,
    why_this_tolerance: String,
}

/// Compares a whole table; `compute` gives the value by id, none for an id that it does not know.
pub fn compare(file: &str, compute: impl Fn(&str) -> Option<f64>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(file);
    let text = std::fs::read_to_string(&path).expect("table of reference values");
    let table: Table = toml::from_str(&text).expect("well-formed table");
    let mut seen = BTreeSet::new();
    let mut misses = Vec::new();
    for case in &table.case {
        let id = &case.id;
        assert!(seen.insert(id.clone()), "{file}: {id} stands twice");
        assert!(
            ["seen", "recalled", "derived"].contains(&case.mark.as_str()),
            "{file}: mark of {id}"
        );
        assert!(!case.source.is_empty() && !case.why_this_tolerance.is_empty());
        let value = compute(id).unwrap_or_else(|| panic!("{file}: nothing computes {id}"));
        let miss = (value - case.expected).abs();
        if miss.is_nan() || miss > case.tolerance {
            misses.push(format!(
                "{id} ({}): computed {value}, expected {} +/- {}",
                case.quantity, case.expected, case.tolerance
            ));
        }
    }
    assert!(misses.is_empty(), "{file}:\n{}", misses.join("\n"));
}
