//! A study's folder that is being filled.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::{entry_of, flush_all, pretty, sync_folder, write_unflushed};
use crate::hold::{FolderHold, SHORT_WAIT};
use crate::manifest::{MANIFEST_NAME, Manifest, RunFacts};
use crate::sink::{Unflushed, flush};

use super::BLOCK_ROWS;
use super::assemble::{Assembly, Source, SourceRows, table_of};
use super::card::{CARD_KIND, CardFile, FORMAT, Origin, RowRange, StudyCard, StudyFile};
use super::closing::{CSV_NAME, PARQUET_NAME, STUDY_NAME, Summing, TableForm, write_tables};
use super::done::Done;
use super::ledger::{self, Ledger};
use super::row::StudyRow;
use super::scan::{CARD_NAME, LOCK_NAME, Repairs, Scan, lock, read_card, scan};
use super::shard::{self, SHARDS, ShardName, ShardRow};
use super::source::{PLAN_NAME, PlanSource};

const TEMPORARY: [&str; 2] = [".runs.parquet.tmp", ".runs.csv.tmp"];
const TEMPORARY_FILE: &str = ".json.tmp";
const TEMPORARY_CLOSING: [&str; 2] = [".study.json.tmp", ".manifest.json.tmp"];
/// Files that are flushed, and open, at the same time.
const AT_ONCE: usize = 32;

/// Whether runs of another plan or version of the model may stand beside those of the card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mixing {
    /// They may not.
    Refuse,
    /// They may; `mixed_with` says which, and each row says its model's version.
    Allow,
}

/// When what was written withstands a power cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flushing {
    /// Every shard before its rows count, so that a folder goes on after any end.
    EachShard,
    /// All at once with the closing: of a folder that nobody goes on with, because it is published when it is closed and
    /// thrown away when it is not. It waits for the disk a third as long.
    AtClosing,
}

/// A study's folder, locked against other processes until it is dropped.
#[derive(Debug)]
pub struct StudyStore {
    folder: PathBuf,
    file: CardFile,
    shards: Vec<ShardName>,
    next_number: u32,
    ledger: Ledger,
    done: Done,
    repairs: Repairs,
    flushing: Flushing,
    /// The disk knows the names of the files that stand beside the shards. Until then nothing counts as safe.
    names_flushed: bool,
    _lock: Option<File>,
    _hold: FolderHold,
}

impl StudyStore {
    /// Makes the folder of a study, or continues it: checks every shard, puts right what an interruption left, and knows
    /// what is done. A file that is not the store's own is never touched.
    ///
    /// # Errors
    /// A folder of something else, of another study (unless mixing is allowed; other columns never mix), or in use;
    /// a card that contradicts itself; whatever the system refuses.
    pub fn open(folder: &Path, card: &StudyCard, mixing: Mixing) -> Result<Self, ResultsError> {
        Self::open_with(folder, card, mixing, Flushing::EachShard)
    }

