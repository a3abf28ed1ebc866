//! Comparisons as a person meets them: exit codes, what moved, tolerances, figures, bad folders.

use std::fs;

mod place;
use place::{Place, SCENARIO};

const STUDY: &str = r#"
title = "Torque and speed"
base = "pole.toml"
[grid]
slip_base.clamp.torque = ["100 N.m", "150 N.m"]
impact.speed = ["20 km/h", "30 km/h"]
"#;

fn new_place(name: &str) -> Place {
    let files = [("pole.toml", SCENARIO), ("study.toml", STUDY)];
    Place::new(&format!("compare_{name}"), &files)
}

fn json(place: &Place, arguments: &[&str]) -> (i32, serde_json::Value) {
    let all = [&["compare"], arguments, &["--format", "json"]].concat();
    let (code, out, err) = place.run(&all);
    let value = serde_json::from_str(&out).unwrap_or_else(|e| panic!("{e}: {out}{err}"));
    (code, value)
}

#[test]
fn runs_are_compared_input_by_input_and_number_by_number() {
    let place = new_place("runs");
    let plain = ["run", "pole.toml", "--no-figures", "--quiet"];
    place.done(&[&plain[..], &["--out", "a"]].concat());
    place.done(
        &[
            &plain[..],
            &["--out", "b", "--set", "impact.speed=8.333333333333334 m/s"],
        ]
        .concat(),
    );
    place.done(
        &[
            &plain[..],
            &["--out", "c", "--set", "slip_base.clamp.torque=160 N.m"],
        ]
        .concat(),
    );

    let (code, same) = json(&place, &["a", "a"]);
    assert_eq!((code, &same["same"]), (0, &true.into()));
    assert_eq!(same["numbers_compared"], same["numbers_equal"]);
    let (code, out, _) = place.run(&["compare", "a", "b"]);
    assert_eq!(
        code, 0,
        "another unit is another text, not another input: {out}"
    );

    let (code, c) = json(&place, &["a", "c", "--out", "figures"]);
    assert_eq!((code, &c["same"]), (1, &false.into()));
    let inputs = c["inputs"].as_array().unwrap();
    let torque = inputs
        .iter()
        .find(|i| i["path"] == "slip_base.clamp.torque")
        .unwrap();
    assert_eq!(
        (&torque["old"], &torque["new"]),
        (&"150 N.m".into(), &"160 N.m".into())
    );
    let numbers = c["numbers"].as_array().unwrap();
    let size = |n: &serde_json::Value| n["relative"].as_f64().unwrap().abs();
    let real: Vec<f64> = (numbers.iter())
        .filter(|n| !n["path"].as_str().unwrap().contains("residual"))
        .map(size)
        .collect();
    assert!(real.windows(2).all(|w| w[0] >= w[1]), "largest first");
    let preload = numbers
        .iter()
        .find(|n| n["path"] == "impact.preload_n")
        .unwrap();
    // Preload goes with torque: 10 of 160.
    assert!(
        (preload["relative"].as_f64().unwrap() - 10.0 / 160.0).abs() < 1e-9,
        "{preload}"
    );
    let traces = c["traces"].as_array().unwrap();
    let force = traces
        .iter()
        .find(|t| t["column"] == "contact_force_n")
        .unwrap();
    assert!(
        force["acceptance"]["sprague_geers"]["magnitude"].is_number(),
        "{force}"
    );
    assert!(
        force["rating"]["overall"]
            .as_f64()
            .is_some_and(|r| (0.0..=1.0).contains(&r))
    );
    for name in ["velocity", "contact", "moment", "tension", "record"] {
        for ending in ["svg", "png", "txt"] {
            assert!(
                place.at(&format!("figures/{name}.{ending}")).exists(),
                "{name}.{ending}"
            );
        }
    }
    assert!(place.at("figures/comparison.json").exists());

    // Wide tolerances, by path and of all.
    let loose = ["a", "c", "--tolerance", "10", "--absolute", "work=1e9"];
    let (_, wide) = json(&place, &loose);
    assert_eq!(
        wide["numbers"],
        serde_json::json!([]),
        "{}",
        wide["numbers"]
    );
    let (_, narrow) = json(
        &place,
        &[
            "a",
            "c",
            "--tolerance",
            "10",
            "--tolerance",
            "impact.preload_n=1e-3",
        ],
    );
    assert!(narrow["numbers"].to_string().contains("impact.preload_n"));
    let (_, idle) = json(&place, &["a", "c", "--tolerance", "velocty=1"]);
    assert!(
        idle["remarks"].to_string().contains("velocty"),
        "{}",
        idle["remarks"]
    );
}

