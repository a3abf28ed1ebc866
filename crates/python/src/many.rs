//! Studies: the plan, the runs of it, and parts joined.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};
use std::time::SystemTime;

use giveway_mechanics::MODEL_VERSION;
use giveway_results::{
    Flushing, Mixing, PlanSource, RunFacts, ScenarioSource, StudyCard, StudyFile, StudyRow,
    StudyStore, TableForm, merge_as, merge_by_part, part_rows, table_of,
};
use giveway_study::Supports;
use giveway_study::execute::{FLUSH, Tally, count as count_of, execute_on, missing};
use giveway_study::plan::{Histories, Plan, Read};
use pyo3::prelude::*;
use pyo3::types::PyCapsule;
use serde::{Deserialize, Serialize};

use crate::arrow::{batch, kept};
use crate::json::{request, told};
use crate::refusal::{Refusal, data};
use crate::watch::{pool, watched};

/// Supports that were solved in this process: the next part of a study stands on the same.
static SUPPORTS: LazyLock<Supports> = LazyLock::new(Supports::new);

/// A study with its changes.
#[derive(Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    text: String,
    /// Name or path of the file; base scenarios are looked for beside it, unless they are given.
    name: String,
    changes: Vec<(String, String)>,
    #[serde(default)]
    scenarios: Vec<ScenarioSource>,
    /// Hash of the plan where it was checked before.
    #[serde(default)]
    hash: Option<String>,
}

/// What was read, and from what.
type Planned = Arc<(Read, PlanSource)>;

/// The plan that was read last in this process: the parts of one study follow each other.
static LAST: Mutex<Option<(Source, Planned)>> = Mutex::new(None);

impl Source {
    fn read(&self) -> Result<Planned, Refusal> {
        if let Some((source, planned)) = &*LAST.lock().unwrap_or_else(PoisonError::into_inner)
            && source == self
        {
            return Ok(Arc::clone(planned));
        }
        let taken = std::cell::RefCell::new(Vec::new());
        let from_disk = std::cell::Cell::new(false);
        let folder = Path::new(&self.name).parent().unwrap_or(Path::new(""));
        let load = |name: &str| {
            let path = folder.join(name);
            let given = self.scenarios.iter().find(|s| s.name == name);
            let text = match given {
                Some(given) => given.text.clone(),
                None => {
                    from_disk.set(true);
                    beside(&self.name, name)?.1
                }
            };
            taken.borrow_mut().push(ScenarioSource {
                name: name.to_owned(),
                text: text.clone(),
            });
            Ok((path.display().to_string(), text))
        };
        let read = match &self.hash {
            None => Plan::read(&self.text, &self.name, &self.changes, &load),
            Some(hash) => Plan::read_known(&self.text, &self.name, &self.changes, &load, hash),
        }?;
        let source = PlanSource::new(self.text.clone(), self.changes.clone(), taken.take());
        let planned = Arc::new((read, source));
        // A file may be another one the next time; texts are not.
        if self.hash.is_some() && !from_disk.get() {
            let last = Some((self.clone(), Arc::clone(&planned)));
            *LAST.lock().unwrap_or_else(PoisonError::into_inner) = last;
        }
        Ok(planned)
    }
}

#[derive(Serialize)]
struct PlanTold<'a> {
    title: &'a str,
    runs: u64,
    size: String,
    hash: &'a str,
    model_version: u32,
    columns: Vec<&'a str>,
    histories: bool,
    warnings: Vec<serde_json::Value>,
    /// Texts of everything that was read, so that another machine needs no file.
    source: &'a PlanSource,
}

