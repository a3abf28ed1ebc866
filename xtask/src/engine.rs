//! `cargo xtask engine`: compiles the engine of the offline page (`crates/page`) to WebAssembly and commits it, packed, with its
//! checksum. `--check` writes nothing and compares. The same source gives the same bytes from every folder.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::Command;

use flate2::read::GzDecoder;
use flate2::{Compression, GzBuilder};
use sha2::{Digest, Sha256};

const TARGET: &str = "wasm32-unknown-unknown";
const NAME: &str = "engine.wasm.gz";
const SUM: &str = "engine.wasm.gz.sha256";
/// Most bytes of the packed engine: with the player and the first replay the page stays below 4 MB.
const MOST: usize = 2_200_000;

/// Builds and writes, or compares; says what it did.
///
/// # Errors
/// A build that failed, a file that differs.
pub fn engine(root: &Path, check: bool) -> Result<String, String> {
    let wasm = built(root)?;
    let packed = packed(&wasm)?;
    let sum = sum_of(&packed);
    let told = format!("{sum}  {NAME}\n");
    let place = root.join("crates/report/assets");
    if packed.len() > MOST {
        return Err(format!(
            "{NAME} has {} bytes, more than {MOST}",
            packed.len()
        ));
    }
    if check {
        let old = committed(root)?;
        if old != wasm {
            let at = old.iter().zip(&wasm).take_while(|(a, b)| a == b).count();
            return Err(format!(
                "{NAME} is not what the source gives ({} bytes committed, {} built, different from byte {at}); run \
                 `cargo xtask engine` and commit what it writes",
                old.len(),
                wasm.len()
            ));
        }
        return Ok(format!("{NAME}: {} bytes, as built\n", wasm.len()));
    }
    for (name, bytes) in [(NAME, packed.as_slice()), (SUM, told.as_bytes())] {
        let path = place.join(name);
        std::fs::write(&path, bytes).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    Ok(format!(
        "{NAME}: {} bytes ({} unpacked), sha256 {sum}\n",
        packed.len(),
        wasm.len()
    ))
}

/// The module of the committed engine, whose checksum is looked at.
///
/// # Errors
/// A file that cannot be read or unpacked, or that is not the one of the checksum.
pub fn committed(root: &Path) -> Result<Vec<u8>, String> {
    let place = root.join("crates/report/assets");
    let read = |name: &str| {
        let path = place.join(name);
        std::fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))
    };
    let bytes = read(NAME)?;
    if read(SUM)? != format!("{}  {NAME}\n", sum_of(&bytes)).into_bytes() {
        return Err(format!("{NAME} is not the file of {SUM}"));
    }
    let mut wasm = Vec::new();
    let mut unpacking = GzDecoder::new(bytes.as_slice());
    unpacking
        .read_to_end(&mut wasm)
        .map_err(|e| format!("{NAME}: {e}"))?;
    Ok(wasm)
}

fn sum_of(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect()
}

fn packed(wasm: &[u8]) -> Result<Vec<u8>, String> {
    // No name and no time in the head: the same bytes on every day.
    let mut out = GzBuilder::new()
        .mtime(0)
        .write(Vec::new(), Compression::best());
    out.write_all(wasm)
        .and_then(|()| out.finish())
        .map_err(|e| e.to_string())
}

/// Compiles the module: small, one profile of its own, no path of this machine in it.
fn built(root: &Path) -> Result<Vec<u8>, String> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), |t| root.join(t));
    let output = Command::new(cargo)
        .current_dir(root)
        .args([
            "build",
            "--quiet",
            "--locked",
            "-p",
            "giveway-page",
            "--lib",
            "--profile",
            "engine",
            "--target",
            TARGET,
        ])
        .args(std::env::var_os("GIVEWAY_ENGINE_JOBS").map(|n| {
            let mut jobs = std::ffi::OsString::from("-j");
            jobs.push(n);
            jobs
        }))
        .arg("--target-dir")
        .arg(&target)
        .env("CARGO_ENCODED_RUSTFLAGS", flags(root).join("\u{1f}"))
        .env_remove("RUSTFLAGS")
        .env("CARGO_INCREMENTAL", "0")
        .output()
        .map_err(|e| format!("cargo: {e}"))?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned());
    }
    let path = target.join(TARGET).join("engine/giveway_page.wasm");
    std::fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))
}

fn flags(root: &Path) -> Vec<String> {
    let mut flags = vec![format!("--remap-path-prefix={}=/giveway", root.display())];
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| Path::new(&home).join(".cargo")));
    let sources = home.map(|home| home.join("registry/src"));
    let mut folders: Vec<PathBuf> = sources
        .and_then(|sources| std::fs::read_dir(sources).ok())
        .into_iter()
        .flatten()
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    folders.sort();
    flags.extend(
        folders
            .iter()
            .map(|f| format!("--remap-path-prefix={}=/crates", f.display())),
    );
    // Two numbers at a time, as the program does on its machines; the digits are the same.
    flags.extend(["-C".to_owned(), "target-feature=+simd128".to_owned()]);
    // Nothing in a run draws numbers; a module without a host has none to draw.
    flags.extend([
        "--cfg".to_owned(),
        "getrandom_backend=\"unsupported\"".to_owned(),
    ]);
    flags
}
