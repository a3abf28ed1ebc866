//! The vehicle in flight time: rigid body on its tyres (or its guide).

use giveway_mechanics::attitude::Spin;
use giveway_mechanics::wheel::{Ride, push_of};
use nalgebra::{Matrix3, Vector3};

use super::ground::Terrain;
use super::skin::Carrier;
use crate::prepared::Prepared;

/// The vehicle.
#[derive(Debug, Clone)]
pub(crate) struct Car {
    pub x: Vector3<f64>,
    pub v: Vector3<f64>,
    pub spin: Spin,
    pub force: Vector3<f64>,
    pub torque: Vector3<f64>,
    /// Push and moment of the wheels at the last evaluation.
    wheels: (Vector3<f64>, Vector3<f64>),
    /// Energy that tyres and their springs have taken, J.
    pub tyre_j: f64,
    direction: Vector3<f64>,
}

/// The vehicle's motion at the beginning of a step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moved {
    pub x: Vector3<f64>,
    pub v: Vector3<f64>,
    pub rotation: Matrix3<f64>,
    pub yaw_rate: f64,
}

impl Car {
    pub fn new(x: Vector3<f64>, v: Vector3<f64>, spin: Spin, direction: Vector3<f64>) -> Self {
        Self {
            x,
            v,
            spin,
            force: Vector3::zeros(),
            torque: Vector3::zeros(),
            wheels: (Vector3::zeros(), Vector3::zeros()),
            tyre_j: 0.0,
            direction,
        }
    }

    pub fn motion(&self) -> Moved {
        Moved {
            x: self.x,
            v: self.v,
            rotation: self.spin.rotation,
            yaw_rate: self.spin.rate.z,
        }
    }

    pub fn carrier(&self) -> Carrier {
        Carrier {
            x: self.x,
            v: self.v,
            rotation: self.spin.rotation,
            rate: self.spin.rate,
        }
    }

    /// Weight and tyres at the present place; `dt` is the step that led here.
    pub fn forces(&mut self, p: &Prepared, terrain: &Terrain, dt: f64) {
        self.force = Vector3::zeros();
        self.torque = Vector3::zeros();
        if p.vehicle.guided {
            return;
        }
        let rate = self.spin.rate;
        let ride = Ride {
            x: &self.x,
            v: &self.v,
            rotation: &self.spin.rotation,
            rate: &rate,
        };
        let (push, turn) = push_of(&p.vehicle.wheels, &ride, |place| terrain.height(place.y));
        let power = (self.wheels.0 + push).dot(&self.v) + (self.wheels.1 + turn).dot(&rate);
        self.tyre_j -= 0.5 * power * dt;
        self.wheels = (push, turn);
        self.force = push;
        self.force.z -= p.vehicle.mass * p.scenario.site.gravity_mps2;
        self.torque = turn;
    }

    /// A push of the support.
    pub fn push(&mut self, force: &Vector3<f64>, moment: &Vector3<f64>) {
        self.force += force;
        self.torque += moment;
    }

    pub fn kick(&mut self, p: &Prepared, dt: f64) {
        if p.vehicle.guided {
            self.v += self.direction * (self.force.dot(&self.direction) * dt / p.vehicle.mass);
        } else {
            self.v += self.force * (dt / p.vehicle.mass);
            self.spin.momentum += self.torque * dt;
        }
    }

    pub fn drift(&mut self, p: &Prepared, dt: f64) {
        self.x += self.v * dt;
        if !p.vehicle.guided {
            self.spin.drift(dt);
        }
    }

    /// Kinetic energy, J.
    pub fn kinetic(&self, p: &Prepared) -> f64 {
        let mut e = 0.5 * p.vehicle.mass * self.v.norm_squared();
        if !p.vehicle.guided {
            e += self.spin.energy_with(&self.spin.momentum);
        }
        e
    }

    /// Potential energy, J.
    pub fn potential(&self, p: &Prepared) -> f64 {
        if p.vehicle.guided {
            0.0
        } else {
            p.vehicle.mass * p.scenario.site.gravity_mps2 * self.x.z
        }
    }
}
