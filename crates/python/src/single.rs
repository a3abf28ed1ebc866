//! One scenario: read it, run it, draw it, and its torque window.

use std::path::Path;

use giveway_impact::Workspace;
use giveway_occupant::CAUTION;
use giveway_results::Summary;
use giveway_scenario::{Assumption, Loaded};
use giveway_site::Profile;
use giveway_site::profile::named_in;
use giveway_study::window::{
    CaseRequest, Confidence, ConfidentWindow, Fragility, FragilityRequest, Opening, Scatter,
    TorqueWindow, cases, confident_window, curve_torques, fragility, openings, torque_window,
};
use giveway_study::{
    Computed, Direction, Supports, Wanted, compute_in, compute_with_conditions, directions,
};
use giveway_units::Dimension;
use serde::{Deserialize, Serialize};

use crate::json::{request, told};
use crate::refusal::{Refusal, data};

/// A scenario with its changes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    text: String,
    /// Name or path of the file: for messages, and a profile is looked for beside it.
    name: String,
    changes: Vec<(String, String)>,
}

impl Source {
    /// As the program reads it: what a profile sets comes before the changes.
    fn load(&self) -> Result<Loaded, Refusal> {
        let path = Path::new(&self.name);
        let (text, profile) = profile_of(path, self.text.clone())?;
        let loaded = giveway_scenario::read(&text, &self.name, &self.changes)?;
        let mut all = profile.changes(&loaded.scenario);
        if all.is_empty() {
            return Ok(loaded);
        }
        all.extend_from_slice(&self.changes);
        Ok(giveway_scenario::read(&text, &self.name, &all)?)
    }
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
struct WindowAsked {
    text: String,
    name: String,
    changes: Vec<(String, String)>,
    vehicles: Vec<String>,
    speeds: Vec<String>,
    headings: Vec<String>,
    confidence: Option<f64>,
    fragility: Option<usize>,
    realisations: u64,
    seed: u64,
    openings: bool,
    directions: Option<usize>,
}

/// The same as `window.json` of the program.
#[derive(Serialize)]
struct WindowTold {
    title: String,
    window: TorqueWindow,
    confident: Option<ConfidentWindow>,
    fragility: Vec<Fragility>,
    changes: Vec<Opening>,
    directions: Vec<Direction>,
    caution: &'static str,
}

/// The torque window of a scenario.
pub fn window(text: &str) -> Result<String, Refusal> {
    let asked: WindowAsked = request(text)?;
    let speeds_mps = quantities(&asked.speeds, Dimension::Speed)?;
    if let Some(i) = (speeds_mps.iter()).position(|v| !(*v > 0.0 && v.is_finite())) {
        let speed = &asked.speeds[i];
        return Err(Refusal::usage(&format!(
            "{speed}: a speed must be above zero"
        )));
    }
    let wanted = CaseRequest {
        classes: asked.vehicles,
        speeds_mps,
        headings_rad: quantities(&asked.headings, Dimension::Angle)?,
    };
    let source = Source {
        text: asked.text,
        name: asked.name,
        changes: asked.changes,
    };
    let loaded = source.load()?;
    let list = cases(&source.text, &source.name, &source.changes, &wanted)?;
    let design = loaded.scenario;
    let supports = Supports::new();
    let said = |e: giveway_study::StudyError| match e {
        giveway_study::StudyError::Window(_) | giveway_study::StudyError::Sampling(_) => {
            Refusal::usage(&e.to_string())
        }
        _ => Refusal::compute(&e.to_string()),
    };
    let window = torque_window(&design, &list, &supports).map_err(said)?;
    let scatter = Scatter::standard(&design).map_err(said)?;
    let confident = match asked.confidence {
        Some(level) => {
            let asked = Confidence {
                level,
                realisations: asked.realisations,
                root: asked.seed,
            };
            let found = confident_window(&design, &list, &window, &scatter, asked, &supports);
            Some(found.map_err(said)?)
        }
        None => None,
    };
    let curves = match asked.fragility {
        Some(count) => {
            let request = FragilityRequest {
                torques_nm: curve_torques(&window, count).map_err(said)?,
                realisations: asked.realisations,
                root: asked.seed,
            };
            list.iter()
                .map(|case| fragility(case, &scatter, &request, &supports))
                .collect::<Result<_, _>>()
                .map_err(said)?
        }
        None => Vec::new(),
    };
    let changes = if asked.openings || window.window_nm.is_none() {
        openings(&design, &list, &supports)
    } else {
        Vec::new()
    };
    let round = match asked.directions {
        Some(count) => directions(&design, count, &supports).map_err(said)?,
        None => Vec::new(),
    };
    told(&WindowTold {
        title: design.title.clone(),
        window,
        confident,
        fragility: curves,
        changes,
        directions: round,
        caution: CAUTION,
    })
}

fn quantities(texts: &[String], dimension: Dimension) -> Result<Vec<f64>, Refusal> {
    texts
        .iter()
        .map(|text| {
            giveway_units::parse(text, dimension)
                .map(|q| q.si)
                .map_err(|e| Refusal::usage(&format!("{text}: {e}")))
        })
        .collect()
}
