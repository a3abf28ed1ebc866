//! A list of inspected poles on disk: one folder with the table as text for spreadsheets and as Parquet, whatever texts
//! go with it, and a manifest. All or nothing, as a run's folder.
//!
//! References
//! - Y. Shafranovich, RFC 4180 (2005): cells in quotes.

use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::folder::{check_name, sync_folder, write_file, write_manifest, write_whole};
use crate::manifest::RunFacts;
use crate::parquet_file::write_poles;
use crate::sink::Sink;

/// A table of poles, one row each. All columns have the same length.
#[derive(Debug, Clone, PartialEq)]
pub struct PoleTable {
    /// Columns in file order.
    pub columns: Vec<PoleColumn>,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct PoleColumn {
    /// Name with unit.
    pub name: &'static str,
    /// One line.
    pub meaning: &'static str,
    /// Values.
    pub values: PoleValues,
}

/// Values of a column.
#[derive(Debug, Clone, PartialEq)]
pub enum PoleValues {
    /// Texts.
    Text(Vec<String>),
    /// Numbers; none where there is no number.
    Number(Vec<Option<f64>>),
    /// Whole numbers.
    Count(Vec<i64>),
}

impl PoleValues {
    fn len(&self) -> usize {
        match self {
            Self::Text(v) => v.len(),
            Self::Number(v) => v.len(),
            Self::Count(v) => v.len(),
        }
    }

    fn cell(&self, row: usize) -> String {
        match self {
            Self::Text(v) => quoted(&v[row]),
            // `{:?}` is the shortest text that reads back to the same bits.
            Self::Number(v) => v[row].map_or_else(String::new, |x| format!("{x:?}")),
            Self::Count(v) => v[row].to_string(),
        }
    }
}

/// A cell in quotes where it holds what would end it. A text that a spreadsheet would take for a formula begins with a
/// blank, so that it stays a text.
fn quoted(text: &str) -> String {
    let text = if text.starts_with(['=', '+', '-', '@']) {
        format!(" {text}")
    } else {
        text.to_owned()
    };
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

/// What goes into the folder besides table and manifest.
#[derive(Debug, Clone, Copy)]
pub struct PoleFiles<'a> {
    /// The table: `poles.csv` and `poles.parquet`.
    pub table: &'a PoleTable,
    /// Other files: name and content.
    pub others: &'a [(String, String)],
    /// Text of everything that was read, for its checksum in the manifest.
    pub input: &'a str,
    /// Circumstances.
    pub facts: &'a RunFacts,
}

impl PoleTable {
    fn check(&self) -> Result<usize, ResultsError> {
        let rows = self.columns.first().map_or(0, |c| c.values.len());
        for c in &self.columns {
            if c.values.len() != rows {
                return Err(ResultsError::Length {
                    table: "poles",
                    column: c.name.to_owned(),
                    found: c.values.len(),
                    expected: rows,
                });
            }
            if let PoleValues::Number(v) = &c.values
                && let Some(row) = v.iter().position(|x| x.is_some_and(|x| !x.is_finite()))
            {
                return Err(ResultsError::NotFinite {
                    place: format!("poles, column {}, row {}", c.name, row + 1),
                });
            }
        }
        Ok(rows)
    }

    /// The table as comma-separated values: a header line, then one line a pole.
    ///
    /// # Errors
    /// Columns of different lengths, or a number that is not finite.
    pub fn csv(&self) -> Result<String, ResultsError> {
        let rows = self.check()?;
        let names: Vec<&str> = self.columns.iter().map(|c| c.name).collect();
        let mut text = names.join(",");
        text.push('\n');
        for row in 0..rows {
            let cells: Vec<String> = self.columns.iter().map(|c| c.values.cell(row)).collect();
            text.push_str(&cells.join(","));
            text.push('\n');
        }
        Ok(text)
    }
}

/// Writes the folder and returns its path.
///
/// # Errors
/// Every error leaves the output path as it was and no half folder behind.
pub fn write_pole_folder(out: &Path, files: &PoleFiles) -> Result<PathBuf, ResultsError> {
    let csv = files.table.csv()?;
    for (name, _) in files.others {
        check_name(name)?;
    }
    write_whole(out, |folder| {
        let mut entries = vec![write_file(folder, "poles.csv", csv.as_bytes())?];
        let path = folder.join("poles.parquet");
        let sink = write_poles(files.table, Sink::create(&path)?, &path)?;
        entries.push(sink.finish("poles.parquet")?);
        for (name, content) in files.others {
            entries.push(write_file(folder, name, content.as_bytes())?);
        }
        write_manifest(folder, files.facts, files.input, entries)?;
        sync_folder(folder)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(texts: &[&str], numbers: &[Option<f64>]) -> PoleTable {
        PoleTable {
            columns: vec![
                PoleColumn {
                    name: "pole",
                    meaning: "",
                    values: PoleValues::Text(texts.iter().map(|t| (*t).to_owned()).collect()),
                },
                PoleColumn {
                    name: "load",
                    meaning: "",
                    values: PoleValues::Number(numbers.to_vec()),
                },
            ],
        }
    }

    #[test]
    fn cells_that_need_it_are_quoted_and_formulas_are_texts() {
        let csv = table(
            &["a,b", "say \"x\"", "=1+1"],
            &[Some(0.1), None, Some(-2.0)],
        )
        .csv()
        .unwrap();
        assert_eq!(
            csv,
            "pole,load\n\"a,b\",0.1\n\"say \"\"x\"\"\",\n =1+1,-2.0\n"
        );
    }

    #[test]
    fn unequal_columns_and_numbers_that_are_not_finite_are_refused() {
        assert!(table(&["a"], &[]).csv().is_err());
        let error = table(&["a"], &[Some(f64::NAN)]).csv().unwrap_err();
        assert!(error.to_string().contains("load, row 1"), "{error}");
        assert_eq!(table(&[], &[]).csv().unwrap(), "pole,load\n");
    }
}
