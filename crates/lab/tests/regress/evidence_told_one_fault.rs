//! Seen: the evidence of the shared calibration was read with the messages of the reader of TOML, the first fault alone, and what a
//! row says with "data did not match any variant". Expected: all faults in one pass, each with its place, as of other documents.

use giveway_lab::shared::read_evidence;

#[test]
fn every_fault_of_the_evidence_has_its_place() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../scenarios/published/evidence.toml"
    );
    let mut text = std::fs::read_to_string(path).unwrap();
    let mut lines = Vec::new();
    // What is changed, to what, what is said of it.
    for (from, to, part) in [
        ("seed = 14", "seed = \"14\"", "expected a whole number"),
        (
            "spread = 0.21",
            "spread = -0.21",
            "`spread` is a number from 0 on",
        ),
        (
            "acts = \"plate-lever\"",
            "acts = \"plate-leaver\"",
            "did you mean `plate-lever`?",
        ),
        ("says = {", "says = { most = 1.0,", "a row says one of"),
        ("counted = ", "countd = ", "did you mean `counted`?"),
    ] {
        let at = text.find(from).unwrap_or_else(|| panic!("{from}"));
        text.replace_range(at..at + from.len(), to);
        lines.push((1 + text[..at].matches('\n').count(), part));
    }
    let list = read_evidence("evidence.toml", &text).unwrap_err().0;
    assert_eq!(list.len(), lines.len(), "{list:#?}");
    for (line, part) in lines {
        let own = list.iter().find(|f| f.line == Some(line)).unwrap();
        assert!(
            own.column > 0 && own.to_string().contains(part),
            "{part}: {own}"
        );
    }
    assert!(read_evidence("evidence.toml", "\0\n= 1").is_err());
}
