//! Morris screening: one factor at a time along random trajectories.

use rand::RngExt;
use rand::seq::SliceRandom;

use crate::complete::{Complete, missing};
use crate::design::{Design, check};
use crate::error::{SamplingError, count};
use crate::interval::Interval;
use crate::resampling::Resampling;
use crate::running::Running;
use crate::seed::{Purpose, seed_for, stream};
use crate::sobol::MOST_DIMENSIONS;

/// Most levels of an axis.
const MOST_LEVELS: u32 = 1000;

/// Random trajectories through a grid of `levels` levels per factor (Morris 1991). Each has one run more than factors,
/// and every step moves one factor by p/2 of the p - 1 spacings, up or down.
#[derive(Debug, Clone, PartialEq)]
pub struct Trajectories {
    factors: usize,
    count: u64,
    levels: u32,
    edge: f64,
    root: u64,
}

/// What all factors do to one result.
#[derive(Debug, Clone, PartialEq)]
pub struct Effects {
    /// Each factor's effects.
    pub factors: Vec<FactorEffects>,
    /// Elementary effects of all factors that were used, and those left out since a run at either end has no result.
    pub complete: Complete,
}

/// What a factor does to one result, in the unit of the result per unit of the factor's coordinate: a full run through its
/// distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorEffects {
    /// Mean of the elementary effects, mu.
    pub mean: f64,
    /// Bootstrap interval of mu.
    pub mean_interval: Interval,
    /// Mean of their absolute values, mu*: how much the factor matters.
    pub mean_absolute: f64,
    /// Bootstrap interval of mu*.
    pub mean_absolute_interval: Interval,
    /// Their standard deviation with n - 1 below, sigma: how far the factor bends or depends on others.
    pub standard_deviation: f64,
    /// Bootstrap interval of sigma.
    pub standard_deviation_interval: Interval,
    /// How many effects there were.
    pub used: u64,
}

impl Trajectories {
    /// `count` trajectories of so many factors on an even number of levels, drawn by a root number. Ten to fifty
    /// trajectories on 4 levels are usual (common practice, no source).
    ///
    /// # Errors
    /// No factor or too many, no trajectory, an odd number of levels.
    pub fn new(
        factors: usize,
        trajectories: u64,
        levels: u32,
        root: u64,
    ) -> Result<Self, SamplingError> {
        count("factors", factors as u64, 1, MOST_DIMENSIONS as u64)?;
        count("trajectories", trajectories, 1, 1 << 40)?;
        if !(2..=MOST_LEVELS).contains(&levels) || levels % 2 == 1 {
            return Err(SamplingError::OddLevels { levels });
        }
        Ok(Self {
            factors,
            count: trajectories,
            levels,
            edge: 0.0,
            root,
        })
    }

    /// The same with the levels laid evenly from `edge` to 1 - `edge` instead of from 0 to 1, for distributions that have
    /// no bounds.
    ///
    /// # Errors
    /// An edge below 0, or 0.5 and above.
    pub fn with_edge(mut self, edge: f64) -> Result<Self, SamplingError> {
        if !(0.0..0.5).contains(&edge) {
            return Err(SamplingError::Edge { edge });
        }
        self.edge = edge;
        Ok(self)
    }

    /// The effects of each factor from the results of all runs, in the order of the design; none where a run has no
    /// result. An effect needs both its runs.
    ///
    /// # Errors
    /// Results that do not fit or are not finite, a factor with fewer than two effects, a wrong resampling.
    pub fn effects(
        &self,
        results: &[Option<f64>],
        resampling: &Resampling,
    ) -> Result<Effects, SamplingError> {
        resampling.check()?;
        if results.len() as u64 != self.size() {
            return Err(SamplingError::Results {
                given: results.len(),
                runs: self.size(),
            });
        }
        let missing_runs = missing(results)?;
        let points: Result<Vec<_>, _> = (0..self.size()).map(|run| self.point(run)).collect();
        let effects = elementary_effects(&points?, results)?;
        let factors: Result<Vec<_>, _> = (effects.iter().zip(0..))
            .map(|(effects, factor)| summary(effects, factor, resampling))
            .collect();
        let used = effects.iter().map(|list| list.len() as u64).sum();
        Ok(Effects {
            factors: factors?,
            complete: Complete {
                what: "effects",
                used,
                left_out: self.count * self.factors as u64 - used,
                missing_runs,
            },
        })
    }
}

