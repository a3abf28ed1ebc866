//! Seen: 23 kills of `run` left 9 temporary and 3 replaced folders for ever; an interrupt and a limit on the size of files did
//! likewise. Expected: the next writer at that place clears up, and a program that is told to end does so itself.

use std::process::Command;
use std::time::Duration;

use super::{names, new_place, start};

/// Ends a process by a signal after so many milliseconds; the code it ended with.
fn ended(place: &super::Place, arguments: &[&str], signal: &str, after: u64) -> Option<i32> {
    let mut child = start(place, arguments);
    std::thread::sleep(Duration::from_millis(after));
    let _ = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status();
    child.wait().unwrap().code()
}

#[test]
#[cfg(unix)]
fn the_next_run_clears_up_after_killed_ones() {
    let place = new_place("killed");
    place.done(&["run", "pole.toml"]);
    let mut dirty = 0;
    let kills = u64::from(super::thorough::of(20));
    for i in (0..20).step_by(20 / kills as usize) {
        ended(&place, &["run", "pole.toml"], "-KILL", 5 + 37 * i % 900);
        dirty += usize::from(names(&place.at("runs")) != ["pole"]);
        assert!(
            names(&place.at("runs")).len() <= 4,
            "{:?}",
            names(&place.at("runs"))
        );
    }
    assert!(dirty > 0, "no kill came at a bad time");
    // Also by a note; what is there is whole.
    if place.at("runs/pole").exists() {
        assert_eq!(place.run(&["rerun", "runs/pole", "--quiet"]).0, 0);
    }
    place.done(&["run", "pole.toml"]);
    assert_eq!(names(&place.at("runs")), ["pole"]);
    // Killed between its two renames, a run leaves the old results aside: they come back with the note that is in them.
    place.done(&["note", "runs/pole", "--name", "n", "--text", "t"]);
    std::fs::rename(place.at("runs/pole"), place.at("runs/.pole.1-0.old")).unwrap();
    std::fs::create_dir(place.at("runs/.pole.1-0.tmp")).unwrap();
    let (code, _, err) = place.run(&["run", "pole.toml"]);
    assert!(code == 4 && err.contains("review notes"), "{code} {err}");
    assert_eq!(names(&place.at("runs")), ["pole"]);
    place.done(&["note", "runs/pole"]);
}

#[test]
#[cfg(unix)]
fn a_program_that_is_told_to_end_leaves_nothing() {
    let place = new_place("told");
    place.done(&["run", "pole.toml"]);
    let mut told = 0;
    for (i, signal) in ["-INT", "-TERM", "-HUP"]
        .iter()
        .cycle()
        .take(12)
        .enumerate()
    {
        let code = ended(&place, &["run", "pole.toml"], signal, 40 + 50 * i as u64);
        told += usize::from(matches!(code, Some(130 | 143 | 129)));
        assert!(matches!(code, Some(0 | 129 | 130 | 143) | None), "{code:?}");
        // Before the program listens the signal ends it at once; then nothing was begun.
        assert_eq!(names(&place.at("runs")), ["pole"], "{signal} {code:?}");
    }
    assert!(told > 3, "{told}");
    assert_eq!(place.run(&["rerun", "runs/pole", "--quiet"]).0, 0);
    // A limit on the size of files is an error of writing.
    let program = env!("CARGO_BIN_EXE_giveway");
    let limited = format!("ulimit -f 200; exec {program} run pole.toml --out limited/pole");
    let status = Command::new("bash")
        .args(["-c", &limited])
        .current_dir(place.at(""))
        .output()
        .unwrap()
        .status;
    assert_eq!(status.code(), Some(4));
    assert_eq!(names(&place.at("limited")), Vec::<String>::new());
}

#[test]
#[cfg(unix)]
fn merge_and_report_are_killed_and_leave_nothing_for_ever() {
    let place = new_place("killed_merge");
    let study = "base = \"pole.toml\"\n[grid]\nimpact.speed = { from = \"20 km/h\", to = \"40 km/h\", steps = 12 }\n";
    std::fs::write(place.at("study.toml"), study).unwrap();
    place.done(&["study", "study.toml", "--out", "part", "--quiet"]);
    place.done(&["run", "pole.toml"]);
    let kills = u64::from(super::thorough::of(15));
    for i in (0..15).step_by(15 / kills as usize) {
        ended(
            &place,
            &["merge", "part", "--out", "joined"],
            "-KILL",
            1 + 2 * i,
        );
        ended(
            &place,
            &["report", "runs/pole", "--out", "page.html"],
            "-KILL",
            2 + 3 * i,
        );
    }
    place.done(&["merge", "part", "--out", "joined", "--quiet"]);
    place.done(&["report", "runs/pole", "--out", "page.html", "--quiet"]);
    assert_eq!(place.run(&["rerun", "joined", "--quiet"]).0, 0);
    let left: Vec<String> = names(&place.at(""))
        .into_iter()
        .filter(|n| n.starts_with('.'))
        .collect();
    assert_eq!(left, Vec::<String>::new());
}
