//! Morris screening: one factor at a time along random trajectories.

use super::error::SensitivityError;
use super::resampling::Resampling;
use crate::sampling::{Design, Generator, MOST_DIMENSIONS, SamplingError, seed};
use crate::statistics::{Interval, Running};

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

/// What a factor does to one result, per unit of its probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorEffects {
    /// Mean of the elementary effects, mu.
    pub mean: f64,
    /// Mean of their absolute values, mu*: how much the factor matters.
    pub mean_absolute: f64,
    /// Bootstrap interval of mu*.
    pub mean_absolute_interval: Interval,
    /// Their standard deviation with n - 1 below, sigma: how far the factor bends or depends on others.
    pub sd: f64,
    /// How many effects there were.
    pub count: usize,
}

impl Trajectories {
    /// `count` trajectories of so many factors on an even number of levels, drawn by a root number. Ten to fifty
    /// trajectories on 4 levels are usual.
    ///
    /// # Errors
    /// No factor or too many, no trajectory, an odd number of levels.
    pub fn new(
        factors: usize,
        count: u64,
        levels: u32,
        root: u64,
    ) -> Result<Self, SensitivityError> {
        within("factors", factors as u64, MOST_DIMENSIONS as u64)?;
        within("trajectories", count, 1 << 40)?;
        if !(2..=MOST_LEVELS).contains(&levels) || levels % 2 == 1 {
            return Err(SensitivityError::Levels { levels });
        }
        Ok(Self {
            factors,
            count,
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
    pub fn with_edge(mut self, edge: f64) -> Result<Self, SensitivityError> {
        if !(0.0..0.5).contains(&edge) {
            return Err(SensitivityError::Edge { edge });
        }
        self.edge = edge;
        Ok(self)
    }

    /// The effects of each factor from the results of all runs, in the order of the design.
    ///
    /// # Errors
    /// Results that do not fit, a factor with fewer than two effects, a wrong resampling.
    pub fn effects(
        &self,
        results: &[f64],
        resampling: &Resampling,
    ) -> Result<Vec<FactorEffects>, SensitivityError> {
        resampling.check()?;
        if results.len() as u64 != self.size() {
            return Err(SensitivityError::Results {
                given: results.len(),
                runs: self.size(),
            });
        }
        let points: Result<Vec<_>, _> = (0..self.size()).map(|run| self.point(run)).collect();
        let effects = elementary_effects(&points?, results)?;
        effects
            .iter()
            .zip(0..)
            .map(|(effects, factor)| self.summary(effects, factor, resampling))
            .collect()
    }

    fn summary(
        &self,
        effects: &[f64],
        factor: u64,
        resampling: &Resampling,
    ) -> Result<FactorEffects, SensitivityError> {
        let (mut plain, mut absolute) = (Running::new(), Running::new());
        for effect in effects {
            plain.push(*effect);
            absolute.push(effect.abs());
        }
        let too_few = SensitivityError::TooFewComplete {
            complete: effects.len(),
            wanted: self.count,
        };
        let (Some(mean), Some(mean_absolute), Some(sd)) =
            (plain.mean(), absolute.mean(), plain.sd())
        else {
            return Err(too_few);
        };
        let own = Resampling {
            root: seed(resampling.root, factor),
            ..*resampling
        };
        let means = (0..own.times)
            .map(|number| {
                let drawn = own.draws(number, effects.len());
                drawn.map(|i| effects[i].abs()).sum::<f64>() / effects.len() as f64
            })
            .collect();
        Ok(FactorEffects {
            mean,
            mean_absolute,
            mean_absolute_interval: own.interval(means),
            sd,
            count: effects.len(),
        })
    }
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
        self.check(index, point)?;
        let runs = self.factors as u64 + 1;
        let (trajectory, step) = (index / runs, (index % runs) as usize);
        let mut generator = Generator::new(seed(self.root, trajectory));
        let jump = self.levels / 2;
        // Each factor moves between a level of the lower half and the one `jump` above it, up or down.
        let moves: Vec<(u32, bool)> = (0..self.factors)
            .map(|_| {
                let low = generator.below(u64::from(jump)) as u32;
                (low, generator.below(2) == 1)
            })
            .collect();
        let mut order: Vec<usize> = (0..self.factors).collect();
        for last in (1..self.factors).rev() {
            order.swap(last, generator.below(last as u64 + 1) as usize);
        }
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
/// of the trajectories; effects that need a result that is not finite are left out.
///
/// # Errors
/// Points and results of different number, an incomplete trajectory, a step that does not move exactly one factor.
pub fn elementary_effects(
    points: &[Vec<f64>],
    results: &[f64],
) -> Result<Vec<Vec<f64>>, SensitivityError> {
    let factors = points.first().map_or(0, Vec::len);
    if results.len() != points.len() || !points.len().is_multiple_of(factors + 1) {
        return Err(SensitivityError::Results {
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
                return Err(SensitivityError::Step {
                    trajectory,
                    step,
                    moved: moved.len(),
                });
            };
            // E = (y' - y) / (u' - u)
            let effect = (values[1] - values[0]) / (pair[1][factor] - pair[0][factor]);
            if effect.is_finite() {
                effects[factor].push(effect);
            }
        }
    }
    Ok(effects)
}

fn within(what: &'static str, value: u64, most: u64) -> Result<(), SamplingError> {
    if (1..=most).contains(&value) {
        return Ok(());
    }
    Err(SamplingError::Count {
        what,
        value,
        least: 1,
        most,
    })
}
