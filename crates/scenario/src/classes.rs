//! Vehicle classes: one file of values each, `classes/*.toml`, every value with its mark.
//!
//! Published masses and the sizes of the test documents are as recalled. Fronts are not in print: each
//! unknown value was chosen once, from the published range, before any comparison, and is the same for every
//! scenario of the class. The rule for the fronts of cars stands in `classes/small-car-820.toml`.
//!
//! References: H. E. Ross and others, NCHRP Report 350 (1993); AASHTO Manual for Assessing Safety Hardware (2016);
//! EN 12767:2019 and EN 1317-1; FHWA-RD-98-081 (pickup side, 307 kN/m on average).

use std::sync::LazyLock;

use serde::{Deserialize, Deserializer};

/// One value of a class.
#[derive(Debug, Clone, Deserialize)]
pub struct ClassValue {
    /// Path in the grammar.
    pub path: String,
    /// Literal as in a scenario file; quantities without quotes.
    #[serde(deserialize_with = "literal")]
    pub literal: String,
    /// Where it comes from.
    pub source: String,
}

/// One band of a face.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassBand {
    /// Name.
    pub name: String,
    /// Lower edge.
    pub lower: String,
    /// Upper edge.
    pub upper: String,
    /// Set-back.
    pub setback: String,
    /// Force-crush polyline.
    #[serde(deserialize_with = "literal")]
    pub crush: String,
    /// Where the values come from.
    pub source: String,
}

/// A vehicle class.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Class {
    /// Name in the scenario.
    pub name: String,
    /// What it is.
    pub meaning: String,
    /// The class before it that gives what this one does not.
    like: Option<String>,
    /// Values.
    #[serde(default)]
    pub values: Vec<ClassValue>,
    /// Front.
    #[serde(default)]
    pub front: Vec<ClassBand>,
    /// Side.
    #[serde(default)]
    pub side: Vec<ClassBand>,
}

/// A value of a file as the literal of a scenario.
fn literal<'de, D: Deserializer<'de>>(value: D) -> Result<String, D::Error> {
    Ok(match toml::Value::deserialize(value)? {
        toml::Value::String(text) => text,
        other => other.to_string(),
    })
}

/// The classes.
pub static CLASSES: LazyLock<Vec<Class>> = LazyLock::new(|| {
    let mut classes: Vec<Class> = Vec::new();
    for text in [
        include_str!("../classes/small-car-820.toml"),
        include_str!("../classes/small-car-900.toml"),
        include_str!("../classes/small-car-1100.toml"),
        include_str!("../classes/pickup-2000.toml"),
        include_str!("../classes/pickup-2270.toml"),
        include_str!("../classes/pendulum-rigid.toml"),
        include_str!("../classes/pendulum-crushable.toml"),
        include_str!("../classes/bogie.toml"),
    ] {
        let mut class: Class = toml::from_str(text).expect("a class that is built in reads");
        if let Some(like) = classes
            .iter()
            .find(|c| class.like.as_ref() == Some(&c.name))
        {
            let own = std::mem::take(&mut class.values);
            let given = |v: &ClassValue| own.iter().find(|o| o.path == v.path).cloned();
            let values = like.values.iter().map(|v| given(v).unwrap_or(v.clone()));
            class.values = values.collect();
            for (face, other) in [
                (&mut class.front, &like.front),
                (&mut class.side, &like.side),
            ] {
                if face.is_empty() {
                    face.clone_from(other);
                }
            }
        }
        classes.push(class);
    }
    classes
});

/// The class of that name.
pub fn class(name: &str) -> Option<&'static Class> {
    CLASSES.iter().find(|class| class.name == name)
}
