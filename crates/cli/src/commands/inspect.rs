//! `giveway inspect`: site records against the requirements, and what they mean for an impact.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_results::{PoleFiles, ResultsError, RunFacts, write_pole_folder};
use giveway_scenario::{Diagnostic, Severity};
use giveway_site::{
    Decision, Inspected, Inspection, PoleType, Record, Said, Survey, Unreadable, diagnostic,
    inspect_all, latest, pole_in_row, pole_named, read_list, solve, survey,
};
use giveway_study::Supports;
use serde::Serialize;

use crate::arguments::{Inspect, InspectFormat};
use crate::exit::Exit;
use crate::input::{self, LARGEST_FILE, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::terminal::{code, complain, print};

/// Largest list of poles that is read, bytes: some hundred thousand poles.
const LARGEST_LIST: u64 = 64 * 1024 * 1024;

/// Everything that was read, and what is wrong with it.
#[derive(Default)]
struct Heap {
    records: Vec<Record>,
    /// Text of each file, for excerpts.
    sources: BTreeMap<String, String>,
    problems: Vec<Diagnostic>,
    /// Problems with files as a whole, in words.
    troubles: String,
    exit: Option<Exit>,
    unreadable: Vec<Unreadable>,
}

impl Heap {
    fn worsen(&mut self, exit: Exit) {
        self.exit = self.exit.max(Some(exit));
    }

    fn refuse(&mut self, pole: Option<String>, problems: Vec<Diagnostic>) {
        self.unreadable.extend(Unreadable::new(pole, &problems));
        self.worsen(Exit::Scenario);
        self.problems.extend(problems);
    }

    fn trouble(&mut self, path: &Path, refusal: &Refusal) {
        self.unreadable.push(Unreadable {
            pole: None,
            file: path.display().to_string(),
            line: 0,
            problem: refusal
                .text
                .trim_end()
                .rsplit(": ")
                .next()
                .unwrap_or_default()
                .to_owned(),
        });
        self.worsen(refusal.exit);
        self.troubles.push_str(&refusal.text);
    }

    fn rendered(&self) -> String {
        let mut text = self.troubles.clone();
        for problem in &self.problems {
            let source = self.sources.get(&problem.file).map_or("", String::as_str);
            text.push_str(&rendering::diagnostics(
                std::slice::from_ref(problem),
                source,
            ));
        }
        text
    }
}

/// Inspects one pole or many.
pub fn inspect(arguments: &Inspect) -> Exit {
    let started = SystemTime::now();
    let path = &arguments.record;
    let many = path.is_dir() || is_list(path);
    let mut heap = Heap::default();
    if path.is_dir() {
        read_folder(path, &mut heap);
    } else if many {
        read_rows(path, &mut heap);
    } else {
        read_record(path, &mut heap);
    }
    let (records, left_out) = latest(std::mem::take(&mut heap.records));
    for problem in left_out {
        if problem.severity == Severity::Error {
            heap.refuse(None, vec![problem]);
        } else {
            heap.problems.push(problem);
        }
    }
    let records = match &arguments.pole {
        None => records,
        Some(id) => {
            let chosen: Vec<Record> = records.into_iter().filter(|r| r.pole == *id).collect();
            if chosen.is_empty() {
                complain(&heap.rendered());
                complain(&format!(
                    "error: {} has no readable record of pole {id}\n",
                    path.display()
                ));
                return Exit::Usage.max(heap.exit.unwrap_or(Exit::Done));
            }
            chosen
        }
    };
    let inspected = inspected(records, &mut heap);
    complain(&heap.rendered());
    let done = if many && arguments.pole.is_none() {
        list(&inspected, &heap, arguments, started)
    } else {
        one(&inspected, &heap, arguments)
    };
    code(done)
}

fn is_list(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("csv"))
}

fn read_record(path: &Path, heap: &mut Heap) {
    let name = path.display().to_string();
    match input::text_up_to(path, LARGEST_FILE, "a record has some kilobytes") {
        Err(refusal) => heap.trouble(path, &refusal),
        Ok(text) => {
            match Record::read(&text, &name) {
                Ok(record) => heap.records.push(record),
                Err(problems) => heap.refuse(pole_named(&text), problems),
            }
            heap.sources.insert(name, text);
        }
    }
}

