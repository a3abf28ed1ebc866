//! ProbabilityCurve: the probability of exceeding a limit against one quantity, such as the clamp torque.

use crate::binomial::{clopper_pearson, clopper_pearson_upper};
use crate::error::SamplingError;
use crate::interval::{Interval, confidence, probability};
use crate::isotonic::{Trend, isotonic};

/// Runs at one value of the quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelCount {
    /// Value of the quantity.
    pub at: f64,
    /// Runs that exceeded the limit.
    pub exceeded: u64,
    /// All runs.
    pub runs: u64,
}

/// One point of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// The runs behind it.
    pub level: LevelCount,
    /// Share of the runs here that exceeded the limit.
    pub share: f64,
    /// The monotone fit.
    pub fitted: f64,
    /// Clopper-Pearson interval from the runs here alone: holds for this point with the curve's confidence.
    pub pointwise: Interval,
    /// Band that holds for all points at once with the curve's confidence, also where the same sampled inputs were run
    /// at every level: Clopper-Pearson with the rest of the confidence divided by the number of points, and then
    /// tightened by the trend, since no point can lie below the lower bound of one on its safer side.
    pub band: Interval,
}

/// Where the fitted curve passes a probability, seen from the safe end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Crossing {
    /// The safe end is above the probability already.
    BeforeFirst,
    /// At this value, on the straight line between two levels.
    At(f64),
    /// No level reaches the probability.
    Never,
}

/// A fragility curve.
#[derive(Debug, Clone, PartialEq)]
pub struct ProbabilityCurve {
    points: Vec<CurvePoint>,
    trend: Trend,
    confidence: f64,
}

impl ProbabilityCurve {
    /// The curve of levels in ascending order, for a probability that rises or falls with the quantity. Runs at one level
    /// must be independent; runs at different levels need not be.
    ///
    /// # Errors
    /// No level, levels not ascending or not finite, a level without runs or with more exceeding than run, a confidence
    /// outside 0 to 1.
    pub fn new(levels: &[LevelCount], trend: Trend, level: f64) -> Result<Self, SamplingError> {
        let confidence = confidence(level)?;
        check(levels)?;
        let shares: Vec<f64> = levels
            .iter()
            .map(|l| l.exceeded as f64 / l.runs as f64)
            .collect();
        let weights: Vec<f64> = levels.iter().map(|l| l.runs as f64).collect();
        let fitted = isotonic(&shares, &weights, trend)?;
        // 1 - (1 - confidence)/m for each of m points (Bonferroni)
        let together = 1.0 - (1.0 - confidence) / levels.len() as f64;
        let mut points = Vec::with_capacity(levels.len());
        for ((&level, share), fitted) in levels.iter().zip(shares).zip(fitted) {
            let interval = |c| clopper_pearson(level.exceeded, level.runs, c);
            points.push(CurvePoint {
                level,
                share,
                fitted,
                pointwise: interval(confidence)?,
                band: interval(together)?,
            });
        }
        tighten(&mut points, trend);
        Ok(Self {
            points,
            trend,
            confidence,
        })
    }

    /// The points, ascending in the quantity.
    pub fn points(&self) -> &[CurvePoint] {
        &self.points
    }

    /// The confidence of its intervals.
    pub fn confidence(&self) -> f64 {
        self.confidence
    }

    /// Where the fitted curve passes the probability `p`.
    ///
    /// # Errors
    /// A `p` outside 0 to 1.
    pub fn crossing(&self, p: f64) -> Result<Crossing, SamplingError> {
        let p = probability(p)?;
        let mut before: Option<&CurvePoint> = None;
        for point in self.outward() {
            if point.fitted > p {
                let Some(before) = before else {
                    return Ok(Crossing::BeforeFirst);
                };
                // x = x1 + (p - F1)(x2 - x1)/(F2 - F1)
                let share = (p - before.fitted) / (point.fitted - before.fitted);
                let at = before.level.at + share * (point.level.at - before.level.at);
                return Ok(Crossing::At(at));
            }
            before = Some(point);
        }
        Ok(Crossing::Never)
    }

    /// The last level, from the safe end, at which the probability is at most `p` with the given one-sided confidence;
    /// none if not even the first is.
    ///
    /// Each level in turn must have its upper bound at or below `p`; the first that fails ends it. Because the curve is
    /// monotone and the order is fixed beforehand, the statement as a whole has the confidence of one test.
    ///
    /// # Errors
    /// A `p` or a confidence outside 0 to 1.
    pub fn last_within(&self, p: f64, level: f64) -> Result<Option<f64>, SamplingError> {
        let (p, level) = (probability(p)?, confidence(level)?);
        let mut last = None;
        for point in self.outward() {
            if clopper_pearson_upper(point.level.exceeded, point.level.runs, level)? > p {
                break;
            }
            last = Some(point.level.at);
        }
        Ok(last)
    }

    fn outward(&self) -> Box<dyn Iterator<Item = &CurvePoint> + '_> {
        match self.trend {
            Trend::Rising => Box::new(self.points.iter()),
            Trend::Falling => Box::new(self.points.iter().rev()),
        }
    }
}

/// Lower bounds become the greatest so far from the safe end, upper bounds the least so far from the other end.
fn tighten(points: &mut [CurvePoint], trend: Trend) {
    let ascending = |points: &mut [CurvePoint]| {
        let mut floor = 0.0_f64;
        for point in points.iter_mut() {
            floor = floor.max(point.band.low);
            point.band.low = floor;
        }
        let mut ceiling = 1.0_f64;
        for point in points.iter_mut().rev() {
            ceiling = ceiling.min(point.band.high);
            point.band.high = ceiling;
        }
    };
    if trend == Trend::Falling {
        points.reverse();
    }
    ascending(points);
    if trend == Trend::Falling {
        points.reverse();
    }
}

fn check(levels: &[LevelCount]) -> Result<(), SamplingError> {
    if levels.is_empty() {
        return Err(SamplingError::TooFew {
            what: "levels",
            given: 0,
            least: 1,
        });
    }
    for (index, level) in levels.iter().enumerate() {
        if !level.at.is_finite() {
            return Err(SamplingError::Result {
                index,
                value: level.at,
            });
        }
        if level.runs == 0 || level.exceeded > level.runs {
            return Err(SamplingError::Counts {
                successes: level.exceeded,
                trials: level.runs,
            });
        }
        if index > 0 && levels[index - 1].at >= level.at {
            return Err(SamplingError::Order { index });
        }
    }
    Ok(())
}
