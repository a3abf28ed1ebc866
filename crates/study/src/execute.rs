//! The runs of a plan, on all threads at hand, into a store.
//!
//! Runs go in chunks in the order of their numbers; each chunk is a shard that is safe once it is written, as long as the
//! time between two writings allows. Every run
//! depends on its number alone, so the rows are the same for any number of threads, parts and interruptions. A run that
//! cannot be computed, or that panics, is a row with its reason.

use std::any::Any;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use giveway_impact::{Prepared, Workspace};
use giveway_results::{BLOCK_ROWS, Mixing, ResultsError, RunKey, StudyRow, StudyStore};
use rayon::prelude::*;

use crate::brief::{BriefWorkspace, brief_numbers, engagement_numbers};
use crate::pass::numbers_in;
use crate::plan::{Needs, Plan, RunNumbers, key_without_scenario, one_line, run_key};
use crate::supports::Supports;

/// Runs of the first chunk, and the fewest of a later one. What fits into the time between two writings is a chunk, up to the
/// longest shard: that much is held in memory.
const CHUNK: usize = 512;

/// Longest time between two writings of a study: what is computed anew after a crash, with the runs in hand.
pub const FLUSH: Duration = Duration::from_secs(3);

/// Runs that one thread takes at a time; its memory is used again among them.
const LEAF: usize = 8;

/// What has been done, for whoever watches.
#[derive(Debug, Default)]
pub struct Tally {
    /// Runs computed.
    pub done: AtomicU64,
    /// Failed ones among them.
    pub failed: AtomicU64,
}

/// Memory of one thread that is used again from run to run.
#[derive(Debug, Default)]
pub struct RunMemory {
    full: Workspace,
    brief: BriefWorkspace,
}

/// How an execution ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Every run of the slice is in the store.
    Complete,
    /// It was told to stop.
    Stopped,
}

/// One run as a row; never an error and never a panic.
pub fn run_row(plan: &Plan, index: u64, supports: &Supports, memory: &mut RunMemory) -> StudyRow {
    let run = match plan.run(index) {
        Ok(run) => run,
        Err(reason) => {
            let key = key_without_scenario(None, &format!("{index} {reason}"));
            return plan.failed_row(index, None, key, reason);
        }
    };
    let scenario = match plan.scenario(&run) {
        Ok(scenario) => scenario,
        Err(diagnostics) => {
            let reason = one_line(&diagnostics);
            let key = key_without_scenario(Some(&run), &reason);
            return plan.failed_row(index, Some(&run), key, reason);
        }
    };
    let key = run_key(&scenario);
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        let prepared = supports.prepare(&scenario).map_err(|e| e.to_string())?;
        computed(plan, &prepared, memory)
    }));
    match outcome {
        Ok(Ok(numbers)) => plan.row(&run, key, &scenario, &numbers),
        Ok(Err(reason)) => plan.failed_row(index, Some(&run), key, reason),
        Err(panic) => {
            *memory = RunMemory::default();
            let reason = format!("panicked: {}", panic_in_words(panic.as_ref()));
            plan.failed_row(index, Some(&run), key, reason)
        }
    }
}

/// What the columns ask for.
fn computed(
    plan: &Plan,
    prepared: &Prepared,
    memory: &mut RunMemory,
) -> Result<RunNumbers, String> {
    let numbers = match plan.needs() {
        Needs::Engagement => engagement_numbers(prepared).map(RunNumbers::Brief),
        Needs::Record => brief_numbers(prepared, &mut memory.brief).map(RunNumbers::Brief),
        Needs::Everything => {
            numbers_in(prepared, &mut memory.full).map(|n| RunNumbers::Full(Box::new(n)))
        }
    };
    numbers.map_err(|e| e.to_string())
}

fn panic_in_words(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<&str>().copied();
    text.or_else(|| panic.downcast_ref::<String>().map(String::as_str))
        .unwrap_or("without a message")
}

/// The key of a run, without computing it.
pub fn key_of(plan: &Plan, index: u64) -> RunKey {
    match plan.run(index) {
        Ok(run) => match plan.scenario(&run) {
            Ok(scenario) => run_key(&scenario),
            Err(diagnostics) => key_without_scenario(Some(&run), &one_line(&diagnostics)),
        },
        Err(reason) => key_without_scenario(None, &format!("{index} {reason}")),
    }
}

