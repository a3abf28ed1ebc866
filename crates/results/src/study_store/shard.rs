//! Shards: small closed Parquet files, each named by its number and the first half of its checksum, so that a shard tells
//! by itself whether it is whole.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::sync_folder;
use crate::row_parquet::{RowReader, RowWriter};
use crate::row_table::{CellValues, RowTable};
use crate::sink::Sink;

use super::card::{Origin, StudyCard};
use super::row::RunKey;

pub const SHARDS: &str = "shards";
const PLAN: &str = "giveway.plan_hash";
const MODEL: &str = "giveway.model_version";
const SUMMARY: &str = "giveway.summary_format";
const ENDING: &str = ".parquet";
const TEMPORARY: &str = ".shard.tmp";
const SPOILED: &str = ".spoiled";

/// Number and checksum of a shard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ShardName {
    pub number: u32,
    pub hash: [u8; 32],
}

/// What the ledger keeps of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShardRow {
    pub index: u64,
    pub key: RunKey,
    pub failed: bool,
}

/// What is kept in memory of a shard's rows: neighbouring runs together, and which rows failed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShardRuns {
    /// First run and how many, in the order of the rows.
    pub runs: Vec<(u64, u32)>,
    /// Rows that failed, ascending.
    pub failed: Vec<u32>,
    /// How many rows.
    pub rows: u32,
}

impl ShardRuns {
    /// Adds a row.
    pub fn push(&mut self, index: u64, failed: bool) {
        match self.runs.last_mut() {
            Some((first, count)) if first.checked_add(u64::from(*count)) == Some(index) => {
                *count += 1
            }
            _ => self.runs.push((index, 1)),
        }
        if failed {
            self.failed.push(self.rows);
        }
        self.rows += 1;
    }
}

impl FromIterator<ShardRow> for ShardRuns {
    fn from_iter<I: IntoIterator<Item = ShardRow>>(rows: I) -> Self {
        let mut runs = Self::default();
        for r in rows {
            runs.push(r.index, r.failed);
        }
        runs
    }
}

fn half(hash: &[u8; 32]) -> String {
    blake3::Hash::from_bytes(*hash).to_hex()[..32].to_owned()
}

impl ShardName {
    pub fn path(&self, folder: &Path) -> PathBuf {
        folder
            .join(SHARDS)
            .join(format!("{:08}-{}{ENDING}", self.number, half(&self.hash)))
    }
}

// Number and half checksum from a file name.
fn parsed(name: &str) -> Option<(u32, &str)> {
    let (number, hash) = name.strip_suffix(ENDING)?.split_once('-')?;
    let digits = number.len() >= 8 && number.bytes().all(|b| b.is_ascii_digit());
    let hex = hash.len() == 32
        && hash
            .bytes()
            .all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    (digits && hex).then_some((number.parse().ok()?, hash))
}

/// What lies in the folder of shards.
#[derive(Debug, Default)]
pub struct Shelf {
    /// Whole shards by number.
    pub whole: Vec<ShardName>,
    /// Files that have the name of a shard and another content.
    pub spoiled: Vec<PathBuf>,
    /// Half-written files.
    pub half_written: Vec<PathBuf>,
    /// Largest number of any of them.
    pub last_number: u32,
}

/// Looks at every shard and compares it with its checksum. Files of other names are left alone.
pub fn look(folder: &Path) -> Result<Shelf, ResultsError> {
    let shards = folder.join(SHARDS);
    let mut shelf = Shelf::default();
    let entries = match fs::read_dir(&shards) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(shelf),
        Err(e) => return Err(ResultsError::io("list", &shards)(e)),
    };
    for entry in entries {
        let path = entry.map_err(ResultsError::io("list", &shards))?.path();
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
        let name = name.unwrap_or_default();
        if name == TEMPORARY {
            shelf.half_written.push(path);
        } else if let Some((number, expected)) = parsed(&name) {
            shelf.last_number = shelf.last_number.max(number);
            let mut hasher = blake3::Hasher::new();
            File::open(&path)
                .and_then(|mut file| io::copy(&mut file, &mut hasher))
                .map_err(ResultsError::io("read", &path))?;
            let hash = *hasher.finalize().as_bytes();
            if half(&hash) == expected {
                shelf.whole.push(ShardName { number, hash });
            } else {
                shelf.spoiled.push(path);
            }
        }
    }
    shelf.whole.sort();
    shelf.spoiled.sort();
    Ok(shelf)
}

