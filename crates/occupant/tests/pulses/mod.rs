//! Records and signals that the tests share.
#![allow(dead_code)]

use core::f64::consts::PI;

use giveway_occupant::{Motion, OccupantRisk, STANDARD_GRAVITY_MPS2 as G, assess};

/// Owned data of a [`Motion`].
pub struct Record {
    pub interval_s: f64,
    pub initial_velocity_mps: [f64; 3],
    pub head_m: [f64; 2],
    pub acceleration_mps2: Vec<[f64; 3]>,
    pub yaw_rate_radps: Vec<f64>,
    pub end_velocity_mps: Vec<[f64; 3]>,
    pub position_m: Vec<[f64; 3]>,
    pub attitude_rad: Vec<[f64; 3]>,
}

impl Record {
    /// Record of 100 us intervals without yaw and without states.
    pub fn of(intervals: usize, acceleration_mps2: impl Fn(usize) -> [f64; 3]) -> Self {
        Self {
            interval_s: 1e-4,
            initial_velocity_mps: [20.0, 0.0, 0.0],
            head_m: [0.0, 0.0],
            acceleration_mps2: (0..intervals).map(acceleration_mps2).collect(),
            yaw_rate_radps: vec![0.0; intervals],
            end_velocity_mps: Vec::new(),
            position_m: Vec::new(),
            attitude_rad: Vec::new(),
        }
    }

    pub fn motion(&self) -> Motion<'_> {
        Motion {
            interval_s: self.interval_s,
            initial_heading_rad: 0.3,
            initial_velocity_mps: self.initial_velocity_mps,
            head_m: self.head_m,
            acceleration_mps2: &self.acceleration_mps2,
            yaw_rate_radps: &self.yaw_rate_radps,
            end_velocity_mps: &self.end_velocity_mps,
            position_m: &self.position_m,
            attitude_rad: &self.attitude_rad,
        }
    }

    pub fn assess(&self) -> OccupantRisk {
        assess(&self.motion(), [0.0, 0.0]).unwrap()
    }
}

/// Exact interval means of a decelerating half sine of `peak_g` over `length_s`, then rest.
pub fn half_sine(peak_g: f64, length_s: f64, interval_s: f64, intervals: usize) -> Record {
    // v = A T / pi (1 - cos(pi t / T))
    let lost = |k: usize| {
        let t = (k as f64 * interval_s).min(length_s);
        peak_g * G * length_s / PI * (1.0 - libm::cos(PI * t / length_s))
    };
    let mut record = Record::of(intervals, |k| {
        [-(lost(k + 1) - lost(k)) / interval_s, 0.0, 0.0]
    });
    record.interval_s = interval_s;
    record
}

/// ax = -60 sin(pi t / 0.2), ay = 25 sin(2 pi t / 0.2), w = 4 sin(pi t / 0.4), head at (0.35, 0.4), 0.4 s.
pub fn plane_motion() -> Record {
    let mean = |k: usize, size: f64, period_s: f64| {
        // mean of size sin(pi t / period) over interval k
        let primitive = |t: f64| -size * period_s / PI * libm::cos(PI * t / period_s);
        (primitive((k + 1) as f64 * 1e-4) - primitive(k as f64 * 1e-4)) / 1e-4
    };
    let mut record = Record::of(4000, |k| [mean(k, -60.0, 0.2), mean(k, 25.0, 0.1), 0.0]);
    record.yaw_rate_radps = sampled(4000, |i| 4.0 * libm::sin(PI * (i + 0.5) * 1e-4 / 0.4));
    record.head_m = [0.35, 0.4];
    record
}

/// `count` values of a function of the sample number.
pub fn sampled(count: usize, value: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..count).map(|i| value(i as f64)).collect()
}
