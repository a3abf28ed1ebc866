//! Findings at the bolts: how they went, what holds them in their notches, how they are clamped.

use giveway_scenario::model::{GROUT_CLEARANCE_M, Plate, Threads};

use super::Findings;
use super::phrase::{kn, mm, named, numbers, range, sentence, verb};
use crate::engine::Run;
use crate::found::{BaseLaw, concerns};
use crate::outcome::{BoltFate, Engagement};

/// Relative difference of a clamp from the design's that is worth a word.
const CLAMP_DIFFERENCE: f64 = 0.01;

pub(super) fn of_bolts(out: &mut Findings, base: &BaseLaw, outcome: &Engagement) {
    if base
        .bolts
        .iter()
        .any(giveway_mechanics::joint::JointLaw::locks)
    {
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

pub(super) fn of_threads(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let site = &run.p.designed.as_found;
    if let Some(threads) = site.engaged_threads {
        let stripped = numbers(outcome, |b| b.fate == BoltFate::Stripped);
        if let Some(law) = base.bolts.iter().find(|l| l.strips) {
            let load = kn(law.yield_load);
            let what = if stripped.is_empty() {
                format!(
                    "Only {threads:.1} threads of the nuts are engaged: they strip at {load}, before the bolts yield; none stripped in this blow."
                )
            } else {
                format!(
                    "Only {threads:.1} threads of the nuts are engaged: they strip at {load}; {} stripped.",
                    named(&stripped)
                )
            };
            out.add("strips", what);
        }
    }
}

pub(super) fn of_grout(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let Some(grout) = &run.p.designed.as_found.grout else {
        return;
    };
    if grout.gap_m >= GROUT_CLEARANCE_M {
        return;
    }
    if grout.gap_m >= 0.0 {
        out.add(
            "marginal",
            format!(
                "Grout lies {} below the bolt heads; {} are required. It does not touch them yet.",
                mm(grout.gap_m),
                mm(GROUT_CLEARANCE_M)
            ),
        );
        return;
    }
    let depth = mm(-grout.gap_m);
    let mut bolts = Vec::new();
    let mut forces = Vec::new();
    for (b, law) in outcome.bolts.iter().zip(&base.bolts) {
        let in_grout = law.faults.and_then(|f| f.grout);
        if let (Some(g), true) = (in_grout, must_leave_lower(run, b.number)) {
            bolts.push(b.number);
            forces.push(g.force(0.0).min(law.shear_capacity(law.preload)));
        }
    }
    if bolts.is_empty() {
        out.add(
            "marginal",
            format!("Bolt heads are buried in {depth} of grout; no buried bolt had to leave the lower notch in this blow, a blow from another side will be held."),
        );
    } else {
        let each = if bolts.len() == 1 { "" } else { " each" };
        out.add(
            "binds",
            sentence(&format!(
                "{} must leave the lower notch and {} held by {depth} of grout: {}{each}.",
                named(&bolts),
                verb(&bolts, "is", "are"),
                range(&forces)
            )),
        );
    }
}

/// Whether the blow asked this bolt to leave its lower notch.
fn must_leave_lower(run: &Run<'_>, number: usize) -> bool {
    run.bolts
        .get(number - 1)
        .is_some_and(|b| b.must_leave_lower())
}

pub(super) fn of_notches(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let site = &run.p.designed.as_found;
    if let Some(lump) = &site.lump {
        let held: Vec<usize> = outcome
            .bolts
            .iter()
            .map(|b| b.number)
            .filter(|&n| concerns(&lump.bolts, n))
            .collect();
        let force = base
            .bolts
            .iter()
            .filter_map(|l| l.faults.and_then(|f| f.lump_lower.or(f.lump_upper)))
            .map(|l| l.force(0.0))
            .fold(0.0, f64::max);
        let plate = match lump.plate {
            Plate::Lower => "lower",
            Plate::Upper => "upper",
        };
        if force > 0.0 {
            out.add(
                "keyed",
                format!(
                    "A lump in the {plate} notch of {} must be sheared off before the bolt can slide: {}.",
                    named(&held),
                    kn(force)
                ),
            );
        }
    }
    if site.notch_offset_m != 0.0 {
        let force = base
            .bolts
            .iter()
            .filter_map(|l| l.faults.map(|f| f.wall_friction_n))
            .fold(0.0, f64::max);
        out.add(
            "forced",
            format!(
                "The notches do not match by {:.1} mm: the bolts are forced against a wall, which adds {:.1} kN of friction at each plate and takes that much off the travel.",
                1e3 * site.notch_offset_m.abs(),
                1e-3 * force
            ),
        );
    }
}

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
                let difference = law.preload / designed - 1.0;
                let counts = if more {
                    difference > CLAMP_DIFFERENCE
                } else {
                    difference < -CLAMP_DIFFERENCE
                };
                if counts {
                    bolts.push(i + 1);
                    forces.push(law.preload);
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
                    "{} {} clamped by {} instead of {}: {consequence}.",
                    named(&bolts),
                    verb(&bolts, "is", "are"),
                    range(&forces),
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
