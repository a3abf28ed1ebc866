//! Two run folders.

use std::fs;
use std::path::{Path, PathBuf};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::inputs::{InputChange, input_changes};
use super::outputs::{NumberChange, WordChange, output_changes};
use super::tolerance::Tolerances;
use super::traces::{ComparedTrace, TableChange, TraceComparison, compare_traces, table_changes};
use crate::ResultsError;
use crate::examine::{Examined, FileState, examine};
use crate::json_tree::JsonTree;
use crate::read::read_manifest;

/// What differs between two runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunComparison {
    /// The folders as they were given.
    pub folders: [String; 2],
    /// Whether no input, no output, no trace and no file differs beyond the tolerances.
    pub same: bool,
    /// Inputs that differ beyond the tolerances; null where a scenario does not read.
    pub inputs: Option<Vec<InputChange>>,
    /// Numbers of the summaries that were compared.
    pub numbers_compared: usize,
    /// Those of them that are equal to the last bit.
    pub numbers_equal: usize,
    /// Numbers that moved beyond the tolerances, largest relative change first.
    pub numbers: Vec<NumberChange>,
    /// Texts and flags that changed.
    pub words: Vec<WordChange>,
    /// Traces that both folders hold, with scores.
    pub traces: Vec<TraceComparison>,
    /// Columns of the time histories whose values differ beyond the tolerances, and tables that only one folder holds.
    pub tables: Vec<TableChange>,
    /// Other differences of files that count: not as their run wrote them, in one folder only, or, where no tolerance is
    /// given, of other bytes.
    pub files: Vec<String>,
    /// What a reader should know besides.
    pub remarks: Vec<String>,
}

/// Compares two run folders. Returns the traces with their curves, to draw them.
///
/// # Errors
/// A folder that does not read.
pub fn compare_runs(
    [old, new]: [&Path; 2],
    tolerances: &Tolerances,
) -> Result<(RunComparison, Vec<ComparedTrace>), ResultsError> {
    let summaries = [summary(old)?, summary(new)?];
    let outputs = output_changes(&summaries[0], &summaries[1], tolerances);
    let scenario = |folder: &Path| {
        let path = folder.join("scenario.toml");
        fs::read_to_string(&path).map_err(ResultsError::io("read", &path))
    };
    let texts = [scenario(old)?, scenario(new)?];
    let mut remarks = Vec::new();
    let mut paths = outputs.paths.clone();
    let inputs = match input_changes([&texts[0], &texts[1]], tolerances) {
        Ok((changes, all)) => {
            paths.extend(all);
            Some(changes)
        }
        Err(problem) => {
            remarks.push(format!(
                "the inputs are not compared: a scenario does not read ({problem})"
            ));
            None
        }
    };
    let known: Vec<&str> = paths.iter().map(String::as_str).collect();
    if let (Some(idle), true) = (tolerances.idle(&known), inputs.is_some()) {
        remarks.push(format!(
            "the tolerance for `{idle}` fits no input and no output"
        ));
    }
    for (what, of) in [
        ("model version", |p: &crate::Provenance| {
            p.model_version.to_string()
        }),
        ("program version", |p: &crate::Provenance| p.version.clone()),
        ("platform", |p: &crate::Provenance| p.platform.clone()),
    ] as [(&str, fn(&crate::Provenance) -> String); 3]
    {
        if let (Ok(a), Ok(b)) = (read_manifest(old), read_manifest(new)) {
            let (a, b) = (of(&a.provenance()), of(&b.provenance()));
            if a != b {
                remarks.push(format!("{what}: {a} and {b}"));
            }
        }
    }
    let tables = table_changes([old, new], tolerances)?;
    // What does not read is told above; no scores of it exist.
    let traces = compare_traces(old, new).unwrap_or_default();
    let files = file_changes([old, new], tolerances);
    if traces.is_empty() {
        remarks.push("no time histories in both folders: no traces are compared".to_owned());
    }
    let unequal = inputs.as_ref().is_none_or(|i| !i.is_empty());
    let comparison = RunComparison {
        folders: [old, new].map(|f| f.display().to_string()),
        same: !unequal
            && outputs.numbers.is_empty()
            && outputs.words.is_empty()
            && tables.is_empty()
            && files.is_empty(),
        inputs,
        numbers_compared: outputs.compared,
        numbers_equal: outputs.equal,
        numbers: outputs.numbers,
        words: outputs.words,
        traces: traces.iter().map(|t| t.scores.clone()).collect(),
        tables,
        files,
        remarks,
    };
    Ok((comparison, traces))
}

/// Files that are not as their run wrote them, that one folder lacks or, without tolerances, that differ in their bytes.
fn file_changes(folders: [&Path; 2], tolerances: &Tolerances) -> Vec<String> {
    let mut changes = Vec::new();
    let [Ok(old), Ok(new)] = folders.map(examine) else {
        changes.push("a manifest does not read".to_owned());
        return changes;
    };
    for (which, looked_at) in [("old", &old), ("new", &new)] {
        for (file, state) in &looked_at.files {
            if *state != FileState::Whole {
                changes.push(format!(
                    "{}: {} in the {which} folder",
                    file.name,
                    state.word()
                ));
            }
        }
        if !looked_at.input_fits {
            changes.push(format!(
                "scenario.toml: not the input that the manifest of the {which} folder names"
            ));
        }
    }
    let listed = |of: &Examined, name: &str| {
        of.files
            .iter()
            .find(|f| f.0.name == name)
            .map(|f| f.0.blake3.clone())
    };
    for (file, _) in &old.files {
        match listed(&new, &file.name) {
            None => changes.push(format!("{}: only in the old folder", file.name)),
            // Scenario and summary are compared value by value, tables above; the rest has no numbers to hold a width
            // against, so with a tolerance it does not count.
            Some(there) if there != file.blake3 && tolerances.none() && !by_value(&file.name) => {
                let inputs = [&old, &new].map(|of| of.manifest.input_blake3.as_str());
                if !equal_but_for_the_input(folders.map(|f| f.join(&file.name)), inputs) {
                    changes.push(format!("{}: other bytes", file.name));
                }
            }
            Some(_) => {}
        }
    }
    for (file, _) in &new.files {
        if listed(&old, &file.name).is_none() {
            changes.push(format!("{}: only in the new folder", file.name));
        }
    }
    changes
}

/// Whether two files are the same where each names the fingerprint of its own input: another unit is another text.
fn equal_but_for_the_input(paths: [PathBuf; 2], inputs: [&str; 2]) -> bool {
    let [Ok(old), Ok(new)] = paths.map(fs::read_to_string) else {
        return false;
    };
    old.replace(inputs[0], inputs[1]) == new
}

/// Whether a file is compared value by value.
fn by_value(name: &str) -> bool {
    ["scenario.toml", "summary.json"].contains(&name)
}

fn summary(folder: &Path) -> Result<JsonTree, ResultsError> {
    let path = folder.join("summary.json");
    let bytes = fs::read(&path).map_err(ResultsError::io("read", &path))?;
    JsonTree::read(&bytes).ok_or_else(|| ResultsError::json(path, "a summary", "it is no JSON"))
}
