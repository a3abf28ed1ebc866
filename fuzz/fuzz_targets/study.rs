//! A study file on a base that reads: the plan, its first and its last run.
#![no_main]

use libfuzzer_sys::fuzz_target;

const BASE: &str = include_str!("../../scenarios/first.toml");

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let load = |name: &str| Ok((name.to_owned(), BASE.to_owned()));
    if let Ok(read) = giveway_study::plan::Plan::read(text, "fuzz.toml", &[], &load) {
        for index in [0, read.plan.runs().saturating_sub(1)] {
            if let Ok(run) = read.plan.run(index) {
                let _ = read.plan.scenario(&run);
            }
        }
    }
});
