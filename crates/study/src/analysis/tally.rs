//! A study in a few counts: outcomes, endings, what was swept, the run with the least margin. It passes over the table once
//! for the words and once for each output, block by block.

use giveway_results::{CellValues, RowTable, Study};

use super::layout::{Layout, Role};
use super::limit::ColumnLimit;
use super::source::{AxisData, Source};
use super::{AnalysisError, Sampling};

/// Most different words of a column that are counted one by one.
const MOST_WORDS: usize = 40;
/// Outputs that are summed up, where the table has them.
const OUTPUTS: [&str; 10] = [
    "velocity_change_mps",
    "oiv_longitudinal_mps",
    "oiv_lateral_mps",
    "ridedown_longitudinal_g",
    "motion_margin_fraction",
    "margin_fraction",
    "peak_force_n",
    "peak_crush_m",
    "release_time_s",
    "energy_residual_fraction",
];

/// A word and how many runs have it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Count {
    /// The word, as in the table.
    pub word: String,
    /// Runs.
    pub runs: u64,
}

/// What was swept over one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Swept {
    /// Column.
    pub column: String,
    /// Path in the scenario.
    pub path: Option<String>,
    /// How it came to its values.
    pub role: Role,
    /// Number of different values; 0 where they are drawn.
    pub values: usize,
    /// Least and largest, of numbers.
    pub range: Option<[f64; 2]>,
    /// Words, at most 40.
    pub words: Vec<String>,
}

/// One output over all runs that have it.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Column.
    pub column: String,
    /// Runs that have a value.
    pub runs: u64,
    /// Least, median, largest.
    pub values: [f64; 3],
    /// Limit of the governing document.
    pub limit: Option<ColumnLimit>,
    /// Runs beyond it.
    pub beyond: u64,
}

/// The run that is furthest beyond its limit, or nearest to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Least {
    /// Its place in the plan.
    pub run: u64,
    /// Its margin.
    pub margin_fraction: f64,
    /// The check that decides, as named in the table.
    pub check: Option<String>,
    /// Column and value of what was swept.
    pub setting: Vec<(String, String)>,
}

/// A study in a few counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Governing documents.
    pub documents: Vec<String>,
    /// Outcomes; runs that failed have none.
    pub outcomes: Vec<Count>,
    /// Endings.
    pub endings: Vec<Count>,
    /// The check with the least margin.
    pub closest: Vec<Count>,
    /// Runs whose clamped base stands in the design wind, and runs for which that is known.
    pub in_wind: [u64; 2],
    /// Why runs failed.
    pub reasons: Vec<Count>,
    /// What was swept.
    pub swept: Vec<Swept>,
    /// How points were drawn.
    pub sampling: Option<Sampling>,
    /// Outputs.
    pub outputs: Vec<Spread>,
    /// The run with the least margin.
    pub least: Option<Least>,
}

/// Counts a study.
///
/// # Errors
/// A study without a row, a file that does not read.
pub fn tally(study: &Study) -> Result<Tally, AnalysisError> {
    let source = Source::new(study)?;
    let has = |name: &str| study.file.card.columns.iter().any(|c| c.name == name);
    let count = |column: &str| -> Result<Vec<Count>, AnalysisError> {
        if has(column) {
            counted(study, column)
        } else {
            Ok(Vec::new())
        }
    };
    let mut in_wind = [0; 2];
    if has("stands_in_wind") {
        for x in source.numbers("stands_in_wind")? {
            in_wind[1] += u64::from(!x.is_nan());
            in_wind[0] += u64::from(x == 1.0);
        }
    }
    let every: Vec<u32> = (0..source.rows() as u32).collect();
    let mut outputs = Vec::new();
    for column in OUTPUTS.iter().filter(|c| has(c)) {
        let mut values = source.numbers(column)?;
        let limits = source.limits_of(column, &every);
        let rows = values.iter().enumerate();
        let beyond = rows
            .filter(|(row, v)| source.is_beyond(&limits, *row, **v) == Some(true))
            .count() as u64;
        values.retain(|v| !v.is_nan());
        if values.is_empty() {
            continue;
        }
        values.sort_by(f64::total_cmp);
        outputs.push(Spread {
            column: (*column).to_owned(),
            runs: values.len() as u64,
            values: [
                values[0],
                values[(values.len() - 1) / 2],
                values[values.len() - 1],
            ],
            limit: limits.shown,
            beyond,
        });
    }
    Ok(Tally {
        documents: source.documents.clone(),
        outcomes: count("outcome")?,
        endings: count("ending")?,
        closest: count("closest_check")?,
        in_wind,
        reasons: count("reason")?,
        swept: swept(&source),
        sampling: source.layout.sampling.clone(),
        outputs,
        least: if has("margin_fraction") {
            least(study, &source)?
        } else {
            None
        },
    })
}

