//! Phaseless low-pass filters for crash channels.
//!
//! Second-order recursive filter, run forward and then backward, so that four poles act and no phase is left:
//!
//! ```text
//! y[i] = a0 x[i] + a1 x[i-1] + a2 x[i-2] + b1 y[i-1] + b2 y[i-2]
//! wd = 2 pi CFC 2.0775          wa = tan(wd T / 2)          D = 1 + sqrt(2) wa + wa^2
//! a0 = wa^2 / D    a1 = 2 a0    a2 = a0
//! b1 = -2 (wa^2 - 1) / D        b2 = (-1 + sqrt(2) wa - wa^2) / D
//! ```
//!
//! with T the sampling interval, s. 2.0775 = (5/3) / (sqrt(2) - 1)^(1/4), so the double pass is 3.01 dB down at
//! 5/3 of the channel frequency class (derived). Before and behind the record the signal is taken to hold a
//! constant value for ever ([`Edge`]); both passes start in the exact steady or decayed state of that signal, so
//! no samples are padded and a record that starts at rest is not disturbed.
//!
//! References
//! - SAE J211-1, Instrumentation for impact test, part 1, appendix C; the formulas above (seen in code that follows it).
//! - ISO 6487, Road vehicles - Measurement techniques in impact tests - Instrumentation.
//! - EN 1317-1:2010, Road restraint systems, part 1: 13 Hz and 10 Hz four-pole phaseless Butterworth (recalled).

use core::f64::consts::{PI, SQRT_2};

use crate::error::OccupantError;

/// Ratio of the design frequency to the channel frequency class, as printed in SAE J211-1.
const CHANNEL_FACTOR: f64 = 2.0775;
/// 1 / (sqrt(2) - 1)^(1/4): design frequency of one pass over the 3.01 dB frequency of both (derived).
const DOUBLE_PASS_FACTOR: f64 = 1.246_504_702_770_927_2;

/// Channel frequency class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChannelClass {
    /// CFC 60: overall pictures of a vehicle's motion.
    Cfc60,
    /// CFC 180: integration to velocity and displacement.
    Cfc180,
    /// CFC 600.
    Cfc600,
    /// CFC 1000.
    Cfc1000,
}

impl ChannelClass {
    /// The number in the class's name, Hz.
    pub const fn frequency_hz(self) -> f64 {
        match self {
            Self::Cfc60 => 60.0,
            Self::Cfc180 => 180.0,
            Self::Cfc600 => 600.0,
            Self::Cfc1000 => 1000.0,
        }
    }
}

/// What the signal does on the far side of an end of the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Zero: nothing happened before, or nothing happens any more.
    Rest,
    /// The value at that end goes on.
    Hold,
}

/// Coefficients of y\[i\] = a0 x\[i\] + a1 x\[i-1\] + a2 x\[i-2\] + b1 y\[i-1\] + b2 y\[i-2\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficients {
    /// Weight of the present sample.
    pub a0: f64,
    /// Weight of the sample before.
    pub a1: f64,
    /// Weight of the sample before that.
    pub a2: f64,
    /// Weight of the last result.
    pub b1: f64,
    /// Weight of the result before that.
    pub b2: f64,
}

/// A phaseless four-pole low-pass filter for one sampling interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowPass {
    coefficients: Coefficients,
}

/// State of the transposed direct form: z1 and z2 in `step`.
type State = [f64; 2];
/// Two-by-two matrix, row by row.
type Matrix = [[f64; 2]; 2];

impl LowPass {
    /// The filter of a channel class.
    ///
    /// # Errors
    /// An interval that is not positive, or too long for the class (at or beyond 1 / (4.155 CFC) s).
    pub fn channel(class: ChannelClass, interval_s: f64) -> Result<Self, OccupantError> {
        let cfc = class.frequency_hz();
        Self::design(cfc * CHANNEL_FACTOR, cfc * 5.0 / 3.0, interval_s)
    }

