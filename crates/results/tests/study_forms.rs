//! What a closed table is written as: with its text, without it, or in the files of its parts; and every way in which parts
//! do not fit each other.

mod study_fixture;

use std::fs;
use std::path::{Path, PathBuf};

use giveway_results::{
    Cell, Flushing, Mixing, ResultsError, StudyStatus, StudyStore, TableForm, check_tables,
    merge_as, merge_by_part, part_rows, read_study, verify_folder,
};
use study_fixture::*;

const ROWS: u64 = 40_000;

/// Closes what is there without the text.
fn close_bare(folder: &Path, runs: std::ops::Range<u64>) {
    let mut store = open(folder, &card(ROWS, runs));
    for shard in missing_shards(&store, 5000) {
        store.append_shard(&rows(shard)).unwrap();
    }
    store.close_as(&facts(), TableForm::ParquetOnly).unwrap();
}

fn parts(place: &Place, count: u64) -> Vec<PathBuf> {
    (1..=count)
        .map(|k| {
            let folder = place.0.join(format!("part{k}"));
            close_bare(&folder, part_rows(ROWS, k, count).unwrap());
            folder
        })
        .collect()
}

/// Every cell of a study, row by row.
fn cells(folder: &Path) -> Vec<Vec<Cell>> {
    let mut all = Vec::new();
    for block in read_study(folder).unwrap().blocks(&[]).unwrap() {
        let block = block.unwrap();
        for row in 0..block.rows() {
            all.push(block.columns.iter().map(|c| c.values.cell(row)).collect());
        }
    }
    all
}

#[test]
fn a_study_without_its_text_is_whole_and_the_text_can_come_and_go() {
    let place = Place::new("forms-bare");
    let with = place.0.join("with");
    finish(&with, &card(ROWS, 0..ROWS), 5000);
    let bare = place.0.join("bare");
    close_bare(&bare, 0..ROWS);
    let read = |folder: &Path, name: &str| fs::read(folder.join(name)).unwrap();
    assert!(read(&bare, "runs.parquet") == read(&with, "runs.parquet"));
    assert!(!bare.join("runs.csv").exists());
    let study = read_study(&bare).unwrap();
    assert_eq!(study.file.files.len(), 1);
    assert_eq!(study.file.status, StudyStatus::Complete);
    verify_folder(&bare).unwrap();
    let check = check_tables(&bare, &study).unwrap();
    assert_eq!((check.shards, check.problem), (true, None));
    // Closed again with the text, and again without.
    open(&bare, &card(ROWS, 0..ROWS)).close(&facts()).unwrap();
    assert!(compared(&bare) == compared(&with));
    verify_folder(&bare).unwrap();
    close_bare(&bare, 0..ROWS);
    assert!(!bare.join("runs.csv").exists());
    verify_folder(&bare).unwrap();
    // A changed table is found without its text too.
    let path = bare.join("runs.parquet");
    let mut bytes = fs::read(&path).unwrap();
    bytes[5000] ^= 1;
    fs::write(&path, bytes).unwrap();
    assert!(matches!(
        read_study(&bare),
        Err(ResultsError::Altered { .. })
    ));
    assert!(verify_folder(&bare).is_err());
}

#[test]
fn parts_join_without_a_text() {
    let place = Place::new("forms-merge");
    let whole = place.0.join("whole");
    close_bare(&whole, 0..ROWS);
    let parts = parts(&place, 3);
    let out = place.0.join("out");
    let report = merge_as(
        &parts,
        &out,
        Mixing::Refuse,
        &facts(),
        TableForm::ParquetOnly,
    )
    .unwrap();
    assert_eq!(report.study.rows, ROWS);
    assert_eq!(names(&out), ["manifest.json", "runs.parquet", "study.json"]);
    for name in ["runs.parquet", "study.json"] {
        let read = |folder: &Path| fs::read(folder.join(name)).unwrap();
        assert!(read(&out) == read(&whole), "{name}");
    }
}

#[test]
fn parts_stay_as_they_are_and_read_as_one_table() {
    let place = Place::new("forms-by-part");
    let whole = place.0.join("whole");
    close_bare(&whole, 0..ROWS);
    let mut parts = parts(&place, 3);
    parts.reverse();
    let out = place.0.join("out");
    let study = merge_by_part(&parts, &out, &facts()).unwrap();
    assert_eq!((study.status, study.rows), (StudyStatus::Complete, ROWS));
    assert_eq!(study.failed, read_study(&whole).unwrap().file.failed);
    assert_eq!(names(&out), ["manifest.json", "runs", "study.json"]);
    let files = [
        "000000000000-000000013333.parquet",
        "000000013333-000000026666.parquet",
        "000000026666-000000040000.parquet",
    ];
    assert_eq!(names(&out.join("runs")), files);
    let told: Vec<_> = (study.parts.iter())
        .map(|p| (p.name.as_str(), p.first, p.end, p.rows))
        .collect();
    assert_eq!(
        told[1],
        (
            "runs/000000013333-000000026666.parquet",
            13_333,
            26_666,
            13_333
        )
    );
    assert_eq!(read_study(&out).unwrap().file, study);
    assert!(cells(&out) == cells(&whole));
    verify_folder(&out).unwrap();
    let check = check_tables(&out, &read_study(&out).unwrap()).unwrap();
    assert_eq!((check.shards, check.problem), (false, None));
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let place = |path: PathBuf| fs::metadata(path).unwrap().ino();
        assert_eq!(
            place(out.join("runs").join(files[2])),
            place(parts[0].join("runs.parquet"))
        );
    }
    // Into the same folder again, and joined again with nothing.
    merge_by_part(&parts, &out, &facts()).unwrap();
    let again = place.0.join("again");
    assert_eq!(
        merge_by_part(std::slice::from_ref(&out), &again, &facts()).unwrap(),
        study
    );
    assert!(cells(&again) == cells(&whole));
    // The parts may go.
    for part in &parts {
        fs::remove_dir_all(part).unwrap();
    }
    assert!(cells(&out) == cells(&whole));
    // A file that was cut short, changed or lost is found.
    let path = out.join("runs").join(files[1]);
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() - 1]).unwrap();
    assert!(matches!(
        read_study(&out),
        Err(ResultsError::Altered { .. })
    ));
    assert!(verify_folder(&out).is_err());
    fs::remove_file(&path).unwrap();
    assert!(matches!(
        read_study(&out),
        Err(ResultsError::Altered { .. })
    ));
}

