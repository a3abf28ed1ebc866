//! The program as a person uses it: exit codes, what it writes and what it leaves alone.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

#[path = "place/scenario.rs"]
mod scenario;

use scenario::SCENARIO;

/// A folder of its own for one test, empty at the start.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder for the test");
        Place(folder)
    }

    fn file(&self, name: &str, content: impl AsRef<[u8]>) -> &Self {
        std::fs::write(self.0.join(name), content).expect("a file for the test");
        self
    }

    fn run(&self, arguments: &[&str]) -> Ended {
        let output = Command::new(env!("CARGO_BIN_EXE_giveway"))
            .args(arguments)
            .current_dir(&self.0)
            .stdin(Stdio::null())
            .output()
            .expect("the program starts");
        Ended {
            code: output.status.code(),
            out: String::from_utf8(output.stdout).expect("UTF-8 output"),
            err: String::from_utf8(output.stderr).expect("UTF-8 errors"),
        }
    }

    /// Every file below, as sorted relative paths.
    fn files(&self) -> Vec<String> {
        fn below(root: &Path, folder: &Path, list: &mut Vec<String>) {
            for entry in std::fs::read_dir(folder).expect("readable folder") {
                let path = entry.expect("readable entry").path();
                if path.is_dir() {
                    below(root, &path, list);
                } else {
                    let name = path.strip_prefix(root).expect("below the root");
                    list.push(name.to_string_lossy().into_owned());
                }
            }
        }
        let mut list = Vec::new();
        below(&self.0, &self.0, &mut list);
        list.sort();
        list
    }

    fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.0.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    fn json(&self, name: &str) -> serde_json::Value {
        serde_json::from_slice(&self.bytes(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
}

struct Ended {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Ended {
    #[track_caller]
    fn with(self, code: i32) -> Self {
        assert_eq!(
            self.code,
            Some(code),
            "\n--- out\n{}\n--- err\n{}",
            self.out,
            self.err
        );
        self
    }
}

#[test]
fn a_run_writes_one_folder_and_says_so() {
    let place = Place::new("one_folder");
    place.file("corner.toml", SCENARIO);
    let ended = place.run(&["run", "corner.toml", "--no-figures"]).with(0);
    assert!(ended.out.contains("Quiet corner"), "{}", ended.out);
    assert!(ended.out.contains("no substitute"), "{}", ended.out);
    assert!(ended.out.contains("runs/corner"), "{}", ended.out);
    let files = place.files();
    for name in [
        "scenario.toml",
        "summary.json",
        "manifest.json",
        "history.csv",
    ] {
        assert!(files.contains(&format!("runs/corner/{name}")), "{files:?}");
    }
    assert!(
        files
            .iter()
            .all(|f| f == "corner.toml" || f.starts_with("runs/corner/"))
    );
    assert_eq!(place.json("runs/corner/summary.json")["status"], "complete");
}

#[test]
fn the_same_scenario_gives_the_same_bytes() {
    let place = Place::new("same_bytes");
    place.file("corner.toml", SCENARIO);
    place
        .run(&["run", "corner.toml", "--out", "a", "-q"])
        .with(0);
    place
        .run(&["run", "corner.toml", "--out", "b", "-q"])
        .with(0);
    let names: Vec<String> = place
        .files()
        .into_iter()
        .filter_map(|f| f.strip_prefix("a/").map(str::to_owned))
        .collect();
    assert!(names.len() >= 4, "{names:?}");
    for name in names.iter().filter(|name| *name != "manifest.json") {
        let (a, b) = (
            place.bytes(&format!("a/{name}")),
            place.bytes(&format!("b/{name}")),
        );
        assert!(a == b, "{name} differs between two runs");
    }
    // What the folder calls its input runs again to the same numbers.
    place
        .run(&["run", "a/scenario.toml", "--out", "c", "-q"])
        .with(0);
    assert!(place.bytes("a/summary.json").len() > 1000);
    let (mut a, mut c) = (place.json("a/summary.json"), place.json("c/summary.json"));
    // Nothing is left to assume the second time.
    a["assumptions"] = 0.into();
    c["assumptions"] = 0.into();
    assert_eq!(a, c);
    assert!(place.bytes("a/history.csv") == place.bytes("c/history.csv"));
}

#[test]
fn a_changed_value_changes_the_run() {
    let place = Place::new("set");
    place.file("corner.toml", SCENARIO);
    let speed = |value: &str, out: &str| {
        let change = format!("impact.speed={value}");
        place
            .run(&[
                "run",
                "corner.toml",
                "--no-figures",
                "-q",
                "--out",
                out,
                "--set",
                &change,
            ])
            .with(0);
        place.json(&format!("{out}/summary.json"))["impact"]["speed_mps"]
            .as_f64()
            .expect("a number")
    };
    assert!((speed("36 km/h", "a") - 10.0).abs() < 1e-12);
    assert!((speed("\"72 km/h\"", "b") - 20.0).abs() < 1e-12);
    // A change that names no key is a problem of the scenario, one that is none of the command line.
    place
        .run(&["check", "corner.toml", "--set", "impact.sped=36 km/h"])
        .with(3);
    place
        .run(&["check", "corner.toml", "--set", "impact.speed"])
        .with(2);
}

#[test]
fn json_lines_parse_and_keep_the_order() {
    let place = Place::new("json");
    place
        .file("b.toml", SCENARIO)
        .file("a.toml", SCENARIO)
        .file("bad.toml", "title = 3\n");
    let ended = place
        .run(&[
            "run",
            "--format",
            "json",
            "--no-figures",
            "b.toml",
            "bad.toml",
            "a.toml",
        ])
        .with(3);
    let lines: Vec<serde_json::Value> = ended
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("one JSON object a line"))
        .collect();
    let column = |key: &str| -> Vec<String> { lines.iter().map(|l| l[key].to_string()).collect() };
    assert_eq!(column("file"), ["\"b.toml\"", "\"bad.toml\"", "\"a.toml\""]);
    assert_eq!(column("exit"), ["0", "3", "0"]);
    assert_eq!(lines[0]["summary"], place.json("runs/b/summary.json"));
    assert!(
        lines[1]["diagnostics"][0]["code"]
            .as_str()
            .expect("a code")
            .starts_with('S')
    );
    assert!(!place.0.join("runs/bad").exists());
}

#[test]
fn bad_input_writes_nothing() {
    let place = Place::new("bad_input");
    place
        .file("empty.toml", "")
        .file("blank.toml", "\n  \n")
        .file("latin.toml", b"title = \"caf\xe9\"\n")
        .file("broken.toml", "title = \"unfinished\n[impact\n")
        .file("unitless.toml", SCENARIO.replace("\"30 km/h\"", "30"))
        .file("unknown.toml", SCENARIO.replace("torque", "torqe"))
        .file("huge.toml", vec![b'#'; 1024 * 1024 + 1]);
    std::fs::create_dir(place.0.join("folder.toml")).expect("a folder");
    let before = place.files();
    for (file, code) in [
        ("missing.toml", 4),
        ("folder.toml", 4),
        ("empty.toml", 3),
        ("blank.toml", 3),
        ("latin.toml", 3),
        ("broken.toml", 3),
        ("unitless.toml", 3),
        ("unknown.toml", 3),
        ("huge.toml", 3),
    ] {
        for command in ["run", "check", "export"] {
            let ended = place.run(&[command, file]).with(code);
            assert!(ended.err.contains(file), "{command} {file}: {}", ended.err);
            assert!(
                ended.err.contains("error"),
                "{command} {file}: {}",
                ended.err
            );
            assert!(ended.out.is_empty(), "{command} {file}: {}", ended.out);
        }
    }
    assert_eq!(place.files(), before);
}

#[test]
fn a_problem_is_shown_where_it_stands() {
    let place = Place::new("where");
    let text = SCENARIO.replace("\"30 km/h\"", "30");
    place.file("corner.toml", &text);
    let line = 1 + text
        .lines()
        .position(|l| l == "speed = 30")
        .expect("the line");
    let ended = place.run(&["check", "corner.toml"]).with(3);
    let place_of = format!("corner.toml:{line}:1: error[S");
    assert!(ended.err.starts_with(&place_of), "{}", ended.err);
    assert!(ended.err.contains("speed = 30\n"), "{}", ended.err);
    assert!(ended.err.contains("| ^\n"), "{}", ended.err);
}

#[test]
fn check_writes_nothing_and_tells_what_it_assumed() {
    let place = Place::new("check");
    place.file("corner.toml", SCENARIO);
    let ended = place.run(&["check", "corner.toml"]).with(0);
    assert!(ended.out.contains("assumed:"), "{}", ended.out);
    assert!(ended.out.contains("slip_base.notch"), "{}", ended.out);
    assert!(
        place
            .run(&["check", "-q", "corner.toml"])
            .with(0)
            .out
            .is_empty()
    );
    assert_eq!(place.files(), ["corner.toml"]);
}

#[test]
fn an_editor_finds_every_problem_with_its_place() {
    let place = Place::new("editor");
    place.file("good.toml", SCENARIO);
    let wrong = SCENARIO.replace("torque = ", "torqe = ");
    place.file("wrong.toml", &wrong);
    place.file("none.toml", [0xff_u8, 0xfe]);
    let files = ["good.toml", "wrong.toml", "none.toml"];
    let ended = place.run(&[&["check", "--format", "json"][..], &files].concat());
    let lines: Vec<serde_json::Value> = ended
        .with(3)
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("an object a line"))
        .collect();
    assert_eq!(lines.len(), 3);
    assert_eq!(
        (&lines[0]["ok"], &lines[1]["ok"]),
        (&true.into(), &false.into())
    );
    assert!(lines[0]["assumed"].as_array().expect("a list").len() > 50);
    let line = wrong
        .lines()
        .position(|l| l.starts_with("torqe"))
        .expect("it")
        + 1;
    let found = lines[1]["diagnostics"].as_array().expect("a list");
    let typo = found.iter().find(|d| d["path"] == "slip_base.clamp.torqe");
    let typo = typo.expect("the typing error");
    assert_eq!((&typo["line"], &typo["column"]), (&line.into(), &1.into()));
    assert_eq!(typo["severity"], "error");
    let problem = lines[2]["problem"].as_str().expect("a sentence");
    assert!(problem.contains("is not UTF-8 text"), "{problem}");
}

#[test]
fn a_verdict_of_fail_is_a_result_unless_strict() {
    let place = Place::new("strict");
    // An immovable obstacle stops the car.
    let fixed = SCENARIO.replace(
        "[slip_base.clamp]\ntorque = \"150 N.m\"",
        "[slip_base]\nanchorage = \"fixed\"",
    );
    assert!(fixed.contains("fixed"));
    place.file("held.toml", fixed);
    place.run(&["run", "--no-figures", "held.toml"]).with(0);
    let summary = place.json("runs/held/summary.json");
    assert_eq!(
        summary["headline"]["outcome"], "fail",
        "{}",
        summary["headline"]
    );
    place
        .run(&["run", "--no-figures", "--strict", "held.toml"])
        .with(5);
}

#[test]
fn several_files_get_a_folder_each() {
    let place = Place::new("several");
    std::fs::create_dir(place.0.join("other")).expect("a folder");
    place
        .file("a.toml", SCENARIO)
        .file("b.toml", SCENARIO)
        .file("other/a.toml", SCENARIO);
    place
        .run(&[
            "run",
            "--no-figures",
            "-q",
            "--out",
            "all",
            "a.toml",
            "b.toml",
        ])
        .with(0);
    assert!(place.0.join("all/a/summary.json").exists());
    assert!(place.0.join("all/b/summary.json").exists());
    // Two files must not share a folder.
    let ended = place
        .run(&["run", "--no-figures", "a.toml", "other/a.toml"])
        .with(2);
    assert!(ended.err.contains("two files"), "{}", ended.err);
}

#[test]
fn other_files_are_not_replaced() {
    let place = Place::new("not_replaced");
    std::fs::create_dir(place.0.join("mine")).expect("a folder");
    place
        .file("corner.toml", SCENARIO)
        .file("mine/letter.txt", "keep me");
    let ended = place
        .run(&["run", "--no-figures", "corner.toml", "--out", "mine"])
        .with(4);
    assert!(ended.err.contains("not replaced"), "{}", ended.err);
    assert_eq!(place.bytes("mine/letter.txt"), b"keep me");
    assert_eq!(place.files(), ["corner.toml", "mine/letter.txt"]);
    // A results folder is.
    place
        .run(&["run", "--no-figures", "corner.toml", "--out", "r"])
        .with(0);
    place
        .run(&["run", "--no-figures", "corner.toml", "--out", "r"])
        .with(0);
}

#[test]
fn codes_are_explained() {
    let place = Place::new("explain");
    let list = place.run(&["explain"]).with(0).out;
    assert!(list.lines().count() > 10, "{list}");
    for code in list.lines().filter_map(|l| l.split_whitespace().next()) {
        let page = place.run(&["explain", &code.to_lowercase()]).with(0).out;
        assert!(page.contains(code) && page.len() > 80, "{code}: {page}");
    }
    let ended = place.run(&["explain", "Z999"]).with(2);
    assert!(ended.err.contains("Z999"), "{}", ended.err);
}

#[test]
fn the_export_is_the_scenario_in_si() {
    let place = Place::new("export");
    place.file("corner.toml", SCENARIO);
    let ended = place.run(&["export", "corner.toml"]).with(0);
    let value: serde_json::Value = serde_json::from_str(&ended.out).expect("JSON");
    assert_eq!(value["support"]["pole_length_m"], 9.0);
    assert_eq!(value["vehicle"]["mass_kg"], 1100.0);
    for key in ["bolt_stiffness_npm", "clamp_stiffness_npm", "preload_n"] {
        assert!(value["joint"][key].as_f64().expect(key) > 1000.0);
    }
}

#[test]
fn wrong_command_lines_are_usage_errors() {
    let place = Place::new("usage");
    for arguments in [
        &["run"][..],
        &["fly", "corner.toml"],
        &["run", "--speed", "3", "corner.toml"],
        &["run", "--format", "xml", "corner.toml"],
        &[],
    ] {
        place.run(arguments).with(2);
    }
    let help = place.run(&["--help"]).with(0).out;
    for word in ["Exit codes", "run", "check", "explain", "export"] {
        assert!(help.contains(word), "{help}");
    }
    assert!(
        place
            .run(&["--version"])
            .with(0)
            .out
            .starts_with("giveway ")
    );
}

/// A reader that goes away early is no error and no panic.
#[cfg(unix)]
#[test]
fn a_closed_pipe_is_no_error() {
    use std::io::Read;
    let place = Place::new("pipe");
    place.file("corner.toml", SCENARIO);
    for arguments in [
        &["export", "corner.toml"][..],
        &["check", "corner.toml"],
        &["explain"],
    ] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_giveway"))
            .args(arguments)
            .current_dir(&place.0)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let mut err = String::new();
        let mut pipe = child.stderr.take().expect("standard error");
        pipe.read_to_string(&mut err).expect("UTF-8 errors");
        let status = child.wait().expect("an end");
        assert_eq!(status.code(), Some(0), "{arguments:?}: {err}");
        assert!(!err.contains("panicked"), "{err}");
    }
}

