//! How alike the time histories of two runs are. The old one stands for the measured one: scores are those of the new one
//! against it, over the time that both cover, at the old one's instants.

use std::path::Path;

use giveway_occupant::trace_scores::rating::{MOST_SAMPLES, Rating, rating};
use giveway_occupant::trace_scores::{Acceptance, accept};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::tolerance::Tolerances;
use crate::ResultsError;
use crate::number_table::{NumberTable, read_history, read_vehicle_record};

/// Columns of the history that are scored, with what they are; bolts' tensions besides.
const HISTORY: [(&str, &str); 4] = [
    ("velocity_change_mps", "velocity change"),
    ("contact_force_n", "contact force"),
    ("crush_m", "crush"),
    ("foot_moment_nm", "bending moment at the foot"),
];
/// Columns of the vehicle's record that are scored.
const RECORD: [(&str, &str); 3] = [
    ("acceleration_x_mps2", "forward acceleration"),
    ("acceleration_y_mps2", "sideways acceleration"),
    ("yaw_rate_radps", "yaw rate"),
];

/// One trace of two runs, each on its own clock.
#[derive(Debug, Clone, PartialEq)]
pub struct TracePair {
    /// `history` or `vehicle_record`.
    pub table: &'static str,
    /// Column.
    pub column: String,
    /// What it is.
    pub name: String,
    /// Clock, s, and values of the old run.
    pub old: (Vec<f64>, Vec<f64>),
    /// Clock, s, and values of the new run.
    pub new: (Vec<f64>, Vec<f64>),
}

/// Scores of a trace.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TraceComparison {
    /// `history` or `vehicle_record`.
    pub table: String,
    /// Column.
    pub column: String,
    /// Instants compared.
    pub samples: usize,
    /// End of the time that both cover, s.
    pub common_until_s: f64,
    /// Value of largest magnitude, old and new, in the column's unit.
    pub peaks: [f64; 2],
    /// Largest difference, new minus old, in the column's unit.
    pub largest_difference: f64,
    /// When, s.
    pub largest_difference_time_s: f64,
    /// Magnitude, phase, residuals and acceptance of NCHRP Web-Only Document 179 (recalled); null where they do not exist.
    pub acceptance: Option<Acceptance>,
    /// Scores of ISO/TS 18571 (recalled); null where they do not exist.
    pub rating: Option<Rating>,
    /// Why a score does not exist, or what was done to get it.
    pub remark: Option<String>,
}

/// A column of a time history that is not the same in both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TableChange {
    /// File.
    pub file: String,
    /// Column; null for what concerns the whole table.
    pub column: Option<String>,
    /// Rows that differ beyond the tolerances.
    pub rows: usize,
    /// One plain sentence.
    pub sentence: String,
}

/// Every value of the tables that both folders should hold, row by row. A relative tolerance counts against the column's
/// largest magnitude, because a trace passes zero.
///
/// # Errors
/// What the system refuses; a table that does not read is a difference.
pub(super) fn table_changes(
    [old, new]: [&Path; 2],
    tolerances: &Tolerances,
) -> Result<Vec<TableChange>, ResultsError> {
    let mut changes = Vec::new();
    for table in ["history", "vehicle_record"] {
        for ending in ["parquet", "csv"] {
            let file = format!("{table}.{ending}");
            let whole = |sentence: &str| TableChange {
                file: file.clone(),
                column: None,
                rows: 0,
                sentence: sentence.to_owned(),
            };
            let sides = [old.join(&file), new.join(&file)];
            let there = [0, 1].map(|i| sides[i].exists());
            if there != [true, true] {
                if there[0] != there[1] {
                    changes.push(whole("only one of the folders holds it"));
                }
                continue;
            }
            let [Ok(a), Ok(b)] = [0, 1].map(|i| read_file(&sides[i])) else {
                changes.push(whole(
                    "it does not read as a table of numbers in one of the folders",
                ));
                continue;
            };
            changes.extend(columns_that_differ(&file, table, &a, &b, tolerances));
        }
    }
    Ok(changes)
}

fn read_file(path: &Path) -> Result<NumberTable, ResultsError> {
    if path.extension().is_some_and(|e| e == "parquet") {
        return NumberTable::of_parquet(path);
    }
    let bytes = std::fs::read(path).map_err(ResultsError::io("read", path))?;
    NumberTable::of_csv(&bytes).ok_or_else(|| ResultsError::altered(path, "is no table of numbers"))
}

