//! The work in its order, with hold points: plain sentences with the numbers of this pole.

use giveway_mechanics::erection::End;

use super::words::{count, degrees, direction, listed, metres, mm, ordered, pull, torque};
use super::{InstallationSheet, LEVEL_M, OFF_AXIS_M, Step};

/// Below this lean the pole counts as straight, m.
const STRAIGHT_M: f64 = 0.001;
/// Below this force nobody needs a line, N.
const LIGHT_N: f64 = 20.0;

/// The sequence.
pub(super) fn steps(sheet: &InstallationSheet) -> Vec<Step> {
    let mut out = Vec::new();
    parts(sheet, &mut out);
    ground(sheet, &mut out);
    arms(sheet, &mut out);
    joint(sheet, &mut out);
    lift(sheet, &mut out);
    plumb(sheet, &mut out);
    tighten(sheet, &mut out);
    out
}

fn step(out: &mut Vec<Step>, text: String) {
    out.push(Step { text, hold: None });
}

fn hold(out: &mut Vec<Step>, text: String, hold: &str) {
    out.push(Step {
        text,
        hold: Some(hold.to_owned()),
    });
}

fn bolt_name(sheet: &InstallationSheet) -> String {
    let bolt = &sheet.design.base.bolt;
    format!("{} grade {}", bolt.size, bolt.grade)
}

fn parts(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    let base = &sheet.design.base;
    let n = base.bolt_count;
    let keeper = base.keeper.as_ref().map_or(String::new(), |k| {
        format!(", one keeper sheet of {}", mm(k.thickness_m, 2))
    });
    step(
        out,
        format!(
            "Lay out and measure the parts: {} new bolts {}, {} under the head, with nuts; {} plate washers of {}; {} round \
             washers of {}{keeper}. Turn every nut on by hand over the whole thread.",
            count(n),
            bolt_name(sheet),
            ordered(sheet.bolts.length_m, sheet.bolt_series),
            count(2 * n),
            mm(base.plate_washer_m, 3),
            count(n),
            mm(base.round_washer_m, 3),
        ),
    );
    step(
        out,
        "Clean the notches of both plates; file off lumps of zinc; lay the upper plate on the lower one and see that the \
         notches match."
            .to_owned(),
    );
}

fn ground(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    let design = &sheet.design;
    let clear = mm(design.grout_clear_m, 3);
    step(
        out,
        format!(
            "Set the lower plate level within {}, bolt 1 pointing {}, its top {} above a straight edge of {} on the ground, never more than {}.",
            degrees(design.level_rad),
            direction(design.base.first_bolt_azimuth_rad),
            mm(design.slip_plane_height_m, 3),
            format_args!("{:.1} m", design.chord_m),
            mm(design.stub_limit_m, 3)
        ),
    );
    hold(
        out,
        format!(
            "Cut anchor bars and conduit off below the top of the lower plate. Keep grout {clear} below the bolt heads and \
             {clear} clear all around the notches. Grade the slope behind the foot so that the foot can move and lift."
        ),
        "Height, level, direction, grout and slip plane are measured.",
    );
}

fn arms(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    for (arm, design) in sheet.arms.iter().zip(&sheet.design.arms) {
        let Some(joint) = &arm.joint else { continue };
        let name = if sheet.arms.len() > 1 {
            format!("arm {}", arm.number)
        } else {
            "the arm".to_owned()
        };
        let screws = &design.joint;
        step(
            out,
            format!(
                "Fix {name} to the lying pole, pointing {}: {} cap screws {} x {}, all snug, then each {} further, crosswise.",
                direction(design.azimuth_rad),
                count(screws.screws),
                screws.screw.size,
                mm(joint.length.length_m, 3),
                degrees(joint.turn_rad)
            ),
        );
    }
}

fn joint(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    let keeper = if sheet.design.base.keeper.is_some() {
        ", then the keeper sheet on top of the washers"
    } else {
        ""
    };
    step(
        out,
        format!(
            "Put the bolts into the lower notches from below, heads down, a plate washer on each head. Lay one round washer \
             over each bolt on the lower plate{keeper}. Nothing else comes between the plates."
        ),
    );
}

