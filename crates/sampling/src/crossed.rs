//! Sobol' indices from two crossed samples.

use crate::complete::{Complete, missing};
use crate::design::{Design, check};
use crate::error::{SamplingError, count};
use crate::interval::Interval;
use crate::resampling::Resampling;

/// The runs for Sobol' indices: two samples A and B from one base design, and for each factor the sample A with that
/// factor from B. Row by row: A, then A with factor 1 from B, ... with factor k from B, then B.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossed<D> {
    base: D,
    rows: u64,
}

/// Indices of all factors for one result.
#[derive(Debug, Clone, PartialEq)]
pub struct SobolIndices {
    /// Mean of the result over A and B.
    pub mean: f64,
    /// Variance of the result over A and B, with n below.
    pub variance: f64,
    /// Rows with all their results, and rows left out since one or more of their runs have none.
    pub complete: Complete,
    /// Each factor's indices.
    pub factors: Vec<FactorIndices>,
}

/// Shares of the variance of one result. Estimates and their bounds may lie a little below 0 or above 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorIndices {
    /// First-order index: the share that would go if this factor were known.
    pub first: f64,
    /// Bootstrap interval of the first-order index.
    pub first_interval: Interval,
    /// Total index: the share that would be left if all others were known.
    pub total: f64,
    /// Bootstrap interval of the total index.
    pub total_interval: Interval,
}

impl<D: Design> Crossed<D> {
    /// So many rows of a base design that has two coordinates for each factor: the first half makes A, the second B. Take
    /// a scrambled Sobol' sequence and a power of two rows; the bootstrap is then on the safe side.
    ///
    /// # Errors
    /// A base with an odd number of coordinates or with fewer points than rows; fewer than two rows.
    pub fn new(base: D, rows: u64) -> Result<Self, SamplingError> {
        let dimensions = base.dimensions();
        if dimensions == 0 || dimensions % 2 == 1 {
            return Err(SamplingError::OddBase { dimensions });
        }
        let most = base.size().min((1 << 62) / (dimensions as u64 + 2));
        count("rows", rows, 2, most)?;
        Ok(Self { base, rows })
    }

    /// First-order and total indices from the results of all runs, in the order of the design; none where a run has no
    /// result. A row is used only whole: one run without a result takes its row with it, and the indices then hold for
    /// the inputs without such rows.
    ///
    /// # Errors
    /// Results that do not fit or are not finite, fewer than two complete rows, equal results, a wrong resampling.
    pub fn indices(
        &self,
        results: &[Option<f64>],
        resampling: &Resampling,
    ) -> Result<SobolIndices, SamplingError> {
        resampling.check()?;
        if results.len() as u64 != self.size() {
            return Err(SamplingError::Results {
                given: results.len(),
                runs: self.size(),
            });
        }
        let factors = self.dimensions();
        let missing_runs = missing(results)?;
        let complete: Vec<Vec<f64>> = results
            .chunks(factors + 2)
            .filter_map(|row| row.iter().copied().collect())
            .collect();
        if complete.len() < 2 {
            return Err(SamplingError::TooFew {
                what: "rows with all their results",
                given: complete.len() as u64,
                least: 2,
            });
        }
        let terms = Terms::new(&complete);
        let all = terms.sums(0..complete.len()).estimate(complete.len());
        if all.variance <= 0.0 {
            return Err(SamplingError::Constant);
        }
        let mut first = vec![Vec::new(); factors];
        let mut total = vec![Vec::new(); factors];
        for number in 0..resampling.times {
            let draws = resampling.draws(number, 0, complete.len());
            let resample = terms.sums(draws).estimate(complete.len());
            // A resample of one row over and over has no variance; it says nothing.
            if resample.variance > 0.0 {
                for factor in 0..factors {
                    first[factor].push(resample.first[factor]);
                    total[factor].push(resample.total[factor]);
                }
            }
        }
        if first[0].is_empty() {
            return Err(SamplingError::Constant);
        }
        let factors = (first.into_iter().zip(total).enumerate())
            .map(|(factor, (first, total))| FactorIndices {
                first: all.first[factor],
                first_interval: resampling.interval(first),
                total: all.total[factor],
                total_interval: resampling.interval(total),
            })
            .collect();
        Ok(SobolIndices {
            mean: terms.centre + all.mean,
            variance: all.variance,
            complete: Complete {
                what: "rows",
                used: complete.len() as u64,
                left_out: self.rows - complete.len() as u64,
                missing_runs,
            },
            factors,
        })
    }
}