    /// Butterworth filter whose double pass is 3.01 dB down at `cutoff_hz`.
    ///
    /// # Errors
    /// A frequency or interval that is not positive, or an interval at or beyond 1 / (2.493 `cutoff_hz`) s.
    pub fn phaseless(cutoff_hz: f64, interval_s: f64) -> Result<Self, OccupantError> {
        Self::design(cutoff_hz * DOUBLE_PASS_FACTOR, cutoff_hz, interval_s)
    }

    fn design(design_hz: f64, cutoff_hz: f64, interval_s: f64) -> Result<Self, OccupantError> {
        if !(cutoff_hz > 0.0 && cutoff_hz.is_finite()) {
            return Err(OccupantError::FilterFrequency { cutoff_hz });
        }
        if !(interval_s > 0.0 && interval_s.is_finite()) {
            return Err(OccupantError::Interval { interval_s });
        }
        // wd T / 2 must stay below pi / 2, where the tangent has its pole
        let longest_interval_s = 1.0 / (2.0 * design_hz);
        if interval_s >= longest_interval_s {
            return Err(OccupantError::FilterTooFast {
                cutoff_hz,
                interval_s,
                longest_interval_s,
            });
        }
        // wa = tan(wd T / 2)
        let wa = libm::tan(PI * design_hz * interval_s);
        // D = 1 + sqrt(2) wa + wa^2
        let d = 1.0 + SQRT_2 * wa + wa * wa;
        let a0 = wa * wa / d;
        let coefficients = Coefficients {
            a0,
            a1: 2.0 * a0,
            a2: a0,
            b1: -2.0 * (wa * wa - 1.0) / d,
            b2: (-1.0 + SQRT_2 * wa - wa * wa) / d,
        };
        Ok(Self { coefficients })
    }

    /// The coefficients of one pass.
    pub fn coefficients(&self) -> Coefficients {
        self.coefficients
    }

    /// Filters one signal forward and backward; as many values as `samples`.
    pub fn run(&self, samples: &[f64], before: Edge, after: Edge) -> Vec<f64> {
        let mut values: Vec<[f64; 1]> = samples.iter().map(|&x| [x]).collect();
        self.run_axes(&mut values, before, after);
        values.into_iter().map(|[y]| y).collect()
    }

    /// Filters N signals side by side, in place.
    pub fn run_axes<const N: usize>(&self, samples: &mut [[f64; N]], before: Edge, after: Edge) {
        let (Some(&first), Some(&last)) = (samples.first(), samples.last()) else {
            return;
        };
        let level = |edge: Edge, value: f64| if edge == Edge::Hold { value } else { 0.0 };

        // Forward, from the steady state of what came before.
        let mut z1 = [0.0; N];
        let mut z2 = [0.0; N];
        for j in 0..N {
            [z1[j], z2[j]] = self.steady_state(level(before, first[j]));
        }
        for sample in samples.iter_mut() {
            self.step(sample, &mut z1, &mut z2);
        }

        // Backward. The forward result goes on behind the record as the level c plus the decay of the state's
        // excess s - s_c; seen from the far end, that tail leaves the state s_c + M (s - s_c).
        let tail = self.tail_map();
        for j in 0..N {
            let settled = self.steady_state(level(after, last[j]));
            let excess = [z1[j] - settled[0], z2[j] - settled[1]];
            z1[j] = settled[0] + tail[0][0] * excess[0] + tail[0][1] * excess[1];
            z2[j] = settled[1] + tail[1][0] * excess[0] + tail[1][1] * excess[1];
        }
        for sample in samples.iter_mut().rev() {
            self.step(sample, &mut z1, &mut z2);
        }
    }

    /// One sample of each signal: y = a0 x + z1; z1 = a1 x + b1 y + z2; z2 = a2 x + b2 y, with y put in, so that the
    /// next state does not wait for y: z1 = b1 z1 + z2 + (a1 + b1 a0) x; z2 = b2 z1 + (a2 + b2 a0) x.
    #[inline(always)]
    fn step<const N: usize>(&self, sample: &mut [f64; N], z1: &mut [f64; N], z2: &mut [f64; N]) {
        let Coefficients { a0, b1, b2, .. } = self.coefficients;
        let [input1, input2] = self.input();
        for j in 0..N {
            let x = sample[j];
            sample[j] = a0 * x + z1[j];
            let next = b1 * z1[j] + (z2[j] + input1 * x);
            z2[j] = b2 * z1[j] + input2 * x;
            z1[j] = next;
        }
    }

