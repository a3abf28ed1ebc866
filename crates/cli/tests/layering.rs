//! The list of crates is the flow of the data, and no crate looks to its right.
//!
//! This test reads the workspace's own manifests through `cargo metadata` and fails on an edge against
//! the order. A new crate must be entered here before it can be used. Inside a crate no more than two files may name
//! each other in a round, and no function is longer than a person reads in one go.

#[path = "layering/circles.rs"]
mod circles;
#[path = "layering/lengths.rs"]
mod lengths;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Left to right: a crate may name only crates to its left.
const ORDER: [&str; 15] = [
    "giveway-units",
    "giveway-sampling",
    "giveway-scenario",
    "giveway-mechanics",
    "giveway-impact",
    "giveway-occupant",
    "giveway-results",
    "giveway-study",
    "giveway-page",
    "giveway-lab",
    "giveway-site",
    "giveway-draw",
    "giveway-report",
    "giveway-python",
    "giveway-cli",
];

/// Edges that the order would allow and that are forbidden all the same, with the reason.
const FORBIDDEN: [(&str, &str, &str); 2] = [
    (
        "giveway-occupant",
        "giveway-impact",
        "occupant numbers are computed from any record, also a measured one",
    ),
    (
        "giveway-occupant",
        "giveway-mechanics",
        "occupant numbers are computed from any record, also a measured one",
    ),
];

/// Outside packages that only one crate may name, with the reason.
const RESERVED: [(&str, &str, &str); 6] = [
    (
        "rand",
        "giveway-sampling",
        "one crate draws numbers, from seeds that are told",
    ),
    (
        "statrs",
        "giveway-sampling",
        "its digits depend on the platform; nothing that enters a run may",
    ),
    (
        "rapier",
        "giveway-impact",
        "the flight phase stands behind one module",
    ),
    ("parquet", "giveway-results", "one crate knows file formats"),
    (
        "arrow",
        "giveway-python",
        "tables are handed to Python alone; files are written without it",
    ),
    (
        "plotters",
        "giveway-draw",
        "one crate paints, and guards the ranges",
    ),
];

/// Crates without input, output, clock or randomness of their own, and what would betray them.
const PURE: [&str; 4] = ["units", "sampling", "mechanics", "occupant"];
const IMPURE: [&str; 7] = [
    "std::fs",
    "std::io",
    "std::time",
    "std::env",
    "std::net",
    "std::process",
    "HashMap",
];

struct Package {
    name: String,
    dependencies: Vec<String>,
}

fn workspace_root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .expect("the workspace root exists")
}

fn packages() -> Vec<Package> {
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--no-deps",
            "--offline",
            "--format-version",
            "1",
        ])
        .current_dir(workspace_root())
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "cargo metadata failed: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    let metadata: serde_json::Value =
        serde_json::from_slice(&output.stdout).expect("cargo metadata prints JSON");
    metadata["packages"]
        .as_array()
        .expect("packages")
        .iter()
        .map(|package| Package {
            name: package["name"].as_str().expect("name").to_owned(),
            dependencies: package["dependencies"]
                .as_array()
                .expect("dependencies")
                .iter()
                .map(|d| d["name"].as_str().expect("dependency name").to_owned())
                .collect(),
        })
        .collect()
}

fn place(name: &str) -> Option<usize> {
    ORDER.iter().position(|crate_name| *crate_name == name)
}

