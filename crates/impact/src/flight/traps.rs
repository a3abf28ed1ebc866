//! What the contact engine would do silently, each guarded.

use nalgebra::Vector3;

use super::ground::Terrain;
use super::lying::{Touches, step};
use super::piece::Piece;
use super::tests::{bare, prepared, set_spin};
use super::world::World;
use crate::error::ImpactError;

/// The pole of the first scenario 100 m up, and a world without anything near it.
fn high() -> (Terrain, Piece) {
    let p = prepared(&[]);
    let mut piece = Piece::whole(&p, None).expect("a piece");
    piece.x = Vector3::new(0.0, 0.0, 100.0);
    piece.place_rods();
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

/// One step of a piece by itself, as if it had just come down.
fn lie(piece: &mut Piece, terrain: &Terrain, at_stub: bool, gravity: f64, dt: f64) {
    let touches = &mut Touches::default();
    step(piece, terrain, at_stub, gravity, dt, touches);
}

#[test]
fn speed_and_spin_are_not_cut() {
    // A bare pole turns about its axis without precession.
    let p = bare(&[]);
    let mut piece = Piece::whole(&p, None).expect("a piece");
    let terrain = Terrain::new(p.scenario());
    piece.x = Vector3::new(0.0, 0.0, 100.0);
    piece.place_rods();
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

/// A leaning pole comes down on its foot, slides, falls over and lies still: the contact engine at a small step and the few points
/// of `lying` bring it to the same place, and take the same energy on the way, whether their rounds begin with the last step's forces
/// or with none.
#[test]
fn the_few_points_do_what_the_engine_does() {
    let p = prepared(&[("site.slip_plane_height", "0 mm")]);
    let terrain = Terrain::new(p.scenario());
    let mut start = Piece::whole(&p, None).expect("a piece");
    start.x = Vector3::new(20.0, 0.0, 6.0);
    start.v = Vector3::new(3.0, 0.5, -1.0);
    // Leaning back by 30 degrees and turned a little.
    let lean =
        giveway_mechanics::attitude::Attitude::identity().rotated_by(&Vector3::new(0.1, -0.5, 0.3));
    start.spin.attitude = lean;
    start.spin.rotation = lean.matrix();
    start.place_rods();
    set_spin(&mut start, Vector3::new(0.0, 0.3, 0.0));
    let g = 9.806_65;
    let mut world = World::new(&terrain, std::slice::from_ref(&start));
    let mut run = |dt: f64, [engine, anew]: [bool; 2]| {
        let mut pieces = [start.clone()];
        let mut touches = Touches::default();
        let mut half = None;
        for i in 0..(6.0 / dt).round() as usize {
            pieces[0].v.z -= g * dt;
            if engine {
                world.step(&mut pieces, &[true], false, dt, 0.0).unwrap();
            } else {
                if anew {
                    touches.forget();
                }
                step(&mut pieces[0], &terrain, false, g, dt, &mut touches);
            }
            if i == (3.0 / dt).round() as usize {
                half = Some(pieces[0].clone());
            }
        }
        let [end] = pieces;
        (half.expect("3 s"), end)
    };
    let engine = run(2e-4, [true, false]);
    let (points, anew) = (run(2e-3, [false; 2]), run(2e-3, [false, true]));
    for (a, b, room) in [
        (&engine.0, &points.0, 0.05),
        (&engine.1, &points.1, 0.3),
        (&anew.0, &points.0, 0.001),
        (&anew.1, &points.1, 0.02),
    ] {
        assert!((a.x - b.x).norm() < room, "{} against {}", a.x, b.x);
        let (ka, kb) = (a.kinetic(), b.kinetic());
        assert!((ka - kb).abs() < 0.05 * ka + 1.0, "{ka} against {kb}");
    }
    assert!(
        points.1.kinetic() < 1.0 && points.1.x.z < 0.4,
        "{} {}",
        points.1.kinetic(),
        points.1.x
    );
}

/// A pole that is laid across the stub lies on it, level, and stays.
#[test]
fn a_pole_lies_across_the_stub() {
    let p = bare(&[]);
    let terrain = Terrain::new(p.scenario());
    let mut piece = Piece::whole(&p, None).expect("a piece");
    piece.disc = None;
    let top = terrain.stub_height;
    super::tests::lay_flat(&mut piece, Vector3::new(0.5, 0.0, top + 0.15));
    let before = piece.x;
    for _ in 0..3000 {
        piece.v.z -= 9.806_65e-3;
        lie(&mut piece, &terrain, true, 9.806_65, 1e-3);
    }
    // It tips over the edge of the stub's top until an end meets the ground, and stays there.
    assert!(
        piece.v.norm() < 1e-3 && piece.rate().norm() < 1e-3,
        "{} {}",
        piece.v,
        piece.rate()
    );
    let axis = piece.spin.rotation * Vector3::z();
    let rod = piece.rods[0];
    let at = |x: f64| {
        let (a, b) = (piece.place(&rod.from), piece.place(&rod.to));
        let s = (x - a.x) / (b.x - a.x);
        let radius = rod.radius_from + (rod.radius_to - rod.radius_from) * s;
        (a + (b - a) * s).z - radius
    };
    let highest = at(-terrain.stub_radius).min(at(terrain.stub_radius));
    assert!((highest - top).abs() < 2e-3, "{highest} against {top}");
    assert!(axis.z.abs() < 0.05 && (piece.x - before).xy().norm() < 0.05);
}

/// A pole that slides along x against the stub's side is stopped there, as the friction across is found for any way the side faces.
#[test]
fn a_pole_is_stopped_by_the_side_of_the_stub() {
    let p = bare(&[("site.slip_plane_height", "300 mm")]);
    let terrain = Terrain::new(p.scenario());
    let mut piece = Piece::whole(&p, None).expect("a piece");
    piece.disc = None;
    // Lying along y beside the stub, sliding towards it.
    let h = std::f64::consts::FRAC_1_SQRT_2;
    piece.spin.attitude = giveway_mechanics::attitude::Attitude {
        w: h,
        v: Vector3::new(-h, 0.0, 0.0),
    };
    piece.spin.rotation = piece.spin.attitude.matrix();
    piece.x = Vector3::new(terrain.stub_radius + 0.3, 0.0, 0.12);
    piece.place_rods();
    piece.v = Vector3::new(-3.0, 0.0, 0.0);
    for _ in 0..3000 {
        piece.v.z -= 9.806_65e-3;
        let at_stub = terrain.stub(&piece, 0.006) != super::ground::AtStub::Away;
        lie(&mut piece, &terrain, at_stub, 9.806_65, 1e-3);
        let rod = piece.rods[0];
        let (a, b) = (piece.place(&rod.from), piece.place(&rod.to));
        let way = (a.x - a.y * (b.x - a.x) / (b.y - a.y)) - terrain.stub_radius;
        assert!(way > 0.045, "{way}");
        assert!(piece.x.iter().all(|v| v.is_finite()));
    }
    // It may roll back slowly.
    assert!((-0.01..0.2).contains(&piece.v.x), "{}", piece.v);
}
