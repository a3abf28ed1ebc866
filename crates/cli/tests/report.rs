//! `giveway report`: what it shows and what it does with folders that are not as they should be.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("giveway-report-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn at(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }
}

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

fn scenario(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../scenarios")
        .join(name)
        .display()
        .to_string()
}

fn run(file: &str, out: &str, more: &[&str]) {
    let out = giveway(&[&["run", file, "--out", out, "--quiet"], more].concat());
    assert!(out.status.success(), "{}", text(&out.stderr));
}

fn report(folders: &[&str], out: &str) -> String {
    let done = giveway(&[&["report"], folders, &["--out", out]].concat());
    assert!(done.status.success(), "{}", text(&done.stderr));
    let page = fs::read_to_string(out).unwrap();
    assert!(page.len() < 3_000_000, "{} bytes", page.len());
    page
}

fn refused(folders: &[&str]) -> (Option<i32>, String) {
    let done = giveway(&[&["report"], folders].concat());
    (done.status.code(), text(&done.stderr).to_owned())
}

/// Writes a file anew and its checksum into the manifest, as somebody would who makes a folder of his own.
fn forge(folder: &str, name: &str, change: impl Fn(&str) -> String) {
    let folder = Path::new(folder);
    let old = fs::read_to_string(folder.join(name)).unwrap();
    let new = change(&old);
    assert_ne!(old, new, "{name}");
    fs::write(folder.join(name), &new).unwrap();
    let manifest = fs::read_to_string(folder.join("manifest.json")).unwrap();
    let sum = giveway_results::hash_text;
    fs::write(
        folder.join("manifest.json"),
        manifest.replace(&sum(&old), &sum(&new)),
    )
    .unwrap();
}

