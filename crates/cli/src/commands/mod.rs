//! One module per command.

pub mod check;
pub mod compare;
pub mod draw;
pub mod explain;
pub mod export;
pub mod film;
pub mod fit;
pub mod form;
pub mod inspect;
pub mod lesson;
pub mod merge;
pub mod note;
pub mod page;
pub mod plan;
pub mod record;
pub mod report;
pub mod rerun;
pub mod run;
pub mod scene;
pub mod seal;
pub mod sheet;
pub mod study;
pub mod window;
