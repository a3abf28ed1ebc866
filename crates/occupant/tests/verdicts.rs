//! Verdicts of the criteria sets on records whose numbers are known.

mod pulses;

use giveway_occupant::en12767::{ClassSpeed, EnergyClass, OccupantClass, TestSpeed};
use giveway_occupant::verdict::VERIFY;
use giveway_occupant::{
    Blow, CAUTION, Check, Estimate, Inputs, Mark, MotionRanges, OccupantRisk, Outcome, SetVerdict,
    assess, judge,
};
use giveway_scenario::model::{Criteria, CriteriaSet, LimitOverride, RangeUse};
use pulses::Record;

const KMPH: f64 = 1.0 / 3.6;

/// `change_mps` lost evenly in 50 ms, then coasting until 0.8 s.
fn lost(change_mps: f64) -> OccupantRisk {
    let mut record = Record::of(8000, |k| {
        [if k < 500 { -change_mps / 0.05 } else { 0.0 }, 0.0, 0.0]
    });
    record.attitude_rad = vec![[0.02, -0.05, 0.0]; 8000];
    let change = record.motion().velocity_change_by_mps(0.05);
    assess(&record.motion(), change).unwrap()
}

fn inputs(change_mps: f64) -> Inputs {
    Inputs {
        impact_speed_mps: Some(35.0 * KMPH),
        vehicle_mass_kg: Some(820.0),
        velocity_change_at_contact_end_mps: Some(change_mps),
        velocity_change_at_engagement_end_mps: Some(change_mps + 0.1),
        stub_height_m: Some(0.08),
        support_mass_kg: Some(250.0),
        support_height_m: Some(10.0),
        ..Inputs::default()
    }
}

fn verdict(set: CriteriaSet, risk: &OccupantRisk, inputs: &Inputs) -> SetVerdict {
    with_overrides(set, risk, inputs, Vec::new())
}

fn with_overrides(
    set: CriteriaSet,
    risk: &OccupantRisk,
    inputs: &Inputs,
    overrides: Vec<LimitOverride>,
) -> SetVerdict {
    let criteria = Criteria {
        sets: vec![set],
        overrides,
        ranges: RangeUse::Decide,
    };
    let mut verdicts = judge(risk, inputs, &criteria);
    assert_eq!(verdicts.len(), 1);
    verdicts.remove(0)
}

fn check<'a>(verdict: &'a SetVerdict, key: &str) -> &'a Check {
    verdict
        .checks
        .iter()
        .find(|c| c.key == key)
        .unwrap_or_else(|| panic!("{key}"))
}

#[test]
fn outcome_by_velocity_and_document() {
    use CriteriaSet::{Aashto1985, Aashto1994, Mash2016, Nchrp350};
    use Outcome::{Fail, Marginal, Pass};
    // limits: MASH 3.048 / 4.8768, 350 3.0 / 5.0, 1994 3.0 / 4.8768, 1985 3.048 / 4.572 m/s
    let table = [
        (2.99, [Pass, Pass, Pass, Pass]),
        (3.02, [Pass, Marginal, Marginal, Pass]),
        (3.10, [Marginal, Marginal, Marginal, Marginal]),
        (4.60, [Marginal, Marginal, Marginal, Fail]),
        (4.90, [Fail, Marginal, Fail, Fail]),
        (5.10, [Fail, Fail, Fail, Fail]),
    ];
    for (change, expected) in table {
        let risk = lost(change);
        for (set, expected) in [Mash2016, Nchrp350, Aashto1994, Aashto1985]
            .into_iter()
            .zip(expected)
        {
            let verdict = verdict(set, &risk, &inputs(change));
            assert_eq!(
                verdict.outcome, expected,
                "{set:?} at {change}: {}",
                verdict.sentence
            );
            assert_eq!(verdict.caution, CAUTION);
        }
    }
}

