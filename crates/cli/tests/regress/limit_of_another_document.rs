//! Seen: of runs judged by two documents the figures drew the limit of the first over all of them, and the report counted all
//! runs by it. Expected: a limit where all runs of a figure share it, and each run counted by its own document's limit.

use std::fs;

use super::new_place;

const STUDY: &str = r#"
base = "pole.toml"
[grid]
criteria.sets = ["[\"aashto-1994\"]", "[\"aashto-1985\"]"]
[sample]
method = "sobol"
count = 8
[sample.over]
slip_base.clamp.torque = { uniform = { low = "100 N.m", high = "900 N.m" } }
[output]
columns = ["velocity_change_mps", "document"]
"#;

#[test]
fn every_run_counts_by_its_own_limit() {
    let place = new_place("limit_of_row");
    fs::write(place.at("s.toml"), STUDY).unwrap();
    place.done(&["study", "s.toml", "--out", "s", "--quiet"]);
    place.done(&["draw", "s", "--value", "velocity_change_mps", "--out", "f"]);
    let analysis: serde_json::Value =
        serde_json::from_slice(&fs::read(place.at("f/analysis.json")).unwrap()).unwrap();
    let text = analysis.to_string();
    assert!(text.contains("each counts by its own limit"), "{text}");
    // Limits by hand: 16 ft/s and 15 ft/s.
    let limits = [
        ("aashto-1994", 16.0 * 0.3048),
        ("aashto-1985", 15.0 * 0.3048),
    ];
    let table = fs::read_to_string(place.at("s/runs.csv")).unwrap();
    let mut rows = table.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let head = rows.next().unwrap();
    let column = |name: &str| head.iter().position(|c| *c == name).unwrap();
    let (change, document) = (column("velocity_change_mps"), column("document"));
    let beyond = rows
        .filter(|row| {
            let limit = limits.iter().find(|l| l.0 == row[document]).unwrap().1;
            row[change].parse::<f64>().unwrap() > limit
        })
        .count() as u64;
    assert!(beyond > 0);
    let counted: u64 = analysis["exceedances"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|e| e["points"].as_array().unwrap())
        .map(|p| p["beyond"].as_u64().unwrap())
        .sum();
    assert_eq!(counted, beyond, "{text}");
}
