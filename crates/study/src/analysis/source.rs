//! The table of a study as a look at it needs it: swept quantities for all runs, outputs one at a time.

use giveway_results::{CellKind, CellValues, RowTable, Study};
use giveway_units::nearest;

use super::AnalysisError;
use super::layout::{AxisInfo, Layout, Role};
use super::limit::ColumnLimit;

/// Values of a swept quantity.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum AxisData {
    /// Listed numbers: the values, rising, and the place of each row's.
    Numbers(Vec<f64>, Vec<u32>),
    /// Words in the order in which they come: the words, and the place of each row's.
    Words(Vec<String>, Vec<u32>),
    /// Drawn numbers, row by row; NaN where a row has none.
    Drawn(Vec<f64>),
}

/// Place of a row that has no value.
pub(super) const NOWHERE: u32 = u32::MAX;

impl AxisData {
    /// Number of different values; of drawn numbers 0.
    pub fn levels(&self) -> usize {
        match self {
            Self::Numbers(levels, _) => levels.len(),
            Self::Words(levels, _) => levels.len(),
            Self::Drawn(_) => 0,
        }
    }
}

/// A study that is being looked at.
#[derive(Debug)]
pub struct Source<'a> {
    pub(super) study: &'a Study,
    /// What was swept.
    pub layout: Layout,
    pub(super) axes: Vec<AxisData>,
    /// Number of the sample point of each row; empty without a sample.
    pub(super) points: Vec<u32>,
    pub(super) failed: Vec<bool>,
    /// Whether the base held; none where the table does not tell how runs end.
    pub(super) held: Option<Vec<bool>>,
    /// Names of the governing documents.
    pub(super) documents: Vec<String>,
    /// Place of each row's document among them.
    judged_by: Vec<u32>,
}

/// The limit of a column over rows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RowLimits {
    /// The limit of all of them; none where there is none, or where they have different ones.
    pub line: Option<ColumnLimit>,
    /// What is said of the limit: the one of all, or of different ones the first, with all of them in words.
    pub shown: Option<ColumnLimit>,
    /// That of each document.
    of: Vec<Option<ColumnLimit>>,
}

impl RowLimits {
    /// One limit for every row.
    pub fn same(limit: Option<ColumnLimit>) -> Self {
        Self {
            shown: limit.clone(),
            line: limit,
            of: Vec::new(),
        }
    }
}

impl<'a> Source<'a> {
    /// Reads the swept quantities of a study.
    ///
    /// # Errors
    /// A study without a row, a file that does not read.
    pub fn new(study: &'a Study) -> Result<Self, AnalysisError> {
        let card = &study.file.card;
        let layout = Layout::of(card);
        if study.file.rows == 0 {
            return Err(AnalysisError::NoRows);
        }
        let has = |name: &str| card.columns.iter().any(|c| c.name == name);
        let mut source = Self {
            study,
            axes: Vec::new(),
            points: Vec::new(),
            failed: Vec::new(),
            held: None,
            documents: Vec::new(),
            judged_by: Vec::new(),
            layout,
        };
        source.failed = source.flags("failed", |failed| *failed == Some(true))?;
        if has("ending") {
            source.held = Some(source.held()?);
        }
        if has("document") {
            (source.documents, source.judged_by) = source.words("document")?;
        }
        if source.layout.sampling.is_some() {
            let points = source.numbers("point")?;
            // Below 2^31 by the plan; a row that failed before it was drawn has none.
            source.points = (points.iter())
                .map(|p| if p.is_nan() { NOWHERE } else { *p as u32 })
                .collect();
        }
        source.axes = (source.layout.axes.iter())
            .map(|axis| source.axis(axis))
            .collect::<Result<_, _>>()?;
        Ok(source)
    }

