//! Parts of a study joined into one closed table.

use std::collections::BTreeSet;
use std::ops::Range;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::{flush_all, pretty, write_file};
use crate::folder::{hold_to_replace, write_manifest_of, write_whole};
use crate::manifest::{Manifest, RunFacts};

use super::assemble::{Assembly, Source, SourceRows};
use super::card::{Origin, StudyCard, StudyFile};
use super::closing::{CSV_NAME, PARQUET_NAME, STUDY_NAME, Summing, TableForm, write_tables};
use super::scan::{CARD_NAME, lock, read_card, scan};
use super::source::{PLAN_NAME, plan_bytes};
use super::spans::{At, Spans, gaps};
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

/// Runs that stand twice.
struct Twice {
    runs: Range<u64>,
    first: At,
    other: At,
}

/// Joins the folders of parts, which are not changed, and writes the table into a folder of its own. It takes the memory of
/// some blocks of the table, however long that is.
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
    merge_as(parts, out, mixing, facts, TableForm::WithCsv)
}

/// The same with a table of this form.
///
/// # Errors
/// As [`merge`].
pub fn merge_as(
    parts: &[PathBuf],
    out: &Path,
    mixing: Mixing,
    facts: &RunFacts,
    form: TableForm,
) -> Result<MergeReport, ResultsError> {
    let hold = hold_to_replace(out, "merge")?;
    let mut whole: Option<StudyCard> = None;
    let mut origins: BTreeSet<Origin> = BTreeSet::new();
    let mut sources: Vec<Source> = Vec::new();
    let mut joined = Spans::default();
    let mut twice: Vec<Twice> = Vec::new();
    let (mut rows, mut failed) = (0, 0);
    for folder in parts {
        // Whole shards stay as they are, also when somebody goes on with the part.
        let _lock = lock(folder, false)?;
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
        let done = found.done(whole.slice());
        let offset = sources.len() as u32;
        sources.extend(found.shards.iter().map(|shard| Source {
            folder: folder.clone(),
            name: shard.name,
        }));
        for (runs, at) in done.pieces() {
            let place = |run: u64| {
                let here = at.after(run - runs.start);
                let shard = offset + here.shard;
                At { shard, ..here }
            };
            // Of a run that stands twice the part given first counts.
            let known = joined.within(&runs);
            for new in gaps(&runs, known.iter().map(|(runs, _)| runs.clone())) {
                rows += new.end - new.start;
                failed += done.failed_in(&(new.clone(), at.after(new.start - runs.start)));
                let at = place(new.start);
                joined.insert(new, at);
            }
            twice.extend(known.into_iter().map(|(runs, first)| Twice {
                other: place(runs.start),
                runs,
                first,
            }));
        }
    }
    let Some(card) = whole else {
        return Err(ResultsError::StudyInput {
            place: "the list of parts".to_owned(),
            reason: "it is empty".to_owned(),
        });
    };
    twice.sort_by_key(|t| t.runs.start);
    let (duplicates, conflicting) = compared(&card, &sources, &twice)?;
    if let (Mixing::Refuse, Some(&first)) = (mixing, conflicting.first()) {
        return Err(ResultsError::Conflict {
            count: conflicting.len() as u64,
            first,
        });
    }
    origins.remove(&card.origin());
    let summing = Summing {
        rows,
        failed,
        gaps: ranges(gaps(&card.slice(), joined.pieces().map(|(runs, _)| runs))),
        mixed_with: origins.into_iter().collect(),
        card,
        parts: Vec::new(),
    };
    let rows: Vec<SourceRows> = joined.pieces().map(SourceRows::from).collect();
    let plan = plan_bytes(parts);
    let mut study = None;
    write_whole(hold, |folder| {
        let card = summing.card.clone();
        let assembly = Assembly::new(&card, &sources, rows);
        study = Some(filled(folder, summing, assembly, form, plan, facts)?);
        Ok(())
    })?;
    Ok(MergeReport {
        study: study.expect("a folder that was written was filled"),
        duplicates,
        conflicting,
    })
}

/// Writes the joined rows and what stands beside them into a folder.
fn filled(
    folder: &Path,
    summing: Summing,
    assembly: Assembly<'_>,
    form: TableForm,
    plan: Option<Vec<u8>>,
    facts: &RunFacts,
) -> Result<StudyFile, ResultsError> {
    let names = [PARQUET_NAME, CSV_NAME];
    let (files, unflushed) = write_tables(folder, names, &summing.card, assembly, form)?;
    flush_all(&unflushed)?;
    let written = summing.into_file(files);
    write_beside(folder, &written, plan.as_deref(), facts)?;
    Ok(written)
}

/// `study.json`, the plan and the manifest, last of all.
pub(super) fn write_beside(
    folder: &Path,
    study: &StudyFile,
    plan: Option<&[u8]>,
    facts: &RunFacts,
) -> Result<(), ResultsError> {
    let mut entries = study.files.clone();
    entries.insert(0, write_file(folder, STUDY_NAME, &pretty(study, folder)?)?);
    if let Some(plan) = plan.filter(|_| study.mixed_with.is_empty()) {
        entries.push(write_file(folder, PLAN_NAME, plan)?);
    }
    let manifest = Manifest::of_study(facts, &study.card.plan_hash, entries);
    write_manifest_of(folder, &manifest)
}

// How many rows stand twice with the same content, and the runs that do with different content.
fn compared(
    card: &StudyCard,
    sources: &[Source],
    twice: &[Twice],
) -> Result<(u64, Vec<u64>), ResultsError> {
    let assembly = |place: fn(&Twice) -> At| {
        let rows = twice
            .iter()
            .map(|t| SourceRows::from((t.runs.clone(), place(t))));
        Assembly::new(card, sources, rows.collect())
    };
    let mut conflicting = BTreeSet::new();
    let mut indices = twice.iter().flat_map(|t| t.runs.clone());
    let mut first = assembly(|t| t.first);
    let mut other = assembly(|t| t.other);
    let mut duplicates = 0;
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