    /// The same, flushed so.
    ///
    /// # Errors
    /// As [`StudyStore::open`].
    pub fn open_with(
        folder: &Path,
        card: &StudyCard,
        mixing: Mixing,
        flushing: Flushing,
    ) -> Result<Self, ResultsError> {
        card.check()?;
        fs::create_dir_all(folder).map_err(ResultsError::io("create the folder", folder))?;
        let folder = fs::canonicalize(folder).map_err(ResultsError::io("look at", folder))?;
        check_place(&folder)?;
        let lock = lock(&folder, true)?;
        let hold = FolderHold::take(&folder, "study", SHORT_WAIT)?;
        let found = read_card(&folder)?;
        let file = continued(&folder, found.as_ref(), card, mixing)?;
        let shards_folder = folder.join(SHARDS);
        fs::create_dir_all(&shards_folder)
            .map_err(ResultsError::io("create the folder", &shards_folder))?;
        let mut origins = file.mixed_with.clone();
        origins.push(file.card.origin());
        let mut found_now = scan(&folder, card, &origins)?;
        if found.is_none() && found_now.repairs.foreign > 0 && mixing == Mixing::Refuse {
            return Err(ResultsError::NoStudy {
                folder,
                reason: format!("its `{CARD_NAME}` is missing and its shards are of another study"),
            });
        }
        let names_flushed = found.as_ref() == Some(&file);
        if !names_flushed {
            remove(&folder.join(MANIFEST_NAME))?;
            write_json(&folder, CARD_NAME, &file, flushing)?;
        }
        put_right(&folder, card, &mut found_now)?;
        let mut done = Done::new(card.slice(), Some(ledger::open_ledger(&folder)?));
        for shard in &found_now.shards {
            done.add(&shard.runs, shard.at.unwrap_or_default());
        }
        let shards: Vec<ShardName> = found_now.shards.iter().map(|s| s.name).collect();
        Ok(StudyStore {
            ledger: Ledger::open(&folder)?,
            next_number: found_now.shelf.last_number + 1,
            folder,
            file,
            shards,
            done,
            repairs: found_now.repairs,
            flushing,
            names_flushed,
            _lock: lock,
            _hold: hold,
        })
    }

    /// The study's folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What the study is.
    pub fn card(&self) -> &StudyCard {
        &self.file.card
    }

    /// Finished runs, all of them safe.
    pub fn done(&self) -> &Done {
        &self.done
    }

    /// What the opening found and put right.
    pub fn repairs(&self) -> &Repairs {
        &self.repairs
    }

    /// Keeps what the study was planned from, so that the folder can be computed again by itself.
    ///
    /// # Errors
    /// Whatever the system refuses.
    pub fn keep_plan(&mut self, plan: &PlanSource) -> Result<(), ResultsError> {
        self.names_flushed = false;
        write_json(&self.folder, PLAN_NAME, plan, self.flushing)
    }

    fn flush_names(&mut self) -> Result<(), ResultsError> {
        if !self.names_flushed && self.flushing == Flushing::EachShard {
            sync_folder(&self.folder)?;
            self.names_flushed = true;
        }
        Ok(())
    }

    /// Writes rows, in ascending order, as a shard and enters it in the ledger. Returns how many rows are safe now (with
    /// [`Flushing::AtClosing`], against the end of the process alone).
    ///
    /// A row may stand for a run that is not done, that was done with another key, or that failed; it then counts instead.
    ///
    /// # Errors
    /// Rows that do not fit the card. `StudyWrite` when the system refuses, as on a full disk: the folder is then as it was
    /// before, and the rows can be handed in again.
    pub fn append_shard(&mut self, rows: &[StudyRow]) -> Result<u64, ResultsError> {
        if rows.is_empty() {
            return Ok(self.done.len());
        }
        self.check_rows(rows)?;
        // Its checksum of the ledger holds no longer; the study is open until it is closed again.
        remove(&self.folder.join(MANIFEST_NAME))?;
        let table = table_of(&self.file.card, rows)?;
        let entries: Vec<ShardRow> = rows
            .iter()
            .map(|r| ShardRow {
                index: r.index,
                key: r.key,
                failed: r.failed,
            })
            .collect();
        let written = self
            .flush_names()
            .and_then(|()| {
                let flushed = self.flushing == Flushing::EachShard;
                let card = &self.file.card;
                shard::write_shard(&self.folder, self.next_number, card, &table, flushed)
            })
            .and_then(|name| {
                let at = self.ledger.enter(&name, &entries).inspect_err(|_| {
                    // A shard that stays is taken up at the next opening.
                    let _ = fs::remove_file(name.path(&self.folder));
                })?;
                Ok((name, at))
            });
        let (name, at) = written.map_err(|e| self.unsafe_write(e))?;
        self.done.add(&entries.into_iter().collect(), at);
        self.shards.push(name);
        self.next_number += 1;
        Ok(self.done.len())
    }

