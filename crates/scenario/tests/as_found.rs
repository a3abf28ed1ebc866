//! Findings on site: every key read to its SI value, what stands in, what is refused, and each kind taken apart.

use giveway_scenario::grammar::{self, Fallback};
use giveway_scenario::model::{
    AsFound, Conduit, Foundation, Grout, Ice, KeeperFound, NotchLump, Plate, RoundWashers, Rust,
    SoilBehind, Stub, Threads,
};
use giveway_scenario::{ConditionKind, Diagnostic, Loaded, read, schema};
use proptest::prelude::*;

const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn with(section: &str) -> Result<Loaded, Vec<Diagnostic>> {
    read(&format!("{FIRST}\n{section}"), "site.toml", &[])
}

fn loaded(section: &str) -> Loaded {
    with(section).unwrap_or_else(|errors| {
        let all: Vec<String> = errors.iter().map(ToString::to_string).collect();
        panic!("{}\n{section}", all.join("\n"))
    })
}

fn found(section: &str) -> AsFound {
    loaded(section).scenario.as_found
}

fn set(pairs: &[(&str, &str)]) -> Result<Loaded, Vec<Diagnostic>> {
    let pairs: Vec<(String, String)> = pairs
        .iter()
        .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
        .collect();
    read(FIRST, "first.toml", &pairs)
}

/// The file again from its resolved copy, compared bit for bit.
fn survives(first: &Loaded) {
    let again = read(&first.resolved_text, "copy", &[])
        .unwrap_or_else(|e| panic!("{}\n{}", e[0], first.resolved_text));
    assert_eq!(
        serde_json::to_string(&first.scenario).unwrap(),
        serde_json::to_string(&again.scenario).unwrap(),
        "{}",
        first.resolved_text
    );
    assert_eq!(first.scenario, again.scenario);
}

/// Every key with a value of its own.
const EVERY: &str = r#"
[as_found]
round_washers = "missing"
plate_friction = "41 %"
plate_washer_thickness = "3 mm"
keeper_thickness = "1/8 in"
engaged_threads = 4.5
torques = ["180 N.m", "100 lbf.ft", "0 N.m"]
threads = "reused"
notch_offset = "-2.5 mm"
rust = "light"
ice = "rim"
turned = "30 deg"
slip_plane_height = "13 cm"
[as_found.grout]
gap = "-28 mm"
notch_gap = "5 mm"
strength = "35 MPa"
cover = "90 mm"
bolts = [2, 3]
[[as_found.stub]]
azimuth = "180 deg"
projection = "12 mm"
gap = "20 mm"
diameter = "1 in"
tensile_strength = "600 MPa"
[[as_found.stub]]
azimuth = "-90 deg"
projection = "0 mm"
gap = "0 mm"
[as_found.conduit]
projection = "40 mm"
gap = "15 mm"
diameter = "50 mm"
wall = "5 mm"
tensile_strength = "48 MPa"
[as_found.lump]
height = "4 mm"
length = "20 mm"
width = "6 mm"
tensile_strength = "90 MPa"
plate = "upper"
bolts = [1]
[as_found.soil]
azimuth = "10 deg"
gap = "25 mm"
height = "0.2 m"
slope = "-5 deg"
friction_angle = "36 deg"
cohesion = "12 kPa"
unit_weight = "19.5 kN/m3"
[as_found.foundation]
diameter = "0.6 m"
length = "1.2 m"
friction_angle = "28 deg"
unit_weight = "10 kN/m3"
density = "2300 kg/m3"
movement = "30 mm"
"#;

