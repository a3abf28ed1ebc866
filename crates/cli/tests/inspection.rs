//! `giveway inspect` as a person uses it: exit codes, formats, many poles, and what is left alone.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const SITE: &str = "../../scenarios/site";

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
            .join("inspection")
            .join(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(folder.join("types")).expect("a folder for the test");
        for name in ["ring_road_12m.toml", "lane_9m.toml"] {
            let from = Path::new(env!("CARGO_MANIFEST_DIR"))
                .join(SITE)
                .join("types")
                .join(name);
            std::fs::copy(from, folder.join("types").join(name)).expect("a type");
        }
        Place(folder)
    }

    fn file(&self, name: &str, content: impl AsRef<[u8]>) -> &Self {
        std::fs::write(self.0.join(name), content).expect("a file for the test");
        self
    }

    fn run_with(&self, threads: &str, arguments: &[&str]) -> (i32, String, String) {
        let output = Command::new(env!("CARGO_BIN_EXE_giveway"))
            .args(arguments)
            .env("RAYON_NUM_THREADS", threads)
            .current_dir(&self.0)
            .stdin(Stdio::null())
            .output()
            .expect("the program starts");
        (
            output.status.code().expect("a code"),
            String::from_utf8(output.stdout).expect("UTF-8 output"),
            String::from_utf8(output.stderr).expect("UTF-8 errors"),
        )
    }

    fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        self.run_with("2", arguments)
    }

    fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.0.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
}

/// A shipped record, its type's path set for the test's folder.
fn shipped(pole: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(SITE)
        .join(format!("records/{pole}.toml"));
    std::fs::read_to_string(path)
        .expect("a shipped record")
        .replace("../types/", "types/")
}

#[test]
fn exit_codes_tell_go_no_go_and_cannot_tell() {
    let place = Place::new("codes");
    for (pole, code, word) in [
        ("HV-0101", 0, "GO"),
        ("HV-0107", 6, "CANNOT TELL"),
        ("HV-0103", 7, "NO-GO"),
    ] {
        place.file("r.toml", shipped(pole));
        let (got, out, err) = place.run(&["inspect", "r.toml"]);
        assert_eq!(got, code, "{pole}\n{out}\n{err}");
        assert!(out.contains(&format!(": {word}\n")), "{out}");
        assert!(out.contains("no substitute for a full-scale"), "{out}");
        // Checks have titles, not keys.
        assert!(
            !out.contains("_mps") && !out.contains("stub_height") && !out.contains("roof_crush"),
            "{out}"
        );
        assert!(err.is_empty(), "{err}");
    }
    let (_, help, _) = place.run(&["inspect", "--help"]);
    assert!(
        help.contains("or an inspection says go")
            && help.contains("6  an inspection cannot tell")
            && help.contains("7  an inspection says no-go"),
        "{help}"
    );
    // It promised one page where an inspection takes two.
    assert!(
        help.contains("Two printable pages at most") && !help.contains("One printable page"),
        "{help}"
    );
}

#[test]
fn wrong_records_are_refused_with_their_places() {
    let place = Place::new("wrong");
    place.file(
        "bad.toml",
        shipped("HV-0101")
            .replace("\"25 mm\"", "25")
            .replace("rust =", "rusd ="),
    );
    let (code, out, err) = place.run(&["inspect", "bad.toml"]);
    assert_eq!((code, out.as_str()), (3, ""), "{err}");
    for part in [
        "bad.toml:14:1: error[R020]: grout_gap",
        "try: grout_gap = \"25 mm\"",
        "error[R010]: rusd",
        "try: rust",
    ] {
        assert!(err.contains(part), "{part}\n{err}");
    }
    place.file(
        "lost.toml",
        shipped("HV-0101").replace("types/ring", "types/rong"),
    );
    let (code, _, err) = place.run(&["inspect", "lost.toml"]);
    assert_eq!(code, 4, "{err}");
    assert!(err.contains("lost.toml:7:1: error[R040]: type"), "{err}");
    place.file("types/broken.toml", "title = \"x\"\n");
    place.file(
        "broken.toml",
        shipped("HV-0101").replace("ring_road_12m", "broken"),
    );
    let (code, _, err) = place.run(&["inspect", "broken.toml"]);
    assert_eq!(code, 3, "{err}");
    assert!(
        err.contains("error[S011]") && err.contains("error[R041]"),
        "{err}"
    );
    // A day that the calendar does not have: one error, with what was found.
    place.file(
        "day.toml",
        shipped("HV-0101").replace("date = 2025-09-12", "date = 2025-02-30"),
    );
    let (code, _, err) = place.run(&["inspect", "day.toml"]);
    assert_eq!((code, err.matches("error[").count()), (3, 1), "{err}");
    assert!(
        err.contains("error[R014]: date") && err.contains("2025-02-30"),
        "{err}"
    );
    place.file("semi.csv", "pole;type;date\nHV-1;t;2025-01-01\n");
    let (code, _, err) = place.run(&["inspect", "semi.csv"]);
    assert_eq!((code, err.matches("error[").count()), (3, 1), "{err}");
    assert!(err.contains("commas"), "{err}");
    place.file("empty.toml", "");
    assert_eq!(place.run(&["inspect", "empty.toml"]).0, 3);
    place.file("latin.csv", b"pole,type,date\nHV-1\xe9,t,2025-01-01\n");
    let (code, _, err) = place.run(&["inspect", "latin.csv"]);
    assert_eq!(code, 3);
    assert!(err.contains("not UTF-8 text (line 2)"), "{err}");
    assert_eq!(place.run(&["inspect", "nowhere.toml"]).0, 4);
    let (code, page, _) = place.run(&["explain", "R020"]);
    assert_eq!(code, 0);
    assert!(page.contains("grout_gap = \"20 mm\""), "{page}");
}

