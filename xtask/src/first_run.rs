//! The readme's picture: what its first command really makes.

use std::path::Path;
use std::process::Command;

/// The line of the page on reruns that counts files and bytes.
const COUNTS: &str = "runs/first: identical: ";

/// Computes the first run again and writes what that says into the page on reruns.
fn renew_counts(root: &Path, out: &Path, page: &Path) -> Result<(), String> {
    let told = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
        .args(["run", "--quiet", "--bin", "giveway", "--", "rerun"])
        .arg(out)
        .current_dir(root)
        .output()
        .map_err(|e| format!("cargo: {e}"))?;
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    let line = told
        .lines()
        .find_map(|line| line.split_once(": identical: "));
    let (_, counts) = line.ok_or_else(|| format!("the first run is not identical: {told}"))?;
    let text = std::fs::read_to_string(page).map_err(|e| e.to_string())?;
    let lines = text.lines().map(|line| match line.strip_prefix(COUNTS) {
        Some(_) => format!("{COUNTS}{counts}\n"),
        None => format!("{line}\n"),
    });
    std::fs::write(page, lines.collect::<String>()).map_err(|e| e.to_string())
}

/// Runs the readme's first command into the target folder, copies the storyboard to `docs/first-run.png` and renews the counts
/// in `docs/reruns.md`.
pub fn renew(root: &Path) -> Result<(), String> {
    let out = root.join("target/first-run");
    let status = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
        .args(["run", "--quiet", "--bin", "giveway", "--", "run"])
        .arg("scenarios/first.toml")
        .arg("--out")
        .arg(&out)
        .current_dir(root)
        .status()
        .map_err(|e| format!("cargo: {e}"))?;
    if !status.success() {
        return Err(format!("the first run ended with {status}"));
    }
    let picture = "docs/first-run.png";
    std::fs::copy(out.join("figures/storyboard.png"), root.join(picture))
        .map_err(|e| format!("{picture}: {e}"))?;
    let page = "docs/reruns.md";
    renew_counts(root, &out, &root.join(page)).map_err(|e| format!("{page}: {e}"))?;
    println!(
        "wrote {picture} and the counts in {page}; the numbers in README.md are checked by `cargo test -p giveway-cli`"
    );
    Ok(())
}
