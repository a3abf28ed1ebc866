//! The ledger of a study.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let folder = std::env::temp_dir().join(format!("giveway-fuzz-ledger-{}", std::process::id()));
    let _ = std::fs::create_dir_all(&folder);
    std::fs::write(folder.join("ledger.bin"), data).expect("the temporary folder takes it");
    let (shards, _) = giveway_results::look_at_ledger(&folder).expect("it reads").expect("it is there");
    // A closed shard takes at least two entries of 64 bytes.
    assert!(shards * 128 <= data.len());
});
