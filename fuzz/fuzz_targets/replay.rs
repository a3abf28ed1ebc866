//! The data of a moving picture: read, and what was accepted is written as a scene.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else { return };
    if let Ok(replay) = giveway_results::Replay::from_text(text, std::path::Path::new("replay.json")) {
        let _ = replay.to_glb();
    }
});
