//! Rows of a study, computed again from the plan that its folder keeps.

use std::collections::BinaryHeap;
use std::ops::Range;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::SystemTime;

use giveway_mechanics::MODEL_VERSION;
use giveway_results::{
    CSV_NAME, Cell, Difference, Examined, FileState, Mixing, PlanSource, Provenance, Recomputed,
    RerunReport, RerunVerdict, RowSample, RunFacts, STUDY_NAME, Study, StudyFile, StudyRow,
    StudyStore, TableForm, check_tables, file_difference, merge_by_part, read_plan, read_study,
};
use giveway_study::Supports;
use giveway_study::execute::{RunMemory, Tally, count, execute, run_row};
use giveway_study::plan::Plan;
use rayon::prelude::*;

use super::scratch::Scratch;
use crate::arguments::Rerun;
use crate::commands::study as command;
use crate::exit::Exit;
use crate::input;

/// Name of the plan in a study's folder.
const PLAN: &str = "plan.json";

/// Why nothing was compared: verdict, the code where it is not that of the verdict, and the reason.
type No = (RerunVerdict, Option<Exit>, String);

fn not_computed(exit: Exit, problem: &str) -> No {
    let sentence = format!("it could not be computed again: {}", problem.trim_end());
    (RerunVerdict::NotComputed, Some(exit), sentence)
}

fn tampered(reason: &str) -> No {
    let sentence = format!("{reason}; nothing was computed");
    (RerunVerdict::Tampered, None, sentence)
}

/// The report, and the code where it is not that of the verdict.
pub fn again(
    folder: &Path,
    looked_at: &Examined,
    arguments: &Rerun,
) -> (RerunReport, Option<Exit>) {
    let name = folder.display().to_string();
    if arguments.plan.is_none()
        && let Some(report) = RerunReport::of_input(&name, looked_at, PLAN)
    {
        return (report, None);
    }
    match compared(folder, &name, looked_at, arguments) {
        Ok(report) => (report, None),
        Err((verdict, exit, sentence)) => {
            let mut report = RerunReport::bare(&name, verdict, sentence);
            report.take_files(looked_at, &[]);
            report.written_by = Some(looked_at.manifest.provenance());
            (report, exit)
        }
    }
}

fn compared(
    folder: &Path,
    name: &str,
    looked_at: &Examined,
    arguments: &Rerun,
) -> Result<RerunReport, No> {
    as_written(looked_at)?;
    let source = plan_source(folder, arguments)?;
    let study = read_study(folder).map_err(|e| not_computed(Exit::NoResults, &e.to_string()))?;
    let plan = plan_of(&source).map_err(|problem| not_computed(Exit::Scenario, &problem))?;
    let here = Provenance {
        input_blake3: plan.hash().to_owned(),
        ..Provenance::of("", &[])
    };
    let card = &study.file.card;
    if plan.hash() != card.plan_hash && card.model_version == MODEL_VERSION {
        return Err(tampered(
            "its plan is not the one that its table was computed from: plan or table was changed",
        ));
    }
    let tables_fit = tables_fit(folder, &study)?;
    if card.model_version != looked_at.manifest.model_version {
        return Err(tampered(
            "`study.json` and the manifest name different versions of the model",
        ));
    }
    let number = arguments.number.unwrap_or_else(drawn_number);
    let outcome = if arguments.all {
        whole(folder, &study, &plan)
    } else {
        sampled(&study, &plan, arguments.rows, number)
    };
    let (again, rows) = outcome.map_err(|problem| not_computed(Exit::Io, &problem))?;
    let all = study.file.rows;
    let mut report = RerunReport::of_files(name, looked_at, &here, &again);
    report.rows = Some([rows, all]);
    let part = !arguments.all && rows < all;
    if part {
        report.sample = Some(RowSample::new(number, rows, all));
    }
    if report.verdict == RerunVerdict::Identical {
        report.sentence = match (arguments.all, part) {
            (true, _) => {
                format!("identical: all {rows} rows and every byte of the tables are the same")
            }
            (_, false) => format!("identical: every value of all {rows} rows is the same"),
            (_, true) => {
                report.verdict = RerunVerdict::SampleIdentical;
                format!("sample identical: every value of {rows} rows of {all} is the same")
            }
        };
    }
    report.remarks.push(if tables_fit {
        "the tables say what the shards say that they were made from, and the ledger names these shards".to_owned()
    } else {
        "the folder keeps no shards (a joined study has none): the tables were held against each other only".to_owned()
    });
    Ok(report)
}

