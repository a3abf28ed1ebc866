//! Reruns and review notes: what a folder says of itself, and what becomes of it when somebody lays hands on it.

use std::fs;

#[path = "place/copied.rs"]
mod copied;
mod place;
use copied::{copy, forge_table};
use place::{Place, SCENARIO};

/// A pole with something found on site.
fn scenario() -> String {
    format!("{SCENARIO}[as_found]\nrust = \"light\"\n")
}

const STUDY: &str = r#"
title = "Torque and speed"
base = "pole.toml"
[grid]
slip_base.clamp.torque = ["100 N.m", "150 N.m", "2000 N.m"]
impact.speed = ["20 km/h", "30 km/h"]
"#;

fn new_place(name: &str) -> Place {
    let pole = scenario();
    let files = [("pole.toml", pole.as_str()), ("study.toml", STUDY)];
    Place::new(&format!("rerun_{name}"), &files)
}

fn rerun(place: &Place, folder: &str) -> (i32, serde_json::Value) {
    let (code, out, err) = place.run(&["rerun", folder, "--format", "json"]);
    let report = serde_json::from_str(&out).unwrap_or_else(|e| panic!("{e}: {out}{err}"));
    (code, report)
}

/// Replaces a piece of a file, which must be there.
fn edit(place: &Place, name: &str, from: &str, to: &str) {
    let text = fs::read_to_string(place.at(name)).unwrap();
    assert!(text.contains(from), "{name} has no {from}");
    fs::write(place.at(name), text.replacen(from, to, 1)).unwrap();
}

/// A number of the summary as its text stands in the file.
fn number_of(place: &Place, key: &str) -> String {
    let text = fs::read_to_string(place.at("runs/pole/summary.json")).unwrap();
    let rest = text.split(&format!("\"{key}\": ")).nth(1).unwrap();
    rest.split([',', '\n']).next().unwrap().to_owned()
}

#[test]
fn a_run_is_identical_with_any_number_of_threads() {
    let place = new_place("identical");
    // With figures, histories and a finding that is compared.
    place.done(&["run", "pole.toml"]);
    for threads in ["1", "2"] {
        let (code, out, err) = place.run_with(&["rerun", "runs/pole"], Some(threads));
        assert_eq!(code, 0, "{out}{err}");
        assert!(out.contains("identical: "), "{out}");
    }
    let (code, report) = rerun(&place, "runs/pole");
    assert_eq!((code, &report["verdict"]), (0, &"identical".into()));
    let files = report["files"].as_array().unwrap();
    assert!(
        files.len() > 10 && files.iter().all(|f| f["equal"] == true),
        "{report}"
    );
    // Nothing was written into the folder, nothing is left behind.
    assert!(!place.at("runs/pole/review_notes.json").exists());
    // Without figures, histories and comparisons, too.
    place.done(&[
        "run",
        "pole.toml",
        "--no-figures",
        "--no-counterfactuals",
        "--set",
        "output.history=false",
        "--out",
        "bare",
    ]);
    let (code, report) = rerun(&place, "bare");
    assert_eq!(
        (code, report["files"].as_array().unwrap().len()),
        (0, 2),
        "{report}"
    );
}

