//! Numbers of a run in words and units that people use.

use giveway_impact::flight::outcome::Dent;
use giveway_impact::outcome::{BoltFate, BoltOutcome, Ending};
use giveway_occupant::{Check, Outcome};
use giveway_results::Summary;
use giveway_results::summary::Status;

/// A speed in km/h.
pub fn kmph(mps: f64) -> String {
    format!("{:.1} km/h", 3.6 * mps)
}

/// Speed that the car has lost when it is away from the pole, m/s; an error for a run whose books do not close.
pub fn lost_mps(s: &Summary) -> Result<f64, String> {
    if s.status != Status::Complete {
        return Err(format!("{}: the books do not close", s.title));
    }
    let v = &s.velocity_change;
    Ok(v.at_contact_end_mps.unwrap_or(v.at_engagement_end_mps))
}

/// What the car has lost.
pub fn loss(s: &Summary) -> Result<String, String> {
    let lost = lost_mps(s)?;
    let speed = s.impact.speed_mps;
    Ok(if lost > speed {
        format!(
            "all of its {:.0} km/h, and is thrown back at {} ({lost:.2} m/s in all)",
            3.6 * speed,
            kmph(lost - speed)
        )
    } else {
        format!("{} ({lost:.2} m/s)", kmph(lost))
    })
}

/// What the base did.
pub fn base(s: &Summary) -> String {
    let held: Vec<String> = s
        .joint
        .bolts
        .iter()
        .filter(|b| b.fate == BoltFate::Held)
        .map(|b| b.number.to_string())
        .collect();
    match (s.ending, s.times.release_s) {
        (Ending::Released, Some(t)) => format!("lets go after {}", ms(t)),
        (Ending::Held, _) if held.len() == s.joint.bolts.len() => "holds".to_owned(),
        (Ending::Held, _) if held.is_empty() => "is free, the foot is stopped".to_owned(),
        (Ending::Held, _) => format!("holds at bolt {}", held.join(" and ")),
        (Ending::TimeLimit, Some(t)) => {
            format!("lets go after {}; not over at the time limit", ms(t))
        }
        _ => "not over at the time limit".to_owned(),
    }
}

/// How each bolt left; bolts that did the same at the same time stand together.
pub fn bolts(s: &Summary) -> String {
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for bolt in &s.joint.bolts {
        let words = fate(bolt);
        match groups.iter_mut().find(|(w, _)| *w == words) {
            Some((_, numbers)) => numbers.push(bolt.number),
            None => groups.push((words, vec![bolt.number])),
        }
    }
    let parts: Vec<String> = groups
        .iter()
        .map(|(words, numbers)| format!("{}: {words}", listed(numbers)))
        .collect();
    parts.join("; ")
}

fn fate(b: &BoltOutcome) -> String {
    let what = match b.fate {
        BoltFate::Held => "still clamped",
        BoltFate::LeftLowerNotch => "taken along out of the lower notch",
        BoltFate::LeftUpperNotch => "left behind",
        BoltFate::SqueezedOut => "squeezed out",
        BoltFate::Sheared => "sheared off",
        BoltFate::Ruptured => "pulled apart",
        BoltFate::Stripped => "its nut stripped",
    };
    b.release_time_s
        .map_or_else(|| what.to_owned(), |t| format!("{what}, {}", ms(t)))
}

/// "1", "1 and 3", "1, 2 and 3".
pub fn listed(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    match words.as_slice() {
        [] => "none".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn is_dent(c: &&Check) -> bool {
    c.dent().is_some()
}

/// The governing verdict on the blow, without roof and windscreen, in one word, and what failed where it is not the speed
/// of the person.
pub fn verdict(s: &Summary) -> String {
    let word = s.verdicts.first().map_or("not judged", |v| v.blow().word());
    let other: Vec<String> = failing(s)
        .filter(|c| !c.key.starts_with("oiv_") && !is_dent(c))
        .map(Check::name)
        .collect();
    if other.is_empty() {
        word.to_owned()
    } else {
        format!("{word}: {}", other.join(", "))
    }
}

/// What the falling pole does to roof and windscreen, in one word: the worse of the two.
pub fn dents(s: &Summary) -> &'static str {
    let Some(flight) = &s.flight else {
        return "the pole stands";
    };
    let checks = s.verdicts.first().map_or(&[][..], |v| &v.checks);
    let of = |wanted: Outcome| checks.iter().filter(is_dent).any(|c| c.outcome == wanted);
    if of(Outcome::Fail) {
        "too deep"
    } else if of(Outcome::Marginal) {
        "open"
    } else if flight.event.roof.largest_m > 0.0 || flight.event.windscreen.largest_m > 0.0 {
        "within"
    } else {
        "not touched"
    }
}

/// The same with the dents: "open: 117 mm (83 to 165) and 87 mm (62 to 124)".
pub fn dents_at_length(s: &Summary) -> String {
    let word = dents(s);
    let Some(flight) = s.flight.as_ref().filter(|_| word != "not touched") else {
        return word.to_owned();
    };
    let one = |d: &Dent| {
        let mm = |m: f64| format!("{:.0}", 1e3 * m);
        format!(
            "{} mm ({} to {})",
            mm(d.remaining_m),
            mm(d.low_m),
            mm(d.high_m)
        )
    };
    let event = &flight.event;
    format!(
        "{word}: {} and {}",
        one(&event.roof),
        one(&event.windscreen)
    )
}

/// Checks of the governing document that fail.
pub fn failing(s: &Summary) -> impl Iterator<Item = &Check> {
    s.verdicts
        .first()
        .into_iter()
        .flat_map(|v| &v.checks)
        .filter(|c| c.outcome == Outcome::Fail)
}

/// Whether the clamped base stands in the wind.
pub fn wind(s: &Summary) -> &'static str {
    match s.retention.as_ref().map(|r| r.holds) {
        Some(true) => "stands",
        Some(false) => "**does not stand**",
        None => "not asked",
    }
}

/// Clamp of the bolts.
pub fn clamp(s: &Summary) -> String {
    let forces = s.joint.bolts.iter().map(|b| b.preload_n);
    let low = kn(forces.clone().fold(f64::INFINITY, f64::min));
    let high = kn(forces.fold(0.0, f64::max));
    if low == high {
        high
    } else {
        format!("{low} to {high}")
    }
}

/// Flag words, in their order.
pub fn flags(s: &Summary) -> String {
    let words: Vec<String> = s.flags.iter().map(|f| format!("`{}`", f.word)).collect();
    words.join(" ")
}

/// A time in whole milliseconds.
pub fn ms(s: f64) -> String {
    format!("{:.0} ms", 1e3 * s)
}

/// A length in whole millimetres.
pub fn mm(m: f64) -> String {
    format!("{:.0} mm", 1e3 * m)
}

/// A force in whole kilonewtons.
pub fn kn(n: f64) -> String {
    format!("{:.0} kN", 1e-3 * n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_lists() {
        assert_eq!(listed(&[1, 2, 3]), "1, 2 and 3");
        assert_eq!(listed(&[2]), "2");
    }
}
