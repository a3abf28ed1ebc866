//! The work in its order, as data: each step with what to do, why, what to write down, what to do where it does not fit, and
//! what must have been seen before the work goes on. The order is the trade's (common practice, no source): the base is put
//! together and torqued on the lying pole, the pole is plumbed in the sling, stubs are sawn once the nuts are tight, grout
//! comes last. Where the agency's profile says so, the lower plate is set on the foundation first.

use core::f64::consts::PI;

use super::facts::{InstallationSheet, LEVEL_M, OFF_AXIS_M, Step};
use super::words::{Say, count, direction, listed, percent};

/// Below this lean the pole counts as straight, m.
const STRAIGHT_M: f64 = 0.001;
/// Below this force nobody needs a line, N.
const LIGHT_N: f64 = 20.0;

/// A step of the sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Work {
    Inspect,
    Arms,
    Base,
    Torque,
    TryOn,
    SetLower,
    Lift,
    LiftOnBolts,
    Plumb,
    TopNuts,
    Saw,
    Grout,
    Wiring,
    Final,
}

/// Assembled on the ground.
const GROUND: [Work; 12] = [
    Work::Inspect,
    Work::Arms,
    Work::Base,
    Work::Torque,
    Work::TryOn,
    Work::Lift,
    Work::Plumb,
    Work::TopNuts,
    Work::Saw,
    Work::Grout,
    Work::Wiring,
    Work::Final,
];
/// Assembled on the foundation.
const FOUNDATION: [Work; 12] = [
    Work::Inspect,
    Work::Arms,
    Work::TryOn,
    Work::SetLower,
    Work::Base,
    Work::LiftOnBolts,
    Work::Torque,
    Work::Plumb,
    Work::TopNuts,
    Work::Saw,
    Work::Grout,
    Work::Final,
];

/// The sequence.
pub(super) fn steps(sheet: &InstallationSheet) -> Vec<Step> {
    let order = if sheet.assembly == "foundation" {
        FOUNDATION
    } else {
        GROUND
    };
    order
        .into_iter()
        .filter_map(|work| step(sheet, work))
        .enumerate()
        .map(|(i, step)| Step {
            number: i + 1,
            ..step
        })
        .collect()
}

fn made(text: String, why: &str, otherwise: &str) -> Step {
    Step {
        number: 0,
        text,
        why: why.to_owned(),
        blanks: Vec::new(),
        otherwise: otherwise.to_owned(),
        hold: None,
    }
}

impl Step {
    fn blank(mut self, names: &[String]) -> Self {
        self.blanks.extend_from_slice(names);
        self
    }

    fn held(mut self, hold: &str) -> Self {
        self.hold = Some(hold.to_owned());
        self
    }
}

fn step(sheet: &InstallationSheet, work: Work) -> Option<Step> {
    Some(match work {
        Work::Inspect => inspect(sheet),
        Work::Arms => return arms(sheet),
        Work::Base => base(sheet),
        Work::Torque => torque(sheet),
        Work::TryOn => try_on(sheet),
        Work::SetLower => set_lower(sheet),
        Work::Lift => lift(
            sheet,
            "set it down gently over the bars, threads unhurt; hardened washers, top nuts by hand",
        ),
        Work::LiftOnBolts => lift(
            sheet,
            "lower it on the slip bolts; plate washers, nuts by hand",
        ),
        Work::Plumb => plumb(sheet),
        Work::TopNuts => top_nuts(sheet),
        Work::Saw => saw(sheet),
        Work::Grout => grout(sheet),
        Work::Wiring => wiring(),
        Work::Final => last(sheet),
    })
}

fn inspect(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    let base = &sheet.design.base;
    let n = base.bolt_count;
    let keeper = base.keeper.as_ref().map_or(String::new(), |k| {
        format!(
            "; one keeper sheet {}, holes at the bottoms of the notches",
            say.fine(k.thickness_m)
        )
    });
    made(
        format!(
            "Inspect the parts: {} new {} bolts {}, {} under the head, heavy nuts with the lubricant that the torque is set for (nut factor {}: other wax or dry threads clamp otherwise); {} plate washers {}; {} \
             hardened round washers {}{keeper}. Each nut runs by hand. Notches match, without lumps or gouges.",
            count(n),
            base.bolt.size,
            base.bolt.grade,
            say.ordered(sheet.bolts.length_m, sheet.bolt_series),
            giveway_units::shown(base.nut_factor, 2),
            count(2 * n),
            say.fine(base.plate_washer_m),
            count(n),
            say.fine(base.round_washer_m),
        ),
        "rust or a lump of zinc holds at the right torque",
        "file lumps off, touch up the zinc; send back what is used, short or bent",
    )
}