#[test]
fn a_check_carries_value_limit_source_mark_and_margin() {
    let nchrp = verdict(CriteriaSet::Nchrp350, &lost(4.0), &inputs(4.0));
    let oiv = check(&nchrp, "oiv_longitudinal_mps");
    assert!((oiv.value.unwrap() - 4.0).abs() < 1e-9);
    assert_eq!((oiv.limit_preferred, oiv.limit_max), (Some(3.0), Some(5.0)));
    assert!((oiv.margin_fraction.unwrap() - 0.2).abs() < 1e-9);
    assert_eq!((oiv.mark, oiv.outcome), (Mark::Seen, Outcome::Marginal));
    assert!(oiv.source.contains("NCHRP Report 350 (1993)"));
    assert_eq!(oiv.advice, None);
    // the occupant meets the front while the car coasts
    let ridedown = check(&nchrp, "ridedown_longitudinal_g");
    assert_eq!(ridedown.value.map(f64::abs), Some(0.0));
    assert_eq!(ridedown.advice.as_deref(), Some(VERIFY));
    // the marginal velocity decides, and its limits were read: no advice for the set
    assert!(
        !nchrp.notes.iter().any(|n| n.contains(VERIFY)),
        "{:?}",
        nchrp.notes
    );
    let mash = verdict(CriteriaSet::Mash2016, &lost(4.0), &inputs(4.0));
    assert!(
        mash.notes
            .iter()
            .any(|n| n.contains(VERIFY) && n.contains("longitudinal occupant impact velocity"))
    );
}

#[test]
fn what_is_not_computed_is_not_passed() {
    let mash = verdict(CriteriaSet::Mash2016, &lost(2.0), &inputs(2.0));
    for key in ["roof_crush_m", "windscreen_crush_m"] {
        let check = check(&mash, key);
        assert_eq!(
            (check.outcome, check.margin_fraction),
            (Outcome::NotEvaluated, None)
        );
        assert!(check.remark.as_deref().unwrap().contains("not computed"));
        assert!(mash.sentence.contains(&check.name()), "{}", mash.sentence);
    }
    assert!((check(&mash, "pitch_rad").value.unwrap() - 0.05).abs() < 1e-15);
    let open = verdict(CriteriaSet::Aashto1994, &lost(2.0), &Inputs::default());
    assert_eq!(open.outcome, Outcome::NotEvaluated);
    let nan = Inputs {
        velocity_change_at_contact_end_mps: Some(f64::NAN),
        ..inputs(2.0)
    };
    let broken = verdict(CriteriaSet::Aashto1994, &lost(2.0), &nan);
    assert_eq!(broken.outcome, Outcome::NotEvaluated);
    assert_eq!(check(&broken, "velocity_change_mps").value, None);
}

#[test]
fn no_contact_is_said_and_the_velocity_change_stands_in() {
    let nchrp = verdict(CriteriaSet::Nchrp350, &lost(0.59), &inputs(0.59));
    let oiv = check(&nchrp, "oiv_longitudinal_mps");
    assert!((oiv.value.unwrap() - 0.59).abs() < 1e-9);
    assert!(oiv.remark.as_deref().unwrap().starts_with("no contact"));
    let ridedown = check(&nchrp, "ridedown_longitudinal_g");
    assert_eq!(ridedown.outcome, Outcome::NotEvaluated);
    assert_eq!(ridedown.remark.as_deref(), Some("no contact"));
    assert_eq!(nchrp.outcome, Outcome::Pass);
}

#[test]
fn velocity_change_takes_the_end_of_contact_then_of_the_engagement() {
    let mut given = inputs(2.0);
    let value = |given: &Inputs| {
        let verdict = verdict(CriteriaSet::Aashto1994, &lost(2.0), given);
        check(&verdict, "velocity_change_mps").value
    };
    assert_eq!(value(&given), Some(2.0));
    given.velocity_change_at_contact_end_mps = None;
    assert_eq!(value(&given), Some(2.1));
    given.velocity_change_at_engagement_end_mps = None;
    assert_eq!(value(&given), None);
    given.velocity_change_at_release_mps = Some(1.5);
    assert_eq!(value(&given), Some(1.5));
}

