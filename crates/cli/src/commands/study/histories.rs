//! Time histories of the runs of a study that were asked for: a results folder for each.

use std::ops::Range;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::SystemTime;

use giveway_results::{RunFacts, RunFiles, write_run_folder};
use giveway_study::compute;
use giveway_study::plan::{Histories, Plan};
use rayon::prelude::*;

/// The runs of a slice that leave histories; an error where a run is asked for that the study has not.
pub fn runs(asked: &Histories, plan: &Plan, slice: Range<u64>) -> Result<Vec<u64>, String> {
    match asked {
        Histories::None => Ok(Vec::new()),
        Histories::All => Ok(slice.collect()),
        Histories::Runs(list) => {
            if let Some(run) = list.iter().find(|run| **run >= plan.runs()) {
                return Err(format!(
                    "histories of run {run}: the runs are numbered from 0 to {}",
                    plan.runs() - 1
                ));
            }
            let mut list: Vec<u64> = list.iter().copied().filter(|r| slice.contains(r)).collect();
            list.sort_unstable();
            list.dedup();
            Ok(list)
        }
    }
}

/// Writes the folder of each run; runs that cannot be computed leave none, their row says why.
pub fn write(plan: &Plan, runs: &[u64], folder: &Path, stop: &AtomicBool) -> Result<(), String> {
    runs.par_iter().try_for_each(|&index| {
        if stop.load(Ordering::Relaxed) {
            return Ok(());
        }
        match one(plan, index, &folder.join(format!("run-{index}"))) {
            Err(Problem::Io(problem)) => Err(problem),
            Err(Problem::Run) | Ok(()) => Ok(()),
        }
    })
}

enum Problem {
    /// The run has no histories.
    Run,
    Io(String),
}

fn one(plan: &Plan, index: u64, folder: &Path) -> Result<(), Problem> {
    let started = SystemTime::now();
    let run = plan.run(index).map_err(|_| Problem::Run)?;
    let mut loaded = plan.load(&run).map_err(|_| Problem::Run)?;
    loaded.scenario.output.history = true;
    loaded.scenario.output.figures = false;
    let computed = compute(&loaded.scenario, loaded.assumptions.len()).map_err(|_| Problem::Run)?;
    let files = RunFiles {
        scenario_toml: &loaded.resolved_text,
        scenario: &loaded.scenario,
        summary: &computed.summary,
        histories: Some(&computed.engagement),
        figures: &[],
        facts: &RunFacts::new(started, rayon::current_num_threads()),
    };
    write_run_folder(folder, &files)
        .map(drop)
        .map_err(|e| Problem::Io(e.to_string()))
}

/// Bytes of the histories of one run, written beside the system's temporary files and removed again.
pub fn size_of_one(plan: &Plan, index: u64) -> Option<f64> {
    let folder = std::env::temp_dir().join(format!("giveway-size-{}", std::process::id()));
    let written = one(plan, index, &folder).is_ok();
    let bytes: u64 = std::fs::read_dir(&folder)
        .map(|files| {
            files
                .filter_map(|file| file.ok()?.metadata().ok())
                .map(|file| file.len())
                .sum()
        })
        .unwrap_or(0);
    // That it cannot be removed changes nothing.
    let _ = std::fs::remove_dir_all(&folder);
    written.then_some(bytes as f64)
}
