//! The worked day of `docs/laboratory.md`: every command is run and every number compared. With GIVEWAY_REGENERATE set the
//! page is written instead.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// An empty folder with the laboratory's files, at the place that the page's commands expect.
fn place(name: &str) -> PathBuf {
    let place =
        std::env::temp_dir().join(format!("giveway-laboratory-{name}-{}", std::process::id()));
    let folder = place.join("scenarios/laboratory");
    std::fs::create_dir_all(&folder).unwrap();
    for entry in std::fs::read_dir(root().join("scenarios/laboratory")).unwrap() {
        let entry = entry.unwrap();
        std::fs::copy(entry.path(), folder.join(entry.file_name())).unwrap();
    }
    place
}

fn giveway(place: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args(arguments)
        .current_dir(place)
        .output()
        .unwrap()
}

#[test]
fn the_worked_day_gives_its_numbers() {
    let path = root().join("docs/laboratory.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let place = place("day");
    let mut made = String::new();
    let mut rest = page.as_str();
    let mut commands = 0;
    while let Some(start) = rest.find("```console\n") {
        let (before, block) = rest.split_at(start + "```console\n".len());
        let end = block.find("```").expect("the block ends");
        let command = block[..end]
            .lines()
            .next()
            .unwrap()
            .strip_prefix("$ giveway ")
            .expect("a command");
        let arguments: Vec<&str> = command.split(' ').collect();
        let output = giveway(&place, &arguments);
        let said = String::from_utf8(output.stdout).unwrap();
        let complained = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{command}: {complained}");
        made.push_str(&format!("{before}$ giveway {command}\n{said}"));
        rest = &block[end..];
        commands += 1;
    }
    made.push_str(rest);
    the_fits_hold_what_was_hidden(&place);
    std::fs::remove_dir_all(&place).unwrap();
    assert!(commands >= 4);
    if std::env::var_os("GIVEWAY_REGENERATE").is_some() {
        std::fs::write(&path, made).unwrap();
        return;
    }
    for (old, new) in page.lines().zip(made.lines()) {
        assert_eq!(old, new, "GIVEWAY_REGENERATE=1 writes the page again");
    }
    assert_eq!(page.lines().count(), made.lines().count());
}

/// The invented test was computed with the model as it is now, and either fit finds the values that are hidden in it: friction and nut
/// factor as one from the trace, each from trace and tension.
fn the_fits_hold_what_was_hidden(place: &Path) {
    let text = std::fs::read_to_string(place.join("scenarios/laboratory/hidden.toml")).unwrap();
    let hidden: toml::Table = text.parse().unwrap();
    let set = hidden["set"].as_array().unwrap().iter();
    let set: Vec<[&str; 2]> = set
        .map(|pair| [0, 1].map(|i| pair[i].as_str().unwrap()))
        .collect();
    let settings: Vec<String> = set.iter().map(|[path, v]| format!("{path}={v}")).collect();
    let mut arguments = vec!["run", "scenarios/laboratory/test_7.toml", "--no-figures"];
    for setting in &settings {
        arguments.extend(["--set", setting]);
    }
    assert!(giveway(place, &arguments).status.success());
    let json = |name: &str| -> serde_json::Value {
        let bytes = std::fs::read(place.join(name)).expect(name);
        serde_json::from_slice(&bytes).expect(name)
    };
    let change = |folder: &str| {
        let summary = json(&format!("{folder}/summary.json"));
        let event = &summary["velocity_change"]["at_engagement_end_mps"];
        event.as_f64().unwrap_or_else(|| panic!("{summary:#}"))
    };
    let [recorded, computed] = ["records/record_7", "runs/test_7"].map(change);
    // The logger's noise leaves 0.03 m/s over the record.
    assert!((recorded - computed).abs() < 0.06, "{recorded} {computed}");
    let widths = [("fits/fit_7", 1), ("fits/fit_7_tension", 0)].map(|(folder, ties)| {
        let posterior = json(&format!("{folder}/posterior.json"));
        assert_eq!(posterior["ties"].as_array().unwrap().len(), ties);
        let parameters = posterior["parameters"].as_array().unwrap();
        let widths = set.iter().filter_map(|[path, hidden]| {
            let hidden: f64 = hidden.parse().unwrap();
            let found = parameters.iter().find(|p| p["title"] == *path)?;
            let [low, high] = [0, 4].map(|i| found["posterior"][i].as_f64().unwrap());
            assert!(low < hidden && hidden < high, "{folder} {path}: {found}");
            Some(high - low)
        });
        widths.collect::<Vec<_>>()
    });
    assert!(widths[0].len() == 2 && widths[1].iter().zip(&widths[0]).all(|(t, w)| *t < 0.5 * w));
}

#[test]
fn a_record_is_laid_beside_a_run_and_refusals_name_line_and_channel() {
    let place = place("beside");
    let record = giveway(&place, &["record", "scenarios/laboratory/record_7.toml"]);
    assert!(
        record.status.success(),
        "{}",
        String::from_utf8_lossy(&record.stderr)
    );
    let in_feet = [
        "record",
        "scenarios/laboratory/record_7.toml",
        "--units",
        "us",
    ];
    let said = String::from_utf8(giveway(&place, &in_feet).stdout).unwrap();
    assert!(said.contains("impact velocity 5.02 ft/s along"), "{said}");
    let run = giveway(
        &place,
        &[
            "run",
            "scenarios/laboratory/test_7.toml",
            "--no-figures",
            "--quiet",
        ],
    );
    assert!(run.status.success());
    let compared = giveway(
        &place,
        &[
            "compare",
            "records/record_7",
            "runs/test_7",
            "--out",
            "beside",
        ],
    );
    let said = String::from_utf8(compared.stdout).unwrap();
    assert_eq!(compared.status.code(), Some(1), "{said}");
    for part in [
        "velocity_change_mps: magnitude",
        "acceleration_x_mps2: magnitude",
        "yaw_rate_radps",
        "rating",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(place.join("beside/velocity.svg").exists());
    // The same record twice is the same bytes but for the manifest.
    let read = |name: &str| std::fs::read(place.join("records/record_7").join(name)).unwrap();
    let first = [read("history.parquet"), read("summary.json")];
    assert!(
        giveway(&place, &["record", "scenarios/laboratory/record_7.toml"])
            .status
            .success()
    );
    assert_eq!(first, [read("history.parquet"), read("summary.json")]);
    // The clean record as a laboratory's Parquet file: cleaned again it is nearly itself.
    let again = place.join("scenarios/laboratory/again.toml");
    let description = "title = \"again\"\nscenario = \"test_7.toml\"\n[file]\nname = \"../../records/record_7/vehicle_record.parquet\"\ntime = \"time_s\"\n\
         [[channel]]\ncolumn = \"acceleration_x_mps2\"\nmeasures = \"acceleration-x\"\nunit = \"m/s2\"\noffset = \"0 m/s2\"\nfilter = \"CFC 180\"\n\
         [event]\ntime_zero = \"given\"\nat = \"0.1 ms\"\n";
    std::fs::write(&again, description).unwrap();
    let output = giveway(&place, &["record", "scenarios/laboratory/again.toml"]);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let change = |folder: &str| {
        let text = std::fs::read_to_string(place.join(folder).join("summary.json")).unwrap();
        let json: serde_json::Value = serde_json::from_str(&text).unwrap();
        json["velocity_change"]["at_engagement_end_mps"]
            .as_f64()
            .unwrap()
    };
    let [first_change, second_change] = ["records/record_7", "records/again"].map(change);
    assert!(
        (first_change - second_change).abs() < 0.02,
        "{first_change} {second_change}"
    );
    // A sign that nobody turned.
    let description = place.join("scenarios/laboratory/record_7.toml");
    let text = std::fs::read_to_string(&description)
        .unwrap()
        .replace("sign = \"reversed\"\n", "");
    std::fs::write(&description, text).unwrap();
    let refused = giveway(
        &place,
        &[
            "record",
            "scenarios/laboratory/record_7.toml",
            "--out",
            "other",
        ],
    );
    let said = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(3), "{said}");
    assert!(
        said.contains(
            "test_7.csv:1:11: error[L040]: A3_LONG: by this channel the vehicle would gain"
        ),
        "{said}"
    );
    let turned = "write sign = \"reversed\" under the [[channel]] of line 8 of scenarios/laboratory/record_7.toml";
    assert!(said.contains(turned), "{said}");
    assert!(!place.join("other").exists());
    std::fs::remove_dir_all(&place).unwrap();
}

/// A fit that was ended between two stages goes on and gives the bytes of one that was not.
#[test]
fn an_interrupted_fit_goes_on_with_the_same_bytes() {
    let place = place("interrupted");
    let file = place.join("scenarios/laboratory/short.toml");
    let text =
        std::fs::read_to_string(place.join("scenarios/laboratory/fit_7_tension.toml")).unwrap();
    let start = text.find("[[trace]]").unwrap();
    let end = text.find("[[data]]").unwrap();
    let short = format!("{}{}", &text[..start], &text[end..])
        .replace("count = 240", "count = 64")
        .replace("1.2 kN", "0.2 kN");
    let short = regular(&short);
    std::fs::write(&file, short).unwrap();
    let fit = [
        "fit",
        "scenarios/laboratory/short.toml",
        "--threads",
        "1",
        "--out",
    ];
    let whole = giveway(&place, &[&fit[..], &["whole"]].concat());
    assert!(
        whole.status.success(),
        "{}",
        String::from_utf8_lossy(&whole.stderr)
    );
    let mut child = Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args([&fit[..], &["cut"]].concat())
        .current_dir(&place)
        .spawn()
        .unwrap();
    let kept = place.join(".cut.stage.json");
    for _ in 0..3000 {
        if kept.exists() || child.try_wait().unwrap().is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(kept.exists() && !place.join("cut").exists());
    let again = giveway(
        &place,
        &[
            "fit",
            "scenarios/laboratory/short.toml",
            "--threads",
            "2",
            "--out",
            "cut",
        ],
    );
    let said = String::from_utf8(again.stderr).unwrap();
    assert!(
        again.status.success() && said.contains("goes on behind stage"),
        "{said}"
    );
    for name in ["draws.parquet", "posterior.json", "figures/pairs.svg"] {
        let read = |folder: &str| std::fs::read(place.join(folder).join(name)).unwrap();
        assert_eq!(read("whole"), read("cut"), "{name}");
    }
    assert!(!kept.exists());
    std::fs::remove_dir_all(&place).unwrap();
}

/// The text without what a fit of numbers alone does not have.
fn regular(text: &str) -> String {
    text.replace(
        "traces = \"2 %\"\ncorrelation = \"10 ms\"\n",
        "numbers = \"1 %\"\n",
    )
}
