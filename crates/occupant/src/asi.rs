//! Acceleration severity index (ASI).
//!
//! ```text
//! ASI(t) = sqrt((a_x / 12)^2 + (a_y / 9)^2 + (a_z / 10)^2)         a in g, smoothed
//! ```
//!
//! Smoothing is the 50 ms running mean (seen) or, in the 2010 edition, a four-pole phaseless Butterworth filter that
//! is 3 dB down at 13 Hz (recalled). The index is the largest ASI(t).
//!
//! References
//! - EN 1317-1:1998 and 2010, Road restraint systems, part 1: terminology and general criteria for test methods.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::STANDARD_GRAVITY_MPS2;
use crate::filter::{Edge, LowPass};
use crate::means::VelocityGain;
use crate::motion::Motion;

/// Limit accelerations along x, y and z, g (seen).
pub const LIMITS_G: [f64; 3] = [12.0, 9.0, 10.0];
/// Averaging window of the first form, s (seen).
pub const WINDOW_S: f64 = 0.050;
/// Frequency at which the filter of the 2010 edition is 3 dB down, Hz (recalled).
pub const FILTER_HZ: f64 = 13.0;

/// The largest severity index and what it is made of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SeverityIndex {
    /// The index.
    pub asi: f64,
    /// Middle of the window, or of the filtered sample's interval, s after first touch.
    pub time_s: f64,
    /// Smoothed acceleration along x, y, z then, g.
    pub acceleration_g: [f64; 3],
}

/// ASI of an acceleration that is already smoothed, g.
///
/// Example: (6, 4.5, 5) g gives sqrt(3)/2 = 0.866025.
pub fn severity(acceleration_g: [f64; 3]) -> f64 {
    squared(&acceleration_g).sqrt()
}

#[inline(always)]
fn squared(acceleration_g: &[f64; 3]) -> f64 {
    let [x, y, z] = *acceleration_g;
    let (x, y, z) = (
        x * (1.0 / LIMITS_G[0]),
        y * (1.0 / LIMITS_G[1]),
        z * (1.0 / LIMITS_G[2]),
    );
    x * x + y * y + z * z
}

/// ASI of 50 ms means; none where the record is shorter.
pub fn of_means(gain: &VelocityGain) -> Option<SeverityIndex> {
    // the squared index is convex in the mean, so its maximum lies at a corner of the mean
    let best = gain.largest_by(WINDOW_S, 0.0, squared)?;
    Some(index(best.mean_mps2, best.start_s + 0.5 * WINDOW_S))
}

/// ASI of the 13 Hz filtered acceleration; none where the samples are too far apart for the filter.
///
/// Before first touch the acceleration is taken as zero; behind the record its last value holds.
pub fn of_filtered(motion: &Motion) -> Option<SeverityIndex> {
    let filter = LowPass::phaseless(FILTER_HZ, motion.interval_s).ok()?;
    // a fourth, empty lane fills the vector registers in pairs: faster than three
    let lanes = motion
        .acceleration_mps2
        .iter()
        .map(|a| [a[0], a[1], a[2], 0.0]);
    let mut smooth: Vec<[f64; 4]> = lanes.collect();
    filter.run_axes(&mut smooth, Edge::Rest, Edge::Hold);
    let mut best: Option<(usize, f64)> = None;
    for (k, [x, y, z, _]) in smooth.iter().enumerate() {
        let score = squared(&[*x, *y, *z]);
        if best.is_none_or(|(_, largest)| score > largest) {
            best = Some((k, score));
        }
    }
    best.map(|(k, _)| {
        let [x, y, z, _] = smooth[k];
        index([x, y, z], (k as f64 + 0.5) * motion.interval_s)
    })
}

fn index(acceleration_mps2: [f64; 3], time_s: f64) -> SeverityIndex {
    let acceleration_g = acceleration_mps2.map(|a| a / STANDARD_GRAVITY_MPS2);
    SeverityIndex {
        asi: severity(acceleration_g),
        time_s,
        acceleration_g,
    }
}
