//! Comma-separated values with positions: strict, because a quote that is not closed would swallow the rest of a list
//! of poles without a word.
//!
//! Lines end in LF or CRLF; a cell in double quotes may hold commas, line ends and doubled quotes; blank lines and lines
//! that begin with `#` are passed over. A row with a fault is reported and reading goes on with the next line.
//!
//! References
//! - Y. Shafranovich, RFC 4180 (2005).

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Its text, without quotes and without blanks around it.
    pub text: String,
    /// Line from 1.
    pub line: usize,
    /// Column from 1, in characters.
    pub column: usize,
}

/// One row, or what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Row {
    /// Its cells.
    Cells(Vec<Cell>),
    /// A fault and where it stands.
    Fault {
        /// Line from 1.
        line: usize,
        /// Column from 1, in characters.
        column: usize,
        /// What is wrong, a few words.
        message: &'static str,
    },
}

/// Walks through a text and counts lines and columns.
struct Walker<'a> {
    rest: std::str::Chars<'a>,
    line: usize,
    column: usize,
}

impl Walker<'_> {
    fn peek(&self) -> Option<char> {
        self.rest.clone().next()
    }

    /// The next character; CRLF counts as one line end.
    fn next(&mut self) -> Option<char> {
        let mut c = self.rest.next()?;
        if c == '\r' && self.peek() == Some('\n') {
            self.rest.next();
            c = '\n';
        }
        if c == '\n' {
            self.line += 1;
            self.column = 1;
        } else {
            self.column += 1;
        }
        Some(c)
    }

    fn at_line_end(&self) -> bool {
        let mut ahead = self.rest.clone();
        match ahead.next() {
            None | Some('\n') => true,
            Some('\r') => ahead.next() == Some('\n'),
            Some(_) => false,
        }
    }

    fn skip_line(&mut self) {
        while let Some(c) = self.next() {
            if c == '\n' {
                return;
            }
        }
    }
}

/// Reads the rows of a text without its byte order mark.
pub fn rows(text: &str) -> Vec<Row> {
    let mut walker = Walker {
        rest: text.chars(),
        line: 1,
        column: 1,
    };
    let mut list = Vec::new();
    while let Some(first) = walker.peek() {
        let rest = walker.rest.as_str();
        let line = rest.split('\n').next().unwrap_or(rest);
        if first == '#' || line.trim().is_empty() {
            walker.skip_line();
            continue;
        }
        // A quote that is not closed ends with its line, so that the rows below are still read.
        let start = (walker.rest.clone(), walker.line);
        match row(&mut walker) {
            Ok(cells) => list.push(Row::Cells(cells)),
            Err(fault) => {
                list.push(fault);
                walker.rest = start.0;
                walker.line = start.1;
                walker.skip_line();
            }
        }
    }
    list
}

fn row(walker: &mut Walker<'_>) -> Result<Vec<Cell>, Row> {
    let mut cells = Vec::new();
    loop {
        while matches!(walker.peek(), Some(' ' | '\t')) {
            walker.next();
        }
        let (line, column) = (walker.line, walker.column);
        let text = if walker.peek() == Some('"') {
            quoted(walker)?
        } else {
            plain(walker)?
        };
        cells.push(Cell { text, line, column });
        if walker.at_line_end() {
            walker.next();
            return Ok(cells);
        }
        // Both kinds of cell end before a comma or a line end.
        walker.next();
    }
}

fn plain(walker: &mut Walker<'_>) -> Result<String, Row> {
    let mut text = String::new();
    while !walker.at_line_end() && walker.peek() != Some(',') {
        let (line, column) = (walker.line, walker.column);
        match walker.next() {
            Some('"') => {
                return Err(Row::Fault {
                    line,
                    column,
                    message: "a quote inside a cell that does not begin with one",
                });
            }
            Some(c) => text.push(c),
            None => break,
        }
    }
    Ok(text.trim().to_owned())
}

fn quoted(walker: &mut Walker<'_>) -> Result<String, Row> {
    let (line, column) = (walker.line, walker.column);
    walker.next();
    let mut text = String::new();
    loop {
        match walker.next() {
            None => {
                return Err(Row::Fault {
                    line,
                    column,
                    message: "a quote is opened here and not closed",
                });
            }
            Some('"') if walker.peek() == Some('"') => {
                walker.next();
                text.push('"');
            }
            Some('"') => break,
            Some(c) => text.push(c),
        }
    }
    while matches!(walker.peek(), Some(' ' | '\t')) {
        walker.next();
    }
    if walker.at_line_end() || walker.peek() == Some(',') {
        return Ok(text.trim().to_owned());
    }
    Err(Row::Fault {
        line: walker.line,
        column: walker.column,
        message: "text after the closing quote of a cell",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<Result<Vec<String>, (usize, usize)>> {
        rows(text)
            .into_iter()
            .map(|row| match row {
                Row::Cells(cells) => Ok(cells.into_iter().map(|c| c.text).collect()),
                Row::Fault { line, column, .. } => Err((line, column)),
            })
            .collect()
    }

    fn cells(list: &[&str]) -> Result<Vec<String>, (usize, usize)> {
        Ok(list.iter().map(|t| (*t).to_owned()).collect())
    }

    /// The examples of RFC 4180, section 2.
    #[test]
    fn the_published_examples() {
        assert_eq!(
            texts("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"),
            [cells(&["aaa", "bbb", "ccc"]), cells(&["zzz", "yyy", "xxx"])]
        );
        assert_eq!(texts("aaa,bbb,ccc"), [cells(&["aaa", "bbb", "ccc"])]);
        assert_eq!(
            texts("\"aaa\",\"b \r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"),
            [
                cells(&["aaa", "b \nbb", "ccc"]),
                cells(&["zzz", "yyy", "xxx"])
            ]
        );
        assert_eq!(
            texts("\"aaa\",\"b\"\"bb\",\"ccc\""),
            [cells(&["aaa", "b\"bb", "ccc"])]
        );
    }

    #[test]
    fn empty_cells_blank_lines_and_remarks() {
        assert_eq!(texts(""), []);
        assert_eq!(texts("\n\r\n  \n# a, b\n"), []);
        assert_eq!(
            texts("a,,\n,b,"),
            [cells(&["a", "", ""]), cells(&["", "b", ""])]
        );
        assert_eq!(texts(" a , \"b\" ,c "), [cells(&["a", "b", "c"])]);
    }

    #[test]
    fn a_faulty_row_does_not_swallow_the_next() {
        assert_eq!(
            texts("a,b\n1,\"2\n3,4\n"),
            [cells(&["a", "b"]), Err((2, 3)), cells(&["3", "4"])]
        );
        assert_eq!(texts("1\"x,2\n3,4"), [Err((1, 2)), cells(&["3", "4"])]);
        assert_eq!(texts("\"1\"x,2\n3,4"), [Err((1, 4)), cells(&["3", "4"])]);
    }

    #[test]
    fn positions_count_characters() {
        let list = rows("\u{e9},b\n\"x\ny\",c\nd");
        let Row::Cells(first) = &list[0] else {
            panic!("{list:?}")
        };
        assert_eq!((first[1].line, first[1].column), (1, 3));
        let Row::Cells(second) = &list[1] else {
            panic!("{list:?}")
        };
        assert_eq!((second[1].line, second[1].column), (3, 4));
        let Row::Cells(third) = &list[2] else {
            panic!("{list:?}")
        };
        assert_eq!((third[0].line, third[0].column), (4, 1));
    }
}
