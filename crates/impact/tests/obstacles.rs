//! What stands in the way of the foot, at the stiffest that a scenario file usually holds: the books close at the step
//! that is used when nothing is said about it, and a step half as long tells the same.

mod cases;

use cases::first;
use giveway_impact::outcome::Engagement;
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::{
    AsFound, Conduit, Foundation, Grout, NotchLump, Plate, RoundWashers, Rust, Scenario,
    SoilBehind, Stub,
};

/// Limit of the residual of the energy book over the initial kinetic energy.
const BOOK_LIMIT: f64 = 0.003;
/// Limit of what half the step changes in the velocity change, as part of it. It was 0.002 before friction fell with the speed and the
/// shaft kinked where it is struck; the clean base still keeps that (`invariants.rs`), some of these obstacles come to 0.003.
const STEP_LIMIT: f64 = 0.0035;

fn run(s: &Scenario) -> Engagement {
    Prepared::new(s)
        .expect("prepared")
        .engage(RecordRequest::NUMBERS)
        .expect("run")
}

fn wall(gap_mm: f64, height_mm: f64, cohesion_mpa: f64, friction_deg: f64) -> SoilBehind {
    SoilBehind {
        azimuth_rad: 0.0,
        gap_m: 1e-3 * gap_mm,
        height_m: 1e-3 * height_mm,
        slope_rad: 0.0,
        friction_angle_rad: friction_deg.to_radians(),
        cohesion_pa: 1e6 * cohesion_mpa,
        unit_weight_npm3: 18e3,
    }
}

fn stub(gap_mm: f64, azimuth_deg: f64) -> Stub {
    Stub {
        azimuth_rad: azimuth_deg.to_radians(),
        projection_m: 0.1,
        gap_m: 1e-3 * gap_mm,
        diameter_m: 0.05,
        ultimate_pa: 1.2e9,
    }
}

fn conduit(gap_mm: f64, diameter_mm: f64) -> Conduit {
    Conduit {
        projection_m: 0.1,
        gap_m: 1e-3 * gap_mm,
        diameter_m: 1e-3 * diameter_mm,
        wall_m: 0.01,
        ultimate_pa: 6e8,
    }
}

fn grout(gap_mm: f64, cover_mm: f64) -> Grout {
    Grout {
        notch_gap_m: None,
        gap_m: 1e-3 * gap_mm,
        strength_pa: 80e6,
        cover_m: 1e-3 * cover_mm,
        bolts: Vec::new(),
    }
}

fn lump(length_mm: f64, width_mm: f64) -> NotchLump {
    NotchLump {
        height_m: 0.015,
        length_m: 1e-3 * length_mm,
        width_m: 1e-3 * width_mm,
        ultimate_pa: 8e8,
        plate: Plate::Lower,
        bolts: Vec::new(),
    }
}

fn pier(diameter_mm: f64, length_m: f64, movement_mm: f64, friction_deg: f64) -> Foundation {
    Foundation {
        diameter_m: 1e-3 * diameter_mm,
        length_m,
        friction_angle_rad: friction_deg.to_radians(),
        unit_weight_npm3: 18e3,
        density_kgpm3: 2400.0,
        movement_m: 1e-3 * movement_mm,
    }
}

type Change = fn(&mut AsFound);

/// Every kind of obstacle at its stiffest, and some together; and what shears bolts.
const CASES: [(&str, Change); 27] = [
    ("kerb 60 mm behind, 10 MPa", |f| {
        f.soil = Some(wall(60.0, 60.0, 10.0, 0.0))
    }),
    ("kerb at once, 20 MPa and friction", |f| {
        f.soil = Some(wall(0.0, 60.0, 20.0, 45.0))
    }),
    ("kerb with friction", |f| {
        f.soil = Some(wall(60.0, 60.0, 10.0, 45.0))
    }),
    ("kerb of 50 MPa", |f| {
        f.soil = Some(wall(30.0, 20.0, 50.0, 60.0))
    }),
    ("high bank of rock", |f| {
        f.soil = Some(SoilBehind {
            slope_rad: 0.7,
            ..wall(60.0, 1000.0, 20.0, 45.0)
        });
    }),
    ("bank of clay from the foot on", |f| {
        f.soil = Some(SoilBehind {
            slope_rad: 0.7,
            ..wall(30.0, 0.0, 0.2, 40.0)
        });
    }),
    ("stub at once", |f| f.stubs = vec![stub(0.0, 0.0)]),
    ("stub after the bolts", |f| f.stubs = vec![stub(60.0, 5.0)]),
    ("stubs all round", |f| {
        f.stubs = (0..6).map(|i| stub(20.0, 60.0 * f64::from(i))).collect()
    }),
    ("conduit", |f| f.conduit = Some(conduit(20.0, 150.0))),
    ("conduit after the bolts", |f| {
        f.conduit = Some(conduit(60.0, 150.0))
    }),
    ("conduit of 60 mm after the bolts", |f| {
        f.conduit = Some(conduit(60.0, 60.0))
    }),
    ("conduit of 60 mm", |f| {
        f.conduit = Some(conduit(20.0, 60.0))
    }),
    ("long lump", |f| f.lump = Some(lump(50.0, 50.0))),
    ("seized", |f| f.rust = Rust::Seized),
    ("rusty", |f| f.rust = Rust::Light),
    ("plates that touch", |f| {
        f.round_washers = RoundWashers::Missing {
            plate_friction: 0.6,
        };
    }),
    ("grout", |f| f.grout = Some(grout(-60.0, 1000.0))),
    ("grout of thin cover", |f| {
        f.grout = Some(grout(-20.0, 10.0))
    }),
    ("short lump", |f| f.lump = Some(lump(1.0, 20.0))),
    ("notch offset", |f| f.notch_offset_m = 0.02),
    ("stiff pier", |f| {
        f.foundation = Some(pier(600.0, 3.0, 0.1, 60.0))
    }),
    ("thin pier", |f| {
        f.foundation = Some(pier(50.0, 1.0, 0.1, 30.0))
    }),
    ("post hole", |f| {
        f.foundation = Some(pier(50.0, 0.1, 0.1, 30.0))
    }),
    ("kerb, conduit and pier", |f| {
        f.soil = Some(wall(60.0, 60.0, 10.0, 0.0));
        f.conduit = Some(conduit(60.0, 60.0));
        f.foundation = Some(pier(300.0, 6.0, 3.0, 45.0));
    }),
    ("kerb, lump and friction", |f| {
        f.soil = Some(wall(60.0, 60.0, 10.0, 45.0));
        f.lump = Some(lump(50.0, 50.0));
    }),
    ("everything", |f| {
        f.soil = Some(wall(30.0, 20.0, 50.0, 60.0));
        f.stubs = vec![stub(10.0, 10.0)];
        f.conduit = Some(conduit(20.0, 150.0));
        f.foundation = Some(pier(300.0, 6.0, 3.0, 45.0));
        f.grout = Some(grout(-30.0, 1000.0));
        f.rust = Rust::Light;
    }),
];

