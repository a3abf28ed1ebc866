//! Books and checks: what every run proves about itself.

use giveway_impact::outcome::EnergyBook;
use giveway_results::Summary;

use super::markup::{Cell, Markup, Table};
use super::words::{number, to};
use crate::printed::Mark;

/// The books and their residuals.
pub fn chapter(m: &mut Markup, s: &Summary) {
    let b = &s.books;
    let mut t = Table::new(
        "A run whose books do not close has failed, and no verdict stands",
        &[
            "Book",
            "Does not add up>",
            "Limit>",
            "Against the limit",
            "State",
        ],
    );
    let mut row = |name: &str, residual: f64, limit: f64, closed: bool| {
        t.row(vec![
            Cell::text(name),
            Cell::number(format!("{} %", significant(100.0 * residual))),
            Cell::number(format!("{} %", number(100.0 * limit))),
            Cell::Strip(residual / limit, None),
            Cell::word(state(closed)),
        ]);
    };
    row(
        "Energy, over the vehicle's kinetic energy at first touch",
        b.energy_residual_fraction,
        b.energy_limit_fraction,
        b.energy_closed,
    );
    row(
        "Momentum, over the vehicle's momentum at first touch",
        b.momentum_residual_fraction,
        b.momentum_limit_fraction,
        b.momentum_closed,
    );
    m.table(&t);
    let mut t = Table::new(
        "Energy at the end of the engagement; entries below 0.05 % are left out",
        &["Where it is", "Energy>", "Share>"],
    );
    let initial = s.energy.initial_kinetic_j;
    for (name, energy_j) in entries(&s.energy) {
        if energy_j.abs() > 5e-4 * initial.abs() {
            t.row(vec![
                Cell::text(name),
                Cell::number(to(1e-3 * energy_j, 2, "kJ")),
                Cell::number(to(100.0 * energy_j / initial, 1, "%")),
            ]);
        }
    }
    t.row(vec![
        Cell::text("All of it: kinetic energy of the vehicle at first touch"),
        Cell::number(to(1e-3 * initial, 2, "kJ")),
        Cell::number("100 %"),
    ]);
    m.table(&t);
    let w = &s.work;
    m.paragraph(&format!(
        "Work: {} steps of the engagement of {} \u{b5}s where bolts begin to slide or leave and {} \u{b5}s after, {} events located in time, {} elastic \
         coordinates of the pole, {} steps of the roll-out. These counts do not depend on the machine.",
        w.steps,
        number(1e6 * w.clamped_step_s),
        number(1e6 * w.free_step_s),
        w.events,
        w.elastic_coordinates,
        w.rollout_steps
    ));
}

/// Word and frame of books that close or do not.
pub fn state(closed: bool) -> (Mark, &'static str) {
    if closed {
        (Mark::Meets, "closed")
    } else {
        (Mark::Fails, "OPEN")
    }
}

/// Two figures, also of very small numbers.
fn significant(x: f64) -> String {
    if x == 0.0 {
        "0".to_owned()
    } else if x.abs() < 1e-4 {
        format!("{x:.1e}")
    } else {
        number(x)
    }
}

fn entries(e: &EnergyBook) -> [(&'static str, f64); 26] {
    [
        ("Vehicle, kinetic", e.vehicle_kinetic_j),
        ("Pole and arms, kinetic", e.support_kinetic_j),
        ("Bending of pole and arms", e.bending_strain_j),
        ("Height of vehicle and support", e.gravity_j),
        ("Strain of the clamped joint", e.joint_strain_j),
        ("Crush of the vehicle", e.crush_j),
        ("Dent in the tube", e.dent_j),
        ("Friction of the bolts", e.friction_j),
        ("Keeper torn", e.keeper_j),
        ("Bolts that sheared or yielded", e.bolt_failure_j),
        ("Plates rubbing after the release", e.plate_rub_j),
        ("Shaft folded at its foot", e.fold_j),
        ("Grout", e.grout_j),
        ("What stood in the slip plane", e.bars_j),
        ("Plates rubbing without round washers", e.mating_j),
        ("Dished plate washers", e.dishing_j),
        ("Lumps in the notches", e.lumps_j),
        ("Notches that do not match", e.forcing_j),
        ("Rust", e.rust_j),
        ("Threads stripped", e.stripping_j),
        ("Soil behind the foot", e.soil_j),
        ("Foundation", e.foundation_j),
        ("Face rubbing on the pole", e.face_rub_j),
        ("Tyres", e.tyre_j),
        ("Damping", e.damping_j),
        ("Set free by releases", e.release_j),
    ]
}