/// Every file of the folder that ends in .toml, in the order of their names. Folders in it are left alone: the types lie
/// there.
fn read_folder(path: &Path, heap: &mut Heap) {
    let listed = std::fs::read_dir(path).and_then(|entries| {
        entries
            .map(|entry| entry.map(|e| e.path()))
            .collect::<Result<Vec<PathBuf>, _>>()
    });
    let mut files = match listed {
        Ok(files) => files,
        Err(e) => {
            let refusal = Refusal::of_file(Exit::Io, path, &format!("cannot be listed: {e}"));
            heap.trouble(path, &refusal);
            return;
        }
    };
    files.retain(|file| {
        file.is_file()
            && file
                .extension()
                .is_some_and(|e| e.eq_ignore_ascii_case("toml"))
    });
    files.sort();
    if files.is_empty() {
        let problem = "holds no record: not one file that ends in .toml";
        heap.trouble(path, &Refusal::of_file(Exit::Scenario, path, problem));
    }
    for file in files {
        read_record(&file, heap);
    }
}

fn read_rows(path: &Path, heap: &mut Heap) {
    let name = path.display().to_string();
    match input::text_up_to(path, LARGEST_LIST, "a list has a line for each pole") {
        Err(refusal) => heap.trouble(path, &refusal),
        Ok(text) => {
            match read_list(&text, &name) {
                Err(problems) => heap.refuse(None, problems),
                Ok(entries) => {
                    for entry in entries {
                        match entry {
                            Ok(record) => heap.records.push(record),
                            Err(problems) => {
                                let line = problems.first().map_or(0, |d| d.line);
                                heap.refuse(pole_in_row(&text, line), problems);
                            }
                        }
                    }
                }
            }
            heap.sources.insert(name, text);
        }
    }
}

/// Reads the types and inspects; what cannot be inspected is refused.
fn inspected(records: Vec<Record>, heap: &mut Heap) -> Vec<Inspected> {
    let mut types: BTreeMap<PathBuf, Option<PoleType>> = BTreeMap::new();
    let mut poles: Vec<(Record, PathBuf)> = Vec::with_capacity(records.len());
    for record in records {
        let folder = Path::new(&record.file).parent().unwrap_or(Path::new(""));
        let path = folder.join(&record.type_path);
        let known = types
            .entry(path.clone())
            .or_insert_with(|| read_type(&path, heap));
        if known.is_some() {
            poles.push((record, path));
        } else {
            let (fault, message) = if path.is_file() {
                (
                    "R041",
                    "the scenario of this type cannot be used; its problems are shown above",
                )
            } else {
                ("R040", "there is no file of this type")
            };
            let said = Said::that(message).found(path.display().to_string());
            let pole = Some(record.pole.clone());
            let problem = diagnostic(fault, &record.file, record.type_at, "type", said);
            heap.refuse(pole, vec![problem]);
        }
    }
    let pairs: Vec<(Record, &PoleType)> = poles
        .into_iter()
        .filter_map(|(record, path)| Some((record, types.get(&path)?.as_ref()?)))
        .collect();
    let supports = Supports::new();
    let mut done = Vec::with_capacity(pairs.len());
    let names: Vec<String> = pairs
        .iter()
        .map(|(record, _)| record.pole.clone())
        .collect();
    let results = inspect_all(
        &pairs,
        &|scenario| solve(scenario, &supports),
        people::asked(),
    );
    for (result, pole) in results.into_iter().zip(names) {
        match result {
            Ok(inspected) => {
                heap.problems.extend(inspected.warnings.iter().cloned());
                done.push(inspected);
            }
            Err(problems) => heap.refuse(Some(pole), problems),
        }
    }
    done
}

fn read_type(path: &Path, heap: &mut Heap) -> Option<PoleType> {
    let name = path.display().to_string();
    let read = input::text_of(path).and_then(|text| people::profile_of(path, text));
    let (text, profile) = match read {
        Ok(both) => both,
        Err(refusal) => {
            heap.worsen(refusal.exit);
            heap.troubles.push_str(&refusal.text);
            return None;
        }
    };
    let read = PoleType::read_with(&text, &name, &profile);
    heap.sources.insert(name, text);
    match read {
        Ok(pole_type) => Some(pole_type),
        Err(problems) => {
            heap.worsen(Exit::Scenario);
            heap.problems.extend(problems);
            None
        }
    }
}

fn exit_of(decision: Decision) -> Exit {
    match decision {
        Decision::Go => Exit::Done,
        Decision::CannotTell => Exit::CannotTell,
        Decision::NoGo => Exit::NoGo,
    }
}

