//! The impact: steps vehicle, support and slip joint from first touch to release. It reads no files and draws nothing.

mod base;
mod contact;
mod engine;
mod error;
mod finish;
mod flags;
pub mod flight;
mod found;
mod hinge;
mod motion;
pub mod outcome;
mod prepared;
mod record;
mod rest;
mod rollout;
mod solution;
mod storyboard;

pub use error::ImpactError;
pub use flight::{FlightState, free_flight};
pub use found::as_found;
pub use prepared::{Prepared, RecordRequest, SAMPLE_S};
pub use record::Workspace;
pub use solution::{SupportSolution, main_contact_height};