fn summary(
    effects: &[f64],
    factor: u64,
    resampling: &Resampling,
) -> Result<FactorEffects, SamplingError> {
    if effects.len() < 2 {
        return Err(SamplingError::TooFew {
            what: "elementary effects of a factor",
            given: effects.len() as u64,
            least: 2,
        });
    }
    let [mean, mean_absolute, standard_deviation] = moments(effects.iter().copied());
    let mut resamples = [const { Vec::new() }; 3];
    for number in 0..resampling.times {
        let drawn = resampling.draws(number, factor, effects.len());
        for (list, value) in (resamples.iter_mut()).zip(moments(drawn.map(|i| effects[i]))) {
            list.push(value);
        }
    }
    let [means, absolutes, deviations] = resamples;
    Ok(FactorEffects {
        mean,
        mean_interval: resampling.interval(means),
        mean_absolute,
        mean_absolute_interval: resampling.interval(absolutes),
        standard_deviation,
        standard_deviation_interval: resampling.interval(deviations),
        used: effects.len() as u64,
    })
}

/// Mean, mean of the absolute values and standard deviation of two effects or more.
fn moments(effects: impl Iterator<Item = f64>) -> [f64; 3] {
    let (mut plain, mut absolute) = (Running::new(), Running::new());
    for effect in effects {
        plain.push(effect);
        absolute.push(effect.abs());
    }
    [plain.mean(), absolute.mean(), plain.standard_deviation()]
        .map(|value| value.unwrap_or(f64::NAN))
}

impl Design for Trajectories {
    fn dimensions(&self) -> usize {
        self.factors
    }

    /// Trajectories times (factors + 1).
    fn size(&self) -> u64 {
        self.count.saturating_mul(self.factors as u64 + 1)
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        let runs = self.factors as u64 + 1;
        let (trajectory, step) = (index / runs, (index % runs) as usize);
        let mut random = stream(seed_for(Purpose::Trajectory, self.root, trajectory, 0));
        let jump = self.levels / 2;
        // Each factor moves between a level of the lower half and the one `jump` above it, up or down.
        let moves: Vec<(u32, bool)> = (0..self.factors)
            .map(|_| {
                let low = random.random_range(0..jump);
                (low, random.random_range(0..2_u32) == 1)
            })
            .collect();
        let mut order: Vec<usize> = (0..self.factors).collect();
        order.shuffle(&mut random);
        for (turn, &factor) in order.iter().enumerate() {
            let (low, up) = moves[factor];
            let moved = turn < step;
            let level = if moved == up { low + jump } else { low };
            // u = edge + (1 - 2 edge) k / (p - 1)
            let share = f64::from(level) / f64::from(self.levels - 1);
            point[factor] = self.edge + (1.0 - 2.0 * self.edge) * share;
        }
        Ok(())
    }
}

/// The elementary effects of each factor along trajectories of (factors + 1) points that follow one another, in the order
/// of the trajectories: a list for each factor. An effect that needs a run without a result is not in the list.
///
/// # Errors
/// Points and results of different number, an incomplete trajectory, a step that does not move exactly one factor.
pub fn elementary_effects(
    points: &[Vec<f64>],
    results: &[Option<f64>],
) -> Result<Vec<Vec<f64>>, SamplingError> {
    let factors = points.first().map_or(0, Vec::len);
    if results.len() != points.len() || !points.len().is_multiple_of(factors + 1) {
        return Err(SamplingError::Results {
            given: results.len(),
            runs: points.len() as u64,
        });
    }
    let mut effects = vec![Vec::new(); factors];
    let walks = points.chunks(factors + 1).zip(results.chunks(factors + 1));
    for (trajectory, (points, results)) in walks.enumerate() {
        for (step, (pair, values)) in points.windows(2).zip(results.windows(2)).enumerate() {
            let moved: Vec<usize> = (0..factors)
                .filter(|&f| pair[0].get(f) != pair[1].get(f))
                .collect();
            let &[factor] = moved.as_slice() else {
                return Err(SamplingError::Step {
                    trajectory,
                    step,
                    moved: moved.len(),
                });
            };
            if let [Some(before), Some(after)] = *values {
                // E = (y' - y) / (u' - u)
                effects[factor].push((after - before) / (pair[1][factor] - pair[0][factor]));
            }
        }
    }
    Ok(effects)
}
