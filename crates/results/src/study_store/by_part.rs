//! Parts of a study joined without writing their tables again: the parts' Parquet files become the folder `runs`, which
//! readers of Parquet take for one table, and `study.json` names the runs of each.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::sync_folder;
use crate::folder::{hold_to_replace, write_whole};
use crate::manifest::{FileEntry, RunFacts};
use crate::sink::Sink;

use super::card::{RowRange, StudyCard, StudyFile, TablePart};
use super::closing::{PARQUET_NAME, Summing};
use super::merge::write_beside;
use super::read::{Study, read_study};
use super::scan::lock;
use super::source::plan_bytes;
use super::spans;
use super::store::{Mixing, check_same, ranges};

/// Folder of a table that was left in parts.
pub const PARTS_FOLDER: &str = "runs";

/// A file of a part and what it becomes.
struct Taken {
    path: PathBuf,
    part: TablePart,
    entry: FileEntry,
}

/// Joins the folders of closed parts. Their files are shared with the new folder where the file system can (hard links), else
/// copied.
///
/// # Errors
/// Parts that are not closed, that hold the same run, or that are of different studies; an output folder that must not be
/// replaced. An error leaves the output path as it was.
pub fn merge_by_part(
    parts: &[PathBuf],
    out: &Path,
    facts: &RunFacts,
) -> Result<StudyFile, ResultsError> {
    let hold = hold_to_replace(out, "merge")?;
    let mut written = None;
    write_whole(hold, |folder| {
        let place = folder.join(PARTS_FOLDER);
        fs::create_dir(&place).map_err(ResultsError::io("create the folder", &place))?;
        let study = filled(parts, folder)?;
        sync_folder(&place)?;
        write_beside(folder, &study, plan_bytes(parts).as_deref(), facts)?;
        written = Some(study);
        Ok(())
    })?;
    Ok(written.expect("a folder that was written was filled"))
}

// Takes the files of every part over; a part is locked only so long.
fn filled(parts: &[PathBuf], folder: &Path) -> Result<StudyFile, ResultsError> {
    let mut whole: Option<StudyCard> = None;
    // By their first run.
    let mut taken: BTreeMap<u64, Taken> = BTreeMap::new();
    let mut gaps: Vec<RowRange> = Vec::new();
    let (mut rows, mut failed) = (0, 0);
    for part in parts {
        let _lock = lock(part, false)?;
        let study = read_study(part)?;
        let card = &study.file.card;
        let whole = whole.get_or_insert_with(|| StudyCard {
            first: 0,
            end: card.planned_rows,
            ..card.clone()
        });
        check_same(part, card, whole, Mixing::Refuse)?;
        if !study.file.mixed_with.is_empty() {
            let reason = "it holds runs of other plans or versions of the model";
            return Err(refused(part, reason));
        }
        rows += study.file.rows;
        failed += study.file.failed;
        gaps.extend(&study.file.gaps);
        for t in files_of(part, &study) {
            let before = taken.range(..t.part.end).next_back();
            if before.is_some_and(|(_, before)| before.part.end > t.part.first) {
                let reason = "some of its runs stand in another part too; such parts are joined into one table only";
                return Err(refused(part, reason));
            }
            take_over(&t, &folder.join(&t.part.name))?;
            taken.insert(t.part.first, t);
        }
    }
    let Some(card) = whole else {
        return Err(ResultsError::StudyInput {
            place: "the list of parts".to_owned(),
            reason: "it is empty".to_owned(),
        });
    };
    let slices = taken.values().map(|t| t.part.first..t.part.end);
    gaps.extend(ranges(spans::gaps(&card.slice(), slices)));
    let summing = Summing {
        mixed_with: Vec::new(),
        rows,
        failed,
        gaps: joined(gaps),
        parts: taken.values().map(|t| t.part.clone()).collect(),
        card,
    };
    Ok(summing.into_file(taken.into_values().map(|t| t.entry).collect()))
}

fn refused(place: &Path, reason: &str) -> ResultsError {
    ResultsError::StudyInput {
        place: place.display().to_string(),
        reason: reason.to_owned(),
    }
}

// The Parquet files of a closed part, which may be in parts itself, under their names in the whole.
fn files_of(folder: &Path, study: &Study) -> Vec<Taken> {
    let file = &study.file;
    let parts = if file.parts.is_empty() {
        vec![TablePart {
            name: PARQUET_NAME.to_owned(),
            first: file.card.first,
            end: file.card.end,
            rows: file.rows,
        }]
    } else {
        file.parts.clone()
    };
    parts
        .into_iter()
        .filter(|part| part.first < part.end)
        .filter_map(|part| {
            let entry = file.files.iter().find(|entry| entry.name == part.name)?;
            // As wide as the largest study, so that names stand in the order of the runs.
            let name = format!("{PARTS_FOLDER}/{:012}-{:012}.parquet", part.first, part.end);
            Some(Taken {
                path: folder.join(&part.name),
                entry: FileEntry {
                    name: name.clone(),
                    ..entry.clone()
                },
                part: TablePart { name, ..part },
            })
        })
        .collect()
}

// One file in two folders, or a copy of it that is held against its checksum.
fn take_over(taken: &Taken, to: &Path) -> Result<(), ResultsError> {
    if fs::hard_link(&taken.path, to).is_ok() {
        return Ok(());
    }
    let mut from = File::open(&taken.path).map_err(ResultsError::io("read", &taken.path))?;
    let mut sink = Sink::create(to)?;
    io::copy(&mut from, &mut sink).map_err(ResultsError::io("write the file", to))?;
    if sink.finish(&taken.part.name)? != taken.entry {
        return Err(ResultsError::Altered {
            path: taken.path.clone(),
            reason: "was changed while it was copied".to_owned(),
        });
    }
    Ok(())
}

// Ascending, and neighbours as one.
fn joined(mut gaps: Vec<RowRange>) -> Vec<RowRange> {
    gaps.sort_by_key(|gap| gap.first);
    let mut joined: Vec<RowRange> = Vec::new();
    for gap in gaps {
        match joined.last_mut() {
            Some(last) if last.end >= gap.first => last.end = last.end.max(gap.end),
            _ => joined.push(gap),
        }
    }
    joined
}
