//! Seen: where the first value of a list under `[grid]` was wrong, no other value of any list was looked at; of more than nine
//! wrong ones the rest went without a word; of drawn words only the first and the last were tried. Expected: every wrong value in
//! one pass, each with line and column, twenty of a list and how many there are besides.

use giveway_scenario::Severity;
use giveway_study::plan::Plan;

const FIRST: &str = include_str!("../../../../scenarios/first.toml");

/// Line, column and what was found of each error.
fn told(text: &str) -> Vec<(usize, usize, String)> {
    let load = |name: &str| Ok((name.to_owned(), FIRST.to_owned()));
    let list = Plan::read(text, "study.toml", &[], &load).unwrap_err();
    list.into_iter()
        .map(|d| (d.line, d.column, d.found.unwrap_or_default()))
        .collect()
}

fn wanted(list: &[(usize, usize, &str)]) -> Vec<(usize, usize, String)> {
    let owned = |&(line, column, found): &(usize, usize, &str)| (line, column, found.to_owned());
    list.iter().map(owned).collect()
}

#[test]
fn every_wrong_value_is_told_with_its_place() {
    let text = r#"base = "first.toml"
[grid]
impact.speed = ["x", "20 km/h", "30 kg",
  "-5 km/h", 7]
slip_base.clamp.torque = ["50 N.m", "bad", "100 N.m", "9e9 N.m"]
vehicle.class = ["no", "such"]
"#;
    let places = wanted(&[
        (3, 17, "\"x\""),
        (3, 33, "\"30 kg\""),
        (4, 3, "-5 km/h"),
        (4, 14, "7"),
        (5, 37, "\"bad\""),
        (5, 55, "9e9 N.m"),
        (6, 18, "\"no\""),
        (6, 24, "\"such\""),
    ]);
    // What several bases have is told once.
    let two = text.replace("base = \"first.toml\"", "files = [\"a.toml\", \"b.toml\"]");
    for text in [text, &two] {
        let found = told(text);
        assert_eq!(&found[..8], &places[..], "{found:#?}");
    }
    assert_eq!(told(text).len(), 8);
}

#[test]
fn values_that_do_not_fit_together_are_found_behind_a_wrong_one() {
    // A base plate of this many bolts is not known; neither is the torque.
    let text = r#"base = "first.toml"
[grid]
slip_base.bolts = [3, 9, 4, 12]
slip_base.clamp.torque = ["bad", "50 N.m"]
"#;
    let found = told(text);
    let mut places: Vec<_> = found.iter().map(|f| (f.0, f.1)).collect();
    places.dedup();
    assert_eq!(places, [(3, 23), (3, 29), (4, 27)], "{found:#?}");
}

#[test]
fn twenty_are_told_and_the_rest_is_counted() {
    let many = vec!["\"-1 km/h\""; 50].join(", ");
    let text = format!("base = \"first.toml\"\n[grid]\nimpact.speed = [{many}]\n");
    let load = |name: &str| Ok((name.to_owned(), FIRST.to_owned()));
    let mut list = Plan::read(&text, "study.toml", &[], &load).unwrap_err();
    list.retain(|d| d.severity == Severity::Error);
    assert_eq!(list.len(), 20);
    assert_eq!((list[19].line, list[19].column), (3, 17 + 19 * 11));
    assert!(
        list[19].message.ends_with("(and 30 more of this list)"),
        "{}",
        list[19]
    );
}

#[test]
fn every_drawn_word_is_tried() {
    let text = r#"base = "first.toml"
[sample]
count = 4
[sample.over]
slip_base.bolt.grade = { discrete = { values = ["8.8", "no", "10.9"], weights = [1, 1, 1] } }
"#;
    let found = told(text);
    assert_eq!(found, wanted(&[(5, 16, "\"no\"")]));
    // A rare word beside a usual one has an effect all the same.
    let rare = text.replace("\"no\", ", "").replace("1, 1, 1", "99, 1");
    let load = |name: &str| Ok((name.to_owned(), FIRST.to_owned()));
    assert!(Plan::read(&rare, "study.toml", &[], &load).is_ok());
}
