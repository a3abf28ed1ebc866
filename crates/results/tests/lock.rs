//! The lock of a results folder, at its edges.

use std::fs;
use std::time::{Duration, Instant};

use giveway_results::{FolderHold, ResultsError};

#[test]
fn a_lock_is_waited_for_told_and_taken_over() {
    let place = std::env::temp_dir().join(format!("giveway-hold-{}", std::process::id()));
    fs::create_dir_all(place.join("r")).unwrap();
    let out = place.join("r");
    let long = FolderHold::take(&out, "run", Duration::ZERO).unwrap();
    // Whoever holds it for longer is named at once.
    let since = Instant::now();
    let told = FolderHold::take(&out, "note", Duration::from_secs(5)).unwrap_err();
    assert!(matches!(told, ResultsError::Held { .. }) && since.elapsed() < Duration::from_secs(2));
    assert!(
        told.to_string()
            .contains("is being written by `giveway run` (process"),
        "{told}"
    );
    drop(long);
    assert!(!place.join(".r.lock").exists());
    // A short one is waited for, as long as it is worth.
    let short = FolderHold::take(&out, "note", Duration::ZERO).unwrap();
    let since = Instant::now();
    assert!(FolderHold::take(&out, "seal", Duration::from_millis(200)).is_err());
    assert!(since.elapsed() >= Duration::from_millis(200));
    let waiting = std::thread::spawn({
        let out = out.clone();
        move || FolderHold::take(&out, "seal", Duration::from_secs(20)).map(drop)
    });
    std::thread::sleep(Duration::from_millis(100));
    drop(short);
    waiting.join().unwrap().unwrap();
    // What a dead process left: its lock, its half folder, and the results that it had put aside.
    fs::write(place.join(".r.lock"), "`giveway run` (process 1)").unwrap();
    fs::create_dir(place.join(".r.1-0.tmp")).unwrap();
    fs::rename(&out, place.join(".r.1-0.old")).unwrap();
    for other in [".r.x-0.tmp", ".r.1-0.txt", ".q.1-0.tmp", "r.1-0.tmp"] {
        fs::write(place.join(other), "").unwrap();
    }
    drop(FolderHold::take(&out, "run", Duration::ZERO).unwrap());
    let mut left: Vec<_> = fs::read_dir(&place)
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    left.sort();
    assert_eq!(
        left,
        [".q.1-0.tmp", ".r.1-0.txt", ".r.x-0.tmp", "r", "r.1-0.tmp"]
    );
    fs::remove_dir_all(&place).unwrap();
}