    fn unsafe_write(&self, source: ResultsError) -> ResultsError {
        ResultsError::StudyWrite {
            safe_rows: self.done.len(),
            source: Box::new(source),
        }
    }

    fn check_rows(&self, rows: &[StudyRow]) -> Result<(), ResultsError> {
        let fault = |place: String, reason: &str| {
            Err(ResultsError::StudyInput {
                place,
                reason: reason.to_owned(),
            })
        };
        if rows.len() > BLOCK_ROWS {
            return fault(format!("shard of {} runs", rows.len()), "it is too long");
        }
        if let Some(w) = rows.windows(2).find(|w| w[0].index >= w[1].index) {
            return fault(format!("run {}", w[1].index), "the runs do not ascend");
        }
        for r in rows {
            let place = || format!("run {}", r.index);
            if !self.file.card.slice().contains(&r.index) {
                return fault(place(), "it is outside the slice of this folder");
            }
            if r.cells.len() != self.file.card.columns.len() {
                return fault(place(), "it has not as many cells as there are columns");
            }
            if self.done.matches(r.index, &r.key) && !self.done.failed(r.index) {
                return fault(place(), "it is done already");
            }
        }
        Ok(())
    }

    /// Writes the table of what is done, and `study.json` that says whether it is complete. The shards stay, so that a
    /// partial study can be continued.
    ///
    /// # Errors
    /// `StudyWrite` when the system refuses; the shards are safe.
    pub fn close(self, facts: &RunFacts) -> Result<StudyFile, ResultsError> {
        self.close_as(facts, TableForm::WithCsv)
    }

    /// The same with a table of this form.
    ///
    /// # Errors
    /// As [`StudyStore::close`].
    pub fn close_as(self, facts: &RunFacts, form: TableForm) -> Result<StudyFile, ResultsError> {
        let closed = self.write_closing(facts, form);
        if closed.is_err() {
            remove_temporary(&self.folder);
        }
        closed.map_err(|e| self.unsafe_write(e))
    }

    fn write_closing(&self, facts: &RunFacts, form: TableForm) -> Result<StudyFile, ResultsError> {
        let folder = &self.folder;
        let sources: Vec<Source> = self
            .shards
            .iter()
            .map(|name| Source {
                folder: folder.clone(),
                name: *name,
            })
            .collect();
        let rows = self.done.pieces().map(SourceRows::from).collect();
        let card = &self.file.card;
        let assembly = Assembly::new(card, &sources, rows);
        let (files, mut unflushed) = write_tables(folder, TEMPORARY, card, assembly, form)?;
        let study = Summing {
            card: card.clone(),
            mixed_with: self.file.mixed_with.clone(),
            rows: self.done.len(),
            failed: self.done.failed_rows(),
            gaps: ranges(self.done.gaps()),
            parts: Vec::new(),
        }
        .into_file(files);
        let mut write = |temporary: &str, name: &str, bytes: &[u8]| {
            let (mut entry, file) = write_unflushed(folder, temporary, bytes)?;
            unflushed.push(file);
            entry.name = name.to_owned();
            Ok::<_, ResultsError>(entry)
        };
        let [study_temporary, manifest_temporary] = TEMPORARY_CLOSING;
        let mut entries = study.files.clone();
        entries.insert(
            0,
            write(study_temporary, STUDY_NAME, &pretty(&study, folder)?)?,
        );
        // The ledger names every shard with its checksum.
        for name in [PLAN_NAME, CARD_NAME, ledger::LEDGER_NAME] {
            let path = folder.join(name);
            if path.exists() {
                entries.push(entry_of(&path, name)?);
            }
        }
        let manifest = Manifest::of_study(facts, &card.plan_hash, entries);
        write(
            manifest_temporary,
            MANIFEST_NAME,
            &pretty(&manifest, folder)?,
        )?;
        unflushed.push(self.ledger.unflushed()?);
        self.flush_what_waited(&mut unflushed)?;
        flush_all(&unflushed)?;
        // An end in between leaves a study that is not closed, never one that contradicts itself.
        let closed_before = [
            remove(&folder.join(MANIFEST_NAME))?,
            remove(&folder.join(STUDY_NAME))?,
        ];
        if closed_before.contains(&true) {
            sync_folder(folder)?;
        }
        for (from, to) in TEMPORARY.iter().zip([PARQUET_NAME, CSV_NAME]) {
            let to = folder.join(to);
            if !study.files.iter().any(|entry| to.ends_with(&entry.name)) {
                // Of an earlier closing.
                remove(&to)?;
                continue;
            }
            fs::rename(folder.join(from), &to).map_err(ResultsError::io("put in place", &to))?;
        }
        for (from, name) in TEMPORARY_CLOSING.iter().zip([STUDY_NAME, MANIFEST_NAME]) {
            let to = folder.join(name);
            fs::rename(folder.join(from), &to).map_err(ResultsError::io("put in place", &to))?;
            if self.flushing == Flushing::EachShard {
                sync_folder(folder)?;
            }
        }
        if self.flushing == Flushing::AtClosing {
            sync_folder(folder)?;
        }
        Ok(study)
    }

