//! The table of requirements is complete and fits the scenario's grammar.

mod fixture;

use giveway_scenario::ConditionKind;
use giveway_scenario::grammar::{Fallback, rows};
use giveway_scenario::model::AsFound;
use giveway_site::requirements::{Item, Measure, Origin, REQUIREMENTS, Rule, Verdict, items};
use giveway_site::{PoleType, Record};

fn paths(item: &Item) -> Vec<&'static str> {
    item.path
        .into_iter()
        .chain(item.words.iter().filter_map(|w| w.sets))
        .collect()
}

#[test]
fn keys_are_unique_and_plain() {
    let keys: Vec<&str> = items().map(|f| f.item().key).collect();
    for (i, key) in keys.iter().enumerate() {
        assert!(!keys[..i].contains(key), "{key} twice");
        assert!(
            key.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'),
            "{key}"
        );
    }
    assert!(keys.len() >= REQUIREMENTS.len());
}

/// A key that is written wrong would be passed over.
#[test]
fn the_table_has_no_key_that_is_not_read() {
    let table: toml::Table = toml::from_str(include_str!("../requirements.toml")).unwrap();
    let item = [
        "key", "measured", "tool", "measure", "path", "several", "words",
    ];
    let detail = ["alone", "assumed"];
    let row = [
        "title",
        "rule",
        "close",
        "designed",
        "source",
        "origin",
        "weight",
        "put_right",
        "condition",
        "worst",
        "detail",
    ];
    assert_eq!(table.keys().collect::<Vec<_>>(), ["requirement"]);
    for requirement in table["requirement"].as_array().unwrap() {
        for key in requirement.as_table().unwrap().keys() {
            assert!(
                item.contains(&key.as_str()) || row.contains(&key.as_str()),
                "{key}"
            );
        }
        let details = requirement.get("detail").and_then(toml::Value::as_array);
        for one in details.into_iter().flatten() {
            for key in one.as_table().unwrap().keys() {
                assert!(
                    item.contains(&key.as_str()) || detail.contains(&key.as_str()),
                    "{key}"
                );
            }
        }
    }
}

#[test]
fn every_path_is_one_of_the_grammar_and_belongs_to_the_condition() {
    for row in REQUIREMENTS.iter() {
        let all = std::iter::once(&row.item).chain(row.details.iter().map(|d| &d.item));
        for item in all {
            for path in paths(item) {
                let known = rows().find(|r| r.path == path);
                assert!(known.is_some(), "{}: {path}", item.key);
                let kind = row.condition.unwrap_or_else(|| panic!("{}", item.key));
                let own = kind.paths().iter().any(|p| {
                    path == *p
                        || path.starts_with(&format!("{p}."))
                        || path.starts_with(&format!("{p}["))
                });
                assert!(own, "{path} does not belong to {kind:?}");
            }
        }
    }
}

#[test]
fn every_condition_has_exactly_one_requirement() {
    for kind in ConditionKind::ALL {
        let count = REQUIREMENTS
            .iter()
            .filter(|r| r.condition == Some(kind))
            .count();
        assert_eq!(count, 1, "{kind:?}");
    }
}

/// Every key of [as_found] can be reached by measuring something.
#[test]
fn every_key_of_the_findings_is_measured() {
    let reached: Vec<&str> = items().flat_map(|f| paths(f.item())).collect();
    for row in rows().filter(|r| r.path.starts_with("as_found.")) {
        assert!(reached.contains(&row.path), "{} has no item", row.path);
    }
}

#[test]
fn every_row_says_what_a_person_needs() {
    for row in REQUIREMENTS.iter() {
        let key = row.item.key;
        assert!(
            !row.title.is_empty() && !row.item.measured.is_empty(),
            "{key}"
        );
        assert!(row.put_right.ends_with('.'), "{key}");
        assert!(!row.source.is_empty(), "{key}");
        if row.origin == Origin::CommonPractice {
            assert!(row.source.contains("common practice, no source"), "{key}");
        }
        // A word says that it is as it should be, so that an inspector can write it.
        let by_word = matches!(row.rule, Rule::ByWord);
        if by_word {
            assert!(
                row.item.words.iter().any(|w| w.verdict == Verdict::Meets),
                "{key}"
            );
        } else {
            assert!(row.item.measure != Measure::None, "{key}");
        }
        assert_eq!(
            row.worst.is_some(),
            row.condition.is_some(),
            "{key}: worst plausible value"
        );
        if let Some(worst) = &row.worst {
            assert!(!worst.reason.is_empty(), "{key}");
        }
        for detail in &row.details {
            let given = detail.assumed.is_some();
            let default = rows()
                .find(|r| Some(r.path) == detail.item.path)
                .map(|r| r.fallback);
            let covered = !matches!(default, Some(Fallback::Required) | None);
            assert!(given || covered, "{}: nothing stands in", detail.item.key);
        }
    }
}

