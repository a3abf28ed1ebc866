//! Events, bolts and numbers of a replay in words.

use giveway_impact::flight::outcome::{FlightEnding, Part, Zone};
use giveway_impact::outcome::{BoltFate, Engagement};
use giveway_occupant::Blow;

use super::model::{BoltEnd, Event, ReplayHeadline, ReplayNumber};
use crate::Summary;

/// The governing document's verdict.
pub(super) fn headline(summary: &Summary) -> ReplayHeadline {
    let h = &summary.headline;
    let outcome = match summary.blow() {
        Blow::NotEvaluated if h.set.is_none() => "none",
        blow => blow.key(),
    };
    ReplayHeadline {
        outcome: outcome.to_owned(),
        sentence: h.sentence.clone(),
    }
}

/// A few numbers for a caption.
pub(super) fn numbers(summary: &Summary) -> Vec<ReplayNumber> {
    let flail = &summary.occupant.flail;
    let change = &summary.velocity_change;
    let roof = summary.flight.as_ref().map(|f| f.event.roof.remaining_m);
    let release = summary.times.release_s;
    [
        ("speed", Some(3.6 * summary.impact.speed_mps), "km/h"),
        ("velocity change", Some(change.at_engagement_end_mps), "m/s"),
        (
            "occupant impact velocity",
            Some(flail.oiv_longitudinal_mps),
            "m/s",
        ),
        (
            "largest contact force",
            Some(1e-3 * summary.contact.peak_force_n),
            "kN",
        ),
        (
            "largest crush",
            Some(1e3 * summary.contact.peak_crush_m),
            "mm",
        ),
        (
            "plates slide from",
            summary.times.slip_onset_s.map(|t| 1e3 * t),
            "ms",
        ),
        ("last bolt free", release.map(|t| 1e3 * t), "ms"),
        ("roof dent", roof.map(|d| 1e3 * d), "mm"),
    ]
    .into_iter()
    .filter_map(|(name, value, unit)| {
        Some(ReplayNumber {
            name: name.to_owned(),
            value: value?,
            unit: unit.to_owned(),
        })
    })
    .collect()
}

/// Instants with a name, in order.
pub(super) fn events(e: &Engagement) -> Vec<Event> {
    let mut out = Vec::new();
    let mut add = |time_s: f64, label: String, bolt: Option<usize>| {
        out.push(Event {
            time_s,
            label,
            bolt,
        });
    };
    let touched = e.peak_force_n > 0.0;
    if touched {
        add(0.0, "first touch".to_owned(), None);
        add(e.peak_force_time_s, "largest force".to_owned(), None);
    }
    if let Some(time) = e.slip_onset_time_s {
        add(time, "the plates begin to slide".to_owned(), None);
    }
    for bolt in &e.bolts {
        if let Some(time) = bolt.release_time_s {
            add(
                time,
                format!("bolt {} {}", bolt.number, verb(bolt.fate)),
                Some(bolt.number),
            );
        }
    }
    if let Some(time) = e.fold.since_s {
        add(
            time,
            "the shaft begins to fold at its foot".to_owned(),
            None,
        );
    }
    if let Some(time) = e.kink.since_s {
        add(
            time,
            "the shaft begins to kink where it is struck".to_owned(),
            None,
        );
    }
    if let Some(time) = e.contact_end_time_s.filter(|_| touched) {
        let text = if e.occupant_met_time_s == Some(time) {
            "the occupant has met the interior"
        } else {
            "the struck face lets go of the pole"
        };
        add(time, text.to_owned(), None);
    }
    add(e.end_time_s, "end of the engagement".to_owned(), None);
    if let Some(flight) = &e.flight {
        for c in &flight.contacts {
            let text = format!("{} meets {}", part(c.part), zone(c.zone));
            add(c.time_s, text, None);
        }
        if let Some(time) = flight.arms_off_s {
            add(time, "the arms break off".to_owned(), None);
        }
        let text = match flight.ending {
            FlightEnding::AtRest => "the pole lies still",
            FlightEnding::TimeLimit => "end of what is followed",
        };
        add(flight.end_time_s, text.to_owned(), None);
    }
    out.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    out
}

fn part(part: Part) -> &'static str {
    match part {
        Part::Pole => "the pole",
        Part::Arm => "the arm",
        Part::Luminaire => "the luminaire",
        Part::Plate => "the upper plate",
    }
}

fn zone(zone: Zone) -> &'static str {
    match zone {
        Zone::Face => "the struck face again",
        Zone::Bonnet => "the bonnet",
        Zone::Windscreen => "the windscreen",
        Zone::Roof => "the roof",
        Zone::RearWindow => "the rear window",
        Zone::Deck => "the deck",
        Zone::Ground => "the ground",
        Zone::Stub => "the lower plate",
    }
}

/// What became of each bolt.
pub(super) fn bolts(e: &Engagement) -> Vec<BoltEnd> {
    e.bolts
        .iter()
        .map(|b| BoltEnd {
            number: b.number,
            fate: word(b.fate).to_owned(),
            release_time_s: b.release_time_s,
            words: match b.release_time_s {
                Some(time) => format!("{} at {:.0} ms", verb(b.fate), 1e3 * time),
                None => "stays clamped".to_owned(),
            },
        })
        .collect()
}

fn word(fate: BoltFate) -> &'static str {
    match fate {
        BoltFate::Held => "held",
        BoltFate::LeftLowerNotch => "left-lower-notch",
        BoltFate::LeftUpperNotch => "left-upper-notch",
        BoltFate::SqueezedOut => "squeezed-out",
        BoltFate::Sheared => "sheared",
        BoltFate::Ruptured => "ruptured",
        BoltFate::Stripped => "stripped",
    }
}

fn verb(fate: BoltFate) -> &'static str {
    match fate {
        BoltFate::Held => "stays clamped",
        BoltFate::LeftLowerNotch => "leaves the lower notch",
        BoltFate::LeftUpperNotch => "leaves the upper notch",
        BoltFate::SqueezedOut => "is squeezed out of both notches",
        BoltFate::Sheared => "is sheared off",
        BoltFate::Ruptured => "is pulled apart",
        BoltFate::Stripped => "loses its nut: the threads strip",
    }
}
