//! Findings in plain words: one word each, defined in `docs/results.md` and `docs/conditions.md`.

use giveway_scenario::model::{
    GROUT_CLEARANCE_M, KeeperFound, Plate, RoundWashers, Rust, STUB_HEIGHT_LIMIT_M, Scenario,
};

use crate::engine::Run;
use crate::found::{BaseLaw, concerns};
use crate::outcome::{BoltFate, BoltOutcome, Ending, Engagement, Flag};

/// Turn of the hinge from which the shaft counts as folded, rad.
const FOLDED_RAD: f64 = 0.01;
/// Relative difference of a clamp from the design's that is worth a word.
const CLAMP_DIFFERENCE: f64 = 0.01;

/// Collects the findings.
#[derive(Default)]
struct Findings(Vec<Flag>);

impl Findings {
    fn add(&mut self, word: &'static str, sentence: String) {
        self.0.push(Flag { word, sentence });
    }
}

/// All findings of a run.
pub(crate) fn flags(run: &Run<'_>, ending: Ending, outcome: &Engagement) -> Vec<Flag> {
    let mut out = Findings::default();
    of_ending(&mut out, ending, outcome);
    if let Some(base) = &run.p.base {
        of_bolts(&mut out, run, base, outcome);
        of_grout(&mut out, run, base, outcome);
        of_bars(&mut out, outcome);
        of_plates(&mut out, run, base, outcome);
        of_clamp(&mut out, run, base);
        of_ground(&mut out, run, outcome);
    }
    of_shaft(&mut out, run, outcome);
    out.0
}

/// "bolt 2", "bolts 2 and 3", "bolts 1, 2 and 3".
fn named(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    match words.as_slice() {
        [] => "no bolt".to_owned(),
        [one] => format!("bolt {one}"),
        [first @ .., last] => format!("bolts {} and {last}", first.join(", ")),
    }
}

/// The sentence with its first letter large.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// "is" or "are", "was" or "were".
fn verb<'a>(numbers: &[usize], one: &'a str, many: &'a str) -> &'a str {
    if numbers.len() == 1 { one } else { many }
}

fn numbers(outcome: &Engagement, pick: impl Fn(&BoltOutcome) -> bool) -> Vec<usize> {
    outcome
        .bolts
        .iter()
        .filter(|b| pick(b))
        .map(|b| b.number)
        .collect()
}

fn mm(m: f64) -> String {
    format!("{:.0} mm", 1e3 * m)
}

fn kn(n: f64) -> String {
    format!("{:.0} kN", 1e-3 * n)
}

/// Smallest and largest of some forces as "71 kN" or "40 to 71 kN".
fn range(forces: &[f64]) -> String {
    let low = forces.iter().copied().fold(f64::INFINITY, f64::min);
    let high = forces.iter().copied().fold(0.0, f64::max);
    if kn(low) == kn(high) {
        kn(high)
    } else {
        format!("{:.0} to {}", 1e-3 * low, kn(high))
    }
}

fn of_ending(out: &mut Findings, ending: Ending, outcome: &Engagement) {
    match ending {
        Ending::Held => {
            let held = numbers(outcome, |b| b.fate == BoltFate::Held);
            out.add(
                "held",
                format!(
                    "The base did not let go: {} still clamped; the vehicle met a fixed obstacle.",
                    named(&held)
                ),
            );
        }
        Ending::TimeLimit => out.add(
            "unfinished",
            "The engagement was not over at its time limit.".to_owned(),
        ),
        Ending::NoContact => out.add("missed", "The vehicle did not touch the pole.".to_owned()),
        Ending::Released | Ending::FixedObstacle => {}
    }
}

