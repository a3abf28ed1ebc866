//! Seen: a title with an escape sequence cleared its line and printed a false PASS; error echoes and names passed such
//! characters on. Expected: titles with them are refused, and none reaches the terminal from anywhere.

use std::fs;

use super::{SCENARIO, new_place};

const WILD: [char; 6] = ['\u{1b}', '\r', '\u{9b}', '\u{202e}', '\u{2066}', '\u{200b}'];

#[test]
fn titles_are_refused_and_nothing_wild_reaches_the_terminal() {
    let place = new_place("title");
    let tame = |arguments: &[&str]| {
        let (code, out, err) = place.run(arguments);
        for text in [&out, &err] {
            assert!(!text.contains(WILD), "{arguments:?}: {text:?}");
        }
        (code, out + &err)
    };
    for c in WILD {
        let code = format!("\\u{:04X}", u32::from(c));
        let text = SCENARIO.replace("Quiet corner:", &format!("Quiet{code}[2K PASS"));
        fs::write(place.at("wild.toml"), text).unwrap();
        let (exit, said) = tame(&["run", "wild.toml"]);
        assert!(exit == 3 && said.contains("S074"), "{exit} {said}");
        fs::write(
            place.at("study.toml"),
            format!("title = \"a{code}b\"\nbase = \"pole.toml\"\n"),
        )
        .unwrap();
        let (exit, said) = tame(&["study", "study.toml"]);
        assert!(exit == 3 && said.contains("T014"), "{exit} {said}");
        // Names of files, of commands and of codes.
        let name = format!("no{c}such.toml");
        assert_eq!(tame(&["run", &name]).0, 4);
        assert_eq!(tame(&[&format!("r{c}n")]).0, 2);
        assert_eq!(
            tame(&["run", "pole.toml", "--set", &format!("a{c}b=1")]).0,
            3
        );
        tame(&["explain", &format!("S{c}")]);
        tame(&["rerun", &name, "--format", "json"]);
    }
    // Lines are no titles either.
    fs::write(
        place.at("wild.toml"),
        SCENARIO.replace("Quiet corner:", "Quiet\\n  PASS"),
    )
    .unwrap();
    assert_eq!(tame(&["check", "wild.toml"]).0, 3);
    // Notes of a scenario may have them.
    fs::write(
        place.at("lines.toml"),
        SCENARIO.replace("[support.pole]", "notes = \"one\\ntwo\"\n[support.pole]"),
    )
    .unwrap();
    assert_eq!(tame(&["check", "lines.toml"]).0, 0);
}
