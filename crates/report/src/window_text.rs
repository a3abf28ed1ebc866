//! The torque window for a terminal.

use giveway_study::window::{ConfidentWindow, Fragility, Limit, Opening, TorqueWindow};

use crate::lines::Lines;

/// Widest line, characters.
const COLUMNS: usize = 100;

/// What a window is told with.
#[derive(Debug, Clone, Copy)]
pub struct WindowFacts<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The window of the design.
    pub window: &'a TorqueWindow,
    /// The window under scatter, where it was asked for.
    pub confident: Option<&'a ConfidentWindow>,
    /// Fragility curves, where they were asked for.
    pub fragility: &'a [Fragility],
    /// Changes that were tried.
    pub openings: &'a [Opening],
    /// The caution.
    pub caution: &'a str,
}

/// The window as plain text of at most 100 columns.
pub fn window_text(facts: &WindowFacts<'_>) -> String {
    let w = facts.window;
    let mut out = Lines::new(COLUMNS);
    out.text("", "  ", facts.title);
    out.text("", "  ", &headline(w));
    out.blank();
    out.text("", "", "What limits the torque");
    for limit in &w.limits {
        let mark = if governs(limit, w) { "* " } else { "  " };
        let number = limit
            .torque_nm
            .map_or_else(|| "    none".to_owned(), |t| format!("{t:4.0} N.m"));
        out.text(
            &format!("{mark}{number}  "),
            "            ",
            &limit.sentence,
        );
    }
    out.text("", "", "* sets an end of the window");
    let survival = format!("Moves no end: {}", w.survival.sentence);
    out.text("  ", "    ", &survival);
    out.blank();
    out.text(
        "",
        "",
        &format!(
            "What passes each impact, from {:.0} to {:.0} N.m",
            w.from_to_nm[0], w.from_to_nm[1]
        ),
    );
    for (case, found) in w.cases.iter().zip(&w.searched) {
        let ranges: Vec<String> = found
            .ranges
            .iter()
            .map(|r| format!("{:.0} to {:.0} N.m", r.from_nm, r.to_nm))
            .collect();
        let passes = if ranges.is_empty() {
            "no torque".to_owned()
        } else {
            ranges.join(", ")
        };
        out.text(
            "  ",
            "    ",
            &format!(
                "{} ({}, {:.0} kg, {:.0} km/h): {passes}",
                case.name,
                case.vehicle_class,
                case.vehicle_mass_kg,
                case.speed_mps * 3.6
            ),
        );
    }
    if let Some(c) = facts.confident {
        confidence(&mut out, c);
    }
    for curve in facts.fragility {
        fragility(&mut out, curve);
    }
    if !facts.openings.is_empty() {
        out.blank();
        out.text(
            "",
            "",
            if w.window_nm.is_none() {
                "What would open a window"
            } else {
                "What would move the window"
            },
        );
        for o in facts.openings {
            let says = match o.window_nm {
                Some([from, to]) => format!("{}: {from:.0} to {to:.0} N.m", o.change),
                None => format!("{}: no. {}", o.change, o.sentence),
            };
            out.text("  ", "    ", &says);
        }
    }
    out.blank();
    out.text("", "", facts.caution);
    out.finish()
}

fn headline(w: &TorqueWindow) -> String {
    let own = match (w.torque_nm, w.torque_is_inside) {
        (Some(t), Some(true)) => format!(" The design's {t:.0} N.m lies inside."),
        (Some(t), Some(false)) if w.window_nm.is_some() => {
            format!(" The design's {t:.0} N.m lies outside.")
        }
        _ => String::new(),
    };
    match w.window_nm {
        Some([from, to]) => format!("Torque window: {from:.0} to {to:.0} N.m.{own}"),
        None => format!("Torque window: none.{own}"),
    }
}

/// Whether a limit is that of an end of the window.
fn governs(limit: &Limit, w: &TorqueWindow) -> bool {
    let same = |other: &Limit| other.kind == limit.kind && other.torque_nm == limit.torque_nm;
    same(&w.lower) || w.upper.as_ref().is_some_and(same)
}

fn confidence(out: &mut Lines, c: &ConfidentWindow) {
    out.blank();
    out.text(
        "",
        "",
        &format!(
            "With {:.0} % confidence ({} realisations of the scatter, seed {})",
            c.level * 100.0,
            c.realisations,
            c.root
        ),
    );
    out.text("  ", "  ", &c.sentence);
    for (name, end) in [("lower end", c.lower), ("upper end", c.upper)] {
        let Some(e) = end else { continue };
        let bound = |b: Option<f64>| b.map_or_else(|| "?".to_owned(), |b| format!("{b:.0}"));
        out.text(
            "  ",
            "    ",
            &format!(
                "{name} {:.0} N.m, 95 % interval {} to {} N.m",
                e.torque_nm,
                bound(e.interval_nm[0]),
                bound(e.interval_nm[1])
            ),
        );
    }
}

fn fragility(out: &mut Lines, curve: &Fragility) {
    out.blank();
    out.text(
        "",
        "  ",
        &format!(
            "Probability of failing {} (seed {}; intervals of 95 %)",
            curve.case.name, curve.root
        ),
    );
    for p in &curve.points {
        out.text(
            "  ",
            "    ",
            &format!(
                "{:5.0} N.m  {:5.1} %  ({:.1} to {:.1} %)  {} of {} fail, {} held",
                p.torque_nm,
                100.0 * p.share,
                100.0 * p.interval[0],
                100.0 * p.interval[1],
                p.failing,
                p.runs,
                p.held
            ),
        );
    }
}