#[test]
fn the_verdict_comes_first_with_limit_source_and_margin() {
    let place = Place::new("one");
    run(
        &scenario("conditions/several_small.toml"),
        &place.at("run"),
        &[],
    );
    let page = report(&[&place.at("run")], &place.at("a.html"));
    let verdict = page.find("id=\"verdict\"").unwrap();
    assert!(verdict < page.find("id=\"happened\"").unwrap());
    let summary: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(place.0.join("run/summary.json")).unwrap())
            .unwrap();
    let check = &summary["verdicts"][0]["checks"][0];
    let panel = &page[verdict..page.find("id=\"happened\"").unwrap()];
    for wanted in [
        "<span class=\"mark fails\">the blow fails</span>",
        "Occupant impact velocity, longitudinal",
        &format!("{:.3} m/s (", check["value"].as_f64().unwrap()),
        ", the range that tests in print leave it); limit 4.877 m/s (preferred 3.048 m/s)",
        &format!(
            "{:.0} % over the limit",
            -100.0 * check["margin_fraction"].as_f64().unwrap()
        ),
        check["source"].as_str().unwrap(),
        "[recalled]",
        "no substitute for a full-scale",
    ] {
        assert!(panel.contains(wanted), "`{wanted}` is not in {panel}");
    }
    assert!(!panel.contains("oiv_longitudinal_mps"));
    // Findings in their order, assumptions with their sources, books, validation, provenance.
    let manifest = fs::read_to_string(place.0.join("run/manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_str(&manifest).unwrap();
    for finding in summary["conditions"].as_array().unwrap() {
        let sentence = finding["sentence"].as_str().unwrap();
        assert!(page.contains(sentence), "{sentence}");
    }
    for wanted in [
        manifest["input_blake3"].as_str().unwrap(),
        "gravity",
        "default: standard gravity, CGPM 1901",
        "in band",
        "out of band",
        "closed",
        "Model version",
        "role=\"img\"",
    ] {
        assert!(page.contains(wanted), "`{wanted}`");
    }
    // Nothing is loaded.
    for bad in ["http://", "https://", "src=", "@import", "url("] {
        let own = page.split("<script nonce=").next().unwrap();
        assert!(!own.contains(bad), "{bad}");
    }
    // Same folder, same bytes.
    assert_eq!(report(&[&place.at("run")], &place.at("b.html")), page);
}

#[test]
fn folders_that_hold_no_result_are_refused_plainly() {
    let place = Place::new("wrong");
    fs::create_dir(place.0.join("empty")).unwrap();
    let (code, said) = refused(&[&place.at("empty")]);
    assert_eq!(code, Some(4));
    assert!(said.contains("holds no run"), "{said}");
    let (code, said) = refused(&[&place.at("nowhere")]);
    assert_eq!(code, Some(4), "{said}");
    run(&scenario("first.toml"), &place.at("run"), &["--no-figures"]);
    forge(&place.at("run"), "summary.json", |s| {
        s.replacen("\"format\": 2", "\"format\": 77", 1)
    });
    let (code, said) = refused(&[&place.at("run")]);
    assert_eq!(code, Some(4));
    assert!(
        said.contains("format 77") && said.contains("this program reads format 2"),
        "{said}"
    );
    fs::write(place.0.join("run/summary.json"), "{\"format\": 2}").unwrap();
    let (code, said) = refused(&[&place.at("run")]);
    assert_eq!(code, Some(4));
    assert!(said.contains("cannot be read as a summary"), "{said}");
    assert_eq!(refused(&[]).0, Some(2));
}

#[test]
fn no_verdict_stands_for_a_failed_run_or_an_altered_folder() {
    let place = Place::new("failed");
    run(&scenario("first.toml"), &place.at("run"), &[]);
    let verdict = |page: &str| {
        let from = page.find("id=\"verdict\"").unwrap();
        page[from..page.find("id=\"happened\"").unwrap()].to_owned()
    };
    // A file changed after the run.
    let summary = place.0.join("run/summary.json");
    let sound = fs::read_to_string(&summary).unwrap();
    fs::write(
        &summary,
        sound.replacen("\"peak_force_n\": ", "\"peak_force_n\": 1", 1),
    )
    .unwrap();
    let panel = verdict(&report(&[&place.at("run")], &place.at("a.html")));
    assert!(
        panel.contains("No verdict: altered") && panel.contains("summary.json was changed"),
        "{panel}"
    );
    assert_no_verdict(&panel);
    fs::write(&summary, &sound).unwrap();
    assert!(
        verdict(&report(&[&place.at("run")], &place.at("c.html"))).contains(">the blow passes<")
    );
    // A run whose books did not close.
    forge(&place.at("run"), "summary.json", |s| {
        s.replacen("\"status\": \"complete\"", "\"status\": \"failed\"", 1)
            .replace("\"energy_closed\": true", "\"energy_closed\": false")
            .replace("\"books_closed\": true", "\"books_closed\": false")
    });
    let page = report(&[&place.at("run")], &place.at("b.html"));
    let panel = verdict(&page);
    assert!(panel.contains("No verdict: run failed"), "{panel}");
    assert_no_verdict(&panel);
    assert!(page.contains("OPEN"));
    for mark in ["meets", "near", "fails"] {
        for word in ["pass", "marginal", "fail", "the blow "] {
            let shown = format!("<span class=\"mark {mark}\">{word}<");
            let shown = shown.trim_end_matches('<');
            assert!(!page.contains(shown), "{shown}");
        }
    }
}

/// A panel that judges nothing and says the caution all the same.
fn assert_no_verdict(panel: &str) {
    for word in [">the blow ", ">pass<", ">marginal<", ">fail<"] {
        assert!(!panel.contains(word), "{panel}");
    }
    assert!(panel.contains(giveway_occupant::CAUTION), "{panel}");
}

/// The caution was taken from the summary, so that a folder written by somebody else could leave it out or put another
/// sentence in its place. Expected: a verdict never stands without it.
#[test]
fn a_verdict_carries_the_caution_whatever_the_folder_says() {
    let place = Place::new("caution");
    run(&scenario("first.toml"), &place.at("run"), &["--no-figures"]);
    forge(&place.at("run"), "summary.json", |s| {
        s.replace(giveway_occupant::CAUTION, "Approved for every road.")
    });
    let one = report(&[&place.at("run")], &place.at("one.html"));
    let two = report(&[&place.at("run"), &place.at("run")], &place.at("two.html"));
    for page in [one, two] {
        let own = page.split("<script nonce=").next().unwrap();
        assert!(own.contains(giveway_occupant::CAUTION));
        assert!(!own.contains("Approved for every road."));
    }
}

#[test]
fn worst_inputs_become_text_and_stay_small() {
    let place = Place::new("worst");
    let hostile = "<script>alert(1)</script>--></style><img src=x onerror=alert(1)>";
    let source = fs::read_to_string(scenario("first.toml")).unwrap();
    let titled = |title: &str| {
        let line = |l: &str| match l.starts_with("title = ") {
            true => format!("title = \"{title}\"\n"),
            false => format!("{l}\n"),
        };
        let text: String = source.lines().map(line).collect();
        fs::write(place.0.join("hostile.toml"), text).unwrap();
    };
    // What turns the direction of the writing does not come in with a scenario...
    titled("Pole 1\\u202e");
    let done = giveway(&["run", &place.at("hostile.toml"), "--out", &place.at("run")]);
    let said = text(&done.stderr);
    assert_eq!(done.status.code(), Some(3), "{said}");
    assert!(
        said.contains("error[S074]") && said.contains("U+202E"),
        "{said}"
    );
    assert!(!place.0.join("run").exists());
    // ... but a folder may have been written by somebody else.
    titled(hostile);
    run(&place.at("hostile.toml"), &place.at("run"), &[]);
    forge(&place.at("run"), "summary.json", |s| {
        let flag = |n: usize| {
            format!(
                "{{\"word\": \"w\", \"sentence\": \"Flag {n} <b>bold</b>\u{202e} {}\", \"consequence\": null}}",
                "x".repeat(500)
            )
        };
        let flags: Vec<String> = (0..5000).map(flag).collect();
        s.replacen(
            "\"flags\": [",
            &format!("\"flags\": [{},", flags.join(",")),
            1,
        )
    });
    // A figure with something of its own in it.
    forge(&place.at("run"), "figures/motion.svg", |s| {
        s.replacen("<polyline", "<image href=\"http://x/\"/><polyline", 1)
    });
    let page = report(&[&place.at("run")], &place.at("a.html"));
    let own = page.split("<script nonce=").next().unwrap();
    for bad in [
        "<script>alert",
        "<img",
        "<b>",
        "onerror=alert(1)>",
        "\u{202e}",
        "<image",
        "http://x",
    ] {
        assert!(!own.contains(bad), "{bad}");
    }
    assert!(own.contains("&lt;script&gt;alert(1)"));
    assert!(
        own.contains("Flag 39 ")
            && !own.contains("Flag 40 ")
            && own.contains("4962 more stand in summary.json")
    );
    assert!(own.contains("figures/motion.svg of the folder run: not shown"));
}

#[test]
fn several_runs_stand_side_by_side_also_twelve_of_them() {
    let place = Place::new("many");
    run(
        &scenario("conditions/correct.toml"),
        &place.at("correct"),
        &[],
    );
    run(
        &scenario("conditions/grouted.toml"),
        &place.at("grouted"),
        &[],
    );
    run(&scenario("near_miss.toml"), &place.at("missed"), &[]);
    run(
        &scenario("first.toml"),
        &place.at("bare"),
        &["--no-figures", "--set", "output.history=false"],
    );
    let all = ["correct", "grouted", "missed", "bare"].map(|n| place.at(n));
    let four: Vec<&str> = all.iter().map(String::as_str).collect();
    let page = report(&four, &place.at("four.html"));
    for wanted in [
        "4 runs side by side",
        "Run A: ",
        "Run D: ",
        "as_found.grout",
        "Not judged: no contact",
        "wrote no figures",
    ] {
        assert!(page.contains(wanted), "`{wanted}`");
    }
    let twelve: Vec<&str> = four.iter().copied().cycle().take(12).collect();
    let page = report(&twelve, &place.at("twelve.html"));
    assert!(page.contains("Run L: "));
    let ids: Vec<&str> = page
        .split("<script nonce=")
        .next()
        .unwrap()
        .match_indices(" id=\"")
        .map(|(at, _)| page[at + 5..].split('"').next().unwrap())
        .collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len());
}

