//! Measured values against the requirements: limits in words, and a verdict for each item.

use giveway_scenario::model::Scenario;
use giveway_units::{shown, shown_in};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::date::Date;
use crate::measured::{NOT_MEASURED, Value};
use crate::record::Record;
use crate::requirements::{
    Limit, Measure, Origin, REQUIREMENTS, Requirement, Rule, Verdict, Weight,
};
use crate::settings::applies;

/// One requirement against what was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ItemResult {
    /// Key of the item.
    pub item: String,
    /// What is required.
    pub requirement: String,
    /// The limit with its unit, for this pole's type.
    pub limit: String,
    /// Where the limit comes from.
    pub source: String,
    /// How well it is known.
    pub origin: Origin,
    /// How much it weighs.
    pub weight: Weight,
    /// What is measured.
    pub what: String,
    /// With what.
    pub tool: String,
    /// What was measured, as written; or "not measured".
    pub measured: String,
    /// The verdict.
    pub verdict: Verdict,
    /// What must be done; none where nothing must.
    pub put_right: Option<String>,
}

/// Equal but for rounding.
pub fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// One value against its requirement. Dates need the day of the inspection.
pub fn judged(row: &Requirement, value: &Value, design: &Scenario, day: Option<Date>) -> Verdict {
    match value {
        _ if !applies(row, design) => Verdict::NotJudged,
        Value::Word(word) => word.verdict,
        Value::Bolts(_) => Verdict::NotJudged,
        Value::Date(date) => match (row.rule, day) {
            (Rule::NoOlderThan(days), Some(day)) => {
                // A date has whole days.
                within(date.days_to(day) as f64, None, Some(days), row.close)
            }
            _ => Verdict::NotJudged,
        },
        Value::Real { si, .. } => match bounds(row, design) {
            Some((low, high)) => within(*si, low, high, closeness(row, design)),
            None => Verdict::NotJudged,
        },
    }
}

fn within(value: f64, low: Option<f64>, high: Option<f64>, close: f64) -> Verdict {
    // How far inside; a rounding unit of a converted inch must not fail.
    let inside = |room: f64, limit: f64| room + 1e-9 * limit.abs().max(1e-6);
    let rooms = [
        low.map(|l| inside(value - l, l)),
        high.map(|h| inside(h - value, h)),
    ];
    let room = rooms.into_iter().flatten().fold(f64::INFINITY, f64::min);
    if room < 0.0 {
        Verdict::Fails
    } else if room < close {
        Verdict::Close
    } else {
        Verdict::Meets
    }
}

/// Lower and upper bound, SI; none where the design does not give them.
fn bounds(row: &Requirement, design: &Scenario) -> Option<(Option<f64>, Option<f64>)> {
    let of = |limit: Limit| limit.of(design);
    Some(match row.rule {
        Rule::AtLeast(limit) => (Some(of(limit)?), None),
        Rule::AtMost(limit) => (None, Some(of(limit)?)),
        Rule::Between(low, high) => (Some(of(low)?), Some(of(high)?)),
        Rule::WithinPlusMinus(limit) => {
            let most = of(limit)?;
            (Some(-most), Some(most))
        }
        Rule::NearDesign(fraction) => {
            let designed = row.designed?(design)?;
            let slack = fraction * designed.abs();
            (Some(designed - slack), Some(designed + slack))
        }
        Rule::NoOlderThan(_) | Rule::ByWord => return None,
    })
}

fn closeness(row: &Requirement, design: &Scenario) -> f64 {
    match row.rule {
        Rule::NearDesign(_) => {
            let designed = row.designed.and_then(|d| d(design)).unwrap_or(0.0);
            row.close * designed.abs()
        }
        _ => row.close,
    }
}

/// The limit in words with its unit, for example `at least 13 mm`.
pub fn limit_words(row: &Requirement, design: &Scenario) -> String {
    let show = |si: f64| match row.item.measure {
        Measure::Quantity(dimension, unit) => shown_in(si, dimension, unit, 3),
        _ => shown(si, 3),
    };
    // A limit that is rounded to show must not claim more than it is: 3 figures suffice for a tape.
    let words = match (row.rule, bounds(row, design)) {
        (Rule::ByWord, _) => row
            .item
            .words
            .iter()
            .filter(|w| w.verdict == Verdict::Meets)
            .map(|w| w.word)
            .collect::<Vec<_>>()
            .join(" or "),
        (Rule::NoOlderThan(days), _) => format!("at most {} days before", shown(days, 4)),
        (_, None) => "the design has none".to_owned(),
        (Rule::WithinPlusMinus(_), Some((_, Some(most)))) => {
            format!("within {} either way", show(most))
        }
        (_, Some((Some(low), Some(high)))) => format!("{} to {}", show(low), show(high)),
        (_, Some((Some(low), None))) => format!("at least {}", show(low)),
        (_, Some((None, Some(high)))) => format!("at most {}", show(high)),
        (_, Some((None, None))) => String::new(),
    };
    match row.rule {
        Rule::AtMost(Limit::Value(0.0)) => "none".to_owned(),
        _ => words,
    }
}

/// Every requirement against a record, in the order of the table.
pub fn items(record: &Record, design: &Scenario) -> Vec<ItemResult> {
    REQUIREMENTS
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let own = record
                .measured
                .iter()
                .find(|m| m.found.requirement == i && m.found.detail.is_none());
            let verdict = match own {
                None if applies(row, design) => Verdict::NotMeasured,
                None => Verdict::NotJudged,
                Some(own) => own
                    .values
                    .iter()
                    .map(|v| judged(row, v, design, Some(record.date)))
                    .min()
                    .unwrap_or(Verdict::NotMeasured),
            };
            ItemResult {
                item: row.item.key.to_owned(),
                requirement: row.title.to_owned(),
                limit: limit_words(row, design),
                source: row.source.to_owned(),
                origin: row.origin,
                weight: row.weight,
                what: row.item.measured.to_owned(),
                tool: row.item.tool.words().to_owned(),
                measured: own.map_or(NOT_MEASURED, |m| m.text.as_str()).to_owned(),
                verdict,
                put_right: (verdict == Verdict::Fails).then(|| row.put_right.to_owned()),
            }
        })
        .collect()
}
