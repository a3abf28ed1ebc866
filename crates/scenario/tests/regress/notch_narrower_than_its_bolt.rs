//! Seen: `slip_base.notch.span = "20 mm"` on bolts of 27 mm was read without a word and computed as a bolt without room; 60 mm,
//! a room of 33 mm, was read without a word too. Expected: a notch that is narrower than its bolt cannot be put over it and is
//! refused with its place; a room of more than half a bolt diameter is read with a warning; up to that nothing is said.

use giveway_scenario::{Diagnostic, read};

/// The codes of errors and warnings of a scenario on M27 with this span, and whether it is read.
fn told(span: &str, more: &[(&str, &str)]) -> (bool, Vec<Diagnostic>) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/first.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let text = format!("{text}\n[slip_base.notch]\nspan = \"{span}\"\n");
    let set: Vec<_> = more
        .iter()
        .map(|(k, v)| ((*k).into(), (*v).into()))
        .collect();
    match read(&text, "first.toml", &set) {
        Ok(loaded) => (true, loaded.warnings),
        Err(errors) => (false, errors),
    }
}

#[test]
fn a_notch_holds_its_bolt_and_not_much_more() {
    // Room 0, 2, 13 and 13.5 mm: half of 27 mm.
    for span in ["27 mm", "29 mm", "40 mm", "40.5 mm"] {
        let (read, list) = told(span, &[]);
        assert!(read && list.is_empty(), "{span}: {list:?}");
    }
    for (span, room) in [("41 mm", "14 mm"), ("60 mm", "33 mm")] {
        let (read, list) = told(span, &[]);
        assert!(read && list.len() == 1, "{span}: {list:?}");
        let warning = &list[0];
        assert_eq!(
            (warning.code, warning.path.as_str()),
            ("S508", "slip_base.notch.span")
        );
        assert!(warning.line > 1 && warning.column == 1, "{warning:?}");
        assert!(
            warning.found.as_ref().unwrap().ends_with(room),
            "{warning:?}"
        );
    }
    // Beyond the usual range of the key it is told once.
    let (_, list) = told("80 mm", &[]);
    assert_eq!(list.iter().map(|d| d.code).collect::<Vec<_>>(), ["S501"]);
    for span in ["20 mm", "26.9 mm"] {
        let (read, list) = told(span, &[]);
        assert!(!read && list.len() == 1, "{span}: {list:?}");
        assert_eq!(
            (list[0].code, list[0].found.as_deref()),
            ("S054", Some(span))
        );
        assert!(
            list[0].allowed.as_ref().unwrap().contains("27 mm"),
            "{list:?}"
        );
    }
    // A larger bolt in the same notch.
    let (read, list) = told("29 mm", &[("slip_base.bolt.size", "M30")]);
    assert!(
        !read && list[0].file == "--set" && list[0].code == "S054",
        "{list:?}"
    );
    // 1-1/8 in are 28.575 mm; the same in inches is no clash.
    let inch = [("slip_base.bolt.size", "1-1/8 in")];
    assert!(told("1-1/8 in", &inch).0 && !told("28.57 mm", &inch).0);
}
