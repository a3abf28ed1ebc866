//! What is wrong with a file of the laboratory, with line and channel.

use std::fmt;

use toml::Spanned;

/// One problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The file.
    pub file: String,
    /// Line, from 1; none where it belongs to no line.
    pub line: Option<usize>,
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
    pub(crate) fn new(file: &str, message: impl Into<String>) -> Self {
        Self {
            file: file.to_owned(),
            line: None,
            channel: None,
            message: message.into(),
            hint: None,
        }
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

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

/// A description file that is being read.
pub(crate) struct Described<'a> {
    pub file: &'a str,
    pub text: &'a str,
    pub faults: Vec<Fault>,
}

impl<'a> Described<'a> {
    pub fn new(file: &'a str, text: &'a str) -> Self {
        Self {
            file,
            text,
            faults: Vec::new(),
        }
    }

    /// The sections of a file as data; what the reader of TOML says is told with its line.
    pub fn sections<T: serde::de::DeserializeOwned>(&self) -> Result<T, Faults> {
        toml::from_str(self.text).map_err(|e| {
            let at = e.span().map_or(0, |s| s.start);
            Fault::new(self.file, e.message().to_owned())
                .line(self.line_of(at))
                .into()
        })
    }

    /// Line of a byte offset.
    pub fn line_of(&self, at: usize) -> usize {
        let end = at.min(self.text.len());
        self.text.as_bytes()[..end]
            .iter()
            .filter(|b| **b == b'\n')
            .count()
            + 1
    }

    pub fn fault_at(&mut self, at: usize, key: &str, message: impl Into<String>) {
        let line = self.line_of(at);
        self.faults
            .push(Fault::new(self.file, message).line(line).channel(key));
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

    pub fn finish<T>(self, value: Option<T>) -> Result<T, Faults> {
        match value {
            Some(value) if self.faults.is_empty() => Ok(value),
            _ => Err(Faults(self.faults)),
        }
    }
}
