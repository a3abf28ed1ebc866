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
