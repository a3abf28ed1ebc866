//! How alike the time histories of two runs are. The old one stands for the measured one: scores are those of the new one
//! against it, over the time that both cover, at the old one's instants.

use std::path::Path;

use giveway_occupant::trace_scores::rating::{Rating, rating};
use giveway_occupant::trace_scores::{Acceptance, accept};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
    /// Why a score does not exist.
    pub remark: Option<String>,
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
    let rated = rating(old, &new);
    let remark = (acceptance.as_ref().err())
        .or(rated.as_ref().err())
        .map(ToString::to_string);
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
    use super::*;

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
        let alone = TracePair {
            new: (vec![0.0], vec![0.0]),
            ..pair
        };
        assert!(scores(&alone).unwrap().remark.is_some());
    }
}
