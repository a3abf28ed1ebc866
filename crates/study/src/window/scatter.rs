//! The scatter of an installation: what differs from one base to the next of the same design.
//!
//! Each bolt has its own nut factor, for the wrench is set to a torque and not to a clamp. The frictions share one state of the
//! surfaces, so one factor multiplies them all (assumed; independent frictions would scatter less in sum).
//! Relaxation is that of the base. Realisations are rows of a Latin hypercube; every torque and every impact sees
//! the same ones, so that their differences are not hidden by chance.

use giveway_sampling::{Design, Distribution, LatinHypercube, Placement, SamplingError};
use giveway_scenario::model::Scenario;

use super::limits::{nut_factor, with_torque};
use crate::error::StudyError;
use crate::plan::standard::{Shape, Standard, standard};

/// Distributions of what scatters.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// Nut factor K of a bolt.
    pub nut_factor: Distribution,
    /// Factor on the design's frictions.
    pub friction: Distribution,
    /// Loss of preload by relaxation.
    pub relaxation: Distribution,
}

/// One base of the design.
#[derive(Debug, Clone, PartialEq)]
pub struct Realisation {
    /// Nut factor of each bolt.
    pub nut_factors: Vec<f64>,
    /// Factor on the design's frictions under head and nut, between the plates and on the notch wall, static and sliding.
    pub friction: f64,
    /// Loss of preload by relaxation.
    pub relaxation: f64,
}

impl Scatter {
    /// The standard distributions of studies; that of the nut factor is stretched to have the design's nut factor as its
    /// median.
    ///
    /// # Errors
    /// A nut factor about which there is no distribution.
    pub fn standard(design: &Scenario) -> Result<Self, StudyError> {
        let row = |name: &str| -> Result<&'static Standard, StudyError> {
            standard(name).ok_or_else(|| {
                StudyError::Window(format!("there is no standard distribution called {name}"))
            })
        };
        let of = |name: &str| -> Result<Distribution, StudyError> {
            Ok(row(name)?.shape.distribution()?)
        };
        let nut = row("nut-factor")?;
        let median = nut.shape.distribution()?.quantile(0.5)?;
        Ok(Self {
            nut_factor: stretched(nut.shape, nut_factor(design) / median).distribution()?,
            friction: of("friction-of-new")?,
            relaxation: of("relaxation")?,
        })
    }

    /// Realisations of a base with that number of bolts.
    ///
    /// # Errors
    /// More realisations than a Latin hypercube takes, or none.
    pub fn realisations(
        &self,
        bolts: usize,
        count: u64,
        root: u64,
    ) -> Result<Vec<Realisation>, StudyError> {
        let design = LatinHypercube::new(bolts + 2, count, Placement::Random, root)?;
        let row = |i| -> Result<Realisation, SamplingError> {
            let point = design.point(i)?;
            Ok(Realisation {
                nut_factors: point[..bolts]
                    .iter()
                    .map(|&u| self.nut_factor.quantile(u))
                    .collect::<Result<_, _>>()?,
                friction: self.friction.quantile(point[bolts])?,
                relaxation: self.relaxation.quantile(point[bolts + 1])?,
            })
        };
        Ok((0..count).map(row).collect::<Result<_, _>>()?)
    }
}

/// A shape whose every length is multiplied.
fn stretched(shape: Shape, by: f64) -> Shape {
    match shape {
        Shape::Uniform(low, high) => Shape::Uniform(by * low, by * high),
        Shape::Normal(mean, deviation, low, high) => {
            Shape::Normal(by * mean, by * deviation, by * low, by * high)
        }
        // The spread of the logarithm does not change.
        Shape::Lognormal(median, spread, low, high) => {
            Shape::Lognormal(by * median, spread, by * low, by * high)
        }
        Shape::Triangular(low, mode, high) => Shape::Triangular(by * low, by * mode, by * high),
    }
}

impl Realisation {
    /// This base with the wrench set to a torque. The clamp of bolt i is (1 - r) T/(K_i d): the torque T K/K_i on the design's
    /// nut factor K.
    ///
    /// # Errors
    /// A torque without meaning.
    pub fn at(&self, design: &Scenario, torque_nm: f64) -> Result<Scenario, StudyError> {
        let mut s = design.clone();
        s.base.friction_outer *= self.friction;
        s.base.friction_inner *= self.friction;
        s.base.friction_wall *= self.friction;
        s.base.sliding_outer *= self.friction;
        s.base.sliding_inner *= self.friction;
        s.base.sliding_wall *= self.friction;
        s.base.relaxation = self.relaxation;
        let mut s = with_torque(&s, torque_nm)?;
        let k = nut_factor(design);
        s.as_found.torques_nm = self
            .nut_factors
            .iter()
            .map(|k_i| torque_nm * k / k_i)
            .collect();
        Ok(s)
    }

    /// The largest clamp of a bolt over that of the design at the same torque, before it relaxes: K/min K_i.
    pub fn largest_clamp_ratio(&self, design: &Scenario) -> f64 {
        let least = self
            .nut_factors
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        nut_factor(design) / least
    }
}
