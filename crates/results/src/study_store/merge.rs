//! Parts of a study joined into one closed table.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::{pretty, write_file};
use crate::folder::{hold_to_replace, write_manifest_of, write_whole};
use crate::manifest::{Manifest, RunFacts};

use super::assemble::{Assembly, Source, SourceRow};
use super::card::{Origin, StudyCard, StudyFile};
use super::closing::{CSV_NAME, PARQUET_NAME, STUDY_NAME, Summing, write_tables};
use super::done::{Done, gaps};
use super::row::RunKey;
use super::scan::{CARD_NAME, lock, read_card, scan};
use super::source::{PLAN_NAME, plan_bytes};
use super::store::{Mixing, check_same, ranges};

/// What a merge found.
#[derive(Debug, Clone, PartialEq)]
pub struct MergeReport {
    /// Content of the joined study's `study.json`; its gaps are those of the whole plan.
    pub study: StudyFile,
    /// Rows that stood in more than one part with the same content; one of each was taken.
    pub duplicates: u64,
    /// Runs that stood in more than one part with different content; the part given first counts. Empty unless mixing is
    /// allowed, else it is an error.
    pub conflicting: Vec<u64>,
}

#[derive(Clone, Copy)]
struct Entry {
    index: u64,
    key: RunKey,
    at: SourceRow,
    failed: bool,
}

/// Joins the folders of parts, which are not changed, and writes the table into a folder of its own.
///
/// # Errors
/// Parts of different studies, or with different content for the same run, unless mixing is allowed; a part that is being
/// written; an output folder that must not be replaced. An error leaves the output path as it was.
pub fn merge(
    parts: &[PathBuf],
    out: &Path,
    mixing: Mixing,
    facts: &RunFacts,
) -> Result<MergeReport, ResultsError> {
    let hold = hold_to_replace(out, "merge")?;
    let mut whole: Option<StudyCard> = None;
    let mut origins: BTreeSet<Origin> = BTreeSet::new();
    let mut sources: Vec<Source> = Vec::new();
    let mut entries: Vec<Entry> = Vec::new();
    let mut locks = Vec::new();
    for folder in parts {
        locks.push(lock(folder, false)?);
        let file = read_card(folder)?.ok_or_else(|| ResultsError::NoStudy {
            folder: folder.clone(),
            reason: format!("it has no `{CARD_NAME}`"),
        })?;
        let card = &file.card;
        let whole = whole.get_or_insert_with(|| StudyCard {
            first: 0,
            end: card.planned_rows,
            ..card.clone()
        });
        check_same(folder, card, whole, mixing)?;
        let mut here = file.mixed_with.clone();
        here.push(card.origin());
        let found = scan(folder, card, &here)?;
        origins.extend(here);
        let done = Done::new(whole.slice(), found.shards.iter().map(|s| s.1.as_slice()));
        let offset = sources.len() as u32;
        sources.extend(found.shards.iter().map(|(name, _)| Source {
            folder: folder.clone(),
            name: *name,
        }));
        entries.extend(done.places().map(|(index, p)| Entry {
            index,
            key: p.key,
            at: SourceRow {
                source: offset + p.shard,
                row: p.row,
            },
            failed: p.failed,
        }));
    }
    let Some(card) = whole else {
        return Err(ResultsError::StudyInput {
            place: "the list of parts".to_owned(),
            reason: "it is empty".to_owned(),
        });
    };
    // Stable: of equal indices the part given first comes first.
    entries.sort_by_key(|e| e.index);
    let (duplicates, conflicting) = doubles(&card, &sources, &entries)?;
    if let (Mixing::Refuse, Some(&first)) = (mixing, conflicting.first()) {
        return Err(ResultsError::Conflict {
            count: conflicting.len() as u64,
            first,
        });
    }
    entries.dedup_by_key(|e| e.index);
    origins.remove(&card.origin());
    let summing = Summing {
        rows: entries.len() as u64,
        failed: entries.iter().filter(|e| e.failed).count() as u64,
        gaps: ranges(gaps(&card.slice(), entries.iter().map(|e| e.index))),
        mixed_with: origins.into_iter().collect(),
        card,
    };
    let rows: Vec<SourceRow> = entries.iter().map(|e| e.at).collect();
    drop(entries);
    let plan = plan_bytes(parts);
    let mut study = None;
    write_whole(hold, |folder| {
        let card = summing.card.clone();
        let assembly = Assembly::new(&card, &sources, rows);
        let files = write_tables(folder, [PARQUET_NAME, CSV_NAME], &card, assembly)?;
        let written = summing.into_file(files);
        let mut entries = written.files.clone();
        entries.insert(
            0,
            write_file(folder, STUDY_NAME, &pretty(&written, folder)?)?,
        );
        if let Some(plan) = plan.as_deref().filter(|_| written.mixed_with.is_empty()) {
            entries.push(write_file(folder, PLAN_NAME, plan)?);
        }
        write_manifest_of(folder, &Manifest::of_study(facts, &card.plan_hash, entries))?;
        study = Some(written);
        Ok(())
    })?;
    drop(locks);
    Ok(MergeReport {
        study: study.expect("a folder that was written was filled"),
        duplicates,
        conflicting,
    })
}

// How many rows stand twice with the same content, and the runs that do with different content.
fn doubles(
    card: &StudyCard,
    sources: &[Source],
    entries: &[Entry],
) -> Result<(u64, Vec<u64>), ResultsError> {
    let mut conflicting = BTreeSet::new();
    let mut first_rows = Vec::new();
    let mut other_rows = Vec::new();
    let mut indices = Vec::new();
    for same in entries.chunk_by(|a, b| a.index == b.index) {
        for other in &same[1..] {
            if other.key != same[0].key {
                conflicting.insert(other.index);
                continue;
            }
            first_rows.push(same[0].at);
            other_rows.push(other.at);
            indices.push(other.index);
        }
    }
    let mut first = Assembly::new(card, sources, first_rows);
    let mut other = Assembly::new(card, sources, other_rows);
    let mut duplicates = 0;
    let mut indices = indices.into_iter();
    while let (Some(a), Some(b)) = (first.next_block()?, other.next_block()?) {
        let mut equal = vec![true; a.rows()];
        for (a, b) in a.columns.iter().zip(&b.columns) {
            // The same calculation may have been done by two versions that agree on this run.
            if a.name != "model_version" {
                a.values.compare(&b.values, &mut equal);
            }
        }
        for (equal, index) in equal.into_iter().zip(indices.by_ref()) {
            if equal {
                duplicates += 1;
            } else {
                conflicting.insert(index);
            }
        }
    }
    Ok((duplicates, conflicting.into_iter().collect()))
}
