//! Seen: a slip in the description of a test record, in a fit, in a plan of tests or in a lesson was said by its line alone, a
//! lesson's only the first one, and `check` took every document for a scenario. Expected: all documents are checked alike;
//! each problem of a file has code, line, column and the line with a caret under it, in one pass, and is there for an editor.

use std::fs;
use std::path::Path;

use super::place::Place;

const DOCUMENTS: [(&str, &str); 10] = [
    ("first.toml", "scenario"),
    ("studies/torque_mass_speed.toml", "study"),
    ("laboratory/fit_7.toml", "fit"),
    ("laboratory/next.toml", "plan of tests"),
    ("site/records/HV-0102.toml", "site record"),
    ("laboratory/record_7.toml", "description of a test record"),
    ("lessons/installers.toml", "lesson"),
    ("lessons/inspectors.toml", "lesson"),
    ("site/profiles/harrow_vale.toml", "profile"),
    ("published/evidence.toml", "evidence of tests in print"),
];

fn shipped(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    fs::read_to_string(root.join(name)).unwrap()
}

/// The diagnostics of a document as an editor gets them.
fn found(place: &Place, file: &str) -> Vec<serde_json::Value> {
    let (code, out, err) = place.run(&["check", "--format", "json", file]);
    assert_eq!(code, 3, "{out}{err}");
    let told: serde_json::Value = serde_json::from_str(&out).unwrap();
    told["diagnostics"].as_array().unwrap().clone()
}

#[test]
fn shipped_documents_are_what_they_are_taken_for() {
    let place = Place::new("documents-shipped", &[]);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    for (name, kind) in DOCUMENTS {
        let path = root.join(name);
        let (code, out, err) = place.run(&["check", "--format", "json", path.to_str().unwrap()]);
        let told: serde_json::Value = serde_json::from_str(&out).unwrap();
        // Fits and plans need what was computed before them.
        let lacks = ["fit", "plan of tests"].contains(&kind) && code == 3;
        assert!(code == 0 || lacks, "{name}: {out}{err}");
        assert!(lacks || told["document"] == kind, "{name}: {told}");
    }
}

#[test]
fn every_problem_of_every_document_has_its_line_and_a_caret() {
    let slip = |name: &str, from: &str, to: &str| {
        let text = shipped(name);
        assert!(text.contains(from), "{name} holds no {from}");
        text.replacen(from, to, 1)
    };
    let two = |name: &str, one: (&str, &str), other: (&str, &str)| {
        let text = slip(name, one.0, one.1);
        assert!(text.contains(other.0), "{name} holds no {}", other.0);
        text.replacen(other.0, other.1, 1)
    };
    let cases = [
        // name, text, what the lines hold that are found wrong, with their codes
        (
            "scenario.toml",
            two(
                "first.toml",
                ("speed = \"30 km/h\"", "speed = 30"),
                ("torque = ", "torqe = "),
            ),
            vec![("speed = 30", "S020"), ("torqe = ", "S010")],
        ),
        (
            "scenario_form.toml",
            "[impact]\nspeed = 30 km/h\n[vehicle]\nclass = \"\n".to_owned(),
            vec![("speed = 30 km/h", "S001"), ("class = \"", "S001")],
        ),
        (
            "study.toml",
            two(
                "studies/torque_mass_speed.toml",
                ("base = ", "bse = "),
                ("title = ", "titel = "),
            ),
            vec![("bse = ", "T010"), ("titel = ", "T010")],
        ),
        (
            "record.toml",
            two(
                "site/records/HV-0102.toml",
                ("torque = \"", "torque = \"about "),
                ("rust = ", "rusty = "),
            ),
            vec![("torque = \"about", "R023"), ("rusty = ", "R010")],
        ),
        (
            "test.toml",
            two(
                "laboratory/record_7.toml",
                ("[[channel]]\ncolumn", "[[channel]]\ncolour = 1\ncolumn"),
                ("[file]\n", "[file]\nspeed = 1\n"),
            ),
            vec![("colour = 1", "L010"), ("speed = 1", "L010")],
        ),
        (
            "test_value.toml",
            slip("laboratory/record_7.toml", "unit = \"", "unit = \"furlong "),
            vec![("unit = \"furlong", "L020")],
        ),
        (
            "lesson.toml",
            two(
                "lessons/installers.toml",
                ("view = \"", "view = \"moon "),
                ("question = \"", "question = \"\"\nwatched = \""),
            ),
            vec![("watched = ", "E010")],
        ),
        (
            "lesson_value.toml",
            slip("lessons/installers.toml", "view = \"", "view = \"moon "),
            vec![("view = \"moon", "E020")],
        ),
        (
            "lesson_form.toml",
            "title = What it does\n[[case]]\nname = a b\n".to_owned(),
            vec![("title = What", "E001"), ("name = a b", "E001")],
        ),
        (
            "evidence.toml",
            two(
                "published/evidence.toml",
                ("seed = 14", "seed = \"x\""),
                ("spread = 0.21", "spread = -0.21"),
            ),
            vec![("seed = \"x\"", "L010"), ("spread = -0.21", "L020")],
        ),
        (
            "fit.toml",
            two(
                "laboratory/fit_7.toml",
                ("title = ", "titel = "),
                ("deviation = \"", "deviation = \"about "),
            ),
            vec![("titel = ", "T010"), ("deviation = \"about", "L020")],
        ),
        (
            "profile.toml",
            two(
                "site/profiles/harrow_vale.toml",
                ("grout_gap = \"1/2 in; 13 mm\"", "grout_gap = 13"),
                ("plate_height = ", "plate_hight = "),
            ),
            vec![("grout_gap = 13", "R082"), ("plate_hight = ", "R081")],
        ),
    ];
    let files: Vec<(&str, &str)> = cases.iter().map(|c| (c.0, c.1.as_str())).collect();
    let place = Place::new("documents", &files);
    for (file, text, wanted) in &cases {
        let list = found(&place, file);
        let (code, _, err) = place.run(&["check", file]);
        assert_eq!(code, 3, "{file}: {err}");
        for (line, of) in wanted {
            let number = 1 + text.lines().position(|l| l.contains(line)).unwrap();
            let own = list
                .iter()
                .find(|d| d["line"] == number && d["code"] == *of);
            let own = own.unwrap_or_else(|| panic!("{file}: no {of} in line {number}: {list:?}"));
            let column = own["column"].as_u64().unwrap() as usize;
            let head = format!("{file}:{number}:{column}: error[{of}]: ");
            assert!(err.contains(&head), "{file}: {head}\n{err}");
            let margin = number.to_string();
            let shown = text.lines().nth(number - 1).unwrap();
            let shown: String = shown.chars().take(120).collect();
            let shown = shown.trim_end();
            let caret = format!(
                "{margin} | {shown}\n{} | {}^\n",
                " ".repeat(margin.len()),
                " ".repeat(column - 1)
            );
            assert!(err.contains(&caret), "{file}: {caret}\n{err}");
        }
    }
}

#[test]
fn codes_of_every_document_have_a_page() {
    let place = Place::new("documents-codes", &[]);
    for code in ["S001", "R001", "T001", "L001", "L040", "E001", "E020"] {
        assert!(
            place
                .done(&["explain", code])
                .starts_with(&format!("# {code}: "))
        );
    }
}
