//! What is wrong with a record, as the diagnostics that scenario files have too.

pub use giveway_scenario::clipped as shortened;
use giveway_scenario::{Diagnostic, Severity, position};

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

/// What a finding says.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// What is wrong, one sentence.
    pub message: String,
    /// The value found.
    pub found: Option<String>,
    /// What is allowed.
    pub allowed: Option<String>,
    /// What to write instead.
    pub suggestion: Option<String>,
}

impl Said {
    /// What is wrong, one sentence.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            ..Self::default()
        }
    }

    /// With the value found.
    pub fn found(self, found: impl Into<Option<String>>) -> Self {
        let found = found.into();
        Self { found, ..self }
    }

    /// With what is allowed.
    pub fn allowed(self, allowed: impl Into<Option<String>>) -> Self {
        let allowed = allowed.into();
        Self { allowed, ..self }
    }

    /// With what to write instead.
    pub fn suggestion(self, suggestion: impl Into<Option<String>>) -> Self {
        let suggestion = suggestion.into();
        Self { suggestion, ..self }
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
    Diagnostic {
        code,
        severity: if code < "R500" {
            Severity::Error
        } else {
            Severity::Warning
        },
        file: file.to_owned(),
        line: at.line,
        column: at.column,
        path: shortened(path),
        message: said.message,
        found: said.found.as_deref().map(shortened),
        allowed: said.allowed,
        suggestion: said.suggestion,
    }
}