#[test]
fn every_key_is_read_in_si() {
    let deg = |x: f64| x * (core::f64::consts::PI / 180.0);
    let got = found(EVERY);
    let close = |a: f64, b: f64| assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} and {b}");
    close(got.torques_nm[1], 135.581_794_833_140_04);
    close(got.turned_rad, deg(30.0));
    close(got.stubs[0].azimuth_rad, deg(180.0));
    close(got.soil.as_ref().unwrap().azimuth_rad, deg(10.0));
    let want = AsFound {
        grout: Some(Grout {
            notch_gap_m: Some(0.005),
            gap_m: -0.028,
            strength_pa: 35e6,
            cover_m: 0.09,
            bolts: vec![2, 3],
        }),
        stubs: vec![
            Stub {
                azimuth_rad: got.stubs[0].azimuth_rad,
                projection_m: 0.012,
                gap_m: 0.02,
                diameter_m: 0.0254,
                ultimate_pa: 600e6,
            },
            Stub {
                azimuth_rad: deg(-90.0),
                projection_m: 0.0,
                gap_m: 0.0,
                diameter_m: 0.025,
                ultimate_pa: 400e6,
            },
        ],
        conduit: Some(Conduit {
            projection_m: 0.04,
            gap_m: 0.015,
            diameter_m: 0.05,
            wall_m: 0.005,
            ultimate_pa: 48e6,
        }),
        round_washers: RoundWashers::Missing {
            plate_friction: 0.41,
        },
        plate_washer_m: Some(0.003),
        keeper: KeeperFound::Thickness(0.003_175),
        engaged_threads: Some(4.5),
        torques_nm: vec![180.0, got.torques_nm[1], 0.0],
        threads: Threads::Reused,
        lump: Some(NotchLump {
            height_m: 0.004,
            length_m: 0.02,
            width_m: 0.006,
            ultimate_pa: 90e6,
            plate: Plate::Upper,
            bolts: vec![1],
        }),
        notch_offset_m: -0.0025,
        rust: Rust::Light,
        ice: Ice::Rim,
        turned_rad: got.turned_rad,
        slip_plane_height_m: Some(0.13),
        soil: Some(SoilBehind {
            azimuth_rad: got.soil.as_ref().unwrap().azimuth_rad,
            gap_m: 0.025,
            height_m: 0.2,
            slope_rad: deg(-5.0),
            friction_angle_rad: deg(36.0),
            cohesion_pa: 12e3,
            unit_weight_npm3: 19.5e3,
        }),
        foundation: Some(Foundation {
            diameter_m: 0.6,
            length_m: 1.2,
            friction_angle_rad: deg(28.0),
            unit_weight_npm3: 10e3,
            density_kgpm3: 2300.0,
            movement_m: 0.03,
        }),
    };
    assert_eq!(got, want);
    // Everything was given, so every kind is present, and nothing of it is an assumption besides the second stub.
    assert_eq!(got.present(), ConditionKind::ALL);
    let all = loaded(EVERY);
    survives(&all);
    let assumed: Vec<&str> = all
        .assumptions
        .iter()
        .map(|a| a.path.as_str())
        .filter(|p| p.starts_with("as_found"))
        .collect();
    assert_eq!(
        assumed,
        [
            "as_found.stub[2].diameter",
            "as_found.stub[2].tensile_strength"
        ]
    );
    // No key of the table is left out above.
    for row in grammar::rows().filter(|r| r.path.starts_with("as_found.")) {
        assert!(
            EVERY.contains(&format!("{} = ", row.key()))
                || row.path == "as_found.keeper"
                || row.path == "as_found.keeper_thickness",
            "{}",
            row.path
        );
    }
}

#[test]
fn a_file_without_findings_is_as_designed() {
    let plain = loaded("");
    assert_eq!(plain.scenario.as_found, AsFound::default());
    assert_eq!(plain.scenario.as_found.present(), []);
    assert!(!plain.resolved_text.contains("as_found"));
    assert!(
        plain
            .assumptions
            .iter()
            .all(|a| !a.path.starts_with("as_found"))
    );
    let empty = loaded("[as_found]\n[as_found.grout]\n[as_found.soil]\n");
    assert_eq!(empty.scenario, plain.scenario);
    // Names for "as designed" change nothing, to the last bit.
    let named = loaded(
        "[as_found]\nround_washers = \"between\"\nkeeper = \"as-designed\"\nthreads = \"as-designed\"\nrust = \"none\"\nice = \"none\"\nnotch_offset = \"-0 mm\"\nturned = \"-0 deg\"\n",
    );
    assert_eq!(
        serde_json::to_string(&named.scenario).unwrap(),
        serde_json::to_string(&plain.scenario).unwrap()
    );
    survives(&named);
}

