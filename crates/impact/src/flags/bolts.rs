//! Findings at the bolts: how they went, how far their nuts are on, how they are clamped.

use giveway_mechanics::joint::JointLaw;
use giveway_scenario::model::Threads;

use super::findings::Findings;
use super::phrase::{each, kn, named, numbers, range, sentence, verb};
use crate::found::BaseLaw;
use crate::outcome::{BoltFate, Engagement};
use crate::solution::main_contact_height;
use crate::state::Run;

/// Relative difference of a clamp from the design's that is worth a word.
const CLAMP_DIFFERENCE: f64 = 0.01;

/// Notches that lock and bolts that broke.
pub(super) fn of_bolts(out: &mut Findings, base: &BaseLaw, outcome: &Engagement) {
    if base.bolts.iter().any(JointLaw::locks) {
        out.add(
            "locked",
            "The notches are too narrow for their wall friction (tan beta <= mu_w): a bolt struck across its notch locks and must be sheared.".to_owned(),
        );
    }
    let broken = numbers(outcome, |b| {
        matches!(b.fate, BoltFate::Sheared | BoltFate::Ruptured)
    });
    if !broken.is_empty() {
        out.add(
            "broken",
            sentence(&format!(
                "{} broke instead of leaving {} notch.",
                named(&broken),
                verb(&broken, "its", "their")
            )),
        );
    }
}

/// Rise of a bolt's tension from which the couple of the blow, not the clamp, sets what the base opposes.
const PRIED: f64 = 0.2;

/// A blow that pries: its couple, not the clamp, sets the bolts' tension.
///
/// A plate on n equal springs gaps first at the bolt on the struck side, c R before the pole's axis, at M = n R F/(2 c). Before it
/// slides the base carries S = (mu_o + mu_i) n F, so that it slides flat, without gapping, where mu_o + mu_i < R/(2 c h) with the
/// blow at the height h above the plates; 1/(1 - (mu_o + mu_i) 2 c h/R) is how far tension and friction raise each other.
pub(super) fn of_lever(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    if outcome.tension_rise < PRIED || outcome.tension_rise_bolt == 0 {
        return;
    }
    let height = main_contact_height(&run.p.scenario);
    let bolt = outcome.tension_rise_bolt;
    let law = &base.bolts[bolt - 1];
    let friction = law.friction.outer.at_rest + law.friction.inner.at_rest;
    let struck = run
        .bolts
        .iter()
        .map(|b| -(b.axis.x * run.direction.x + b.axis.y * run.direction.y))
        .fold(0.0_f64, f64::max);
    let flat = 0.5 * run.p.scenario.base.bolt_circle_m * 0.5 / (struck * height).max(1e-9);
    let grows = if friction < flat {
        format!(
            "tension and friction raise each other {:.1} times",
            1.0 / (1.0 - friction / flat)
        )
    } else {
        "tension and friction raise each other without end, until something slides, bends or breaks"
            .to_owned()
    };
    out.add(
        "lever",
        format!(
            "The couple of the blow, not the clamp, sets the bolts' tension: struck {:.0} mm above the plates, bolt {bolt} is pulled {:.0} % above its clamp at {:.0} ms. This base slides flat up to a static friction of {flat:.2} (under head and nut and between the plates together); it has {friction:.2}, and {grows}. What helps: less friction (clean, waxed faces), two bolts on the struck side, a larger bolt circle, a lower blow; a lower torque lowers what the base opposes, but it pries all the same.",
            1e3 * height,
            100.0 * outcome.tension_rise,
            1e3 * outcome.tension_rise_time_s,
        ),
    );
}

/// Nuts whose threads strip.
pub(super) fn of_threads(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let Some(threads) = run.p.designed.as_found.engaged_threads else {
        return;
    };
    let Some(law) = base.bolts.iter().find(|l| l.strips) else {
        return;
    };
    let load = kn(law.axial.yield_load);
    let stripped = numbers(outcome, |b| b.fate == BoltFate::Stripped);
    let blow = if stripped.is_empty() {
        "none stripped in this blow".to_owned()
    } else {
        format!("{} stripped in this blow", named(&stripped))
    };
    // Tightened up to the stripping load: that is all the clamp there is, and in the wind the nut gives way.
    let full: Vec<usize> = (1..=base.bolts.len())
        .zip(&base.bolts)
        .filter(|(_, l)| l.strips && l.axial.preload >= l.axial.yield_load)
        .map(|(number, _)| number)
        .collect();
    let clamp = if full.is_empty() {
        String::new()
    } else {
        format!(
            " The torque asks for more: {} {} clamped by {load} only, and in the wind check {} at that clamp.",
            named(&full),
            verb(&full, "is", "are"),
            verb(&full, "its nut strips", "their nuts strip")
        )
    };
    out.add(
        "strips",
        format!(
            "Only {} of each nut {} at {load}, before the bolt yields; {blow}.{clamp}",
            turns(threads),
            if threads <= 1.0 {
                "is engaged: it strips"
            } else {
                "are engaged: they strip"
            }
        ),
    );
}

/// "0.5 of a thread", "1 thread", "2.5 threads".
fn turns(threads: f64) -> String {
    let number = format!("{threads:.1}");
    match number.strip_suffix(".0").unwrap_or(&number) {
        "1" => "1 thread".to_owned(),
        n if threads < 1.0 => format!("{n} of a thread"),
        n => format!("{n} threads"),
    }
}

/// Bolts that are clamped more or less than designed.
pub(super) fn of_clamp(out: &mut Findings, run: &Run<'_>, base: &BaseLaw) {
    let designed = run.p.designed.base.preload_n;
    let site = &run.p.designed.as_found;
    let said = !site.torques_nm.is_empty()
        || site.threads != Threads::AsDesigned
        || site.engaged_threads.is_some();
    if said {
        for (word, more) in [("overtight", true), ("undertight", false)] {
            let mut bolts = Vec::new();
            let mut forces = Vec::new();
            for (i, law) in base.bolts.iter().enumerate() {
                let difference = law.axial.preload / designed - 1.0;
                let counts = if more {
                    difference > CLAMP_DIFFERENCE
                } else {
                    difference < -CLAMP_DIFFERENCE
                };
                if counts {
                    bolts.push(i + 1);
                    forces.push(law.axial.preload);
                }
            }
            if bolts.is_empty() {
                continue;
            }
            let consequence = if more && run.all_released() {
                "the base lets go later"
            } else if more {
                "the base lets go later or not at all"
            } else {
                "the base may not stand in the wind"
            };
            out.add(
                word,
                sentence(&format!(
                    "{} {} clamped by {}{} instead of {}: {consequence}.",
                    named(&bolts),
                    verb(&bolts, "is", "are"),
                    range(&forces),
                    each(&bolts),
                    kn(designed)
                )),
            );
        }
    }
    if run.p.clamp.as_ref().is_some_and(|c| c.preload_capped) {
        out.add(
            "yielded",
            "The torque asks for more preload than the bolts can carry; it was cut to their yield load.".to_owned(),
        );
    }
}
