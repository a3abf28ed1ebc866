//! Faults that somebody found; each file opens with what was seen and what is expected.

#[path = "place/copied.rs"]
mod copied;
mod place;
#[path = "../../../tests/thorough.rs"]
mod thorough;

#[path = "regress/changed_replay_was_shown.rs"]
mod changed_replay_was_shown;
#[path = "regress/clock_blamed_the_channel.rs"]
mod clock_blamed_the_channel;
#[path = "regress/commas_led_in_a_circle.rs"]
mod commas_led_in_a_circle;
#[path = "regress/comparison_hid_the_headline.rs"]
mod comparison_hid_the_headline;
#[path = "regress/documents_said_no_place.rs"]
mod documents_said_no_place;
#[path = "regress/doubt_of_a_unit_was_silent.rs"]
mod doubt_of_a_unit_was_silent;
#[path = "regress/drift_was_no_sentence.rs"]
mod drift_was_no_sentence;
#[path = "regress/fit_said_nothing.rs"]
mod fit_said_nothing;
#[path = "regress/forged_study_passed.rs"]
mod forged_study_passed;
#[path = "regress/halved_trace_was_the_same.rs"]
mod halved_trace_was_the_same;
#[path = "regress/killed_runs_left_rubbish.rs"]
mod killed_runs_left_rubbish;
#[path = "regress/limit_of_another_document.rs"]
mod limit_of_another_document;
#[path = "regress/missing_table_had_no_line.rs"]
mod missing_table_had_no_line;
#[path = "regress/mutants.rs"]
mod mutants;
#[path = "regress/notes_were_lost.rs"]
mod notes_were_lost;
#[path = "regress/older_model_hid_a_forgery.rs"]
mod older_model_hid_a_forgery;
#[path = "regress/one_signal_measured_two.rs"]
mod one_signal_measured_two;
#[path = "regress/report_of_a_study_drew_all.rs"]
mod report_of_a_study_drew_all;
#[path = "regress/seals.rs"]
mod seals;
#[path = "regress/short_study_kept_nothing.rs"]
mod short_study_kept_nothing;
#[path = "regress/struck_side_lost_momentum.rs"]
mod struck_side_lost_momentum;
#[path = "regress/table_showed_no_cell.rs"]
mod table_showed_no_cell;
#[path = "regress/title_printed_a_verdict.rs"]
mod title_printed_a_verdict;
#[path = "regress/unmeasured_axis_passed.rs"]
mod unmeasured_axis_passed;
#[path = "regress/value_without_unit.rs"]
mod value_without_unit;
#[path = "regress/window_gave_a_false_reason.rs"]
mod window_gave_a_false_reason;
#[path = "regress/window_lost_the_profile.rs"]
mod window_lost_the_profile;

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use copied::{copy, forge_table};
use place::{Place, SCENARIO};

fn new_place(name: &str) -> Place {
    Place::new(&format!("regress_{name}"), &[("pole.toml", SCENARIO)])
}

/// The laboratory's test 7: scenario, table and its description `record.toml`.
fn laboratory(name: &str) -> Place {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/laboratory");
    let place = Place::new(&format!("regress_{name}"), &[]);
    for (from, to) in [
        ("test_7.toml", "test_7.toml"),
        ("test_7.csv", "test_7.csv"),
        ("record_7.toml", "record.toml"),
    ] {
        fs::copy(root.join(from), place.at(to)).unwrap();
    }
    place
}

/// Changes the cells of each row of the laboratory's table: clock, along, across, yaw rate.
fn change_cells(place: &Place, change: impl Fn(&mut [f64; 4])) {
    let text = fs::read_to_string(place.at("test_7.csv")).unwrap();
    let (head, rows) = text.split_once('\n').unwrap();
    let mut out = format!("{head}\n");
    for row in rows.lines() {
        let mut cells = [0.0; 4];
        for (cell, text) in cells.iter_mut().zip(row.split(',')) {
            *cell = text.parse().unwrap();
        }
        change(&mut cells);
        let [t, along, across, yaw] = cells;
        out.push_str(&format!("{t:.4},{along:.5},{across:.5},{yaw:.4}\n"));
    }
    fs::write(place.at("test_7.csv"), out).unwrap();
}

/// The description without the channels that are measured across and of yaw.
fn only_along(place: &Place) {
    let text = fs::read_to_string(place.at("record.toml")).unwrap();
    let start = text.find("[[channel]]\ncolumn = \"A4_TRANS\"").unwrap();
    fs::write(place.at("record.toml"), &text[..start]).unwrap();
}

/// What `giveway record` says of a record that it refuses.
fn record_refused(place: &Place) -> String {
    let (code, out, err) = place.run(&["record", "record.toml"]);
    assert_eq!(code, 3, "{out}{err}");
    err
}

/// Starts the program without waiting for it.
fn start(place: &Place, arguments: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args(arguments)
        .current_dir(place.at(""))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Every name in a folder.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .map(|entries| {
            entries
                .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
                .collect()
        })
        .unwrap_or_default();
    names.sort();
    names
}

/// Puts right every length and checksum of a manifest, and of a study's closing file, as a forger would.
fn rehash(folder: &Path) {
    for name in ["study.json", "manifest.json"] {
        let path = folder.join(name);
        let Ok(text) = fs::read_to_string(&path) else {
            continue;
        };
        let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
        for file in value["files"].as_array_mut().unwrap() {
            let bytes = fs::read(folder.join(file["name"].as_str().unwrap())).unwrap();
            file["bytes"] = bytes.len().into();
            file["blake3"] = blake3::hash(&bytes).to_hex().to_string().into();
        }
        if folder.join("scenario.toml").exists() {
            let input = fs::read(folder.join("scenario.toml")).unwrap();
            value["input_blake3"] = blake3::hash(&input).to_hex().to_string().into();
        }
        fs::write(path, format!("{value:#}\n")).unwrap();
    }
}

/// Replaces a piece of a file, which must be there.
fn edit(path: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(path).unwrap();
    assert!(text.contains(from), "{} has no {from}", path.display());
    fs::write(path, text.replacen(from, to, 1)).unwrap();
}
