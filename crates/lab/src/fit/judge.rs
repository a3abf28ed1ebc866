//! What the draws say: intervals, what the data does not tell, predictions against the data, each case from the others.

use giveway_occupant::CAUTION;
use giveway_sampling::{Cloud, effective, normal_quantile, seed, unit};
use nalgebra::{DMatrix, SymmetricEigen};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::ask::Asked;
use super::observe::Predicted;
use super::{Fit, Group};
use crate::quantity::shown;
use crate::statistics::{
    correlation, deviation, deviation_error, mean, quantile, rising, weighted_quantiles,
};

/// Layout of `posterior.json`.
const POSTERIOR_FORMAT: u32 = 1;
/// Parts of every interval: nine of ten, half, median.
const PARTS: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// Correlation from which two parameters are told as tied.
const TIED: f64 = 0.85;
/// Part of the prior's standard deviation from which nothing was learned ...
const UNLEARNED: f64 = 0.9;
/// ... where the mean lies no further from that of the prior, in the same measure.
const UNMOVED: f64 = 0.3;
/// Part of it up to which a combination counts as determined.
const DETERMINED: f64 = 0.5;
/// Draws that answer a question.
const ANSWERING: usize = 200;
/// Share of the draws that weighting must keep; below, the case is left out in a fit of its own.
const LEAST_EFFECTIVE: f64 = 0.1;

/// What a fit leaves: `posterior.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Posterior {
    /// Version of this layout.
    pub format: u32,
    /// Always `posterior`.
    pub kind: String,
    /// Title of the fit file.
    pub title: String,
    /// Number of draws.
    pub draws: usize,
    /// Root of the random numbers.
    pub seed: u64,
    /// Stages from prior to posterior.
    pub stages: u64,
    /// Share of moves taken at the last stage.
    pub accepted: f64,
    /// ln of the mean likelihood under the prior.
    pub log_evidence: f64,
    /// Parameters in their order.
    pub parameters: Vec<ParameterFacts>,
    /// Coefficients of correlation of the parameters (of their logarithms where they are above zero), row by row.
    pub correlation: Vec<Vec<f64>>,
    /// Pairs that the data does not tell apart.
    pub ties: Vec<Tie>,
    /// Combinations of parameters that the data determines (half of the prior's width or less), of so many.
    pub determined: [usize; 2],
    /// Measured numbers against the predictions.
    pub numbers: Vec<NumberFit>,
    /// Measured traces against the predictions.
    pub traces: Vec<TraceFit>,
    /// Each case (or datum) predicted from the others alone.
    pub left_out: Vec<CasePrediction>,
    /// Answers to the questions of the file.
    pub asked: Vec<Asked>,
    /// All of it in plain sentences.
    pub words: Vec<String>,
    /// Said with every result.
    pub caution: String,
}

/// One parameter. Quantiles 5, 25, 50, 75, 95 %, SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ParameterFacts {
    /// Column of the table of draws.
    pub column: String,
    /// Path or name.
    pub title: String,
    /// Under the prior.
    pub prior: [f64; 5],
    /// Under the posterior.
    pub posterior: [f64; 5],
    /// Standard deviation over that of the prior, on the scale on which the prior is normal.
    pub width_left: f64,
    /// Standard error of that for so many draws, taken as independent.
    pub width_error: f64,
    /// Mean less that of the prior, in standard deviations of the prior on that scale.
    pub moved: f64,
}

/// Two parameters that the data does not tell apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tie {
    /// Columns.
    pub columns: [String; 2],
    /// Their correlation.
    pub correlation: f64,
    /// Two places along the ridge, SI: low and high value of the second with the median of the first there.
    pub places: [[f64; 2]; 2],
    /// Exponent k of the combination first / second^k; null where one of them is not above zero.
    pub exponent: Option<f64>,
    /// Standard deviation of the logarithm of that combination, and of the first alone.
    pub spread: Option<[f64; 2]>,
    /// In words.
    pub words: String,
}

/// A measured number against its prediction, measurement and model error included.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NumberFit {
    /// What was measured.
    pub what: String,
    /// Measured value, SI.
    pub measured: f64,
    /// Standard deviation of measurement and model, SI.
    pub deviation: f64,
    /// Quantiles 5, 25, 50, 75, 95 % of the prediction, SI.
    pub predicted: [f64; 5],
    /// Whether the middle half of the prediction holds it.
    pub in_half: bool,
    /// Whether the middle nine of ten do.
    pub in_nine_tenths: bool,
}

/// A measured trace against its prediction, measurement and model error included.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TraceFit {
    /// What was measured.
    pub what: String,
    /// Column.
    pub column: String,
    /// Instants after time zero, s.
    pub time_s: Vec<f64>,
    /// Measured, SI.
    pub measured: Vec<f64>,
    /// Quantiles 5, 25, 50, 75, 95 % of the prediction at each instant, SI.
    pub predicted: Vec<[f64; 5]>,
    /// Share of the instants that lie in the middle half.
    pub share_in_half: f64,
    /// Share in the middle nine of ten.
    pub share_in_nine_tenths: f64,
}

