//! Findings on site as a person meets them: listed by `check`, compared and ranked by `run`.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Findings that each hold the base.
const FOUND: &str = r#"
[as_found]
rust = "seized"
[as_found.grout]
gap = "-28 mm"
strength = "35 MPa"
cover = "90 mm"
"#;

/// A folder of its own for one test with a scenario in it.
fn place(name: &str, found: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let first = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/first.toml");
    let text = std::fs::read_to_string(first).expect("the first scenario");
    std::fs::write(folder.join("pole.toml"), format!("{text}\n{found}")).expect("a scenario");
    folder
}

/// What the program prints.
fn printed(folder: &Path, arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let text = String::from_utf8(output.stdout).expect("UTF-8 output");
    assert_eq!(
        output.status.code(),
        Some(0),
        "{text}{}",
        String::from_utf8_lossy(&output.stderr)
    );
    text
}

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).expect("one JSON object")
}

#[test]
fn a_run_compares_what_was_found_and_ranks_it() {
    let folder = place("conditions_ranked", FOUND);
    let text = printed(&folder, &["run", "pole.toml", "--no-figures"]);
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "Found on site, worst first: velocity change",
        "with everything put right",
        "1. ",
        "2. ",
        "grout at the bolt heads:",
        "rust in the joint:",
        "! seized:",
        "if put right",
    ] {
        assert!(flat.contains(wanted), "`{wanted}` is not in\n{text}");
    }
    let line = json(&printed(
        &folder,
        &["run", "pole.toml", "--no-figures", "--format", "json"],
    ));
    let conditions = line["summary"]["conditions"].as_array().expect("a list");
    assert_eq!(conditions.len(), 2);
    for (i, c) in conditions.iter().enumerate() {
        assert_eq!(c["rank"], i + 1);
        let found = c["as_found"]["velocity_change_mps"]
            .as_f64()
            .expect("a number");
        let right = c["if_put_right"]["velocity_change_mps"]
            .as_f64()
            .expect("a number");
        assert_eq!(c["gain_mps"].as_f64(), Some(found - right));
        assert!(
            c["sentence"]
                .as_str()
                .is_some_and(|s| s.contains("m/s as found"))
        );
    }
    let written = std::fs::read_to_string(folder.join("runs/pole/summary.json")).expect("summary");
    assert_eq!(json(&written)["conditions"], line["summary"]["conditions"]);
}

#[test]
fn the_comparison_can_be_left_out_and_changes_nothing_else() {
    let folder = place("conditions_left_out", FOUND);
    let arguments = ["run", "pole.toml", "--no-figures", "--format", "json"];
    let mut with = json(&printed(&folder, &arguments));
    let mut without = json(&printed(
        &folder,
        &[&arguments[..], &["--no-counterfactuals"]].concat(),
    ));
    assert_eq!(without["summary"]["conditions"], serde_json::json!([]));
    for line in [&mut with, &mut without] {
        let summary = line["summary"].as_object_mut().expect("a summary");
        summary.remove("conditions");
        for flag in summary["flags"].as_array_mut().expect("flags") {
            flag.as_object_mut().expect("a flag").remove("consequence");
        }
    }
    assert_eq!(with, without);
    let text = printed(
        &folder,
        &["run", "pole.toml", "--no-figures", "--no-counterfactuals"],
    );
    assert!(!text.contains("Found on site"), "{text}");
}

#[test]
fn check_lists_what_was_found() {
    let folder = place("conditions_listed", FOUND);
    let text = printed(&folder, &["check", "pole.toml"]);
    let found = text.split("found on site").nth(1).expect("the list");
    assert!(
        found.contains("grout at the bolt heads  (as_found.grout)"),
        "{text}"
    );
    assert!(
        found.contains("rust in the joint  (as_found.rust)"),
        "{text}"
    );
    let clean = place("conditions_none", "");
    assert!(!printed(&clean, &["check", "pole.toml"]).contains("found on site"));
}
