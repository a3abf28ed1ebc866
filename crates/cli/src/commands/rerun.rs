//! `giveway rerun`: computes the results of folders again, from what the folders hold alone, and compares every byte.

mod one_run;
mod scratch;
mod study;

use std::path::Path;
use std::time::SystemTime;

use giveway_occupant::CAUTION;
use giveway_report::{ReviewFacts, review_record};
use giveway_results::comparison::{Tolerances, Width};
use giveway_results::{
    FolderKind, RerunReport, RerunVerdict, Seal, SealState, Signers, anchor, day_of, examine,
    read_manifest, read_notes, read_seals, read_study, read_summary,
};

use crate::arguments::{Format, Rerun};
use crate::exit::Exit;
use crate::output::write_file;
use crate::terminal::{complain, print};

/// Most files that the text names.
const MOST_LISTED: usize = 12;

/// Looks at every folder in turn; the highest code counts.
pub fn rerun(arguments: &Rerun) -> Exit {
    let mut exit = Exit::Done;
    let asked = match Asked::of(arguments) {
        Ok(asked) => asked,
        Err((code, problem)) => {
            complain(&format!("error: {problem}\n"));
            return code;
        }
    };
    for folder in &arguments.results {
        let (mut report, mut code) = one(folder, arguments, &asked);
        if let Some(weaker) = seals(folder, &mut report, &asked) {
            code = weaker;
        }
        if let Some(path) = &arguments.record
            && let Err(problem) = record(path, folder, &report, arguments)
        {
            complain(&format!("{}: error: {problem}\n", path.display()));
            exit = exit.max(Exit::Io);
        }
        exit = exit.max(code);
        match arguments.format {
            Format::Json => {
                // Plain data: it always has a text.
                let mut line = serde_json::to_value(&report).unwrap_or_default();
                line["exit"] = serde_json::json!(code as u8);
                print(&format!("{line}\n"));
            }
            Format::Text => {
                let text = text(&report);
                if code == Exit::Done {
                    if !arguments.quiet {
                        print(&text);
                    }
                } else {
                    complain(&text);
                }
            }
        }
    }
    exit
}

/// What the command line asks for besides the folders.
struct Asked {
    tolerances: Tolerances,
    signers: Option<Signers>,
    anchor: Option<String>,
}

impl Asked {
    fn of(arguments: &Rerun) -> Result<Self, (Exit, String)> {
        let usage = |problem: &str| Err((Exit::Usage, problem.to_owned()));
        if arguments.results.len() > 1 && (arguments.record.is_some() || arguments.anchor.is_some())
        {
            return usage("--record and --anchor are for one folder");
        }
        let anchor = arguments
            .anchor
            .as_ref()
            .map(|a| a.trim().to_ascii_lowercase());
        if anchor
            .as_ref()
            .is_some_and(|a| a.len() != 64 || !a.bytes().all(|b| b.is_ascii_hexdigit()))
        {
            return usage("--anchor is 64 hexadecimal digits, as `giveway seal` prints them");
        }
        let mut tolerances = Tolerances::default();
        for (path, width) in &arguments.tolerance {
            tolerances.allow(path, Width::Relative(*width));
        }
        let signers = arguments.signers.as_deref().map(Signers::read).transpose();
        let signers = signers.map_err(|e| (Exit::Io, e.to_string()))?;
        Ok(Self {
            tolerances,
            signers,
            anchor,
        })
    }
}

/// Tells the seals and the anchor; the code where one of them says that these are not the results that somebody signed.
fn seals(folder: &Path, report: &mut RerunReport, asked: &Asked) -> Option<Exit> {
    report.written_by.as_ref()?;
    report.anchor = anchor(folder).ok();
    let none = Signers::default();
    let problem = match read_seals(folder, asked.signers.as_ref().unwrap_or(&none)) {
        Err(e) => Some(e.to_string()),
        Ok(seals) => {
            report.seals = seals;
            report.remarks.extend(report.seals.iter().map(|s| s.line()));
            let broken = report.seals.iter().find(|s| s.state == SealState::Broken);
            let known = |s: &Seal| s.state == SealState::Valid && s.signer.is_some();
            if let Some(seal) = broken {
                Some(format!(
                    "the seal `{}` is broken: the manifest is not what was sealed",
                    seal.file
                ))
            } else if asked.signers.is_some() && !report.seals.iter().any(known) {
                Some("no valid seal by a key of the list".to_owned())
            } else if asked.anchor.is_some() && asked.anchor != report.anchor {
                Some("the manifest is not the one of the anchor".to_owned())
            } else {
                None
            }
        }
    };
    let problem = problem?;
    report.sentence = format!("{problem}; {}", report.sentence);
    report.verdict = RerunVerdict::Tampered;
    Some(Exit::Tampered)
}

