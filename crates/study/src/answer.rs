//! All that is said of the torques of one base at once: the window, and what was asked beside it.

use giveway_occupant::CAUTION;
use giveway_scenario::model::Scenario;
use serde::Serialize;

use crate::directions::{Direction, directions};
use crate::error::StudyError;
use crate::supports::Supports;
use crate::window::{
    Confidence, ConfidentWindow, Criteria, Fragility, FragilityRequest, ImpactCase, Nearest,
    Opening, Row, Scatter, TorqueWindow, confident_window, curve_torques, fragility,
    nearest_torque, openings, table, torque_window,
};

/// What is asked beside the window itself.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowAsked {
    /// The window that holds with this probability.
    pub confidence: Option<f64>,
    /// At so many torques, how likely each impact fails.
    pub fragility: Option<usize>,
    /// Realisations of the scatter.
    pub realisations: u64,
    /// Their seed.
    pub seed: u64,
    /// What would open the window, also where there is one.
    pub openings: bool,
    /// Resistance and velocity change in so many directions.
    pub directions: Option<usize>,
}

/// The answer.
#[derive(Debug, Clone, Serialize)]
pub struct WindowAnswer {
    /// Of the scenario.
    pub title: String,
    /// Version of the model.
    pub model_version: u32,
    /// What decides whether an impact is passed.
    pub criteria: Criteria,
    /// The window.
    pub window: TorqueWindow,
    /// Everything that asks something of the torque, a row each.
    pub table: Vec<Row>,
    /// Where there is no window: the torque that comes nearest to one, and what it misses.
    pub nearest: Option<Nearest>,
    /// The window under scatter, where it was asked for.
    pub confident: Option<ConfidentWindow>,
    /// Curves, one for each impact.
    pub fragility: Vec<Fragility>,
    /// What would open the window.
    pub changes: Vec<Opening>,
    /// Directions.
    pub directions: Vec<Direction>,
    /// What an estimate is worth.
    pub caution: &'static str,
}

/// Answers for these impacts.
///
/// # Errors
/// What could not be computed, or asks for nothing that can be.
pub fn window_answer(
    design: &Scenario,
    cases: &[ImpactCase],
    asked: &WindowAsked,
) -> Result<WindowAnswer, StudyError> {
    let supports = Supports::new();
    let window = torque_window(design, cases, &supports)?;
    let table = table(design, cases, &window, &supports)?;
    let nearest = match window.window_nm {
        Some(_) => None,
        None => Some(nearest_torque(design, cases, &window, &table, &supports)?),
    };
    let scatter = Scatter::standard(design)?;
    let confident = match asked.confidence {
        Some(level) => {
            let asked = Confidence {
                level,
                realisations: asked.realisations,
                root: asked.seed,
            };
            Some(confident_window(
                design, cases, &window, &scatter, asked, &supports,
            )?)
        }
        None => None,
    };
    let curves = match asked.fragility {
        Some(count) => {
            let request = FragilityRequest {
                torques_nm: curve_torques(&window, count)?,
                realisations: asked.realisations,
                root: asked.seed,
            };
            cases
                .iter()
                .map(|case| fragility(case, &scatter, &request, &supports))
                .collect::<Result<_, _>>()?
        }
        None => Vec::new(),
    };
    let changes = if asked.openings || window.window_nm.is_none() {
        openings(design, cases, &supports)
    } else {
        Vec::new()
    };
    let round = match asked.directions {
        Some(count) => directions(design, count, &supports)?,
        None => Vec::new(),
    };
    Ok(WindowAnswer {
        title: design.title.clone(),
        model_version: giveway_mechanics::MODEL_VERSION,
        criteria: cases.first().map_or(Criteria::Blow, |c| c.criteria),
        window,
        table,
        nearest,
        confident,
        fragility: curves,
        changes,
        directions: round,
        caution: CAUTION,
    })
}
