//! From what was measured to the paths of the scenario: each finding that differs from the design becomes values of
//! `[as_found]`, so that the scenario's own range checks hold for them too.

use giveway_scenario::grammar::{Fallback, rows};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::finding::{At, Findings};
use crate::judging::{judged, same};
use crate::measured::{Measured, Value, read};
use crate::profile::Basis;
use crate::record::Record;
use crate::requirements::{Detail, Found, Measure, Requirement, Verdict};

/// One value for the scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Path such as `as_found.stub[1].gap`.
    pub path: String,
    /// Value as after `--set path=value`.
    pub literal: String,
    /// Item that it comes from.
    pub key: &'static str,
    /// Where that stands in the record.
    pub at: At,
}

/// A detail that was not measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Assumed {
    /// Its key.
    pub item: String,
    /// What it is.
    pub measured: String,
    /// The value that stands in.
    pub value: String,
    /// Why this one.
    pub reason: String,
}

/// The settings of one requirement.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Settings {
    /// Values for the scenario; empty where the finding is as designed.
    pub list: Vec<Setting>,
    /// Details that were assumed.
    pub assumed: Vec<Assumed>,
}

/// The settings of a requirement as it was measured.
pub fn of(requirement: usize, record: &Record, basis: Basis<'_>) -> Settings {
    let row = &crate::requirements::REQUIREMENTS[requirement];
    let part = |detail| {
        record
            .measured
            .iter()
            .find(|m| m.found.requirement == requirement && m.found.detail == detail)
    };
    match part(None) {
        None => Settings::default(),
        Some(own) => settings(row, own, &|i| part(Some(i)).cloned(), basis),
    }
}

/// The settings of a requirement that was not measured, at its worst plausible value; none where there is no such value.
pub fn worst(requirement: usize, basis: Basis<'_>) -> Option<(Settings, String, &'static str)> {
    let row = &crate::requirements::REQUIREMENTS[requirement];
    let worst = row.worst.as_ref()?;
    let text = worst.value.of(basis.design);
    let found = Found {
        requirement,
        detail: None,
    };
    let own = read(found, &text, At::START, &mut Findings::new(""))?;
    let settings = settings(row, &own, &|_| None, basis);
    (!settings.list.is_empty()).then_some((settings, text, worst.reason))
}

/// Whether a value differs from the design in a way that can matter.
fn is_finding(row: &Requirement, value: &Value, basis: Basis<'_>) -> bool {
    match value {
        Value::Word(word) => word.sets.is_some() || word.verdict == Verdict::Fails,
        Value::Real { si, .. } => match row.designed {
            Some(designed) => designed.of(basis.design).is_none_or(|d| !same(*si, d)),
            None => judged(row, value, basis, None) == Verdict::Fails,
        },
        Value::Date(_) | Value::Bolts(_) => false,
    }
}

fn settings(
    row: &Requirement,
    own: &Measured,
    detail: &dyn Fn(usize) -> Option<Measured>,
    basis: Basis<'_>,
) -> Settings {
    let mut out = Settings::default();
    let by_detail = (row.details.iter().enumerate())
        .any(|(d, companion)| companion.alone && detail(d).is_some());
    let findings: Vec<usize> = (0..own.values.len())
        .filter(|&i| {
            let value = &own.values[i];
            is_finding(row, value, basis) || (by_detail && matches!(value, Value::Real { .. }))
        })
        .collect();
    if findings.is_empty() || row.condition.is_none() {
        return out;
    }
    let listed = row.item.path.is_some_and(|path| path.contains("[]"));
    if row.item.several && !listed {
        // One value for every bolt, or one for each: all of them, also those as designed.
        let all: Vec<usize> = (0..own.values.len()).collect();
        out.list.extend(row.item.path.map(|path| Setting {
            path: path.to_owned(),
            literal: list_literal(&own.values, &all),
            key: row.item.key,
            at: own.at,
        }));
        return out;
    }
    for (number, &i) in findings.iter().enumerate() {
        let nth = |path: &str| path.replace("[]", &format!("[{}]", number + 1));
        if let Some((path, literal)) = placed(row.item.path, &own.values[i]) {
            out.list.push(Setting {
                path: nth(path),
                literal,
                key: row.item.key,
                at: own.at,
            });
        }
        for (d, companion) in row.details.iter().enumerate() {
            let measured = detail(d);
            let setting = match &measured {
                Some(m) => {
                    let value = m.values.get(i).or_else(|| m.values.first());
                    value
                        .and_then(|v| placed(companion.item.path, v))
                        .map(|(path, literal)| (path, literal, m.at))
                }
                None => {
                    let assumed = assume(companion, basis);
                    let placed = companion
                        .assumed
                        .and(companion.item.path)
                        .map(|path| (path, quoted(&assumed.value), own.at));
                    if !out.assumed.contains(&assumed) {
                        out.assumed.push(assumed);
                    }
                    placed
                }
            };
            if let Some((path, literal, at)) = setting {
                out.list.push(Setting {
                    path: nth(path),
                    literal,
                    key: companion.item.key,
                    at,
                });
            }
        }
    }
    out
}

/// What stands in for a detail that was not measured: the table's value, or the default of the scenario's grammar.
fn assume(detail: &Detail, basis: Basis<'_>) -> Assumed {
    let (value, reason) = match detail.assumed {
        Some((text, reason)) => (text.of(basis.design), reason.to_owned()),
        None => {
            let row = rows().find(|row| Some(row.path) == detail.item.path);
            match row.map(|row| row.fallback) {
                Some(Fallback::Value(literal, source)) => (literal.to_owned(), source.to_owned()),
                Some(Fallback::Computed(how, _)) => ("by default".to_owned(), how.to_owned()),
                _ if detail.item.measure == Measure::Bolts => {
                    ("every bolt".to_owned(), "not said which".to_owned())
                }
                _ => (
                    "as it follows from the finding".to_owned(),
                    "not measured by itself".to_owned(),
                ),
            }
        }
    };
    Assumed {
        item: detail.item.key.to_owned(),
        measured: detail.item.measured.to_owned(),
        value,
        reason,
    }
}

/// Path and literal of a value; none where a word stands for the design.
fn placed(path: Option<&'static str>, value: &Value) -> Option<(&'static str, String)> {
    match value {
        Value::Word(word) => word.sets.map(|path| (path, quoted(word.word))),
        Value::Real { .. } | Value::Bolts(_) => path.map(|path| (path, literal(value))),
        Value::Date(_) => None,
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

fn literal(value: &Value) -> String {
    match value {
        // A plain number is one in TOML too; a quantity keeps the unit that was written.
        Value::Real { si, written, .. } if written.parse::<f64>().is_ok() => format!("{si:?}"),
        Value::Real { written, .. } => quoted(written),
        Value::Bolts(numbers) => {
            let list: Vec<String> = numbers.iter().map(usize::to_string).collect();
            format!("[{}]", list.join(", "))
        }
        Value::Word(word) => quoted(word.word),
        Value::Date(date) => quoted(&date.to_string()),
    }
}

fn list_literal(values: &[Value], of: &[usize]) -> String {
    let list: Vec<String> = of.iter().map(|&i| literal(&values[i])).collect();
    format!("[{}]", list.join(", "))
}
