//! What was found on site and what it does: each finding put right, and each alone, in the order of consequence.

use giveway_results::{ConditionCase, RunContents, Summary};

use super::markup::{Cell, Markup, Table};
use super::picture::{Inline, inline};
use super::verdict::outcome;
use super::words::{ending, maybe, upper_first};
use crate::printed::Mark;
use crate::{ReportError, paint};

/// Most findings in the picture.
pub const MOST_DRAWN: usize = 10;

/// The chapter; `picture` is the chart, where it could be drawn.
pub fn chapter(m: &mut Markup, run: &RunContents, picture: Option<&Inline>) {
    let s = &run.summary;
    let Some(worst) = s.conditions.first() else {
        m.paragraph(none_found(run));
        return;
    };
    let which = match s.conditions.len() {
        1 => "is the only finding".to_owned(),
        n => format!("of {n} findings matters most"),
    };
    let told = format!(
        "Velocity change {} as found, {} with everything put right. {} {which}.",
        worst.as_found.speed_in_words(),
        worst.all_put_right.speed_in_words(),
        upper_first(&worst.title)
    );
    m.classed("says", &told);
    if let Some(p) = picture {
        super::figures::figure(m, p, "Each finding put right by itself, and each alone.");
    }
    m.table(&Table::of(
        "The same impact four times over, for each finding; worst first",
        &s.conditions,
        &[
            ("Finding", &|f| Cell::text(&upper_first(&f.title))),
            ("Rank>", &|f| Cell::number(f.rank.to_string())),
            ("As found>", &|f| Cell::number(f.as_found.speed_in_words())),
            ("If put right>", &|f| {
                Cell::number(with_ending(&f.if_put_right, &f.as_found))
            }),
            ("Gain>", &|f| Cell::number(maybe(f.gain_mps, 1, "m/s"))),
            ("Alone>", &|f| {
                Cell::number(with_ending(&f.alone, &f.as_found))
            }),
            ("All right>", &|f| {
                Cell::number(f.all_put_right.speed_in_words())
            }),
            ("Outcome if put right", &|f| {
                let (mark, word) = match f.if_put_right.error {
                    Some(_) => (Mark::Open, "not computed"),
                    None => outcome(f.if_put_right.outcome),
                };
                Cell::Word(mark, word.to_lowercase())
            }),
        ],
    ));
    m.raw("<p>What is to be done, most effective first:</p>\n<ol>\n");
    for f in &s.conditions {
        let gains = f.gain_mps.is_some_and(|g| g >= 0.05);
        let remark = if gains {
            ""
        } else {
            "(No gain by itself in this impact.) "
        };
        let text = format!("{} {remark}{}", f.put_right, f.sentence);
        m.raw(&format!("<li>{}</li>\n", crate::printed::escaped(&text)));
    }
    m.raw("</ol>\n");
}

fn with_ending(case: &ConditionCase, as_found: &ConditionCase) -> String {
    match case.ending {
        Some(e) if case.ending != as_found.ending => {
            format!("{} ({})", case.speed_in_words(), ending(e))
        }
        _ => case.speed_in_words(),
    }
}

/// Nothing was found, or nothing was compared: the resolved scenario tells which.
fn none_found(run: &RunContents) -> &'static str {
    let found = run.scenario_toml.as_deref().is_some_and(|t| {
        t.lines()
            .any(|l| l.starts_with("[as_found") || l.starts_with("[[as_found"))
    });
    if found {
        "Findings on site went into this run, but what each of them does was not compared (the folder holds no counterfactual \
         runs), or none of them differs from the design."
    } else {
        "Nothing was found on site that differs from the design: the base was computed as designed."
    }
}

/// The chart of the findings; none without findings or where none has a number.
pub fn picture(s: &Summary, id: &str) -> Result<Option<Inline>, ReportError> {
    let Some(figure) = super::findings_chart::draw(s)? else {
        return Ok(None);
    };
    let svg = paint::svg(&figure)?;
    Ok(inline(&svg, id).ok())
}
