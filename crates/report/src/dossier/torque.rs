//! The report of a torque window: the picture, the table, what would move it.

use giveway_study::window::{ConfidentWindow, Criteria, Nearest, Opening, Pass, Row, TorqueWindow};
use serde::Deserialize;

use super::figures::figure;
use super::markup::{Cell, Markup, Table};
use super::picture::of_figure;
use super::{frame, validation};
use crate::ReportError;
use crate::study_figures::{WindowPicture, drawn_window, headline};
use crate::window_text::opening_words;

/// What the page shows of `window.json`.
#[derive(Debug, Clone, Deserialize)]
pub struct WindowContents {
    /// Title of the scenario.
    pub title: String,
    /// Version of the model.
    pub model_version: u32,
    /// What decides whether an impact is passed.
    pub criteria: Criteria,
    /// The window.
    pub window: TorqueWindow,
    /// Its table.
    pub table: Vec<Row>,
    /// What comes nearest, where there is no window.
    pub nearest: Option<Nearest>,
    /// The window under scatter.
    pub confident: Option<ConfidentWindow>,
    /// Changes that were tried.
    pub changes: Vec<Opening>,
}

/// The page.
///
/// # Errors
/// A figure that cannot be painted.
pub fn page(answer: &WindowContents, caution: &str) -> Result<String, ReportError> {
    let w = &answer.window;
    let mut first = Markup::default();
    let sentence = match &answer.nearest {
        Some(nearest) => format!("{} {}", w.sentence, nearest.sentence),
        None => w.sentence.clone(),
    };
    first.lead("says", &format!("{}.", headline(w)), &sentence);
    if let Some(c) = &answer.confident {
        first.paragraph(&c.sentence);
    }
    let drawn = WindowPicture {
        title: &answer.title,
        window: w,
        table: &answer.table,
        confident: answer.confident.as_ref(),
        caution,
    };
    let picture = of_figure(&drawn_window("window", &drawn)?, "w")?;
    // As wide as it is drawn: its letters are large already.
    first.raw("<div class=\"glance\">\n");
    let words = "What meets what is asked, over the torque; what governs stands at the ends. The table below says the same.";
    figure(&mut first, &picture, words);
    first.raw("</div>\n");

    let table = Table::of(
        "What asks something of the torque",
        &answer.table,
        &[
            ("Asked by", &|row| Cell::text(&asked_by(row))),
            ("Met", &|row| Cell::text(&met(row))),
            ("Why not elsewhere", &|row| Cell::text(&why_not(row))),
        ],
    );
    let rows = Markup::of(|m| m.table(&table));
    let told: Vec<String> = answer.changes.iter().map(opening_words).collect();
    let changes = Markup::of(|m| m.points(&told));
    let validated = validation::chapter(&[answer.model_version])?;
    let mut chapters = vec![
        ("verdict", "The torque at a glance", first),
        ("table", "Everything that asks", rows),
    ];
    if !answer.changes.is_empty() {
        chapters.push(("changes", "What would move the window", changes));
    }
    chapters.push(("validation", validation::TITLE, validated));
    let facts = vec![
        ("Model version".to_owned(), answer.model_version.to_string()),
        ("Judged by".to_owned(), answer.criteria.words().to_owned()),
    ];
    Ok(frame::page(
        "Report of a torque window",
        &answer.title,
        &facts,
        chapters,
        frame::OPEN,
        Markup::default(),
        caution,
    ))
}

fn asked_by(row: &Row) -> String {
    match &row.limit {
        Some(limit) => format!("{}: {limit}", row.name),
        None => row.name.clone(),
    }
}

/// Where it is met, and what is left at the design's torque.
fn met(row: &Row) -> String {
    let ends = |p: &Pass| match (&p.from, &p.to) {
        (None, None) => "everywhere".to_owned(),
        (Some(_), None) => format!("from {:.0} N.m", p.from_nm),
        (None, Some(_)) => format!("up to {:.0} N.m", p.to_nm),
        (Some(_), Some(_)) => format!("{:.0} to {:.0} N.m", p.from_nm, p.to_nm),
    };
    let met: Vec<String> = row.passes.iter().map(ends).collect();
    let met = if met.is_empty() {
        "nowhere".to_owned()
    } else {
        met.join(", ")
    };
    let left = row.design.as_ref().map_or_else(String::new, |s| {
        let margin = s
            .margin_fraction
            .map(|m| format!("{:+.0} % left", 100.0 * m));
        let word = if s.passes { "met" } else { "not met" };
        let here = margin.unwrap_or_else(|| word.to_owned());
        format!("; at the design's torque {here}")
    });
    format!("{met}{left}")
}

fn why_not(row: &Row) -> String {
    let why: Vec<String> = (row.reasons.iter())
        .filter(|r| !r.passes)
        .map(|r| r.said())
        .chain(row.remarks.iter().cloned())
        .collect();
    why.join("; ")
}
