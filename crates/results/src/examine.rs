//! What became of a results folder since it was written: whole, changed, cut short, incomplete, of another version, or no
//! results at all. Names in a manifest are not trusted.

use std::fs;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Component, Path, PathBuf};

use crate::ResultsError;
use crate::disk::list;
use crate::file_names::{NOTES_NAME, is_seal};
use crate::json_tree::{JsonTree, shortened};
use crate::manifest::{FileEntry, KIND, MANIFEST_NAME, Manifest, hash_text};
use crate::read::{State, state_of};
use crate::study_store::{LOCK_NAME, STUDY_NAME};

/// Layout of the manifest that this program reads.
const MANIFEST_FORMAT: u32 = 1;
/// Largest manifest that is read, bytes.
const LARGEST_MANIFEST: u64 = 64 << 20;

/// What a folder holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FolderKind {
    /// One run.
    Run,
    /// A closed study.
    Study,
    /// Something else that the program wrote, for example a list of poles.
    Other,
}

/// What became of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileState {
    /// As written.
    Whole,
    /// Another content.
    Changed,
    /// Shorter than written.
    CutShort,
    /// Not there.
    Missing,
}

impl FileState {
    /// One word for lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Changed => "changed",
            Self::CutShort => "cut short",
            Self::Missing => "missing",
        }
    }
}

/// A results folder, looked at.
#[derive(Debug, Clone)]
pub struct Examined {
    /// Its manifest.
    pub manifest: Manifest,
    /// What it holds.
    pub kind: FolderKind,
    /// Every file of the manifest.
    pub files: Vec<(FileEntry, FileState)>,
    /// Files that no run wrote; review notes are not among them.
    pub strangers: Vec<String>,
    /// Files that are links to somewhere else, or lie behind one.
    pub links: Vec<String>,
    /// Whether the scenario is the input that the manifest names; true where there is none.
    pub input_fits: bool,
}

/// Why a folder cannot be looked at as results.
#[derive(Debug, thiserror::Error)]
pub enum FolderFault {
    /// Nothing there.
    #[error("there is no such folder")]
    NotThere,
    /// No results of this program.
    #[error("it is no results folder: {0}")]
    NoResults(String),
    /// A study that was not closed.
    #[error(
        "it is a study that is not closed: give the command that began it again, then it can be looked at"
    )]
    OpenStudy,
    /// The manifest ends too early.
    #[error("its `{MANIFEST_NAME}` is cut short: {0}")]
    ManifestCut(String),
    /// The manifest was changed so that it does not read.
    #[error("its `{MANIFEST_NAME}` was changed: {0}")]
    ManifestChanged(String),
    /// Another version of the layout.
    #[error(
        "it was written in format {found} by another version; this program reads format {MANIFEST_FORMAT}"
    )]
    ForeignFormat {
        /// Format of the folder.
        found: String,
    },
    /// The system refused.
    #[error(transparent)]
    Io(#[from] ResultsError),
}

/// Looks at a results folder: reads the manifest and compares every file with its checksum.
///
/// # Errors
/// Why it cannot be looked at.
pub fn examine(folder: &Path) -> Result<Examined, FolderFault> {
    let manifest = manifest_of(folder)?;
    let mut files = Vec::with_capacity(manifest.files.len());
    for entry in &manifest.files {
        files.push((entry.clone(), state(&folder.join(&entry.name), entry)?));
    }
    let known = |name: &String| {
        name == MANIFEST_NAME
            || name == NOTES_NAME
            || is_seal(name)
            || manifest.files.iter().any(|f| f.name == *name)
    };
    let mut strangers = list(folder, folder)?;
    strangers.retain(|name| !known(name));
    // What a study keeps for going on: the ledger, which the manifest names, holds the checksums of the shards.
    if manifest.files.iter().any(|f| f.name == STUDY_NAME) {
        strangers.retain(|name| {
            name != LOCK_NAME
                && !["shards/", "histories/"]
                    .iter()
                    .any(|f| name.starts_with(f))
        });
    }
    let mut links: Vec<String> = (manifest.files.iter().map(|f| f.name.clone()))
        .chain([MANIFEST_NAME.to_owned()])
        .filter(|name| is_link(folder, name))
        .collect();
    links.sort();
    let has = |name: &str| manifest.files.iter().any(|f| f.name == name);
    let kind = if has(STUDY_NAME) {
        FolderKind::Study
    } else if has("scenario.toml") && has("summary.json") {
        FolderKind::Run
    } else {
        FolderKind::Other
    };
    let input_fits = match (kind, fs::read_to_string(folder.join("scenario.toml"))) {
        (FolderKind::Run, Ok(text)) => hash_text(&text) == manifest.input_blake3,
        (FolderKind::Run, Err(_)) => false,
        _ => true,
    };
    Ok(Examined {
        manifest,
        kind,
        files,
        strangers,
        links,
        input_fits,
    })
}

impl Examined {
    /// What became of a file of the manifest.
    pub fn state_of(&self, name: &str) -> Option<FileState> {
        let found = self.files.iter().find(|(entry, _)| entry.name == name);
        found.map(|(_, state)| *state)
    }

    /// Names of the files in this state.
    pub fn in_state(&self, wanted: FileState) -> Vec<&str> {
        let found = self.files.iter().filter(|(_, state)| *state == wanted);
        found.map(|(entry, _)| entry.name.as_str()).collect()
    }

