//! `giveway record`: cleans the record of a test, judges it like a computed run, and lays the computed run over it.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use giveway_lab::record::{
    CleanRecord, Description, RawTable, RecordSummary, Reference, clean, csv_table, describe,
};
use giveway_lab::{Fault, Faults};
use giveway_occupant::flail::VelocityBasis;
use giveway_occupant::trace_scores::accept;
use giveway_occupant::trace_scores::rating::rating;
use giveway_report::{FigureFile, OverlayPanel, ReportError, overlay};
use giveway_results::{LabFiles, LabTable, NumberTable, RunFacts, write_lab_folder};

use crate::arguments::Record;
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::people;
use crate::run_folder::{figure_bytes, files_of};
use crate::terminal::{complain, ended};

/// Where records go unless `--out` says otherwise.
const DEFAULT_FOLDER: &str = "records";
/// Largest file of a laboratory, bytes.
const LARGEST: u64 = 1024 * 1024 * 1024;
/// The computed run covers at least this much, s.
const COMPUTED_S: f64 = 0.3;

/// Reads, cleans, judges, writes.
pub fn record(arguments: &Record) -> Exit {
    ended(whole(arguments), arguments.quiet)
}

fn whole(arguments: &Record) -> Result<String, Refusal> {
    let started = SystemTime::now();
    let file = &arguments.file;
    let name = file.display().to_string();
    let text = input::text_of(file)?;
    let description = describe(&name, &text).map_err(|list| faults(&list, &text))?;
    let beside = file.parent().unwrap_or(Path::new(""));
    let at_its_name = |key, problem: &str| {
        let list = description.fault(key, problem).into();
        Refusal {
            exit: Exit::Io,
            ..faults(&list, &text)
        }
    };
    let path = beside.join(&description.scenario);
    reachable(&path).map_err(|problem| at_its_name("scenario", &problem))?;
    let accepted = input::load(&path, &arguments.set)?;
    complain(&accepted.warnings);
    let scenario = &accepted.loaded.scenario;
    reachable(&beside.join(&description.file))
        .map_err(|problem| at_its_name("file.name", &problem))?;
    let table = table(beside, &description)?;
    let reference = Reference::of(
        scenario,
        description.length_s.unwrap_or(0.0).max(COMPUTED_S),
    );
    if let Err(problem) = &reference {
        complain(&format!(
            "{name}: warning: the scenario cannot be computed, so nothing is laid beside the record: {problem}\n"
        ));
    }
    let reference = reference.ok();
    let record = clean(&description, &table, scenario, reference.as_ref()).map_err(|list| {
        // Of a setting, or of the table.
        if list.0.iter().all(|fault| fault.file == name) {
            faults(&list, &text)
        } else {
            faults(&list, &lines_of(&beside.join(&description.file)))
        }
    })?;
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| Path::new(DEFAULT_FOLDER).join(file.file_stem().unwrap_or_default()));
    let (scores, figure) = match &reference {
        Some(reference) => laid_over(&name, &record, reference).or_refuse(Exit::Compute, file)?,
        None => (Vec::new(), None),
    };
    let facts = RunFacts::new(started, 1);
    write(
        &out,
        &text,
        &accepted.loaded.resolved_text,
        &record,
        figure.as_ref(),
        &facts,
    )
    .or_refuse(Exit::Io, &out)?;
    Ok(people::said(&told(&record, &scores, &out)))
}

/// What is wrong with a file of the laboratory.
pub(super) fn faults(faults: &Faults, text: &str) -> Refusal {
    let list = faults.0.iter().map(Fault::diagnostic).collect();
    Refusal::of_problems(list, text)
}

/// Why a file that a description names cannot be opened.
fn reachable(path: &Path) -> Result<(), String> {
    let name = path.display();
    match std::fs::File::open(path) {
        Ok(_) if path.is_dir() => Err(format!("{name} is a folder, not a file")),
        Ok(_) => Ok(()),
        Err(e) => Err(format!("{name} cannot be opened: {e}")),
    }
}

/// Whether a table has rows and no lines.
fn has_no_lines(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("parquet"))
}

/// The text of a table once more, for the lines that a fault shows; empty where it has none.
fn lines_of(path: &Path) -> String {
    if has_no_lines(path) {
        return String::new();
    }
    String::from_utf8_lossy(&std::fs::read(path).unwrap_or_default()).into_owned()
}

