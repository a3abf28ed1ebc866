//! Several runs side by side: one row a run.

use giveway_impact::outcome::Ending;
use giveway_occupant::{CAUTION, Outcome};
use giveway_results::RunContents;
use giveway_results::summary::Status;

use super::markup::{Cell, Markup, Table};
use super::verdict::{judged, stands};
use super::words::{cut, ending, maybe, to};
use crate::headline::upper_first;
use crate::page::kmph;
use crate::printed::Mark;

/// A run with the letter that stands for it.
pub type Labelled<'a> = (&'a RunContents, String);

/// The letter of a run, from 0: A to Z, then A2, B2 and so on.
pub fn letter(n: usize) -> String {
    let c = char::from(b'A' + (n % 26) as u8);
    match n / 26 {
        0 => c.to_string(),
        k => format!("{c}{}", k + 1),
    }
}

/// Who fails, in a title.
pub fn answer(runs: &[Labelled]) -> String {
    let with = |mark: Mark| -> Vec<&str> {
        let of = runs.iter().filter(|(run, _)| judged(run).0 == mark);
        of.map(|(_, label)| label.as_str()).collect()
    };
    let verb = |labels: &[&str], one: &str, many: &str| match labels {
        [] => None,
        [label] => Some(format!("{label} {one}")),
        labels => Some(format!("{} {many}", labels.join(", "))),
    };
    let parts = [
        verb(&with(Mark::Fails), "fails", "fail"),
        verb(&with(Mark::Near), "is marginal", "are marginal"),
        verb(&with(Mark::Meets), "passes", "pass"),
        verb(&with(Mark::Open), "is not judged", "are not judged"),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.len() == 1 && runs.len() == 2 {
        return parts[0].replace(", ", " and ");
    }
    parts.join("; ")
}

/// How a run ended, and of what was found on site that which costs most.
fn why(run: &RunContents) -> String {
    let s = &run.summary;
    let bolts = &s.joint.bolts;
    let free = bolts.iter().filter(|b| b.release_time_s.is_some()).count();
    let mut text = upper_first(ending(s.ending));
    if !bolts.is_empty() {
        text.push_str(&format!(", {free} of {} bolts free", bolts.len()));
    }
    let lost = s.velocity_change.at_contact_end_mps;
    let lost = lost.unwrap_or(s.velocity_change.at_engagement_end_mps);
    text.push_str(&if lost >= s.impact.speed_mps {
        format!(
            ": the vehicle, at {}, was stopped and thrown back.",
            kmph(s.impact.speed_mps)
        )
    } else {
        format!(
            ": the vehicle lost {} of {}.",
            kmph(lost),
            kmph(s.impact.speed_mps)
        )
    });
    if let Some(finding) = s.conditions.first() {
        text.push_str(&format!(
            " Found on site: {}. {}",
            super::words::lower_first(&finding.title),
            finding.put_right
        ));
    }
    text
}

/// Verdicts, one row a run: word, reason, deciding check, limit, margin.
pub fn verdicts(m: &mut Markup, runs: &[Labelled]) {
    for (run, label) in runs.iter().filter(|(run, _)| stands(run)) {
        let (mark, word) = judged(run);
        m.raw("<p class=\"answer\">");
        m.raw(&crate::printed::escaped(&format!("{label} ")));
        m.word(mark, word);
        m.raw(" ");
        m.raw(&crate::printed::escaped(&cut(&run.summary.title, 120)));
        m.raw(". ");
        m.raw(&crate::printed::escaped(&why(run)));
        m.raw("</p>\n");
    }
    let mut t = Table::new(
        "Verdicts, by the first document of each scenario",
        &[
            "Run",
            "Verdict",
            "Title",
            "Document",
            "What decides",
            "Against the limit",
            "Left>",
        ],
    );
    for (run, label) in runs {
        let s = &run.summary;
        let (mark, word) = judged(run);
        let check = s
            .verdicts
            .first()
            .and_then(|v| {
                v.checks
                    .iter()
                    .find(|c| c.essential && c.outcome == Outcome::Fail)
                    .or_else(|| {
                        let closest = s.headline.closest_check.as_ref();
                        v.checks.iter().find(|c| Some(&c.key) == closest)
                    })
            })
            .filter(|_| stands(run) && s.ending != Ending::NoContact);
        let closest = check.map_or_else(
            || "\u{2013}".to_owned(),
            |c| {
                let text = super::verdict::sentence(c);
                text.strip_suffix('.').unwrap_or(&text).to_owned()
            },
        );
        t.row(vec![
            Cell::text(label),
            Cell::Word(mark, word.to_owned()),
            Cell::text(&cut(&s.title, 200)),
            Cell::text(s.headline.document.as_deref().unwrap_or("none")),
            Cell::text(&closest),
            match check.and_then(|c| Some((c.margin_fraction?, c.limit_preferred, c.limit_max?))) {
                Some((margin, preferred, max)) => {
                    Cell::Strip(1.0 - margin, preferred.map(|p| p / max))
                }
                None => Cell::text(""),
            },
            Cell::number(
                check
                    .and_then(|c| c.margin_fraction)
                    .map_or_else(|| "\u{2013}".to_owned(), |f| to(100.0 * f, 0, "%")),
            ),
        ]);
    }
    m.table(&t);
    for (run, label) in runs {
        if !run.altered.is_empty() {
            m.lead(
                "notice",
                &format!("{label}: this folder is not as the run left it."),
                if run.sound {
                    "Its numbers are; what was changed is left out."
                } else {
                    "Its numbers do not belong to its input, so that no verdict stands."
                },
            );
        } else if run.summary.status == Status::Failed {
            m.lead(
                "notice",
                &format!("{label}: the run failed."),
                &super::verdict::lines(run).join(" "),
            );
        }
    }
    m.lead("caution", "Caution.", CAUTION);
}

/// Numbers, one row a run.
pub fn numbers(m: &mut Markup, runs: &[Labelled]) {
    m.table(&impacts(runs));
    m.table(&what_came(runs));
    m.table(&books(runs));
}

fn impacts(runs: &[Labelled]) -> Table {
    let mut table = Table::new(
        "The impact and how it ended",
        &[
            "Run",
            "Vehicle",
            "Speed>",
            "Ending",
            "Bolts free>",
            "Last bolt free>",
            "End of contact>",
            "In the wind",
        ],
    );
    for (run, label) in runs {
        let s = &run.summary;
        let bolts = &s.joint.bolts;
        let free = bolts.iter().filter(|b| b.release_time_s.is_some()).count();
        table.row(vec![
            Cell::text(label),
            Cell::text(&format!(
                "{}, {:.0} kg",
                s.impact.vehicle_class, s.impact.vehicle_mass_kg
            )),
            Cell::number(kmph(s.impact.speed_mps)),
            Cell::text(ending(s.ending)),
            Cell::number(if bolts.is_empty() {
                "\u{2013}".to_owned()
            } else {
                format!("{free} of {}", bolts.len())
            }),
            Cell::number(maybe(s.times.release_s.map(|t| 1e3 * t), 1, "ms")),
            Cell::number(maybe(s.times.contact_end_s.map(|t| 1e3 * t), 1, "ms")),
            Cell::text(match &s.retention {
                Some(r) if r.holds => "stands",
                Some(_) => "does not stand",
                None => "\u{2013}",
            }),
        ]);
    }
    table
}

fn what_came(runs: &[Labelled]) -> Table {
    let mut table = Table::new(
        "What came of it",
        &[
            "Run",
            "Velocity change>",
            "Impact velocity along>",
            "Ridedown along>",
            "Peak force>",
            "Crush>",
            "Dent>",
            "Tension rise>",
        ],
    );
    for (run, label) in runs {
        let s = &run.summary;
        let v = &s.velocity_change;
        let flail = &s.occupant.flail;
        table.row(vec![
            Cell::text(label),
            Cell::number(to(
                v.at_contact_end_mps.unwrap_or(v.at_engagement_end_mps),
                2,
                "m/s",
            )),
            Cell::number(to(flail.oiv_longitudinal_mps, 2, "m/s")),
            Cell::number(maybe(
                flail.ridedown_longitudinal.as_ref().map(|e| e.value_g),
                1,
                "g",
            )),
            Cell::number(to(1e-3 * s.contact.peak_force_n, 1, "kN")),
            Cell::number(to(1e3 * s.contact.peak_crush_m, 0, "mm")),
            Cell::number(to(1e3 * s.contact.dent_m, 1, "mm")),
            Cell::number(to(100.0 * s.joint.tension_rise_fraction, 0, "%")),
        ]);
    }
    table
}

fn books(runs: &[Labelled]) -> Table {
    let mut table = Table::new(
        "Books: what does not add up, and how much work it was",
        &[
            "Run",
            "Energy>",
            "Momentum>",
            "State",
            "Steps>",
            "Assumed values>",
            "Flags>",
        ],
    );
    for (run, label) in runs {
        let s = &run.summary;
        let b = &s.books;
        let (mark, word) = if b.books_closed {
            (Mark::Meets, "closed")
        } else {
            (Mark::Fails, "OPEN")
        };
        table.row(vec![
            Cell::text(label),
            Cell::number(format!("{:.4} %", 100.0 * b.energy_residual_fraction)),
            Cell::number(format!("{:.1e} %", 100.0 * b.momentum_residual_fraction)),
            Cell::Word(mark, word.to_owned()),
            Cell::number(s.work.steps.to_string()),
            Cell::number(s.assumptions.to_string()),
            Cell::number(s.flags.len().to_string()),
        ]);
    }
    table
}
