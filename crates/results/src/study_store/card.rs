//! What a study is, and what its closing file says: `card.json` and `study.json`.

use std::ops::Range;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ResultsError;
use crate::manifest::FileEntry;
use crate::row_table::{CellValues, RowColumn, RowTable};

use super::row::CellKind;

/// What marks a card.
pub const CARD_KIND: &str = "giveway-study-card";
/// What marks a closing file.
pub const STUDY_KIND: &str = "giveway-study";
/// Version of the layout of the folder.
pub const FORMAT: u32 = 1;

/// Columns that every study has before its own: name and meaning.
pub const FIXED_COLUMNS: [(&str, &str); 4] = [
    ("run", "place of the run in the plan, from 0"),
    (
        "run_key",
        "checksum of the resolved run and of the model's version",
    ),
    (
        "model_version",
        "version of the model's arithmetic that computed the run",
    ),
    ("failed", "whether the run gave no result"),
];

/// A column of a study.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StudyColumn {
    /// Name with unit: small letters, digits and `_`.
    pub name: String,
    /// One line.
    pub meaning: String,
    /// What it holds.
    pub kind: CellKind,
}

/// What a study is: its plan, the slice of it that a folder holds, and the columns of its table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StudyCard {
    /// Title.
    pub title: String,
    /// blake3 of the resolved plan, in hexadecimal.
    pub plan_hash: String,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Version of the summary's layout, from which the columns are taken.
    pub summary_format: u32,
    /// Runs of the whole plan.
    pub planned_rows: u64,
    /// First run of the slice.
    pub first: u64,
    /// End of the slice, not included.
    pub end: u64,
    /// Columns after the fixed ones.
    pub columns: Vec<StudyColumn>,
}

/// Where runs come from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// blake3 of the resolved plan.
    pub plan_hash: String,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Version of the summary's layout.
    pub summary_format: u32,
}

/// What `card.json` holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CardFile {
    /// Always `giveway-study-card`.
    pub kind: String,
    /// Version of the layout of the folder.
    pub format: u32,
    /// The study.
    pub card: StudyCard,
    /// Other plans and versions of the model whose runs are in the folder, by request.
    pub mixed_with: Vec<Origin>,
}

/// Whether every planned run is in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StudyStatus {
    /// Every run of the slice is there.
    Complete,
    /// Runs are missing; `gaps` says which.
    Partial,
}

/// Consecutive runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RowRange {
    /// First.
    pub first: u64,
    /// End, not included.
    pub end: u64,
}

/// A file of a table that was left in parts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TablePart {
    /// Path inside the folder.
    pub name: String,
    /// First run of its slice.
    pub first: u64,
    /// End of its slice, not included.
    pub end: u64,
    /// Rows, of which there are fewer than runs in the slice where some are missing.
    pub rows: u64,
}

/// What `study.json` holds. It depends on the runs alone: not on time, machine, threads, parts or interruptions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StudyFile {
    /// Always `giveway-study`.
    pub kind: String,
    /// Version of the layout of the folder.
    pub format: u32,
    /// Whether every run is there.
    pub status: StudyStatus,
    /// The study.
    pub card: StudyCard,
    /// Other plans and versions of the model whose runs are in the table, by request.
    pub mixed_with: Vec<Origin>,
    /// Rows of the table.
    pub rows: u64,
    /// Rows of runs that failed.
    pub failed: u64,
    /// Missing runs of the slice.
    pub gaps: Vec<RowRange>,
    /// Of a table that was left in parts: its files, in the order of the plan.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<TablePart>,
    /// `runs.parquet` and `runs.csv`, or what there is of the table, with checksums.
    pub files: Vec<FileEntry>,
}

impl StudyCard {
    /// Runs of the slice.
    pub fn slice(&self) -> Range<u64> {
        self.first..self.end
    }

    /// Where its runs come from.
    pub fn origin(&self) -> Origin {
        Origin {
            plan_hash: self.plan_hash.clone(),
            model_version: self.model_version,
            summary_format: self.summary_format,
        }
    }

    /// The table without rows.
    pub(crate) fn head(&self) -> RowTable {
        let fixed = [
            CellValues::Count(Vec::new()),
            CellValues::Text(Vec::new()),
            CellValues::Count(Vec::new()),
            CellKind::Flag.empty(),
        ];
        let fixed = FIXED_COLUMNS
            .iter()
            .zip(fixed)
            .map(|((name, meaning), values)| RowColumn {
                name: (*name).to_owned(),
                meaning: (*meaning).to_owned(),
                values,
            });
        let own = self.columns.iter().map(|c| RowColumn {
            name: c.name.clone(),
            meaning: c.meaning.clone(),
            values: c.kind.empty(),
        });
        RowTable {
            columns: fixed.chain(own).collect(),
        }
    }

    pub(crate) fn check(&self) -> Result<(), ResultsError> {
        let fault = |place: String, reason: &str| {
            Err(ResultsError::StudyInput {
                place,
                reason: reason.to_owned(),
            })
        };
        if self.first > self.end
            || self.end > self.planned_rows
            || i64::try_from(self.planned_rows).is_err()
        {
            return fault(
                format!("slice {}..{}", self.first, self.end),
                "it is not within the plan",
            );
        }
        for (i, c) in self.columns.iter().enumerate() {
            let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
            if !c.name.starts_with(|b: char| b.is_ascii_lowercase()) || !c.name.bytes().all(plain) {
                return fault(
                    format!("column `{}`", c.name),
                    "its name is not made of small letters, digits and `_`",
                );
            }
            let earlier = self.columns[..i].iter().map(|c| c.name.as_str());
            if FIXED_COLUMNS
                .iter()
                .map(|c| c.0)
                .chain(earlier)
                .any(|name| name == c.name)
            {
                return fault(format!("column `{}`", c.name), "its name is taken");
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(names: &[&str], first: u64, end: u64) -> StudyCard {
        StudyCard {
            title: String::new(),
            plan_hash: String::new(),
            model_version: 1,
            summary_format: 1,
            planned_rows: 10,
            first,
            end,
            columns: names
                .iter()
                .map(|name| StudyColumn {
                    name: (*name).to_owned(),
                    meaning: String::new(),
                    kind: CellKind::Number,
                })
                .collect(),
        }
    }

    #[test]
    fn names_are_plain_and_unique_and_the_slice_is_within_the_plan() {
        assert!(card(&["speed_mps", "asi"], 0, 10).check().is_ok());
        assert!(card(&[], 10, 10).check().is_ok());
        for bad in [
            &["Speed"][..],
            &["a b"],
            &["a.b"],
            &[""],
            &["2nd"],
            &["run"],
            &["a", "a"],
        ] {
            assert!(card(bad, 0, 10).check().is_err(), "{bad:?}");
        }
        assert!(card(&[], 0, 11).check().is_err());
        assert!(card(&[], 5, 4).check().is_err());
    }
}
