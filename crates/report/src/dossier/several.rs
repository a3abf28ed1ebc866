//! Several runs side by side: one row a run.

use giveway_impact::outcome::Ending;
use giveway_occupant::{CAUTION, Check, Outcome};
use giveway_results::RunContents;
use giveway_results::summary::Status;

use super::markup::{Cell, Markup, Table};
use super::verdict::{judged, stands};
use super::words::{cut, ending, maybe, or_dash, to};
use crate::headline::upper_first;
use crate::page::{kmph, released};
use crate::printed::{Mark, escaped};

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
    let free = released(&s.joint);
    let mut text = upper_first(ending(s.ending));
    if !bolts.is_empty() {
        text.push_str(&format!(", {free} of {} bolts free", bolts.len()));
    }
    let lost = s.velocity_change.at_contact_end_mps;
    let lost = lost.unwrap_or(s.velocity_change.at_engagement_end_mps);
    let speed = kmph(s.impact.speed_mps);
    text.push_str(&if lost >= s.impact.speed_mps {
        format!(": the vehicle, at {speed}, was stopped and thrown back.")
    } else {
        format!(": the vehicle lost {} of {speed}.", kmph(lost))
    });
    if let Some(finding) = s.conditions.first() {
        let title = super::words::lower_first(&finding.title);
        text.push_str(&format!(" Found on site: {title}. {}", finding.put_right));
    }
    text
}

/// The essential check that fails, else the one that is closest to its limit.
fn deciding(run: &RunContents) -> Option<&Check> {
    let s = &run.summary;
    let checks = &s.verdicts.first()?.checks;
    let failing = |c: &&Check| c.essential && c.outcome == Outcome::Fail;
    let closest = s.headline.closest_check.as_ref();
    let found = checks.iter().find(failing);
    found
        .or_else(|| checks.iter().find(|c| Some(&c.key) == closest))
        .filter(|_| stands(run) && s.ending != Ending::NoContact)
}

