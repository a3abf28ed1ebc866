//! Draws from a posterior by tempering: a cloud of draws of the prior is led, stage by stage, to the posterior, and moved
//! at each stage by an ensemble sampler.
//!
//! Coordinates are standard normal under the prior: x = F^-1(Phi(z)) for each number, so bounds need no care.
//!
//! ```text
//! p_t(z) ~ phi(z) L(z)^t,   0 = t_0 < t_1 < ... < t_n = 1
//! w_i = L(z_i)^(t' - t):  t' such that (sum w)^2 / sum w^2 = N/2;   ln Z += ln(mean w)
//! ```
//!
//! After weighting the draws are resampled (systematic) and moved: differential evolution and stretch moves of one half of
//! the cloud by the other, each draw with its own random numbers from (root, stage, draw). So the draws depend on the root
//! and the likelihood alone, on no number of threads, and a run may stop between stages and go on.
//!
//! References (recalled):
//! - P. Del Moral, A. Doucet, A. Jasra, Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68 (2006) 411-436.
//! - J. Ching, Y.-C. Chen, Transitional Markov chain Monte Carlo, J. Eng. Mech. 133 (2007) 816-832: choice of t'.
//! - J. Goodman, J. Weare, Ensemble samplers with affine invariance, Comm. App. Math. Comp. Sci. 5 (2010) 65-80: stretch.
//! - C. J. F. ter Braak, A Markov chain Monte Carlo version of differential evolution, Stat. Comput. 16 (2006) 239-249.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use hammer_and_sample::{
    DifferentialEvolution, MinChainLen, Mixture, Model, Parallel, Stretch, sample,
};
use rayon::prelude::*;

use crate::error::SamplingError;
use crate::seed::{Purpose, seed_for, stream, unit};

/// Moves of every draw at a stage before the last.
const MOVES: usize = 4;
/// Moves of every draw at the last one.
const LAST_MOVES: usize = 24;
/// Least part of the draws that counts after a step of the exponent.
const KEPT: f64 = 0.5;

/// A cloud of draws on its way from prior to posterior.
#[derive(Debug, Clone, PartialEq)]
pub struct Cloud {
    /// Root of the random numbers.
    pub root: u64,
    /// Stages done.
    pub stage: u64,
    /// Exponent t of the likelihood: 0 prior, 1 posterior.
    pub exponent: f64,
    /// ln of the mean likelihood under the prior, up to now.
    pub log_evidence: f64,
    /// Share of the proposed moves that was taken at the last stage.
    pub accepted: f64,
    /// Draws, each coordinate standard normal under the prior.
    pub draws: Vec<Vec<f64>>,
    /// Their ln L; minus infinity where the numbers are not possible.
    pub logs: Vec<f64>,
}

impl Cloud {
    /// Draws of the prior, an even number of them.
    ///
    /// # Errors
    /// No coordinate, or fewer draws than four for each coordinate or than 16.
    pub fn of_prior<L>(
        dimensions: usize,
        count: usize,
        root: u64,
        log_likelihood: &L,
    ) -> Result<Self, SamplingError>
    where
        L: Fn(&[f64]) -> f64 + Sync,
    {
        let least = (4 * dimensions).max(16);
        if dimensions == 0 || count < least || !count.is_multiple_of(2) {
            return Err(SamplingError::Draws { count, least });
        }
        let draws: Vec<Vec<f64>> = (0..count as u64)
            .map(|i| {
                (0..dimensions as u64)
                    .map(|axis| {
                        let bits = seed_for(Purpose::Draw, root, i, axis);
                        crate::normal::normal_quantile(unit(bits))
                    })
                    .collect()
            })
            .collect();
        let logs = draws.par_iter().map(|z| tidy(log_likelihood(z))).collect();
        Ok(Self {
            root,
            stage: 0,
            exponent: 0.0,
            log_evidence: 0.0,
            accepted: 1.0,
            draws,
            logs,
        })
    }

    /// Whether the draws are those of the posterior.
    pub fn done(&self) -> bool {
        self.exponent >= 1.0
    }

