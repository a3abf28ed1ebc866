//! The readme's picture: what its first command really makes.

use std::path::Path;
use std::process::Command;

/// Runs the readme's first command into the target folder and copies the storyboard to `docs/first-run.png`.
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
    println!(
        "wrote {picture}; the numbers in README.md are checked by `cargo test -p giveway-cli`"
    );
    Ok(())
}
