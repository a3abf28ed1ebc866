//! A pole built and measured by every rule at its limit is accepted, in inches and in millimetres; each single breach is found;
//! sheet, inspection and torque limit say the same of the same base.

mod fixture;

use giveway_mechanics::clamp::washer_strip_load;
use giveway_site::requirements::Verdict;
use giveway_site::sheet::InstallationSheet;
use giveway_site::{Decision, Inspection, PoleType, Profile, Record, inspect};
use giveway_units::System;
use proptest::prelude::*;

/// At the limit, and one step of the instrument beyond it.
const SI: [(&str, &str, &str); 13] = [
    ("grout_gap", "13 mm", "12 mm"),
    ("grout_notch_gap", "13 mm", "12 mm"),
    ("stub_projection", "0 mm", "1 mm"),
    ("conduit_projection", "0 mm", "1 mm"),
    ("plate_height", "100 mm", "101 mm"),
    ("notch_offset", "2 mm", "3 mm"),
    ("pattern_turned", "5 deg", "6 deg"),
    ("plate_level", "0.6 deg", "0.8 deg"),
    ("pole_plumb", "17 mm/m", "20 mm/m"),
    ("keeper_thickness", "0.38 mm", "0.3 mm"),
    ("torque", "165 N.m", "166 N.m"),
    ("round_washer_thickness", "3 mm", "2 mm"),
    ("notch_angle", "90 deg", "60 deg"),
];
const US: [(&str, &str, &str); 13] = [
    ("grout_gap", "1/2 in", "7/16 in"),
    ("grout_notch_gap", "\u{bd} in", "7/16 in"),
    ("stub_projection", "0 in", "1/16 in"),
    ("conduit_projection", "0 in", "1/16 in"),
    ("plate_height", "4 in", "4-1/16 in"),
    ("notch_offset", "1/16 in", "1/8 in"),
    ("pattern_turned", "5 deg", "6 deg"),
    ("plate_level", "1/8 in per ft", "1/4 in per ft"),
    ("pole_plumb", "3/16 in per ft", "1/4 in per ft"),
    ("keeper_thickness", "28 ga", "30 ga"),
    ("torque", "122 ft-lb", "123 ft-lb"),
    ("round_washer_thickness", "1/8 in", "1/16 in"),
    ("notch_angle", "90 deg", "60 deg"),
];

fn inspected(pole_type: &PoleType, changes: &[(&str, &str)]) -> Inspection {
    let record = fixture::record("P", changes);
    inspect(&record, pole_type, &fixture::by_hand)
        .unwrap_or_else(|e| panic!("{e:#?}"))
        .0
}

#[test]
fn a_pole_at_every_limit_is_go_in_both_systems() {
    let pole_type = fixture::pole_type();
    for (table, limit) in [(SI, "at least 13 mm"), (US, "at least 1/2 in")] {
        let mut changes: Vec<(&str, &str)> = table.iter().map(|(key, at, _)| (*key, *at)).collect();
        changes.push(("anchor_nuts", ""));
        let i = inspected(&pole_type, &changes);
        let failing: Vec<&str> = i
            .items
            .iter()
            .filter(|x| x.verdict == Verdict::Fails)
            .map(|x| x.item.as_str())
            .collect();
        assert_eq!(
            (i.decision, failing),
            (Decision::Go, vec![]),
            "{:?}",
            i.reasons
        );
        let grout = i.items.iter().find(|x| x.item == "grout_gap").unwrap();
        assert_eq!(
            grout.limit, limit,
            "a limit is said as the value was written"
        );
        // Go says what nobody looked at.
        assert!(
            i.reasons
                .iter()
                .any(|r| r.contains("not looked at") && r.contains("anchor nuts tight")),
            "{:?}",
            i.reasons
        );
        assert!(i.not_looked_at.last().unwrap().contains("corrosion"));
    }
    let us: Vec<(&str, &str)> = US.iter().map(|(key, at, _)| (*key, *at)).collect();
    assert_eq!(inspected(&pole_type, &us).units, "us");
}