/// Reads a study and computes nothing.
pub fn plan(text: &str) -> Result<String, Refusal> {
    let planned = request::<Source>(text)?.read()?;
    let (Read { plan, warnings }, source) = &*planned;
    told(&PlanTold {
        title: plan.title(),
        runs: plan.runs(),
        size: plan.size_in_words(),
        hash: plan.hash(),
        model_version: MODEL_VERSION,
        columns: plan.columns().iter().map(|c| c.name.as_str()).collect(),
        histories: *plan.histories() != Histories::None,
        warnings: warnings.iter().map(data).collect(),
        source,
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    source: Source,
    /// Folder of the results; without it they stay in memory.
    out: Option<PathBuf>,
    /// One of several equal parts.
    part: Option<(u64, u64)>,
    threads: Option<usize>,
    /// Whether a folder gets `runs.csv` too.
    csv: bool,
    /// Whether nobody goes on with the folder when it is not closed.
    attempt: bool,
}

#[derive(Serialize)]
struct StudyTold<'a> {
    title: &'a str,
    hash: &'a str,
    runs: u64,
    first: u64,
    end: u64,
    rows: u64,
    failed: u64,
    /// Of a folder: what its `study.json` says.
    study: Option<&'a StudyFile>,
    warnings: Vec<serde_json::Value>,
}

/// Computes a study or a part of it, into a folder, or into memory.
pub fn study(
    py: Python<'_>,
    text: &str,
    progress: Option<&Bound<'_, PyAny>>,
) -> PyResult<(String, Option<Py<PyCapsule>>)> {
    let started = SystemTime::now();
    let raise = |r: Refusal| r.raised(py);
    let asked: Asked = request(text).map_err(raise)?;
    let planned = py.detach(|| asked.source.read()).map_err(raise)?;
    let (Read { plan, warnings }, source) = &*planned;
    let slice = match asked.part {
        None => 0..plan.runs(),
        Some((part, parts)) => part_rows(plan.runs(), part, parts)
            .filter(|slice| !slice.is_empty())
            .ok_or_else(|| {
                let runs = plan.runs();
                raise(Refusal::usage(&format!(
                    "the study has {runs} runs; part {part} of {parts} is empty or does not exist"
                )))
            })?,
    };
    if asked.out.is_some() && *plan.histories() != Histories::None {
        return Err(raise(Refusal::usage(
            "the study asks for histories, which only the program writes; take `histories` out, or run `giveway study`",
        )));
    }
    let threads = pool(asked.threads).map_err(raise)?;
    let card = plan.card(slice.clone());
    let mut rows: Vec<StudyRow> = Vec::new();
    let mut store = match &asked.out {
        Some(folder) => {
            let store = py.detach(|| opened(folder, &card, source, asked.attempt));
            Some(store.map_err(raise)?)
        }
        None => None,
    };
    let runs = match &store {
        Some(store) => missing(plan, store, slice.clone(), Mixing::Refuse),
        None => vec![slice.clone()],
    };
    let tally = Tally::default();
    let stop = AtomicBool::new(false);
    let count = slice.end - slice.start;
    let known = count - count_of(&runs);
    let callback = progress.map(|p| p.clone().unbind());
    let tell = |py: Python<'_>| match &callback {
        None => Ok(()),
        Some(callback) => {
            let done = known + tally.done.load(Ordering::Relaxed);
            callback.call1(py, (done, count)).map(drop)
        }
    };
    let work = || {
        threads.install(|| match &mut store {
            Some(store) => execute_on(&SUPPORTS, plan, &runs, store, &tally, &stop, FLUSH),
            None => execute_on(&SUPPORTS, plan, &runs, &mut rows, &tally, &stop, FLUSH),
        })
    };
    // What was computed in a folder stays there, whatever ends the work; the next call goes on.
    watched(py, &stop, tell, work)?.map_err(|e| raise(e.into()))?;
    let facts = facts(started, threads.current_num_threads());
    let file = match store {
        Some(store) => Some(
            py.detach(|| store.close_as(&facts, TableForm::of(asked.csv)))
                .map_err(|e| raise(e.into()))?,
        ),
        None => None,
    };
    let (number, failed) = match &file {
        Some(file) => (file.rows, file.failed),
        None => (
            rows.len() as u64,
            rows.iter().filter(|row| row.failed).count() as u64,
        ),
    };
    let answer = told(&StudyTold {
        title: plan.title(),
        hash: plan.hash(),
        runs: plan.runs(),
        first: slice.start,
        end: slice.end,
        rows: number,
        failed,
        study: file.as_ref(),
        warnings: warnings.iter().map(data).collect(),
    })
    .map_err(raise)?;
    if file.is_some() {
        return Ok((answer, None));
    }
    let table = py
        .detach(|| batch(table_of(&card, &rows)?))
        .map_err(raise)?;
    Ok((answer, Some(kept(py, table)?.unbind())))
}

/// The folder of a study, with its plan.
fn opened(
    folder: &Path,
    card: &StudyCard,
    source: &PlanSource,
    attempt: bool,
) -> Result<StudyStore, Refusal> {
    let flushing = if attempt {
        Flushing::AtClosing
    } else {
        Flushing::EachShard
    };
    let mut store = StudyStore::open_with(folder, card, Mixing::Refuse, flushing)?;
    store.keep_plan(source)?;
    Ok(store)
}

fn facts(started: SystemTime, threads: usize) -> RunFacts {
    RunFacts {
        started,
        threads,
        features: Vec::new(),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MergeAsked {
    parts: Vec<PathBuf>,
    out: PathBuf,
    csv: bool,
    /// Whether the table stays in the files of its parts.
    by_part: bool,
}

#[derive(Serialize)]
struct MergeTold {
    study: StudyFile,
    duplicates: u64,
}

/// Joins the parts of a study.
pub fn merged(text: &str) -> Result<String, Refusal> {
    let asked: MergeAsked = request(text)?;
    let facts = facts(SystemTime::now(), 1);
    if asked.by_part {
        return told(&MergeTold {
            study: merge_by_part(&asked.parts, &asked.out, &facts)?,
            duplicates: 0,
        });
    }
    let form = TableForm::of(asked.csv);
    let report = merge_as(&asked.parts, &asked.out, Mixing::Refuse, &facts, form)?;
    told(&MergeTold {
        study: report.study,
        duplicates: report.duplicates,
    })
}

/// Looks before long work whether a study may be joined in a folder.
pub fn may_be_written(text: &str) -> Result<String, Refusal> {
    giveway_results::may_be_written(&request::<PathBuf>(text)?)?;
    told(&())
}

/// A text beside a file.
pub fn beside(file: &str, name: &str) -> Result<(String, String), String> {
    let path = Path::new(file).parent().unwrap_or(Path::new("")).join(name);
    let text = std::fs::read_to_string(&path)
        .map_err(|e| format!("{}: cannot be read: {e}", path.display()))?;
    Ok((path.display().to_string(), text))
}
