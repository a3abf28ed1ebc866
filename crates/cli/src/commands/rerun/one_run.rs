//! One run, computed again from its resolved scenario.

use std::path::Path;
use std::time::SystemTime;

use giveway_draw::paint_in;
use giveway_results::comparison::{RunComparison, Tolerances, compare_runs};
use giveway_results::{
    Difference, Examined, FileState, Provenance, Recomputed, RerunReport, RerunVerdict,
    file_difference, read_manifest, read_summary,
};
use giveway_scenario::assumed_values;
use giveway_scenario::model::{Output, Scenario};
use giveway_study::{compute, compute_with_conditions};
use giveway_units::System;

use super::scratch::Scratch;
use crate::exit::Exit;
use crate::input;
use crate::run_folder;

const INPUT: &str = "scenario.toml";

/// The report, and the code where it is not that of the verdict.
pub fn again(
    folder: &Path,
    looked_at: &Examined,
    tolerances: &Tolerances,
) -> (RerunReport, Option<Exit>) {
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
    let asked = loaded.scenario.output.clone();
    // The same options as then: what was written says which.
    let wrote = |test: &dyn Fn(&str) -> bool| looked_at.files.iter().any(|f| test(&f.0.name));
    loaded.scenario.output.history = wrote(&|name| name.starts_with("history."));
    loaded.scenario.output.figures = wrote(&|name| name.starts_with("figures/"));
    paint_in(figures_units(folder, looked_at));
    // The resolved copy is the input itself, and says which of its values were defaults.
    loaded.resolved_text = text;
    let assumptions = assumed_values(&loaded.resolved_text);
    let summary = read_summary(folder).ok();
    let compared = summary.as_ref().is_none_or(|s| !s.conditions.is_empty());
    let left_out = left_out(&asked, &loaded.scenario, compared);
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
    let written = run_folder::hold(scratch.path(), "rerun")
        .and_then(|hold| run_folder::write(hold, &loaded, &computed, SystemTime::now()));
    if let Err(problem) = written {
        return not(problem.exit, &problem.text);
    }
    let mut again = Vec::new();
    for (entry, state) in in_order(looked_at) {
        if state == FileState::Missing {
            continue;
        }
        match file_again(&entry, folder, scratch.path()) {
            Ok(difference) => again.push(Recomputed {
                name: entry,
                difference,
            }),
            Err(problem) => return not(Exit::Io, &problem),
        }
    }
    let here = Provenance::of(&loaded.resolved_text, &[]);
    let mut report = RerunReport::of_files(&name, looked_at, &here, &again);
    report.remarks.extend(left_out);
    if report.verdict != RerunVerdict::Identical {
        tell_differences(&mut report, folder, scratch.path(), tolerances);
    }
    let models = [
        summary.as_ref().map(|s| s.model_version),
        Some(looked_at.manifest.model_version),
    ];
    if models[0].is_some() && models[0] != models[1] {
        let computed = match report.verdict {
            RerunVerdict::Identical => "what is computed is the same".to_owned(),
            _ => report.sentence.clone(),
        };
        report.verdict = RerunVerdict::Tampered;
        report.sentence =
            format!("manifest and summary name different versions of the model; {computed}");
    }
    if let Ok(now) = read_manifest(scratch.path()) {
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

/// The units that the folder's figures were painted in.
fn figures_units(folder: &Path, looked_at: &Examined) -> System {
    let svg = |name: &str| name.starts_with("figures/") && name.ends_with(".svg");
    let first = looked_at.files.iter().find(|f| svg(&f.0.name));
    let text = first.and_then(|f| std::fs::read_to_string(folder.join(&f.0.name)).ok());
    let root = text.as_deref().and_then(|t| t.split('>').next());
    match root {
        Some(root) if root.contains("data-units=\"us\"") => System::Us,
        _ => System::Si,
    }
}

/// What the run left out, or what was taken out of its folder since: the folder alone cannot tell which.
fn left_out(asked: &Output, now: &Scenario, compared: bool) -> Vec<String> {
    let found = !now.as_found.present().is_empty();
    let cases = [
        (
            asked.history && !now.output.history,
            "time histories",
            "the run was told to write none",
        ),
        (
            asked.figures && !now.output.figures,
            "figures",
            "`--no-figures`",
        ),
        (
            found && !compared,
            "comparison of what was found on site",
            "`--no-counterfactuals`",
        ),
    ];
    let missing = cases.into_iter().filter(|case| case.0);
    missing
        .map(|(_, what, option)| {
            format!("no {what} in the folder: {option}, or taken out since with its checksums")
        })
        .collect()
}

/// Lists every value that differs, verdicts first, and lets tolerances decide where the files are as written.
fn tell_differences(report: &mut RerunReport, there: &Path, here: &Path, tolerances: &Tolerances) {
    let Ok((all, _)) = compare_runs([there, here], &Tolerances::default()) else {
        return;
    };
    report.differences = in_lines(&all);
    let counted = [there, here].map(|folder| read_summary(folder).ok().map(|s| s.assumptions));
    if let [Some(old), Some(new)] = counted
        && old != new
    {
        report.differences.insert(
            0,
            format!("assumptions: {old} in the folder, {new} computed"),
        );
    }
    let computed = matches!(
        report.verdict,
        RerunVerdict::Differs | RerunVerdict::ForeignVersion
    );
    let of_versions =
        |name: &str| name.starts_with("scenario.toml") || name.starts_with("summary.json");
    if computed
        && report.differences.is_empty()
        && !report
            .files
            .iter()
            .any(|f| f.equal == Some(false) && !of_versions(&f.name))
    {
        report.verdict = RerunVerdict::Identical;
        report.sentence = "identical but for the version of the model".to_owned();
    }
    let same_count = counted[0] == counted[1];
    if report.verdict == RerunVerdict::Differs
        && !tolerances.none()
        && same_count
        && compare_runs([there, here], tolerances).is_ok_and(|(c, _)| c.same)
    {
        report.verdict = RerunVerdict::WithinTolerance;
        let largest = all.numbers.iter().find(|n| !n.path.contains("residual"));
        let what = largest.map_or(String::new(), |n| {
            format!(
                "; the largest relative change of a number is {:+.1e} ({})",
                n.relative, n.path
            )
        });
        report.sentence = format!(
            "within the tolerances that were asked for: {} values differ{what}",
            report.differences.len()
        );
    }
}

/// One line a difference: words, numbers, columns of tables, files.
fn in_lines(c: &RunComparison) -> Vec<String> {
    let word = |w: &Option<String>| w.clone().unwrap_or_else(|| "nothing".to_owned());
    let words = c.words.iter().map(|w| {
        format!(
            "{}: {} in the folder, {} computed",
            w.path,
            word(&w.old),
            word(&w.new)
        )
    });
    let numbers = c.numbers.iter().map(|n| {
        format!(
            "{}: {} in the folder, {} computed ({:+.2e} of it)",
            n.path, n.old, n.new, n.relative
        )
    });
    let tables = c.tables.iter().map(|t| {
        let column = t
            .column
            .as_ref()
            .map_or(String::new(), |c| format!(", column {c}"));
        format!("{}{column}: {}", t.file, t.sentence)
    });
    let files = c
        .files
        .iter()
        .filter(|f| !f.ends_with("only in the new folder"))
        .cloned();
    // A verdict before everything else.
    let mut lines: Vec<String> = words.collect();
    lines.sort_by_key(|l| !(l.contains("outcome") || l.starts_with("status")));
    lines
        .into_iter()
        .chain(numbers)
        .chain(tables)
        .chain(files)
        .collect()
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
