//! `giveway study`: the many runs of a study file, or what is still missing of them.

mod estimate;
mod histories;
mod watch;

use std::cell::RefCell;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Instant, SystemTime};

use giveway_results::{
    Mixing, PlanSource, ResultsError, RunFacts, ScenarioSource, StudyFile, StudyStatus, StudyStore,
    TableForm, part_rows,
};
use giveway_scenario::Diagnostic;
use giveway_study::execute::{Tally, count as count_of, execute, missing};
use giveway_study::plan::{Plan, Read};

use crate::arguments::Study;
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::rendering;
use crate::terminal::{code, complain, print};

/// Where studies go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "studies";

/// Largest study file, bytes.
pub(super) const LARGEST_STUDY: u64 = 16 * 1024 * 1024;

/// Plans, estimates, computes, closes and sums up.
pub fn study(arguments: &Study) -> Exit {
    code(whole(arguments))
}

fn whole(arguments: &Study) -> Result<Exit, Refusal> {
    let started = SystemTime::now();
    let (plan, source) = read_file(
        &arguments.file,
        &arguments.runs.set,
        arguments.plan_hash.as_deref(),
    )?;
    let slice = slice_of(arguments, plan.runs())?;
    if arguments.plan_json {
        print(&plan_json(
            &plan,
            arguments.part.map_or(1, |(_, parts)| parts),
        ));
        return Ok(Exit::Done);
    }
    let asked = arguments
        .histories
        .clone()
        .unwrap_or_else(|| plan.histories().clone());
    let recorded = histories::runs(&asked, &plan, slice.clone())
        .map_err(|problem| Refusal::of_file(Exit::Usage, &arguments.file, &problem))?;
    let threads = pool(arguments)?;
    let say = |text: String| {
        if !arguments.runs.quiet {
            print(&text);
        }
    };
    let count = slice.end - slice.start;
    let of = arguments.part.map_or_else(String::new, |(part, parts)| {
        format!("part {part} of {parts}, ")
    });
    say(format!(
        "{}: {of}{count} runs ({})\n",
        title(&plan, &arguments.file),
        plan.size_in_words()
    ));
    // It costs some runs, so only who reads it pays for it.
    let estimate = |runs: u64| {
        estimate::of(&plan, &slice, recorded.len() as u64, !arguments.no_csv)
            .in_words(runs, threads.current_num_threads())
    };
    if arguments.dry_run {
        print(&estimate(count));
        return Ok(Exit::Done);
    }
    let folder = folder(arguments);
    let io = |e: ResultsError| refusal(&folder, &e);
    let mixing = if arguments.mix {
        Mixing::Allow
    } else {
        Mixing::Refuse
    };
    let stop = stop_on_signal(&folder)?;
    let mut store = opened(&folder, (&plan, &source), slice.clone(), mixing)?;
    let runs = threads.install(|| missing(&plan, &store, slice.clone(), mixing));
    let left = count_of(&runs);
    if left < count {
        let known = count - left;
        say(format!(
            "  goes on: {known} of {count} runs are there already\n"
        ));
    }
    if left > 0 && !arguments.runs.quiet {
        print(&estimate(left));
    }
    let tally = Tally::default();
    let clock = Instant::now();
    let outcome = watch::watched(&tally, left, arguments.runs.quiet, || {
        threads.install(|| execute(&plan, &runs, &mut store, &tally, &stop))
    });
    let seconds = clock.elapsed().as_secs_f64();
    let mut trouble = outcome.err().map(|e| e.to_string());
    if trouble.is_none() && !stop.load(Ordering::Relaxed) {
        let folder = folder.join("histories");
        trouble = threads
            .install(|| histories::write(&plan, &recorded, &folder, &stop))
            .err();
    }
    let facts = RunFacts::new(started, threads.current_num_threads());
    let closed = store.close_as(&facts, TableForm::of(!arguments.no_csv));
    if let Some(problem) = trouble {
        return Err(Refusal::of_file(Exit::Io, &folder, &problem));
    }
    let file = closed.map_err(io)?;
    let computed = tally.done.load(Ordering::Relaxed);
    say(summary(&file, &folder, computed, seconds));
    if !arguments.runs.quiet && file.failed > 0 {
        say("  the reasons stand in the column `reason`\n".to_owned());
    }
    Ok(match exit_of(&file, arguments.runs.quiet) {
        Exit::Compute if arguments.failed_rows_are_results => Exit::Done,
        exit => exit,
    })
}