fn lift(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    let lift = &sheet.lift;
    let whole = &lift.whole;
    let toward = match whole.azimuth_rad {
        Some(azimuth) if whole.off_axis_m > OFF_AXIS_M => {
            format!(
                " and {} off the axis, {}",
                metres(whole.off_axis_m),
                direction(azimuth)
            )
        }
        _ => String::new(),
    };
    let mut text = format!(
        "Lift {:.0} kg with the sling {} above the foot; the balance point is {} above the foot{toward}.",
        whole.mass_kg,
        metres(lift.hang.sling_m),
        metres(whole.centre_m[2])
    );
    if let Some(level) = &lift.level {
        let sinks = match level.sinks {
            Some(End::Foot) => Some(("tip", "foot")),
            Some(End::Tip) => Some(("foot", "tip")),
            None => None,
        };
        if let Some((line, end)) = sinks {
            text.push_str(&format!(
                " While it lies, hold the {line} down with {} or the {end} sinks.",
                pull(level.force_n)
            ));
        }
    }
    if lift.hang.foot_force_n > LIGHT_N
        && let (Some(lean), Some(azimuth)) = (lift.hang.lean_rad, lift.hang.foot_swings_rad)
    {
        let back = direction(azimuth + core::f64::consts::PI);
        text.push_str(&format!(
            " Upright it hangs {} out of plumb; a tag line at the foot, pulled {back} with {}, brings it plumb.",
            degrees(lean),
            pull(lift.hang.foot_force_n)
        ));
    }
    text.push_str(" Nobody stands below.");
    hold(
        out,
        text,
        "Sling, lines and washers are seen before the foot goes down.",
    );
}

fn plumb(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    step(
        out,
        "Lower the pole over the bolts; lay on the plate washers; run the nuts down by hand; keep the sling just slack.".to_owned(),
    );
    let lean = &sheet.lean;
    let text = match lean.azimuth_rad {
        Some(azimuth) if lean.tip_m > STRAIGHT_M => {
            let away = direction(azimuth + core::f64::consts::PI);
            let across = 1e3 * lean.rake_rad;
            let plate = lean.rake_rad * sheet.design.base.bolt_circle_m;
            format!(
                "Plumb at the levelling nuts below the lower plate, never with shims in the joint. The load draws the tip {}, {}: \
                 plumb square to that as it stands; in line with it rake the foot {across:.1} mm in 1 m ({} across the bolt \
                 circle) the other way, {away}. The tip then stands over the foot; the lowest {} of shaft read {} off plumb.",
                mm(lean.tip_m, 2),
                direction(azimuth),
                mm(plate, 2),
                metres(LEVEL_M),
                mm((lean.rake_rad * LEVEL_M - lean.at_level_m).abs(), 2)
            )
        }
        _ => "Plumb the pole on two sides at the levelling nuts below the lower plate, never with shims in the joint."
            .to_owned(),
    };
    step(out, text);
}

fn tighten(sheet: &InstallationSheet, out: &mut Vec<Step>) {
    let order: Vec<String> = sheet
        .tightening_order
        .iter()
        .map(ToString::to_string)
        .collect();
    let tight = &sheet.tightening;
    let stages: Vec<String> = tight
        .stages
        .iter()
        .map(|s| format!("all to {}", torque(s.torque_nm)))
        .collect();
    step(
        out,
        format!(
            "Tighten with a calibrated wrench in the order {}: {}. Turn the nut, hold the head. Do not go beyond: a tighter base \
             does not let go.",
            order.join(", "),
            stages.join(", then ")
        ),
    );
    let tolerance = sheet.torque_tolerance;
    let last = tight.stages.last().map_or(0.0, |s| s.torque_nm);
    let ends = [1.0 - tolerance, 1.0 + tolerance].map(|f| torque(f * last));
    hold(
        out,
        format!(
            "Check each bolt: the nut begins to turn on between {}; at least three threads stand out of the nut ({:.1} as drawn); \
             washers and keeper lie as drawn; every bolt sits at the bottom of its notches.",
            listed(&ends),
            sheet.bolts.protruding_threads
        ),
        "Torque of every bolt is read and written down; the pole is released for use.",
    );
}
