//! What the laboratory leaves on disk: texts, tables of numbers and figures in one folder with a manifest. All or nothing,
//! as a run's folder.

use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::{FigureBytes, write_figures, write_file, write_table};
use crate::folder::{check_name, hold_to_replace, write_manifest, write_whole};
use crate::manifest::RunFacts;
use crate::tables::{Table, TableColumn};

/// A table of numbers: name of the file, and name with unit, meaning and values of each column.
#[derive(Debug, Clone, PartialEq)]
pub struct LabTable {
    /// File stem.
    pub name: &'static str,
    /// Columns of one length.
    pub columns: Vec<(String, String, Vec<f64>)>,
}

/// What goes into the folder.
#[derive(Debug, Clone, Copy)]
pub struct LabFiles<'a> {
    /// Texts: name and content.
    pub texts: &'a [(String, String)],
    /// Tables; each as Parquet and as CSV.
    pub tables: &'a [LabTable],
    /// Figures.
    pub figures: &'a [FigureBytes<'a>],
    /// The text that is the input, for its checksum in the manifest.
    pub input: &'a str,
    /// Circumstances.
    pub facts: &'a RunFacts,
}

/// Writes the folder and returns its path.
///
/// # Errors
/// Every error leaves the output path as it was and no half folder behind.
pub fn write_lab_folder(out: &Path, files: &LabFiles) -> Result<PathBuf, ResultsError> {
    for name in files.texts.iter().map(|t| t.0.as_str()) {
        check_name(name)?;
    }
    for figure in files.figures {
        check_name(figure.name)?;
    }
    let tables = files
        .tables
        .iter()
        .map(table)
        .collect::<Result<Vec<_>, _>>()?;
    write_whole(hold_to_replace(out, "lab")?, |folder| {
        let mut entries = Vec::new();
        for (name, content) in files.texts {
            entries.push(write_file(folder, name, content.as_bytes())?);
        }
        for table in &tables {
            entries.extend(write_table(folder, table)?);
        }
        entries.extend(write_figures(folder, files.figures)?);
        write_manifest(folder, files.facts, files.input, entries)
    })
}

fn table(of: &LabTable) -> Result<Table<'_>, ResultsError> {
    let rows = of.columns.first().map_or(0, |c| c.2.len());
    if let Some(odd) = of.columns.iter().find(|c| c.2.len() != rows) {
        return Err(ResultsError::Length {
            table: of.name,
            column: odd.0.clone(),
            found: odd.2.len(),
            expected: rows,
        });
    }
    let columns = of
        .columns
        .iter()
        .map(|(name, meaning, values)| TableColumn {
            name: name.clone(),
            meaning,
            value: Box::new(|i| values[i]),
        });
    let table = Table {
        name: of.name,
        rows,
        columns: columns.collect(),
    };
    table.check_finite()?;
    Ok(table)
}