#[test]
fn folders_that_are_none_are_refused() {
    let place = new_place("bad");
    place.done(&[
        "run",
        "pole.toml",
        "--no-figures",
        "--quiet",
        "--out",
        "a",
        "--set",
        "output.history=false",
    ]);
    assert_eq!(place.run(&["compare", "a", "nowhere"]).0, 14);
    assert_eq!(place.run(&["compare", "pole.toml", "a"]).0, 14);
    assert_eq!(place.run(&["compare", "a", "a", "--tolerance", "x"]).0, 2);
    assert_eq!(place.run(&["compare", "a", "a", "--tolerance", "-1"]).0, 2);
    assert_eq!(place.run(&["compare", "a", "a", "--tolerance", "NaN"]).0, 2);
    assert_eq!(place.run(&["compare", "a", "a", "--out", "a"]).0, 2);
    // Without histories numbers are compared all the same.
    let (code, c) = json(&place, &["a", "a"]);
    assert_eq!((code, &c["traces"]), (0, &serde_json::json!([])));
    // A summary that is cut, a table that is none, a scenario of another time.
    place.done(&["run", "pole.toml", "--no-figures", "--quiet", "--out", "b"]);
    let table = place.at("b/history.parquet");
    let bytes = fs::read(&table).unwrap();
    for broken in [&bytes[..100], b"", b"PAR1PAR1"] {
        fs::write(&table, broken).unwrap();
        let (code, _, err) = place.run(&["compare", "a", "b"]);
        assert!(code == 1 || code == 4, "{code} {err}");
        assert!(err.contains("history.parquet"), "{err}");
    }
    fs::write(&table, bytes).unwrap();
    let scenario = place.at("b/scenario.toml");
    fs::write(&scenario, "[future]\nx = 1\n").unwrap();
    let (code, c) = json(&place, &["a", "b"]);
    assert_eq!((code, &c["inputs"]), (1, &serde_json::Value::Null));
    fs::write(place.at("b/summary.json"), "{").unwrap();
    assert_eq!(place.run(&["compare", "a", "b"]).0, 4);
}

#[test]
fn studies_are_compared_row_by_row() {
    let place = new_place("studies");
    place.done(&["study", "study.toml", "--out", "a", "--quiet"]);
    place.done(&[
        "study",
        "study.toml",
        "--out",
        "b",
        "--quiet",
        "--set",
        "vehicle.mass=1200 kg",
    ]);
    place.done(&[
        "study",
        "study.toml",
        "--out",
        "part",
        "--quiet",
        "--part",
        "1/2",
    ]);
    let (code, same) = json(&place, &["a", "a"]);
    assert_eq!((code, &same["matched"]), (0, &4.into()));
    let (code, c) = json(&place, &["a", "b"]);
    assert_eq!(
        (code, &c["same"], &c["matched"]),
        (1, &false.into(), &4.into())
    );
    let columns = c["columns"].as_array().unwrap();
    assert!(
        !columns.is_empty() && columns[0]["differing"].as_u64().unwrap() > 0,
        "{c}"
    );
    assert!(
        c["remarks"].to_string().contains("vehicle.mass=1200 kg"),
        "{}",
        c["remarks"]
    );
    // Not one run is the same one by what is computed.
    let (code, keys) = json(&place, &["a", "b", "--by-key"]);
    assert_eq!(
        (code, &keys["matched"], &keys["alone"]),
        (1, &0.into(), &serde_json::json!([4, 4]))
    );
    let (code, part) = json(&place, &["a", "part", "--by-key"]);
    assert_eq!(
        (code, &part["matched"], &part["alone"]),
        (1, &2.into(), &serde_json::json!([2, 0]))
    );
    assert_eq!(part["columns"], serde_json::json!([]));
    let (code, text, _) = place.run(&["compare", "a", "b", "--list", "3"]);
    assert_eq!(code, 1);
    assert!(
        text.contains("rows: 4 and 4, matched by number: 4"),
        "{text}"
    );
    place.done(&[
        "run",
        "pole.toml",
        "--no-figures",
        "--quiet",
        "--out",
        "run",
    ]);
    assert_eq!(place.run(&["compare", "a", "run"]).0, 2);
}