#[test]
fn each_kind_of_damage_is_told_apart() {
    let place = new_place("damage");
    place.done(&["run", "pole.toml", "--no-figures"]);
    let fresh = |name: &str| {
        let to = place.at(name);
        let _ = fs::remove_dir_all(&to);
        copy(&place.at("runs/pole"), &to);
    };
    let told = |name: &str, code: i32, verdict: &str, words: &[&str]| {
        let (found, report) = rerun(&place, name);
        let sentence = report["sentence"].as_str().unwrap();
        assert_eq!(
            (found, report["verdict"].as_str().unwrap()),
            (code, verdict),
            "{sentence}"
        );
        for word in words {
            assert!(sentence.contains(word), "`{word}` is not in: {sentence}");
        }
        report
    };

    // An edited number: the place and both values.
    let old = number_of(&place, "peak_force_n");
    fresh("edited");
    edit(
        &place,
        "edited/summary.json",
        &format!("\"peak_force_n\": {old}"),
        "\"peak_force_n\": 1000.5",
    );
    let report = told(
        "edited",
        10,
        "tampered",
        &["summary.json", "contact.peak_force_n", "1000.5"],
    );
    assert_eq!(report["first_difference"]["place"], "contact.peak_force_n");
    assert_eq!(report["first_difference"]["first"], "1000.5");
    let computed: f64 = report["first_difference"]["second"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    assert_eq!(computed, old.parse::<f64>().unwrap());
    assert!(
        report["reasons"][0]
            .as_str()
            .unwrap()
            .starts_with("edited file")
    );

    // The same with a manifest that was made to fit: only computing again shows it.
    let edited = fs::read(place.at("edited/summary.json")).unwrap();
    fresh("forged");
    let before = fs::read(place.at("forged/summary.json")).unwrap();
    fs::write(place.at("forged/summary.json"), &edited).unwrap();
    let hash = |bytes: &[u8]| giveway_results::hash_text(std::str::from_utf8(bytes).unwrap());
    edit(
        &place,
        "forged/manifest.json",
        &hash(&before),
        &hash(&edited),
    );
    edit(
        &place,
        "forged/manifest.json",
        &format!("\"bytes\": {}", before.len()),
        &format!("\"bytes\": {}", edited.len()),
    );
    let report = told("forged", 9, "differs", &["contact.peak_force_n"]);
    assert!(
        report["reasons"][0]
            .as_str()
            .unwrap()
            .starts_with("checksums, versions")
    );

    // A cell of a table.
    fresh("cell");
    let csv = fs::read_to_string(place.at("cell/history.csv")).unwrap();
    let line = csv.lines().nth(40).unwrap().to_owned();
    let cells: Vec<&str> = line.split(',').collect();
    edit(
        &place,
        "cell/history.csv",
        &line,
        &line.replacen(cells[1], "-7.25", 1),
    );
    let report = told("cell", 10, "tampered", &["history.csv"]);
    assert_eq!(
        report["first_difference"]["place"],
        "column vehicle_x_m, row 40"
    );

    // A cut file, a missing one, both.
    fresh("cut");
    let bytes = fs::read(place.at("cut/history.parquet")).unwrap();
    fs::write(place.at("cut/history.parquet"), &bytes[..bytes.len() / 2]).unwrap();
    told("cut", 11, "cut-short", &["history.parquet"]);
    fresh("missing");
    fs::remove_file(place.at("missing/vehicle_record.csv")).unwrap();
    told(
        "missing",
        12,
        "missing-file",
        &["vehicle_record.csv", "identical"],
    );

    // The input.
    fresh("input");
    edit(&place, "input/scenario.toml", "\"30 km/h\"", "\"31 km/h\"");
    told(
        "input",
        10,
        "tampered",
        &["scenario.toml", "nothing was computed"],
    );
    fs::remove_file(place.at("input/scenario.toml")).unwrap();
    told("input", 12, "missing-file", &["scenario.toml"]);

    // Other versions: of the model with other numbers, of the format.
    fresh("model");
    edit(
        &place,
        "model/manifest.json",
        "\"model_version\": ",
        "\"model_version\": 9",
    );
    told(
        "model",
        10,
        "tampered",
        &["name different versions of the model"],
    );
    fresh("format");
    edit(
        &place,
        "format/manifest.json",
        "\"format\": 1",
        "\"format\": 7",
    );
    told("format", 13, "foreign-version", &["format 7"]);

    // The manifest.
    fresh("manifest");
    let text = fs::read_to_string(place.at("manifest/manifest.json")).unwrap();
    fs::write(place.at("manifest/manifest.json"), &text[..text.len() / 2]).unwrap();
    told("manifest", 11, "cut-short", &["manifest.json"]);
    fs::write(
        place.at("manifest/manifest.json"),
        text.replacen(':', "=", 1),
    )
    .unwrap();
    told("manifest", 10, "tampered", &["manifest.json"]);
    let outside = text.replacen("\"summary.json\"", "\"../../../etc/passwd\"", 1);
    fs::write(place.at("manifest/manifest.json"), outside).unwrap();
    told("manifest", 10, "tampered", &["no file of the folder"]);

    // No results.
    told("pole.toml", 14, "no-results", &["it is a file"]);
    told("nowhere", 14, "no-results", &["no such folder"]);
    fs::create_dir_all(place.at("empty")).unwrap();
    told("empty", 14, "no-results", &["has no `manifest.json`"]);
    fs::write(place.at("empty/manifest.json"), "{\"kind\": \"something\"}").unwrap();
    told("empty", 14, "no-results", &["something"]);
    fs::write(place.at("empty/manifest.json"), "[]").unwrap();
    told("empty", 14, "no-results", &["another program"]);

    // Several folders: the highest code.
    let (code, _, err) = place.run(&["rerun", "runs/pole", "missing", "edited"]);
    assert_eq!(code, 12, "{err}");
}

#[test]
fn a_note_stays_outside_the_checksums_and_keeps_its_folder() {
    let place = new_place("notes");
    place.done(&["run", "pole.toml", "--no-figures"]);
    assert!(
        place
            .done(&["note", "runs/pole"])
            .contains("no review notes")
    );
    let text = "Checked by hand: <b>the impulse</b> fits.\nSecond line.";
    let sign = |name: &str, date: &str, text: &str| {
        place.run(&[
            "note",
            "runs/pole",
            "--name",
            name,
            "--date",
            date,
            "--text",
            text,
        ])
    };
    assert_eq!(sign("R. Eviewer", "2026-03-31", text).0, 0);
    assert_eq!(sign("S. Econd", "2026-04-01", "Agreed.").0, 0);
    let listed = place.done(&["note", "runs/pole"]);
    assert!(
        listed.contains("2026-03-31  R. Eviewer\n  Checked by hand"),
        "{listed}"
    );
    assert!(listed.contains("2026-04-01  S. Econd"), "{listed}");
    let (code, report) = rerun(&place, "runs/pole");
    assert_eq!(code, 0, "{report}");
    assert!(
        report["remarks"].to_string().contains("2 review notes"),
        "{report}"
    );
    // A run does not replace somebody's work.
    let (code, _, err) = place.run(&["run", "pole.toml", "--no-figures"]);
    assert_eq!(code, 4, "{err}");
    assert!(err.contains("review notes"), "{err}");
    assert!(place.done(&["note", "runs/pole"]).contains("Agreed."));
    // What is refused.
    for (name, date, text) in [
        ("a\u{1b}[1m", "2026-01-01", "t"),
        ("n", "2026-02-30", "t"),
        ("n", "2026-01-01", "a\u{202e}b"),
        ("", "2026-01-01", "t"),
    ] {
        let (code, _, err) = sign(name, date, text);
        assert_eq!(code, 2, "{err}");
    }
    assert_eq!(place.run(&["note", "runs"]).0, 14);
    edit(&place, "runs/pole/summary.json", "\"format\"", "\"formal\"");
    assert_eq!(sign("n", "2026-01-01", "t").0, 10);
    fs::write(place.at("runs/pole/review_notes.json"), "{").unwrap();
    assert_eq!(place.run(&["note", "runs/pole"]).0, 4);
}

#[test]
fn a_study_is_computed_again_from_its_own_plan() {
    let place = new_place("study");
    place.done(&[
        "study",
        "study.toml",
        "--out",
        "grid",
        "--set",
        "vehicle.mass=1050 kg",
        "--quiet",
    ]);
    fs::remove_file(place.at("study.toml")).unwrap();
    fs::rename(place.at("pole.toml"), place.at("elsewhere.toml")).unwrap();
    let (code, report) = rerun(&place, "grid");
    assert_eq!(code, 0, "{report}");
    assert_eq!(report["rows"], serde_json::json!([6, 6]));
    let out = place.done(&["rerun", "grid", "--rows", "3"]);
    assert!(
        out.contains("sample identical: every value of 3 rows of 6"),
        "{out}"
    );
    let out = place.done(&["rerun", "grid", "--all"]);
    assert!(out.contains("all 6 rows and every byte"), "{out}");
    place.done(&["merge", "grid", "--out", "joined", "--quiet"]);
    place.done(&["rerun", "joined", "--all"]);

    // A forged table: the place, by computing.
    copy(&place.at("grid"), &place.at("forged"));
    forge_table(&place.at("forged"));
    assert_eq!(rerun(&place, "forged").0, 10);
    // Another plan than the table's.
    copy(&place.at("grid"), &place.at("other"));
    edit(&place, "other/plan.json", "2000 N.m", "1900 N.m");
    assert_eq!(rerun(&place, "other").0, 10);
    // A folder without its plan.
    copy(&place.at("joined"), &place.at("bare"));
    fs::remove_file(place.at("bare/plan.json")).unwrap();
    assert_eq!(rerun(&place, "bare").0, 12);
    let manifest = fs::read_to_string(place.at("bare/manifest.json")).unwrap();
    let mut value: serde_json::Value = serde_json::from_str(&manifest).unwrap();
    value["files"]
        .as_array_mut()
        .unwrap()
        .retain(|f| f["name"] != "plan.json");
    fs::write(place.at("bare/manifest.json"), value.to_string()).unwrap();
    let (code, report) = rerun(&place, "bare");
    assert_eq!(code, 2, "{report}");
    assert!(report["sentence"].as_str().unwrap().contains("--plan"));
    // A study that was not closed.
    copy(&place.at("grid"), &place.at("open"));
    for name in ["manifest.json", "study.json"] {
        fs::remove_file(place.at("open").join(name)).unwrap();
    }
    let (code, report) = rerun(&place, "open");
    assert_eq!(code, 14);
    assert!(
        report["sentence"].as_str().unwrap().contains("not closed"),
        "{report}"
    );
}
