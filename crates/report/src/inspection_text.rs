//! An inspection, and a list of poles, for a terminal.

use giveway_occupant::{Blow, Outcome};
use giveway_site::requirements::{Verdict, Weight};
use giveway_site::{Inspection, ItemResult, Open, Survey, TestNumbers, TestResult};
use giveway_units::{System, spoken};

use crate::lines::Lines;

/// Widest line, characters.
const COLUMNS: usize = 100;

/// What a run says in short: `8.3 m/s, 170 % of the limit, fails (binds)`, with or without its flag words.
pub(crate) fn run_in_words(run: &TestNumbers, flags: bool, system: System) -> String {
    if let Some(error) = &run.error {
        return format!("not computed: {error}");
    }
    let mut text = format!(
        "{}, {} of the limit, {}",
        plain_speed(run, system),
        Inspection::percent(run.load),
        run.blow.words()
    );
    for dent in &run.dents {
        text.push_str(&format!("; {dent}"));
    }
    let mut words: Vec<&str> = Vec::new();
    for flag in &run.flags {
        if !words.contains(&flag.word.as_str()) {
            words.push(&flag.word);
        }
    }
    if flags && !words.is_empty() {
        text.push_str(&format!(" ({})", words.join(", ")));
    }
    text
}

/// The velocity change to one decimal, without a sign on a zero, and whether the test fails.
pub(crate) fn speed_in_words(run: &TestNumbers, system: System) -> String {
    let fails = run.blow == Blow::Fail;
    let fails = if fails { " (fails)" } else { "" };
    plain_speed(run, system) + fails
}

fn plain_speed(run: &TestNumbers, system: System) -> String {
    let Some(v) = run.velocity_change_mps else {
        return "unknown".to_owned();
    };
    let rounded = (10.0 * v).round() / 10.0 + 0.0;
    spoken(&format!("{rounded:.1} m/s"), system)
}

/// `820 kg at 35 km/h`.
pub(crate) fn at_speed(test: &TestResult, system: System) -> String {
    let text = format!(
        "{:.0} kg at {:.0} km/h",
        test.vehicle_mass_kg, test.speed_kmph
    );
    spoken(&text, system)
}

/// Photos, position and wrench, where the record has them.
pub(crate) fn own_facts(i: &Inspection) -> Vec<(&'static str, String)> {
    let mut list = Vec::new();
    if let Some([latitude, longitude]) = i.position_deg {
        list.push(("Position", format!("{latitude}, {longitude}")));
    }
    if !i.photos.is_empty() {
        list.push(("Photo", i.photos.join("; ")));
    }
    if let Some(wrench) = &i.wrench {
        list.push(("Wrench", wrench.clone()));
    }
    list
}

pub(crate) fn weight_word(weight: Weight) -> &'static str {
    match weight {
        Weight::Essential => "essential",
        Weight::Important => "important",
        Weight::Minor => "minor",
    }
}

/// The inspection as plain text of at most 100 columns.
pub fn inspection_text(i: &Inspection) -> String {
    let mut out = Lines::new(COLUMNS);
    head(&mut out, i);
    out.heading("Governing tests (velocity change)");
    for test in &i.tests {
        tested(&mut out, test, i);
    }
    out.heading("Put right, in this order");
    if i.order.is_empty() {
        out.hanging("  ", "Nothing.");
    }
    for step in &i.order {
        let weight = weight_word(step.weight);
        let text = format!("{} [{weight}] {}", step.put_right, step.sentence);
        out.hanging(&format!("  {:>2}. ", step.number), &text);
    }
    if !i.conditions.is_empty() {
        out.heading("What each condition does (velocity change)");
        for c in &i.conditions {
            out.item(&format!("{}: {}", c.title, c.sentence));
        }
    }
    out.heading("Items");
    for item in &i.items {
        row(&mut out, item);
    }
    out.heading("Not measured");
    if i.not_measured.is_empty() {
        out.hanging("  ", "Everything was measured.");
    }
    for open in &i.not_measured {
        not_measured(&mut out, open);
    }
    if !i.assumed.is_empty() {
        out.heading("Assumed, because it was not measured");
        for a in &i.assumed {
            out.item(&format!("{} = {} ({})", a.item, a.value, a.reason));
        }
    }
    out.heading("Not looked at");
    out.item(&format!("{}.", i.not_looked_at.join("; ")));
    out.blank();
    out.text("Rule: ", "  ", &i.rule);
    out.text("Caution: ", "  ", &i.caution);
    out.finish()
}

fn head(out: &mut Lines, i: &Inspection) {
    let decision = i.decision.words().to_uppercase();
    let title = format!("POLE {}, {}: {decision}", i.pole, i.date);
    out.text("", "  ", &title);
    out.item(&format!("Type: {} ({})", i.type_title, i.type_file));
    if let Some(inspector) = &i.inspector {
        out.item(&format!("Inspector: {inspector}"));
    }
    out.item(&format!("Limits: {}", i.profile));
    for (name, text) in own_facts(i) {
        out.item(&format!("{name}: {text}"));
    }
    for note in &i.place {
        out.item(&format!("{}: {}", note.name, note.text));
    }
    for reason in &i.reasons {
        out.text("  - ", "    ", reason);
    }
}

