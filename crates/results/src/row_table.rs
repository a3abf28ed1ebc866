//! A table of rows in memory: columns of numbers, counts, texts and flags, some of which may be absent in a row. Lists of
//! poles and studies are such tables; this module checks them and writes them as text for spreadsheets.
//!
//! References
//! - Y. Shafranovich, RFC 4180 (2005): cells in quotes.

use std::fmt::Write;

use crate::ResultsError;
use crate::study_store::Cell;

/// A table. All columns have the same length.
#[derive(Debug, Clone, PartialEq)]
pub struct RowTable {
    /// Columns in file order.
    pub columns: Vec<RowColumn>,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct RowColumn {
    /// Name with unit.
    pub name: String,
    /// One line.
    pub meaning: String,
    /// Values.
    pub values: CellValues,
}

/// Values of a column, one a row; none where a value does not exist.
#[derive(Debug, Clone, PartialEq)]
pub enum CellValues {
    /// Texts.
    Text(Vec<String>),
    /// Numbers that may be absent.
    Number(Vec<Option<f64>>),
    /// Whole numbers.
    Count(Vec<i64>),
    /// Texts that may be absent.
    MaybeText(Vec<Option<String>>),
    /// Whole numbers that may be absent.
    MaybeCount(Vec<Option<i64>>),
    /// Yes or no, may be absent.
    MaybeFlag(Vec<Option<bool>>),
}

impl CellValues {
    /// Number of rows.
    pub fn len(&self) -> usize {
        match self {
            Self::Text(v) => v.len(),
            Self::Number(v) => v.len(),
            Self::Count(v) => v.len(),
            Self::MaybeText(v) => v.len(),
            Self::MaybeCount(v) => v.len(),
            Self::MaybeFlag(v) => v.len(),
        }
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The value in a row, which must exist.
    pub fn cell(&self, row: usize) -> Cell {
        match self {
            Self::Text(v) => Cell::Text(Some(v[row].clone())),
            Self::Number(v) => Cell::Number(v[row]),
            Self::Count(v) => Cell::Count(Some(v[row])),
            Self::MaybeText(v) => Cell::Text(v[row].clone()),
            Self::MaybeCount(v) => Cell::Count(v[row]),
            Self::MaybeFlag(v) => Cell::Flag(v[row]),
        }
    }

    /// Clears the mark of every row in which two columns of the same kind and length differ.
    pub(crate) fn compare(&self, other: &Self, equal: &mut [bool]) {
        fn mark<T: PartialEq>(a: &[T], b: &[T], equal: &mut [bool]) {
            for ((a, b), equal) in a.iter().zip(b).zip(equal) {
                *equal &= a == b;
            }
        }
        match (self, other) {
            (Self::Text(a), Self::Text(b)) => mark(a, b, equal),
            (Self::Number(a), Self::Number(b)) => mark(a, b, equal),
            (Self::Count(a), Self::Count(b)) => mark(a, b, equal),
            (Self::MaybeText(a), Self::MaybeText(b)) => mark(a, b, equal),
            (Self::MaybeCount(a), Self::MaybeCount(b)) => mark(a, b, equal),
            (Self::MaybeFlag(a), Self::MaybeFlag(b)) => mark(a, b, equal),
            _ => equal.fill(false),
        }
    }

    // An absent value is an empty cell, an empty text two quotes.
    fn write_cell(&self, row: usize, line: &mut String) {
        match self {
            Self::Text(v) => push_quoted(line, &v[row]),
            // `{:?}` is the shortest text that reads back to the same bits.
            Self::Number(v) => push_some(line, v[row].map(|x| format!("{x:?}"))),
            Self::Count(v) => push_some(line, Some(v[row])),
            Self::MaybeText(v) => match &v[row] {
                None => {}
                Some(text) if text.is_empty() => line.push_str("\"\""),
                Some(text) => push_quoted(line, text),
            },
            Self::MaybeCount(v) => push_some(line, v[row]),
            Self::MaybeFlag(v) => push_some(line, v[row]),
        }
    }
}

fn push_some(line: &mut String, value: Option<impl std::fmt::Display>) {
    if let Some(value) = value {
        // Writing into a text cannot fail.
        let _ = write!(line, "{value}");
    }
}

/// A cell in quotes where it holds what would end it. A text that a spreadsheet would take for a formula begins with a
/// blank, so that it stays a text.
fn push_quoted(line: &mut String, text: &str) {
    let blank = if text.starts_with(['=', '+', '-', '@']) {
        " "
    } else {
        ""
    };
    if text.contains([',', '"', '\n', '\r']) {
        push_some(
            line,
            Some(format_args!("\"{blank}{}\"", text.replace('"', "\"\""))),
        );
    } else {
        push_some(line, Some(format_args!("{blank}{text}")));
    }
}

impl RowTable {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |c| c.values.len())
    }

