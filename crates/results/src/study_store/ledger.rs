//! The ledger: one entry of 64 bytes for every finished run, and one that closes each shard.
//!
//! All numbers are little-endian. The last 8 bytes are the first 8 of the blake3 of the 56 before them.
//!
//! | bytes | head | run | close |
//! |---|---|---|---|
//! | 0-3 | `GWL1` | `GWR1` | `GWS1` |
//! | 4-7 | 0 | number of the shard | number of the shard |
//! | 8-15 | 0 | index of the run | rows of the shard |
//! | 16-47 | 0 | key of the run | blake3 of the shard |
//! | 48-51 | 0 | row in the shard | 0 |
//! | 52 | 0 | 1 if the run failed | 0 |
//! | 56-63 | checksum | checksum | checksum |
//!
//! The runs of a shard count only together: all of them in the order of its rows, then its close. Anything else - a torn
//! tail, a damaged entry - is skipped up to the next whole shard.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::sync_folder;
use crate::sink::Unflushed;

use super::row::RunKey;
use super::shard::{ShardName, ShardRow, ShardRuns};

pub const LEDGER_NAME: &str = "ledger.bin";
const TEMPORARY_NAME: &str = ".ledger.tmp";
const ENTRY: usize = 64;
const BODY: usize = 56;
const HEAD: &[u8; 4] = b"GWL1";
const RUN: &[u8; 4] = b"GWR1";
const CLOSE: &[u8; 4] = b"GWS1";

type Entry = [u8; ENTRY];

fn sealed(mut entry: Entry) -> Entry {
    let checksum = blake3::hash(&entry[..BODY]);
    entry[BODY..].copy_from_slice(&checksum.as_bytes()[..ENTRY - BODY]);
    entry
}

fn entry(tag: &[u8; 4], shard: u32, number: u64, hash: &[u8; 32], row: u32, failed: bool) -> Entry {
    let mut e = [0; ENTRY];
    e[..4].copy_from_slice(tag);
    e[4..8].copy_from_slice(&shard.to_le_bytes());
    e[8..16].copy_from_slice(&number.to_le_bytes());
    e[16..48].copy_from_slice(hash);
    e[48..52].copy_from_slice(&row.to_le_bytes());
    e[52] = u8::from(failed);
    sealed(e)
}

fn head() -> Entry {
    entry(HEAD, 0, 0, &[0; 32], 0, false)
}

// The entries of one shard.
fn block(name: &ShardName, rows: &[ShardRow]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(ENTRY * (rows.len() + 1));
    for (row, r) in (0..).zip(rows) {
        let e = entry(RUN, name.number, r.index, r.key.as_bytes(), row, r.failed);
        bytes.extend_from_slice(&e);
    }
    let count = rows.len() as u64;
    bytes.extend_from_slice(&entry(CLOSE, name.number, count, &name.hash, 0, false));
    bytes
}

/// A closed shard in a ledger.
#[derive(Debug)]
pub struct LedgerShard {
    pub name: ShardName,
    pub runs: ShardRuns,
    /// Where the entries of its rows begin.
    pub at: u64,
}

/// What a ledger says.
#[derive(Debug, Default)]
pub struct LedgerContent {
    /// Closed shards, in the order of the ledger.
    pub shards: Vec<LedgerShard>,
    /// Whether nothing else is in it.
    pub sound: bool,
}

fn number<const N: usize>(bytes: &[u8]) -> [u8; N] {
    let mut n = [0; N];
    n.copy_from_slice(bytes);
    n
}

