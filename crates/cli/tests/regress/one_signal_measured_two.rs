//! Seen: one column given as acceleration-x and as acceleration-y, or two columns with the same cells, made a record. Expected: it
//! is refused at the second of them, in the description or in the table.

use super::{change_cells, edit, laboratory, record_refused};

#[test]
fn a_column_measures_one_thing() {
    let place = laboratory("one_column");
    edit(&place.at("record.toml"), "A4_TRANS", "A3_LONG");
    let err = record_refused(&place);
    let part = "record.toml:15:10: error[L020]: A3_LONG: this column is given as acceleration-x already, and cannot measure acceleration-y too";
    assert!(err.contains(part), "{err}");
    assert_eq!(place.run(&["check", "record.toml"]).0, 3);
}

#[test]
fn two_columns_with_the_same_cells_are_one_signal() {
    let place = laboratory("same_cells");
    change_cells(&place, |cells| cells[2] = cells[1]);
    let err = record_refused(&place);
    let part = "test_7.csv:1:19: error[L040]: A4_TRANS: its samples are those of `A3_LONG` throughout: one signal cannot be acceleration-x and acceleration-y";
    assert!(err.contains(part), "{err}");
    // Two that are dead are told to be dead.
    change_cells(&place, |cells| (cells[2], cells[3]) = (0.0, 0.0));
    let err = record_refused(&place);
    assert!(
        err.contains("a dead channel") && !err.contains("one signal"),
        "{err}"
    );
}
