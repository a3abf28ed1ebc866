//! What a laboratory measured: a record made clean, and parameters fitted to it.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use giveway_lab::fit::{Posterior, RecordTables, Refused, read_fit};
use giveway_lab::record::{
    CleanRecord, RawTable, RecordSummary, Reference, clean, csv_table, describe,
};
use giveway_results::NumberTable;
use pyo3::prelude::*;
use pyo3::types::PyCapsule;
use serde::{Deserialize, Serialize};

use crate::arrow::{kept, numbers};
use crate::json::{request, told};
use crate::many::beside;
use crate::refusal::{Refusal, data};
use crate::single::Source;
use crate::watch::{pool, watched};

/// The computed run covers at least this much, s.
const COMPUTED_S: f64 = 0.3;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    text: String,
    /// Name or path of the file; what it names lies beside it.
    name: String,
    changes: Vec<(String, String)>,
    threads: Option<usize>,
    /// Records by the name that the file gives them; others are folders of the program beside it.
    records: BTreeMap<String, Source>,
}

#[derive(Serialize)]
struct RecordTold<'a> {
    summary: &'a RecordSummary,
    warnings: Vec<serde_json::Value>,
}

/// Cleans and judges a record. Its table: clock, accelerations, yaw rate, velocity change, way and the other channels.
pub fn record(py: Python<'_>, text: &str) -> PyResult<(String, Py<PyCapsule>)> {
    let (answer, table) = py
        .detach(|| {
            let (record, warnings) = cleaned(&request(text)?)?;
            let summary = &record.summary;
            let answer = told(&RecordTold { summary, warnings })?;
            Ok((answer, numbers(columns(record))?))
        })
        .map_err(|r: Refusal| r.raised(py))?;
    Ok((answer, kept(py, table)?.unbind()))
}

/// The clean record, and the warnings of its scenario.
fn cleaned(asked: &Source) -> Result<(CleanRecord, Vec<serde_json::Value>), Refusal> {
    let description = describe(&asked.name, &asked.text)?;
    let (name, scenario) =
        beside(&asked.name, &description.scenario).map_err(|e| Refusal::usage(&e))?;
    let loaded = crate::single::scenario(&name, scenario, &asked.changes)?.loaded;
    let folder = Path::new(&asked.name).parent().unwrap_or(Path::new(""));
    let path = folder.join(&description.file);
    let file = path.display().to_string();
    let table = if path
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("parquet"))
    {
        RawTable::of_columns(&file, NumberTable::of_foreign_parquet(&path)?.columns)
    } else {
        // Column names may hold signs of an older encoding; numbers do not.
        let bytes = std::fs::read(&path)
            .map_err(|e| Refusal::io(&path, &format!("cannot be read: {e}")))?;
        csv_table(&file, &String::from_utf8_lossy(&bytes), &description)?
    };
    let seconds = description.length_s.unwrap_or(0.0).max(COMPUTED_S);
    let reference = Reference::of(&loaded.scenario, seconds).ok();
    let record = clean(&description, &table, &loaded.scenario, reference.as_ref())?;
    Ok((record, loaded.warnings.iter().map(data).collect()))
}