fn columns_that_differ(
    file: &str,
    table: &str,
    a: &NumberTable,
    b: &NumberTable,
    tolerances: &Tolerances,
) -> Vec<TableChange> {
    let change = |column: Option<&str>, rows, sentence| TableChange {
        file: file.to_owned(),
        column: column.map(str::to_owned),
        rows,
        sentence,
    };
    let mut changes = Vec::new();
    if a.rows() != b.rows() {
        let sentence = format!(
            "{} rows in the old one, {} in the new one",
            a.rows(),
            b.rows()
        );
        changes.push(change(None, a.rows().abs_diff(b.rows()), sentence));
    }
    for (only, here, other) in [("old", a, b), ("new", b, a)] {
        for (name, _) in here.columns.iter().filter(|c| other.column(&c.0).is_none()) {
            changes.push(change(
                Some(name),
                here.rows(),
                format!("only the {only} one has it"),
            ));
        }
    }
    for (name, x) in &a.columns {
        let Some(y) = b.column(name) else { continue };
        let path = format!("{table}.{name}");
        let peak = (x.iter().chain(y)).fold(0.0, |most: f64, v| most.max(v.abs()));
        let differ: Vec<usize> = (x.iter().zip(y).enumerate())
            .filter(|(_, (x, y))| !tolerances.same_below(&path, **x, **y, peak))
            .map(|(row, _)| row)
            .collect();
        if let Some(first) = differ.first() {
            let sentence = format!(
                "{} of {} rows differ, the first is row {}: {} and {}",
                differ.len(),
                x.len().min(y.len()),
                first + 1,
                x[*first],
                y[*first]
            );
            changes.push(change(Some(name), differ.len(), sentence));
        }
    }
    changes
}

/// A trace with its scores.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedTrace {
    /// Both curves.
    pub pair: TracePair,
    /// Scores.
    pub scores: TraceComparison,
}

/// Scores every trace that both folders hold.
///
/// # Errors
/// A table that does not read.
pub fn compare_traces(old: &Path, new: &Path) -> Result<Vec<ComparedTrace>, ResultsError> {
    let mut found = Vec::new();
    for (table, read) in [
        (
            "history",
            read_history as fn(&Path) -> Result<Option<NumberTable>, ResultsError>,
        ),
        ("vehicle_record", read_vehicle_record),
    ] {
        let (Some(a), Some(b)) = (read(old)?, read(new)?) else {
            continue;
        };
        for (column, name) in wanted(table, &a) {
            let clock = |t: &NumberTable| t.column("time_s").map(<[f64]>::to_vec);
            let values = |t: &NumberTable| t.column(&column).map(<[f64]>::to_vec);
            let sides = [&a, &b].map(|t| clock(t).zip(values(t)));
            let [Some(old), Some(new)] = sides else {
                continue;
            };
            let pair = TracePair {
                table,
                column,
                name,
                old,
                new,
            };
            if let Some(scores) = scores(&pair) {
                found.push(ComparedTrace { pair, scores });
            }
        }
    }
    Ok(found)
}

fn wanted(table: &str, of: &NumberTable) -> Vec<(String, String)> {
    let own = |list: &[(&str, &str)]| -> Vec<(String, String)> {
        list.iter()
            .map(|(column, name)| ((*column).to_owned(), (*name).to_owned()))
            .collect()
    };
    if table != "history" {
        return own(&RECORD);
    }
    let mut list = own(&HISTORY);
    for (column, _) in &of.columns {
        let number = column
            .strip_prefix("bolt")
            .and_then(|c| c.strip_suffix("_tension_n"));
        if let Some(number) = number {
            list.push((column.clone(), format!("tension of bolt {number}")));
        }
    }
    list
}

/// Scores over the common time; none where the two share no instant.
fn scores(pair: &TracePair) -> Option<TraceComparison> {
    let end = pair.old.0.last()?.min(*pair.new.0.last()?);
    let count = pair.old.0.iter().take_while(|t| **t <= end).count();
    let (clock, old) = (&pair.old.0[..count], &pair.old.1[..count]);
    let new: Vec<f64> = clock
        .iter()
        .map(|t| at(&pair.new.0, &pair.new.1, *t))
        .collect();
    if count == 0 || !old.iter().chain(&new).all(|v| v.is_finite()) {
        return None;
    }
    let peak = |values: &[f64]| {
        (values.iter().copied()).fold(0.0, |m: f64, v| if v.abs() > m.abs() { v } else { m })
    };
    let (place, largest) = (old.iter().zip(&new).map(|(a, b)| b - a).enumerate()).fold(
        (0, 0.0),
        |best: (usize, f64), (i, d)| if d.abs() > best.1.abs() { (i, d) } else { best },
    );
    let acceptance = accept(old, &new);
    // The warping of the rating needs memory as the square of the samples: a longer record is rated at every k-th of them.
    let stride = count.div_ceil(MOST_SAMPLES);
    let thinned = |v: &[f64]| -> Vec<f64> { v.iter().copied().step_by(stride).collect() };
    let rated = rating(&thinned(old), &thinned(&new));
    let remark = (acceptance.as_ref().err())
        .or(rated.as_ref().err())
        .map(ToString::to_string)
        .or_else(|| (stride > 1).then(|| format!("rated at every {stride}. sample of {count}")));
    Some(TraceComparison {
        table: pair.table.to_owned(),
        column: pair.column.clone(),
        samples: count,
        common_until_s: end,
        peaks: [peak(old), peak(&new)],
        largest_difference: largest,
        largest_difference_time_s: clock[place],
        acceptance: acceptance.ok(),
        rating: rated.ok(),
        remark,
    })
}