/// Numbers of the runs of the slice that the store lacks; where it may hold rows of another plan or model, also those
/// whose key is another one.
pub fn missing(
    plan: &Plan,
    store: &StudyStore,
    slice: Range<u64>,
    mixing: Mixing,
) -> Vec<Range<u64>> {
    let done = store.done();
    let gaps = done.gaps().into_iter();
    match mixing {
        Mixing::Refuse => gaps
            .map(|gap| gap.start.max(slice.start)..gap.end.min(slice.end))
            .filter(|gap| !gap.is_empty())
            .collect(),
        Mixing::Allow => {
            let runs: Vec<u64> = slice
                .into_par_iter()
                .filter(|&i| !(done.contains(i) && done.matches(i, &key_of(plan, i))))
                .collect();
            runs.chunk_by(|a, b| a + 1 == *b)
                .map(|runs| runs[0]..runs[runs.len() - 1] + 1)
                .collect()
        }
    }
}

/// How many runs these are.
pub fn count(runs: &[Range<u64>]) -> u64 {
    runs.iter().map(|range| range.end - range.start).sum()
}

/// Where rows go: a folder's store, or memory.
pub trait RowSink {
    /// Takes rows in ascending order.
    ///
    /// # Errors
    /// Why they could not be kept; what was taken before is safe.
    fn take(&mut self, rows: Vec<StudyRow>) -> Result<(), ResultsError>;
}

impl RowSink for StudyStore {
    fn take(&mut self, rows: Vec<StudyRow>) -> Result<(), ResultsError> {
        self.append_shard(&rows).map(drop)
    }
}

impl RowSink for Vec<StudyRow> {
    fn take(&mut self, rows: Vec<StudyRow>) -> Result<(), ResultsError> {
        self.extend(rows);
        Ok(())
    }
}

/// Computes these runs, which ascend, and appends them; a raised `stop` ends it after the runs in hand, whose rows are kept. What has been
/// computed is safe after [`FLUSH`] at the latest, and the run in hand.
///
/// # Errors
/// What kept the store from writing; what was written before is safe.
pub fn execute(
    plan: &Plan,
    runs: &[Range<u64>],
    store: &mut impl RowSink,
    tally: &Tally,
    stop: &AtomicBool,
) -> Result<Ended, ResultsError> {
    execute_on(&Supports::new(), plan, runs, store, tally, stop, FLUSH)
}

/// The same on supports that were solved before, and with another longest time between two writings.
///
/// # Errors
/// As [`execute`].
pub fn execute_on(
    supports: &Supports,
    plan: &Plan,
    runs: &[Range<u64>],
    store: &mut impl RowSink,
    tally: &Tally,
    stop: &AtomicBool,
    flush: Duration,
) -> Result<Ended, ResultsError> {
    let mut rest = runs.iter().cloned().flatten().peekable();
    // Runs that the time did not suffice for; their numbers are below those of the rest.
    let mut over: Vec<u64> = Vec::new();
    let mut size = CHUNK;
    while !(over.is_empty() && rest.peek().is_none()) {
        let mut chunk = std::mem::take(&mut over);
        chunk.extend(rest.by_ref().take(size.saturating_sub(chunk.len())));
        let since = Instant::now();
        let begun = AtomicBool::new(false);
        // In the order of the chunk, whoever computed them.
        let rows: Vec<Option<StudyRow>> = chunk
            .par_iter()
            .with_max_len(LEAF)
            .map_init(RunMemory::default, |memory, &index| {
                // The first run of a chunk is computed whatever the clock says.
                let late = since.elapsed() >= flush && begun.swap(true, Ordering::Relaxed);
                if late || stop.load(Ordering::Relaxed) {
                    return None;
                }
                begun.store(true, Ordering::Relaxed);
                let row = run_row(plan, index, supports, memory);
                tally
                    .failed
                    .fetch_add(u64::from(row.failed), Ordering::Relaxed);
                tally.done.fetch_add(1, Ordering::Relaxed);
                Some(row)
            })
            .collect();
        over.extend(
            chunk
                .iter()
                .zip(&rows)
                .filter(|(_, row)| row.is_none())
                .map(|(index, _)| *index),
        );
        let rows: Vec<StudyRow> = rows.into_iter().flatten().collect();
        let share = 0.8 * flush.as_secs_f64() / since.elapsed().as_secs_f64();
        size = ((share * rows.len() as f64) as usize).clamp(CHUNK, BLOCK_ROWS);
        if !rows.is_empty() {
            store.take(rows)?;
        }
        if stop.load(Ordering::Relaxed) && !(over.is_empty() && rest.peek().is_none()) {
            return Ok(Ended::Stopped);
        }
    }
    Ok(Ended::Complete)
}
