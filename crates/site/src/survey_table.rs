//! The list of poles as columns for a file.

use giveway_results::{CellValues, RowColumn, RowTable};

use crate::decision::Decision;
use crate::survey::{PoleLine, Survey, Unreadable};

fn text(
    name: &'static str,
    meaning: &'static str,
    lines: &[PoleLine],
    read: impl Fn(&PoleLine) -> String,
) -> RowColumn {
    RowColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        values: CellValues::Text(lines.iter().map(read).collect()),
    }
}

fn number(
    name: &'static str,
    meaning: &'static str,
    lines: &[PoleLine],
    read: impl Fn(&PoleLine) -> Option<f64>,
) -> RowColumn {
    RowColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        values: CellValues::Number(lines.iter().map(read).collect()),
    }
}

fn count(
    name: &'static str,
    meaning: &'static str,
    lines: &[PoleLine],
    read: impl Fn(&PoleLine) -> usize,
) -> RowColumn {
    RowColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        values: CellValues::Count(
            lines
                .iter()
                .map(|l| i64::try_from(read(l)).unwrap_or(i64::MAX))
                .collect(),
        ),
    }
}

impl Unreadable {
    /// Its line of the table: no number is known.
    fn line(&self) -> PoleLine {
        PoleLine {
            rank: 0,
            pole: self.pole.clone().unwrap_or_else(|| "unknown".to_owned()),
            date: String::new(),
            place: String::new(),
            position_deg: None,
            photos: Vec::new(),
            type_title: String::new(),
            decision: Decision::CannotTell,
            load_as_found: None,
            load_as_designed: None,
            load_at_worst: None,
            low_speed_as_found_mps: None,
            low_speed_as_designed_mps: None,
            high_speed_as_found_mps: None,
            high_speed_as_designed_mps: None,
            failing: 0,
            not_measured: 0,
            essential_not_measured: 0,
            first: format!(
                "Put the record right: {}.",
                self.problem.trim_end_matches('.')
            ),
            file: self.file.clone(),
            line: self.line,
        }
    }
}

impl Survey {
    /// Columns of `poles.csv` and `poles.parquet`, the worst pole first.
    pub fn table(&self) -> RowTable {
        let unreadable = self.unreadable.iter().map(Unreadable::line);
        let l = &unreadable
            .chain(self.poles.iter().cloned())
            .collect::<Vec<_>>();
        RowTable {
            columns: vec![
                count(
                    "rank",
                    "place in the list, the worst first; 0 = the record could not be read",
                    l,
                    |p| p.rank,
                ),
                text("pole", "identifier of the pole", l, |p| p.pole.clone()),
                text("date", "day of the inspection", l, |p| p.date.clone()),
                text("place", "free text about the place", l, |p| p.place.clone()),
                number("latitude_deg", "latitude", l, |p| {
                    p.position_deg.map(|d| d[0])
                }),
                number("longitude_deg", "longitude", l, |p| {
                    p.position_deg.map(|d| d[1])
                }),
                text("photo", "names of photos, divided by ;", l, |p| {
                    p.photos.join("; ")
                }),
                text("type", "title of the scenario of its type", l, |p| {
                    p.type_title.clone()
                }),
                text("decision", "unreadable, no-go, cannot tell or go", l, |p| {
                    let word = if p.rank == 0 {
                        "unreadable"
                    } else {
                        p.decision.words()
                    };
                    word.to_owned()
                }),
                number("load_as_found", LOAD, l, |p| p.load_as_found),
                number("load_as_designed", "the same as designed", l, |p| {
                    p.load_as_designed
                }),
                number("load_at_worst", WORST, l, |p| p.load_at_worst),
                number("low_speed_as_found_mps", LOW, l, |p| {
                    p.low_speed_as_found_mps
                }),
                number(
                    "low_speed_as_designed_mps",
                    "the same as designed",
                    l,
                    |p| p.low_speed_as_designed_mps,
                ),
                number("high_speed_as_found_mps", HIGH, l, |p| {
                    p.high_speed_as_found_mps
                }),
                number(
                    "high_speed_as_designed_mps",
                    "the same as designed",
                    l,
                    |p| p.high_speed_as_designed_mps,
                ),
                count("failing", "requirements that fail", l, |p| p.failing),
                count("not_measured", "items that were not measured", l, |p| {
                    p.not_measured
                }),
                count(
                    "essential_not_measured",
                    "essential items that were not measured",
                    l,
                    |p| p.essential_not_measured,
                ),
                text("first", "what to do first", l, |p| p.first.clone()),
                text("file", "file of the record", l, |p| p.file.clone()),
                count("line", "line where the record begins", l, |p| p.line),
            ],
        }
    }
}

const LOAD: &str =
    "largest value over its limit in both governing tests as found; more than 1 fails";
const WORST: &str = "the same at the worst plausible value of something that was not measured";
const LOW: &str = "velocity change of the low-speed test as found";
const HIGH: &str = "velocity change of the high-speed test as found";
