//! Seen: a study killed before its first 512 runs were done kept none of them. Expected: at most 5 s of work are lost.

use std::time::{Duration, Instant};

use super::{new_place, start};

/// Entries of finished runs in a study's ledger.
fn safe(place: &super::Place) -> usize {
    let ledger = std::fs::read(place.at("long/ledger.bin")).unwrap_or_default();
    ledger
        .chunks(64)
        .filter(|entry| entry.starts_with(b"GWR1"))
        .count()
}

#[test]
fn a_killed_study_keeps_all_but_the_last_seconds() {
    let place = new_place("short_study");
    // The whole event of every run: slow enough that 512 of them take a while.
    let study = "base = \"pole.toml\"\n[grid]\nimpact.speed = { from = \"20 km/h\", to = \"40 km/h\", steps = 3000 }\n\
                 [output]\ncolumns = [\"roof_dent_m\"]\n";
    std::fs::write(place.at("study.toml"), study).unwrap();
    let mut child = start(
        &place,
        &[
            "study",
            "study.toml",
            "--out",
            "long",
            "--threads",
            "1",
            "--quiet",
        ],
    );
    let since = Instant::now();
    // The first rows are safe within 5 s of the first run.
    while safe(&place) == 0 && since.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(20));
    }
    let first = since.elapsed();
    std::thread::sleep(Duration::from_secs(4));
    let ended = child.try_wait().unwrap().is_some();
    let _ = child.kill();
    child.wait().unwrap();
    let kept = safe(&place);
    assert!(
        kept > 0 && first < Duration::from_secs(30),
        "{kept} {first:?}"
    );
    // Fewer than a chunk of 512 would have been lost before; unless all of it was done.
    assert!(ended || kept < 3000, "{kept}");
}
