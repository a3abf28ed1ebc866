//! Every state in which an interruption, a full disk or a person can leave a study's folder: what was acknowledged is
//! found again, and the finished table has the bytes of an undisturbed one.

mod study_fixture;

use std::fs;
use std::path::{Path, PathBuf};

use giveway_results::{Mixing, Repairs, StudyStore};
use study_fixture::*;

const ROWS: u64 = 60;
const LENGTH: usize = 10;
const ENTRY: usize = 64;

struct Case {
    place: Place,
    expected: Vec<Vec<u8>>,
}

impl Case {
    fn new(name: &str) -> Self {
        let place = Place::new(name);
        let whole = place.0.join("whole");
        finish(&whole, &card(ROWS, 0..ROWS), LENGTH);
        Case {
            expected: compared(&whole),
            place,
        }
    }

    /// A folder with four shards in which `damage` was done: rows found and repairs. It is then finished and compared.
    fn after(&self, damage: impl FnOnce(&Path)) -> (u64, Repairs) {
        let folder = self.place.0.join("s");
        let _ = fs::remove_dir_all(&folder);
        let whole = card(ROWS, 0..ROWS);
        let mut store = open(&folder, &whole);
        for shard in missing_shards(&store, LENGTH).into_iter().take(4) {
            store.append_shard(&rows(shard)).unwrap();
        }
        drop(store);
        damage(&folder);
        let store = open(&folder, &whole);
        let found = (store.done().len(), store.repairs().clone());
        drop(store);
        assert!(!open(&folder, &whole).repairs().any());
        finish(&folder, &whole, LENGTH);
        assert!(compared(&folder) == self.expected);
        found
    }
}

fn shards(folder: &Path) -> Vec<PathBuf> {
    names(&folder.join("shards"))
        .into_iter()
        .map(|n| folder.join("shards").join(n))
        .collect()
}

#[test]
fn a_ledger_torn_anywhere_costs_nothing() {
    let case = Case::new("damage-torn");
    let whole = ENTRY * (1 + 4 * (LENGTH + 1));
    for length in (0..=whole).step_by(113).chain([ENTRY - 1, ENTRY, whole]) {
        let (rows, repairs) = case.after(|folder| {
            let path = folder.join("ledger.bin");
            let bytes = fs::read(&path).unwrap();
            assert_eq!(bytes.len(), whole);
            fs::write(&path, &bytes[..length]).unwrap();
        });
        assert_eq!(rows, 40, "{length}");
        let lost = 4 - length.saturating_sub(ENTRY) / (ENTRY * (LENGTH + 1));
        assert_eq!(repairs.taken_up, lost as u64, "{length}");
    }
}

#[test]
fn a_ledger_that_is_lost_or_garbled_is_written_anew_from_the_shards() {
    let case = Case::new("damage-ledger");
    let (rows, repairs) = case.after(|folder| fs::remove_file(folder.join("ledger.bin")).unwrap());
    assert_eq!((rows, repairs.taken_up, repairs.ledger), (40, 4, true));
    for at in (0..ENTRY * 45).step_by(307) {
        let (rows, repairs) = case.after(|folder| {
            let path = folder.join("ledger.bin");
            let mut bytes = fs::read(&path).unwrap();
            bytes[at] ^= 0xff;
            fs::write(&path, bytes).unwrap();
        });
        assert_eq!(rows, 40, "{at}");
        assert!(repairs.ledger && repairs.taken_up <= 1, "{at}");
    }
}

#[test]
fn a_half_written_shard_is_removed_and_a_spoiled_one_set_aside() {
    let case = Case::new("damage-shard");
    let (rows, repairs) = case.after(|folder| {
        let bytes = fs::read(&shards(folder)[0]).unwrap();
        fs::write(folder.join("shards/.shard.tmp"), &bytes[..bytes.len() / 2]).unwrap();
        fs::write(folder.join(".runs.csv.tmp"), "half").unwrap();
        fs::write(folder.join(".ledger.tmp"), "half").unwrap();
        fs::write(folder.join(".json.tmp"), "half").unwrap();
    });
    assert_eq!((rows, repairs.half_written), (40, 1));

    let (rows, repairs) = case.after(|folder| fs::remove_file(&shards(folder)[1]).unwrap());
    assert_eq!((rows, repairs.missing), (30, 1));

    for (cut, flip) in [(0, 50), (1, 0), (2000, 0)] {
        let (rows, repairs) = case.after(|folder| {
            let path = &shards(folder)[2];
            let mut bytes = fs::read(path).unwrap();
            bytes.truncate(bytes.len() - cut);
            bytes[flip] ^= 1;
            fs::write(path, &bytes).unwrap();
        });
        assert_eq!((rows, repairs.spoiled), (30, 1));
        let folder = case.place.0.join("s");
        let kept = shards(&folder);
        assert!(kept[2].to_string_lossy().ends_with(".parquet.spoiled"));
    }
}

#[test]
fn what_a_person_put_there_stays() {
    let case = Case::new("damage-strangers");
    case.after(|folder| {
        fs::write(folder.join("notes.txt"), "mine").unwrap();
        fs::write(folder.join("shards/notes.parquet"), "mine").unwrap();
        fs::create_dir(folder.join("shards/more")).unwrap();
    });
    let folder = case.place.0.join("s");
    assert_eq!(fs::read(folder.join("notes.txt")).unwrap(), b"mine");
    assert_eq!(
        fs::read(folder.join("shards/notes.parquet")).unwrap(),
        b"mine"
    );
    assert!(folder.join("shards/more").is_dir());
}

#[test]
fn a_card_that_is_lost_is_written_anew_if_the_shards_are_of_the_same_study() {
    let case = Case::new("damage-card");
    let (rows, _) = case.after(|folder| fs::remove_file(folder.join("card.json")).unwrap());
    assert_eq!(rows, 40);
    let folder = case.place.0.join("s");
    fs::remove_file(folder.join("card.json")).unwrap();
    fs::remove_file(folder.join("ledger.bin")).unwrap();
    let mut other = card(ROWS, 0..ROWS);
    other.plan_hash = "22".repeat(32);
    let error = StudyStore::open(&folder, &other, Mixing::Refuse).unwrap_err();
    assert!(error.to_string().contains("of another study"), "{error}");
    drop(open(&folder, &card(ROWS, 0..ROWS)));
    // A shard of another study that was copied in is left alone.
    let foreign = case.place.0.join("foreign");
    finish(&foreign, &other, LENGTH);
    fs::copy(
        &shards(&foreign)[0],
        folder
            .join("shards")
            .join(shards(&foreign)[0].file_name().unwrap()),
    )
    .unwrap();
    let store = open(&folder, &card(ROWS, 0..ROWS));
    assert_eq!((store.done().len(), store.repairs().foreign), (ROWS, 1));
}

#[test]
fn an_end_while_closing_leaves_a_study_that_says_it_is_not_closed() {
    let case = Case::new("damage-closing");
    let folder = case.place.0.join("s");
    case.after(|_| {});
    // The tables are replaced only after the closing file is gone.
    fs::remove_file(folder.join("study.json")).unwrap();
    fs::remove_file(folder.join("manifest.json")).unwrap();
    fs::write(folder.join("runs.csv"), "half").unwrap();
    let error = giveway_results::read_study(&folder).unwrap_err();
    assert!(error.to_string().contains("study.json"), "{error}");
    finish(&folder, &card(ROWS, 0..ROWS), LENGTH);
    assert!(compared(&folder) == case.expected);
}
