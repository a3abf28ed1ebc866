//! Study files: what they plan, what is refused, and that the rows depend on the numbers of the runs alone.

use std::sync::atomic::AtomicBool;

use giveway_results::{Cell, Mixing, RunFacts, StudyRow, StudyStore, read_study};
use giveway_scenario::Diagnostic;
use giveway_study::Supports;
use giveway_study::execute::{Ended, RunMemory, Tally, execute, execute_on, missing, run_row};
use giveway_study::plan::{Needs, Plan, codes};
use std::time::{Duration, SystemTime};

const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn load(name: &str) -> Result<(String, String), String> {
    let change = |from: &str, to: &str| FIRST.replace(from, to);
    let text = match name {
        "first.toml" => FIRST.to_owned(),
        "fast.toml" => change("30 km/h", "60 km/h"),
        "preload.toml" => change("torque = \"180 N.m\"", "preload = \"30 kN\""),
        "found.toml" => format!("{FIRST}\n[as_found]\nrust = \"light\"\n"),
        "broken.toml" => change("180 N.m", "180"),
        "no-toml.toml" => "speed = 30 km/h".to_owned(),
        "open.toml" => change("speed = \"30 km/h\"", ""),
        _ => return Err("cannot be opened".into()),
    };
    Ok((name.to_owned(), text))
}

fn read(text: &str) -> Result<Plan, Vec<Diagnostic>> {
    Plan::read(text, "study.toml", &[], &load).map(|read| read.plan)
}

fn plan(text: &str) -> Plan {
    read(text).unwrap_or_else(|e| {
        let all: Vec<String> = e.iter().map(ToString::to_string).collect();
        panic!("{}", all.join("\n"))
    })
}

/// Code, line and the whole text of each error.
fn refused(text: &str) -> Vec<(String, usize, String)> {
    let list = read(text).expect_err("this study must be refused");
    list.iter()
        .map(|d| (d.code.to_owned(), d.line, d.to_string()))
        .collect()
}

const THREE: &str = r#"
base = "first.toml"
[grid]
slip_base.clamp.torque = ["100 N.m", "200 N.m"]
vehicle.mass = ["1000 kg", "1200 kg", "1500 kg"]
impact.speed = { from = "20 km/h", to = "60 km/h", steps = 3 }
"#;

fn value<'a>(changes: &'a [(String, String)], path: &str) -> &'a str {
    &changes.iter().find(|(p, _)| p == path).unwrap().1
}

#[test]
fn the_last_path_moves_fastest() {
    let plan = plan(THREE);
    assert_eq!(plan.runs(), 18);
    let at = |i| plan.run(i).unwrap().changes;
    assert_eq!(value(&at(0), "impact.speed"), "20 km/h");
    assert_eq!(value(&at(1), "impact.speed"), "40 km/h");
    assert_eq!(value(&at(2), "impact.speed"), "60 km/h");
    assert_eq!(value(&at(3), "vehicle.mass"), "1200 kg");
    assert_eq!(value(&at(8), "slip_base.clamp.torque"), "100 N.m");
    assert_eq!(value(&at(9), "slip_base.clamp.torque"), "200 N.m");
    let names: Vec<&str> = plan.columns().iter().map(|c| c.name.as_str()).collect();
    assert_eq!(
        names[..6],
        [
            "slip_base_clamp_torque_nm",
            "vehicle_mass_kg",
            "impact_speed_mps",
            "preload_n",
            "reason",
            "ending"
        ]
    );
    // The order of the file, its words and comments do not matter; its values do.
    let other = THREE.replace("[grid]", "# a comment\n[grid]");
    assert_eq!(read(&other).unwrap().hash(), plan.hash());
    let other = THREE.replace("1500", "1501");
    assert_ne!(read(&other).unwrap().hash(), plan.hash());
}

