//! `giveway fit`: parameters from what was measured, stage by stage; an interrupted fit goes on where it stopped.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_lab::fit::{Fit, Posterior, RecordTables, Refused, read_fit};
use giveway_mechanics::MODEL_VERSION;
use giveway_report::{DrawnParameter, FigureFile, ReportError, band_figure, pair_figure};
use giveway_results::{LabFiles, LabTable, RunFacts, hash_text, may_be_written, write_lab_folder};
use giveway_sampling::Cloud;
use giveway_scenario::Diagnostic;
use serde::{Deserialize, Serialize};

use super::record::faults;
use super::study::base_text;
use crate::arguments::Fit as Arguments;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::run_folder::{figure_bytes, files_of};
use crate::terminal::{complain, ended};

/// Where fits go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "fits";
/// Largest file, bytes.
const LARGEST: u64 = 16 * 1024 * 1024;

/// Fits, writes, tells.
pub fn fit(arguments: &Arguments) -> Exit {
    ended(whole(arguments), arguments.runs.quiet)
}

fn whole(arguments: &Arguments) -> Result<String, Refusal> {
    let started = SystemTime::now();
    let file = &arguments.file;
    let text = input::text_up_to(file, LARGEST, "a fit has some kilobytes")?;
    let beside = file.parent().unwrap_or(Path::new(""));
    let mut everything = format!("{MODEL_VERSION}\n{text}{:?}", arguments.runs.set);
    let name = file.display().to_string();
    let sources = std::cell::RefCell::new(String::new());
    let load = |name: &str| {
        let read = base_text(beside, name)?;
        sources.borrow_mut().push_str(&read.1);
        Ok(read)
    };
    let records = |name: &str| {
        let tables = RecordTables::of_folder(&beside.join(name))?;
        sources.borrow_mut().push_str(&format!("{tables:?}"));
        Ok(tables)
    };
    let (fit, warnings) = read_fit(&text, &name, &arguments.runs.set, &load, &records)
        .map_err(|e| refused(e, &text))?;
    complain(&rendering::diagnostics(&warnings, &text));
    everything.push_str(&sources.borrow());
    let key = hash_text(&everything);
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| Path::new(DEFAULT_FOLDER).join(file.file_stem().unwrap_or_default()));
    may_be_written(&out).or_refuse(Exit::Io, &out)?;
    let threads = pool(arguments.runs.threads, file)?;
    let cloud = threads.install(|| drawn(&fit, &out, &key, arguments.runs.quiet))?;
    let (posterior, table) = threads
        .install(|| {
            let posterior = fit.told(&cloud)?;
            Ok::<_, String>((posterior, fit.table(&cloud)?))
        })
        .or_refuse(Exit::Compute, file)?;
    let figures = figures(&fit, &posterior, &table).or_refuse(Exit::Compute, file)?;
    let facts = RunFacts::new(started, threads.current_num_threads());
    write(&out, &text, &posterior, table, &figures, &facts).or_refuse(Exit::Io, &out)?;
    // The posterior stands: what was kept on the way is no longer needed.
    let _ = std::fs::remove_file(checkpoint(&out));
    Ok(people::said(&told(&posterior, &out)))
}

pub(super) fn pool(threads: Option<u16>, file: &Path) -> Result<rayon::ThreadPool, Refusal> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.map_or(0, usize::from))
        .build()
        .or_refuse(Exit::Io, file)
}

/// Reads a fit without drawing from it: its title, and what is unusual in it.
pub(super) fn checked(
    path: &Path,
    text: &str,
    changes: &[(String, String)],
) -> Result<(String, Vec<Diagnostic>), Refusal> {
    let beside = path.parent().unwrap_or(Path::new(""));
    let load = |name: &str| base_text(beside, name);
    let records = |name: &str| RecordTables::of_folder(&beside.join(name));
    let (fit, warnings) = read_fit(text, &path.display().to_string(), changes, &load, &records)
        .map_err(|e| refused(e, text))?;
    Ok((fit.title, warnings))
}

/// What is wrong with a file that holds a study and more.
pub(super) fn refused(problem: Refused, text: &str) -> Refusal {
    match problem {
        Refused::Lab(list) => faults(&list, text),
        Refused::Study(diagnostics) => Refusal::of_problems(diagnostics, text),
    }
}

/// A cloud on disk between two stages.
#[derive(Serialize, Deserialize)]
struct Kept {
    key: String,
    root: u64,
    stage: u64,
    exponent: f64,
    log_evidence: f64,
    accepted: f64,
    draws: Vec<Vec<f64>>,
    /// None = minus infinity.
    logs: Vec<Option<f64>>,
}

/// Beside the folder of the results, which is written at the end.
fn checkpoint(out: &Path) -> PathBuf {
    let name = out.file_name().unwrap_or_default().to_string_lossy();
    out.with_file_name(format!(".{name}.stage.json"))
}

