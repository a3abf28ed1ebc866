//! A plan held against its base scenarios: every path exists, every value is possible, every axis has an effect.

use giveway_results::Cell;
use giveway_scenario::grammar::{Fallback, row_at};
use giveway_scenario::model::Scenario;
use giveway_scenario::{Diagnostic, Severity};

use super::axis::Axis;
use super::columns::Shown;
use super::document::Document;
use super::finding::{Findings, Said};
use super::item::borrowed;
use super::sampled::{Law, Value};
use super::{Plan, content};

/// Most values of an axis that are resolved one by one before the runs; of longer ones, evenly spread values.
const MOST_TRIED: usize = 400;

/// A base that is no scenario.
pub(super) fn base_is_wrong(
    name: &str,
    at: usize,
    list: &[Diagnostic],
    findings: &mut Findings<'_>,
) {
    for d in list.iter().filter(|d| d.severity == Severity::Error) {
        let said = Said::that(format!("the base has an error: {}", in_one_line(name, d)))
            .hint(format!("giveway check {name}"));
        findings.add("T031", at, "base", said);
    }
}

fn in_one_line(name: &str, d: &Diagnostic) -> String {
    format!(
        "{name}:{}:{}: {}: {}: {}",
        d.line, d.column, d.code, d.path, d.message
    )
}

/// No path is set in two places, and no section together with a key in it.
pub(super) fn paths_apart(document: &Document, findings: &mut Findings<'_>) {
    let mut all: Vec<(&str, usize, usize)> = Vec::new();
    // Levels of the conditions exclude each other, so they are one place; 0 = [set], 1 = conditions, and so on.
    all.extend(document.set.iter().map(|(p, _, at)| (p.as_str(), *at, 0)));
    for level in &document.levels {
        all.extend(level.changes.iter().map(|(p, _)| (p.as_str(), level.at, 1)));
    }
    all.extend(document.grid.iter().map(|a| (a.path.as_str(), a.at, 2)));
    for axis in document.sample.iter().flat_map(|s| &s.axes) {
        all.extend(axis.paths.iter().map(|p| (p.as_str(), axis.at, 3)));
    }
    let below = |inner: &str, outer: &str| {
        inner
            .strip_prefix(outer)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
    };
    for (i, &(path, at, place)) in all.iter().enumerate() {
        let twin = all[..i].iter().find(|&&(other, _, other_place)| {
            let same_levels = place == 1 && other_place == 1;
            !same_levels && (below(path, other) || below(other, path))
        });
        if let Some((other, ..)) = twin {
            let said = Said::that(format!("`{path}` is set here and `{other}` above"));
            findings.add("T042", at, path, said.allowed("each path once"));
        }
    }
}

/// Most wrong values of an axis that are told one by one.
const MOST_TOLD: usize = 20;

/// Every value by itself, the others at their first possible one; then whether each axis has an effect.
pub(super) fn check(plan: &Plan, set: &[(String, String, usize)], findings: &mut Findings<'_>) {
    for base in 0..plan.bases.len() {
        let places = possible(plan, set, base);
        // The base with what every run has: its own problems first.
        let scenario = resolved(plan, set, base, 0, &places, findings);
        conditions(plan, set, base, &places, findings);
        if let Some(scenario) = &scenario {
            sampled(plan, base, &places, scenario, findings);
        }
        for axis in 0..plan.grid.len() {
            one_axis(plan, set, base, axis, &places, scenario.as_ref(), findings);
        }
    }
    for axis in &plan.grid {
        findings.shorten(&axis.path, MOST_TOLD);
    }
    for (path, value, at) in set {
        unusual(path, std::slice::from_ref(value), &[*at], *at, findings);
    }
    for axis in &plan.grid {
        unusual(&axis.path, &axis.values, &axis.places, axis.at, findings);
    }
    let mut seen: Vec<(String, usize)> = Vec::new();
    for base in 0..plan.bases.len() {
        let run = plan.at(0, base, 0, &vec![0; plan.grid.len()], first_point(plan));
        let Some(text) = run
            .ok()
            .and_then(|r| plan.scenario(&r).ok())
            .as_ref()
            .map(content)
        else {
            continue;
        };
        if let Some((_, other)) = seen.iter().find(|(t, _)| *t == text) {
            let said = Said::that(format!(
                "the files `{}` and `{}` give the same scenario",
                plan.bases[*other].name, plan.bases[base].name
            ));
            findings.add("T041", 0, "files", said);
        }
        seen.push((text, base));
    }
}

