//! What is wrong with a record, as the diagnostics that scenario files have too.

use giveway_scenario::{Diagnostic, Severity, position};
pub use giveway_scenario::{Said, clipped as shortened};

/// A place in a file, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Line.
    pub line: usize,
    /// Column, in characters.
    pub column: usize,
}

impl At {
    /// The start of a file.
    pub const START: At = At { line: 1, column: 1 };

    /// Line and column of a byte offset.
    pub fn offset(text: &str, offset: usize) -> Self {
        let (line, column) = position(text, offset);
        At { line, column }
    }
}

/// Collects what is wrong with one file.
#[derive(Debug)]
pub struct Findings<'a> {
    file: &'a str,
    list: Vec<Diagnostic>,
    /// Lines about which everything is said.
    closed: Vec<usize>,
}

impl<'a> Findings<'a> {
    /// Nothing found yet.
    pub fn new(file: &'a str) -> Self {
        Self {
            file,
            list: Vec::new(),
            closed: Vec::new(),
        }
    }

    /// Nothing more is said about a line: what follows from a line that could not be read is no news.
    pub fn close_line(&mut self, line: usize) {
        self.closed.push(line);
    }

    /// Adds an error, from code R500 on a warning.
    pub fn add(&mut self, code: &'static str, at: At, path: &str, said: Said) {
        if self.closed.contains(&at.line) {
            return;
        }
        self.list.push(diagnostic(code, self.file, at, path, said));
    }

    /// Whether nothing that stops was found.
    pub fn clean(&self) -> bool {
        self.list.iter().all(|d| d.severity != Severity::Error)
    }

    /// Number of findings.
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// Everything in the order of the file.
    pub fn finish(mut self) -> Vec<Diagnostic> {
        self.list.sort_by_key(|d| (d.line, d.column));
        self.list
    }
}

/// One diagnostic; an error below code R500.
pub fn diagnostic(code: &'static str, file: &str, at: At, path: &str, said: Said) -> Diagnostic {
    debug_assert!(crate::codes::explain(code).is_some(), "{code} has no page");
    let said = Said {
        found: said.found.as_deref().map(shortened),
        ..said
    };
    let severity = if code < "R500" {
        Severity::Error
    } else {
        Severity::Warning
    };
    said.at(code, severity, file, (at.line, at.column), shortened(path))
}