#[test]
fn a_study_is_reported_in_counts_and_figures() {
    let place = Place::new("study");
    fs::copy(scenario("first.toml"), place.0.join("base.toml")).unwrap();
    fs::write(
        place.0.join("study.toml"),
        "title = \"A <b>study</b>\"\nbase = \"base.toml\"\nseed = 11\n[grid]\nslip_base.clamp.torque = [\"100 N.m\", \"400 N.m\"]\n\
         impact.speed = [\"20 km/h\", \"50 km/h\"]\n[sample]\nmethod = \"sobol\"\ncount = 4\nstandard = [\"nut-factor\"]\n",
    )
    .unwrap();
    let done = giveway(&[
        "study",
        &place.at("study.toml"),
        "--out",
        &place.at("study"),
        "--quiet",
    ]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    let page = report(&[&place.at("study")], &place.at("a.html"));
    let table = fs::read_to_string(place.0.join("study/runs.csv")).unwrap();
    let mut rows = table.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let heads = rows.next().unwrap();
    let outcome = heads.iter().position(|h| *h == "outcome").unwrap();
    let rows: Vec<&str> = rows.map(|r| r[outcome]).collect();
    let [failing, passing] = ["fail", "pass"].map(|w| rows.iter().filter(|r| **r == w).count());
    for wanted in [
        "A &lt;b&gt;study&lt;/b&gt;",
        &format!(": {passing} pass, "),
        &format!(" {failing} fail"),
        "seed 11",
        "Least margin: ",
        "4.877 m/s",
        "<figure>",
        "Hash of the resolved plan",
    ] {
        assert!(page.contains(wanted), "`{wanted}`");
    }
    // A study stands alone.
    let (code, said) = refused(&[&place.at("study"), &place.at("study")]);
    assert_eq!(code, Some(2));
    assert!(said.contains("by itself"), "{said}");
}

#[test]
fn the_instants_stand_once_and_in_the_moving_pictures_place() {
    let place = Place::new("still");
    run(&scenario("conditions/correct.toml"), &place.at("a"), &[]);
    run(&scenario("conditions/grouted.toml"), &place.at("b"), &[]);
    let one = report(&[&place.at("a")], &place.at("one.html"));
    let two = report(&[&place.at("a"), &place.at("b")], &place.at("two.html"));
    for (page, runs) in [(&one, 1), (&two, 2)] {
        let own = page.split("<script nonce=").next().unwrap();
        let section = own.split("<section class=\"player\"").nth(1).unwrap();
        let section = section.split("</section>").next().unwrap();
        assert_eq!(section.matches("<svg").count(), runs);
        assert_eq!(
            own.matches("instants of the impact of a vehicle").count(),
            runs
        );
        assert_eq!(
            own.matches("<p>The instants of the impact stand under")
                .count(),
            runs
        );
        // Figures against time have a cursor of the replays that they show.
        let of_one = own
            .matches("<figure data-replays=\"replay-1\">\n<svg data-clocks=")
            .count();
        assert_eq!(of_one, 4, "motion, contact, joint, energy");
        assert_eq!(
            own.matches("<figure data-replays=\"replay-1 replay-2\">")
                .count(),
            runs - 1
        );
    }
    // Its axes of time are those of the figure.
    let motion = one.split("data-clocks=\"").nth(1).unwrap();
    let first: Vec<f64> = (motion.split([',', '"']).next().unwrap().split(' '))
        .map(|v| v.parse().unwrap())
        .collect();
    let times: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(place.0.join("a/summary.json")).unwrap()).unwrap();
    let end = times["times"]["engagement_end_s"].as_f64().unwrap();
    assert_eq!(first[..4], [95.0, 130.0, 1130.0, 470.0].map(|v| 8.0 * v));
    assert!(
        first[4] == 0.0 && (first[5] - end).abs() < 1e-9,
        "{first:?} {end}"
    );
}

