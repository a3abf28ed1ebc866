//! `giveway compare`: what differs between old and new results, by how much, and how alike the traces are.

use std::path::Path;

use giveway_occupant::Blow;
use giveway_report::{OverlayPanel, overlay};
use giveway_results::comparison::{
    ColumnChange, ComparedTrace, InputChange, RunComparison, StudyComparison, Tolerances,
    TraceComparison, Width, compare_runs, compare_studies,
};
use giveway_results::{FolderKind, NOTES_NAME, Summary, examine, read_summary};
use serde::Serialize;

use crate::arguments::{Compare, Format};
use crate::exit::Exit;
use crate::output::write_file;
use crate::terminal::{complain, print};

/// Code of results that differ; for this command alone it is what other comparing programs return.
const DIFFERS: Exit = Exit::Compute;

/// Compares, prints, draws.
pub fn compare(arguments: &Compare) -> Exit {
    match whole(arguments) {
        Ok(exit) => exit,
        Err((exit, problem)) => {
            complain(&format!("error: {problem}\n"));
            exit
        }
    }
}

type Fault = (Exit, String);

fn whole(arguments: &Compare) -> Result<Exit, Fault> {
    let tolerances = tolerances(arguments);
    let folders = [arguments.old.as_path(), arguments.new.as_path()];
    let kinds = [kind_of(folders[0])?, kind_of(folders[1])?];
    match kinds {
        [FolderKind::Run, FolderKind::Run] => runs(folders, &tolerances, arguments),
        [FolderKind::Study, FolderKind::Study] => studies(folders, &tolerances, arguments),
        [FolderKind::Other, _] | [_, FolderKind::Other] => Err((
            Exit::NoResults,
            "one of the folders holds results of another command; runs and studies can be compared"
                .to_owned(),
        )),
        _ => Err((
            Exit::Usage,
            "one is a run and the other a study; give two runs or two studies".to_owned(),
        )),
    }
}

/// What a folder holds; it must be as it was written.
fn kind_of(folder: &Path) -> Result<FolderKind, Fault> {
    let name = folder.display();
    let looked_at = examine(folder).map_err(|e| (Exit::NoResults, format!("{name}: {e}")))?;
    if !looked_at.whole() {
        let odd = looked_at.files.iter().find(|(_, s)| s.word() != "whole");
        let what = odd.map_or_else(
            || "its scenario is not its input".to_owned(),
            |(file, state)| format!("{} is {}", file.name.escape_debug(), state.word()),
        );
        complain(&format!(
            "{name}: warning: {what}; `giveway rerun` says more\n"
        ));
    }
    Ok(looked_at.kind)
}

fn tolerances(arguments: &Compare) -> Tolerances {
    let mut tolerances = Tolerances::default();
    for (path, width) in &arguments.tolerance {
        tolerances.allow(path, Width::Relative(*width));
    }
    for (path, width) in &arguments.absolute {
        tolerances.allow(path, Width::Absolute(*width));
    }
    tolerances
}

fn runs(folders: [&Path; 2], tolerances: &Tolerances, arguments: &Compare) -> Result<Exit, Fault> {
    let (comparison, traces) =
        compare_runs(folders, tolerances).map_err(|e| (Exit::Io, e.to_string()))?;
    if let Some(out) = &arguments.out {
        let names = folders.map(|f| f.display().to_string());
        let caution = read_summary(folders[1])
            .map(|s| s.caution)
            .unwrap_or_default();
        write(out, &comparison, arguments)?;
        draw(out, &names, &caution, &traces)?;
    }
    match arguments.format {
        Format::Json => print(&line(&comparison)),
        Format::Text => print(&run_text(&comparison, &headline(folders), arguments.list)),
    }
    Ok(exit_of(comparison.same))
}

fn studies(
    folders: [&Path; 2],
    tolerances: &Tolerances,
    arguments: &Compare,
) -> Result<Exit, Fault> {
    let comparison = compare_studies(folders, arguments.by_key, tolerances)
        .map_err(|e| (Exit::Io, e.to_string()))?;
    if let Some(out) = &arguments.out {
        write(out, &comparison, arguments)?;
    }
    match arguments.format {
        Format::Json => print(&line(&comparison)),
        Format::Text => print(&study_text(&comparison, arguments.list)),
    }
    Ok(exit_of(comparison.same))
}

