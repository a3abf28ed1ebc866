//! What the draws say: intervals, what the data does not tell, predictions against the data, each case from the others.

use giveway_occupant::CAUTION;
use giveway_sampling::{Cloud, effective, normal_quantile, seed, unit};
use nalgebra::{DMatrix, SymmetricEigen};
use rayon::prelude::*;

use super::ask::Asked;
use super::observe::Predicted;
use super::posterior::{
    CasePrediction, NumberFit, ParameterFacts, Posterior, PriorEnd, Tie, TraceFit,
};
use super::{Fit, Group};
use crate::quantity::shown;
use crate::statistics::{
    correlation, deviation, interval_error, mean, quantile, rising, weighted_quantiles,
};

/// Layout of `posterior.json`.
const POSTERIOR_FORMAT: u32 = 1;
/// Parts of every interval: nine of ten, half, median.
const PARTS: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// Correlation from which two parameters are told as tied.
const TIED: f64 = 0.85;
/// An exponent so near to one counts as one.
const SIMPLE: f64 = 0.05;
/// Part of the prior's standard deviation up to which a combination counts as determined.
const DETERMINED: f64 = 0.5;
/// Draws that answer a question.
const ANSWERING: usize = 200;
/// Share of the draws that weighting must keep; below, the case is left out in a fit of its own. Draws that the datum has drawn
/// together cannot be weighted apart again, and the number of them that count does not show it: of a normal posterior this share is
/// kept where the datum narrows it to no less than 0.6 of the variance or shifts it by 0.6 of its deviation.
const LEAST_EFFECTIVE: f64 = 0.7;
/// Parts of the draws that lie further out than these parts of the prior: then the posterior stands against an end of it.
const AGAINST: [f64; 2] = [0.05, 0.02];

pub(super) fn told(fit: &Fit, cloud: &Cloud) -> Result<Posterior, String> {
    let table: Vec<Vec<f64>> = cloud
        .draws
        .iter()
        .map(|z| fit.parameters(z))
        .collect::<Result<_, _>>()?;
    let columns: Vec<Vec<f64>> = (0..fit.axes.len())
        .map(|i| table.iter().map(|r| r[i]).collect())
        .collect();
    let parameters = parameters(fit, cloud, &columns)?;
    let scaled: Vec<Vec<f64>> = columns
        .iter()
        .map(|c| logarithm(c).unwrap_or_else(|| c.clone()))
        .collect();
    let correlations: Vec<Vec<f64>> = scaled
        .iter()
        .map(|a| scaled.iter().map(|b| correlation(a, b)).collect())
        .collect();
    let ties = ties(fit, &columns, &correlations);
    let predicted = fit.all_predicted(&cloud.draws);
    let equal = vec![1.0; cloud.draws.len()];
    let everything = |_: Group| true;
    let (numbers, mut traces) = against_data(fit, &predicted, &equal, &everything);
    let shifted = fit
        .traces
        .iter()
        .zip(&mut traces)
        .filter(|(t, _)| t.shift_s > 0.0);
    for (i, (datum, told)) in shifted.enumerate() {
        let column: Vec<f64> = (cloud.draws.iter())
            .map(|z| z[fit.axes.len() + i] * datum.shift_s)
            .collect();
        told.shift_s = Some(PARTS.map(|p| quantile(&column, p)));
    }
    let left_out = fit
        .groups()
        .into_iter()
        .map(|group| without(fit, cloud, &predicted, group))
        .collect::<Result<_, _>>()?;
    let posterior = Posterior {
        format: POSTERIOR_FORMAT,
        kind: "posterior".to_owned(),
        title: fit.title.clone(),
        draws: cloud.draws.len(),
        seed: cloud.root,
        stages: cloud.stage,
        accepted: cloud.accepted,
        log_evidence: cloud.log_evidence,
        determined: [determined(cloud, fit.axes.len()), fit.axes.len()],
        parameters,
        correlation: correlations,
        ties,
        numbers,
        traces,
        left_out,
        asked: answers(fit, &table),
        words: Vec::new(),
        caution: CAUTION.to_owned(),
    };
    Ok(posterior)
}

