//! `cargo xtask same-digits`: two builds of the program, in two folders and profiles, compute the same scenarios with one
//! thread and with two; each reruns what the other wrote. Every byte must be the same.

use std::path::{Path, PathBuf};
use std::process::Command;

/// What is computed: a plain impact, one with findings that are compared, one whose pole is followed.
const SCENARIOS: [(&str, &[&str]); 3] = [
    ("scenarios/first.toml", &[]),
    ("scenarios/conditions/grouted.toml", &[]),
    (
        "scenarios/four_bolt_diamond.toml",
        &["--set", "flight.follow_pole=true"],
    ),
];

/// Builds, computes and compares; says what was the same.
///
/// # Errors
/// The first step that failed, with what it printed.
pub fn check(root: &Path) -> Result<String, String> {
    let place = std::env::temp_dir().join(format!("giveway-same-digits-{}", std::process::id()));
    let outcome = all(root, &place);
    // That it cannot be removed changes nothing.
    let _ = std::fs::remove_dir_all(&place);
    outcome
}

fn all(root: &Path, place: &Path) -> Result<String, String> {
    std::fs::create_dir_all(place).map_err(|e| format!("{}: {e}", place.display()))?;
    // The folder of the second build can be given, so that it need not be built anew each time.
    let second = std::env::var_os("GIVEWAY_SECOND_TARGET")
        .map_or_else(|| place.join("target"), PathBuf::from);
    let programs = [
        build(root, None, "dev")?,
        build(root, Some(&second), "release")?,
    ];
    let mut told = String::new();
    for (scenario, changes) in SCENARIOS {
        for (i, (program, threads)) in programs.iter().zip(["1", "2"]).enumerate() {
            let out = place.join(format!("run-{i}-{}", stem(scenario)));
            let arguments = [&["run", scenario, "--quiet"], changes, &["--out"]].concat();
            run(root, program, threads, &arguments, &out)?;
            let (other, other_threads) = (&programs[1 - i], ["2", "1"][i]);
            let said = run(root, other, other_threads, &["rerun"], &out)?;
            let said = said.rsplit(": ").next().unwrap_or_default().trim();
            let profiles = ["debug", "release"];
            told.push_str(&format!(
                "{scenario}: {} with {threads} thread, again by {} with {other_threads}: {said}\n",
                profiles[i],
                profiles[1 - i]
            ));
        }
    }
    Ok(told)
}

fn stem(path: &str) -> String {
    let path = Path::new(path);
    path.file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// The program, built in a folder and profile.
fn build(root: &Path, target: Option<&Path>, profile: &str) -> Result<PathBuf, String> {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root);
    command.args([
        "build",
        "--quiet",
        "-p",
        "giveway-cli",
        "--profile",
        profile,
    ]);
    if let Some(target) = target {
        command.arg("--target-dir").arg(target);
    }
    let output = command.output().map_err(|e| format!("cargo: {e}"))?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned());
    }
    let target = match (target, std::env::var_os("CARGO_TARGET_DIR")) {
        (Some(target), _) => target.to_owned(),
        (None, Some(given)) => root.join(given),
        (None, None) => root.join("target"),
    };
    let folder = if profile == "dev" { "debug" } else { profile };
    let name = format!("giveway{}", std::env::consts::EXE_SUFFIX);
    Ok(target.join(folder).join(name))
}

fn run(
    root: &Path,
    program: &Path,
    threads: &str,
    arguments: &[&str],
    folder: &Path,
) -> Result<String, String> {
    let output = Command::new(program)
        .current_dir(root)
        .env("RAYON_NUM_THREADS", threads)
        .args(arguments)
        .arg(folder)
        .output()
        .map_err(|e| format!("{}: {e}", program.display()))?;
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    if output.status.success() {
        Ok(text(&output.stdout))
    } else {
        Err(format!("{}{}", text(&output.stdout), text(&output.stderr)))
    }
}
