//! The grammar of a scenario file, as one table.
//!
//! Every key is a [`Row`]: path, kind, default (or why there is none), possible and plausible range, meaning.
//! Parser, diagnostics, resolved copy, JSON Schema and reference page all read these rows and nothing else.

mod as_found_rows;
mod base_rows;
mod event_rows;
mod fastener_rows;
mod row;
mod run_rows;
mod sections;
mod site_and_support_rows;
mod vehicle_rows;

use std::collections::BTreeMap;
use std::sync::LazyLock;

pub use row::{Fallback, Kind, Options, Row};
pub use sections::{LISTS, List, SECTIONS, Section};

pub(crate) use row::Made;

/// Limits that may be overridden: name in the file, key in the model.
pub(crate) fn limits() -> &'static [(&'static str, &'static str)] {
    run_rows::LIMITS
}

/// Every key, in the order of the resolved copy and of the reference page.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    [
        &[site_and_support_rows::TITLE_AND_SITE, event_rows::SITE],
        site_and_support_rows::SUPPORT,
        base_rows::ROWS,
        &[as_found_rows::ROWS],
        vehicle_rows::ROWS,
        &[
            event_rows::SKIN,
            run_rows::IMPACT,
            event_rows::FLIGHT,
            run_rows::ROWS,
        ],
    ]
    .into_iter()
    .flatten()
    .copied()
    .flatten()
}

/// The row of a grammar path such as `support.arm[].reach`.
pub(crate) fn row(path: &str) -> Option<&'static Row> {
    static BY_PATH: LazyLock<BTreeMap<&str, &Row>> =
        LazyLock::new(|| rows().map(|row| (row.path, row)).collect());
    BY_PATH.get(path).copied()
}

/// The row of a path in a scenario: `support.arm[2].reach`, `vehicle.front.band[bumper].lower`.
pub fn row_at(path: &str) -> Option<&'static Row> {
    if !path.contains('[') {
        return row(path);
    }
    let mut generic = String::with_capacity(path.len());
    let mut inside = false;
    for c in path.chars() {
        inside &= c != ']';
        if !inside {
            generic.push(c);
        }
        inside |= c == '[';
    }
    row(&generic)
}

/// The list of a grammar path such as `support.arm` (without brackets).
pub(crate) fn list(path: &str) -> Option<&'static List> {
    LISTS.iter().find(|list| list.path == path)
}

/// Whether a grammar path is a section: some key lies below it.
pub(crate) fn is_section(path: &str) -> bool {
    rows().any(|row| {
        row.path
            .strip_prefix(path)
            .is_some_and(|rest| rest.starts_with('.'))
    })
}

/// The keys, sections and lists directly below a grammar path (empty = the file).
pub(crate) fn children(path: &str) -> Vec<&'static str> {
    let mut names: Vec<&'static str> = Vec::new();
    for row in rows() {
        let rest = if path.is_empty() {
            Some(row.path)
        } else {
            row.path
                .strip_prefix(path)
                .and_then(|rest| rest.strip_prefix('.'))
        };
        let Some(rest) = rest else { continue };
        let name = rest.split(['.', '[']).next().unwrap_or(rest);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}
