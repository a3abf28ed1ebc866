//! Two closed studies: rows matched by the number or the key of the run, statistics of what differs.

use std::collections::BTreeMap;
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::inputs::{InputChange, input_changes, relative};
use super::tolerance::Tolerances;
use crate::ResultsError;
use crate::study_store::{Cell, CellKind, FIXED_COLUMNS, PlanSource, Study, read_plan, read_study};

/// Most kinds of changed words that are listed of a column.
const MOST_WORDS: usize = 12;

/// What differs between two studies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StudyComparison {
    /// The folders as they were given.
    pub folders: [String; 2],
    /// Whether every run of one is in the other and no value differs beyond the tolerances.
    pub same: bool,
    /// `number` or `key` of the run.
    pub matched_by: String,
    /// Rows of either.
    pub rows: [u64; 2],
    /// Runs that both have.
    pub matched: u64,
    /// Runs that only the old or only the new has.
    pub alone: [u64; 2],
    /// Inputs of the base scenarios that differ; empty where a folder does not keep its plan.
    pub inputs: Vec<InputChange>,
    /// Columns in which matched rows differ beyond the tolerances, largest relative change first.
    pub columns: Vec<ColumnChange>,
    /// Columns that both have and in which no matched row differs beyond the tolerances.
    pub columns_same: usize,
    /// What a reader should know besides.
    pub remarks: Vec<String>,
}

/// Differences of one column over the matched rows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ColumnChange {
    /// Column; the unit ends its name.
    pub column: String,
    /// Matched rows in which both have a value.
    pub compared: u64,
    /// Rows that differ beyond the tolerances, also where only one has a value.
    pub differing: u64,
    /// Rows in which only the old or only the new has a value.
    pub one_sided: [u64; 2],
    /// Mean of new minus old, in the column's unit; null for words.
    pub mean: Option<f64>,
    /// Root mean square of new minus old.
    pub root_mean_square: Option<f64>,
    /// 5 %, 50 % and 95 % quantiles of new minus old.
    pub quantiles: Option<[f64; 3]>,
    /// New minus old of the largest magnitude.
    pub largest: Option<f64>,
    /// The same over the larger magnitude of the two.
    pub largest_relative: Option<f64>,
    /// Number of the run (in the old study) where that is.
    pub largest_at_run: Option<i64>,
    /// Changed words with how often, most frequent first.
    pub words: Vec<WordCount>,
}

/// One change of a word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WordCount {
    /// Old word; null where there is none.
    pub old: Option<String>,
    /// New word; null where there is none.
    pub new: Option<String>,
    /// Rows.
    pub rows: u64,
}

/// Compares two closed studies. `by_key` matches rows by the key of the run instead of its number: the same run, wherever it
/// stands in its plan.
///
/// # Errors
/// A folder that does not read.
pub fn compare_studies(
    [old, new]: [&Path; 2],
    by_key: bool,
    tolerances: &Tolerances,
) -> Result<StudyComparison, ResultsError> {
    let studies = [read_study(old)?, read_study(new)?];
    let column = if by_key { "run_key" } else { "run" };
    let keys = [
        column_of(&studies[0], column)?,
        column_of(&studies[1], column)?,
    ];
    let pairs = matched(&keys);
    let runs = column_of(&studies[0], "run")?;
    let mut remarks = Vec::new();
    if !by_key && studies[0].file.card.plan_hash != studies[1].file.card.plan_hash {
        remarks.push(
            "the plans differ; run N of one may be another run than run N of the other (see the columns of what was set)"
                .to_owned(),
        );
    }
    let models = [0, 1].map(|i| studies[i].file.card.model_version);
    if models[0] != models[1] {
        remarks.push(format!("model version: {} and {}", models[0], models[1]));
    }
    let names = [0, 1].map(|i| -> Vec<&str> {
        let columns = &studies[i].file.card.columns;
        columns.iter().map(|c| c.name.as_str()).collect()
    });
    for (mine, other, whose) in [(0, 1, "old"), (1, 0, "new")] {
        let only: Vec<&str> = (names[mine].iter())
            .filter(|n| !names[other].contains(n))
            .copied()
            .collect();
        if !only.is_empty() {
            remarks.push(format!(
                "columns of the {whose} study alone: {}",
                only.join(", ")
            ));
        }
    }
    let (mut columns, mut same_columns) = (Vec::new(), 0);
    let failed = FIXED_COLUMNS[3].0;
    for name in std::iter::once(failed).chain(names[0].iter().copied()) {
        let kind = |study: &Study| {
            let own = study.file.card.columns.iter().find(|c| c.name == name);
            own.map_or(CellKind::Flag, |c| c.kind)
        };
        if name != failed && (!names[1].contains(&name) || kind(&studies[0]) != kind(&studies[1])) {
            continue;
        }
        let values = [column_of(&studies[0], name)?, column_of(&studies[1], name)?];
        let change = column_change(name, &values, &pairs, &runs, tolerances);
        if change.differing == 0 {
            same_columns += 1;
        } else {
            columns.push(change);
        }
    }
    columns.sort_by(|a, b| {
        let key = |c: &ColumnChange| c.largest_relative.map_or(f64::INFINITY, f64::abs);
        key(b).total_cmp(&key(a))
    });
    let known: Vec<&str> = names.iter().flatten().copied().collect();
    let inputs = match (read_plan(old)?, read_plan(new)?) {
        (Some(a), Some(b)) => base_changes([&a, &b], tolerances, &mut remarks),
        _ => {
            remarks.push(
                "a folder does not keep its plan: base scenarios are not compared".to_owned(),
            );
            Vec::new()
        }
    };
    if let Some(idle) = tolerances.idle(&known).filter(|_| inputs.is_empty()) {
        remarks.push(format!("the tolerance for `{idle}` fits no column"));
    }
    let rows = [0, 1].map(|i| keys[i].len() as u64);
    let alone = rows.map(|r| r - pairs.len() as u64);
    Ok(StudyComparison {
        folders: [old, new].map(|f| f.display().to_string()),
        same: alone == [0, 0] && columns.is_empty() && inputs.is_empty(),
        matched_by: if by_key { "key" } else { "number" }.to_owned(),
        rows,
        matched: pairs.len() as u64,
        alone,
        inputs,
        columns,
        columns_same: same_columns,
        remarks,
    })
}

