//! Reruns of published tests, from the table `data/published.toml`.
//!
//! Every run must complete with closed books. Cases marked `must_pass` must lie in their band. The others are
//! honest reports: their values must be those of `data/published_computed.toml` within 1 %, so that a change in the
//! model shows. After a meant change, renew that file with
//! `cargo test -p giveway-cli --test published -- --ignored` and then run `cargo xtask generate`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest};
use giveway_occupant::{Motion, OccupantRisk, assess};
use giveway_scenario::read;
use serde::Deserialize;

/// Largest energy that may be missing from the books, as a share of the initial kinetic energy.
const ENERGY_LIMIT: f64 = 0.005;
/// Largest difference to the stored value, as a share of that value or of half the band, whichever is larger: some values are
/// small differences of large ones.
const STORED_LIMIT: f64 = 0.01;
/// The limit of the velocity change in the tests of that time (4.9 m/s), m/s.
const VELOCITY_CHANGE_LIMIT_MPS: f64 = 4.9;
/// Design torque of V1, N.m, and the published impulse of the overtorqued base, N.s.
const V1_TORQUE_NM: f64 = 54.0;
const V1_OVERTORQUED_NS: f64 = 1770.0;

#[derive(Deserialize)]
struct Table {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    band: [f64; 2],
    must_pass: bool,
}

#[derive(Deserialize)]
struct Stored {
    computed: Vec<Computed>,
}

/// A value that the program gave; none where the quantity does not exist.
#[derive(Deserialize)]
struct Computed {
    id: String,
    value: Option<f64>,
}

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name)
}

fn cases() -> Vec<Case> {
    let text = std::fs::read_to_string(data("published.toml")).expect("the table");
    toml::from_str::<Table>(&text).expect("a sound table").case
}

/// Runs one file of `scenarios/published` with changes, and checks that its books close.
fn run(stem: &str, changes: &[(&str, f64, &str)]) -> (Engagement, OccupantRisk) {
    let path = format!("../../scenarios/published/{stem}.toml");
    let text = std::fs::read_to_string(&path).expect("scenario file");
    let changes: Vec<(String, String)> = changes
        .iter()
        .map(|(key, value, unit)| {
            let value = if unit.is_empty() {
                format!("{value}")
            } else {
                format!("{value} {unit}")
            };
            ((*key).to_owned(), value)
        })
        .collect();
    let loaded = read(&text, &path, &changes).unwrap_or_else(|e| panic!("{path}: {e:?}"));
    let request = RecordRequest {
        trace: false,
        rollout: true,
    };
    let engagement = Prepared::new(&loaded.scenario)
        .and_then(|prepared| prepared.engage(request))
        .unwrap_or_else(|e| panic!("{path} {changes:?}: {e}"));
    let share = engagement.energy.residual_j.abs() / engagement.energy.initial_kinetic_j;
    assert!(
        share < ENERGY_LIMIT,
        "{path} {changes:?}: {share} of the energy is missing"
    );
    let record = &engagement.record;
    let vehicle = &loaded.scenario.vehicle;
    let motion = Motion {
        interval_s: record.interval_s,
        initial_heading_rad: record.heading_rad,
        initial_velocity_mps: record.velocity_mps,
        head_m: [vehicle.head_x_m, vehicle.head_y_m],
        acceleration_mps2: &record.acceleration_mps2,
        yaw_rate_radps: &record.yaw_rate_radps,
        end_velocity_mps: &record.end_velocity_mps,
        position_m: &record.position_m,
        attitude_rad: &record.attitude_rad,
    };
    let in_contact = engagement
        .contact_end_time_s
        .map_or([0.0; 2], |end_s| motion.velocity_change_by_mps(end_s));
    let risk = assess(&motion, in_contact).unwrap_or_else(|e| panic!("{path}: {e}"));
    (engagement, risk)
}

/// Velocity change when the struck face leaves the pole, m/s; at the end where it never does.
fn velocity_change(e: &Engagement) -> f64 {
    e.velocity_change_at_contact_end_mps
        .unwrap_or(e.velocity_change_at_end_mps)
}

/// Every quantity of the table as the program gives it.
fn compute() -> BTreeMap<String, Option<f64>> {
    let mut values = BTreeMap::new();
    let mut put = |id: &str, value: Option<f64>| {
        assert!(values.insert(id.to_owned(), value).is_none(), "{id} twice");
    };
    let impulse = |stem: &str| run(stem, &[]).0.contact_impulse_ns;
    let rigid = impulse("v1_rigid_design");
    put("v1-rigid-impulse", Some(rigid));
    put(
        "v1-rigid-half-torque",
        Some(impulse("v1_rigid_half_torque") - rigid),
    );
    put(
        "v1-rigid-triple-torque",
        Some(impulse("v1_rigid_overtorqued") - rigid),
    );
    put("v1-crushable-impulse", Some(impulse("v1_crushable_design")));
    put("v1-crushable-overtorque-multiple", overtorque_multiple());

    let change = |stem: &str| velocity_change(&run(stem, &[]).0);
    put("v2-low-speed", Some(change("v2_low_speed")));
    put("v2-high-speed", Some(change("v2_high_speed")));
    for (id, stem) in [("v3", "v3_rigid_pole_35"), ("v4", "v4_rigid_pole_52")] {
        let (e, risk) = run(stem, &[]);
        put(&format!("{id}-peak-force"), Some(e.peak_force_n));
        put(
            &format!("{id}-oiv-lateral"),
            Some(risk.flail.oiv_lateral_mps.abs()),
        );
        put(
            &format!("{id}-ridedown"),
            risk.flail.ridedown_lateral.map(|r| r.value_g.abs()),
        );
        if id == "v4" {
            put("v4-crush", Some(e.peak_crush_m));
        }
    }
    for speed in [35, 100] {
        let wide = change(&format!("v5_notch_90_at_{speed}"));
        let narrow = change(&format!("v5_notch_60_at_{speed}"));
        put(&format!("v5-90-at-{speed}"), Some(wide));
        put(&format!("v5-60-worse-at-{speed}"), Some(narrow - wide));
    }
    put("v6-low-speed", Some(change("v6_low_speed")));
    put("v6-high-speed", Some(change("v6_high_speed")));
    let side = |changes: &[(&str, f64, &str)]| run("v8_side_normal", changes).0.peak_crush_m;
    let loose = side(&[("as_found.torques", 0.0, "N.m")]);
    put("v8-crush-ratio", Some(loose / side(&[])));
    put(
        "v10-tension-rise",
        Some(run("v10_broadside_clamp", &[]).0.tension_rise),
    );
    let [passed, over, stopped] = v7_outcomes();
    put("v7-passed", Some(passed));
    put("v7-over", Some(over));
    put("v7-stopped", Some(stopped));
    values
}

