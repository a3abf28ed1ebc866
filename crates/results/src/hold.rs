//! One writer at a time for a results folder.
//!
//! The lock is a file beside the folder, `.NAME.lock`, because a run replaces the folder as a whole. It goes away with its
//! holder. A process that was killed leaves it, unlocked: the next writer takes it, clears away what that process left
//! (`.NAME.PID-N.tmp`, and `.NAME.PID-N.old`, which comes back where the folder itself is missing) and removes it at its
//! own end.

use std::fs::{self, File, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::ResultsError;
use crate::under_way::{UnderWay, remove};

/// How often a lock that is held is tried again.
pub(crate) const PAUSE: Duration = Duration::from_millis(10);
/// How long any holder is waited for: a process that is ending, or a child of this one that has not yet begun its own program,
/// still holds what is given up already.
pub(crate) const GRACE: Duration = Duration::from_millis(500);
/// How long a short writing (a note, a seal) waits for another one.
pub const SHORT_WAIT: Duration = Duration::from_secs(20);

/// The right to write into a results folder, or to put one in its place.
#[derive(Debug)]
pub struct FolderHold {
    folder: PathBuf,
    // Dropped in this order: the name goes before the lock does.
    _name: UnderWay,
    _file: File,
}

impl FolderHold {
    /// Takes the lock of a folder, which need not exist, for the command `who`. Waits so long where a note or a seal is being
    /// written; whoever holds it for longer is told at once.
    ///
    /// # Errors
    /// `Locked` where another one holds it; what the system refuses.
    pub fn take(folder: &Path, who: &str, patience: Duration) -> Result<Self, ResultsError> {
        // A link is followed, so that the folder it points to is held and not the link.
        let folder = fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
        let Some(name) = folder.file_name().map(|n| n.to_string_lossy().into_owned()) else {
            return Err(ResultsError::NoName { path: folder });
        };
        let parent = parent_of(&folder);
        fs::create_dir_all(&parent).map_err(ResultsError::io("create the folder", &parent))?;
        let mut path = parent.join(format!(".{name}.lock"));
        let since = Instant::now();
        let file = loop {
            let opened = File::options()
                .create(true)
                .truncate(false)
                .read(true)
                .write(true)
                .open(&path);
            let file = match opened {
                Ok(file) => file,
                // Who may not write beside the folder cannot replace it either: the lock is then within.
                Err(e) if closed(&e) && folder.is_dir() && path.parent() == Some(&parent) => {
                    path = folder.join(INNER);
                    continue;
                }
                Err(e) => return Err(ResultsError::io("lock", &path)(e)),
            };
            match file.try_lock() {
                // The last holder may have taken the name away in between: then this is the lock of nobody.
                Ok(()) if is_at(&file, &path) => break file,
                Ok(()) => continue,
                Err(TryLockError::WouldBlock) => {}
                Err(TryLockError::Error(e)) => return Err(ResultsError::io("lock", &path)(e)),
            }
            let holder = holder(&file);
            let short = holder
                .as_deref()
                .is_none_or(|h| SHORT.iter().any(|short| h.starts_with(short)));
            let held_for = since.elapsed();
            if (!short && held_for >= GRACE) || held_for >= patience.max(GRACE) {
                return Err(ResultsError::Held {
                    folder,
                    by: holder.unwrap_or_else(|| "another process".to_owned()),
                });
            }
            std::thread::sleep(PAUSE);
        };
        let name_of_lock = UnderWay::new(path.clone());
        // Who holds it is for people; it holds without.
        let _ = file.set_len(0).and_then(|()| {
            (&file)
                .write_all(format!("`giveway {who}` (process {})", std::process::id()).as_bytes())
        });
        clear(&parent, &name, &folder)?;
        Ok(Self {
            folder,
            _name: name_of_lock,
            _file: file,
        })
    }

    /// The folder, links followed.
    pub fn folder(&self) -> &Path {
        &self.folder
    }
}

/// Name of the lock in a folder beside which nothing can be written.
const INNER: &str = ".giveway.lock";

fn closed(e: &io::Error) -> bool {
    matches!(
        e.kind(),
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem
    )
}

/// Commands that are soon done.
const SHORT: [&str; 2] = ["`giveway note`", "`giveway seal`"];

pub(crate) fn parent_of(folder: &Path) -> PathBuf {
    match folder.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_owned(),
        _ => PathBuf::from("."),
    }
}

fn is_at(file: &File, path: &Path) -> bool {
    let open = file.try_clone().and_then(same_file::Handle::from_file);
    match (open, same_file::Handle::from_path(path)) {
        (Ok(open), Ok(there)) => open == there,
        _ => false,
    }
}

fn holder(file: &File) -> Option<String> {
    let mut text = String::new();
    file.take(100).read_to_string(&mut text).ok()?;
    let plain = !text.is_empty() && !text.chars().any(char::is_control);
    plain.then_some(text)
}

/// Clears away what dead processes left beside the folder. The lock is held.
fn clear(parent: &Path, name: &str, folder: &Path) -> Result<(), ResultsError> {
    let start = format!(".{name}.");
    let entries = match fs::read_dir(parent) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::PermissionDenied => return Ok(()),
        Err(e) => return Err(ResultsError::io("list", parent)(e)),
    };
    let number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    for entry in entries.flatten() {
        let file = entry.file_name().to_string_lossy().into_owned();
        let Some((middle, ending)) = file.strip_prefix(&start).and_then(|f| f.rsplit_once('.'))
        else {
            continue;
        };
        let ours = middle
            .split_once('-')
            .is_some_and(|(pid, n)| number(pid) && number(n));
        if !ours || !["tmp", "old"].contains(&ending) {
            continue;
        }
        let path = entry.path();
        if ending == "old" && fs::symlink_metadata(folder).is_err() {
            fs::rename(&path, folder).map_err(ResultsError::io("put back", folder))?;
        } else {
            remove(&path);
        }
    }
    Ok(())
}
