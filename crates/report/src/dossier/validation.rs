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

/// Title of the chapter.
pub const TITLE: &str = "How far the model is validated";

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
pub fn chapter(versions: &[u32]) -> Result<Markup, ReportError> {
    let v = data()?;
    let mut m = Markup::default();
    let inside = v.published.iter().filter(|p| p.inside).count();
    let cases: usize = v.asserted.iter().map(|a| a.cases).sum();
    let said = format!(
        "Of {} quantities of published full-scale, bogie and pendulum tests the model reproduces {inside} within their band \
             and misses {}. {cases} comparisons of its parts with closed forms and tabulated values are asserted by tests.",
        v.published.len(),
        v.published.len() - inside
    );
    m.classed("says", &said);
    if let Some(other) = versions.iter().find(|n| **n != v.model_version) {
        let said = format!(
            "These values are of model version {}; a result of this report was computed by version {other}.",
            v.model_version
        );
        m.lead("notice", "Another version.", &said);
    }
    m.paragraph(
        "Vehicle front, support and base of those tests are in print only in part; nothing was fitted to a result. A miss stays in \
         the list. What the model does not know stands in the project's page of limits.",
    );
    m.table(&Table::of(
        "Published tests against the model",
        &v.published,
        &[
            ("Quantity", &|p| Cell::text(&p.quantity)),
            ("Published>", &|p| Cell::text(&p.expected)),
            ("Computed>", &|p| {
                Cell::number(p.computed.map_or_else(|| "none".to_owned(), number))
            }),
            ("Band>", &|p| {
                Cell::text(&match p.band {
                    [Some(low), Some(high)] => format!("{} to {}", number(low), number(high)),
                    [Some(low), None] => format!("from {}", number(low)),
                    _ => String::new(),
                })
            }),
            ("Outcome", &|p| {
                Cell::word(if p.inside {
                    (Mark::Meets, "in band")
                } else {
                    (Mark::Fails, "out of band")
                })
            }),
            ("Source", &|p| Cell::text(&p.source)),
        ],
    ));
    m.table(&Table::of(
        "Parts of the model, asserted by tests",
        &v.asserted,
        &[
            ("Subject", &|a| Cell::text(&a.subject)),
            ("Comparisons>", &|a| Cell::number(a.cases.to_string())),
        ],
    ));
    Ok(m)
}
