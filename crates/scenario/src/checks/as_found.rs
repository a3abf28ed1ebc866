//! Checks of the findings on site against the design and against each other.

use giveway_units::{Dimension, shown_in};

use super::said::{mm, said};
use crate::diagnostic::{Findings, Place};
use crate::grammar;
use crate::model::{Anchorage, Threads};
use crate::store::Store;
use crate::words::KeeperWord;

pub(super) fn as_found(store: &Store, findings: &mut Findings<'_>) {
    fixed(store, findings);
    for path in ["as_found.grout.bolts", "as_found.lump.bolts"] {
        bolt_numbers(store, path, findings);
    }
    torques(store, findings);
    clamp(store, findings);
    conduit(store, findings);
    keeper(store, findings);
    nut(store, findings);
    soil(store, findings);
}

/// An obstacle without a joint has no findings. A warning, not an error: the same file is run with a fixed
/// anchorage to see what a base that never lets go would do.
fn fixed(store: &Store, findings: &mut Findings<'_>) {
    if store.word("slip_base.anchorage") != Some(Anchorage::Fixed) {
        return;
    }
    let first = grammar::rows()
        .filter(|row| row.path.starts_with("as_found."))
        .flat_map(|row| store.expand(row.path))
        .filter(|path| store.given(path))
        .map(|path| store.place(&path))
        .min();
    if let Some(place) = first {
        findings.warning(
            "S506",
            place,
            "as_found",
            said(
                "the findings on site are not used: a fixed obstacle has no joint",
                "slip_base.anchorage = \"fixed\"",
                "findings with a slip base",
            ),
        );
    }
}

fn bolt_numbers(store: &Store, path: &str, findings: &mut Findings<'_>) {
    let (Some(numbers), Some(count)) = (store.counts(path), store.count("slip_base.bolts")) else {
        return;
    };
    let place = store.place(path).max(store.place("slip_base.bolts"));
    if let Some(beyond) = numbers.iter().find(|&&n| n > count) {
        findings.error(
            "S070",
            place,
            path,
            said(
                format!("there is no bolt {beyond}"),
                beyond.to_string(),
                format!("1 to {count}, the bolts of the base"),
            ),
        );
        return;
    }
    let twice = numbers
        .iter()
        .enumerate()
        .find(|(i, n)| numbers[..*i].contains(n));
    if let Some((_, number)) = twice {
        findings.error(
            "S070",
            place,
            path,
            said(
                format!("bolt {number} is named twice"),
                number.to_string(),
                "each bolt once",
            ),
        );
    }
}

fn torques(store: &Store, findings: &mut Findings<'_>) {
    let path = "as_found.torques";
    let (Some(torques), Some(count)) = (store.reals(path), store.count("slip_base.bolts")) else {
        return;
    };
    if torques.len() != 1 && torques.len() != count {
        findings.error(
            "S071",
            store.place(path).max(store.place("slip_base.bolts")),
            path,
            said(
                format!("there are {} torques for {count} bolts", torques.len()),
                torques.len().to_string(),
                format!("1 for all bolts, or {count}"),
            ),
        );
    }
}

