//! An invented study whose rows follow from their index alone.
#![allow(dead_code)]

use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_results::{
    Cell, CellKind, Mixing, RunFacts, RunKey, StudyCard, StudyColumn, StudyFile, StudyRow,
    StudyStore,
};

/// A folder of its own for one test, removed at its end.
pub struct Place(pub PathBuf);

impl Place {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("giveway-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Place(fs::canonicalize(path).unwrap())
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

pub fn card(planned_rows: u64, slice: Range<u64>) -> StudyCard {
    let column = |name: &str, meaning: &str, kind| StudyColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        kind,
    };
    StudyCard {
        title: "Speeds on the ring road of Harrow Vale".to_owned(),
        plan_hash: "00".repeat(32),
        model_version: 7,
        summary_format: 3,
        planned_rows,
        first: slice.start,
        end: slice.end,
        columns: vec![
            column("speed_mps", "speed of the vehicle", CellKind::Number),
            column("velocity_change_mps", "speed lost", CellKind::Number),
            column("bolts_left", "bolts still clamped", CellKind::Count),
            column("ending", "how it ended", CellKind::Text),
            column("stands_in_wind", "whether it stands", CellKind::Flag),
            column("reason", "why there is no result", CellKind::Text),
        ],
    }
}

pub fn key(index: u64) -> RunKey {
    RunKey::of(&format!("speed = {index}"), 7)
}

/// Every 17th run fails, every 5th has no velocity change.
pub fn row(index: u64) -> StudyRow {
    let failed = index % 17 == 3;
    let x = index as f64;
    let there = |cell: Cell, absent: Cell| if failed { absent } else { cell };
    let change = (!index.is_multiple_of(5)).then_some(1.0 / (x + 0.3));
    StudyRow {
        index,
        key: key(index),
        failed,
        cells: vec![
            Cell::Number(Some(8.0 + x / 7.0)),
            there(Cell::Number(change), Cell::Number(None)),
            there(Cell::Count(Some((index % 4) as i64)), Cell::Count(None)),
            there(
                Cell::Text(Some(
                    ["released", "held, \"by one\""][(index % 2) as usize].to_owned(),
                )),
                Cell::Text(None),
            ),
            there(Cell::Flag(Some(index.is_multiple_of(3))), Cell::Flag(None)),
            Cell::Text(failed.then(|| format!("a book of run {index} did not close"))),
        ],
    }
}

pub fn rows(indices: impl IntoIterator<Item = u64>) -> Vec<StudyRow> {
    indices.into_iter().map(row).collect()
}

pub fn facts() -> RunFacts {
    RunFacts {
        started: SystemTime::now(),
        threads: 2,
        features: Vec::new(),
    }
}

pub fn open(folder: &Path, card: &StudyCard) -> StudyStore {
    StudyStore::open(folder, card, Mixing::Refuse).unwrap()
}

/// Missing runs in shards of this length.
pub fn missing_shards(store: &StudyStore, length: usize) -> Vec<Vec<u64>> {
    let missing: Vec<u64> = store.done().gaps().into_iter().flatten().collect();
    missing.chunks(length).map(<[u64]>::to_vec).collect()
}

/// Computes whatever is missing and closes.
pub fn finish(folder: &Path, card: &StudyCard, length: usize) -> StudyFile {
    let mut store = open(folder, card);
    for shard in missing_shards(&store, length) {
        store.append_shard(&rows(shard)).unwrap();
    }
    store.close(&facts()).unwrap()
}

/// The files that must be equal byte for byte.
pub fn compared(folder: &Path) -> Vec<Vec<u8>> {
    ["runs.parquet", "runs.csv", "study.json"]
        .iter()
        .map(|name| fs::read(folder.join(name)).unwrap())
        .collect()
}

pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}