    /// Whether every file is as written.
    pub fn whole(&self) -> bool {
        self.input_fits && self.files.iter().all(|(_, s)| *s == FileState::Whole)
    }
}

/// Whether a file, or a folder on the way to it, is a link.
fn is_link(folder: &Path, name: &str) -> bool {
    let mut path = folder.to_owned();
    Path::new(name).components().any(|part| {
        path.push(part);
        path.is_symlink()
    })
}

fn manifest_of(folder: &Path) -> Result<Manifest, FolderFault> {
    let no = |reason: &str| FolderFault::NoResults(reason.to_owned());
    match fs::metadata(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Err(FolderFault::NotThere),
        Err(e) => return Err(ResultsError::io("look at", folder)(e).into()),
        Ok(meta) if !meta.is_dir() => return Err(no("it is a file")),
        Ok(_) => {}
    }
    let path = folder.join(MANIFEST_NAME);
    match fs::metadata(&path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => {
            return Err(if folder.join("card.json").exists() {
                FolderFault::OpenStudy
            } else {
                FolderFault::NoResults(format!("it has no `{MANIFEST_NAME}`"))
            });
        }
        Err(e) => return Err(ResultsError::io("look at", &path)(e).into()),
        Ok(meta) if meta.len() > LARGEST_MANIFEST => {
            return Err(no("its manifest is too large to be one"));
        }
        Ok(_) => {}
    }
    let bytes = fs::read(&path).map_err(ResultsError::io("read", &path))?;
    let changed = |e: String| FolderFault::ManifestChanged(e);
    let tree: JsonTree = serde_json::from_slice(&bytes).map_err(|e| {
        if e.is_eof() {
            FolderFault::ManifestCut(e.to_string())
        } else {
            changed(e.to_string())
        }
    })?;
    match tree.member("kind") {
        Some(JsonTree::Text(kind)) if kind == KIND => {}
        Some(JsonTree::Text(kind)) => {
            let kind = shortened(kind).escape_debug().to_string();
            return Err(no(&format!("its manifest is one of `{kind}`")));
        }
        _ => return Err(no("its manifest is that of another program")),
    }
    match tree.member("format") {
        Some(JsonTree::Number(format)) if *format == f64::from(MANIFEST_FORMAT) => {}
        Some(format) => {
            return Err(FolderFault::ForeignFormat {
                found: format.to_string(),
            });
        }
        None => return Err(changed("it names no format".to_owned())),
    }
    let manifest: Manifest = serde_json::from_slice(&bytes).map_err(|e| changed(e.to_string()))?;
    for (i, entry) in manifest.files.iter().enumerate() {
        let name = shortened(&entry.name).escape_debug().to_string();
        if !within(&entry.name) {
            return Err(changed(format!("it names `{name}`, no file of the folder")));
        }
        if manifest.files[..i].iter().any(|f| f.name == entry.name) {
            return Err(changed(format!("it names `{name}` twice")));
        }
    }
    Ok(manifest)
}

/// Whether a name stays within its folder.
fn within(name: &str) -> bool {
    let path = PathBuf::from(name);
    !name.is_empty()
        && !name.contains(['\\', ':'])
        && !name.chars().any(char::is_control)
        && path.components().all(|c| matches!(c, Component::Normal(_)))
        && name != MANIFEST_NAME
        && name != NOTES_NAME
}

fn state(path: &Path, entry: &FileEntry) -> Result<FileState, ResultsError> {
    // What is no file any more is as good as gone.
    let length = match fs::metadata(path) {
        Ok(meta) if meta.is_file() => meta.len(),
        Ok(_) => return Ok(FileState::Missing),
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(FileState::Missing),
        Err(e) => return Err(ResultsError::io("look at", path)(e)),
    };
    if length != entry.bytes {
        // What is shorter and still has its proper end was not cut off.
        let cut = length < entry.bytes && !has_its_end(path, length)?;
        return Ok(if cut {
            FileState::CutShort
        } else {
            FileState::Changed
        });
    }
    Ok(match state_of(path, entry)? {
        State::Same => FileState::Whole,
        State::Changed => FileState::Changed,
        State::Missing => FileState::Missing,
    })
}

/// Whether a file ends as files of its kind do.
fn has_its_end(path: &Path, length: u64) -> Result<bool, ResultsError> {
    let mut end = Vec::new();
    let mut file = fs::File::open(path).map_err(ResultsError::io("read", path))?;
    file.seek(SeekFrom::Start(length.saturating_sub(16)))
        .and_then(|_| file.take(16).read_to_end(&mut end))
        .map_err(ResultsError::io("read", path))?;
    let kind = path
        .extension()
        .and_then(|e| e.to_str())
        .unwrap_or_default();
    Ok(match kind {
        "json" => end.trim_ascii_end().ends_with(b"}"),
        "svg" => end.trim_ascii_end().ends_with(b"</svg>"),
        "parquet" => end.ends_with(b"PAR1"),
        "png" => end.windows(4).any(|w| w == b"IEND"),
        _ => end.ends_with(b"\n"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stay_within_their_folder() {
        for good in ["summary.json", "figures/a.svg", "histories/run-1/x"] {
            assert!(within(good), "{good}");
        }
        for bad in [
            "",
            "..",
            "../x",
            "/etc/passwd",
            "a/../../b",
            "./a",
            "c:\\x",
            "a\\b",
            "a\0b",
            "manifest.json",
            "review_notes.json",
        ] {
            assert!(!within(bad), "{bad:?}");
        }
    }
}