/// Verdicts, one row a run: word, reason, deciding check, limit, margin.
pub fn verdicts(m: &mut Markup, runs: &[Labelled]) {
    for (run, label) in runs.iter().filter(|(run, _)| stands(run)) {
        let (mark, word) = judged(run);
        m.raw(&format!("<p class=\"answer\">{} ", escaped(label)));
        m.word(mark, word);
        let title = cut(&run.summary.title, 120);
        let told = format!(" {title}. {}", why(run));
        m.raw(&format!("{}</p>\n", escaped(&told)));
    }
    let left = |run: &RunContents| deciding(run).and_then(|c| c.margin_fraction);
    m.table(&Table::of(
        "Verdicts, by the first document of each scenario",
        runs,
        &[
            ("Run", &|(_, label)| Cell::text(label)),
            ("Verdict", &|(run, _)| Cell::word(judged(run))),
            ("Title", &|(run, _)| {
                Cell::text(&cut(&run.summary.title, 200))
            }),
            ("Document", &|(run, _)| {
                Cell::text(run.summary.headline.document.as_deref().unwrap_or("none"))
            }),
            ("What decides", &|(run, _)| {
                let text = or_dash(deciding(run).map(super::verdict::sentence));
                Cell::text(text.strip_suffix('.').unwrap_or(&text))
            }),
            ("Against the limit", &|(run, _)| {
                deciding(run).map_or_else(|| Cell::text(""), super::verdict::strip)
            }),
            ("Left>", &|(run, _)| {
                Cell::number(maybe(left(run).map(|f| 100.0 * f), 0, "%"))
            }),
        ],
    ));
    for (run, label) in runs {
        if !run.altered.is_empty() {
            let strong = format!("{label}: this folder is not as the run left it.");
            let told = if run.sound {
                "Its numbers are; what was changed is left out."
            } else {
                "Its numbers do not belong to its input, so that no verdict stands."
            };
            m.lead("notice", &strong, told);
        } else if run.summary.status == Status::Failed {
            let strong = format!("{label}: the run failed.");
            let told = super::verdict::lines(run).join(" ");
            m.lead("notice", &strong, &told);
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
    Table::of(
        "The impact and how it ended",
        runs,
        &[
            ("Run", &|(_, label)| Cell::text(label)),
            ("Vehicle", &|(run, _)| {
                let i = &run.summary.impact;
                Cell::text(&format!("{}, {:.0} kg", i.vehicle_class, i.vehicle_mass_kg))
            }),
            ("Speed>", &|(run, _)| {
                Cell::number(kmph(run.summary.impact.speed_mps))
            }),
            ("Ending", &|(run, _)| Cell::text(ending(run.summary.ending))),
            ("Bolts free>", &|(run, _)| {
                let bolts = &run.summary.joint.bolts;
                let free = released(&run.summary.joint);
                let said = format!("{free} of {}", bolts.len());
                Cell::number(or_dash(Some(said).filter(|_| !bolts.is_empty())))
            }),
            ("Last bolt free>", &|(run, _)| {
                Cell::number(maybe(run.summary.times.release_s.map(|t| 1e3 * t), 1, "ms"))
            }),
            ("End of contact>", &|(run, _)| {
                let end = run.summary.times.contact_end_s;
                Cell::number(maybe(end.map(|t| 1e3 * t), 1, "ms"))
            }),
            ("In the wind", &|(run, _)| {
                Cell::text(match &run.summary.retention {
                    Some(r) if r.holds => "stands",
                    Some(_) => "does not stand",
                    None => "\u{2013}",
                })
            }),
        ],
    )
}

fn what_came(runs: &[Labelled]) -> Table {
    let crush = |run: &RunContents| run.summary.contact.peak_crush_m;
    let dent = |run: &RunContents| run.summary.contact.dent_m;
    Table::of(
        "What came of it",
        runs,
        &[
            ("Run", &|(_, label)| Cell::text(label)),
            ("Velocity change>", &|(run, _)| {
                let v = &run.summary.velocity_change;
                let lost = v.at_contact_end_mps.unwrap_or(v.at_engagement_end_mps);
                Cell::number(to(lost, 2, "m/s"))
            }),
            ("Impact velocity along>", &|(run, _)| {
                let along = run.summary.occupant.flail.oiv_longitudinal_mps;
                Cell::number(to(along, 2, "m/s"))
            }),
            ("Ridedown along>", &|(run, _)| {
                let ridedown = &run.summary.occupant.flail.ridedown_longitudinal;
                Cell::number(maybe(ridedown.as_ref().map(|e| e.value_g), 1, "g"))
            }),
            ("Peak force>", &|(run, _)| {
                Cell::number(to(1e-3 * run.summary.contact.peak_force_n, 1, "kN"))
            }),
            ("Crush>", &|(run, _)| {
                Cell::number(to(1e3 * crush(run), 0, "mm"))
            }),
            ("Dent>", &|(run, _)| {
                Cell::number(to(1e3 * dent(run), 1, "mm"))
            }),
            ("Tension rise>", &|(run, _)| {
                let rise = run.summary.joint.tension_rise_fraction;
                Cell::number(to(100.0 * rise, 0, "%"))
            }),
        ],
    )
}

fn books(runs: &[Labelled]) -> Table {
    Table::of(
        "Books: what does not add up, and how much work it was",
        runs,
        &[
            ("Run", &|(_, label)| Cell::text(label)),
            ("Energy>", &|(run, _)| {
                let residual = run.summary.books.energy_residual_fraction;
                Cell::number(format!("{:.4} %", 100.0 * residual))
            }),
            ("Momentum>", &|(run, _)| {
                let residual = run.summary.books.momentum_residual_fraction;
                Cell::number(format!("{:.1e} %", 100.0 * residual))
            }),
            ("State", &|(run, _)| {
                Cell::word(super::books::state(run.summary.books.books_closed))
            }),
            ("Steps>", &|(run, _)| {
                Cell::number(run.summary.work.steps.to_string())
            }),
            ("Assumed values>", &|(run, _)| {
                Cell::number(run.summary.assumptions.to_string())
            }),
            ("Flags>", &|(run, _)| {
                Cell::number(run.summary.flags.len().to_string())
            }),
        ],
    )
}
