//! The verdict, first of all: the word, the quantity that decides, its limit, source and margin; then every document.

use giveway_impact::outcome::Ending;
use giveway_occupant::{Blow, CAUTION, Check, Mark as Known, Outcome, SetVerdict};
use giveway_results::RunContents;
use giveway_results::summary::Status;

use super::markup::{Cell, Markup, Table};
use super::words::{lower_first, maybe, or_dash, quantity};
use crate::headline::{deciding, range_words};
use crate::printed::Mark;

/// Word and frame of a run's verdict. Nothing stands for a run that failed or whose folder is not as it was written.
pub fn judged(run: &RunContents) -> (Mark, &'static str) {
    let s = &run.summary;
    match (run.sound, s.status, s.ending) {
        (false, ..) => (Mark::Open, "No verdict: altered"),
        (_, Status::Failed, _) => (Mark::Open, "No verdict: run failed"),
        (_, _, Ending::NoContact) => (Mark::Open, "Not judged: no contact"),
        _ => blow(s.blow()),
    }
}

/// Words and frame of the verdict of the blow.
pub fn blow(blow: Blow) -> (Mark, &'static str) {
    (outcome(blow.outcome()).0, blow.words())
}

/// Word and frame of an outcome.
pub fn outcome(outcome: Outcome) -> (Mark, &'static str) {
    (outcome.into(), outcome.word())
}

/// Whether the run's verdicts are shown as such.
pub fn stands(run: &RunContents) -> bool {
    run.sound && run.summary.status == Status::Complete
}

/// The panel: word, sentence, deciding check, closest check, caution.
pub fn panel(m: &mut Markup, run: &RunContents) {
    let (mark, word) = judged(run);
    m.raw("<div class=\"verdict\">\n<p>");
    m.word(mark, word);
    m.raw("</p>\n");
    for line in lines(run) {
        m.classed("says", &line);
    }
    m.raw("</div>\n");
    m.lead("caution", "Caution.", CAUTION);
    if !run.altered.is_empty() {
        let told = if run.sound {
            "Its summary is; left out is:"
        } else {
            "Its numbers do not belong to its input, so that no verdict stands. Run the scenario again."
        };
        m.lead("notice", "This folder is not as the run left it.", told);
        m.points(&run.altered[..run.altered.len().min(20)]);
    }
}

/// What the panel says, a paragraph each.
pub fn lines(run: &RunContents) -> Vec<String> {
    let s = &run.summary;
    if !run.sound {
        return vec![
            "Files of this folder were changed after the run, or do not belong together.".into(),
        ];
    }
    if s.status == Status::Failed {
        return vec![
            s.headline.sentence.clone(),
            "The numbers below are kept for those who look for the cause; nothing may be concluded from them.".into(),
        ];
    }
    if s.ending == Ending::NoContact {
        return vec![s.headline.sentence.clone()];
    }
    let mut out = vec![match &s.headline.document {
        Some(document) => format!("{} Judged by {document}.", s.headline.sentence),
        None => s.headline.sentence.clone(),
    }];
    let (main, closest) = deciding(s);
    out.extend(main.map(sentence));
    if let Some(c) = closest {
        let words = lower_first(&sentence(c));
        out.push(format!("Closest to its limit: {words}"));
    }
    out
}

/// One check: value, limit, margin, source.
pub fn sentence(c: &Check) -> String {
    let mut text = c.title.clone();
    if let Some(value) = c.value {
        text.push_str(&format!(" {}", with_range(value, c)));
    }
    if let Some(max) = c.limit_max {
        text.push_str(&format!("; limit {}", quantity(max, &c.unit)));
        if let Some(preferred) = c.limit_preferred {
            text.push_str(&format!(" (preferred {})", quantity(preferred, &c.unit)));
        }
    }
    if c.undecided() {
        text.push_str("; the limit lies in that range");
    } else if let Some(margin) = c.margin_fraction {
        text.push_str(&format!("; {}", margin_words(margin)));
    }
    text.push_str(&format!(". Source: {} [{}]", c.source, known(c.mark)));
    if let Some(advice) = &c.advice {
        text.push_str(&format!("; {advice}"));
    }
    text.push('.');
    text
}

