//! The laboratory's table, with the line of each row.

use giveway_scenario::{clipped, position};
use giveway_units::{invisible, nearest};

use super::describe::Description;
use crate::fault::{Fault, Faults, MOST};

/// Most problems that are counted: reading a file of nothing else ends there.
const MOST_COUNTED: usize = 100_000;
/// Longest line of a table, bytes.
const LONGEST_LINE: usize = 1024 * 1024;
/// Most names of columns that are told.
const MOST_NAMES: usize = 30;

/// The columns that the description asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct RawTable {
    /// Name of the file, for messages.
    pub file: String,
    /// Name and values, as in the file.
    pub columns: Vec<(String, Vec<f64>)>,
    /// Line of each row; the row's number where the file has no lines.
    pub lines: Vec<usize>,
    /// Where cells stand, of a table of text.
    cells: Option<Cells>,
}

/// Where the cells of a table stand in its text.
#[derive(Debug, Clone, PartialEq)]
struct Cells {
    body: String,
    separator: char,
    /// Number of the cell in a row, of each column.
    numbers: Vec<usize>,
    /// First byte and line of the row of names and of each row below it.
    rows: Vec<(usize, usize)>,
}

impl RawTable {
    /// A table that was read from a file without lines.
    pub fn of_columns(file: &str, columns: Vec<(String, Vec<f64>)>) -> Self {
        let rows = columns.first().map_or(0, |c| c.1.len());
        Self {
            file: file.to_owned(),
            columns,
            lines: (1..=rows).collect(),
            cells: None,
        }
    }

    /// A fault of a column: at its cell in a row counted from 0, or at its name.
    pub(super) fn fault(
        &self,
        column: &str,
        row: Option<usize>,
        message: impl Into<String>,
    ) -> Fault {
        let fault = Fault::new(&self.file, message).channel(column);
        let number = self.columns.iter().position(|c| c.0 == column);
        if let (Some(cells), Some(number)) = (&self.cells, number) {
            let (from, line) = cells.rows[row.map_or(0, |row| row + 1)];
            let row = Row {
                body: &cells.body,
                from,
                line,
                separator: cells.separator,
            };
            let (line, column) = row.place(cells.numbers[number]);
            return fault.line(line).column(column);
        }
        Fault {
            line: row.map(|row| self.lines[row]),
            ..fault
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
    let mut shown: Vec<String> = names
        .iter()
        .take(MOST_NAMES)
        .map(|n| format!("`{}`", clipped(n).escape_debug()))
        .collect();
    if names.len() > MOST_NAMES {
        shown.push(format!("{} more", names.len() - MOST_NAMES));
    }
    let fault = Fault::new(file, "the file has no such column").channel(name);
    match nearest(name, names.iter().copied()) {
        Some(meant) => fault.hint(format!(
            "did you mean `{}`? It has {}",
            clipped(meant).escape_debug(),
            shown.join(", ")
        )),
        None => fault.hint(format!("it has {}", shown.join(", "))),
    }
}

/// A row in the text of the table: where it begins, byte and line.
#[derive(Clone, Copy)]
struct Row<'a> {
    body: &'a str,
    from: usize,
    line: usize,
    separator: char,
}

impl Row<'_> {
    /// The row of a record that was found after this one, or is the first one. Empty lines before it are not of it.
    fn next(self, record: &csv::StringRecord) -> Self {
        let found = record.position().map_or(self.from, |p| p.byte() as usize);
        let rest = self.body.get(found..).unwrap_or_default();
        let from = found + rest.len() - rest.trim_start_matches(['\r', '\n']).len();
        let passed = self.body.get(self.from..from).unwrap_or_default();
        Self {
            from,
            line: self.line + passed.matches('\n').count(),
            ..self
        }
    }

    /// Line and column of a cell, counted from 0; the end of the row where it has no such cell. A cell in quotes may hold
    /// separators and ends of lines.
    fn place(&self, cell: usize) -> (usize, usize) {
        let row = self.body.get(self.from..).unwrap_or_default();
        let (mut quoted, mut fresh, mut cells, mut at) = (false, true, 0, row.len());
        for (i, c) in row.char_indices() {
            let blank = c != self.separator && (c == ' ' || c == '\t');
            let over = !quoted && (c == '\r' || c == '\n');
            if over || (cells == cell && !blank) {
                at = i;
                break;
            }
            if c == '"' && (quoted || fresh) {
                quoted = !quoted;
            }
            fresh = c == self.separator && !quoted;
            cells += usize::from(fresh);
        }
        // Ends of rows need not be ends of lines.
        let (line, column) = position(&self.body[..self.from + at], self.from + at);
        let first = position(&self.body[..self.from], self.from).0;
        (self.line + line - first, column)
    }

