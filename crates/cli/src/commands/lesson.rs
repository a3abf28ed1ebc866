//! `giveway lesson`: computes the cases of a lesson and writes its pages.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use giveway_report::{Lesson, LessonCase, lesson_pages};
use giveway_results::{Replay, ResultsError};
use giveway_scenario::Loaded;
use giveway_scenario::model::Scenario;
use giveway_site::{Inspection, PoleType, Profile, Record, inspect_in, solve};
use giveway_study::{Computed, Supports, compute_with_conditions};
use giveway_units::System;
use rayon::prelude::*;

use crate::arguments::LessonArguments;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::terminal::ended;

/// Where lessons go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "lessons";

/// A computed case, with its inspection where it begins with a record.
type Done = (Loaded, Computed, Option<Inspection>);
/// A record: the file of its type, what it changes of that, and its inspection.
pub type Recorded = (PathBuf, Vec<(String, String)>, Option<Inspection>);

/// Reads, computes, writes.
pub fn lesson(arguments: &LessonArguments) -> Exit {
    ended(whole(arguments), arguments.quiet)
}

fn whole(arguments: &LessonArguments) -> Result<String, Refusal> {
    let path = &arguments.file;
    let text = input::text_up_to(path, input::LARGEST_FILE, "a lesson has some kilobytes")?;
    let lesson = read(path, &text)?;
    let beside = path.parent().unwrap_or(Path::new(""));
    let system = people::system(&Profile::trade());
    let supports = Supports::new();
    let computed: Vec<Result<Done, Refusal>> = (lesson.cases.par_iter())
        .map(|case| {
            let (file, mut changes, inspection) = if case.record.is_empty() {
                (beside.join(&case.scenario), Vec::new(), None)
            } else {
                recorded(&beside.join(&case.record), system, &supports)?
            };
            changes.extend((case.set.iter()).map(|(path, value)| (path.clone(), value.clone())));
            let mut loaded = input::load(&file, &changes)?.loaded;
            // Pictures and replay need the histories, whatever the scenario says.
            loaded.scenario.output.history = true;
            loaded.scenario.output.figures = true;
            let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
                .or_refuse(Exit::Compute, &file)?;
            Ok((loaded, computed, inspection))
        })
        .collect();
    let computed = computed.into_iter().collect::<Result<Vec<_>, _>>()?;
    let replays: Vec<Option<Replay>> = (computed.iter())
        .map(|(loaded, computed, _)| replay(loaded, computed))
        .collect::<Result<_, ResultsError>>()
        .or_refuse(Exit::Compute, path)?;
    let cases: Vec<LessonCase> = (computed.iter().zip(&replays))
        .map(|((loaded, computed, inspection), replay)| LessonCase {
            scenario: &loaded.scenario,
            engagement: &computed.engagement,
            summary: &computed.summary,
            replay: replay.as_ref(),
            inspection: inspection.as_ref(),
        })
        .collect();
    let pages = lesson_pages(&lesson, &cases, system).or_refuse(Exit::Scenario, path)?;
    let folder = arguments.out.clone().unwrap_or_else(|| {
        let stem = path.file_stem().unwrap_or(OsStr::new("lesson"));
        PathBuf::from(DEFAULT_FOLDER).join(stem)
    });
    output::make_folder(&folder)?;
    let mut said = format!("{}: {} cases\n", lesson.title, lesson.cases.len());
    for (name, page) in [
        ("lesson.html", &pages.page),
        ("handout.html", &pages.handout),
        ("key.html", &pages.key),
    ] {
        let file = folder.join(name);
        output::put(&file, people::page(page).as_bytes())?;
        said.push_str(&format!("  {}\n", file.display()));
    }
    Ok(said)
}

/// Reads a lesson.
pub fn read(path: &Path, text: &str) -> Result<Lesson, Refusal> {
    let read = Lesson::read(text, &path.display().to_string());
    read.map_err(|list| Refusal::of_problems(list, text))
}

/// Reads the record of a case and inspects it.
pub fn recorded(path: &Path, system: System, supports: &Supports) -> Result<Recorded, Refusal> {
    let (text, record, file, pole_type) = record_and_type(path)?;
    let solver = |scenario: &Scenario| solve(scenario, supports);
    let (inspection, _) = inspect_in(&record, &pole_type, &solver, Some(system))
        .map_err(|d| Refusal::of_problems(d, &text))?;
    Ok((file, pole_type.changes_of(&record), Some(inspection)))
}

/// Reads a record and the type that it names: its text, the record, the type's file and the type.
pub fn record_and_type(path: &Path) -> Result<(String, Record, PathBuf, PoleType), Refusal> {
    let text = input::text_up_to(path, input::LARGEST_FILE, "a record has some kilobytes")?;
    let record = Record::read(&text, &path.display().to_string())
        .map_err(|d| Refusal::of_problems(d, &text))?;
    let file = (path.parent().unwrap_or(Path::new(""))).join(&record.type_path);
    let whole = input::text_up_to(&file, input::LARGEST_FILE, "a scenario has some kilobytes")?;
    let (design, profile) = people::profile_of(&file, whole)?;
    let pole_type = PoleType::read_with(&design, &file.display().to_string(), &profile)
        .map_err(|d| Refusal::of_problems(d, &design))?;
    Ok((text, record, file, pole_type))
}

/// The motion of a case; none where the run left no frames.
fn replay(loaded: &Loaded, computed: &Computed) -> Result<Option<Replay>, ResultsError> {
    let engagement = &computed.engagement;
    if engagement.frames.is_empty() {
        return Ok(None);
    }
    let text = &loaded.resolved_text;
    Replay::of(&loaded.scenario, engagement, &computed.summary, text).map(Some)
}