fn table(beside: &Path, d: &Description) -> Result<RawTable, Refusal> {
    let path = beside.join(&d.file);
    let name = path.display().to_string();
    if has_no_lines(&path) {
        let table = NumberTable::of_foreign_parquet(&path).or_refuse(Exit::Io, &path)?;
        return Ok(RawTable::of_columns(&name, table.columns));
    }
    let size = std::fs::metadata(&path)
        .map_err(|e| Refusal::of_file(Exit::Io, &path, &format!("cannot be opened: {e}")))?;
    if size.len() > LARGEST {
        return Err(Refusal::of_file(
            Exit::Scenario,
            &path,
            "is larger than 1 GiB; give the part around the event",
        ));
    }
    let bytes = std::fs::read(&path)
        .map_err(|e| Refusal::of_file(Exit::Io, &path, &format!("cannot be read: {e}")))?;
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let problem = "is UTF-16 text; save it as UTF-8";
        return Err(Refusal::of_file(Exit::Scenario, &path, problem));
    }
    // Column names may hold signs of an older encoding; numbers do not.
    let text = String::from_utf8_lossy(&bytes);
    csv_table(&name, &text, d).map_err(|list| faults(&list, &text))
}

/// Scores of the computed run against the record in words, and the picture of both.
fn laid_over(
    name: &str,
    record: &CleanRecord,
    reference: &Reference,
) -> Result<(Vec<String>, Option<FigureFile>), ReportError> {
    let interval = record.summary.interval_s;
    let ends = |n: usize, dt: f64| -> Vec<f64> { (0..n).map(|i| (i + 1) as f64 * dt).collect() };
    let computed_s = reference.change_mps.len() as f64 * reference.interval_s;
    let count = record
        .velocity_change_mps
        .len()
        .min((computed_s / interval) as usize);
    let clock = ends(count, interval);
    let forward = |a: &[[f64; 3]]| -> Vec<f64> { a.iter().map(|a| a[0]).collect() };
    let own = ends(reference.change_mps.len(), reference.interval_s);
    let at_record = |values: &[f64]| -> Vec<f64> {
        clock
            .iter()
            .map(|t| {
                let next = own.partition_point(|c| c < t).clamp(1, own.len() - 1);
                let part = ((t - own[next - 1]) / (own[next] - own[next - 1])).clamp(0.0, 1.0);
                values[next - 1] + part * (values[next] - values[next - 1])
            })
            .collect()
    };
    let traces = [
        (
            "velocity change, m/s",
            record.velocity_change_mps.clone(),
            reference.change_mps.clone(),
        ),
        (
            "forward acceleration, m/s^2",
            forward(&record.acceleration_mps2),
            forward(&reference.acceleration_mps2),
        ),
    ];
    let (mut words, mut panels) = (Vec::new(), Vec::new());
    for (title, measured, computed) in traces {
        let measured = measured[..count].to_vec();
        let computed = at_record(&computed);
        let mut parts = Vec::new();
        if let Ok(a) = accept(&measured, &computed) {
            parts.push(format!(
                "magnitude {:+.1} %, phase {:.1} %, mean residual (record less run) {:+.1} % and scatter {:.1} % of the peak",
                100.0 * a.sprague_geers.magnitude,
                100.0 * a.sprague_geers.phase,
                100.0 * a.residuals.mean_fraction,
                100.0 * a.residuals.deviation_fraction
            ));
        }
        if let Ok(r) = rating(&measured, &computed) {
            parts.push(format!("rating {:.2}", r.overall));
        }
        let line = parts.join("; ");
        words.push(format!("{title}: {line}"));
        panels.push(OverlayPanel {
            title: title.to_owned(),
            old: (&clock, measured),
            new: (&clock, computed),
            words: line,
        });
    }
    let names = [&format!("measured, {name}"), "computed from the scenario"].map(String::from);
    let figure = overlay(
        "record",
        "Measured and computed",
        [&names[0], &names[1]],
        &record.summary.caution,
        &panels,
    )?;
    Ok((words, Some(figure)))
}

