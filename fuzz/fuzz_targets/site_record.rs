//! A record of an installed pole.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    if let Ok(text) = std::str::from_utf8(data) {
        let _ = giveway_site::Record::read(text, "fuzz.toml");
    }
});