#[test]
fn each_single_breach_is_found() {
    let pole_type = fixture::pole_type();
    for table in [SI, US] {
        for (key, _, beyond) in table {
            let mut changes: Vec<(&str, &str)> = table.iter().map(|(k, at, _)| (*k, *at)).collect();
            changes.retain(|(k, _)| *k != key);
            changes.push((key, beyond));
            let i = inspected(&pole_type, &changes);
            let failing: Vec<&str> = i
                .items
                .iter()
                .filter(|x| x.verdict == Verdict::Fails)
                .map(|x| x.item.as_str())
                .collect();
            assert_eq!(failing, [key], "{beyond}");
        }
    }
}

/// An agency that allows 4-1/2 in and asks for 1 in of clearance: the same pole, other limits, and everything names them.
#[test]
fn a_profile_moves_limits_and_says_so() {
    let text = "name = \"Harrow Vale road works\"\nrevision = \"2026-03\"\nunits = \"us\"\n[limits]\nplate_height = \"4-1/2 in; 115 mm\"\n\
                grout_gap = \"1 in\"\n[[pole]]\nlength = \"35 ft\"\ntorque = \"100 lbf.ft\"\n";
    let profile = Profile::read(text, "p.toml").unwrap_or_else(|e| panic!("{e:#?}"));
    let pole_type = PoleType::read_with(fixture::TYPE, "lane.toml", &profile)
        .unwrap_or_else(|e| panic!("{e:#?}"));
    assert!((pole_type.design.base.torque_nm.unwrap() - 135.581_794_833_14).abs() < 1e-9);
    let i = inspected(
        &pole_type,
        &[
            ("plate_height", "4-1/2 in"),
            ("grout_gap", "3/4 in"),
            ("torque", "100 ft-lb"),
        ],
    );
    assert_eq!(i.decision, Decision::NoGo);
    let item = |key: &str| i.items.iter().find(|x| x.item == key).unwrap();
    assert_eq!(item("plate_height").verdict, Verdict::Close);
    assert_eq!(
        (item("grout_gap").verdict, item("grout_gap").limit.as_str()),
        (Verdict::Fails, "at least 1 in")
    );
    assert_eq!(
        item("grout_gap").source,
        "Harrow Vale road works, revision 2026-03"
    );
    assert!(
        item("grout_gap")
            .put_right
            .as_ref()
            .unwrap()
            .contains("stands 1 in clear")
    );
    assert_eq!(
        (i.units.as_str(), i.profile.as_str()),
        ("us", "Harrow Vale road works, revision 2026-03")
    );
    let sheet = InstallationSheet::new_with(&pole_type.design, &profile, System::Us).unwrap();
    let text: String = sheet.steps.iter().map(|s| s.text.as_str()).collect();
    assert!(
        text.contains("never more than 4-1/2 in") && text.contains("all to 100 lbf.ft"),
        "{text}"
    );
}

#[test]
fn a_faulty_profile_says_what_and_where() {
    for (text, code, line) in [
        ("", "R080", 1),
        ("name = \"A\"\n[limits]\ngrout_gab = \"13 mm\"\n", "R081", 3),
        ("name = \"A\"\n[limits]\ngrout_gap = 13\n", "R082", 3),
        (
            "name = \"A\"\n[limits]\ngrout_gap = \"-13 mm\"\n",
            "R082",
            3,
        ),
        ("name = \"A\"\n[limits]\ngrout_gap = \"13 N\"\n", "R082", 3),
        (
            "name = \"A\"\n[limits]\ntorque_tolerance = \"NaN\"\n",
            "R082",
            3,
        ),
        ("name = \"A\"\nunits = \"metric\"\n", "R082", 2),
        ("name = \"A\"\n[[pole]]\nlength = \"9 m\"\n", "R082", 2),
        ("name = \"A\nx", "R080", 1),
    ] {
        let problems = Profile::read(text, "p.toml").expect_err(text);
        assert_eq!(
            (problems[0].code, problems[0].line),
            (code, line),
            "{text}: {problems:#?}"
        );
    }
}

