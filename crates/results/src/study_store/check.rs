//! A closed table against the shards and the ledger that it was made from, and its text against its Parquet file.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use crate::ResultsError;
use crate::row_table::RowTable;

use super::assemble::{Assembly, Source, SourceRows};
use super::closing::CSV_NAME;
use super::read::Study;
use super::scan::{Repairs, lock, read_card, scan};

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableCheck {
    /// Whether the folder keeps shards; a joined study does not.
    pub shards: bool,
    /// The first thing that does not fit, in a plain sentence; none where everything fits.
    pub problem: Option<String>,
}

/// Holds the tables of a closed study against each other and, where the folder keeps them, against shards and ledger.
///
/// # Errors
/// What the system refuses; a table that does not read is a problem, not an error.
pub fn check_tables(folder: &Path, study: &Study) -> Result<TableCheck, ResultsError> {
    let card = read_card(folder)?;
    let mut check = TableCheck {
        shards: card.is_some(),
        problem: None,
    };
    if study.file.files.iter().any(|entry| entry.name == CSV_NAME) {
        check.problem = text_fault(folder, study)?;
    }
    let Some(file) = card.filter(|_| check.problem.is_none()) else {
        return Ok(check);
    };
    let _lock = lock(folder, false)?;
    if file.card != study.file.card {
        check.problem = Some("`card.json` describes another study than `study.json`".to_owned());
        return Ok(check);
    }
    let mut origins = file.mixed_with.clone();
    origins.push(file.card.origin());
    let found = scan(folder, &file.card, &origins)?;
    // Shards of another study, which mixing left alone, are no fault.
    let faults = Repairs {
        foreign: 0,
        ..found.repairs.clone()
    };
    if faults.any() {
        check.problem = Some(format!("ledger and shards do not fit each other: {faults}"));
        return Ok(check);
    }
    let sources: Vec<Source> = (found.shards.iter())
        .map(|shard| Source {
            folder: folder.to_owned(),
            name: shard.name,
        })
        .collect();
    let done = found.done(file.card.slice());
    let rows = done.pieces().map(SourceRows::from).collect();
    let mut shards = Assembly::new(&file.card, &sources, rows);
    let mut table = study.blocks(&[])?;
    let mut start = 0;
    loop {
        let (a, b) = (table.next().transpose()?, shards.next_block()?);
        let (Some(a), Some(b)) = (&a, &b) else {
            if a.is_some() != b.is_some() {
                check.problem = Some("the table has not as many rows as the shards".to_owned());
            }
            return Ok(check);
        };
        if let Some(problem) = block_fault(a, b, start) {
            check.problem = Some(problem);
            return Ok(check);
        }
        start += a.rows();
    }
}

fn block_fault(table: &RowTable, shards: &RowTable, start: usize) -> Option<String> {
    if table.rows() != shards.rows() {
        return Some("the table has not as many rows as the shards".to_owned());
    }
    for (a, b) in table.columns.iter().zip(&shards.columns) {
        let mut equal = vec![true; table.rows()];
        a.values.compare(&b.values, &mut equal);
        if let Some(row) = equal.iter().position(|e| !e) {
            let text = |v: crate::Cell| v.text().unwrap_or_else(|| "nothing".to_owned());
            return Some(format!(
                "column {}, row {}: {} in `runs.parquet`, {} in the shard that it was made from",
                a.name,
                start + row + 1,
                text(a.values.cell(row)),
                text(b.values.cell(row))
            ));
        }
    }
    None
}

/// Whether `runs.csv` says what `runs.parquet` says.
fn text_fault(folder: &Path, study: &Study) -> Result<Option<String>, ResultsError> {
    let path = folder.join(CSV_NAME);
    let file = File::open(&path).map_err(ResultsError::io("read", &path))?;
    let mut csv = BufReader::with_capacity(1 << 18, file);
    let mut there = Vec::new();
    let mut fits = |text: &str| -> Result<bool, ResultsError> {
        there.resize(text.len(), 0);
        match csv.read_exact(&mut there) {
            Ok(()) => Ok(there == text.as_bytes()),
            Err(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => Ok(false),
            Err(e) => Err(ResultsError::io("read", &path)(e)),
        }
    };
    let mut same = fits(&study.file.card.head().csv_head())?;
    for block in study.blocks(&[])? {
        let mut text = String::new();
        block?.add_csv_rows(&mut text);
        same = same && fits(&text)?;
    }
    let mut more = [0];
    let over = csv
        .read(&mut more)
        .map_err(ResultsError::io("read", &path))?
        > 0;
    let fault = "`runs.csv` does not say what `runs.parquet` says";
    Ok((!same || over).then(|| fault.to_owned()))
}
