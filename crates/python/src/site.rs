//! One record of an installed pole against the requirements.

use std::path::Path;

use giveway_site::{Inspection, PoleType, Record, inspect_all, solve};
use giveway_study::Supports;
use serde::{Deserialize, Serialize};

use crate::json::{request, told};
use crate::refusal::{Refusal, data};
use crate::single::{profile_of, text_of};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    text: String,
    /// Name or path of the file; the type is looked for beside it.
    name: String,
}

#[derive(Serialize)]
struct Told<'a> {
    inspection: &'a Inspection,
    report: String,
    page: String,
    warnings: Vec<serde_json::Value>,
}

/// Inspects one pole.
pub fn inspect(text: &str) -> Result<String, Refusal> {
    let asked: Asked = request(text)?;
    let record = Record::read(&asked.text, &asked.name)?;
    let folder = Path::new(&asked.name).parent().unwrap_or(Path::new(""));
    let path = folder.join(&record.type_path);
    let (scenario, profile) = profile_of(&path, text_of(&path)?)?;
    let pole_type = PoleType::read_with(&scenario, &path.display().to_string(), &profile)?;
    let supports = Supports::new();
    let pairs = [(record, &pole_type)];
    let mut results = inspect_all(&pairs, &|scenario| solve(scenario, &supports), None);
    let inspected = results
        .pop()
        .ok_or_else(|| Refusal::compute("the record gave no result"))??;
    giveway_results::check_finite("inspection", &inspected.inspection)?;
    told(&Told {
        inspection: &inspected.inspection,
        report: giveway_report::inspection_text(&inspected.inspection),
        page: giveway_report::inspection_page(&inspected.inspection),
        warnings: inspected.warnings.iter().map(data).collect(),
    })
}
