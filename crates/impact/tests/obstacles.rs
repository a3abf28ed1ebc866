//! What stands in the way of the foot, at the stiffest that a scenario file usually holds: the books close at the step
//! that is used when nothing is said about it, and a step half as long tells the same.

mod cases;

use cases::first;
use giveway_impact::outcome::Engagement;
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::{
    AsFound, Conduit, Foundation, Grout, NotchLump, Plate, Rust, Scenario, SoilBehind, Stub,
};

/// Limit of the residual of the energy book over the initial kinetic energy.
const BOOK_LIMIT: f64 = 0.005;

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

/// Every kind of obstacle at its stiffest, and some together.
const CASES: [(&str, Change); 21] = [
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
            let (a, b) = (
                usual.velocity_change_at_end_mps,
                half.velocity_change_at_end_mps,
            );
            assert!(
                (a / b - 1.0).abs() < 0.005,
                "{name} at {speed}: {a} against {b}"
            );
            let (a, b) = (usual.peak_force_n, half.peak_force_n);
            assert!(
                (a / b - 1.0).abs() < 0.01,
                "{name} at {speed}: {a} against {b}"
            );
        }
    }
}

#[test]
fn an_obstacle_that_holds_the_foot_brings_the_short_step_back() {
    let mean_step = |change: Change| {
        let mut s = first(&[]);
        change(&mut s.as_found);
        let e = run(&s);
        let after = e.end_time_s - e.release_time_s.expect("released");
        let before = (e.end_time_s - after) / e.work.clamped_step_s;
        after / (e.work.steps as f64 - before) / e.work.clamped_step_s
    };
    assert!(mean_step(|_| {}) > 1.9);
    assert!(mean_step(|f| f.soil = Some(wall(60.0, 60.0, 10.0, 0.0))) < 1.3);
}