#[test]
fn the_stiffest_obstacles_close_their_books_and_do_not_depend_on_the_step() {
    let mut moved = Vec::new();
    for speed in ["30 km/h", "100 km/h"] {
        for (name, change) in CASES {
            let mut s = first(&[("impact.speed", speed)]);
            change(&mut s.as_found);
            let usual = run(&s);
            s.solver.step_s *= 0.5;
            let half = run(&s);
            for e in [&usual, &half] {
                let residual = e.energy.residual_j.abs() / e.energy.initial_kinetic_j;
                assert!(residual < BOOK_LIMIT, "{name} at {speed}: {residual:e}");
                assert!(e.momentum.residual_fraction < 1e-3, "{name} at {speed}");
            }
            for (what, a, b) in [
                (
                    "velocity change",
                    usual.velocity_change_at_end_mps,
                    half.velocity_change_at_end_mps,
                ),
                ("peak force", usual.peak_force_n, half.peak_force_n),
            ] {
                // A shaft that has kinked far is beyond small rotations; its flag says that the course is an estimate.
                let far = usual.kink.angle_rad.max(half.kink.angle_rad) > 0.35;
                if !far && (a / b - 1.0).abs() >= STEP_LIMIT {
                    moved.push(format!("{name} at {speed}: {what} {a} against {b}"));
                }
            }
        }
    }
    assert!(moved.is_empty(), "{moved:#?}");
}

#[test]
fn a_conduit_that_only_just_shears_does_so_at_every_step() {
    // At 20 us and longer the bar once held, and the velocity change was 15 % less.
    let mut s = first(&[("impact.speed", "100 km/h")]);
    s.as_found.conduit = Some(conduit(60.0, 60.0));
    // A shaft that cannot kink where it is struck: that of the scenario kinks before this bar shears.
    s.support.pole.material.yield_pa = 1e13;
    let changes: Vec<f64> = [5e-5, 1e-5, 2e-6]
        .into_iter()
        .map(|step_s| {
            s.solver.step_s = step_s;
            let e = run(&s);
            assert!(e.bars[0].sheared, "{step_s}");
            // Limit load 0.6 F_u A over half the diameter, less the elastic start.
            let limit = e.bars[0].limit_n;
            let hand = limit * 0.03 - limit * limit / (2.0 * 5e8);
            let ratio = e.bars[0].energy_j / hand;
            assert!((ratio - 1.0).abs() < 5e-3, "{step_s}: {ratio}");
            e.velocity_change_at_end_mps
        })
        .collect();
    for change in &changes {
        assert!((change / changes[2] - 1.0).abs() < 1e-3, "{changes:?}");
    }
}

#[test]
fn where_bolts_or_bars_may_part_the_step_is_halved_and_elsewhere_not() {
    let step = |change: Change| {
        let mut s = first(&[]);
        change(&mut s.as_found);
        run(&s).work.clamped_step_s
    };
    let usual = step(|_| {});
    assert_eq!(usual, 5e-5);
    assert_eq!(step(|f| f.soil = Some(wall(60.0, 60.0, 10.0, 0.0))), usual);
    for change in [
        (|f| f.rust = Rust::Seized) as Change,
        |f| f.conduit = Some(conduit(60.0, 60.0)),
        |f| f.lump = Some(lump(50.0, 50.0)),
        |f| f.grout = Some(grout(-60.0, 1000.0)),
    ] {
        assert_eq!(step(change), 0.5 * usual);
    }
}

#[test]
fn an_obstacle_that_holds_the_foot_brings_the_short_step_back() {
    let mean_step = |change: Change| {
        let mut s = first(&[]);
        change(&mut s.as_found);
        let e = run(&s);
        assert!(e.release_time_s.is_some());
        e.end_time_s / (e.work.steps as f64 * e.work.clamped_step_s)
    };
    assert!(mean_step(|_| {}) > 1.9);
    assert!(mean_step(|f| f.soil = Some(wall(60.0, 60.0, 10.0, 0.0))) < 1.3);
}
