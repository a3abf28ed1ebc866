//! Distributions of one number.

use crate::discrete::Discrete;
use crate::error::{SamplingError, finite, positive};
use crate::truncated::Window;

/// Least share of a distribution that bounds may leave.
const LEAST_KEPT: f64 = 1e-6;

/// The distribution of one number, in the unit of that number.
#[derive(Debug, Clone, PartialEq)]
pub struct Distribution {
    shape: Shape,
}

#[derive(Debug, Clone, PartialEq)]
enum Shape {
    Uniform { low: f64, high: f64 },
    Normal(Cut),
    Lognormal(Cut),
    Triangular { low: f64, mode: f64, high: f64 },
    Discrete(Discrete),
}

/// A normal distribution of x, or of ln x, between bounds on x.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cut {
    location: f64,
    scale: f64,
    low: f64,
    high: f64,
    window: Window,
}

impl Cut {
    fn whole(location: f64, scale: f64, low: f64) -> Self {
        Self {
            location,
            scale,
            low,
            high: f64::INFINITY,
            window: Window::WHOLE,
        }
    }

    fn z(&self, x: f64) -> f64 {
        (x - self.location) / self.scale
    }

    fn x(&self, z: f64) -> f64 {
        self.location + self.scale * z
    }
}

impl Distribution {
    /// Even between two bounds.
    ///
    /// # Errors
    /// Bounds that are not finite, not in order, or equal.
    pub fn uniform(low: f64, high: f64) -> Result<Self, SamplingError> {
        bounds(low, high)?;
        Ok(Shape::Uniform { low, high }.into())
    }

    /// Normal with a mean and a standard deviation; [`Distribution::between`] cuts it.
    ///
    /// # Errors
    /// A mean that is not finite, a standard deviation that is not above zero.
    pub fn normal(mean: f64, standard_deviation: f64) -> Result<Self, SamplingError> {
        let mean = finite("the mean", mean)?;
        let sd = positive("the standard deviation", standard_deviation)?;
        Ok(Shape::Normal(Cut::whole(mean, sd, f64::NEG_INFINITY)).into())
    }

    /// Normal between two bounds: [`Distribution::normal`] and [`Distribution::between`] in one.
    ///
    /// # Errors
    /// As those two.
    pub fn truncated_normal(
        mean: f64,
        standard_deviation: f64,
        low: f64,
        high: f64,
    ) -> Result<Self, SamplingError> {
        Self::normal(mean, standard_deviation)?.between(low, high)
    }

    /// Lognormal with a median, in the unit of the number, and the standard deviation of its natural logarithm (no unit);
    /// [`Distribution::between`] cuts it.
    ///
    /// # Errors
    /// A median or standard deviation that is not above zero.
    pub fn lognormal(median: f64, log_standard_deviation: f64) -> Result<Self, SamplingError> {
        // mu = ln(median)
        let location = libm::log(positive("the median", median)?);
        let scale = positive(
            "the standard deviation of the logarithm",
            log_standard_deviation,
        )?;
        Ok(Shape::Lognormal(Cut::whole(location, scale, 0.0)).into())
    }

    /// Lognormal with a mean, in the unit of the number, and a coefficient of variation (standard deviation over mean of
    /// the number itself); [`Distribution::between`] cuts it.
    ///
    /// # Errors
    /// A mean or coefficient that is not above zero.
    pub fn lognormal_from_mean(
        mean: f64,
        coefficient_of_variation: f64,
    ) -> Result<Self, SamplingError> {
        let mean = positive("the mean", mean)?;
        let v = positive("the coefficient of variation", coefficient_of_variation)?;
        // sigma^2 = ln(1 + v^2),  median = mean / sqrt(1 + v^2)
        let scale = libm::log1p(v * v).sqrt();
        Self::lognormal(mean / (1.0 + v * v).sqrt(), scale)
    }

    /// Triangular between two bounds with its peak at the mode, which may be a bound.
    ///
    /// # Errors
    /// Numbers that are not finite or not in order, or equal bounds.
    pub fn triangular(low: f64, mode: f64, high: f64) -> Result<Self, SamplingError> {
        bounds(low, high)?;
        if !(low <= finite("the mode", mode)? && mode <= high) {
            return Err(SamplingError::Mode { low, mode, high });
        }
        Ok(Shape::Triangular { low, mode, high }.into())
    }

    /// Listed values, each with a weight of zero or more; the weights are divided by their sum. For words see
    /// [`crate::Levels`].
    ///
    /// # Errors
    /// No value, a value twice, a number that is not finite, a negative weight, or no weight above zero.
    pub fn discrete(weighted: &[(f64, f64)]) -> Result<Self, SamplingError> {
        Ok(Shape::Discrete(Discrete::new(weighted)?).into())
    }

    /// A normal or lognormal distribution cut to two bounds, either of which may be infinite; what is left is scaled up,
    /// so mean and standard deviation become other than those it was given by.
    ///
    /// # Errors
    /// Bounds not in order, bounds that leave less than a millionth, or another kind of distribution.
    pub fn between(self, low: f64, high: f64) -> Result<Self, SamplingError> {
        let kind = match &self.shape {
            Shape::Normal(cut) => {
                return cut_to(cut, low, high, |x| x).map(|c| Shape::Normal(c).into());
            }
            Shape::Lognormal(cut) => {
                let log = |x: f64| libm::log(x.max(0.0));
                return cut_to(cut, low, high, log).map(|c| Shape::Lognormal(c).into());
            }
            Shape::Uniform { .. } => "uniform",
            Shape::Triangular { .. } => "triangular",
            Shape::Discrete(_) => "discrete",
        };
        Err(SamplingError::NotCut { kind })
    }