fn pool(arguments: &Study) -> Result<rayon::ThreadPool, Refusal> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(arguments.runs.threads.map_or(0, usize::from))
        .build()
        .map_err(|e| Refusal::of_file(Exit::Io, &arguments.file, &e.to_string()))
}

/// The rows that are computed: all, or those of a part.
fn slice_of(arguments: &Study, runs: u64) -> Result<Range<u64>, Refusal> {
    let slice = match arguments.part {
        None => 0..runs,
        Some((part, parts)) => part_rows(runs, part, parts).unwrap_or(0..0),
    };
    if slice.is_empty() {
        let problem = format!("the study has {runs} runs; this part of it is empty");
        return Err(Refusal::of_file(Exit::Usage, &arguments.file, &problem));
    }
    Ok(slice)
}

/// The store in a folder, with the plan in it; what it had to repair is said.
fn opened(
    folder: &Path,
    (plan, source): (&Plan, &PlanSource),
    slice: Range<u64>,
    mixing: Mixing,
) -> Result<StudyStore, Refusal> {
    let io = |e: ResultsError| refusal(folder, &e);
    let mut store = StudyStore::open(folder, &plan.card(slice), mixing).map_err(io)?;
    if store.repairs().any() {
        complain(&format!("{}: {}\n", folder.display(), store.repairs()));
    }
    store.keep_plan(source).map_err(io)?;
    Ok(store)
}

/// What a machine that shares the work out must know of the study.
fn plan_json(plan: &Plan, parts: u64) -> String {
    let runs = plan.runs();
    let slices: Vec<_> = (1..=parts)
        .filter_map(|part| part_rows(runs, part, parts))
        .map(|slice| serde_json::json!({ "first": slice.start, "end": slice.end }))
        .collect();
    let card = plan.card(0..runs);
    let told = serde_json::json!({
        "title": plan.title(), "runs": runs, "plan_hash": plan.hash(),
        "model_version": card.model_version, "summary_format": card.summary_format, "parts": slices,
    });
    format!("{told}\n")
}

/// A base scenario beside a study: its name for messages, and its text.
pub(super) fn base_text(beside: &Path, name: &str) -> Result<(String, String), String> {
    let file = beside.join(name);
    let said = |refusal: Refusal| {
        let text = refusal.text.trim_end();
        text.rsplit("error: ").next().unwrap_or(text).to_owned()
    };
    let usual = "a scenario has some kilobytes";
    let text = input::text_up_to(&file, input::LARGEST_FILE, usual).map_err(said)?;
    Ok((file.display().to_string(), text))
}

/// The plan of the file and the texts that it was read from; warnings are printed. With its hash it is not checked again.
pub(super) fn read_file(
    path: &Path,
    changes: &[(String, String)],
    hash: Option<&str>,
) -> Result<(Plan, PlanSource), Refusal> {
    let text = input::text_up_to(path, LARGEST_STUDY, "a study has some kilobytes")?;
    let beside = path.parent().unwrap_or(Path::new(""));
    let read = RefCell::new(Vec::new());
    let load = |name: &str| {
        let (file, text) = base_text(beside, name)?;
        read.borrow_mut().push(ScenarioSource {
            name: name.to_owned(),
            text: text.clone(),
        });
        Ok((file, text))
    };
    let name = path.display().to_string();
    let read_now = match hash {
        None => Plan::read(&text, &name, changes, &load),
        Some(hash) => Plan::read_known(&text, &name, changes, &load, hash),
    };
    match read_now {
        Ok(Read { plan, warnings }) => {
            complain(&rendering::diagnostics(&warnings, &text));
            let source = PlanSource::new(text, changes.to_vec(), read.take());
            Ok((plan, source))
        }
        Err(diagnostics) => Err(Refusal::of_problems(diagnostics, &text)),
    }
}

