//! Verdicts, order and decision with numbers made by hand (see the fixture: 2 m/s as designed, 5 m/s is the limit,
//! conditions add up).

mod fixture;

use fixture::{by_hand, pole_type, record};
use giveway_occupant::Blow;
use giveway_scenario::ConditionKind;
use giveway_scenario::model::Scenario;
use giveway_site::requirements::Verdict;
use giveway_site::{Decision, Inspection, TestNumbers, inspect};

fn inspected(changes: &[(&str, &str)]) -> Inspection {
    let (i, _) = inspect(&record("HV-1", changes), &pole_type(), &by_hand)
        .unwrap_or_else(|e| panic!("{e:#?}"));
    i
}

fn verdict(i: &Inspection, key: &str) -> Verdict {
    i.items
        .iter()
        .find(|item| item.item == key)
        .unwrap()
        .verdict
}

#[test]
fn limits_are_inclusive_and_close_is_inside() {
    for (key, value, wanted) in [
        ("grout_gap", "13 mm", Verdict::Close),
        ("grout_gap", "12.6 mm", Verdict::Close),
        ("grout_gap", "12.4 mm", Verdict::Fails),
        ("grout_gap", "15 mm", Verdict::Meets),
        ("grout_gap", "1/2 in", Verdict::Close),
        ("grout_gap", "7/16 in", Verdict::Fails),
        ("plate_height", "100 mm", Verdict::Close),
        ("plate_height", "94 mm", Verdict::Meets),
        ("plate_height", "100.4 mm", Verdict::Close),
        ("plate_height", "101 mm", Verdict::Fails),
        ("plate_height", "4 in", Verdict::Close),
        ("plate_height", "4-1/16 in", Verdict::Fails),
        ("torque", "165 N.m", Verdict::Meets),
        ("torque", "165.6 N.m", Verdict::Fails),
        ("torque", "150 N.m; 150 N.m; 120 N.m", Verdict::Fails),
        ("keeper_thickness", "0.38 mm", Verdict::Close),
        ("keeper_thickness", "1.2 mm", Verdict::Fails),
        ("keeper_thickness", "missing", Verdict::Fails),
        ("pattern_turned", "5 deg", Verdict::Close),
        ("pattern_turned", "-5.1 deg", Verdict::Fails),
        ("notch_offset", "-1 mm", Verdict::Meets),
        ("stub_projection", "0 mm", Verdict::Meets),
        ("stub_projection", "0 mm; 1 mm", Verdict::Fails),
        ("rust", "light", Verdict::Close),
        ("last_check", "2023-09-12", Verdict::Close),
        ("last_check", "2023-09-11", Verdict::Fails),
        ("last_check", "never", Verdict::Fails),
        ("zinc", "not measured", Verdict::NotMeasured),
    ] {
        assert_eq!(
            verdict(&inspected(&[(key, value)]), key),
            wanted,
            "{key} = {value}"
        );
    }
}

/// Loose anchor nuts or arm screws were "go": nothing in them concerns the impact.
#[test]
fn what_lets_a_pole_fall_without_a_vehicle_is_no_go() {
    for (key, found) in [("anchor_nuts", "loose"), ("arm_screws", "loose")] {
        let i = inspected(&[(key, found)]);
        assert_eq!(i.decision, Decision::NoGo, "{key}");
        assert!(i.reasons[0].contains(found), "{:?}", i.reasons);
    }
    assert_eq!(inspected(&[("arm_screws", "snug")]).decision, Decision::Go);
}

#[test]
fn a_sound_pole_goes() {
    let i = inspected(&[]);
    assert_eq!(i.decision, Decision::Go);
    assert!(i.reasons.is_empty() && i.not_measured.is_empty());
    assert_eq!(i.load_as_found(), Some(0.4));
    assert!(i.caution.contains("no substitute"));
}

#[test]
fn a_failing_test_is_no_go() {
    // 2 + 4 = 6 m/s beyond 5; at high speed 3.
    let i = inspected(&[("grout_gap", "-22 mm")]);
    assert_eq!(i.decision, Decision::NoGo);
    assert_eq!(i.load_as_found(), Some(1.2));
    assert!(i.reasons[0].contains("3-60 low speed"), "{:?}", i.reasons);
    assert!(
        i.reasons[0].contains("6.0 m/s as found, 2.0 m/s as designed"),
        "{:?}",
        i.reasons
    );
    assert!(i.reasons[1].starts_with("Essential requirement fails: grout clear of the bolt heads"));
    assert_eq!(i.reasons.len(), 2);
    // Strength, cover, the gap at the shank, and which bolts.
    let assumed: Vec<&str> = i.assumed.iter().map(|a| a.item.as_str()).collect();
    assert_eq!(
        assumed,
        [
            "grout_strength",
            "grout_cover",
            "grout_shank_gap",
            "grout_bolts"
        ]
    );
}