/// Every value of a column.
fn column_of(study: &Study, name: &str) -> Result<Vec<Cell>, ResultsError> {
    let mut cells = Vec::new();
    for block in study.blocks(&[name])? {
        let block = block?;
        if let Some(column) = block.columns.first() {
            cells.extend((0..column.values.len()).map(|row| column.values.cell(row)));
        }
    }
    Ok(cells)
}

/// Rows of both that belong together; of keys that stand twice the first.
fn matched(keys: &[Vec<Cell>; 2]) -> Vec<(usize, usize)> {
    let text = |cell: &Cell| match cell {
        // Numbers in an order that a map keeps.
        Cell::Count(Some(number)) => format!("{number:020}"),
        other => other.text().unwrap_or_default(),
    };
    let whole = |cell: &Cell| match cell {
        Cell::Text(Some(text)) => text.clone(),
        other => text(other),
    };
    let mut there: BTreeMap<String, usize> = BTreeMap::new();
    for (row, key) in keys[1].iter().enumerate() {
        there.entry(whole(key)).or_insert(row);
    }
    let mut pairs = Vec::new();
    for (row, key) in keys[0].iter().enumerate() {
        if let Some(other) = there.remove(&whole(key)) {
            pairs.push((row, other));
        }
    }
    pairs
}

fn column_change(
    name: &str,
    [old, new]: &[Vec<Cell>; 2],
    pairs: &[(usize, usize)],
    runs: &[Cell],
    tolerances: &Tolerances,
) -> ColumnChange {
    let mut change = ColumnChange {
        column: name.to_owned(),
        compared: 0,
        differing: 0,
        one_sided: [0, 0],
        mean: None,
        root_mean_square: None,
        quantiles: None,
        largest: None,
        largest_relative: None,
        largest_at_run: None,
        words: Vec::new(),
    };
    let mut apart: Vec<f64> = Vec::new();
    let mut words: BTreeMap<(Option<String>, Option<String>), u64> = BTreeMap::new();
    for &(i, j) in pairs {
        let (Some(a), Some(b)) = (old.get(i), new.get(j)) else {
            continue;
        };
        if let (Some(x), Some(y)) = (number(a), number(b)) {
            change.compared += 1;
            apart.push(y - x);
            change.differing += u64::from(!tolerances.same(name, x, y));
            if change.largest.is_none_or(|l: f64| (y - x).abs() > l.abs()) {
                change.largest = Some(y - x);
                change.largest_relative = relative(x, y);
                change.largest_at_run = match runs.get(i) {
                    Some(Cell::Count(run)) => *run,
                    _ => None,
                };
            }
            continue;
        }
        let (x, y) = (a.text(), b.text());
        match (&x, &y) {
            (None, None) => continue,
            (Some(_), None) => change.one_sided[0] += 1,
            (None, Some(_)) => change.one_sided[1] += 1,
            (Some(_), Some(_)) => change.compared += 1,
        }
        if !a.same(b) {
            change.differing += 1;
            let worded = number(a).is_none() && number(b).is_none();
            if worded {
                *words.entry((x, y)).or_insert(0) += 1;
            }
        }
    }
    if !apart.is_empty() {
        let count = apart.len() as f64;
        change.mean = Some(apart.iter().sum::<f64>() / count);
        let squares: f64 = apart.iter().map(|d| d * d).sum();
        change.root_mean_square = Some((squares / count).sqrt());
        apart.sort_by(f64::total_cmp);
        let at = |part: f64| apart[((apart.len() - 1) as f64 * part).round() as usize];
        change.quantiles = Some([0.05, 0.5, 0.95].map(at));
    }
    let mut list: Vec<WordCount> = (words.into_iter())
        .map(|((old, new), rows)| WordCount { old, new, rows })
        .collect();
    list.sort_by_key(|w| std::cmp::Reverse(w.rows));
    list.truncate(MOST_WORDS);
    change.words = list;
    change
}

