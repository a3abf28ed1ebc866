//! `giveway rerun`: computes the results of folders again, from what the folders hold alone, and compares every byte.

mod one_run;
mod study;

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use giveway_results::{FolderKind, RerunReport, RerunVerdict, UnderWay, examine, read_notes};

use crate::arguments::{Format, Rerun};
use crate::exit::Exit;
use crate::terminal::{complain, print};

/// Most files that the text names.
const MOST_LISTED: usize = 12;

/// Looks at every folder in turn; the highest code counts.
pub fn rerun(arguments: &Rerun) -> Exit {
    let mut exit = Exit::Done;
    for folder in &arguments.results {
        let (report, code) = one(folder, arguments);
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

fn one(folder: &Path, arguments: &Rerun) -> (RerunReport, Exit) {
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
        FolderKind::Run => one_run::again(folder, &looked_at),
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
        RerunVerdict::Identical => Exit::Done,
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
    for remark in &report.remarks {
        text.push_str(&format!("  {remark}\n"));
    }
    text
}

/// A folder beside the system's temporary files that disappears with its owner.
struct Scratch(UnderWay);

impl Scratch {
    /// A name that is free; nothing is made there yet.
    fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("giveway-rerun-{}-{number}", std::process::id());
        Self(UnderWay::new(std::env::temp_dir().join(name)))
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}
