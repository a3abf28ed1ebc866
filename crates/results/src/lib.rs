//! What a run leaves on disk: the summary, the histories and the manifest. The only crate that knows JSON,
//! Parquet and checksums; it computes no mechanics and draws nothing.
//!
//! ```text
//! Scenario, Engagement, OccupantRisk, ... --build_summary--> Summary --write_run_folder--> folder
//! StudyCard, StudyRow ... --StudyStore, merge--> folder of a study --read_study--> its table
//! folder --read_replay--> what a moving picture needs
//! folder --examine, read_summary, read_history, file_difference--> what a comparison or a rerun needs
//! folder --add_note, read_notes--> what a reviewer says of it, beside the results
//! ```

mod build;
pub mod comparison;
mod conditions;
mod contents;
mod csv;
mod difference;
mod disk;
mod error;
mod examine;
mod file_names;
mod finite;
mod folder;
pub mod grades;
mod hold;
mod json_tree;
mod lab_folder;
mod manifest;
mod notes;
mod number_table;
mod parquet_file;
mod poles;
mod read;
pub mod replay;
mod rerun;
mod row_parquet;
mod row_table;
mod schemas;
mod seal;
mod sink;
mod study_store;
pub mod summary;
mod tables;
mod under_way;

pub use build::{
    ENERGY_LIMIT_FRACTION, Evidence, MOMENTUM_LIMIT_FRACTION, build_summary, check_books,
    closest_check,
};
pub use conditions::{ConditionCase, ConditionFinding};
pub use contents::{DrawnHistory, FigureText, RunContents, check_replay, read_contents};
pub use difference::{Difference, file_difference};
pub use disk::FigureBytes;
pub use error::ResultsError;
pub use examine::{Examined, FileState, FolderFault, FolderKind, examine};
pub use file_names::{NOTES_NAME, is_seal};
pub use finite::check_finite;
pub use folder::{
    RunFiles, hold_to_replace, may_be_written, write_held_run_folder, write_run_folder,
};
pub use hold::FolderHold;
pub use json_tree::{JsonTree, Leaf, TreeDifference};
pub use lab_folder::{LabFiles, LabTable, write_lab_folder};
pub use manifest::{FileEntry, Manifest, Provenance, RunFacts, hash_text};
pub use notes::{
    LONGEST_NAME, LONGEST_TEXT, MOST_NOTES, ReviewNote, ReviewNotes, add_note, day_of, read_notes,
};
pub use number_table::{NumberTable, read_history, read_vehicle_record};
pub use poles::{PoleFiles, write_pole_folder};
pub use read::{as_written, read_manifest, read_summary, verify_folder};
pub use replay::{Replay, read_replay};
pub use rerun::{Recomputed, RerunFile, RerunReport, RerunVerdict, RowSample, reasons};
pub use row_table::{CellValues, RowColumn, RowTable};
pub use schemas::schemas;
pub use seal::{
    MOST_SEALS, SEAL_NAMESPACE, Seal, SealState, Signers, add_seal, anchor, read_key, read_seals,
};
pub use study_store::{
    BLOCK_ROWS, Blocks, CSV_NAME, Cell, CellKind, Done, Flushing, MergeReport, Mixing, Origin,
    PARQUET_NAME, PARTS_FOLDER, PlanSource, Repairs, RowRange, RunKey, STUDY_NAME, ScenarioSource,
    Study, StudyCard, StudyColumn, StudyFile, StudyRow, StudyStatus, StudyStore, TableCheck,
    TableForm, TablePart, check_tables, look_at_ledger, merge, merge_as, merge_by_part, part_rows,
    read_plan, read_study, table_of,
};
pub use summary::Summary;
pub use tables::{history_columns, record_columns};
pub use under_way::{UnderWay, give_up};
