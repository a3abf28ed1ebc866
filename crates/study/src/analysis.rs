//! What a closed study says: surfaces over two swept quantities, curves with bands, shares beyond a limit, sensitivities.
//! It reads the table of a study, runs nothing, draws nothing and writes nothing.
//!
//! ```text
//! Study --Source--> axes and one output at a time --surface, curves, exceedance, sensitivity--> Analysis
//! ```
//!
//! In memory stand the swept quantities and one output, some 8 bytes a run each (a million runs over five quantities:
//! 50 MB). Runs that failed have no value and are counted; nothing is filled in for them.

mod choice;
mod contour;
mod curves;
mod exceedance;
mod layout;
mod limit;
mod places;
mod sensitivity;
mod source;
mod surface;
mod tally;

pub use choice::{Request, analyse};
pub use contour::{Line, contour};
pub use curves::{BAND_SHARES, Curve, CurvePoint, CurveSet};
pub use exceedance::{Exceedance, ExceedancePoint, Settled};
pub use layout::{AxisInfo, Layout, Role, Sampling};
pub use limit::{ColumnLimit, Side};
pub use places::{AxisValues, Fixed};
pub use sensitivity::{Indices, IndicesFactor, Screening, ScreeningFactor};
pub use source::Source;
pub use surface::{Surface, SurfaceCell};
pub use tally::{Count, Least, Spread, Swept, Tally, tally};

use giveway_results::ResultsError;
use giveway_sampling::SamplingError;
use schemars::{JsonSchema, schema_for};
use serde::{Deserialize, Serialize};

/// Version of the layout of `analysis.json`.
pub const ANALYSIS_FORMAT: u32 = 1;

/// Why a study cannot be looked at in the way asked for.
#[derive(Debug, thiserror::Error)]
pub enum AnalysisError {
    /// The study's files.
    #[error(transparent)]
    Results(#[from] ResultsError),
    /// An estimate that cannot be made.
    #[error("{what}: {source}")]
    Sampling {
        /// Which estimate.
        what: String,
        /// Why not.
        source: SamplingError,
    },
    /// The study has no row.
    #[error("the study has no run: there is nothing to draw")]
    NoRows,
    /// Every run failed, or none has a value.
    #[error(
        "no run has a value of `{column}` ({failed} of {runs} runs failed); the column `reason` of the table says why"
    )]
    NoValue {
        /// Column.
        column: String,
        /// Runs.
        runs: u64,
        /// Runs that failed.
        failed: u64,
    },
    /// A column that is not there or cannot be used so.
    #[error("the study has no {what} `{name}`{}; it has {}", meant(.hint), .known.join(", "))]
    Unknown {
        /// "swept quantity" or "column of numbers".
        what: &'static str,
        /// As given.
        name: String,
        /// The nearest one.
        hint: Option<String>,
        /// What there is.
        known: Vec<String>,
    },
    /// An axis of one point.
    #[error("`{column}` has one value in this study: nothing can be drawn against it")]
    OnePoint {
        /// Column.
        column: String,
    },
    /// The same quantity twice.
    #[error("`{column}` is asked for on both axes; choose two different quantities")]
    SameTwice {
        /// Column.
        column: String,
    },
    /// A value that the axis does not have.
    #[error("`{column}` has no value `{value}` in this study; it has {}", .known.join(", "))]
    NoSuchPlace {
        /// Column.
        column: String,
        /// As given.
        value: String,
        /// What there is.
        known: Vec<String>,
    },
    /// Nothing could be looked at, for these reasons.
    #[error("there is nothing to draw. {}", .notes.join(" "))]
    Nothing {
        /// Why.
        notes: Vec<String>,
    },
    /// Nothing has two values.
    #[error(
        "nothing is swept in this study: no quantity has two values, so that there is nothing to draw"
    )]
    NothingSwept,
}

fn meant(hint: &Option<String>) -> String {
    hint.as_ref()
        .map_or_else(String::new, |h| format!(" (did you mean `{h}`?)"))
}

/// Everything that was looked at, as it stands in `analysis.json`. Values are SI, as in the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Analysis {
    /// Version of the layout.
    pub format: u32,
    /// Title of the study.
    pub title: String,
    /// blake3 of its resolved plan.
    pub plan_hash: String,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Rows of the table.
    pub runs: u64,
    /// Failed ones among them.
    pub failed: u64,
    /// Runs of the plan that the table lacks.
    pub missing: u64,
    /// Surfaces over two swept quantities.
    pub surfaces: Vec<Surface>,
    /// Curves against one.
    pub curves: Vec<CurveSet>,
    /// Shares of the runs beyond a limit.
    pub exceedances: Vec<Exceedance>,
    /// Screenings by trajectories.
    pub screenings: Vec<Screening>,
    /// Shares of the variance by crossed samples.
    pub indices: Vec<Indices>,
    /// What was left out, and why.
    pub notes: Vec<String>,
}

/// The schema of `analysis.json`.
pub fn schema() -> serde_json::Value {
    schema_for!(Analysis).to_value()
}
