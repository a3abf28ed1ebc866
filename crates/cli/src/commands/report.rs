//! `giveway report`: one page for one run, for several side by side or for a study, in one file that loads nothing.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use giveway_occupant::CAUTION;
use giveway_report::study_figures::study_figure_names;
use giveway_report::{StudyContents, WindowContents, run_report, study_report, window_report};
use giveway_results::{RunContents, STUDY_NAME, read_contents, read_manifest, read_study};
use giveway_study::analysis::{Request, analyse, tally};

use crate::arguments::Report;
use crate::exit::Exit;
use crate::input::{OrRefuse, Refusal, text_up_to};
use crate::output;
use crate::people;
use crate::terminal::{complain, ended};

/// Where a report of several runs goes unless `--out` says otherwise.
const SEVERAL: &str = "report.html";

/// Numbers of a torque window in its folder.
const WINDOW: &str = "window.json";
/// Largest file of them that is read, bytes.
const LARGEST: u64 = 64 * 1024 * 1024;

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
        (1, [folder]) => study(folder, arguments.figures.as_deref())?,
        (0, [folder]) if folder.join(WINDOW).is_file() => window(folder, arguments)?,
        (0, _) => runs(folders, arguments.figures.as_deref())?,
        _ => {
            let folder = &folders[0];
            let problem =
                "a study is reported by itself: give one study, or results folders of runs only";
            return Err(Refusal::of_file(Exit::Usage, folder, problem));
        }
    };
    let path = arguments.out.clone().unwrap_or_else(|| beside(folders));
    output::put(&path, page.as_bytes())?;
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
        .map(|folder| read_contents(folder).or_refuse(Exit::Io, folder))
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
        .or_refuse(Exit::Compute, &folders[0])
}

fn study(folder: &Path, figures: Option<&[String]>) -> Result<String, Refusal> {
    let study = read_study(folder).or_refuse(Exit::Io, folder)?;
    let name = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    let contents = StudyContents {
        folder: name
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        tally: tally(&study).or_refuse(Exit::Compute, folder)?,
        figures: figures.map(<[String]>::to_vec),
        analysis: analyse(&study, &Request::default()).map_err(|e| e.to_string()),
        manifest: read_manifest(folder).ok(),
        file: study.file,
    };
    let known = match &contents.analysis {
        Ok(analysis) => study_figure_names(analysis).or_refuse(Exit::Compute, folder)?,
        Err(_) => Vec::new(),
    };
    let odd = |name: &&String| *name != "none" && !known.contains(name);
    if let Some(name) = figures.and_then(|names| names.iter().find(odd)) {
        let problem = format!(
            "--figures {name}: the study has no such figure; there are: {}",
            known.join(", ")
        );
        return Err(Refusal::of_file(Exit::Usage, folder, &problem));
    }
    study_report(&contents, CAUTION)
        .map(|html| people::page(&html))
        .or_refuse(Exit::Compute, folder)
}

/// The page of a folder of `giveway window`.
fn window(folder: &Path, arguments: &Report) -> Result<String, Refusal> {
    let path = folder.join(WINDOW);
    if arguments.figures.is_some() {
        let problem = "--figures: a torque window has one picture";
        return Err(Refusal::of_file(Exit::Usage, folder, problem));
    }
    let text = text_up_to(
        &path,
        LARGEST,
        "the numbers of a window have some 100 kilobytes",
    )?;
    let contents: WindowContents = serde_json::from_str(&text)
        .map_err(|e| format!("is no torque window: {e}"))
        .or_refuse(Exit::Io, &path)?;
    window_report(&contents, CAUTION)
        .map(|html| people::page(&html))
        .or_refuse(Exit::Compute, folder)
}
