//! Studies as a person runs them: in one go, on threads, in parts, interrupted, and with bad input.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

#[path = "place/scenario.rs"]
mod scenario;

use scenario::SCENARIO as BASE;

/// 48 runs, of which those with a wide washer on a narrow circle fail.
const STUDY: &str = r#"
title = "Quiet corner"
base = "base.toml"
[grid]
slip_base.clamp.torque = { from = "100 N.m", to = "300 N.m", steps = 3 }
slip_base.bolt_circle = ["360 mm", "230 mm"]
slip_base.washers.plate_diameter = ["60 mm", "220 mm"]
[sample]
count = 4
standard = ["nut-factor", "mass"]
"#;

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("study-{name}"));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder for the test");
        let place = Place(folder);
        place.file("base.toml", BASE);
        place.file("study.toml", STUDY);
        place
    }

    fn file(&self, name: &str, content: &str) {
        std::fs::write(self.0.join(name), content).expect("a file for the test");
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_giveway"));
        command
            .args(arguments)
            .current_dir(&self.0)
            .stdin(Stdio::null());
        command
    }

    fn run(&self, arguments: &[&str]) -> (Option<i32>, String) {
        told(
            &self
                .command(arguments)
                .output()
                .expect("the program starts"),
        )
    }

    fn start(&self, arguments: &[&str]) -> Child {
        self.command(arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts")
    }

    /// What must be equal, whoever computed it.
    fn bytes(&self, folder: &str) -> [Vec<u8>; 3] {
        ["runs.parquet", "runs.csv", "study.json"].map(|file| {
            std::fs::read(self.0.join(folder).join(file)).expect("a file of a closed study")
        })
    }
}

/// One object of JSON, before what standard error says.
fn first_line(said: &str) -> serde_json::Value {
    serde_json::from_str(said.lines().next().unwrap_or_default()).expect("one object of JSON")
}

fn told(output: &Output) -> (Option<i32>, String) {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let both = text(&output.stdout) + &text(&output.stderr);
    (output.status.code(), both)
}

#[test]
fn threads_parts_and_interruptions_give_the_same_bytes() {
    let place = Place::new("same");
    let (code, said) = place.run(&["study", "study.toml", "--out", "one", "--threads", "1"]);
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("36 done, 12 failed"), "{said}");
    assert!(said.contains("48 runs (1 base x 3 of"), "{said}");
    let whole = place.bytes("one");
    place.run(&["study", "study.toml", "--out", "two", "--threads", "2"]);
    assert!(whole == place.bytes("two"), "two threads");

    // Seven parts, then joined.
    let folders: Vec<String> = (1..=7).map(|i| format!("part-{i}")).collect();
    for (i, folder) in (1..).zip(&folders) {
        let part = format!("{i}/7");
        let (code, said) = place.run(&["study", "study.toml", "--part", &part, "--out", folder]);
        assert!(matches!(code, Some(0 | 1)), "{said}");
    }
    let mut merge: Vec<&str> = vec!["merge", "--out", "merged"];
    merge.extend(folders.iter().map(String::as_str));
    let (code, said) = place.run(&merge);
    assert_eq!(code, Some(1), "{said}");
    assert!(whole == place.bytes("merged"), "merged");
    let mut gap: Vec<&str> = vec!["merge", "--out", "gaps"];
    gap.extend(folders.iter().skip(1).map(String::as_str));
    let (code, said) = place.run(&gap);
    assert_eq!(code, Some(8), "{said}");
    assert!(said.contains("missing: runs 0 to 5"), "{said}");

    // Killed at any moment, then finished.
    for (i, wait) in [5, 150, 400].into_iter().enumerate() {
        let out = format!("killed-{i}");
        let mut child = place.start(&["study", "study.toml", "--out", &out]);
        std::thread::sleep(Duration::from_millis(wait));
        let _ = child.kill();
        let _ = child.wait();
        place.run(&["study", "study.toml", "--out", &out]);
        assert!(whole == place.bytes(&out), "killed after {wait} ms");
    }

    // Given again, nothing is computed and nothing changes.
    let (code, said) = place.run(&["study", "study.toml", "--out", "one"]);
    assert_eq!(code, Some(1));
    assert!(said.contains("48 of 48 runs are there already"), "{said}");
    assert!(whole == place.bytes("one"));
}

