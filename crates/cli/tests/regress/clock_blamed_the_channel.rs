//! Seen: with `time_unit = "ms"` for a clock in seconds the acceleration was said to hold no blow, and its unit was doubted. Expected:
//! a record shorter than a blow, or sampled as no test is, is a fault of the clock, told where its unit stands; a rate that is
//! given besides leaves no doubt of the clock.

use super::{edit, laboratory, record_refused};

#[test]
fn a_clock_in_another_unit_is_told_where_it_stands() {
    let place = laboratory("clock_ms");
    let time = "time = \"T_REC [s]\"";
    edit(
        &place.at("record.toml"),
        time,
        &format!("{time}\ntime_unit = \"ms\""),
    );
    let err = record_refused(&place);
    for part in [
        "record.toml:7:13: error[L020]: file.time_unit: with a clock in ms the record is 0.1999 ms long and sampled at 1e7 Hz",
        "time_unit = \"s\" makes it 199.9 ms at 10000 Hz",
    ] {
        assert!(err.contains(part), "{err}");
    }
    assert_eq!(err.matches("error[").count(), 1, "{err}");
}

#[test]
fn a_clock_without_a_unit_is_told_at_its_name() {
    let place = laboratory("clock_s");
    super::change_cells(&place, |cells| cells[0] *= 1e3);
    let err = record_refused(&place);
    for part in [
        "record.toml:6:8: error[L020]: file.time: with a clock in s the record is 199900 ms long and sampled at 10 Hz",
        "time_unit = \"ms\" makes it 199.9 ms at 10000 Hz",
    ] {
        assert!(err.contains(part), "{err}");
    }
    let time = "time = \"T_REC [s]\"";
    edit(
        &place.at("record.toml"),
        time,
        &format!("{time}\nrate = \"10 Hz\""),
    );
    let err = record_refused(&place);
    assert!(!err.contains("no record of a blow"), "{err}");
}
