//! Seen: a table with commas between its cells and in its numbers was told to need separator = ";" and decimal = ",", twenty times
//! over, and with these to need separator = ",". Expected: it is told once that such a file cannot be read and must be exported
//! again.

use std::fs;

use super::{edit, laboratory, record_refused};

const SAID: &str = "test_7.csv:2:16: error[L040]: 8 cells instead of 4: commas stand between cells and in the numbers, so the file cannot be read unambiguously";

#[test]
fn commas_for_both_are_told_once() {
    let place = laboratory("commas");
    let table = fs::read_to_string(place.at("test_7.csv")).unwrap();
    fs::write(place.at("test_7.csv"), table.replace('.', ",")).unwrap();
    let told = |settings: &str| {
        let before = fs::read_to_string(place.at("record.toml")).unwrap();
        edit(
            &place.at("record.toml"),
            "time =",
            &format!("{settings}time ="),
        );
        let err = record_refused(&place);
        fs::write(place.at("record.toml"), before).unwrap();
        assert_eq!(err.matches("error[").count(), 1, "{err}");
        err
    };
    for settings in ["", "separator = \";\"\ndecimal = \",\"\n"] {
        let err = told(settings);
        assert!(
            err.contains(SAID) && err.contains("export it again"),
            "{err}"
        );
        assert!(!err.contains("separator ="), "{err}");
    }
    let err = told("separator = \",\"\ndecimal = \",\"\n");
    assert!(err.contains("must be exported again"), "{err}");
}

#[test]
fn a_row_with_a_cell_too_many_is_none_of_it() {
    let place = laboratory("commas_none");
    let table = fs::read_to_string(place.at("test_7.csv")).unwrap();
    let table = table.replacen("0.0075,", "0.0075,1,2,3,4,", 1);
    fs::write(place.at("test_7.csv"), table).unwrap();
    let err = record_refused(&place);
    assert!(
        err.contains("test_7.csv:3:14: error[L040]: 8 cells instead of 4"),
        "{err}"
    );
    assert!(!err.contains("unambiguously"), "{err}");
}
