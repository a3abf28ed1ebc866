//! A process that fills a study is killed at arbitrary instants, and has its files limited as on a full disk.
#![cfg(unix)]

mod study_fixture;
#[path = "../../../tests/thorough.rs"]
mod thorough;

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use giveway_results::{Mixing, ResultsError, StudyStore};
use study_fixture::*;

const FOLDER: &str = "GIVEWAY_TEST_STUDY";
const ROWS: u64 = 6000;
const LENGTH: usize = 40;

/// The process that is killed: it says what is safe as soon as it is.
#[test]
#[ignore = "a part of the tests below, started by them"]
fn fills_a_study() {
    let Some(folder) = std::env::var_os(FOLDER) else {
        return;
    };
    let folder = Path::new(&folder);
    let mut out = std::io::stdout();
    let mut say = |text: String| {
        writeln!(out, "\nSAY {text}")
            .and_then(|()| out.flush())
            .unwrap()
    };
    let mut fill = || -> Result<(), ResultsError> {
        let mut store = StudyStore::open(folder, &card(ROWS, 0..ROWS), Mixing::Refuse)?;
        for shard in missing_shards(&store, LENGTH) {
            store.append_shard(&rows(shard.iter().copied()))?;
            let safe: Vec<String> = shard.iter().map(u64::to_string).collect();
            say(format!("safe {}", safe.join(" ")));
        }
        store.close(&facts())?;
        say("closed".to_owned());
        Ok(())
    };
    let filled = fill();
    if let Err(e) = filled {
        say(format!("error {e}"));
    }
}

fn started(folder: &Path, file_blocks: Option<u64>) -> Child {
    let program = std::env::current_exe().unwrap();
    let limit = file_blocks.map_or_else(String::new, |n| format!("trap '' XFSZ; ulimit -f {n}; "));
    Command::new("sh")
        .arg("-c")
        .arg(format!(
            "{limit}exec \"$0\" --exact fills_a_study --ignored --nocapture --test-threads 1"
        ))
        .arg(program)
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Whole lines that the process said.
fn said(child: &mut Child) -> Vec<String> {
    let mut text = String::new();
    child
        .stdout
        .take()
        .unwrap()
        .read_to_string(&mut text)
        .unwrap();
    child.wait().unwrap();
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    whole
        .lines()
        .filter_map(|l| l.strip_prefix("SAY "))
        .map(str::to_owned)
        .collect()
}

fn safe(said: &[String]) -> Vec<u64> {
    said.iter()
        .filter_map(|l| l.strip_prefix("safe "))
        .flat_map(|l| l.split(' ').map(|i| i.parse().unwrap()))
        .collect()
}

fn undisturbed(place: &Place) -> Vec<Vec<u8>> {
    let folder = place.0.join("undisturbed");
    finish(&folder, &card(ROWS, 0..ROWS), 1000);
    compared(&folder)
}

#[test]
fn a_kill_at_any_instant_loses_at_most_the_shard_in_hand() {
    let place = Place::new("study-kill");
    let expected = undisturbed(&place);
    let folder = place.0.join("killed");
    let whole = card(ROWS, 0..ROWS);
    let mut acknowledged: Vec<u64> = Vec::new();
    let mut kills = 0u64;
    let mut state = 0x9e37_79b9_7f4a_7c15u64;
    for life in 0..u64::from(thorough::of(400)) {
        let mut child = started(&folder, None);
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        std::thread::sleep(Duration::from_micros((state >> 33) % 90_000));
        // SIGKILL; the shell became the program.
        child.kill().unwrap();
        let said = said(&mut child);
        acknowledged.extend(safe(&said));
        if said.last().is_some_and(|l| l == "closed") {
            break;
        }
        kills += 1;
        assert!(!said.iter().any(|l| l.starts_with("error")), "{said:?}");
        // Now and then look before the next life puts things right.
        if life.is_multiple_of(3) {
            let store = open(&folder, &whole);
            for index in &acknowledged {
                assert!(store.done().matches(*index, &key(*index)), "{index}");
            }
            let more = store.done().len() - acknowledged.len() as u64;
            assert!(more <= kills * LENGTH as u64);
        }
    }
    println!("{kills} kills, {} rows acknowledged", acknowledged.len());
    assert!(kills >= 5, "{kills}");
    // No run was acknowledged twice, so that none was computed again.
    let mut once = acknowledged.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), acknowledged.len());
    finish(&folder, &whole, LENGTH);
    assert!(compared(&folder) == expected);
}

#[test]
fn a_full_disk_loses_at_most_the_shard_in_hand_and_says_how_much_is_safe() {
    let place = Place::new("study-full");
    let expected = undisturbed(&place);
    let whole = card(ROWS, 0..ROWS);
    // Blocks of 512 or 1024 bytes: the first shard, the ledger early and late, and the closing table do not fit.
    for blocks in [1, 8, 60, 200, 390, 1200] {
        let folder = place.0.join(format!("full{blocks}"));
        let said = said(&mut started(&folder, Some(blocks)));
        let safe = safe(&said);
        let error = said.last().cloned().unwrap_or_default();
        println!("{blocks} blocks: {} rows safe; {error}", safe.len());
        if folder.join("card.json").exists() {
            let store = open(&folder, &whole);
            assert_eq!(store.done().len(), safe.len() as u64);
            for index in &safe {
                assert!(store.done().matches(*index, &key(*index)), "{index}");
            }
            if error.contains("safe in the folder") {
                assert!(error.contains(&format!(". {} finished runs are safe", safe.len())));
            }
        }
        assert!(error.starts_with("error ") || error == "closed", "{error}");
        assert_eq!(error == "closed", folder.join("study.json").exists());
        finish(&folder, &whole, LENGTH);
        assert!(compared(&folder) == expected);
    }
}
