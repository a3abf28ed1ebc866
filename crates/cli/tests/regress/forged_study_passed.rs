//! Seen: a study with 7 of 300 rows changed, everything hashed again, was "identical" to `rerun`, which drew the same rows
//! each time. Expected: the reviewer's own number draws the rows, tables are held against shards and ledger, and the answer
//! says that it is a sample and what it would have seen.

use std::fs;

use super::{copy, edit, forge_table, new_place, rehash};

const STUDY: &str = r#"
title = "Speeds"
base = "pole.toml"
[grid]
impact.speed = { from = "20 km/h", to = "40 km/h", steps = 40 }
"#;

#[test]
fn a_sample_says_what_it_is_and_tables_are_held_against_their_shards() {
    let place = new_place("forged_study");
    fs::write(place.at("study.toml"), STUDY).unwrap();
    place.done(&["study", "study.toml", "--out", "grid", "--quiet"]);
    let (code, out, err) = place.run(&["rerun", "grid", "--rows", "10", "--number", "5"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(
        out.contains("sample identical: every value of 10 rows of 40"),
        "{out}"
    );
    assert!(
        out.contains("--number 5") && out.contains("of 1 forged rows 25.0 %"),
        "{out}"
    );
    assert!(out.contains("the ledger names these shards"), "{out}");
    // Another number draws other rows; without one nobody knows it before.
    let number = || {
        let (_, out, _) = place.run(&["rerun", "grid", "--rows", "2", "--format", "json"]);
        serde_json::from_str::<serde_json::Value>(&out).unwrap()["sample"]["number"]
            .as_u64()
            .unwrap()
    };
    assert_ne!(number(), number());

    // A table changed with every checksum put right: its shards say otherwise.
    copy(&place.at("grid"), &place.at("forged"));
    forge_table(&place.at("forged"));
    rehash(&place.at("forged"));
    let (code, _, err) = place.run(&["rerun", "forged", "--rows", "1"]);
    assert!(
        code == 10 && err.contains("does not say what `runs.parquet` says"),
        "{code} {err}"
    );

    // Both tables of another study of the same shape, in the place of its own.
    fs::write(place.at("study.toml"), STUDY.replace("20 km/h", "21 km/h")).unwrap();
    place.done(&["study", "study.toml", "--out", "other", "--quiet"]);
    copy(&place.at("grid"), &place.at("swapped"));
    for name in ["runs.csv", "runs.parquet"] {
        fs::copy(place.at("other").join(name), place.at("swapped").join(name)).unwrap();
    }
    rehash(&place.at("swapped"));
    let (code, _, err) = place.run(&["rerun", "swapped", "--rows", "1"]);
    assert!(
        code == 10 && err.contains("in the shard that it was made from"),
        "{code} {err}"
    );

    // The ledger and the card belong to the manifest now.
    copy(&place.at("grid"), &place.at("card"));
    edit(&place.at("card/card.json"), "Speeds", "Other speeds");
    assert_eq!(place.run(&["rerun", "card"]).0, 10);
    let bytes = fs::read(place.at("grid/ledger.bin")).unwrap();
    copy(&place.at("grid"), &place.at("ledger"));
    fs::write(place.at("ledger/ledger.bin"), &bytes[..bytes.len() - 64]).unwrap();
    assert_ne!(place.run(&["rerun", "ledger"]).0, 0);
    rehash(&place.at("ledger"));
    let (code, _, err) = place.run(&["rerun", "ledger"]);
    assert!(
        code == 10 && err.contains("ledger and shards do not fit"),
        "{code} {err}"
    );
    // And a study that goes on is open until it is closed again, not tampered with.
    place.done(&["study", "study.toml", "--out", "other", "--quiet"]);
    assert_eq!(
        place.run(&["rerun", "other", "--rows", "1", "--quiet"]).0,
        0
    );
}
