//! `giveway run --used`: a vehicle that a second test starts with as the first left it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn first() -> String {
    format!("{}/../../scenarios/first.toml", env!("CARGO_MANIFEST_DIR"))
}

fn giveway(arguments: &[&str]) -> Output {
    let mut all = vec!["run"];
    all.extend(arguments);
    all.extend([
        "--quiet",
        "--no-figures",
        "--set",
        "flight.follow_pole=false",
    ]);
    let mut program = Command::new(env!("CARGO_BIN_EXE_giveway"));
    program.args(all).output().expect("the program starts")
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn summary(folder: &Path) -> serde_json::Value {
    let text = std::fs::read_to_string(folder.join("summary.json")).expect("a summary");
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn the_dent_of_an_earlier_folder_is_where_the_next_run_starts() {
    let (one, two) = (folder("used_face_one"), folder("used_face_two"));
    let (a, b) = (one.display().to_string(), two.display().to_string());
    assert_eq!(giveway(&[&first(), "--out", &a]).status.code(), Some(0));
    let ended = giveway(&[&first(), "--used", &a, "--out", &b]);
    assert_eq!(ended.status.code(), Some(0), "{ended:?}");
    let (new, used) = (summary(&one), summary(&two));
    // The bumper, the middle one of three bands, is the foremost.
    let dent = new["contact"]["permanent_crush_m"][1].as_f64().unwrap();
    let kept = std::fs::read_to_string(two.join("scenario.toml")).unwrap();
    let loaded = giveway_scenario::read(&kept, "scenario.toml", &[]).unwrap();
    let start = loaded.scenario.vehicle.front.bands[1].setback_m;
    assert!(dent > 0.05 && (start - dent).abs() < 1e-4, "{dent} {start}");
    // A harder face.
    let peak = |s: &serde_json::Value| s["contact"]["peak_force_n"].as_f64().unwrap();
    assert!(peak(&used) > peak(&new), "{} {}", peak(&used), peak(&new));
    // A number of one's own comes last.
    let set = ["--set", "vehicle.front.used=0 mm"];
    let ended = giveway(&[&[first().as_str(), "--used", &a, "--out", &b], &set[..]].concat());
    assert_eq!(ended.status.code(), Some(0), "{ended:?}");
    assert_eq!(summary(&two)["contact"], new["contact"]);
}

#[test]
fn another_vehicle_or_no_folder_is_refused() {
    let one = folder("used_face_other");
    let a = one.display().to_string();
    assert_eq!(giveway(&[&first(), "--out", &a]).status.code(), Some(0));
    let pickup = ["--set", "vehicle.class=pickup-2000"];
    let ended = giveway(&[&[first().as_str(), "--used", &a], &pickup[..]].concat());
    assert_eq!(ended.status.code(), Some(2), "{ended:?}");
    assert!(String::from_utf8_lossy(&ended.stderr).contains("pickup-2000"));
    let ended = giveway(&[&first(), "--used", "no/such/folder"]);
    assert_eq!(ended.status.code(), Some(4), "{ended:?}");
}