fn exit_of(same: bool) -> Exit {
    if same { Exit::Done } else { DIFFERS }
}

fn line(comparison: &impl Serialize) -> String {
    // Plain data: it always has a text.
    let text = serde_json::to_string(comparison).unwrap_or_default();
    format!("{text}\n")
}

fn write(out: &Path, comparison: &impl Serialize, arguments: &Compare) -> Result<(), Fault> {
    for folder in [&arguments.old, &arguments.new] {
        let same = |a: &Path, b: &Path| {
            a.canonicalize()
                .ok()
                .is_some_and(|a| b.canonicalize().ok() == Some(a))
        };
        if same(out, folder) {
            let problem = "--out names a folder that is compared; give another one";
            return Err((Exit::Usage, problem.to_owned()));
        }
    }
    if out.join("manifest.json").exists() || out.join(NOTES_NAME).exists() {
        let problem = format!("{} holds results; give another folder", out.display());
        return Err((Exit::Io, problem));
    }
    std::fs::create_dir_all(out)
        .map_err(|e| (Exit::Io, format!("{}: cannot be made: {e}", out.display())))?;
    let text = serde_json::to_string_pretty(comparison).unwrap_or_default();
    file(out, "comparison.json", format!("{text}\n").as_bytes())
}

fn file(out: &Path, name: &str, bytes: &[u8]) -> Result<(), Fault> {
    let path = out.join(name);
    write_file(&path, bytes).map_err(|e| (Exit::Io, format!("{}: {e}", path.display())))
}

/// Unit for drawing: what ends the column's name, and the factor to it.
fn drawn(column: &str) -> (&'static str, f64) {
    match column {
        c if c.ends_with("_mps2") => ("m/s^2", 1.0),
        c if c.ends_with("_mps") => ("m/s", 1.0),
        c if c.ends_with("_radps") => ("rad/s", 1.0),
        c if c.ends_with("_nm") => ("kN.m", 1e-3),
        c if c.ends_with("_n") => ("kN", 1e-3),
        c if c.ends_with("_m") => ("mm", 1e3),
        _ => ("", 1.0),
    }
}

fn draw(
    out: &Path,
    names: &[String; 2],
    caution: &str,
    traces: &[ComparedTrace],
) -> Result<(), Fault> {
    type Group = (&'static str, &'static str, fn(&str) -> bool);
    let groups: [Group; 5] = [
        ("velocity", "Velocity change", |c| {
            c == "velocity_change_mps"
        }),
        ("contact", "Contact force and crush", |c| {
            c == "contact_force_n" || c == "crush_m"
        }),
        ("moment", "Bending moment at the foot", |c| {
            c == "foot_moment_nm"
        }),
        ("tension", "Tension of the bolts", |c| {
            c.ends_with("_tension_n")
        }),
        ("record", "Record of the vehicle", |c| {
            c.starts_with("acceleration_") || c == "yaw_rate_radps"
        }),
    ];
    for (name, title, belongs) in groups {
        let panels: Vec<OverlayPanel> = (traces.iter())
            .filter(|t| belongs(&t.pair.column))
            .map(|t| {
                let (unit, factor) = drawn(&t.pair.column);
                let scaled = |v: &[f64]| -> Vec<f64> { v.iter().map(|v| factor * v).collect() };
                OverlayPanel {
                    title: format!("{}, {unit}", t.pair.name),
                    old: (&t.pair.old.0, scaled(&t.pair.old.1)),
                    new: (&t.pair.new.0, scaled(&t.pair.new.1)),
                    words: scores_of(&t.scores),
                }
            })
            .collect();
        if panels.is_empty() {
            continue;
        }
        let figure = overlay(name, title, [&names[0], &names[1]], caution, &panels)
            .map_err(|e| (Exit::Compute, e.to_string()))?;
        file(out, &format!("{name}.svg"), figure.svg.as_bytes())?;
        file(out, &format!("{name}.png"), &figure.png)?;
        file(out, &format!("{name}.txt"), figure.alt_text.as_bytes())?;
    }
    Ok(())
}