/// A case, or a datum, predicted from the others alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CasePrediction {
    /// What was left out.
    pub what: String,
    /// Number of equal draws that the prediction is worth.
    pub effective_draws: f64,
    /// Whether it took a fit of its own; else the draws were weighted.
    pub fitted_again: bool,
    /// Its numbers.
    pub numbers: Vec<NumberFit>,
    /// Its traces.
    pub traces: Vec<TraceFit>,
}

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
    let (numbers, traces) = against_data(fit, &predicted, &equal, &everything);
    let left_out = fit
        .groups()
        .into_iter()
        .map(|group| without(fit, cloud, &predicted, group))
        .collect::<Result<_, _>>()?;
    let mut posterior = Posterior {
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
    posterior.words = words(fit, &posterior);
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
            ParameterFacts {
                column: axis.column.clone(),
                title: axis.title.clone(),
                prior: [0, 1, 2, 3, 4].map(|q| prior[q][i]),
                posterior: PARTS.map(|p| quantile(&columns[i], p)),
                width_left: deviation(&z),
                width_error: deviation_error(&z),
                moved: mean(&z),
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
            let k = rho.signum() * deviation(&la) / deviation(&lb);
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
        let size = giveway_units::shown(k.abs(), 2);
        let power = if size == "1" {
            String::new()
        } else {
            format!("^{size}")
        };
        let sign = if k < 0.0 { "times" } else { "over" };
        words.push_str(&format!(
            " It knows the first {sign} the second{power} to {} %, the first alone to {} % (standard deviations).",
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
            let mut words = format!(
                "{}: {}, nine of ten within {} to {}.",
                question.name,
                shown(q[2], question.measure),
                shown(q[0], question.measure),
                shown(q[4], question.measure)
            );
            if beyond > 0.0 {
                words.push_str(&format!(
                    " In {} % of the draws it lies beyond the range that was tried.",
                    giveway_units::shown(100.0 * beyond, 2)
                ));
            }
            Asked {
                name: question.name.clone(),
                quantiles: q,
                words,
                beyond,
            }
        })
        .collect()
}

fn words(fit: &Fit, p: &Posterior) -> Vec<String> {
    let mut words = Vec::new();
    for (facts, axis) in p.parameters.iter().zip(&fit.axes) {
        let [low, .., high] = facts.posterior;
        let range = format!(
            "`{}`: {}, nine of ten within {} to {}",
            facts.title,
            shown(facts.posterior[2], axis.measure),
            shown(low, axis.measure),
            shown(high, axis.measure)
        );
        let unlearned = facts.width_left > UNLEARNED && facts.moved.abs() < UNMOVED;
        words.push(if unlearned {
            let draws = p.draws;
            format!("{range}. The data says nothing of it that {draws} draws would show: this is the prior.")
        } else {
            let [left, error] = [facts.width_left, facts.width_error];
            let left = giveway_units::shown(100.0 * left, 2);
            let error = (100.0 * error).ceil();
            format!("{range}; {left} % (give or take {error}) of the prior's width is left.")
        });
    }
    words.extend(p.ties.iter().map(|t| t.words.clone()));
    let [known, of] = p.determined;
    let combinations = if known == 1 {
        "combination"
    } else {
        "combinations"
    };
    words.push(match known {
        k if k == of => format!("The data determines all {of} parameters (each direction to half of the prior's width or less)."),
        0 => format!("The data determines no combination of the {of} parameters to half of the prior's width."),
        _ => format!("The data determines {known} {combinations} of the {of} parameters; along the other {} it leaves more than half of the prior's width.", of - known),
    });
    for n in p.numbers.iter().filter(|n| !n.in_nine_tenths) {
        words.push(format!("{}: measured outside the nine of ten that the fit predicts: model and data do not agree there.", n.what));
    }
    for t in &p.traces {
        words.push(format!(
            "{}: {} % of the instants lie within the band of nine of ten.",
            t.what,
            giveway_units::shown(100.0 * t.share_in_nine_tenths, 2)
        ));
    }
    if !p.left_out.is_empty() {
        let numbers = p.left_out.iter().flat_map(|c| &c.numbers);
        let (all, half, nine) = numbers.fold((0, 0, 0), |(a, h, n), f| {
            (
                a + 1,
                h + usize::from(f.in_half),
                n + usize::from(f.in_nine_tenths),
            )
        });
        if all > 0 {
            words.push(format!("Each predicted from the others alone: {half} of {all} numbers lie in the middle half, {nine} of {all} in nine of ten."));
        }
        for c in &p.left_out {
            for t in &c.traces {
                words.push(format!(
                    "{} predicted from the others alone: {} % of the instants within nine of ten.",
                    t.what,
                    giveway_units::shown(100.0 * t.share_in_nine_tenths, 2)
                ));
            }
        }
    }
    words.extend(p.asked.iter().map(|a| a.words.clone()));
    if !fit.model_error_stated {
        words.push("No model error is stated ([error]): if the model is off, these intervals are too narrow.".to_owned());
    }
    words
}
