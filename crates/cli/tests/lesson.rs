//! Lessons: the shipped ones are whole, every number is computed, and no text of a file becomes markup.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn place(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("lesson_{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn run(arguments: &[&str]) -> (i32, String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let output = Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args(arguments)
        .current_dir(root)
        .output()
        .unwrap();
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    (output.status.code().unwrap(), err)
}

/// The page without its scripts.
fn visible(page: &str) -> String {
    let mut out = String::new();
    let mut rest = page;
    while let Some(start) = rest.find("<script") {
        out.push_str(&rest[..start]);
        rest = rest[start..].split_once("</script>").unwrap().1;
    }
    out + rest
}

#[test]
fn the_shipped_lessons_are_whole() {
    for (lesson, cases) in [("installers", 9), ("inspectors", 6)] {
        let folder = place(lesson);
        let file = format!("scenarios/lessons/{lesson}.toml");
        let (code, err) = run(&["lesson", &file, "--out", folder.to_str().unwrap()]);
        assert_eq!(code, 0, "{err}");
        let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
        let page = visible(&read("lesson.html"));
        assert_eq!(page.matches("class=\"case\"").count(), cases);
        // The opening: two sides but for the first case, each with its section, its three beats and its bar.
        let sides = 2 * cases - 1;
        for part in ["<svg class=\"cut\"", "class=\"beats\"", "class=\"lost\""] {
            assert_eq!(page.matches(part).count(), sides, "{lesson}: {part}");
        }
        assert_eq!(
            page.matches("class=\"player\"").count(),
            cases,
            "every case plays"
        );
        assert_eq!(page.matches("<div class=\"still\">").count(), cases);
        // A picture that is shown again is not there again.
        assert_eq!(page.matches("<use ").count(), 2 * (cases - 1));
        // A case that begins with a record shows it before all else.
        let records = if lesson == "inspectors" { cases } else { 0 };
        assert_eq!(page.matches("class=\"record\"").count(), records);
        assert!(read("lesson.html").len() < 3_000_000);
        let (handout, key) = (read("handout.html"), read("key.html"));
        assert!(handout.matches("class=\"blank\"").count() > 10);
        assert!(!key.contains("class=\"blank\"") && key.matches("class=\"filled\"").count() > 10);
        for text in [&page, &handout, &key] {
            assert!(text.contains("no substitute for a full-scale crash test"));
            let body = text.split("</style>").nth(1).unwrap();
            assert!(
                !body.contains('{') && !body.contains("not computed"),
                "{lesson}"
            );
            // Nothing is fetched: the only addresses are names of XML, and the page itself allows none.
            assert!(
                text.contains(
                    "http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'"
                )
            );
            let addresses = text.matches("://").count();
            assert_eq!(
                addresses,
                text.matches("http://www.w3.org/").count(),
                "{lesson}"
            );
            // Identifiers are unique.
            let mut ids: Vec<&str> = (text.split(" id=\"").skip(1))
                .filter_map(|rest| rest.split('"').next())
                .collect();
            let count = ids.len();
            ids.sort_unstable();
            ids.dedup();
            assert_eq!(ids.len(), count, "{lesson}");
        }
    }
}

/// What the panels of a case's opening say of their end: `free` or `stopped`, and the words beside the bar.
fn panels(page: &str, case: usize) -> Vec<(String, String)> {
    let from = format!("id=\"case-{case}\"");
    let section = page.split(&from).nth(1).unwrap();
    let section = section.split("class=\"told\"").next().unwrap();
    (section.split("<figure class=\"panel").skip(1))
        .map(|p| {
            let between = |a: &str, b: &str| {
                let rest = p.split(a).nth(1).unwrap();
                rest.split(b).next().unwrap().to_owned()
            };
            (
                between("data-ended=\"", "\""),
                between("<strong class=\"lost\">", "</strong>"),
            )
        })
        .collect()
}

