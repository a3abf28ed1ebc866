//! Writing of a results folder: all or nothing.
//!
//! Everything goes into a hidden sibling first, is flushed to the disk and renamed at the end. A folder that
//! exists already is replaced only if it is a results folder in which nothing was added or changed.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use giveway_impact::outcome::Engagement;
use giveway_scenario::model::Scenario;

use crate::disk::{FigureBytes, list, pretty, sync_folder, write_figures, write_file, write_table};
use crate::file_names::{NOTES_NAME, is_seal};
use crate::finite::check_finite;
use crate::hold::{FolderHold, SHORT_WAIT, parent_of};
use crate::manifest::{FileEntry, MANIFEST_NAME, Manifest, RunFacts};
use crate::read::{State, read_manifest, state_of};
use crate::replay::{REPLAY_NAME, Replay};
use crate::tables::{Table, of_run};
use crate::under_way::UnderWay;
use crate::{ResultsError, Summary};

/// What goes into a folder.
#[derive(Debug, Clone, Copy)]
pub struct RunFiles<'a> {
    /// The resolved scenario as text.
    pub scenario_toml: &'a str,
    /// The summary.
    pub summary: &'a Summary,
    /// The scenario itself.
    pub scenario: &'a Scenario,
    /// The engagement whose histories and moving picture are written; none to leave them out.
    pub histories: Option<&'a Engagement>,
    /// Figures.
    pub figures: &'a [FigureBytes<'a>],
    /// Circumstances.
    pub facts: &'a RunFacts,
}

/// Writes the folder and returns its path.
///
/// # Errors
/// Every error leaves the output path as it was and no half folder behind.
pub fn write_run_folder(out: &Path, files: &RunFiles) -> Result<PathBuf, ResultsError> {
    write_held_run_folder(hold_to_replace(out, "run")?, files)
}

/// The same into a folder that is held already; the hold ends with it.
///
/// # Errors
/// As [`write_run_folder`].
pub fn write_held_run_folder(hold: FolderHold, files: &RunFiles) -> Result<PathBuf, ResultsError> {
    check_finite("summary", files.summary)?;
    let tables = files.histories.map(of_run).transpose()?;
    let replay = files
        .histories
        .filter(|e| !e.frames.is_empty())
        .map(|e| Replay::of(files.scenario, e, files.summary, files.scenario_toml)?.to_bytes())
        .transpose()?;
    for figure in files.figures {
        check_name(figure.name)?;
    }
    write_whole(hold, |folder| {
        let tables: &[Table] = tables.as_ref().map_or(&[], |t| t.as_slice());
        fill(folder, files, tables, replay.as_deref())
    })
}

/// Takes the lock of a folder that is to be written as a whole; what stands there already must be of this program and
/// unchanged. `who` names the writer in a word or two.
///
/// # Errors
/// A folder that must not be replaced, or that another process writes; what the system refuses.
pub fn hold_to_replace(out: &Path, who: &str) -> Result<FolderHold, ResultsError> {
    let hold = FolderHold::take(out, who, SHORT_WAIT)?;
    check_replaceable(hold.folder())?;
    Ok(hold)
}

/// Fills a folder beside its place and puts it there whole; what stands there must still be replaceable then.
///
/// # Errors
/// Every error leaves the output path as it was and no half folder behind.
pub(crate) fn write_whole(
    hold: FolderHold,
    fill: impl FnOnce(&Path) -> Result<(), ResultsError>,
) -> Result<PathBuf, ResultsError> {
    let out = hold.folder();
    let name = out.file_name().map(|n| n.to_string_lossy().into_owned());
    let parent = parent_of(out);
    let staging = staging(&parent, &name.unwrap_or_default())?;
    fill(staging.path())?;
    // What came since it was looked at first, from a hand that knows no lock.
    let occupied = check_replaceable(out)?;
    put_in_place(staging, out, occupied)?;
    sync_folder(&parent)?;
    Ok(out.to_owned())
}

pub(crate) fn check_name(name: &str) -> Result<(), ResultsError> {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.');
    if name.is_empty() || name.starts_with('.') || !name.bytes().all(plain) {
        return Err(ResultsError::BadFileName {
            name: name.to_owned(),
        });
    }
    Ok(())
}

/// Looks before long work whether results may go to a path; what stands there already must be of this program and unchanged.
///
/// # Errors
/// Why not.
pub fn may_be_written(out: &Path) -> Result<(), ResultsError> {
    let out = fs::canonicalize(out).unwrap_or_else(|_| out.to_owned());
    check_replaceable(&out).map(drop)
}

