//! A Parquet table of numbers, its footer above all.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let path = std::env::temp_dir().join(format!("giveway-fuzz-{}.parquet", std::process::id()));
    std::fs::write(&path, data).expect("the temporary folder takes it");
    let _ = giveway_results::NumberTable::of_parquet(&path);
});
