//! The numbers of the installation sheet in words, for page and terminal alike.

use giveway_mechanics::erection::SlipPlane;
use giveway_results::grades::wind_name;
use giveway_scenario::model::{Section, Tube};
use giveway_site::sheet::words::{
    degrees, direction, kn, metres, mm, ordered, percent, pull, torque,
};
use giveway_site::sheet::{ArmSheet, InstallationSheet, OFF_AXIS_M, PRACTICE, SheetLimit};

/// Names and values.
pub type Facts = Vec<(String, String)>;

fn fact(name: &str, value: String) -> (String, String) {
    (name.to_owned(), value)
}

/// Title block.
pub fn block(sheet: &InstallationSheet) -> Facts {
    let base = &sheet.design.base;
    let mut out = Vec::new();
    if !sheet.place.is_empty() {
        out.push(fact("Place", sheet.place.clone()));
    }
    out.push(fact(
        "Pole",
        format!(
            "{} of {}",
            metres(sheet.design.pole_length_m),
            tube(&sheet.design.pole)
        ),
    ));
    out.push(fact(
        "Base",
        format!(
            "{} bolts {} {} on {}",
            base.bolt_count,
            base.bolt.size,
            base.bolt.grade,
            mm(base.bolt_circle_m, 4)
        ),
    ));
    out.push(fact("Mass", format!("{:.0} kg", sheet.lift.whole.mass_kg)));
    out
}

fn tube(tube: &Tube) -> String {
    let shape = match tube.section {
        Section::Round => "round",
        Section::Square => "square",
        Section::EightSided => "8-sided",
        Section::TwelveSided => "12-sided",
        Section::SixteenSided => "16-sided",
    };
    format!(
        "{} {shape}, {:.0} to {:.0} x {}",
        tube.material.name,
        1e3 * tube.base_diameter_m,
        1e3 * tube.tip_diameter_m,
        mm(tube.wall_m, 3)
    )
}

/// Length of the slip bolts.
pub fn bolts(sheet: &InstallationSheet) -> Facts {
    let b = &sheet.bolts;
    let layers: Vec<String> = b
        .layers
        .iter()
        .map(|l| bare(&mm(l.thickness_m, 3)).to_owned())
        .collect();
    let chosen = if b.supplied {
        "as supplied"
    } else {
        "to order"
    };
    vec![
        fact(
            "grip, from the head up",
            format!("{} = {}", layers.join("+"), mm(b.grip_m, 4)),
        ),
        fact(
            "nut and three threads",
            format!(
                "{} + {}",
                bare(&mm(b.nut_m, 3)),
                mm(b.protrusion_wanted_m, 3)
            ),
        ),
        fact(
            chosen,
            format!(
                "{}, least {}",
                ordered(b.length_m, sheet.bolt_series),
                bare(&mm(b.least_m, 4))
            ),
        ),
        fact(
            "beyond the nut",
            format!(
                "{}, {:.1} threads",
                mm(b.protrusion_m, 2),
                b.protruding_threads
            ),
        ),
        fact(
            "shank, then thread",
            format!("{} + {}", bare(&mm(b.shank_m, 3)), mm(b.thread_m, 3)),
        ),
        fact("thread left below the nut", mm(b.thread_below_nut_m, 2)),
        fact(
            "between the plates",
            match b.slip_plane {
                SlipPlane::Shank => "shank",
                SlipPlane::RunOut => "end of the thread",
                SlipPlane::Thread => "thread",
            }
            .to_owned(),
        ),
        fact(
            "threads engaged",
            format!("{:.1}, needed {:.1}", b.engaged_threads, b.threads_needed),
        ),
        fact(
            "length, shank and thread",
            if b.fits { "fit" } else { "DO NOT FIT" }.to_owned(),
        ),
    ]
}

/// A quantity without its unit.
fn bare(quantity: &str) -> &str {
    quantity.split(' ').next().unwrap_or_default()
}

/// Torque and clamp.
pub fn clamp(sheet: &InstallationSheet) -> Facts {
    let t = &sheet.tightening;
    let base = &sheet.design.base;
    let wind = &sheet.wind;
    let stages: Vec<String> = t.stages.iter().map(|s| torque(s.torque_nm)).collect();
    let mut out: Facts = vec![fact("stages", stages.join(", then "))];
    let order: Vec<String> = sheet
        .tightening_order
        .iter()
        .map(ToString::to_string)
        .collect();
    out.push(fact("order of the bolts", order.join(", ")));
    out.push(fact(
        "tolerance of the torque",
        format!("\u{b1} {}", percent(sheet.torque_tolerance)),
    ));
    out.push(fact("clamp of a bolt, settled", kn(t.clamp_n)));
    out.push(fact(
        "with the wrench's scatter",
        format!("{} to {}", bare(&kn(t.range_n[0])), kn(t.range_n[1])),
    ));
    if let Some(least) = sheet.design.least_plate_washer_m {
        out.push(fact(
            "plate washers, least for that",
            format!("{}, {}", mm(base.plate_washer_m, 3), bare(&mm(least, 3))),
        ));
    }
    out.push(fact("at most of the proof load", percent(t.of_proof)));
    out.push(fact(
        "nut factor K, loss by settling",
        format!("{:.2}, {}", base.nut_factor, percent(base.relaxation)),
    ));
    for g in &wind.grades {
        let holds = if g.holds { "holds" } else { "DOES NOT HOLD" };
        let borne = g.margin_fraction.map_or(String::new(), |m| {
            format!(", bears {}", times(1.0 + m))
        });
        out.push(fact(
            &format!("{}, {:.0} m/s", wind_name(g.grade), g.wind_mps),
            format!("{holds}{borne}"),
        ));
    }
    out.push(fact(
        "least clamp left in the design gust",
        percent(wind.gap_margin),
    ));
    out
}

