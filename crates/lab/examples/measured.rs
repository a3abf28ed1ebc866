//! Writes the files of invented tests: runs with hidden values, as a data logger keeps them - in g, with column names of
//! its own, noise, a zero level that was never set and a clock that began before the blow.
//!
//! `cargo run -p giveway-lab --example measured -- scenarios/laboratory`

use std::fmt::Write;
use std::path::Path;

use giveway_impact::RecordRequest;
use giveway_sampling::{normal_quantile, seed, unit};
use giveway_study::Supports;
use giveway_units::{Dimension, parse};
use serde::Deserialize;

#[derive(Deserialize)]
struct Hidden {
    set: Vec<(String, String)>,
    test: Vec<Test>,
}

#[derive(Deserialize)]
struct Test {
    scenario: String,
    file: String,
    #[serde(default)]
    set: Vec<(String, String)>,
    touch: String,
    quiet: String,
    after: String,
    noise: String,
    level: String,
    yaw_noise: String,
    ahead: String,
    left: String,
    seed: u64,
}

fn main() {
    let folder = std::env::args().nth(1).expect("the folder of hidden.toml");
    let folder = Path::new(&folder);
    let text = std::fs::read_to_string(folder.join("hidden.toml")).expect("hidden.toml");
    let hidden: Hidden = toml::from_str(&text).expect("the form of hidden.toml");
    for test in &hidden.test {
        let csv = measured(folder, &hidden.set, test);
        std::fs::write(folder.join(&test.file), csv).expect("the file can be written");
    }
}

fn si(text: &str, dimension: Dimension) -> f64 {
    parse(text, dimension)
        .unwrap_or_else(|e| panic!("{text}: {e}"))
        .si
}

fn measured(folder: &Path, set: &[(String, String)], test: &Test) -> String {
    let scenario = std::fs::read_to_string(folder.join(&test.scenario)).expect("the scenario");
    let changes: Vec<(String, String)> = set.iter().chain(&test.set).cloned().collect();
    let loaded = giveway_scenario::read(&scenario, &test.scenario, &changes);
    let mut scenario = loaded.unwrap_or_else(|d| panic!("{d:?}")).scenario;
    scenario.flight.pole = false;
    scenario.solver.record_limit_s = si(&test.after, Dimension::Time) + 0.01;
    let prepared = Supports::new()
        .prepare(&scenario)
        .expect("a scenario that runs");
    let request = RecordRequest {
        trace: false,
        rollout: true,
    };
    let record = prepared.engage(request).expect("a run").record;
    let g = si("1 g", Dimension::Acceleration);
    let degree = si("1 deg/s", Dimension::AngularRate);
    let [touch, quiet, after] =
        [&test.touch, &test.quiet, &test.after].map(|t| si(t, Dimension::Time));
    let (noise, level) = (
        si(&test.noise, Dimension::Acceleration),
        si(&test.level, Dimension::Acceleration),
    );
    let yaw_noise = si(&test.yaw_noise, Dimension::AngularRate);
    let [ahead, left] = [&test.ahead, &test.left].map(|t| si(t, Dimension::Length));
    let dt = record.interval_s;
    let before = (quiet / dt).round() as i64;
    let behind = (after / dt).round() as i64;
    // A sample stands for the middle of two intervals.
    let at = |i: i64| {
        usize::try_from(i)
            .ok()
            .filter(|i| *i < record.yaw_rate_radps.len())
    };
    let yaw = |i: i64| at(i).map_or(0.0, |i| record.yaw_rate_radps[i]);
    let state = |i: i64, axis: usize| {
        let one = |i: i64| at(i).map_or(0.0, |i| record.acceleration_mps2[i][axis]);
        0.5 * (one(i - 1) + one(i))
    };
    let mut csv = String::from("T_REC [s],A3_LONG,A4_TRANS,R1_YAW\n");
    for i in -before..behind {
        let draw =
            |channel: u64| normal_quantile(unit(seed(test.seed, (i + before) as u64, channel)));
        let rate = 0.5 * (yaw(i - 1) + yaw(i));
        let alpha = (yaw(i) - yaw(i - 1)) / dt;
        // At the sensor: a_s = a_cm + (-alpha r_y - w^2 r_x, alpha r_x - w^2 r_y)
        let along = state(i, 0) - alpha * left - rate * rate * ahead + level + noise * draw(0);
        let across = state(i, 1) + alpha * ahead - rate * rate * left + noise * draw(1);
        let turning = rate + yaw_noise * draw(2);
        let time = touch + i as f64 * dt;
        // The logger counts backward as positive.
        writeln!(
            csv,
            "{time:.4},{:.4},{:.4},{:.3}",
            -along / g,
            across / g,
            turning / degree
        )
        .expect("a text takes text");
    }
    csv
}