// Whether something stands at the path; an error if it must not be lost.
fn check_replaceable(out: &Path) -> Result<bool, ResultsError> {
    let refuse = |reason: String| ResultsError::NotReplaceable {
        path: out.to_owned(),
        reason,
    };
    match fs::symlink_metadata(out) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(e) => return Err(ResultsError::io("look at", out)(e)),
        Ok(meta) if !meta.is_dir() => return Err(refuse("it is not a folder".to_owned())),
        Ok(_) => {}
    }
    let present = list(out, out)?;
    if present.is_empty() {
        return Ok(true);
    }
    let Ok(manifest) = read_manifest(out) else {
        return Err(refuse(format!(
            "it holds no `{MANIFEST_NAME}` of this program"
        )));
    };
    for entry in &manifest.files {
        // A file that was removed is no loss; a changed one is.
        if state_of(&out.join(&entry.name), entry)? == State::Changed {
            return Err(refuse(format!(
                "its file `{}` was changed since the run wrote it",
                entry.name
            )));
        }
    }
    let known =
        |name: &String| name == MANIFEST_NAME || manifest.files.iter().any(|f| f.name == *name);
    if present.iter().any(|name| name == NOTES_NAME) {
        return Err(refuse(format!(
            "it holds the review notes `{NOTES_NAME}`, which are somebody's work"
        )));
    }
    if let Some(seal) = present.iter().find(|name| is_seal(name)) {
        return Err(refuse(format!(
            "it holds the seal `{seal}`, which is somebody's word"
        )));
    }
    match present.iter().find(|name| !known(name)) {
        Some(stranger) => Err(refuse(format!(
            "it also holds `{stranger}`, which no run wrote"
        ))),
        None => Ok(true),
    }
}

fn fill(
    folder: &Path,
    files: &RunFiles,
    tables: &[Table],
    replay: Option<&[u8]>,
) -> Result<(), ResultsError> {
    let mut entries: Vec<FileEntry> = Vec::new();
    let write = |name: &str, bytes: &[u8]| write_file(folder, name, bytes);
    entries.push(write("scenario.toml", files.scenario_toml.as_bytes())?);
    entries.push(write("summary.json", &pretty(files.summary, folder)?)?);
    for table in tables {
        entries.extend(write_table(folder, table)?);
    }
    if let Some(replay) = replay {
        entries.push(write(REPLAY_NAME, replay)?);
    }
    entries.extend(write_figures(folder, files.figures)?);
    write_manifest(folder, files.facts, files.scenario_toml, entries)
}

/// The manifest, last of all.
pub(crate) fn write_manifest(
    folder: &Path,
    facts: &RunFacts,
    input: &str,
    entries: Vec<FileEntry>,
) -> Result<(), ResultsError> {
    write_manifest_of(folder, &Manifest::new(facts, input, entries))
}

/// This manifest, last of all.
pub(crate) fn write_manifest_of(folder: &Path, manifest: &Manifest) -> Result<(), ResultsError> {
    write_file(folder, MANIFEST_NAME, &pretty(manifest, folder)?)?;
    sync_folder(folder)
}

/// The hidden sibling; it disappears when it is not put in place. The folder is held, so that nothing of that name is in use.
fn staging(parent: &Path, name: &str) -> Result<UnderWay, ResultsError> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let number = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = parent.join(format!(".{name}.{}-{number}.tmp", std::process::id()));
    let staging = UnderWay::new(path);
    fs::create_dir(staging.path())
        .map_err(ResultsError::io("create the folder", staging.path()))?;
    Ok(staging)
}

fn put_in_place(staging: UnderWay, out: &Path, occupied: bool) -> Result<(), ResultsError> {
    let rename =
        |from: &Path, to: &Path| fs::rename(from, to).map_err(ResultsError::io("put in place", to));
    if !occupied {
        return staging.put(|from| rename(from, out));
    }
    // Step aside, move in, clear away. If moving in fails, the old folder comes back.
    let aside = UnderWay::new(staging.path().with_extension("old"));
    let moved = staging.put(|from| {
        rename(out, aside.path())?;
        rename(from, out).inspect_err(|_| {
            let _ = fs::rename(aside.path(), out);
        })
    });
    if moved.is_err() {
        // What could not be put back now is put back by the next writer.
        aside.keep();
        return moved;
    }
    fs::remove_dir_all(aside.path())
        .map_err(ResultsError::io("remove the replaced folder", aside.path()))
}
