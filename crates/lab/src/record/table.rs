//! The laboratory's table, with the line of each row.

use giveway_units::nearest;

use super::describe::Description;
use crate::fault::{Fault, Faults};

/// Most problems that are told of one file.
const MOST_FAULTS: usize = 20;

/// The columns that the description asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTable {
    /// Name of the file, for messages.
    pub file: String,
    /// Name and values, as in the file.
    pub columns: Vec<(String, Vec<f64>)>,
    /// Line of each row; the row's number where the file has no lines.
    pub lines: Vec<usize>,
}

impl RawTable {
    /// A table that was read from a file without lines.
    pub fn of_columns(file: &str, columns: Vec<(String, Vec<f64>)>) -> Self {
        let rows = columns.first().map_or(0, |c| c.1.len());
        Self {
            file: file.to_owned(),
            columns,
            lines: (1..=rows).collect(),
        }
    }

    /// Values of a column.
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        let found = self.columns.iter().find(|c| c.0 == name);
        found.map(|c| c.1.as_slice())
    }

    /// An error for every column that the description asks for and that is not there.
    pub(super) fn lacking(&self, description: &Description) -> Vec<Fault> {
        let names: Vec<&str> = self.columns.iter().map(|c| c.0.as_str()).collect();
        wanted(description)
            .filter(|w| !names.contains(w))
            .map(|w| missing(&self.file, w, &names))
            .collect()
    }
}

fn wanted(description: &Description) -> impl Iterator<Item = &str> {
    let time = description.time.iter().map(|t| t.0.as_str());
    time.chain(description.channels.iter().map(|c| c.column.as_str()))
}

fn missing(file: &str, name: &str, names: &[&str]) -> Fault {
    let shown: Vec<String> = names
        .iter()
        .take(30)
        .map(|n| format!("`{}`", n.escape_debug()))
        .collect();
    let fault = Fault::new(file, "the file has no such column").channel(name);
    match nearest(name, names.iter().copied()) {
        Some(meant) => fault.hint(format!(
            "did you mean `{meant}`? It has {}",
            shown.join(", ")
        )),
        None => fault.hint(format!("it has {}", shown.join(", "))),
    }
}

/// Reads a table of text.
///
/// # Errors
/// The problems of the file with line and column, up to twenty of them.
pub fn csv_table(file: &str, text: &str, d: &Description) -> Result<RawTable, Faults> {
    let body = text.strip_prefix('\u{feff}').unwrap_or(text);
    let start: usize = body.split_inclusive('\n').take(d.skip).map(str::len).sum();
    let body = &body[start..];
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(d.separator)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(body.as_bytes());
    let broken = |e: csv::Error| Fault::new(file, format!("the table does not read: {e}"));
    let names: Vec<String> = reader
        .headers()
        .map_err(broken)?
        .iter()
        .map(str::to_owned)
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let head = d.skip + 1;
    if names.iter().all(|n| n.is_empty()) {
        return Err(Fault::new(file, "the file has no line of names")
            .line(head)
            .into());
    }
    let parts = char::from(d.separator);
    if let (1, Some(other)) = (
        names.len(),
        [';', '\t', ',']
            .into_iter()
            .find(|s| *s != parts && names[0].contains(*s)),
    ) {
        let message = format!("the line of names has no {parts:?} and has {other:?}");
        let hint = format!("write separator = {:?} under [file]", other.to_string());
        return Err(Fault::new(file, message).line(head).hint(hint).into());
    }
    let mut faults: Vec<Fault> = Vec::new();
    let mut places = Vec::new();
    for name in wanted(d) {
        match names.iter().position(|n| *n == name) {
            Some(place) => places.push((name, place)),
            None => faults.push(missing(file, name, &names)),
        }
    }
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    let mut columns: Vec<(String, Vec<f64>)> = places
        .iter()
        .map(|(name, _)| ((*name).to_owned(), Vec::new()))
        .collect();
    let mut lines = Vec::new();
    for record in reader.records() {
        let record = record.map_err(broken)?;
        let line = record.position().map_or(0, |p| p.line() as usize) + d.skip;
        if record.iter().all(str::is_empty) {
            continue;
        }
        if record.len() != names.len() {
            let message = format!("{} cells instead of {}", record.len(), names.len());
            faults.push(
                Fault::new(file, message)
                    .line(line)
                    .hint("a file with decimal commas needs separator = \";\" and decimal = \",\""),
            );
        }
        for ((name, place), column) in places.iter().zip(&mut columns) {
            let cell = record.get(*place).unwrap_or_default();
            match number(cell, d.decimal) {
                Ok(value) => column.1.push(value),
                Err((message, hint)) => {
                    let fault = Fault::new(file, message).line(line).channel(name);
                    faults.push(match hint {
                        Some(hint) => fault.hint(hint),
                        None => fault,
                    });
                    column.1.push(f64::NAN);
                }
            }
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
        lines.push(line);
    }
    if lines.len() < 2 && faults.is_empty() {
        faults.push(Fault::new(
            file,
            "the file has fewer than two rows of numbers",
        ));
    }
    if faults.is_empty() {
        Ok(RawTable {
            file: file.to_owned(),
            columns,
            lines,
        })
    } else {
        faults.truncate(MOST_FAULTS);
        Err(Faults(faults))
    }
}

/// A finite number, or what is wrong with the cell and what may help.
fn number(cell: &str, decimal: char) -> Result<f64, (String, Option<String>)> {
    if cell.is_empty() {
        return Err(("an empty cell: a gap in the channel".to_owned(), None));
    }
    let plain = if decimal == ',' {
        cell.replace(',', ".")
    } else {
        cell.to_owned()
    };
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => Err((format!("`{cell}` is no finite number"), None)),
        Err(_) => {
            let shown: String = cell.chars().take(40).collect();
            let comma = decimal == '.' && cell.replacen(',', ".", 1).parse::<f64>().is_ok();
            let hint =
                comma.then(|| "a decimal comma? Write decimal = \",\" under [file]".to_owned());
            Err((format!("`{}` is no number", shown.escape_debug()), hint))
        }
    }
}