#[test]
fn parts_with_gaps_and_missing_parts_are_told_in_ranges() {
    let place = Place::new("forms-gaps");
    let mut parts = parts(&place, 4);
    // The second of four ends early, the third is not there.
    let short = place.0.join("short");
    let mut store = open(&short, &card(ROWS, 10_000..20_000));
    store.append_shard(&rows(10_000..12_000)).unwrap();
    store.append_shard(&rows(15_000..16_000)).unwrap();
    store.close(&facts()).unwrap();
    parts[1] = short;
    parts.remove(2);
    let out = place.0.join("out");
    let study = merge_by_part(&parts, &out, &facts()).unwrap();
    let gaps: Vec<_> = study.gaps.iter().map(|g| (g.first, g.end)).collect();
    assert_eq!(gaps, [(12_000, 15_000), (16_000, 30_000)]);
    assert_eq!((study.status, study.rows), (StudyStatus::Partial, 23_000));
    let one = place.0.join("one");
    let joined = merge_as(&parts, &one, Mixing::Refuse, &facts(), TableForm::WithCsv).unwrap();
    assert_eq!(joined.study.gaps, study.gaps);
    assert!(cells(&one) == cells(&out));
}

#[test]
fn parts_that_do_not_fit_leave_nothing() {
    let place = Place::new("forms-refused");
    let parts = parts(&place, 2);
    let out = place.0.join("out");
    let refused = |parts: &[PathBuf]| {
        let error = merge_by_part(parts, &out, &facts()).unwrap_err();
        assert!(!out.exists());
        assert!(!names(&place.0).iter().any(|name| name.starts_with(".out")));
        error
    };
    assert!(matches!(refused(&[]), ResultsError::StudyInput { .. }));
    // The same part twice, and one that overlaps.
    let twice = [parts[0].clone(), parts[1].clone(), parts[0].clone()];
    let said = refused(&twice).to_string();
    assert!(said.contains("stand in another part too"), "{said}");
    let over = place.0.join("over");
    close_bare(&over, 19_999..20_001);
    for order in [[&parts[0], &over], [&over, &parts[0]], [&over, &parts[1]]] {
        let said = refused(&order.map(Clone::clone)).to_string();
        assert!(said.contains("stand in another part too"), "{said}");
    }
    // Killed before it was closed.
    let killed = place.0.join("killed");
    let mut store = open(&killed, &card(ROWS, 20_000..40_000));
    store.append_shard(&rows(20_000..20_100)).unwrap();
    drop(store);
    let said = refused(&[parts[0].clone(), killed]).to_string();
    assert!(said.contains("study.json"), "{said}");
    // Another version of the model, another plan.
    let mut newer = card(ROWS, 20_000..40_000);
    newer.model_version += 1;
    let other = place.0.join("newer");
    finish(&other, &newer, 10_000);
    let error = refused(&[parts[0].clone(), other]);
    assert!(matches!(
        error,
        ResultsError::OtherStudy {
            what: "model version",
            ..
        }
    ));
    // Changed since it was closed.
    let path = parts[1].join("runs.parquet");
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    assert!(matches!(refused(&parts), ResultsError::Altered { .. }));
    // Still written.
    fs::write(&path, &bytes).unwrap();
    let held = open(&parts[1], &card(ROWS, 20_000..40_000));
    assert!(matches!(refused(&parts), ResultsError::Locked { .. }));
    drop(held);
    merge_by_part(&parts, &out, &facts()).unwrap();
}

/// An attempt at a part is flushed once, when it is closed; more shards than are flushed at the same time.
#[test]
fn a_folder_flushed_at_its_closing_has_the_same_bytes() {
    let place = Place::new("forms-late");
    let card = card(ROWS, 0..ROWS);
    let flushed = place.0.join("flushed");
    finish(&flushed, &card, 500);
    let late = place.0.join("late");
    let open_late = || StudyStore::open_with(&late, &card, Mixing::Refuse, Flushing::AtClosing);
    let mut store = open_late().unwrap();
    for shard in missing_shards(&store, 500) {
        let end = shard[shard.len() - 1] + 1;
        assert_eq!(store.append_shard(&rows(shard)).unwrap(), end);
    }
    // Dropped and opened again: the end of the process takes nothing.
    drop(store);
    let store = open_late().unwrap();
    assert_eq!(store.done().len(), ROWS);
    store.close(&facts()).unwrap();
    assert!(compared(&late) == compared(&flushed));
    verify_folder(&late).unwrap();
    let names = |folder: &Path| {
        let mut names: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        names.sort();
        names
    };
    assert_eq!(names(&late), names(&flushed));
    assert_eq!(names(&late.join("shards")).len(), 80);
    assert_eq!(names(&late.join("shards")), names(&flushed.join("shards")));
}
