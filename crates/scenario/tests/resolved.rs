//! The resolved copy is the very same scenario, whatever was given.

use giveway_scenario::{model::Scenario, read};
use proptest::prelude::*;

/// Bits, not numbers: -0.0 and 0.0 differ here.
fn bits(scenario: &Scenario) -> String {
    serde_json::to_string(scenario).unwrap()
}

fn survives(text: &str, overrides: &[(String, String)]) {
    let first = read(text, "first", overrides).unwrap_or_else(|e| panic!("{}\n{text}", e[0]));
    let second = read(&first.resolved_text, "second", &[])
        .unwrap_or_else(|e| panic!("{}\n{}", e[0], first.resolved_text));
    assert_eq!(
        bits(&first.scenario),
        bits(&second.scenario),
        "{}",
        first.resolved_text
    );
    assert_eq!(first.scenario, second.scenario);
    // And the copy of the copy.
    let third = read(&second.resolved_text, "third", &[]).unwrap();
    assert_eq!(bits(&first.scenario), bits(&third.scenario));
}

const FIRST: &str = include_str!("../../../scenarios/first.toml");

#[test]
fn hard_cases_survive() {
    let set = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
        pairs
            .iter()
            .map(|(k, v)| ((*k).into(), (*v).into()))
            .collect()
    };
    let cases: &[&[(&str, &str)]] = &[
        &[],
        &[("slip_base.clamp.preload", "7 kip")],
        &[("slip_base.anchorage", "fixed")],
        &[("slip_base.keeper.present", "false")],
        &[("impact.offset", "quarter-right")],
        &[
            ("impact.offset", "corner-left"),
            ("impact.heading", "-7.3 deg"),
        ],
        &[("impact.offset", "miss")],
        &[
            ("impact.face", "right-side"),
            ("impact.offset", "quarter-rear"),
        ],
        &[
            ("impact.face", "left-side"),
            ("impact.velocity_direction", "11 deg"),
        ],
        &[("vehicle.front.band[bumper].upper", "25 in")],
        &[
            ("vehicle.front.band[grille].lower", "0.3 m"),
            ("vehicle.front.band[grille].upper", "0.4 m"),
            (
                "vehicle.front.band[grille].crush",
                r#"[["0 mm", "0 kN"], ["1/3 in", "1 kip"]]"#,
            ),
        ],
        &[
            ("title", "quotes \" and \\"),
            ("notes", "two\nlines # not a comment"),
        ],
        &[
            ("support.lump[1].mass", "3 lb"),
            ("support.lump[1].height", "5 ft 6 in"),
            ("support.lump[1].name", "\"sign\""),
        ],
        &[
            ("criteria.limit.ridedown.value", "17.3 g"),
            ("criteria.limit.asi.value", "1.1"),
            ("criteria.limit.asi.source", "here"),
        ],
        &[("criteria.sets", r#"["en-12767", "mash-2016"]"#)],
        &[
            ("vehicle.suspension.ride_frequency", "1.7 Hz"),
            ("vehicle.suspension.damping_ratio", "25 %"),
        ],
        &[
            ("support.pole.density", "490 lb/ft3"),
            ("slip_base.bolt.size", "1-1/8 in"),
            ("slip_base.bolt.pitch", "3.1 mm"),
        ],
        &[
            ("slip_base.stiffness.bolt", "400 MN/m"),
            ("slip_base.stiffness.clamp", "12000 kip/in"),
        ],
    ];
    for case in cases {
        survives(FIRST, &set(case));
    }
}

#[test]
fn every_class_survives() {
    for class in giveway_scenario::classes::CLASSES.iter() {
        survives(FIRST, &[("vehicle.class".into(), class.name.clone())]);
    }
}

#[test]
fn assumptions_name_every_value_that_was_not_given() {
    let loaded = read(FIRST, "f", &[]).unwrap();
    let source = |path: &str| {
        loaded
            .assumptions
            .iter()
            .find(|a| a.path == path)
            .map(|a| (a.value_text.as_str(), a.source.as_str()))
    };
    assert_eq!(source("support.pole.length"), None);
    assert_eq!(source("vehicle.mass").unwrap().0, "1100 kg");
    assert!(source("vehicle.mass").unwrap().1.contains("MASH"));
    assert!(
        source("slip_base.clamp.nut_factor")
            .unwrap()
            .1
            .contains("[recalled]")
    );
    assert_eq!(source("slip_base.bolt.diameter").unwrap().0, "27 mm");
    // (1 - 0.065) 180 / (0.2 0.027) = 31166.7 N
    assert!((loaded.scenario.base.preload_n - 31_166.666_666_666_67).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn any_numbers_survive(
        speed in 5.0f64..150.0,
        length in 5.0f64..19.0,
        diameter in 0.12f64..0.3,
        torque in 50.0f64..600.0,
        nut in 0.12f64..0.35,
        circle in 13.5f64..18.0,
        angle in 50.0f64..120.0,
        azimuth in -360.0f64..360.0,
        heading in -40.0f64..40.0,
        slide in -20.0f64..20.0,
        mass in 1500.0f64..6000.0,
        offset in -0.7f64..0.7,
        step in 5.0f64..100.0,
    ) {
        let overrides: Vec<(String, String)> = [
            ("impact.speed", format!("{speed} mph")),
            ("support.pole.length", format!("{length} m")),
            ("support.pole.base_diameter", format!("{diameter} m")),
            ("slip_base.clamp.torque", format!("{torque} lbf.ft")),
            ("slip_base.clamp.nut_factor", format!("{nut}")),
            ("slip_base.bolt_circle", format!("{circle} in")),
            ("slip_base.notch.included_angle", format!("{angle} deg")),
            ("slip_base.first_bolt_azimuth", format!("{azimuth} deg")),
            ("impact.heading", format!("{heading} deg")),
            ("impact.velocity_direction", format!("{} deg", heading + slide)),
            ("vehicle.mass", format!("{mass} lb")),
            ("impact.offset", format!("{offset} m")),
            ("solver.step", format!("{step} us")),
        ]
        .into_iter()
        .map(|(k, v)| (k.to_owned(), v))
        .collect();
        survives(FIRST, &overrides);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,200}") {
        let _ = read(&text, "any", &[]);
    }

    #[test]
    fn no_broken_line_panics(line in 0usize..40, text in "[-+a-z0-9 =\"\\[\\].,#/]{0,30}") {
        let mut lines: Vec<&str> = FIRST.lines().collect();
        let at = line.min(lines.len() - 1);
        lines[at] = &text;
        let _ = read(&lines.join("\n"), "any", &[]);
    }

    #[test]
    fn no_override_panics(path in "[a-z_.\\[\\]0-9]{0,30}", value in "\\PC{0,20}") {
        let _ = read(FIRST, "any", &[(path, value)]);
    }
}