fn arms(sheet: &InstallationSheet) -> Option<Step> {
    let say = Say(sheet.system());
    let each: Vec<String> = sheet
        .arms
        .iter()
        .zip(&sheet.design.arms)
        .map(|(arm, design)| {
            let name = if sheet.arms.len() > 1 {
                format!("arm {}", arm.number)
            } else {
                "the arm".to_owned()
            };
            let screws = &design.joint;
            let length = arm.joint.as_ref().map_or(String::new(), |joint| {
                format!(" x {}", say.length(joint.length.length_m))
            });
            format!(
                "{name}, pointing {}: {} new lubricated cap screws {}{length}",
                direction(design.azimuth_rad),
                count(screws.screws),
                screws.screw.size,
            )
        })
        .collect();
    if each.is_empty() {
        return None;
    }
    let turn = sheet.cap_screw_turn_rad;
    let third = 2.0 * PI / 3.0;
    let words = if libm::fabs(turn - third) < 1e-6 {
        "one third of a turn".to_owned()
    } else {
        say.angle(turn)
    };
    Some(made(
        format!(
            "Fix {}. Faces flat and clean. All snug, crosswise; then each {words} more.",
            each.join("; ")
        ),
        "wind breaks a screw that is only snug",
        "shank in the hole, or too little thread: another length",
    ))
}

fn base(sheet: &InstallationSheet) -> Step {
    let keeper = if sheet.design.base.keeper.is_some() {
        ", keeper sheet"
    } else {
        ""
    };
    let (place, whole) = if sheet.assembly == "foundation" {
        ("the set lower plate", "")
    } else {
        (
            "the lying pole",
            ", upper plate of the pole, plate washer, nut",
        )
    };
    made(
        format!(
            "Put the base together on {place}, from below: head down, plate washer, lower plate, one round washer{keeper}{whole}. \
             Every bolt at the bottom of both notches; nothing else between the plates.",
        ),
        "plates that touch do not slide",
        "a washer that is missing stops the work",
    )
}

fn torque(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    let tight = &sheet.tightening;
    let order: Vec<String> = sheet
        .tightening_order
        .iter()
        .map(ToString::to_string)
        .collect();
    let stages: Vec<String> = tight
        .stages
        .iter()
        .map(|s| format!("all to {}", say.torque(s.torque_nm)))
        .collect();
    let last = tight.stages.last().map_or(0.0, |s| s.torque_nm);
    let t = sheet.torque_tolerance;
    let ends = [1.0 - t, 1.0 + t].map(|f| say.torque(f * last));
    let blanks: Vec<String> = (1..=sheet.design.base.bolt_count)
        .map(|i| format!("bolt {i}"))
        .chain(["wrench no.".to_owned(), "calibrated".to_owned()])
        .collect();
    made(
        format!(
            "Torque with a calibrated wrench in the order {}: {}. Turn the nut, hold the head. Read again: {}. Full nut on every \
             bolt.",
            order.join(", "),
            stages.join(", then "),
            listed(&ends),
        ),
        "too loose falls in the wind; too tight does not let go",
        "slacken all and begin again with new bolts",
    )
    .blank(&blanks)
    .held("Read torques are written down.")
}

fn try_on(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    made(
        format!(
            "Try the lower plate over the anchor bars: a levelling nut and a hardened washer on every bar, level within {}; top {} \
             above a straight edge of {}, never more than {}; bolt 1 {}. Conduit cut off below it.",
            say.angle(sheet.design.level_rad),
            say.length(sheet.design.slip_plane_height_m),
            say.long(sheet.design.chord_m),
            say.length(sheet.design.stub_limit_m),
            direction(sheet.design.base.first_bolt_azimuth_rad),
        ),
        "a car must pass over what is left",
        "never bend a bar, hot or cold: call the engineer",
    )
    .blank(&["height".to_owned()])
}

fn set_lower(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    made(
        format!(
            "Set the lower plate on its levelling nuts, level within {}; hardened washers and top nuts snug.",
            say.angle(sheet.design.level_rad)
        ),
        "the slip plane must be level before the pole stands on it",
        "level again at the nuts, never with shims",
    )
}