#[test]
fn the_key_measurement_brings_the_defaults_with_it() {
    let grout = found("[as_found.grout]\ngap = \"5 mm\"\n").grout.unwrap();
    assert_eq!(
        (grout.gap_m, grout.strength_pa, grout.cover_m, grout.bolts),
        (0.005, 28e6, 0.15, vec![])
    );
    let conduit = found("[as_found.conduit]\nprojection = \"30 mm\"\ngap = \"1 mm\"\n")
        .conduit
        .unwrap();
    assert_eq!(
        (conduit.diameter_m, conduit.wall_m, conduit.ultimate_pa),
        (0.06, 0.0037, 310e6)
    );
    let lump = found("[as_found.lump]\nheight = \"3 mm\"\n").lump.unwrap();
    assert_eq!(
        (lump.length_m, lump.width_m, lump.ultimate_pa, lump.plate),
        (0.01, 0.01, 120e6, Plate::Lower)
    );
    assert!(lump.bolts.is_empty());
    let soil = found("[as_found.soil]\ngap = \"0 mm\"\nazimuth = \"0 deg\"\nheight = \"150 mm\"\n")
        .soil
        .unwrap();
    assert_eq!(
        (soil.slope_rad, soil.cohesion_pa, soil.unit_weight_npm3),
        (0.0, 0.0, 18e3)
    );
    assert!((soil.friction_angle_rad.to_degrees() - 32.0).abs() < 1e-12);
    let pier = found("[as_found.foundation]\ndiameter = \"760 mm\"\nlength = \"6 ft\"\n")
        .foundation
        .unwrap();
    assert_eq!(
        (pier.unit_weight_npm3, pier.density_kgpm3, pier.movement_m),
        (18e3, 2400.0, 0.025)
    );
    assert!((pier.friction_angle_rad.to_degrees() - 30.0).abs() < 1e-12);
    assert!((pier.length_m - 1.8288).abs() < 1e-12);
    // With a cohesion it stands steeper than its angle of friction: a wall.
    let wall = found(
        "[as_found.soil]\ngap = \"0 mm\"\nazimuth = \"0 deg\"\nheight = \"150 mm\"\nslope = \"40 deg\"\ncohesion = \"10 MPa\"\n",
    );
    assert_eq!(wall.soil.unwrap().cohesion_pa, 10e6);
    // Friction of plate on plate only where the washers are missing.
    let missing = loaded("[as_found]\nround_washers = \"missing\"\n");
    assert_eq!(
        missing.scenario.as_found.round_washers,
        RoundWashers::Missing {
            plate_friction: 0.33
        }
    );
    survives(&missing);
    let above = loaded("[as_found]\nround_washers = \"above-keeper\"\n");
    assert!(!above.resolved_text.contains("plate_friction"));
    survives(&above);
}

#[test]
fn defaults_of_findings_name_their_source_and_wait_for_their_key() {
    for row in grammar::rows().filter(|r| r.path.starts_with("as_found.")) {
        match row.fallback {
            Fallback::Absent => {}
            Fallback::Value(_, source) => assert!(
                ["assumed", "common practice", "recalled"]
                    .iter()
                    .any(|mark| source.contains(mark)),
                "{}: {source}",
                row.path
            ),
            _ => {}
        }
        let in_list = row.path.contains("[]");
        assert!(
            in_list || row.with.is_some() || matches!(row.fallback, Fallback::Absent),
            "{} stands without a finding",
            row.path
        );
    }
}

/// Two cases of a kind: that of its record, and one that does less or no harm.
fn cases(kind: ConditionKind) -> [&'static str; 2] {
    let other = match kind {
        ConditionKind::Grout => "[as_found.grout]\ngap = \"150 mm\"",
        ConditionKind::Stub => {
            "[[as_found.stub]]\nazimuth = \"0 deg\"\nprojection = \"0 mm\"\ngap = \"10 mm\""
        }
        ConditionKind::Conduit => "[as_found.conduit]\nprojection = \"0 mm\"\ngap = \"0 mm\"",
        ConditionKind::RoundWashers => "[as_found]\nround_washers = \"above-keeper\"",
        ConditionKind::PlateWashers => "[as_found]\nplate_washer_thickness = \"8 mm\"",
        ConditionKind::Keeper => "[as_found]\nkeeper_thickness = \"0.5 mm\"",
        ConditionKind::Nut => "[as_found]\nengaged_threads = 7",
        ConditionKind::Torque => "[as_found]\ntorques = \"180 N.m\"",
        ConditionKind::Threads => "[as_found]\nthreads = \"lubricated\"",
        ConditionKind::Lump => "[as_found.lump]\nheight = \"0 mm\"",
        ConditionKind::NotchOffset => "[as_found]\nnotch_offset = \"-0.1 mm\"",
        ConditionKind::Rust => "[as_found]\nrust = \"light\"",
        ConditionKind::Ice => "[as_found]\nice = \"rim\"",
        ConditionKind::Turned => "[as_found]\nturned = \"-1 deg\"",
        ConditionKind::PlateHeight => "[as_found]\nslip_plane_height = \"75 mm\"",
        ConditionKind::Soil => {
            "[as_found.soil]\ngap = \"1 m\"\nazimuth = \"0 deg\"\nheight = \"0 mm\""
        }
        ConditionKind::Foundation => {
            "[as_found.foundation]\ndiameter = \"1.5 m\"\nlength = \"5 m\""
        }
    };
    [kind.record().example, other]
}

