//! Many poles in one table of comma-separated values: one row a pole, columns named by the first row.
//!
//! ```csv
//! pole,type,date,inspector,place,grout_gap,rust,torque
//! HV-0101,types/verge.toml,2025-09-12,,Ring road,20 mm,none,180 N.m
//! HV-0102,types/verge.toml,2025-09-12,,,not measured,light,
//! ```
//!
//! An empty cell of an item means "not measured". A faulty row is reported with its line and the others are read. A
//! column that is not known stops the whole list: its values would be lost without a word.

use giveway_scenario::Diagnostic;
use giveway_units::nearest;

use crate::csv_text::{Cell, Row, rows};
use crate::finding::{At, Findings, Said, diagnostic};
use crate::measured::read;
use crate::record::{Draft, Record, plain_text, read_date};
use crate::requirements::{self, Found};

/// Columns besides the items; the first three must be there.
const COLUMNS: [&str; 8] = [
    "pole",
    "type",
    "date",
    "inspector",
    "place",
    "photo",
    "position",
    "wrench",
];
const NEEDED: usize = 3;

#[derive(Clone, Copy)]
enum Column {
    Own(&'static str),
    Item(Found),
}

/// One row: a record or what is wrong with it.
pub type Entry = Result<Record, Vec<Diagnostic>>;

/// Reads a list of poles. `file` is only used in diagnostics.
///
/// # Errors
/// What is wrong with the first row: then nothing is read.
pub fn read_list(text: &str, file: &str) -> Result<Vec<Entry>, Vec<Diagnostic>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut all = rows(text).into_iter();
    let columns = match all.next() {
        None => return Err(empty(file)),
        Some(row) => columns(row, file)?,
    };
    let entries: Vec<Entry> = all.map(|row| entry(row, &columns, file)).collect();
    if entries.is_empty() {
        return Err(empty(file));
    }
    Ok(entries)
}

fn empty(file: &str) -> Vec<Diagnostic> {
    let said = Said::that("the list holds no pole")
        .allowed("a first row that names the columns, then one row a pole")
        .hint("start from scenarios/site/poles.csv");
    vec![diagnostic("R002", file, At::START, "", said)]
}

/// The cells of a row, or its fault.
fn cells(row: Row, file: &str) -> Result<Vec<Cell>, Vec<Diagnostic>> {
    match row {
        Row::Cells(cells) => Ok(cells),
        Row::Fault {
            line,
            column,
            message,
        } => {
            let at = At { line, column };
            Err(vec![diagnostic("R062", file, at, "", Said::that(message))])
        }
    }
}

fn place_of(cell: &Cell) -> At {
    At {
        line: cell.line,
        column: cell.column,
    }
}

fn columns(row: Row, file: &str) -> Result<Vec<Column>, Vec<Diagnostic>> {
    let cells = cells(row, file)?;
    let mut findings = Findings::new(file);
    if let [only] = cells.as_slice()
        && let Some(divider) = [';', '\t'].into_iter().find(|d| only.text.contains(*d))
    {
        let name = if divider == ';' { "semicolons" } else { "tabs" };
        let said = Said::that(format!(
            "this list is divided by {name}; nothing of it was read"
        ))
        .found(only.text.clone())
        .allowed("values divided by commas, with a point as the decimal sign")
        .hint(only.text.replace(divider, ","));
        findings.add("R060", place_of(only), "", said);
        return Err(findings.finish());
    }
    let mut list = Vec::with_capacity(cells.len());
    for (i, cell) in cells.iter().enumerate() {
        let name = cell.text.as_str();
        let at = place_of(cell);
        if cells[..i].iter().any(|c| c.text == name) {
            findings.add("R003", at, name, Said::that("this column is given twice"));
        }
        let own = COLUMNS.into_iter().find(|c| *c == name);
        match (own, requirements::item(name)) {
            (Some(own), _) => list.push(Column::Own(own)),
            (None, Some(found)) => list.push(Column::Item(found)),
            (None, None) => {
                let known = COLUMNS
                    .into_iter()
                    .chain(requirements::items().map(|f| f.item().key));
                findings.add(
                    "R060",
                    at,
                    name,
                    Said::that(
                        "this is no column of a list of poles; nothing of the list was read",
                    )
                    .found(name.to_owned())
                    .hint_of(nearest(name, known).map(str::to_owned)),
                );
            }
        }
    }
    for needed in &COLUMNS[..NEEDED] {
        if !cells.iter().any(|c| c.text == *needed) {
            findings.add(
                "R011",
                cells.first().map_or(At::START, place_of),
                needed,
                Said::that("a list of poles needs this column; its first row names the columns"),
            );
        }
    }
    if findings.clean() {
        Ok(list)
    } else {
        Err(findings.finish())
    }
}

fn entry(row: Row, columns: &[Column], file: &str) -> Entry {
    let cells = cells(row, file)?;
    let at = cells.first().map_or(At::START, place_of);
    let mut findings = Findings::new(file);
    if cells.len() != columns.len() {
        findings.add(
            "R061",
            at,
            "",
            Said::that(format!(
                "this row has {} cells, the first row {}",
                cells.len(),
                columns.len()
            ))
            .hint("a cell that holds a comma stands in quotes"),
        );
        return Err(findings.finish());
    }
    let mut draft = Draft::default();
    for (cell, column) in cells.iter().zip(columns) {
        let at = place_of(cell);
        let text = cell.text.as_str();
        match column {
            Column::Item(found) => draft.measured.extend(read(*found, text, at, &mut findings)),
            // An empty cell is a missing value, which the draft reports if it needs it.
            Column::Own(_) if text.is_empty() => {}
            Column::Own("pole") => draft.pole = plain_text("pole", text, at, &mut findings),
            Column::Own("type") => {
                draft.type_path = plain_text("type", text, at, &mut findings).map(|t| (t, at));
            }
            Column::Own("date") => draft.date = read_date(text, at, &mut findings),
            Column::Own("inspector") => {
                draft.inspector = plain_text("inspector", text, at, &mut findings);
            }
            Column::Own(name @ ("photo" | "position" | "wrench")) => {
                if let Some(text) = plain_text(name, text, at, &mut findings) {
                    draft.own(name, &text, at, &mut findings);
                }
            }
            Column::Own(name) => {
                let said = plain_text(name, text, at, &mut findings);
                draft.place.extend(said.map(|t| ((*name).to_owned(), t)));
            }
        }
    }
    draft.finish(file, at, true, findings)
}

/// The pole of a row that was refused, where it can be told: for the list of what could not be read.
pub fn pole_in_row(text: &str, line: usize) -> Option<String> {
    let plain = |cell: &&str| !cell.is_empty() && !cell.contains('"');
    let mut lines = text.lines();
    let head = lines
        .clone()
        .find(|l| !l.starts_with('#') && !l.trim().is_empty())?;
    let column = head.split(',').position(|name| name.trim() == "pole")?;
    let cells = lines.nth(line.checked_sub(1)?)?.split(',');
    cells
        .map(str::trim)
        .nth(column)
        .filter(plain)
        .map(str::to_owned)
}
