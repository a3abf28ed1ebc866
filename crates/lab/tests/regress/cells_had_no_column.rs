//! Seen: a wrong cell of a laboratory's table was told by its line alone, reading ended with the twentieth fault as if there were
//! no more, a row that was too short was told twice, a column that stood twice was taken from its first place without a word.
//! Expected: file, line and column of every cell, twenty of them and how many there are besides.

use giveway_lab::Faults;
use giveway_lab::record::{RawTable, csv_table, describe};

const DESCRIPTION: &str = r#"
scenario = "a.toml"
[file]
name = "a.csv"
time = "t"
[[channel]]
column = "ax"
measures = "acceleration-x"
unit = "g"
[[channel]]
column = "w"
measures = "yaw-rate"
unit = "deg/s"
"#;

fn read(text: &str) -> Result<RawTable, Faults> {
    csv_table("a.csv", text, &describe("a.toml", DESCRIPTION).unwrap())
}

/// Line, column, and a part of the message.
fn told(text: &str, wanted: &[(usize, usize, &str)]) {
    let list = read(text).unwrap_err().0;
    assert_eq!(list.len(), wanted.len(), "{text:?}: {list:#?}");
    for (fault, (line, column, part)) in list.iter().zip(wanted) {
        assert_eq!(
            (fault.line, fault.column),
            (Some(*line), *column),
            "{fault}"
        );
        assert!(fault.to_string().contains(part), "{part}: {fault}");
    }
}

#[test]
fn every_cell_has_its_line_and_column() {
    let rows = "t,ax,w\n0,nan,1\n1,2.5 g,1\n2,  --,\n3,4\n\n\n4,1,2,9\n\u{e9},1,\u{e9}\n";
    let wanted = [
        (2, 3, "`nan` is no finite number"),
        (3, 3, "`2.5 g` is no number (a number with its unit?"),
        (4, 5, "`--` is no number"),
        (4, 8, "an empty cell"),
        (5, 4, "2 cells instead of 3"),
        (8, 7, "4 cells instead of 3"),
        (9, 1, "`\u{e9}` is no number"),
        (9, 5, "`\u{e9}` is no number"),
    ];
    told(rows, &wanted);
    told(&rows.replace('\n', "\r\n"), &wanted);
    told(&format!("\u{feff}{rows}"), &wanted);
    // Cells in quotes may hold separators and ends of lines; a sign of inches opens none.
    told(
        "t,ax,w\n\"0\",\"a,\nb\",1\n1,5\",x\n",
        &[
            (2, 5, "`a, b` is no number"),
            (4, 3, "`5\"` is no number"),
            (4, 6, "`x` is no number"),
        ],
    );
}

#[test]
fn names_of_columns_are_found_once() {
    told(
        "\nt,ax,ax\n0,1,2\n",
        &[
            (2, 6, "stands twice"),
            (2, 1, "`w`: the file has no such column"),
        ],
    );
    told("t;ax;w\n0;1;2\n", &[(1, 1, "has no ','")]);
}

#[test]
fn twenty_are_told_and_the_rest_is_counted() {
    let rows: String = (0..5000).map(|i| format!("{i},x,y\n")).collect();
    let list = read(&format!("t,ax,w\n{rows}")).unwrap_err().0;
    assert_eq!(list.len(), 21);
    assert_eq!(list[20].message, "and 9980 more");
    // A file of nothing else is not read to its end.
    let rows = "0,x,y\n".repeat(60_000);
    let list = read(&format!("t,ax,w\n{rows}")).unwrap_err().0;
    assert_eq!(
        list[20].message,
        "and 99980 more up to line 50001; what follows was not read"
    );
    let names = (0..100_000).map(|i| format!("n{i},")).collect::<String>();
    let said = read(&format!("{names}\n1,2\n")).unwrap_err().to_string();
    assert!(
        said.len() < 2000 && said.contains("99971 more"),
        "{}",
        said.len()
    );
    // A line that no table has is not taken apart.
    let said = read(&",".repeat(2_000_000)).unwrap_err().to_string();
    assert!(said.contains("longer than 1 MiB"), "{said}");
    let long = format!("t,ax,w\n{},1,2\n", "9".repeat(900_000));
    assert!(read(&long).unwrap_err().to_string().len() < 200);
}
