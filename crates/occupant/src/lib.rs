//! Occupant risk: from the motion of a vehicle to the numbers that the testing documents ask for, and to
//! the verdict of each document. It integrates no vehicle, reads no files and knows no clock.
//!
//! ```text
//! Motion --assess--> OccupantRisk --judge--> SetVerdict, one per criteria set
//!            |
//!            +-- flail     flail-space model: impact velocity, ridedown
//!            +-- thiv      free head with yaw: THIV, PHD
//!            +-- asi       acceleration severity index
//!            +-- means     running means, exact for piecewise constant acceleration
//!            +-- filter    channel classes and phaseless Butterworth filters
//! ```
//!
//! Vehicle axes: x forward, y to the left, z up. Accelerations given in g use [`STANDARD_GRAVITY_MPS2`]
//! whatever the site's gravity is. Apart from this chain, [`trace_scores`] compares a computed with a
//! measured trace.
//!
//! Marks in the comments tell where a number comes from: *seen* in a text of the source or of a text that
//! quotes it, *recalled* from memory, *derived* here from a formula.

pub mod asi;
pub mod en12767;
pub mod error;
pub mod filter;
pub mod flail;
pub mod judge;
pub mod limits;
pub mod means;
pub mod motion;
pub mod risk;
pub mod thiv;
pub mod trace_scores;
pub mod verdict;

pub use error::OccupantError;
pub use judge::{Estimate, Inputs, MotionRanges, judge};
pub use motion::Motion;
pub use risk::{OccupantRisk, assess};
pub use verdict::{Blow, CAUTION, Check, DentRemark, Mark, Outcome, SetVerdict};

/// Standard gravity g_n, m/s^2: the unit "g" of every acceleration reported here.
pub const STANDARD_GRAVITY_MPS2: f64 = 9.80665;

/// Kilometres per hour in one metre per second.
pub const KMPH_PER_MPS: f64 = 3.6;
