//! Parameters fitted to what was measured: priors of a study file, data of tests, draws of the posterior.
//!
//! A fit file is a study file whose `[sample]` is the prior, with data besides. Each base scenario is a case. Each drawn
//! axis is a parameter; a trace whose time zero is not certain adds a shift of its own.
//!
//! ```text
//! ln L = sum over numbers   -((m - c)/s)^2/2 - ln s,             s^2 = deviation^2 + (model error * m)^2
//!      + sum over traces    -|L^-1 (m - c)|^2/2 - sum ln L_ii,   L L' = d^2 I + (e P)^2 exp(-|t_i - t_j|/tau)
//! ```
//!
//! with m measured, c computed at the instants t, d the deviation of the measurement, e the model error over the largest
//! magnitude P of the measured trace and tau its correlation time.
//!
//! References (recalled): M. C. Kennedy, A. O'Hagan, Bayesian calibration of computer models, J. R. Stat. Soc. B 63 (2001):
//! model error; A. Gelman et al., Bayesian Data Analysis (2013): predictive checks, leaving out.

mod ask;
mod document;
mod judge;
mod observe;
mod posterior;
mod words;

pub use crate::fault::Refused;
pub use ask::{Asked, Question};
pub(crate) use ask::{RawAsk, questions};
pub use document::{LAB_SECTIONS, RecordTables, read_fit};
pub use posterior::{
    CasePrediction, NumberFit, ParameterFacts, Posterior, PriorEnd, Tie, TraceFit,
};

use giveway_sampling::{Cloud, SamplingError};
use giveway_study::Supports;
use giveway_study::plan::{DrawnAxis, Plan};
use rayon::prelude::*;

use observe::{NumberDatum, Predicted, TraceDatum};

/// Priors with data.
pub struct Fit {
    /// Title.
    pub title: String,
    plan: Plan,
    axes: Vec<DrawnAxis>,
    cases: Vec<String>,
    numbers: Vec<NumberDatum>,
    traces: Vec<TraceDatum>,
    questions: Vec<Question>,
    model_error_stated: bool,
    supports: Supports,
}

impl Fit {
    /// What is fitted.
    pub fn axes(&self) -> &[DrawnAxis] {
        &self.axes
    }

    /// Names of the cases.
    pub fn cases(&self) -> &[String] {
        &self.cases
    }

    /// Coordinates: parameters, and the shift of each trace whose time zero is not certain.
    pub fn dimensions(&self) -> usize {
        self.axes.len() + self.shifts().count()
    }

    /// Draws that the file asks for, an even number.
    pub fn draws(&self) -> usize {
        let asked = usize::try_from(self.plan.sample_points()).unwrap_or(0);
        asked + asked % 2
    }

    fn shifts(&self) -> impl Iterator<Item = &TraceDatum> {
        self.traces.iter().filter(|t| t.shift_s > 0.0)
    }

    /// The numbers of the data as the model gives them at these coordinates; none where a run gives none.
    pub fn computed_numbers(&self, z: &[f64]) -> Option<Vec<Option<f64>>> {
        self.predicted(z, &|_| true).map(|p| p.numbers)
    }

    /// The numbers at coordinates that are standard normal under the prior.
    ///
    /// # Errors
    /// An axis of words.
    pub fn parameters(&self, z: &[f64]) -> Result<Vec<f64>, String> {
        let places: Vec<f64> = z[..self.axes.len()]
            .iter()
            .map(|z| giveway_sampling::normal_cdf(*z).clamp(1e-12, 1.0 - 1e-12))
            .collect();
        self.plan.drawn(&places)
    }

    /// What the model says at these coordinates of the data of these cases; none where a run gives no numbers.
    fn predicted(&self, z: &[f64], wanted: &dyn Fn(usize) -> bool) -> Option<Predicted> {
        let numbers = self.parameters(z).ok()?;
        let mut shift = z[self.axes.len()..].iter();
        let shifts: Vec<f64> = self
            .traces
            .iter()
            .map(|t| {
                if t.shift_s > 0.0 {
                    shift.next().map_or(0.0, |z| z * t.shift_s)
                } else {
                    0.0
                }
            })
            .collect();
        let mut predicted = Predicted::empty(self.numbers.len(), self.traces.len());
        for case in (0..self.cases.len()).filter(|c| wanted(*c)) {
            let scenario = self.plan.scenario_with(case, 0, &numbers, &[]).ok()?;
            observe::run_case(
                case,
                scenario,
                &self.supports,
                (&self.numbers, &self.traces),
                &shifts,
                &mut predicted,
            )?;
        }
        Some(predicted)
    }

