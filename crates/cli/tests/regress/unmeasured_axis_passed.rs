//! Seen: a record with one acceleration, along the vehicle, printed "0 m/s across" and passed the lateral check with 0.0, EN 12767
//! with an index of one axis of three; and nothing was said of an occupant who meets no surface. Expected: what no channel
//! measures is not evaluated; the printed line says that nothing was measured across, and what stands in without contact.

use std::fs;

use super::place::Place;
use super::{change_cells, edit, laboratory, only_along};

/// Of each check of the summary: key, value, outcome, remark.
fn checks(place: &Place) -> Vec<[serde_json::Value; 4]> {
    let text = fs::read_to_string(place.at("out/summary.json")).unwrap();
    let summary: serde_json::Value = serde_json::from_str(&text).unwrap();
    let verdicts = summary["verdicts"].as_array().unwrap();
    let list = verdicts
        .iter()
        .flat_map(|v| v["checks"].as_array().unwrap());
    list.map(|c| ["key", "value", "outcome", "remark"].map(|k| c[k].clone()))
        .collect()
}

fn outcome(place: &Place, key: &str) -> (String, String) {
    let list = checks(place);
    let found = list.iter().find(|c| c[0] == key);
    let [_, value, outcome, remark] = found.unwrap_or_else(|| panic!("no {key} in {list:?}"));
    let outcome = outcome.as_str().unwrap().to_owned();
    assert_eq!(value.is_null(), outcome == "not-evaluated", "{list:?}");
    (outcome, remark.as_str().unwrap_or_default().to_owned())
}

fn recorded(place: &Place) -> String {
    place.done(&["record", "record.toml", "--out", "out"])
}

/// The scenario judged by EN 12767 too.
fn both_documents(place: &Place) {
    let text = fs::read_to_string(place.at("test_7.toml")).unwrap();
    let sets = "[criteria]\nsets = [\"en-12767\", \"mash-2016\"]\n";
    fs::write(place.at("test_7.toml"), format!("{text}\n{sets}")).unwrap();
}

#[test]
fn what_no_channel_measures_is_not_evaluated() {
    let place = laboratory("unmeasured");
    both_documents(&place);
    only_along(&place);
    let said = recorded(&place);
    assert!(
        said.contains(" m/s along, nothing was measured across"),
        "{said}"
    );
    assert!(!said.contains("m/s across"), "{said}");
    for key in ["oiv_lateral_mps", "ridedown_lateral_g", "thiv_mps", "asi"] {
        let (outcome, remark) = outcome(&place, key);
        assert_eq!(outcome, "not-evaluated", "{key}");
        assert!(
            remark.starts_with("nothing was measured across"),
            "{remark}"
        );
    }
    assert_eq!(outcome(&place, "oiv_longitudinal_mps").0, "pass");
    assert!(
        said.contains("passes the 1 checks that were evaluated"),
        "{said}"
    );
    assert!(
        said.contains("not evaluated: lateral occupant impact velocity"),
        "{said}"
    );
    assert!(
        said.contains("EN 12767:2019: The blow is not judged"),
        "{said}"
    );
    let text = fs::read_to_string(place.at("out/summary.json")).unwrap();
    let summary: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(summary["occupant"]["asi_50ms_mean"].is_null());
    assert!(summary["occupant"]["asi_13hz_filter"].is_null());
}

#[test]
fn what_is_measured_is_evaluated() {
    let place = laboratory("measured");
    both_documents(&place);
    let said = recorded(&place);
    assert!(said.contains(" m/s across"), "{said}");
    assert_eq!(outcome(&place, "oiv_lateral_mps").0, "pass");
    assert_eq!(outcome(&place, "thiv_mps").0, "pass");
    let (index, remark) = outcome(&place, "asi");
    assert_eq!(index, "not-evaluated");
    assert!(
        remark.starts_with("nothing was measured upward"),
        "{remark}"
    );
    // The rate's noise as one of a vertical acceleration.
    let yaw = "measures = \"yaw-rate\"\nunit = \"deg/s\"";
    let up = "measures = \"acceleration-z\"\nunit = \"m/s2\"";
    edit(&place.at("record.toml"), yaw, up);
    recorded(&place);
    assert_eq!(outcome(&place, "asi").0, "pass");
}

/// An index of one axis is too small, so one that fails has failed.
#[test]
fn an_index_of_one_axis_can_fail() {
    let place = laboratory("index_fails");
    both_documents(&place);
    only_along(&place);
    change_cells(&place, |[_, along, ..]| *along *= 5.0);
    recorded(&place);
    let (index, remark) = outcome(&place, "asi");
    assert_eq!(index, "fail");
    assert!(
        remark.starts_with("at least this much: nothing was"),
        "{remark}"
    );
    assert_eq!(outcome(&place, "thiv_mps").0, "not-evaluated");
}

#[test]
fn the_printed_line_says_what_stands_in_without_contact() {
    let place = laboratory("no_contact");
    let basis =
        "no contact with the interior within the record of 148 ms: the velocity change stands in";
    let said = recorded(&place);
    assert!(said.contains(basis), "{said}");
    change_cells(&place, |[_, along, ..]| *along *= 4.0);
    let said = recorded(&place);
    assert!(!said.contains("no contact"), "{said}");
}
