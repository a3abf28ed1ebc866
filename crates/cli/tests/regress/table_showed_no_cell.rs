//! Seen: of a wrong cell in a laboratory's table the beginning of its line was shown, and no line at all where the table was in an
//! older encoding. Expected: the line with a caret under the cell, behind wide signs and tabs too; UTF-16 is named.

use std::fs;
use std::path::Path;

use super::place::Place;

#[test]
fn a_wrong_cell_is_shown_under_a_caret() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let shipped = |name: &str| fs::read_to_string(root.join(name)).unwrap();
    let place = Place::new("cells", &[]);
    fs::write(place.at("test_7.toml"), shipped("laboratory/test_7.toml")).unwrap();
    fs::write(place.at("record.toml"), shipped("laboratory/record_7.toml")).unwrap();
    let head = "T_REC [s],A3_LONG,A4_TRANS,R1_YAW,\u{6771}\u{4eac}\n";
    let table = format!("{head}0.1,nan,2,3,x\n\u{6771}\u{4eac},1,2,3,x\n0.3,1,\t4 g,3,x\n");
    let told = |bytes: &[u8]| {
        fs::write(place.at("test_7.csv"), bytes).unwrap();
        let (code, _, err) = place.run(&["record", "record.toml"]);
        assert_eq!(code, 3, "{err}");
        err
    };
    let err = told(table.as_bytes());
    for part in [
        "test_7.csv:2:5: error[L040]: A3_LONG: `nan` is no finite number\n  |\n2 | 0.1,nan,2,3,x\n  |     ^\n",
        "test_7.csv:3:1: error[L040]: T_REC [s]: `\u{6771}\u{4eac}` is no number\n  |\n3 | \u{6771}\u{4eac},1,2,3,x\n  | ^\n",
        "test_7.csv:4:8: error[L040]: A4_TRANS: `4 g` is no number\n  |\n4 | 0.3,1, 4 g,3,x\n  |        ^\n",
    ] {
        assert!(err.contains(part), "{part}\n{err}");
    }
    // Two columns of a terminal for each of the wide signs before the cell.
    let wide = table.replace("\u{6771}\u{4eac},1,2", "\u{6771}\u{4eac},nan,2");
    let err = told(wide.as_bytes());
    assert!(
        err.contains("\n3 | \u{6771}\u{4eac},nan,2,3,x\n  |      ^\n"),
        "{err}"
    );
    // A clock that runs back, in a table of an older encoding.
    let mut old = b"T_REC [s],A3_LONG,A4_TRANS,R1_YAW,\xe4\n".to_vec();
    old.extend(b"0.1,1,2,3,0\n0.2,2,3,4,0\n0.15,1,2,3,0\n");
    let err = told(&old);
    assert!(err.contains("test_7.csv:4:1: error[L040]"), "{err}");
    assert!(err.contains("4 | 0.15,1,2,3,0\n"), "{err}");
    let err = told(b"\xff\xfeT\0");
    assert!(err.contains("is UTF-16 text; save it as UTF-8"), "{err}");
}
