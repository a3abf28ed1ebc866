//! Findings at the bolts: how they went, how far their nuts are on, how they are clamped.

use giveway_mechanics::joint::JointLaw;
use giveway_scenario::model::Threads;

use super::findings::Findings;
use super::phrase::{each, kn, named, numbers, range, sentence, verb};
use crate::found::BaseLaw;
use crate::outcome::{BoltFate, Engagement};
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
            let consequence = if more {
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