fn lift(sheet: &InstallationSheet, down: &str) -> Step {
    let say = Say(sheet.system());
    let lift = &sheet.lift;
    let whole = &lift.whole;
    let mass = say.mass(whole.mass_kg);
    let mut text = match &sheet.sling {
        Some(sling) => {
            let which = if sheet.arms.len() > 1 {
                format!("arm {}", sling.arm)
            } else {
                "the arm".to_owned()
            };
            let mut text = format!(
                "Lift {mass} with the sling round {which} at the balance point, {} from the pole's axis, and a rope near the \
                 luminaire, {} out.",
                say.long(sling.out_m),
                say.long(sling.rope_m),
            );
            if sling.lean_rad > sheet.hang_limit_rad {
                let hold = whole.mass_kg
                    * 9.806_65
                    * libm::tan(sling.lean_rad)
                    * (sling.height_m - whole.centre_m[2])
                    / sling.height_m;
                text.push_str(&format!(
                    " It hangs {} out of plumb: hold the foot with a tag line, {}.",
                    say.angle(sling.lean_rad),
                    say.pull(hold)
                ));
            }
            text
        }
        None => {
            let mut text = format!(
                "Lift {mass} with the sling {} above the foot (balance point {}).",
                say.long(lift.hang.sling_m),
                say.long(whole.centre_m[2]),
            );
            if lift.hang.foot_force_n > LIGHT_N
                && whole.off_axis_m > OFF_AXIS_M
                && let (Some(lean), Some(azimuth)) = (lift.hang.lean_rad, lift.hang.foot_swings_rad)
                && lean > sheet.hang_limit_rad
            {
                text.push_str(&format!(
                    " It hangs {} out of plumb: a tag line at the foot, pulled {} with {}, brings it plumb.",
                    say.angle(lean),
                    direction(azimuth + PI),
                    say.pull(lift.hang.foot_force_n)
                ));
            }
            text
        }
    };
    text.push_str(&format!(" Nobody stands below. {}.", sentence(down)));
    made(
        text,
        "so it hangs plumb, the arm's weight on the hook",
        "it turns: set it down, move the sling",
    )
    .held("Sling, rope and washers are seen before the foot goes down.")
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

fn plumb(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    let lean = &sheet.lean;
    let level = &sheet.level;
    let nuts = "at the levelling nuts, never with shims in the slip joint";
    let text = match lean.azimuth_rad {
        Some(azimuth) if lean.tip_m > STRAIGHT_M => {
            let reads = |slope: f64| {
                let to = if slope >= 0.0 { "towards" } else { "away from" };
                format!("{} {to} the arm", say.slope(libm::fabs(slope)))
            };
            format!(
                "With the sling still carrying the pole, plumb its back, the side away from the lean ({}), {nuts}. Sling off, a \
                 level of {} shows on the back {}, on the front {}; the tip stands {} {} plumb.",
                direction(azimuth + PI),
                say.long(LEVEL_M),
                reads(level.back_rad),
                reads(level.front_rad),
                say.length(libm::fabs(level.tip_m)),
                if level.tip_m >= 0.0 {
                    "in front of"
                } else {
                    "behind"
                },
            )
        }
        _ => format!(
            "Plumb the pole on two sides {nuts}: a level of {} shows {} of taper on each side.",
            say.long(LEVEL_M),
            say.slope(level.taper_rad)
        ),
    };
    made(
        text,
        "the lean under load is made up for",
        "sling on again, plumb again",
    )
    .blank(&[
        "back".to_owned(),
        "front".to_owned(),
        "square to it".to_owned(),
    ])
}

fn top_nuts(sheet: &InstallationSheet) -> Step {
    let blanks = if sheet.assembly == "foundation" {
        Vec::new()
    } else {
        vec!["nuts tight".to_owned()]
    };
    made(
        "Snug the top nuts, look at plumb again, then wrench tight, crosswise (no torque required). Take the sling off."
            .to_owned(),
        "a loose nut lets the pole work in the wind",
        "a bar too short for a full nut: call the engineer",
    )
    .blank(&blanks)
}

fn saw(_: &InstallationSheet) -> Step {
    made(
        "Look along the slip plane: a bar end in it, however little, is sawn off just above its nut and painted with \
         zinc-rich primer."
            .to_owned(),
        "one bar end holds the foot",
        "saw again",
    )
    .held("Slip plane free; sawn ends primed.")
}

fn grout(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    let clear = say.length(sheet.design.grout_clear_m);
    made(
        format!(
            "Grout last: footing clean and damp, mortar packed well under the plate, at least {clear} below the bolt heads and clear \
             round the notches. Slope shaped so that the foot can slide and lift: no pocket."
        ),
        "bolts in grout cannot slide out",
        "chip it out before it is hard",
    )
}

fn wiring() -> Step {
    made(
        "Connect the wires through a disconnect that parts under pull, its live side below the slip plane."
            .to_owned(),
        "a pole knocked away must not leave live wires",
        "no disconnect: the pole stays dead",
    )
}

fn last(sheet: &InstallationSheet) -> Step {
    let say = Say(sheet.system());
    let clear = say.length(sheet.design.grout_clear_m);
    let wires = if sheet.assembly == "foundation" {
        " Wires part at a disconnect."
    } else {
        ""
    };
    made(
        format!(
            "Last check: full nuts, washers as drawn, bolts at the bottom of their notches, slip plane free, grout {clear} clear, room \
             behind the foot.{wires} Torque within {}.",
            percent(sheet.torque_tolerance)
        ),
        "nobody looks again before a crash",
        "the pole is not released",
    )
    .blank(&["date".to_owned()])
    .held("The pole is released for use.")
}