#[test]
fn each_kind_is_present_alone_and_goes_when_put_right() {
    for kind in ConditionKind::ALL {
        for text in cases(kind) {
            let all = loaded(text);
            survives(&all);
            let found = &all.scenario.as_found;
            assert_eq!(found.present(), [kind], "{text}");
            assert_eq!(found.without(kind), AsFound::default(), "{text}");
            assert_eq!(&found.only(kind), found, "{text}");
            for other in ConditionKind::ALL.into_iter().filter(|&k| k != kind) {
                assert_eq!(&found.without(other), found, "{text}");
                assert_eq!(found.only(other), AsFound::default(), "{text}");
            }
        }
    }
}

#[test]
fn kinds_combine_and_leave_each_other_alone() {
    let whole = found(EVERY);
    for kind in ConditionKind::ALL {
        let rest: Vec<ConditionKind> = ConditionKind::ALL
            .into_iter()
            .filter(|&k| k != kind)
            .collect();
        assert_eq!(whole.without(kind).present(), rest);
        assert_eq!(whole.only(kind).present(), [kind]);
        for other in rest {
            assert_eq!(whole.without(kind).only(other), whole.only(other));
        }
    }
}

#[test]
fn every_key_belongs_to_one_kind() {
    for row in grammar::rows().filter(|r| r.path.starts_with("as_found.")) {
        let kinds: Vec<ConditionKind> = ConditionKind::ALL
            .into_iter()
            .filter(|kind| {
                kind.paths().iter().any(|path| {
                    row.path
                        .strip_prefix(path)
                        .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
                })
            })
            .collect();
        assert_eq!(kinds.len(), 1, "{}: {kinds:?}", row.path);
    }
    for path in ConditionKind::ALL.iter().flat_map(|k| k.paths()) {
        assert!(
            grammar::rows().any(|row| row.path.starts_with(path)),
            "{path} is not in the grammar"
        );
    }
}

#[test]
fn overrides_work_on_a_file_without_the_section() {
    let get = |pairs: &[(&str, &str)]| {
        let all = set(pairs).unwrap_or_else(|e| panic!("{pairs:?}: {}", e[0]));
        survives(&all);
        all.scenario.as_found
    };
    let grout = get(&[("as_found.grout.gap", "-25 mm")]).grout.unwrap();
    assert_eq!((grout.gap_m, grout.strength_pa), (-0.025, 28e6));
    let quoted = get(&[
        ("as_found.grout.gap", "\"-1 in\""),
        ("as_found.grout.bolts", "[3, 1]"),
    ]);
    assert_eq!(quoted.grout.unwrap().bolts, [3, 1]);
    assert_eq!(
        get(&[
            ("as_found.lump.height", "2 mm"),
            ("as_found.lump.bolts", "2")
        ])
        .lump
        .unwrap()
        .bolts,
        [2]
    );
    assert_eq!(get(&[("as_found.torques", "90 N.m")]).torques_nm, [90.0]);
    assert_eq!(
        get(&[("as_found.torques", "[\"90 N.m\", \"80 N.m\", \"70 N.m\"]")]).torques_nm,
        [90.0, 80.0, 70.0]
    );
    // Entries of lists count from 1, and one past the end is a new one.
    assert_eq!(
        get(&[
            ("as_found.torques[1]", "90 N.m"),
            ("as_found.torques[2]", "80 N.m"),
            ("as_found.torques[3]", "70 N.m"),
            ("as_found.torques[2]", "85 N.m"),
        ])
        .torques_nm,
        [90.0, 85.0, 70.0]
    );
    let stubs = get(&[
        ("as_found.stub[1].azimuth", "180 deg"),
        ("as_found.stub[1].projection", "12 mm"),
        ("as_found.stub[1].gap", "5 mm"),
    ])
    .stubs;
    assert_eq!((stubs.len(), stubs[0].diameter_m), (1, 0.025));
    assert_eq!(get(&[("as_found.rust", "seized")]).rust, Rust::Seized);
    assert_eq!(
        get(&[("as_found.engaged_threads", "3")]).engaged_threads,
        Some(3.0)
    );
    assert_eq!(get(&[("as_found.turned", "0.5 rad")]).turned_rad, 0.5);
    // A thickness replaces the file's "missing", and the other way round.
    let text = format!("{FIRST}\n[as_found]\nkeeper = \"missing\"\n");
    let pair = [("as_found.keeper_thickness".to_owned(), "2 mm".to_owned())];
    assert_eq!(
        read(&text, "f", &pair).unwrap().scenario.as_found.keeper,
        KeeperFound::Thickness(0.002)
    );
}

