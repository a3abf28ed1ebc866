//! What is wrong with a study file, as the diagnostics that scenario files have too.

use giveway_scenario::{Diagnostic, Severity, position};
pub(super) use giveway_scenario::{Said, clipped as shortened};

/// Collects what is wrong with one study file.
#[derive(Debug)]
pub(super) struct Findings<'a> {
    file: &'a str,
    text: &'a str,
    list: Vec<Diagnostic>,
}

impl<'a> Findings<'a> {
    pub fn new(file: &'a str, text: &'a str) -> Self {
        Self {
            file,
            text,
            list: Vec::new(),
        }
    }

    /// Adds a finding at a byte offset; an error below code T500.
    pub fn add(&mut self, code: &'static str, at: usize, path: &str, said: Said) {
        debug_assert!(super::codes::explain(code).is_some(), "{code} has no page");
        let said = Said {
            found: said.found.as_deref().map(shortened),
            ..said
        };
        let severity = if code < "T500" {
            Severity::Error
        } else {
            Severity::Warning
        };
        let place = position(self.text, at);
        self.push(said.at(code, severity, self.file, place, shortened(path)));
    }

    /// Takes over what the scenario crate says about a change, at the place of that change in the study.
    pub fn take_over(&mut self, at: usize, diagnostic: &Diagnostic) {
        let (line, column) = position(self.text, at);
        let message = match diagnostic.message.rfind(" (in `") {
            Some(end) if diagnostic.file == "--set" => diagnostic.message[..end].to_owned(),
            _ => diagnostic.message.clone(),
        };
        let taken = Diagnostic {
            file: self.file.to_owned(),
            line,
            column,
            message,
            ..diagnostic.clone()
        };
        self.push(taken);
    }

    /// What several bases have is told once.
    fn push(&mut self, found: Diagnostic) {
        if !self.list.contains(&found) {
            self.list.push(found);
        }
    }

    /// Keeps the first errors of a path; the last one kept says how many there are besides.
    pub fn shorten(&mut self, path: &str, most: usize) {
        let mut count = 0;
        self.list.retain(|d| {
            let own = d.path == path && d.severity == Severity::Error;
            count += usize::from(own);
            !own || count <= most
        });
        let last = self.list.iter_mut().rfind(|d| d.path == path);
        if let (Some(last), true) = (last, count > most) {
            let more = count - most;
            last.message = format!("{} (and {more} more of this list)", last.message);
        }
    }

    /// Whether nothing that stops was found.
    pub fn clean(&self) -> bool {
        self.list.iter().all(|d| d.severity != Severity::Error)
    }

    /// Everything in the order of the file.
    pub fn finish(mut self) -> Vec<Diagnostic> {
        self.list.sort_by_key(|d| (d.line, d.column));
        self.list
    }
}
