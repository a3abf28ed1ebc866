//! What a run leaves on disk: the summary, the histories and the manifest. The only crate that knows JSON,
//! Parquet and checksums; it computes no mechanics and draws nothing.
//!
//! ```text
//! Scenario, Engagement, OccupantRisk, ... --build_summary--> Summary --write_run_folder--> folder
//! folder --read_summary, read_manifest, verify_folder--> what a comparison or a rerun needs
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
mod schemas;
mod sink;
pub mod summary;
mod tables;

pub use build::{
    ENERGY_LIMIT_FRACTION, Evidence, MOMENTUM_LIMIT_FRACTION, build_summary, closest_check,
};
pub use conditions::{ConditionCase, ConditionFinding};
pub use error::ResultsError;
pub use finite::check_finite;
pub use folder::{FigureBytes, RunFiles, write_run_folder};
pub use manifest::{FileEntry, Manifest, Provenance, RunFacts, hash_text};
pub use poles::{PoleColumn, PoleFiles, PoleTable, PoleValues, write_pole_folder};
pub use read::{read_manifest, read_summary, verify_folder};
pub use schemas::schemas;
pub use summary::Summary;
pub use tables::{history_columns, record_columns};
