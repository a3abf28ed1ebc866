//! Single files and folders on the disk: written, flushed, listed.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;

use serde::Serialize;

use crate::ResultsError;
use crate::csv::write_csv;
use crate::manifest::FileEntry;
use crate::parquet_file::write_parquet;
use crate::sink::{Sink, Unflushed, flush};
use crate::tables::Table;

/// One figure file.
#[derive(Debug, Clone, Copy)]
pub struct FigureBytes<'a> {
    /// Plain file name with its ending.
    pub name: &'a str,
    /// Content.
    pub bytes: &'a [u8],
}

// Every file below `folder`, as a path from `root` with forward slashes; an empty folder counts as itself.
pub(crate) fn list(root: &Path, folder: &Path) -> Result<Vec<String>, ResultsError> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder).map_err(ResultsError::io("list", folder))? {
        let path = entry.map_err(ResultsError::io("list", folder))?.path();
        let below = if path.is_dir() && !path.is_symlink() {
            list(root, &path)?
        } else {
            Vec::new()
        };
        if below.is_empty() {
            let parts: Vec<_> = path
                .strip_prefix(root)
                .unwrap_or(&path)
                .iter()
                .map(|p| p.to_string_lossy().into_owned())
                .collect();
            names.push(parts.join("/"));
        }
        names.extend(below);
    }
    names.sort();
    Ok(names)
}

/// One file below the folder.
pub(crate) fn write_file(
    folder: &Path,
    name: &str,
    bytes: &[u8],
) -> Result<FileEntry, ResultsError> {
    let (entry, unflushed) = write_unflushed(folder, name, bytes)?;
    flush(&unflushed)?;
    Ok(entry)
}

/// The same without flushing it to the disk.
pub(crate) fn write_unflushed(
    folder: &Path,
    name: &str,
    bytes: &[u8],
) -> Result<(FileEntry, Unflushed), ResultsError> {
    let path = folder.join(name);
    let mut sink = Sink::create(&path)?;
    sink.write_all(bytes)
        .map_err(ResultsError::io("write the file", &path))?;
    sink.finish_unflushed(name)
}

/// Flushes files to the disk, all at once: it takes them in fewer goes than one after the other.
pub(crate) fn flush_all(files: &[Unflushed]) -> Result<(), ResultsError> {
    std::thread::scope(|scope| {
        let begin = |one| {
            let thread = std::thread::Builder::new();
            // Where the system has no thread left it is done here, below.
            (one, thread.spawn_scoped(scope, move || flush(one)).ok())
        };
        let begun: Vec<_> = files.iter().map(begin).collect();
        let ended = begun.into_iter().map(|(one, thread)| {
            thread
                .and_then(|t| t.join().ok())
                .unwrap_or_else(|| flush(one))
        });
        // Every one is waited for.
        ended.fold(Ok(()), Result::and)
    })
}

/// The entry of a file that is there already.
pub(crate) fn entry_of(path: &Path, name: &str) -> Result<FileEntry, ResultsError> {
    let mut hasher = blake3::Hasher::new();
    let bytes = File::open(path)
        .and_then(|mut file| std::io::copy(&mut file, &mut hasher))
        .map_err(ResultsError::io("read", path))?;
    Ok(FileEntry {
        name: name.to_owned(),
        bytes,
        blake3: hasher.finalize().to_hex().to_string(),
    })
}

/// A table of numbers twice: as parquet and as text.
pub(crate) fn write_table(folder: &Path, table: &Table) -> Result<[FileEntry; 2], ResultsError> {
    let name = format!("{}.parquet", table.name);
    let path = folder.join(&name);
    let parquet = write_parquet(table, Sink::create(&path)?, &path)?.finish(&name)?;
    let name = format!("{}.csv", table.name);
    let path = folder.join(&name);
    let mut sink = Sink::create(&path)?;
    write_csv(table, &mut sink).map_err(ResultsError::io("write the file", &path))?;
    Ok([parquet, sink.finish(&name)?])
}

/// The folder of figures; none where there is no figure.
pub(crate) fn write_figures(
    folder: &Path,
    figures: &[FigureBytes],
) -> Result<Vec<FileEntry>, ResultsError> {
    if figures.is_empty() {
        return Ok(Vec::new());
    }
    let place = folder.join("figures");
    fs::create_dir(&place).map_err(ResultsError::io("create the folder", &place))?;
    let entries = figures
        .iter()
        .map(|figure| write_file(folder, &format!("figures/{}", figure.name), figure.bytes))
        .collect::<Result<_, _>>()?;
    sync_folder(&place)?;
    Ok(entries)
}

pub(crate) fn pretty<T: Serialize>(value: &T, folder: &Path) -> Result<Vec<u8>, ResultsError> {
    let mut bytes =
        serde_json::to_vec_pretty(value).map_err(|e| ResultsError::json(folder, "JSON", e))?;
    bytes.push(b'\n');
    Ok(bytes)
}

// Flushes a folder's list of names; systems that cannot do so are left alone.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), ResultsError> {
    if cfg!(unix) {
        File::open(folder)
            .and_then(|f| f.sync_all())
            .map_err(ResultsError::io("flush the folder", folder))?;
    }
    Ok(())
}
