//! The summary: values, books, and agreement with its own schema.

mod fixture;

use giveway_impact::outcome::Ending;
use giveway_occupant::{Blow, Outcome};
use giveway_results::summary::Status;
use giveway_results::{history_columns, schemas};
use serde_json::Value;

#[test]
fn values_are_carried_over() {
    let scenario = fixture::scenario();
    let engagement = fixture::engagement();
    let s = fixture::summary(&scenario, &engagement);
    assert_eq!(s.status, Status::Complete);
    assert_eq!(s.ending, Ending::Released);
    assert_eq!(s.times.release_s, Some(0.0182));
    assert!((s.times.record_end_s - 1.2).abs() < 1e-12);
    assert_eq!(s.velocity_change.at_engagement_end_mps, 1.1 + 1.35);
    let end = s.velocity_change.at_record_end_mps.unwrap();
    assert!((end - 2.45).abs() < 1e-12);
    // 12 J of 0.5 * 1100 * (35/3.6)^2 = 51 986.9 J.
    assert!((s.books.energy_residual_fraction - 12.0 / 51_986.882_716).abs() < 1e-10);
    assert!(s.books.books_closed);
    assert_eq!(s.headline.set.as_deref(), Some("mash-2016"));
    assert_eq!(s.headline.outcome, s.verdicts[0].outcome);
    let least = s.verdicts[0]
        .checks
        .iter()
        .filter_map(|c| c.margin_fraction)
        .fold(f64::INFINITY, f64::min);
    assert_eq!(s.headline.closest_margin_fraction, Some(least));
    assert_eq!(s.retention.unwrap().smallest_gap_margin_fraction, 0.35);
}

#[test]
fn the_wind_check_says_its_clamp_and_whether_a_nut_strips_at_it() {
    let engagement = fixture::engagement();
    let check = |threads: Option<f64>| {
        let mut scenario = fixture::scenario();
        scenario.as_found.engaged_threads = threads;
        let s = fixture::summary(&scenario, &engagement);
        let check = s.retention.expect("a wind check");
        (check.clamp_n, check.nut_strips)
    };
    // Every bolt of the fixture is clamped by 26 kN: a tenth of a thread strips far below it, five threads carry more
    // than the bolt's yield load.
    assert_eq!(check(None), (26e3, false));
    assert_eq!(check(Some(0.1)), (26e3, true));
    assert_eq!(check(Some(5.0)), (26e3, false));
}

#[test]
fn an_open_book_fails_the_run_and_withholds_the_verdict() {
    let scenario = fixture::scenario();
    let at = |energy: f64, momentum: f64| {
        let mut e = fixture::engagement();
        e.energy.residual_j = energy * e.energy.initial_kinetic_j;
        e.momentum.residual_fraction = momentum;
        fixture::summary(&scenario, &e)
    };
    assert_eq!(at(-0.0049, 0.00099).status, Status::Complete);
    for s in [
        at(0.0051, 0.0),
        at(-0.0051, 0.0),
        at(0.0, 0.0011),
        at(f64::NAN, 0.0),
        at(0.0, f64::NAN),
    ] {
        assert_eq!(s.status, Status::Failed);
        assert!(!s.books.books_closed);
        assert_eq!(s.headline.outcome, Outcome::NotEvaluated);
        assert_eq!(s.headline.blow, Some(Blow::NotEvaluated));
        assert!(s.headline.sentence.contains("books do not close"));
        // No outcome stands anywhere in the file.
        assert!(!s.verdicts.is_empty() && s.headline.closest_margin_fraction.is_none());
        let text = serde_json::to_string(&s).unwrap();
        for word in ["pass", "marginal", "fail"] {
            assert!(!text.contains(&format!("\"outcome\":\"{word}\"")), "{word}");
            assert!(!text.contains(&format!("\"blow\":\"{word}\"")), "{word}");
        }
    }
}

#[test]
fn a_run_without_contact_or_energy_has_a_summary() {
    let scenario = fixture::scenario();
    let mut e = fixture::engagement();
    e.energy = Default::default();
    e.momentum = Default::default();
    e.release_time_s = None;
    e.ending = Ending::NoContact;
    let s = fixture::summary(&scenario, &e);
    assert_eq!(s.books.energy_residual_fraction, 0.0);
    assert_eq!(s.status, Status::Complete);
    assert_eq!(s.headline.outcome, Outcome::NotEvaluated);
    assert!(s.headline.sentence.contains("did not touch"));
    e.record.end_velocity_mps.clear();
    let (occupant, verdicts) = fixture::occupant(&scenario, &fixture::engagement());
    let evidence = giveway_results::Evidence {
        engagement: &e,
        support: &fixture::support(),
        retention: None,
        occupant: &occupant,
        occupant_without: None,
        verdicts: &verdicts[..0],
        conditions: &[],
        assumptions: 0,
    };
    let s = giveway_results::build_summary(&scenario, &evidence);
    assert_eq!(s.velocity_change.at_record_end_mps, None);
    assert_eq!(s.headline.set, None);
    giveway_results::check_finite("summary", &s).unwrap();
}

