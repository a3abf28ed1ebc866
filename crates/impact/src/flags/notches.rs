//! Findings that hold a bolt in its notches: grout at its head, lumps, notches that do not match. What a finding could
//! hold and what it held in this blow are told apart.

use giveway_mechanics::joint::BoltState;
use giveway_scenario::model::{GROUT_CLEARANCE_M, GROUT_CLEARANCE_READ_M, Plate};

use super::findings::Findings;
use super::phrase::{each, mm, named, range, sentence, verb};
use crate::found::BaseLaw;
use crate::outcome::{BoltFate, BoltOutcome, Engagement};
use crate::state::Run;

/// A way that counts as no more than a tremor, m.
const TREMOR_M: f64 = 50e-6;
/// Part of what the findings can hold from which it counts as reached; a bolt that creeps reaches less.
const REACHED: f64 = 0.9;
/// Part of it that is no more than a tremor.
const UNREACHED: f64 = 0.01;
/// What a bolt's findings can hold over what its grout can, up to which the grout counts as the only one.
const ALONE: f64 = 1.01;

/// Grout at the bolt heads.
pub(super) fn of_grout(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let Some(grout) = &run.p.designed.as_found.grout else {
        return;
    };
    if grout.gap_m >= GROUT_CLEARANCE_READ_M {
        return;
    }
    if grout.gap_m >= 0.0 {
        out.add("marginal", nearly(grout.gap_m));
        return;
    }
    let depth = mm(-grout.gap_m);
    let (mut gave, mut stood) = (Held::default(), Held::default());
    let (mut reached, mut apart) = (Held::default(), Vec::new());
    let (mut buried, mut alone) = (false, true);
    for (i, law) in base.bolts.iter().enumerate() {
        let (Some(g), Some(bolt)) = (law.faults.and_then(|f| f.grout), outcome.bolts.get(i)) else {
            continue;
        };
        buried = true;
        let own = g.force(0.0).min(law.shear_capacity(law.axial.preload));
        alone &= bolt.could_hold_lower_n <= ALONE * own;
        match bearing(run, i, bolt) {
            Bearing::Gave => gave.push(i + 1, bolt.held_lower_n),
            Bearing::Stood => {
                stood.push(i + 1, bolt.could_hold_lower_n);
                // No part of a bolt's force is more than the whole.
                let least = bolt.held_lower_n.min(bolt.peak_slip_force_n);
                if least > UNREACHED * bolt.could_hold_lower_n && moved(bolt) {
                    reached.push(i + 1, least);
                }
            }
            Bearing::Apart => apart.push(i + 1),
        }
    }
    if !buried {
        out.add(
            "marginal",
            format!("Bolt heads are buried in {depth} of grout with no cover towards its edge: it cannot hold them."),
        );
        return;
    }
    let pressed = gave.with(&stood);
    if pressed.is_empty() {
        out.add(
            "marginal",
            format!("Bolt heads are buried in {depth} of grout; no buried bolt was pressed against it in this blow, a blow from another side can be held."),
        );
        return;
    }
    let force = forces(&gave, &stood, &reached);
    let others = if alone {
        ""
    } else {
        ", with what else was found at the lower plate"
    };
    let rest = not_pressed(&apart);
    out.add(
        "binds",
        sentence(&format!(
            "{} must leave the lower notch and {} held by {depth} of grout{force}{others}.{rest}",
            named(&pressed),
            verb(&pressed, "is", "are"),
        )),
    );
}

/// Grout below the bolt heads, and too near.
fn nearly(gap_m: f64) -> String {
    let place = match mm(gap_m).as_str() {
        "0 mm" => "Grout reaches up to the bolt heads".to_owned(),
        gap => format!("Grout lies {gap} below the bolt heads"),
    };
    format!(
        "{place}; {} are required. It does not hold them yet.",
        mm(GROUT_CLEARANCE_M)
    )
}

