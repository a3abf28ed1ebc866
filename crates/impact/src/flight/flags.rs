//! Findings of the flight, one word each, defined in `docs/results.md`.

use giveway_scenario::model::{Scenario, StripUse};

use super::outcome::{DentVerdict, Flight};
use crate::outcome::Flag;

/// All findings of a flight.
pub(crate) fn flags(s: &Scenario, flight: &Flight) -> Vec<Flag> {
    let mut out = Vec::new();
    let mut add = |word, sentence: String| out.push(Flag { word, sentence });
    let mm = |m: f64| format!("{:.0} mm", 1e3 * m);
    for (word, name, dent) in [
        ("roof", "roof", &flight.roof),
        ("windscreen", "windscreen", &flight.windscreen),
    ] {
        if matches!(dent.verdict, DentVerdict::Marginal | DentVerdict::Above) {
            let limit = mm(dent.limit_m);
            let than = match dent.verdict {
                DentVerdict::Above => format!("more than the {limit} allowed"),
                _ => format!("the {limit} allowed lie within that range"),
            };
            add(
                word,
                format!(
                    "The pole dents the {name} by about {} ({} to {}): {than}.",
                    mm(dent.remaining_m),
                    mm(dent.low_m),
                    mm(dent.high_m)
                ),
            );
        }
    }
    for (word, uses) in [
        ("lane", &[StripUse::Lane][..]),
        ("oncoming", &[StripUse::OppositeLane]),
        ("footway", &[StripUse::Footway, StripUse::CycleTrack]),
    ] {
        let strips = s.site.ground.strips.iter().zip(&flight.sweep.strips);
        let entered: Vec<String> = strips
            .filter(|(strip, reach)| uses.contains(&strip.used_by) && reach.entered)
            .map(|(strip, reach)| {
                let lies = if reach.remains_m.is_some() {
                    ", and comes to rest there"
                } else {
                    ""
                };
                format!("{}{lies}", strip.name)
            })
            .collect();
        if !entered.is_empty() {
            add(
                word,
                format!(
                    "Below head height the pole passes through: {}.",
                    entered.join("; ")
                ),
            );
        }
    }
    if flight.driven_over {
        add(
            "overrun",
            "The vehicle drives over the pole on the ground, which is not modelled.".to_owned(),
        );
    }
    if let Some(gap) = flight.stub_clearance_m.filter(|gap| *gap < 0.0) {
        add(
            "scraped",
            format!(
                "What stands at the base is {} higher than the vehicle's underside as it passes.",
                mm(-gap)
            ),
        );
    }
    out
}
