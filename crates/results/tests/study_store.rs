//! Filling, continuing, refusing, mixing and reading of a study.

mod study_fixture;

use std::fs;

use giveway_results::{
    Cell, CellKind, CellValues, Mixing, ResultsError, RunKey, StudyStatus, StudyStore, merge,
    part_rows, read_manifest, read_study, verify_folder,
};
use study_fixture::*;

#[test]
fn neither_shards_nor_their_order_nor_parts_leave_a_trace() {
    let place = Place::new("study-equal");
    let n = 20_000;
    let whole = card(n, 0..n);
    let one = place.0.join("one");
    let study = finish(&one, &whole, 5000);
    assert_eq!(study.status, StudyStatus::Complete);
    assert_eq!((study.rows, study.failed), (n, n / 17 + 1));
    let expected = compared(&one);

    // Shards as several threads would finish them: interleaved, and none in order.
    let mixed = place.0.join("mixed");
    let mut store = open(&mixed, &whole);
    for k in [3, 0, 6, 1, 5, 2, 4] {
        store.append_shard(&rows((k..n).step_by(7))).unwrap();
    }
    store.close(&facts()).unwrap();
    assert!(compared(&mixed) == expected);

    let parts: Vec<_> = (1..=7)
        .map(|k| {
            let folder = place.0.join(format!("part{k}"));
            finish(
                &folder,
                &card(n, part_rows(n, k, 7).unwrap()),
                300 * k as usize,
            );
            folder
        })
        .collect();
    let out = place.0.join("joined");
    let report = merge(&parts, &out, Mixing::Refuse, &facts()).unwrap();
    assert_eq!(report.study, study);
    assert_eq!((report.duplicates, report.conflicting.len()), (0, 0));
    assert!(compared(&out) == expected);
    assert_eq!(verify_folder(&out).unwrap().input_blake3, whole.plan_hash);
    assert_eq!(
        names(&out),
        ["manifest.json", "runs.csv", "runs.parquet", "study.json"]
    );
    // In another order, into the same folder.
    let backward: Vec<_> = parts.into_iter().rev().collect();
    merge(&backward, &out, Mixing::Refuse, &facts()).unwrap();
    assert!(compared(&out) == expected);
}

#[test]
fn a_partial_study_is_closed_and_continued() {
    let place = Place::new("study-partial");
    let (n, whole) = (100, card(100, 0..100));
    let folder = place.0.join("deep/study");
    let mut store = open(&folder, &whole);
    assert!(store.done().is_empty());
    assert_eq!(store.append_shard(&rows(10..20)).unwrap(), 10);
    assert_eq!(store.append_shard(&rows([3, 50])).unwrap(), 12);
    let study = store.close(&facts()).unwrap();
    assert_eq!(study.status, StudyStatus::Partial);
    let gaps: Vec<_> = study.gaps.iter().map(|g| (g.first, g.end)).collect();
    assert_eq!(gaps, [(0, 3), (4, 10), (20, 50), (51, 100)]);
    assert_eq!(read_study(&folder).unwrap().file, study);
    // Table as Parquet and CSV, `study.json`, and with them the card and the ledger.
    assert_eq!(read_manifest(&folder).unwrap().files.len(), 5);

    let store = open(&folder, &whole);
    assert!(!store.repairs().any(), "{}", store.repairs());
    assert!(store.done().matches(50, &key(50)) && !store.done().contains(51));
    assert!(store.done().failed(3) && !store.done().failed(10));
    drop(store);
    finish(&folder, &whole, 9);
    let other = place.0.join("other");
    finish(&other, &whole, n);
    assert!(compared(&folder) == compared(&other));

    // A study without any run is a study.
    let none = place.0.join("none");
    let study = open(&none, &whole).close(&facts()).unwrap();
    assert_eq!((study.status, study.rows), (StudyStatus::Partial, 0));
    assert_eq!(read_study(&none).unwrap().blocks(&[]).unwrap().count(), 0);
}

