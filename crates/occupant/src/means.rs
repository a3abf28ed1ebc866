//! Running means of the acceleration, exact for an acceleration that is constant over each interval.
//!
//! With V(t) the integral of the acceleration, the mean over a window w that starts at s is
//!
//! ```text
//! m(s) = (V(s + w) - V(s)) / w
//! ```
//!
//! V is piecewise linear, so m is piecewise linear in s with corners where s or s + w meets a sample. The largest
//! magnitude of m, and of any convex function of it (a resultant, a severity index), lies at a corner: looking at
//! all corners gives the exact maximum over every position of the window, in time proportional to the samples.
//!
//! References
//! - Elementary; derived here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::STANDARD_GRAVITY_MPS2;

/// A largest value and where it was found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Extreme {
    /// The value of largest magnitude, with its sign, g.
    pub value_g: f64,
    /// Start of the window (of the interval, for a peak), s after first touch.
    pub start_s: f64,
}

/// The largest values along the three vehicle axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AxisExtremes {
    /// Along x, positive forward.
    pub longitudinal: Extreme,
    /// Along y, positive to the left.
    pub lateral: Extreme,
    /// Along z, positive up.
    pub vertical: Extreme,
}

/// The window at which a score of the mean is largest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestWindow {
    /// Score of the mean.
    pub score: f64,
    /// Mean acceleration in the window, vehicle axes, m/s^2.
    pub mean_mps2: [f64; 3],
    /// Start of the window, s.
    pub start_s: f64,
}

/// The integral V of the acceleration in vehicle axes, at every sample.
#[derive(Debug, Clone)]
pub struct VelocityGain {
    interval_s: f64,
    gain_mps: Vec<[f64; 3]>,
}

/// Of an empty record.
impl Default for VelocityGain {
    fn default() -> Self {
        Self {
            interval_s: 1.0,
            gain_mps: vec![[0.0; 3]],
        }
    }
}

impl VelocityGain {
    /// Integrates the mean accelerations (m/s^2) of intervals of `interval_s`.
    pub fn new(acceleration_mps2: &[[f64; 3]], interval_s: f64) -> Self {
        let mut gain = Self::default();
        gain.renew(acceleration_mps2, interval_s);
        gain
    }

    /// Integrates another record in the same memory.
    pub fn renew(&mut self, acceleration_mps2: &[[f64; 3]], interval_s: f64) {
        let mut sum = [0.0; 3];
        let sums = acceleration_mps2.iter().map(|a| {
            for axis in 0..3 {
                sum[axis] += a[axis] * interval_s;
            }
            sum
        });
        self.interval_s = interval_s;
        self.gain_mps.clear();
        self.gain_mps.reserve(acceleration_mps2.len() + 1);
        self.gain_mps.push([0.0; 3]);
        self.gain_mps.extend(sums);
    }

    /// V at any time within the record, m/s.
    pub fn at(&self, time_s: f64) -> [f64; 3] {
        let last = self.gain_mps.len() - 1;
        let place = (time_s / self.interval_s).clamp(0.0, last as f64);
        let k = (place as usize).min(last);
        if k == last {
            return self.gain_mps[last];
        }
        between(&self.gain_mps[k], &self.gain_mps[k + 1], place - k as f64)
    }

    /// The window of `window_s`, wholly within the record and starting at or after `from_s`, whose mean has the
    /// largest `score`; exact where `score` is convex. None where no such window exists. The earliest of equals wins.
    pub fn largest_by(
        &self,
        window_s: f64,
        from_s: f64,
        score: impl Fn(&[f64; 3]) -> f64,
    ) -> Option<BestWindow> {
        let mut best: Option<BestWindow> = None;
        let per_window = 1.0 / window_s;
        let each = |start_s: f64, gain: [f64; 3]| {
            let mean_mps2 = gain.map(|g| g * per_window);
            let found = score(&mean_mps2);
            let better =
                best.is_none_or(|b| found > b.score || (found == b.score && start_s < b.start_s));
            if better {
                best = Some(BestWindow {
                    score: found,
                    mean_mps2,
                    start_s,
                });
            }
        };
        self.each_window(window_s, from_s, &mut Each(each));
        best
    }

