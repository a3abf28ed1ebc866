//! The installation sheet on paper and on a terminal.

mod markup;

use giveway_report::{installation_page, installation_text};
use giveway_scenario::model::Scenario;
use giveway_site::sheet::InstallationSheet;
use giveway_site::sheet::words::Say;
use markup::well_formed;

/// Shipped scenarios with a slip base.
const FILES: [&str; 8] = [
    "first",
    "four_bolt_diamond",
    "four_bolt_square",
    "heavy_15m_long_arm",
    "light_9m_aluminium",
    "overtightened",
    "side_impact",
    "three_bolt_turned",
];

fn scenario(file: &str) -> Scenario {
    let path = format!("{}/../../scenarios/{file}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a shipped scenario");
    giveway_scenario::read(&text, file, &[])
        .expect("a good scenario")
        .scenario
}

fn sheet(scenario: &Scenario) -> InstallationSheet {
    InstallationSheet::new(scenario).expect("a sheet")
}

#[test]
fn pages_are_well_formed_and_hold_three_described_pictures() {
    for file in FILES {
        let html = installation_page(&sheet(&scenario(file))).expect("a page");
        let elements = well_formed(&html).unwrap_or_else(|e| panic!("{file}: {e}"));
        assert!(elements > 300, "{file}: {elements}");
        assert_eq!(html.matches("<svg ").count(), 3, "{file}");
        assert_eq!(html.matches("<desc ").count(), 3, "{file}");
        assert_eq!(html.matches("HOLD POINT").count(), 4, "{file}");
        assert!(html.contains("Caution."), "{file}");
        assert!(!html.contains("NaN") && !html.contains("inf "), "{file}");
    }
}

#[test]
fn a_title_cannot_become_markup() {
    let mut hostile = scenario("first");
    hostile.title = "</title><script>alert('x')</script> & \"more\"".into();
    hostile.site.name = "<img src=x>".into();
    hostile.base.bolt.size = "M27\"><b>".into();
    let html = installation_page(&sheet(&hostile)).expect("a page");
    well_formed(&html).expect("well-formed");
    assert!(!html.contains("<script") && !html.contains("<img") && !html.contains("<b>"));
    assert!(
        html.contains("&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;more&quot;")
    );
}

#[test]
fn page_and_text_say_the_same_numbers() {
    for file in FILES {
        let s = sheet(&scenario(file));
        let say = Say(s.system());
        let (html, text) = (
            installation_page(&s).expect("a page"),
            installation_text(&s),
        );
        let torque = s.tightening.stages.last().expect("a stage").torque_nm;
        for number in [
            format!("{torque:.0} N.m"),
            format!("{:.0} kg", s.lift.whole.mass_kg),
            say.long(s.sling.map_or(s.lift.hang.sling_m, |sling| sling.out_m)),
            say.ordered(s.bolts.length_m, s.bolt_series),
        ] {
            assert!(
                html.contains(&number),
                "{file}: {number} is not on the page"
            );
            assert!(
                text.contains(&number),
                "{file}: {number} is not in the text"
            );
        }
    }
}

#[test]
fn the_text_keeps_to_its_columns() {
    for file in FILES {
        let mut s = scenario(file);
        s.title = "endless".repeat(40);
        let text = installation_text(&sheet(&s));
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(96), "{file}: {widest:?}");
        assert!(text.ends_with("decide.\n"), "{file}");
    }
}

#[test]
fn every_limit_stands_in_the_text_with_its_source() {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for file in FILES {
        let s = sheet(&scenario(file));
        let text = flat(&installation_text(&s));
        assert!(s.limits.len() > 15, "{file}");
        for l in &s.limits {
            let said = format!("{} {}", l.what.to_lowercase(), l.limit);
            assert!(text.contains(&said), "{file}: {said}");
            assert!(text.contains(&format!("{}: ", l.source)), "{file}: {l:?}");
        }
    }
}

/// Every step has its why, what to do where it does not fit, and a line for each value that is read.
#[test]
fn the_page_has_reasons_and_empty_lines() {
    let s = sheet(&scenario("first"));
    let html = installation_page(&s).expect("a page");
    assert_eq!(html.matches("<em>Why:</em>").count(), s.steps.len());
    assert_eq!(html.matches("<em>If not:</em>").count(), s.steps.len());
    for blank in s.steps.iter().flat_map(|x| &x.blanks) {
        assert!(
            html.contains(&format!("<span>{blank} <span class=\"pen\"></span></span>")),
            "{blank}"
        );
    }
    assert!(!html.contains("00000") && html.contains("the trade&#39;s own rules"));
}

/// The line of the text that begins with a name.
fn line<'a>(text: &'a str, name: &str) -> &'a str {
    text.lines()
        .find(|l| l.trim_start().starts_with(name))
        .unwrap_or_else(|| panic!("{name} is not in\n{text}"))
}

/// Each number follows the value of the scenario that it comes from: by hand, or at least it is another one.
#[test]
fn printed_numbers_follow_the_scenario() {
    let with = |path: &str, value: &str| {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/first.toml");
        let text = std::fs::read_to_string(file).expect("a shipped scenario");
        let changes = [(path.to_owned(), value.to_owned())];
        let changes = if path.is_empty() { &[][..] } else { &changes };
        let read = giveway_scenario::read(&text, "first", changes);
        installation_text(&sheet(&read.expect("a good scenario").scenario))
    };
    let plain = with("", "");
    for (path, value, name, wanted) in [
        ("title", "Pole 9", "INSTALLATION", "SHEET: Pole 9"),
        (
            "slip_base.clamp.torque",
            "200 N.m",
            "stages",
            "100 N.m, then 200 N.m",
        ),
        ("slip_base.keeper.thickness", "1 mm", "keeper sheet", "1 mm"),
        (
            "slip_base.washers.round_thickness",
            "5 mm",
            "hardened round washers",
            "3 x 5 mm",
        ),
        (
            "slip_base.washers.plate_thickness",
            "10 mm",
            "plate washers",
            "6 x 10 mm",
        ),
        ("slip_base.bolt.length", "120 mm", "as supplied", "120 mm"),
        ("slip_base.bolt_circle", "400 mm", "Base", "on 400 mm"),
        ("slip_base.bolts", "4", "order of the bolts", "1, 3, 2, 4"),
        ("site.wind.speed", "44 m/s", "design wind 44 m/s", ""),
        ("support.pole.length", "11 m", "Pole", "11 m of"),
        ("support.pole.length", "11 m", "mass with all", ""),
        ("support.pole.length", "11 m", "load draws the tip", ""),
        ("support.pole.length", "11 m", "balance point", ""),
    ] {
        let changed = with(path, value);
        let now = line(&changed, name);
        assert!(now.contains(wanted), "{path} = {value}: {now}");
        let before = plain.lines().find(|l| l.trim_start().starts_with(name));
        assert_ne!(before, Some(now), "{path} = {value}: {name}");
    }
    // The tolerance is 10 % of the torque, wherever it stands.
    let changed = with("slip_base.clamp.torque", "200 N.m");
    let flat = changed.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("180 N.m and 220 N.m"), "{changed}");
    assert!(
        flat.contains("torque of the design 180 N.m to 220 N.m"),
        "{changed}"
    );
}