/// The words of a column, the most frequent first; alike ones in the order of the table. Beyond 40 the rest is one entry.
fn counted(study: &Study, column: &str) -> Result<Vec<Count>, AnalysisError> {
    let mut counts: Vec<Count> = Vec::new();
    let mut others = 0;
    let mut add = |word: &str| match counts.iter().position(|c| c.word == word) {
        Some(at) => counts[at].runs += 1,
        None if counts.len() < MOST_WORDS => counts.push(Count {
            word: word.to_owned(),
            runs: 1,
        }),
        None => others += 1,
    };
    for block in study.blocks(&[column])? {
        match &block?.columns[0].values {
            CellValues::Text(v) => v.iter().for_each(|w| add(w)),
            CellValues::MaybeText(v) => v.iter().flatten().for_each(|w| add(w)),
            _ => {}
        }
    }
    counts.sort_by_key(|c| std::cmp::Reverse(c.runs));
    if others > 0 {
        counts.push(Count {
            word: "others".to_owned(),
            runs: others,
        });
    }
    Ok(counts)
}

fn swept(source: &Source) -> Vec<Swept> {
    (source.layout.axes.iter().zip(&source.axes))
        .map(|(info, data)| {
            let ends = |list: &[f64]| {
                let numbers = || list.iter().copied().filter(|x| !x.is_nan());
                Some([numbers().reduce(f64::min)?, numbers().reduce(f64::max)?])
            };
            let (range, words) = match data {
                AxisData::Numbers(levels, _) => (ends(levels), Vec::new()),
                AxisData::Drawn(list) => (ends(list), Vec::new()),
                AxisData::Words(words, _) => {
                    (None, words.iter().take(MOST_WORDS).cloned().collect())
                }
            };
            Swept {
                column: info.column.clone(),
                path: info.path.clone(),
                role: info.role,
                values: data.levels(),
                range,
                words,
            }
        })
        .collect()
}

fn least(study: &Study, source: &Source) -> Result<Option<Least>, AnalysisError> {
    let margins = source.numbers("margin_fraction")?;
    let Some((row, margin)) = margins
        .iter()
        .enumerate()
        .filter(|(_, m)| !m.is_nan())
        .min_by(|a, b| a.1.total_cmp(b.1))
    else {
        return Ok(None);
    };
    let layout: &Layout = &source.layout;
    let mut columns = vec!["run"];
    columns.extend(layout.axes.iter().map(|a| a.column.as_str()));
    let check = study
        .file
        .card
        .columns
        .iter()
        .any(|c| c.name == "closest_check");
    if check {
        columns.push("closest_check");
    }
    let mut before = 0;
    for block in study.blocks(&columns)? {
        let block = block?;
        let rows = block.columns[0].values.len();
        if row >= before + rows {
            before += rows;
            continue;
        }
        let at = row - before;
        let run = text(&block, 0, at).parse().unwrap_or(row as u64);
        let axes = layout.axes.iter().enumerate();
        return Ok(Some(Least {
            run,
            margin_fraction: *margin,
            check: check.then(|| text(&block, columns.len() - 1, at)),
            setting: axes
                .map(|(i, a)| (a.column.clone(), text(&block, i + 1, at)))
                .collect(),
        }));
    }
    Ok(None)
}

/// A cell as text; empty where it is absent.
fn text(block: &RowTable, column: usize, row: usize) -> String {
    fn some<T: ToString>(value: Option<T>) -> String {
        value.map_or_else(String::new, |v| v.to_string())
    }
    match &block.columns[column].values {
        CellValues::Text(v) => v[row].clone(),
        CellValues::Number(v) => some(v[row]),
        CellValues::Count(v) => v[row].to_string(),
        CellValues::MaybeText(v) => some(v[row].clone()),
        CellValues::MaybeCount(v) => some(v[row]),
        CellValues::MaybeFlag(v) => some(v[row]),
    }
}
