//! Seen: `giveway compare` of two torques began with a ridedown that does not exist (-193 %), and the velocity change stood
//! 200 lines below. Expected: verdict and headline numbers first, old and new.

use super::new_place;

#[test]
fn the_headline_comes_first() {
    let place = new_place("compare_headline");
    place.done(&["run", "pole.toml", "--out", "a", "--no-figures", "--quiet"]);
    place.done(&[
        "run",
        "pole.toml",
        "--out",
        "b",
        "--no-figures",
        "--quiet",
        "--set",
        "slip_base.clamp.torque=\"120 N.m\"",
    ]);
    let (code, text, _) = place.run(&["compare", "a", "b"]);
    assert_eq!(code, 1);
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[1].trim_start().starts_with("the blow: "), "{text}");
    let place_of = |words: &str| {
        lines
            .iter()
            .position(|l| l.trim_start().starts_with(words))
            .unwrap_or_else(|| panic!("{words}: {text}"))
    };
    let first_number = place_of("numbers compared");
    for words in [
        "velocity change: ",
        "occupant impact velocity, longitudinal: ",
        "largest contact force: ",
        "release of the last bolt: ",
    ] {
        assert!(place_of(words) < first_number, "{text}");
        assert!(lines[place_of(words)].contains(" -> "), "{text}");
    }
}