/// Moves a spoiled shard out of the way; it is kept.
pub fn set_aside(path: &Path) -> Result<(), ResultsError> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(SPOILED);
    fs::rename(path, path.with_file_name(name)).map_err(ResultsError::io("set aside", path))
}

/// Writes a shard and flushes it to the disk. An error leaves nothing behind.
pub fn write_shard(
    folder: &Path,
    number: u32,
    card: &StudyCard,
    table: &RowTable,
    flushed: bool,
) -> Result<ShardName, ResultsError> {
    let temporary = folder.join(SHARDS).join(TEMPORARY);
    let written = written(folder, &temporary, number, card, table, flushed);
    if written.is_err() {
        // The next opening removes it when it cannot be removed now.
        let _ = fs::remove_file(&temporary);
    }
    written
}

fn written(
    folder: &Path,
    temporary: &Path,
    number: u32,
    card: &StudyCard,
    table: &RowTable,
    flushed: bool,
) -> Result<ShardName, ResultsError> {
    let facts = [
        (PLAN, card.plan_hash.clone()),
        (MODEL, card.model_version.to_string()),
        (SUMMARY, card.summary_format.to_string()),
    ];
    let sink = RowWriter::new(Sink::create(temporary)?, "runs", table, &facts)
        .and_then(|mut writer| {
            writer.write(table)?;
            writer.finish()
        })
        .map_err(ResultsError::parquet(temporary))?;
    let hash = *sink.finish_hashed(flushed)?.as_bytes();
    let name = ShardName { number, hash };
    let path = name.path(folder);
    fs::rename(temporary, &path).map_err(ResultsError::io("put in place", &path))?;
    if flushed {
        sync_folder(&folder.join(SHARDS))?;
    }
    Ok(name)
}

/// An opened shard.
pub struct Shard {
    reader: RowReader,
    path: PathBuf,
}

impl Shard {
    /// Opens a shard for the columns of `head`.
    pub fn open(folder: &Path, name: &ShardName, head: RowTable) -> Result<Self, ResultsError> {
        let path = name.path(folder);
        let file = File::open(&path).map_err(ResultsError::io("read", &path))?;
        let reader = RowReader::new(file, head).map_err(ResultsError::parquet_read(&path))?;
        Ok(Shard { reader, path })
    }

    /// Where its rows come from.
    pub fn origin(&self) -> Option<Origin> {
        Some(Origin {
            plan_hash: self.reader.fact(PLAN)?.to_owned(),
            model_version: self.reader.fact(MODEL)?.parse().ok()?,
            summary_format: self.reader.fact(SUMMARY)?.parse().ok()?,
        })
    }

    /// Number of columns in the file.
    pub fn columns_in_file(&self) -> usize {
        self.reader.columns_in_file()
    }

    /// Its rows.
    pub fn read(&self) -> Result<RowTable, ResultsError> {
        self.reader
            .read(0)
            .map_err(ResultsError::parquet_read(&self.path))
    }

    /// What a ledger would say of its rows; none if they are not those of a study.
    pub fn ledger_rows(&self) -> Result<Option<Vec<ShardRow>>, ResultsError> {
        Ok(ledger_rows(&self.read()?))
    }
}

/// What a ledger says of the rows of a study's table.
pub fn ledger_rows(table: &RowTable) -> Option<Vec<ShardRow>> {
    let (CellValues::Count(run), CellValues::Text(key), CellValues::MaybeFlag(failed)) = (
        &table.column("run")?.values,
        &table.column("run_key")?.values,
        &table.column("failed")?.values,
    ) else {
        return None;
    };
    run.iter()
        .zip(key)
        .zip(failed)
        .map(|((&run, key), &failed)| {
            Some(ShardRow {
                index: u64::try_from(run).ok()?,
                key: RunKey::from_hex(key)?,
                failed: failed?,
            })
        })
        .collect()
}
