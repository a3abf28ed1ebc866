//! `giveway lesson`: computes the cases of a lesson and writes its pages.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use giveway_report::{Lesson, LessonCase, lesson_pages};
use giveway_results::Replay;
use giveway_scenario::Loaded;
use giveway_study::{Computed, compute_with_conditions};
use rayon::prelude::*;

use crate::arguments::LessonArguments;
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output::write_file;
use crate::people;
use crate::terminal::ended;

/// Where lessons go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "lessons";

/// Reads, computes, writes.
pub fn lesson(arguments: &LessonArguments) -> Exit {
    ended(whole(arguments), arguments.quiet)
}

fn whole(arguments: &LessonArguments) -> Result<String, Refusal> {
    let path = &arguments.file;
    let text = input::text_up_to(path, input::LARGEST_FILE, "a lesson has some kilobytes")?;
    let lesson =
        Lesson::read(&text).map_err(|problem| Refusal::of_file(Exit::Scenario, path, &problem))?;
    let beside = path.parent().unwrap_or(Path::new(""));
    let computed: Vec<Result<(Loaded, Computed), Refusal>> = (lesson.cases.par_iter())
        .map(|case| {
            let file = beside.join(&case.scenario);
            let changes: Vec<(String, String)> = (case.set.iter())
                .map(|(path, value)| (path.clone(), value.clone()))
                .collect();
            let mut loaded = input::load(&file, &changes)?.loaded;
            // Pictures and replay need the histories, whatever the scenario says.
            loaded.scenario.output.history = true;
            loaded.scenario.output.figures = true;
            let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
                .map_err(|e| Refusal::of_file(Exit::Compute, &file, &e.to_string()))?;
            Ok((loaded, computed))
        })
        .collect();
    let computed = computed.into_iter().collect::<Result<Vec<_>, _>>()?;
    let replays: Vec<Option<String>> = (computed.iter())
        .map(|(loaded, computed)| replay(loaded, computed))
        .collect::<Result<_, _>>()
        .map_err(|problem: String| Refusal::of_file(Exit::Compute, path, &problem))?;
    let cases: Vec<LessonCase> = (computed.iter().zip(&replays))
        .map(|((loaded, computed), replay)| LessonCase {
            scenario: &loaded.scenario,
            engagement: &computed.engagement,
            summary: &computed.summary,
            replay: replay.as_deref(),
        })
        .collect();
    let pages = lesson_pages(&lesson, &cases)
        .map_err(|e| Refusal::of_file(Exit::Scenario, path, &e.to_string()))?;
    let folder = arguments.out.clone().unwrap_or_else(|| {
        let stem = path.file_stem().unwrap_or(OsStr::new("lesson"));
        PathBuf::from(DEFAULT_FOLDER).join(stem)
    });
    std::fs::create_dir_all(&folder)
        .map_err(|e| Refusal::of_file(Exit::Io, &folder, &format!("cannot be made: {e}")))?;
    let mut said = format!("{}: {} cases\n", lesson.title, lesson.cases.len());
    for (name, page) in [
        ("lesson.html", &pages.page),
        ("handout.html", &pages.handout),
        ("key.html", &pages.key),
    ] {
        let file = folder.join(name);
        write_file(&file, people::page(page).as_bytes())
            .map_err(|problem| Refusal::of_file(Exit::Io, &file, &problem))?;
        said.push_str(&format!("  {}\n", file.display()));
    }
    Ok(said)
}

/// Content of the case's `replay.json`; none where the run left no frames.
fn replay(loaded: &Loaded, computed: &Computed) -> Result<Option<String>, String> {
    let engagement = &computed.engagement;
    if engagement.frames.is_empty() {
        return Ok(None);
    }
    let text = &loaded.resolved_text;
    let bytes = Replay::of(&loaded.scenario, engagement, &computed.summary, text)
        .and_then(|replay| replay.to_bytes())
        .map_err(|e| e.to_string())?;
    String::from_utf8(bytes)
        .map(Some)
        .map_err(|e| e.to_string())
}