#[test]
fn what_is_written_is_read_back() {
    let place = Place::new("study-read");
    let n = 40_000;
    finish(&place.0.join("s"), &card(n, 0..n), 16_384);
    let study = read_study(&place.0.join("s")).unwrap();
    let mut next = 0;
    for block in study.blocks(&[]).unwrap() {
        let block = block.unwrap();
        assert_eq!(block.columns.len(), 10);
        assert_eq!(block.columns[4].meaning, "speed of the vehicle");
        for i in 0..block.rows() {
            let r = row(next);
            let own: Vec<Cell> = block.columns[4..]
                .iter()
                .map(|c| match &c.values {
                    CellValues::Number(v) => Cell::Number(v[i]),
                    CellValues::MaybeCount(v) => Cell::Count(v[i]),
                    CellValues::MaybeText(v) => Cell::Text(v[i].clone()),
                    CellValues::MaybeFlag(v) => Cell::Flag(v[i]),
                    other => panic!("{other:?}"),
                })
                .collect();
            assert_eq!(own, r.cells);
            next += 1;
        }
    }
    assert_eq!(next, n);
    let two = study
        .blocks(&["reason", "run"])
        .unwrap()
        .next()
        .unwrap()
        .unwrap();
    assert_eq!(two.columns[0].name, "reason");
    assert_eq!(two.rows(), 16_384);
    assert!(study.blocks(&["no_such"]).is_err());
    let csv = fs::read_to_string(place.0.join("s/runs.csv")).unwrap();
    let mut lines = csv.lines();
    assert_eq!(
        lines.next().unwrap(),
        "run,run_key,model_version,failed,speed_mps,velocity_change_mps,bolts_left,ending,stands_in_wind,reason"
    );
    assert_eq!(
        lines.nth(3).unwrap(),
        format!(
            "3,{},7,true,8.428571428571429,,,,,a book of run 3 did not close",
            key(3)
        )
    );
    assert_eq!(csv.lines().count() as u64, n + 1);

    fs::write(place.0.join("s/runs.csv"), "changed").unwrap();
    assert!(matches!(
        read_study(&place.0.join("s")),
        Err(ResultsError::Altered { .. })
    ));
}

#[test]
fn another_study_is_refused_unless_mixing_is_asked_for() {
    let place = Place::new("study-mixing");
    let folder = place.0.join("s");
    let whole = card(10, 0..10);
    let mut store = open(&folder, &whole);
    store.append_shard(&rows(0..5)).unwrap();
    store.close(&facts()).unwrap();
    let before = compared(&folder);

    let mut newer = whole.clone();
    newer.model_version = 8;
    let mut plan = whole.clone();
    plan.plan_hash = "11".repeat(32);
    for (other, what) in [(&newer, "model version"), (&plan, "plan")] {
        let error = StudyStore::open(&folder, other, Mixing::Refuse).unwrap_err();
        assert!(error.to_string().contains(what), "{error}");
    }
    let error = StudyStore::open(&folder, &card(10, 0..4), Mixing::Refuse).unwrap_err();
    assert!(error.to_string().contains("0..10"), "{error}");
    let mut columns = whole.clone();
    columns.columns[1].kind = CellKind::Count;
    for mixing in [Mixing::Refuse, Mixing::Allow] {
        let error = StudyStore::open(&folder, &columns, mixing).unwrap_err();
        assert!(
            error
                .to_string()
                .contains("velocity_change_mps (Number) in place 2"),
            "{error}"
        );
    }
    assert!(compared(&folder) == before);
    assert!(!open(&folder, &whole).repairs().any());

    // A row with another key stands for the old one; each row says its model's version.
    let mut store = StudyStore::open(&folder, &newer, Mixing::Allow).unwrap();
    assert!(store.done().matches(4, &key(4)));
    let mut again = rows(4..8);
    for r in &mut again {
        r.key = RunKey::of("newer", 8);
    }
    assert_eq!(store.append_shard(&again).unwrap(), 8);
    let study = store.close(&facts()).unwrap();
    assert_eq!(study.mixed_with, [whole.origin()]);
    let block = read_study(&folder).unwrap();
    let block = block
        .blocks(&["model_version"])
        .unwrap()
        .next()
        .unwrap()
        .unwrap();
    assert_eq!(
        block.columns[0].values,
        CellValues::Count(vec![7, 7, 7, 7, 8, 8, 8, 8])
    );
    // From now on the folder is of the newer one, with the same rows after the loss of its ledger.
    fs::remove_file(folder.join("ledger.bin")).unwrap();
    let store = open(&folder, &newer);
    assert_eq!((store.done().len(), store.repairs().taken_up), (8, 2));
    assert!(store.done().matches(4, &RunKey::of("newer", 8)));
}

