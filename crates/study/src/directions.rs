//! One base struck from all sides: what it opposes to a slow push and what it does to a vehicle, against the direction of travel.

use std::f64::consts::PI;

use giveway_mechanics::slip_resistance::{SlipResistance, slip_resistance};
use giveway_scenario::model::{Anchorage, Scenario};
use rayon::prelude::*;
use serde::Serialize;

use crate::error::StudyError;
use crate::numbers::Numbers;
use crate::pass::numbers;
use crate::supports::Supports;

/// One direction of travel.
#[derive(Debug, Clone, Serialize)]
pub struct Direction {
    /// Direction of travel in the site frame, rad.
    pub heading_rad: f64,
    /// What the clamped bolts oppose to a slow push that way.
    pub resistance: SlipResistance,
    /// The impact; none where it could not be computed.
    pub numbers: Option<Numbers>,
    /// Why it could not be computed.
    pub error: Option<String>,
}

/// Strikes a scenario's base from `count` directions, evenly round from 0; the vehicle travels straight ahead and meets the pole
/// where the scenario says.
///
/// # Errors
/// A fixed obstacle, no direction, a base without meaning.
pub fn directions(
    scenario: &Scenario,
    count: usize,
    supports: &Supports,
) -> Result<Vec<Direction>, StudyError> {
    if scenario.base.anchorage == Anchorage::Fixed || count == 0 {
        return Err(StudyError::Window(
            "directions need a slip base and at least one direction".into(),
        ));
    }
    let own = supports.prepare(scenario)?;
    let base = &own.scenario().base;
    (0..count)
        .into_par_iter()
        .map(|i| {
            let heading = 2.0 * PI * i as f64 / count as f64;
            let resistance = slip_resistance(base, heading)?;
            let mut s = scenario.clone();
            s.impact.heading_rad = heading;
            s.impact.velocity_direction_rad = heading;
            let run = || -> Result<Numbers, StudyError> { numbers(&supports.prepare(&s)?) };
            let (found, error) = match run() {
                Ok(found) => (Some(found), None),
                Err(error) => (None, Some(error.to_string())),
            };
            Ok(Direction {
                heading_rad: heading,
                resistance,
                numbers: found,
                error,
            })
        })
        .collect()
}
