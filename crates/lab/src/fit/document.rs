//! A fit file: a study file with data besides.

use std::path::Path;

use giveway_results::{NumberTable, read_history, read_vehicle_record};
use giveway_scenario::model::Scenario;
use giveway_scenario::{Diagnostic, Said, Severity};
use giveway_study::plan::{DrawnAxis, Load, Plan, Read};
use giveway_units::{Dimension, in_unit, shown_in};
use serde::Deserialize;
use toml::Spanned;

use super::Fit;
use super::ask::{Question, RawAsk, questions};
use super::observe::{NumberDatum, Spread, TraceDatum, at_instants, averaged, of_history};
use crate::fault::{Described, Refused};
use crate::quantity::quantity_named;

/// Sections that a study file does not have.
pub const LAB_SECTIONS: &[&str] = &["data", "trace", "error", "ask"];
/// Most instants of a trace: the covariance is a matrix of them.
const MOST_INSTANTS: usize = 400;

type Text = Spanned<String>;

#[derive(Deserialize)]
struct Raw {
    #[serde(default)]
    data: Vec<Spanned<RawData>>,
    #[serde(default)]
    trace: Vec<Spanned<RawTrace>>,
    #[serde(default)]
    error: RawError,
    #[serde(default)]
    ask: Vec<Spanned<RawAsk>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawData {
    scenario: Option<Text>,
    name: Text,
    value: Text,
    deviation: Text,
    model_error: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTrace {
    scenario: Option<Text>,
    record: Text,
    column: Text,
    from: Option<Text>,
    until: Text,
    every: Text,
    deviation: Text,
    time_zero: Option<Text>,
    model_error: Option<Text>,
    correlation: Option<Text>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawError {
    numbers: Option<Text>,
    traces: Option<Text>,
    correlation: Option<Text>,
}

/// The tables of a record's folder.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordTables {
    /// `history`.
    pub history: Option<NumberTable>,
    /// `vehicle_record`.
    pub vehicle_record: Option<NumberTable>,
    /// The scenario of the record's test, as text; none where it is not known.
    pub scenario: Option<String>,
}

impl RecordTables {
    /// Of the folder that `giveway record` made.
    ///
    /// # Errors
    /// Why it is none, or cannot be read.
    pub fn of_folder(folder: &Path) -> Result<Self, String> {
        if !folder.join("manifest.json").exists() {
            return Err(format!(
                "{} is no folder of results; `giveway record` makes one",
                folder.display()
            ));
        }
        Ok(Self {
            history: read_history(folder).map_err(|e| e.to_string())?,
            vehicle_record: read_vehicle_record(folder).map_err(|e| e.to_string())?,
            scenario: std::fs::read_to_string(folder.join("scenario.toml")).ok(),
        })
    }
}

/// Reads a fit file; `records` reads the folder of a record, named by a path from the file's folder.
///
/// # Errors
/// The problems of the file with their lines.
pub fn read_fit(
    text: &str,
    file_name: &str,
    extra: &[(String, String)],
    load: &Load<'_>,
    records: &dyn Fn(&str) -> Result<RecordTables, String>,
) -> Result<(Fit, Vec<Diagnostic>), Refused> {
    let mut d = Described::new(file_name, text);
    let Read { plan, warnings } = match Plan::read_among(text, file_name, extra, load, LAB_SECTIONS)
    {
        Ok(read) => read,
        // What can be said of the data without the study.
        Err(study) => {
            if let Ok(raw) = d.sections::<Raw>() {
                data(&raw, &[], None, records, &mut d);
            }
            return Err(d.beside(study));
        }
    };
    let raw: Raw = d.sections().map_err(Refused::Lab)?;
    let cases: Vec<String> = plan.bases().map(str::to_owned).collect();
    let axes = plan.drawn_axes();
    check_plan(&plan, &axes, &mut d);
    let Data {
        numbers,
        traces,
        stated,
        doubts,
    } = data(&raw, &cases, Some(&plan), records, &mut d);
    let warnings = warnings.into_iter().chain(doubts).collect();
    let questions: Vec<Question> = questions(&raw.ask, &plan, &mut d);
    let fit = Fit {
        title: plan.title().to_owned(),
        axes,
        cases,
        numbers,
        traces,
        questions,
        model_error_stated: stated,
        supports: giveway_study::Supports::new(),
        plan,
    };
    enough_draws(&fit, &mut d);
    d.finish(Some((fit, warnings))).map_err(Refused::Lab)
}

/// What was measured.
struct Data {
    numbers: Vec<NumberDatum>,
    traces: Vec<TraceDatum>,
    /// Whether an error of the model is stated.
    stated: bool,
    /// Of records that may be of another test.
    doubts: Vec<Diagnostic>,
}

/// Reads what was measured; without cases it is not asked of which case something is, and without the plan not of which test.
fn data(
    raw: &Raw,
    cases: &[String],
    plan: Option<&Plan>,
    records: &dyn Fn(&str) -> Result<RecordTables, String>,
    d: &mut Described<'_>,
) -> Data {
    let share = |d: &mut Described<'_>, key: &str, text: Option<&Text>| {
        d.maybe(key, text, Dimension::Ratio).map(f64::abs)
    };
    let usual_number = share(d, "error.numbers", raw.error.numbers.as_ref());
    let usual_trace = share(d, "error.traces", raw.error.traces.as_ref());
    let usual_correlation = d.positive(
        "error.correlation",
        raw.error.correlation.as_ref(),
        Dimension::Time,
    );
    let mut stated = usual_number.is_some() || usual_trace.is_some();
    let mut numbers = Vec::new();
    for one in &raw.data {
        let own = share(d, "data.model_error", one.get_ref().model_error.as_ref());
        stated |= own.is_some();
        numbers.extend(number(
            one.get_ref(),
            cases,
            own.or(usual_number).unwrap_or(0.0),
            d,
        ));
    }
    let (mut traces, mut doubts) = (Vec::new(), Vec::new());
    for one in &raw.trace {
        let t = one.get_ref();
        let own = share(d, "trace.model_error", t.model_error.as_ref());
        stated |= own.is_some();
        let correlation = d.positive("trace.correlation", t.correlation.as_ref(), Dimension::Time);
        let error = (
            own.or(usual_trace).unwrap_or(0.0),
            correlation.or(usual_correlation).unwrap_or(0.01),
        );
        let tables = records(t.record.get_ref());
        if let (Some(plan), Ok(tables)) = (plan, &tables) {
            doubts.extend(of_another_test(t, tables, plan, cases, d));
        }
        traces.extend(trace(t, cases, error, tables, d));
    }
    if raw.data.is_empty() && raw.trace.is_empty() {
        d.fault_at(0, "data", "there are no data: give [[data]] or [[trace]]");
    }
    Data {
        numbers,
        traces,
        stated,
        doubts,
    }
}

/// Something is drawn that can be fitted, and every test is a base scenario of its own.
fn check_plan(plan: &Plan, axes: &[DrawnAxis], d: &mut Described<'_>) {
    if axes.is_empty() {
        d.fault_at(
            0,
            "sample",
            "nothing is drawn: the parameters and their priors stand in [sample], as in a study",
        );
    }
    if plan.grid_points() > 1 {
        d.fault_at(
            0,
            "grid",
            "a fit has no grid: each test is a base scenario of its own (`files`)",
        );
    }
    if plan.has_conditions() {
        d.fault_at(
            0,
            "condition",
            "a fit has no levels of conditions: what was found at a test stands in its own base scenario",
        );
    }
    for axis in axes.iter().filter(|a| !a.of_numbers) {
        d.fault_at(0, &axis.column, "words cannot be fitted: give numbers");
    }
}

/// What a test is known by: in words, with the unit for people.
type Known = (&'static str, fn(&Scenario) -> f64, Dimension, &'static str);
const KNOWN_BY: [Known; 5] = [
    ("speed", |s| s.impact.speed_mps, Dimension::Speed, "km/h"),
    (
        "mass of the vehicle",
        |s| s.vehicle.mass_kg,
        Dimension::Mass,
        "kg",
    ),
    ("offset", |s| s.impact.offset_m, Dimension::Length, "mm"),
    (
        "length of the pole",
        |s| s.support.pole_length_m,
        Dimension::Length,
        "m",
    ),
    (
        "torque",
        |s| s.base.torque_nm.unwrap_or(0.0),
        Dimension::Torque,
        "N.m",
    ),
];

/// Warns of a record whose test differs from its case in what a test is known by.
fn of_another_test(
    raw: &RawTrace,
    tables: &RecordTables,
    plan: &Plan,
    cases: &[String],
    d: &Described<'_>,
) -> Option<Diagnostic> {
    let case = match &raw.scenario {
        Some(name) => cases.iter().position(|c| c == name.get_ref())?,
        None => 0,
    };
    let text = tables.scenario.as_ref()?;
    let theirs = giveway_scenario::read(text, raw.record.get_ref(), &[]).ok()?;
    let ours = plan.scenario_with(case, 0, &[], &[]).ok()?;
    let apart = KNOWN_BY.iter().filter_map(|(what, of, dimension, unit)| {
        let [there, here] = [&theirs.scenario, &ours].map(of);
        let [a, b] = [there, here].map(|v| in_unit(v, *dimension, unit));
        let said = |v| shown_in(v, *dimension, unit, 4);
        let apart = (a - b).abs() > 0.01 * b.abs().max(1.0);
        apart.then(|| format!("{what} {} there, {} here", said(there), said(here)))
    });
    let apart: Vec<String> = apart.collect();
    if apart.is_empty() {
        return None;
    }
    let place = d.position(raw.record.span().start);
    let problem = format!("the record is of another test: {}", apart.join("; "));
    let said = Said::that(&problem).hint("name the record of this case, or its scenario");
    let path = "trace.record".to_owned();
    Some(said.at("L030", Severity::Warning, d.file, place, path))
}

fn enough_draws(fit: &Fit, d: &mut Described<'_>) {
    if d.faults.is_empty() && fit.draws() < (4 * fit.dimensions()).max(16) {
        let least = (4 * fit.dimensions()).max(16);
        d.fault_at(
            0,
            "sample.count",
            format!(
                "the posterior of {} unknowns needs at least {least} draws",
                fit.dimensions()
            ),
        );
    }
}

/// The number of the case; an error where it is not known, or not said where there are several. Without cases it is not asked.
fn case_of(
    name: Option<&Text>,
    cases: &[String],
    at: usize,
    d: &mut Described<'_>,
) -> Option<usize> {
    match name {
        _ if cases.is_empty() => Some(0),
        None if cases.len() == 1 => Some(0),
        None => {
            d.fault_at(at, "scenario", format!("which case? {}", cases.join(", ")));
            None
        }
        Some(name) => {
            let found = cases.iter().position(|c| c == name.get_ref());
            if found.is_none() {
                let problem = format!("`{}` is no case: {}", name.get_ref(), cases.join(", "));
                d.fault_at(name.span().start, "scenario", problem);
            }
            found
        }
    }
}

fn number(
    raw: &RawData,
    cases: &[String],
    model_error: f64,
    d: &mut Described<'_>,
) -> Option<NumberDatum> {
    let case = case_of(raw.scenario.as_ref(), cases, raw.name.span().start, d)?;
    let quantity = quantity_named(&raw.name, d)?;
    let name = raw.name.get_ref();
    let value = d.quantity(name, &raw.value, quantity.measure.0)?;
    let deviation = d.positive(name, Some(&raw.deviation), quantity.measure.0)?;
    let of_model = model_error * value;
    Some(NumberDatum {
        case,
        quantity,
        value,
        deviation: (deviation * deviation + of_model * of_model).sqrt(),
        what: if cases.len() > 1 {
            format!("{name} of {}", cases[case])
        } else {
            name.clone()
        },
    })
}

/// Dimension of a column by the unit at its end.
fn dimension_of(column: &str) -> Dimension {
    let ends = [
        ("_mps2", Dimension::Acceleration),
        ("_mps", Dimension::Speed),
        ("_radps", Dimension::AngularRate),
        ("_rad", Dimension::Angle),
        ("_nm", Dimension::Torque),
        ("_n", Dimension::Force),
        ("_m", Dimension::Length),
        ("_j", Dimension::Energy),
    ];
    ends.into_iter()
        .find(|e| column.ends_with(e.0))
        .map_or(Dimension::Ratio, |e| e.1)
}

fn trace(
    raw: &RawTrace,
    cases: &[String],
    (model_error, correlation_s): (f64, f64),
    tables: Result<RecordTables, String>,
    d: &mut Described<'_>,
) -> Option<TraceDatum> {
    let case = case_of(raw.scenario.as_ref(), cases, raw.record.span().start, d)?;
    let column = raw.column.get_ref();
    let from = d
        .maybe("trace.from", raw.from.as_ref(), Dimension::Time)
        .unwrap_or(0.0);
    let until = d.quantity("trace.until", &raw.until, Dimension::Time)?;
    let every = d.positive("trace.every", Some(&raw.every), Dimension::Time)?;
    let shift_s = d
        .positive("trace.time_zero", raw.time_zero.as_ref(), Dimension::Time)
        .unwrap_or(0.0);
    // Its dimension is that of the column, which the record must have.
    let deviation =
        |d: &mut Described<'_>| d.positive(column, Some(&raw.deviation), dimension_of(column));
    let count = ((until - from) / every + 1e-6) as usize;
    if from < 0.0 || !(1..=MOST_INSTANTS).contains(&count) {
        let problem = format!(
            "from {} to {} in steps of {} are {count} instants; 1 to {MOST_INSTANTS} after time zero are wanted",
            raw.from.as_ref().map_or("0 s", |t| t.get_ref().as_str()),
            raw.until.get_ref(),
            raw.every.get_ref()
        );
        d.fault_at(raw.every.span().start, "trace", problem);
        deviation(d);
        return None;
    }
    let tables = match tables {
        Ok(tables) => tables,
        Err(problem) => {
            d.fault_at(raw.record.span().start, "trace.record", problem);
            deviation(d);
            return None;
        }
    };
    let table = if of_history(column) || column == "velocity_change_mps" {
        tables.history
    } else {
        tables.vehicle_record
    };
    let found = table
        .as_ref()
        .and_then(|t| t.column("time_s").zip(t.column(column)));
    let Some((clock, values)) = found.filter(|f| !f.0.is_empty()) else {
        d.fault_at(
            raw.column.span().start,
            column,
            format!("the record {} has no such column", raw.record.get_ref()),
        );
        return None;
    };
    let deviation = deviation(d)?;
    let times_s: Vec<f64> = (1..=count).map(|i| from + i as f64 * every).collect();
    let last = clock.last().copied().unwrap_or(0.0);
    if times_s.last().is_some_and(|t| *t > last + 1e-9) {
        let problem = format!(
            "the record ends at {} s, before {}",
            giveway_units::shown(last, 4),
            raw.until.get_ref()
        );
        d.fault_at(raw.until.span().start, column, problem);
        return None;
    }
    let values = at_instants(clock, values, &times_s, 0.0, !averaged(column));
    let peak = values.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    let Some(spread) = Spread::new(&times_s, deviation, model_error * peak, correlation_s) else {
        d.fault_at(
            raw.deviation.span().start,
            column,
            "the errors have no usable covariance: a larger deviation is wanted",
        );
        return None;
    };
    Some(TraceDatum {
        case,
        column: column.clone(),
        times_s,
        values,
        shift_s,
        spread,
        what: if cases.len() > 1 {
            format!("{column} of {}", cases[case])
        } else {
            column.clone()
        },
    })
}
