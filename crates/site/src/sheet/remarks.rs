//! What somebody must settle before the work begins: checks of the design that are not met, and what the sheet leaves out.

use giveway_results::summary::GradeCheck;
use giveway_scenario::model::{AsFound, Scenario};

use super::InstallationSheet;
use super::limits::{AASHTO, APART, APART_M, BOUND, BOUND_DEG, FREE_DEG, MASS_KG, PRACTICE};
use super::words::{degrees, kn, mm, ordered, percent};

/// Notches up to this included angle count as those that bound, rad: half a degree of rounding.
const NARROW_RAD: f64 = (BOUND_DEG + 0.5) * core::f64::consts::PI / 180.0;

/// The remarks, gravest first.
pub(super) fn remarks(scenario: &Scenario, sheet: &InstallationSheet) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |when: bool, text: &dyn Fn() -> String| {
        if when {
            out.push(text());
        }
    };
    let (base, bolts) = (&sheet.design.base, &sheet.bolts);
    let wind = &sheet.wind;
    say(!wind.holds, &|| {
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
    say(tight.of_proof > 1.0, &|| {
        format!(
            "With the scatter of the wrench a bolt may see {} of its proof load: the torque is too high for it.",
            percent(tight.of_proof)
        )
    });
    let long = ordered(bolts.length_m, sheet.bolt_series);
    say(
        bolts.protrusion_m < bolts.protrusion_wanted_m - 1e-9,
        &|| {
            format!(
                "The bolts as supplied, {long}, are too short: they need {} under the head.",
                ordered(bolts.standard_m, sheet.bolt_series)
            )
        },
    );
    say(bolts.thread_below_nut_m < -1e-9, &|| {
        format!(
            "The thread of bolts of {long} ends {} above the nut's seat: the nut jams on the shank before it clamps.",
            mm(-bolts.thread_below_nut_m, 2)
        )
    });
    say(bolts.engaged_threads < bolts.threads_needed, &|| {
        format!(
            "A nut engages {:.1} threads; {:.1} are needed for the strength of the bolt.",
            bolts.engaged_threads, bolts.threads_needed
        )
    });
    if let Some(least) = sheet.design.least_plate_washer_m {
        say(base.plate_washer_m < least - 1e-9, &|| {
            format!(
                "The plate washers of {} bend into the notch at this clamp: {} are needed.",
                mm(base.plate_washer_m, 3),
                mm(least, 3)
            )
        });
    }
    say(sheet.lean.rake_rad > sheet.design.level_rad, &|| {
        format!(
            "The rake against the lean, {:.1} mm in 1 m, is more than the slope that the lower plate may have, {} ({PRACTICE}).",
            1e3 * sheet.lean.rake_rad,
            degrees(sheet.design.level_rad)
        )
    });
    let apart = base.round_washer_m;
    say(
        !(APART_M[0] - 1e-9..=APART_M[1] + 1e-9).contains(&apart),
        &|| {
            format!(
                "The round washers of {} do not keep the plates {:.0} to {} apart ({APART}).",
                mm(apart, 3),
                1e3 * APART_M[0],
                mm(APART_M[1], 1)
            )
        },
    );
    say(base.keeper.is_none(), &|| {
        "The design has no keeper sheet: nothing but the clamp keeps the bolts from walking."
            .to_owned()
    });
    say(2.0 * base.notch_half_angle_rad <= NARROW_RAD, &|| {
        format!(
            "The notches open by {:.0}\u{b0}: {BOUND_DEG:.0}\u{b0} bound in tests, {FREE_DEG:.0}\u{b0} did not ({BOUND}).",
            2.0 * base.notch_half_angle_rad.to_degrees()
        )
    });
    let height = sheet.design.slip_plane_height_m;
    say(height > sheet.design.stub_limit_m + 1e-9, &|| {
        format!(
            "The design sets the lower plate {} above the ground, more than the limit of {} ({AASHTO}).",
            mm(height, 3),
            mm(sheet.design.stub_limit_m, 3)
        )
    });
    say(sheet.lift.whole.mass_kg > MASS_KG, &|| {
        format!(
            "The support weighs {:.0} kg, more than a breakaway support may, {MASS_KG:.0} kg ({AASHTO}).",
            sheet.lift.whole.mass_kg
        )
    });
    say(!sheet.lift.hang.foot_down, &|| {
        "No sling on the shaft holds this pole foot down: lift it with two slings.".to_owned()
    });
    for arm in &sheet.arms {
        arm_remarks(arm, &mut out);
    }
    if scenario.as_found != AsFound::default() {
        out.push(
            "The scenario tells of findings on site; this sheet is for the design and leaves them out."
                .to_owned(),
        );
    }
    out
}

fn arm_remarks(arm: &super::ArmSheet, out: &mut Vec<String>) {
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
            mm(screw.length_m, 3),
            mm(screw.least_m, 3),
            mm(screw.most_m, 3)
        ));
    }
    if joint.closure_margin.is_some_and(|m| m < 0.0) {
        out.push(format!(
            "The flange of arm {number} opens in the design wind: {} are needed at a screw, the clamp is {}.",
            kn(joint.clamp_needed_n),
            kn(joint.clamp_n)
        ));
    }
    if joint.strength_margin.is_some_and(|m| m < 0.0) {
        out.push(format!(
            "The cap screws of arm {number} are too weak for the design wind (margin {}).",
            percent(joint.strength_margin.unwrap_or(0.0))
        ));
    }
}