/// Logarithms, where all are above zero.
fn logarithm(values: &[f64]) -> Option<Vec<f64>> {
    (values.iter().all(|v| *v > 0.0)).then(|| values.iter().map(|v| libm::log(*v)).collect())
}

fn parameters(
    fit: &Fit,
    cloud: &Cloud,
    columns: &[Vec<f64>],
) -> Result<Vec<ParameterFacts>, String> {
    let prior = PARTS
        .iter()
        .map(|p| fit.plan.drawn(&vec![*p; fit.axes.len()]))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(fit
        .axes
        .iter()
        .enumerate()
        .map(|(i, axis)| {
            let z: Vec<f64> = cloud.draws.iter().map(|z| z[i]).collect();
            let prior = [0, 1, 2, 3, 4].map(|q| prior[q][i]);
            let wide = (prior[4] - prior[0]).abs();
            let over = |x: f64| if wide > 0.0 { x.abs() / wide } else { 1.0 };
            let posterior = PARTS.map(|p| quantile(&columns[i], p));
            let [out, end] = [AGAINST[0], normal_quantile(AGAINST[1])];
            let against = if quantile(&z, out) < end {
                Some(PriorEnd::Lower)
            } else if quantile(&z, 1.0 - out) > -end {
                Some(PriorEnd::Upper)
            } else {
                None
            };
            ParameterFacts {
                column: axis.column.clone(),
                title: axis.title.clone(),
                prior,
                posterior,
                width_left: over(posterior[4] - posterior[0]),
                width_error: over(interval_error(&columns[i], [PARTS[0], PARTS[4]])),
                moved: mean(&z),
                deviation_left: deviation(&z),
                against,
            }
        })
        .collect())
}

/// Directions in which the posterior is at most half as wide as the prior.
fn determined(cloud: &Cloud, axes: usize) -> usize {
    let column = |i: usize| -> Vec<f64> { cloud.draws.iter().map(|z| z[i]).collect() };
    let columns: Vec<Vec<f64>> = (0..axes).map(column).collect();
    let covariance = DMatrix::from_fn(axes, axes, |i, j| {
        correlation(&columns[i], &columns[j]) * deviation(&columns[i]) * deviation(&columns[j])
    });
    let values = SymmetricEigen::new(covariance).eigenvalues;
    values
        .iter()
        .filter(|v| **v <= DETERMINED * DETERMINED)
        .count()
}

fn ties(fit: &Fit, columns: &[Vec<f64>], correlations: &[Vec<f64>]) -> Vec<Tie> {
    let mut ties = Vec::new();
    for (i, row) in correlations.iter().enumerate() {
        for (j, correlation) in row.iter().enumerate().skip(i + 1) {
            if correlation.abs() >= TIED {
                ties.push(tie(fit, columns, (i, j), *correlation));
            }
        }
    }
    ties.sort_by(|a, b| b.correlation.abs().total_cmp(&a.correlation.abs()));
    ties
}

