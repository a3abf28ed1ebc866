//! Which inputs of two scenarios differ, path by path, with units.

use std::collections::BTreeMap;

use giveway_scenario::{Diagnostic, ResolvedValue, values};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::tolerance::Tolerances;

/// An input that differs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct InputChange {
    /// Path in the scenario file, for example `impact.speed`.
    pub path: String,
    /// The old value with its unit; null where the old scenario has none.
    pub old: Option<String>,
    /// The new value with its unit; null where the new scenario has none.
    pub new: Option<String>,
    /// New minus old over the larger magnitude, for numbers.
    pub relative: Option<f64>,
}

/// Inputs that differ beyond the tolerances, in the order of the grammar, and the paths of all inputs.
///
/// # Errors
/// The first problem of a scenario that this version does not read.
pub(super) fn input_changes(
    [old, new]: [&str; 2],
    tolerances: &Tolerances,
) -> Result<(Vec<InputChange>, Vec<String>), String> {
    let said = |list: Vec<Diagnostic>| {
        let first = list.into_iter().next();
        first.map_or_else(String::new, |d| {
            format!("{}: {}: {}", d.code, d.path, d.message)
        })
    };
    let old = values(old, "the old scenario").map_err(said)?;
    let new = values(new, "the new scenario").map_err(said)?;
    let by_path = |list: &[ResolvedValue]| -> BTreeMap<String, ResolvedValue> {
        list.iter().map(|v| (v.path.clone(), v.clone())).collect()
    };
    let (a, b) = (by_path(&old), by_path(&new));
    let mut paths: Vec<String> = old.iter().map(|v| v.path.clone()).collect();
    paths.extend(
        new.iter()
            .map(|v| v.path.clone())
            .filter(|p| !a.contains_key(p)),
    );
    let mut changes = Vec::new();
    for path in &paths {
        let (x, y) = (a.get(path), b.get(path));
        let numbers = x.and_then(|v| v.si).zip(y.and_then(|v| v.si));
        let same = match (x, y, numbers) {
            (.., Some((x, y))) => tolerances.same(path, x, y),
            (Some(x), Some(y), None) => x.same(y),
            _ => false,
        };
        if !same {
            let text = |v: Option<&ResolvedValue>| v.map(|v| v.text.clone());
            changes.push(InputChange {
                path: path.clone(),
                old: text(x),
                new: text(y),
                relative: numbers.and_then(|(x, y)| relative(x, y)),
            });
        }
    }
    Ok((changes, paths))
}

/// (b - a) / max(|a|, |b|); none where both are zero.
pub(super) fn relative(a: f64, b: f64) -> Option<f64> {
    let size = a.abs().max(b.abs());
    (size > 0.0).then(|| (b - a) / size)
}