    /// How an input enters the state: B = (a1 + b1 a0, a2 + b2 a0).
    #[inline(always)]
    fn input(&self) -> State {
        let Coefficients { a0, a1, a2, b1, b2 } = self.coefficients;
        [a1 + b1 * a0, a2 + b2 * a0]
    }

    /// State in which a constant input `level` comes out unchanged: z1 = (1 - a0) c, z2 = (a2 + b2) c.
    fn steady_state(&self, level: f64) -> State {
        let Coefficients { a0, a2, b2, .. } = self.coefficients;
        [(1.0 - a0) * level, (a2 + b2) * level]
    }

    /// M = sum over k >= 0 of A^k B C A^k, with the state map A, input B and output C of one pass at zero input.
    fn tail_map(&self) -> Matrix {
        let Coefficients { b1, b2, .. } = self.coefficients;
        let mut power = [[b1, 1.0], [b2, 0.0]];
        // B C, as the output at zero input is z1
        let [input1, input2] = self.input();
        let mut sum = [[input1, 0.0], [input2, 0.0]];
        // doubling: S_2n = S_n + A^n S_n A^n
        for _ in 0..64 {
            let further = product(product(power, sum), power);
            for (row, add) in sum.iter_mut().zip(further) {
                row[0] += add[0];
                row[1] += add[1];
            }
            power = product(power, power);
            if power.as_flattened().iter().all(|p| p.abs() < 1e-20) {
                break;
            }
        }
        sum
    }
}

fn product(p: Matrix, q: Matrix) -> Matrix {
    let entry = |i: usize, j: usize| p[i][0] * q[0][j] + p[i][1] * q[1][j];
    [[entry(0, 0), entry(0, 1)], [entry(1, 0), entry(1, 1)]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constant_signal_is_left_alone() {
        let filter = LowPass::channel(ChannelClass::Cfc60, 1e-4).unwrap();
        for y in filter.run(&[3.5; 50], Edge::Hold, Edge::Hold) {
            assert!((y - 3.5).abs() < 1e-12, "{y}");
        }
    }

    #[test]
    fn ends_equal_an_explicitly_padded_signal() {
        let signal: Vec<f64> = (0..300)
            .map(|i| 2.0 + libm::sin(0.05 * f64::from(i)))
            .collect();
        let padding = 6000;
        let filter = LowPass::phaseless(100.0, 1e-4).unwrap();
        for (before, after) in [(Edge::Rest, Edge::Hold), (Edge::Hold, Edge::Rest)] {
            let value = |edge, end: f64| if edge == Edge::Hold { end } else { 0.0 };
            let mut padded = vec![value(before, signal[0]); padding];
            padded.extend_from_slice(&signal);
            padded.extend(vec![value(after, signal[299]); padding]);
            let long = filter.run(&padded, before, after);
            let short = filter.run(&signal, before, after);
            for (a, b) in short.iter().zip(&long[padding..]) {
                assert!((a - b).abs() < 1e-12, "{a} {b}");
            }
        }
    }

    #[test]
    fn refuses_what_cannot_be_designed() {
        assert!(matches!(
            LowPass::phaseless(13.0, 0.0),
            Err(OccupantError::Interval { .. })
        ));
        assert!(matches!(
            LowPass::phaseless(13.0, f64::NAN),
            Err(OccupantError::Interval { .. })
        ));
        assert!(matches!(
            LowPass::phaseless(-1.0, 1e-4),
            Err(OccupantError::FilterFrequency { .. })
        ));
        assert!(matches!(
            LowPass::channel(ChannelClass::Cfc1000, 1e-3),
            Err(OccupantError::FilterTooFast { .. })
        ));
        let filter = LowPass::phaseless(13.0, 1e-4).unwrap();
        assert!(filter.run(&[], Edge::Rest, Edge::Rest).is_empty());
    }
}
