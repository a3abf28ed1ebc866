//! `giveway page`: one offline page with the engine in it, on which a scenario answers while sliders are moved.

use std::path::Path;

use giveway_report::{Lesson, LiveCase, LivePage, live_page};
use giveway_results::Replay;
use giveway_study::{Supports, compute_with_conditions};
use giveway_units::System;

use super::lesson::recorded;
use crate::arguments::Page;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::terminal::ended;

/// The lesson whose cases a page offers unless it is given another one, and the scenarios that it names.
const LESSON: &str = include_str!("../../../../scenarios/lessons/installers.toml");
macro_rules! named {
    ($($name:literal)*) => {
        [$((
            concat!("../conditions/", $name, ".toml"),
            include_str!(concat!("../../../../scenarios/conditions/", $name, ".toml")),
        )),*]
    };
}
const NAMED: [(&str, &str); 9] = named!(
    "correct" "grouted_deep" "stub" "no_round_washers" "overtight" "turned" "short_thread" "pocket" "proud"
);

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
    let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
        .or_refuse(Exit::Compute, file)?;
    let (engagement, summary) = (&computed.engagement, &computed.summary);
    let figures = giveway_report::draw_all(&loaded.scenario, engagement, summary)
        .or_refuse(Exit::Compute, file)?;
    let stills: Vec<_> = (figures.into_iter())
        .filter(|figure| figure.name == "storyboard")
        .collect();
    let replay = if engagement.frames.is_empty() {
        None
    } else {
        let bytes = Replay::of(&loaded.scenario, engagement, summary, &loaded.resolved_text)
            .and_then(|replay| replay.to_bytes())
            .or_refuse(Exit::Compute, file)?;
        Some(String::from_utf8(bytes).or_refuse(Exit::Compute, file)?)
    };
    let system = people::system(&accepted.profile);
    let cases = match &arguments.lesson {
        Some(lesson) => cases_of(lesson, system)?,
        None => shipped().or_refuse(Exit::Scenario, file)?,
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
    output::put(&out, page.as_bytes())?;
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