/// Reads a ledger; none if there is none.
pub fn read_ledger(folder: &Path) -> Result<Option<LedgerContent>, ResultsError> {
    let path = folder.join(LEDGER_NAME);
    let mut file = match File::open(&path) {
        Ok(file) => io::BufReader::with_capacity(1 << 18, file),
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(ResultsError::io("read", &path)(e)),
    };
    let mut content = LedgerContent {
        shards: Vec::new(),
        sound: true,
    };
    let mut open = ShardRuns::default();
    let mut open_shard = 0;
    let mut open_at = 0;
    let mut at = 0;
    let mut first = true;
    let mut e = [0; ENTRY];
    loop {
        match fill(&mut file, &mut e).map_err(ResultsError::io("read", &path))? {
            0 => break,
            ENTRY => {}
            _ => {
                content.sound = false;
                break;
            }
        }
        let whole = sealed(e) == e;
        let tag: [u8; 4] = number(&e[..4]);
        let shard = u32::from_le_bytes(number(&e[4..8]));
        let count = u64::from_le_bytes(number(&e[8..16]));
        let row = u32::from_le_bytes(number(&e[48..52]));
        let here = at;
        at += ENTRY as u64;
        let at_head = std::mem::replace(&mut first, false);
        if whole && at_head && tag == *HEAD {
            continue;
        }
        if whole && tag == *RUN && row == 0 {
            content.sound &= open.rows == 0;
            open = ShardRuns::default();
            open_shard = shard;
            open_at = here;
        }
        let fits = whole && shard == open_shard;
        if fits && tag == *RUN && row == open.rows {
            open.push(count, e[52] != 0);
        } else if fits && tag == *CLOSE && count == u64::from(open.rows) && count > 0 {
            content.shards.push(LedgerShard {
                name: ShardName {
                    number: shard,
                    hash: number(&e[16..48]),
                },
                runs: std::mem::take(&mut open),
                at: open_at,
            });
        } else {
            content.sound = false;
            open = ShardRuns::default();
        }
        content.sound &= !at_head;
    }
    content.sound &= open.rows == 0 && !first;
    Ok(Some(content))
}

/// Rows of a shard whose entries begin at `at`: `count` of them from the row `first` on.
pub fn entries_at(ledger: &mut File, at: u64, first: u32, count: u32) -> io::Result<Vec<ShardRow>> {
    ledger.seek(SeekFrom::Start(at + ENTRY as u64 * u64::from(first)))?;
    let mut bytes = vec![0; ENTRY * count as usize];
    ledger.read_exact(&mut bytes)?;
    let rows = bytes.chunks_exact(ENTRY).map(|bytes| {
        let e: Entry = number(bytes);
        (sealed(e) == e && e[..4] == *RUN).then(|| ShardRow {
            index: u64::from_le_bytes(number(&e[8..16])),
            key: RunKey::from_bytes(number(&e[16..48])),
            failed: e[52] != 0,
        })
    });
    let torn = || {
        io::Error::new(
            io::ErrorKind::InvalidData,
            "the ledger was changed meanwhile",
        )
    };
    rows.collect::<Option<_>>().ok_or_else(torn)
}

/// Opens the ledger of a folder to read what it says of a shard.
pub fn open_ledger(folder: &Path) -> Result<File, ResultsError> {
    let path = folder.join(LEDGER_NAME);
    File::open(&path).map_err(ResultsError::io("open", &path))
}

/// How many closed shards the ledger of a folder names, and whether nothing else is in it; none where there is no ledger.
///
/// # Errors
/// What the system refuses.
pub fn look_at_ledger(folder: &Path) -> Result<Option<(usize, bool)>, ResultsError> {
    Ok(read_ledger(folder)?.map(|content| (content.shards.len(), content.sound)))
}

