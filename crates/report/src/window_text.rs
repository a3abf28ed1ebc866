//! The torque window for a terminal.

use giveway_study::WindowAnswer;
use giveway_study::window::{
    ConfidentWindow, DesignAnswer, Fragility, Opening, Reason, TorqueWindow,
};
use giveway_units::{System, spoken, spoken_title};

use crate::lines::Lines;
use crate::study_figures;

/// Widest line, characters.
const COLUMNS: usize = 100;

/// The window as plain text of at most 100 columns.
pub fn window_text(facts: &WindowAnswer, system: System) -> String {
    let w = &facts.window;
    let mut out = Lines::new(COLUMNS);
    out.text("", "  ", &facts.title);
    out.text("", "  ", &spoken(&headline(w), system));
    if let Some(nearest) = &facts.nearest {
        out.text("", "  ", &spoken(&nearest.sentence, system));
    }
    out.blank();
    table(&mut out, facts, system);
    let told = rest(facts);
    let mut text = out.finish();
    text.push_str(&spoken(&told, system));
    text
}

/// Width of a column of numbers.
const NUMBER: usize = 11;

/// A row for everything that asks: where it is met, what is left at the design's torque, who asks; below it why not elsewhere.
fn table(out: &mut Lines, facts: &WindowAnswer, system: System) {
    let w = &facts.window;
    let (unit, factor) = torque_unit(system);
    let left = w.torque_nm.map_or(String::new(), |t| {
        format!("left at {:.0} {unit}", factor * t)
    });
    let [least, most] = w.from_to_nm.map(|t| t * factor);
    let intro = format!(
        "What asks, and from which to which torque it is met ({least:.0} to {most:.0} {unit} searched; judged by {})",
        facts.criteria.words()
    );
    out.text("", "  ", &intro);
    let wide = left.chars().count().max(NUMBER);
    let head = format!(
        "  {:>NUMBER$}  {:>NUMBER$}  {left:>wide$}  ",
        format!("from {unit}"),
        format!("to {unit}")
    );
    out.text(&head, "", "asked by");
    let lead = " ".repeat(head.chars().count());
    for row in &facts.table {
        let near = w.window_nm.map(|w| w[0]).or(w.torque_nm).unwrap_or(0.0);
        // Of several ranges the one at the window; the others stand below.
        let range = (row.passes.iter())
            .find(|p| p.to_nm >= near)
            .or(row.passes.last());
        let number = |t: Option<f64>, sets: bool| {
            let text = t.map_or("-".to_owned(), |t| format!("{:.0}", factor * t));
            let mark = if sets { "*" } else { "" };
            format!("{:>NUMBER$}", format!("{mark}{text}"))
        };
        let [from, to] = match range {
            Some(p) => [
                number(p.from.as_ref().map(|_| p.from_nm), row.sets_lower),
                number(p.to.as_ref().map(|_| p.to_nm), row.sets_upper),
            ],
            None => [format!("{:>NUMBER$}", "none"), format!("{:>NUMBER$}", "")],
        };
        let margin = match (&row.design, left.is_empty()) {
            (_, true) => String::new(),
            (Some(s), _) => match s.margin_fraction {
                Some(m) => format!("{:+.0} %", 100.0 * m),
                None if s.passes => "passes".to_owned(),
                None => "fails".to_owned(),
            },
            (None, _) => String::new(),
        };
        let limit = row.limit.as_ref().map(|l| format!(": {l}"));
        let limit = limit.unwrap_or_default();
        let remark = if row.counts { "" } else { " (moves no end)" };
        let name = spoken(&format!("{}{limit}{remark}", row.name), system);
        let first = format!("  {from}  {to}  {margin:>wide$}  ");
        out.text(&first, &format!("{lead}  "), &name);
        let indent = format!("{lead}    ");
        // What is met everywhere, or everywhere but beyond its one end, needs no more words than its row.
        let told = |r: &&Reason| !r.passes || row.case.is_some();
        let told = row.reasons.iter().filter(told);
        for reason in told.map(|r| r.said()).chain(row.remarks.iter().cloned()) {
            out.text(&format!("{lead}  "), &indent, &spoken(&reason, system));
        }
    }
    out.text("", "", "* sets an end of the window");
}

/// Combinations that are shown.
const SHOWN: usize = 12;

