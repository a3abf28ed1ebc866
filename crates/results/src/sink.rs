//! A new file that counts and hashes what is written into it.

use std::fs::{File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::manifest::FileEntry;

/// A file that the system has taken and the disk perhaps not yet, with its path.
pub type Unflushed = (PathBuf, File);

/// A file under construction.
pub struct Sink {
    file: BufWriter<File>,
    hasher: blake3::Hasher,
    bytes: u64,
    path: PathBuf,
}

impl Sink {
    /// Creates the file; one that exists already is an error.
    pub fn create(path: &Path) -> Result<Self, ResultsError> {
        let file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(path)
            .map_err(ResultsError::io("create the file", path))?;
        Ok(Sink {
            file: BufWriter::with_capacity(1 << 16, file),
            hasher: blake3::Hasher::new(),
            bytes: 0,
            path: path.to_owned(),
        })
    }

    /// Flushes to the disk and returns the manifest's entry under that name.
    pub fn finish(self, name: &str) -> Result<FileEntry, ResultsError> {
        let (entry, unflushed) = self.finish_unflushed(name)?;
        flush(&unflushed)?;
        Ok(entry)
    }

    /// Hands everything to the system without flushing it to the disk; returns the manifest's entry under that name, and the
    /// file that is to be flushed ([`crate::disk::flush_all`]).
    pub fn finish_unflushed(mut self, name: &str) -> Result<(FileEntry, Unflushed), ResultsError> {
        let said = ResultsError::io("write the file", &self.path);
        self.file.flush().map_err(said)?;
        let said = ResultsError::io("write the file", &self.path);
        let file = self.file.into_inner().map_err(|e| said(e.into_error()))?;
        let entry = FileEntry {
            name: name.to_owned(),
            bytes: self.bytes,
            blake3: self.hasher.finalize().to_hex().to_string(),
        };
        Ok((entry, (self.path, file)))
    }

    /// Hands everything to the system, flushes it to the disk where that is asked for, and returns the checksum.
    pub fn finish_hashed(mut self, flushed: bool) -> Result<blake3::Hash, ResultsError> {
        let mut written = self.file.flush();
        if flushed {
            written = written.and_then(|()| self.file.get_ref().sync_all());
        }
        written.map_err(ResultsError::io("write the file", &self.path))?;
        Ok(self.hasher.finalize())
    }
}

/// Flushes a file to the disk.
pub fn flush((path, file): &Unflushed) -> Result<(), ResultsError> {
    file.sync_all()
        .map_err(ResultsError::io("write the file", path))
}

impl Write for Sink {
    fn write(&mut self, data: &[u8]) -> io::Result<usize> {
        let n = self.file.write(data)?;
        self.hasher.update(&data[..n]);
        self.bytes += n as u64;
        Ok(n)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}
