//! What the contact engine would do silently, each guarded.

use nalgebra::Vector3;

use super::ground::Terrain;
use super::piece::Piece;
use super::tests::{bare, prepared, set_spin};
use super::world::World;
use crate::error::ImpactError;

/// The pole of the first scenario 100 m up, and a world without anything near it.
fn high() -> (Terrain, Piece) {
    let p = prepared(&[]);
    let mut piece = Piece::whole(&p, None).expect("a piece");
    piece.x = Vector3::new(0.0, 0.0, 100.0);
    (Terrain::new(p.scenario()), piece)
}

fn steps(world: &mut World, piece: Piece, count: usize, dt: f64) -> Result<Piece, ImpactError> {
    let mut pieces = [piece];
    for _ in 0..count {
        world.step(&mut pieces, &[true], false, dt, 0.0)?;
    }
    let [piece] = pieces;
    Ok(piece)
}

#[test]
fn speed_and_spin_are_not_cut() {
    // A bare pole turns about its axis without precession.
    let p = bare(&[]);
    let mut piece = Piece::whole(&p, None).expect("a piece");
    let terrain = Terrain::new(p.scenario());
    piece.x = Vector3::new(0.0, 0.0, 100.0);
    piece.v = Vector3::new(900.0, 0.0, 0.0);
    set_spin(&mut piece, Vector3::new(0.0, 0.0, 90.0));
    let spin = piece.spin.momentum;
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    let after = steps(&mut world, piece, 20, 1.0 / 60.0).unwrap();
    assert!((after.v.x - 900.0).abs() < 1e-9, "{}", after.v.x);
    // About 47 rad/s would be left of 90.
    let off = (after.spin.momentum - spin).norm() / spin.norm();
    // About 47 rad/s would be left of 90.
    assert!(off < 1e-6, "{off}");
}

#[test]
fn what_is_not_a_number_is_an_error() {
    let (terrain, mut piece) = high();
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    piece.v.x = f64::NAN;
    assert!(matches!(
        steps(&mut world, piece, 1, 1e-3),
        Err(ImpactError::NotFinite { .. })
    ));
}

#[test]
fn slow_bodies_do_not_fall_asleep() {
    let (terrain, mut piece) = high();
    piece.v = Vector3::new(1e-4, 0.0, 0.0);
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    let x = piece.x.x;
    let after = steps(&mut world, piece, 5000, 1e-3).unwrap();
    assert!((after.x.x - x - 5e-4).abs() < 1e-9);
    assert!((after.v.x - 1e-4).abs() < 1e-15);
}

#[test]
fn the_full_inertia_counts_and_the_angular_momentum_keeps_its_direction() {
    let (terrain, mut piece) = high();
    set_spin(&mut piece, Vector3::new(0.4, 2.0, 0.7));
    let before = piece.clone();
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    let after = steps(&mut world, piece, 1000, 1e-3).unwrap();
    // Without gyroscopic forces the direction would be off by half.
    let off = (after.spin.momentum - before.spin.momentum).norm() / before.spin.momentum.norm();
    assert!(off < 2e-3, "{off}");
    let lost = (after.kinetic() - before.kinetic()) / before.kinetic();
    assert!(lost.abs() < 2e-3, "{lost}");
}

#[test]
fn a_body_keeps_its_state_when_it_goes_in_and_out() {
    let (terrain, mut piece) = high();
    piece.v = Vector3::new(3.0, -1.0, 2.0);
    set_spin(&mut piece, Vector3::new(0.4, 2.0, 0.7));
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    let mut pieces = [piece];
    for i in 0..40 {
        let before = pieces[0].clone();
        let near = i % 3 != 0;
        if near {
            world.step(&mut pieces, &[true], false, 1e-3, 0.0).unwrap();
        } else {
            world.step(&mut pieces, &[false], false, 1e-3, 0.0).unwrap();
            pieces[0].drift(1e-3);
        }
        let moved = pieces[0].x - before.x - before.v * 1e-3;
        assert!(moved.norm() < 1e-12, "step {i}: {}", moved.norm());
        let turned = (pieces[0].spin.momentum - before.spin.momentum).norm();
        assert!(
            turned < 1e-4 * before.spin.momentum.norm(),
            "step {i}: {turned}"
        );
    }
}

/// The pole lies flat above the ground and falls: what the engine's contacts report is what the pole's momentum
/// changes by, and nothing bounces.
#[test]
fn reported_impulses_are_changes_of_momentum_and_nothing_bounces() {
    let p = prepared(&[]);
    let mut piece = Piece::whole(&p, None).expect("a piece");
    let terrain = Terrain::new(p.scenario());
    super::tests::lay_flat(&mut piece, Vector3::new(30.0, 0.0, 0.5));
    let mut world = World::new(&terrain, std::slice::from_ref(&piece));
    let mut pieces = [piece];
    let (mut reported, mut changed, mut fastest) = (0.0, 0.0, 0.0_f64);
    for _ in 0..1500 {
        pieces[0].v.z -= 9.806_65e-3;
        let before = pieces[0].v.z;
        world.step(&mut pieces, &[true], false, 1e-3, 0.0).unwrap();
        changed += (pieces[0].v.z - before) * pieces[0].mass;
        reported += world.reported_impulse(0).z;
        fastest = fastest.max(pieces[0].v.z);
    }
    assert!(
        (reported - changed).abs() < 0.02 * changed,
        "{reported} against {changed}"
    );
    assert!(fastest < 0.4, "{fastest}");
}
