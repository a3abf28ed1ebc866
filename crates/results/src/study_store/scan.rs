//! What a study's folder holds: shards that are whole, with their rows from the ledger or, where that is silent, from the
//! shard itself. Looking changes nothing.

use std::collections::BTreeMap;
use std::fmt;
use std::fs::{self, File, TryLockError};
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::Instant;

use crate::ResultsError;
use crate::hold::{GRACE, PAUSE};

use super::card::{CARD_KIND, CardFile, FORMAT, Origin, StudyCard};
use super::done::Done;
use super::ledger::{LEDGER_NAME, Ledger, entries_at, read_ledger};
use super::shard::{Shard, ShardName, ShardRow, ShardRuns, Shelf, look};

pub const CARD_NAME: &str = "card.json";
pub const LOCK_NAME: &str = "lock";

/// What was found wrong in a folder, and put right if it was opened for writing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Repairs {
    /// Half-written shards, removed.
    pub half_written: u64,
    /// Whole shards that the ledger did not know, taken up again with all their rows.
    pub taken_up: u64,
    /// Shards of the ledger that are no longer there.
    pub missing: u64,
    /// Shards whose content changed; set aside under the ending `.spoiled`.
    pub spoiled: u64,
    /// Shards of another plan or version of the model, left alone.
    pub foreign: u64,
    /// Whether the ledger was damaged, torn or lost and was written anew.
    pub ledger: bool,
}

impl Repairs {
    /// Whether anything was found.
    pub fn any(&self) -> bool {
        *self != Self::default()
    }
}

impl fmt::Display for Repairs {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let counts = [
            (self.half_written, "half-written and removed"),
            (self.taken_up, "taken up that the ledger did not know"),
            (self.missing, "missing"),
            (self.spoiled, "spoiled and set aside"),
            (self.foreign, "of another study and left alone"),
        ];
        let mut parts: Vec<String> = counts
            .iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, what)| format!("shards {what}: {count}"))
            .collect();
        if self.ledger {
            parts.push("ledger written anew".to_owned());
        }
        if parts.is_empty() {
            parts.push("nothing to repair".to_owned());
        }
        f.write_str(&parts.join("; "))
    }
}

/// A shard that counts.
pub struct Found {
    pub name: ShardName,
    pub runs: ShardRuns,
    /// Where its rows begin in the ledger; none where that is silent.
    pub at: Option<u64>,
}

/// Content of a folder.
pub struct Scan {
    /// Shards that count, by number.
    pub shards: Vec<Found>,
    /// Files.
    pub shelf: Shelf,
    /// What is wrong.
    pub repairs: Repairs,
}

/// Looks through a folder for shards of a card with runs of these origins.
pub fn scan(folder: &Path, card: &StudyCard, origins: &[Origin]) -> Result<Scan, ResultsError> {
    let shelf = look(folder)?;
    let content = read_ledger(folder)?;
    let mut repairs = Repairs {
        half_written: shelf.half_written.len() as u64,
        spoiled: shelf.spoiled.len() as u64,
        ledger: match &content {
            Some(content) => !content.sound,
            None => !shelf.whole.is_empty(),
        },
        ..Repairs::default()
    };
    let mut known: BTreeMap<ShardName, Found> = (content.into_iter().flat_map(|c| c.shards))
        .map(|s| {
            let found = Found {
                name: s.name,
                runs: s.runs,
                at: Some(s.at),
            };
            (s.name, found)
        })
        .collect();
    let mut shards = Vec::with_capacity(shelf.whole.len());
    for name in &shelf.whole {
        if let Some(found) = known.remove(name) {
            shards.push(found);
            continue;
        }
        match rows_of(folder, name, card, origins)? {
            Some(rows) => {
                repairs.taken_up += 1;
                shards.push(Found {
                    name: *name,
                    runs: rows.into_iter().collect(),
                    at: None,
                });
            }
            None => repairs.foreign += 1,
        }
    }
    repairs.missing = known.len() as u64;
    Ok(Scan {
        shards,
        shelf,
        repairs,
    })
}

