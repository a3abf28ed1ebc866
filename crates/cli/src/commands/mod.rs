//! One module per command.

pub mod check;
pub mod explain;
pub mod export;
pub mod run;