/// Values of a path that are possible but unusual, once for all of them: one that scenarios warn of too.
fn unusual(
    path: &str,
    values: &[String],
    places: &[usize],
    at: usize,
    findings: &mut Findings<'_>,
) {
    let Some(row) = row_at(path) else { return };
    let shown = Shown::of(path, values.iter().map(String::as_str));
    let (low, high) = row.plausible;
    let outside = |value: &String| match shown.cell(value) {
        Cell::Number(Some(x)) => !(low..=high).contains(&x),
        Cell::Count(Some(n)) => !(low..=high).contains(&(n as f64)),
        _ => false,
    };
    let found: Vec<usize> = (0..values.len()).filter(|&i| outside(&values[i])).collect();
    let Some(&first) = found.first() else { return };
    let said = match found.len() {
        1 => Said::that("this value is possible but unusual"),
        n => Said::that(format!("{n} of these values are possible but unusual")),
    };
    let said = said
        .found(values[first].clone())
        .allowed(format!("usual: {}", row.range_text(row.plausible)));
    findings.add("T501", places.get(first).copied().unwrap_or(at), path, said);
}

/// The first point of the sample, where there is one.
fn first_point(plan: &Plan) -> Option<u64> {
    plan.points.as_ref().map(|_| 0)
}

/// The values of an axis that are tried one by one.
fn tried(axis: &Axis) -> impl Iterator<Item = usize> {
    let count = axis.values.len();
    let most = count.min(MOST_TRIED);
    (0..most).map(move |i| i * (count - 1) / (most - 1).max(1))
}

/// The first value of each axis that nothing is wrong with, so that a wrong one hides no fault of another axis.
fn possible(plan: &Plan, set: &[(String, String, usize)], base: usize) -> Vec<usize> {
    let mut places = vec![0; plan.grid.len()];
    // Twice: faults between values are found only where each by itself can be read.
    for (number, axis) in plan
        .grid
        .iter()
        .enumerate()
        .chain(plan.grid.iter().enumerate())
    {
        let right = |place: &usize| {
            let mut places = places.clone();
            places[number] = *place;
            let run = plan.at(0, base, 0, &places, first_point(plan));
            let errors = run.map(|run| plan.scenario(&run).err().unwrap_or_default());
            let here = Some(axis.places[*place]);
            !(errors.iter().flatten()).any(|d| place_of(plan, set, 0, &places, d) == here)
        };
        let first = tried(axis)
            .skip_while(|place| *place < places[number])
            .find(right);
        places[number] = first.unwrap_or(places[number]);
    }
    places
}

/// The scenario at these places; what is wrong is found at the place of the change.
fn resolved(
    plan: &Plan,
    set: &[(String, String, usize)],
    base: usize,
    level: usize,
    places: &[usize],
    findings: &mut Findings<'_>,
) -> Option<Scenario> {
    let run = match plan.at(0, base, level, places, first_point(plan)) {
        Ok(run) => run,
        Err(problem) => {
            let at = plan.sample.as_ref().map_or(0, |s| s.at);
            let said = Said::that(format!("a sample point cannot be put in: {problem}"));
            findings.add("T022", at, "sample", said);
            return None;
        }
    };
    let errors = match plan.scenario(&run) {
        Ok(scenario) => return Some(scenario),
        Err(errors) => errors,
    };
    for d in errors.iter().filter(|d| d.severity == Severity::Error) {
        match place_of(plan, set, level, places, d) {
            Some(at) => findings.take_over(at, d),
            None => base_is_wrong(
                plan.bases[base].template.file(),
                0,
                std::slice::from_ref(d),
                findings,
            ),
        }
    }
    None
}

