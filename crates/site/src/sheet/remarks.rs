//! What somebody must settle before the work begins: checks of the design that are not met, and what the sheet leaves out.

use giveway_mechanics::erection::PROOF_SHARE;
use giveway_results::summary::GradeCheck;
use giveway_scenario::model::{AsFound, Scenario};

use super::facts::{InstallationSheet, requirement};
use super::limits::{AASHTO, APART, BOUND, BOUND_DEG, FREE_DEG};
use super::words::{Say, percent};
use crate::judging::judged;
use crate::measured::Value;
use crate::profile::{Basis, Bound};
use crate::requirements::Verdict;

/// Notches up to this included angle count as those that bound, rad: half a degree of rounding.
const NARROW_RAD: f64 = (BOUND_DEG + 0.5) * core::f64::consts::PI / 180.0;

/// The remarks, gravest first.
pub(super) fn remarks(
    scenario: &Scenario,
    basis: Basis<'_>,
    sheet: &InstallationSheet,
) -> Vec<String> {
    let words = Say(sheet.system());
    let profile = basis.profile;
    let from = |bound: Bound, otherwise: &str| source(basis, bound, otherwise);
    // Whether the design breaks a rule that an inspector would hold it against, at the resolution of the same instrument.
    let breaks = |key: &str, si: f64| {
        let value = Value::Real {
            si,
            written: String::new(),
            system: Some(words.0),
        };
        requirement(key).is_some_and(|row| judged(row, &value, basis, None) == Verdict::Fails)
    };
    let mut remarks = Vec::new();
    let out = &mut remarks;
    of_clamp(sheet, out);
    of_bolts(words, sheet, out);
    let base = &sheet.design.base;
    if let Some(least) = sheet.design.least_plate_washer_m {
        say(
            out,
            breaks("plate_washer_thickness", base.plate_washer_m),
            &|| {
                format!(
                    "The plate washers of {} bend into the notch at this torque: {} are needed.",
                    words.fine(base.plate_washer_m),
                    words.fine(least)
                )
            },
        );
    }
    say(out, sheet.level.taper_rad > sheet.design.level_rad, &|| {
        format!(
            "Plumbing the back of this taper tilts the lower plate by {}, more than it may slope, {}.",
            words.angle(sheet.level.taper_rad),
            words.angle(sheet.design.level_rad)
        )
    });
    of_the_joint(words, basis, sheet, out);
    let height = sheet.design.slip_plane_height_m;
    say(out, breaks("plate_height", height), &|| {
        format!(
            "The design sets the lower plate {} above the ground, more than the limit of {} ({}).",
            words.length(height),
            words.length(sheet.design.stub_limit_m),
            from(Bound::PlateHeight, AASHTO)
        )
    });
    let most = profile.limit(Bound::SupportMass).of(words.0);
    say(out, sheet.lift.whole.mass_kg > most, &|| {
        format!(
            "The support weighs {}, more than a breakaway support may, {} ({}).",
            words.mass(sheet.lift.whole.mass_kg),
            words.mass(most),
            from(Bound::SupportMass, AASHTO)
        )
    });
    say(
        out,
        sheet.sling.is_none() && !sheet.lift.hang.foot_down,
        &|| "No sling on the shaft holds this pole foot down: lift it with two slings.".to_owned(),
    );
    for arm in &sheet.arms {
        arm_remarks(words, arm, out);
    }
    if scenario.as_found != AsFound::default() {
        out.push(
            "The scenario tells of findings on site; this sheet is for the design and leaves them out."
                .to_owned(),
        );
    }
    remarks
}

/// Where a bound stands.
fn source(basis: Basis<'_>, bound: Bound, otherwise: &str) -> String {
    let set = basis.profile.source(bound);
    set.unwrap_or_else(|| otherwise.to_owned())
}