/// Scores of a trace in one line.
fn scores_of(s: &TraceComparison) -> String {
    let mut parts = Vec::new();
    if let Some(a) = &s.acceptance {
        let g = &a.sprague_geers;
        parts.push(format!(
            "magnitude {:+.1} %, phase {:.1} %",
            100.0 * g.magnitude,
            100.0 * g.phase
        ));
        parts.push(format!(
            "mean residual {:+.1} %, scatter {:.1} % of the peak",
            100.0 * a.residuals.mean_fraction,
            100.0 * a.residuals.deviation_fraction
        ));
    }
    if let Some(r) = &s.rating {
        parts.push(format!(
            "rating {:.2} (corridor {:.2}, phase {:.2}, magnitude {:.2}, slope {:.2})",
            r.overall, r.corridor, r.phase, r.magnitude, r.slope
        ));
    }
    if let (true, Some(remark)) = (parts.len() < 3, &s.remark) {
        parts.push(remark.clone());
    }
    parts.join("; ")
}

/// A number for people: six figures.
fn short(value: f64) -> String {
    giveway_units::shown(value, 6)
}

fn or_nothing(value: Option<&String>) -> String {
    let plain = |text: &String| -> String {
        let cut: String = text.chars().take(100).collect();
        let cut: String = cut
            .chars()
            .map(|c| if giveway_units::invisible(c) { ' ' } else { c })
            .collect();
        if cut.chars().count() < text.chars().count() {
            format!("{cut}\u{2026}")
        } else {
            cut
        }
    };
    value.map_or_else(|| "nothing".to_owned(), plain)
}

/// Verdict and the numbers that count, old and new; nothing where a summary does not read.
fn headline(folders: [&Path; 2]) -> String {
    let [Ok(old), Ok(new)] = folders.map(read_summary) else {
        return String::new();
    };
    let both = [&old, &new];
    let blow = both.map(|s| s.headline.blow.map_or("not judged", Blow::word));
    let mut text = format!("  the blow: {}\n", then(blow[0], blow[1]));
    for (name, unit, factor, of) in NUMBERS {
        let values = both.map(of);
        let said = values.map(|v| {
            v.map_or_else(
                || "none".to_owned(),
                |v| format!("{} {unit}", giveway_units::shown(factor * v, 4)),
            )
        });
        if values != [None, None] {
            text.push_str(&format!("  {name}: {}\n", then(&said[0], &said[1])));
        }
    }
    text
}

/// A number that counts: name, unit, shown number over that of the summary, and where it stands there.
type Number = (&'static str, &'static str, f64, fn(&Summary) -> Option<f64>);

const NUMBERS: [Number; 7] = [
    ("velocity change", "m/s", 1.0, |s| {
        let change = &s.velocity_change;
        (change.at_contact_end_mps).or(Some(change.at_engagement_end_mps))
    }),
    ("occupant impact velocity, longitudinal", "m/s", 1.0, |s| {
        Some(s.occupant.flail.oiv_longitudinal_mps)
    }),
    ("ridedown, longitudinal", "g", 1.0, |s| {
        let ridedown = s.occupant.flail.ridedown_longitudinal.as_ref();
        ridedown.map(|r| r.value_g)
    }),
    ("largest contact force", "kN", 1e-3, |s| {
        Some(s.contact.peak_force_n)
    }),
    ("largest crush", "mm", 1e3, |s| Some(s.contact.peak_crush_m)),
    ("release of the last bolt", "ms", 1e3, |s| s.times.release_s),
    ("margin of the closest check", "%", 100.0, |s| {
        s.headline.closest_margin_fraction
    }),
];

/// "old -> new", or once where both are the same.
fn then(old: &str, new: &str) -> String {
    if old == new {
        old.to_owned()
    } else {
        format!("{old} -> {new}")
    }
}

