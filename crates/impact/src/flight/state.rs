//! The state that the engagement hands over to the flight.

use giveway_mechanics::attitude::{Attitude, Spin};
use nalgebra::{Matrix3, Vector3};

use super::free::FlightState;
use super::outcome::HandOver;
use super::piece::Piece;
use crate::contact::BandRun;
use crate::error::ImpactError;
use crate::prepared::Prepared;
use crate::state::{Run, spin_at_rest};

/// Vehicle and support at the end of the engagement.
#[derive(Debug, Clone)]
pub struct EndState {
    /// Time since first touch, s.
    pub time_s: f64,
    /// Vehicle.
    pub vehicle: FlightState,
    /// Support as a rigid body (its floating frame).
    pub support: FlightState,
    /// Elastic coordinates of the bending.
    pub elastic: Vec<f64>,
    /// Their rates.
    pub elastic_rates: Vec<f64>,
    /// Elastic coordinates of the unloaded support: those of its kink.
    pub(crate) set: Vec<f64>,
    pub(crate) hinge: Option<Attitude>,
    pub(crate) bands: Vec<BandRun>,
    /// Way inward of the body behind a struck side, m.
    pub(crate) inward: f64,
    pub(crate) momenta: [Vector3<f64>; 2],
}

fn state(x: &Vector3<f64>, v: &Vector3<f64>, spin: &Spin) -> FlightState {
    // omega = R I^-1 R^T L
    let r = &spin.rotation;
    let rate = r * (spin.inverse_inertia * r.tr_mul(&spin.momentum));
    FlightState {
        position_m: (*x).into(),
        velocity_mps: (*v).into(),
        rotation: spin.attitude.to_array(),
        angular_velocity_radps: rate.into(),
    }
}

/// A body with the state's attitude and spin.
pub(crate) fn spin_of(
    body: &'static str,
    inertia: &Matrix3<f64>,
    s: &FlightState,
) -> Result<Spin, ImpactError> {
    let [w, x, y, z] = s.rotation;
    let attitude = Attitude {
        w,
        v: Vector3::new(x, y, z),
    };
    let mut spin = spin_at_rest(body, attitude, *inertia)?;
    spin.rate = Vector3::from(s.angular_velocity_radps);
    // L = R I R^T omega
    spin.momentum = spin.rotation * (inertia * spin.rotation.tr_mul(&spin.rate));
    Ok(spin)
}

impl EndState {
    /// The state of a run whose velocities have been brought to its last whole step.
    pub(crate) fn of(run: &Run<'_>) -> Self {
        // The struck part goes on with the rest: their momentum together is kept.
        let (beside, _) = run.side_motion(&run.vv, run.side.rate);
        let velocity = run.vv + beside / run.p.vehicle.mass;
        Self {
            time_s: run.time,
            vehicle: state(&run.vx, &velocity, &run.vspin),
            support: state(&run.x, &run.v, &run.spin),
            elastic: run.q.clone(),
            elastic_rates: run.w.clone(),
            set: run.p.solution.kinked(&run.kink.turn),
            hinge: run.hinge.turn,
            bands: run.bands.clone(),
            inward: run.side.place,
            momenta: [run.vspin.momentum, run.spin.momentum],
        }
    }

    /// Vehicle and support in any motion, without bending and with a face that is not crushed; the face has let go of
    /// the pole for good.
    pub fn with_motion(prepared: &Prepared, vehicle: FlightState, support: FlightState) -> Self {
        let n = prepared.solution.coordinates();
        let momentum = |inertia: &Matrix3<f64>, s: &FlightState| {
            let [w, x, y, z] = s.rotation;
            let v = Vector3::new(x, y, z);
            let r = Attitude { w, v }.matrix();
            r * (inertia * r.tr_mul(&Vector3::from(s.angular_velocity_radps)))
        };
        let mut bands: Vec<BandRun> = prepared
            .face
            .bands
            .iter()
            .map(|_| BandRun::new(n))
            .collect();
        for band in &mut bands {
            band.retire();
        }
        Self {
            time_s: 0.0,
            momenta: [
                momentum(&prepared.vehicle.inertia, &vehicle),
                momentum(&prepared.solution.modes.properties.inertia_kgm2, &support),
            ],
            vehicle,
            support,
            elastic: vec![0.0; n],
            elastic_rates: vec![0.0; n],
            set: vec![0.0; n],
            hinge: None,
            inward: 0.0,
            bands,
        }
    }

    /// What the first state of the flight, `car` and `pole`, keeps of this one. `bending` is kinetic and strain energy.
    pub(crate) fn kept(
        &self,
        p: &Prepared,
        car: &Spin,
        pole: &Piece,
        bending: [f64; 2],
    ) -> HandOver {
        let m = p.solution.modes.properties.mass_kg;
        let old = Vector3::from(self.support.velocity_mps) * m
            + Vector3::from(self.vehicle.velocity_mps) * p.vehicle.mass;
        let new = pole.v * pole.mass + Vector3::from(self.vehicle.velocity_mps) * p.vehicle.mass;
        let turning =
            (pole.spin.momentum - self.momenta[1]).norm() + (car.momentum - self.momenta[0]).norm();
        let size = self.momenta[0].norm() + self.momenta[1].norm();
        let energy = |v: Vector3<f64>, l: &Vector3<f64>| {
            0.5 * m * v.norm_squared() + pole.spin.energy_with(l)
        };
        let before = energy(Vector3::from(self.support.velocity_mps), &self.momenta[1]);
        let fraction = |d: f64, of: f64| if of > 0.0 { d / of } else { 0.0 };
        HandOver {
            time_s: self.time_s,
            momentum_fraction: fraction((new - old).norm(), old.norm()),
            angular_momentum_fraction: fraction(turning, size),
            bending_kinetic_j: bending[0],
            bending_strain_j: bending[1],
            energy_fraction: fraction((pole.kinetic() - before).abs(), before),
        }
    }
}