    /// The largest mean of each axis over windows of `window_s` that start at or after `from_s`; none where no
    /// window fits.
    pub fn largest_means(&self, window_s: f64, from_s: f64) -> Option<AxisExtremes> {
        let mut largest = Largest::default();
        self.each_window(window_s, from_s, &mut largest);
        largest
            .found()
            .map(|values| axis_extremes(values.map(|(gain, start_s)| (gain / window_s, start_s))))
    }

    /// Tells the start of the window and V(s + w) - V(s) at every corner.
    #[inline(always)]
    fn each_window(&self, window_s: f64, from_s: f64, watcher: &mut impl Watcher) {
        let t = self.interval_s;
        let last = self.gain_mps.len() - 1;
        // a window that ends within a billionth of an interval of the record's end still fits
        let slack = 1e-9;
        let room = last as f64 - (from_s + window_s) / t;
        if !(window_s > 0.0 && from_s >= 0.0 && room >= -slack) {
            return;
        }
        let gain = |early: &[f64; 3], late: &[f64; 3]| {
            [late[0] - early[0], late[1] - early[1], late[2] - early[2]]
        };
        let v = &self.gain_mps[..];

        // the first position
        watcher.see(from_s, gain(&self.at(from_s), &self.at(from_s + window_s)));

        // window = (whole + part) intervals
        let intervals = window_s / t;
        let nearest = (intervals + 0.5).floor();
        let (whole, part) = if (intervals - nearest).abs() <= slack * intervals.max(1.0) {
            (nearest as usize, 0.0)
        } else {
            (intervals.floor() as usize, intervals - intervals.floor())
        };
        let first = ((from_s / t) - slack).ceil().max(0.0) as usize;
        if part == 0.0 {
            let late = &v[whole.min(last)..];
            let mut from = first;
            while from < late.len() {
                let block = from..late.len().min(from + BLOCK);
                from = block.end;
                if !watcher.passes_over(&v[block.clone()], &late[block.clone()]) {
                    for k in block {
                        watcher.see(k as f64 * t, gain(&v[k], &late[k]));
                    }
                }
            }
            return;
        }
        // starts at a sample
        for k in first..(last.saturating_sub(whole)) {
            let late = between(&v[k + whole], &v[k + whole + 1], part);
            watcher.see(k as f64 * t, gain(&v[k], &late));
        }
        // ends at a sample
        for k in (whole + 1)..=last {
            let start_s = k as f64 * t - window_s;
            if start_s >= from_s {
                let early = between(&v[k - whole - 1], &v[k - whole], 1.0 - part);
                watcher.see(start_s, gain(&early, &v[k]));
            }
        }
    }
}

/// The sample of largest magnitude along each axis of a record that is not empty.
pub fn peaks(acceleration_mps2: &[[f64; 3]], interval_s: f64) -> AxisExtremes {
    let mut largest = Largest::default();
    for (k, a) in acceleration_mps2.iter().enumerate() {
        largest.look(k as f64 * interval_s, a);
    }
    axis_extremes(largest.values)
}

/// Windows that are looked at together.
const BLOCK: usize = 128;

/// What looks at windows.
trait Watcher {
    /// A window that starts at that time and gains so much.
    fn see(&mut self, start_s: f64, gain: [f64; 3]);

    /// Whether none of these windows, from V early to V late, would count.
    #[inline(always)]
    fn passes_over(&self, _early: &[[f64; 3]], _late: &[[f64; 3]]) -> bool {
        false
    }
}

struct Each<F>(F);

impl<F: FnMut(f64, [f64; 3])> Watcher for Each<F> {
    #[inline(always)]
    fn see(&mut self, start_s: f64, gain: [f64; 3]) {
        (self.0)(start_s, gain);
    }
}

/// The values of largest magnitude along the axes and their times; the first of equals.
struct Largest {
    size: [f64; 3],
    values: [(f64, f64); 3],
}

impl Watcher for Largest {
    #[inline(always)]
    fn see(&mut self, start_s: f64, gain: [f64; 3]) {
        self.look(start_s, &gain);
    }

    fn passes_over(&self, early: &[[f64; 3]], late: &[[f64; 3]]) -> bool {
        // Two windows at a time, so that the three axes fill whole registers.
        let (early, early_rest) = early.as_flattened().as_chunks::<6>();
        let (late, late_rest) = late.as_flattened().as_chunks::<6>();
        let mut most = [0.0_f64; 6];
        let mut take = |i: usize, early: f64, late: f64| {
            let size = (late - early).abs();
            most[i] = if size > most[i] { size } else { most[i] };
        };
        for (early, late) in early.iter().zip(late) {
            for i in 0..6 {
                take(i, early[i], late[i]);
            }
        }
        for (i, (early, late)) in early_rest.iter().zip(late_rest).enumerate() {
            take(i, *early, *late);
        }
        (0..3).all(|axis| most[axis].max(most[axis + 3]) <= self.size[axis])
    }
}