/// Where the change stands that a diagnostic is about.
fn place_of(
    plan: &Plan,
    set: &[(String, String, usize)],
    level: usize,
    places: &[usize],
    d: &Diagnostic,
) -> Option<usize> {
    // The message of a change ends in "(in `path=value`)".
    let named = d
        .message
        .rsplit_once("(in `")
        .and_then(|(_, rest)| rest.split_once('='))
        .map(|(path, _)| path);
    let about = |path: &str| named == Some(path) || d.path == path;
    if d.file != "--set" && !plan.grid.iter().any(|a| about(&a.path)) {
        return None;
    }
    for (axis, &place) in plan.grid.iter().zip(places) {
        if about(&axis.path) {
            return axis.places.get(place).copied();
        }
    }
    for axis in plan.sample.iter().flat_map(|s| &s.axes) {
        if axis.paths.iter().any(|p| about(p)) {
            return Some(axis.at);
        }
    }
    if let Some(level) = plan.levels.get(level)
        && level.changes.iter().any(|(p, _)| about(p))
    {
        return Some(level.at);
    }
    set.iter().find(|(p, ..)| about(p)).map(|(_, _, at)| *at)
}

fn one_axis(
    plan: &Plan,
    set: &[(String, String, usize)],
    base: usize,
    number: usize,
    places: &[usize],
    scenario: Option<&Scenario>,
    findings: &mut Findings<'_>,
) {
    let axis = &plan.grid[number];
    let mut places = places.to_vec();
    let mut seen: Vec<(String, usize)> = Vec::new();
    let mut repeated = None;
    for place in tried(axis) {
        places[number] = place;
        let Some(found) = resolved(plan, set, base, 0, &places, findings) else {
            continue;
        };
        let text = content(&found);
        if let Some((_, other)) = seen.iter().find(|(t, _)| *t == text) {
            repeated = repeated.or(Some((place, *other)));
        }
        seen.push((text, place));
    }
    let Some(scenario) = scenario else { return };
    let Some((place, other)) = repeated else {
        if axis.values.len() > 1 {
            hidden_by_preload(&axis.path, axis.at, scenario, findings);
        }
        return;
    };
    let all_alike = seen.iter().all(|(text, _)| *text == seen[0].0);
    if all_alike && axis.values.iter().any(|v| *v != axis.values[0]) && !alike(plan, number) {
        no_effect(&axis.path, axis.at, findings);
    } else {
        let at = axis.places.get(place).copied().unwrap_or(axis.at);
        let said = Said::that("this value gives the same scenario as another one of the list")
            .found(format!("{} and {}", axis.values[other], axis.values[place]));
        findings.add("T041", at, &axis.path, said);
    }
}

/// Whether all values of an axis are one value in different words.
fn alike(plan: &Plan, number: usize) -> bool {
    let (axis, shown) = (&plan.grid[number], plan.shown[number]);
    let first = shown.cell(&axis.values[0]);
    axis.values.iter().all(|value| shown.cell(value) == first)
}

/// Says why a path does nothing, as far as that is known.
fn no_effect(path: &str, at: usize, findings: &mut Findings<'_>) {
    let said = Said::that("changing this path has no effect: every value gives the same scenario");
    let said = match row_at(path) {
        Some(row) if row.recipe => said.hint(format!(
            "it is an ingredient of computed values ({}), and the base gives those; take them out of the base, or sweep them",
            row.section()
        )),
        Some(row) if matches!(row.fallback, Fallback::Class) => {
            said.hint("another path of the study takes its place")
        }
        Some(row) if row.section() == "output" || matches!(row.path, "title" | "notes" | "site.name") => {
            said.hint("it says nothing about the impact; sweep a path that does")
        }
        _ => said.hint("another value of the base or of the study takes its place"),
    };
    findings.add("T040", at, path, said);
}

