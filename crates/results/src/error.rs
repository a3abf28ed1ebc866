//! What can go wrong between a finished run and its folder.

use std::path::{Path, PathBuf};

/// Errors of writing and reading results.
#[derive(Debug, thiserror::Error)]
pub enum ResultsError {
    /// The operating system refused.
    #[error("cannot {action} `{path}`: {source}")]
    Io {
        /// What was tried, for example "create the folder".
        action: &'static str,
        /// On what.
        path: PathBuf,
        /// The system's answer.
        source: std::io::Error,
    },
    /// The output path is taken by something that must not be lost.
    #[error(
        "`{path}` is not replaced: {reason}. Nothing was written; choose another folder or move that one away"
    )]
    NotReplaceable {
        /// The output path.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// The output path cannot be a folder of its own.
    #[error("`{path}` cannot be a results folder: give a path that ends in a name")]
    NoName {
        /// The path as given.
        path: PathBuf,
    },
    /// A file name inside the folder is not plain.
    #[error("`{name}` is no plain file name (letters, digits, `-`, `_`, `.`)")]
    BadFileName {
        /// The name.
        name: String,
    },
    /// A number is not finite.
    #[error("{place} is not a finite number; nothing was written")]
    NotFinite {
        /// Which one, for example `summary.contact.peak_force_n`.
        place: String,
    },
    /// Histories of different lengths.
    #[error(
        "column `{column}` of {table} has {found} values where {expected} were expected; nothing was written"
    )]
    Length {
        /// Table.
        table: &'static str,
        /// Column.
        column: String,
        /// Values found.
        found: usize,
        /// Values expected.
        expected: usize,
    },
    /// Parquet could not be written.
    #[error("cannot write the Parquet file `{path}`: {reason}")]
    Parquet {
        /// File.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// A folder that no run left.
    #[error(
        "`{folder}` holds no run: it has no `manifest.json` and `summary.json` of this program"
    )]
    NoRun {
        /// Folder.
        folder: PathBuf,
    },
    /// A file of a layout that this program does not know.
    #[error(
        "`{path}` has the layout of format {found}; this program reads format {known}: use the version that wrote the folder, \
         or run its scenario again"
    )]
    ForeignFormat {
        /// File.
        path: PathBuf,
        /// What it has.
        found: u32,
        /// What this program writes.
        known: u32,
    },
    /// A JSON file does not hold what it should.
    #[error("`{path}` cannot be read as {what}: {reason}")]
    Json {
        /// File.
        path: PathBuf,
        /// What it should be.
        what: &'static str,
        /// Why not, with line and column.
        reason: String,
    },
    /// Parquet could not be read.
    #[error("cannot read the Parquet file `{path}`: {reason}")]
    ParquetRead {
        /// File.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// The folder of a study is in use.
    #[error("`{folder}` is in use by another process; wait for its end or give another folder")]
    Locked {
        /// Folder.
        folder: PathBuf,
    },
    /// Another process writes a results folder.
    #[error(
        "`{folder}` is being written by {by}; nothing was changed: wait for its end or give another folder"
    )]
    Held {
        /// Folder.
        folder: PathBuf,
        /// Who holds it, as it says itself.
        by: String,
    },
    /// Results are not those that were looked at.
    #[error("`{folder}`: {reason}; nothing was written")]
    OtherResults {
        /// Folder.
        folder: PathBuf,
        /// What became of them.
        reason: String,
    },
    /// A folder holds another study than the one asked for.
    #[error(
        "`{folder}` holds another study: its {what} is {found}, asked for is {asked}. Nothing was changed; {advice}"
    )]
    OtherStudy {
        /// Folder.
        folder: PathBuf,
        /// What differs.
        what: &'static str,
        /// In the folder.
        found: String,
        /// In the caller's card.
        asked: String,
        /// What to do.
        advice: &'static str,
    },
    /// A folder holds no study that could be read or continued.
    #[error("`{folder}` holds no study: {reason}")]
    NoStudy {
        /// Folder.
        folder: PathBuf,
        /// Why not.
        reason: String,
    },
    /// A card or row that does not fit its study.
    #[error("{place}: {reason}; nothing was written")]
    StudyInput {
        /// Which card, column or row.
        place: String,
        /// What is wrong.
        reason: String,
    },
    /// A shard or the closing table could not be written; what was safe before still is.
    #[error(
        "{source}. {safe_rows} finished runs are safe in the folder; put the cause right and give the same command again"
    )]
    StudyWrite {
        /// Runs that are on the disk.
        safe_rows: u64,
        /// What failed.
        source: Box<ResultsError>,
    },
    /// Parts of a study contradict each other.
    #[error(
        "{count} runs stand in more than one part with different content, the first is run {first}; nothing was written"
    )]
    Conflict {
        /// How many.
        count: u64,
        /// Smallest index.
        first: u64,
    },
    /// A run without poses.
    #[error("the run kept no poses: there is no moving picture of it")]
    NoMotion,
    /// The base as found cannot be drawn.
    #[error("the base as found cannot be drawn: {reason}")]
    Scene {
        /// Why.
        reason: String,
    },
    /// A file differs from its checksum in the manifest, or is missing.
    #[error("`{path}`: {reason}")]
    Altered {
        /// File.
        path: PathBuf,
        /// What differs.
        reason: String,
    },
}

impl ResultsError {
    pub(crate) fn parquet<'a>(
        path: &'a Path,
    ) -> impl FnOnce(parquet::errors::ParquetError) -> ResultsError + 'a {
        move |e| ResultsError::Parquet {
            path: path.to_owned(),
            reason: e.to_string(),
        }
    }

    pub(crate) fn parquet_read<'a>(
        path: &'a Path,
    ) -> impl FnOnce(parquet::errors::ParquetError) -> ResultsError + 'a {
        move |e| ResultsError::ParquetRead {
            path: path.to_owned(),
            reason: e.to_string(),
        }
    }

    pub(crate) fn json(
        path: impl Into<PathBuf>,
        what: &'static str,
        reason: impl ToString,
    ) -> Self {
        Self::Json {
            path: path.into(),
            what,
            reason: reason.to_string(),
        }
    }

    pub(crate) fn altered(path: impl Into<PathBuf>, reason: &str) -> Self {
        Self::Altered {
            path: path.into(),
            reason: reason.to_owned(),
        }
    }

    pub(crate) fn scene(reason: impl ToString) -> Self {
        Self::Scene {
            reason: reason.to_string(),
        }
    }

    pub(crate) fn io<'a>(
        action: &'static str,
        path: &'a Path,
    ) -> impl FnOnce(std::io::Error) -> ResultsError + 'a {
        move |source| ResultsError::Io {
            action,
            path: path.to_owned(),
            source,
        }
    }
}
