//! Records of a known pulse: what comes out, and what is said of files as they come from a laboratory.

use giveway_lab::record::{CleanRecord, Reference, clean, csv_table, describe};
use giveway_scenario::model::Scenario;

const G: f64 = 9.80665;
/// Peak, m/s^2, and length, s, of the half sine: 2 A T/pi = 2.5 m/s.
const PEAK: f64 = 98.174_770_424_681_04;
const LENGTH: f64 = 0.04;
const TOUCH: f64 = 0.05;

fn scenario() -> Scenario {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../scenarios/laboratory/test_7.toml"
    );
    let text = std::fs::read_to_string(path).unwrap();
    giveway_scenario::read(&text, "test_7.toml", &[])
        .unwrap()
        .scenario
}

/// Deterministic noise of about unit deviation.
fn noise(i: usize) -> f64 {
    giveway_sampling::normal_quantile(giveway_sampling::unit(giveway_sampling::seed(
        5, i as u64, 0,
    )))
}

fn pulse(t: f64) -> f64 {
    let s = t - TOUCH;
    if (0.0..LENGTH).contains(&s) {
        -PEAK * libm::sin(std::f64::consts::PI * s / LENGTH)
    } else {
        0.0
    }
}

/// Rows at 10 kHz: time in s and the acceleration in g, 0.02 g of noise.
fn rows() -> Vec<(f64, f64)> {
    (0..2500)
        .map(|i| {
            let t = 1e-4 * i as f64;
            (t, pulse(t) / G + 0.02 * noise(i))
        })
        .collect()
}

fn csv(rows: &[(f64, f64)]) -> String {
    let lines: Vec<String> = rows.iter().map(|(t, a)| format!("{t:.4},{a:.5}")).collect();
    format!("clock,AX\n{}\n", lines.join("\n"))
}

const DESCRIPTION: &str = r#"
title = "pulse"
scenario = "test_7.toml"
[file]
name = "pulse.csv"
time = "clock"
[[channel]]
column = "AX"
measures = "acceleration-x"
unit = "g"
"#;

fn cleaned(description: &str, csv: &str) -> Result<CleanRecord, String> {
    let d = describe("record.toml", description).map_err(|e| e.to_string())?;
    let table = csv_table("pulse.csv", csv, &d).map_err(|e| e.to_string())?;
    clean(&d, &table, &scenario(), None).map_err(|e| e.to_string())
}

fn refused(description: &str, csv: &str, parts: &[&str]) {
    let said = cleaned(description, csv).expect_err("a refusal");
    for part in parts {
        assert!(said.contains(part), "`{part}` is not in:\n{said}");
    }
}