/// Beside a given preload, torque, nut factor and relaxation say nothing.
fn hidden_by_preload(path: &str, at: usize, scenario: &Scenario, findings: &mut Findings<'_>) {
    let ingredient = matches!(
        path,
        "slip_base.clamp.nut_factor" | "slip_base.clamp.relaxation"
    );
    let found = &scenario.as_found;
    let used = scenario.base.torque_nm.is_some()
        || !found.torques_nm.is_empty()
        || found.threads != giveway_scenario::model::Threads::AsDesigned;
    if ingredient && !used {
        let said = Said::that("changing this path has no effect: the preload is given")
            .hint("give `slip_base.clamp.torque` in place of `slip_base.clamp.preload`");
        findings.add("T040", at, path, said);
    }
}

/// Levels of the conditions: possible, and different from each other.
fn conditions(
    plan: &Plan,
    set: &[(String, String, usize)],
    base: usize,
    places: &[usize],
    findings: &mut Findings<'_>,
) {
    if plan.levels.is_empty() {
        return;
    }
    let bare = plan.bases[base].template.with(&borrowed(&plan.set));
    if bare.is_ok_and(|scenario| !scenario.as_found.present().is_empty()) {
        let said = Said::that(format!(
            "`{}` holds findings of its own",
            plan.bases[base].name
        ));
        findings.add("T032", plan.levels[0].at, "condition", said);
    }
    let mut seen: Vec<(String, usize)> = Vec::new();
    for number in 0..plan.levels.len() {
        let Some(scenario) = resolved(plan, set, base, number, places, findings) else {
            continue;
        };
        let text = content(&scenario);
        if let Some((_, other)) = seen.iter().find(|(t, _)| *t == text) {
            let said = Said::that(format!(
                "the levels `{}` and `{}` give the same scenario",
                plan.levels[*other].name, plan.levels[number].name
            ));
            findings.add("T041", plan.levels[number].at, "condition", said);
        }
        seen.push((text, number));
    }
}

/// Each drawn axis by itself: every one of its words, or low against high.
fn sampled(
    plan: &Plan,
    base: usize,
    places: &[usize],
    scenario: &Scenario,
    findings: &mut Findings<'_>,
) {
    let Some(sample) = &plan.sample else { return };
    let template = &plan.bases[base].template;
    let mut changes = plan.set.clone();
    if let Some(level) = plan.levels.first() {
        changes.extend(level.changes.iter().cloned());
    }
    let grid = plan.grid.iter().zip(places);
    changes.extend(grid.map(|(a, place)| (a.path.clone(), a.values[*place].clone())));
    for axis in &sample.axes {
        let values: Vec<_> = match &axis.law {
            Law::Words(words) => words
                .names()
                .iter()
                .map(|w| Ok(Value::Word(w.clone())))
                .collect(),
            Law::Numbers(_) => [0.02, 0.98].map(|place| axis.value(place)).into(),
        };
        let (mut seen, mut wrong) = (Vec::new(), false);
        for value in values {
            let mut changes = changes.clone();
            let found = value
                .map_err(|e| (e.to_string(), Vec::new()))
                .and_then(|value| {
                    let said = |list: Vec<Diagnostic>| (String::new(), list);
                    axis.change(&value, template, &mut changes).map_err(said)?;
                    template.with(&borrowed(&changes)).map_err(said)
                });
            match found {
                Ok(found) => seen.push(content(&found)),
                Err((problem, list)) => {
                    wrong = true;
                    for d in list.iter().filter(|d| d.severity == Severity::Error) {
                        findings.take_over(axis.at, d);
                    }
                    if list.is_empty() {
                        findings.add("T022", axis.at, &axis.paths[0], Said::that(problem));
                    }
                }
            }
        }
        if wrong {
            continue;
        }
        if seen.len() > 1 && seen.iter().all(|text| *text == seen[0]) {
            no_effect(&axis.paths[0], axis.at, findings);
        } else {
            hidden_by_preload(&axis.paths[0], axis.at, scenario, findings);
        }
    }
}