// The part of JSON Schema that the generated schemas use.
fn violations(root: &Value, schema: &Value, value: &Value, path: &str, out: &mut Vec<String>) {
    if let Some(target) = schema.get("$ref").and_then(Value::as_str) {
        let target = root.pointer(target.trim_start_matches('#')).expect(target);
        violations(root, target, value, path, out);
    }
    for key in ["anyOf", "oneOf"] {
        if let Some(options) = schema.get(key).and_then(Value::as_array) {
            let fits = options.iter().any(|o| {
                let mut inner = Vec::new();
                violations(root, o, value, path, &mut inner);
                inner.is_empty()
            });
            if !fits {
                out.push(format!("{path}: {value} fits no option"));
            }
        }
    }
    if let Some(constant) = schema.get("const")
        && constant != value
    {
        out.push(format!("{path}: {value} is not {constant}"));
    }
    if let Some(options) = schema.get("enum").and_then(Value::as_array)
        && !options.contains(value)
    {
        out.push(format!("{path}: {value} is not in the list"));
    }
    let types: Vec<&str> = match schema.get("type") {
        Some(Value::String(t)) => vec![t],
        Some(Value::Array(ts)) => ts.iter().filter_map(Value::as_str).collect(),
        _ => vec![],
    };
    let is = |t: &str| match t {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "integer" => value.is_u64() || value.is_i64(),
        "number" => value.is_number(),
        other => panic!("type {other}"),
    };
    if !types.is_empty() && !types.iter().any(|t| is(t)) {
        out.push(format!("{path}: {value} is not {types:?}"));
    }
    if let (Some(properties), Some(object)) = (
        schema.get("properties").and_then(Value::as_object),
        value.as_object(),
    ) {
        for key in object.keys() {
            match properties.get(key) {
                Some(inner) => violations(root, inner, &object[key], &format!("{path}.{key}"), out),
                None => out.push(format!("{path}.{key}: not in the schema")),
            }
        }
        for name in schema["required"].as_array().unwrap_or(&vec![]) {
            if !object.contains_key(name.as_str().unwrap()) {
                out.push(format!("{path}: {name} is missing"));
            }
        }
    }
    if let (Some(items), Some(array)) = (schema.get("items"), value.as_array()) {
        for (i, item) in array.iter().enumerate() {
            violations(root, items, item, &format!("{path}[{i}]"), out);
        }
    }
}

#[test]
fn the_summary_fits_its_schema() {
    let all = schemas();
    let schema = &all.iter().find(|s| s.0 == "summary").unwrap().1;
    let s = fixture::summary(&fixture::scenario(), &fixture::engagement());
    let mut value = serde_json::to_value(&s).unwrap();
    let check = |value: &Value| {
        let mut out = Vec::new();
        violations(schema, schema, value, "summary", &mut out);
        out
    };
    assert_eq!(check(&value), Vec::<String>::new());
    // The check itself notices a wrong type, a missing and an unknown key.
    value["contact"]["peak_force_n"] = Value::Null;
    value["joint"]["bolts"][0]
        .as_object_mut()
        .unwrap()
        .remove("fate");
    value["ending"] = "vanished".into();
    assert_eq!(check(&value).len(), 3, "{:?}", check(&value));
    // Keys keep the order of the fields.
    let text = serde_json::to_string(&s).unwrap();
    let places: Vec<_> = [
        "\"format\"",
        "\"title\"",
        "\"headline\"",
        "\"verdicts\"",
        "\"energy\"",
        "\"assumptions\"",
    ]
    .map(|k| text.find(k).unwrap())
    .to_vec();
    assert!(places.is_sorted());
}

#[test]
fn the_history_of_a_run_fits_the_list_of_columns() {
    let names: Vec<&str> = history_columns().iter().map(|c| c.0).collect();
    let first = include_str!("../../../scenarios/first.toml");
    let scenario = giveway_scenario::read(first, "first.toml", &[])
        .expect("first")
        .scenario;
    let prepared = giveway_impact::Prepared::new(&scenario).expect("its support");
    let e = prepared
        .engage(giveway_impact::RecordRequest::FULL)
        .expect("a run");
    let mut expected: Vec<String> = Vec::new();
    let (bolts, plain): (Vec<&str>, Vec<&str>) = names.iter().partition(|n| n.contains("{i}"));
    for n in &plain {
        if n.starts_with("energy_vehicle") {
            for i in 1..=3 {
                expected.extend(bolts.iter().map(|b| b.replace("{i}", &i.to_string())));
            }
        }
        expected.push((*n).to_owned());
    }
    let found: Vec<&str> = std::iter::once("time_s")
        .chain(e.trace.columns.iter().map(|c| c.name.as_str()))
        .collect();
    assert_eq!(found, expected);
}
