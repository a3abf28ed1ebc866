//! What a run leaves on disk: the summary, the histories and the manifest. The only crate that knows JSON,
//! Parquet and checksums; it computes no mechanics and draws nothing.
//!
//! ```text
//! Scenario, Engagement, OccupantRisk, ... --build_summary--> Summary --write_run_folder--> folder
//! StudyCard, StudyRow ... --StudyStore, merge--> folder of a study --read_study--> its table
//! folder --read_summary, read_manifest, verify_folder--> what a comparison or a rerun needs
//! folder --read_replay--> what a moving picture needs
//! ```

mod build;
mod conditions;
mod csv;
mod error;
mod finite;
mod folder;
mod manifest;
mod parquet_file;
mod poles;
mod read;
pub mod replay;
mod row_parquet;
mod row_table;
mod schemas;
mod sink;
mod study_store;
pub mod summary;
mod tables;

pub use build::{
    ENERGY_LIMIT_FRACTION, Evidence, MOMENTUM_LIMIT_FRACTION, build_summary, check_books,
    closest_check,
};
pub use conditions::{ConditionCase, ConditionFinding};
pub use error::ResultsError;
pub use finite::check_finite;
pub use folder::{FigureBytes, RunFiles, write_run_folder};
pub use manifest::{FileEntry, Manifest, Provenance, RunFacts, hash_text};
pub use poles::{PoleFiles, write_pole_folder};
pub use read::{read_manifest, read_summary, verify_folder};
pub use replay::{Replay, read_replay};
pub use row_table::{CellValues, RowColumn, RowTable};
pub use schemas::schemas;
pub use study_store::{
    BLOCK_ROWS, Blocks, Cell, CellKind, Done, MergeReport, Mixing, Origin, Repairs, RowRange,
    RunKey, Study, StudyCard, StudyColumn, StudyFile, StudyRow, StudyStatus, StudyStore, merge,
    part_rows, read_study,
};
pub use summary::Summary;
pub use tables::{history_columns, record_columns};
