//! The impact: steps vehicle, support and slip joint from first touch to release. It reads no files and draws nothing.

mod base;
mod books;
mod clock;
mod contact;
mod content;
mod engage;
mod error;
mod finish;
mod flags;
pub mod flight;
mod found;
mod hinge;
mod kink;
mod long_step;
mod motion;
pub mod outcome;
mod pace;
mod prepared;
mod record;
mod request;
mod rest;
mod rollout;
mod solution;
mod state;
mod step;
mod sticking;
mod storyboard;

pub use clock::SAMPLE_S;
pub use content::content;
pub use error::ImpactError;
pub use flight::{FlightState, free_flight};
pub use found::as_found;
pub use prepared::Prepared;
pub use request::{RecordRequest, Workspace};
pub use solution::{SupportSolution, main_contact_height};