#[test]
fn files_conditions_grid_and_sample_multiply() {
    let plan = plan(
        r#"
files = ["first.toml", "fast.toml"]
seed = 7
[grid]
slip_base.clamp.torque = ["100 N.m", "200 N.m"]
[sample]
count = 4
standard = ["nut-factor", "front-stiffness", "bumper-height"]
[sample.over]
vehicle.class = { discrete = { values = ["small-car-820", "small-car-1100"], weights = [1, 3] } }
[[condition]]
name = "clean"
[[condition]]
name = "rust"
found.rust = "light"
"#,
    );
    assert_eq!(plan.runs(), 2 * 2 * 2 * 4);
    // The same points everywhere.
    for i in 0..plan.runs() {
        let (one, other) = (plan.run(i).unwrap(), plan.run(i % 4).unwrap());
        assert_eq!(one.point, other.point);
        let nut = "slip_base.clamp.nut_factor";
        assert_eq!(value(&one.changes, nut), value(&other.changes, nut));
        assert_eq!(
            one.condition.as_deref(),
            Some(if i / 8 % 2 == 0 { "clean" } else { "rust" })
        );
        assert_eq!(one.base as u64, i / 16);
        let scenario = plan.scenario(&one).unwrap();
        // A shift moves the whole band; a factor moves the forces of every band alike.
        let text = plan.load(&one).unwrap().scenario;
        assert_eq!(text, scenario);
        let bumper = scenario
            .vehicle
            .front
            .bands
            .iter()
            .find(|b| b.name == "bumper");
        let height = bumper.unwrap().upper_m - bumper.unwrap().lower_m;
        assert!((height - 0.15).abs() < 0.06, "{height}");
    }
    let row = run_row(&plan, 5, &Supports::new(), &mut RunMemory::default());
    assert!(!row.failed);
    let column = |name: &str| plan.columns().iter().position(|c| c.name == name).unwrap();
    assert_eq!(row.cells[column("base")], Cell::Text(Some("first".into())));
    assert_eq!(row.cells[column("point")], Cell::Count(Some(1)));
    let Cell::Number(Some(factor)) = row.cells[column("front_stiffness_factor")] else {
        panic!("no factor");
    };
    let run = plan.run(5).unwrap();
    let scaled = plan.scenario(&run).unwrap();
    let mut bare = run.changes.clone();
    bare.retain(|(p, _)| !p.contains(".crush"));
    let bare = giveway_scenario::read(FIRST, "first.toml", &bare)
        .unwrap()
        .scenario;
    for (a, b) in scaled
        .vehicle
        .front
        .bands
        .iter()
        .zip(&bare.vehicle.front.bands)
    {
        for (p, q) in a.crush_curve.iter().zip(&b.crush_curve) {
            assert!(
                (p.1 - factor * q.1).abs() <= 1e-12 * p.1.abs(),
                "{p:?} {q:?}"
            );
        }
    }
}

#[test]
fn an_incomplete_base_is_completed_by_the_grid() {
    assert_eq!(plan(&THREE.replace("first.toml", "open.toml")).runs(), 18);
    assert!(read("base = \"open.toml\"").is_err());
    assert_eq!(plan("base = \"first.toml\"").runs(), 1);
}