    /// The limit of a column for these rows, each judged by its own document.
    pub(super) fn limits_of(&self, column: &str, rows: &[u32]) -> RowLimits {
        let of: Vec<Option<ColumnLimit>> = match self.documents.as_slice() {
            [] => vec![ColumnLimit::of(column, None)],
            documents => (documents.iter())
                .map(|d| ColumnLimit::of(column, Some(d)))
                .collect(),
        };
        let mut used: Vec<usize> = (rows.iter())
            .filter_map(|row| self.judged_by.get(*row as usize))
            .filter(|place| **place != NOWHERE)
            .map(|place| *place as usize)
            .collect();
        used.sort_unstable();
        used.dedup();
        let number = |place: &usize| of[*place].as_ref().map(|l| l.value);
        let first = used.first().copied().unwrap_or(0);
        if used.iter().all(|place| number(place) == number(&first)) {
            return RowLimits::same(of[first].clone());
        }
        let told: Vec<String> = (used.iter())
            .map(|place| match number(place) {
                Some(value) => format!("{} {value:.4}", self.documents[*place]),
                None => format!("{} none", self.documents[*place]),
            })
            .collect();
        let mut shown = used.iter().filter_map(|place| of[*place].clone());
        RowLimits {
            line: None,
            shown: shown.next().map(|limit| ColumnLimit {
                source: format!(
                    "each run by the limit of its own document: {}",
                    told.join(", ")
                ),
                ..limit
            }),
            of: of.clone(),
        }
    }

    /// Whether the value of a row is beyond its limit; none where it has no value or no limit.
    pub(super) fn is_beyond(&self, limits: &RowLimits, row: usize, value: f64) -> Option<bool> {
        let own = match &limits.line {
            Some(line) => Some(line),
            None => (self.judged_by.get(row))
                .and_then(|place| limits.of.get(*place as usize))
                .and_then(Option::as_ref),
        };
        own.filter(|_| !value.is_nan())
            .map(|limit| limit.is_beyond(value))
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.failed.len()
    }

    fn axis(&self, info: &AxisInfo) -> Result<AxisData, AnalysisError> {
        Ok(match (info.kind, info.role) {
            (CellKind::Text, _) => {
                let (words, places) = self.words(&info.column)?;
                AxisData::Words(words, places)
            }
            (CellKind::Flag, _) => {
                let numbers = self.numbers(&info.column)?;
                let place = |x: &f64| if x.is_nan() { NOWHERE } else { *x as u32 };
                let words = vec!["no".to_owned(), "yes".to_owned()];
                AxisData::Words(words, numbers.iter().map(place).collect())
            }
            (_, Role::Drawn) => AxisData::Drawn(self.numbers(&info.column)?),
            _ => {
                let numbers = self.numbers(&info.column)?;
                let mut levels: Vec<f64> = Vec::new();
                for x in numbers.iter().filter(|x| !x.is_nan()) {
                    if let Err(at) = levels.binary_search_by(|l| l.total_cmp(x)) {
                        levels.insert(at, *x);
                    }
                }
                let place = |x: &f64| {
                    let found = levels.binary_search_by(|l| l.total_cmp(x));
                    found.map_or(NOWHERE, |at| at as u32)
                };
                let places = numbers.iter().map(place).collect();
                AxisData::Numbers(levels, places)
            }
        })
    }

    /// A column of numbers, counts or flags (0 and 1); NaN where a row has none.
    pub(super) fn numbers(&self, column: &str) -> Result<Vec<f64>, AnalysisError> {
        let mut out = Vec::with_capacity(self.study.file.rows as usize);
        for block in self.study.blocks(&[column])? {
            match values(&block?) {
                CellValues::Number(v) => out.extend(v.iter().map(|x| x.unwrap_or(f64::NAN))),
                CellValues::Count(v) => out.extend(v.iter().map(|x| *x as f64)),
                CellValues::MaybeCount(v) => {
                    out.extend(v.iter().map(|x| x.map_or(f64::NAN, |x| x as f64)));
                }
                CellValues::MaybeFlag(v) => {
                    out.extend(
                        v.iter()
                            .map(|x| x.map_or(f64::NAN, |x| f64::from(u8::from(x)))),
                    );
                }
                CellValues::Text(v) => out.extend(v.iter().map(|_| f64::NAN)),
                CellValues::MaybeText(v) => out.extend(v.iter().map(|_| f64::NAN)),
            }
        }
        Ok(out)
    }

