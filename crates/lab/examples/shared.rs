//! The shared calibration over all tests in print, from `evidence.toml` in the folder named: writes
//! `crates/study/assets/shared.json`. Some minutes; the same bytes for any number of threads.
//!
//! `cargo run -p giveway-lab --example shared -- scenarios/published`, then `cargo xtask generate`.

use std::path::Path;

use giveway_lab::shared::{calibrate, read_evidence, respond};

fn main() {
    let folder = std::env::args()
        .nth(1)
        .expect("the folder of evidence.toml");
    let folder = Path::new(&folder);
    let text = |name: &str| {
        let path = folder.join(format!("{name}.toml"));
        std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))
    };
    let written = text("evidence").expect("evidence.toml");
    let evidence = read_evidence("evidence.toml", &written).unwrap_or_else(|faults| {
        // `giveway check` shows their lines.
        eprint!("{faults}");
        std::process::exit(3)
    });
    let responses = respond(&evidence, &text).expect("every run");
    eprintln!("{} runs", responses.runs);
    let posterior = calibrate(&evidence, &responses).expect("a posterior");
    for p in &posterior.parameters {
        eprintln!("{}: {:?}", p.name, p.quantiles);
    }
    eprintln!("coverage {:?}", posterior.coverage);
    let mut json = serde_json::to_string_pretty(&posterior).expect("numbers");
    json.push('\n');
    let target = Path::new(env!("CARGO_MANIFEST_DIR")).join("../study/assets/shared.json");
    std::fs::write(target, json).expect("the file can be written");
}
