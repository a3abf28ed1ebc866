//! Findings at the plates, the washers and the keeper.

use giveway_scenario::model::{KeeperFound, RoundWashers, Rust};

use super::findings::Findings;
use super::phrase::{degrees, kn};
use crate::found::BaseLaw;
use crate::state::Run;

/// Slope of a dished plate washer from which it is worth a word, tan(0.1 degrees): below, climbing it takes less than a
/// fiftieth of what friction of 0.1 takes.
const DISH_SLOPE: f64 = 0.001_745;

/// Round washers, plate washers and keeper.
pub(super) fn of_plates(out: &mut Findings, run: &Run<'_>, base: &BaseLaw) {
    let site = &run.p.designed.as_found;
    match site.round_washers {
        RoundWashers::Between => {}
        RoundWashers::AboveKeeper => out.add(
            "marginal",
            "The round washers lie above the keeper: the keeper is clamped on the lower plate. The computed motion takes no account of it.".to_owned(),
        ),
        RoundWashers::Missing { plate_friction } => out.add(
            "mates",
            format!("Round washers are missing: the plates rub on each other over their whole face (friction {plate_friction:.2}) and go on rubbing at the notch mouths."),
        ),
    }
    let dished: Vec<f64> = base
        .bolts
        .iter()
        .filter_map(|l| l.faults.map(|f| f.dish_slope))
        .filter(|slope| *slope >= DISH_SLOPE)
        .collect();
    if let Some(slope) = dished.iter().copied().reduce(f64::max) {
        out.add(
            "dishes",
            format!(
                "The plate washers ({:.1} mm) yield over the notch at the clamp and dish by {:.1} degrees; every bolt must climb out of them.",
                1e3 * run.p.scenario.base.plate_washer_m,
                libm::atan(slope).to_degrees()
            ),
        );
    }
    match site.keeper {
        KeeperFound::AsDesigned => {}
        KeeperFound::Missing => {
            if run.p.designed.base.keeper.is_some() {
                out.add(
                    "unkept",
                    "The keeper sheet is missing: nothing but friction keeps the bolts from walking out in the wind.".to_owned(),
                );
            }
        }
        KeeperFound::Thickness(t) => {
            if let Some(k) = &run.p.designed.base.keeper
                && t > k.thickness_m
            {
                let force = base.bolts.first().map_or(0.0, |l| l.keeper_tear);
                out.add(
                    "tears",
                    format!(
                        "The keeper sheet is {:.2} mm thick instead of {:.2} mm: it takes {} at each bolt to tear it.",
                        1e3 * t,
                        1e3 * k.thickness_m,
                        kn(force)
                    ),
                );
            }
        }
    }
}

/// Rust and the turned pattern.
pub(super) fn of_rust_and_turn(out: &mut Findings, run: &Run<'_>) {
    let site = &run.p.designed.as_found;
    if site.rust != Rust::None {
        out.add(
            "seized",
            format!(
                "Rust between plates, washers and bolts: every friction is at least {:.2}.",
                site.rust.least_friction()
            ),
        );
    }
    if site.turned_rad != 0.0 {
        let side = if site.turned_rad > 0.0 {
            "anticlockwise"
        } else {
            "clockwise"
        };
        out.add(
            "turned",
            format!(
                "The bolt pattern is turned by {} {side} from the design, seen from above.",
                degrees(site.turned_rad)
            ),
        );
    }
}