    fn words(&self, column: &str) -> Result<(Vec<String>, Vec<u32>), AnalysisError> {
        let mut words: Vec<String> = Vec::new();
        let mut places = Vec::with_capacity(self.study.file.rows as usize);
        for block in self.study.blocks(&[column])? {
            let block = block?;
            let mut add = |word: Option<&str>| {
                let Some(word) = word else {
                    return places.push(NOWHERE);
                };
                let at = words.iter().position(|w| w == word).unwrap_or_else(|| {
                    words.push(word.to_owned());
                    words.len() - 1
                });
                places.push(at as u32);
            };
            match values(&block) {
                CellValues::Text(v) => v.iter().for_each(|w| add(Some(w))),
                CellValues::MaybeText(v) => v.iter().for_each(|w| add(w.as_deref())),
                other => (0..other.len()).for_each(|_| add(None)),
            }
        }
        Ok((words, places))
    }

    fn held(&self) -> Result<Vec<bool>, AnalysisError> {
        let (words, places) = self.words("ending")?;
        let held = words.iter().position(|w| w == "held");
        Ok((places.iter())
            .map(|p| held.is_some_and(|h| h == *p as usize))
            .collect())
    }

    fn flags(
        &self,
        column: &str,
        is: impl Fn(&Option<bool>) -> bool,
    ) -> Result<Vec<bool>, AnalysisError> {
        let mut out = Vec::with_capacity(self.study.file.rows as usize);
        for block in self.study.blocks(&[column])? {
            if let CellValues::MaybeFlag(v) = values(&block?) {
                out.extend(v.iter().map(&is));
            }
        }
        Ok(out)
    }

    /// The place of a swept quantity, by its column, its column without the unit, or its path.
    ///
    /// # Errors
    /// An unknown name, with the nearest one.
    pub fn axis_named(&self, name: &str) -> Result<usize, AnalysisError> {
        let axes = &self.layout.axes;
        let plain = name.replace(['.', '[', ']', '-'], "_");
        let exact = axes
            .iter()
            .position(|a| a.column == name || a.path.as_deref() == Some(name));
        let near = || {
            let like = |a: &&AxisInfo| {
                a.column
                    .strip_prefix(plain.as_str())
                    .is_some_and(|rest| rest.starts_with('_'))
            };
            let mut found = axes.iter().filter(like);
            match (found.next(), found.next()) {
                (Some(one), None) => axes.iter().position(|a| a == one),
                _ => None,
            }
        };
        exact.or_else(near).ok_or_else(|| {
            let known: Vec<String> = axes.iter().map(|a| a.column.clone()).collect();
            let paths = axes.iter().filter_map(|a| a.path.as_deref());
            let names = known.iter().map(String::as_str).chain(paths);
            AnalysisError::Unknown {
                what: "swept quantity",
                hint: nearest(name, names).map(str::to_owned),
                name: name.to_owned(),
                known,
            }
        })
    }

    /// An output's values, with a check that there are any.
    pub(super) fn output(&self, column: &str) -> Result<Vec<f64>, AnalysisError> {
        if !self.layout.values.iter().any(|v| v == column) {
            let known = self.layout.values.clone();
            let hint = nearest(column, known.iter().map(String::as_str)).map(str::to_owned);
            let longer = || known.iter().find(|k| k.starts_with(column)).cloned();
            return Err(AnalysisError::Unknown {
                what: "column of numbers",
                name: column.to_owned(),
                hint: hint.or_else(longer),
                known,
            });
        }
        let values = self.numbers(column)?;
        if values.iter().all(|v| v.is_nan()) {
            return Err(AnalysisError::NoValue {
                column: column.to_owned(),
                runs: self.study.file.rows,
                failed: self.study.file.failed,
            });
        }
        Ok(values)
    }
}

fn values(block: &RowTable) -> &CellValues {
    &block.columns[0].values
}
