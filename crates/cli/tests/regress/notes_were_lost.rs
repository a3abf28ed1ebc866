//! Seen: of ten `note` at once two were kept, and a `run` onto a folder to which a note was just written took it along; all
//! ended with 0. Expected: what ends with 0 is kept, what is not kept says so.

use super::{copy, new_place, start};

fn kept(place: &super::Place, folder: &str) -> usize {
    let notes = place.at(folder).join("review_notes.json");
    std::fs::read_to_string(notes).map_or(0, |text| text.matches("\"name\": \"N").count())
}

#[test]
fn ten_notes_at_once_are_all_kept() {
    let place = new_place("ten_notes");
    place.done(&["run", "pole.toml", "--no-figures"]);
    let writers: Vec<_> = (0..10)
        .map(|i| {
            let name = format!("N{i}");
            start(
                &place,
                &["note", "runs/pole", "--name", &name, "--text", "seen"],
            )
        })
        .collect();
    let done = writers
        .into_iter()
        .filter_map(|mut w| w.wait().unwrap().code())
        .filter(|c| *c == 0);
    assert_eq!((done.count(), kept(&place, "runs/pole")), (10, 10));
    assert_eq!(super::names(&place.at("runs")), ["pole"]);
}

#[test]
fn a_run_and_a_note_race_and_nothing_is_lost() {
    let place = new_place("race");
    place.done(&["run", "pole.toml", "--no-figures", "--out", "fresh"]);
    // GIVEWAY_RACES asks for more.
    let races: u64 = std::env::var("GIVEWAY_RACES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or_else(|| super::thorough::of(25).into());
    let mut seen = [0, 0];
    for race in 0..races {
        let folder = format!("r{race}");
        copy(&place.at("fresh"), &place.at(&folder));
        let mut run = start(
            &place,
            &["run", "pole.toml", "--no-figures", "--out", &folder],
        );
        std::thread::sleep(std::time::Duration::from_millis(23 * race % 400));
        let mut note = start(&place, &["note", &folder, "--name", "N", "--text", "seen"]);
        let (run, note) = (
            run.wait().unwrap().code().unwrap(),
            note.wait().unwrap().code().unwrap(),
        );
        assert!(
            [0, 4].contains(&run) && [0, 4, 10, 14].contains(&note),
            "{run} {note}"
        );
        // A note that ended well is there, whatever the run did.
        assert_eq!(
            kept(&place, &folder),
            usize::from(note == 0),
            "race {race}: run {run}, note {note}"
        );
        seen[0] += usize::from(run == 0);
        seen[1] += usize::from(note == 0);
        assert_eq!(
            place.run(&["rerun", &folder, "--quiet"]).0,
            0,
            "race {race}"
        );
        std::fs::remove_dir_all(place.at(&folder)).unwrap();
    }
    assert!(
        seen[0] + seen[1] >= usize::try_from(races).unwrap(),
        "{seen:?}"
    );
}

#[test]
fn the_second_of_two_runs_is_told() {
    let place = new_place("two_runs");
    place.done(&["run", "pole.toml"]);
    let first = start(&place, &["run", "pole.toml"]);
    let lock = place.at("runs/.pole.lock");
    let since = std::time::Instant::now();
    let held = || std::fs::read(&lock).is_ok_and(|holder| !holder.is_empty());
    while !held() && since.elapsed().as_secs() < 20 {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    // It stands still while the second one asks, however fast it is.
    signal(&first, "STOP");
    let (code, _, err) = place.run(&["run", "pole.toml"]);
    signal(&first, "CONT");
    assert!(
        code == 4 && err.contains("is being written by `giveway run`"),
        "{code} {err}"
    );
    assert_eq!({ first }.wait().unwrap().code(), Some(0));
    assert_eq!(super::names(&place.at("runs")), ["pole"]);
}

fn signal(process: &std::process::Child, name: &str) {
    let sent = std::process::Command::new("sh")
        .args(["-c", &format!("kill -{name} {}", process.id())])
        .status();
    assert!(sent.unwrap().success(), "{name}");
}
