//! The books of a run: what became of its energy and of its momentum.

use crate::outcome::{EnergyBook, MomentumBook};
use crate::state::Run;

/// The energy book at the present whole step.
pub(crate) fn energy_book(run: &Run<'_>) -> EnergyBook {
    let p = run.p;
    let h = 0.5 * run.last_dt;
    let (v, vv) = run.velocities();
    let m = p.solution.modes.properties.mass_kg;
    let g = p.scenario.site.gravity_mps2;
    let mv = p.vehicle.mass;
    let mut e = EnergyBook {
        initial_kinetic_j: 0.5 * mv * run.start_velocity.norm_squared(),
        vehicle_kinetic_j: 0.5 * mv * vv.norm_squared(),
        crush_j: run.spent.crush,
        dent_j: run.spent.dent,
        face_rub_j: run.spent.face_rub,
        tyre_j: run.spent.tyre,
        damping_j: run.spent.damping,
        ..EnergyBook::default()
    };
    let rate = run.side.rate + run.side_push(&run.vehicle_push(&run.vforce)) * h;
    e.vehicle_kinetic_j += run.side_motion(&vv, rate).1;
    e.crush_j += run.side.energy;
    if !p.vehicle.guided {
        let l = run.vspin.momentum + run.vtorque * h;
        e.vehicle_kinetic_j += run.vspin.energy_with(&l);
        e.gravity_j += mv * g * (run.vx.z - run.start.1.z);
    }
    if !run.fixed() {
        let l = run.spin.momentum + run.torque * h;
        e.support_kinetic_j = 0.5 * m * v.norm_squared() + run.spin.energy_with(&l);
        let mut strain = -run.start_strain;
        for ((q, w), (f, omega)) in run
            .q
            .iter()
            .zip(&run.w)
            .zip(run.load.iter().zip(&p.solution.basis.omega))
        {
            let w = w + f * h;
            e.support_kinetic_j += 0.5 * w * w;
            strain += 0.5 * omega * omega * q * q;
        }
        let kink = &run.kink;
        e.bending_strain_j = strain + kink.strain(&run.struck_moment, &p.solution.kink_stiffness);
        e.gravity_j += m * g * (run.x.z - run.start.0.z);
    }
    for b in &run.bolts {
        e.friction_j += b.energy.friction;
        e.keeper_j += b.energy.keeper;
        e.bolt_failure_j += b.energy.failure;
        e.damping_j += b.energy.damping;
        e.joint_strain_j += b.energy.stored;
        e.release_j += b.energy.freed;
        e.plate_rub_j += b.energy.rub;
        e.stripping_j += b.energy.strip;
        let f = &b.energy.faults;
        e.grout_j += f.grout;
        e.lumps_j += f.lump;
        e.forcing_j += f.wall;
        e.dishing_j += f.dish;
        e.mating_j += f.plates;
        e.rust_j += f.rust;
    }
    e.fold_j = run.hinge.spent + run.kink.spent;
    e.bars_j = run.bars.iter().fold(0.0, |sum, b| sum + b.energy_j);
    e.soil_j = run.soil.energy_j;
    if let Some(pier) = run.pier_law() {
        e.foundation_j = run.pier.energy_j(&pier, h);
    }
    e.residual_j = e.initial_kinetic_j
        - (e.vehicle_kinetic_j
            + e.support_kinetic_j
            + e.bending_strain_j
            + e.gravity_j
            + e.joint_strain_j
            + e.crush_j
            + e.dent_j
            + e.friction_j
            + e.keeper_j
            + e.bolt_failure_j
            + e.plate_rub_j
            + e.face_rub_j
            + e.tyre_j
            + e.damping_j
            + e.release_j
            + e.fold_j
            + found_on_site(&e));
    e
}

/// What findings on site have taken in all, J.
pub(crate) fn found_on_site(e: &EnergyBook) -> f64 {
    e.grout_j
        + e.bars_j
        + e.mating_j
        + e.dishing_j
        + e.lumps_j
        + e.forcing_j
        + e.rust_j
        + e.stripping_j
        + e.soil_j
        + e.foundation_j
}

pub(crate) fn momentum_book(run: &Run<'_>) -> MomentumBook {
    let p = run.p;
    let m = p.solution.modes.properties.mass_kg;
    let mut change =
        (run.vv - run.start_velocity) * p.vehicle.mass + run.side_motion(&run.vv, run.side.rate).0;
    if !run.fixed() {
        change += run.v * m;
    }
    let mut external = run.external_impulse;
    if run.fixed() {
        // The obstacle passes the contact force on to the ground; nothing flies.
        external = change;
    }
    let initial = p.vehicle.mass * run.start_velocity.norm();
    MomentumBook {
        change_ns: change.into(),
        external_impulse_ns: external.into(),
        residual_fraction: (change - external).amax() / initial,
    }
}