fn number(cell: &Cell) -> Option<f64> {
    match cell {
        Cell::Number(value) => *value,
        Cell::Count(value) => value.map(|v| v as f64),
        _ => None,
    }
}

/// Inputs of the base scenarios of the same name that differ; what else differs is a remark.
fn base_changes(
    plans: [&PlanSource; 2],
    tolerances: &Tolerances,
    remarks: &mut Vec<String>,
) -> Vec<InputChange> {
    let [old, new] = plans;
    if old.study != new.study {
        remarks.push("the study files differ".to_owned());
    }
    if old.changes != new.changes {
        let text = |list: &[(String, String)]| -> String {
            let list: Vec<String> = list.iter().map(|(p, v)| format!("{p}={v}")).collect();
            if list.is_empty() {
                "none".to_owned()
            } else {
                list.join(", ")
            }
        };
        let (a, b) = (text(&old.changes), text(&new.changes));
        remarks.push(format!("changes of every run: {a} and {b}"));
    }
    let mut changes = Vec::new();
    for (i, (a, b)) in old.scenarios.iter().zip(&new.scenarios).enumerate() {
        if a.text == b.text {
            continue;
        }
        match input_changes([&a.text, &b.text], tolerances) {
            Ok((found, _)) => changes.extend(found.into_iter().map(|c| InputChange {
                path: if old.scenarios.len() > 1 {
                    format!("{}: {}", a.name, c.path)
                } else {
                    c.path
                },
                ..c
            })),
            // A base may be incomplete by itself; what lacks comes with the study.
            Err(_) => remarks.push(format!("the texts of base scenario {} differ", i + 1)),
        }
    }
    if old.scenarios.len() != new.scenarios.len() {
        remarks.push("the studies have another number of base scenarios".to_owned());
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::super::tolerance::Width;
    use super::*;

    #[test]
    fn statistics_are_those_of_the_matched_rows() {
        let count = |v: &[i64]| -> Vec<Cell> { v.iter().map(|v| Cell::Count(Some(*v))).collect() };
        let keys = [count(&[0, 1, 2, 5]), count(&[5, 2, 1, 7])];
        let pairs = matched(&keys);
        assert_eq!(pairs, [(1, 2), (2, 1), (3, 0)]);
        let cells =
            |v: &[Option<f64>]| -> Vec<Cell> { v.iter().map(|v| Cell::Number(*v)).collect() };
        let values = [
            cells(&[Some(9.0), Some(1.0), Some(2.0), None]),
            cells(&[Some(4.0), Some(4.0), Some(1.5), None]),
        ];
        let none = Tolerances::default();
        let c = column_change("x_m", &values, &pairs, &keys[0], &none);
        assert_eq!((c.compared, c.differing, c.one_sided), (2, 3, [0, 1]));
        assert_eq!(
            (c.mean, c.largest, c.largest_at_run),
            (Some(1.25), Some(2.0), Some(2))
        );
        assert_eq!(c.largest_relative, Some(0.5));
        assert_eq!(c.root_mean_square, Some(((0.25_f64 + 4.0) / 2.0).sqrt()));
        let mut wide = none.clone();
        wide.allow("x_m", Width::Absolute(0.6));
        assert_eq!(
            column_change("x_m", &values, &pairs, &keys[0], &wide).differing,
            2
        );
        let words = |v: &[&str]| -> Vec<Cell> {
            v.iter()
                .map(|v| Cell::Text(Some((*v).to_owned())))
                .collect()
        };
        let values = [
            words(&["a", "pass", "pass", "x"]),
            words(&["x", "fail", "pass", "?"]),
        ];
        let c = column_change("outcome", &values, &pairs, &keys[0], &none);
        assert_eq!((c.compared, c.differing, c.words.len()), (3, 1, 1));
        assert_eq!(c.words[0].new.as_deref(), Some("fail"));
    }
}
