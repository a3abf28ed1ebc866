//! The result in a few lines of plain text: verdict first.

use giveway_impact::flight::outcome::FlightEnding;
use giveway_impact::outcome::Ending;
use giveway_occupant::Check;
use giveway_occupant::flail::{RidedownStatus, VelocityBasis};
use giveway_results::Summary;
use giveway_results::grades::wind_name;
use giveway_results::summary::{FlightReport, RetentionCheck, Status};

use crate::lines::Lines;
use crate::page::{
    counted_until, crush_on_the_way, kmph, ms, released_in_words, tension_rise_in_words,
};

/// Widest line, characters.
const COLUMNS: usize = 80;
/// Most lines.
const LINES: usize = 38;
/// As many more where installation conditions were compared.
const CONDITION_LINES: usize = 16;
/// Most installation conditions that are listed.
const CONDITIONS: usize = 6;
/// Lines that flags get, with the one that counts the rest, also where the numbers then lack room. Where they do not, flags
/// get what is left.
const FLAG_LINES: usize = 9;

/// The short summary for a terminal: at most 38 lines of at most 80 columns, ending in a line break; 16 lines more
/// where installation conditions were compared. Flags stand before the numbers; what found no room is named.
pub fn headline(summary: &Summary) -> String {
    let mut page = Lines::new(COLUMNS);
    verdict(&mut page, summary);
    page.text("  ", "  ", &summary.caution);
    let compared = !summary.conditions.is_empty();
    let most = LINES + if compared { CONDITION_LINES } else { 0 };
    let all: Vec<(&str, Lines)> = facts(summary)
        .iter()
        .map(|(name, text)| {
            let mut lines = Lines::new(COLUMNS);
            fact(&mut lines, name, text);
            (*name, lines)
        })
        .collect();
    let needed: usize = all.iter().map(|(_, lines)| lines.count()).sum();
    let mut found = Lines::new(COLUMNS);
    found.blank();
    conditions(&mut found, summary);
    let left = most.saturating_sub(page.count() + found.count() + needed);
    flags(&mut page, summary, left.max(FLAG_LINES));
    page.append(found);
    // Where not all numbers have room, one line names those that have none.
    let room = most - usize::from(page.count() + needed > most);
    let mut left_out = Vec::new();
    for (name, lines) in all {
        if page.count() + lines.count() <= room {
            page.append(lines);
        } else {
            left_out.push(name);
        }
    }
    if !left_out.is_empty() {
        let names = left_out.join(", ");
        let text = format!("{names}: see summary.json");
        fact(&mut page, "no room for", &text);
    }
    page.truncate(most);
    page.finish()
}

/// The flags, as many as have room, and how many more there are.
fn flags(page: &mut Lines, s: &Summary, most: usize) {
    let all: Vec<Lines> = (s.flags.iter())
        .map(|flag| {
            let mut text = format!("{}: {}", flag.word, flag.sentence);
            if let Some(consequence) = &flag.consequence {
                text.push_str(&format!(" {}.", upper_first(consequence)));
            }
            let mut lines = Lines::new(COLUMNS);
            lines.text("  ! ", "    ", &text);
            lines
        })
        .collect();
    let needed: usize = all.iter().map(Lines::count).sum();
    let end = page.count() + most - usize::from(needed > most);
    let mut left = 0;
    for lines in all {
        // In their order: what stands after one that has no room is not told before it.
        if left == 0 && page.count() + lines.count() <= end {
            page.append(lines);
        } else {
            left += 1;
        }
    }
    if left > 0 {
        page.text("  ! ", "    ", &format!("{left} more: see summary.json"));
    }
}