/// The report of one pole.
fn one(inspected: &[Inspected], heap: &Heap, arguments: &Inspect) -> Result<Exit, Refusal> {
    let exit = heap.exit.unwrap_or(Exit::Done);
    let Some(pole) = inspected.first() else {
        return Ok(exit);
    };
    let by_name = match output::ending(arguments.out.as_deref()).as_deref() {
        Some("html" | "htm") => InspectFormat::Html,
        Some("json") => InspectFormat::Json,
        _ => InspectFormat::Text,
    };
    let inspection = &pole.inspection;
    let text = match arguments.format.unwrap_or(by_name) {
        InspectFormat::Text => giveway_report::inspection_text(inspection),
        InspectFormat::Html => giveway_report::inspection_page(inspection),
        InspectFormat::Json => json(inspection, &arguments.record)?,
    };
    match &arguments.out {
        None => print(&text),
        Some(path) => {
            if heap
                .sources
                .keys()
                .any(|read| same_file(path, Path::new(read)))
            {
                let problem = "is a file that was read; it is not written over";
                return Err(Refusal::of_file(Exit::Usage, path, problem));
            }
            output::put(path, text.as_bytes())?;
        }
    }
    Ok(exit.max(exit_of(inspection.decision)))
}

fn same_file(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

fn json<T: Serialize>(value: &T, path: &Path) -> Result<String, Refusal> {
    giveway_results::check_finite("inspection", value).or_refuse(Exit::Compute, path)?;
    output::json(value, path)
}

/// What `--format json` prints for many poles.
#[derive(Serialize)]
struct Listed<'a> {
    survey: &'a Survey,
    problems: &'a [Diagnostic],
}

/// The list of many poles.
fn list(
    inspected: &[Inspected],
    heap: &Heap,
    arguments: &Inspect,
    started: SystemTime,
) -> Result<Exit, Refusal> {
    let survey = survey(inspected, heap.unreadable.clone());
    let text = match arguments.format.unwrap_or(InspectFormat::Text) {
        InspectFormat::Text => giveway_report::survey_text(&survey),
        InspectFormat::Json => json(
            &Listed {
                survey: &survey,
                problems: &heap.problems,
            },
            &arguments.record,
        )?,
        InspectFormat::Html => giveway_report::survey_page(&survey),
    };
    if let Some(out) = &arguments.out {
        write(out, &survey, inspected, heap, arguments, started)?;
    }
    print(&text);
    let worst = inspected
        .iter()
        .map(|p| exit_of(p.inspection.decision))
        .max();
    Ok(heap.exit.max(worst).unwrap_or(Exit::Done))
}

fn write(
    out: &Path,
    survey: &Survey,
    inspected: &[Inspected],
    heap: &Heap,
    arguments: &Inspect,
    started: SystemTime,
) -> Result<(), Refusal> {
    // The inspections in the order of the list, one a line.
    let by_pole: BTreeMap<&str, &Inspection> = inspected
        .iter()
        .map(|p| (p.inspection.pole.as_str(), &p.inspection))
        .collect();
    let mut lines = String::new();
    for pole in &survey.poles {
        if let Some(inspection) = by_pole.get(pole.pole.as_str()) {
            giveway_results::check_finite("inspection", inspection)
                .or_refuse(Exit::Compute, out)?;
            let line = serde_json::to_string(inspection).or_refuse(Exit::Compute, out)?;
            lines.push_str(&line);
            lines.push('\n');
        }
    }
    let others = [
        ("poles.json".to_owned(), json(survey, &arguments.record)?),
        ("poles.txt".to_owned(), giveway_report::survey_text(survey)),
        ("poles.html".to_owned(), giveway_report::survey_page(survey)),
        ("inspections.jsonl".to_owned(), lines),
        ("problems.txt".to_owned(), heap.rendered()),
    ];
    let input: String = heap.sources.values().map(String::as_str).collect();
    let files = PoleFiles {
        table: &survey.table(),
        others: &others,
        input: &input,
        facts: &RunFacts::new(started, rayon::current_num_threads()),
    };
    write_pole_folder(out, &files).map(drop).map_err(|e| {
        let exit = match e {
            ResultsError::NotFinite { .. } | ResultsError::Length { .. } => Exit::Compute,
            _ => Exit::Io,
        };
        Refusal::of_file(exit, out, &e.to_string())
    })
}
