//! The vehicle in flight time: rigid body on its tyres (or its guide).

use giveway_mechanics::attitude::Spin;
use nalgebra::{Vector2, Vector3};

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
        let r = self.spin.rotation;
        let rate = self.spin.rate;
        let ahead = Vector2::new(r[(0, 0)], r[(1, 0)]);
        let ahead = ahead / ahead.norm().max(1e-9);
        let (mut push, mut turn) = (Vector3::zeros(), Vector3::zeros());
        for wheel in &p.vehicle.wheels {
            let arm = r * wheel.arm;
            let place = self.x + arm;
            let height = place.z - terrain.height(place.y);
            let f = wheel.force(height, &(self.v + rate.cross(&arm)), &ahead);
            push += f;
            turn += arm.cross(&f);
        }
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
