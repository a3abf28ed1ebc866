//! Seen: `giveway window` refused a scenario that names its profile ("`profile` is not known"), and with `--profile` its impacts
//! were those of the scenario without what the profile sets. Expected: every impact is that of the design which `giveway run` computes.

use std::fs;

use super::{SCENARIO, new_place};

const PROFILE: &str = r#"
name = "Harrow Vale test"
revision = "2026-11"
tests = ["nchrp-350"]
"#;

#[test]
fn the_window_is_that_of_the_design_by_its_profile() {
    let place = new_place("window_profile");
    fs::write(place.at("hv.toml"), PROFILE).unwrap();
    let named = format!("profile = \"hv.toml\"\n{SCENARIO}");
    fs::write(place.at("named.toml"), named).unwrap();
    let window = |arguments: &[&str]| {
        let all = [&["window", "--format", "json"], arguments].concat();
        let value: serde_json::Value = serde_json::from_str(&place.done(&all)).unwrap();
        value["window"].clone()
    };
    let plain = window(&["pole.toml"]);
    let by_name = window(&["named.toml"]);
    let by_option = window(&["pole.toml", "--profile", "hv.toml"]);
    let by_hand = window(&["pole.toml", "--set", "criteria.sets=[\"nchrp-350\"]"]);
    assert_eq!(by_name, by_hand);
    assert_eq!(by_option, by_hand);
    assert_ne!(plain, by_hand);
}