// As many bytes as there are, up to an entry.
fn fill(file: &mut impl Read, e: &mut Entry) -> io::Result<usize> {
    let mut filled = 0;
    while filled < ENTRY {
        match file.read(&mut e[filled..]) {
            Ok(0) => break,
            Ok(n) => filled += n,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(filled)
}

/// A ledger that is written to.
#[derive(Debug)]
pub struct Ledger {
    file: File,
    path: PathBuf,
    length: u64,
}

impl Ledger {
    /// Opens a sound ledger.
    pub fn open(folder: &Path) -> Result<Self, ResultsError> {
        let path = folder.join(LEDGER_NAME);
        let file = OpenOptions::new()
            .write(true)
            .open(&path)
            .map_err(ResultsError::io("open", &path))?;
        let length = file
            .metadata()
            .map_err(ResultsError::io("look at", &path))?
            .len();
        Ok(Self { file, path, length })
    }

    /// Writes a ledger of these shards in place of whatever is there; the old one stays until the new one is whole. Returns
    /// where the entries of each shard begin.
    pub fn write_new(
        folder: &Path,
        shards: impl Iterator<Item = Result<(ShardName, Vec<ShardRow>), ResultsError>>,
    ) -> Result<Vec<u64>, ResultsError> {
        let temporary = folder.join(TEMPORARY_NAME);
        let path = folder.join(LEDGER_NAME);
        let said = |e| ResultsError::io("write the file", &path)(e);
        let file = File::create(&temporary).map_err(said)?;
        let mut file = io::BufWriter::with_capacity(1 << 18, file);
        file.write_all(&head()).map_err(said)?;
        let mut next = ENTRY as u64;
        let mut begins = Vec::new();
        for shard in shards {
            let (name, rows) = shard?;
            let bytes = block(&name, &rows);
            file.write_all(&bytes).map_err(said)?;
            begins.push(next);
            next += bytes.len() as u64;
        }
        let file = file.into_inner().map_err(|e| said(e.into_error()))?;
        // A ledger without shards says nothing that could be lost.
        let empty = begins.is_empty();
        if !empty {
            file.sync_all().map_err(said)?;
        }
        std::fs::rename(&temporary, &path).map_err(said)?;
        if !empty {
            sync_folder(folder)?;
        }
        Ok(begins)
    }

    /// The file, to be flushed.
    pub fn unflushed(&self) -> Result<Unflushed, ResultsError> {
        let file = self.file.try_clone();
        let file = file.map_err(ResultsError::io("write the file", &self.path))?;
        Ok((self.path.clone(), file))
    }

    /// Enters a shard and returns where its entries begin. An error leaves the ledger as it was. What of it the disk has not yet
    /// taken when the power fails is read again from the shards, which are flushed before.
    pub fn enter(&mut self, name: &ShardName, rows: &[ShardRow]) -> Result<u64, ResultsError> {
        let bytes = block(name, rows);
        let write = |file: &mut File, at: u64| {
            file.seek(SeekFrom::Start(at))?;
            file.write_all(&bytes)
        };
        if let Err(e) = write(&mut self.file, self.length) {
            // If this fails too, the next opening skips the torn tail.
            let _ = self.file.set_len(self.length);
            return Err(ResultsError::io("write the file", &self.path)(e));
        }
        let at = self.length;
        self.length += bytes.len() as u64;
        Ok(at)
    }
}

/// Removes what a writing of the ledger left behind.
pub fn remove_temporary(folder: &Path) {
    // It is written over when it cannot be removed.
    let _ = std::fs::remove_file(folder.join(TEMPORARY_NAME));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(shard: u32) -> Vec<ShardRow> {
        (0..3)
            .map(|i| ShardRow {
                index: u64::from(shard * 10 + i),
                key: RunKey::of(&format!("{shard} {i}"), 1),
                failed: i == 1,
            })
            .collect()
    }

    fn name(number: u32) -> ShardName {
        ShardName {
            number,
            hash: [number as u8; 32],
        }
    }

    fn read(bytes: &[u8], tag: &str) -> (Vec<u32>, bool) {
        let folder = std::env::temp_dir().join(format!("giveway-{tag}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join(LEDGER_NAME), bytes).unwrap();
        let content = read_ledger(&folder).unwrap().unwrap();
        let mut file = open_ledger(&folder).unwrap();
        for s in &content.shards {
            let number = s.name.number;
            assert_eq!(s.name, name(number));
            assert_eq!(s.runs, rows(number).into_iter().collect());
            assert_eq!(entries_at(&mut file, s.at, 0, 3).unwrap(), rows(number));
            assert_eq!(
                entries_at(&mut file, s.at, 2, 1).unwrap(),
                rows(number)[2..]
            );
        }
        std::fs::remove_dir_all(&folder).unwrap();
        let numbers = content.shards.iter().map(|s| s.name.number).collect();
        (numbers, content.sound)
    }

    fn whole() -> Vec<u8> {
        let mut bytes = head().to_vec();
        for n in 1..=3 {
            bytes.extend(block(&name(n), &rows(n)));
        }
        bytes
    }

    #[test]
    fn every_length_of_a_torn_ledger_gives_its_whole_shards() {
        let bytes = whole();
        assert_eq!(read(&bytes, "whole"), (vec![1, 2, 3], true));
        for length in 0..bytes.len() {
            let shards = length.saturating_sub(ENTRY) / (4 * ENTRY);
            let sound = length >= ENTRY && (length - ENTRY).is_multiple_of(4 * ENTRY);
            let expected: Vec<u32> = (1..=3).take(shards).collect();
            assert_eq!(
                read(&bytes[..length], "torn"),
                (expected, sound),
                "{length}"
            );
        }
    }

    #[test]
    fn a_changed_byte_costs_the_shard_it_is_in_and_no_other() {
        let bytes = whole();
        for at in 0..bytes.len() {
            let mut changed = bytes.clone();
            changed[at] ^= 0x10;
            let hit = (at >= ENTRY).then(|| ((at - ENTRY) / (4 * ENTRY)) as u32 + 1);
            let expected: Vec<u32> = (1..=3).filter(|n| Some(*n) != hit).collect();
            assert_eq!(read(&changed, "changed"), (expected, false), "{at}");
        }
    }
}