    fn fault(&self, file: &str, cell: usize, message: impl Into<String>) -> Fault {
        let (line, column) = self.place(cell);
        Fault::new(file, message).line(line).column(column)
    }
}

/// The names of the columns, and where those stand that the description asks for.
fn head<'d>(
    file: &str,
    row: Row<'_>,
    names: &[&str],
    d: &'d Description,
) -> Result<Vec<(&'d str, usize)>, Faults> {
    if names.iter().all(|n| n.is_empty()) {
        let fault = Fault::new(file, "the file has no line of names");
        return Err(fault.line(row.line).into());
    }
    let parts = char::from(d.separator);
    let others = [';', '\t', ','].into_iter().filter(|s| *s != parts);
    let has = |s: &char| names.len() == 1 && names[0].contains(*s);
    if let Some(other) = others.into_iter().find(has) {
        let message = format!("the line of names has no {parts:?} and has {other:?}");
        let hint = format!("write separator = {:?} under [file]", other.to_string());
        return Err(row.fault(file, 0, message).hint(hint).into());
    }
    let (mut faults, mut places) = (Vec::new(), Vec::new());
    for name in wanted(d) {
        let mut found = (0..names.len()).filter(|i| names[*i] == name);
        match (found.next(), found.next()) {
            (Some(place), None) => places.push((name, place)),
            (Some(_), Some(again)) => faults.push(
                row.fault(file, again, "this column stands twice")
                    .channel(name)
                    .hint("rename the one that is not meant"),
            ),
            (None, _) => {
                let (line, column) = row.place(0);
                faults.push(missing(file, name, names).line(line).column(column));
            }
        }
    }
    let count = faults.len();
    match count {
        0 => Ok(places),
        _ => Err(Faults::first_of(faults, count)),
    }
}

/// Rows behind the names that are looked at for commas.
const ROWS_LOOKED_AT: usize = 50;

/// Refuses a table that has commas between its cells and in its numbers too: most of its rows fall into whole numbers, and into
/// far more of them than there are names.
fn commas_for_both(file: &str, names: Row<'_>) -> Result<(), Faults> {
    let body = names.body.get(names.from..).unwrap_or_default();
    let mut lines = body.split_inclusive('\n');
    let head = lines.next().unwrap_or_default();
    if head.contains([';', '\t']) {
        return Ok(());
    }
    let wanted = head.split(',').count();
    let whole = |cell: &str| {
        let digits = cell.trim().trim_start_matches(['+', '-']);
        digits.starts_with(|c: char| c.is_ascii_digit())
            && digits
                .chars()
                .all(|c| c.is_ascii_digit() || "eE+-".contains(c))
    };
    let (mut from, mut seen, mut found, mut first) = (names.from + head.len(), 0, 0, None);
    for (i, line) in lines.take(ROWS_LOOKED_AT).enumerate() {
        if !line.trim().is_empty() {
            let count = line.split(',').count();
            seen += 1;
            if 2 * count > 3 * wanted && count <= 2 * wanted && line.split(',').all(whole) {
                found += 1;
                first = first.or(Some((from, names.line + 1 + i, count)));
            }
        }
        from += line.len();
    }
    let Some((from, line, count)) = first.filter(|_| 2 * found > seen) else {
        return Ok(());
    };
    let row = Row {
        from,
        line,
        separator: ',',
        ..names
    };
    let message = format!(
        "{count} cells instead of {wanted}: commas stand between cells and in the numbers, so the file cannot be read unambiguously"
    );
    let hint =
        "export it again with another separator (a semicolon or a tab) or with decimal points";
    Err(row.fault(file, wanted, message).hint(hint).into())
}

