//! Places in texts, `{velocity_change}` or `{1.velocity_change}` for that of case 1, and the computed values for them.

use giveway_impact::outcome::Ending;
use giveway_occupant::{Blow, Outcome};
use giveway_results::Summary;

use giveway_units::{System, spoken};

use super::words::Words;
use crate::page::released;

/// Names of the values that a text may ask for.
pub const PLACES: [&str; 19] = [
    "speed",
    "velocity_change",
    "velocity_change_mps",
    "share",
    "more",
    "impact_velocity",
    "peak_force",
    "crush",
    "release",
    "contact_end",
    "base",
    "verdict",
    "document",
    "preload",
    "bolts",
    "bolts_out",
    "wind",
    "force_ratio",
    "vehicle_mass",
];

/// A piece of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    Plain(String),
    Value(String),
}

/// Cuts a text of case `own` (from 0) at its places.
///
/// # Errors
/// A place that is not known, or a brace without its partner.
pub fn pieces(
    text: &str,
    own: usize,
    cases: &[&Summary],
    words: &Words,
    system: System,
) -> Result<Vec<Piece>, String> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find(['{', '}']) {
        let (plain, from) = rest.split_at(open);
        if !plain.is_empty() {
            pieces.push(Piece::Plain(spoken(plain, system)));
        }
        let inner = from
            .strip_prefix('{')
            .and_then(|f| f.split_once('}'))
            .filter(|(name, _)| !name.contains('{'));
        let Some((name, after)) = inner else {
            let text = text.escape_debug();
            return Err(format!("`{text}`: a brace without its partner"));
        };
        let value = value(name.trim(), own, cases, words)?;
        pieces.push(Piece::Value(spoken(&value, system)));
        rest = after;
    }
    if !rest.is_empty() {
        pieces.push(Piece::Plain(spoken(rest, system)));
    }
    Ok(pieces)
}

/// The value of a place.
fn value(name: &str, own: usize, cases: &[&Summary], words: &Words) -> Result<String, String> {
    let unknown = || {
        format!(
            "there is no value `{{{}}}`; there are {}; `{{1.speed}}` is that of case 1",
            name.escape_debug(),
            PLACES.join(", ")
        )
    };
    let (case, name) = match name.split_once('.') {
        Some((number, name)) => {
            let number: usize = number.parse().map_err(|_| unknown())?;
            (number.wrapping_sub(1), name)
        }
        None => (own, name),
    };
    let s = cases.get(case).ok_or_else(unknown)?;
    let or = |value: Option<String>| value.unwrap_or_else(|| words.unknown.clone());
    let never = || words.never.clone();
    let lost = velocity_change(s);
    Ok(match name {
        "speed" => kmph(s.impact.speed_mps),
        "velocity_change" => kmph(lost),
        "velocity_change_mps" => format!("{lost:.2} m/s"),
        "share" => format!("{:.0} %", 100.0 * lost / s.impact.speed_mps),
        "more" => kmph(lost - velocity_change(cases[0])),
        "impact_velocity" => format!("{:.2} m/s", s.occupant.flail.oiv_longitudinal_mps.abs()),
        "peak_force" => kilonewton(s.contact.peak_force_n),
        "force_ratio" => {
            let first = cases[0].contact.peak_force_n;
            or((first > 0.0).then(|| format!("{:.1}", s.contact.peak_force_n / first)))
        }
        "crush" => format!("{:.0} mm", 1e3 * s.contact.peak_crush_m),
        "release" => s.times.release_s.map_or_else(never, ms),
        "contact_end" => s.times.contact_end_s.map_or_else(never, ms),
        "base" => ending(s.ending, words).to_owned(),
        "verdict" => verdict(s.blow(), words).to_owned(),
        "document" => or(s.headline.document.clone()),
        "preload" => kilonewton(s.impact.preload_n),
        "bolts" => s.impact.bolt_count.to_string(),
        "bolts_out" => {
            let (part, all) = (released(&s.joint), s.joint.bolts.len());
            let of = words.of.replace("{part}", &part.to_string());
            of.replace("{all}", &all.to_string())
        }
        "wind" => or(stands(s, words).cloned()),
        "vehicle_mass" => format!("{:.0} kg", s.impact.vehicle_mass_kg),
        _ => return Err(unknown()),
    })
}

/// Whether the clamped base stands in the wind, in the words of the language.
pub fn stands<'w>(s: &Summary, words: &'w Words) -> Option<&'w String> {
    let r = s.retention.as_ref()?;
    let stands = r.holds && !r.nut_strips;
    Some(if stands {
        &words.stands
    } else {
        &words.does_not_stand
    })
}

/// Speed lost when the pole is away from the car, m/s.
pub fn velocity_change(s: &Summary) -> f64 {
    let v = &s.velocity_change;
    v.at_contact_end_mps.unwrap_or(v.at_engagement_end_mps)
}

/// What is said of roof and windscreen; none where the pole does not come down on the car.
pub fn dents<'w>(s: &Summary, words: &'w Words) -> Option<&'w str> {
    let event = &s.flight.as_ref()?.event;
    let of_dents = s.dents();
    let any = |wanted: Outcome| of_dents.iter().any(|dent| dent.outcome == wanted);
    if any(Outcome::Fail) {
        Some(&words.dents_deep)
    } else if any(Outcome::Marginal) {
        Some(&words.dents_open)
    } else {
        (event.roof.largest_m > 0.0 || event.windscreen.largest_m > 0.0)
            .then_some(&words.dents_within)
    }
}

/// A speed: `5 km/h`, `9.6 km/h`.
pub fn kmph(speed_mps: f64) -> String {
    let speed = 3.6 * speed_mps;
    if (speed - speed.round()).abs() < 0.05 {
        format!("{speed:.0} km/h")
    } else {
        format!("{speed:.1} km/h")
    }
}

fn kilonewton(force_n: f64) -> String {
    format!("{:.0} kN", 1e-3 * force_n)
}

fn ms(time_s: f64) -> String {
    format!("{:.0} ms", 1e3 * time_s)
}

/// How the base behaved, in the words of the language.
pub fn ending(ending: Ending, words: &Words) -> &str {
    match ending {
        Ending::Released => &words.released,
        Ending::Held => &words.held,
        Ending::NoContact => &words.no_contact,
        Ending::FixedObstacle => &words.fixed_obstacle,
        Ending::TimeLimit => &words.time_limit,
    }
}

/// The verdict of the blow in the words of the language.
pub fn verdict(blow: Blow, words: &Words) -> &str {
    match blow {
        Blow::Undecided => &words.undecided,
        other => outcome(other.outcome(), words),
    }
}

/// An outcome in the words of the language.
fn outcome(outcome: Outcome, words: &Words) -> &str {
    match outcome {
        Outcome::Pass => &words.pass,
        Outcome::Marginal => &words.marginal,
        Outcome::Fail => &words.fail,
        Outcome::NotEvaluated => &words.not_evaluated,
    }
}
