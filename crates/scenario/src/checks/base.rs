//! Checks of the slip base: circle, notch, clamp, washers, keeper.

use giveway_units::{Dimension, shown_in};

use super::said::{mm, said};
use crate::diagnostic::Findings;
use crate::grammar;
use crate::model::Anchorage;
use crate::store::Store;

pub(super) fn base(store: &Store, findings: &mut Findings<'_>) {
    if store.word("slip_base.anchorage") != Some(Anchorage::Slip) {
        return;
    }
    let Some(d) = store.real("slip_base.bolt.diameter") else {
        return;
    };
    for (path, what) in [
        ("slip_base.washers.plate_diameter", "the plate washer"),
        ("slip_base.washers.round_diameter", "the round washer"),
    ] {
        if let Some(outer) = store.real(path)
            && outer <= d
        {
            findings.error(
                "S056",
                store.place(path),
                path,
                said(
                    format!("{what} is not wider than the bolt"),
                    mm(outer),
                    format!("more than {}", mm(d)),
                ),
            );
        }
    }
    if let Some(edge) = store.real("slip_base.keeper.edge_distance")
        && edge <= d / 2.0
        && store.flag("slip_base.keeper.present") == Some(true)
    {
        let path = "slip_base.keeper.edge_distance";
        findings.error(
            "S056",
            store.place(path),
            path,
            said(
                "the bolt hole breaks through the keeper's edge",
                mm(edge),
                format!("more than half a bolt diameter, {}", mm(d / 2.0)),
            ),
        );
    }
    circle(store, d, findings);
    notch(store, d, findings);
}

/// Bolts, pole and plate edge on the bolt circle.
fn circle(store: &Store, d: f64, findings: &mut Findings<'_>) {
    let path = "slip_base.bolt_circle";
    let (Some(circle), Some(count)) = (store.real(path), store.count("slip_base.bolts")) else {
        return;
    };
    let mut problem = |other: &str, message: String, allowed: String| {
        findings.error(
            "S053",
            store.place(path).max(store.place(other)),
            path,
            said(message, mm(circle), allowed),
        );
    };
    // Neighbours are 2 R sin(pi/n) apart; that is a chord of the circle's diameter times sin(pi/n).
    let sine = libm::sin(core::f64::consts::PI / count as f64);
    if let Some(washer) = store.real("slip_base.washers.plate_diameter")
        && circle * sine <= washer
    {
        problem(
            "slip_base.washers.plate_diameter",
            format!(
                "{count} plate washers of {} do not fit on the bolt circle",
                mm(washer)
            ),
            format!("more than {}", mm(washer / sine)),
        );
    }
    if let Some(pole) = store.real("support.pole.base_diameter")
        && circle - d <= pole
    {
        problem(
            "support.pole.base_diameter",
            format!("the bolts stand inside the pole of {}", mm(pole)),
            format!("more than {}", mm(pole + d)),
        );
    }
    if let Some(radius) = store.real("slip_base.plates.radius")
        && circle / 2.0 + d / 2.0 > radius
        // A radius that follows from the travel is the notch's matter.
        && store.given("slip_base.plates.radius")
    {
        problem(
            "slip_base.plates.radius",
            format!(
                "the bolts stand over the edge of a plate of radius {}",
                mm(radius)
            ),
            format!("at most {}", mm(2.0 * radius - d)),
        );
    }
}

