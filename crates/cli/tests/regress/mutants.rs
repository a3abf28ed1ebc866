//! Seen: of 2 400 mutants of results some passed. Expected: whatever byte of a results folder changes, by which it is, looking at
//! the folder or comparing it tells; nothing panics. GIVEWAY_MUTANTS asks for more than the bounded number here.

use std::fs;

use giveway_results::comparison::{Tolerances, compare_runs};
use giveway_results::{examine, read_contents};

use super::{copy, names, new_place};

#[test]
fn a_changed_byte_is_told() {
    let place = new_place("mutants");
    place.done(&["run", "pole.toml"]);
    copy(&place.at("runs/pole"), &place.at("mutant"));
    let (old, mutant) = (place.at("runs/pole"), place.at("mutant"));
    let mut files: Vec<_> = names(&mutant)
        .into_iter()
        .filter(|n| n != "figures")
        .collect();
    files.extend(
        names(&mutant.join("figures"))
            .into_iter()
            .map(|n| format!("figures/{n}")),
    );
    let whole: Vec<Vec<u8>> = files
        .iter()
        .map(|f| fs::read(mutant.join(f)).unwrap())
        .collect();
    // GIVEWAY_MUTANTS asks for more.
    let count: u32 = std::env::var("GIVEWAY_MUTANTS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or_else(|| super::thorough::of(300));
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut random = |below: usize| {
        // SplitMix64 (Steele, Lea and Flood 2014).
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % below.max(1) as u64) as usize
    };
    let mut unseen = Vec::new();
    for _ in 0..count {
        let which = random(files.len());
        let mut bytes = whole[which].clone();
        let at = random(bytes.len());
        match random(4) {
            0 => bytes[at] ^= 1 << random(8),
            1 => bytes.truncate(at),
            2 => bytes.insert(at, b'0' + random(10) as u8),
            _ => drop(bytes.drain(at..(at + 1 + random(9)).min(bytes.len()))),
        }
        let same = bytes == whole[which];
        let path = mutant.join(&files[which]);
        fs::write(&path, &bytes).unwrap();
        let told = examine(&mutant).map_or(true, |e| !e.whole())
            || compare_runs([&old, &mutant], &Tolerances::default()).map_or(true, |(c, _)| !c.same);
        let _ = read_contents(&mutant);
        // The manifest's own time, machine and threads are no results: only a seal or an anchor covers them.
        if !told && !same && files[which] != "manifest.json" {
            unseen.push(format!("{} byte {at}", files[which]));
        }
        fs::write(&path, &whole[which]).unwrap();
    }
    assert_eq!(unseen, Vec::<String>::new());
}