/// What the grout held and what it can hold, told apart.
fn forces(gave: &Held, stood: &Held, reached: &Held) -> String {
    let can = |held: &Held| {
        let most = match reached.bolts.as_slice() {
            [] => String::new(),
            _ => format!(
                ", of which {} {} reached",
                range(&reached.forces),
                verb(&reached.bolts, "was", "were")
            ),
        };
        format!("{}{}{most}", range(&held.forces), each(&held.bolts))
    };
    if stood.bolts.is_empty() {
        format!(": {}{}", range(&gave.forces), each(&gave.bolts))
    } else if gave.bolts.is_empty() {
        format!(" that did not give; it can hold {}", can(stood))
    } else {
        format!(
            ": it gave at {} ({}{}) and did not give at {} (it can hold {})",
            named(&gave.bolts),
            range(&gave.forces),
            each(&gave.bolts),
            named(&stood.bolts),
            can(stood)
        )
    }
}

/// Bolts that are buried and were not pressed against the grout.
fn not_pressed(apart: &[usize]) -> String {
    if apart.is_empty() {
        String::new()
    } else {
        format!(
            " {} {} buried too, but {} not pressed against it in this blow.",
            sentence(&named(apart)),
            verb(apart, "is", "are"),
            verb(apart, "was", "were")
        )
    }
}

/// Bolts and the force at each.
#[derive(Default)]
struct Held {
    bolts: Vec<usize>,
    forces: Vec<f64>,
}

impl Held {
    fn push(&mut self, number: usize, force: f64) {
        self.bolts.push(number);
        self.forces.push(force);
    }

    /// The bolts of both, in order.
    fn with(&self, other: &Self) -> Vec<usize> {
        let mut all = [self.bolts.as_slice(), &other.bolts].concat();
        all.sort_unstable();
        all
    }
}

/// What a buried bolt head did in this blow.
enum Bearing {
    /// It was pushed through its grout.
    Gave,
    /// It must leave the lower notch and did not: what its grout can hold was not reached, or in part.
    Stood,
    /// It had no need to leave the lower notch.
    Apart,
}

/// Whether the findings took more energy than a tremor does, which may touch the full force without a way.
fn moved(story: &BoltOutcome) -> bool {
    story.held_j > TREMOR_M * story.could_hold_lower_n
}

/// Bolt `i` (from 0) at its grout.
fn bearing(run: &Run<'_>, i: usize, story: &BoltOutcome) -> Bearing {
    match story.fate {
        BoltFate::LeftUpperNotch => return Bearing::Apart,
        BoltFate::LeftLowerNotch | BoltFate::SqueezedOut => return Bearing::Gave,
        BoltFate::Held | BoltFate::Sheared | BoltFate::Ruptured | BoltFate::Stripped => {}
    }
    let (reached, could) = (story.held_lower_n, story.could_hold_lower_n);
    if reached >= REACHED * could && moved(story) {
        Bearing::Gave
    } else if run.bolts.get(i).is_some_and(BoltState::must_leave_lower) {
        Bearing::Stood
    } else {
        Bearing::Apart
    }
}

/// Lumps in the notches and notches that do not match.
pub(super) fn of_notches(out: &mut Findings, run: &Run<'_>, base: &BaseLaw) {
    let site = &run.p.designed.as_found;
    if let Some(lump) = &site.lump {
        let (mut with_lump, mut met) = (Held::default(), Vec::new());
        for (i, law) in base.bolts.iter().enumerate() {
            let Some(l) = law.faults.and_then(|f| f.lump_lower.or(f.lump_upper)) else {
                continue;
            };
            let force = l.force(0.0);
            with_lump.push(i + 1, force);
            let taken = run.bolts.get(i).map_or(0.0, |b| b.energy.faults.lump);
            if taken > force * TREMOR_M {
                met.push(i + 1);
            }
        }
        let plate = match lump.plate {
            Plate::Lower => "lower",
            Plate::Upper => "upper",
        };
        if !with_lump.bolts.is_empty() {
            let not_met: Vec<usize> = with_lump
                .bolts
                .iter()
                .copied()
                .filter(|n| !met.contains(n))
                .collect();
            let rest = match (met.is_empty(), not_met.is_empty()) {
                (_, true) => String::new(),
                (true, false) => "; none was met in this blow".to_owned(),
                (false, false) => format!("; that of {} was not met in this blow", named(&not_met)),
            };
            out.add(
                "keyed",
                format!(
                    "A lump in the {plate} notch of {} must be sheared off before the bolt can slide: {}{}{rest}.",
                    named(&with_lump.bolts),
                    range(&with_lump.forces),
                    each(&with_lump.bolts)
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