    /// The value with the probability `p` below it: the inverse of [`Distribution::cdf`]. Never infinite.
    ///
    /// # Errors
    /// A `p` outside 0 to 1; or 0 or 1 where there is no bound.
    pub fn quantile(&self, p: f64) -> Result<f64, SamplingError> {
        if !(0.0..=1.0).contains(&p) {
            return Err(SamplingError::Probability { value: p });
        }
        let x = match &self.shape {
            Shape::Uniform { low, high } => (low + p * (high - low)).min(*high),
            Shape::Normal(cut) => cut.x(cut.window.quantile(p)).clamp(cut.low, cut.high),
            Shape::Lognormal(cut) => {
                libm::exp(cut.x(cut.window.quantile(p))).clamp(cut.low, cut.high)
            }
            Shape::Triangular { low, mode, high } => {
                // a + sqrt(p (c - a)(m - a)) up to the mode, b - sqrt((1 - p)(b - a)(b - m)) above
                let (whole, rise, fall) = (high - low, mode - low, high - mode);
                if p * whole < rise {
                    low + (p * whole * rise).sqrt()
                } else {
                    high - ((1.0 - p) * whole * fall).sqrt()
                }
            }
            Shape::Discrete(list) => list.quantile(p),
        };
        if x.is_finite() {
            Ok(x)
        } else {
            Err(SamplingError::Infinite { value: p })
        }
    }

    /// The probability of `x` and all below it.
    pub fn cdf(&self, x: f64) -> f64 {
        match &self.shape {
            Shape::Uniform { low, high } => ((x - low) / (high - low)).clamp(0.0, 1.0),
            Shape::Normal(cut) => cut.window.cdf(cut.z(x)),
            Shape::Lognormal(cut) => cut.window.cdf(cut.z(libm::log(x.max(0.0)))),
            Shape::Triangular { low, mode, high } => {
                // (x - a)^2 / ((b - a)(m - a)) up to the mode, 1 - (b - x)^2 / ((b - a)(b - m)) above
                let whole = high - low;
                let (up, down) = ((x - low).max(0.0), (high - x).max(0.0));
                if up == 0.0 {
                    0.0
                } else if x < *mode {
                    up / whole * (up / (mode - low))
                } else if down == 0.0 {
                    1.0
                } else {
                    1.0 - down / whole * (down / (high - mode))
                }
            }
            Shape::Discrete(list) => list.cdf(x),
        }
    }

    /// The mean, after the cut.
    pub fn mean(&self) -> f64 {
        self.moments().0
    }

    /// The standard deviation, after the cut.
    pub fn standard_deviation(&self) -> f64 {
        self.moments().1
    }

    /// The least and the greatest value it can have; infinite where there is no bound.
    pub fn bounds(&self) -> (f64, f64) {
        match &self.shape {
            Shape::Uniform { low, high } | Shape::Triangular { low, high, .. } => (*low, *high),
            Shape::Normal(cut) | Shape::Lognormal(cut) => (cut.low, cut.high),
            Shape::Discrete(list) => (list.quantile(0.0), list.quantile(1.0)),
        }
    }

    fn moments(&self) -> (f64, f64) {
        match &self.shape {
            // (a + b)/2,  (b - a)/sqrt 12
            Shape::Uniform { low, high } => {
                (low + 0.5 * (high - low), (high - low) / 12.0_f64.sqrt())
            }
            Shape::Normal(cut) if cut.window.is_whole() => (cut.location, cut.scale),
            Shape::Normal(cut) => cut.window.moments(0.0, |z| cut.x(z)),
            Shape::Lognormal(cut) if cut.window.is_whole() => {
                // m = exp(mu + sigma^2/2),  s = m sqrt(exp(sigma^2) - 1)
                let variance = cut.scale * cut.scale;
                let mean = libm::exp(cut.location + 0.5 * variance);
                (mean, mean * libm::expm1(variance).sqrt())
            }
            Shape::Lognormal(cut) => cut.window.moments(cut.scale, |z| libm::exp(cut.x(z))),
            Shape::Triangular { low, mode, high } => {
                // (a + m + b)/3,  s^2 = (u^2 + u v + v^2)/18 with u = m - a, v = b - m
                let (u, v) = (mode - low, high - mode);
                (
                    low + (2.0 * u + v) / 3.0,
                    ((u * u + u * v + v * v) / 18.0).sqrt(),
                )
            }
            Shape::Discrete(list) => (list.mean(), list.standard_deviation()),
        }
    }
}

impl From<Shape> for Distribution {
    fn from(shape: Shape) -> Self {
        Self { shape }
    }
}

fn bounds(low: f64, high: f64) -> Result<(), SamplingError> {
    ordered(
        finite("the lower bound", low)?,
        finite("the upper bound", high)?,
    )?;
    finite("the width between the bounds", high - low).map(|_| ())
}

fn ordered(low: f64, high: f64) -> Result<(), SamplingError> {
    if low < high {
        Ok(())
    } else {
        Err(SamplingError::Bounds { low, high })
    }
}

/// Further bounds on a distribution; the closer ones hold.
fn cut_to(cut: &Cut, low: f64, high: f64, log: impl Fn(f64) -> f64) -> Result<Cut, SamplingError> {
    ordered(low, high)?;
    let (low, high) = (low.max(cut.low), high.min(cut.high));
    ordered(low, high)?;
    let window = Window::new(cut.z(log(low)), cut.z(log(high)));
    // NaN bounds have no order and were refused above.
    if window.kept() < LEAST_KEPT {
        return Err(SamplingError::NearlyNothingLeft {
            low,
            high,
            kept: window.kept(),
        });
    }
    Ok(Cut {
        low,
        high,
        window,
        ..*cut
    })
}
