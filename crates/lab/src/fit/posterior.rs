//! What a fit leaves.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::ask::Asked;

/// What a fit leaves: `posterior.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Posterior {
    /// Version of this layout.
    pub format: u32,
    /// Always `posterior`.
    pub kind: String,
    /// Title of the fit file.
    pub title: String,
    /// Number of draws.
    pub draws: usize,
    /// Root of the random numbers.
    pub seed: u64,
    /// Stages from prior to posterior.
    pub stages: u64,
    /// Share of moves taken at the last stage.
    pub accepted: f64,
    /// ln of the mean likelihood under the prior.
    pub log_evidence: f64,
    /// Parameters in their order.
    pub parameters: Vec<ParameterFacts>,
    /// Coefficients of correlation of the parameters (of their logarithms where they are above zero), row by row.
    pub correlation: Vec<Vec<f64>>,
    /// Pairs that the data does not tell apart.
    pub ties: Vec<Tie>,
    /// Combinations of parameters that the data determines (half of the prior's width or less), of so many.
    pub determined: [usize; 2],
    /// Measured numbers against the predictions.
    pub numbers: Vec<NumberFit>,
    /// Measured traces against the predictions.
    pub traces: Vec<TraceFit>,
    /// Each case (or datum) predicted from the others alone.
    pub left_out: Vec<CasePrediction>,
    /// Answers to the questions of the file.
    pub asked: Vec<Asked>,
    /// All of it in plain sentences.
    pub words: Vec<String>,
    /// Said with every result.
    pub caution: String,
}

/// One parameter. Quantiles 5, 25, 50, 75, 95 %, SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ParameterFacts {
    /// Column of the table of draws.
    pub column: String,
    /// Path or name.
    pub title: String,
    /// Under the prior.
    pub prior: [f64; 5],
    /// Under the posterior.
    pub posterior: [f64; 5],
    /// Interval of nine of ten over that of the prior.
    pub width_left: f64,
    /// Standard error of that for so many draws, taken as independent.
    pub width_error: f64,
    /// Mean less that of the prior, in standard deviations of the prior, on the scale on which the prior is normal.
    pub moved: f64,
    /// Standard deviation over that of the prior on that scale.
    pub deviation_left: f64,
    /// The end of the prior against which the posterior stands, if any.
    pub against: Option<PriorEnd>,
}

/// An end of a prior.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PriorEnd {
    /// The lower one.
    Lower,
    /// The upper one.
    Upper,
}

/// Two parameters that the data does not tell apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tie {
    /// Columns.
    pub columns: [String; 2],
    /// Their correlation.
    pub correlation: f64,
    /// Two places along the ridge, SI: low and high value of the second with the median of the first there.
    pub places: [[f64; 2]; 2],
    /// Exponent k of the combination first / second^k; null where one of them is not above zero.
    pub exponent: Option<f64>,
    /// Standard deviation of the logarithm of that combination, and of the first alone.
    pub spread: Option<[f64; 2]>,
    /// In words.
    pub words: String,
}

/// A measured number against its prediction, measurement and model error included.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NumberFit {
    /// What was measured.
    pub what: String,
    /// Measured value, SI.
    pub measured: f64,
    /// Standard deviation of measurement and model, SI.
    pub deviation: f64,
    /// Quantiles 5, 25, 50, 75, 95 % of the prediction, SI.
    pub predicted: [f64; 5],
    /// Whether the middle half of the prediction holds it.
    pub in_half: bool,
    /// Whether the middle nine of ten do.
    pub in_nine_tenths: bool,
}

/// A measured trace against its prediction, measurement and model error included.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TraceFit {
    /// What was measured.
    pub what: String,
    /// Column.
    pub column: String,
    /// Instants after time zero, s.
    pub time_s: Vec<f64>,
    /// Measured, SI.
    pub measured: Vec<f64>,
    /// Quantiles 5, 25, 50, 75, 95 % of the prediction at each instant, SI.
    pub predicted: Vec<[f64; 5]>,
    /// Share of the instants that lie in the middle half.
    pub share_in_half: f64,
    /// Share in the middle nine of ten.
    pub share_in_nine_tenths: f64,
    /// Quantiles 5, 25, 50, 75, 95 % of how much later the trace comes than its clock says, s; none where its time zero is certain,
    /// or where it was left out.
    pub shift_s: Option<[f64; 5]>,
    /// Standard deviation that the file states for its time zero, s.
    pub time_zero_s: f64,
}

/// A case, or a datum, predicted from the others alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CasePrediction {
    /// What was left out.
    pub what: String,
    /// Number of equal draws that the prediction is worth.
    pub effective_draws: f64,
    /// Whether it took a fit of its own; else the draws were weighted.
    pub fitted_again: bool,
    /// Its numbers.
    pub numbers: Vec<NumberFit>,
    /// Its traces.
    pub traces: Vec<TraceFit>,
}
