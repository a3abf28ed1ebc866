//! How far the model is validated: which published tests its results lie near, and which not. The numbers are generated from
//! the same data as `docs/validation.md`.

use giveway_draw::DrawError;
use serde::Deserialize;

use super::markup::{Cell, Markup, Table};
use super::words::number;
use crate::ReportError;
use crate::printed::Mark;

/// Written by `cargo xtask generate`.
const DATA: &str = include_str!("../../assets/validation.json");

/// What the file holds.
#[derive(Debug, Clone, Deserialize)]
pub struct Validation {
    /// Version of the model whose values these are.
    pub model_version: u32,
    /// Reruns of published tests.
    pub published: Vec<Published>,
    /// Other comparisons, each asserted by a test.
    pub asserted: Vec<Asserted>,
}

/// A rerun of a published test.
#[derive(Debug, Clone, Deserialize)]
pub struct Published {
    quantity: String,
    expected: String,
    computed: Option<f64>,
    band: [Option<f64>; 2],
    inside: bool,
    source: String,
}

/// A file of comparisons with closed forms and tabulated values.
#[derive(Debug, Clone, Deserialize)]
pub struct Asserted {
    subject: String,
    cases: usize,
}

/// The data.
///
/// # Errors
/// A file that does not read: a fault of the build.
pub fn data() -> Result<Validation, ReportError> {
    let fault = |e: serde_json::Error| DrawError::Painting {
        figure: "validation".to_owned(),
        reason: e.to_string(),
    };
    Ok(serde_json::from_str(DATA).map_err(fault)?)
}

/// The chapter for runs of these versions of the model.
pub fn chapter(m: &mut Markup, versions: &[u32]) -> Result<(), ReportError> {
    let v = data()?;
    let inside = v.published.iter().filter(|p| p.inside).count();
    let cases: usize = v.asserted.iter().map(|a| a.cases).sum();
    m.classed(
        "says",
        &format!(
            "Of {} quantities of published full-scale, bogie and pendulum tests the model reproduces {inside} within their band \
             and misses {}. {cases} comparisons of its parts with closed forms and tabulated values are asserted by tests.",
            v.published.len(),
            v.published.len() - inside
        ),
    );
    if let Some(other) = versions.iter().find(|n| **n != v.model_version) {
        m.lead(
            "notice",
            "Another version.",
            &format!(
                "These values are of model version {}; a result of this report was computed by version {other}.",
                v.model_version
            ),
        );
    }
    m.paragraph(
        "Vehicle front, support and base of those tests are in print only in part; nothing was fitted to a result. A miss stays in \
         the list. What the model does not know stands in the project's page of limits.",
    );
    let mut t = Table::new(
        "Published tests against the model",
        &[
            "Quantity",
            "Published>",
            "Computed>",
            "Band>",
            "Outcome",
            "Source",
        ],
    );
    for p in &v.published {
        let (mark, word) = if p.inside {
            (Mark::Meets, "in band")
        } else {
            (Mark::Fails, "out of band")
        };
        let band = match p.band {
            [Some(low), Some(high)] => format!("{} to {}", number(low), number(high)),
            [Some(low), None] => format!("from {}", number(low)),
            _ => String::new(),
        };
        t.row(vec![
            Cell::text(&p.quantity),
            Cell::text(&p.expected),
            Cell::number(p.computed.map_or_else(|| "none".to_owned(), number)),
            Cell::text(&band),
            Cell::Word(mark, word.to_owned()),
            Cell::text(&p.source),
        ]);
    }
    m.table(&t);
    let mut t = Table::new(
        "Parts of the model, asserted by tests",
        &["Subject", "Comparisons>"],
    );
    for a in &v.asserted {
        t.pair(&a.subject, a.cases.to_string());
    }
    m.table(&t);
    Ok(())
}