#[test]
fn an_override_replaces_the_maximum_and_is_named() {
    let change = |key: &str, value: f64| LimitOverride {
        key: key.to_owned(),
        value,
        source: "regional supplement".to_owned(),
    };
    let strict = with_overrides(
        CriteriaSet::Mash2016,
        &lost(4.0),
        &inputs(4.0),
        vec![
            change("oiv_longitudinal_mps", 2.5),
            change("ridedown_g", 12.0),
            change("speling", 1.0),
        ],
    );
    let oiv = check(&strict, "oiv_longitudinal_mps");
    assert_eq!((oiv.limit_preferred, oiv.limit_max), (None, Some(2.5)));
    assert_eq!((oiv.mark, oiv.outcome), (Mark::Scenario, Outcome::Fail));
    assert!(
        oiv.source.starts_with("regional supplement"),
        "{}",
        oiv.source
    );
    assert_eq!(oiv.advice, None);
    for key in ["ridedown_longitudinal_g", "ridedown_lateral_g"] {
        assert_eq!(check(&strict, key).limit_max, Some(12.0));
    }
    assert!(strict.notes.iter().any(|n| n.contains("`speling`")));
    let broken = with_overrides(
        CriteriaSet::Aashto1994,
        &lost(4.0),
        &inputs(4.0),
        vec![change("velocity_change_mps", f64::NAN)],
    );
    assert_eq!(broken.outcome, Outcome::NotEvaluated);
}

#[test]
fn conditions_that_differ_from_the_document_are_noted() {
    let same = verdict(CriteriaSet::Nchrp350, &lost(2.0), &inputs(2.0));
    assert!(
        !same.notes.iter().any(|n| n.contains("nearest test")),
        "{:?}",
        same.notes
    );
    let other = Inputs {
        vehicle_mass_kg: Some(1500.0),
        ..inputs(2.0)
    };
    let other = verdict(CriteriaSet::Nchrp350, &lost(2.0), &other);
    assert!(
        other.notes[0].contains("3-60 with 820 kg at 35 km/h"),
        "{:?}",
        other.notes
    );
}

#[test]
fn european_classes() {
    let class_run = Inputs {
        impact_speed_mps: Some(70.0 * KMPH),
        class_speed: Some(ClassSpeed::Kmph70),
        exit_speed_mps: Some(62.0 * KMPH),
        ..inputs(2.0)
    };
    let passed = verdict(CriteriaSet::En12767, &lost(2.0), &class_run);
    let classes = passed.en12767.as_ref().unwrap();
    assert_eq!(classes.test, Some(TestSpeed::Class));
    assert_eq!(classes.energy, Some(EnergyClass::None));
    // 2 m/s is 7.2 km/h, the index 2 / 0.05 / g / 12 = 0.34
    assert_eq!(classes.occupant, Some(OccupantClass::B));
    assert_eq!(passed.outcome, Outcome::Pass);
    assert!(passed.notes.iter().any(|n| n.contains(VERIFY)));

    // no exit speed: open, with the reason
    let unknown = Inputs {
        exit_speed_mps: None,
        ..class_run.clone()
    };
    let open = verdict(CriteriaSet::En12767, &lost(2.0), &unknown);
    assert_eq!(open.outcome, Outcome::NotEvaluated);
    assert!(
        check(&open, "exit_speed_mps")
            .remark
            .as_deref()
            .unwrap()
            .contains("exit speed")
    );
    assert_eq!(
        open.en12767.as_ref().unwrap().occupant,
        Some(OccupantClass::B)
    );

    // 7.7 m/s is 27.7 km/h: class D by THIV at class speed, but the index is beyond 1.2
    let hard = verdict(CriteriaSet::En12767, &lost(7.7), &class_run);
    let index = check(&hard, "asi").value.unwrap();
    assert!(index > 1.2 && index <= 1.4, "{index}");
    assert_eq!(
        hard.en12767.as_ref().unwrap().occupant,
        Some(OccupantClass::E)
    );
    // the same in the 35 km/h test, where class E ends at 27 km/h: no class
    let low = Inputs {
        impact_speed_mps: Some(35.0 * KMPH),
        ..class_run
    };
    let low = verdict(CriteriaSet::En12767, &lost(7.7), &low);
    assert_eq!(low.en12767.as_ref().unwrap().occupant, None);
    assert_eq!(low.outcome, Outcome::Fail);
    assert!(!check(&low, "exit_speed_mps").essential);
}

