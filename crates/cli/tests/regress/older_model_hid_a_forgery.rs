//! Seen: a summary with a changed verdict, its checksums put right and another model version written into it, ended with 13
//! and the first difference "model_version"; the number of assumptions was taken from the folder. Expected: every difference
//! but the versions is listed, verdicts first; manifest and summary must name the same version; what can be computed again is.

use std::fs;

use super::{copy, edit, new_place, rehash};

#[test]
fn every_difference_but_the_versions_is_listed() {
    let place = new_place("older");
    place.done(&["run", "pole.toml", "--no-figures"]);
    let fresh = |name: &str| {
        copy(&place.at("runs/pole"), &place.at(name));
        place.at(name)
    };
    let version = |folder: &str, files: &[&str]| {
        for file in files {
            edit(
                &place.at(folder).join(file),
                "\"model_version\": ",
                "\"model_version\": 9",
            );
        }
    };
    let both = ["summary.json", "manifest.json"];

    fresh("honest");
    version("honest", &both);
    rehash(&place.at("honest"));
    let (code, out, err) = place.run(&["rerun", "honest"]);
    assert!(
        code == 0 && out.contains("identical but for the version"),
        "{code} {out}{err}"
    );

    let forged = fresh("forged").join("summary.json");
    version("forged", &both);
    let text = fs::read_to_string(&forged).unwrap();
    let from = [
        "\"outcome\": \"pass\"",
        "\"outcome\": \"marginal\"",
        "\"outcome\": \"fail\"",
    ];
    let from = from.iter().find(|o| text.contains(*o)).unwrap();
    fs::write(
        &forged,
        text.replacen(from, "\"outcome\": \"not-evaluated\"", 1),
    )
    .unwrap();
    edit(&forged, "\"peak_force_n\": ", "\"peak_force_n\": 1");
    rehash(&place.at("forged"));
    let (code, _, err) = place.run(&["rerun", "forged"]);
    assert_eq!(code, 13, "{err}");
    let listed = err.split("values that differ: ").nth(1).unwrap();
    assert!(
        listed.contains("outcome: not-evaluated in the folder"),
        "{err}"
    );
    assert!(listed.contains("contact.peak_force_n: "), "{err}");
    assert!(!listed.contains("model_version"), "{err}");
    assert!(
        listed.find("outcome") < listed.find("peak_force_n"),
        "{err}"
    );

    fresh("torn");
    version("torn", &["manifest.json"]);
    let (code, _, err) = place.run(&["rerun", "torn"]);
    assert!(
        code == 10 && err.contains("name different versions"),
        "{code} {err}"
    );

    let counted = fresh("counted").join("summary.json");
    edit(&counted, "\"assumptions\": ", "\"assumptions\": 9");
    rehash(&place.at("counted"));
    let (code, _, err) = place.run(&["rerun", "counted"]);
    assert!(code == 9 && err.contains("assumptions"), "{code} {err}");
    // A width does not let it through.
    assert_eq!(place.run(&["rerun", "counted", "--tolerance", "1"]).0, 9);
}

#[test]
fn a_stripped_folder_and_a_link_are_told_and_a_width_is_kept() {
    let place = new_place("stripped");
    place.done(&["run", "pole.toml", "--no-figures"]);
    let (code, out, _) = place.run(&["rerun", "runs/pole"]);
    assert!(
        code == 0 && out.contains("no figures in the folder: `--no-figures`, or taken out"),
        "{out}"
    );
    // As another platform would compute it: one number off by its last digits.
    copy(&place.at("runs/pole"), &place.at("platform"));
    let path = place.at("platform/summary.json");
    let text = fs::read_to_string(&path).unwrap();
    let old = text
        .split("\"impulse_ns\": ")
        .nth(1)
        .unwrap()
        .split([',', '\n'])
        .next()
        .unwrap();
    let near = format!("{:?}", old.parse::<f64>().unwrap() * (1.0 + 1e-9));
    edit(
        &path,
        &format!("\"impulse_ns\": {old}"),
        &format!("\"impulse_ns\": {near}"),
    );
    rehash(&place.at("platform"));
    assert_eq!(place.run(&["rerun", "platform"]).0, 9);
    let (code, out, err) = place.run(&[
        "rerun",
        "platform",
        "--tolerance",
        "1e-6",
        "--record",
        "record.html",
    ]);
    assert!(
        code == 0 && out.contains("within the tolerances") && out.contains("impulse_ns"),
        "{code} {out}{err}"
    );
    assert_eq!(
        place.run(&["rerun", "platform", "--tolerance", "1e-12"]).0,
        9
    );
    let page = fs::read_to_string(place.at("record.html")).unwrap();
    for word in [
        "Review record",
        "Within tolerance",
        "1e-6",
        "Content-Security-Policy",
        "Reviewed by",
        "no seal",
    ] {
        assert!(page.contains(word), "{word}");
    }
    #[cfg(unix)]
    {
        fs::rename(place.at("platform/replay.json"), place.at("elsewhere.json")).unwrap();
        std::os::unix::fs::symlink(place.at("elsewhere.json"), place.at("platform/replay.json"))
            .unwrap();
        let (_, _, err) = place.run(&["rerun", "platform"]);
        assert!(err.contains("`replay.json` is a link"), "{err}");
    }
}
