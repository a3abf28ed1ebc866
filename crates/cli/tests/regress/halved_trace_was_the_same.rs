//! Seen: `compare` said "the same" (exit 0) of a force trace that was halved with its checksums put right, of a history cut
//! to its header and of a changed replay. Expected: each counts as a difference.

use std::fs;

use super::{copy, edit, new_place, rehash};

#[test]
fn traces_cut_tables_and_changed_replays_count() {
    let place = new_place("halved");
    place.done(&["run", "pole.toml", "--no-figures"]);
    let old = "runs/pole";
    let fresh = |name: &str| {
        copy(&place.at(old), &place.at(name));
        place.at(name)
    };
    fresh("same");
    assert_eq!(place.run(&["compare", old, "same"]).0, 0);
    let differs = |name: &str, word: &str| {
        let (code, out, err) = place.run(&["compare", old, name]);
        assert!(
            code == 1 && out.contains("they differ") && out.contains(word),
            "{name}: {code} {out}{err}"
        );
    };

    let halved = fresh("halved").join("history.csv");
    let text = fs::read_to_string(&halved).unwrap();
    let mut lines = text.lines();
    let head = lines.next().unwrap();
    let force = head
        .split(',')
        .position(|c| c == "contact_force_n")
        .unwrap();
    let mut out = format!("{head}\n");
    for line in lines {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        cells[force] = format!("{:?}", 0.5 * cells[force].parse::<f64>().unwrap());
        out.push_str(&format!("{}\n", cells.join(",")));
    }
    fs::write(&halved, out).unwrap();
    rehash(&place.at("halved"));
    differs("halved", "history.csv, contact_force_n");
    assert_eq!(
        place
            .run(&["compare", old, "halved", "--tolerance", "1e-3"])
            .0,
        1
    );

    let cut = fresh("cut").join("history.csv");
    fs::write(&cut, format!("{head}\n")).unwrap();
    differs("cut", "history.csv");
    rehash(&place.at("cut"));
    differs("cut", "history.csv");

    edit(
        &fresh("replay").join("replay.json"),
        "\"tick_s\":",
        "\"tick_s\": ",
    );
    differs("replay", "replay.json");
    rehash(&place.at("replay"));
    differs("replay", "replay.json: other bytes");
}
