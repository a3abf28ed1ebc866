//! `giveway export`: the resolved scenario in SI as JSON, for another program.
//!
//! The object is the scenario itself with one more member, `joint`, which holds the stiffnesses of one bolt
//! and of the stack that it clamps. They follow from the geometry where the scenario does not give them.

use serde_json::{Value, json};

use giveway_impact::{FlightState, Prepared, free_flight};
use giveway_mechanics::clamp::ClampProperties;
use giveway_scenario::model::Scenario;

use crate::arguments::Export;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::terminal::{complain, ended};

/// Prints the object.
pub fn export(arguments: &Export) -> Exit {
    ended(told(arguments), false)
}

fn told(arguments: &Export) -> Result<String, Refusal> {
    let file = &arguments.file;
    let accepted = input::load(file, &arguments.set)?;
    complain(&accepted.warnings);
    let scenario = &accepted.loaded.scenario;
    let value = if arguments.flight {
        flight(scenario)
    } else {
        object(scenario)
    };
    output::json(&value.or_refuse(Exit::Compute, file)?, file)
}

/// Velocity of the flight, m/s, and its spin, rad/s, in site axes: about what a struck pole has when it comes free.
const FLIGHT_VELOCITY_MPS: [f64; 3] = [6.0, 0.0, 1.0];
const FLIGHT_SPIN_RADPS: [f64; 3] = [0.4, 2.0, 0.7];
/// How long the flight lasts, s: until about the time that the pole lies on the ground.
const FLIGHT_S: f64 = 0.8;
/// Step of the flight's attitude, s.
const FLIGHT_STEP_S: f64 = 5e-5;

fn flight(scenario: &Scenario) -> Result<Value, String> {
    let prepared = Prepared::new(scenario).map_err(|e| e.to_string())?;
    let initial = FlightState::upright(&prepared, FLIGHT_VELOCITY_MPS, FLIGHT_SPIN_RADPS);
    let end =
        free_flight(&prepared, &initial, FLIGHT_S, FLIGHT_STEP_S).map_err(|e| e.to_string())?;
    let state = |s: &FlightState| {
        json!({
            "position_m": s.position_m,
            "velocity_mps": s.velocity_mps,
            "rotation": s.rotation,
            "angular_velocity_radps": s.angular_velocity_radps,
        })
    };
    Ok(json!({
        "duration_s": FLIGHT_S,
        "step_s": FLIGHT_STEP_S,
        "initial": state(&initial),
        "final": state(&end),
    }))
}

fn object(scenario: &Scenario) -> Result<Value, String> {
    let mut value = serde_json::to_value(scenario).map_err(|e| e.to_string())?;
    let joint = joint(scenario)?;
    if let Value::Object(members) = &mut value {
        members.insert("joint".into(), joint);
    }
    Ok(value)
}

/// Stiffnesses and preload of one bolt as the joint uses them.
fn joint(scenario: &Scenario) -> Result<Value, String> {
    let clamp = ClampProperties::from_base(&scenario.base).map_err(|e| e.to_string())?;
    Ok(json!({
        "bolt_stiffness_npm": clamp.bolt_stiffness_npm,
        "clamp_stiffness_npm": clamp.clamp_stiffness_npm,
        "preload_n": clamp.preload_n,
    }))
}
