//! One run, computed again from its resolved scenario.

use std::path::Path;
use std::time::SystemTime;

use giveway_results::{
    Difference, Examined, FileState, Provenance, Recomputed, RerunReport, RerunVerdict,
    file_difference, read_manifest, read_summary,
};
use giveway_study::{compute, compute_with_conditions};

use super::Scratch;
use crate::exit::Exit;
use crate::input;
use crate::run_folder;

const INPUT: &str = "scenario.toml";

/// The report, and the code where it is not that of the verdict.
pub fn again(folder: &Path, looked_at: &Examined) -> (RerunReport, Option<Exit>) {
    let name = folder.display().to_string();
    if let Some(report) = RerunReport::of_input(&name, looked_at, INPUT) {
        return (report, None);
    }
    let not = |exit: Exit, problem: &str| {
        let sentence = format!("it could not be computed again: {}", problem.trim_end());
        let mut report = RerunReport::bare(&name, RerunVerdict::NotComputed, sentence);
        report.written_by = Some(looked_at.manifest.provenance());
        report.take_files(looked_at, &[]);
        (report, Some(exit))
    };
    let path = folder.join(INPUT);
    let (text, mut loaded) =
        match input::text_of(&path).and_then(|text| Ok((text, input::load_kept(&path)?))) {
            Ok((text, accepted)) => (text, accepted.loaded),
            Err(refusal) => return not(refusal.exit, &refusal.text),
        };
    // The same options as then: what was written says which.
    let wrote = |test: &dyn Fn(&str) -> bool| looked_at.files.iter().any(|f| test(&f.0.name));
    loaded.scenario.output.history = wrote(&|name| name.starts_with("history."));
    loaded.scenario.output.figures = wrote(&|name| name.starts_with("figures/"));
    // The resolved copy is the input itself; how many of its values were defaults only the summary knows.
    loaded.resolved_text = text;
    let summary = read_summary(folder).ok();
    let assumptions = summary.as_ref().map_or(0, |s| s.assumptions);
    let compared = summary.is_none_or(|s| !s.conditions.is_empty());
    let computed = if compared {
        compute_with_conditions(&loaded.scenario, assumptions)
    } else {
        compute(&loaded.scenario, assumptions)
    };
    let computed = match computed {
        Ok(computed) => computed,
        Err(e) => return not(Exit::Compute, &e.to_string()),
    };
    let scratch = Scratch::new();
    if let Err(problem) = run_folder::write(&scratch.0, &loaded, &computed, SystemTime::now()) {
        return not(problem.exit, &problem.text);
    }
    let mut again = Vec::new();
    for (entry, state) in in_order(looked_at) {
        if state == FileState::Missing {
            continue;
        }
        match file_again(&entry, folder, &scratch.0) {
            Ok(difference) => again.push(Recomputed {
                name: entry,
                difference,
            }),
            Err(problem) => return not(Exit::Io, &problem),
        }
    }
    let here = Provenance::of(&loaded.resolved_text, &[]);
    let mut report = RerunReport::of_files(&name, looked_at, &here, &again);
    if let Ok(now) = read_manifest(&scratch.0) {
        let more: Vec<String> = (now.files.iter())
            .filter(|f| looked_at.state_of(&f.name).is_none())
            .map(|f| f.name.clone())
            .collect();
        if !more.is_empty() {
            let remark = format!("this version also writes {}", more.join(", "));
            report.remarks.push(remark);
        }
    }
    (report, None)
}

/// Numbers that a person knows first, then text tables, then the rest.
fn in_order(looked_at: &Examined) -> Vec<(String, FileState)> {
    let weight = |name: &str| match name {
        "summary.json" => 0,
        _ if name.ends_with(".csv") => 1,
        _ if name.ends_with(".json") => 2,
        _ if name.ends_with(".parquet") => 3,
        _ => 4,
    };
    let mut files: Vec<(String, FileState)> = (looked_at.files.iter())
        .map(|(entry, state)| (entry.name.clone(), *state))
        .collect();
    files.sort_by_key(|(name, _)| weight(name));
    files
}

fn file_again(name: &str, there: &Path, here: &Path) -> Result<Option<Difference>, String> {
    if !here.join(name).is_file() {
        return Ok(Some(Difference {
            file: name.to_owned(),
            place: "the file".to_owned(),
            first: Some("there".to_owned()),
            second: None,
        }));
    }
    file_difference(name, there, here).map_err(|e| e.to_string())
}
