//! The numbers of the installation sheet in words, for page and terminal alike: what a crew orders, sets and measures. What
//! only an engineer asks for stands in the data (`--format json`).

use giveway_mechanics::service::{FatigueDetail, FatigueVerdict, Recheck};
use giveway_scenario::model::{Section, Tube};
use giveway_site::sheet::words::{Say, direction, percent};
use giveway_site::sheet::{ArmSheet, InstallationSheet};
use giveway_site::span_of_days;

pub type Facts = Vec<(String, String)>;

fn fact(name: &str, value: String) -> (String, String) {
    (name.to_owned(), value)
}

/// Title block.
pub fn block(sheet: &InstallationSheet) -> Facts {
    let say = Say(sheet.system());
    let base = &sheet.design.base;
    let mut out = Vec::new();
    if !sheet.place.is_empty() {
        out.push(fact("Place", sheet.place.clone()));
    }
    let pole = format!(
        "{} of {}",
        say.long(sheet.design.pole_length_m),
        tube(say, &sheet.design.pole)
    );
    out.push(fact("Pole", pole));
    let circle = say.length(base.bolt_circle_m);
    let bolts = format!(
        "{} bolts {} {} on {circle}",
        base.bolt_count, base.bolt.size, base.bolt.grade
    );
    out.push(fact("Base", bolts));
    out.push(fact("Mass", say.mass(sheet.lift.whole.mass_kg)));
    if let Some(drawing) = &sheet.drawing {
        out.push(fact("By", drawing.clone()));
    }
    out.push(fact("Limits", sheet.profile.clone()));
    out
}

fn tube(say: Say, tube: &Tube) -> String {
    let shape = match tube.section {
        Section::Round => "round",
        Section::Square => "square",
        Section::EightSided => "8-sided",
        Section::TwelveSided => "12-sided",
        Section::SixteenSided => "16-sided",
    };
    format!(
        "{} {shape}, {} to {}, wall {}",
        tube.material.name,
        say.length(tube.base_diameter_m),
        say.length(tube.tip_diameter_m),
        say.fine(tube.wall_m)
    )
}

/// Slip bolts: what to order and what goes on them.
pub fn bolts(sheet: &InstallationSheet) -> Facts {
    let say = Say(sheet.system());
    let base = &sheet.design.base;
    let b = &sheet.bolts;
    let n = base.bolt_count;
    let chosen = if b.supplied {
        "as supplied"
    } else {
        "to order"
    };
    let (size, grade) = (&base.bolt.size, &base.bolt.grade);
    let length = say.ordered(b.length_m, sheet.bolt_series);
    let mut out = Facts::new();
    let mut add = |name: &str, value: String| out.push(fact(name, value));
    add(chosen, format!("{n} bolts {size} {grade} x {length}"));
    let washers = say.fine(base.plate_washer_m);
    add("plate washers", format!("{} x {washers}", 2 * n));
    let washers = say.fine(base.round_washer_m);
    add("hardened round washers", format!("{n} x {washers}"));
    if let Some(keeper) = &base.keeper {
        add("keeper sheet", say.fine(keeper.thickness_m));
    }
    let nut = if sheet.full_nut { "full" } else { "NOT FULL" };
    let beyond = b.protruding_threads.max(0.0);
    add("nut", format!("{nut}, {beyond:.1} threads beyond it"));
    out
}

/// Torque.
pub fn clamp(sheet: &InstallationSheet) -> Facts {
    let say = Say(sheet.system());
    let t = &sheet.tightening;
    let stages: Vec<String> = t.stages.iter().map(|s| say.torque(s.torque_nm)).collect();
    let order = sheet.tightening_order.iter().map(ToString::to_string);
    let order: Vec<String> = order.collect();
    let holds = sheet.wind.holds;
    let wind = if holds { "holds" } else { "DOES NOT HOLD" };
    let speed = say.speed(sheet.wind.wind_mps);
    let tolerance = percent(sheet.torque_tolerance);
    vec![
        fact("stages", stages.join(", then ")),
        fact("order of the bolts", order.join(", ")),
        fact("tolerance", format!("\u{b1} {tolerance}")),
        fact(&format!("design wind {speed}"), wind.to_owned()),
    ]
}

