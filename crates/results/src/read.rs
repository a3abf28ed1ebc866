//! Reading back what a run left.

use std::fs;
use std::io;
use std::path::Path;

use serde::de::DeserializeOwned;

use crate::manifest::{FileEntry, KIND, MANIFEST_NAME, Manifest};
use crate::{ResultsError, Summary};

pub(crate) fn read_json<T: DeserializeOwned>(
    path: &Path,
    what: &'static str,
) -> Result<T, ResultsError> {
    let text = fs::read_to_string(path).map_err(ResultsError::io("read", path))?;
    serde_json::from_str(&text).map_err(|e| ResultsError::json(path, what, e))
}

/// The summary of a results folder.
pub fn read_summary(folder: &Path) -> Result<Summary, ResultsError> {
    read_json(&folder.join("summary.json"), "a summary")
}

/// The manifest of a results folder.
pub fn read_manifest(folder: &Path) -> Result<Manifest, ResultsError> {
    let path = folder.join(MANIFEST_NAME);
    let manifest: Manifest = read_json(&path, "a manifest")?;
    if manifest.kind != KIND {
        let reason = format!("its kind is `{}` instead of `{KIND}`", manifest.kind);
        return Err(ResultsError::json(path, "a manifest", reason));
    }
    Ok(manifest)
}

/// What became of a file since the run wrote it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum State {
    Same,
    Changed,
    Missing,
}

/// Compares a file with its checksum.
pub(crate) fn state_of(path: &Path, entry: &FileEntry) -> Result<State, ResultsError> {
    let mut file = match fs::File::open(path) {
        Ok(file) => file,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(State::Missing),
        Err(e) => return Err(ResultsError::io("read", path)(e)),
    };
    let mut hasher = blake3::Hasher::new();
    io::copy(&mut file, &mut hasher).map_err(ResultsError::io("read", path))?;
    if hasher.finalize().to_hex().as_str() == entry.blake3 {
        Ok(State::Same)
    } else {
        Ok(State::Changed)
    }
}

/// An error where a file of a results folder is not as its run wrote it, or not a file of that run.
pub fn as_written(folder: &Path, name: &str) -> Result<(), ResultsError> {
    let manifest = read_manifest(folder)?;
    let path = folder.join(name);
    let reason = match manifest.files.iter().find(|f| f.name == name) {
        None => "has no checksum in the manifest",
        Some(entry) => match state_of(&path, entry)? {
            State::Same => return Ok(()),
            State::Changed => "was changed since the run wrote it",
            State::Missing => "is missing since the run wrote it",
        },
    };
    Err(ResultsError::altered(path, reason))
}

/// Compares every file of a results folder with its checksum; an error names the first that differs.
pub fn verify_folder(folder: &Path) -> Result<Manifest, ResultsError> {
    let manifest = read_manifest(folder)?;
    for entry in &manifest.files {
        let path = folder.join(&entry.name);
        let reason = match state_of(&path, entry)? {
            State::Same => continue,
            State::Changed => "was changed since the run wrote it",
            State::Missing => "is missing since the run wrote it",
        };
        return Err(ResultsError::altered(path, reason));
    }
    Ok(manifest)
}