/// A scenario's own limit counts for run, inspection and sheet alike.
#[test]
fn a_limit_of_the_scenario_counts_everywhere() {
    let text = format!(
        "{}[criteria.limit.stub_height]\nvalue = \"115 mm\"\nsource = \"county rule\"\n",
        fixture::TYPE
    );
    let pole_type = PoleType::read(&text, "lane.toml").unwrap_or_else(|e| panic!("{e:#?}"));
    let i = inspected(&pole_type, &[("plate_height", "115 mm")]);
    let item = i.items.iter().find(|x| x.item == "plate_height").unwrap();
    assert_eq!(
        (item.verdict, item.limit.as_str(), item.source.as_str()),
        (Verdict::Close, "at most 115 mm", "county rule")
    );
    let sheet = InstallationSheet::new(&pole_type.design).unwrap();
    assert_eq!(sheet.design.stub_limit_m, 0.115);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// The sheet's remarks, the items of an inspection of the base exactly as designed, and the torque at which the washers
    /// bend (the window's limit: T = K d T_y) never contradict one another.
    #[test]
    fn sheet_inspection_and_torque_limit_agree(
        torque in 60.0_f64..320.0,
        washer in 3.0_f64..13.0,
        height in 60.0_f64..140.0,
        factor in 0.14_f64..0.30,
        size in prop::sample::select(vec!["M24", "M27", "M30", "7/8 in", "1 in"]),
        us in any::<bool>(),
    ) {
        let grade = if size.starts_with('M') { "8.8" } else { "A325" };
        let [height_text, washer_text] = if us {
            [format!("{:.4} in", (height / 25.4 * 16.0).round() / 16.0), format!("{:.3} in", washer / 25.4)]
        } else {
            [format!("{height:.0} mm"), format!("{washer:.2} mm")]
        };
        let text = fixture::TYPE.replace("torque = \"150 N.m\"", &format!("torque = \"{torque:.0} N.m\"\nnut_factor = {factor:.3}"))
            + &format!("[slip_base.bolt]\nsize = \"{size}\"\ngrade = \"{grade}\"\n[slip_base.washers]\nplate_thickness = \"{washer_text}\"\n[site]\nslip_plane_height = \"{height_text}\"\n");
        let Ok(pole_type) = PoleType::read(&text, "t.toml") else { return Ok(()) };
        let base = &pole_type.design.base;
        let record = format!(
            "pole = \"P\"\ndate = 2025-09-12\ntype = \"t\"\n[measured]\nplate_washer_thickness = \"{washer_text}\"\nplate_height = \"{height_text}\"\n"
        );
        let record = Record::read(&record, "r.toml").unwrap();
        let (i, _) = inspect(&record, &pole_type, &fixture::by_hand).unwrap();
        let fails = |key: &str| i.items.iter().find(|x| x.item == key).unwrap().verdict == Verdict::Fails;
        let system = if us { System::Us } else { System::Si };
        let sheet = InstallationSheet::new_with(&pole_type.design, &Profile::trade(), system).unwrap();
        let said = |words: &str| sheet.remarks.iter().any(|r| r.contains(words));
        prop_assert_eq!(said("bend into the notch"), fails("plate_washer_thickness"), "{}", text);
        prop_assert_eq!(said("more than the limit"), fails("plate_height"), "{}", text);
        let strip = washer_strip_load(
            base.plate_washer_m,
            base.plate_washer_diameter_m - base.bolt.diameter_m,
            base.notch_span_m,
            base.plate_washer_yield_pa,
        ).unwrap();
        let bends_at = base.nut_factor * base.bolt.diameter_m * strip;
        let ratio = base.torque_nm.unwrap() / bends_at;
        // The calliper reads hundredths of a millimetre.
        if (ratio - 1.0).abs() > 0.01 {
            prop_assert_eq!(ratio > 1.0, fails("plate_washer_thickness"), "{} {}", ratio, text);
        }
    }
}
