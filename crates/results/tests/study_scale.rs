//! Large studies: how long a continued study takes to know what is done, and how much memory a merge needs.

mod study_fixture;

use std::fs;
use std::path::Path;
use std::time::Instant;

use giveway_results::{
    Cell, CellKind, Mixing, StudyCard, StudyColumn, TableForm, merge_as, part_rows,
};
use study_fixture::*;

/// A card with more numbers; with 40 it is about as wide as a study is.
fn wide(rows: u64, slice: std::ops::Range<u64>, more: u32) -> StudyCard {
    let mut card = card(rows, slice);
    card.columns.extend((0..more).map(|i| StudyColumn {
        name: format!("load{i}_n"),
        meaning: "one of many".to_owned(),
        kind: CellKind::Number,
    }));
    card
}

fn fill(folder: &Path, card: &StudyCard, length: u64, more: u32) {
    let mut store = open(folder, card);
    let mut next = card.first;
    while next < card.end {
        let mut rows = rows(next..card.end.min(next + length));
        next += length;
        for r in &mut rows {
            let x = r.index as f64;
            r.cells
                .extend((0..more).map(|i| Cell::Number(Some(1.0 / (x + f64::from(i) + 0.7)))));
        }
        store.append_shard(&rows).unwrap();
    }
}

/// Most memory that the process has held, MB; none where the system does not say.
fn peak_mb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? / 1024)
}

fn measure(rows: u64, parts: u64, length: u64, more: u32, form: TableForm) {
    let place = Place::new(&format!("study-scale-{rows}"));
    let start = Instant::now();
    let folders: Vec<_> = (1..=parts)
        .map(|k| {
            let folder = place.0.join(format!("part{k}"));
            let card = wide(rows, part_rows(rows, k, parts).unwrap(), more);
            fill(&folder, &card, length, more);
            folder
        })
        .collect();
    println!("{rows} rows written in {:.1?}", start.elapsed());
    let start = Instant::now();
    let mut found = 0;
    for (k, folder) in (1..).zip(&folders) {
        let card = wide(rows, part_rows(rows, k, parts).unwrap(), more);
        let store = open(folder, &card);
        assert!(!store.repairs().any());
        found += store.done().len();
    }
    let scanned = start.elapsed();
    println!("{found} rows found in {scanned:.2?}");
    assert_eq!(found, rows);
    assert!(
        scanned.as_secs_f64() < 5.0 * (rows as f64 / 1e6).max(1.0),
        "{scanned:?}"
    );
    let start = Instant::now();
    let out = place.0.join("out");
    let report = merge_as(&folders, &out, Mixing::Refuse, &facts(), form).unwrap();
    let peak = peak_mb();
    println!("merged in {:.1?}, peak memory {peak:?} MB", start.elapsed());
    assert_eq!(report.study.rows, rows);
    // Whatever the number of rows.
    assert!(peak.is_none_or(|mb| mb < 300), "{peak:?} MB");
    let size = |name: &str| fs::metadata(out.join(name)).map_or(0, |m| m.len() / 1_000_000);
    println!(
        "runs.parquet {} MB, runs.csv {} MB",
        size("runs.parquet"),
        size("runs.csv")
    );
}

#[test]
fn a_study_of_thirty_thousand_runs() {
    measure(30_000, 3, 1000, 40, TableForm::WithCsv);
}

#[test]
#[ignore = "a minute and 2 GB of disk; run with --release for the time"]
fn a_study_of_a_million_runs() {
    measure(1_000_000, 1, 1000, 40, TableForm::WithCsv);
}

#[test]
#[ignore = "some minutes and 4 GB of disk"]
fn a_study_of_ten_million_runs() {
    measure(10_000_000, 10, 5000, 2, TableForm::ParquetOnly);
}