    /// ln L of all data, or of those that are not left out.
    pub fn log_likelihood(&self, z: &[f64], left_out: Option<Group>) -> f64 {
        let wanted = |case: usize| left_out != Some(Group::Case(case));
        let Some(predicted) = self.predicted(z, &wanted) else {
            return f64::NEG_INFINITY;
        };
        let mut sum = 0.0;
        for (i, datum) in self.numbers.iter().enumerate() {
            if left_out != Some(Group::Number(i)) && wanted(datum.case) {
                sum += datum.log_likelihood(predicted.numbers[i]);
            }
        }
        for (i, datum) in self.traces.iter().enumerate() {
            if left_out != Some(Group::Trace(i)) && wanted(datum.case) {
                sum += datum.log_likelihood(&predicted.traces[i]);
            }
        }
        sum
    }

    /// The cloud at its start: draws of the prior.
    ///
    /// # Errors
    /// Too few draws.
    pub fn begin(&self) -> Result<Cloud, SamplingError> {
        let log = |z: &[f64]| self.log_likelihood(z, None);
        Cloud::of_prior(self.dimensions(), self.draws(), self.plan.seed(), &log)
    }

    /// One stage on.
    ///
    /// # Errors
    /// Data that no draw explains.
    pub fn advance(&self, cloud: &mut Cloud) -> Result<(), SamplingError> {
        cloud.advance(&|z: &[f64]| self.log_likelihood(z, None))
    }

    /// What can be left out: the cases where there are several, else the single data where there are several.
    pub(crate) fn groups(&self) -> Vec<Group> {
        if self.cases.len() > 1 {
            return (0..self.cases.len()).map(Group::Case).collect();
        }
        let numbers = (0..self.numbers.len()).map(Group::Number);
        let all: Vec<Group> = numbers
            .chain((0..self.traces.len()).map(Group::Trace))
            .collect();
        if all.len() > 1 { all } else { Vec::new() }
    }

    /// The draws as columns of a table: name with unit, meaning, values.
    ///
    /// # Errors
    /// A draw without numbers.
    pub fn table(&self, cloud: &Cloud) -> Result<Vec<(String, String, Vec<f64>)>, String> {
        let rows: Vec<Vec<f64>> = cloud
            .draws
            .iter()
            .map(|z| self.parameters(z))
            .collect::<Result<_, _>>()?;
        let mut columns: Vec<(String, String, Vec<f64>)> = self
            .axes
            .iter()
            .enumerate()
            .map(|(i, a)| {
                (
                    a.column.clone(),
                    a.words.clone(),
                    rows.iter().map(|r| r[i]).collect(),
                )
            })
            .collect();
        for (i, t) in self.shifts().enumerate() {
            let values = cloud
                .draws
                .iter()
                .map(|z| z[self.axes.len() + i] * t.shift_s)
                .collect();
            let meaning = format!(
                "the trace {} comes this much later than its clock says",
                t.what
            );
            columns.push((format!("time_shift_{}_s", i + 1), meaning, values));
        }
        columns.push((
            "log_likelihood".to_owned(),
            "ln of the likelihood of the data".to_owned(),
            cloud.logs.clone(),
        ));
        Ok(columns)
    }

    /// What the draws say.
    ///
    /// # Errors
    /// A draw without numbers, or data left out that nothing else explains.
    pub fn told(&self, cloud: &Cloud) -> Result<Posterior, String> {
        let mut posterior = judge::told(self, cloud)?;
        posterior.words = words::words(
            &self.axes,
            &self.numbers,
            self.model_error_stated,
            &posterior,
        );
        Ok(posterior)
    }

    fn all_predicted(&self, draws: &[Vec<f64>]) -> Vec<Option<Predicted>> {
        draws
            .par_iter()
            .map(|z| self.predicted(z, &|_| true))
            .collect()
    }
}

/// Data that can be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// All of a case.
    Case(usize),
    /// One number.
    Number(usize),
    /// One trace.
    Trace(usize),
}