/// The columns of a clean record.
fn columns(record: CleanRecord) -> Vec<(String, String, Vec<f64>)> {
    let interval = record.summary.interval_s;
    let rows = record.velocity_change_mps.len();
    let named =
        |name: &str, meaning: &str, values: Vec<f64>| (name.to_owned(), meaning.to_owned(), values);
    let clock = (0..rows).map(|i| (i + 1) as f64 * interval).collect();
    let mut list = vec![named(
        "time_s",
        "end of the interval, since first touch",
        clock,
    )];
    for (axis, letter) in ["x", "y", "z"].into_iter().enumerate() {
        let measures = format!("acceleration-{letter}");
        if !record
            .summary
            .channels
            .iter()
            .any(|c| c.measures == measures)
        {
            continue;
        }
        let mean = record.acceleration_mps2.iter().map(|a| a[axis]).collect();
        let name = format!("acceleration_{letter}_mps2");
        list.push(named(&name, "mean over the interval, vehicle axes", mean));
    }
    if record.yaw_measured {
        let yaw = record.yaw_rate_radps;
        list.push(named("yaw_rate_radps", "at the interval's middle", yaw));
    }
    let change = record.velocity_change_mps;
    list.push(named("velocity_change_mps", "speed lost along x", change));
    list.push(named("way_m", "way of the centre of mass", record.way_m));
    let others = record.others.into_iter();
    list.extend(others.map(|(name, values)| (name, "as measured, filtered".to_owned(), values)));
    list
}

#[derive(Serialize)]
struct FitTold<'a> {
    posterior: &'a Posterior,
    warnings: Vec<serde_json::Value>,
}

/// Fits parameters; `progress` is told the stage. Its table: a row a draw, a column a parameter.
pub fn fit(
    py: Python<'_>,
    text: &str,
    progress: Option<&Bound<'_, PyAny>>,
) -> PyResult<(String, Py<PyCapsule>)> {
    let raise = |r: Refusal| r.raised(py);
    let asked: Asked = request(text).map_err(raise)?;
    let load = |name: &str| beside(&asked.name, name);
    let folder = Path::new(&asked.name).parent().unwrap_or(Path::new(""));
    let records = |name: &str| match asked.records.get(name) {
        None => RecordTables::of_folder(&folder.join(name)),
        Some(record) => {
            let (record, _) = cleaned(record).map_err(|r| r.to_string())?;
            let columns = columns(record).into_iter();
            let table = NumberTable {
                columns: columns.map(|(name, _, values)| (name, values)).collect(),
            };
            Ok(RecordTables {
                history: Some(table.clone()),
                vehicle_record: Some(table),
                scenario: None,
            })
        }
    };
    let read = py.detach(|| read_fit(&asked.text, &asked.name, &asked.changes, &load, &records));
    let (fit, warnings) = read.map_err(|problem| {
        raise(match problem {
            Refused::Lab(faults) => faults.into(),
            Refused::Study(problems) => problems.into(),
        })
    })?;
    let threads = pool(asked.threads).map_err(raise)?;
    let stop = AtomicBool::new(false);
    let (stage, exponent) = (AtomicU64::new(0), AtomicU64::new(0));
    let callback = progress.map(|p| p.clone().unbind());
    let tell = |py: Python<'_>| match &callback {
        None => Ok(()),
        Some(callback) => {
            let now = f64::from_bits(exponent.load(Ordering::Relaxed));
            callback
                .call1(py, (stage.load(Ordering::Relaxed), now))
                .map(drop)
        }
    };
    let compute = |e: String| Refusal::compute(&e);
    let work = || {
        threads.install(|| {
            let mut cloud = fit.begin().map_err(|e| compute(e.to_string()))?;
            while !cloud.done() {
                if stop.load(Ordering::Relaxed) {
                    return Err(compute("interrupted".to_owned()));
                }
                fit.advance(&mut cloud)
                    .map_err(|e| compute(e.to_string()))?;
                stage.store(cloud.stage, Ordering::Relaxed);
                exponent.store(cloud.exponent.to_bits(), Ordering::Relaxed);
            }
            let posterior = fit.told(&cloud).map_err(compute)?;
            let table = fit.table(&cloud).map_err(compute)?;
            Ok((posterior, table))
        })
    };
    let (posterior, table) = watched(py, &stop, tell, work)?.map_err(raise)?;
    let answer = told(&FitTold {
        posterior: &posterior,
        warnings: warnings.iter().map(data).collect(),
    })
    .map_err(raise)?;
    let table = numbers(table).map_err(raise)?;
    Ok((answer, kept(py, table)?.unbind()))
}