    /// Column by name.
    pub fn column(&self, name: &str) -> Option<&RowColumn> {
        self.columns.iter().find(|c| c.name == name)
    }

    /// The table as comma-separated values: a header line, then one line a row.
    ///
    /// # Errors
    /// Columns of different lengths, or a number that is not finite.
    pub fn csv(&self) -> Result<String, ResultsError> {
        self.check("the table")?;
        let mut text = self.csv_head();
        self.add_csv_rows(&mut text);
        Ok(text)
    }

    /// Number of rows; an error for columns of different lengths and for a number that is not finite.
    pub(crate) fn check(&self, table: &'static str) -> Result<usize, ResultsError> {
        let rows = self.rows();
        for c in &self.columns {
            if c.values.len() != rows {
                return Err(ResultsError::Length {
                    table,
                    column: c.name.clone(),
                    found: c.values.len(),
                    expected: rows,
                });
            }
            if let CellValues::Number(v) = &c.values
                && let Some(row) = v.iter().position(|x| x.is_some_and(|x| !x.is_finite()))
            {
                return Err(ResultsError::NotFinite {
                    place: format!("{table}, column {}, row {}", c.name, row + 1),
                });
            }
        }
        Ok(rows)
    }

    /// The line of names.
    pub(crate) fn csv_head(&self) -> String {
        let names: Vec<&str> = self.columns.iter().map(|c| c.name.as_str()).collect();
        names.join(",") + "\n"
    }

    /// One line a row, added to the text.
    pub(crate) fn add_csv_rows(&self, text: &mut String) {
        for row in 0..self.rows() {
            for (i, c) in self.columns.iter().enumerate() {
                if i > 0 {
                    text.push(',');
                }
                c.values.write_cell(row, text);
            }
            text.push('\n');
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn csv(columns: Vec<CellValues>) -> String {
        let columns = columns
            .into_iter()
            .enumerate()
            .map(|(i, values)| RowColumn {
                name: format!("c{i}"),
                meaning: String::new(),
                values,
            })
            .collect();
        let table = RowTable { columns };
        table.csv().unwrap()
    }

    #[test]
    fn cells_that_need_it_are_quoted_and_formulas_are_texts() {
        let texts = ["a,b", "say \"x\"", "=1+1", "-a,b"].map(String::from);
        let numbers = [Some(0.1), None, Some(-2.0), Some(1e300)];
        assert_eq!(
            csv(vec![
                CellValues::Text(texts.to_vec()),
                CellValues::Number(numbers.to_vec())
            ]),
            "c0,c1\n\"a,b\",0.1\n\"say \"\"x\"\"\",\n =1+1,-2.0\n\" -a,b\",1e300\n"
        );
    }

    #[test]
    fn an_absent_text_differs_from_an_empty_one() {
        assert_eq!(
            csv(vec![
                CellValues::MaybeText(vec![None, Some(String::new()), Some("x".into())]),
                CellValues::MaybeCount(vec![Some(-7), None, Some(0)]),
                CellValues::MaybeFlag(vec![Some(true), Some(false), None]),
            ]),
            "c0,c1,c2\n,-7,true\n\"\",,false\nx,0,\n"
        );
    }

    #[test]
    fn unequal_columns_and_numbers_that_are_not_finite_are_refused() {
        let table = |numbers: &[Option<f64>]| RowTable {
            columns: vec![
                RowColumn {
                    name: "pole".to_owned(),
                    meaning: String::new(),
                    values: CellValues::Text(vec!["a".to_owned()]),
                },
                RowColumn {
                    name: "load".to_owned(),
                    meaning: String::new(),
                    values: CellValues::Number(numbers.to_vec()),
                },
            ],
        };
        assert!(table(&[]).csv().is_err());
        let error = table(&[Some(f64::NAN)]).csv().unwrap_err();
        assert!(error.to_string().contains("load, row 1"), "{error}");
    }
}
