//! The next test: which of some candidates tells most, alone and in pairs.
//!
//! ```text
//! I = E[ ln p(y | theta) - ln mean_j p(y | theta_j) ],   y = model(theta_m) + error
//! ```
//!
//! over draws theta of the present knowledge: the expected gain of information, nats. For a question q(theta) the same
//! weights p(y | theta_j), j other than m, give the interval of q that is left after each imagined outcome. A pair is judged
//! by the product of both densities, so what two tests tell together is counted once.
//!
//! References (recalled): D. V. Lindley, On a measure of the information provided by an experiment, Ann. Math. Statist. 27
//! (1956) 986-1005; K. J. Ryan, Estimating expected information gains for experimental designs, J. Comput. Graph. Stat. 12
//! (2003) 585-603: nested estimate, never above ln of the number of draws.

use giveway_impact::RecordRequest;
use giveway_occupant::CAUTION;
use giveway_results::NumberTable;
use giveway_sampling::{normal_quantile, seed, unit};
use giveway_scenario::Diagnostic;
use giveway_study::Supports;
use giveway_study::plan::{DrawnAxis, Load, Plan, Read};
use giveway_units::Dimension;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::fault::{Described, Refused};
use crate::fit::{Question, RawAsk, questions};
use crate::quantity::{Quantity, quantity_named};
use crate::statistics::{quantile, rising, weighted_quantiles};

/// Sections that a study file does not have.
pub const PLAN_SECTIONS: &[&str] = &["measure", "cost", "ask", "knowledge"];
/// Layout of `next_test.json`.
const CHOICE_FORMAT: u32 = 1;
/// Imagined outcomes of each test.
const OUTCOMES: usize = 200;
/// Candidates of which all pairs are judged.
const PAIRED: usize = 60;
/// A density that stands for "a base that lets go where this one held", ln.
const OTHER_OUTCOME: f64 = -50.0;

type Text = Spanned<String>;