/// Preload that follows from torque and threads as found, against the bolt's strength.
fn clamp(store: &Store, findings: &mut Findings<'_>) {
    let torques = store.reals("as_found.torques");
    let threads: Threads = store.word("as_found.threads").unwrap_or_default();
    if torques.is_none() && threads == Threads::AsDesigned {
        return;
    }
    let (Some(nut_factor), Some(relaxation), Some(d), Some(area), Some(fy), Some(fu)) = (
        store.real("slip_base.clamp.nut_factor"),
        store.real("slip_base.clamp.relaxation"),
        store.real("slip_base.bolt.diameter"),
        store.real("slip_base.bolt.stress_area"),
        store.real("slip_base.bolt.yield_strength"),
        store.real("slip_base.bolt.tensile_strength"),
    ) else {
        return;
    };
    let found_factor = threads.nut_factor().unwrap_or(nut_factor);
    let greatest = torques.map(|t| t.iter().copied().fold(0.0, f64::max));
    let preload = match greatest {
        // F_p = (1 - r) T / (K d)
        Some(torque) => (1.0 - relaxation) * torque / (found_factor * d),
        // The design's torque on threads of another nut factor.
        None => match store.real("slip_base.clamp.preload") {
            Some(designed) => designed * nut_factor / found_factor,
            None => return,
        },
    };
    let path = if torques.is_some() {
        "as_found.torques"
    } else {
        "as_found.threads"
    };
    let kn = |x| shown_in(x, Dimension::Force, "kN", 4);
    if preload > area * fu {
        findings.error(
            "S055",
            store.place(path),
            path,
            said(
                "the bolt would have broken while it was tightened",
                format!("a preload of {}", kn(preload)),
                format!("at most {}, A_s F_u", kn(area * fu)),
            ),
        );
    } else if preload > area * fy {
        findings.warning(
            "S503",
            store.place(path),
            path,
            said(
                "the preload as found is above the bolt's yield",
                kn(preload),
                format!("usual: at most {}, A_s F_y", kn(area * fy)),
            ),
        );
    }
}

fn conduit(store: &Store, findings: &mut Findings<'_>) {
    let path = "as_found.conduit.wall";
    let (Some(wall), Some(diameter)) = (store.real(path), store.real("as_found.conduit.diameter"))
    else {
        return;
    };
    if 2.0 * wall >= diameter {
        findings.error(
            "S050",
            store
                .place(path)
                .max(store.place("as_found.conduit.diameter")),
            path,
            said(
                "the conduit's wall is thicker than its radius",
                mm(wall),
                format!("less than {}", mm(diameter / 2.0)),
            ),
        );
    }
}

/// A keeper that the design does not have can neither be missing nor be of another thickness.
fn keeper(store: &Store, findings: &mut Findings<'_>) {
    if store.flag("slip_base.keeper.present") != Some(false) {
        return;
    }
    let path = if store.has("as_found.keeper_thickness") {
        "as_found.keeper_thickness"
    } else if store.word("as_found.keeper") == Some(KeeperWord::Missing) {
        "as_found.keeper"
    } else {
        return;
    };
    let place: Place = store
        .place(path)
        .max(store.place("slip_base.keeper.present"));
    findings.error(
        "S072",
        place,
        path,
        said(
            "the design has no keeper sheet to compare this finding with",
            "slip_base.keeper.present = false",
            "a design with a keeper sheet, or no finding about it",
        ),
    );
}

fn nut(store: &Store, findings: &mut Findings<'_>) {
    let path = "as_found.engaged_threads";
    let (Some(engaged), Some(height), Some(pitch)) = (
        store.real(path),
        store.real("slip_base.bolt.nut_height"),
        store.real("slip_base.bolt.pitch"),
    ) else {
        return;
    };
    let whole = height / pitch;
    // Threads are counted whole.
    if engaged > libm::ceil(whole) {
        findings.warning(
            "S507",
            store.place(path),
            path,
            said(
                "the nut has fewer threads than are said to be engaged",
                giveway_units::shown(engaged, 4),
                format!(
                    "at most {}: a nut of {} with a pitch of {}",
                    giveway_units::shown(whole, 3),
                    mm(height),
                    mm(pitch)
                ),
            ),
        );
    }
}

fn soil(store: &Store, findings: &mut Findings<'_>) {
    let path = "as_found.soil.slope";
    let (Some(slope), Some(friction), Some(cohesion)) = (
        store.real(path),
        store.real("as_found.soil.friction_angle"),
        store.real("as_found.soil.cohesion"),
    ) else {
        return;
    };
    if cohesion == 0.0 && slope.abs() > friction {
        let deg = |x| shown_in(x, Dimension::Angle, "deg", 4);
        findings.error(
            "S073",
            store
                .place(path)
                .max(store.place("as_found.soil.friction_angle")),
            path,
            said(
                "soil without cohesion does not stand steeper than its angle of friction",
                deg(slope),
                format!(
                    "at most {}, the angle of friction; or a cohesion",
                    deg(friction)
                ),
            ),
        );
    }
}