/// Which designs have a window, as plain text of at most 100 columns.
pub fn designs_text(found: &DesignAnswer, system: System) -> String {
    let mut out = Lines::new(COLUMNS);
    out.text("", "  ", &found.title);
    let count = |which: fn(&giveway_study::window::Combination) -> bool| {
        found.combinations.iter().filter(|c| which(c)).count()
    };
    let intro = format!(
        "{} of {} combinations of bolts, size and circle have a torque window, {} are refused. Impacts: {}; judged by {}.",
        count(|c| c.window_nm.is_some()),
        found.combinations.len(),
        count(|c| c.refused.is_some()),
        found.cases.join("; "),
        found.criteria.words()
    );
    out.text("", "  ", &spoken(&intro, system));
    out.blank();
    let (unit, factor) = torque_unit(system);
    let head = format!(
        "  {:<20}{:>14}{:>14}{:>12}   ",
        "bolts, circle",
        format!("window {unit}"),
        "tighten to",
        "ends away"
    );
    out.text(&head, "", "set by");
    let indent = " ".repeat(head.chars().count());
    let mut left_out = 0;
    for (i, c) in found.combinations.iter().enumerate() {
        if c.refused.is_some() {
            continue;
        }
        if i >= SHOWN && !c.own {
            left_out += 1;
            continue;
        }
        let own = if c.own { "* " } else { "  " };
        let circle = spoken(&format!("{:.0} mm", 1e3 * c.circle_m), system);
        let base = format!("{} x {}, {circle}", c.bolts, c.size);
        let cells = match (c.window_nm, c.torque_nm, c.margin_fraction) {
            (Some([from, to]), Some(t), Some(m)) => [
                format!("{:.0} to {:.0}", factor * from, factor * to),
                format!("{:.0}", factor * t),
                format!("{:.0} %", 100.0 * m),
            ],
            _ => ["none".to_owned(), String::new(), String::new()],
        };
        let [window, torque, away] = cells;
        let first = format!("{own}{base:<20}{window:>14}{torque:>14}{away:>12}   ");
        let coarse = !c.fine && c.window_nm.is_some();
        let coarse = if coarse { " (to 5 %)" } else { "" };
        let told = format!("{}; {}{coarse}", c.lower, c.upper);
        out.text(&first, &indent, &spoken(&told, system));
    }
    if left_out > 0 {
        out.text("  ", "", &format!("and {left_out} more (--format json)"));
    }
    // Of those refused for the same reason one line.
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for c in &found.combinations {
        let Some(reason) = c.refused.as_deref() else {
            continue;
        };
        let base = format!("{} x {}, {:.0} mm", c.bolts, c.size, 1e3 * c.circle_m);
        match reasons.iter_mut().find(|r| r.0 == reason) {
            Some(r) => r.1.push(base),
            None => reasons.push((reason, vec![base])),
        }
    }
    for (reason, bases) in &reasons {
        let told = format!("refused, {reason}: {}", bases.join("; "));
        out.text("  ", "      ", &spoken(&told, system));
    }
    out.text("", "", "* the scenario's own");
    out.blank();
    let more = "The pole is not followed after its release here; `giveway window` with --set slip_base.bolts, \
                slip_base.bolt.size and slip_base.bolt_circle gives the whole answer for one of them.";
    out.text("", "", more);
    out.text("", "", found.caution);
    out.finish()
}

/// Everything after the table.
fn rest(facts: &WindowAnswer) -> String {
    let w = &facts.window;
    let mut out = Lines::new(COLUMNS);
    if let Some(c) = &facts.confident {
        confidence(&mut out, c);
    }
    for curve in &facts.fragility {
        fragility(&mut out, curve);
    }
    if !facts.changes.is_empty() {
        out.heading(if w.window_nm.is_none() {
            "What would open a window"
        } else {
            "What would move the window"
        });
        for o in &facts.changes {
            let says = opening_words(o);
            out.item(&says);
        }
    }
    out.heading(facts.caution);
    out.finish()
}

/// What a change of the design does to the window.
pub(crate) fn opening_words(o: &Opening) -> String {
    match o.window_nm {
        Some([from, to]) => format!("{}: {from:.0} to {to:.0} N.m", o.change),
        None => format!("{}: no. {}", o.change, o.sentence),
    }
}

/// The unit of torques and what a number of N.m is in it.
fn torque_unit(system: System) -> (String, f64) {
    let (title, factor) = spoken_title("torque, N.m", system);
    let unit = title.rsplit(", ").next().unwrap_or("N.m").to_owned();
    (unit, factor)
}

fn headline(w: &TorqueWindow) -> String {
    let own = match (w.torque_nm, w.torque_is_inside) {
        (Some(t), Some(true)) => format!(" The design's {t:.0} N.m lies inside."),
        (Some(t), Some(false)) if w.window_nm.is_some() => {
            format!(" The design's {t:.0} N.m lies outside.")
        }
        _ => String::new(),
    };
    format!("{}.{own}", study_figures::headline(w))
}

fn confidence(out: &mut Lines, c: &ConfidentWindow) {
    out.heading(&format!(
        "With {:.0} % confidence ({} realisations of the scatter, seed {})",
        c.level * 100.0,
        c.realisations,
        c.root
    ));
    out.text("  ", "  ", &c.sentence);
    for (name, end) in [("lower end", c.lower), ("upper end", c.upper)] {
        let Some(e) = end else { continue };
        let bound = |b: Option<f64>| b.map_or_else(|| "?".to_owned(), |b| format!("{b:.0}"));
        let ([low, high], torque) = (e.interval_nm.map(bound), e.torque_nm);
        out.item(&format!(
            "{name} {torque:.0} N.m, 95 % interval {low} to {high} N.m"
        ));
    }
}

fn fragility(out: &mut Lines, curve: &Fragility) {
    out.blank();
    let title = format!(
        "Probability of failing {} (seed {}; intervals of 95 %)",
        curve.case.name, curve.root
    );
    out.text("", "  ", &title);
    for p in &curve.points {
        let [share, low, high] = [p.share, p.interval[0], p.interval[1]].map(|v| 100.0 * v);
        let (torque, failing, runs, held) = (p.torque_nm, p.failing, p.runs, p.held);
        out.item(&format!(
            "{torque:5.0} N.m  {share:5.1} %  ({low:.1} to {high:.1} %)  {failing} of {runs} fail, {held} held"
        ));
    }
}