fn tie(fit: &Fit, columns: &[Vec<f64>], (i, j): (usize, usize), rho: f64) -> Tie {
    let (a, b) = (&columns[i], &columns[j]);
    let order = rising(b);
    // The median of the first in the lowest and the highest tenth of the second.
    let tenth = (order.len() / 10).max(1);
    let place = |part: &[usize]| {
        let of =
            |values: &[f64]| quantile(&part.iter().map(|k| values[*k]).collect::<Vec<_>>(), 0.5);
        [of(a), of(b)]
    };
    let places = [place(&order[..tenth]), place(&order[order.len() - tenth..])];
    let logs = logarithm(a).zip(logarithm(b));
    let (exponent, spread) = match logs {
        Some((la, lb)) => {
            // Near one it is a ratio (or a product) to people.
            let k = deviation(&la) / deviation(&lb);
            let k = rho.signum() * if (k - 1.0).abs() < SIMPLE { 1.0 } else { k };
            let combination: Vec<f64> = la.iter().zip(&lb).map(|(x, y)| x - k * y).collect();
            (Some(k), Some([deviation(&combination), deviation(&la)]))
        }
        None => (None, None),
    };
    let (first, second) = (&fit.axes[i], &fit.axes[j]);
    let at = |p: [f64; 2]| {
        format!(
            "{} with {}",
            shown(p[0], first.measure),
            shown(p[1], second.measure)
        )
    };
    let mut words = format!(
        "The data does not tell `{}` and `{}` apart (correlation {}): {} fits as well as {}.",
        first.title,
        second.title,
        giveway_units::shown(rho, 2),
        at(places[0]),
        at(places[1])
    );
    if let (Some(k), Some([narrow, wide])) = (exponent, spread) {
        let known = match (k == k.signum(), k < 0.0) {
            (true, false) => "the first over the second, their ratio,".to_owned(),
            (true, true) => "their product".to_owned(),
            (false, below) => {
                let sign = if below { "times" } else { "over" };
                let power = giveway_units::shown(k.abs(), 2);
                format!("the first {sign} the second^{power}")
            }
        };
        words.push_str(&format!(
            " It knows {known} to {} %, the first alone to {} % (standard deviations).",
            giveway_units::shown(100.0 * narrow, 2),
            giveway_units::shown(100.0 * wide, 2)
        ));
    }
    Tie {
        columns: [first.column.clone(), second.column.clone()],
        correlation: rho,
        places,
        exponent,
        spread,
        words,
    }
}

/// A deviate for one prediction: the same for every number of threads.
fn deviate(draw: usize, datum: usize, instant: usize) -> f64 {
    normal_quantile(unit(seed(
        0x7072_6564,
        draw as u64,
        (datum as u64) << 32 | instant as u64,
    )))
}

fn against_data(
    fit: &Fit,
    predicted: &[Option<Predicted>],
    weights: &[f64],
    wanted: &dyn Fn(Group) -> bool,
) -> (Vec<NumberFit>, Vec<TraceFit>) {
    let takes = |group: Group, case: usize| wanted(group) || wanted(Group::Case(case));
    let numbers = fit
        .numbers
        .iter()
        .enumerate()
        .filter(|(i, n)| takes(Group::Number(*i), n.case));
    let numbers = numbers.map(|(i, n)| {
        let value = |k: usize, p: &Predicted| Some(p.numbers[i]? + n.deviation * deviate(k, i, 0));
        let q = quantiles(predicted, weights, &value);
        NumberFit {
            what: n.what.clone(),
            measured: n.value,
            deviation: n.deviation,
            predicted: q,
            in_half: within(n.value, q[1], q[3]),
            in_nine_tenths: within(n.value, q[0], q[4]),
        }
    });
    let traces = fit
        .traces
        .iter()
        .enumerate()
        .filter(|(i, t)| takes(Group::Trace(*i), t.case));
    let traces = traces.map(|(i, t)| {
        let bands: Vec<[f64; 5]> = (0..t.values.len())
            .into_par_iter()
            .map(|j| {
                let value = |k: usize, p: &Predicted| {
                    let noise = t.spread.deviations[j] * deviate(k, fit.numbers.len() + i, j);
                    p.traces[i].get(j).map(|v| v + noise)
                };
                quantiles(predicted, weights, &value)
            })
            .collect();
        let share = |low: usize, high: usize| {
            let inside = t
                .values
                .iter()
                .zip(&bands)
                .filter(|(v, q)| within(**v, q[low], q[high]));
            inside.count() as f64 / t.values.len() as f64
        };
        TraceFit {
            what: t.what.clone(),
            column: t.column.clone(),
            time_s: t.times_s.clone(),
            measured: t.values.clone(),
            share_in_half: share(1, 3),
            share_in_nine_tenths: share(0, 4),
            predicted: bands,
            shift_s: None,
            time_zero_s: t.shift_s,
        }
    });
    (numbers.collect(), traces.collect())
}

fn within(value: f64, low: f64, high: f64) -> bool {
    low <= value && value <= high
}

