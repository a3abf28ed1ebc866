//! One module per command.

pub mod check;
pub mod draw;
pub mod explain;
pub mod export;
pub mod film;
pub mod inspect;
pub mod merge;
pub mod run;
pub mod scene;
pub mod sheet;
pub mod study;
pub mod window;