fn write(
    out: &Path,
    description: &str,
    scenario: &str,
    record: &CleanRecord,
    figure: Option<&FigureFile>,
    facts: &RunFacts,
) -> Result<PathBuf, String> {
    let summary = serde_json::to_string_pretty(&record.summary).map_err(|e| e.to_string())?;
    let texts = [
        ("scenario.toml".to_owned(), scenario.to_owned()),
        ("summary.json".to_owned(), format!("{summary}\n")),
        ("record.toml".to_owned(), description.to_owned()),
    ];
    let interval = record.summary.interval_s;
    let rows = record.velocity_change_mps.len();
    let clock: Vec<f64> = (0..rows).map(|i| (i + 1) as f64 * interval).collect();
    let column =
        |name: &str, meaning: &str, values: Vec<f64>| (name.to_owned(), meaning.to_owned(), values);
    let time = column(
        "time_s",
        "end of the interval, time since first touch",
        clock,
    );
    let along = |axis: usize| {
        record
            .acceleration_mps2
            .iter()
            .map(|a| a[axis])
            .collect::<Vec<f64>>()
    };
    let mut history = vec![
        time.clone(),
        column(
            "velocity_change_mps",
            "speed lost along the vehicle's x axis",
            record.velocity_change_mps.clone(),
        ),
        column(
            "way_m",
            "way of the centre of mass since time zero",
            record.way_m.clone(),
        ),
    ];
    for (name, values) in &record.others {
        history.push(column(name, "as measured, filtered", values.clone()));
    }
    let mut motion = vec![time];
    for (axis, letter) in ["x", "y", "z"].into_iter().enumerate() {
        let measured = record
            .summary
            .channels
            .iter()
            .any(|c| c.measures == format!("acceleration-{letter}"));
        if measured {
            let meaning =
                "mean acceleration of the centre of mass over the interval (vehicle axes)";
            motion.push(column(
                &format!("acceleration_{letter}_mps2"),
                meaning,
                along(axis),
            ));
        }
    }
    if record.yaw_measured {
        motion.push(column(
            "yaw_rate_radps",
            "yaw rate at the interval's middle",
            record.yaw_rate_radps.clone(),
        ));
    }
    let tables = [
        LabTable {
            name: "history",
            columns: history,
        },
        LabTable {
            name: "vehicle_record",
            columns: motion,
        },
    ];
    let figures: Vec<(String, &[u8])> = figure.map_or_else(Vec::new, |f| files_of(f));
    let figures = figure_bytes(&figures);
    let files = LabFiles {
        texts: &texts,
        tables: &tables,
        figures: &figures,
        input: scenario,
        facts,
    };
    write_lab_folder(out, &files).map_err(|e| e.to_string())
}

fn told_of_the_occupant(s: &RecordSummary) -> String {
    let shown = |v: f64| giveway_units::shown(v, 3);
    let flail = &s.occupant.flail;
    let measured = s.channels.iter().any(|c| c.measures == "acceleration-y");
    let across = if measured {
        format!("{} m/s across", shown(flail.oiv_lateral_mps))
    } else {
        "nothing was measured across".to_owned()
    };
    let basis = match flail.basis {
        VelocityBasis::FlailSpace => String::new(),
        VelocityBasis::ContactVelocityChange => format!(
            " (no contact with the interior within the record of {} ms: the velocity change stands in)",
            shown(1e3 * s.occupant.record_length_s)
        ),
    };
    format!(
        "  occupant impact velocity {} m/s along, {across}{basis}\n",
        shown(flail.oiv_longitudinal_mps)
    )
}

/// What the zero level leaves open, and whether that is much.
fn told_of_the_zero_level(s: &RecordSummary) -> String {
    let shown = |v: f64| giveway_units::shown(v, 2);
    let (drift, change) = (&s.drift, &s.velocity_change);
    let size = if drift.is_small_beside(change) {
        "small"
    } else {
        "not small"
    };
    let end = if drift.ends_at_zero() {
        "near zero, as of a vehicle that rolls on"
    } else {
        "not near zero"
    };
    format!(
        "  zero level: its two halves before the blow differ by what would be {} m/s over the record, noise alone makes {} m/s: {size} beside the velocity change of {} m/s\n  end of the record: mean acceleration of its last tenth {} m/s^2, {end}\n",
        shown(drift.by_halves_mps.abs()),
        shown(drift.by_noise_mps),
        giveway_units::shown(change.largest_mps[0], 3),
        shown(drift.tail_mps2)
    )
}

fn told(record: &CleanRecord, scores: &[String], out: &Path) -> String {
    let s = &record.summary;
    let shown = |v: f64| giveway_units::shown(v, 3);
    let mut text = format!("{}\n", s.title);
    let change = &s.velocity_change;
    text.push_str(&format!(
        "  velocity change {} m/s at the end of the record, largest {} m/s at {} ms\n",
        shown(change.at_engagement_end_mps),
        shown(change.largest_mps[0]),
        shown(1e3 * change.largest_mps[1])
    ));
    if let Some(at) = change.at_contact_end_mps {
        text.push_str(&format!(
            "  velocity change {} m/s at the end of contact\n",
            shown(at)
        ));
    }
    text.push_str(&told_of_the_occupant(s));
    for v in &s.verdicts {
        text.push_str(&format!("  {}: {}\n", v.document, v.sentence));
    }
    for step in &s.steps {
        text.push_str(&format!("  {step}\n"));
    }
    text.push_str(&told_of_the_zero_level(s));
    for warning in &s.warnings {
        text.push_str(&format!("  look at this: {warning}\n"));
    }
    if !scores.is_empty() {
        text.push_str("  computed run against the record:\n");
        for line in scores {
            text.push_str(&format!("    {line}\n"));
        }
    }
    text.push_str(&format!("  {}\n  results: {}\n", s.caution, out.display()));
    text
}