#[test]
fn rows_that_do_not_fit_are_refused() {
    let place = Place::new("study-rows");
    let mut store = open(&place.0, &card(100, 10..60));
    store.append_shard(&rows(20..30)).unwrap();
    let mut short = rows([31]);
    short[0].cells.pop();
    let mut kind = rows([31]);
    kind[0].cells[0] = Cell::Count(Some(1));
    let mut infinite = rows([31]);
    infinite[0].cells[0] = Cell::Number(Some(f64::INFINITY));
    for (bad, word) in [
        (rows([9]), "outside"),
        (rows([60]), "outside"),
        (rows([31, 31]), "ascend"),
        (rows([25]), "done already"),
        (vec![row(31); 17_000], "too long"),
        (short, "as many cells"),
        (kind, "speed_mps"),
        (infinite, "finite"),
    ] {
        let error = store.append_shard(&bad).unwrap_err().to_string();
        assert!(error.contains(word), "{error}");
    }
    // A failed run may be tried again.
    let mut again = rows([20]);
    assert!(store.done().failed(20));
    again[0].failed = false;
    assert_eq!(store.append_shard(&again).unwrap(), 10);
    assert!(!store.done().failed(20));
    assert_eq!(store.done().failed_rows(), 0);
    assert_eq!(store.append_shard(&[]).unwrap(), 10);
}

#[test]
fn one_process_at_a_time_and_only_in_its_own_folder() {
    let place = Place::new("study-lock");
    let whole = card(10, 0..10);
    let folder = place.0.join("s");
    let store = open(&folder, &whole);
    let error = StudyStore::open(&folder, &whole, Mixing::Refuse).unwrap_err();
    assert!(matches!(error, ResultsError::Locked { .. }));
    let error = merge(
        std::slice::from_ref(&folder),
        &place.0.join("out"),
        Mixing::Refuse,
        &facts(),
    );
    assert!(matches!(error, Err(ResultsError::Locked { .. })));
    drop(store);
    open(&folder, &whole);

    // The folder of something else is left as it is.
    let other = place.0.join("other");
    fs::create_dir(&other).unwrap();
    fs::write(other.join("thesis.txt"), "mine").unwrap();
    assert!(StudyStore::open(&other, &whole, Mixing::Refuse).is_err());
    assert_eq!(names(&other), ["thesis.txt"]);
    fs::write(folder.join("card.json"), "{}").unwrap();
    assert!(matches!(
        StudyStore::open(&folder, &whole, Mixing::Refuse),
        Err(ResultsError::Json { .. })
    ));
    assert!(read_study(&folder).is_err());
}

#[test]
fn merging_lists_gaps_duplicates_and_conflicts() {
    let place = Place::new("study-merge");
    let out = place.0.join("out");
    let part = |name: &str, slice: std::ops::Range<u64>, indices: std::ops::Range<u64>| {
        let folder = place.0.join(name);
        let mut store = open(&folder, &card(100, slice));
        store.append_shard(&rows(indices)).unwrap();
        folder
    };
    // Parts need not be closed, nor complete; slices may overlap.
    let a = part("a", 0..50, 0..40);
    let b = part("b", 30..80, 35..60);
    let report = merge(&[a.clone(), b.clone()], &out, Mixing::Refuse, &facts()).unwrap();
    assert_eq!((report.duplicates, report.study.rows), (5, 60));
    let gaps: Vec<_> = report.study.gaps.iter().map(|g| (g.first, g.end)).collect();
    assert_eq!(gaps, [(60, 100)]);
    assert_eq!(read_study(&out).unwrap().file, report.study);

    // The same key with another number, and another key.
    let c = place.0.join("c");
    let mut store = open(&c, &card(100, 0..100));
    let mut wrong = rows(38..42);
    wrong[0].cells[1] = Cell::Number(Some(4.5));
    wrong[3].key = RunKey::of("another", 7);
    store.append_shard(&wrong).unwrap();
    drop(store);
    let all = [a, b, c];
    let before = compared(&out);
    let error = merge(&all, &out, Mixing::Refuse, &facts()).unwrap_err();
    assert!(
        matches!(
            error,
            ResultsError::Conflict {
                count: 2,
                first: 38
            }
        ),
        "{error}"
    );
    assert!(compared(&out) == before);
    let report = merge(&all, &out, Mixing::Allow, &facts()).unwrap();
    assert_eq!(
        (report.duplicates, &report.conflicting[..]),
        (7, &[38, 41][..])
    );
    // The part given first counts.
    assert!(compared(&out) == before);

    let mut newer = card(100, 60..100);
    newer.model_version = 8;
    let d = place.0.join("d");
    finish(&d, &newer, 100);
    let parts = [all[0].clone(), d];
    let error = merge(&parts, &out, Mixing::Refuse, &facts()).unwrap_err();
    assert!(matches!(error, ResultsError::OtherStudy { .. }), "{error}");
    let report = merge(&parts, &out, Mixing::Allow, &facts()).unwrap();
    assert_eq!(report.study.mixed_with, [newer.origin()]);
    assert!(merge(&[], &out, Mixing::Refuse, &facts()).is_err());
    assert!(
        merge(
            std::slice::from_ref(&out),
            &place.0.join("x"),
            Mixing::Refuse,
            &facts()
        )
        .is_err()
    );
}
