//! `giveway page`: one offline page with the engine in it, on which a scenario answers while sliders are moved.

use std::path::Path;

use giveway_report::{Lesson, LiveCase, LivePage, live_page};
use giveway_results::Replay;
use giveway_study::{Supports, compute_with_conditions};
use giveway_units::System;

use super::lesson::recorded;
use crate::arguments::Page;
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output;
use crate::people;
use crate::terminal::ended;

/// The lesson whose cases a page offers unless it is given another one, and the scenarios that it names.
const LESSON: &str = include_str!("../../../../scenarios/lessons/installers.toml");
const NAMED: [(&str, &str); 9] = [
    (
        "../conditions/correct.toml",
        include_str!("../../../../scenarios/conditions/correct.toml"),
    ),
    (
        "../conditions/grouted_deep.toml",
        include_str!("../../../../scenarios/conditions/grouted_deep.toml"),
    ),
    (
        "../conditions/stub.toml",
        include_str!("../../../../scenarios/conditions/stub.toml"),
    ),
    (
        "../conditions/no_round_washers.toml",
        include_str!("../../../../scenarios/conditions/no_round_washers.toml"),
    ),
    (
        "../conditions/overtight.toml",
        include_str!("../../../../scenarios/conditions/overtight.toml"),
    ),
    (
        "../conditions/turned.toml",
        include_str!("../../../../scenarios/conditions/turned.toml"),
    ),
    (
        "../conditions/short_thread.toml",
        include_str!("../../../../scenarios/conditions/short_thread.toml"),
    ),
    (
        "../conditions/pocket.toml",
        include_str!("../../../../scenarios/conditions/pocket.toml"),
    ),
    (
        "../conditions/proud.toml",
        include_str!("../../../../scenarios/conditions/proud.toml"),
    ),
];

/// Writes the page.
pub fn page(arguments: &Page) -> Exit {
    ended(written(arguments), arguments.quiet)
}

fn written(arguments: &Page) -> Result<String, Refusal> {
    let file = &arguments.file;
    let mut accepted = input::load(file, &arguments.set)?;
    let loaded = &mut accepted.loaded;
    // Pictures and replay need the histories, whatever the scenario says.
    loaded.scenario.output.history = true;
    loaded.scenario.output.figures = true;
    let failed = |problem: String| Refusal::of_file(Exit::Compute, file, &problem);
    let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
        .map_err(|e| failed(e.to_string()))?;
    let (engagement, summary) = (&computed.engagement, &computed.summary);
    let figures = giveway_report::draw_all(&loaded.scenario, engagement, summary)
        .map_err(|e| failed(e.to_string()))?;
    let stills: Vec<_> = (figures.into_iter())
        .filter(|figure| figure.name == "storyboard")
        .collect();
    let replay = if engagement.frames.is_empty() {
        None
    } else {
        let bytes = Replay::of(&loaded.scenario, engagement, summary, &loaded.resolved_text)
            .and_then(|replay| replay.to_bytes())
            .map_err(|e| failed(e.to_string()))?;
        Some(String::from_utf8(bytes).map_err(|e| failed(e.to_string()))?)
    };
    let system = people::system(&accepted.profile);
    let cases = match &arguments.lesson {
        Some(lesson) => cases_of(lesson, system)?,
        None => shipped().map_err(|problem| Refusal::of_file(Exit::Scenario, file, &problem))?,
    };
    let page = live_page(&LivePage {
        text: &accepted.text,
        changes: &accepted.changes,
        scenario: &loaded.scenario,
        summary,
        replay: replay.as_deref(),
        stills: &stills,
        system,
        warnings: &loaded.warnings,
        cases: &cases,
    });
    let out = match &arguments.out {
        Some(out) => out.clone(),
        None => file.with_extension("html"),
    };
    output::write_file(&out, page.as_bytes()).map_err(|e| Refusal::of_file(Exit::Io, &out, &e))?;
    Ok(format!(
        "{}: {:.1} MB, opens from disk without a network\n",
        out.display(),
        page.len() as f64 / 1e6
    ))
}

/// The cases of the shipped lesson.
fn shipped() -> Result<Vec<LiveCase>, String> {
    let lesson = Lesson::read(LESSON, "installers.toml").map_err(|list| list[0].to_string())?;
    (lesson.cases.into_iter())
        .map(|case| {
            let (_, text) = (NAMED.iter())
                .find(|(name, _)| *name == case.scenario)
                .ok_or_else(|| format!("the shipped lesson names `{}`", case.scenario))?;
            let changes: Vec<(String, String)> = case.set.into_iter().collect();
            let loaded = giveway_scenario::read(text, &case.scenario, &changes)
                .map_err(|d| format!("{}: {}", case.scenario, d[0].message))?;
            Ok(LiveCase {
                name: case.name,
                view: case.view,
                text: (*text).to_owned(),
                changes,
                scenario: loaded.scenario,
            })
        })
        .collect()
}

/// The cases of a lesson's file.
fn cases_of(path: &Path, system: System) -> Result<Vec<LiveCase>, Refusal> {
    let text = input::text_up_to(path, input::LARGEST_FILE, "a lesson has some kilobytes")?;
    let lesson = super::lesson::read(path, &text)?;
    let beside = path.parent().unwrap_or(Path::new(""));
    let supports = Supports::new();
    (lesson.cases.into_iter())
        .map(|case| {
            let (file, mut changes, _) = if case.record.is_empty() {
                (beside.join(&case.scenario), Vec::new(), None)
            } else {
                recorded(&beside.join(&case.record), system, &supports)?
            };
            changes.extend(case.set);
            let accepted = input::load(&file, &changes)?;
            Ok(LiveCase {
                name: case.name,
                view: case.view,
                text: accepted.text,
                changes: accepted.changes,
                scenario: accepted.loaded.scenario,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_carries_every_case_of_the_shipped_lesson() {
        let cases = shipped().unwrap();
        assert_eq!(cases.len(), NAMED.len());
        assert_eq!(cases[0].name, "Installed as drawn");
        let short = &cases[6];
        assert_eq!(
            short.changes,
            [("as_found.engaged_threads".to_owned(), "0.25".to_owned())]
        );
        assert!(cases[1].scenario.as_found.grout.is_some());
    }
}
