//! What is wrong with a scenario file, where, and what to write instead. Plain data with a plain rendering.

use serde::Serialize;
use std::fmt;

use crate::tree::{shortened, shortened_to};

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The scenario is not run.
    Error,
    /// The scenario is run; a person should look.
    Warning,
}

/// One finding about a scenario file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Stable code, for example `S020`; [`crate::explain`] has a page for each.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// File as named by the caller, or `--set`.
    pub file: String,
    /// Line from 1; 0 where there is none (`--set`).
    pub line: usize,
    /// Column from 1, in characters; 0 where there is none.
    pub column: usize,
    /// Path of the key, for example `slip_base.clamp.torque`; empty for the whole file.
    pub path: String,
    /// What is wrong, one sentence.
    pub message: String,
    /// The value found.
    pub found: Option<String>,
    /// What is allowed.
    pub allowed: Option<String>,
    /// What to write instead.
    pub suggestion: Option<String>,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if self.line > 0 {
            write!(f, ":{}:{}", self.line, self.column)?;
        }
        let word = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, ": {word} {}", self.code)?;
        if !self.path.is_empty() {
            write!(f, ": {}", self.path)?;
        }
        write!(f, ": {}", self.message)?;
        for (label, text) in [
            ("found", &self.found),
            ("allowed", &self.allowed),
            ("try", &self.suggestion),
        ] {
            if let Some(text) = text {
                write!(f, "\n  {label}: {text}")?;
            }
        }
        Ok(())
    }
}

/// Where a value was written. In order: of two places the greater one was written last, and a default nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Place {
    /// Nowhere: a default.
    Nowhere,
    /// Byte offset in the file.
    File(usize),
    /// Index of the override.
    Override(usize),
}

/// Turns places into files, lines and columns, and collects what was found.
pub(crate) struct Findings<'a> {
    file: &'a str,
    text: &'a str,
    overrides: &'a [(String, String)],
    list: Vec<(Place, Diagnostic)>,
}

/// What a finding says besides its code and place.
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
    pub fn that(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            ..Self::default()
        }
    }

    /// With the value found.
    pub fn found(mut self, found: impl Into<String>) -> Self {
        self.found = Some(found.into());
        self
    }

    /// With what is allowed.
    pub fn allowed(mut self, allowed: impl Into<String>) -> Self {
        self.allowed = Some(allowed.into());
        self
    }

    /// With what to write instead.
    pub fn hint(self, suggestion: impl Into<String>) -> Self {
        self.hint_of(Some(suggestion.into()))
    }

    /// The same where something may be known.
    pub fn hint_of(mut self, suggestion: Option<String>) -> Self {
        self.suggestion = suggestion;
        self
    }

    /// The diagnostic at a line and a column, which count from 1.
    pub fn at(
        self,
        code: &'static str,
        severity: Severity,
        file: &str,
        (line, column): (usize, usize),
        path: String,
    ) -> Diagnostic {
        Diagnostic {
            code,
            severity,
            file: file.to_owned(),
            line,
            column,
            path,
            message: self.message,
            found: self.found,
            allowed: self.allowed,
            suggestion: self.suggestion,
        }
    }
}

impl<'a> Findings<'a> {
    pub fn new(file: &'a str, text: &'a str, overrides: &'a [(String, String)]) -> Self {
        Findings {
            file,
            text,
            overrides,
            list: Vec::new(),
        }
    }

    pub fn error(&mut self, code: &'static str, place: Place, path: &str, said: Said) {
        self.push(Severity::Error, code, place, path, said);
    }

    pub fn warning(&mut self, code: &'static str, place: Place, path: &str, said: Said) {
        self.push(Severity::Warning, code, place, path, said);
    }

    fn push(
        &mut self,
        severity: Severity,
        code: &'static str,
        place: Place,
        path: &str,
        mut said: Said,
    ) {
        debug_assert!(crate::codes::explain(code).is_some(), "{code} has no page");
        let (file, at) = match place {
            Place::File(offset) => (self.file, position(self.text, offset)),
            Place::Override(_) => ("--set", (0, 0)),
            Place::Nowhere => (self.file, (1, 1)),
        };
        // An override names itself: its text is the only place it has.
        if let Place::Override(i) = place
            && let Some((key, value)) = self.overrides.get(i)
        {
            let own = format!(" (in `{}={}`)", shortened(key), shortened(value));
            said.message.push_str(&own);
        }
        let told = said.at(code, severity, file, at, shortened_to(path, 200));
        self.list.push((place, told));
    }

    pub fn any_error(&self) -> bool {
        self.list.iter().any(|(_, d)| d.severity == Severity::Error)
    }

    /// Errors and warnings in the order of the file, overrides after it.
    pub fn finish(mut self) -> (Vec<Diagnostic>, Vec<Diagnostic>) {
        self.list.sort_by_key(|(place, _)| *place);
        self.list
            .into_iter()
            .map(|(_, d)| d)
            .partition(|d| d.severity == Severity::Error)
    }
}

/// Line and column (both from 1, the column in characters) of a byte offset. A byte order mark is no character of its line.
pub fn position(text: &str, offset: usize) -> (usize, usize) {
    let mut end = offset.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = &text[..end];
    let line = before.matches('\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let own = before[start..].trim_start_matches('\u{feff}');
    (line, own.chars().count() + 1)
}

/// At most 80 characters, control characters replaced.
pub fn clipped(text: &str) -> String {
    const MOST: usize = 80;
    let shown = |c: char| if c.is_control() { ' ' } else { c };
    let mut out: String = text.chars().take(MOST).map(shown).collect();
    if text.chars().count() > MOST {
        out.push_str("...");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::position;

    #[test]
    fn positions_count_characters_and_clip() {
        let text = "a\n\u{e9}\u{e9}x\n";
        assert_eq!(position(text, 0), (1, 1));
        assert_eq!(position(text, 2), (2, 1));
        assert_eq!(position(text, 6), (2, 3));
        assert_eq!(position(text, 3), (2, 1));
        assert_eq!(position(text, 999), (3, 1));
        assert_eq!(position("", 0), (1, 1));
        assert_eq!(position("\u{feff}ab\r\nc", 4), (1, 2));
        assert_eq!(position("\u{feff}ab\r\nc", 7), (2, 1));
    }
}
