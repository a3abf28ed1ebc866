//! Old results against new: which inputs differ, which outputs moved and by how much, how alike the traces are. It reads
//! folders and returns data; it computes no impact and draws nothing.

mod inputs;
mod outputs;
mod runs;
mod studies;
mod tolerance;
mod traces;

pub use inputs::InputChange;
pub use outputs::{NumberChange, WordChange};
pub use runs::{RunComparison, compare_runs};
pub use studies::{ColumnChange, StudyComparison, WordCount, compare_studies};
pub use tolerance::{Tolerances, Width};
pub use traces::{ComparedTrace, TableChange, TraceComparison, TracePair, compare_traces};