    // What was not flushed when it was written: the last of it goes with the others.
    fn flush_what_waited(&self, unflushed: &mut Vec<Unflushed>) -> Result<(), ResultsError> {
        if self.flushing == Flushing::EachShard {
            return Ok(());
        }
        let shards = self.shards.iter().map(|name| name.path(&self.folder));
        let beside = [CARD_NAME, PLAN_NAME].map(|name| self.folder.join(name));
        for path in shards.chain(beside).filter(|path| path.exists()) {
            let file = File::options().write(true).open(&path);
            let file = file.map_err(ResultsError::io("write the file", &path))?;
            unflushed.push((path, file));
            if unflushed.len() >= AT_ONCE {
                flush_all(unflushed)?;
                unflushed.clear();
            }
        }
        sync_folder(&self.folder.join(SHARDS))
    }
}

pub fn ranges(gaps: Vec<std::ops::Range<u64>>) -> Vec<RowRange> {
    gaps.into_iter()
        .map(|g| RowRange {
            first: g.start,
            end: g.end,
        })
        .collect()
}

// Removes a file if it is there, and tells whether it was.
fn remove(path: &Path) -> Result<bool, ResultsError> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(ResultsError::io("remove", path)(e)),
        outcome => Ok(outcome.is_ok()),
    }
}

fn remove_temporary(folder: &Path) {
    let names = TEMPORARY.iter().chain(&TEMPORARY_CLOSING);
    for name in names.chain([&TEMPORARY_FILE]) {
        // The next opening tries again.
        let _ = fs::remove_file(folder.join(name));
    }
}

// A folder without card must be empty but for what an interrupted making leaves.
fn check_place(folder: &Path) -> Result<(), ResultsError> {
    if folder.join(CARD_NAME).exists() || folder.join(SHARDS).is_dir() {
        return Ok(());
    }
    for entry in fs::read_dir(folder).map_err(ResultsError::io("list", folder))? {
        let name = entry
            .map_err(ResultsError::io("list", folder))?
            .file_name()
            .to_string_lossy()
            .into_owned();
        if name != LOCK_NAME && name != TEMPORARY_FILE {
            return Err(ResultsError::NoStudy {
                folder: folder.to_owned(),
                reason: format!(
                    "it is not empty and has no `{CARD_NAME}` (it holds `{name}`); nothing was changed, give another folder"
                ),
            });
        }
    }
    Ok(())
}

