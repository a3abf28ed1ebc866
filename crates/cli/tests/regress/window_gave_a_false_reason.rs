//! Seen: "fails at every torque: the base holds" of an impact whose base lets go at most torques and fails on another check; the
//! JSON stood on many lines although the help promises one object a line; a place on the front could not be asked for.
//! Expected: every reason with its torques, one line, every impact's name tells where it is struck.

use super::new_place;

#[test]
fn reasons_are_told_with_their_torques() {
    let place = new_place("window_reasons");
    // A limit that no impact keeps.
    let limit = "criteria.limit.oiv_longitudinal={ value = \"0.1 m/s\", source = \"a test\" }";
    let asked = [
        "window",
        "pole.toml",
        "--format",
        "json",
        "--speed",
        "30 km/h",
        "--offset",
        "centre",
        "--offset",
        "-200 mm",
        "--document",
        "mash-2016",
        "--set",
        limit,
    ];
    let told = place.done(&asked);
    assert_eq!(told.lines().count(), 1, "{told}");
    let answer: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert!(answer["window"]["window_nm"].is_null());
    let rows = answer["table"].as_array().unwrap();
    let impacts: Vec<_> = rows.iter().filter(|r| r["kind"] == "impact").collect();
    let names: Vec<&str> = impacts
        .iter()
        .map(|r| r["name"].as_str().unwrap())
        .collect();
    assert_eq!(names.len(), 2);
    assert!(names[0].ends_with("at 30 km/h, centre"), "{names:?}");
    assert!(
        names[1].ends_with("at 30 km/h, 200 mm right of the centre"),
        "{names:?}"
    );
    for row in &impacts {
        assert!(row["passes"].as_array().unwrap().is_empty());
        let reasons = row["reasons"].as_array().unwrap();
        let said = |i: usize| reasons[i]["words"].as_str().unwrap();
        assert!(
            said(0).starts_with("lets go, fails occupant impact velocity"),
            "{reasons:?}"
        );
        assert!(reasons[0]["from_nm"].is_null() && reasons[0]["to_nm"].as_f64().unwrap() > 50.0);
        assert!(
            reasons
                .iter()
                .any(|r| r["words"].as_str().unwrap().starts_with("the base holds")),
            "{reasons:?}"
        );
    }
    let sentences = answer["window"]["limits"].to_string();
    assert!(
        !sentences.contains("at every torque: the base holds"),
        "{sentences}"
    );
    assert!(
        sentences.contains("passes at no torque: up to "),
        "{sentences}"
    );
    // What comes nearest, and what it misses.
    let nearest = &answer["nearest"];
    assert!(
        nearest["sentence"].as_str().unwrap().contains("misses"),
        "{nearest}"
    );
    let worst = nearest["misses"][0][1]["margin_fraction"].as_f64().unwrap();
    assert!(worst < -1.0, "{nearest}");
}
