//! One scenario: read it, run it, draw it, and its torque window.

use std::path::Path;

use giveway_impact::Workspace;
use giveway_results::Summary;
use giveway_scenario::{Assumption, Loaded};
use giveway_site::Profile;
use giveway_site::profile::named_in;
use giveway_study::window::{CaseWords, cases, passed_over};
use giveway_study::{
    Computed, StudyError, Supports, Wanted, WindowAsked, compute_in, compute_with_conditions,
    window_answer,
};
use serde::{Deserialize, Serialize};

use crate::json::{request, told};
use crate::refusal::{Refusal, data};

/// A scenario with its changes, or another file that names one.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub text: String,
    /// Name or path of the file: for messages, and what it names is looked for beside it.
    pub name: String,
    pub changes: Vec<(String, String)>,
}

/// A scenario as it was read.
pub struct Read {
    pub loaded: Loaded,
    /// The text without the name of a profile, and all that is changed in it.
    pub text: String,
    pub changes: Vec<(String, String)>,
}

impl Source {
    fn load(&self) -> Result<Loaded, Refusal> {
        Ok(scenario(&self.name, self.text.clone(), &self.changes)?.loaded)
    }
}

/// Reads a scenario as the program does: what a profile sets comes before the changes.
pub fn scenario(name: &str, text: String, changes: &[(String, String)]) -> Result<Read, Refusal> {
    let (text, profile) = profile_of(Path::new(name), text)?;
    let (loaded, changes) = profile.read_scenario(&text, name, changes)?;
    Ok(Read {
        loaded,
        text,
        changes,
    })
}

/// The profile that a scenario names, beside its file, and the scenario without that name.
pub fn profile_of(path: &Path, text: String) -> Result<(String, Profile), Refusal> {
    let Some((own, rest)) = named_in(&text) else {
        return Ok((text, Profile::trade()));
    };
    let file = path.parent().unwrap_or(Path::new("")).join(own);
    let profile = text_of(&file)?;
    Ok((rest, Profile::read(&profile, &file.display().to_string())?))
}

/// A text file.
pub fn text_of(path: &Path) -> Result<String, Refusal> {
    std::fs::read_to_string(path).map_err(|e| Refusal::io(path, &format!("cannot be read: {e}")))
}

#[derive(Serialize)]
struct ReadTold<'a> {
    text: &'a str,
    warnings: Vec<serde_json::Value>,
    assumptions: &'a [Assumption],
}

/// Reads a scenario: the text with nothing left out, warnings, and what was assumed.
pub fn read(text: &str) -> Result<String, Refusal> {
    let loaded = request::<Source>(text)?.load()?;
    told(&ReadTold {
        text: &loaded.resolved_text,
        warnings: loaded.warnings.iter().map(data).collect(),
        assumptions: &loaded.assumptions,
    })
}

#[derive(Serialize)]
struct RunTold<'a> {
    summary: &'a Summary,
    headline: String,
    text: &'a str,
    warnings: Vec<serde_json::Value>,
}

/// Computes a scenario: all that the program's summary holds.
pub fn run(text: &str) -> Result<String, Refusal> {
    let loaded = request::<Source>(text)?.load()?;
    let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
        .map_err(|e| Refusal::compute(&e.to_string()))?;
    giveway_results::check_finite("summary", &computed.summary)?;
    told(&RunTold {
        summary: &computed.summary,
        headline: giveway_report::headline(&computed.summary),
        text: &loaded.resolved_text,
        warnings: loaded.warnings.iter().map(data).collect(),
    })
}

#[derive(Serialize)]
struct PictureTold {
    svg: String,
    alt: String,
}

/// Computes a scenario once more with its instants, and draws them.
pub fn picture(text: &str) -> Result<String, Refusal> {
    let loaded = request::<Source>(text)?.load()?;
    let wanted = Wanted {
        histories: true,
        conditions: false,
        ranges: false,
        ..Wanted::folder(&loaded.scenario, loaded.assumptions.len())
    };
    let Computed {
        engagement,
        summary,
    } = compute_in(
        &loaded.scenario,
        &Supports::new(),
        &mut Workspace::new(),
        wanted,
    )
    .map_err(|e| Refusal::compute(&e.to_string()))?;
    let figure = giveway_report::draw_storyboard(&loaded.scenario, &engagement, &summary)
        .map_err(|e| Refusal::compute(&e.to_string()))?;
    told(&PictureTold {
        svg: figure.svg,
        alt: figure.alt_text,
    })
}

/// What is asked of a window, as at the command line.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WindowCall {
    text: String,
    name: String,
    changes: Vec<(String, String)>,
    impacts: CaseWords,
    confidence: Option<f64>,
    fragility: Option<usize>,
    realisations: u64,
    seed: u64,
    openings: bool,
    directions: Option<usize>,
}

/// The torque window of a scenario.
pub fn window(text: &str) -> Result<String, Refusal> {
    let asked: WindowCall = request(text)?;
    let wanted = asked.impacts.read().map_err(|e| Refusal::usage(&e))?;
    let read = scenario(&asked.name, asked.text, &asked.changes)?;
    let list = cases(&read.text, &asked.name, &read.changes, &wanted)?;
    if let Some(problem) = passed_over(&asked.changes, &read.loaded.scenario, &list) {
        return Err(Refusal::usage(&problem));
    }
    let asked = WindowAsked {
        confidence: asked.confidence,
        fragility: asked.fragility,
        realisations: asked.realisations,
        seed: asked.seed,
        openings: asked.openings,
        directions: asked.directions,
    };
    let answer = window_answer(&read.loaded.scenario, &list, &asked);
    told(&answer.map_err(|e| match e {
        StudyError::Window(_) | StudyError::Sampling(_) => Refusal::usage(&e.to_string()),
        _ => Refusal::compute(&e.to_string()),
    })?)
}