#[test]
fn bad_files_are_refused_with_code_line_and_advice() {
    for (text, code, line, part) in [
        ("", "T002", 1, "no study"),
        ("base = first", "T001", 1, "not TOML"),
        (
            "base = \"first.toml\"\nbase = \"first.toml\"",
            "T003",
            2,
            "twice",
        ),
        ("bse = \"first.toml\"", "T010", 1, "did you mean `base`?"),
        ("title = \"x\"", "T011", 1, "base"),
        ("base = \"gone.toml\"", "T030", 1, "cannot be opened"),
        ("base = \"no-toml.toml\"", "T031", 1, "not TOML"),
        ("base = \"broken.toml\"", "T031", 1, "S020"),
        (
            "base = \"first.toml\"\n[grid]\nslip_base.clamp.torqe = [\"1 N.m\"]",
            "S010",
            3,
            "torque",
        ),
        (
            "base = \"first.toml\"\n[grid]\nslip_bass.clamp.torque = [\"1 N.m\"]",
            "S010",
            3,
            "slip_base",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = [\"30 km/h\", \"NaN km/h\"]",
            "S024",
            3,
            "finite",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = [\"30 km/h\",\n 40]",
            "S020",
            4,
            "unit",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = \"30 km/h\"",
            "T012",
            3,
            "list of values",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = []",
            "T012",
            3,
            "without a value",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = { from = \"60 km/h\", to = \"30 km/h\", steps = 3 }",
            "T020",
            3,
            "upward",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = { from = \"nan km/h\", to = \"30 km/h\", steps = 3 }",
            "T020",
            3,
            "finite",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = { from = \"3 km/h\", to = \"30 km/h\", steps = 1 }",
            "T020",
            3,
            "2 to 100000",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = { from = \"0 km/h\", to = \"30 km/h\", steps = 3, spacing = \"ratio\" }",
            "T020",
            3,
            "above zero",
        ),
        (
            "base = \"first.toml\"\n[set]\nimpact.speed = \"30 km/h\"\n[grid]\nimpact.speed = [\"40 km/h\"]",
            "T042",
            5,
            "impact.speed",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 0\nstandard = [\"mass\"]",
            "T023",
            3,
            "1 to",
        ),
        (
            "base = \"first.toml\"\n[sample]\nstandard = [\"mass\"]",
            "T011",
            2,
            "number of points",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8",
            "T011",
            2,
            "nothing is drawn",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8\nstandard = [\"nutfactor\"]",
            "T013",
            4,
            "nut-factor",
        ),
        (
            "base = \"first.toml\"\n[sample]\nmethod = \"sobel\"\ncount = 8\nstandard = [\"mass\"]",
            "T013",
            3,
            "sobol",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8\nover.vehicle.mas = { uniform = { low = \"1 kg\", high = \"2 kg\" } }",
            "T010",
            4,
            "vehicle.mass",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8\nover.vehicle.mass = { uniform = { low = \"2000 kg\", high = \"1000 kg\" } }",
            "T021",
            4,
            "lower bound",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8\nover.vehicle.mass = { uniform = { low = \"-1 kg\", high = \"1000 kg\" } }",
            "T021",
            4,
            "not possible",
        ),
        (
            "base = \"first.toml\"\n[sample]\ncount = 8\nover.vehicle.class = { uniform = { low = 0, high = 1 } }",
            "T022",
            4,
            "discrete",
        ),
        (
            "base = \"preload.toml\"\n[grid]\nslip_base.clamp.nut_factor = [0.15, 0.2]",
            "T040",
            3,
            "torque",
        ),
        (
            "base = \"preload.toml\"\n[sample]\ncount = 8\nstandard = [\"nut-factor\"]",
            "T040",
            4,
            "preload is given",
        ),
        (
            "base = \"first.toml\"\n[grid]\ntitle = [\"a\", \"b\"]",
            "T040",
            3,
            "says nothing",
        ),
        (
            "base = \"first.toml\"\n[set]\nvehicle.suspension.wheel_stiffness = \"20 kN/m\"\n[grid]\nvehicle.suspension.ride_frequency = [\"1 Hz\", \"2 Hz\"]",
            "S040",
            5,
            "exclude each other",
        ),
        (
            "base = \"first.toml\"\n[grid]\nslip_base.clamp.torque = [\"150 N.m\", \"180 N.m\", \"0.15 kN.m\"]",
            "T041",
            3,
            "same scenario",
        ),
        (
            "files = [\"first.toml\", \"first.toml\"]",
            "T041",
            1,
            "same scenario",
        ),
        (
            "base = \"first.toml\"\n[[condition]]\nname = \"clean\"\n[[condition]]\nname = \"none\"\nfound.rust = \"none\"",
            "T041",
            4,
            "clean",
        ),
        (
            "base = \"found.toml\"\n[[condition]]\nname = \"clean\"",
            "T032",
            2,
            "findings",
        ),
        (
            "base = \"first.toml\"\n[[condition]]\nfound.rust = \"light\"",
            "T011",
            2,
            "name",
        ),
        (
            "base = \"first.toml\"\n[grid]\nimpact.speed = { from = \"3 km/h\", to = \"30 km/h\", steps = 100000 }\nvehicle.mass = { from = \"900 kg\", to = \"1000 kg\", steps = 100000 }\n[sample]\ncount = 100\nstandard = [\"nut-factor\"]",
            "T050",
            3,
            "100000 x 100000 x 100",
        ),
        (
            "base = \"first.toml\"\n[output]\ncolumns = [\"velocity_change\"]",
            "T060",
            3,
            "velocity_change_mps",
        ),
    ] {
        let found = refused(text);
        let hit = found
            .iter()
            .any(|(c, l, said)| c == code && *l == line && said.contains(part));
        assert!(
            hit,
            "{text}\nwanted {code} line {line} `{part}`, got {found:#?}"
        );
        for (code, ..) in &found {
            let known = codes::explain(code).or(giveway_scenario::explain(code));
            assert!(known.is_some(), "{code}");
        }
    }
}

#[test]
fn all_problems_come_at_once() {
    let found = refused(
        "base = \"first.toml\"\nfoo = 1\n[grid]\nslip_base.clamp.torque = { from = \"2 N.m\", to = \"1 N.m\", steps = 3 }\nimpact.speed = 3\n[sample]\ncount = 0\n[output]\ncolumns = [\"x\"]",
    );
    let codes: Vec<&str> = found.iter().map(|f| f.0.as_str()).collect();
    assert_eq!(codes, ["T010", "T020", "T012", "T023", "T060"]);
}

fn folder(name: &str) -> std::path::PathBuf {
    let folder = std::env::temp_dir().join(format!("giveway-plans-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn facts() -> RunFacts {
    RunFacts {
        started: SystemTime::UNIX_EPOCH,
        threads: 1,
        features: Vec::new(),
    }
}

#[test]
fn a_run_that_fails_is_a_row_with_its_reason() {
    // The corner of the grid where washers overlap on their circle fails; each value alone is possible.
    let plan = plan(
        r#"
base = "first.toml"
[grid]
slip_base.bolt_circle = ["360 mm", "220 mm"]
slip_base.washers.plate_diameter = ["60 mm", "200 mm"]
[set]
support.pole.base_diameter = "160 mm"
"#,
    );
    let rows: Vec<StudyRow> = (0..4)
        .map(|i| run_row(&plan, i, &Supports::new(), &mut RunMemory::default()))
        .collect();
    let failed: Vec<bool> = rows.iter().map(|r| r.failed).collect();
    assert_eq!(failed, [false, false, false, true]);
    let reason = plan
        .columns()
        .iter()
        .position(|c| c.name == "reason")
        .unwrap();
    let Cell::Text(Some(text)) = &rows[3].cells[reason] else {
        panic!("no reason");
    };
    assert!(text.starts_with("S053"), "{text}");
    assert!(rows.iter().all(|r| r.cells.len() == plan.columns().len()));
}

#[test]
fn rows_are_the_same_in_one_go_and_in_pieces() {
    let plan = plan(
        r#"
base = "first.toml"
[grid]
slip_base.clamp.torque = ["100 N.m", "200 N.m", "300 N.m"]
[sample]
count = 4
standard = ["nut-factor", "speed"]
"#,
    );
    let bytes = |name: &str, pieces: &[u64], threads: usize| {
        let folder = folder(name);
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        for piece in pieces {
            let mut store =
                StudyStore::open(&folder, &plan.card(0..plan.runs()), Mixing::Refuse).unwrap();
            let runs = missing(&plan, &store, 0..plan.runs(), Mixing::Refuse);
            // One range, since pieces are done in order.
            assert_eq!(runs.len(), 1);
            let runs = runs[0].start..runs[0].end.min(runs[0].start + piece);
            let runs = std::slice::from_ref(&runs);
            let tally = Tally::default();
            let ended = pool.install(|| {
                execute(&plan, runs, &mut store, &tally, &AtomicBool::new(false)).unwrap()
            });
            assert_eq!(ended, Ended::Complete);
            store.close(&facts()).unwrap();
        }
        let read = |file: &str| std::fs::read(folder.join(file)).unwrap();
        let bytes = (read("runs.parquet"), read("runs.csv"), read("study.json"));
        let study = read_study(&folder).unwrap();
        assert_eq!((study.file.rows, study.file.failed), (12, 0));
        std::fs::remove_dir_all(&folder).unwrap();
        bytes
    };
    let whole = bytes("whole", &[12], 1);
    assert!(whole == bytes("threads", &[12], 2));
    assert!(whole == bytes("pieces", &[1, 5, 2, 12], 2));
}

/// However often the rows are written, the table is the same; without any time between two writings each is a shard.
#[test]
fn rows_are_written_by_time_as_well() {
    let plan = plan(THREE);
    let written = |name: &str, flush: Duration| {
        let folder = folder(name);
        let mut store = StudyStore::open(&folder, &plan.card(0..18), Mixing::Refuse).unwrap();
        let runs = [0..5, 5..18];
        let supports = Supports::new();
        let (tally, stop) = (Tally::default(), AtomicBool::new(false));
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .unwrap();
        let ended =
            pool.install(|| execute_on(&supports, &plan, &runs, &mut store, &tally, &stop, flush));
        assert_eq!(ended.unwrap(), Ended::Complete);
        let shards = std::fs::read_dir(folder.join("shards")).unwrap().count();
        store.close(&facts()).unwrap();
        let bytes = std::fs::read(folder.join("runs.parquet")).unwrap();
        std::fs::remove_dir_all(&folder).unwrap();
        (shards, bytes)
    };
    let (one, whole) = written("by_size", Duration::from_secs(3600));
    let (many, pieces) = written("by_time", Duration::ZERO);
    assert_eq!((one, many), (1, 18));
    assert!(whole == pieces);
}

#[test]
fn a_raised_flag_stops_it_and_the_rows_so_far_stay() {
    let plan = plan(THREE);
    let folder = folder("stopped");
    let mut store = StudyStore::open(&folder, &plan.card(0..18), Mixing::Refuse).unwrap();
    let tally = Tally::default();
    let all = 0..18;
    let all = std::slice::from_ref(&all);
    let ended = execute(&plan, all, &mut store, &tally, &AtomicBool::new(true)).unwrap();
    assert_eq!(ended, Ended::Stopped);
    let file = store.close(&facts()).unwrap();
    assert_eq!((file.rows, file.gaps.len()), (0, 1));
    std::fs::remove_dir_all(&folder).unwrap();
}

/// A study whose columns ask for the engagement alone does not follow the pole, and its numbers are those of one that does.
#[test]
fn who_asks_for_the_engagement_alone_gets_no_flight() {
    let text = |columns: &str| {
        format!(
            "base = \"first.toml\"\n[grid]\nflight.follow_pole = [\"true\"]\n[output]\ncolumns = [{columns}]\n"
        )
    };
    let engaged = plan(&text(
        "\"ending\", \"velocity_change_mps\", \"peak_force_n\"",
    ));
    let with_record = plan(&text("\"velocity_change_mps\", \"oiv_longitudinal_mps\""));
    let whole = plan(&text("\"velocity_change_mps\", \"outcome\""));
    assert_eq!(engaged.needs(), Needs::Engagement);
    assert_eq!(with_record.needs(), Needs::Record);
    assert_eq!(whole.needs(), Needs::Everything);
    let supports = Supports::new();
    let value = |plan: &Plan| {
        let row = run_row(plan, 0, &supports, &mut RunMemory::default());
        let columns = plan.columns();
        let i = columns.iter().position(|c| c.name == "velocity_change_mps");
        row.cells[i.unwrap()].clone()
    };
    assert!(matches!(value(&engaged), Cell::Number(Some(v)) if v > 0.5));
    assert_eq!(value(&engaged), value(&with_record));
    assert_eq!(value(&engaged), value(&whole));
    // What it computes for it has no flight: an engagement for its numbers alone.
    let mut s = giveway_scenario::read(FIRST, "first.toml", &[])
        .unwrap()
        .scenario;
    s.flight.pole = true;
    let prepared = supports.prepare(&s).unwrap();
    let numbers = giveway_study::engagement_numbers(&prepared).unwrap();
    assert!(numbers.occupant_impact_velocity_mps[0].is_nan());
}

/// The base's share of the lost energy: made by hand from the energies of the summary, the same in a light and in a whole
/// run, and larger where the bolts are tighter.
#[test]
fn the_share_of_the_base_is_that_of_its_energies() {
    let of = |torque: &str, columns: &str| {
        let plan = plan(&format!(
            "base = \"first.toml\"\n[set]\nslip_base.clamp.torque = \"{torque}\"\n[output]\ncolumns = [{columns}]\n"
        ));
        let row = run_row(&plan, 0, &Supports::new(), &mut RunMemory::default());
        let at = (plan.columns().iter()).position(|c| c.name == "base_energy_fraction");
        match row.cells[at.unwrap()] {
            Cell::Number(Some(share)) => share,
            ref other => panic!("{other:?}"),
        }
    };
    let light = of("180 N.m", "\"base_energy_fraction\"");
    let text = std::fs::read_to_string("../../scenarios/first.toml").unwrap();
    let scenario = giveway_scenario::read(&text, "first.toml", &[]).unwrap();
    let e = giveway_study::compute(&scenario.scenario, 0)
        .unwrap()
        .summary
        .energy;
    // A sound base: bolts, keeper and plates only.
    let base = e.friction_j + e.keeper_j + e.bolt_failure_j + e.plate_rub_j;
    let found =
        e.grout_j + e.bars_j + e.mating_j + e.dishing_j + e.lumps_j + e.forcing_j + e.rust_j;
    assert_eq!(found + e.stripping_j, 0.0);
    let share = base / (e.initial_kinetic_j - e.vehicle_kinetic_j);
    assert!(
        share > 0.01 && share < 0.9 && (light - share).abs() < 1e-9,
        "{light} {share}"
    );
    assert_eq!(
        of("180 N.m", "\"base_energy_fraction\", \"exit_speed_mps\""),
        light
    );
    assert!(of("330 N.m", "\"base_energy_fraction\"") > light);
}

/// Seen: a torque of 0 N.m in a grid, which a scenario warns of, was taken without a word. Expected: a warning at its place,
/// once for all unusual values of a path.
#[test]
fn unusual_values_of_a_grid_are_told() {
    let read = |grid: &str| {
        let text =
            format!("base = \"first.toml\"\n[set]\nimpact.speed = \"30 km/h\"\n[grid]\n{grid}\n");
        Plan::read(&text, "study.toml", &[], &load)
            .unwrap()
            .warnings
    };
    let said = read("slip_base.clamp.torque = [\n\"100 N.m\",\n\"0 N.m\"]");
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!((said[0].code, said[0].line), ("T501", 7));
    assert_eq!(said[0].found.as_deref(), Some("0 N.m"));
    assert_eq!(
        said[0].allowed.as_deref(),
        Some("usual: 20 N.m to 1000 N.m")
    );
    let said = read("slip_base.clamp.torque = { from = \"0 N.m\", to = \"15 N.m\", steps = 4 }");
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].message.starts_with("4 of these values"), "{said:?}");
    assert!(read("slip_base.clamp.torque = [\"20 N.m\", \"1000 N.m\"]").is_empty());
    assert!(read("vehicle.class = [\"small-car-820\", \"pickup-2270\"]").is_empty());
}

/// A hundred million runs are planned and addressed as quickly as a hundred: nothing is enumerated.
#[test]
fn very_many_runs_are_addressed_by_their_number() {
    let plan = plan(
        r#"
base = "first.toml"
[grid]
impact.speed = { from = "20 km/h", to = "110 km/h", steps = 100 }
[sample]
count = 1048576
standard = ["nut-factor", "relaxation"]
"#,
    );
    assert_eq!(plan.runs(), 104_857_600);
    let last = plan.run(plan.runs() - 1).unwrap();
    assert_eq!(last.point, Some(1_048_575));
    assert_eq!(last.changes[0].1, "110 km/h");
    let mut rows: Vec<StudyRow> = Vec::new();
    let (tally, stop) = (Tally::default(), AtomicBool::new(false));
    let runs = [0..1, 104_857_599..104_857_600];
    execute(&plan, &runs, &mut rows, &tally, &stop).unwrap();
    let numbers: Vec<u64> = rows.iter().map(|r| r.index).collect();
    assert_eq!(numbers, [0, 104_857_599]);
    assert!(rows.iter().all(|r| !r.failed));
}