fn run_text(c: &RunComparison, headline: &str, most: usize) -> String {
    let mut text = head(&c.folders, c.same);
    text.push_str(headline);
    if let Some(inputs) = &c.inputs {
        text.push_str(&format!("  inputs that differ: {}\n", inputs.len()));
        listed(&mut text, inputs, most, input);
    }
    text.push_str(&format!(
        "  numbers compared: {}, equal to the last bit: {}, beyond the tolerances: {}\n",
        c.numbers_compared,
        c.numbers_equal,
        c.numbers.len()
    ));
    listed(&mut text, &c.numbers, most, |n| {
        format!(
            "{}: {} -> {}  ({}, {:+.3} %)",
            n.path,
            short(n.old),
            short(n.new),
            signed(n.absolute),
            100.0 * n.relative
        )
    });
    if !c.words.is_empty() {
        text.push_str(&format!("  words that changed: {}\n", c.words.len()));
        listed(&mut text, &c.words, most, |w| {
            format!("{}: {}", w.path, words(w.old.as_ref(), w.new.as_ref()))
        });
    }
    if !c.traces.is_empty() {
        text.push_str("  traces, new against old:\n");
        for t in &c.traces {
            text.push_str(&format!("    {}: {}\n", t.column, scores_of(t)));
        }
        text.push_str(SCORES);
    }
    if !c.tables.is_empty() {
        text.push_str(&format!(
            "  columns of time histories that differ: {}\n",
            c.tables.len()
        ));
        listed(&mut text, &c.tables, most, |t| {
            let column = t.column.as_ref();
            let column = column.map_or(String::new(), |c| format!(", {c}"));
            format!("{}{column}: {}", t.file, t.sentence)
        });
    }
    if !c.files.is_empty() {
        text.push_str(&format!("  files that differ: {}\n", c.files.len()));
        listed(&mut text, &c.files, most, String::clone);
    }
    for remark in &c.remarks {
        text.push_str(&format!("  {remark}\n"));
    }
    text
}

const SCORES: &str = "    magnitude and phase: Sprague and Geers 2004; residuals: NCHRP Web-Only Document 179 (recalled); \
     rating: ISO/TS 18571 (recalled)\n";

fn head(folders: &[String; 2], same: bool) -> String {
    let word = if same { "the same" } else { "they differ" };
    format!("{} and {}: {word}\n", folders[0], folders[1])
}

fn input(i: &InputChange) -> String {
    format!("{}: {}", i.path, words(i.old.as_ref(), i.new.as_ref()))
}

fn words(old: Option<&String>, new: Option<&String>) -> String {
    format!("{} -> {}", or_nothing(old), or_nothing(new))
}

/// A line for each of the first changes, and how many more there are.
fn listed<T>(text: &mut String, changes: &[T], most: usize, said: impl Fn(&T) -> String) {
    for change in changes.iter().take(most) {
        text.push_str(&format!("    {}\n", said(change)));
    }
    if changes.len() > most {
        let (count, rest) = (changes.len(), changes.len() - most);
        text.push_str(&format!(
            "    and {rest} more (--list {count}, or --format json)\n"
        ));
    }
}

fn signed(value: f64) -> String {
    if value < 0.0 {
        short(value)
    } else {
        format!("+{}", short(value))
    }
}

fn study_text(c: &StudyComparison, most: usize) -> String {
    let mut text = head(&c.folders, c.same);
    text.push_str(&format!(
        "  rows: {} and {}, matched by {}: {}; alone: {} and {}\n",
        c.rows[0], c.rows[1], c.matched_by, c.matched, c.alone[0], c.alone[1]
    ));
    if !c.inputs.is_empty() {
        text.push_str(&format!(
            "  inputs of the base that differ: {}\n",
            c.inputs.len()
        ));
        listed(&mut text, &c.inputs, most, input);
    }
    text.push_str(&format!(
        "  columns the same: {}, columns that differ: {}\n",
        c.columns_same,
        c.columns.len()
    ));
    listed(&mut text, &c.columns, most, |column| {
        column_text(column, c.matched)
    });
    for remark in &c.remarks {
        text.push_str(&format!("  {remark}\n"));
    }
    text
}

/// A column of a study: how many rows differ, and by how much.
fn column_text(column: &ColumnChange, matched: u64) -> String {
    let mut text = format!(
        "{}: {} of {matched} rows differ",
        column.column, column.differing
    );
    if let (Some(mean), Some(rms), Some(q), Some(largest)) = (
        column.mean,
        column.root_mean_square,
        column.quantiles,
        column.largest,
    ) {
        text.push_str(&format!(
            "; new - old: mean {}, rms {}, 5/50/95 % {} / {} / {}, largest {}",
            signed(mean),
            short(rms),
            short(q[0]),
            short(q[1]),
            short(q[2]),
            signed(largest)
        ));
        if let Some(run) = column.largest_at_run {
            text.push_str(&format!(" (run {run})"));
        }
    }
    if column.one_sided != [0, 0] {
        let [old, new] = column.one_sided;
        text.push_str(&format!("; only old {old}, only new {new}"));
    }
    for w in &column.words {
        let change = words(w.old.as_ref(), w.new.as_ref());
        text.push_str(&format!("\n      {change}: {} rows", w.rows));
    }
    text
}
