//! What must hold for every impact, whatever its numbers: books, symmetry, rotation, quiet start,
//! convergence, independence from numerical aids, no allocation per step.

mod cases;

use cases::{first, heavy_with_arm, scenario};
use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::Scenario;

fn run(s: &Scenario) -> Engagement {
    Prepared::new(s)
        .expect("prepared")
        .engage(RecordRequest::NUMBERS)
        .expect("run")
}

fn change(e: &Engagement) -> f64 {
    e.velocity_change_at_end_mps
}

fn close(what: &str, a: f64, b: f64, relative: f64) {
    let off = (a - b).abs() / b.abs().max(1e-9);
    assert!(
        off <= relative,
        "{what}: {a} against {b}, off by {off:.2e}, allowed {relative:.0e}"
    );
}

#[test]
fn a_clamped_pole_does_not_move_by_itself() {
    for s in [first(&[]), heavy_with_arm(&[])] {
        let moved = Prepared::new(&s).unwrap().stand_still(2.0).unwrap();
        assert!(moved < 1e-6, "{} moved {moved:e} m", s.title);
    }
}

#[test]
fn books_close() {
    for s in [
        first(&[]),
        heavy_with_arm(&[]),
        first(&[("impact.speed", "100 km/h")]),
    ] {
        let e = run(&s);
        let energy = e.energy.residual_j.abs() / e.energy.initial_kinetic_j;
        assert!(energy < 0.005, "{}: energy residual {energy:e}", s.title);
        assert!(e.momentum.residual_fraction < 1e-3, "{}", s.title);
        for (name, value) in [
            ("crush", e.energy.crush_j),
            ("dent", e.energy.dent_j),
            ("friction", e.energy.friction_j),
            ("keeper", e.energy.keeper_j),
            ("rub", e.energy.plate_rub_j),
            ("face rub", e.energy.face_rub_j),
            ("damping", e.energy.damping_j),
        ] {
            assert!(value >= -1.0, "{}: {name} gives energy: {value} J", s.title);
        }
    }
}

#[test]
fn halving_the_step_changes_little() {
    for s in [
        first(&[]),
        heavy_with_arm(&[]),
        first(&[("impact.speed", "100 km/h")]),
    ] {
        let coarse = run(&s);
        let mut fine = s.clone();
        fine.solver.step_s *= 0.5;
        // The joint's own stability may already have cut the step; then halve from there.
        fine.solver.step_s = fine.solver.step_s.min(0.5 * coarse.work.clamped_step_s);
        let f = run(&fine);
        close("velocity change", change(&coarse), change(&f), 0.002);
        close(
            "release time",
            coarse.release_time_s.unwrap(),
            f.release_time_s.unwrap(),
            0.002,
        );
        close("peak force", coarse.peak_force_n, f.peak_force_n, 0.002);
    }
}

#[test]
fn shipped_scenarios_are_those_of_short_steps() {
    for name in [
        "class_speed_70",
        "first",
        "four_bolt_diamond",
        "four_bolt_square",
        "heavy_15m_slow_car",
        "heavy_15m_long_arm",
        "light_9m_aluminium",
        "overtightened",
        "pickup_slow",
        "quarter_offset",
        "side_impact",
        "three_bolt_turned",
    ] {
        let usual = scenario(&format!("../../scenarios/{name}.toml"), &[], false);
        let mut short = usual.clone();
        short.solver.step_s = 12.5e-6;
        let (usual, short) = (run(&usual), run(&short));
        assert!(usual.work.steps * 3 < short.work.steps, "{name}");
        close(name, change(&usual), change(&short), 0.003);
    }
}

#[test]
fn default_basis_is_converged() {
    let mut list = vec![
        first(&[]),
        heavy_with_arm(&[]),
        first(&[("impact.speed", "100 km/h")]),
    ];
    for name in [
        "class_speed_70",
        "four_bolt_square",
        "heavy_15m_slow_car",
        "heavy_15m_long_arm",
        "quarter_offset",
        "side_impact",
        "three_bolt_turned",
    ] {
        let path = format!("../../scenarios/{name}.toml");
        list.push(scenario(&path, &[], false));
    }
    for s in list {
        let mut rich = s.clone();
        rich.solver.elastic_modes = 45;
        rich.solver.pole_elements = 40;
        close(&s.title, change(&run(&s)), change(&run(&rich)), 0.01);
    }
}

#[test]
fn element_count_is_converged() {
    for s in [first(&[]), heavy_with_arm(&[])] {
        let mut fine = s.clone();
        fine.solver.pole_elements *= 2;
        fine.solver.arm_elements *= 2;
        close(
            "velocity change",
            change(&run(&s)),
            change(&run(&fine)),
            0.002,
        );
    }
}

#[test]
fn stick_stiffness_does_not_matter() {
    for s in [first(&[]), heavy_with_arm(&[])] {
        for factor in [0.5, 2.0] {
            let mut other = s.clone();
            other.solver.stick_stiffness_npm *= factor;
            close(
                "velocity change",
                change(&run(&s)),
                change(&run(&other)),
                0.005,
            );
        }
    }
}

