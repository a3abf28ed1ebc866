//! Seen: a table or a scenario that a description names and that is not there was told without the line that names it. Expected: at
//! that line; the program ends as it does of a file that cannot be read.

use super::{edit, laboratory};

#[test]
fn a_file_that_is_not_there_is_told_at_its_name() {
    let place = laboratory("missing");
    let told = || {
        let (code, out, err) = place.run(&["record", "record.toml"]);
        assert_eq!(code, 4, "{out}{err}");
        err
    };
    edit(&place.at("record.toml"), "\"test_7.csv\"", "\"nofile.csv\"");
    let err = told();
    let part = "record.toml:5:8: error[L020]: file.name: nofile.csv cannot be opened";
    assert!(
        err.contains(part) && err.contains("5 | name = \"nofile.csv\""),
        "{err}"
    );
    edit(&place.at("record.toml"), "\"test_7.toml\"", "\".\"");
    let err = told();
    let part = "record.toml:2:12: error[L020]: scenario: . is a folder, not a file";
    assert!(err.contains(part), "{err}");
}