#[derive(Deserialize)]
struct Raw {
    #[serde(default)]
    measure: Vec<Spanned<RawMeasure>>,
    #[serde(default)]
    cost: Vec<Spanned<RawCost>>,
    #[serde(default)]
    ask: Vec<Spanned<RawAsk>>,
    #[serde(default)]
    knowledge: RawKnowledge,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawKnowledge {
    posterior: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMeasure {
    name: String,
    #[serde(default)]
    cost: f64,
    data: Vec<RawDatum>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawDatum {
    name: Text,
    deviation: Text,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCost {
    path: Text,
    value: Text,
    cost: f64,
}

/// What is measured in a test.
#[derive(Debug, Clone)]
struct Measure {
    name: String,
    cost: f64,
    /// Place in `NextTest::quantities`, and standard deviation.
    data: Vec<(usize, f64)>,
}

/// Candidates, present knowledge and questions.
pub struct NextTest {
    /// Title.
    pub title: String,
    plan: Plan,
    measures: Vec<Measure>,
    quantities: Vec<&'static Quantity>,
    costs: Vec<(String, String, f64)>,
    questions: Vec<Question>,
    /// Draws: numbers of what is drawn.
    draws: Vec<Vec<f64>>,
    supports: Supports,
}

/// What is chosen: `next_test.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Choice {
    /// Version of this layout.
    pub format: u32,
    /// Always `next-test`.
    pub kind: String,
    /// Title of the file.
    pub title: String,
    /// Draws of the present knowledge.
    pub draws: usize,
    /// Questions, with the width of nine of ten now, SI.
    pub asked: Vec<Open>,
    /// Single tests, the best first.
    pub tests: Vec<Worth>,
    /// Pairs of tests, the best first, at most as many as there are single tests.
    pub pairs: Vec<Worth>,
    /// In plain sentences.
    pub words: Vec<String>,
    /// Said with every result.
    pub caution: String,
}

/// A question as it stands now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Open {
    /// The question.
    pub name: String,
    /// Quantiles 5, 50 and 95 %, SI.
    pub now: [f64; 3],
}

/// What a test, or a pair, is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Worth {
    /// The tests in words.
    pub tests: Vec<String>,
    /// Expected gain of information on all parameters, nats.
    pub gain_nats: f64,
    /// For each question the expected width of nine of ten over the present one.
    pub width_left: Vec<f64>,
    /// Cost; 0 where none is given.
    pub cost: f64,
    /// Number of equal draws behind the widths, on the average: below ten they are rough.
    pub effective_draws: f64,
}

/// Reads a plan of tests; `draws_of` reads the table of draws of a fit's folder.
///
/// # Errors
/// The problems of the file with their lines.
pub fn read_next_test(
    text: &str,
    file_name: &str,
    extra: &[(String, String)],
    load: &Load<'_>,
    draws_of: &dyn Fn(&str) -> Result<NumberTable, String>,
) -> Result<(NextTest, Vec<Diagnostic>), Refused> {
    let mut d = Described::new(file_name, text);
    let Read { plan, warnings } =
        match Plan::read_among(text, file_name, extra, load, PLAN_SECTIONS) {
            Ok(read) => read,
            // What can be said of the tests without the study.
            Err(study) => {
                if let Ok(raw) = d.sections::<Raw>() {
                    measures(&raw.measure, &mut d);
                }
                return Err(d.beside(study));
            }
        };
    let raw: Raw = d.sections().map_err(Refused::Lab)?;
    let axes = plan.drawn_axes();
    check_plan(&plan, &axes, &mut d);
    let (quantities, measures) = measures(&raw.measure, &mut d);
    let costs = costs(&raw.cost, &plan, &mut d);
    let questions = questions(&raw.ask, &plan, &mut d);
    let count = usize::try_from(plan.sample_points()).unwrap_or(0);
    if d.faults.is_empty() && count < 50 {
        d.fault_at(
            0,
            "sample.count",
            "at least 50 draws are wanted, 400 are better",
        );
    }
    let draws = match &raw.knowledge.posterior {
        _ if !d.faults.is_empty() => Vec::new(),
        None => prior_draws(&plan, axes.len(), count)
            .map_err(|e| crate::fault::Fault::new(file_name, e))?,
        Some(folder) => {
            let found = draws_of(folder.get_ref())
                .and_then(|table| posterior_draws(&table, &axes, count, folder.get_ref()));
            found.unwrap_or_else(|problem: String| {
                d.fault_at(folder.span().start, "knowledge.posterior", problem);
                Vec::new()
            })
        }
    };
    let test = NextTest {
        title: plan.title().to_owned(),
        measures,
        quantities,
        costs,
        questions,
        draws,
        supports: Supports::new(),
        plan,
    };
    d.finish(Some((test, warnings))).map_err(Refused::Lab)
}

/// Something is drawn that can be learned, and the candidates are points of a grid.
fn check_plan(plan: &Plan, axes: &[DrawnAxis], d: &mut Described<'_>) {
    if axes.is_empty() {
        d.fault_at(
            0,
            "sample",
            "nothing is drawn: what is not known stands in [sample], as in a study",
        );
    }
    if plan.has_conditions() || plan.bases().count() > 1 {
        d.fault_at(
            0,
            "base",
            "candidates are the points of the grid on one base scenario, without levels of conditions",
        );
    }
    for axis in axes.iter().filter(|a| !a.of_numbers) {
        d.fault_at(0, &axis.column, "words cannot be learned: give numbers");
    }
}

/// What is measured in the tests, and which of these places each of them fills.
fn measures(
    raw: &[Spanned<RawMeasure>],
    d: &mut Described<'_>,
) -> (Vec<&'static Quantity>, Vec<Measure>) {
    let mut quantities: Vec<&'static Quantity> = Vec::new();
    let mut measures = Vec::new();
    for one in raw {
        let m = one.get_ref();
        let mut data = Vec::new();
        for datum in &m.data {
            let Some(quantity) = quantity_named(&datum.name, d) else {
                continue;
            };
            let name = datum.name.get_ref();
            let deviation = d.positive(name, Some(&datum.deviation), quantity.measure.0);
            let Some(deviation) = deviation else { continue };
            let place = quantities
                .iter()
                .position(|q| q.name == quantity.name)
                .unwrap_or_else(|| {
                    quantities.push(quantity);
                    quantities.len() - 1
                });
            data.push((place, deviation));
        }
        if !m.cost.is_finite() || m.cost < 0.0 {
            d.fault_at(
                one.span().start,
                "measure.cost",
                "a cost is a number from 0 on",
            );
        }
        if data.is_empty() && d.faults.is_empty() {
            d.fault_at(
                one.span().start,
                "measure.data",
                "a test in which nothing is measured",
            );
        }
        measures.push(Measure {
            name: m.name.clone(),
            cost: m.cost,
            data,
        });
    }
    if measures.is_empty() {
        d.fault_at(
            0,
            "measure",
            "say what a test would measure: [[measure]] with `name` and `data`",
        );
    }
    (quantities, measures)
}

/// Costs of candidates: path, value, cost.
fn costs(
    raw: &[Spanned<RawCost>],
    plan: &Plan,
    d: &mut Described<'_>,
) -> Vec<(String, String, f64)> {
    let mut costs = Vec::new();
    for one in raw {
        let c = one.get_ref();
        let (path, value) = (c.path.get_ref().clone(), c.value.get_ref().clone());
        let fits = (0..plan.grid_points())
            .any(|p| plan.grid_values(p).contains(&(path.clone(), value.clone())));
        if !fits {
            d.fault_at(
                c.path.span().start,
                "cost",
                format!("no candidate has {path} = {value}"),
            );
        }
        costs.push((path, value, c.cost));
    }
    costs
}

/// So many draws from the table of a fit, evenly over its rows.
fn posterior_draws(
    table: &NumberTable,
    axes: &[DrawnAxis],
    count: usize,
    folder: &str,
) -> Result<Vec<Vec<f64>>, String> {
    let columns = axes.iter().map(|a| {
        let missing = || format!("the fit in {folder} has no parameter {}", a.column);
        table.column(&a.column).ok_or_else(missing)
    });
    let columns: Vec<&[f64]> = columns.collect::<Result<_, _>>()?;
    let rows = table.rows();
    let step = (rows / count).max(1);
    Ok((0..rows)
        .step_by(step)
        .take(count)
        .map(|i| columns.iter().map(|c| c[i]).collect())
        .collect())
}

fn prior_draws(plan: &Plan, axes: usize, count: usize) -> Result<Vec<Vec<f64>>, String> {
    (0..count as u64)
        .map(|i| {
            let places: Vec<f64> = (0..axes as u64)
                .map(|axis| unit(seed(plan.seed(), i, axis)))
                .collect();
            plan.drawn(&places)
        })
        .collect()
}

/// What every candidate would show for every draw.
pub struct Simulated {
    /// Candidates in words.
    pub names: Vec<String>,
    /// Costs.
    pub costs: Vec<f64>,
    /// Of each candidate: standard deviations of what is measured.
    pub deviations: Vec<Vec<f64>>,
    /// Of each candidate and draw: what is measured; none where the run has no such number.
    pub outcomes: Vec<Vec<Vec<Option<f64>>>>,
    /// Of each question and draw: the answer.
    pub answers: Vec<Vec<f64>>,
    /// Root of the random numbers.
    pub root: u64,
}

impl NextTest {
    /// Runs that the choice takes.
    pub fn runs(&self) -> u64 {
        self.plan.grid_points() * self.draws.len() as u64
    }

