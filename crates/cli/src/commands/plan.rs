//! `giveway plan`: which test, or which two, would tell most.

use std::path::Path;
use std::time::SystemTime;

use giveway_lab::next_test::{Choice, NextTest, Worth, read_next_test};
use giveway_results::{LabFiles, NumberTable, RunFacts, write_lab_folder};
use giveway_scenario::Diagnostic;

use super::fit::{pool, refused};
use super::study::base_text;
use crate::arguments::PlanTests;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::terminal::{complain, ended};

/// Largest file, bytes.
const LARGEST: u64 = 16 * 1024 * 1024;

/// Simulates, chooses, tells.
pub fn plan(arguments: &PlanTests) -> Exit {
    ended(whole(arguments), arguments.runs.quiet)
}

fn whole(arguments: &PlanTests) -> Result<String, Refusal> {
    let started = SystemTime::now();
    let file = &arguments.file;
    let text = input::text_up_to(file, LARGEST, "a plan has some kilobytes")?;
    let beside = file.parent().unwrap_or(Path::new(""));
    let name = file.display().to_string();
    let (test, warnings) = read(beside, &name, &text, &arguments.runs.set)?;
    complain(&rendering::diagnostics(&warnings, &text));
    let threads = pool(arguments.runs.threads, file)?;
    if !arguments.runs.quiet {
        complain(&format!("  {} runs\n", test.runs()));
    }
    let choice = threads
        .install(|| test.choose())
        .or_refuse(Exit::Compute, file)?;
    let said = told(&choice, arguments.list);
    let Some(out) = &arguments.out else {
        return Ok(people::said(&said));
    };
    let texts = [
        ("plan.toml".to_owned(), text.clone()),
        ("next_test.json".to_owned(), output::json(&choice, out)?),
        ("next_test.txt".to_owned(), said.clone()),
    ];
    let files = LabFiles {
        texts: &texts,
        tables: &[],
        figures: &[],
        input: &text,
        facts: &RunFacts::new(started, threads.current_num_threads()),
    };
    write_lab_folder(out, &files).or_refuse(Exit::Io, out)?;
    Ok(people::said(&format!(
        "{said}  results: {}\n",
        out.display()
    )))
}

fn read(
    beside: &Path,
    name: &str,
    text: &str,
    changes: &[(String, String)],
) -> Result<(NextTest, Vec<Diagnostic>), Refusal> {
    let load = |name: &str| base_text(beside, name);
    let draws = |name: &str| {
        let path = beside.join(name).join("draws.parquet");
        NumberTable::of_parquet(&path).map_err(|e| e.to_string())
    };
    read_next_test(text, name, changes, &load, &draws).map_err(|e| refused(e, text))
}

/// Reads a plan of tests without computing anything: its title, and what is unusual in it.
pub(super) fn checked(
    path: &Path,
    text: &str,
    changes: &[(String, String)],
) -> Result<(String, Vec<Diagnostic>), Refusal> {
    let beside = path.parent().unwrap_or(Path::new(""));
    let (test, warnings) = read(beside, &path.display().to_string(), text, changes)?;
    Ok((test.title, warnings))
}

fn told(choice: &Choice, most: usize) -> String {
    let mut text = if choice.title.is_empty() {
        String::new()
    } else {
        format!("{}\n", choice.title)
    };
    for line in &choice.words {
        text.push_str(&format!("  {line}\n"));
    }
    for (title, list) in [("single tests", &choice.tests), ("pairs", &choice.pairs)] {
        if list.is_empty() {
            continue;
        }
        text.push_str(&format!(
            "  {title}: nats gained, part of each interval left, cost\n"
        ));
        for w in list.iter().take(most) {
            text.push_str(&row(w));
        }
    }
    text.push_str(&format!("  {}\n", choice.caution));
    text
}

fn row(w: &Worth) -> String {
    let widths: Vec<String> = w.width_left.iter().map(|l| format!("{l:.2}")).collect();
    format!(
        "    {:.2}  {}  {}  {}\n",
        w.gain_nats,
        widths.join(" "),
        giveway_units::shown(w.cost, 4),
        w.tests.join("  +  ")
    )
}