/// One governing test: as found, as designed, what a person must see.
fn tested(out: &mut Lines, test: &TestResult, i: &Inspection) {
    let speed = at_speed(test, i.system());
    out.item(&format!("{}, {speed} ({})", test.name, test.document));
    for (lead, run) in [
        ("    as found:    ", &test.as_found),
        ("    as designed: ", &test.as_designed),
    ] {
        out.hanging(lead, &run_in_words(run, true, i.system()));
    }
    if test.as_found.blow.outcome() == Outcome::Marginal {
        let marginal = i.words.iter().find(|n| n.name == "marginal");
        let meaning = marginal.map_or("", |n| n.text.as_str());
        out.hanging("    ! ", &format!("marginal: {meaning}"));
    }
    for flag in &test.as_found.flags {
        out.hanging("    ! ", &format!("{}: {}", flag.word, flag.sentence));
    }
}

fn row(out: &mut Lines, item: &ItemResult) {
    let weight = weight_word(item.weight);
    let text = format!(
        "{}: required {}, found {} ({weight}, by {})",
        item.requirement, item.limit, item.measured, item.tool
    );
    out.hanging(&format!("  {:<13}", item.verdict.words()), &text);
    if item.verdict != Verdict::Meets {
        let source = item.origin.marked(&item.source);
        out.hanging("                 ", &format!("Source: {source}"));
    }
}

fn not_measured(out: &mut Lines, open: &Open) {
    let worst = match (&open.worst_plausible, &open.reason) {
        (Some(value), Some(reason)) => format!(" Worst plausible: {value} ({reason})."),
        _ => String::new(),
    };
    let (name, weight) = (&open.requirement, weight_word(open.weight));
    out.item(&format!("{name} [{weight}]: {}{worst}", open.sentence));
}

/// The list of poles as a table of plain text.
pub fn survey_text(s: &Survey) -> String {
    let refused = counted(s.refused, "record");
    let unreadable: String = (s.unreadable.iter())
        .map(|u| {
            let pole = u.pole.as_deref().unwrap_or("unknown pole");
            format!("UNREADABLE  {pole}  {}:{}  {}\n", u.file, u.line, u.problem)
        })
        .collect();
    if s.poles.is_empty() && s.unreadable.is_empty() {
        return format!("No pole could be inspected; {refused} refused\n");
    }
    let head = ",pole,decision,load,low speed,high speed,fail,open,first";
    let head: Vec<String> = head.split(',').map(str::to_owned).collect();
    let speed = |found: Option<f64>, designed: Option<f64>| {
        let one = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| format!("{v:.1}"));
        format!("{} ({})", one(found), one(designed))
    };
    let mut rows = vec![head];
    rows.extend(s.poles.iter().map(|p| {
        vec![
            p.rank.to_string(),
            p.pole.clone(),
            p.decision.words().to_owned(),
            Inspection::percent(p.load_as_found),
            speed(p.low_speed_as_found_mps, p.low_speed_as_designed_mps),
            speed(p.high_speed_as_found_mps, p.high_speed_as_designed_mps),
            p.failing.to_string(),
            p.not_measured.to_string(),
            p.first.clone(),
        ]
    }));
    let widest = |c: usize| rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..rows[0].len()).map(widest).collect();
    let line = |cells: &Vec<String>| {
        let cells = cells.iter().zip(&widths);
        let padded: Vec<String> = cells
            .map(|(cell, width)| format!("{cell:<width$}"))
            .collect();
        format!("{}\n", padded.join("  ").trim_end())
    };
    let mut text = format!(
        "{}: {} no-go, {} cannot tell, {} go; {refused} refused\n\
         Velocity changes in m/s as found (as designed); load = largest value over its limit in both tests.\n\n",
        counted(s.poles.len(), "pole"),
        s.no_go,
        s.cannot_tell,
        s.go
    );
    text.push_str(&unreadable);
    text.extend(rows.iter().map(line));
    let mut foot = Lines::new(COLUMNS);
    foot.blank();
    foot.text("Sorted: ", "  ", &s.sorted_by);
    foot.text("Rule: ", "  ", &s.rule);
    foot.text("Caution: ", "  ", &s.caution);
    text.push_str(&foot.finish());
    text
}

/// "1 pole", "12 poles".
fn counted(number: usize, what: &str) -> String {
    let many = if number == 1 { "" } else { "s" };
    format!("{number} {what}{many}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_without_a_pole_is_one_line() {
        assert_eq!(
            survey_text(&giveway_site::survey(&[], Vec::new())),
            "No pole could be inspected; 0 records refused\n"
        );
        assert_eq!(counted(1, "pole"), "1 pole");
        assert_eq!(counted(0, "record"), "0 records");
    }
}