fn of_bolts(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
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

fn of_grout(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
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

fn of_bars(out: &mut Findings, outcome: &Engagement) {
    for bar in &outcome.bars {
        let what = bar
            .stub
            .map_or_else(|| "the conduit".to_owned(), |n| format!("anchor stub {n}"));
        if bar.peak_n <= 0.0 {
            out.add(
                "marginal",
                sentence(&format!(
                    "{what} stands in the slip plane, out of the way of this blow; from another side it would hold {}.",
                    kn(bar.limit_n)
                )),
            );
        } else {
            let end = if bar.sheared {
                "until it gave way"
            } else {
                "and did not give way"
            };
            out.add(
                "snags",
                sentence(&format!(
                    "{what} stood in the upper plate's way: it held {} {end}.",
                    kn(bar.peak_n)
                )),
            );
        }
    }
}

fn of_plates(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    let site = &run.p.designed.as_found;
    match site.round_washers {
        RoundWashers::Between => {}
        RoundWashers::AboveKeeper => out.add(
            "marginal",
            "The round washers lie above the keeper: the keeper is clamped on the lower plate. The computed motion takes no account of it.".to_owned(),
        ),
        RoundWashers::Missing { plate_friction } => out.add(
            "mates",
            format!("Round washers are missing: the plates rub on each other over their whole face (friction {plate_friction:.2}) and go on rubbing at the notch mouths."),
        ),
    }
    let dished: Vec<f64> = base
        .bolts
        .iter()
        .filter_map(|l| l.faults.map(|f| f.dish_slope))
        .filter(|slope| *slope > 0.0)
        .collect();
    if let Some(slope) = dished.iter().copied().reduce(f64::max) {
        out.add(
            "dishes",
            format!(
                "The plate washers ({:.1} mm) yield over the notch at the clamp and dish by {:.1} degrees; every bolt must climb out of them.",
                1e3 * run.p.scenario.base.plate_washer_m,
                libm::atan(slope).to_degrees()
            ),
        );
    }
    match site.keeper {
        KeeperFound::AsDesigned => {}
        KeeperFound::Missing => {
            if run.p.designed.base.keeper.is_some() {
                out.add(
                    "unkept",
                    "The keeper sheet is missing: nothing but friction keeps the bolts from walking out in the wind.".to_owned(),
                );
            }
        }
        KeeperFound::Thickness(t) => {
            if let Some(k) = &run.p.designed.base.keeper
                && t > k.thickness_m
            {
                let force = base.bolts.first().map_or(0.0, |l| l.keeper_tear);
                out.add(
                    "tears",
                    format!(
                        "The keeper sheet is {:.2} mm thick instead of {:.2} mm: it takes {} at each bolt to tear it.",
                        1e3 * t,
                        1e3 * k.thickness_m,
                        kn(force)
                    ),
                );
            }
        }
    }
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
    if site.rust != Rust::None {
        out.add(
            "seized",
            format!(
                "Rust between plates, washers and bolts: every friction is at least {:.2}.",
                site.rust.least_friction()
            ),
        );
    }
    if site.turned_rad != 0.0 {
        out.add(
            "turned",
            format!(
                "The bolt pattern is turned by {:.0} degrees from the design.",
                site.turned_rad.to_degrees()
            ),
        );
    }
}

fn of_clamp(out: &mut Findings, run: &Run<'_>, base: &BaseLaw) {
    let designed = run.p.designed.base.preload_n;
    let site = &run.p.designed.as_found;
    let said = !site.torques_nm.is_empty()
        || site.threads != giveway_scenario::model::Threads::AsDesigned
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

fn of_ground(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    let s: &Scenario = &run.p.scenario;
    let height = s.site.slip_plane_height_m;
    if height > STUB_HEIGHT_LIMIT_M {
        let clearance = s.vehicle.underside_m - height;
        let what = if clearance >= 0.0 {
            format!("{} of clearance are left under the vehicle", mm(clearance))
        } else {
            format!(
                "the vehicle's underside is {} lower and may strike it",
                mm(-clearance)
            )
        };
        out.add(
            "proud",
            format!(
                "The lower plate's top stands {} above the ground (limit {}): {what}.",
                mm(height),
                mm(STUB_HEIGHT_LIMIT_M)
            ),
        );
    }
    if run.p.designed.as_found.soil.is_some() {
        if outcome.soil_peak_n > 0.0 {
            out.add(
                "blocked",
                format!(
                    "Soil behind the foot closed its way: it held up to {:.1} kN.",
                    1e-3 * outcome.soil_peak_n
                ),
            );
        } else {
            out.add(
                "marginal",
                "Soil behind the foot was not reached in this blow.".to_owned(),
            );
        }
    }
    if let Some(pier) = run.pier_law() {
        let yielded = if run.pier.yielded {
            "the ground yielded"
        } else {
            "the ground did not yield"
        };
        out.add(
            "shifts",
            format!(
                "The foundation moved by {:.1} mm at most (capacity {}); {yielded}.",
                1e3 * outcome.foundation_peak_m,
                kn(pier.capacity_n)
            ),
        );
    }
}

fn of_shaft(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    if outcome.fold.path_rad > FOLDED_RAD {
        out.add(
            "folds",
            format!(
                "The shaft folded at its foot from {:.0} ms on: its plastic moment of {:.1} kN.m was reached, and it stands {:.0} degrees off its plate at the end.",
                1e3 * outcome.fold.since_s.unwrap_or(0.0),
                1e-3 * outcome.fold.plastic_moment_nm,
                outcome.fold.angle_rad.to_degrees()
            ),
        );
    }
    let fixed_rigid = run.p.scenario.solver.elastic_modes == 0;
    if outcome.contact_moment_ratio > 1.0 || (fixed_rigid && outcome.foot_moment_ratio > 1.0) {
        out.add(
            "kinks",
            format!(
                "The shaft would also kink where it is struck: bending moment {:.2} of plastic there. That hinge is not modelled; the pole as computed is too stiff from then on.",
                outcome.contact_moment_ratio
            ),
        );
    }
}