/// The files of the folder are as they were written: its tables are read so or not at all.
fn as_written(looked_at: &Examined) -> Result<(), No> {
    for state in [FileState::Changed, FileState::CutShort, FileState::Missing] {
        if let Some(file) = looked_at.in_state(state).first() {
            let (verdict, word) = match state {
                FileState::Changed => (RerunVerdict::Tampered, "was changed since it was written"),
                FileState::CutShort => (RerunVerdict::CutShort, "is cut short"),
                _ => (RerunVerdict::MissingFile, "is missing"),
            };
            let sentence = format!("`{file}` {word}; nothing was computed");
            return Err((verdict, None, sentence));
        }
    }
    Ok(())
}

/// The plan that is given, else the one that the folder keeps.
fn plan_source(folder: &Path, arguments: &Rerun) -> Result<PlanSource, No> {
    if let Some(path) = &arguments.plan {
        return source_of(path).map_err(|(exit, problem)| not_computed(exit, &problem));
    }
    match read_plan(folder) {
        Ok(Some(plan)) => Ok(plan),
        Ok(None) => {
            let problem = format!("its folder keeps no `{PLAN}`; give its study file with --plan");
            Err(not_computed(Exit::Usage, &problem))
        }
        Err(e) => Err(not_computed(Exit::NoResults, &e.to_string())),
    }
}

/// The tables hold together; whether there are shards that they could be held against.
fn tables_fit(folder: &Path, study: &Study) -> Result<bool, No> {
    let check = check_tables(folder, study).map_err(|e| not_computed(Exit::Io, &e.to_string()))?;
    match check.problem {
        Some(problem) => Err(tampered(&format!(
            "{problem}: table, shards or ledger were changed"
        ))),
        None => Ok(check.shards),
    }
}

/// A study file and its base scenarios, read now.
fn source_of(path: &Path) -> Result<PlanSource, (Exit, String)> {
    match command::read_file(path, &[], None) {
        Ok((_, source)) => Ok(source),
        Err(refusal) => Err((refusal.exit, refusal.text)),
    }
}

fn plan_of(source: &PlanSource) -> Result<Plan, String> {
    let load = |name: &str| match source.scenario(name) {
        Some(text) if text.len() as u64 <= input::LARGEST_FILE => {
            Ok((name.to_owned(), text.to_owned()))
        }
        _ => Err(format!("`{PLAN}` does not hold `{name}`")),
    };
    Plan::read(&source.study, PLAN, &source.changes, &load)
        .map(|read| read.plan)
        .map_err(|list| giveway_study::plan::one_line(&list))
}

type Outcome = Result<(Vec<Recomputed>, u64), String>;

/// Everything again, in folders of its own, compared byte for byte.
fn whole(folder: &Path, study: &Study, plan: &Plan) -> Outcome {
    let said = |e: giveway_results::ResultsError| e.to_string();
    let scratch = Scratch::new();
    let file = &study.file;
    let facts = RunFacts::new(SystemTime::now(), rayon::current_num_threads());
    let written = |name: &str| file.files.iter().any(|entry| entry.name == name);
    let form = TableForm::of(written(CSV_NAME));
    let slices: Vec<Range<u64>> = if file.parts.is_empty() {
        vec![file.card.slice()]
    } else {
        file.parts.iter().map(|part| part.first..part.end).collect()
    };
    let mut folders = Vec::new();
    let mut rows = 0;
    for (number, slice) in slices.into_iter().enumerate() {
        let place = scratch.path().join(number.to_string());
        let card = plan.card(slice.clone());
        let mut store = StudyStore::open(&place, &card, Mixing::Refuse).map_err(said)?;
        let runs = without_gaps(slice, file);
        let (tally, stop) = (Tally::default(), AtomicBool::new(false));
        execute(plan, &runs, &mut store, &tally, &stop).map_err(said)?;
        rows += count(&runs);
        store.close_as(&facts, form).map_err(said)?;
        folders.push(place);
    }
    let mut here = folders[0].clone();
    if !file.parts.is_empty() {
        here = scratch.path().join("joined");
        merge_by_part(&folders, &here, &facts).map_err(said)?;
    }
    let names = file.files.iter().map(|entry| entry.name.as_str());
    let mut again = Vec::new();
    // The text first: it says best what differs.
    for name in names.rev().chain([STUDY_NAME]) {
        again.push(Recomputed {
            name: name.to_owned(),
            difference: file_difference(name, folder, &here).map_err(said)?,
        });
    }
    Ok((again, rows))
}

/// Runs of a slice that a study holds.
fn without_gaps(slice: Range<u64>, file: &StudyFile) -> Vec<Range<u64>> {
    let mut runs = Vec::new();
    let mut next = slice.start;
    for gap in &file.gaps {
        runs.push(next..gap.first.min(slice.end));
        next = gap.end.max(next);
    }
    runs.push(next..slice.end);
    runs.retain(|range| range.start < range.end);
    runs
}

