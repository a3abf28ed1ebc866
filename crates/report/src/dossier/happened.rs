//! What happened, and what a person must see.

use giveway_impact::flight::outcome::{Flight, FlightEnding};
use giveway_results::Summary;

use super::markup::Markup;
use super::words::{ending, to, upper_first};
use crate::page::{
    counted_until, crush_on_the_way, kmph, ms, released_in_words, tension_rise_in_words,
};

/// Most findings that are written out.
const MOST_FLAGS: usize = 40;

/// Facts and findings.
pub fn chapter(m: &mut Markup, s: &Summary, level: u8) {
    m.facts("rows", &facts(s));
    m.subheading(level, "What a person must see");
    if s.flags.is_empty() {
        m.paragraph("Nothing was flagged.");
        return;
    }
    let list: Vec<String> = (s.flags.iter())
        .take(MOST_FLAGS)
        .map(|f| match &f.consequence {
            Some(c) => format!("{} {}.", f.sentence, upper_first(c)),
            None => f.sentence.clone(),
        })
        .collect();
    m.points(&list);
    if let left @ 1.. = s.flags.len().saturating_sub(MOST_FLAGS) {
        m.paragraph(&format!("{left} more stand in summary.json of the folder."));
    }
}

/// The facts of the impact, name and value.
pub fn facts(s: &Summary) -> Vec<(String, String)> {
    let mut list = Vec::new();
    let mut add = |name: &str, value: String| list.push((name.to_owned(), value));
    let i = &s.impact;
    let impact = format!(
        "{} of {:.0} kg at {}, heading {:.1}\u{b0}, {} {:.0} mm off its middle",
        i.vehicle_class,
        i.vehicle_mass_kg,
        kmph(i.speed_mps),
        i.heading_rad.to_degrees(),
        i.face,
        1e3 * i.offset_m
    );
    add("Impact", impact);
    add("Ending", upper_first(ending(s.ending)));
    add("Speed lost", speed_lost(s));
    let c = &s.contact;
    let contact = format!(
        "{} at {}; crush {}{}, dent in the tube {}",
        to(1e-3 * c.peak_force_n, 1, "kN"),
        ms(c.peak_force_time_s),
        to(1e3 * c.peak_crush_m, 0, "mm"),
        crush_on_the_way(c),
        to(1e3 * c.dent_m, 1, "mm")
    );
    add("Contact", contact);
    if !s.joint.bolts.is_empty() {
        add("Slip joint", slip_joint(s));
    }
    for (name, how, since, angle_rad) in [
        (
            "Shaft",
            "folded at its foot",
            s.fold.since_s,
            s.fold.angle_rad,
        ),
        (
            "Shaft where it is struck",
            "kinked",
            s.kink.since_s,
            s.kink.angle_rad,
        ),
    ] {
        if let Some(since) = since {
            let angle = angle_rad.to_degrees();
            let text = format!("{how} from {}, by {angle:.1}\u{b0}", ms(since));
            add(name, text);
        }
    }
    if let Some(r) = &s.retention {
        let stands = if r.holds { "stands" } else { "DOES NOT STAND" };
        let clamp = to(1e-3 * r.clamp_n, 1, "kN");
        let text = format!(
            "clamped by {clamp} a bolt, the base {stands}; {}",
            r.words()
        );
        add("Wind", text);
    }
    if let Some(f) = &s.flight {
        add("Flight of the pole", flight(&f.event));
    }
    add("Record", s.record_basis.clone());
    list
}

fn speed_lost(s: &Summary) -> String {
    let v = &s.velocity_change;
    let said = |dv: f64, when: &str, t: f64| format!("{} {when} ({})", to(dv, 2, "m/s"), ms(t));
    let mut lost = Vec::new();
    if let (Some(dv), Some(t)) = (v.at_release_mps, s.times.release_s) {
        lost.push(said(dv, "when the last bolt let go", t));
    }
    if let (Some(dv), Some(t)) = (v.at_contact_end_mps, s.times.contact_end_s) {
        lost.push(said(dv, counted_until(s), t));
    }
    let end = s.times.engagement_end_s;
    let lost_then = v.at_engagement_end_mps;
    lost.push(said(lost_then, "at the end of the engagement", end));
    lost.join(", ")
}

fn slip_joint(s: &Summary) -> String {
    let tension = tension_rise_in_words(&s.joint);
    format!("{}; tension: {tension}", released_in_words(s))
}

fn flight(e: &Flight) -> String {
    let passes = if e.clears_vehicle {
        "passes clear of the vehicle's body"
    } else {
        "strikes the vehicle's body"
    };
    let drives = if e.driven_over {
        "drives"
    } else {
        "does not drive"
    };
    let place = |[along, left]: [f64; 2]| format!("{along:.1} m along and {left:.1} m to the left");
    let (foot, tip) = (
        place([e.foot_m[0], e.foot_m[1]]),
        place([e.tip_m[0], e.tip_m[1]]),
    );
    let stays = match e.ending {
        FlightEnding::TimeLimit => "is still moving at the end, then",
        _ => "comes to rest",
    };
    format!("{passes}; foot {stays} {foot}, tip {tip}; the vehicle {drives} over it")
}
