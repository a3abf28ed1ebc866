//! One calibration over all tests in print: a few numbers that every run shares, fitted together.
//!
//! ```text
//! ln y = ln f(m, c, a, k) + s e            measured y, response f, e standard normal, s the model error of its kind of quantity (with the reading's)
//! ln m = ln m_0 + t u,  ln c = n v         friction m and clamp c of one base: u, v standard normal, t and n their spreads
//! L(row | shared) = mean over u, v of p(y | f(m, c, a, k), s)
//! ```
//!
//! m_0 (friction of a typical base), t, a (lever of the plates), k (front, one a class) and s (one a kind) are shared and fitted; u and v
//! belong to one base and are averaged out over a lattice of points. A row that names no number has the probability of what is
//! in print: below a limit, above another run, one of each outcome. f comes from a grid of engagement runs, in straight lines
//! of logarithms between its points ([`Response`]); the error of that is measured on runs between the points and counts in s.
//! The draws are those of `giveway_sampling::Cloud`, as for a fit.
//!
//! References: M. C. Kennedy, A. O'Hagan, J. R. Stat. Soc. B 63 (2001): model error; A. Gelman et al., Bayesian Data Analysis
//! (2013): levels of one population, leaving out (recalled).

mod evidence;
mod response;
mod rows;

pub use evidence::{Evidence, Parameter, Row, Says, read_evidence};
pub use response::{Response, Responses, Surface, respond};

use giveway_mechanics::MODEL_VERSION;
use giveway_sampling::{Cloud, SamplingError};
use giveway_study::shared::{Acts, SharedParameter, SharedPosterior, SharedRow};

use crate::statistics::quantile;
use rows::{Bases, Shared, log_likelihood, prediction, present};

/// Quantiles that are told.
pub const PARTS: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// Half of an interval of nine of ten, in standard deviations.
const NINE_OF_TEN: f64 = 1.644_853_626_951_472_7;
/// Draws that are kept for the ranges of runs.
const KEPT: usize = 32;

/// The posterior of the shared numbers, and every case predicted from the others.
///
/// # Errors
/// A parameter that no row names, too few draws, or rows that no draw explains.
pub fn calibrate(evidence: &Evidence, responses: &Responses) -> Result<SharedPosterior, String> {
    let whole = draws(evidence, responses, None).map_err(|e| e.to_string())?;
    let mut cases: Vec<&str> = evidence.row.iter().map(|r| r.case.as_str()).collect();
    cases.dedup();
    let mut rows = Vec::new();
    for case in cases {
        let own: Vec<&Row> = evidence.row.iter().filter(|r| r.case == case).collect();
        let cloud = if own.iter().any(|r| r.counted) {
            draws(evidence, responses, Some(case)).map_err(|e| format!("{case}: {e}"))?
        } else {
            whole.clone()
        };
        let values: Vec<Vec<f64>> = cloud.draws.iter().map(|z| evidence.values(z)).collect();
        rows.extend(
            own.into_iter()
                .map(|row| told(evidence, responses, row, &values)),
        );
    }
    let numbers = || {
        rows.iter()
            .filter(|r: &&SharedRow| r.counted && r.measured.is_some())
    };
    let within = |tail: f64| {
        numbers()
            .filter(|r| (tail..=1.0 - tail).contains(&r.probability))
            .count()
    };
    let coverage = [numbers().count(), within(0.25), within(0.05)];
    let values: Vec<Vec<f64>> = whole.draws.iter().map(|z| evidence.values(z)).collect();
    let parameters = evidence
        .parameter
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let own: Vec<f64> = values.iter().map(|v| v[i]).collect();
            let quantiles = PARTS.map(|part| quantile(&own, part));
            let of_prior = |z: f64| p.median * libm::exp(p.spread * z);
            let wide = 2.0 * NINE_OF_TEN * p.spread;
            // A number without a spread is known: it does not move.
            let over = |x: f64, width: f64, known: f64| if width > 0.0 { x / width } else { known };
            let below = own.iter().filter(|v| **v < p.present).count();
            SharedParameter {
                name: p.name.clone(),
                acts: p.acts,
                prior: [p.median, p.spread],
                prior_range: [-NINE_OF_TEN, NINE_OF_TEN].map(|z| rounded(of_prior(z))),
                quantiles: quantiles.map(rounded),
                moved: rounded(over(libm::log(quantiles[2] / p.median), p.spread, 0.0)),
                kept: rounded(over(libm::log(quantiles[4] / quantiles[0]), wide, 1.0)),
                present: p.present,
                below_present: rounded(below as f64 / own.len() as f64),
                why: p.why.clone(),
            }
        })
        .collect();
    let pace = (values.len() / KEPT).max(1);
    let rounded_all = |v: &Vec<f64>| v.iter().map(|x| rounded(*x)).collect::<Vec<_>>();
    let kept = values.iter().step_by(pace).take(KEPT);
    let mut draws: Vec<_> = kept.map(rounded_all).collect();
    // In the order of the spread between bases, so that the even numbers by which predictive ranges multiply it meet small
    // and large ones alike.
    let acts = |p: &Parameter| p.acts == Acts::FrictionSpread;
    if let Some(spread) = evidence.parameter.iter().position(acts) {
        draws.sort_by(|a, b| a[spread].total_cmp(&b[spread]));
    }
    Ok(SharedPosterior {
        model_version: MODEL_VERSION,
        chosen: evidence.chosen.clone(),
        runs: responses.runs,
        log_evidence: rounded(whole.log_evidence),
        nut_spread: evidence.nut_factor.spread,
        parameters,
        rows,
        coverage,
        draws,
    })
}

/// Draws of the posterior, one case left out.
///
/// # Errors
/// Too few draws, or rows that no draw explains.
pub fn draws(
    evidence: &Evidence,
    responses: &Responses,
    left_out: Option<&str>,
) -> Result<Cloud, SamplingError> {
    let bases = Bases::new();
    let log = |z: &[f64]| {
        let shared = Shared::of(evidence, &evidence.values(z));
        evidence
            .row
            .iter()
            .zip(&responses.of)
            .filter(|(row, _)| row.counted && left_out != Some(row.case.as_str()))
            .map(|(row, of)| log_likelihood(row, of, &shared, &bases))
            .sum::<f64>()
    };
    let mut cloud = Cloud::of_prior(
        evidence.parameter.len(),
        evidence.draws,
        evidence.seed,
        &log,
    )?;
    while !cloud.done() {
        cloud.advance(&log)?;
    }
    Ok(cloud)
}

fn told(evidence: &Evidence, responses: &Responses, row: &Row, values: &[Vec<f64>]) -> SharedRow {
    let place = evidence.row.iter().position(|r| std::ptr::eq(r, row));
    let of = &responses.of[place.unwrap_or(0)];
    let shared: Vec<Shared> = values.iter().map(|v| Shared::of(evidence, v)).collect();
    let prediction = prediction(row, of, &shared, &Bases::new());
    SharedRow {
        id: row.id.clone(),
        case: row.case.clone(),
        counted: row.counted,
        says: row.says.in_words(),
        measured: row.says.number(),
        at_present: rounded(present(row, of, evidence)),
        predicted: prediction.quantiles.map(rounded),
        probability: rounded(prediction.probability),
        grid_error: rounded(of.error),
        why: row.why.clone(),
    }
}

/// Four digits: more of them would only tell of the last bits of the runs.
fn rounded(x: f64) -> f64 {
    format!("{x:.3e}").parse().unwrap_or(x)
}
