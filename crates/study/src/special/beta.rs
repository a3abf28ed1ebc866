//! The incomplete beta function, its inverse, and the distributions that follow from it.

use std::f64::consts::PI;

/// Most terms of the continued fraction. About sqrt(max(a, b)) are needed; this suffices for a and b up to 1e9.
const MOST_TERMS: u32 = 200_000;
/// Most steps of the inverse: one Newton step or one halving each.
const MOST_STEPS: u32 = 200;

/// The regularised incomplete beta function I_x(a, b): the probability below `x` of the beta distribution with the
/// parameters `a`, `b` above zero. NaN outside the domain.
pub fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    tails(a, b, x).0
}

/// The `x` with I_x(a, b) = p, for `p` from 0 to 1. NaN outside the domain.
///
/// Newton's method on the logarithm of the smaller tail, kept between bounds that only close in.
pub fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    if !valid(a, b) || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.0 || p == 1.0 {
        return p;
    }
    let lower_tail = p <= 0.5;
    let aim = libm::log(if lower_tail { p } else { 1.0 - p });
    let (mut low, mut high) = (0.0, 1.0);
    let mut x = a / (a + b);
    for _ in 0..MOST_STEPS {
        let (below, above) = tails(a, b, x);
        let tail = if lower_tail { below } else { above };
        // excess = ln I - ln p; positive when x is too high (lower tail) or too low (upper tail)
        let excess = libm::log(tail) - aim;
        if (excess > 0.0) == lower_tail {
            high = x;
        } else {
            low = x;
        }
        // x' = x -+ (ln I - ln p) I / I',  I' = x^(a-1) (1-x)^(b-1) / B(a, b)
        let slope = power_term(a, b, x) / (x * (1.0 - x));
        let step = excess * tail / slope;
        let mut next = if lower_tail { x - step } else { x + step };
        if !(low < next && next < high) {
            next = 0.5 * (low + high);
        }
        let moved = (next - x).abs();
        x = next;
        if moved <= 1e-16 * x {
            break;
        }
    }
    x
}

/// Probability of exactly `successes` in `trials` with the probability `p` each. Loader (2000).
pub fn binomial_probability(successes: u64, trials: u64, p: f64) -> f64 {
    if successes > trials || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let (k, n) = (successes as f64, trials as f64);
    match (successes, trials - successes) {
        (0, 0) => 1.0,
        // (1 - p)^n and p^n
        (0, _) => libm::exp(n * libm::log1p(-p)),
        (_, 0) => libm::pow(p, n),
        _ if p == 0.0 || p == 1.0 => 0.0,
        _ => saddle_point(k, n - k, p, 1.0 - p),
    }
}

/// Probability of at most `successes` in `trials` with the probability `p` each.
pub fn binomial_cdf(successes: u64, trials: u64, p: f64) -> f64 {
    if successes >= trials {
        return 1.0;
    }
    // P(X <= k) = I_(1-p)(n - k, k + 1) = 1 - I_p(k + 1, n - k)
    tails(successes as f64 + 1.0, (trials - successes) as f64, p).1
}

/// Probability of more than `successes` in `trials` with the probability `p` each.
pub fn binomial_survival(successes: u64, trials: u64, p: f64) -> f64 {
    if successes >= trials {
        return 0.0;
    }
    // P(X > k) = I_p(k + 1, n - k)
    tails(successes as f64 + 1.0, (trials - successes) as f64, p).0
}

/// The value below which Student's distribution with `degrees` of freedom (above zero) has the probability `p`.
pub fn student_quantile(degrees: f64, p: f64) -> f64 {
    let known = degrees > 0.0 && degrees.is_finite() && (0.0..=1.0).contains(&p);
    if !known {
        return f64::NAN;
    }
    // P(|T| <= t) = I_y(1/2, nu/2) with y = t^2 / (nu + t^2), so t = sqrt(nu y / (1 - y))
    let inside = (2.0 * p - 1.0).abs();
    let y = beta_quantile(0.5, 0.5 * degrees, inside);
    let odds = if y < 0.5 {
        y / (1.0 - y)
    } else {
        let outside = 2.0 * p.min(1.0 - p);
        let x = beta_quantile(0.5 * degrees, 0.5, outside);
        (1.0 - x) / x
    };
    (degrees * odds).sqrt().copysign(p - 0.5)
}