#[test]
fn an_essential_requirement_is_no_go_though_the_tests_pass() {
    let i = inspected(&[("plate_height", "140 mm")]);
    assert_eq!(i.decision, Decision::NoGo);
    assert_eq!(i.load_as_found(), Some(0.4));
    assert_eq!(i.reasons.len(), 1);
    // No effect on the impact, and still: it must be looked at and must be right.
    assert_eq!(
        inspected(&[("grout_notch_gap", "3 mm")]).decision,
        Decision::NoGo
    );
    assert_eq!(
        inspected(&[("grout_notch_gap", "")]).decision,
        Decision::CannotTell
    );
}

#[test]
fn important_and_minor_requirements_do_not_stop_a_base_that_passes() {
    let i = inspected(&[
        ("bolt_threads", "dry"),
        ("zinc", "gone"),
        ("last_check", "never"),
    ]);
    assert_eq!(i.decision, Decision::Go);
    assert_eq!(i.count(Verdict::Fails), 3);
    assert!(
        i.reasons[0].starts_with("To be put right all the same"),
        "{:?}",
        i.reasons
    );
    let order: Vec<&str> = i.order.iter().map(|s| s.item.as_str()).collect();
    assert_eq!(order, ["bolt_threads", "zinc", "last_check"]);
}

#[test]
fn what_was_not_measured_counts_where_its_worst_value_would_fail() {
    // Rust at its worst gives 4.5 m/s: passes. Grout at its worst 6 m/s: fails.
    assert_eq!(inspected(&[("rust", "")]).decision, Decision::Go);
    let i = inspected(&[("grout_gap", "not measured")]);
    assert_eq!(i.decision, Decision::CannotTell);
    assert_eq!(i.not_measured.len(), 1);
    assert!(i.not_measured[0].would_fail);
    assert_eq!(i.load_at_worst(), Some(1.2));
    assert!(
        i.not_measured[0].sentence.contains("6.0 m/s"),
        "{}",
        i.not_measured[0].sentence
    );
    // On top of what was found: rust unmeasured with washers missing is 2 + 1.5 + 2.5 = 6 m/s.
    let i = inspected(&[("rust", ""), ("round_washers", "missing")]);
    assert_eq!(i.decision, Decision::NoGo, "washers are essential");
    assert_eq!(i.load_at_worst(), Some(1.2));
}

#[test]
fn the_order_takes_the_largest_gain_first() {
    let i = inspected(&[
        ("torque", "300 N.m"),
        ("rust", "seized"),
        ("round_washers", "missing"),
        ("plate_height", "140 mm"),
        ("bolt_threads", "reused"),
        ("zinc", "gone"),
        ("grout_gap", "-10 mm"),
    ]);
    let order: Vec<&str> = i.order.iter().map(|s| s.item.as_str()).collect();
    assert_eq!(
        order,
        [
            "grout_gap",
            "rust",
            "round_washers",
            "torque",
            "bolt_threads",
            "plate_height",
            "zinc"
        ]
    );
    // 2 + 4 + 2.5 + 1.5 + 0.5 + 0.25 = 10.75 m/s, then step by step.
    let after: Vec<f64> = i
        .order
        .iter()
        .map(|s| s.after[0].velocity_change_mps.unwrap())
        .collect();
    assert_eq!(after, [6.75, 4.25, 2.75, 2.25, 2.0, 2.0, 2.0]);
    assert_eq!(i.tests[0].as_found.velocity_change_mps, Some(10.75));
    let kinds: Vec<ConditionKind> = i.conditions.iter().map(|c| c.kind).collect();
    assert_eq!(kinds[..2], [ConditionKind::Grout, ConditionKind::Rust]);
    assert_eq!(i.conditions[0].put_right[0].velocity_change_mps, Some(6.75));
    assert_eq!(i.conditions[0].alone[0].velocity_change_mps, Some(6.0));
}

/// A base whose plate stood 103 mm above the ground was told to get new bolts first, and of the plate "Changes nothing by
/// itself": the tests fail by the height of the stub, which is no part of the load. Expected: what makes the tests pass
/// comes first.
#[test]
fn what_makes_a_test_pass_comes_first_also_where_it_gains_no_speed() {
    let tall = |s: &Scenario| {
        let fails = s.as_found.present().contains(&ConditionKind::PlateHeight);
        TestNumbers {
            blow: if fails { Blow::Fail } else { Blow::Pass },
            ..by_hand(s)
        }
    };
    let r = record(
        "HV-1",
        &[("keeper_thickness", "1 mm"), ("plate_height", "103 mm")],
    );
    let (i, _) = inspect(&r, &pole_type(), &tall).unwrap();
    let order: Vec<&str> = i.order.iter().map(|s| s.item.as_str()).collect();
    assert_eq!(order[0], "plate_height", "{order:?}");
    let first = &i.order[0].sentence;
    assert!(
        first.starts_with("Then: ") && !first.contains("fails"),
        "{first}"
    );
}

