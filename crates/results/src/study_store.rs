//! Storage of a study of many runs: nothing that was computed is lost, and how it was computed leaves no trace in the
//! table.
//!
//! A study's folder holds closed Parquet shards and a ledger. A shard is written under a temporary name, flushed, renamed
//! to its number and checksum, and then entered in the ledger, run by run, with the run's key; an entry counts when it is
//! closed by the shard's own entry. Whatever instant ends the program, the next `StudyStore::open` finds every run that was
//! acknowledged, and at most the shard in hand is missing. The ledger says quickly what is done; each shard also says it
//! for itself, so that a lost or damaged ledger is written anew from the shards.
//!
//! ```text
//! StudyCard, StudyRow --StudyStore--> shards, ledger --close--> runs.parquet, runs.csv, study.json
//! folders of parts    --merge------------------------------> runs.parquet, runs.csv, study.json
//! folders of parts    --merge_by_part----------------------> runs/FIRST-END.parquet, study.json
//! folder              --read_study-------------------------> StudyFile, RowTable by RowTable
//! ```
//!
//! The table is sorted by the index of the run, its row groups have a fixed length, and it holds no time, place or number of
//! threads: equal runs give equal bytes. Nothing here holds all rows: what is kept in memory of them is ranges of runs.

mod assemble;
mod by_part;
mod card;
mod check;
mod closing;
mod done;
mod ledger;
mod merge;
mod part;
mod read;
mod row;
mod scan;
mod shard;
mod source;
mod spans;
mod store;

pub use assemble::table_of;
pub use by_part::{PARTS_FOLDER, merge_by_part};
pub use card::{Origin, RowRange, StudyCard, StudyColumn, StudyFile, StudyStatus, TablePart};
pub use check::{TableCheck, check_tables};
pub use closing::{CSV_NAME, PARQUET_NAME, STUDY_NAME, TableForm};
pub use done::Done;
pub use ledger::look_at_ledger;
pub use merge::{MergeReport, merge, merge_as};
pub use part::part_rows;
pub use read::{Blocks, Study, read_study};
pub use row::{Cell, CellKind, RunKey, StudyRow};
pub use scan::Repairs;
pub use source::{PlanSource, ScenarioSource, read_plan};
pub use store::{Flushing, Mixing, StudyStore};

pub(crate) use card::{CardFile, FIXED_COLUMNS};
pub(crate) use scan::LOCK_NAME;

/// Rows of a row group of the closed table, and the most of a shard.
pub const BLOCK_ROWS: usize = 16_384;
