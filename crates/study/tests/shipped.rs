//! The summary of every shipped scenario against the one that was accepted: it catches change, and proves nothing.
//!
//! A snapshot holds the numbers of `summary.json` to nine digits, with the counts of work, and its words without those
//! that stand in tables (titles, sources, advice). A change that is meant is accepted with
//! `INSTA_UPDATE=always cargo test -p giveway-study --test shipped`; look at the difference before it is committed.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use giveway_study::compute_with_conditions;
use rayon::prelude::*;
use serde_json::Value;

/// Folders of `scenarios/` that hold other documents.
const OTHER_DOCUMENTS: [&str; 6] = [
    "laboratory",
    "lessons",
    "published/evidence.toml",
    "site/profiles",
    "site/records",
    "studies",
];
/// Words out of tables, the same in every run.
const OUT_OF_TABLES: [&str; 11] = [
    "advice",
    "caution",
    "document",
    "essential",
    "key",
    "mark",
    "preferred_mark",
    "put_right",
    "source",
    "title",
    "unit",
];
/// Digits that are compared.
const DIGITS: usize = 9;
/// Below this a number is rounding.
const NOTHING: f64 = 1e-12;

#[test]
fn every_shipped_scenario_gives_what_was_accepted() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let files = scenarios(&folder, Path::new(""));
    assert!(files.len() >= 50, "only {} scenarios", files.len());
    let texts: Vec<(String, String)> = files
        .par_iter()
        .map(|file| {
            let name = file.with_extension("").display().to_string();
            (name.replace(['/', '\\'], "__"), summary(&folder.join(file)))
        })
        .collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.set_snapshot_path("snapshots");
    // All of them, so that one call accepts all of them.
    let moved: Vec<&String> = texts
        .iter()
        .filter(|(name, text)| {
            let same = || settings.bind(|| insta::assert_snapshot!(name.as_str(), text));
            catch_unwind(AssertUnwindSafe(same)).is_err()
        })
        .map(|(name, _)| name)
        .collect();
    assert!(moved.is_empty(), "these have changed: {moved:?}");
}

#[test]
fn every_snapshot_has_its_scenario() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = scenarios(&root.join("../../scenarios"), Path::new(""));
    for entry in std::fs::read_dir(root.join("tests/snapshots")).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|e| e == "snap") {
            let stem = path.file_stem().expect("a name").to_string_lossy();
            let scenario = PathBuf::from(format!("{}.toml", stem.replace("__", "/")));
            assert!(files.contains(&scenario), "{stem} has no scenario any more");
        }
    }
}

/// Scenario files below a folder, in order.
fn scenarios(folder: &Path, inside: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder.join(inside)).expect("a readable folder");
    let mut files = Vec::new();
    for entry in entries {
        let entry = entry.expect("an entry");
        let path = inside.join(entry.file_name());
        if OTHER_DOCUMENTS.iter().any(|other| path == Path::new(other)) {
            continue;
        }
        if entry.path().is_dir() {
            files.extend(scenarios(folder, &path));
        } else if path.extension().is_some_and(|e| e == "toml") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// The summary of a scenario, one value a line.
fn summary(file: &Path) -> String {
    let shown = file.display().to_string();
    let text = std::fs::read_to_string(file).expect("a readable file");
    let loaded = giveway_scenario::read(&text, &shown, &[]).unwrap_or_else(|e| panic!("{e:?}"));
    let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
        .unwrap_or_else(|e| panic!("{shown}: {e}"));
    let value = serde_json::to_value(&computed.summary).expect("plain data");
    let mut lines = Vec::new();
    flatten("", &value, &mut lines);
    lines.join("\n")
}

fn flatten(path: &str, value: &Value, lines: &mut Vec<String>) {
    let join = |key: &str| {
        let dot = if path.is_empty() { "" } else { "." };
        format!("{path}{dot}{key}")
    };
    match value {
        Value::Object(map) => {
            for (key, inside) in map {
                if !OUT_OF_TABLES.contains(&key.as_str()) {
                    flatten(&join(key), inside, lines);
                }
            }
        }
        // Short lists of numbers stay on one line.
        Value::Array(list) if list.iter().all(|v| !v.is_object() && !v.is_array()) => {
            let list: Vec<String> = list.iter().map(leaf).collect();
            lines.push(format!("{path} = [{}]", list.join(", ")));
        }
        Value::Array(list) => {
            for (i, inside) in list.iter().enumerate() {
                let name = ["key", "set", "kind", "word", "number"]
                    .iter()
                    .find_map(|key| inside.get(key))
                    .map_or_else(|| (i + 1).to_string(), |name| leaf(name).replace('"', ""));
                flatten(&format!("{path}[{name}]"), inside, lines);
            }
        }
        Value::Null => {}
        other => lines.push(format!("{path} = {}", leaf(other))),
    }
}

fn leaf(value: &Value) -> String {
    match value.as_f64() {
        Some(x) if value.is_f64() => rounded(x).to_string(),
        _ => value.to_string(),
    }
}

fn rounded(x: f64) -> f64 {
    if x.abs() < NOTHING {
        return 0.0;
    }
    let text = format!("{x:.*e}", DIGITS - 1);
    text.parse().expect("a number")
}

#[test]
fn numbers_are_compared_to_nine_digits() {
    assert_eq!(rounded(1.986_212_656_679_205_8), 1.986_212_66);
    assert_eq!(rounded(-31_234.567_891_234), -31_234.567_9);
    assert_eq!(rounded(3e-13), 0.0);
    assert_eq!(rounded(0.0), 0.0);
}