/// (1 - 0.065) T / (K d) on M27: the state of the threads counts, the design's relaxation too.
#[test]
fn a_torque_as_found_needs_no_torque_in_the_design() {
    let text = "[as_found]\ntorques = \"120 N.m\"\nthreads = \"dry\"\n";
    let pair = [("slip_base.clamp.preload".to_owned(), "30 kN".to_owned())];
    let all = read(&format!("{FIRST}\n{text}"), "f", &pair).unwrap();
    assert_eq!(all.warnings, []);
    assert_eq!(all.scenario.base.torque_nm, None);
    assert_eq!(all.scenario.as_found.torques_nm, [120.0]);
    assert_eq!(all.scenario.as_found.threads.nut_factor(), Some(0.25));
    survives(&all);
}

#[test]
fn the_schema_says_which_keys_stand_together() {
    let schema = schema();
    let found = &schema["properties"]["as_found"]["properties"];
    assert_eq!(
        found["soil"]["dependentRequired"]["gap"],
        serde_json::json!(["azimuth", "height"])
    );
    assert_eq!(
        found["grout"]["dependentRequired"]["strength"],
        serde_json::json!(["gap"])
    );
    assert_eq!(
        found["stub"]["items"]["required"],
        serde_json::json!(["azimuth", "projection", "gap"])
    );
    assert!(found["torques"]["anyOf"][1]["items"]["$ref"].is_string());
    assert_eq!(found["grout"]["required"], serde_json::Value::Null);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn any_combination_survives_and_comes_apart(
        picks in proptest::collection::vec(0usize..3, ConditionKind::ALL.len()),
        gap in -80.0f64..150.0,
        torque in 0.0f64..900.0,
        offset in -20.0f64..20.0,
    ) {
        let mut keys = String::from("[as_found]\n");
        let mut sections = String::new();
        let mut kinds = Vec::new();
        for (kind, pick) in ConditionKind::ALL.into_iter().zip(picks) {
            if pick == 2 {
                continue;
            }
            kinds.push(kind);
            let text = match kind {
                ConditionKind::Grout => format!("[as_found.grout]\ngap = \"{gap} mm\"\nbolts = [1, 3]"),
                ConditionKind::Torque => format!("[as_found]\ntorques = \"{torque} lbf.ft\""),
                ConditionKind::NotchOffset => format!("[as_found]\nnotch_offset = \"{offset} mm\""),
                _ => cases(kind)[pick].to_owned(),
            };
            match text.strip_prefix("[as_found]\n") {
                Some(line) => keys.push_str(&format!("{line}\n")),
                None => sections.push_str(&format!("{text}\n")),
            }
        }
        let all = loaded(&format!("{keys}{sections}"));
        survives(&all);
        let found = &all.scenario.as_found;
        prop_assert_eq!(found.present(), kinds.clone());
        let mut rest = found.clone();
        for &kind in &kinds {
            prop_assert_eq!(found.only(kind).present(), [kind]);
            rest = rest.without(kind);
        }
        prop_assert_eq!(rest, AsFound::default());
    }
}
