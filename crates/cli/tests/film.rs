//! `giveway film` and `giveway scene` on a computed run.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

struct Place(PathBuf);

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn giveway(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args(arguments)
        .output()
        .unwrap()
}

#[test]
fn a_run_becomes_a_film_and_a_scene() {
    let place = Place(std::env::temp_dir().join(format!("giveway-film-{}", std::process::id())));
    fs::create_dir_all(&place.0).unwrap();
    let at = |name: &str| place.0.join(name).display().to_string();
    let scenario = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/first.toml");
    let scenario = scenario.display().to_string();
    let run = at("run");
    let out = giveway(&["run", &scenario, "--out", &run, "--no-figures", "--quiet"]);
    assert!(out.status.success());
    assert!(fs::metadata(place.0.join("run/replay.json")).unwrap().len() < 400_000);

    let film = at("film");
    let out = giveway(&[
        "film",
        &run,
        &run,
        "--heading",
        "one",
        "--heading",
        "two",
        "--out",
        &film,
        "--size",
        "640x240",
        "--speed",
        "1/5",
        "--frames-per-second",
        "10",
    ]);
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let pictures = fs::read_dir(&film)
        .unwrap()
        .filter(|e| {
            let name = e.as_ref().unwrap().file_name().into_string().unwrap();
            name.starts_with("frame-")
        })
        .count();
    let said = String::from_utf8(out.stdout).unwrap();
    assert!(said.contains(&format!("{pictures} pictures")), "{said}");
    assert!(pictures >= 4, "{pictures}");
    let animated = fs::read(place.0.join("film/film.png")).unwrap();
    assert!(animated.windows(4).any(|w| w == b"acTL"));
    assert!(
        fs::read_to_string(place.0.join("film/film.txt"))
            .unwrap()
            .contains("two")
    );

    let scene = at("run.glb");
    assert!(
        giveway(&["scene", &run, "--out", &scene, "--quiet"])
            .status
            .success()
    );
    assert_eq!(&fs::read(&scene).unwrap()[..4], b"glTF");

    // Wrong input is told, with the code that the help names.
    let code = |arguments: &[&str]| giveway(arguments).status.code();
    assert_eq!(code(&["film", &at("nowhere"), "--out", &film]), Some(4));
    assert_eq!(code(&["scene", &at("nowhere")]), Some(4));
    assert_eq!(
        code(&["film", &run, "--speed", "0", "--out", &film]),
        Some(2)
    );
    assert_eq!(
        code(&["film", &run, "--size", "9x9", "--out", &film]),
        Some(2)
    );
    assert_eq!(
        code(&["film", &run, "--size", "160x1000", "--out", &film]),
        Some(2)
    );
    assert_eq!(
        code(&[
            "film",
            &run,
            "--heading",
            "a",
            "--heading",
            "b",
            "--out",
            &film
        ]),
        Some(2)
    );
    fs::write(place.0.join("run/replay.json"), "{\"format\":1").unwrap();
    assert_eq!(code(&["film", &run, "--out", &film]), Some(4));
}
