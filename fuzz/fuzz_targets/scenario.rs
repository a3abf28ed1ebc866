//! A scenario file: read, and what was accepted reads back to the same.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else { return };
    if let Ok(loaded) = giveway_scenario::read(text, "fuzz.toml", &[]) {
        let again = giveway_scenario::read(&loaded.resolved_text, "copy.toml", &[]).expect("the resolved copy reads");
        assert_eq!(again.scenario, loaded.scenario);
        assert_eq!(giveway_scenario::assumed_values(&loaded.resolved_text), loaded.assumptions.len());
    }
});
