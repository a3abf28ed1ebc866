//! Seen: `giveway draw --at "impact.speed=50 km/h"` was refused ("has no value"), only the number in SI was taken.
//! Expected: a value as a scenario writes it; and the column of a drawn path has the path's name, like that of a swept one.

use std::fs;

use super::new_place;

const STUDY: &str = r#"
base = "pole.toml"
[grid]
impact.speed = ["30 km/h", "50 km/h"]
[sample]
method = "sobol"
count = 4
[sample.over]
slip_base.clamp.torque = { uniform = { low = "100 N.m", high = "300 N.m" } }
[output]
columns = ["velocity_change_mps"]
"#;

#[test]
fn a_value_may_have_its_unit() {
    let place = new_place("at_with_unit");
    fs::write(place.at("s.toml"), STUDY).unwrap();
    place.done(&["study", "s.toml", "--out", "s", "--quiet"]);
    let head = fs::read_to_string(place.at("s/runs.csv")).unwrap();
    let head = head.lines().next().unwrap();
    assert!(
        head.contains("impact_speed_mps") && head.contains("slip_base_clamp_torque_nm"),
        "{head}"
    );
    for at in ["impact.speed=50 km/h", "impact.speed=13.8889"] {
        let out = if at.ends_with('h') { "a" } else { "b" };
        place.done(&[
            "draw",
            "s",
            "--at",
            at,
            "--x",
            "slip_base.clamp.torque",
            "--out",
            out,
        ]);
    }
    let analysis = |out: &str| fs::read(place.at(out).join("analysis.json")).unwrap();
    assert!(analysis("a") == analysis("b"));
    let kept = String::from_utf8(analysis("a")).unwrap();
    assert!(kept.contains("13.88888888888889"), "{kept}");
    assert_eq!(place.run(&["draw", "s", "--at", "impact.speed=50 kg"]).0, 2);
}