/// The value at an instant, in a straight line between samples, held beyond the ends.
fn at(clock: &[f64], values: &[f64], t: f64) -> f64 {
    let i = clock.partition_point(|c| *c < t);
    if i == 0 {
        return values[0];
    }
    if i >= clock.len() {
        return values[clock.len() - 1];
    }
    let (a, b) = (clock[i - 1], clock[i]);
    if clock[i] == t || b <= a {
        return values[i];
    }
    values[i - 1] + (values[i] - values[i - 1]) * ((t - a) / (b - a))
}

#[cfg(test)]
mod tests {
    use super::super::tolerance::Width;
    use super::*;

    #[test]
    fn a_halved_trace_and_a_cut_table_are_differences() {
        let table = |force: &[f64]| NumberTable {
            columns: vec![
                (
                    "time_s".into(),
                    (0..force.len()).map(|i| 1e-4 * i as f64).collect(),
                ),
                ("force_n".into(), force.to_vec()),
            ],
        };
        let (a, none) = (table(&[0.0, 10.0, -20.0]), Tolerances::default());
        let found =
            |b: &NumberTable, t: &Tolerances| columns_that_differ("h.csv", "history", &a, b, t);
        assert_eq!(found(&a, &none), []);
        let half = found(&table(&[0.0, 5.0, -10.0]), &none);
        assert_eq!((half.len(), half[0].rows), (1, 2), "{half:?}");
        assert_eq!(half[0].column.as_deref(), Some("force_n"));
        let cut = found(&table(&[0.0, 10.0]), &none);
        assert_eq!(
            (cut.len(), cut[0].rows, cut[0].column.is_none()),
            (1, 1, true),
            "{cut:?}"
        );
        // A hundredth of the peak of 20, also where the trace is zero.
        let mut wide = Tolerances::default();
        wide.allow("", Width::Relative(0.01));
        assert_eq!(found(&table(&[0.19, 10.1, -20.0]), &wide), []);
        assert_eq!(found(&table(&[0.21, 10.1, -20.0]), &wide).len(), 1);
        assert_eq!(found(&table(&[f64::NAN, 10.0, -20.0]), &wide).len(), 1);
    }

    #[test]
    fn traces_of_other_clocks_meet_at_the_old_instants() {
        let clock: Vec<f64> = (0..101).map(|i| 1e-4 * f64::from(i)).collect();
        let coarse: Vec<f64> = (0..41).map(|i| 2e-4 * f64::from(i)).collect();
        let pair = TracePair {
            table: "history",
            column: "x".into(),
            name: String::new(),
            old: (clock.clone(), clock.iter().map(|t| 1000.0 * t).collect()),
            new: (coarse.clone(), coarse.iter().map(|t| 1100.0 * t).collect()),
        };
        let s = scores(&pair).unwrap();
        assert_eq!(s.samples, 81);
        assert!((s.largest_difference - 0.8).abs() < 1e-9, "{s:?}");
        assert!((s.largest_difference_time_s - 8e-3).abs() < 1e-12);
        // A tenth larger throughout: M = 0.1, P = 0.
        let sg = s.acceptance.unwrap().sprague_geers;
        assert!(
            (sg.magnitude - 0.1).abs() < 1e-9 && sg.phase < 1e-7,
            "{sg:?}"
        );
        assert_eq!(s.rating.unwrap().phase, 1.0);
        // A record of 25 001 samples is rated, at every second one.
        let clock: Vec<f64> = (0..25_001).map(|i| 1e-4 * f64::from(i)).collect();
        let wave = |a: f64| {
            clock
                .iter()
                .map(|t| a * libm::sin(3.0 * t))
                .collect::<Vec<f64>>()
        };
        let long = TracePair {
            old: (clock.clone(), wave(1.0)),
            new: (clock.clone(), wave(1.2)),
            ..pair.clone()
        };
        let s = scores(&long).unwrap();
        let rated = s.rating.unwrap();
        assert_eq!(
            s.remark.as_deref(),
            Some("rated at every 2. sample of 25001")
        );
        // A fifth of the amplitude is not 1 - 0.2/0.5 = 0.6: the path of least cost takes most of it up along the slopes of the
        // wave. A second program (plain dynamic programming in Python, every 20th sample) finds an error of 0.049, a score of 0.902.
        assert!(
            (rated.magnitude - 0.902).abs() < 0.01 && rated.phase == 1.0,
            "{rated:?}"
        );
        let alone = TracePair {
            new: (vec![0.0], vec![0.0]),
            ..pair
        };
        assert!(scores(&alone).unwrap().remark.is_some());
    }
}