impl<D: Design> Design for Crossed<D> {
    fn dimensions(&self) -> usize {
        self.base.dimensions() / 2
    }

    /// Rows times (factors + 2).
    fn size(&self) -> u64 {
        self.rows * (self.dimensions() as u64 + 2)
    }

    fn fill(&self, index: u64, point: &mut [f64]) -> Result<(), SamplingError> {
        check(self, index, point)?;
        let factors = self.dimensions();
        let runs = factors as u64 + 2;
        let (row, place) = (index / runs, (index % runs) as usize);
        let both = self.base.point(row)?;
        let (a, b) = both.split_at(factors);
        point.copy_from_slice(if place == factors + 1 { b } else { a });
        if (1..=factors).contains(&place) {
            point[place - 1] = b[place - 1];
        }
        Ok(())
    }
}

/// What each row adds to the estimators, about a common centre.
struct Terms {
    /// Mean of all results: the first-order estimator is the better the closer it works to zero.
    centre: f64,
    factors: usize,
    /// f(A) + f(B) and f(A)^2 + f(B)^2 of each row.
    rows: Vec<[f64; 2]>,
    /// f(B) (f(AB) - f(A)) and (f(A) - f(AB))^2 / 2 of each row and factor.
    pairs: Vec<[f64; 2]>,
}

/// Sums of the terms over some rows.
struct Sums {
    rows: [f64; 2],
    pairs: Vec<[f64; 2]>,
}

struct Estimate {
    mean: f64,
    variance: f64,
    first: Vec<f64>,
    total: Vec<f64>,
}

impl Terms {
    fn new(complete: &[Vec<f64>]) -> Self {
        let factors = complete[0].len() - 2;
        let count = (complete.len() * complete[0].len()) as f64;
        let centre = complete.iter().flat_map(|row| row.iter()).sum::<f64>() / count;
        let mut rows = Vec::with_capacity(complete.len());
        let mut pairs = Vec::with_capacity(complete.len() * factors);
        for row in complete {
            let (a, b) = (row[0] - centre, row[factors + 1] - centre);
            rows.push([a + b, a * a + b * b]);
            pairs.extend(row[1..=factors].iter().map(|ab| {
                let change = ab - centre - a;
                [b * change, 0.5 * change * change]
            }));
        }
        Self {
            centre,
            factors,
            rows,
            pairs,
        }
    }

    fn sums(&self, chosen: impl Iterator<Item = usize>) -> Sums {
        let mut sums = Sums {
            rows: [0.0; 2],
            pairs: vec![[0.0; 2]; self.factors],
        };
        for row in chosen {
            add(&mut sums.rows, &self.rows[row]);
            let pairs = &self.pairs[row * self.factors..(row + 1) * self.factors];
            for (sum, pair) in sums.pairs.iter_mut().zip(pairs) {
                add(sum, pair);
            }
        }
        sums
    }
}

fn add(sum: &mut [f64; 2], term: &[f64; 2]) {
    sum[0] += term[0];
    sum[1] += term[1];
}

impl Sums {
    fn estimate(&self, count: usize) -> Estimate {
        let n = count as f64;
        // V = (1/2n) sum (f(A)^2 + f(B)^2) - m^2
        let mean = self.rows[0] / (2.0 * n);
        let variance = self.rows[1] / (2.0 * n) - mean * mean;
        // S_j = (1/n) sum f(B) (f(AB_j) - f(A)) / V,  Saltelli et al. (2010), table 2 (b)
        let first = self.pairs.iter().map(|p| p[0] / n / variance).collect();
        // T_j = (1/2n) sum (f(A) - f(AB_j))^2 / V,  Jansen (1999), table 2 (f)
        let total = self.pairs.iter().map(|p| p[1] / n / variance).collect();
        Estimate {
            mean,
            variance,
            first,
            total,
        }
    }
}
