//! The standard normal distribution.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Density phi(z) of the standard normal distribution.
pub fn normal_density(z: f64) -> f64 {
    // phi(z) = exp(-z^2 / 2) / sqrt(2 pi)
    libm::exp(-0.5 * z * z) / (2.0 * PI).sqrt()
}

/// Probability Phi(z) of the standard normal distribution below `z`; the probability above is `normal_cdf(-z)`, without
/// loss of digits far out.
pub fn normal_cdf(z: f64) -> f64 {
    // Phi(z) = erfc(-z / sqrt 2) / 2
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The `z` below which the standard normal distribution has the probability `p`: minus infinity at 0, plus infinity at
/// 1, NaN outside 0 to 1. Wichura (1988), routine PPND16: about 16 digits.
///
/// Near 1 the argument itself has lost digits: take `-normal_quantile(q)` with the probability `q` above.
pub fn normal_quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * ratio(&CENTRE, r);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail == 0.0 {
        return f64::INFINITY.copysign(q);
    }
    // r = sqrt(-ln(tail))
    let r = (-libm::log(tail)).sqrt();
    let z = if r <= 5.0 {
        ratio(&MIDDLE, r - 1.6)
    } else {
        ratio(&FAR, r - 5.0)
    };
    z.copysign(q)
}

/// A quotient of two polynomials, coefficients from the constant term up.
struct Rational {
    above: [f64; 8],
    below: [f64; 8],
}

fn ratio(of: &Rational, r: f64) -> f64 {
    let value = |c: &[f64; 8]| c.iter().rev().fold(0.0, |sum, c| sum * r + c);
    value(&of.above) / value(&of.below)
}

/// |p - 1/2| up to 0.425.
const CENTRE: Rational = Rational {
    above: [
        3.387_132_872_796_366_5,
        133.141_667_891_784_38,
        1_971.590_950_306_551_3,
        13_731.693_765_509_46,
        45_921.953_931_549_87,
        67_265.770_927_008_7,
        33_430.575_583_588_13,
        2_509.080_928_730_122_7,
    ],
    below: [
        1.0,
        42.313_330_701_600_91,
        687.187_007_492_057_9,
        5_394.196_021_424_751,
        21_213.794_301_586_597,
        39_307.895_800_092_71,
        28_729.085_735_721_943,
        5_226.495_278_852_854,
    ],
};

/// Tails down to exp(-25).
const MIDDLE: Rational = Rational {
    above: [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    below: [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
};

/// Tails below exp(-25).
const FAR: Rational = Rational {
    above: [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    below: [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
};