fn begun(path: &Path, key: &str) -> Option<Cloud> {
    let kept: Kept = serde_json::from_slice(&std::fs::read(path).ok()?).ok()?;
    (kept.key == key).then(|| Cloud {
        root: kept.root,
        stage: kept.stage,
        exponent: kept.exponent,
        log_evidence: kept.log_evidence,
        accepted: kept.accepted,
        draws: kept.draws,
        logs: kept
            .logs
            .iter()
            .map(|l| l.unwrap_or(f64::NEG_INFINITY))
            .collect(),
    })
}

fn keep(path: &Path, key: &str, cloud: &Cloud) -> Result<(), Refusal> {
    let kept = Kept {
        key: key.to_owned(),
        root: cloud.root,
        stage: cloud.stage,
        exponent: cloud.exponent,
        log_evidence: cloud.log_evidence,
        accepted: cloud.accepted,
        draws: cloud.draws.clone(),
        logs: cloud
            .logs
            .iter()
            .map(|l| Some(*l).filter(|l| l.is_finite()))
            .collect(),
    };
    if let Some(parent) = path.parent() {
        std::fs::create_dir_all(parent).or_refuse(Exit::Io, path)?;
    }
    let bytes = serde_json::to_vec(&kept).or_refuse(Exit::Io, path)?;
    output::put(path, &bytes)
}

/// Leads the draws from prior to posterior, keeping each stage.
fn drawn(fit: &Fit, out: &Path, key: &str, quiet: bool) -> Result<Cloud, Refusal> {
    let path = checkpoint(out);
    let say = |text: String| {
        if !quiet {
            complain(&text);
        }
    };
    let mut cloud = match begun(&path, key) {
        Some(cloud) => {
            say(format!("  goes on behind stage {}\n", cloud.stage));
            cloud
        }
        None => {
            let cloud = fit.begin().or_refuse(Exit::Compute, out)?;
            let impossible = cloud.logs.iter().filter(|l| !l.is_finite()).count();
            let possible = match impossible {
                0 => String::new(),
                n => format!("; {n} of the prior's draws give no such numbers at all"),
            };
            say(format!(
                "  {} draws of {} unknowns{possible}\n",
                cloud.draws.len(),
                fit.dimensions()
            ));
            cloud
        }
    };
    while !cloud.done() {
        fit.advance(&mut cloud).or_refuse(Exit::Compute, out)?;
        say(format!(
            "  stage {}: exponent {:.4}, {:.0} % of the moves taken\n",
            cloud.stage,
            cloud.exponent,
            100.0 * cloud.accepted
        ));
        keep(&path, key, &cloud)?;
    }
    Ok(cloud)
}

fn figures(
    fit: &Fit,
    posterior: &Posterior,
    table: &[(String, String, Vec<f64>)],
) -> Result<Vec<FigureFile>, ReportError> {
    let parameters: Vec<DrawnParameter> = fit
        .axes()
        .iter()
        .zip(table)
        .map(|(axis, column)| DrawnParameter {
            title: &axis.title,
            measure: axis.measure,
            values: &column.2,
        })
        .collect();
    let mut figures = vec![pair_figure(posterior, &parameters)?];
    if !posterior.traces.is_empty() {
        let traces: Vec<_> = posterior.traces.iter().collect();
        figures.push(band_figure(posterior, &traces)?);
    }
    Ok(figures)
}

fn write(
    out: &Path,
    input: &str,
    posterior: &Posterior,
    table: Vec<(String, String, Vec<f64>)>,
    figures: &[FigureFile],
    facts: &RunFacts,
) -> Result<(), String> {
    let json = serde_json::to_string_pretty(posterior).map_err(|e| e.to_string())?;
    let texts = [
        ("fit.toml".to_owned(), input.to_owned()),
        ("posterior.json".to_owned(), format!("{json}\n")),
        (
            "posterior.txt".to_owned(),
            posterior.words.join("\n") + "\n",
        ),
    ];
    let tables = [LabTable {
        name: "draws",
        columns: table,
    }];
    let bytes: Vec<(String, &[u8])> = figures.iter().flat_map(files_of).collect();
    let figures = figure_bytes(&bytes);
    let files = LabFiles {
        texts: &texts,
        tables: &tables,
        figures: &figures,
        input,
        facts,
    };
    write_lab_folder(out, &files)
        .map(drop)
        .map_err(|e| e.to_string())
}

fn told(p: &Posterior, out: &Path) -> String {
    let mut text = if p.title.is_empty() {
        String::new()
    } else {
        format!("{}\n", p.title)
    };
    for line in &p.words {
        text.push_str(&format!("  {line}\n"));
    }
    text.push_str(&format!("  {}\n  results: {}\n", p.caution, out.display()));
    text
}