/// The file of the table in which a row stands.
fn file_of(study: &StudyFile, place: u64) -> &str {
    let mut end = 0;
    for part in &study.parts {
        end += part.rows;
        if place < end {
            return &part.name;
        }
    }
    "runs.parquet"
}

/// A number that nobody who wrote the folder could know.
fn drawn_number() -> u64 {
    use std::hash::{BuildHasher, RandomState};
    // The keys of the standard library's hashing come from the system's random numbers.
    RandomState::new().hash_one(SystemTime::now()) % 1_000_000_000
}

/// Rows drawn by a number, each as likely as any other: those with the smallest random bits.
fn drawn(rows: u64, count: u64, number: u64) -> Vec<u64> {
    let count = usize::try_from(count).unwrap_or(usize::MAX);
    let mut least: BinaryHeap<(u64, u64)> = BinaryHeap::new();
    for row in 0..rows {
        let bits = giveway_sampling::seed(number, row, 0);
        if least.len() < count {
            least.push((bits, row));
        } else if least.peek().is_some_and(|most| (bits, row) < *most) {
            least.pop();
            least.push((bits, row));
        }
    }
    let mut places: Vec<u64> = least.into_iter().map(|(_, row)| row).collect();
    places.sort_unstable();
    places
}

/// Rows drawn by a number, computed again.
fn sampled(study: &Study, plan: &Plan, wanted: u64, number: u64) -> Outcome {
    let rows = study.file.rows;
    let count = wanted.min(rows);
    let places = drawn(rows, count, number);
    let mut there: Vec<(u64, Vec<(String, Cell)>)> = Vec::new();
    let mut start = 0;
    for block in study.blocks(&[]).map_err(|e| e.to_string())? {
        let block = block.map_err(|e| e.to_string())?;
        let end = start + block.rows() as u64;
        let within = places.partition_point(|p| *p < start)..places.partition_point(|p| *p < end);
        for place in &places[within] {
            let row = (place - start) as usize;
            let cells = (block.columns.iter()).map(|c| (c.name.clone(), c.values.cell(row)));
            there.push((*place, cells.collect()));
        }
        start = end;
    }
    let supports = Supports::new();
    let found: Vec<Option<Difference>> = there
        .par_iter()
        .map_init(RunMemory::default, |memory, (place, cells)| {
            let Some((_, Cell::Count(Some(index)))) = cells.first() else {
                return Some(difference(*place, "run", None, None));
            };
            let row = run_row(plan, index.unsigned_abs(), &supports, memory);
            first_of(*place, cells, plan, &row)
        })
        .collect();
    let places = places.iter().zip(found);
    let first = places.filter_map(|(place, d)| Some((*place, d?))).next();
    let name = file_of(&study.file, first.as_ref().map_or(0, |(place, _)| *place));
    let again = Recomputed {
        name: name.to_owned(),
        difference: first.map(|(_, d)| Difference {
            file: name.to_owned(),
            ..d
        }),
    };
    Ok((vec![again], count))
}

fn first_of(
    place: u64,
    there: &[(String, Cell)],
    plan: &Plan,
    row: &StudyRow,
) -> Option<Difference> {
    let fixed = [
        ("run", Cell::Count(i64::try_from(row.index).ok())),
        ("run_key", Cell::Text(Some(row.key.to_string()))),
        ("model_version", Cell::Count(Some(i64::from(MODEL_VERSION)))),
        ("failed", Cell::Flag(Some(row.failed))),
    ];
    let own = plan.columns().iter().map(|c| c.name.as_str());
    let here: Vec<(&str, &Cell)> = (fixed.iter().map(|(name, cell)| (*name, cell)))
        .chain(own.zip(&row.cells))
        .collect();
    // A key says only that something is another; a number says what.
    let differs = |keys: bool| {
        here.iter().find_map(|(name, cell)| {
            if matches!(*name, "run_key" | "model_version") != keys {
                return None;
            }
            let old = there.iter().find(|(n, _)| n == name).map(|(_, cell)| cell);
            match old {
                Some(old) if old.same(cell) => None,
                _ => Some(difference(place, name, old, Some(cell))),
            }
        })
    };
    differs(false).or_else(|| differs(true))
}

fn difference(place: u64, column: &str, there: Option<&Cell>, here: Option<&Cell>) -> Difference {
    Difference {
        file: "runs.parquet".to_owned(),
        place: format!("column {column}, row {}", place + 1),
        first: there.and_then(Cell::text),
        second: here.and_then(Cell::text),
    }
}