#[test]
fn where_nothing_gains_alone_the_heavier_requirement_comes_first() {
    // Either of the two holds the base: only both together let it go.
    let held = |s: &Scenario| {
        let n = s.as_found.present().len();
        let change = if n == 0 { 2.0 } else { 9.0 };
        TestNumbers {
            velocity_change_mps: Some(change),
            load: Some(change / 5.0),
            // As the load says: a failing test counts in the order, too.
            blow: if n == 0 { Blow::Pass } else { Blow::Fail },
            ..by_hand(s)
        }
    };
    let r = record(
        "HV-1",
        &[("bolt_threads", "reused"), ("grout_gap", "-10 mm")],
    );
    let (i, _) = inspect(&r, &pole_type(), &held).unwrap();
    let order: Vec<&str> = i.order.iter().map(|s| s.item.as_str()).collect();
    assert_eq!(order, ["grout_gap", "bolt_threads"]);
    assert!(
        i.order[0].sentence.starts_with("Changes nothing by itself"),
        "{}",
        i.order[0].sentence
    );
    assert!(i.order[1].sentence.contains("2.0 m/s"));
}

#[test]
fn a_run_that_cannot_be_computed_is_told() {
    let broken = |s: &Scenario| {
        if s.as_found.present().is_empty() {
            by_hand(s)
        } else {
            TestNumbers::failed("the base cannot carry the pole".into())
        }
    };
    let r = record("HV-1", &[("notch_offset", "1 mm")]);
    let (i, _) = inspect(&r, &pole_type(), &broken).unwrap();
    assert_eq!(i.decision, Decision::CannotTell);
    assert!(i.reasons[0].contains("cannot carry"), "{:?}", i.reasons);
    assert_eq!(i.load_as_found(), None);
}

#[test]
fn a_base_that_no_longer_stands_in_the_wind_is_no_go() {
    let loose = |s: &Scenario| TestNumbers {
        stands_in_wind: Some(s.as_found.torques_nm.is_empty()),
        ..by_hand(s)
    };
    // Within the tolerance, so that no requirement fails.
    let r = record("HV-1", &[("torque", "140 N.m")]);
    let (i, _) = inspect(&r, &pole_type(), &loose).unwrap();
    assert_eq!(i.decision, Decision::NoGo);
    assert!(i.reasons[0].contains("does not stand"), "{:?}", i.reasons);
}

/// Grout packed into a notch holds the shank though every head stands clear: the measured gap reaches the solver.
#[test]
fn grout_in_a_notch_counts_where_the_heads_stand_clear() {
    let seen = |changes: &[(&str, &str)]| {
        let seen = std::sync::Mutex::new(Vec::new());
        let solver = |s: &Scenario| {
            seen.lock().unwrap().push(s.as_found.grout.clone());
            by_hand(s)
        };
        inspect(&record("HV-1", changes), &pole_type(), &solver).unwrap();
        let states = seen.into_inner().unwrap();
        let grout = states.into_iter().flatten().next();
        grout.map(|g| (g.gap_m, g.notch_gap_m))
    };
    assert_eq!(seen(&[]), None);
    let packed = [("grout_gap", "25 mm"), ("grout_shank_gap", "0 mm")];
    assert_eq!(seen(&packed), Some((0.025, Some(0.0))));
    let both = [("grout_gap", "-5 mm"), ("grout_shank_gap", "4 mm")];
    assert_eq!(seen(&both), Some((-0.005, Some(0.004))));
    assert_eq!(seen(&[("grout_gap", "-5 mm")]), Some((-0.005, None)));
}

#[test]
fn several_bars_keep_their_details_apart() {
    let r = record(
        "HV-1",
        &[
            ("stub_projection", "0 mm; 40 mm; 25 mm"),
            ("stub_azimuth", "90 deg; 0 deg; -120 deg"),
            ("stub_gap", "5 mm"),
        ],
    );
    let seen = std::sync::Mutex::new(Vec::new());
    let solver = |s: &Scenario| {
        seen.lock().unwrap().push(s.as_found.clone());
        by_hand(s)
    };
    inspect(&r, &pole_type(), &solver).unwrap();
    let states = seen.into_inner().unwrap();
    let stubs = &states.iter().find(|s| !s.stubs.is_empty()).unwrap().stubs;
    assert_eq!(stubs.len(), 2);
    assert_eq!((stubs[0].projection_m, stubs[0].azimuth_rad), (0.040, 0.0));
    assert_eq!(stubs[1].projection_m, 0.025);
    assert!((stubs[1].azimuth_rad.to_degrees() + 120.0).abs() < 1e-9);
    assert_eq!((stubs[0].gap_m, stubs[1].gap_m), (0.005, 0.005));
}