// The card with which a folder goes on.
fn continued(
    folder: &Path,
    found: Option<&CardFile>,
    card: &StudyCard,
    mixing: Mixing,
) -> Result<CardFile, ResultsError> {
    let mut mixed_with: Vec<Origin> = Vec::new();
    if let Some(found) = found {
        check_same(folder, &found.card, card, mixing)?;
        let old = &found.card;
        let slices = [old.slice(), card.slice()].map(|s| format!("{}..{}", s.start, s.end));
        if mixing == Mixing::Refuse && slices[0] != slices[1] {
            let [found, asked] = slices;
            return Err(ResultsError::OtherStudy {
                folder: folder.to_owned(),
                what: "slice of runs",
                found,
                asked,
                advice: "give each part a folder of its own and join them",
            });
        }
        mixed_with.clone_from(&found.mixed_with);
        mixed_with.push(old.origin());
        mixed_with.retain(|o| *o != card.origin());
        mixed_with.sort();
        mixed_with.dedup();
    }
    Ok(CardFile {
        kind: CARD_KIND.to_owned(),
        format: FORMAT,
        card: card.clone(),
        mixed_with,
    })
}

/// An error if two cards are of different studies, whatever their slices. Titles and meanings may differ.
pub fn check_same(
    folder: &Path,
    found: &StudyCard,
    asked: &StudyCard,
    mixing: Mixing,
) -> Result<(), ResultsError> {
    let columns = |c: &StudyCard| -> Vec<String> {
        c.columns
            .iter()
            .map(|c| format!("{} ({:?})", c.name, c.kind))
            .collect()
    };
    let differ = |what, found: String, asked: String, advice| {
        Err(ResultsError::OtherStudy {
            folder: folder.to_owned(),
            what,
            found,
            asked,
            advice,
        })
    };
    let (a, b) = (columns(found), columns(asked));
    if a != b {
        let i = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
        let at = |c: &[String]| c.get(i).cloned().unwrap_or_else(|| "absent".to_owned());
        return differ(
            "list of own columns",
            format!("{} in place {}", at(&a), i + 1),
            at(&b),
            "tables of different columns are never mixed, give another folder",
        );
    }
    if mixing == Mixing::Allow {
        return Ok(());
    }
    let facts = |c: &StudyCard| {
        [
            ("plan", c.plan_hash.clone()),
            ("model version", c.model_version.to_string()),
            ("summary format", c.summary_format.to_string()),
            ("number of planned runs", c.planned_rows.to_string()),
        ]
    };
    for ((what, found), (_, asked)) in facts(found).into_iter().zip(facts(asked)) {
        if found != asked {
            return differ(
                what,
                found,
                asked,
                "give another folder, or ask for mixing by name",
            );
        }
    }
    Ok(())
}

// Clears away what an interruption left and makes the ledger agree with the shards.
fn put_right(folder: &Path, card: &StudyCard, found: &mut Scan) -> Result<(), ResultsError> {
    ledger::remove_temporary(folder);
    remove_temporary(folder);
    for path in &found.shelf.half_written {
        remove(path)?;
    }
    for path in &found.shelf.spoiled {
        shard::set_aside(path)?;
    }
    let r = &found.repairs;
    if r.ledger || r.taken_up > 0 || r.missing > 0 || !folder.join(ledger::LEDGER_NAME).exists() {
        remove(&folder.join(MANIFEST_NAME))?;
        found.repairs.ledger |= r.missing > 0;
        found.write_ledger(folder, card)?;
    }
    Ok(())
}

// Writes a JSON file whole, under a temporary name first. Its name is still to be flushed.
fn write_json<T: serde::Serialize>(
    folder: &Path,
    name: &str,
    value: &T,
    flushing: Flushing,
) -> Result<(), ResultsError> {
    remove(&folder.join(TEMPORARY_FILE))?;
    let (_, written) = write_unflushed(folder, TEMPORARY_FILE, &pretty(value, folder)?)?;
    if flushing == Flushing::EachShard {
        flush(&written)?;
    }
    let path = folder.join(name);
    fs::rename(folder.join(TEMPORARY_FILE), &path).map_err(ResultsError::io("put in place", &path))
}
