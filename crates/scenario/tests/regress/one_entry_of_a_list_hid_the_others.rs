//! Seen: of a list of values in a scenario only the first wrong entry was told, at the place of the list's key.
//! Expected: every wrong entry, each at its own line and column.

use giveway_scenario::read;

#[test]
fn every_wrong_entry_is_told_with_its_place() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/first.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let before = text.lines().count();
    let text = format!(
        r#"{text}
[as_found]
torques = ["90 N.m", "90 kg", 4,
  "9e9 N.m"]
[as_found.grout]
bolts = [1, 0, "2"]
[criteria]
sets = ["mash", 5, "none-such"]
[[vehicle.front.band]]
name = "bumper"
lower = "0.4 m"
upper = "0.6 m"
crush = [["0 mm", "0 kN"], ["1 kg", "x kN"], "0 mm", ["2 mm"]]
"#
    );
    let list = read(&text, "first.toml", &[]).unwrap_err();
    let found: Vec<_> = list
        .iter()
        .map(|d| (d.line - before, d.column, d.code))
        .collect();
    let wanted = [
        (3, 22, "S022"),
        (3, 31, "S020"),
        (6, 13, "S070"),
        (6, 16, "S012"),
        (8, 9, "S013"),
        (8, 17, "S012"),
        (8, 20, "S013"),
        (13, 29, "S022"),
        (13, 37, "S023"),
        (13, 46, "S012"),
        (13, 54, "S012"),
    ];
    assert_eq!(found, wanted, "{list:#?}");
}

#[test]
fn every_impossible_entry_is_told() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/first.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let before = text.lines().count();
    let text = format!("{text}\n[as_found]\ntorques = [\"-1 N.m\", \"90 N.m\",\n\"9e9 N.m\"]\n");
    let list = read(&text, "first.toml", &[]).unwrap_err();
    let found: Vec<_> = list.iter().map(|d| (d.line - before, d.column)).collect();
    assert_eq!(found, [(3, 12), (4, 1)], "{list:#?}");
    // After --set there is no place: each names itself by its value.
    let set = [("as_found.torques".to_owned(), "[\"-1 N.m\", 3]".to_owned())];
    let list = read(&text, "first.toml", &set).unwrap_err();
    assert_eq!(list.len(), 1, "{list:#?}");
}
