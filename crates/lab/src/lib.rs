//! The laboratory: a measured record cleaned and judged, parameters fitted to what was measured, the next test chosen. It
//! computes no mechanics of its own, writes no files, draws nothing and knows no clock.
//!
//! ```text
//! description + laboratory's table --record::clean--> CleanRecord   evenly sampled, at the centre of mass, judged
//! priors + data --fit::Fit--> Cloud --fit::Fit::told--> Posterior     draws, intervals, what the data does not tell
//! priors + tests in print --shared::calibrate--> SharedPosterior   what all runs share
//! priors or draws + candidates --next_test::NextTest--> Choice       gain of information, alone and in pairs
//! ```

mod codes;
mod fault;
pub mod fit;
pub mod next_test;
mod quantity;
pub mod record;
mod schemas;
pub mod shared;
mod statistics;

pub use codes::{all_codes, explain};
pub use fault::{Fault, Faults};
pub use quantity::{QUANTITIES, Quantity};
pub use schemas::schemas;