/// The value, and its range where it is an estimate.
fn with_range(value: f64, c: &Check) -> String {
    let at = |v: f64| quantity(v, &c.unit);
    match c.value_range {
        Some([low, high]) => format!(
            "{} ({} to {}{})",
            at(value),
            at(low),
            at(high),
            range_words(c)
        ),
        None => at(value),
    }
}

/// "18 % over the limit", "25 % left".
pub fn margin_words(margin: f64) -> String {
    if margin >= 0.0 {
        format!("{:.0} % of the limit left", 100.0 * margin)
    } else {
        format!("{:.0} % over the limit", -100.0 * margin)
    }
}

/// How well a limit is known.
fn known(mark: Known) -> &'static str {
    match mark {
        Known::Seen => "seen",
        Known::Recalled => "recalled",
        Known::Derived => "derived",
        Known::Scenario => "given in the scenario",
    }
}

/// Every check of every document.
pub fn documents(m: &mut Markup, run: &RunContents, level: u8) {
    let s = &run.summary;
    if s.verdicts.is_empty() {
        m.paragraph("The scenario names no document to be judged by.");
        return;
    }
    if s.ending == Ending::NoContact {
        m.paragraph(
            "The vehicle did not touch the pole, so that nothing of an impact can be judged.",
        );
    }
    m.classed(
        "soft",
        "The bar shows the value, the tall red tick the limit, the dashed one the preferred limit. Seen: read in the source or \
         in a text that quotes it; recalled: written from memory, verify it against the current edition; derived: computed.",
    );
    for verdict in &s.verdicts {
        document(m, verdict, stands(run), level);
    }
}

/// The value of a check against its limit, drawn; nothing where it has none.
pub fn strip(c: &Check) -> Cell {
    match (c.margin_fraction, c.limit_max) {
        (Some(margin), Some(max)) => Cell::Strip(1.0 - margin, c.limit_preferred.map(|p| p / max)),
        _ => Cell::text(""),
    }
}

fn document(m: &mut Markup, v: &SetVerdict, stands: bool, level: u8) {
    m.subheading(level, &v.document);
    if stands {
        m.raw("<p>");
        let (mark, word) = blow(v.blow());
        m.word(mark, word);
        m.raw("</p>\n");
    } else {
        m.paragraph("No verdict stands; the numbers are shown for those who look for the cause.");
    }
    m.table(&Table::of(
        "Every check, its limit and what is left of it",
        &v.checks,
        &[
            ("Check", &|c| Cell::text(&c.title)),
            ("Value>", &|c| {
                Cell::number(or_dash(c.value.map(|v| with_range(v, c))))
            }),
            ("Limit>", &|c| {
                Cell::number(or_dash(c.limit_max.map(|v| quantity(v, &c.unit))))
            }),
            ("Preferred>", &|c| {
                Cell::number(or_dash(c.limit_preferred.map(|v| quantity(v, &c.unit))))
            }),
            ("Against the limit", &|c| strip(c)),
            ("Left>", &|c| {
                Cell::number(maybe(c.margin_fraction.map(|f| 100.0 * f), 1, "%"))
            }),
            ("Outcome", &|c| {
                let (mark, word) = outcome(c.outcome);
                if stands {
                    Cell::Word(mark, word.to_lowercase())
                } else {
                    Cell::word((Mark::Open, "no verdict"))
                }
            }),
            ("Source of the limit", &|c| {
                let mut source = format!("{} [{}]", c.source, known(c.mark));
                if let Some(remark) = &c.remark {
                    source.push_str(&format!("; {remark}"));
                }
                Cell::text(&source)
            }),
        ],
    ));
    if let Some(classes) = &v.en12767 {
        m.paragraph(&super::words::classes(classes));
    }
    if stands {
        m.points(&v.notes);
    }
}
