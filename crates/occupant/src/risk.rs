//! All occupant numbers of one record.
//!
//! References
//! - See the modules [`crate::flail`], [`crate::thiv`], [`crate::asi`].

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::asi::{self, SeverityIndex};
use crate::flail::{FlailSpace, flail_space};
use crate::means::{AxisExtremes, VelocityGain, peaks};
use crate::motion::usable;
use crate::thiv::{HeadImpact, head_impact};
use crate::{Motion, OccupantError};

/// Distance behind the impact point at which EN 12767 takes the exit speed, m (seen).
pub const EXIT_DISTANCE_M: f64 = 12.0;

/// The occupant numbers. What the record is too short or too coarse for is absent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OccupantRisk {
    /// Length of the record, s.
    pub record_length_s: f64,
    /// Flail space: occupant impact velocity and ridedown.
    pub flail: FlailSpace,
    /// Free head with yaw: THIV and PHD.
    pub head: HeadImpact,
    /// Severity index of 50 ms means.
    pub asi_50ms_mean: Option<SeverityIndex>,
    /// Severity index of the 13 Hz filtered acceleration (2010 edition).
    pub asi_13hz_filter: Option<SeverityIndex>,
    /// Largest 50 ms means of the vehicle's acceleration.
    pub largest_50ms_mean: Option<AxisExtremes>,
    /// Largest 10 ms means of the vehicle's acceleration.
    pub largest_10ms_mean: Option<AxisExtremes>,
    /// Largest sample of the vehicle's acceleration.
    pub peak: AxisExtremes,
    /// Largest magnitude of the roll angle, rad.
    pub largest_roll_rad: Option<f64>,
    /// Largest magnitude of the pitch angle, rad.
    pub largest_pitch_rad: Option<f64>,
    /// Horizontal speed 12 m behind the impact point, m/s, if the record reaches that far. The record knows
    /// nothing of a later strike by the falling support.
    pub speed_after_12m_mps: Option<f64>,
}

/// Computes the occupant numbers of a record.
///
/// `contact_velocity_change_mps`: velocity change of the vehicle during its contact with the support or its parts,
/// longitudinal and lateral in vehicle axes, m/s, positive for a vehicle that is slowed down or pushed to the right
/// (see [`Motion::velocity_change_by_mps`]). It stands in for the occupant impact velocity where the occupant
/// reaches no surface within the record.
///
/// # Errors
/// Those of [`Motion::check`], and a `contact_velocity_change_mps` that is not finite.
pub fn assess(
    motion: &Motion,
    contact_velocity_change_mps: [f64; 2],
) -> Result<OccupantRisk, OccupantError> {
    motion.check()?;
    usable(
        "contact_velocity_change_mps",
        &contact_velocity_change_mps,
        1,
        1e6,
    )?;
    let gain = VelocityGain::new(motion.acceleration_mps2, motion.interval_s);
    let roll_pitch = motion.largest_roll_pitch_rad();
    Ok(OccupantRisk {
        record_length_s: motion.length_s(),
        flail: flail_space(motion, &gain, contact_velocity_change_mps),
        head: head_impact(motion, &gain),
        asi_50ms_mean: asi::of_means(&gain),
        asi_13hz_filter: asi::of_filtered(motion),
        largest_50ms_mean: gain.largest_means(0.050, 0.0),
        largest_10ms_mean: gain.largest_means(0.010, 0.0),
        peak: peaks(motion.acceleration_mps2, motion.interval_s),
        largest_roll_rad: roll_pitch.map(|[roll, _]| roll),
        largest_pitch_rad: roll_pitch.map(|[_, pitch]| pitch),
        speed_after_12m_mps: motion.speed_after_travel_mps(EXIT_DISTANCE_M),
    })
}