/// Multiple of V1's design torque at which the impulse with a crushable nose first passes the published one: a scan in
/// steps of a quarter from 1 to 8, then halving. None where it never does.
fn overtorque_multiple() -> Option<f64> {
    let above = |multiple: f64| {
        let torque = ("slip_base.clamp.torque", multiple * V1_TORQUE_NM, "N.m");
        run("v1_crushable_design", &[torque]).0.contact_impulse_ns > V1_OVERTORQUED_NS
    };
    let first = (0..=28)
        .map(|k| 1.0 + 0.25 * f64::from(k))
        .find(|m| above(*m))?;
    if first == 1.0 {
        return Some(first);
    }
    let (mut low, mut high) = (first - 0.25, first);
    for _ in 0..6 {
        let middle = 0.5 * (low + high);
        if above(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

/// How many runs of V7's grid release all bolts under the limit, release them above it, and hold until the vehicle has
/// stopped.
fn v7_outcomes() -> [f64; 3] {
    let mut counts = [0.0; 3];
    for step in 0..=10 {
        let friction = f64::from(10 + 5 * step) / 100.0;
        for nut_factor in [0.12, 0.20, 0.35] {
            let changes = [
                ("slip_base.friction.outer", friction, ""),
                ("slip_base.friction.inner", friction, ""),
                ("slip_base.clamp.nut_factor", nut_factor, ""),
            ];
            let e = run("v7_mid", &changes).0;
            let change = velocity_change(&e);
            let outcome = match (e.release_time_s, change < VELOCITY_CHANGE_LIMIT_MPS) {
                (Some(_), true) => 0,
                (Some(_), false) => 1,
                (None, _) => 2,
            };
            assert!(
                outcome != 2 || e.ending == Ending::Held,
                "friction {friction}, nut factor {nut_factor}: {:?} without a release",
                e.ending
            );
            println!(
                "V7 friction {friction} nut factor {nut_factor}: {:?} {change:.2} m/s",
                e.ending
            );
            counts[outcome] += 1.0;
        }
    }
    counts
}

#[test]
fn published_tests_are_rerun_and_reported() {
    let values = compute();
    let text = std::fs::read_to_string(data("published_computed.toml")).expect("the stored values");
    let stored = toml::from_str::<Stored>(&text)
        .expect("sound stored values")
        .computed;
    let stored: BTreeMap<String, Option<f64>> =
        stored.into_iter().map(|c| (c.id, c.value)).collect();
    let table = cases();
    assert_eq!(
        table.len(),
        values.len(),
        "the table and the test name different quantities"
    );
    let mut problems = Vec::new();
    for case in &table {
        let value = values[&case.id];
        let [low, high] = case.band;
        let half_band = if high.is_finite() {
            0.5 * (high - low)
        } else {
            0.0
        };
        let inside = value.is_some_and(|v| (low..=high).contains(&v));
        println!("{}: {value:?} in [{low}, {high}]: {inside}", case.id);
        if case.must_pass && !inside {
            problems.push(format!("{}: {value:?} is outside [{low}, {high}]", case.id));
        }
        let same = match (value, stored.get(&case.id).copied().flatten()) {
            (Some(a), Some(b)) => (a - b).abs() <= STORED_LIMIT * b.abs().max(half_band),
            (a, b) => a.is_none() && b.is_none(),
        };
        if !same {
            let before = stored.get(&case.id);
            problems.push(format!("{}: {value:?}, stored {before:?}", case.id));
        }
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
#[ignore = "writes the stored values; run it after a meant change of the model"]
fn renew_the_stored_values() {
    let values = compute();
    let mut text = String::from(
        "# As computed by this program, not published: written by `tests/published.rs`. The published values stand in\n\
         # `published.toml`. An entry without a value: the quantity does not exist in that run.\n",
    );
    for case in cases() {
        let _ = write!(text, "\n[[computed]]\nid = \"{}\"\n", case.id);
        if let Some(value) = values[&case.id] {
            // Five digits: the comparison is to 1 %.
            let rounded: f64 = format!("{value:.4e}").parse().expect("a number");
            let _ = writeln!(text, "value = {rounded:?}");
        }
    }
    std::fs::write(data("published_computed.toml"), text).expect("the file can be written");
}
