//! `giveway report`: one page for one run, for several side by side or for a study, in one file that loads nothing.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use giveway_occupant::CAUTION;
use giveway_report::{StudyContents, run_report, study_report};
use giveway_results::{
    ResultsError, RunContents, STUDY_NAME, read_contents, read_manifest, read_study,
};
use giveway_study::analysis::{Request, analyse, tally};

use crate::arguments::Report;
use crate::exit::Exit;
use crate::input::Refusal;
use crate::output;
use crate::people;
use crate::terminal::{complain, ended};

/// Where a report of several runs goes unless `--out` says otherwise.
const SEVERAL: &str = "report.html";

/// Writes the report.
pub fn report(arguments: &Report) -> Exit {
    ended(written(arguments), arguments.quiet)
}

fn written(arguments: &Report) -> Result<String, Refusal> {
    let folders = &arguments.results;
    let studies = folders
        .iter()
        .filter(|f| f.join(STUDY_NAME).exists())
        .count();
    let page = match (studies, folders.as_slice()) {
        (1, [folder]) => study(folder)?,
        (0, _) => runs(folders, arguments.figures.as_deref())?,
        _ => {
            let folder = &folders[0];
            let problem =
                "a study is reported by itself: give one study, or results folders of runs only";
            return Err(Refusal::of_file(Exit::Usage, folder, problem));
        }
    };
    let path = arguments.out.clone().unwrap_or_else(|| beside(folders));
    output::write_file(&path, page.as_bytes())
        .map_err(|e| Refusal::of_file(Exit::Io, &path, &e))?;
    Ok(format!(
        "report: {} ({:.2} MB)\n  {CAUTION}\n",
        path.display(),
        1e-6 * page.len() as f64
    ))
}

/// The file beside a single folder, with its name; else one in the working folder.
fn beside(folders: &[PathBuf]) -> PathBuf {
    match folders {
        [folder] => {
            let whole = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.clone());
            let mut name = whole.file_name().unwrap_or(OsStr::new("report")).to_owned();
            name.push(".html");
            whole.with_file_name(name)
        }
        _ => PathBuf::from(SEVERAL),
    }
}

fn runs(folders: &[PathBuf], figures: Option<&[String]>) -> Result<String, Refusal> {
    let contents: Vec<RunContents> = folders
        .iter()
        .map(|folder| read_contents(folder).map_err(|e| unreadable(folder, &e)))
        .collect::<Result<_, _>>()?;
    let there = |name: &String| {
        contents
            .iter()
            .any(|run| run.figures.iter().any(|f| f.name == *name))
    };
    if let Some(name) = figures.and_then(|names| names.iter().find(|n| *n != "none" && !there(n))) {
        let mut known: Vec<&str> = contents
            .iter()
            .flat_map(|run| &run.figures)
            .map(|f| f.name.as_str())
            .collect();
        known.sort_unstable();
        known.dedup();
        let problem = format!(
            "--figures {name}: no run has it; there are: {}",
            known.join(", ")
        );
        return Err(Refusal::of_file(Exit::Usage, &folders[0], &problem));
    }
    for (folder, run) in folders.iter().zip(&contents) {
        if let Some(fault) = &run.replay_fault {
            complain(&format!(
                "{}: warning: {fault}; the report shows still pictures in the moving picture's place\n",
                folder.display()
            ));
        }
    }
    run_report(&contents, figures)
        .map(|html| people::page(&html))
        .map_err(|e| Refusal::of_file(Exit::Compute, &folders[0], &e.to_string()))
}

fn study(folder: &Path) -> Result<String, Refusal> {
    let compute = |e: String| Refusal::of_file(Exit::Compute, folder, &e);
    let study = read_study(folder).map_err(|e| unreadable(folder, &e))?;
    let name = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    let contents = StudyContents {
        folder: name
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        tally: tally(&study).map_err(|e| compute(e.to_string()))?,
        analysis: analyse(&study, &Request::default()).map_err(|e| e.to_string()),
        manifest: read_manifest(folder).ok(),
        file: study.file,
    };
    study_report(&contents, CAUTION)
        .map(|html| people::page(&html))
        .map_err(|e| compute(e.to_string()))
}

fn unreadable(folder: &Path, problem: &ResultsError) -> Refusal {
    Refusal::of_file(Exit::Io, folder, &problem.to_string())
}
