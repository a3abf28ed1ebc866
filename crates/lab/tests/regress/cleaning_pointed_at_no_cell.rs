//! Seen: what cleaning finds in a record (a clock that runs back, a gap, a dead or a clipped channel, a wrong sign) was told with its
//! line or with no place at all, and a setting that the table speaks against (quiet part, time zero, rate) with the table's name
//! alone. Expected: line and column of the cell, of the column's name where all of a channel is meant, and of the setting.

use giveway_lab::Fault;
use giveway_lab::record::{clean, csv_table, describe};

const HEAD: &str = "scenario = \"first.toml\"\n[file]\nname = \"a.csv\"\ntime = \"t\"\n";
const CHANNELS: &str = "[[channel]]\ncolumn = \"ax\"\nmeasures = \"acceleration-x\"\nunit = \"g\"\n\
    [[channel]]\ncolumn = \"w\"\nmeasures = \"yaw-rate\"\nunit = \"deg/s\"\n";

/// A table at 10 kHz with a blow of 20 ms behind 40 quiet ms; a row may be another one.
fn table(other: impl Fn(usize) -> Option<String>) -> String {
    let row = |i: usize| {
        let t = i as f64 * 1e-4;
        let blow = (0.04..0.06).contains(&t);
        let a = if blow { -6.0 } else { 0.0 } + 0.001 * ((i * 7919) % 13) as f64;
        let w = 0.01 * ((i * 104_729) % 11) as f64;
        other(i).unwrap_or_else(|| format!("{t:.4},\"{w:.3}\",{a:.4}"))
    };
    let rows: Vec<String> = (0..1000).map(row).collect();
    format!("# of test 7\nt,w,ax\n{}\n", rows.join("\n"))
}

fn told(description: &str, text: &str) -> Vec<Fault> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/first.toml");
    let scenario = std::fs::read_to_string(path).unwrap();
    let scenario = giveway_scenario::read(&scenario, "first.toml", &[])
        .unwrap()
        .scenario;
    let d = describe("a.toml", description).unwrap();
    let table = csv_table("a.csv", text, &d).unwrap();
    match clean(&d, &table, &scenario, None) {
        Ok(_) => Vec::new(),
        Err(list) => list.0,
    }
}

fn description(file: &str, event: &str) -> String {
    format!("{HEAD}skip = 1\n{file}{CHANNELS}[event]\n{event}")
}

/// File, line and column of the only fault, and a part of its message.
fn only(file: &str, event: &str, text: &str, wanted: (&str, usize, usize, &str)) {
    let list = told(&description(file, event), text);
    assert_eq!(list.len(), 1, "{list:#?}");
    let fault = &list[0];
    let place = (fault.file.as_str(), fault.line, fault.column);
    assert_eq!(place, (wanted.0, Some(wanted.1), wanted.2), "{fault}");
    assert!(fault.to_string().contains(wanted.3), "{fault}");
}

#[test]
fn what_a_table_has_wrong_is_told_at_its_cell() {
    let plain = table(|_| None);
    assert_eq!(told(&description("", ""), &plain), []);
    let row = |n: usize, text: &str| table(|i| (i == n).then(|| text.to_owned()));
    let back = row(700, "  0.0001,0,0");
    only("", "", &back, ("a.csv", 703, 3, "does not run forward"));
    let gap: String = plain
        .lines()
        .enumerate()
        .filter(|(i, _)| !(600..620).contains(i))
        .map(|(_, line)| format!("{line}\n"))
        .collect();
    only("", "", &gap, ("a.csv", 601, 1, "a gap of 2.1 ms"));
    let uneven = row(800, " 0.08003, 0,0");
    only("", "", &uneven, ("a.csv", 803, 2, "is not even"));
    // Of a channel: at its first cell, at the first clipped one, or at its name.
    let dead = table(|i| Some(format!("{:.4},5, -6", i as f64 * 1e-4)));
    let list = told(&description("", ""), &dead);
    let places: Vec<_> = list.iter().map(|f| (f.line, f.column)).collect();
    assert_eq!(places, [(Some(3), 11), (Some(3), 8)], "{list:#?}");
    let clipped = table(|i| {
        (500..520)
            .contains(&i)
            .then(|| format!("{:.4}, 4,-9", i as f64 * 1e-4))
    });
    let list = told(&description("", ""), &clipped);
    let places: Vec<_> = list.iter().map(|f| (f.line, f.column)).collect();
    assert_eq!(places, [(Some(503), 11), (Some(503), 9)], "{list:#?}");
    let turned = plain.replace(",-", ",");
    only("", "", &turned, ("a.csv", 2, 5, "its sign is wrong"));
}

#[test]
fn a_setting_that_the_table_speaks_against_is_told_at_its_place() {
    let plain = table(|_| None);
    for (file, event, line, column, part) in [
        ("rate = \"5 kHz\"\n", "", 6, 8, "is no rate of 5000 Hz"),
        (
            "",
            "quiet = [\"2 s\", \"3 s\"]\n",
            15,
            10,
            "outside the record",
        ),
        (
            "",
            "quiet = [\"0 s\", \"35 ms\"]\ntime_zero = \"given\"\nat = \"30 ms\"\n",
            15,
            10,
            "behind the touch",
        ),
        (
            "",
            "quiet = [\"0 s\", \"0.2 ms\"]\n",
            15,
            10,
            "no zero level",
        ),
        (
            "",
            "quiet = [\"0 s\", \"10 ms\"]\ntime_zero = \"given\"\nat = \"7 s\"\n",
            17,
            6,
            "outside the record",
        ),
        (
            "",
            "time_zero = \"alignment\"\n",
            15,
            13,
            "needs the computed run",
        ),
        (
            "",
            "\nthreshold = \"500 m/s2\"\n",
            16,
            13,
            "never stays beyond",
        ),
        ("", "length = \"0.2 ms\"\n", 15, 10, "samples are left"),
    ] {
        only(file, event, &plain, ("a.toml", line, column, part));
    }
}