/// Reads a study without computing anything: its title, and what is unusual in it.
pub(super) fn checked(
    path: &Path,
    text: &str,
    changes: &[(String, String)],
) -> Result<(String, Vec<Diagnostic>), Refusal> {
    let beside = path.parent().unwrap_or(Path::new(""));
    let load = |name: &str| base_text(beside, name);
    match Plan::read(text, &path.display().to_string(), changes, &load) {
        Ok(Read { plan, warnings }) => Ok((plan.title().to_owned(), warnings)),
        Err(diagnostics) => Err(Refusal::of_problems(diagnostics, text)),
    }
}

fn title(plan: &Plan, file: &Path) -> String {
    if plan.title().is_empty() {
        file.display().to_string()
    } else {
        plan.title().to_owned()
    }
}

fn folder(arguments: &Study) -> PathBuf {
    arguments.out.clone().unwrap_or_else(|| {
        let stem = arguments.file.file_stem().unwrap_or_default();
        let mut name = stem.to_owned();
        if let Some((part, parts)) = arguments.part {
            name.push(format!("-part-{part}-of-{parts}"));
        }
        Path::new(DEFAULT_FOLDER).join(name)
    })
}

/// Raised by an interrupt or a request to end. A second interrupt ends the program at once.
fn stop_on_signal(folder: &Path) -> Result<Arc<AtomicBool>, Refusal> {
    use signal_hook::consts::{SIGINT, SIGTERM};
    let stop = Arc::new(AtomicBool::new(false));
    let install = || -> std::io::Result<()> {
        signal_hook::flag::register_conditional_shutdown(SIGINT, 130, Arc::clone(&stop))?;
        signal_hook::flag::register(SIGINT, Arc::clone(&stop))?;
        signal_hook::flag::register(SIGTERM, Arc::clone(&stop))?;
        crate::signals::errors_of_writing()
    };
    install().map_err(|e| {
        Refusal::of_file(Exit::Io, folder, &format!("no signals can be caught: {e}"))
    })?;
    Ok(stop)
}

pub(super) fn refusal(folder: &Path, problem: &ResultsError) -> Refusal {
    let exit = match problem {
        ResultsError::OtherStudy { .. } => Exit::Scenario,
        _ => Exit::Io,
    };
    Refusal::of_file(exit, folder, &problem.to_string())
}

fn summary(file: &StudyFile, folder: &Path, computed: u64, seconds: f64) -> String {
    let mut text = format!("  {}", counts(file));
    if computed > 0 && seconds > 0.0 {
        text.push_str(&format!(
            "; {:.0} s, {:.0} runs a second",
            seconds,
            computed as f64 / seconds
        ));
    }
    text.push_str(&format!("\n  results: {}\n", folder.display()));
    text
}

/// `997 done, 3 failed`, and what is missing.
pub(super) fn counts(file: &StudyFile) -> String {
    let done = file.rows - file.failed;
    let mut text = format!("{done} done, {} failed", file.failed);
    if file.status == StudyStatus::Partial {
        let missing: u64 = file.gaps.iter().map(|gap| gap.end - gap.first).sum();
        text.push_str(&format!(", {missing} missing"));
    }
    text
}

/// The code of a closed study; says what a partial one needs.
fn exit_of(file: &StudyFile, quiet: bool) -> Exit {
    match file.status {
        StudyStatus::Partial => {
            if !quiet {
                complain(
                    "  interrupted: the study is partial; give the same command again to go on\n",
                );
            }
            Exit::Partial
        }
        StudyStatus::Complete if file.failed > 0 => Exit::Compute,
        StudyStatus::Complete => Exit::Done,
    }
}
