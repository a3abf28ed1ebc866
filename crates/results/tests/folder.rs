//! Writing, replacing, refusing and reading back of a results folder.

mod fixture;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_results::{
    FigureBytes, ResultsError, RunFacts, RunFiles, Summary, hash_text, read_manifest, read_summary,
    verify_folder, write_run_folder,
};

const TEXT: &str = "title = \"resolved\"\n";

/// A folder of its own for one test, removed at its end.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("giveway-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Place(fs::canonicalize(path).unwrap())
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn write(out: &Path, text: &str, summary: &Summary, figure: &str) -> Result<PathBuf, ResultsError> {
    let engagement = fixture::engagement();
    let scenario = fixture::scenario();
    let figures = [FigureBytes {
        name: figure,
        bytes: b"<svg/>",
    }];
    let files = RunFiles {
        scenario_toml: text,
        scenario: &scenario,
        summary,
        histories: Some(&engagement),
        figures: &figures,
        facts: &RunFacts {
            started: SystemTime::now(),
            threads: 2,
            features: vec![],
        },
    };
    write_run_folder(out, &files)
}

fn summary() -> Summary {
    fixture::summary(&fixture::scenario(), &fixture::engagement())
}

#[test]
fn a_folder_holds_what_was_written() {
    let place = Place::new("whole");
    let out = place.0.join("deep/run 1");
    let s = summary();
    assert_eq!(write(&out, TEXT, &s, "motion.svg").unwrap(), out);
    let manifest = verify_folder(&out).unwrap();
    let names: Vec<_> = manifest.files.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "scenario.toml",
            "summary.json",
            "history.parquet",
            "history.csv",
            "vehicle_record.parquet",
            "vehicle_record.csv",
            "replay.json",
            "figures/motion.svg"
        ]
    );
    assert_eq!(manifest.input_blake3, hash_text(TEXT));
    assert_eq!(fs::read_to_string(out.join("scenario.toml")).unwrap(), TEXT);
    assert_eq!(read_summary(&out).unwrap(), s);
    let csv = fs::read_to_string(out.join("history.csv")).unwrap();
    assert_eq!(csv.lines().count(), 1402);
    assert!(csv.starts_with("time_s,vehicle_x_m,"));
    let csv = fs::read_to_string(out.join("vehicle_record.csv")).unwrap();
    assert_eq!(csv.lines().count(), 12_001);
    assert_eq!(csv.lines().nth(1).unwrap().split(',').count(), 14);
    assert_eq!(fs::read_dir(place.0.join("deep")).unwrap().count(), 1);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let place = Place::new("same");
    let s = summary();
    for name in ["a", "b"] {
        write(&place.0.join(name), TEXT, &s, "motion.svg").unwrap();
    }
    let [a, b] = ["a", "b"].map(|n| read_manifest(&place.0.join(n)).unwrap());
    assert_eq!(a.files, b.files);
}

#[test]
fn a_results_folder_is_replaced_and_nothing_else() {
    let place = Place::new("replace");
    let s = summary();
    let out = place.0.join("run");
    fs::create_dir(&out).unwrap();
    write(&out, TEXT, &s, "old.svg").unwrap(); // an empty folder is free
    write(&out, "title = \"again\"\n", &s, "new.svg").unwrap();
    assert!(out.join("figures/new.svg").exists() && !out.join("figures/old.svg").exists());
    assert_eq!(place.names(), ["run"]);

    // A note that somebody added stays.
    fs::write(out.join("note.txt"), "mine").unwrap();
    let e = write(&out, TEXT, &s, "new.svg").unwrap_err().to_string();
    assert!(e.contains("note.txt"), "{e}");
    assert_eq!(fs::read_to_string(out.join("note.txt")).unwrap(), "mine");
    fs::remove_file(out.join("note.txt")).unwrap();

    // So does an edit.
    fs::write(out.join("scenario.toml"), "edited").unwrap();
    let e = write(&out, TEXT, &s, "new.svg").unwrap_err().to_string();
    assert!(e.contains("scenario.toml") && e.contains("changed"), "{e}");
    assert_eq!(
        fs::read_to_string(out.join("scenario.toml")).unwrap(),
        "edited"
    );
    fs::remove_file(out.join("scenario.toml")).unwrap();

    // A missing file is no loss.
    write(&out, TEXT, &s, "new.svg").unwrap();
    assert_eq!(place.names(), ["run"]);
}