/// Round washers, keeper sheet and notches.
fn of_the_joint(words: Say, basis: Basis<'_>, sheet: &InstallationSheet, out: &mut Vec<String>) {
    let base = &sheet.design.base;
    let apart = base.round_washer_m;
    let [least, most] =
        [Bound::RoundWasherLeast, Bound::RoundWasherMost].map(|b| basis.profile.limit(b));
    say(
        out,
        apart < least.si.min(least.us) - 1e-9 || apart > most.si.max(most.us) + 1e-9,
        &|| {
            format!(
                "The round washers of {} do not keep the plates {} to {} apart ({}).",
                words.fine(apart),
                words.fine(least.of(words.0)),
                words.fine(most.of(words.0)),
                source(basis, Bound::RoundWasherLeast, APART)
            )
        },
    );
    say(out, base.keeper.is_none(), &|| {
        "The design has no keeper sheet: nothing but the clamp keeps the bolts from walking."
            .to_owned()
    });
    say(out, 2.0 * base.notch_half_angle_rad <= NARROW_RAD, &|| {
        format!(
            "The notches open by {:.0}\u{b0}: {BOUND_DEG:.0}\u{b0} bound in tests, {FREE_DEG:.0}\u{b0} did not ({BOUND}).",
            2.0 * base.notch_half_angle_rad.to_degrees()
        )
    });
}

fn say(out: &mut Vec<String>, when: bool, text: &dyn Fn() -> String) {
    if when {
        out.push(text());
    }
}

/// Wind and torque.
fn of_clamp(sheet: &InstallationSheet, out: &mut Vec<String>) {
    let wind = &sheet.wind;
    say(out, !wind.holds, &|| {
        let failed: Vec<String> = wind
            .grades
            .iter()
            .filter(|g| !g.holds)
            .map(GradeCheck::words)
            .collect();
        format!(
            "At this torque the base does not stand in the wind ({}). Settle the torque with the designer first.",
            failed.join("; ")
        )
    });
    let tight = &sheet.tightening;
    // The window's limit is the torque itself; what a wrench may do beyond it is a warning, no verdict on the torque.
    let beyond = tight.first_clamp_n > PROOF_SHARE * tight.yield_load_n;
    say(out, beyond, &|| {
        format!(
            "The torque takes the bolts beyond their proof load, with the scatter of the wrench up to {} of it: it is too \
             high for them.",
            percent(tight.of_proof)
        )
    });
    say(out, tight.of_proof > 1.0 && !beyond, &|| {
        format!(
            "The torque keeps the bolts below their proof load, but with the scatter of the wrench a bolt may see {} of it: \
             use a calibrated wrench and go round evenly.",
            percent(tight.of_proof)
        )
    });
}

/// Length and thread of the bolts.
fn of_bolts(words: Say, sheet: &InstallationSheet, out: &mut Vec<String>) {
    let bolts = &sheet.bolts;
    let long = words.ordered(bolts.length_m, sheet.bolt_series);
    say(out, !sheet.full_nut, &|| {
        format!(
            "The bolts as supplied, {long}, are too short for a full nut: order {} under the head.",
            words.ordered(bolts.standard_m, sheet.bolt_series)
        )
    });
    say(out, bolts.thread_below_nut_m < -1e-9, &|| {
        format!(
            "The thread of bolts of {long} ends {} above the nut's seat: the nut jams on the shank before it clamps.",
            words.fine(-bolts.thread_below_nut_m)
        )
    });
    say(out, bolts.engaged_threads < bolts.threads_needed, &|| {
        format!(
            "A nut engages {:.1} threads; {:.1} are needed for the strength of the bolt.",
            bolts.engaged_threads, bolts.threads_needed
        )
    });
}

fn arm_remarks(words: Say, arm: &super::facts::ArmSheet, out: &mut Vec<String>) {
    let number = arm.number;
    if let Some(problem) = &arm.problem {
        out.push(format!(
            "The joint of arm {number} is not computed: {problem}."
        ));
    }
    let Some(joint) = &arm.joint else { return };
    let screw = &joint.length;
    if !screw.fits {
        out.push(format!(
            "The cap screws of arm {number}, {} long, do not fit: between {} and {} are needed, with the shank out of \
             the hole.",
            words.length(screw.length_m),
            words.length(screw.least_m),
            words.length(screw.most_m)
        ));
    }
    if joint.closure_margin.is_some_and(|m| m < 0.0) {
        out.push(format!(
            "The flange of arm {number} opens in the design wind: {} are needed at a screw, the clamp is {}.",
            words.force(joint.clamp_needed_n),
            words.force(joint.clamp_n)
        ));
    }
    if joint.strength_margin.is_some_and(|m| m < 0.0) {
        out.push(format!(
            "The cap screws of arm {number} are too weak for the design wind (margin {}).",
            percent(joint.strength_margin.unwrap_or(0.0))
        ));
    }
}
