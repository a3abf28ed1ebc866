//! `giveway sheet` as a person uses it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn shipped(name: &str) -> String {
    let path = format!("{}/../../scenarios/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    assert!(Path::new(&path).is_file(), "{path}");
    path
}

fn giveway(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_giveway"))
        .arg("sheet")
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// An empty folder for one test.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

#[test]
fn text_is_printed_and_changes_count() {
    let ended = giveway(&[
        &shipped("first"),
        "--set",
        "slip_base.clamp.torque=\"200 N.m\"",
    ]);
    assert_eq!(ended.status.code(), Some(0));
    let out = text(&ended.stdout);
    assert!(out.starts_with("INSTALLATION SHEET: Ring road, pole 1"));
    assert!(out.contains("100 N.m, then 200 N.m"), "{out}");
    assert!(out.contains("HOLD POINT") && out.contains("Caution:"));
}

#[test]
fn the_name_of_the_file_asks_for_the_format() {
    let folder = folder("sheet_out");
    let html = folder.join("pole.html");
    for _ in 0..2 {
        // The second time it replaces the first.
        let ended = giveway(&[&shipped("first"), "--out", &html.display().to_string()]);
        assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
        assert!(ended.stdout.is_empty());
    }
    let page = std::fs::read_to_string(&html).expect("the page");
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>\n"));
    let json = folder.join("pole.json");
    let ended = giveway(&[&shipped("first"), "--out", &json.display().to_string()]);
    assert_eq!(ended.status.code(), Some(0));
    let read = std::fs::read_to_string(&json).expect("the object");
    let value: serde_json::Value = serde_json::from_str(&read).expect("JSON");
    assert_eq!(value["bolts"]["length_m"], 0.11);
    assert_eq!(value["tightening"]["stages"][1]["torque_nm"], 180.0);
    let mut left: Vec<String> = std::fs::read_dir(&folder)
        .expect("the folder")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    left.sort();
    assert_eq!(left, ["pole.html", "pole.json"], "nothing temporary stays");
}

#[test]
fn the_same_scenario_gives_the_same_page() {
    let arguments = [&*shipped("heavy_15m_long_arm"), "--format", "html"];
    assert_eq!(giveway(&arguments).stdout, giveway(&arguments).stdout);
}

#[test]
fn a_page_that_is_too_full_is_told_and_written_all_the_same() {
    let first = shipped("first");
    let title = format!("title=\"{}\"", "a long road ".repeat(30));
    // Everything that must be settled first takes room.
    let mut arguments = vec![first.as_str()];
    for change in [
        title.as_str(),
        "slip_base.clamp.torque=\"60 N.m\"",
        "slip_base.keeper.present=false",
        "slip_base.notch.included_angle=\"60 deg\"",
        "site.slip_plane_height=\"120 mm\"",
        "slip_base.washers.plate_thickness=\"4 mm\"",
        "slip_base.bolt.length=\"200 mm\"",
    ] {
        arguments.extend(["--set", change]);
    }
    let ended = giveway(&[arguments.as_slice(), &["--format", "html"]].concat());
    assert_eq!(ended.status.code(), Some(0));
    let err = text(&ended.stderr);
    assert!(err.contains("warning: the page "), "{err}");
    assert!(text(&ended.stdout).ends_with("</html>\n"));
    // Only paper has pages, and the sheet as shipped fits one.
    let as_text = giveway(&[arguments.as_slice(), &["--format", "text"]].concat());
    assert!(!text(&as_text.stderr).contains("the page"));
    let plain = giveway(&[&first, "--format", "html"]);
    assert_eq!(text(&plain.stderr), "");
}

#[test]
fn a_fixed_obstacle_is_refused() {
    let ended = giveway(&[&shipped("published/v3_rigid_pole_35")]);
    assert_eq!(ended.status.code(), Some(3));
    assert!(ended.stdout.is_empty());
    let err = text(&ended.stderr);
    assert!(
        err.contains("slip_base.anchorage is \"fixed\"") && err.contains("set it to \"slip\""),
        "{err}"
    );
}

#[test]
fn wrong_scenarios_and_places_have_their_codes() {
    let first = shipped("first");
    let unit = giveway(&[&first, "--set", "slip_base.bolt.length=110"]);
    assert_eq!(unit.status.code(), Some(3));
    assert!(
        text(&unit.stderr).contains("110 mm"),
        "{}",
        text(&unit.stderr)
    );
    let gravity = giveway(&[&first, "--set", "site.gravity=\"0 m/s2\""]);
    assert_eq!(gravity.status.code(), Some(1));
    assert!(text(&gravity.stderr).contains("gravity"));
    assert_eq!(giveway(&["nowhere.toml"]).status.code(), Some(4));
    let folder = folder("sheet_place");
    let ended = giveway(&[&first, "--out", &folder.display().to_string()]);
    assert_eq!(ended.status.code(), Some(4));
    assert!(text(&ended.stderr).contains("is a folder"));
    let inside = folder.join("missing").join("pole.html");
    let ended = giveway(&[&first, "--out", &inside.display().to_string()]);
    assert_eq!(ended.status.code(), Some(4));
    assert!(text(&ended.stderr).contains("cannot be written"));
    assert_eq!(giveway(&[&first, "--format", "pdf"]).status.code(), Some(2));
}