/// A ratio.
fn times(ratio: f64) -> String {
    format!("{} x", giveway_units::shown(ratio, 2))
}

/// Mass, balance, sling, lines and lean.
pub fn lift(sheet: &InstallationSheet) -> Facts {
    let l = &sheet.lift;
    let mut out = vec![
        fact("mass with all that is fixed", kg(l.whole.mass_kg)),
        fact("balance point above the foot", metres(l.whole.centre_m[2])),
    ];
    let crooked = l.whole.off_axis_m > OFF_AXIS_M;
    if crooked {
        out.push(fact("and off the axis", metres(l.whole.off_axis_m)));
    }
    if let Some(bare) = &l.bare {
        out.push(fact(
            "without arm",
            format!("{} at {}", kg(bare.mass_kg), metres(bare.centre_m[2])),
        ));
    }
    out.push(fact("sling above the foot", metres(l.hang.sling_m)));
    if let Some(level) = &l.level {
        out.push(fact("line at the tip, lying", pull(level.force_n)));
    }
    if let Some(lean) = l.hang.lean_rad.filter(|_| crooked) {
        out.push(fact("hangs out of plumb by", degrees(lean)));
        out.push(fact("line at the foot, upright", pull(l.hang.foot_force_n)));
    }
    let lean = &sheet.lean;
    if let Some(azimuth) = lean.azimuth_rad {
        out.push(fact(
            "load draws the tip",
            format!("{}, {}", mm(lean.tip_m, 2), degrees(lean.tip_slope_rad)),
        ));
        out.push(fact("to", direction(azimuth)));
        out.push(fact(
            "rake of the foot against it",
            format!("{:.1} mm in 1 m", 1e3 * lean.rake_rad),
        ));
    } else {
        out.push(fact("load draws the tip", "not at all".to_owned()));
    }
    out
}

/// Every limit of the sheet under its source, in the order in which the sources come first.
pub fn sources(sheet: &InstallationSheet) -> Facts {
    let said = |l: &SheetLimit| Some(format!("{} {}", l.what.to_lowercase(), l.limit));
    by_source(sheet, "; ", said)
}

/// Where the limits on the page come from, as few words as will do: those that have a source by their names.
pub fn short_sources(sheet: &InstallationSheet) -> String {
    let named =
        |l: &SheetLimit| (!l.in_remarks_only && l.source != PRACTICE).then(|| l.name.clone());
    let mut text: String = by_source(sheet, ", ", named)
        .iter()
        .map(|(source, names)| format!("{names}: {source}. "))
        .collect();
    text.push_str(&format!("Every other limit: {PRACTICE}."));
    text
}

fn by_source(
    sheet: &InstallationSheet,
    between: &str,
    said: impl Fn(&SheetLimit) -> Option<String>,
) -> Facts {
    let mut out = Facts::new();
    for l in &sheet.limits {
        let Some(said) = said(l) else { continue };
        match out.iter_mut().find(|(source, _)| *source == l.source) {
            Some((_, all)) => {
                all.push_str(between);
                all.push_str(&said);
            }
            None => out.push(fact(&l.source, said)),
        }
    }
    out
}

fn kg(mass_kg: f64) -> String {
    format!("{mass_kg:.0} kg")
}

/// The joint of one arm; none where it is not computed.
pub fn arm(sheet: &InstallationSheet, arm: &ArmSheet) -> Option<Facts> {
    let design = &sheet.design.arms[arm.number - 1];
    let joint = arm.joint.as_ref()?;
    let screws = &design.joint;
    let length = &joint.length;
    Some(vec![
        fact(
            "cap screws",
            format!(
                "{} x {} {} x {}",
                screws.screws,
                screws.screw.size,
                screws.screw.grade,
                mm(length.length_m, 3)
            ),
        ),
        fact(
            "length allowed",
            format!(
                "{} to {}",
                bare(&mm(length.least_m, 3)),
                mm(length.most_m, 3)
            ),
        ),
        fact("turn from snug", degrees(joint.turn_rad)),
        fact("clamp that gives", kn(joint.clamp_n)),
        fact(
            "dead load and design wind",
            format!("{:.2} kN.m", 1e-3 * joint.moment_nm),
        ),
        fact(
            "clamp over need, strength over load",
            [joint.closure_margin, joint.strength_margin]
                .map(|m| m.map_or("no load".to_owned(), |m| times(1.0 + m)))
                .join(", "),
        ),
    ])
}