#[test]
fn verdicts_and_numbers_serialise_and_have_a_schema() {
    let risk = lost(4.0);
    let criteria = Criteria {
        sets: vec![CriteriaSet::Mash2016, CriteriaSet::En12767],
        overrides: Vec::new(),
        ranges: RangeUse::Decide,
    };
    let verdicts = judge(&risk, &inputs(4.0), &criteria);
    let text = serde_json::to_string(&(&risk, &verdicts)).unwrap();
    for word in [
        "\"mash-2016\"",
        "\"not-evaluated\"",
        "\"oiv_longitudinal_mps\"",
        "\"margin_fraction\"",
    ] {
        assert!(text.contains(word), "{word}");
    }
    let schema = serde_json::to_value(schemars::schema_for!(Vec<SetVerdict>)).unwrap();
    assert!(schema.to_string().contains("margin_fraction"));
    let schema = serde_json::to_value(schemars::schema_for!(OccupantRisk)).unwrap();
    assert!(schema.to_string().contains("oiv_longitudinal_mps"));
}

/// Every row of the table of limits is measured: no key falls through.
#[test]
fn every_limit_has_its_quantity() {
    let all = Criteria {
        sets: vec![
            CriteriaSet::Mash2016,
            CriteriaSet::Nchrp350,
            CriteriaSet::Aashto1994,
            CriteriaSet::Aashto1985,
        ],
        overrides: Vec::new(),
        ranges: RangeUse::Decide,
    };
    for verdict in judge(&lost(4.0), &inputs(4.0), &all) {
        for check in verdict.checks {
            assert!(
                check.remark.as_deref() != Some("no quantity of that name is computed"),
                "{}",
                check.key
            );
        }
    }
}

#[test]
fn an_estimate_whose_range_holds_the_limit_decides_nothing() {
    let dented = |low: f64, value: f64, high: f64| {
        let inputs = Inputs {
            roof_crush_m: Some(Estimate { value, low, high }),
            windscreen_crush_m: Some(Estimate {
                value: 0.0,
                low: 0.0,
                high: 0.0,
            }),
            ..inputs(2.0)
        };
        verdict(CriteriaSet::Mash2016, &lost(2.0), &inputs)
    };
    // limit 0.102 m
    let table = [
        ([0.050, 0.071, 0.100], Outcome::Pass),
        ([0.060, 0.085, 0.120], Outcome::Marginal),
        ([0.085, 0.120, 0.170], Outcome::Marginal),
        ([0.103, 0.146, 0.206], Outcome::Fail),
    ];
    for ([low, value, high], wanted) in table {
        let mash = dented(low, value, high);
        let roof = check(&mash, "roof_crush_m");
        assert_eq!((roof.outcome, mash.outcome), (wanted, wanted), "{value}");
        assert_eq!(roof.value_range, Some([low, high]));
        assert!((roof.margin_fraction.unwrap() - (1.0 - value / 0.102)).abs() < 1e-12);
        let undecided = wanted == Outcome::Marginal;
        assert_eq!(roof.undecided(), undecided);
        assert_eq!(
            roof.remark
                .as_deref()
                .is_some_and(|r| r.contains("cannot decide")),
            undecided
        );
        // The blow is told first and is not hidden; the dent is a remark.
        assert_eq!(mash.blow(), Blow::Pass);
        let said = match wanted {
            Outcome::Fail => "roof: fail, by a rough estimate",
            Outcome::Marginal => "roof: marginal, the limit lies in the range of a rough estimate",
            _ => "roof: pass",
        };
        let sentence = &mash.sentence;
        assert!(sentence.starts_with("The blow passes the "), "{sentence}");
        assert!(
            sentence.ends_with(&format!(" Remarks: {said}; windscreen: pass.")),
            "{sentence}"
        );
    }
}