/// The worst plausible value of each requirement is one that the scenario takes, makes exactly its own condition, and
/// that the requirement itself fails.
#[test]
fn worst_plausible_values_make_their_condition_and_fail() {
    let pole_type = fixture::pole_type();
    for row in REQUIREMENTS.iter() {
        let Some(worst) = &row.worst else { continue };
        let value = worst.value.of(&pole_type.design);
        let record = fixture::record("HV-1", &[(row.item.key, value.as_str())]);
        let seen = std::sync::Mutex::new(Vec::new());
        let solver = |s: &giveway_scenario::model::Scenario| {
            seen.lock().unwrap().push(s.as_found.clone());
            fixture::by_hand(s)
        };
        let (inspection, warnings) = giveway_site::inspect(&record, &pole_type, &solver)
            .unwrap_or_else(|e| panic!("{e:#?}"));
        assert!(warnings.is_empty(), "{warnings:#?}");
        let item = inspection
            .items
            .iter()
            .find(|i| i.item == row.item.key)
            .unwrap();
        assert_ne!(item.verdict, Verdict::NotMeasured, "{}", row.item.key);
        if !matches!(row.item.key, "keeper_thickness" | "bolt_threads") {
            assert_eq!(item.verdict, Verdict::Fails, "{} = {value}", row.item.key);
        }
        let states = seen.into_inner().unwrap();
        let kind = row.condition.unwrap();
        assert!(states.iter().any(|s| s.present() == [kind]), "{kind:?}");
        assert!(
            states
                .iter()
                .all(|s| *s == AsFound::default() || s.present() == [kind]),
            "{kind:?}"
        );
    }
}

/// The requirement about dishing is the thickness at which the solver's own law starts to dish.
#[test]
fn the_plate_washer_limit_is_where_dishing_begins() {
    let design = fixture::pole_type().design;
    let row = REQUIREMENTS
        .iter()
        .find(|r| r.item.key == "plate_washer_thickness")
        .unwrap();
    let Rule::AtLeast(limit) = row.rule else {
        panic!("at least")
    };
    let profile = &giveway_site::Profile::trade();
    let basis = giveway_site::profile::Basis {
        design: &design,
        profile,
    };
    let least = limit.of(basis).unwrap().si;
    // The wrench leaves T/(K d); the clamp settles afterwards.
    let clamp = giveway_mechanics::erection::tightening(&design.base)
        .unwrap()
        .first_clamp_n;
    let dish = |t| giveway_mechanics::faults::dish_angle(clamp, &design.base, t).unwrap();
    assert_eq!(dish(least * 1.0001), 0.0);
    assert!(dish(least * 0.9999) > 0.0);
    // By hand: W = 2.25 x 27 - 27 = 33.75 mm, T_y = t^2 W F_y/(1.5 b).
    let b = &design.base;
    let width = b.plate_washer_diameter_m - b.bolt.diameter_m;
    assert!((width - 0.03375).abs() < 1e-12);
    let by_hand = (1.5 * b.notch_span_m * clamp / (width * b.plate_washer_yield_pa)).sqrt();
    assert!((least / by_hand - 1.0).abs() < 1e-12, "{least} {by_hand}");
}

#[test]
fn a_design_given_by_preload_has_a_torque_to_compare_with() {
    // T = F_p K d / (1 - r) = 25 kN x 0.20 x 27 mm / 0.935 = 144.385 N.m
    let text = fixture::TYPE.replace("torque = \"150 N.m\"", "preload = \"25 kN\"");
    let pole_type = PoleType::read(&text, "lane.toml").unwrap();
    let verdict = |torque: &str| {
        let record = fixture::record("HV-1", &[("torque", torque)]);
        let (i, _) = giveway_site::inspect(&record, &pole_type, &fixture::by_hand).unwrap();
        let item = i.items.iter().find(|i| i.item == "torque").unwrap().clone();
        (item.verdict, item.limit)
    };
    assert_eq!(
        verdict("144 N.m"),
        (Verdict::Meets, "130 N.m to 159 N.m".to_owned())
    );
    assert_eq!(verdict("129 N.m").0, Verdict::Fails);
    assert_eq!(verdict("160 N.m").0, Verdict::Fails);
}

#[test]
fn a_sound_record_sets_nothing() {
    let pole_type = fixture::pole_type();
    let record: Record = fixture::record("HV-1", &[]);
    let solver = |s: &giveway_scenario::model::Scenario| {
        assert_eq!(s.as_found, AsFound::default());
        fixture::by_hand(s)
    };
    let (i, warnings) = giveway_site::inspect(&record, &pole_type, &solver).unwrap();
    assert!(warnings.is_empty() && i.conditions.is_empty() && i.order.is_empty());
    assert!(
        i.items.iter().all(|i| i.verdict == Verdict::Meets),
        "{:#?}",
        i.items
    );
}
