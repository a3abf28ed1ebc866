//! What a run gives over friction, clamp, plates and front: a grid of engagement runs.

use std::collections::BTreeMap;

use giveway_impact::{RecordRequest, Workspace};
use giveway_sampling::{Design, Scrambling, Sobol, normal_quantile};
use giveway_scenario::model::{Anchorage, Scenario};
use giveway_study::shared::{DEFAULT_FRICTION, Factors};
use giveway_study::{BriefWorkspace, Supports, brief_numbers};
use rayon::prelude::*;

use super::evidence::{Evidence, Row};
use crate::quantity::Quantity;

/// Logarithms of the levels, over the default: static friction, clamp, give of the plates, front, sliding over static friction.
fn levels(slip: bool, preload_known: bool, front: bool) -> [Vec<f64>; 5] {
    let even = |count: usize, end: f64| -> Vec<f64> {
        let step = 2.0 * end / (count - 1) as f64;
        (0..count).map(|i| step * i as f64 - end).collect()
    };
    let one = || vec![0.0];
    [
        if slip { even(17, 1.2) } else { one() },
        if slip && !preload_known {
            even(5, 0.36)
        } else {
            one()
        },
        if slip { even(3, 0.45) } else { one() },
        if front { even(3, 0.5) } else { one() },
        if slip { even(3, 0.4) } else { one() },
    ]
}

/// Runs between the points of the grid.
const CHECKS: u64 = 24;
/// Least magnitude that has a logarithm here.
const LEAST: f64 = 1e-6;

/// Logarithms of one quantity, and whether the base held, over the grid.
#[derive(Debug, Clone)]
pub struct Surface {
    levels: [Vec<f64>; 5],
    /// ln of the magnitude; the last level moves fastest.
    values: Vec<f64>,
    /// 1 where the base held.
    held: Vec<f64>,
}

impl Surface {
    /// A surface from a function of the logarithms of the factors.
    pub fn of(levels: [Vec<f64>; 5], f: &dyn Fn([f64; 5]) -> (f64, f64)) -> Self {
        let (values, held) = points(&levels).into_iter().map(f).unzip();
        Self {
            levels,
            values,
            held,
        }
    }

    /// ln of the quantity and the part held, in straight lines between the points; level beyond the ends.
    pub fn at(&self, x: [f64; 5]) -> (f64, f64) {
        let mut corners = [(0_usize, 1.0_f64); 32];
        let mut count = 1;
        for (levels, x) in self.levels.iter().zip(x) {
            let last = levels.len() - 1;
            let next = levels.partition_point(|l| *l < x);
            let (low, part) = if next == 0 {
                (0, 0.0)
            } else if next > last {
                (last, 0.0)
            } else {
                let width = levels[next] - levels[next - 1];
                (next - 1, (x - levels[next - 1]) / width)
            };
            for i in 0..count {
                let (place, weight) = corners[i];
                corners[i] = (place * (last + 1) + low, weight * (1.0 - part));
                if part > 0.0 {
                    corners[count + i] = (place * (last + 1) + low + 1, weight * part);
                }
            }
            if part > 0.0 {
                count *= 2;
            }
        }
        corners[..count].iter().fold((0.0, 0.0), |(v, h), (i, w)| {
            (v + w * self.values[*i], h + w * self.held[*i])
        })
    }
}

fn points(levels: &[Vec<f64>; 5]) -> Vec<[f64; 5]> {
    let mut all = vec![[0.0; 5]];
    for (place, levels) in levels.iter().enumerate() {
        all = (all.iter())
            .flat_map(|point| {
                levels.iter().map(move |level| {
                    let mut point = *point;
                    point[place] = *level;
                    point
                })
            })
            .collect();
    }
    all
}

/// The response of a row: its run, the other run, and how far the grid is off.
#[derive(Debug, Clone)]
pub struct Response {
    /// The run.
    pub run: Surface,
    /// The run with which it is compared.
    pub against: Option<Surface>,
    /// Standard deviation of the logarithm against runs between the points (1.48 times the median magnitude: a cliff
    /// between two points is told by `held`).
    pub error: f64,
}

/// The responses of all rows.
#[derive(Debug, Clone)]
pub struct Responses {
    /// In the order of the rows.
    pub of: Vec<Response>,
    /// Runs behind them.
    pub runs: usize,
}

/// A scenario with what is compared of it.
type Key = (String, BTreeMap<String, String>, String, bool, bool);

