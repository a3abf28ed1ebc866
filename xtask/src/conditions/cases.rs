//! The scenarios of the page and their runs.

use std::path::Path;

use giveway_scenario::model::{AsFound, Scenario};
use giveway_study::{Computed, compute, compute_with_conditions};
use rayon::prelude::*;

/// Where the scenarios lie.
pub const FOLDER: &str = "scenarios/conditions";
/// The folder that holds nothing but the pictures of the page.
pub const PICTURES: &str = "docs/conditions";
/// The base as it should be.
pub const CORRECT: &str = "correct";

/// One scenario, as found and with everything put right.
pub struct Case {
    /// Name of its file without folder and ending.
    pub stem: String,
    /// The file's text.
    pub text: String,
    /// The scenario as found.
    pub scenario: Scenario,
    /// The run as found, with its comparisons.
    pub found: Computed,
    /// The run with everything put right.
    pub right: Computed,
}

/// All scenarios of the page, by name.
pub struct Cases(Vec<Case>);

impl Cases {
    /// Reads and runs every scenario of the folder.
    pub fn read(root: &Path) -> Result<Self, String> {
        let folder = root.join(FOLDER);
        let mut paths = Vec::new();
        for entry in std::fs::read_dir(&folder).map_err(|e| format!("{FOLDER}: {e}"))? {
            let path = entry.map_err(|e| format!("{FOLDER}: {e}"))?.path();
            if path.extension().is_some_and(|e| e == "toml") {
                paths.push(path);
            }
        }
        paths.sort();
        let cases = paths.par_iter().map(|path| {
            let stem = path
                .file_stem()
                .map(|s| s.to_string_lossy().into_owned())
                .unwrap_or_default();
            let text = std::fs::read_to_string(path).map_err(|e| format!("{stem}: {e}"))?;
            Case::new(stem, text)
        });
        Ok(Self(cases.collect::<Result<_, _>>()?))
    }

    /// All of them, by name.
    pub fn all(&self) -> &[Case] {
        &self.0
    }

    /// One by its name.
    pub fn get(&self, stem: &str) -> Result<&Case, String> {
        self.0
            .iter()
            .find(|c| c.stem == stem)
            .ok_or_else(|| format!("there is no {FOLDER}/{stem}.toml"))
    }
}

impl Case {
    fn new(stem: String, text: String) -> Result<Self, String> {
        let scenario = scenario(&stem, &text, &[])?;
        let right = Scenario {
            as_found: AsFound::default(),
            ..scenario.clone()
        };
        let failed = |e| format!("{FOLDER}/{stem}.toml: {e}");
        Ok(Self {
            found: compute_with_conditions(&scenario, 0).map_err(failed)?,
            right: compute(&right, 0).map_err(failed)?,
            scenario,
            stem,
            text,
        })
    }

    /// The same scenario with one value changed, as found.
    pub fn changed(&self, path: &str, value: &str) -> Result<Computed, String> {
        let change = [(path.to_owned(), value.to_owned())];
        let scenario = scenario(&self.stem, &self.text, &change)?;
        compute(&scenario, 0).map_err(|e| format!("{}: {path} = {value}: {e}", self.stem))
    }

    /// What was found, from the title: the words after its first colon.
    pub fn finding(&self) -> &str {
        let title = &self.scenario.title;
        title.split_once(": ").map_or(title, |(_, rest)| rest)
    }

    /// The part of the file that says what was found.
    pub fn excerpt(&self) -> &str {
        let at = self
            .text
            .find("\n[as_found")
            .into_iter()
            .chain(self.text.find("\n[[as_found"))
            .min();
        at.map_or("", |i| self.text[i..].trim())
    }

    /// Link to the file from the page.
    pub fn link(&self) -> String {
        let path = format!("{FOLDER}/{}.toml", self.stem);
        format!("[`{path}`](../{path})")
    }
}

/// Reads a scenario without histories; warnings count as errors.
fn scenario(stem: &str, text: &str, changes: &[(String, String)]) -> Result<Scenario, String> {
    let loaded = giveway_scenario::read(text, stem, changes).map_err(|list| {
        let all: Vec<String> = list.iter().map(ToString::to_string).collect();
        all.join("\n")
    })?;
    if changes.is_empty()
        && let Some(warning) = loaded.warnings.first()
    {
        return Err(format!("{FOLDER}/{stem}.toml: {warning}"));
    }
    let mut scenario = loaded.scenario;
    scenario.output.history = false;
    scenario.output.figures = false;
    Ok(scenario)
}
