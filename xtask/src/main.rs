//! Tasks of the workspace that write files into the repository.
//!
//! `cargo xtask generate` writes the generated pages and schemas; `cargo xtask generate --check` writes
//! nothing, compares, and fails with the list of files that differ. `cargo xtask first-run` renews the
//! readme's picture. `cargo xtask engine [--check]` builds the engine of the offline page. `cargo xtask same-digits` lets two builds of the program compare each other's bytes.

mod conditions;
mod engine;
mod first_run;
mod generated;
mod same_digits;
mod shared;
mod tables;
mod validation;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

const USAGE: &str = "usage: cargo xtask generate [--check]\n       cargo xtask first-run\n       cargo xtask same-digits\n       cargo xtask engine [--check]";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let root = workspace_root();
    let check = match arguments.as_slice() {
        ["generate"] => false,
        ["generate", "--check"] => true,
        ["first-run"] => {
            return match first_run::renew(&root) {
                Ok(()) => ExitCode::SUCCESS,
                Err(problem) => failure(&problem),
            };
        }
        ["engine", rest @ ..] if matches!(rest, [] | ["--check"]) => {
            return match engine::engine(&root, !rest.is_empty()) {
                Ok(told) => {
                    print!("{told}");
                    ExitCode::SUCCESS
                }
                Err(problem) => failure(&problem),
            };
        }
        ["same-digits"] => {
            return match same_digits::check(&root) {
                Ok(told) => {
                    print!("{told}");
                    ExitCode::SUCCESS
                }
                Err(problem) => failure(&problem),
            };
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    let outcome = generated::all(&root).and_then(|files| {
        if check {
            differing(&root, &files)
        } else {
            write(&root, &files).map(|()| Vec::new())
        }
    });
    match outcome {
        Ok(different) if different.is_empty() => ExitCode::SUCCESS,
        Ok(different) => {
            eprintln!("these files are not what the code generates; run `cargo xtask generate`:");
            for line in different {
                eprintln!("  {line}");
            }
            ExitCode::FAILURE
        }
        Err(problem) => failure(&problem),
    }
}

fn failure(problem: &str) -> ExitCode {
    eprintln!("error: {problem}");
    ExitCode::FAILURE
}

fn workspace_root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("xtask lies inside the workspace")
        .to_path_buf()
}

fn write(root: &Path, files: &[generated::File]) -> Result<(), String> {
    for file in files {
        let path = root.join(&file.path);
        if std::fs::read_to_string(&path).is_ok_and(|old| old == file.text) {
            continue;
        }
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        }
        std::fs::write(&path, &file.text).map_err(|e| format!("{}: {e}", path.display()))?;
        println!("wrote {}", file.path);
    }
    for path in generated::left_over(root, files)? {
        std::fs::remove_file(root.join(&path)).map_err(|e| format!("{path}: {e}"))?;
        println!("removed {path}");
    }
    Ok(())
}

/// Files whose text differs, with the first line that does.
fn differing(root: &Path, files: &[generated::File]) -> Result<Vec<String>, String> {
    let mut different = Vec::new();
    for file in files {
        match std::fs::read_to_string(root.join(&file.path)) {
            Ok(old) if old == file.text => {}
            Ok(old) => {
                let line = old
                    .lines()
                    .zip(file.text.lines())
                    .take_while(|(a, b)| a == b)
                    .count()
                    + 1;
                different.push(format!("{} (from line {line})", file.path));
            }
            Err(_) => different.push(format!("{} (missing)", file.path)),
        }
    }
    for path in generated::left_over(root, files)? {
        different.push(format!("{path} (no longer generated)"));
    }
    Ok(different)
}