#[test]
fn the_grouted_base_holds_and_the_sound_one_lets_go() {
    // Seen: 10 mm of grout, and both panels ended with the base that has let go. Expected: one lets go, one is stopped.
    for (lesson, case) in [("installers", 2), ("inspectors", 2)] {
        let folder = place(&format!("grout_{lesson}"));
        let file = format!("scenarios/lessons/{lesson}.toml");
        let (code, err) = run(&["lesson", &file, "--out", folder.to_str().unwrap()]);
        assert_eq!(code, 0, "{err}");
        let page = visible(&fs::read_to_string(folder.join("lesson.html")).unwrap());
        let sides = panels(&page, case);
        assert_eq!(sides.len(), 2);
        assert_eq!(sides[0].0, "free");
        assert!(sides[0].1.starts_with("lost ") && sides[0].1.ends_with(" of 30 km/h"));
        assert_eq!(
            sides[1],
            ("stopped".into(), "stopped and thrown back".into())
        );
        // Nothing of forces in the answer.
        let answer = page.split("class=\"told\"").nth(case).unwrap();
        assert!(
            !answer
                .split("class=\"look\"")
                .next()
                .unwrap()
                .contains("kN")
        );
    }
}

#[test]
fn a_page_speaks_one_system_of_units() {
    let folder = place("us");
    let file = "scenarios/lessons/installers.toml";
    let out = folder.to_str().unwrap();
    let (code, err) = run(&["lesson", file, "--units", "us", "--out", out]);
    assert_eq!(code, 0, "{err}");
    for name in ["handout.html", "key.html"] {
        let text = fs::read_to_string(folder.join(name)).unwrap();
        let body = text.split("</style>").nth(1).unwrap();
        for unit in [" km/h", " N.m", " kg<"] {
            assert!(!body.contains(unit), "{name}: {unit}");
        }
    }
    let page = visible(&fs::read_to_string(folder.join("lesson.html")).unwrap());
    let sides = panels(&page, 2);
    assert!(sides[0].1.ends_with(" of 18.6 mph"), "{sides:?}");
}

#[test]
fn texts_stay_texts_and_problems_are_said() {
    let folder = place("hostile");
    let scenario =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/conditions/correct.toml");
    fs::copy(scenario, folder.join("s.toml")).unwrap();
    let hostile = "</script><img src=x onerror=alert(1)>&\\\"'";
    let lesson = |finding: &str| {
        format!(
            "title = \"{hostile}\"\naudience = \"{hostile}\"\n[[case]]\nname = \"{hostile}\"\nscenario = \"s.toml\"\n\
             question = \"{hostile}\"\nwatch = \"{hostile}\"\nfinding = \"{finding}\"\naction = \"{hostile}\"\n"
        )
    };
    let file = folder.join("l.toml");
    let out = folder.join("out");
    let arguments = [
        "lesson",
        file.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
    ];
    fs::write(
        &file,
        lesson("It loses {velocity_change}, case 1 {1.speed}."),
    )
    .unwrap();
    let (code, err) = run(&arguments);
    assert_eq!(code, 0, "{err}");
    for name in ["lesson.html", "handout.html", "key.html"] {
        let text = visible(&fs::read_to_string(out.join(name)).unwrap());
        assert!(!text.contains("<img"), "{name}");
        assert!(text.contains("&lt;img src=x"), "{name}");
    }
    let key = fs::read_to_string(out.join("key.html")).unwrap();
    assert!(
        key.contains("<span class=\"filled\">30 km/h</span>"),
        "{key}"
    );
    for (finding, word) in [
        ("{velocty}", "velocity_change"),
        ("{2.speed}", "case 1"),
        ("{x.speed}", "case 1"),
        ("{speed", "without its partner"),
        ("speed}", "without its partner"),
        ("{}", "there is no value"),
    ] {
        fs::write(&file, lesson(finding)).unwrap();
        let (code, err) = run(&arguments);
        assert_eq!(code, 3, "{finding}: {err}");
        assert!(err.contains(word), "{finding}: {err}");
    }
    fs::write(&file, lesson("x").replace("s.toml", "t.toml")).unwrap();
    assert_eq!(run(&arguments).0, 4);
    fs::write(&file, lesson("x").replace("scenario =", "record =")).unwrap();
    assert_eq!(run(&arguments).0, 3, "a scenario is no record");
    fs::write(&file, lesson("x").replace("scenario = \"s.toml\"", "")).unwrap();
    assert_eq!(run(&arguments).0, 3, "neither scenario nor record");
    fs::write(&file, "title = ").unwrap();
    assert_eq!(run(&arguments).0, 3);
    fs::write(&file, format!("language = \"xx\"\n{}", lesson("x"))).unwrap();
    assert_eq!(run(&arguments).0, 3);
}
