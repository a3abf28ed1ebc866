//! Every shipped scenario reads without errors, and its resolved copy is the very same scenario.

use std::fs;
use std::path::{Path, PathBuf};

use giveway_scenario::read;

fn scenarios(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
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
            scenarios(&path, found);
        } else if path.extension().is_some_and(|e| e == "toml") {
            found.push(path);
        }
    }
}

#[test]
fn every_shipped_scenario_reads_and_survives_its_resolved_copy() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let mut files = Vec::new();
    scenarios(&root, &mut files);
    assert!(files.iter().any(|f| f.ends_with("first.toml")));
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let loaded = read(&text, &file.to_string_lossy(), &[]).unwrap_or_else(|errors| {
            let all: Vec<String> = errors.iter().map(ToString::to_string).collect();
            panic!("{}", all.join("\n"));
        });
        for warning in &loaded.warnings {
            println!("{warning}");
        }
        assert!(
            text.contains("Harrow Vale"),
            "{}: the opening comment names the invented town",
            file.display()
        );
        let again = read(&loaded.resolved_text, "resolved", &[]).unwrap_or_else(|errors| {
            let all: Vec<String> = errors.iter().map(ToString::to_string).collect();
            panic!("{}\n{}", all.join("\n"), loaded.resolved_text);
        });
        assert_eq!(again.scenario, loaded.scenario, "{}", file.display());
    }
}
