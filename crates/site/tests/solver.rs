//! The inspection with the program's own solver: the shipped records of the invented town.

mod fixture;

use giveway_occupant::Blow;
use giveway_site::{Decision, Inspection, PoleType, Record, inspect, solve};
use giveway_study::{Supports, compute};

const RING: &str = include_str!("../../../scenarios/site/types/ring_road_12m.toml");
const LANE: &str = include_str!("../../../scenarios/site/types/lane_9m.toml");

fn shipped(pole: &str) -> Record {
    let path = format!(
        "{}/../../scenarios/site/records/{pole}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    Record::read(&text, &path).unwrap_or_else(|e| panic!("{e:#?}"))
}

fn inspected(record: &Record, pole_type: &PoleType) -> Inspection {
    let supports = Supports::new();
    let (i, warnings) =
        inspect(record, pole_type, &|s| solve(s, &supports)).unwrap_or_else(|e| panic!("{e:#?}"));
    assert!(warnings.is_empty(), "{warnings:#?}");
    i
}

/// What the inspection computes is what `run` computes of the same scenario, to the last bit.
#[test]
fn the_numbers_are_those_of_a_run() {
    let pole_type = PoleType::read(RING, "ring.toml").unwrap();
    let i = inspected(&shipped("HV-0102"), &pole_type);
    let set = |path: &str, value: &str| (path.to_owned(), value.to_owned());
    let found = [
        set("as_found.grout.gap", "\"-22 mm\""),
        set("as_found.grout.cover", "\"90 mm\""),
    ];
    let tests = [("30 km/h", "centre"), ("100 km/h", "quarter-left")];
    for (test, (speed, offset)) in i.tests.iter().zip(tests) {
        for (found, numbers) in [(&found[..], &test.as_found), (&[], &test.as_designed)] {
            let mut sets = vec![
                set("impact.speed", &format!("\"{speed}\"")),
                set("impact.offset", &format!("\"{offset}\"")),
            ];
            sets.extend_from_slice(found);
            let scenario = giveway_scenario::read(RING, "ring.toml", &sets)
                .unwrap()
                .scenario;
            let summary = compute(&scenario, 0).unwrap().summary;
            let change = summary
                .velocity_change
                .at_contact_end_mps
                .unwrap_or(summary.velocity_change.at_engagement_end_mps);
            assert_eq!(
                numbers.velocity_change_mps,
                Some(change),
                "{speed} {found:?}"
            );
            let check = summary.verdicts[0]
                .checks
                .iter()
                .find(|c| c.key == "oiv_longitudinal_mps");
            let oiv = check.unwrap().value.unwrap();
            assert_eq!(numbers.occupant_impact_velocity_mps, Some(oiv));
            assert!(numbers.load.unwrap() >= oiv.abs() / check.unwrap().limit_max.unwrap() - 1e-12);
        }
    }
}

/// Each shipped record tells what its remark says.
#[test]
fn the_shipped_records() {
    let ring = PoleType::read(RING, "ring.toml").unwrap();
    let lane = PoleType::read(LANE, "lane.toml").unwrap();
    for (pole, decision) in [
        ("HV-0101", Decision::Go),
        ("HV-0102", Decision::NoGo),
        ("HV-0103", Decision::NoGo),
        ("HV-0104", Decision::NoGo),
        ("HV-0105", Decision::NoGo),
        ("HV-0106", Decision::NoGo),
        ("HV-0107", Decision::CannotTell),
        ("HV-0201", Decision::Go),
        ("HV-0202", Decision::NoGo),
        ("HV-0203", Decision::NoGo),
        ("HV-0204", Decision::Go),
        ("HV-0205", Decision::NoGo),
    ] {
        let record = shipped(pole);
        let pole_type = if record.type_path.contains("ring") {
            &ring
        } else {
            &lane
        };
        let i = inspected(&record, pole_type);
        assert_eq!(i.decision, decision, "{pole}: {:?}", i.reasons);
        assert!(
            i.tests.iter().all(|t| t.as_designed.blow != Blow::Fail),
            "{pole}"
        );
        // Everything put right is the design again, where every finding was put right.
        let all = i.order.len() >= i.conditions.len();
        if let (true, Some(last)) = (all && !i.conditions.is_empty(), i.order.last()) {
            let designed: Vec<_> = i.tests.iter().map(|t| &t.as_designed).collect();
            assert_eq!(last.after.iter().collect::<Vec<_>>(), designed, "{pole}");
        }
    }
}

/// Every document has its two tests, and grout at the heads is worse than none in each.
#[test]
fn every_document_judges() {
    for set in [
        "mash-2016",
        "nchrp-350",
        "aashto-1994",
        "aashto-1985",
        "en-12767",
    ] {
        let text = fixture::TYPE.replace("mash-2016", set);
        let pole_type = PoleType::read(&text, "t.toml").unwrap_or_else(|e| panic!("{e:#?}"));
        let sound = inspected(&fixture::record("HV-1", &[]), &pole_type);
        let grout = inspected(
            &fixture::record("HV-1", &[("grout_gap", "-20 mm")]),
            &pole_type,
        );
        let load = |i: &Inspection| {
            i.load_as_found()
                .unwrap_or_else(|| panic!("{set}: no load"))
        };
        assert!(
            load(&grout) > load(&sound),
            "{set}: {} {}",
            load(&grout),
            load(&sound)
        );
        for test in &sound.tests {
            assert_eq!(test.as_found, test.as_designed);
            assert!(test.as_found.error.is_none(), "{set}");
        }
    }
}