/// The velocity change of the half sine is 2 A T / pi; the threshold of 0.5 g is passed at asin(0.05)/pi of its length.
#[test]
fn a_pulse_gives_its_velocity_and_its_time_zero() {
    let record = cleaned(DESCRIPTION, &csv(&rows())).unwrap();
    let s = &record.summary;
    assert!(
        (s.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.01,
        "{:?}",
        s.velocity_change
    );
    let passed = TOUCH + LENGTH * libm::asin(0.5 * G / PEAK) / std::f64::consts::PI;
    // The filter of CFC 180 and the noise move it by some tenths of a millisecond.
    assert!(
        (s.time_zero.file_time_s - passed).abs() < 5e-4,
        "{:?} for {passed}",
        s.time_zero
    );
    assert!(
        (s.channels[0].quiet_deviation - 0.02 * G).abs() < 0.02,
        "{:?}",
        s.channels
    );
    assert!(
        s.drift.by_noise_mps < 0.005 && s.warnings.is_empty(),
        "{s:?}"
    );
    assert_eq!(
        record.acceleration_mps2.len(),
        record.velocity_change_mps.len()
    );
    // The judging is that of a computed run: no contact of the head within 0.6 m, so the change in contact stands in.
    let flail = &s.occupant.flail;
    assert!((flail.oiv_longitudinal_mps - 2.5).abs() < 0.05, "{flail:?}");
    assert!(!s.verdicts.is_empty());
}

#[test]
fn a_filter_that_was_applied_is_not_applied_again() {
    let filtered = DESCRIPTION.replace("unit = \"g\"", "unit = \"g\"\nfilter = \"CFC 60\"");
    let record = cleaned(&filtered, &csv(&rows())).unwrap();
    assert!(
        record
            .summary
            .steps
            .iter()
            .any(|s| s.contains("already filtered to CFC 60"))
    );
    let finer = DESCRIPTION.replace("unit = \"g\"", "unit = \"g\"\nfilter = \"CFC 1000\"");
    let record = cleaned(&finer, &csv(&rows())).unwrap();
    assert!(
        record
            .summary
            .steps
            .iter()
            .any(|s| s.contains("AX: filtered to CFC 180"))
    );
}

#[test]
fn a_wrong_sign_shows_in_the_velocity() {
    let turned: Vec<(f64, f64)> = rows().iter().map(|(t, a)| (*t, -a)).collect();
    refused(
        DESCRIPTION,
        &csv(&turned),
        &[
            "`AX`",
            "would gain 2.",
            "sign is wrong",
            "sign = \"reversed\"",
        ],
    );
    let put_right = DESCRIPTION.replace("unit = \"g\"", "unit = \"g\"\nsign = \"reversed\"");
    let record = cleaned(&put_right, &csv(&turned)).unwrap();
    assert!((record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.01);
}

#[test]
fn metres_per_second_squared_for_g_and_the_other_way() {
    let si: Vec<(f64, f64)> = rows().iter().map(|(t, a)| (*t, a * G)).collect();
    refused(
        DESCRIPTION,
        &csv(&si),
        &[
            "`AX`",
            "would lose 24.",
            "came with 8.33 m/s",
            "is the unit m/s2?",
        ],
    );
    let named = csv(&si).replace("AX", "AX m/s2");
    refused(
        &DESCRIPTION.replace("\"AX\"", "\"AX m/s2\""),
        &named,
        &["the unit is given as g", "says m/s^2"],
    );
    // g labelled as m/s2: only the computed run can tell.
    let d = describe(
        "record.toml",
        &DESCRIPTION.replace("unit = \"g\"", "unit = \"m/s2\""),
    )
    .unwrap();
    let table = csv_table("pulse.csv", &csv(&rows()), &d).unwrap();
    let reference = Reference {
        interval_s: 1e-3,
        change_mps: vec![2.4; 300],
        acceleration_mps2: Vec::new(),
    };
    let record = clean(&d, &table, &scenario(), Some(&reference));
    let said = match record {
        Ok(r) => r.summary.warnings.join("\n"),
        Err(e) => e.to_string(),
    };
    assert!(
        said.contains("is the unit g?") || said.contains("no blow"),
        "{said}"
    );
}

#[test]
fn a_clipped_channel_is_refused_or_kept_with_a_warning() {
    let cut: Vec<(f64, f64)> = rows().iter().map(|(t, a)| (*t, a.max(-8.0))).collect();
    refused(
        DESCRIPTION,
        &csv(&cut),
        &["pulse.csv:6", "`AX`", "the channel is clipped"],
    );
    let kept = DESCRIPTION.replace("unit = \"g\"", "unit = \"g\"\nclipped = \"keep\"");
    let record = cleaned(&kept, &csv(&cut)).unwrap();
    assert!(record.summary.channels[0].clipped_samples > 100);
    assert!(record.summary.warnings[0].contains("peaks and the velocity change are too small"));
    let scale = DESCRIPTION.replace("unit = \"g\"", "unit = \"g\"\nfull_scale = \"9 g\"");
    refused(&scale, &csv(&rows()), &["the channel is clipped"]);
}

/// A rate in rad/s beside the acceleration of the pulse.
fn with_rate(rate: impl Fn(usize, f64) -> String) -> Result<CleanRecord, String> {
    let lines: Vec<String> = rows()
        .iter()
        .enumerate()
        .map(|(i, (t, a))| format!("{t:.4},{a:.5},{}", rate(i, *t)))
        .collect();
    let channel = "[[channel]]\ncolumn = \"W\"\nmeasures = \"yaw-rate\"\nunit = \"rad/s\"\n";
    let text = format!("clock,AX,W\n{}\n", lines.join("\n"));
    cleaned(&format!("{DESCRIPTION}{channel}"), &text)
}

/// A rate that is reached and kept to the end of the record is no clipping where the channel has no noise; the same with
/// noise in its rise and none on its plateau is, and so is a plateau that is left again.
#[test]
fn a_constant_rate_is_told_from_a_clipped_one() {
    let rise = |t: f64| 20.0 * (t - TOUCH).clamp(0.0, 0.1);
    let record = with_rate(|_, t| format!("{:.6}", rise(t))).unwrap();
    let said = record.summary.warnings.join("\n");
    assert!(said.contains("W: 1000 samples hold the extreme"), "{said}");
    assert_eq!(record.summary.channels[1].clipped_samples, 0);
    // The sensor's noise, of some digits, is there all along: nothing is flat, nothing is said.
    let noisy = |i: usize, t: f64| rise(t) + 0.01 * noise(i);
    let record = with_rate(|i, t| format!("{:.4}", noisy(i, t))).unwrap();
    assert!(record.summary.warnings.is_empty(), "{:?}", record.summary);
    let clipped = |said: Result<CleanRecord, String>| {
        let said = said.expect_err("a clipped channel");
        assert!(
            said.contains("`W`") && said.contains("the channel is clipped"),
            "{said}"
        );
    };
    // It ends where the sensor ends: its noise too.
    clipped(with_rate(|i, t| format!("{:.4}", noisy(i, t).min(1.5))));
    // Without noise, but it comes back.
    let back = |t: f64| {
        if t < 0.2 {
            rise(t)
        } else {
            2.0 - 20.0 * (t - 0.2)
        }
    };
    clipped(with_rate(|_, t| format!("{:.6}", back(t).min(1.5))));
    // Steps coarser than the noise: flat before the blow for some samples only, on the plateau for 1250.
    let coarse = |i: usize, t: f64| 0.02 * (noisy(i, t) / 0.02).round();
    clipped(with_rate(|i, t| format!("{:.2}", coarse(i, t).min(1.5))));
}

#[test]
fn a_zero_level_that_drifts_is_told() {
    let drifting: Vec<(f64, f64)> = rows().iter().map(|(t, a)| (*t, a + 2.0 * t)).collect();
    let record = cleaned(DESCRIPTION, &csv(&drifting)).unwrap();
    let said = record.summary.warnings.join("\n");
    assert!(
        said.contains("last tenth") && said.contains("drifted"),
        "{said}"
    );
    // Left alone, 2 g/s from 0.15 g at touch add up to some 0.5 m/s; the line through both ends takes them off.
    assert!((record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() > 0.3);
    let level = format!("{DESCRIPTION}[event]\nzero_level = \"before-and-after\"\n");
    let record = cleaned(&level, &csv(&drifting)).unwrap();
    assert!(
        (record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.02,
        "{:?}",
        record.summary.velocity_change
    );
}

#[test]
fn gaps_and_uneven_clocks_are_found_with_their_lines() {
    let mut gap = rows();
    gap.drain(800..812);
    refused(
        DESCRIPTION,
        &csv(&gap),
        &["pulse.csv:802", "`clock`", "a gap of 1.3 ms", "fill_gaps"],
    );
    let filled = DESCRIPTION.replace("time = \"clock\"", "time = \"clock\"\nfill_gaps = \"2 ms\"");
    let record = cleaned(&filled, &csv(&gap)).unwrap();
    assert!((record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.02);
    let mut uneven = rows();
    for (i, row) in uneven.iter_mut().enumerate() {
        row.0 += if i % 3 == 0 { 3e-5 } else { 0.0 };
    }
    let text: Vec<String> = uneven
        .iter()
        .map(|(t, a)| format!("{t:.6},{a:.5}"))
        .collect();
    let text = format!("clock,AX\n{}\n", text.join("\n"));
    refused(
        DESCRIPTION,
        &text,
        &["pulse.csv:3", "not even", "resample = true"],
    );
    let put = DESCRIPTION.replace("time = \"clock\"", "time = \"clock\"\nresample = true");
    let record = cleaned(&put, &text).unwrap();
    assert!((record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.02);
    let mut back = rows();
    back[100].0 = 0.0;
    refused(
        DESCRIPTION,
        &csv(&back),
        &["pulse.csv:102", "does not run forward"],
    );
    let rate = DESCRIPTION.replace("time = \"clock\"", "time = \"clock\"\nrate = \"20 kHz\"");
    refused(&rate, &csv(&rows()), &["no rate of 20000 Hz"]);
}

#[test]
fn semicolons_and_decimal_commas() {
    let text = csv(&rows()).replace(',', ";").replace('.', ",");
    refused(
        DESCRIPTION,
        &text,
        &["pulse.csv:1", "has ';'", "separator = \";\""],
    );
    let half = DESCRIPTION.replace("time = \"clock\"", "time = \"clock\"\nseparator = \";\"");
    refused(
        &half,
        &text,
        &["pulse.csv:2", "is no number", "decimal = \",\""],
    );
    let whole = half.replace("separator = \";\"", "separator = \";\"\ndecimal = \",\"");
    let record = cleaned(&whole, &text).unwrap();
    assert!((record.summary.velocity_change.at_engagement_end_mps - 2.5).abs() < 0.01);
    // Commas for both: each row has four cells.
    let both = csv(&rows()).replace('.', ",");
    refused(DESCRIPTION, &both, &["4 cells instead of 2"]);
}

#[test]
fn what_is_missing_or_no_number_is_named() {
    let text = csv(&rows());
    let lines: Vec<&str> = text.lines().collect();
    let with = |line: usize, put: &str| {
        let mut lines = lines.clone();
        lines[line - 1] = put;
        lines.join("\n")
    };
    refused(
        DESCRIPTION,
        &with(500, "0.0498,NaN"),
        &["pulse.csv:500", "`AX`", "no finite number"],
    );
    refused(
        DESCRIPTION,
        &with(501, "0.0499,"),
        &["pulse.csv:501", "empty cell"],
    );
    refused(
        DESCRIPTION,
        &with(7, "0.0005,---"),
        &["pulse.csv:7", "`---` is no number"],
    );
    refused(
        DESCRIPTION,
        &with(1, "clock,Ax"),
        &["`AX`", "no such column", "`Ax`"],
    );
    refused(DESCRIPTION, "", &["no line of names"]);
    refused(DESCRIPTION, "clock,AX\n", &["fewer than two rows"]);
    let dead: Vec<(f64, f64)> = rows().iter().map(|(t, _)| (*t, 0.5)).collect();
    refused(DESCRIPTION, &csv(&dead), &["a dead channel"]);
    let silent: Vec<(f64, f64)> = rows()
        .iter()
        .enumerate()
        .map(|(i, (t, _))| (*t, 0.02 * noise(i)))
        .collect();
    refused(DESCRIPTION, &csv(&silent), &["no blow"]);
    let late = &rows()[505..];
    refused(DESCRIPTION, &csv(late), &["zero level"]);
}

#[test]
fn descriptions_are_refused_with_line_and_reason() {
    for (from, to, part) in [
        (
            "unit = \"g\"",
            "unit = \"gee\"",
            "record.toml:10: `AX`: `gee` is no unit",
        ),
        (
            "acceleration-x",
            "speed",
            "`speed` is nothing that a channel measures",
        ),
        (
            "time = \"clock\"",
            "rate = \"fast\"",
            "record.toml:6: `file.rate`",
        ),
        ("time = \"clock\"", "", "a clock is missing"),
        (
            "acceleration-x",
            "acceleration-y",
            "no channel measures acceleration-x",
        ),
        ("title", "titel", "unknown field `titel`"),
        (
            "unit = \"g\"",
            "unit = \"g\"\nfilter = \"CFC 61\"",
            "no filter class",
        ),
        (
            "unit = \"g\"",
            "unit = \"g\"\nfull_scale = \"-3 g\"",
            "must be above zero",
        ),
    ] {
        let said = describe("record.toml", &DESCRIPTION.replace(from, to))
            .unwrap_err()
            .to_string();
        assert!(said.contains(part), "{part}: {said}");
    }
}

/// A sensor 1 m ahead and 0.5 m left of the centre turns about it: a_s = (-alpha r_y - w^2 r_x, alpha r_x - w^2 r_y).
#[test]
fn a_sensor_off_the_centre_is_moved_there() {
    let (ahead, left) = (1.0, 0.5);
    let lines: Vec<String> = (0..2500)
        .map(|i| {
            let t = 1e-4 * i as f64;
            let s = (t - TOUCH).clamp(0.0, 0.1);
            // w = 2 s / 0.1 rad/s up to 0.1 s, then constant.
            let rate = 20.0 * s;
            let alpha = if s > 0.0 && s < 0.1 { 20.0 } else { 0.0 };
            let x = pulse(t) - alpha * left - rate * rate * ahead;
            let y = alpha * ahead - rate * rate * left;
            format!(
                "{t:.4},{:.6},{:.6},{rate:.6}",
                (x + 0.01 * noise(i)) / G,
                (y + 0.01 * noise(i + 9000)) / G
            )
        })
        .collect();
    let text = format!("clock,AX,AY,W\n{}\n", lines.join("\n"));
    let channels = r#"
[[channel]]
column = "AY"
measures = "acceleration-y"
unit = "g"
[[channel]]
column = "W"
measures = "yaw-rate"
unit = "rad/s"
"#;
    let there = format!(
        "{DESCRIPTION}{channels}[sensor]\nahead = \"1 m\"\nleft = \"0.5 m\"\n[event]\ntime_zero = \"given\"\nat = \"50 ms\"\nlength = \"150 ms\"\n"
    );
    let record = cleaned(&there, &text).unwrap();
    let last = record.summary.velocity_change.at_engagement_end_mps;
    assert!((last - 2.5).abs() < 0.02, "{last}");
    let across: f64 = record.acceleration_mps2.iter().map(|a| a[1] * 1e-4).sum();
    assert!(across.abs() < 0.02, "{across}");
    // Left where it is, the velocity is off by alpha r_y T + r_x int w^2.
    let wrong = cleaned(
        &there
            .replace("\"1 m\"", "\"0 m\"")
            .replace("\"0.5 m\"", "\"0 m\""),
        &text,
    )
    .unwrap();
    assert!((wrong.summary.velocity_change.at_engagement_end_mps - 2.5).abs() > 0.5);
}