/// Writes the review record.
fn record(
    path: &Path,
    folder: &Path,
    report: &RerunReport,
    arguments: &Rerun,
) -> Result<(), String> {
    let notes = read_notes(folder).map_err(|e| e.to_string());
    let title = read_summary(folder)
        .map(|s| s.title)
        .or_else(|_| read_study(folder).map(|s| s.file.card.title));
    let written = read_manifest(folder).map(|m| m.started);
    let widths: Vec<String> = (arguments.tolerance.iter())
        .map(|(path, width)| {
            if path.is_empty() {
                format!("{width:e}")
            } else {
                format!("{path}={width:e}")
            }
        })
        .collect();
    let facts = ReviewFacts {
        title: title.as_deref().unwrap_or("untitled"),
        date: &day_of(SystemTime::now()),
        written: written.as_deref().unwrap_or("unknown"),
        tolerance: &if widths.is_empty() {
            "none: every byte counts".to_owned()
        } else {
            widths.join(", ")
        },
        notes: notes.as_deref().map_err(String::as_str),
        caution: CAUTION,
    };
    write_file(path, review_record(report, &facts).as_bytes())
}

fn one(folder: &Path, arguments: &Rerun, asked: &Asked) -> (RerunReport, Exit) {
    let name = folder.display().to_string();
    let looked_at = match examine(folder) {
        Ok(looked_at) => looked_at,
        Err(fault) => {
            let report = RerunReport::of_fault(&name, &fault);
            let exit = exit_of(&report);
            return (report, exit);
        }
    };
    let (mut report, exit) = match looked_at.kind {
        FolderKind::Run => one_run::again(folder, &looked_at, &asked.tolerances),
        FolderKind::Study => study::again(folder, &looked_at, arguments),
        FolderKind::Other => {
            let sentence =
                "it holds results of another command; runs and studies can be computed again";
            let report = RerunReport::bare(&name, RerunVerdict::NoResults, sentence.to_owned());
            (report, None)
        }
    };
    match read_notes(folder) {
        Ok(notes) if notes.is_empty() => {}
        Ok(notes) => {
            let other = notes
                .iter()
                .filter(|n| !n.is_of(&looked_at.manifest))
                .count();
            let mut remark = format!("{} review notes", notes.len());
            if other > 0 {
                remark.push_str(&format!(", {other} of them on other results than these"));
            }
            report.remarks.push(remark);
        }
        Err(e) => report
            .remarks
            .push(format!("the review notes do not read: {e}")),
    }
    let exit = exit.unwrap_or_else(|| exit_of(&report));
    (report, exit)
}

fn exit_of(report: &RerunReport) -> Exit {
    match report.verdict {
        RerunVerdict::Identical | RerunVerdict::SampleIdentical | RerunVerdict::WithinTolerance => {
            Exit::Done
        }
        RerunVerdict::Differs => Exit::Differs,
        RerunVerdict::Tampered => Exit::Tampered,
        RerunVerdict::CutShort => Exit::CutShort,
        RerunVerdict::MissingFile => Exit::MissingFile,
        RerunVerdict::ForeignVersion => Exit::ForeignVersion,
        RerunVerdict::NoResults => Exit::NoResults,
        RerunVerdict::NotComputed => Exit::Compute,
    }
}

fn text(report: &RerunReport) -> String {
    let mut text = format!("{}: {}\n", report.folder, report.sentence);
    if let Some([again, all]) = report.rows {
        text.push_str(&format!("  rows computed again: {again} of {all}\n"));
    }
    if let Some(sample) = &report.sample {
        text.push_str(&format!("  {}\n", sample.sentence()));
    }
    for (i, reason) in report.reasons.iter().enumerate() {
        let lead = if i == 0 { "likely reason: " } else { "or " };
        text.push_str(&format!("  {lead}{reason}\n"));
    }
    let odd: Vec<String> = (report.files.iter())
        .filter(|f| f.state != "whole" || f.equal == Some(false))
        .map(|f| {
            let state = if f.state == "whole" {
                "computed differently"
            } else {
                &f.state
            };
            format!("  {}: {state}\n", f.name.escape_debug())
        })
        .collect();
    for line in odd.iter().take(MOST_LISTED) {
        text.push_str(line);
    }
    if odd.len() > MOST_LISTED {
        text.push_str(&format!("  and {} more files\n", odd.len() - MOST_LISTED));
    }
    if !report.differences.is_empty() {
        text.push_str(&format!(
            "  values that differ: {}\n",
            report.differences.len()
        ));
        for line in &report.differences {
            text.push_str(&format!("    {line}\n"));
        }
    }
    for remark in &report.remarks {
        text.push_str(&format!("  {remark}\n"));
    }
    text
}
