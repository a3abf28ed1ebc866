//! Why there is no answer, as an exception with its problems as data.

use std::path::Path;

use giveway_lab::Faults;
use giveway_results::ResultsError;
use giveway_scenario::{Diagnostic, Severity};
use pyo3::prelude::*;
use serde::Serialize;

/// Which exception it becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    /// The request cannot be.
    Usage,
    /// A file has problems.
    Input,
    /// It could not be computed.
    Compute,
    /// A file could not be read or written.
    Io,
}

/// Why there is no answer.
#[derive(Debug, Serialize)]
pub struct Refusal {
    kind: Kind,
    message: String,
    diagnostics: Vec<serde_json::Value>,
}

impl Refusal {
    fn new(kind: Kind, message: &str) -> Self {
        Self {
            kind,
            message: message.to_owned(),
            diagnostics: Vec::new(),
        }
    }

    /// A request that cannot be.
    pub fn usage(message: &str) -> Self {
        Self::new(Kind::Usage, message)
    }

    /// What could not be computed.
    pub fn compute(message: &str) -> Self {
        Self::new(Kind::Compute, message)
    }

    /// A file that could not be read or written.
    pub fn io(path: &Path, message: &str) -> Self {
        Self::new(Kind::Io, &format!("{}: {message}", path.display()))
    }

    /// The problems of a file.
    pub fn input(problems: Vec<Diagnostic>) -> Self {
        let lines: Vec<String> = problems.iter().map(ToString::to_string).collect();
        let diagnostics = problems.iter().map(data).collect();
        Self {
            diagnostics,
            ..Self::new(Kind::Input, &lines.join("\n"))
        }
    }

    /// As the exception of the package.
    pub fn raised(&self, py: Python<'_>) -> PyErr {
        let made = || -> PyResult<PyErr> {
            let text = serde_json::to_string(self).unwrap_or_default();
            let made = py
                .import("giveway._errors")?
                .getattr("of")?
                .call1((text,))?;
            Ok(PyErr::from_value(made))
        };
        made().unwrap_or_else(|problem| problem)
    }
}

/// A problem as data; what is to be done stands in `advice`.
pub fn data(d: &Diagnostic) -> serde_json::Value {
    serde_json::json!({
        "code": d.code,
        "severity": match d.severity { Severity::Error => "error", Severity::Warning => "warning" },
        "file": d.file, "line": d.line, "column": d.column, "path": d.path, "message": d.message,
        "found": d.found, "allowed": d.allowed, "advice": d.suggestion,
    })
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.message)
    }
}

impl From<Vec<Diagnostic>> for Refusal {
    fn from(problems: Vec<Diagnostic>) -> Self {
        Self::input(problems)
    }
}

impl From<Faults> for Refusal {
    fn from(faults: Faults) -> Self {
        let diagnostics = faults.0.iter().map(|f| data(&f.diagnostic()));
        Self {
            diagnostics: diagnostics.collect(),
            ..Self::new(Kind::Input, faults.to_string().trim_end())
        }
    }
}

impl From<ResultsError> for Refusal {
    fn from(problem: ResultsError) -> Self {
        let kind = match problem {
            ResultsError::OtherStudy { .. } => Kind::Input,
            ResultsError::NotFinite { .. } | ResultsError::Length { .. } => Kind::Compute,
            _ => Kind::Io,
        };
        Self::new(kind, &problem.to_string())
    }
}
