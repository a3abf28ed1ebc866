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
    for lesson in ["installers", "inspectors"] {
        let folder = place(lesson);
        let file = format!("scenarios/lessons/{lesson}.toml");
        let (code, err) = run(&["lesson", &file, "--out", folder.to_str().unwrap()]);
        assert_eq!(code, 0, "{err}");
        let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
        let page = visible(&read("lesson.html"));
        assert_eq!(page.matches("class=\"case\"").count(), 6);
        assert_eq!(
            page.matches("class=\"player\"").count(),
            6,
            "every case plays"
        );
        assert_eq!(page.matches("<div class=\"still\">").count(), 6);
        // A picture that is shown again is not there again.
        assert_eq!(page.matches("<use ").count(), 2 * 5);
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
    fs::write(&file, "title = ").unwrap();
    assert_eq!(run(&arguments).0, 3);
    fs::write(&file, format!("language = \"xx\"\n{}", lesson("x"))).unwrap();
    assert_eq!(run(&arguments).0, 3);
}