impl Scan {
    /// What is done of a slice, without the keys.
    pub fn done(&self, slice: Range<u64>) -> Done {
        let mut done = Done::new(slice, None);
        for shard in &self.shards {
            done.add(&shard.runs, 0);
        }
        done
    }

    /// Makes the ledger agree with the shards, one after the other.
    pub fn write_ledger(&mut self, folder: &Path, card: &StudyCard) -> Result<(), ResultsError> {
        let path = folder.join(LEDGER_NAME);
        let mut old = match File::open(&path) {
            Ok(file) => Some(file),
            Err(e) if e.kind() == io::ErrorKind::NotFound => None,
            Err(e) => return Err(ResultsError::io("open", &path)(e)),
        };
        let rows = self.shards.iter().map(|s| {
            let rows = match (s.at, &mut old) {
                (Some(at), Some(old)) => {
                    entries_at(old, at, 0, s.runs.rows).map_err(ResultsError::io("read", &path))?
                }
                // It was read before.
                _ => Shard::open(folder, &s.name, card.head())?
                    .ledger_rows()?
                    .unwrap_or_default(),
            };
            Ok((s.name, rows))
        });
        let begins = Ledger::write_new(folder, rows)?;
        for (shard, at) in self.shards.iter_mut().zip(begins) {
            shard.at = Some(at);
        }
        Ok(())
    }
}

// The rows of a shard that the ledger does not know; none if it is of another study.
fn rows_of(
    folder: &Path,
    name: &ShardName,
    card: &StudyCard,
    origins: &[Origin],
) -> Result<Option<Vec<ShardRow>>, ResultsError> {
    let head = card.head();
    let columns = head.columns.len();
    // Its checksum is right, so that a file that does not read was not written by this program.
    let Ok(shard) = Shard::open(folder, name, head) else {
        return Ok(None);
    };
    let known = shard.origin().is_some_and(|o| origins.contains(&o));
    if !known || shard.columns_in_file() != columns {
        return Ok(None);
    }
    shard.ledger_rows()
}

/// Reads a card; none if there is none.
pub fn read_card(folder: &Path) -> Result<Option<CardFile>, ResultsError> {
    let path = folder.join(CARD_NAME);
    let text = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(ResultsError::io("read", &path)(e)),
    };
    let json = |reason: String| ResultsError::Json {
        path: path.clone(),
        what: "the card of a study",
        reason,
    };
    let file: CardFile = serde_json::from_str(&text).map_err(|e| json(e.to_string()))?;
    if file.kind != CARD_KIND || file.format != FORMAT {
        return Err(json(format!(
            "it is `{}` of format {} instead of `{CARD_KIND}` of format {FORMAT}",
            file.kind, file.format
        )));
    }
    Ok(Some(file))
}

/// Locks a folder: for the only one who writes, or for one of many who read.
pub fn lock(folder: &Path, write: bool) -> Result<Option<File>, ResultsError> {
    let path: PathBuf = folder.join(LOCK_NAME);
    let opened = if write {
        File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
    } else {
        File::open(&path)
    };
    let file = match opened {
        Ok(file) => file,
        // Nobody writes a folder without one.
        Err(e) if !write && e.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(ResultsError::io("lock", &path)(e)),
    };
    let since = Instant::now();
    loop {
        let locked = if write {
            file.try_lock()
        } else {
            file.try_lock_shared()
        };
        match locked {
            Ok(()) => return Ok(Some(file)),
            Err(TryLockError::WouldBlock) if since.elapsed() < GRACE => std::thread::sleep(PAUSE),
            Err(TryLockError::WouldBlock) => {
                return Err(ResultsError::Locked {
                    folder: folder.to_owned(),
                });
            }
            Err(TryLockError::Error(e)) => return Err(ResultsError::io("lock", &path)(e)),
        }
    }
}