#[test]
fn no_crate_looks_to_its_right() {
    let packages = packages();
    assert!(
        packages.len() >= 8,
        "found only {} packages",
        packages.len()
    );
    let mut wrong = Vec::new();
    for package in packages.iter().filter(|p| p.name != "xtask") {
        let Some(own) = place(&package.name) else {
            wrong.push(format!("{} has no place in the order", package.name));
            continue;
        };
        for dependency in &package.dependencies {
            match place(dependency) {
                Some(other) if other >= own => wrong.push(format!(
                    "{} names {dependency}, which stands to its right",
                    package.name
                )),
                None if dependency.starts_with("giveway") => {
                    wrong.push(format!("{dependency} has no place in the order"));
                }
                _ => {}
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn forbidden_and_reserved_names_are_kept() {
    let mut wrong = Vec::new();
    for package in packages() {
        for (crate_name, forbidden, reason) in FORBIDDEN {
            if package.name == crate_name && package.dependencies.iter().any(|d| d == forbidden) {
                wrong.push(format!("{crate_name} names {forbidden}: {reason}"));
            }
        }
        for (prefix, only, reason) in RESERVED {
            if package.name != only && package.dependencies.iter().any(|d| d.starts_with(prefix)) {
                wrong.push(format!("{} names {prefix}: {reason}", package.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_pure_core_stays_pure() {
    let mut wrong = Vec::new();
    for crate_name in PURE {
        let folder = workspace_root().join("crates").join(crate_name).join("src");
        let files = rust_files(&folder);
        assert!(!files.is_empty(), "no source in {}", folder.display());
        for file in files {
            let text = std::fs::read_to_string(&file).expect("readable source");
            for (number, line) in text.lines().enumerate() {
                let code = line.split("//").next().unwrap_or_default();
                for word in IMPURE.iter().filter(|word| code.contains(**word)) {
                    wrong.push(format!("{}:{}: {word}", file.display(), number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The workspace's own crates.
fn crate_folders() -> Vec<PathBuf> {
    let crates = std::fs::read_dir(workspace_root().join("crates")).expect("readable folder");
    let mut folders: Vec<PathBuf> = crates.map(|e| e.expect("readable entry").path()).collect();
    folders.push(workspace_root().join("xtask"));
    folders.sort();
    folders
}

#[test]
fn no_more_than_two_files_name_each_other_in_a_round() {
    let mut wrong = Vec::new();
    for folder in crate_folders() {
        for circle in circles::circles(&folder) {
            if circle.len() > 2 {
                let name = folder.file_name().expect("a name").to_string_lossy();
                let (files, list) = (circle.len(), circle.join(", "));
                wrong.push(format!("{name}: {files} files in a circle: {list}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Most lines of a function.
const LONGEST: usize = 100;
/// Tables, which may be longer: file below `crates/`, function, what it lists.
const TABLES: [(&str, &str, &str); 2] = [
    (
        "results/src/build.rs",
        "build_summary",
        "every field of a summary",
    ),
    (
        "site/src/sheet/limits.rs",
        "limits",
        "every limit of the sheet",
    ),
];

#[test]
fn no_function_but_a_table_is_longer_than_100_lines() {
    let mut wrong = Vec::new();
    let mut tables = BTreeSet::new();
    for folder in crate_folders() {
        for path in rust_files(&folder.join("src")) {
            let text = std::fs::read_to_string(&path).expect("readable source");
            let crates = workspace_root().join("crates");
            let shown = path
                .strip_prefix(&crates)
                .unwrap_or(&path)
                .display()
                .to_string();
            for (name, line, length) in lengths::longer_than(LONGEST, &text) {
                if TABLES.iter().any(|t| t.0 == shown && t.1 == name) {
                    tables.insert(name);
                } else {
                    wrong.push(format!("{shown}:{line}: {name} has {length} lines"));
                }
            }
        }
    }
    for (file, name, of) in TABLES {
        if !tables.contains(name) {
            wrong.push(format!(
                "{file}: {name} ({of}) is short: strike it off TABLES"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Packages with their features, as lines of `cargo tree`.
fn packages_and_features(of: &[&str]) -> BTreeSet<String> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--offline", "--prefix", "none", "--no-dedupe"])
        .args(["--format", "{p} [{f}]"])
        .args(of)
        .current_dir(workspace_root())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().map(str::to_owned).collect()
}

/// A feature that only the tools of the tests ask for builds that package and all that stands on it a second time.
#[test]
fn the_program_and_its_tests_share_one_build() {
    let program = packages_and_features(&["-p", "giveway-cli", "-e", "normal,build"]);
    let tests = packages_and_features(&["--workspace", "-e", "normal,build,dev"]);
    assert!(program.len() > 100, "found only {}", program.len());
    let twice: Vec<&String> = program.difference(&tests).collect();
    assert!(
        twice.is_empty(),
        "the tests build these with other features (see crates/cli/Cargo.toml): {twice:?}"
    );
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).expect("readable folder") {
        let path = entry.expect("readable entry").path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}