    /// Computes every candidate for every draw and chooses.
    ///
    /// # Errors
    /// A run that cannot be computed.
    pub fn choose(&self) -> Result<Choice, String> {
        let (simulated, fronts) = self.simulate()?;
        let names: Vec<String> = self.questions.iter().map(|q| q.name.clone()).collect();
        let measures: Vec<(Dimension, &'static str)> =
            self.questions.iter().map(|q| q.measure).collect();
        let mut choice = choose(&self.title, &simulated, &names, &measures);
        let best = choice
            .tests
            .iter()
            .take(1)
            .chain(choice.pairs.iter().take(1));
        let mut told: Vec<&String> = Vec::new();
        for name in best.flat_map(|w| &w.tests) {
            let place = simulated.names.iter().position(|n| n == name);
            if let Some(place) = place.filter(|_| !told.contains(&name)) {
                choice
                    .words
                    .push(format!("After {name}: {}.", fronts[place]));
                told.push(name);
            }
        }
        Ok(choice)
    }

    /// What is computed, and of each candidate what is left of the vehicle's face.
    fn simulate(&self) -> Result<(Simulated, Vec<String>), String> {
        let points = self.plan.grid_points();
        let draws = self.draws.len() as u64;
        let rows: Vec<Vec<Option<f64>>> = (0..points * draws)
            .into_par_iter()
            .map(|run| {
                let numbers = &self.draws[(run % draws) as usize];
                let mut scenario = self.plan.scenario_with(0, run / draws, numbers, &[])?;
                scenario.flight.pole = false;
                let prepared = self
                    .supports
                    .prepare(&scenario)
                    .map_err(|e| e.to_string())?;
                let engagement = prepared
                    .engage(RecordRequest::NUMBERS)
                    .map_err(|e| e.to_string())?;
                let face = scenario.struck_face();
                let dent = face.dent_left_m(&engagement.permanent_crush_m);
                let numbers = self.quantities.iter();
                let numbers = numbers.map(|q| (q.of)(&scenario, &engagement));
                Ok(numbers.chain([Some(dent), Some(face.depth_m())]).collect())
            })
            .collect::<Result<_, String>>()?;
        let answers = self
            .questions
            .iter()
            .map(|q| {
                let each = self.draws.par_iter().map(|numbers| {
                    let answer = q.answer(&self.plan, &self.supports, numbers);
                    answer
                        .map(|a| a.0)
                        .ok_or_else(|| format!("no answer to: {}", q.name))
                });
                each.collect::<Result<Vec<f64>, String>>()
            })
            .collect::<Result<_, _>>()?;
        let mut simulated = Simulated {
            names: Vec::new(),
            costs: Vec::new(),
            deviations: Vec::new(),
            outcomes: Vec::new(),
            answers,
            root: self.plan.seed(),
        };
        let mut fronts = Vec::new();
        for point in 0..points {
            let values = self.plan.grid_values(point);
            let place: Vec<String> = values
                .iter()
                .map(|(path, value)| format!("{path} {value}"))
                .collect();
            let extra: f64 = self
                .costs
                .iter()
                .filter(|(p, v, _)| values.contains(&(p.clone(), v.clone())))
                .map(|c| c.2)
                .sum();
            let of_all = |k: usize| -> Vec<f64> {
                let own = (0..draws).map(|j| rows[(point * draws + j) as usize][k]);
                own.flatten().collect()
            };
            let behind = self.quantities.len();
            let front = left_of_front(&of_all(behind), &of_all(behind + 1));
            for measure in &self.measures {
                fronts.push(front.clone());
                let name = if place.is_empty() {
                    measure.name.clone()
                } else {
                    format!("{}, {}", place.join(", "), measure.name)
                };
                simulated.names.push(name);
                simulated.costs.push(measure.cost + extra);
                simulated
                    .deviations
                    .push(measure.data.iter().map(|m| m.1).collect());
                let of_draw = |j: u64| {
                    measure
                        .data
                        .iter()
                        .map(|m| rows[(point * draws + j) as usize][m.0])
                        .collect()
                };
                simulated.outcomes.push((0..draws).map(of_draw).collect());
            }
        }
        Ok((simulated, fronts))
    }
}

/// What a test leaves of the face, from dent and depth of its law at each draw.
fn left_of_front(dents_m: &[f64], depths_m: &[f64]) -> String {
    let mm = |x: f64| crate::quantity::shown(x, (Dimension::Length, "mm"));
    let [low, middle, high] = [0.05, 0.5, 0.95].map(|p| quantile(dents_m, p));
    format!(
        "the vehicle's face stays pushed in by {} where it was struck, nine of ten within {} to {}; of the {} to which its law is given {} are left",
        mm(middle),
        mm(low),
        mm(high),
        mm(quantile(depths_m, 0.5)),
        mm((quantile(depths_m, 0.5) - middle).max(0.0)),
    )
}

/// Chooses among candidates that were simulated.
pub fn choose(
    title: &str,
    s: &Simulated,
    questions: &[String],
    measures: &[(Dimension, &'static str)],
) -> Choice {
    let draws = s.outcomes.first().map_or(0, Vec::len);
    let logs: Vec<Vec<Vec<f64>>> = (0..s.names.len())
        .into_par_iter()
        .map(|c| densities(s, c))
        .collect();
    let orders: Vec<Vec<usize>> = s.answers.iter().map(|a| rising(a)).collect();
    let now: Vec<[f64; 3]> = s
        .answers
        .iter()
        .map(|a| [0.05, 0.5, 0.95].map(|p| quantile(a, p)))
        .collect();
    let worth = |list: &[usize]| -> Worth {
        let (gain_nats, width_left, effective_draws) = judged(&logs, list, s, &orders, &now);
        Worth {
            tests: list.iter().map(|c| s.names[*c].clone()).collect(),
            gain_nats,
            width_left,
            cost: list.iter().map(|c| s.costs[*c]).sum(),
            effective_draws,
        }
    };
    // Questions first, in their order of the file; without one, all parameters.
    let score = |w: &Worth| match w.width_left.len() {
        0 => -w.gain_nats,
        n => w.width_left.iter().sum::<f64>() / n as f64,
    };
    let sorted = |mut list: Vec<(Worth, Vec<usize>)>| {
        list.sort_by(|a, b| {
            score(&a.0)
                .total_cmp(&score(&b.0))
                .then_with(|| a.1.cmp(&b.1))
        });
        list
    };
    let singles = (0..s.names.len())
        .into_par_iter()
        .map(|c| (worth(&[c]), vec![c]));
    let singles = sorted(singles.collect());
    let paired: Vec<usize> = singles.iter().take(PAIRED).map(|w| w.1[0]).collect();
    let list: Vec<[usize; 2]> = (0..paired.len())
        .flat_map(|i| (i + 1..paired.len()).map(move |j| (i, j)))
        .map(|(i, j)| {
            let (a, b) = (paired[i], paired[j]);
            [a.min(b), a.max(b)]
        })
        .collect();
    let pairs = sorted(
        list.par_iter()
            .map(|pair| (worth(pair), pair.to_vec()))
            .collect(),
    );
    let tests: Vec<Worth> = singles.into_iter().map(|w| w.0).collect();
    let pairs: Vec<Worth> = pairs.into_iter().map(|w| w.0).take(tests.len()).collect();
    let asked: Vec<Open> = questions
        .iter()
        .zip(&now)
        .map(|(name, now)| Open {
            name: name.clone(),
            now: *now,
        })
        .collect();
    let mut choice = Choice {
        format: CHOICE_FORMAT,
        kind: "next-test".to_owned(),
        title: title.to_owned(),
        draws,
        asked,
        tests,
        pairs,
        words: Vec::new(),
        caution: CAUTION.to_owned(),
    };
    choice.words = words(&choice, measures, s.names.len());
    choice
}

/// ln p(y_m | theta_j) of a candidate, without the constants: a row for each imagined outcome m.
fn densities(s: &Simulated, candidate: usize) -> Vec<Vec<f64>> {
    let outcomes = &s.outcomes[candidate];
    let deviations = &s.deviations[candidate];
    let draws = outcomes.len();
    let step = (draws / OUTCOMES).max(1);
    (0..draws)
        .step_by(step)
        .map(|m| {
            let seen: Vec<Option<f64>> = outcomes[m]
                .iter()
                .enumerate()
                .map(|(k, value)| {
                    let axis = (candidate as u64) << 16 | k as u64;
                    let noise = normal_quantile(unit(seed(s.root ^ 0x6e65_7874, m as u64, axis)));
                    value.map(|v| v + deviations[k] * noise)
                })
                .collect();
            outcomes
                .iter()
                .map(|model| {
                    let each =
                        seen.iter()
                            .zip(model)
                            .zip(deviations)
                            .map(|((y, x), d)| match (y, x) {
                                (Some(y), Some(x)) => {
                                    let z = (y - x) / d;
                                    -0.5 * z * z
                                }
                                (None, None) => 0.0,
                                _ => OTHER_OUTCOME,
                            });
                    each.sum()
                })
                .collect()
        })
        .collect()
}

/// Gain, width left of each question, and the mean number of effective draws.
fn judged(
    logs: &[Vec<Vec<f64>>],
    list: &[usize],
    s: &Simulated,
    orders: &[Vec<usize>],
    now: &[[f64; 3]],
) -> (f64, Vec<f64>, f64) {
    let rows = logs[list[0]].len();
    let draws = logs[list[0]][0].len();
    let step = (draws / OUTCOMES).max(1);
    let mut gain = 0.0;
    let mut widths = vec![0.0; orders.len()];
    let mut worth = 0.0;
    let mut weights = vec![0.0; draws];
    #[expect(clippy::needless_range_loop, reason = "every candidate has this row")]
    for row in 0..rows {
        let own = row * step;
        let log = |j: usize| list.iter().map(|c| logs[*c][row][j]).sum::<f64>();
        let best = (0..draws).map(log).fold(f64::NEG_INFINITY, f64::max);
        let mut sum = 0.0;
        for (j, w) in weights.iter_mut().enumerate() {
            *w = libm::exp(log(j) - best);
            sum += *w;
        }
        gain += log(own) - best - libm::log(sum / draws as f64);
        // The draw that made the outcome would always be there: it does not count for what is left.
        weights[own] = 0.0;
        let mut effective = giveway_sampling::effective(&weights);
        if effective < 1.0 {
            weights[own] = 1.0;
            effective = giveway_sampling::effective(&weights);
        }
        worth += effective;
        for (q, order) in orders.iter().enumerate() {
            let [low, high] = weighted_quantiles(order, &s.answers[q], &weights, [0.05, 0.95]);
            let whole = now[q][2] - now[q][0];
            widths[q] += if whole > 0.0 {
                (high - low) / whole
            } else {
                1.0
            };
        }
    }
    let n = rows as f64;
    (
        gain / n,
        widths.into_iter().map(|w| w / n).collect(),
        worth / n,
    )
}

/// How much smaller an interval becomes, in words.
fn narrowed(left: f64) -> String {
    match left {
        l if l > 0.95 => "leaves the interval as it is".to_owned(),
        l if (0.45..=0.55).contains(&l) => "halves the interval".to_owned(),
        l => format!(
            "leaves {} % of the interval",
            giveway_units::shown(100.0 * l, 2)
        ),
    }
}

fn words(
    choice: &Choice,
    measures: &[(Dimension, &'static str)],
    candidates: usize,
) -> Vec<String> {
    let mut words = Vec::new();
    for (open, measure) in choice.asked.iter().zip(measures) {
        let s = |x: f64| crate::quantity::shown(x, *measure);
        words.push(format!(
            "Now: {}: {}, nine of ten within {} to {}.",
            open.name,
            s(open.now[1]),
            s(open.now[0]),
            s(open.now[2])
        ));
    }
    let tell = |worth: &Worth| {
        let mut parts: Vec<String> = choice
            .asked
            .iter()
            .zip(&worth.width_left)
            .map(|(open, left)| format!("{} of {}", narrowed(*left), open.name))
            .collect();
        parts.push(format!(
            "gains {} nats",
            giveway_units::shown(worth.gain_nats, 2)
        ));
        let cost = if worth.cost > 0.0 {
            format!("; cost {}", giveway_units::shown(worth.cost, 4))
        } else {
            String::new()
        };
        format!("{}{cost}", parts.join(", "))
    };
    if let Some(best) = choice.tests.first() {
        words.push(format!("One test: {}: {}.", best.tests[0], tell(best)));
    }
    if let Some(best) = choice.pairs.first() {
        words.push(format!(
            "Two tests: {} and {}: {}.",
            best.tests[0],
            best.tests[1],
            tell(best)
        ));
    }
    let priced: Vec<&Worth> = choice.tests.iter().filter(|w| w.cost > 0.0).collect();
    let best = priced
        .iter()
        .max_by(|a, b| (a.gain_nats / a.cost).total_cmp(&(b.gain_nats / b.cost)));
    if let Some(best) = best {
        words.push(format!(
            "Most for its cost: {}: {}.",
            best.tests[0],
            tell(best)
        ));
    }
    if candidates > PAIRED {
        words.push(format!(
            "Pairs were chosen among the {PAIRED} best of {candidates} candidates."
        ));
    }
    let most = libm::log(choice.draws as f64);
    if choice
        .tests
        .iter()
        .chain(&choice.pairs)
        .any(|w| w.gain_nats > 0.8 * most || w.effective_draws < 10.0)
    {
        words.push(format!("Some tests tell more than {} draws can show: their gains and widths are rough, take more draws.", choice.draws));
    }
    words
}