#[test]
fn formats_and_files() {
    let place = Place::new("formats");
    place.file("r.toml", shipped("HV-0102"));
    let (code, json, _) = place.run(&["inspect", "r.toml", "--format", "json"]);
    assert_eq!(code, 7);
    let value: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(value["pole"], "HV-0102");
    assert_eq!(value["decision"], "no-go");
    assert_eq!(value["conditions"][0]["kind"], "grout");
    assert!(
        value["caution"]
            .as_str()
            .expect("caution")
            .contains("no substitute")
    );
    let (code, out, _) = place.run(&["inspect", "r.toml", "--out", "page.html"]);
    assert_eq!((code, out.as_str()), (7, ""));
    let page = String::from_utf8(place.read("page.html")).expect("UTF-8");
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("-22 mm"));
    // The record is not written over.
    let (code, _, err) = place.run(&["inspect", "r.toml", "--out", "r.toml"]);
    assert_eq!(code, 2, "{err}");
    assert!(place.read("r.toml").starts_with(b"# "));
    let own_type = "types/ring_road_12m.toml";
    assert_eq!(place.run(&["inspect", "r.toml", "--out", own_type]).0, 2);
    assert!(place.read(own_type).starts_with(b"# "));
}

#[test]
fn a_folder_and_a_list_give_the_same_and_threads_change_nothing() {
    let place = Place::new("many");
    let site = Path::new(env!("CARGO_MANIFEST_DIR")).join(SITE);
    let list = std::fs::read_to_string(site.join("poles.csv")).expect("the list");
    // One bad row, and one that is a second record of its pole.
    let bad = format!("{list}HV-0999,types/lane_9m.toml\n");
    place.file("poles.csv", &bad);
    let (code, out, err) = place.run_with("1", &["inspect", "poles.csv", "--out", "one"]);
    assert_eq!(code, 7, "{err}");
    assert!(err.contains("poles.csv:15:1: error[R061]"), "{err}");
    assert!(
        out.contains("12 poles: ") && out.contains("1 record refused"),
        "{out}"
    );
    let list = String::from_utf8(place.read("one/poles.txt")).expect("UTF-8");
    let first = list
        .find("UNREADABLE  HV-0999  poles.csv:15")
        .expect("a line");
    assert!(first < list.find("no-go  ").expect("a pole"), "{list}");
    place.run_with("2", &["inspect", "poles.csv", "--out", "two"]);
    for name in [
        "poles.csv",
        "poles.json",
        "poles.parquet",
        "poles.txt",
        "inspections.jsonl",
        "problems.txt",
    ] {
        assert_eq!(
            place.read(&format!("one/{name}")),
            place.read(&format!("two/{name}")),
            "{name}"
        );
    }
    // The same poles as records: the same order and the same numbers.
    std::fs::create_dir(place.0.join("records")).expect("a folder");
    for entry in std::fs::read_dir(site.join("records")).expect("records") {
        let path = entry.expect("an entry").path();
        let pole = path
            .file_stem()
            .expect("a stem")
            .to_string_lossy()
            .into_owned();
        place.file(
            &format!("records/{pole}.toml"),
            shipped(&pole).replace("types/", "../types/"),
        );
    }
    let (code, _, err) = place.run(&["inspect", "records", "--out", "three"]);
    assert_eq!(code, 7, "{err}");
    let numbers = |name: &str| -> Vec<String> {
        String::from_utf8(place.read(name))
            .expect("UTF-8")
            .lines()
            // The faulty row stands first; the folder has none.
            .filter(|l| !l.starts_with("0,"))
            .map(|l| l.rsplitn(3, ',').last().unwrap_or_default().to_owned())
            .collect()
    };
    assert_eq!(numbers("one/poles.csv"), numbers("three/poles.csv"));
    // One of many.
    let (code, out, _) = place.run(&["inspect", "poles.csv", "--pole", "HV-0101"]);
    assert_eq!(code, 3, "the bad row still counts: {out}");
    assert!(out.starts_with("POLE HV-0101"), "{out}");
    assert_eq!(place.run(&["inspect", "records", "--pole", "HV-0101"]).0, 0);
    assert_eq!(place.run(&["inspect", "records", "--pole", "HV-9"]).0, 2);
    let (code, page, _) = place.run(&["inspect", "records", "--format", "html"]);
    assert_eq!(code, 7);
    assert!(
        page.starts_with("<!DOCTYPE html>") && page.contains("HV-0205"),
        "{page}"
    );
    // A folder with something else in it is not replaced.
    place.file("one/mine.txt", "keep");
    let (code, _, err) = place.run(&["inspect", "poles.csv", "--out", "one"]);
    assert_eq!(code, 4, "{err}");
    assert_eq!(place.read("one/mine.txt"), b"keep");
}
