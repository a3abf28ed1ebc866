//! A laboratory's record of a test, cleaned: zero level, time zero, filter, integration, centre of mass, occupant numbers.
//!
//! References
//! - SAE J211-1 and ISO 6487: channel classes (see `giveway_occupant::filter`).
//! - ISO 8855:2011: vehicle axes, x forward, y to the left, z up.

mod clean;
mod describe;
mod doubt;
mod table;
mod unmeasured;

pub(crate) use clean::velocity_change;
pub use clean::{CleanRecord, Reference, clean};
pub use describe::{Description, describe};
pub use table::{RawTable, csv_table};

use giveway_occupant::{OccupantRisk, STANDARD_GRAVITY_MPS2, SetVerdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Layout of the summary of a record.
pub const RECORD_FORMAT: u32 = 1;

/// `summary.json` of a cleaned record. What a computed run's summary holds too has the same name and place there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RecordSummary {
    /// Version of this layout.
    pub format: u32,
    /// Always `measured-record`.
    pub kind: String,
    /// Title of the description.
    pub title: String,
    /// Said with every verdict.
    pub caution: String,
    /// Verdicts of the scenario's documents, from the record alone.
    pub verdicts: Vec<SetVerdict>,
    /// Speed lost.
    pub velocity_change: MeasuredVelocity,
    /// Occupant numbers.
    pub occupant: OccupantRisk,
    /// Where the record's clock starts, and why there.
    pub time_zero: TimeZero,
    /// What the zero level leaves open.
    pub drift: Drift,
    /// The channels that were read.
    pub channels: Vec<ChannelFacts>,
    /// Sampling interval, s.
    pub interval_s: f64,
    /// What was done to the record, in order.
    pub steps: Vec<String>,
    /// What a person should look at.
    pub warnings: Vec<String>,
}

/// Speed lost along the vehicle's x axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MeasuredVelocity {
    /// At the end of contact, where the description gives it, m/s.
    pub at_contact_end_mps: Option<f64>,
    /// At the end of the record, m/s.
    pub at_engagement_end_mps: f64,
    /// Largest within the record, m/s, and when, s.
    pub largest_mps: [f64; 2],
}

/// Time zero.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TimeZero {
    /// On the clock of the file, s.
    pub file_time_s: f64,
    /// How it was found: `threshold`, `alignment` or `given`.
    pub method: String,
    /// Threshold, m/s^2; null where none was used.
    pub threshold_mps2: Option<f64>,
}

/// What an error of the zero level would do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Drift {
    /// Length of the quiet part that gave the zero level, s.
    pub quiet_s: f64,
    /// Difference of the means of its two halves, integrated over the record, m/s.
    pub by_halves_mps: f64,
    /// Standard error of the zero level (noise taken as white), integrated over the record, m/s.
    pub by_noise_mps: f64,
    /// Mean acceleration along x in the last tenth of the record, m/s^2: near zero for a vehicle that rolls on.
    pub tail_mps2: f64,
}

impl Drift {
    /// How far the velocity at the end of the record may be off, m/s.
    fn worst_mps(&self) -> f64 {
        self.by_halves_mps.abs().max(2.0 * self.by_noise_mps)
    }

    /// Whether that is small beside the velocity change.
    pub fn is_small_beside(&self, change: &MeasuredVelocity) -> bool {
        let size = change.largest_mps[0].abs().max(0.1);
        self.worst_mps() <= 0.05 * size
    }

    /// Whether the record ends near zero acceleration, as of a vehicle that rolls on.
    pub fn ends_at_zero(&self) -> bool {
        self.tail_mps2.abs() <= 0.05 * STANDARD_GRAVITY_MPS2
    }
}

/// One channel as read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChannelFacts {
    /// Name in the file.
    pub column: String,
    /// What it measures.
    pub measures: String,
    /// Zero level that was taken off, SI.
    pub zero_level: f64,
    /// Standard deviation in the quiet part as read, SI.
    pub quiet_deviation: f64,
    /// Samples at the end of the range.
    pub clipped_samples: usize,
}