    /// One stage on: weights, resampling, moves.
    ///
    /// # Errors
    /// No draw has a likelihood above zero.
    pub fn advance<L>(&mut self, log_likelihood: &L) -> Result<(), SamplingError>
    where
        L: Fn(&[f64]) -> f64 + Sync,
    {
        let count = self.draws.len();
        let best = self.logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if best == f64::NEG_INFINITY {
            return Err(SamplingError::NoLikelihood);
        }
        let next = self.next_exponent(best);
        let weights = self.weights(next - self.exponent, best);
        // A serial sum: the same bits for any number of threads.
        let total: f64 = weights.iter().sum();
        self.log_evidence += libm::log(total / count as f64) + (next - self.exponent) * best;
        self.stage += 1;
        let first = unit(seed_for(Purpose::Draw, self.root, self.stage, u64::MAX));
        let parents = systematic(&weights, total, first);
        // Children of one parent stand side by side: they go to both halves of the cloud in turn.
        let order = (0..count).step_by(2).chain((1..count).step_by(2));
        let parents: Vec<usize> = order.map(|i| parents[i]).collect();
        let draws: Vec<Vec<f64>> = parents.iter().map(|p| self.draws[*p].clone()).collect();
        let known = (draws.iter().zip(&parents))
            .map(|(z, p)| (bits(z), self.logs[*p]))
            .collect();
        self.exponent = next;
        let model = Tempered {
            exponent: next,
            log_likelihood,
            known: Mutex::new(known),
        };
        let moves = if next >= 1.0 { LAST_MOVES } else { MOVES };
        let dimensions = draws[0].len();
        let step = 2.38 / (2.0 * dimensions as f64).sqrt();
        let mixture = Mixture::from((
            (DifferentialEvolution::new(step, 1e-5), 6),
            (DifferentialEvolution::new(0.4 * step, 1e-5), 2),
            (Stretch::default(), 2),
        ));
        let walkers = draws.into_iter().enumerate().map(|(i, z)| {
            let seed = seed_for(Purpose::Walk, self.root, self.stage, i as u64);
            (z, stream(seed))
        });
        let chain_length = MinChainLen(count * moves);
        let (mut chain, accepted) = sample(&model, &mixture, walkers, chain_length, Parallel);
        self.draws = chain.split_off(chain.len() - count);
        self.accepted = accepted as f64 / (moves * count) as f64;
        let known = model
            .known
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        self.logs = (self.draws.iter())
            .map(|z| known.get(&bits(z)).copied().unwrap_or(f64::NEG_INFINITY))
            .collect();
        Ok(())
    }

    fn weights(&self, step: f64, best: f64) -> Vec<f64> {
        let weight = |l: &f64| libm::exp(step * (l - best));
        self.logs.iter().map(weight).collect()
    }

    /// The exponent at which the weights keep half of the draws.
    fn next_exponent(&self, best: f64) -> f64 {
        let wanted = KEPT * self.draws.len() as f64;
        let enough = |step: f64| effective(&self.weights(step, best)) >= wanted;
        let whole = 1.0 - self.exponent;
        if enough(whole) {
            return 1.0;
        }
        let (mut low, mut high) = (0.0, whole);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if enough(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        // Where impossible draws alone leave less than half, a small step drops them.
        self.exponent + low.max(1e-9 * whole)
    }
}

/// Number of equal draws that weighted ones are worth: (sum w)^2 / sum w^2.
pub fn effective(weights: &[f64]) -> f64 {
    let (sum, squares) = weights
        .iter()
        .fold((0.0, 0.0), |(s, q), w| (s + w, q + w * w));
    if squares > 0.0 {
        sum * sum / squares
    } else {
        0.0
    }
}

/// Systematic resampling: the number of each child's parent, in order; `first` from 0 to 1.
fn systematic(weights: &[f64], total: f64, first: f64) -> Vec<usize> {
    let count = weights.len();
    let pace = total / count as f64;
    let (mut parent, mut reached) = (0, weights[0]);
    (0..count)
        .map(|i| {
            let wanted = (i as f64 + first) * pace;
            while reached < wanted && parent + 1 < count {
                parent += 1;
                reached += weights[parent];
            }
            parent
        })
        .collect()
}

fn tidy(log: f64) -> f64 {
    if log.is_nan() { f64::NEG_INFINITY } else { log }
}

fn bits(z: &[f64]) -> Vec<u64> {
    z.iter().map(|x| x.to_bits()).collect()
}

/// The density of a stage; what was computed once is kept.
struct Tempered<'a, L> {
    exponent: f64,
    log_likelihood: &'a L,
    known: Mutex<BTreeMap<Vec<u64>, f64>>,
}

impl<L: Fn(&[f64]) -> f64 + Sync> Model for Tempered<'_, L> {
    type Params = Vec<f64>;

    fn log_prob(&self, z: &Vec<f64>) -> f64 {
        let key = bits(z);
        let guard = |m: &Mutex<BTreeMap<Vec<u64>, f64>>| {
            m.lock()
                .unwrap_or_else(PoisonError::into_inner)
                .get(&key)
                .copied()
        };
        let log = match guard(&self.known) {
            Some(log) => log,
            None => {
                let log = tidy((self.log_likelihood)(z));
                let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
                known.insert(key, log);
                log
            }
        };
        // ln phi(z) + t ln L(z), without the constant
        let square: f64 = z.iter().map(|x| x * x).sum();
        -0.5 * square + self.exponent * log
    }
}
