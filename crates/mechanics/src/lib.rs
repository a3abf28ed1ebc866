//! Mechanics of the struck pole: tubes, beams and modes, slip joint, crush, wheels, wind and retention.
//!
//! Pure functions on plain data: no files, no clock, no random numbers, no contact engine. SI throughout.

pub mod attitude;
pub mod beam;
pub mod clamp;
pub mod crush;
pub mod erection;
pub mod faults;
pub mod joint;
mod lanes;
pub mod modes;
pub mod obstacle;
pub mod retention;
pub mod service;
pub mod side_body;
pub mod slip_resistance;
pub mod strength;
pub mod support;
pub mod tube;
pub mod wheel;
pub mod wind;

/// Version of the model's arithmetic. It is raised exactly when numbers move.
pub const MODEL_VERSION: u32 = 11;