/// Runs of several shards (of 512), of which most cost little: killed again and again while shards are written.
#[test]
fn a_study_of_several_shards_survives_being_killed_again_and_again() {
    let place = Place::new("shards");
    // Few columns: the engagement alone is computed.
    let few = "[output]\ncolumns = [\"velocity_change_mps\", \"peak_force_n\"]\n";
    let study = STUDY.replace("count = 4", "count = 135") + few;
    place.file("study.toml", &study);
    let (_, said) = place.run(&["study", "study.toml", "--out", "whole"]);
    assert!(said.contains("1215 done, 405 failed"), "{said}");
    let whole = place.bytes("whole");
    let ledger = |folder: &str| {
        std::fs::read(place.0.join(folder).join("ledger.bin")).map_or(0, |bytes| bytes.len())
    };
    let (mut kills, mut grew, mut last) = (0, 0, 0);
    for wait in [40, 150, 300, 450, 600, 800] {
        let mut child = place.start(&["study", "study.toml", "--out", "killed"]);
        std::thread::sleep(Duration::from_millis(wait));
        kills += usize::from(child.try_wait().expect("its state").is_none());
        let _ = child.kill();
        let _ = child.wait();
        let now = ledger("killed");
        assert!(now >= last, "the ledger never gets shorter");
        grew += usize::from(now > last);
        last = now;
    }
    assert!(kills >= 1, "it was never killed in time");
    place.run(&["study", "study.toml", "--out", "killed"]);
    println!("{kills} kills, ledger grew {grew} times");
    assert!(
        whole == place.bytes("killed"),
        "{kills} kills, ledger grew {grew} times"
    );
}

#[cfg(unix)]
#[test]
fn an_interrupt_leaves_a_valid_partial_study() {
    let place = Place::new("interrupt");
    let study = STUDY.replace("count = 4", "count = 64");
    place.file("study.toml", &study);
    let mut child = place.start(&["study", "study.toml", "--out", "out", "--threads", "1"]);
    // Until it has opened its folder, it has nothing to leave.
    while !place.0.join("out/card.json").exists() {
        std::thread::sleep(Duration::from_millis(5));
    }
    std::thread::sleep(Duration::from_millis(300));
    let pid = child.id().to_string();
    Command::new("kill").args(["-INT", &pid]).status().unwrap();
    let code = child.wait().unwrap().code();
    assert_eq!(code, Some(8));
    let study = giveway_results::read_study(&place.0.join("out")).unwrap();
    assert!(study.file.rows < 768);
    assert_eq!(
        study.file.rows + study.file.gaps.iter().map(|g| g.end - g.first).sum::<u64>(),
        768
    );
}

