//! Seen: in a study of pickups against a tight base 4 % of the runs failed with their energy book open by 0.5 to 1.3 % at every step
//! size, all of them with the shaft folded at its foot. Three pieces of work were missing or wrong on a plate that stands at a
//! slope: the moment of the forces in the slip plane on the hinge, the axis about which the hinge turns a plate that bending has
//! turned already, and the way that the plate makes under a bolt by tilting.
//! Expected: the books close, to a few parts in 1e5.

use super::{open, pickup};

/// 40 km/h at -10 degrees, the base holds: 1.10 % open. The friction of the bolts has a lever on a tilted plate.
#[test]
fn forces_in_the_slip_plane_turn_the_hinge_too() {
    let e = pickup([
        "pickup-2000",
        "-0.17453292519943295 rad",
        "11.11111111111111 m/s",
        "0.16903862868503042",
        "0.5077747121694876",
        "0.18437281802217498",
        "0.0455674976611582",
        "224.1776711201891 N.m",
        "0.2562873170799036 m",
    ]);
    assert!(e.fold.angle_rad > 0.3, "{}", e.fold.angle_rad);
    assert!(open(&e) < 1e-4, "{:e}", open(&e));
}

/// 80 km/h at -10 degrees: 0.85 % open, 0.76 % with the work of those forces alone. The hinge turned the plate about an axis that
/// the foot's bending had not turned along.
#[test]
fn the_hinge_turns_a_plate_that_bending_has_turned() {
    let e = pickup([
        "pickup-2000",
        "-0.17453292519943295 rad",
        "22.22222222222222 m/s",
        "0.17814192743354937",
        "0.45585600644177354",
        "0.4868721554887791",
        "0.06047740967007742",
        "148.50764555901645 N.m",
        "-0.2063876246968376 m",
    ]);
    assert!(e.fold.angle_rad > 1.0, "{}", e.fold.angle_rad);
    assert!(open(&e) < 1e-4, "{:e}", open(&e));
}

/// 60 km/h straight on, the base holds: 0.15 % open with the two above alone. Under a bolt that is left behind a tilting plate moves
/// sideways.
#[test]
fn a_tilting_plate_moves_under_its_bolts() {
    let e = pickup([
        "pickup-2000",
        "0 rad",
        "16.666666666666668 m/s",
        "0.192614785705161",
        "0.3631872550007277",
        "0.4602205102892788",
        "0.08700264953661582",
        "205.9663401671223 N.m",
        "0.31206369617533514 m",
    ]);
    assert!(e.fold.angle_rad > 1.0, "{}", e.fold.angle_rad);
    assert!(open(&e) < 1e-4, "{:e}", open(&e));
}
