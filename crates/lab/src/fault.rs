//! What is wrong with a file of the laboratory, with line and channel.

use std::fmt;

use giveway_scenario::{Diagnostic, Misfit, Said, Severity, clipped, position, typed_in_part};
use toml::Spanned;

/// Most problems that are told of one file.
pub(crate) const MOST: usize = 20;

/// One problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Its code; `giveway explain` has a page for each.
    pub code: &'static str,
    /// The file.
    pub file: String,
    /// Line, from 1; none where it belongs to no line.
    pub line: Option<usize>,
    /// Column, from 1, in characters; 0 where there is none.
    pub column: usize,
    /// Channel or key.
    pub channel: Option<String>,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub hint: Option<String>,
}

/// All problems that were found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

/// What is wrong with a file that holds a study and more.
#[derive(Debug)]
pub enum Refused {
    /// Of the study in it, and of what else is wrong besides.
    Study(Vec<Diagnostic>),
    /// Of what stands beside the study.
    Lab(Faults),
}

impl From<Fault> for Refused {
    fn from(fault: Fault) -> Self {
        Self::Lab(fault.into())
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        f.write_str(": ")?;
        if let Some(channel) = &self.channel {
            write!(f, "`{}`: ", channel.escape_debug())?;
        }
        f.write_str(&self.message)?;
        if let Some(hint) = &self.hint {
            write!(f, " ({hint})")?;
        }
        Ok(())
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in &self.0 {
            writeln!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

impl Fault {
    /// The same as the diagnostics of all other documents are told.
    pub fn diagnostic(&self) -> Diagnostic {
        // A line of a table is shown from its beginning.
        let column = self.column.max(usize::from(self.line.is_some()));
        let place = (self.line.unwrap_or(0), column);
        let path = self.channel.as_deref().map_or_else(String::new, clipped);
        Said::that(&self.message).hint_of(self.hint.clone()).at(
            self.code,
            Severity::Error,
            &self.file,
            place,
            path,
        )
    }

    pub(crate) fn new(file: &str, message: impl Into<String>) -> Self {
        Self {
            code: "L040",
            file: file.to_owned(),
            line: None,
            column: 0,
            channel: None,
            message: message.into(),
            hint: None,
        }
    }

    /// At a byte offset of a text.
    fn placed(mut self, code: &'static str, text: &str, at: usize) -> Self {
        let (line, column) = position(text, at);
        (self.code, self.line, self.column) = (code, Some(line), column);
        self
    }

    pub(crate) fn column(mut self, column: usize) -> Self {
        self.column = column;
        self
    }

    /// At a line and a column.
    pub(crate) fn at(mut self, (line, column): (usize, usize)) -> Self {
        (self.line, self.column) = (Some(line), column);
        self
    }

    pub(crate) fn line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }

    pub(crate) fn channel(mut self, channel: &str) -> Self {
        self.channel = Some(channel.to_owned());
        self
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

impl Faults {
    /// The first of them, and how many there are besides.
    pub(crate) fn first_of(mut faults: Vec<Fault>, count: usize) -> Self {
        faults.truncate(MOST);
        if let Some(file) = faults.first().map(|f| f.file.clone())
            && count > faults.len()
        {
            let more = count - faults.len();
            faults.push(Fault::new(&file, format!("and {more} more")));
        }
        Self(faults)
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

/// A description file that is being read.
pub(crate) struct Described<'a> {
    pub file: &'a str,
    /// Without a byte order mark.
    pub text: &'a str,
    pub faults: Vec<Fault>,
    /// Whether its form is wrong somewhere.
    misshapen: bool,
}

impl<'a> Described<'a> {
    pub fn new(file: &'a str, text: &'a str) -> Self {
        Self {
            file,
            text: text.trim_start_matches('\u{feff}'),
            faults: Vec::new(),
            misshapen: false,
        }
    }

    /// The sections of a file as data; everything that is wrong in its form is told with its place, and what could be read is
    /// looked at all the same.
    ///
    /// # Errors
    /// What is wrong, where nothing could be read.
    pub fn sections<T: serde::de::DeserializeOwned>(&mut self) -> Result<T, Faults> {
        let (data, list) = typed_in_part(self.text);
        self.misshapen = !list.is_empty();
        for Misfit {
            at,
            syntax,
            message,
            hint,
        } in list
        {
            let code = if syntax { "L001" } else { "L010" };
            let fault = Fault::new(self.file, message).placed(code, self.text, at);
            self.faults.push(Fault { hint, ..fault });
        }
        data.ok_or_else(|| Faults(std::mem::take(&mut self.faults)))
    }

    /// A fault of a key; at 0 it belongs to the whole file. What is wrong with a value that stands in for another one was told of
    /// that one, and what the whole file lacks is not known where its form is wrong.
    pub fn fault_at(&mut self, at: usize, key: &str, message: impl Into<String>) {
        if at > self.text.len() || (at == 0 && self.misshapen) {
            return;
        }
        let fault = Fault::new(self.file, message).channel(key);
        self.faults.push(match at {
            0 => Fault {
                code: "L030",
                ..fault
            },
            at => fault.placed("L020", self.text, at),
        });
    }

    /// Line and column of a place in the file.
    pub fn position(&self, at: usize) -> (usize, usize) {
        position(self.text, at)
    }

    /// Whether something is told of the line of a place already.
    pub fn told_at(&self, at: usize) -> bool {
        let line = Some(position(self.text, at).0);
        self.faults.iter().any(|f| f.line == line)
    }

    /// A quantity with its unit in SI.
    pub fn quantity(
        &mut self,
        key: &str,
        value: &Spanned<String>,
        dimension: giveway_units::Dimension,
    ) -> Option<f64> {
        match giveway_units::parse(value.get_ref(), dimension) {
            Ok(quantity) if quantity.si.is_finite() => Some(quantity.si),
            Ok(_) => {
                self.fault_at(value.span().start, key, "this is no finite number");
                None
            }
            Err(problem) => {
                self.fault_at(value.span().start, key, problem.to_string());
                None
            }
        }
    }

    /// The same where it may be left out.
    pub fn maybe(
        &mut self,
        key: &str,
        value: Option<&Spanned<String>>,
        dimension: giveway_units::Dimension,
    ) -> Option<f64> {
        value.and_then(|value| self.quantity(key, value, dimension))
    }

    /// The same of a number that is above zero.
    pub fn positive(
        &mut self,
        key: &str,
        value: Option<&Spanned<String>>,
        dimension: giveway_units::Dimension,
    ) -> Option<f64> {
        let value = value?;
        let number = self.quantity(key, value, dimension)?;
        if number > 0.0 {
            return Some(number);
        }
        self.fault_at(value.span().start, key, "this must be above zero");
        None
    }

    /// What is wrong with a study, and with what stands beside it in its file.
    pub fn beside(self, study: Vec<Diagnostic>) -> Refused {
        let mut all = study;
        // What breaks the rules of TOML was told with the study.
        let own = self.faults.iter().filter(|f| f.code != "L001").take(MOST);
        all.extend(own.map(Fault::diagnostic));
        all.sort_by_key(|d| (d.line == 0, d.line, d.column));
        Refused::Study(all)
    }

    /// The faults in the order of the file, those of the whole file last.
    pub fn finish<T>(mut self, value: Option<T>) -> Result<T, Faults> {
        match value {
            Some(value) if self.faults.is_empty() => Ok(value),
            _ => {
                let place = |f: &Fault| (f.line.unwrap_or(usize::MAX), f.column);
                self.faults.sort_by_key(place);
                let count = self.faults.len();
                Err(Faults::first_of(self.faults, count))
            }
        }
    }
}
