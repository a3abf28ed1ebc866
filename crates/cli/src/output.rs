//! Writing a single file.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use giveway_report::FigureFile;
use giveway_results::UnderWay;
use serde::Serialize;

use crate::exit::Exit;
use crate::input::{OrRefuse, Refusal};

/// Writes a file as [`write_file`] does.
///
/// # Errors
/// What the system says of the file.
pub fn put(path: &Path, bytes: &[u8]) -> Result<(), Refusal> {
    write_file(path, bytes).or_refuse(Exit::Io, path)
}

/// Writes figures into a folder: each as a scalable picture, as pixels, and in words, which end in `words`.
///
/// # Errors
/// What the system says of a file.
pub fn put_figures(folder: &Path, figures: &[FigureFile], words: &str) -> Result<(), Refusal> {
    for f in figures {
        put(&folder.join(format!("{}.svg", f.name)), f.svg.as_bytes())?;
        put(&folder.join(format!("{}.png", f.name)), &f.png)?;
        let path = folder.join(format!("{}.{words}", f.name));
        put(&path, f.alt_text.as_bytes())?;
    }
    Ok(())
}

/// How the name of a file ends, in small letters: it asks for a format.
pub fn ending(path: Option<&Path>) -> Option<String> {
    let ending = path.and_then(Path::extension).and_then(|e| e.to_str());
    ending.map(str::to_ascii_lowercase)
}

/// Makes a folder where there is none.
///
/// # Errors
/// What the system says of it.
pub fn make_folder(path: &Path) -> Result<(), Refusal> {
    let made = fs::create_dir_all(path).map_err(|e| format!("cannot be made: {e}"));
    made.or_refuse(Exit::Io, path)
}

/// A value as JSON with line breaks; `path` is the file that it is of.
///
/// # Errors
/// A value that has no such text.
pub fn json(value: &impl Serialize, path: &Path) -> Result<String, Refusal> {
    let text = serde_json::to_string_pretty(value).or_refuse(Exit::Compute, path)?;
    Ok(text + "\n")
}

/// Writes a file under a temporary name beside its place, then renames it: a reader never sees half of it, and a
/// failure leaves what was there. A file of that name is replaced; what is no file (a terminal, a pipe, a device) is
/// written to and stays.
///
/// # Errors
/// What the system says, in words.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), String> {
    if path.is_dir() {
        return Err("is a folder, not a file".to_owned());
    }
    if path.metadata().is_ok_and(|m| !m.is_file()) {
        return fs::write(path, bytes).map_err(|e| format!("cannot be written: {e}"));
    }
    let Some(name) = path.file_name().and_then(|n| n.to_str()) else {
        return Err("has no file name".to_owned());
    };
    let part = part_beside(path, name).map_err(|e| format!("cannot be written: {e}"))?;
    let written = (&part.file)
        .write_all(bytes)
        .and_then(|()| part.name.put(|from| fs::rename(from, path)));
    written.map_err(|e| format!("cannot be written: {e}"))
}

/// A file under way; it is locked as long as its writer lives.
struct Part {
    name: UnderWay,
    file: File,
}

/// A new part beside the file; parts of it that dead processes left are removed.
fn part_beside(path: &Path, name: &str) -> io::Result<Part> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let start = format!(".{name}.");
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let other = entry.file_name().to_string_lossy().into_owned();
        let middle = other
            .strip_prefix(&start)
            .and_then(|m| m.strip_suffix(".part"));
        let ours = middle
            .is_some_and(|m| !m.is_empty() && m.bytes().all(|b| b.is_ascii_digit() || b == b'-'));
        // Its writer holds it as long as it lives.
        if ours && File::open(entry.path()).is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = fs::remove_file(entry.path());
        }
    }
    loop {
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = path.with_file_name(format!("{start}{}-{number}.part", std::process::id()));
        let part = Part {
            name: UnderWay::new(path.clone()),
            file: File::create(&path)?,
        };
        // A system without locks has none to respect.
        let _ = part.file.try_lock();
        // Another writer may have taken it for a dead one's before it was locked.
        if path.exists() {
            return Ok(part);
        }
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::io::Read;
    use std::os::unix::fs::FileTypeExt;
    use std::process::Command;

    use super::*;

    #[test]
    fn a_pipe_is_written_to_and_stays() {
        let folder = std::env::temp_dir().join(format!("giveway-pipe-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let pipe = folder.join("pipe");
        assert!(
            Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success()
        );
        let reader = {
            let pipe = pipe.clone();
            std::thread::spawn(move || {
                let mut text = String::new();
                fs::File::open(pipe)
                    .unwrap()
                    .read_to_string(&mut text)
                    .unwrap();
                text
            })
        };
        write_file(&pipe, b"whole").unwrap();
        assert_eq!(reader.join().unwrap(), "whole");
        let kind = fs::symlink_metadata(&pipe).unwrap().file_type();
        assert!(kind.is_fifo());
        fs::remove_dir_all(&folder).unwrap();
    }
}
