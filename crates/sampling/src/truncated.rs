//! The standard normal distribution between two bounds: the common part of the normal and the lognormal.

use std::f64::consts::FRAC_1_SQRT_2;

use crate::normal::{normal_cdf, normal_density, normal_quantile};

/// Standard normal between `low` and `high`, either of which may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Window {
    low: f64,
    high: f64,
    /// Probability that the whole distribution has below, above and between.
    below: f64,
    above: f64,
    between: f64,
}

impl Window {
    /// The whole distribution.
    pub(crate) const WHOLE: Self = Self {
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
        below: 0.0,
        above: 0.0,
        between: 1.0,
    };

    /// Between two bounds, `low` below `high`.
    pub(crate) fn new(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            below: normal_cdf(low),
            above: normal_cdf(-high),
            between: mass(low, high),
        }
    }

    /// The share of the whole distribution between the bounds.
    pub(crate) fn kept(&self) -> f64 {
        self.between
    }

    /// Whether nothing is cut off.
    pub(crate) fn is_whole(&self) -> bool {
        *self == Self::WHOLE
    }

    /// The z with the probability `p` below it, `p` from 0 to 1.
    pub(crate) fn quantile(&self, p: f64) -> f64 {
        if p == 0.0 {
            return self.low;
        }
        if p == 1.0 {
            return self.high;
        }
        // Phi(z) = Phi(a) + p Z, or 1 - Phi(z) = 1 - Phi(b) + (1 - p) Z, whichever is small
        let lower = self.below + p * self.between;
        let z = if lower <= 0.5 {
            normal_quantile(lower)
        } else {
            -normal_quantile(self.above + (1.0 - p) * self.between)
        };
        z.clamp(self.low, self.high)
    }

    /// The probability below `z`.
    pub(crate) fn cdf(&self, z: f64) -> f64 {
        if z <= self.low {
            return 0.0;
        }
        if z >= self.high {
            return 1.0;
        }
        // (Phi(z) - Phi(a)) / Z, or 1 - (Phi(b) - Phi(z)) / Z, whichever is small
        let lower = mass(self.low, z) / self.between;
        if lower <= 0.5 {
            lower
        } else {
            (1.0 - mass(z, self.high) / self.between).max(0.5)
        }
    }

    /// Mean and standard deviation of g(z) by quadrature, for a `g` that grows no faster than exp(`growth` z).
    pub(crate) fn moments(&self, growth: f64, g: impl Fn(f64) -> f64) -> (f64, f64) {
        // Beyond these ends exp(2 growth z) phi(z) has less than 1e-20 of its integral.
        let low = self.low.max(-FAR);
        let high = self.high.min(FAR + 2.0 * growth);
        let integral = |f: &dyn Fn(f64) -> f64| integrate(low, high, |z| f(z) * normal_density(z));
        let mass = integral(&|_| 1.0);
        // m = int g phi / int phi,  s^2 = int (g - m)^2 phi / int phi, about a value inside
        let about = g(self.quantile(0.5));
        let mean = about + integral(&|z| g(z) - about) / mass;
        let variance = integral(&|z| (g(z) - mean) * (g(z) - mean)) / mass;
        (mean, variance.sqrt())
    }
}

const FAR: f64 = 10.0;

/// Widest window whose probability is integrated: in a wider one the two tails differ enough to be subtracted.
const NARROW: f64 = 0.5;

/// Phi(b) - Phi(a) for a below b, to full relative accuracy.
fn mass(low: f64, high: f64) -> f64 {
    if high - low <= NARROW {
        return integrate(low, high, normal_density);
    }
    if low >= 0.0 {
        normal_cdf(-low) - normal_cdf(-high)
    } else if high <= 0.0 {
        normal_cdf(high) - normal_cdf(low)
    } else {
        // Phi(b) - Phi(a) = (erf(b / sqrt 2) + erf(-a / sqrt 2)) / 2
        0.5 * (libm::erf(high * FRAC_1_SQRT_2) + libm::erf(-low * FRAC_1_SQRT_2))
    }
}

/// Gauss-Legendre with 16 nodes on panels of at most half a standard deviation.
fn integrate(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let panels = ((high - low) / 0.5).ceil().max(1.0);
    let half = 0.5 * (high - low) / panels;
    let mut sum = 0.0;
    for panel in 0..panels as u32 {
        let middle = low + (2.0 * f64::from(panel) + 1.0) * half;
        for (node, weight) in NODES {
            sum += weight * (f(middle - node * half) + f(middle + node * half));
        }
    }
    sum * half
}

/// Positive nodes and weights on -1 to 1 (NumPy 2.4, `leggauss(16)`).
const NODES: [(f64, f64); 8] = [
    (0.09501250983763744, 0.18945061045506864),
    (0.2816035507792589, 0.18260341504492364),
    (0.45801677765722737, 0.16915651939500265),
    (0.6178762444026438, 0.1495959888165767),
    (0.755404408355003, 0.12462897125553407),
    (0.8656312023878318, 0.0951585116824926),
    (0.9445750230732326, 0.062253523938647456),
    (0.9894009349916499, 0.027152459411754176),
];