/// Mass, sling, rope and lean.
pub fn lift(sheet: &InstallationSheet) -> Facts {
    let say = Say(sheet.system());
    let l = &sheet.lift;
    let mut out = Facts::new();
    let mut add = |name: &str, value: String| out.push(fact(name, value));
    add("mass with all that is fixed", say.mass(l.whole.mass_kg));
    let balance = say.long(l.whole.centre_m[2]);
    add("balance point above the foot", balance);
    match &sheet.sling {
        Some(sling) => {
            add("sling from the pole's axis", say.long(sling.out_m));
            add("rope on the arm", say.long(sling.rope_m));
        }
        None => add("sling above the foot", say.long(l.hang.sling_m)),
    }
    let drawn = match sheet.lean.azimuth_rad {
        Some(azimuth) => format!("{}, {}", say.length(sheet.lean.tip_m), direction(azimuth)),
        None => "not at all".to_owned(),
    };
    add("load draws the tip", drawn);
    out
}

/// Years of service: when to look again and which details the daily wind wears out; where `all`, what is left of the clamp
/// and the details that endure, too.
pub fn service(sheet: &InstallationSheet, all: bool) -> Facts {
    let say = Say(sheet.system());
    let s = &sheet.service;
    let recheck = match s.recheck {
        Recheck::Walks => {
            "the clamp walks away in the design wind: settle the torque first".to_owned()
        }
        Recheck::Every(days) => {
            let span = span_of_days(days);
            let span = span.strip_prefix("1 ").unwrap_or(&span);
            format!("after a week, then every {span}")
        }
    };
    let detail = |d: &FatigueDetail| {
        let range = |[a, b]: [f64; 2]| {
            if a == b {
                say.stress(a)
            } else {
                format!("{} to {}", say.stress(a), say.stress(b))
            }
        };
        let against = range(d.threshold_pa);
        format!(
            "{} against {against}: {}",
            range(d.stress_pa),
            d.verdict.words()
        )
    };
    let mut out = vec![fact("read the torque again", recheck)];
    if all {
        let left = format!("{} of the first, by relaxation", percent(s.clamp_left));
        out.push(fact("clamp after 20 years", left));
    }
    let told = |d: &&FatigueDetail| all || d.verdict != FatigueVerdict::Endures;
    let detail = |d: &FatigueDetail| format!("{} [recalled]", detail(d));
    if let Some(foot) = s.foot.as_ref().filter(told) {
        out.push(fact("foot in daily gusts", detail(foot)));
    }
    for (n, screws) in (1..).zip(&s.arm_screws) {
        if let Some(screws) = screws.as_ref().filter(told) {
            let name = format!("screws of arm {n} in daily gusts");
            out.push(fact(&name, detail(screws)));
        }
    }
    out
}

/// Every limit of the sheet under its source, in the order in which the sources come first.
pub fn sources(sheet: &InstallationSheet) -> Facts {
    let mut out = Facts::new();
    for l in &sheet.limits {
        let said = format!("{} {}", l.what.to_lowercase(), l.limit);
        match out.iter_mut().find(|(source, _)| *source == l.source) {
            Some((_, all)) => all.push_str(&format!("; {said}")),
            None => out.push(fact(&l.source, said)),
        }
    }
    out
}

/// The joint of one arm; none where it is not computed.
pub fn arm(sheet: &InstallationSheet, arm: &ArmSheet) -> Option<Facts> {
    let say = Say(sheet.system());
    let design = &sheet.design.arms[arm.number - 1];
    let joint = arm.joint.as_ref()?;
    let screws = &design.joint;
    let (size, grade) = (&screws.screw.size, &screws.screw.grade);
    let length = &joint.length;
    let [least, most, long] =
        [length.least_m, length.most_m, length.length_m].map(|l| say.length(l));
    let turn = say.angle(joint.turn_rad);
    let remark = format!("{turn} would do in elastic steel; the rule goes on into plastic stretch");
    let screws = format!("{} x {size} {grade} x {long}", screws.screws);
    Some(vec![
        fact("cap screws", screws),
        fact("length allowed", format!("{least} to {most}")),
        fact("turn from snug", say.angle(sheet.cap_screw_turn_rad)),
        fact("remark", remark),
    ])
}
