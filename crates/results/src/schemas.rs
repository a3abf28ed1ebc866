//! Schemas of what a run leaves, generated from the code.

use schemars::schema_for;
use serde_json::{Map, Value, json};

use crate::comparison::{RunComparison, StudyComparison};
use crate::manifest::Manifest;
use crate::notes::ReviewNotes;
use crate::replay::Replay;
use crate::rerun::RerunReport;
use crate::study_store::{CardFile, PlanSource, StudyFile};
use crate::summary::Summary;
use crate::tables::{history_columns, record_columns};

/// File stems and schemas: `summary`, `manifest`, those of a study, of reruns, comparisons and notes, and the two tables of a
/// run, each row seen as an object.
pub fn schemas() -> Vec<(&'static str, Value)> {
    vec![
        ("summary", schema_for!(Summary).to_value()),
        ("manifest", schema_for!(Manifest).to_value()),
        ("replay", schema_for!(Replay).to_value()),
        ("study", schema_for!(StudyFile).to_value()),
        ("study_card", schema_for!(CardFile).to_value()),
        ("study_plan", schema_for!(PlanSource).to_value()),
        ("rerun", schema_for!(RerunReport).to_value()),
        ("run_comparison", schema_for!(RunComparison).to_value()),
        ("study_comparison", schema_for!(StudyComparison).to_value()),
        ("review_notes", schema_for!(ReviewNotes).to_value()),
        (
            "history",
            table(
                "history.parquet, history.csv: one row every 100 us",
                &history_columns(),
            ),
        ),
        (
            "vehicle_record",
            table(
                "vehicle_record.parquet, vehicle_record.csv: one row an interval",
                &record_columns(),
            ),
        ),
    ]
}

fn table(title: &str, columns: &[(&str, &str)]) -> Value {
    let mut plain = Map::new();
    let mut numbered = Map::new();
    for (name, meaning) in columns {
        let value = json!({ "type": "number", "description": meaning });
        if name.contains("{i}") {
            numbered.insert(format!("^{}$", name.replace("{i}", "[1-9][0-9]*")), value);
        } else {
            plain.insert((*name).to_owned(), value);
        }
    }
    let required: Vec<_> = plain.keys().cloned().collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "type": "object",
        "columns": columns.iter().map(|c| c.0).collect::<Vec<_>>(),
        "properties": plain,
        "patternProperties": numbered,
        "required": required,
        "additionalProperties": false,
    })
}
