//! Numbers that all runs share, as tests in print leave them: the stored posterior, and what a draw of it changes in a
//! scenario. `giveway_lab::shared` makes it; docs/validation.md tells how.

use giveway_scenario::model::{Anchorage, Scenario, StruckFace};
use serde::{Deserialize, Serialize};

/// Sliding friction of the inner faces by default: the rounded median of `sliding-friction`.
const DEFAULT_SLIDING: f64 = 0.12;
/// Static over sliding friction by default: the rounded median of `static-over-sliding`.
const DEFAULT_STATIC_RATIO: f64 = 1.5;
/// Elastic length of the plates over their lever by default: the rounded median of `plate-lever`.
const DEFAULT_LEVER: f64 = 1.0;
/// Static friction by default: outer, inner, wall.
pub const DEFAULT_FRICTION: [f64; 3] = [0.20, 0.18, 0.15];

/// Factors on what a scenario has.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Factors {
    /// On every friction of the base, static and sliding.
    pub friction: f64,
    /// On the sliding frictions besides.
    pub sliding: f64,
    /// On the preload, the torque staying: the nut factor is divided by it.
    pub clamp: f64,
    /// On the length over which the plates bend.
    pub lever: f64,
    /// On the forces of the struck face.
    pub front: f64,
}

impl Factors {
    /// Nothing changes.
    pub const NONE: Self = Self {
        friction: 1.0,
        sliding: 1.0,
        clamp: 1.0,
        lever: 1.0,
        front: 1.0,
    };

    /// The scenario with these factors.
    pub fn applied(&self, scenario: &Scenario) -> Scenario {
        let mut s = scenario.clone();
        if s.base.anchorage == Anchorage::Slip {
            let base = &mut s.base;
            for friction in [
                &mut base.friction_outer,
                &mut base.friction_inner,
                &mut base.friction_wall,
                &mut base.sliding_outer,
                &mut base.sliding_inner,
                &mut base.sliding_wall,
            ] {
                *friction *= self.friction;
            }
            for sliding in [
                &mut base.sliding_outer,
                &mut base.sliding_inner,
                &mut base.sliding_wall,
            ] {
                *sliding *= self.sliding;
            }
            base.preload_n *= self.clamp;
            base.nut_factor /= self.clamp;
            base.plate_give *= self.lever;
        }
        let face = match s.impact.face {
            StruckFace::Front => &mut s.vehicle.front,
            StruckFace::LeftSide | StruckFace::RightSide => &mut s.vehicle.side,
        };
        for band in &mut face.bands {
            band.unloading_npm *= self.front;
            for (_, force) in &mut band.crush_curve {
                *force *= self.front;
            }
        }
        s
    }
}

/// What a parameter moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Acts {
    /// Sliding friction of a typical base's inner faces; all frictions keep their ratios.
    Friction,
    /// Standard deviation of the logarithm of the friction between bases.
    FrictionSpread,
    /// Static over sliding friction of every face; the sliding one stays.
    StaticRatio,
    /// Factor on the length over which the plates bend.
    PlateLever,
    /// Factor on the forces of a face.
    Front,
    /// Standard deviation of the logarithm of measured over computed, of one kind of quantity.
    ModelError,
}

impl Acts {
    /// What runs have by default: a drawn value acts as its ratio to this.
    pub fn default(self) -> f64 {
        match self {
            Self::Friction => DEFAULT_SLIDING,
            Self::StaticRatio => DEFAULT_STATIC_RATIO,
            Self::PlateLever => DEFAULT_LEVER,
            Self::FrictionSpread | Self::Front | Self::ModelError => 1.0,
        }
    }
}

/// The stored result.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedPosterior {
    /// Version of the model that gave it.
    pub model_version: u32,
    /// Date at which rows and priors were written down.
    pub chosen: String,
    /// Runs behind the responses.
    pub runs: usize,
    /// ln of the evidence.
    pub log_evidence: f64,
    /// Spread of the nut factor's logarithm, as assumed.
    pub nut_spread: f64,
    /// Parameters.
    pub parameters: Vec<SharedParameter>,
    /// Rows of evidence.
    pub rows: Vec<SharedRow>,
    /// Rows with a measured number that count, and how many of them lie in the middle half and in nine of ten when their case is left out.
    pub coverage: [usize; 3],
    /// Draws of the posterior, values in the order of the parameters.
    pub draws: Vec<Vec<f64>>,
}

/// A shared parameter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedParameter {
    /// Name.
    pub name: String,
    /// What it moves.
    pub acts: Acts,
    /// Prior: median and standard deviation of the logarithm.
    pub prior: [f64; 2],
    /// Prior quantiles 5 and 95 %.
    pub prior_range: [f64; 2],
    /// Posterior quantiles 5, 25, 50, 75, 95 %.
    pub quantiles: [f64; 5],
    /// Posterior median from the prior's, in prior standard deviations of the logarithm.
    pub moved: f64,
    /// Width of the posterior over that of the prior, of nine of ten, in logarithms.
    pub kept: f64,
    /// What runs had by default when it was fitted.
    pub present: f64,
    /// Share of the posterior below it.
    pub below_present: f64,
    /// Why this prior.
    pub why: String,
}

/// A row of evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedRow {
    /// Name.
    pub id: String,
    /// Its case: all rows of one are left out together.
    pub case: String,
    /// Whether it counts.
    pub counted: bool,
    /// What is in print.
    pub says: String,
    /// The measured number, where there is one.
    pub measured: Option<f64>,
    /// What runs give at present.
    pub at_present: f64,
    /// Quantiles 5, 25, 50, 75, 95 % of the measured number, its case left out.
    pub predicted: [f64; 5],
    /// Probability, its case left out, of a smaller number than measured; of what is in print where that is no number.
    pub probability: f64,
    /// Standard deviation of the logarithm of the response from the grid against runs between its points.
    pub grid_error: f64,
    /// Why this reading.
    pub why: String,
}

/// The posterior that is shipped.
///
/// # Panics
/// Never: a test reads it.
pub fn stored() -> Option<&'static SharedPosterior> {
    use std::sync::OnceLock;
    static READ: OnceLock<Option<SharedPosterior>> = OnceLock::new();
    READ.get_or_init(|| serde_json::from_str(include_str!("../assets/shared.json")).ok())
        .as_ref()
}