#[test]
fn numbers_of_the_motion_are_judged_by_their_range() {
    let ranged = |change: f64, factor: f64| {
        let around = |x: f64| Some([x / factor, x * factor]);
        let inputs = Inputs {
            ranges: MotionRanges {
                velocity_change_mps: around(change),
                impact_velocity_mps: [around(change), None],
                ridedown_g: [around(1.0); 2],
            },
            by_ranges: true,
            ..inputs(change)
        };
        [CriteriaSet::Aashto1994, CriteriaSet::Nchrp350]
            .map(|set| verdict(set, &lost(change), &inputs))
    };
    // Limits 4.88 and 5 m/s, both with a preferred one of about 3 m/s.
    let table = [
        (2.0, 1.5, [Outcome::Pass; 2], false),
        (4.0, 1.1, [Outcome::Marginal; 2], false),
        (4.0, 1.5, [Outcome::Marginal; 2], true),
        (6.0, 1.5, [Outcome::Marginal; 2], true),
        (9.0, 1.5, [Outcome::Fail; 2], false),
    ];
    for (change, factor, wanted, open) in table {
        let [aashto, nchrp] = ranged(change, factor);
        let v = check(&aashto, "velocity_change_mps");
        let oiv = check(&nchrp, "oiv_longitudinal_mps");
        assert_eq!([v.outcome, oiv.outcome], wanted, "{change} {factor}");
        assert_eq!([v.undecided(), oiv.undecided()], [open; 2], "{change}");
        assert!(!v.point_estimate && !oiv.point_estimate);
        assert_eq!(v.value_range, Some([change / factor, change * factor]));
        assert_eq!(aashto.outcome, wanted[0]);
        let remark = v.remark.as_deref().unwrap();
        assert!(remark.starts_with("when vehicle and support had parted"));
        assert_eq!(remark.contains("the run cannot decide"), open, "{remark}");
        assert!(
            !aashto.sentence.contains("point estimates"),
            "{}",
            aashto.sentence
        );
    }
    // Without contact of the occupant there is no ridedown to put a range on.
    let nchrp = &ranged(0.1, 1.5)[1];
    assert_eq!(check(nchrp, "ridedown_longitudinal_g").value_range, None);
    // A check without a range is a point still.
    assert!(check(nchrp, "oiv_lateral_mps").point_estimate);
    // What is no number is no range.
    for by_ranges in [false, true] {
        let broken = Inputs {
            ranges: MotionRanges {
                velocity_change_mps: Some([1.0, f64::NAN]),
                ..MotionRanges::default()
            },
            by_ranges,
            ..inputs(2.0)
        };
        let verdict = verdict(CriteriaSet::Aashto1994, &lost(2.0), &broken);
        let v = check(&verdict, "velocity_change_mps");
        assert_eq!((v.value_range, v.outcome), (None, Outcome::Pass));
    }
}

/// The value is judged where its range is told beside it, and the sentence says what the range leaves open.
#[test]
fn a_range_that_is_told_moves_no_verdict() {
    let told = |range: [f64; 2], change: f64| {
        let inputs = Inputs {
            ranges: MotionRanges {
                velocity_change_mps: Some(range),
                ..MotionRanges::default()
            },
            ..inputs(change)
        };
        let verdict = verdict(CriteriaSet::Aashto1994, &lost(change), &inputs);
        let c = check(&verdict, "velocity_change_mps");
        assert_eq!((c.value_range, c.point_estimate), (Some(range), true));
        assert!(!c.undecided());
        (
            c.outcome,
            c.open(),
            verdict.sentence.contains("tests in print leave"),
        )
    };
    // Maximum 4.88 m/s, preferred about 3 m/s.
    assert_eq!(told([1.0, 4.0], 2.0), (Outcome::Pass, false, false));
    assert_eq!(told([1.0, 8.0], 2.0), (Outcome::Pass, true, true));
    assert_eq!(told([1.0, 8.0], 4.0), (Outcome::Marginal, true, true));
    assert_eq!(told([1.0, 8.0], 6.0), (Outcome::Fail, true, true));
    assert_eq!(told([5.0, 8.0], 6.0), (Outcome::Fail, false, false));
}

#[test]
fn sentences_name_checks_by_their_titles() {
    let sentences: Vec<String> = [
        CriteriaSet::Mash2016,
        CriteriaSet::Nchrp350,
        CriteriaSet::Aashto1994,
        CriteriaSet::Aashto1985,
        CriteriaSet::En12767,
    ]
    .into_iter()
    .flat_map(|set| [2.0, 4.0, 9.0].map(|v| verdict(set, &lost(v), &inputs(v)).sentence))
    .collect();
    for sentence in &sentences {
        assert!(!sentence.contains('_'), "{sentence}");
    }
    let mash = verdict(CriteriaSet::Mash2016, &lost(9.0), &inputs(9.0));
    assert!(
        mash.sentence
            .starts_with("The blow fails: longitudinal occupant impact velocity"),
        "{}",
        mash.sentence
    );
}