/// Computes the responses; `load` gives the text of a scenario by its name without ending.
///
/// # Errors
/// A file, scenario, quantity or run that does not work, in words.
pub fn respond(
    evidence: &Evidence,
    load: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Responses, String> {
    let mut known: BTreeMap<Key, (Surface, f64)> = BTreeMap::new();
    let mut runs = 0;
    let mut of = Vec::new();
    for row in &evidence.row {
        let mut one = |scenario: &str, set: &BTreeMap<String, String>| {
            let key = (
                scenario.to_owned(),
                set.clone(),
                row.quantity.clone(),
                row.front.is_some(),
                row.preload_known,
            );
            if let Some(surface) = known.get(&key) {
                return Ok(surface.clone());
            }
            let (surface, error, count) =
                surface(scenario, set, row, load).map_err(|e| format!("{}: {e}", row.id))?;
            runs += count;
            known.insert(key, (surface.clone(), error));
            Ok::<_, String>((surface, error))
        };
        let (run, error) = one(&row.scenario, &row.set)?;
        let other = row.against.as_ref().map(|a| one(&a.scenario, &a.set));
        let (against, more) = other.transpose()?.unzip();
        let more: f64 = more.unwrap_or(0.0);
        of.push(Response {
            run,
            against,
            error: (error * error + more * more).sqrt(),
        });
    }
    Ok(Responses { of, runs })
}

fn surface(
    name: &str,
    set: &BTreeMap<String, String>,
    row: &Row,
    load: &dyn Fn(&str) -> Result<String, String>,
) -> Result<(Surface, f64, usize), String> {
    let text = load(name)?;
    let changes: Vec<(String, String)> = set.clone().into_iter().collect();
    let loaded = giveway_scenario::read(&text, name, &changes)
        .map_err(|d| format!("{name}: {}", giveway_study::plan::one_line(&d)))?;
    let mut scenario = loaded.scenario;
    scenario.flight.pole = false;
    let b = &scenario.base;
    let slip = b.anchorage == Anchorage::Slip;
    let friction = [b.friction_outer, b.friction_inner, b.friction_wall];
    if slip && friction != DEFAULT_FRICTION {
        return Err(format!(
            "{name}: its friction is not the default that the shared one is laid over"
        ));
    }
    let supports = Supports::new();
    let levels = levels(slip, row.preload_known, row.front.is_some());
    let grid = points(&levels);
    let run = |x: &[f64; 5]| value(&scenario, *x, &row.quantity, &supports);
    let computed: Vec<(f64, f64)> = grid.par_iter().map(run).collect::<Result<_, _>>()?;
    let (values, held) = computed.into_iter().unzip();
    let surface = Surface {
        levels,
        values,
        held,
    };
    let between = between()?;
    let off: Vec<f64> = between
        .par_iter()
        .map(|x| Ok((run(x)?.0 - surface.at(*x).0).abs()))
        .collect::<Result<_, String>>()?;
    let error = 1.4826 * crate::statistics::quantile(&off, 0.5);
    Ok((surface, error, grid.len() + between.len()))
}

/// Points about which the priors lie.
fn between() -> Result<Vec<[f64; 5]>, String> {
    let sobol = Sobol::new(5, CHECKS, Scrambling::Owen(1)).map_err(|e| e.to_string())?;
    (0..CHECKS)
        .map(|i| {
            let u = sobol.point(i).map_err(|e| e.to_string())?;
            let z: Vec<f64> = u
                .iter()
                .map(|u| normal_quantile(u.clamp(0.02, 0.98)))
                .collect();
            Ok([0.3 * z[0], 0.15 * z[1], 0.2 * z[2], 0.2 * z[3], 0.19 * z[4]])
        })
        .collect()
}

/// ln of the magnitude of a quantity at logarithms of the factors, and 1 where the base held.
fn value(
    scenario: &Scenario,
    x: [f64; 5],
    quantity: &str,
    supports: &Supports,
) -> Result<(f64, f64), String> {
    let [friction, clamp, lever, front, sliding] = x.map(libm::exp);
    let scenario = Factors {
        friction,
        sliding,
        clamp,
        lever,
        front,
    }
    .applied(scenario);
    let prepared = supports.prepare(&scenario).map_err(|e| e.to_string())?;
    let occupant = match quantity {
        "oiv_longitudinal_mps" => Some((true, 0)),
        "oiv_lateral_mps" => Some((true, 1)),
        "ridedown_longitudinal_g" => Some((false, 0)),
        "ridedown_lateral_g" => Some((false, 1)),
        _ => None,
    };
    let (number, held) = if let Some((velocity, axis)) = occupant {
        let n =
            brief_numbers(&prepared, &mut BriefWorkspace::default()).map_err(|e| e.to_string())?;
        let number = if velocity {
            Some(n.occupant_impact_velocity_mps[axis])
        } else {
            n.ridedown_g[axis]
        };
        (number, n.release_time_s.is_none())
    } else {
        let quantity = Quantity::named(quantity)
            .ok_or_else(|| format!("no run gives this number: {quantity}"))?;
        let e = prepared
            .engage_in(RecordRequest::NUMBERS, &mut Workspace::new())
            .map_err(|e| e.to_string())?;
        ((quantity.of)(&scenario, &e), e.release_time_s.is_none())
    };
    let size = number.filter(|n| n.is_finite()).unwrap_or(0.0).abs();
    Ok((libm::log(size.max(LEAST)), f64::from(u8::from(held))))
}