/// Dents, place of rest, exit speed, and the occupant's number without the flight.
fn flight_in_words(f: &FlightReport) -> String {
    let e = &f.event;
    let mm = |m: f64| format!("{:.0}", 1e3 * m);
    let dents: Vec<String> = [("roof", &e.roof), ("windscreen", &e.windscreen)]
        .into_iter()
        .filter(|(_, d)| d.largest_m > 0.0)
        .map(|(name, d)| {
            let [dent, low, high, limit] = [d.remaining_m, d.low_m, d.high_m, d.limit_m].map(mm);
            format!("{name} dented by {dent} mm ({low} to {high} mm; limit {limit} mm)")
        })
        .collect();
    let mut text = if dents.is_empty() {
        "roof and windscreen are not touched".to_owned()
    } else {
        dents.join(", ")
    };
    let lies = match e.ending {
        FlightEnding::AtRest => "lies",
        FlightEnding::TimeLimit => "still moves",
    };
    text.push_str(&format!(
        "; after {:.1} s the pole {lies} with its foot {:.1} m and its tip {:.1} m beyond the base",
        e.end_time_s, e.foot_m[0], e.tip_m[0]
    ));
    if let Some(exit) = f.exit_speed_mps {
        text.push_str(&format!("; {:.1} km/h at 12 m", 3.6 * exit));
    }
    if let Some(w) = &f.without {
        text.push_str(&format!(
            "; impact velocity without the flight {:.2} m/s",
            w.occupant_impact_velocity_mps[0]
        ));
    }
    text
}

fn verdict(page: &mut Lines, s: &Summary) {
    let h = &s.headline;
    let word = match s.status {
        Status::Failed => "RUN FAILED".to_owned(),
        Status::Complete if s.judged() => s.blow().words().to_uppercase(),
        Status::Complete => "NOT JUDGED".to_owned(),
    };
    // An endless title must not push the numbers off the page.
    page.text("", "  ", &format!("{word}: {}", cut(&s.title, 200)));
    let judged = s.judged();
    let by = match &h.document {
        Some(document) if judged => format!("By {document}: {}", h.sentence),
        _ => h.sentence.clone(),
    };
    page.text("  ", "  ", &by);
    if !judged {
        return;
    }
    let (main, closest) = deciding(s);
    if let Some(check) = main {
        page.item(&check_in_words(check));
    }
    if let Some(check) = closest {
        let words = lower_first(&check_in_words(check));
        page.item(&format!("Closest to its limit: {words}"));
    }
    let others: Vec<String> = (s.verdicts.iter().skip(1))
        .map(|v| format!("{}: {}", v.set, v.blow().words()))
        .collect();
    if !others.is_empty() {
        page.item(&format!("Other documents: {}", others.join(", ")));
    }
}

/// By the first document the check that it cannot do without and, where that is another, the one with the least margin.
pub fn deciding(s: &Summary) -> (Option<&Check>, Option<&Check>) {
    let checks = s.verdicts.first().map_or(&[][..], |v| &v.checks);
    let main = checks.iter().find(|c| c.essential && c.value.is_some());
    let closest = (checks.iter())
        .find(|c| Some(&c.key) == s.headline.closest_check.as_ref())
        .filter(|c| main.is_none_or(|m| m.key != c.key));
    (main, closest)
}

/// Whose range it is, where it stands beside a value that was judged.
pub fn range_words(c: &Check) -> &'static str {
    if c.point_estimate {
        ", the range that tests in print leave it"
    } else {
        ""
    }
}

fn check_in_words(c: &Check) -> String {
    let mut text = c.title.clone();
    if let (Some(value), Some(max)) = (c.value, c.limit_max) {
        // Every number with its unit, so that each can be said in another one.
        let unit = match c.unit.as_str() {
            "-" => String::new(),
            unit => format!(" {unit}"),
        };
        let with = |v: f64| format!("{}{unit}", number(v));
        text.push_str(&format!(" {}", with(value)));
        if let Some([low, high]) = c.value_range {
            let of = range_words(c);
            text.push_str(&format!(" ({} to {}{of})", number(low), with(high)));
        }
        text.push_str(&format!(" of {}", with(max)));
        if let Some(preferred) = c.limit_preferred {
            text.push_str(&format!(" (preferred {})", with(preferred)));
        }
    }
    if c.undecided() {
        text.push_str(", the limit lies in that range");
    } else if let Some(margin) = c.margin_fraction {
        if margin >= 0.0 {
            text.push_str(&format!(", {:.0} % left", 100.0 * margin));
        } else {
            text.push_str(&format!(", {:.0} % over", -100.0 * margin));
        }
    }
    text.push_str(&format!("; {}", c.source));
    if let Some(advice) = &c.advice {
        text.push_str(&format!("; {advice}"));
    }
    text
}

