//! The review record: one page for print that says what was computed again, on what, with which outcome, who noted what, and
//! which seals the results carry.

use giveway_results::{Provenance, RerunReport, RerunVerdict, ReviewNote};

use crate::headline::cut;
use crate::printed::{Band, Cell, Document, Mark, Part, Row, Section, Table, Verdict};

/// Differences and notes that one page holds; what is left out is counted.
const MOST: usize = 12;
/// Longest text of a note or of a difference on the page, characters.
const LONGEST: usize = 300;

/// What the page says besides the rerun.
#[derive(Debug, Clone)]
pub struct ReviewFacts<'a> {
    /// Title of the run or study.
    pub title: &'a str,
    /// Day of the review, `YYYY-MM-DD`.
    pub date: &'a str,
    /// When the results were begun.
    pub written: &'a str,
    /// Tolerances that were asked for, in words.
    pub tolerance: &'a str,
    /// Notes, or why they do not read.
    pub notes: Result<&'a [ReviewNote], &'a str>,
    /// The caution.
    pub caution: &'a str,
}

/// The page as HTML.
pub fn review_record(report: &RerunReport, facts: &ReviewFacts<'_>) -> String {
    let mut page = Document::new("Review record", facts.title);
    page.facts = vec![
        ("Folder".into(), report.folder.clone()),
        ("Reviewed on".into(), facts.date.to_owned()),
        ("Results of".into(), facts.written.to_owned()),
        ("Tolerance".into(), facts.tolerance.to_owned()),
    ];
    let (mark, word) = match report.verdict {
        RerunVerdict::Identical => (Mark::Meets, "Identical"),
        RerunVerdict::SampleIdentical => (Mark::Near, "Sample identical"),
        RerunVerdict::WithinTolerance => (Mark::Near, "Within tolerance"),
        RerunVerdict::NotComputed => (Mark::Open, "Not computed"),
        RerunVerdict::NoResults => (Mark::Open, "No results"),
        RerunVerdict::Differs => (Mark::Fails, "Differs"),
        RerunVerdict::Tampered => (Mark::Fails, "Tampered"),
        RerunVerdict::CutShort => (Mark::Fails, "Cut short"),
        RerunVerdict::MissingFile => (Mark::Fails, "File missing"),
        RerunVerdict::ForeignVersion => (Mark::Fails, "Other version"),
    };
    page.verdict = Some(Verdict::new(mark, word, &report.sentence));
    let again = vec![Part::Table(machines(report)), Part::List(rerun(report))];
    let mut sections = vec![Section::new("Computed again", again)];
    let mut remarks: Vec<String> = (report.reasons.iter())
        .map(|r| format!("Likely reason: {r}"))
        .collect();
    remarks.extend(report.remarks.iter().cloned());
    for (heading, lines, always) in [
        ("What differs", report.differences.clone(), false),
        ("Remarks", remarks, false),
        ("Notes", notes(&facts.notes), true),
        ("Seals and anchor", seals(report), true),
    ] {
        if always || !lines.is_empty() {
            sections.push(Section::one(heading, Part::List(listed(&lines))));
        }
    }
    page.bands = vec![Band::whole(sections)];
    page.signatures = vec!["Reviewed by".to_owned(), "Released by".to_owned()];
    page.caution = facts.caution.to_owned();
    page.html()
}

fn machines(report: &RerunReport) -> Table {
    let cells = |of: &dyn Fn(&Provenance) -> String| -> Vec<Cell> {
        [&report.written_by, &report.computed_by]
            .map(|p| Cell::Text(p.as_ref().map_or_else(|| "-".to_owned(), of)))
            .into()
    };
    let row = |head: &str, of: &dyn Fn(&Provenance) -> String| Row::new(head, cells(of));
    let rows = vec![
        row("Model version", &|p| p.model_version.to_string()),
        row("Program version", &|p| p.version.clone()),
        row("Platform", &|p| p.platform.clone()),
        row("Build profile", &|p| p.profile.clone()),
        row("Input, blake3", &|p| p.input_blake3.clone()),
    ];
    let columns = [("", 1.0), ("Results", 2.0), ("Rerun", 2.0)];
    let caption = "What wrote the results, and what computed them again";
    Table::new(caption, &columns, rows)
}

fn rerun(report: &RerunReport) -> Vec<String> {
    let whole = report.files.iter().filter(|f| f.state == "whole").count();
    let equal = (report.files.iter())
        .filter(|f| f.equal == Some(true))
        .count();
    let mut lines = vec![format!(
        "{} files, {whole} as they were written, {equal} the same byte for byte when computed again",
        report.files.len()
    )];
    if let Some([again, all]) = report.rows {
        lines.push(format!("{again} of {all} rows computed again"));
    }
    if let Some(sample) = &report.sample {
        lines.push(sample.sentence());
    }
    lines
}

fn notes(notes: &Result<&[ReviewNote], &str>) -> Vec<String> {
    match notes {
        Err(reason) => vec![format!("The notes do not read: {reason}")],
        Ok([]) => vec!["none".to_owned()],
        Ok(notes) => notes
            .iter()
            .map(|n| format!("{}, {}: {}", n.date, n.name, n.text))
            .collect(),
    }
}

fn seals(report: &RerunReport) -> Vec<String> {
    let mut lines: Vec<String> = report.seals.iter().map(|s| s.line()).collect();
    if lines.is_empty() {
        lines.push("no seal".to_owned());
    }
    if let Some(anchor) = &report.anchor {
        lines.push(format!("SHA-256 of manifest.json: {anchor}"));
    }
    lines
}

/// As many as fit, each cut; the rest is counted.
fn listed(lines: &[String]) -> Vec<String> {
    let shown = lines.iter().take(MOST);
    let mut out: Vec<String> = shown.map(|line| cut(line, LONGEST)).collect();
    if lines.len() > MOST {
        out.push(format!("and {} more", lines.len() - MOST));
    }
    out
}