/// Whether the notch can hold and free its bolt.
fn notch(store: &Store, d: f64, findings: &mut Findings<'_>) {
    let path = "slip_base.notch.travel";
    if let Some(travel) = store.real(path) {
        if travel < d / 2.0 {
            findings.error(
                "S054",
                store.place(path),
                path,
                said(
                    "the notch cannot hold the bolt: it is not half a bolt diameter deep",
                    mm(travel),
                    format!("at least {}, half a bolt diameter", mm(d / 2.0)),
                ),
            );
        }
        if let (Some(radius), Some(circle)) = (
            store.real("slip_base.plates.radius"),
            store.real("slip_base.bolt_circle"),
        ) {
            // Past the rim by a whole bolt diameter nothing is left to hold the bolt.
            let most = radius - circle / 2.0 + d;
            let holds_bolts = circle / 2.0 + d / 2.0 <= radius;
            if travel > most && holds_bolts {
                findings.error(
                    "S054",
                    store
                        .place(path)
                        .max(store.place("slip_base.plates.radius")),
                    path,
                    said(
                        "the notch is longer than the plate: its mouth lies beyond the rim",
                        mm(travel),
                        format!("at most {}", mm(most)),
                    ),
                );
            }
        }
    }
    span(store, d, findings);
    let angle_path = "slip_base.notch.included_angle";
    let (Some(angle), Some(friction)) = (
        store.real(angle_path),
        store.real("slip_base.friction.wall"),
    ) else {
        return;
    };
    // Locked where tan(beta) <= mu_w.
    if libm::tan(angle / 2.0) <= friction {
        findings.warning(
            "S502",
            store.place(angle_path),
            angle_path,
            said(
                "a bolt squeezed between two notch walls locks at this angle and wall friction: it would have to be sheared",
                format!("{} with mu_w = {friction}", shown_in(angle, Dimension::Angle, "deg", 4)),
                format!(
                    "more than {}",
                    shown_in(2.0 * libm::atan(friction), Dimension::Angle, "deg", 4)
                ),
            ),
        );
    }
}

/// Whether the bolt goes into its notch, and how much room it has there.
fn span(store: &Store, d: f64, findings: &mut Findings<'_>) {
    let path = "slip_base.notch.span";
    let Some(span) = store.real(path) else {
        return;
    };
    let place = store.place(path).max(store.place("slip_base.bolt.size"));
    let place = place.max(store.place("slip_base.bolt.diameter"));
    // A rounding of the unit is no clash.
    if span < d * (1.0 - 1e-9) {
        let message = "the notch is narrower than the bolt: it cannot be put over it";
        findings.error(
            "S054",
            place,
            path,
            said(
                message,
                mm(span),
                format!("at least {}, the bolt's diameter", mm(d)),
            ),
        );
    } else if span - d > d / 2.0 * (1.0 + 1e-9)
        // Wider ones were told already.
        && grammar::row(path).is_none_or(|row| span <= row.plausible.1)
    {
        let message = "the bolt has more room in its notch than half its diameter: so far it moves before a wall bears on it";
        findings.warning(
            "S508",
            place,
            path,
            said(
                message,
                format!("{}, a room of {}", mm(span), mm(span - d)),
                format!("usual: {} to {}", mm(d), mm(1.5 * d)),
            ),
        );
    }
}

pub(super) fn clamp(store: &Store, findings: &mut Findings<'_>) {
    let path = "slip_base.clamp.preload";
    let given = if store.has("slip_base.clamp.torque") {
        "slip_base.clamp.torque"
    } else {
        path
    };
    let (Some(preload), Some(area), Some(fy), Some(fu)) = (
        store.real(path),
        store.real("slip_base.bolt.stress_area"),
        store.real("slip_base.bolt.yield_strength"),
        store.real("slip_base.bolt.tensile_strength"),
    ) else {
        return;
    };
    let kn = |x| shown_in(x, Dimension::Force, "kN", 4);
    if preload > area * fu {
        findings.error(
            "S055",
            store.place(given),
            given,
            said(
                "the bolt breaks while it is tightened",
                format!("a preload of {}", kn(preload)),
                format!("at most {}, A_s F_u", kn(area * fu)),
            ),
        );
    } else if preload > area * fy {
        findings.warning(
            "S503",
            store.place(given),
            given,
            said(
                "the preload is above the bolt's yield",
                kn(preload),
                format!("usual: at most {}, A_s F_y", kn(area * fy)),
            ),
        );
    }
}
