//! The installation sheet on paper and on a terminal.

mod markup;

use giveway_report::{installation_page, installation_text};
use giveway_scenario::model::Scenario;
use giveway_site::sheet::{InstallationSheet, words};
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
        assert_eq!(html.matches("HOLD POINT").count(), 3, "{file}");
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
        let (html, text) = (
            installation_page(&s).expect("a page"),
            installation_text(&s),
        );
        let torque = s.tightening.stages.last().expect("a stage").torque_nm;
        for number in [
            format!("{torque:.0} N.m"),
            format!("{:.0} kg", s.lift.whole.mass_kg),
            format!("{:.2} m", s.lift.hang.sling_m),
            words::ordered(s.bolts.length_m, s.bolt_series),
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
