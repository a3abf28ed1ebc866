//! Whole runs and comparisons of runs: one scenario through impact, retention, occupant numbers, verdicts and
//! summary; the same without histories for many runs; and what each installation condition does to an impact.
//! It computes no mechanics of its own, reads and writes no files, draws nothing and knows no clock.
//!
//! ```text
//! Scenario --compute-------------------> Engagement, Summary     everything that a results folder holds
//! Scenario --compute_in----------------> the same on supports and in memory that are shared between runs
//! Scenario --Supports::prepare--> Prepared --numbers--> Numbers  the same digits without histories
//!                                    --brief_numbers> BriefNumbers      of these the fewest, for very many runs
//! Scenario --compare_conditions--------> Counterfactuals         as found, put right one by one, one alone
//! Study (its table) --analysis::analyse-> Analysis               surfaces, curves with bands, shares, sensitivities
//! ```

pub mod analysis;
mod answer;
mod brief;
mod counterfactual;
mod directions;
mod error;
pub mod execute;
mod governing;
mod motion;
mod numbers;
mod pass;
pub mod plan;
mod predictive;
mod sentence;
pub mod shared;
mod supports;
pub mod window;

pub use answer::{WindowAnswer, WindowAsked, window_answer};
pub use brief::{BriefNumbers, BriefWorkspace, brief_numbers, engagement_numbers};
pub use counterfactual::{Counterfactuals, compare_conditions};
pub use directions::{Direction, directions};
pub use error::StudyError;
pub use governing::{GoverningTest, governing, with_vehicle};
pub use numbers::{Numbers, ShortVerdict};
pub use pass::{
    Computed, Wanted, compute, compute_in, compute_with_conditions, numbers, numbers_in,
};
pub use supports::Supports;
