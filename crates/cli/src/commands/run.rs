//! `giveway run`: computes scenarios and writes a folder of results for each.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_occupant::Outcome;
use giveway_results::summary::Status;
use giveway_results::{Summary, read_summary};
use giveway_scenario::Diagnostic;
use giveway_scenario::model::StruckFace;
use giveway_study::{compute, compute_with_conditions};
use rayon::prelude::*;
use serde::Serialize;

use crate::arguments::{Format, Run};
use crate::exit::Exit;
use crate::input::{self, Accepted, Refusal};
use crate::people;
use crate::run_folder;
use crate::terminal::{complain, print};

/// Where results go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "runs";

/// One line of `--format json`.
#[derive(Serialize)]
struct Line<'a> {
    file: String,
    exit: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    folder: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    summary: Option<&'a Summary>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    diagnostics: Option<&'a [Diagnostic]>,
}

/// What one file leaves for the terminal.
struct Report {
    exit: Exit,
    result: String,
    problems: String,
}

/// Runs every file. Files run side by side; what is printed keeps the order of the command line.
pub fn run(arguments: &Run) -> Exit {
    let folders = match folders(arguments) {
        Ok(folders) => folders,
        Err(problem) => {
            complain(&format!("error: {problem}\n"));
            return Exit::Usage;
        }
    };
    let files: Vec<(&PathBuf, PathBuf)> = arguments.input.files.iter().zip(folders).collect();
    let reports: Vec<Report> = files
        .par_iter()
        .map(|(file, folder)| one(file, folder, arguments))
        .collect();
    let mut exit = Exit::Done;
    for report in reports {
        complain(&report.problems);
        print(&match arguments.format {
            Format::Text => people::said(&report.result),
            Format::Json => report.result.clone(),
        });
        exit = exit.max(report.exit);
    }
    exit
}

/// The folder of each file; an error where two files would share one.
fn folders(arguments: &Run) -> Result<Vec<PathBuf>, String> {
    let files = &arguments.input.files;
    let base = arguments.out.as_deref();
    let mut folders: Vec<PathBuf> = Vec::with_capacity(files.len());
    for file in files {
        let folder = match base {
            Some(folder) if files.len() == 1 => folder.to_owned(),
            _ => {
                let stem = file.file_stem().unwrap_or(OsStr::new("run"));
                base.unwrap_or(Path::new(DEFAULT_FOLDER)).join(stem)
            }
        };
        if folders.contains(&folder) {
            return Err(format!(
                "two files would write to {}; run them one by one with --out",
                folder.display()
            ));
        }
        folders.push(folder);
    }
    Ok(folders)
}

fn one(file: &Path, folder: &Path, arguments: &Run) -> Report {
    let started = SystemTime::now();
    let loaded = match &arguments.used {
        None => input::load(file, &arguments.input.set),
        Some(earlier) => after(file, earlier, &arguments.input.set),
    };
    let accepted = match loaded {
        Ok(mut accepted) => {
            if arguments.no_figures {
                accepted.loaded.scenario.output.figures = false;
            }
            accepted
        }
        Err(refusal) => return refused(file, refusal, arguments.format),
    };
    let loaded = &accepted.loaded;
    let compute = if arguments.no_counterfactuals {
        compute
    } else {
        compute_with_conditions
    };
    let said = |problem: run_folder::Problem| Refusal::of_file(problem.exit, file, &problem.text);
    let outcome = run_folder::hold(folder, "run")
        .map_err(said)
        .and_then(|hold| {
            let computed = compute(&loaded.scenario, loaded.assumptions.len())
                .map_err(|problem| Refusal::of_file(Exit::Compute, file, &problem.to_string()))?;
            run_folder::write(hold, loaded, &computed, started).map_err(said)?;
            Ok(computed.summary)
        });
    match outcome {
        Ok(summary) => done(file, folder, &accepted, &summary, arguments),
        Err(mut refusal) => {
            refusal.text.insert_str(0, &accepted.warnings);
            refused(file, refusal, arguments.format)
        }
    }
}

/// The file with the vehicle as an earlier test left it; what the command line sets comes after that.
fn after(file: &Path, earlier: &Path, set: &[(String, String)]) -> Result<Accepted, Refusal> {
    let before = input::load_kept(&earlier.join("scenario.toml"))?
        .loaded
        .scenario;
    let summary = read_summary(earlier).map_err(|e| input::altered_or_io(earlier, &e))?;
    let dent_m = before
        .struck_face()
        .dent_left_m(&summary.contact.permanent_crush_m);
    let face = match before.impact.face {
        StruckFace::Front => "front",
        StruckFace::LeftSide | StruckFace::RightSide => "side",
    };
    let mut changes = vec![(
        format!("vehicle.{face}.used"),
        format!("{:.1} mm", 1e3 * dent_m),
    )];
    changes.extend_from_slice(set);
    let accepted = input::load(file, &changes)?;
    let (class, other) = (
        &accepted.loaded.scenario.vehicle.class,
        &before.vehicle.class,
    );
    if class != other {
        let problem = format!(
            "its vehicle is a {class}, that of {} a {other}",
            earlier.display()
        );
        return Err(Refusal::of_file(Exit::Usage, file, &problem));
    }
    Ok(accepted)
}

fn done(
    file: &Path,
    folder: &Path,
    accepted: &Accepted,
    summary: &Summary,
    arguments: &Run,
) -> Report {
    let failed_verdict = summary
        .verdicts
        .iter()
        .any(|verdict| verdict.outcome == Outcome::Fail);
    let exit = match summary.status {
        Status::Failed => Exit::Compute,
        Status::Complete if arguments.strict && failed_verdict => Exit::Verdict,
        Status::Complete => Exit::Done,
    };
    let mut problems = accepted.warnings.clone();
    if summary.status == Status::Failed {
        problems.push_str(&format!(
            "{}: error: {}\n",
            file.display(),
            summary.headline.sentence
        ));
    }
    let result = match arguments.format {
        Format::Json => line(&Line {
            file: file.display().to_string(),
            exit: exit as u8,
            folder: Some(folder.display().to_string()),
            summary: Some(summary),
            error: None,
            diagnostics: None,
        }),
        Format::Text => format!(
            "{}\n  results: {}\n\n",
            giveway_report::headline(summary).trim_end(),
            folder.display()
        ),
    };
    Report {
        exit,
        result: if arguments.quiet {
            String::new()
        } else {
            result
        },
        problems,
    }
}

fn refused(file: &Path, refusal: Refusal, format: Format) -> Report {
    let result = match format {
        Format::Text => String::new(),
        Format::Json => line(&Line {
            file: file.display().to_string(),
            exit: refusal.exit as u8,
            folder: None,
            summary: None,
            error: Some(refusal.text.trim_end()),
            diagnostics: Some(&refusal.diagnostics),
        }),
    };
    Report {
        exit: refusal.exit,
        result,
        problems: refusal.text,
    }
}

fn line(line: &Line) -> String {
    // Plain data without maps of odd keys: it always has a text.
    let text = serde_json::to_string(line).unwrap_or_default();
    format!("{text}\n")
}