fn valid(a: f64, b: f64) -> bool {
    a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite()
}

/// I_x(a, b) and 1 - I_x(a, b), neither by subtraction where it is small.
fn tails(a: f64, b: f64, x: f64) -> (f64, f64) {
    if !valid(a, b) || !(0.0..=1.0).contains(&x) {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 || x == 1.0 {
        return (x, 1.0 - x);
    }
    let power = power_term(a, b, x);
    // I_x(a, b) = x^a (1-x)^b / (a B(a, b)) / (1 + d1/(1 + d2/(1 + ...))), DLMF 8.17.22
    if x < (a + 1.0) / (a + b + 2.0) {
        let below = power * continued_fraction(a, b, x) / a;
        (below, 1.0 - below)
    } else {
        let above = power * continued_fraction(b, a, 1.0 - x) / b;
        (1.0 - above, above)
    }
}

/// x^a (1-x)^b / B(a, b), for x between 0 and 1.
fn power_term(a: f64, b: f64, x: f64) -> f64 {
    // 1 / B(a, b) = a b / (a + b) * G(a+b+1) / (G(a+1) G(b+1))
    a * b / (a + b) * saddle_point(a, b, x, 1.0 - x)
}

/// G(n+1) / (G(a+1) G(b+1)) x^a y^b with n = a + b and y = 1 - x, for a and b above zero.
fn saddle_point(a: f64, b: f64, x: f64, y: f64) -> f64 {
    // sqrt(n / (2 pi a b)) exp(s(n) - s(a) - s(b) - D(a, n x) - D(b, n y))
    let n = a + b;
    let exponent = stirling_error(n)
        - stirling_error(a)
        - stirling_error(b)
        - deviance(a, n * x)
        - deviance(b, n * y);
    (n / (2.0 * PI * a) / b).sqrt() * libm::exp(exponent)
}

/// s(z) = ln G(z+1) - (z + 1/2) ln z + z - ln(2 pi) / 2.
fn stirling_error(z: f64) -> f64 {
    if z < 15.0 {
        return libm::lgamma(z + 1.0) - (z + 0.5) * libm::log(z) + z - 0.5 * libm::log(2.0 * PI);
    }
    // s(z) = 1/(12 z) - 1/(360 z^3) + 1/(1260 z^5) - 1/(1680 z^7) + 1/(1188 z^9) - 691/(360360 z^11) + 1/(156 z^13)
    let w = 1.0 / (z * z);
    let series = [
        1.0 / 12.0,
        -1.0 / 360.0,
        1.0 / 1260.0,
        -1.0 / 1680.0,
        1.0 / 1188.0,
        -691.0 / 360_360.0,
        1.0 / 156.0,
    ];
    series.iter().rev().fold(0.0, |sum, term| sum * w + term) / z
}

/// D(x, m) = x ln(x / m) + m - x, without cancellation where x is near m.
fn deviance(x: f64, m: f64) -> f64 {
    let difference = x - m;
    if difference.abs() >= 0.1 * (x + m) {
        return x * libm::log(x / m) - difference;
    }
    // v = (x - m)/(x + m);  D = (x - m) v + 2 x (v^3/3 + v^5/5 + ...)
    let v = difference / (x + m);
    let mut sum = difference * v;
    let mut power = 2.0 * x * v;
    for odd in 1..1000 {
        power *= v * v;
        let next = sum + power / (2.0 * f64::from(odd) + 1.0);
        if next == sum {
            break;
        }
        sum = next;
    }
    sum
}

/// 1 / (1 + d1/(1 + d2/(1 + ...))) of the incomplete beta function, by the method of Lentz.
fn continued_fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away = |value: f64| if value.abs() < TINY { TINY } else { value };
    // d(2m) = m (b-m) x / ((a+2m-1)(a+2m)),  d(2m+1) = -(a+m)(a+b+m) x / ((a+2m)(a+2m+1))
    let mut c = 1.0;
    let mut d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = d;
    for term in 1..=MOST_TERMS {
        let m = f64::from(term);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / away(1.0 + even * d);
        c = away(1.0 + even / c);
        fraction *= c * d;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / away(1.0 + odd * d);
        c = away(1.0 + odd / c);
        let change = c * d;
        fraction *= change;
        if (change - 1.0).abs() < 1e-16 {
            break;
        }
    }
    fraction
}
