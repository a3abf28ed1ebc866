//! Seen: `giveway report --figures` chose the figures of runs; of a study it was passed over and everything was drawn.
//! Expected: the figures named, and a name that is not there is refused with those that are.

use std::fs;

use super::new_place;

const STUDY: &str = r#"
base = "pole.toml"
[grid]
slip_base.clamp.torque = { from = "100 N.m", to = "300 N.m", steps = 3 }
impact.speed = ["30 km/h", "50 km/h"]
"#;

#[test]
fn figures_of_a_study_are_chosen_by_name() {
    let place = new_place("report_of_a_study");
    fs::write(place.at("s.toml"), STUDY).unwrap();
    place.done(&["study", "s.toml", "--out", "s", "--quiet"]);
    let figures = |more: &[&str]| {
        place.done(&[&["report", "s", "--out", "r.html"], more].concat());
        let page = fs::read_to_string(place.at("r.html")).unwrap();
        page.matches("<figure").count()
    };
    assert!(figures(&[]) > 1);
    assert_eq!(figures(&["--figures", "none"]), 0);
    let one = "curves-velocity-change-mps-by-slip-base-clamp-torque-nm";
    assert_eq!(figures(&["--figures", one]), 1);
    let (code, _, err) = place.run(&["report", "s", "--figures", "storyboard"]);
    assert_eq!(code, 2);
    assert!(err.contains(one), "{err}");
}
