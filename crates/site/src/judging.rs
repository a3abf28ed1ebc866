//! Measured values against the requirements: a verdict for each item.

use giveway_units::{Dimension, System};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::date::Date;
use crate::measured::{NOT_MEASURED, Value};
use crate::profile::Basis;
use crate::record::Record;
use crate::requirements::{
    Measure, Origin, REQUIREMENTS, Requirement, Rule, Tool, Verdict, Weight, applies, bounds,
    limit_words,
};

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

const DEG: f64 = core::f64::consts::PI / 180.0;

/// Equal but for rounding.
pub fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// What an instrument resolves in a system of units, SI: readings and limits are compared in whole steps of it
/// (common practice, no source). None where the value is taken as it stands.
fn resolution(row: &Requirement, system: System) -> Option<f64> {
    let twin = |si: f64, us: f64| Some(if system == System::Us { us } else { si });
    match (row.item.tool, row.item.measure) {
        (Tool::Tape, Measure::Quantity(Dimension::Length, _)) => twin(0.001, 0.0254 / 16.0),
        (Tool::FeelerGauge, Measure::Quantity(Dimension::Length, _)) => {
            twin(0.01e-3, 0.0005 * 0.0254)
        }
        (Tool::TorqueWrench, Measure::Quantity(Dimension::Torque, _)) => {
            twin(1.0, 1.355_817_948_331_400_4)
        }
        (_, Measure::Quantity(Dimension::Angle, _)) => twin(0.1 * DEG, 0.1 * DEG),
        _ => None,
    }
}

/// One value against its requirement. Dates need the day of the inspection.
pub fn judged(row: &Requirement, value: &Value, basis: Basis<'_>, day: Option<Date>) -> Verdict {
    match value {
        _ if !applies(row, basis) => Verdict::NotJudged,
        Value::Word(word) => word.verdict,
        Value::Bolts(_) => Verdict::NotJudged,
        Value::Date(date) => match (row.rule, day) {
            (Rule::NoOlderThan(days), Some(day)) => {
                let most = basis.profile.limit(days).si;
                // A date has whole days.
                within(date.days_to(day) as f64, None, Some(most), row.close, None)
            }
            _ => Verdict::NotJudged,
        },
        Value::Real { si, system, .. } => match bounds(row, basis, system.unwrap_or_default()) {
            Some((low, high)) => within(
                *si,
                low,
                high,
                closeness(row, basis),
                resolution(row, system.unwrap_or_default()),
            ),
            None => Verdict::NotJudged,
        },
    }
}

/// Value and limits are compared in whole steps of the instrument; a limit of zero is zero.
fn within(
    value: f64,
    low: Option<f64>,
    high: Option<f64>,
    close: f64,
    step: Option<f64>,
) -> Verdict {
    let read = |x: f64, limit: f64| match step {
        // A half step counts upwards, a rounding unit of a converted inch must not decide.
        Some(step) if limit != 0.0 => step * libm::floor(x / step + 0.5 + 1e-6),
        _ => x,
    };
    // How far inside; a rounding unit of a converted inch must not fail.
    let inside = |room: f64, limit: f64| room + 1e-9 * limit.abs().max(1e-6);
    let rooms = [
        low.map(|l| inside(read(value, l) - read(l, l), l)),
        high.map(|h| inside(read(h, h) - read(value, h), h)),
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

fn closeness(row: &Requirement, basis: Basis<'_>) -> f64 {
    match row.rule {
        Rule::NearDesign(_) => {
            let designed = row.designed.and_then(|d| d.of(basis.design)).unwrap_or(0.0);
            row.close * designed.abs()
        }
        _ => row.close,
    }
}

/// Every requirement against a record, in the order of the table. A limit is said in the system that the value was
/// written in, else in `people`'s.
pub fn items(record: &Record, basis: Basis<'_>, people: System) -> Vec<ItemResult> {
    REQUIREMENTS
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let own = record
                .measured
                .iter()
                .find(|m| m.found.requirement == i && m.found.detail.is_none());
            let verdict = match own {
                None if applies(row, basis) => Verdict::NotMeasured,
                None => Verdict::NotJudged,
                Some(own) => own
                    .values
                    .iter()
                    .map(|v| judged(row, v, basis, Some(record.date)))
                    .min()
                    .unwrap_or(Verdict::NotMeasured),
            };
            let written = own.and_then(|m| m.values.iter().find_map(Value::system));
            let system = written.unwrap_or(people);
            let (source, origin) = row.origin_in(basis);
            ItemResult {
                item: row.item.key.to_owned(),
                requirement: row.title.to_owned(),
                limit: limit_words(row, basis, system),
                source,
                origin,
                weight: row.weight,
                what: row.item.measured.to_owned(),
                tool: row.item.tool.words().to_owned(),
                measured: own.map_or(NOT_MEASURED, |m| m.text.as_str()).to_owned(),
                verdict,
                put_right: (verdict == Verdict::Fails).then(|| row.put_right_in(basis, people)),
            }
        })
        .collect()
}
