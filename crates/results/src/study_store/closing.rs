//! The closed table: `runs.parquet` and `runs.csv` from the rows in the order of the plan, and `study.json` beside them.

use std::io::Write;
use std::path::Path;

use crate::ResultsError;
use crate::manifest::FileEntry;
use crate::row_parquet::RowWriter;
use crate::sink::{Sink, Unflushed};

use super::assemble::Assembly;
use super::card::{
    FORMAT, Origin, RowRange, STUDY_KIND, StudyCard, StudyFile, StudyStatus, TablePart,
};

/// Rows of a closed study, Parquet.
pub const PARQUET_NAME: &str = "runs.parquet";
/// The same as text.
pub const CSV_NAME: &str = "runs.csv";
/// What closes a study: its card, counts and gaps.
pub const STUDY_NAME: &str = "study.json";

/// What is said of the table besides its rows.
pub struct Summing {
    pub card: StudyCard,
    pub mixed_with: Vec<Origin>,
    pub rows: u64,
    pub failed: u64,
    pub gaps: Vec<RowRange>,
    pub parts: Vec<TablePart>,
}

/// What a closed table is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableForm {
    /// `runs.parquet` and, for spreadsheets, `runs.csv`.
    WithCsv,
    /// `runs.parquet` alone: a text of a million runs takes twice its room.
    ParquetOnly,
}

impl TableForm {
    /// With a text beside it or without.
    pub fn of(csv: bool) -> Self {
        if csv {
            Self::WithCsv
        } else {
            Self::ParquetOnly
        }
    }
}

/// Writes the table under these file names. The files are still to be flushed.
pub fn write_tables(
    folder: &Path,
    [parquet_name, csv_name]: [&str; 2],
    card: &StudyCard,
    mut assembly: Assembly,
    form: TableForm,
) -> Result<(Vec<FileEntry>, Vec<Unflushed>), ResultsError> {
    let head = card.head();
    let path = folder.join(parquet_name);
    let csv_path = folder.join(csv_name);
    let mut csv = match form {
        TableForm::WithCsv => Some(Sink::create(&csv_path)?),
        TableForm::ParquetOnly => None,
    };
    let mut parquet = RowWriter::new(Sink::create(&path)?, "runs", &head, &[])
        .map_err(ResultsError::parquet(&path))?;
    let mut text = head.csv_head();
    loop {
        if let Some(csv) = &mut csv {
            csv.write_all(text.as_bytes())
                .map_err(ResultsError::io("write the file", &csv_path))?;
        }
        let Some(block) = assembly.next_block()? else {
            break;
        };
        parquet
            .write(&block)
            .map_err(ResultsError::parquet(&path))?;
        if csv.is_some() {
            text.clear();
            block.add_csv_rows(&mut text);
        }
    }
    let sink = parquet.finish().map_err(ResultsError::parquet(&path))?;
    let mut written = vec![sink.finish_unflushed(PARQUET_NAME)?];
    if let Some(csv) = csv {
        written.push(csv.finish_unflushed(CSV_NAME)?);
    }
    Ok(written.into_iter().unzip())
}

impl Summing {
    /// Content of `study.json`.
    pub fn into_file(self, files: Vec<FileEntry>) -> StudyFile {
        StudyFile {
            kind: STUDY_KIND.to_owned(),
            format: FORMAT,
            status: if self.gaps.is_empty() {
                StudyStatus::Complete
            } else {
                StudyStatus::Partial
            },
            card: self.card,
            mixed_with: self.mixed_with,
            rows: self.rows,
            failed: self.failed,
            gaps: self.gaps,
            parts: self.parts,
            files,
        }
    }
}