#[test]
fn foreign_folders_and_files_are_refused() {
    let place = Place::new("foreign");
    let s = summary();
    let folder = place.0.join("thesis");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("chapter.txt"), "years of work").unwrap();
    let e = write(&folder, TEXT, &s, "a.svg").unwrap_err();
    assert!(matches!(e, ResultsError::NotReplaceable { .. }), "{e}");
    fs::write(
        folder.join("manifest.json"),
        "{\"kind\": \"something else\"}",
    )
    .unwrap();
    assert!(write(&folder, TEXT, &s, "a.svg").is_err());
    assert_eq!(
        fs::read_to_string(folder.join("chapter.txt")).unwrap(),
        "years of work"
    );

    let file = place.0.join("file");
    fs::write(&file, "x").unwrap();
    let e = write(&file, TEXT, &s, "a.svg").unwrap_err();
    assert!(matches!(e, ResultsError::NotReplaceable { .. }), "{e}");
    // A folder below a file cannot be.
    let e = write(&file.join("run"), TEXT, &s, "a.svg").unwrap_err();
    assert!(matches!(e, ResultsError::Io { .. }), "{e}");
    assert!(matches!(
        write(Path::new("/"), TEXT, &s, "a.svg"),
        Err(ResultsError::NoName { .. })
    ));
    assert_eq!(place.names(), ["file", "thesis"]);
}

#[test]
fn an_error_half_way_leaves_no_half_folder() {
    let place = Place::new("half");
    let out = place.0.join("run");
    let mut s = summary();
    // The system refuses the last file: its name is too long.
    let long = format!("{}.svg", "x".repeat(300));
    let e = write(&out, TEXT, &s, &long).unwrap_err();
    assert!(matches!(e, ResultsError::Io { .. }), "{e}");
    assert_eq!(place.names(), [""; 0]);
    // The same with a folder to replace: the old one stays whole.
    write(&out, TEXT, &s, "a.svg").unwrap();
    write(&out, "other", &s, &long).unwrap_err();
    assert_eq!(fs::read_to_string(out.join("scenario.toml")).unwrap(), TEXT);
    verify_folder(&out).unwrap();
    assert_eq!(place.names(), ["run"]);
    // Names that would leave the folder.
    for name in ["../a.svg", "/tmp/a.svg", "", ".hidden", "a b.svg"] {
        let e = write(&out, TEXT, &s, name).unwrap_err();
        assert!(matches!(e, ResultsError::BadFileName { .. }), "{e}");
    }
    // A number that is not finite is named.
    s.contact.peak_force_n = f64::NAN;
    let e = write(&out, TEXT, &s, "a.svg").unwrap_err().to_string();
    assert!(e.contains("summary.contact.peak_force_n"), "{e}");
}

#[test]
fn bad_histories_are_named() {
    let place = Place::new("histories");
    let s = summary();
    let write = |engagement| {
        write_run_folder(
            &place.0.join("run"),
            &RunFiles {
                scenario_toml: TEXT,
                scenario: &fixture::scenario(),
                summary: &s,
                histories: Some(engagement),
                figures: &[],
                facts: &RunFacts {
                    started: SystemTime::now(),
                    threads: 1,
                    features: vec![],
                },
            },
        )
    };
    let mut e = fixture::engagement();
    e.trace.columns[3].values[77] = f64::INFINITY;
    let text = write(&e).unwrap_err().to_string();
    assert!(
        text.contains("history, column vehicle_vx_mps, row 78"),
        "{text}"
    );
    let mut e = fixture::engagement();
    e.trace.columns[5].values.pop();
    assert!(matches!(
        write(&e),
        Err(ResultsError::Length {
            found: 1400,
            expected: 1401,
            ..
        })
    ));
    let mut e = fixture::engagement();
    e.record.yaw_rate_radps.clear();
    assert!(matches!(
        write(&e),
        Err(ResultsError::Length {
            table: "vehicle_record",
            ..
        })
    ));
    assert_eq!(place.names(), [""; 0]);
    // Empty histories are files with a header.
    let mut e = fixture::engagement();
    e.trace = Default::default();
    e.record = Default::default();
    let out = write(&e).unwrap();
    assert_eq!(
        fs::read_to_string(out.join("history.csv")).unwrap(),
        "time_s\n"
    );
    verify_folder(&out).unwrap();
}

#[test]
fn a_changed_file_is_found() {
    let place = Place::new("changed");
    let out = place.0.join("run");
    write(&out, TEXT, &summary(), "a.svg").unwrap();
    let path = out.join("history.csv");
    let mut bytes = fs::read(&path).unwrap();
    let last = bytes.len() - 2;
    bytes[last] ^= 1;
    fs::write(&path, bytes).unwrap();
    let e = verify_folder(&out).unwrap_err().to_string();
    assert!(e.contains("history.csv") && e.contains("changed"), "{e}");
    fs::write(out.join("summary.json"), "{\"format\": 1").unwrap();
    let e = read_summary(&out).unwrap_err().to_string();
    assert!(e.contains("summary.json") && e.contains("line 1"), "{e}");
}