#[test]
fn a_damaged_moving_picture_is_told_on_the_page_and_on_standard_error() {
    let place = Place::new("cut");
    run(&scenario("first.toml"), &place.at("run"), &[]);
    let file = place.0.join("run/replay.json");
    let whole = fs::read_to_string(&file).unwrap();
    let told = |folder: &str| {
        let done = giveway(&["report", folder, "--out", &place.at("page.html"), "--quiet"]);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let page = fs::read_to_string(place.at("page.html")).unwrap();
        let from = page.find("id=\"moving\"").unwrap();
        let chapter = page[from..page.find("id=\"documents\"").unwrap()].to_owned();
        (chapter, text(&done.stderr).to_owned())
    };
    let (chapter, said) = told(&place.at("run"));
    assert!(
        chapter.contains("class=\"player\"") && said.is_empty(),
        "{said}"
    );
    for (content, reason) in [
        (&whole[..9000], "EOF while parsing"),
        (
            &whole.replacen("\"title\":\"", "\"title\":\"x", 1),
            "its checksum is another",
        ),
        ("", "EOF while parsing"),
    ] {
        fs::write(&file, content).unwrap();
        let (chapter, said) = told(&place.at("run"));
        assert!(!chapter.contains("class=\"player\""), "{chapter}");
        for wanted in [
            "The file of the moving picture is damaged.",
            "since the run wrote it",
            reason,
            "<svg",
        ] {
            assert!(chapter.contains(wanted), "`{wanted}` is not in {chapter}");
        }
        assert!(
            said.contains("warning: replay.json") && said.contains(reason),
            "{said}"
        );
    }
    fs::remove_file(&file).unwrap();
    let (chapter, said) = told(&place.at("run"));
    assert!(
        chapter.contains("replay.json is missing") && said.contains("is missing"),
        "{said}"
    );
    // A folder that never had it is no reason for a warning.
    run(
        &scenario("first.toml"),
        &place.at("bare"),
        &["--set", "output.history=false"],
    );
    let (chapter, said) = told(&place.at("bare"));
    assert!(
        chapter.contains("the folder holds no data for it") && said.is_empty(),
        "{said}"
    );
}

