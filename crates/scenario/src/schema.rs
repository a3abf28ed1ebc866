//! JSON Schema of a scenario file, for editors that complete and check TOML.
//!
//! References: JSON Schema, draft 2020-12.

use std::collections::BTreeMap;

use giveway_units::Dimension;
use serde_json::{Map, Value, json};

use crate::grammar::{self, Fallback, Kind, Row};
use crate::value::units;
use crate::walk::grammar_header;

/// The schema, draft 2020-12. It allows what the reader allows, except that it knows nothing of ranges of
/// quantities (they are texts) and of checks between values.
pub fn schema() -> Value {
    let mut root = table("", &["support", "vehicle", "impact"]);
    let mut definitions = Map::new();
    for &dimension in Dimension::ALL {
        definitions.insert(name(dimension), quantity(dimension));
    }
    if let Value::Object(map) = &mut root {
        map.insert(
            "$schema".into(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        map.insert("title".into(), json!("Scenario of giveway"));
        map.insert("$defs".into(), Value::Object(definitions));
    }
    root
}

/// Name of the definition of a dimension: `a rate of turning` gives `rate-of-turning`.
fn name(dimension: Dimension) -> String {
    dimension
        .noun()
        .trim_start_matches("an ")
        .trim_start_matches("a ")
        .replace(' ', "-")
}

/// A text that begins like a number and ends in a unit of the dimension.
fn quantity(dimension: Dimension) -> Value {
    let mut spellings: Vec<String> = dimension
        .units()
        .iter()
        .flat_map(|u| core::iter::once(u.name).chain(u.aliases.iter().copied()))
        .map(pattern)
        .collect();
    if dimension == Dimension::Angle {
        spellings.push("\u{b0}".into());
    }
    let number =
        r"[+-]?([0-9]+([- ][0-9]+/[0-9]+|/[0-9]+)?|[0-9]*\.?[0-9]+|[0-9]+\.)([eE][+-]?[0-9]+)?";
    // Feet and inches stand before the unit of the last number.
    let before = if dimension == Dimension::Length {
        r"([+-]?[0-9.]+\s*(ft|feet|foot)\s*)?"
    } else {
        ""
    };
    json!({
        "type": "string",
        "description": format!("{} with its unit: {}", dimension.noun(), units(dimension)),
        "pattern": format!(r"^\s*{before}{number}\s*({})\s*$", spellings.join("|")),
    })
}

/// A unit as a pattern: products may be written with a point, a raised point, a star, a hyphen or a blank.
fn pattern(unit: &str) -> String {
    let mut out = String::new();
    for c in unit.chars() {
        match c {
            '.' => out.push_str("[.\u{b7}\u{22c5}* -]?"),
            '2' => out.push_str("(\\^?2|\u{b2})"),
            '3' => out.push_str("(\\^?3|\u{b3})"),
            'u' => out.push_str("[u\u{b5}\u{3bc}]"),
            '/' => out.push_str(" ?/ ?"),
            c => out.push(c),
        }
    }
    out
}

/// The schema of a section and everything below it.
fn table(path: &str, required: &[&str]) -> Value {
    let mut properties = Map::new();
    let mut needed: Vec<Value> = required.iter().map(|r| json!(r)).collect();
    // Keys that must stand with a key, by that key.
    let mut together: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for child in grammar::children(path) {
        let child_path = if path.is_empty() {
            child.to_owned()
        } else {
            format!("{path}.{child}")
        };
        let property = if let Some(row) = grammar::row(&child_path) {
            // A band that only changes one of the class need not give everything.
            let free = path.ends_with(".band[]") && row.key() != "name";
            let required = matches!(row.fallback, Fallback::Required) && !free;
            match row.with {
                Some(key) => {
                    together.entry(child).or_default().push(key);
                    if required {
                        together.entry(key).or_default().push(child);
                    }
                }
                None if required => needed.push(json!(child)),
                None => {}
            }
            property(row)
        } else if let Some(list) = grammar::list(&child_path) {
            json!({
                "type": "array",
                "maxItems": list.most,
                "items": table(&format!("{child_path}[]"), &[]),
            })
        } else {
            let required: &[&str] = if child_path == "support" {
                &["pole"]
            } else {
                &[]
            };
            table(&child_path, required)
        };
        properties.insert(child.to_owned(), property);
    }
    let mut map = Map::new();
    map.insert("type".into(), json!("object"));
    if let Some(section) = grammar::SECTIONS.iter().find(|s| s.path == path) {
        map.insert("description".into(), json!(section.meaning));
    }
    map.insert("properties".into(), Value::Object(properties));
    if !needed.is_empty() {
        map.insert("required".into(), Value::Array(needed));
    }
    if !together.is_empty() {
        map.insert("dependentRequired".into(), json!(together));
    }
    map.insert("additionalProperties".into(), json!(false));
    Value::Object(map)
}

/// The schema of one value.
fn property(row: &Row) -> Value {
    let mut map = Map::new();
    match row.kind {
        Kind::Quantity(dimension, _) => {
            map.insert("$ref".into(), json!(format!("#/$defs/{}", name(dimension))));
        }
        Kind::Number => {
            let mut number = Map::new();
            number.insert("type".into(), json!("number"));
            bounds(row, &mut number);
            map.insert("anyOf".into(), json!([number, { "$ref": "#/$defs/ratio" }]));
        }
        Kind::Count => {
            map.insert("type".into(), json!("integer"));
            bounds(row, &mut map);
        }
        Kind::Flag => {
            map.insert("type".into(), json!("boolean"));
        }
        Kind::Text => {
            map.insert("type".into(), json!("string"));
        }
        Kind::Choice(options) => {
            map.insert("enum".into(), json!(options.names()));
        }
        Kind::Choices(options) => {
            map.insert("type".into(), json!("array"));
            map.insert("minItems".into(), json!(1));
            map.insert("items".into(), json!({ "enum": options.names() }));
        }
        Kind::Pairs((a, _), (b, _)) => {
            let reference = |d| json!({ "$ref": format!("#/$defs/{}", name(d)) });
            map.insert("type".into(), json!("array"));
            map.insert("minItems".into(), json!(2));
            map.insert(
                "items".into(),
                json!({
                    "type": "array",
                    "prefixItems": [reference(a), reference(b)],
                    "minItems": 2,
                    "maxItems": 2,
                }),
            );
        }
        Kind::LengthOrName(names) => {
            map.insert(
                "anyOf".into(),
                json!([{ "$ref": "#/$defs/length" }, { "enum": names }]),
            );
        }
        Kind::Quantities(dimension, _) => {
            let one = json!({ "$ref": format!("#/$defs/{}", name(dimension)) });
            one_or_list(one, 1, &mut map);
        }
        Kind::Numbers => one_or_list(json!({ "type": "integer", "minimum": 1 }), 0, &mut map),
    }
    map.insert("description".into(), json!(description(row)));
    Value::Object(map)
}

/// One value, or a list of at least so many of them.
fn one_or_list(one: Value, least: usize, map: &mut Map<String, Value>) {
    let list = json!({ "type": "array", "minItems": least, "items": one });
    map.insert("anyOf".into(), json!([one, list]));
}

fn bounds(row: &Row, map: &mut Map<String, Value>) {
    let whole = matches!(row.kind, Kind::Count);
    for (key, bound) in [("minimum", row.possible.0), ("maximum", row.possible.1)] {
        if bound.is_finite() {
            let value = if whole {
                json!(bound as i64)
            } else {
                json!(bound)
            };
            map.insert(key.into(), value);
        }
    }
}

/// Meaning, ranges and default of a row in one text.
fn description(row: &Row) -> String {
    let mut text = row.meaning.to_owned();
    if row.plausible.0.is_finite() || row.plausible.1.is_finite() {
        text.push_str(&format!(" Usual: {}.", row.range_text(row.plausible)));
    }
    match row.fallback {
        Fallback::Required => text.push_str(" Required."),
        Fallback::Absent => {}
        Fallback::Class => text.push_str(" Default: from the vehicle class."),
        Fallback::Value(literal, source) => {
            text.push_str(&format!(" Default: {literal} ({source})."));
        }
        Fallback::Computed(how, _) => text.push_str(&format!(" Default: {how}.")),
    }
    if let Some(key) = row.with {
        text.push_str(&format!(" Only with {key}."));
    }
    if let Some(other) = row.excludes {
        text.push_str(&format!(" Not together with {}.", grammar_header(other)));
    }
    text
}