#[test]
fn another_plan_is_refused_unless_mixing_is_asked_for() {
    let place = Place::new("mix");
    let small = "base = \"base.toml\"\n[grid]\nimpact.speed = [\"30 km/h\", \"40 km/h\"]";
    place.file("study.toml", small);
    assert_eq!(
        place.run(&["study", "study.toml", "--out", "out"]).0,
        Some(0)
    );
    place.file("study.toml", &small.replace("40", "50"));
    let (code, said) = place.run(&["study", "study.toml", "--out", "out"]);
    assert_eq!(code, Some(3), "{said}");
    assert!(said.contains("another study"), "{said}");
    let (code, said) = place.run(&["study", "study.toml", "--out", "out", "--mix"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("1 of 2 runs are there already"), "{said}");
    let csv = std::fs::read_to_string(place.0.join("out/runs.csv")).unwrap();
    let speeds: Vec<&str> = csv
        .lines()
        .skip(1)
        .filter_map(|l| l.split(',').nth(4))
        .collect();
    assert_eq!(speeds, ["8.333333333333334", "13.88888888888889"]);
}

#[test]
fn a_dry_run_writes_nothing_and_histories_come_on_request() {
    let place = Place::new("dry");
    place.file(
        "study.toml",
        "base = \"base.toml\"\n[grid]\nimpact.speed = [\"30 km/h\", \"40 km/h\"]",
    );
    let (code, said) = place.run(&[
        "study",
        "study.toml",
        "--out",
        "out",
        "--dry-run",
        "--histories",
        "1",
    ]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("estimate: 2 runs") && said.contains("histories of 1 runs"),
        "{said}"
    );
    assert!(!place.0.join("out").exists());
    let (code, said) = place.run(&["study", "study.toml", "--out", "out", "--histories", "1"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(place.0.join("out/histories/run-1/history.parquet").exists());
    assert!(!place.0.join("out/histories/run-0").exists());
    let (code, said) = place.run(&["study", "study.toml", "--out", "out", "--histories", "2"]);
    assert_eq!(code, Some(2), "{said}");
}

#[test]
fn another_scheduler_is_told_the_plan_and_failed_rows_may_be_results() {
    let place = Place::new("schedule");
    let (code, said) = place.run(&["study", "study.toml", "--plan-json", "--part", "1/5"]);
    assert_eq!(code, Some(0), "{said}");
    let plan: serde_json::Value = first_line(&said);
    assert_eq!(plan["runs"], 48);
    assert_eq!(plan["plan_hash"].as_str().map(str::len), Some(64));
    let parts = plan["parts"].as_array().expect("a list of parts");
    let ends: Vec<_> = parts.iter().filter_map(|p| p["end"].as_u64()).collect();
    assert_eq!(ends, [9, 19, 28, 38, 48]);
    let (code, said) = place.run(&["study", "study.toml", "--plan-json", "--part", "1/49"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(!place.0.join("studies").exists());
    let quiet = ["study", "study.toml", "--out", "out", "--quiet"];
    // The wide washer is an unusual value; nothing else is said.
    let (code, said) = place.run(&quiet);
    assert_eq!(code, Some(1), "{said}");
    let warned = said.contains("T501") && said.matches("warning").count() == 1;
    assert!(
        warned && !said.contains("runs") && !said.contains("done"),
        "{said}"
    );
    let results = [&quiet[..], &["--failed-rows-are-results"]].concat();
    assert_eq!(place.run(&results), (Some(0), said));
    let hash = plan["plan_hash"].as_str().expect("a hash");
    let known = [&results[..], &["--plan-hash", hash]].concat();
    assert_eq!(place.run(&known), (Some(0), String::new()));
}

#[test]
fn bad_input_ends_with_the_right_code() {
    let place = Place::new("bad");
    let refused = |text: &str, part: &str| {
        place.file("bad.toml", text);
        let (code, said) = place.run(&["study", "bad.toml", "--out", "out"]);
        assert_eq!(code, Some(3), "{said}");
        assert!(said.contains("bad.toml:") && said.contains(part), "{said}");
        assert!(!place.0.join("out").exists());
    };
    refused("", "T002");
    refused("base = \"gone.toml\"", "T030");
    refused(
        "base = \"base.toml\"\n[grid]\nimpact.speed = [\"NaN km/h\"]",
        "S024",
    );
    refused(
        "base = \"base.toml\"\n[grid]\nimpact.sped = [\"1 km/h\"]",
        "speed",
    );
    refused(
        "base = \"base.toml\"\n[sample]\ncount = 0\nstandard = [\"mass\"]",
        "T023",
    );
    let (code, _) = place.run(&["study", "gone.toml"]);
    assert_eq!(code, Some(4));
    for part in ["0/3", "4/3", "1", "a/b", "1/0"] {
        assert_eq!(
            place.run(&["study", "study.toml", "--part", part]).0,
            Some(2)
        );
    }
    let (code, said) = place.run(&["study", "study.toml", "--part", "1/90"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("empty"), "{said}");
    let (code, said) = place.run(&["merge", "nowhere", "--out", "merged"]);
    assert_eq!(code, Some(4), "{said}");
}

#[cfg(unix)]
#[test]
fn a_full_disk_ends_with_code_4_and_loses_nothing() {
    let place = Place::new("full");
    let limited = |blocks: u32| {
        let program = env!("CARGO_BIN_EXE_giveway");
        let line = format!("ulimit -f {blocks}; exec {program} study study.toml --out out");
        let output = Command::new("sh")
            .args(["-c", &line])
            .current_dir(&place.0)
            .output()
            .unwrap();
        told(&output)
    };
    // Files of at most 8 blocks: a shard of 48 rows is larger.
    let (code, said) = limited(8);
    assert_eq!(code, Some(4), "{said}");
    let (code, said) = place.run(&["study", "study.toml", "--out", "out"]);
    assert_eq!(code, Some(1), "{said}");
    place.run(&["study", "study.toml", "--out", "free"]);
    assert!(place.bytes("out") == place.bytes("free"));
}

/// Folder names beside the results that a writer leaves when it is killed.
fn hidden(place: &Place) -> Vec<String> {
    let entries = std::fs::read_dir(&place.0).expect("readable folder");
    entries
        .filter_map(|e| e.ok()?.file_name().into_string().ok())
        .filter(|name| name.starts_with('.'))
        .collect()
}

fn three_parts(place: &Place) -> Vec<String> {
    (1..=3)
        .map(|i| {
            let (part, folder) = (format!("{i}/3"), format!("part-{i}"));
            let (code, said) = place.run(&[
                "study",
                "study.toml",
                "--part",
                &part,
                "--out",
                &folder,
                "--no-csv",
                "--quiet",
            ]);
            assert!(matches!(code, Some(0 | 1)), "{said}");
            folder
        })
        .collect()
}

#[test]
fn a_study_without_csv_keeps_its_table_and_can_be_computed_again() {
    let place = Place::new("bare");
    place.run(&["study", "study.toml", "--out", "with"]);
    let (code, said) = place.run(&["study", "study.toml", "--out", "bare", "--no-csv"]);
    assert_eq!(code, Some(1), "{said}");
    let read = |name: &str| std::fs::read(place.0.join(name)).expect("a file of a closed study");
    assert!(read("bare/runs.parquet") == read("with/runs.parquet"));
    assert!(!place.0.join("bare/runs.csv").exists());
    let (code, said) = place.run(&["rerun", "bare", "--number", "7"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("identical: every value of all 48 rows"),
        "{said}"
    );
    let (code, said) = place.run(&["rerun", "bare", "--all"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("identical: all 48 rows and every byte"),
        "{said}"
    );
    let merge = ["merge", "bare", "--out", "merged", "--no-csv", "--quiet"];
    assert_eq!(place.run(&merge).0, Some(1));
    assert!(read("merged/study.json") == read("bare/study.json"));
    assert!(!place.0.join("merged/runs.csv").exists());
}

#[test]
fn parts_that_stay_in_their_files_can_be_computed_again() {
    let place = Place::new("by-part");
    let parts = three_parts(&place);
    let merge = |out: &str| {
        let mut merge = vec!["merge", "--by-part", "--out", out];
        merge.extend(parts.iter().map(String::as_str));
        place.run(&merge)
    };
    let (code, said) = merge("out");
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("36 done, 12 failed"), "{said}");
    assert_eq!(
        place
            .run(&["merge", "part-1", "--by-part", "--mix", "--out", "x"])
            .0,
        Some(2)
    );
    let (code, said) = place.run(&["rerun", "out"]);
    assert_eq!(code, Some(0), "{said}");
    let (code, said) = place.run(&["rerun", "out", "--all"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("identical: all 48 rows and every byte"),
        "{said}"
    );
    // Drawn as any other study.
    let (code, said) = place.run(&["draw", "out", "--value", "velocity_change_mps"]);
    assert_eq!(code, Some(0), "{said}");
    // Killed at any moment: the folder is whole or not there, and the next merge clears away.
    let (_, said) = merge("again");
    assert!(said.contains("36 done"), "{said}");
    let whole = std::fs::read(place.0.join("again/study.json")).expect("a closed study");
    for wait in [0, 2, 4, 8, 16, 32] {
        let mut child = place.start(&[
            "merge",
            "--by-part",
            "--out",
            "killed",
            "part-1",
            "part-2",
            "part-3",
        ]);
        std::thread::sleep(Duration::from_millis(wait));
        let _ = child.kill();
        let _ = child.wait();
        let there = place.0.join("killed");
        assert_eq!(there.exists(), there.join("manifest.json").exists());
        let (code, said) = merge("killed");
        assert_eq!(code, Some(1), "{said}");
        assert!(std::fs::read(there.join("study.json")).expect("a closed study") == whole);
        std::fs::remove_dir_all(&there).expect("a folder to remove");
    }
    assert_eq!(hidden(&place), Vec::<String>::new());
    // A file cut short is found before anything is computed.
    let name = "000000000016-000000000032.parquet";
    let path = place.0.join("out/runs").join(name);
    let bytes = std::fs::read(&path).expect("a part");
    std::fs::remove_file(&path).expect("a part");
    std::fs::write(&path, &bytes[..bytes.len() - 9]).expect("a part");
    let (code, said) = place.run(&["rerun", "out"]);
    assert_eq!(code, Some(11), "{said}");
    assert!(said.contains(name), "{said}");
}

#[cfg(unix)]
#[test]
fn a_full_disk_while_joining_leaves_nothing() {
    let place = Place::new("full-merge");
    let parts = three_parts(&place);
    for blocks in [1, 2, 8] {
        let program = env!("CARGO_BIN_EXE_giveway");
        let line = format!(
            "ulimit -f {blocks}; exec {program} merge --out out {}",
            parts.join(" ")
        );
        let mut command = Command::new("sh");
        command.args(["-c", &line]).current_dir(&place.0);
        let (code, said) = told(&command.output().expect("a shell"));
        assert_eq!(code, Some(4), "{said}");
        assert!(!place.0.join("out").exists());
        assert_eq!(hidden(&place), Vec::<String>::new());
    }
    let mut merge = vec!["merge", "--out", "out"];
    merge.extend(parts.iter().map(String::as_str));
    assert_eq!(place.run(&merge).0, Some(1));
    place.run(&["study", "study.toml", "--out", "whole"]);
    assert!(place.bytes("out") == place.bytes("whole"));
}

#[test]
fn a_plan_that_is_known_by_its_hash_is_not_checked_again_and_no_other_is_taken() {
    let place = Place::new("hash");
    let (_, said) = place.run(&["study", "study.toml", "--plan-json"]);
    let plan: serde_json::Value = first_line(&said);
    let hash = plan["plan_hash"].as_str().expect("a hash");
    let study = [
        "study",
        "study.toml",
        "--out",
        "known",
        "--quiet",
        "--plan-hash",
    ];
    assert_eq!(place.run(&[&study[..], &[hash]].concat()).0, Some(1));
    place.run(&["study", "study.toml", "--out", "whole"]);
    assert!(place.bytes("known") == place.bytes("whole"));
    for other in ["", "00ff", &hash[1..], &hash.to_uppercase()] {
        let (code, said) = place.run(&[&study[..], &[other]].concat());
        assert_eq!(code, Some(3), "{said}");
        assert!(said.contains("T051"), "{said}");
    }
    // One value of the file is another one; one of the base is.
    place.file("study.toml", &STUDY.replace("300 N.m", "301 N.m"));
    let (code, said) = place.run(&[&study[..], &[hash]].concat());
    assert_eq!(code, Some(3), "{said}");
    place.file("study.toml", STUDY);
    let speed = BASE.replace("30 km/h", "31 km/h");
    assert_ne!(speed, BASE);
    place.file("base.toml", &speed);
    let (code, said) = place.run(&[&study[..], &[hash]].concat());
    assert_eq!(code, Some(3), "{said}");
    assert!(said.contains("T051"), "{said}");
}