impl Default for Largest {
    fn default() -> Self {
        Self {
            size: [-1.0; 3],
            values: [(0.0, 0.0); 3],
        }
    }
}

impl Largest {
    #[inline(always)]
    fn look(&mut self, time_s: f64, values: &[f64; 3]) {
        let size = values.map(f64::abs);
        // one rarely taken branch for the three axes
        let any = (size[0] > self.size[0]) | (size[1] > self.size[1]) | (size[2] > self.size[2]);
        if any {
            for axis in 0..3 {
                if size[axis] > self.size[axis] {
                    self.size[axis] = size[axis];
                    self.values[axis] = (values[axis], time_s);
                }
            }
        }
    }

    /// The values, if any was seen.
    fn found(&self) -> Option<[(f64, f64); 3]> {
        (self.size[0] >= 0.0).then_some(self.values)
    }
}

fn axis_extremes(largest: [(f64, f64); 3]) -> AxisExtremes {
    let extreme = |(value, start_s): (f64, f64)| Extreme {
        value_g: value / STANDARD_GRAVITY_MPS2,
        start_s,
    };
    AxisExtremes {
        longitudinal: extreme(largest[0]),
        lateral: extreme(largest[1]),
        vertical: extreme(largest[2]),
    }
}

fn between(a: &[f64; 3], b: &[f64; 3], part: f64) -> [f64; 3] {
    [
        a[0] + part * (b[0] - a[0]),
        a[1] + part * (b[1] - a[1]),
        a[2] + part * (b[2] - a[2]),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A window of 10 ms over samples of 4 ms: the best position ends or starts between two samples.
    #[test]
    fn window_that_is_no_multiple_of_the_interval_is_exact() {
        let a: Vec<[f64; 3]> = [0.0, 1.0, 5.0, 3.0, -8.0, 0.0]
            .iter()
            .map(|&x| [x, -x, 0.0])
            .collect();
        let gain = VelocityGain::new(&a, 0.004);
        let best = gain.largest_by(0.010, 0.0, |m| m[0]).unwrap();
        // 2 ms of 1, 4 ms of 5, 4 ms of 3
        assert!(
            (best.score - (2.0 + 20.0 + 12.0) / 10.0).abs() < 1e-12,
            "{best:?}"
        );
        assert!((best.start_s - 0.006).abs() < 1e-12, "{best:?}");
        // brute force over positions of the window
        let brute = (0..=1400)
            .map(|i| f64::from(i) * 1e-5)
            .map(|s| (gain.at(s + 0.010)[0] - gain.at(s)[0]) / 0.010)
            .fold(f64::MIN, f64::max);
        assert!((brute - best.score).abs() < 1e-9, "{brute}");
    }

    #[test]
    fn window_longer_than_the_record_gives_nothing() {
        let gain = VelocityGain::new(&[[1.0, 2.0, 3.0]; 9], 0.001);
        assert!(gain.largest_means(0.010, 0.0).is_none());
        assert!(gain.largest_means(0.009, 0.0).is_some());
        assert!(gain.largest_means(0.009, 0.001).is_none());
        assert!(gain.largest_means(-1.0, 0.0).is_none());
        assert!(gain.largest_means(f64::NAN, 0.0).is_none());
    }

    #[test]
    fn a_later_start_leaves_the_earlier_pulse_out() {
        let mut a = vec![[0.0; 3]; 100];
        for (k, sample) in a.iter_mut().enumerate() {
            sample[0] = if k < 10 { -90.0 } else { -30.0 };
        }
        let gain = VelocityGain::new(&a, 0.001);
        // starts half an interval into the last strong sample
        let late = gain.largest_means(0.010, 0.0095).unwrap().longitudinal;
        let expected = -(0.5 * 90.0 + 9.5 * 30.0) / 10.0 / STANDARD_GRAVITY_MPS2;
        assert!((late.value_g - expected).abs() < 1e-12, "{late:?}");
        assert_eq!(late.start_s, 0.0095);
    }
}