/// Four figures at most, no zeros at the end, no sign on a zero.
pub fn number(v: f64) -> String {
    let decimals = match v.abs() {
        a if a >= 1000.0 => 0,
        a if a >= 100.0 => 1,
        a if a >= 10.0 => 2,
        _ => 3,
    };
    let text = fixed(v, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// So many decimals, no sign on a zero.
pub fn fixed(v: f64, decimals: usize) -> String {
    let text = format!("{v:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// A text of whatever length in at most so many characters.
pub fn cut(text: &str, most: usize) -> String {
    let mut out: String = text.chars().take(most).collect();
    if out.len() < text.len() {
        out.push('\u{2026}');
    }
    out
}

/// The text with its first letter in the other case.
fn with_first(text: &str, letter: impl Fn(char) -> String) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| letter(c) + chars.as_str())
}

pub fn lower_first(text: &str) -> String {
    with_first(text, |c| c.to_lowercase().collect())
}

pub fn upper_first(text: &str) -> String {
    with_first(text, |c| c.to_uppercase().collect())
}

/// How an engagement ended, as a predicate.
pub fn ending_in_words(ending: Ending) -> &'static str {
    match ending {
        Ending::NoContact => "the vehicle did not touch the pole",
        Ending::Released => "the base let go",
        Ending::Held => "the base held",
        Ending::FixedObstacle => "the obstacle is fixed",
        Ending::TimeLimit => "not over at its time limit",
    }
}

/// Names and numbers, those that matter most first.
fn facts(s: &Summary) -> Vec<(&'static str, String)> {
    let i = &s.impact;
    let mut list = Vec::new();
    let mut add = |name, text: String| list.push((name, text));
    let impact = format!(
        "{} of {:.0} kg at {}, {}: {}",
        i.vehicle_class,
        i.vehicle_mass_kg,
        kmph(i.speed_mps),
        i.face,
        ending_in_words(s.ending)
    );
    add("impact", impact);
    let v = &s.velocity_change;
    let lost = |dv: f64, when: &str, t: f64| format!("{} m/s {when} ({})", fixed(dv, 2), ms(t));
    let mut parts = Vec::new();
    if let (Some(dv), Some(t)) = (v.at_release_mps, s.times.release_s) {
        parts.push(lost(dv, "at release", t));
    }
    if let (Some(dv), Some(t)) = (v.at_contact_end_mps, s.times.contact_end_s) {
        parts.push(lost(dv, counted_until(s), t));
    }
    let end = s.times.engagement_end_s;
    parts.push(lost(v.at_engagement_end_mps, "at the end", end));
    add("speed lost", parts.join(", "));
    add("occupant", occupant_in_words(s));
    let j = &s.joint;
    if !j.bolts.is_empty() {
        let (released, preload) = (released_in_words(s), preload_in_words(s));
        let rise = tension_rise_in_words(j);
        let text = format!("{released}; preload {preload}, {rise}");
        add("slip joint", text);
    }
    if let Some(r) = &s.retention {
        add("wind", wind_in_words(r));
    }
    let b = &s.books;
    let books = format!(
        "{}: energy {:.3} % (limit {:.1} %), momentum {:.4} % (limit {:.1} %)",
        if b.books_closed { "closed" } else { "OPEN" },
        100.0 * b.energy_residual_fraction,
        100.0 * b.energy_limit_fraction,
        100.0 * b.momentum_residual_fraction,
        100.0 * b.momentum_limit_fraction
    );
    add("books", books);
    match &s.flight {
        Some(f) => add("flight", flight_in_words(f)),
        None => add("record", s.record_basis.clone()),
    }
    let c = &s.contact;
    let contact = format!(
        "{:.1} kN at {}; crush {:.0} mm{}, dent {:.1} mm",
        1e-3 * c.peak_force_n,
        ms(c.peak_force_time_s),
        1e3 * c.peak_crush_m,
        crush_on_the_way(c),
        1e3 * c.dent_m
    );
    add("contact", contact);
    let pole = format!(
        "{:.0} kg; bending over plastic moment {:.2} at the foot, {:.2} at the contact",
        s.support.mass_kg, c.foot_moment_ratio, c.contact_moment_ratio
    );
    add("pole", pole);
    let assumed = format!("{} values left to their defaults", s.assumptions);
    add("assumed", assumed);
    list
}

/// Clamp, whether the base stands, and each grade: where it holds, how many times its pressure the base bears; where it
/// does not, what happens.
fn wind_in_words(r: &RetentionCheck) -> String {
    let grades: Vec<String> = (r.grades.iter())
        .map(|g| match g.margin_fraction {
            Some(m) if g.holds => format!(
                "{} holds, {:.2} times its pressure",
                wind_name(g.grade),
                1.0 + m
            ),
            _ => g.words(),
        })
        .collect();
    let stripped = if r.nut_strips {
        " at which a nut strips"
    } else {
        ""
    };
    let stands = if r.holds { "stands" } else { "DOES NOT STAND" };
    format!(
        "clamped by {:.1} kN{stripped}, the base {stands}; {}",
        1e-3 * r.clamp_n,
        grades.join("; ")
    )
}

/// What each installation condition does, worst first; at most [`CONDITIONS`] of them.
fn conditions(page: &mut Lines, s: &Summary) {
    let Some(worst) = s.conditions.first() else {
        return;
    };
    page.item(&format!(
        "Found on site, worst first: velocity change {} as found, {} with everything put right",
        worst.as_found.speed_in_words(),
        worst.all_put_right.speed_in_words()
    ));
    for finding in s.conditions.iter().take(CONDITIONS) {
        let right = &finding.if_put_right;
        let ending = match right.ending {
            Some(ending) if right.ending != finding.as_found.ending => {
                format!(" ({})", ending_in_words(ending))
            }
            _ => String::new(),
        };
        let told = format!(
            "{}: {} if put right{ending}, {} alone",
            finding.title,
            right.speed_in_words(),
            finding.alone.speed_in_words()
        );
        let lead = format!("  {:<4}", format!("{}.", finding.rank));
        page.hanging(&lead, &told);
    }
    if let left @ 1.. = s.conditions.len().saturating_sub(CONDITIONS) {
        let more = format!("{left} more conditions: see summary.json");
        page.hanging("      ", &more);
    }
}

/// A name in its column and what is said of it.
fn fact(page: &mut Lines, name: &str, text: &str) {
    page.text(&format!("  {name:<12}"), &" ".repeat(14), text);
}

/// The bolts' clamp as it was found: "31.2 kN", or "16.6 to 31.2 kN".
fn preload_in_words(s: &Summary) -> String {
    let forces = s.joint.bolts.iter().map(|b| b.preload_n);
    let (low, high) = forces.fold((f64::INFINITY, 0.0_f64), |(l, h), f| (l.min(f), h.max(f)));
    let [low, high] = [low, high].map(|f| format!("{:.1}", 1e-3 * f));
    if low == high {
        format!("{high} kN")
    } else {
        format!("{low} to {high} kN")
    }
}

fn occupant_in_words(s: &Summary) -> String {
    let flail = &s.occupant.flail;
    let mut parts = vec![format!(
        "impact velocity {} m/s along, {} m/s across{}",
        fixed(flail.oiv_longitudinal_mps, 2),
        fixed(flail.oiv_lateral_mps, 2),
        match flail.basis {
            VelocityBasis::FlailSpace => "",
            VelocityBasis::ContactVelocityChange => " (velocity change: no contact inside)",
        }
    )];
    match (flail.ridedown_status, &flail.ridedown_longitudinal) {
        (RidedownStatus::Evaluated, Some(peak)) => {
            parts.push(format!("ridedown {} g", fixed(peak.value_g, 1)));
        }
        (RidedownStatus::NoContact, _) => parts.push("ridedown: no contact".to_owned()),
        _ => parts.push("ridedown: record too short".to_owned()),
    }
    if let Some(thiv) = s.occupant.head.thiv_kmph {
        parts.push(format!("THIV {thiv:.1} km/h"));
    }
    if let Some(asi) = &s.occupant.asi_50ms_mean {
        parts.push(format!("ASI {:.2}", asi.asi));
    }
    parts.join(", ")
}