/// Reads a table of text.
///
/// # Errors
/// The problems of the file with line and column, the first twenty of them and how many there are besides.
pub fn csv_table(file: &str, text: &str, d: &Description) -> Result<RawTable, Faults> {
    let body = text.strip_prefix('\u{feff}').unwrap_or(text);
    let start: usize = body.split_inclusive('\n').take(d.skip).map(str::len).sum();
    let body = &body[start..];
    let mut rows = body.as_bytes().split(|b| matches!(b, b'\n' | b'\r'));
    if rows.any(|row| row.len() > LONGEST_LINE) {
        let message = "a line is longer than 1 MiB: this is no table";
        return Err(Fault::new(file, message).into());
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(d.separator)
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(body.as_bytes());
    let broken = |e: csv::Error| Fault::new(file, format!("the table does not read: {e}"));
    let mut record = csv::StringRecord::new();
    reader.read_record(&mut record).map_err(broken)?;
    let names = record.clone();
    let names: Vec<&str> = names.iter().collect();
    let top = Row {
        body,
        from: 0,
        line: d.skip + 1,
        separator: char::from(d.separator),
    };
    let mut row = top.next(&record);
    commas_for_both(file, row)?;
    let places = head(file, row, &names, d)?;
    let mut columns: Vec<(String, Vec<f64>)> = places
        .iter()
        .map(|(name, _)| ((*name).to_owned(), Vec::new()))
        .collect();
    let mut lines = Vec::new();
    let mut rows = vec![(row.from, row.line)];
    let (mut faults, mut count) = (Vec::new(), 0);
    while reader.read_record(&mut record).map_err(broken)? {
        row = row.next(&record);
        if record.iter().all(str::is_empty) {
            continue;
        }
        let mut told = |fault: &dyn Fn() -> Fault| {
            count += 1;
            if count <= MOST {
                faults.push(fault());
            }
        };
        if record.len() != names.len() {
            told(&|| {
                let message = format!("{} cells instead of {}", record.len(), names.len());
                row.fault(file, record.len().min(names.len()), message)
                    .hint("a file with decimal commas needs separator = \";\" and decimal = \",\"")
            });
        }
        for ((name, place), column) in places.iter().zip(&mut columns) {
            // Of a row that is too short it was told.
            let Some(cell) = record.get(*place) else {
                continue;
            };
            match number(cell, d.decimal) {
                Some(value) if value.is_finite() => column.1.push(value),
                _ => told(&|| {
                    let (message, hint) = no_number(cell, d.decimal);
                    let fault = row.fault(file, *place, message).channel(name);
                    Fault { hint, ..fault }
                }),
            }
        }
        lines.push(row.line);
        rows.push((row.from, row.line));
        if count >= MOST_COUNTED {
            break;
        }
    }
    if lines.len() < 2 && count == 0 {
        let message = "the file has fewer than two rows of numbers";
        return Err(Fault::new(file, message).into());
    }
    if count > 0 {
        let mut all = Faults::first_of(faults, count);
        if let (Some(last), true) = (all.0.last_mut(), count >= MOST_COUNTED) {
            let end = format!(" up to line {}; what follows was not read", row.line);
            last.message.push_str(&end);
        }
        return Err(all);
    }
    Ok(RawTable {
        file: file.to_owned(),
        columns,
        lines,
        cells: Some(Cells {
            body: body.to_owned(),
            separator: row.separator,
            numbers: places.iter().map(|(_, number)| *number).collect(),
            rows,
        }),
    })
}

/// The number of a cell, which may be no finite one.
fn number(cell: &str, decimal: char) -> Option<f64> {
    if decimal == ',' {
        cell.replace(',', ".").parse().ok()
    } else {
        cell.parse().ok()
    }
}

/// What is wrong with a cell, and what may help.
fn no_number(cell: &str, decimal: char) -> (String, Option<String>) {
    if cell.is_empty() {
        return ("an empty cell: a gap in the channel".to_owned(), None);
    }
    let blank = |c: char| if invisible(c) { ' ' } else { c };
    let shown: String = cell.chars().take(40).map(blank).collect();
    if number(cell, decimal).is_some() {
        return (format!("`{shown}` is no finite number"), None);
    }
    let hint = if decimal == '.' && cell.replacen(',', ".", 1).parse::<f64>().is_ok() {
        Some("a decimal comma? Write decimal = \",\" under [file]".to_owned())
    } else {
        let other = |c: char| !(c.is_ascii_digit() || "+-.,".contains(c));
        let (figures, unit) = cell.split_at(cell.find(other).unwrap_or(cell.len()));
        let unit =
            number(figures, decimal).is_some() && unit.trim().starts_with(char::is_alphabetic);
        unit.then(|| {
            "a number with its unit? Cells are plain numbers; `unit` under [[channel]] is that of the whole column".to_owned()
        })
    };
    (format!("`{shown}` is no number"), hint)
}
