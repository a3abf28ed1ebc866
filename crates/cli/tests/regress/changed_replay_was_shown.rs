//! Seen: `scene` and `film` showed a replay that was changed since the run wrote it, which `report` refuses. Expected: they
//! refuse it, too.

use super::{edit, new_place};

#[test]
fn scene_and_film_refuse_a_changed_replay() {
    let place = new_place("replay");
    place.done(&["run", "pole.toml", "--no-figures"]);
    place.done(&["scene", "runs/pole", "--out", "whole.glb"]);
    edit(
        &place.at("runs/pole/replay.json"),
        "\"title\":\"Quiet",
        "\"title\":\"Other",
    );
    for command in [
        &["scene", "runs/pole", "--out", "x.glb"][..],
        &["film", "runs/pole", "--out", "film"],
    ] {
        let (code, _, err) = place.run(command);
        assert!(
            code == 10 && err.contains("was changed since the run wrote it"),
            "{code} {err}"
        );
    }
    assert!(!place.at("x.glb").exists() && !place.at("film").exists());
}
