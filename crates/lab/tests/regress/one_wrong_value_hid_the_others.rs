//! Seen: of several values of a wrong kind in a laboratory's file only the first was told, and none of the impossible values; with a
//! byte order mark every place was three bytes off. Expected: everything in one pass, each with line and column.

use giveway_lab::record::describe;

const TEXT: &str = r#"title = 3
scenario = "a.toml"
[file]
skip = "two"
time = "t"
rate = 10000
tiime = "x"
[[channel]]
column = "ax"
measures = "aceleration-x"
unit = "g"
[[channel]]
column = "\u00e9"
sign = true
unit = "gee"
[event]
quiet = ["1 ms"]
threshold = 0.5
filter = "CFC 61"
"#;

#[test]
fn every_value_is_told_in_one_pass() {
    let wanted = [
        (1, 9, "integer `3`, expected a string"),
        (3, 1, "missing field `name`"),
        (4, 8, "expected a whole number from 0 on"),
        (6, 8, "in quotes; a quantity with its unit"),
        (7, 1, "did you mean `time`?"),
        (10, 12, "`aceleration-x` is nothing that a channel measures"),
        (12, 1, "missing field `measures`"),
        (14, 8, "boolean `true`, expected a string"),
        (17, 9, "expected an array of length 2"),
        (18, 13, "floating point `0.5`, expected a string"),
        (19, 10, "`CFC 61` is no filter class"),
    ];
    let texts = [
        TEXT.to_owned(),
        format!("\u{feff}{TEXT}"),
        TEXT.replace('\n', "\r\n"),
    ];
    for text in texts {
        let list = describe("a.toml", &text).unwrap_err().0;
        let found: Vec<_> = list.iter().map(|f| (f.line.unwrap(), f.column)).collect();
        let places: Vec<_> = wanted.iter().map(|w| (w.0, w.1)).collect();
        assert_eq!(found, places, "{list:#?}");
        for (fault, (.., part)) in list.iter().zip(wanted) {
            assert!(fault.to_string().contains(part), "{part}: {fault}");
        }
    }
}