/// Every scenario that the repository ships is accepted.
#[test]
fn shipped_scenarios_are_accepted() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let place = Place::new("shipped");
    let mut count = 0;
    let mut folders = vec![root];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("readable folder") {
            let path = entry.expect("readable entry").path();
            // Site records, studies, lessons and files of the laboratory stand on a scenario and are no scenarios.
            if [
                "site/records",
                "scenarios/studies",
                "scenarios/lessons",
                "scenarios/laboratory",
                "scenarios/published/evidence.toml",
                "scenarios/site/profiles",
            ]
            .iter()
            .any(|other| path.ends_with(other))
            {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "toml") {
                count += 1;
                place.run(&["check", "-q", &path.to_string_lossy()]).with(0);
            }
        }
    }
    assert!(count > 0, "no scenario found");
}

/// Every study that the repository ships can be planned.
#[test]
fn shipped_studies_are_accepted() {
    let studies = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/studies");
    let place = Place::new("shipped-studies");
    for entry in std::fs::read_dir(studies).expect("readable folder") {
        let path = entry.expect("readable entry").path();
        place
            .run(&["study", "--dry-run", &path.to_string_lossy()])
            .with(0);
    }
}

/// The readme shows what its first command really makes.
#[test]
fn the_readme_shows_the_first_run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let scenario = root.join("scenarios/first.toml");
    let place = Place::new("readme");
    place.run(&["run", &scenario.to_string_lossy()]).with(0);
    let shown = std::fs::read(root.join("docs/first-run.png")).expect("docs/first-run.png");
    assert!(
        place.bytes("runs/first/figures/storyboard.png") == shown,
        "docs/first-run.png is not what the first command makes; if the change is meant: cargo xtask first-run"
    );
    // The counts that the page on reruns names; the scenario's copy names the path that was given.
    let manifest = place.json("runs/first/manifest.json");
    let files = manifest["files"].as_array().expect("a list");
    let longer = scenario.to_string_lossy().len() - "scenarios/first.toml".len();
    let bytes: u64 = files
        .iter()
        .filter_map(|f| f["bytes"].as_u64())
        .sum::<u64>()
        - longer as u64;
    let reruns = std::fs::read_to_string(root.join("docs/reruns.md")).expect("docs/reruns.md");
    let line = format!(
        "runs/first: identical: {} files, {bytes} bytes, every one the same",
        files.len()
    );
    assert!(
        reruns.contains(&line),
        "docs/reruns.md should say {line:?}; if the change is meant: cargo xtask first-run"
    );
    // The numbers that its text names.
    let summary = place.json("runs/first/summary.json");
    let readme = std::fs::read_to_string(root.join("README.md")).expect("README.md");
    let lost = summary["velocity_change"]["at_engagement_end_mps"]
        .as_f64()
        .expect("a number");
    let force = summary["contact"]["peak_force_n"]
        .as_f64()
        .expect("a number")
        / 1e3;
    let release = summary["times"]["release_s"].as_f64().expect("a number") * 1e3;
    let roof = |key: &str| {
        let dent = &summary["flight"]["event"]["roof"][key];
        1e3 * dent.as_f64().expect("a number")
    };
    for words in [
        format!("loses {lost:.2} m/s"),
        format!("{force:.0} kN"),
        format!("after {release:.0} ms"),
        format!(
            "{:.0} mm, {:.0} to {:.0} mm",
            roof("remaining_m"),
            roof("low_m"),
            roof("high_m")
        ),
    ] {
        assert!(readme.contains(&words), "README.md should say {words:?}");
    }
}
