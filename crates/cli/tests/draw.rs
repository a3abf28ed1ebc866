//! `giveway draw` on a small study that `giveway study` made.

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

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_study_is_drawn_and_wrong_names_are_told_with_the_right_ones() {
    let place = Place(std::env::temp_dir().join(format!("giveway-draw-{}", std::process::id())));
    fs::create_dir_all(&place.0).unwrap();
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/first.toml");
    fs::copy(base, place.0.join("first.toml")).unwrap();
    let file = place.0.join("study.toml");
    fs::write(
        &file,
        "title = \"Small\"\nbase = \"first.toml\"\n[grid]\n\
         slip_base.clamp.torque = [\"100 N.m\", \"200 N.m\", \"300 N.m\"]\n\
         impact.speed = [\"30 km/h\", \"50 km/h\"]\n\
         [output]\ncolumns = [\"ending\", \"velocity_change_mps\", \"document\"]\n",
    )
    .unwrap();
    let folder = place.0.join("runs");
    let at = folder.to_str().unwrap();
    let done = giveway(&["study", file.to_str().unwrap(), "--out", at, "--quiet"]);
    assert!(done.status.success(), "{}", text(&done.stderr));

    let drawn = giveway(&["draw", at]);
    assert!(drawn.status.success(), "{}", text(&drawn.stderr));
    let said = text(&drawn.stdout);
    assert!(said.starts_with("Small: 6 runs, 2 figures in"), "{said}");
    assert!(said.contains("Engineering estimate."), "{said}");
    let curves = "curves-velocity-change-mps-by-slip-base-clamp-torque-nm";
    let surface = "surface-velocity-change-mps";
    let mut expected = vec!["analysis.json".to_owned()];
    for stem in [curves, surface] {
        expected.extend(["png", "svg", "txt"].map(|e| format!("{stem}.{e}")));
    }
    let figures = folder.join("figures");
    assert_eq!(names(&figures), expected);
    let picture = fs::read(figures.join(format!("{surface}.svg"))).unwrap();
    let json = fs::read(figures.join("analysis.json")).unwrap();
    // Again, and in another folder: the same bytes.
    let other = place.0.join("again");
    let drawn = giveway(&["draw", at, "--out", other.to_str().unwrap(), "--quiet"]);
    assert!(drawn.status.success() && drawn.stdout.is_empty());
    assert_eq!(
        fs::read(other.join(format!("{surface}.svg"))).unwrap(),
        picture
    );
    assert_eq!(fs::read(other.join("analysis.json")).unwrap(), json);

    let wrong = |arguments: &[&str]| -> (Option<i32>, String) {
        let out = giveway(&[&["draw", at], arguments].concat());
        (out.status.code(), text(&out.stderr).to_owned())
    };
    let (code, said) = wrong(&["--value", "velocity_chnage_mps"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(
        said.contains("did you mean `velocity_change_mps`?"),
        "{said}"
    );
    let (code, said) = wrong(&["--x", "impact.sped"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("did you mean `impact.speed`?"), "{said}");
    let (code, said) = wrong(&["--at", "impact.speed=99"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("has no value `99`"), "{said}");
    let (code, said) = wrong(&["--x", "impact.speed", "--y", "impact_speed_mps"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("both axes"), "{said}");
    let (code, said) = wrong(&["--quantile", "2"]);
    assert_eq!(code, Some(2), "{said}");
    let nothing = giveway(&["draw", place.0.to_str().unwrap()]);
    assert_eq!(nothing.status.code(), Some(4));
    assert!(
        text(&nothing.stderr).contains("holds no study"),
        "{}",
        text(&nothing.stderr)
    );
}