#[test]
fn a_base_that_holds_is_told_with_its_numbers() {
    let place = Place::new("held");
    run(&scenario("conditions/stub.toml"), &place.at("run"), &[]);
    let page = report(&[&place.at("run")], &place.at("a.html"));
    let s: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(place.0.join("run/summary.json")).unwrap())
            .unwrap();
    let number = |path: &[&str]| {
        path.iter()
            .fold(&s, |v, key| &v[*key])
            .as_f64()
            .unwrap_or_else(|| panic!("{path:?}"))
    };
    // What the run says of itself: no bolt is out, and the car is stopped or thrown back.
    assert_eq!(s["ending"], "held");
    assert!(s["times"]["release_s"].is_null());
    let bolts = s["joint"]["bolts"].as_array().unwrap();
    assert!(
        bolts
            .iter()
            .all(|b| b["fate"] == "held" && b["release_time_s"].is_null())
    );
    let lost = number(&["velocity_change", "at_contact_end_mps"]);
    assert!(lost >= number(&["impact", "speed_mps"]), "{lost}");
    let oiv = number(&["occupant", "flail", "oiv_longitudinal_mps"]).abs();
    let chapter = |from: &str, to: &str| {
        let from = page.find(&format!("id=\"{from}\"")).unwrap();
        page[from..page.find(&format!("id=\"{to}\"")).unwrap()].to_owned()
    };
    let happened = chapter("happened", "findings");
    for wanted in [
        "The base held".to_owned(),
        format!(
            "{lost:.2} m/s until vehicle and pole part ({:.1} ms)",
            1e3 * number(&["times", "contact_end_s"])
        ),
        format!(
            "{:.1} kN at {:.1} ms; crush {:.0} mm",
            1e-3 * number(&["contact", "peak_force_n"]),
            1e3 * number(&["contact", "peak_force_time_s"]),
            1e3 * number(&["contact", "peak_crush_m"])
        ),
        "0 of 3 bolts released".to_owned(),
        "The base did not let go: bolts 1, 2 and 3 are still clamped".to_owned(),
        "it held 118 kN and did not give way".to_owned(),
    ] {
        assert!(
            happened.contains(&wanted),
            "`{wanted}` is not in {happened}"
        );
    }
    let verdict = chapter("verdict", "happened");
    assert!(
        verdict.contains("<span class=\"mark fails\">the blow fails</span>"),
        "{verdict}"
    );
    assert!(
        verdict.contains(&format!("{oiv:.3} m/s (")) && verdict.contains("; limit 4.877 m/s"),
        "{oiv} {verdict}"
    );
    assert!(chapter("findings", "moving").contains("the base holds, fail"));
    let numbers = chapter("numbers", "books");
    for bolt in bolts {
        let tension = format!("{:.1} kN", 1e-3 * bolt["peak_tension_n"].as_f64().unwrap());
        assert!(numbers.contains(&tension), "{tension}");
    }
    assert_eq!(numbers.matches("<td>held</td>").count(), 3);
}