#[test]
fn the_mirror_image_gives_the_mirror_result() {
    let mut left = heavy_with_arm(&[("impact.offset", "0.4 m")]);
    left.base.first_bolt_azimuth_rad = 0.3;
    left.support.arms[0].azimuth_rad = 1.1;
    left.impact.heading_rad = 0.2;
    left.impact.velocity_direction_rad = 0.25;
    let mut right = left.clone();
    right.base.first_bolt_azimuth_rad = -0.3;
    right.support.arms[0].azimuth_rad = -1.1;
    right.impact.heading_rad = -0.2;
    right.impact.velocity_direction_rad = -0.25;
    right.impact.offset_m = -left.impact.offset_m;
    let (a, b) = (run(&left), run(&right));
    close("velocity change", change(&a), change(&b), 1e-6);
    close("peak force", a.peak_force_n, b.peak_force_n, 1e-6);
    close(
        "lateral momentum",
        a.momentum.change_ns[1],
        -b.momentum.change_ns[1],
        1e-5,
    );
    // Bolt i on one side is bolt n - i on the other.
    assert_eq!(a.bolts[1].fate, b.bolts[2].fate);
}

#[test]
fn turning_the_whole_site_changes_nothing() {
    let s = heavy_with_arm(&[("impact.offset", "0.3 m")]);
    let a = run(&s);
    for turn in [0.7, 2.0, -2.6] {
        let mut t = s.clone();
        t.base.first_bolt_azimuth_rad += turn;
        t.impact.heading_rad += turn;
        t.impact.velocity_direction_rad += turn;
        for arm in &mut t.support.arms {
            arm.azimuth_rad += turn;
        }
        let b = run(&t);
        close("velocity change", change(&a), change(&b), 1e-9);
        close("peak force", a.peak_force_n, b.peak_force_n, 1e-9);
        close(
            "release time",
            a.release_time_s.unwrap(),
            b.release_time_s.unwrap(),
            1e-9,
        );
        close("crush", a.peak_crush_m, b.peak_crush_m, 1e-9);
        assert_eq!(a.work.steps, b.work.steps);
    }
}

#[test]
fn a_miss_is_a_result() {
    let mut s = first(&[]);
    s.impact.offset_m = 1.5;
    let e = run(&s);
    assert_eq!(e.ending, Ending::NoContact);
    assert_eq!(e.peak_force_n, 0.0);
    assert!(change(&e).abs() < 1e-3);
}

#[test]
fn a_locked_base_is_a_result() {
    // Notches too narrow for their wall friction, bolts too strong to shear at this speed.
    let mut s = first(&[]);
    s.base.notch_half_angle_rad = 0.1;
    s.base.bolt.ultimate_pa *= 5.0;
    s.base.bolt.yield_pa *= 5.0;
    let e = run(&s);
    assert_eq!(e.ending, Ending::Held);
    assert!(e.flags.iter().any(|f| f.word == "held"));
    assert!(e.end_time_s <= s.solver.engagement_limit_s + 1e-9);
    assert!(change(&e) > 8.0, "{}", change(&e));
    assert!(e.energy.residual_j.abs() < 0.005 * e.energy.initial_kinetic_j);
}

#[test]
fn every_heading_face_and_bolt_count_runs() {
    for heading in [0.0, 0.4, 1.6, 3.0, -2.2] {
        for (face, slide) in [("front", 0.0), ("left-side", 1.571), ("right-side", -1.571)] {
            for bolts in [3, 4] {
                let mut s = scenario(
                    "../../scenarios/first.toml",
                    &[
                        ("impact.face", face),
                        ("impact.velocity_direction", "0 deg"),
                        ("impact.heading", "0 deg"),
                    ],
                    face != "front",
                );
                s.impact.heading_rad = heading;
                s.impact.velocity_direction_rad = heading + slide;
                s.base.bolt_count = bolts;
                let e = run(&s);
                assert_ne!(e.ending, Ending::NoContact, "{heading} {face} {bolts}");
                let residual = e.energy.residual_j.abs() / e.energy.initial_kinetic_j;
                assert!(residual < 0.005, "{heading} {face} {bolts}: {residual:e}");
                assert!(e.peak_force_n > 1e3);
            }
        }
    }
}

#[test]
fn no_allocation_per_step() {
    let s = first(&[]);
    let mut long = s.clone();
    long.solver.step_s *= 0.25;
    let count = |s: &Scenario| {
        let p = Prepared::new(s).unwrap();
        let mut steps = 0;
        let info = allocation_counter::measure(|| {
            steps = p.engage(RecordRequest::NUMBERS).unwrap().work.steps;
        });
        (info.count_total, steps)
    };
    let (few, short_steps) = count(&s);
    let (many, long_steps) = count(&long);
    assert!(long_steps > 2 * short_steps);
    assert_eq!(few, many, "allocations grow with the number of steps");
}

#[test]
fn the_same_input_gives_the_same_bits() {
    let s = heavy_with_arm(&[]);
    let p = Prepared::new(&s).unwrap();
    let (a, b) = (
        p.engage(RecordRequest::FULL).unwrap(),
        Prepared::new(&s)
            .unwrap()
            .engage(RecordRequest::FULL)
            .unwrap(),
    );
    assert_eq!(change(&a).to_bits(), change(&b).to_bits());
    for (x, y) in a.trace.columns.iter().zip(&b.trace.columns) {
        assert!(
            x.values
                .iter()
                .zip(&y.values)
                .all(|(p, q)| p.to_bits() == q.to_bits()),
            "{}",
            x.name
        );
    }
    // What is recorded does not touch the numbers.
    let c = p.engage(RecordRequest::NUMBERS).unwrap();
    assert_eq!(change(&a).to_bits(), change(&c).to_bits());
}
