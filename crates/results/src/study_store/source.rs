//! What a study was planned from: its file, its base scenarios and the changes of the command line, as they were read. With
//! it a folder can be computed again without anything else.

use std::fs;
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ResultsError;
use crate::read::read_json;

/// File name.
pub const PLAN_NAME: &str = "plan.json";
/// What marks the file.
const PLAN_KIND: &str = "giveway-study-plan";

/// What `plan.json` holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanSource {
    /// Always `giveway-study-plan`.
    pub kind: String,
    /// Version of the layout.
    pub format: u32,
    /// Text of the study file.
    pub study: String,
    /// Changes of every run, path and value, given on the command line.
    pub changes: Vec<(String, String)>,
    /// Base scenarios.
    pub scenarios: Vec<ScenarioSource>,
}

/// A base scenario as it was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScenarioSource {
    /// Its name in the study file.
    pub name: String,
    /// Its text.
    pub text: String,
}

impl PlanSource {
    /// Of these texts.
    pub fn new(
        study: String,
        changes: Vec<(String, String)>,
        scenarios: Vec<ScenarioSource>,
    ) -> Self {
        Self {
            kind: PLAN_KIND.to_owned(),
            format: 1,
            study,
            changes,
            scenarios,
        }
    }

    /// The text of a base scenario by its name in the study file.
    pub fn scenario(&self, name: &str) -> Option<&str> {
        let found = self.scenarios.iter().find(|s| s.name == name);
        found.map(|s| s.text.as_str())
    }
}

/// What the study of a folder was planned from; none where the folder does not keep it.
///
/// # Errors
/// A file that is no such file.
pub fn read_plan(folder: &Path) -> Result<Option<PlanSource>, ResultsError> {
    let path = folder.join(PLAN_NAME);
    if !path.exists() {
        return Ok(None);
    }
    let what = "the plan of a study";
    let plan: PlanSource = read_json(&path, what)?;
    if plan.kind != PLAN_KIND || plan.format != 1 {
        return Err(ResultsError::Json {
            path,
            what,
            reason: format!("its kind is not `{PLAN_KIND}` of format 1"),
        });
    }
    Ok(Some(plan))
}

/// The plan that the parts keep, byte for byte, where the first that has one stands for all.
pub(super) fn plan_bytes(parts: &[impl AsRef<Path>]) -> Option<Vec<u8>> {
    let mut paths = parts.iter().map(|part| part.as_ref().join(PLAN_NAME));
    paths.find_map(|path| fs::read(path).ok())
}
