//! Scenarios that the tests of this crate share.
#![allow(dead_code)]

use giveway_scenario::model::Scenario;

/// Reads a scenario file with overrides; `side` turns a frontal impact into a sideways slide first.
pub fn scenario(path: &str, set: &[(&str, &str)], side: bool) -> Scenario {
    let text = std::fs::read_to_string(path).expect("scenario file");
    let mut overrides: Vec<(String, String)> = set
        .iter()
        .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
        .collect();
    if side {
        let direction = if set.iter().any(|(_, v)| *v == "left-side") {
            "90 deg"
        } else {
            "-90 deg"
        };
        overrides.retain(|(k, _)| k != "impact.velocity_direction");
        overrides.push(("impact.velocity_direction".to_owned(), direction.to_owned()));
    }
    match giveway_scenario::read(&text, path, &overrides) {
        Ok(loaded) => loaded.scenario,
        Err(findings) => panic!("{path}: {findings:?}"),
    }
}

/// The small car at 30 km/h on the three-bolt pole with a short arm.
pub fn first(set: &[(&str, &str)]) -> Scenario {
    scenario("../../scenarios/first.toml", set, false)
}

/// A 15 m steel pole with a 6 m arm over the road, on four bolts.
pub fn heavy_with_arm(set: &[(&str, &str)]) -> Scenario {
    let mut s = first(set);
    s.title = "heavy pole with a long arm".to_owned();
    s.support.pole_length_m = 15.0;
    s.support.pole.base_diameter_m = 0.25;
    s.support.pole.tip_diameter_m = 0.12;
    s.support.pole.wall_m = 0.005;
    let arm = &mut s.support.arms[0];
    arm.reach_m = 6.0;
    arm.attachment_height_m = 14.5;
    arm.rise_m = 0.8;
    arm.tube.base_diameter_m = 0.12;
    arm.luminaires[0].mass_kg = 18.0;
    s.base.preload_n = 30e3;
    s.impact.speed_mps = 22.0;
    s
}