fn quantiles(
    predicted: &[Option<Predicted>],
    weights: &[f64],
    value: &dyn Fn(usize, &Predicted) -> Option<f64>,
) -> [f64; 5] {
    let (mut values, mut kept) = (Vec::new(), Vec::new());
    for (k, (p, w)) in predicted.iter().zip(weights).enumerate() {
        if let Some(v) = p.as_ref().and_then(|p| value(k, p)) {
            values.push(v);
            kept.push(*w);
        }
    }
    weighted_quantiles(&rising(&values), &values, &kept, PARTS)
}

/// A group predicted from the rest: by weights 1/L of the group, or by a fit without it where those hang on few draws.
fn without(
    fit: &Fit,
    cloud: &Cloud,
    predicted: &[Option<Predicted>],
    group: Group,
) -> Result<CasePrediction, String> {
    let of_group = |g: Group| g == group;
    let log = |p: &Option<Predicted>| -> f64 {
        let Some(p) = p else { return f64::NEG_INFINITY };
        let numbers = fit.numbers.iter().enumerate();
        let numbers =
            numbers.filter(|(i, n)| of_group(Group::Number(*i)) || of_group(Group::Case(n.case)));
        let traces = fit.traces.iter().enumerate();
        let traces =
            traces.filter(|(i, t)| of_group(Group::Trace(*i)) || of_group(Group::Case(t.case)));
        numbers
            .map(|(i, n)| n.log_likelihood(p.numbers[i]))
            .sum::<f64>()
            + traces
                .map(|(i, t)| t.log_likelihood(&p.traces[i]))
                .sum::<f64>()
    };
    let logs: Vec<f64> = predicted.iter().map(log).collect();
    let least = logs.iter().copied().fold(f64::INFINITY, f64::min);
    let weights: Vec<f64> = logs.iter().map(|l| libm::exp(least - l)).collect();
    let worth = effective(&weights);
    let what = match group {
        Group::Case(i) => fit.cases[i].clone(),
        Group::Number(i) => fit.numbers[i].what.clone(),
        Group::Trace(i) => fit.traces[i].what.clone(),
    };
    if least.is_finite() && worth >= LEAST_EFFECTIVE * logs.len() as f64 {
        let (numbers, traces) = against_data(fit, predicted, &weights, &of_group);
        return Ok(CasePrediction {
            what,
            effective_draws: worth,
            fitted_again: false,
            numbers,
            traces,
        });
    }
    let count = (cloud.draws.len() / 4).max(4 * fit.dimensions()).max(100);
    let rest = |z: &[f64]| fit.log_likelihood(z, Some(group));
    let mut own = Cloud::of_prior(fit.dimensions(), count + count % 2, cloud.root, &rest)
        .map_err(|e| e.to_string())?;
    while !own.done() {
        own.advance(&rest).map_err(|e| e.to_string())?;
    }
    let predicted = fit.all_predicted(&own.draws);
    let (numbers, traces) = against_data(fit, &predicted, &vec![1.0; own.draws.len()], &of_group);
    Ok(CasePrediction {
        what,
        effective_draws: own.draws.len() as f64,
        fitted_again: true,
        numbers,
        traces,
    })
}

fn answers(fit: &Fit, table: &[Vec<f64>]) -> Vec<Asked> {
    let step = (table.len() / ANSWERING).max(1);
    fit.questions
        .iter()
        .map(|question| {
            let found: Vec<Option<(f64, bool)>> = table
                .par_iter()
                .step_by(step)
                .map(|numbers| question.answer(&fit.plan, &fit.supports, numbers))
                .collect();
            let values: Vec<f64> = found.iter().flatten().map(|f| f.0).collect();
            let beyond =
                found.iter().flatten().filter(|f| f.1).count() as f64 / values.len().max(1) as f64;
            let q = PARTS.map(|p| quantile(&values, p));
            let words = question.told(q, beyond);
            Asked {
                name: question.name.clone(),
                quantiles: q,
                words,
                beyond,
            }
        })
        .collect()
}
