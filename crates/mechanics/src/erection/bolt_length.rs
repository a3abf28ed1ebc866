//! Length of the slip bolts from the stack that they clamp, and where shank and thread end.

use super::fastener::{series, standard_length, thread_length};
use crate::clamp::{grip, stripping_load, tensile_load};
use crate::strength::{InputError, not_negative, positive};
use giveway_scenario::model::SlipBase;
use schemars::JsonSchema;
use serde::Serialize;

/// Threads that must stand out of the nut (common practice, no source).
const PROTRUDING: f64 = 3.0;
/// Longest run-out between shank and thread, in pitches (ISO 4014: l_s = l_g - 5 P, recalled).
const RUN_OUT: f64 = 5.0;
/// Heights below this difference count as equal, m.
const EQUAL: f64 = 1e-9;

/// One layer of the stack.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Layer {
    /// What it is.
    pub part: &'static str,
    /// Thickness, m.
    pub thickness_m: f64,
}

/// What of the bolt lies between the plates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SlipPlane {
    /// The full shank.
    Shank,
    /// The end of the shank or the thread's run-out.
    RunOut,
    /// The thread.
    Thread,
}

/// Length of the slip bolts and its checks; lengths are under the head.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BoltLength {
    /// Layers from the head (below the lower plate) to the nut.
    pub layers: Vec<Layer>,
    /// Their sum, the grip, m.
    pub grip_m: f64,
    /// Height of the nut, m.
    pub nut_m: f64,
    /// Length that must stand out of the nut: three pitches, m.
    pub protrusion_wanted_m: f64,
    /// Grip, nut and protrusion together, m.
    pub least_m: f64,
    /// The next standard length, m.
    pub standard_m: f64,
    /// The length that is used: as supplied, or else the standard one, m.
    pub length_m: f64,
    /// Whether the length is given by the design.
    pub supplied: bool,
    /// Thread length b, m.
    pub thread_m: f64,
    /// From the head to the first full thread, length - b, m.
    pub shank_m: f64,
    /// Thread that is left below the nut, grip - shank, m; below zero the nut jams on the shank before it clamps.
    pub thread_below_nut_m: f64,
    /// Heights of the gap between the plates above the head's seat, m.
    pub gap_m: [f64; 2],
    /// What of the bolt lies in that gap.
    pub slip_plane: SlipPlane,
    /// Length that stands out of the nut, m; below zero the nut is not full.
    pub protrusion_m: f64,
    /// The same in threads.
    pub protruding_threads: f64,
    /// Threads engaged in the nut.
    pub engaged_threads: f64,
    /// Threads that must be engaged for the tensile load of the bolt.
    pub threads_needed: f64,
    /// Whether the protrusion is reached, the shank stays out of the nut and enough threads are engaged.
    pub fits: bool,
}

/// Layers at one bolt from the head (below the lower plate) to the nut; a part of no thickness is left out.
///
/// # Errors
/// A plate that is not above zero, a washer or keeper below zero.
pub fn bolt_stack(base: &SlipBase) -> Result<Vec<Layer>, InputError> {
    grip(base)?;
    let keeper = base.keeper.as_ref().map_or(0.0, |k| k.thickness_m);
    Ok([
        ("plate washer", base.plate_washer_m),
        ("lower plate", base.lower_plate_m),
        ("round washer", base.round_washer_m),
        ("keeper", keeper),
        ("upper plate", base.upper_plate_m),
        ("plate washer", base.plate_washer_m),
    ]
    .into_iter()
    .filter(|(_, t)| *t > 0.0)
    .map(|(part, thickness_m)| Layer { part, thickness_m })
    .collect())
}

/// Length of the slip bolts: l >= grip + nut + 3 P, the next standard length where none is given, and the checks of
/// shank and thread.
///
/// # Errors
/// A size of plates, washers, keeper, bolt or nut without meaning; a stack longer than any standard bolt.
pub fn bolt_length(base: &SlipBase) -> Result<BoltLength, InputError> {
    let bolt = &base.bolt;
    let pitch = positive("thread pitch P, m", bolt.pitch_m)?;
    let nut = positive("height of the nut, m", bolt.nut_height_m)?;
    let grip_m = grip(base)?;
    let protrusion_wanted_m = PROTRUDING * pitch;
    let least_m = grip_m + nut + protrusion_wanted_m;
    let standard_m = standard_length(series(bolt), least_m)?;
    let length_m = match base.bolt_length_m {
        Some(l) => positive("length of the slip bolts, m", l)?,
        None => standard_m,
    };
    let thread_m = thread_length(bolt, length_m)?;
    let shank_m = length_m - thread_m;
    let thread_below_nut_m = grip_m - shank_m;
    let protrusion_m = length_m - grip_m - nut;
    let engaged_threads = (length_m - grip_m).clamp(0.0, nut) / pitch;
    // n = F_u A_s over the stripping load of one thread
    let threads_needed = tensile_load(bolt.ultimate_pa, bolt.stress_area_m2)?
        / stripping_load(bolt.ultimate_pa, bolt.diameter_m, pitch, 1.0)?;
    let keeper = base.keeper.as_ref().map_or(0.0, |k| k.thickness_m);
    let below =
        not_negative("plate washer thickness, m", base.plate_washer_m)? + base.lower_plate_m;
    let gap_m = [below, below + base.round_washer_m + keeper];
    let slip_plane = if shank_m - RUN_OUT * pitch >= gap_m[1] - EQUAL {
        SlipPlane::Shank
    } else if shank_m <= gap_m[0] + EQUAL {
        SlipPlane::Thread
    } else {
        SlipPlane::RunOut
    };
    Ok(BoltLength {
        layers: bolt_stack(base)?,
        grip_m,
        nut_m: nut,
        protrusion_wanted_m,
        least_m,
        standard_m,
        length_m,
        supplied: base.bolt_length_m.is_some(),
        thread_m,
        shank_m,
        thread_below_nut_m,
        gap_m,
        slip_plane,
        protrusion_m,
        protruding_threads: protrusion_m / pitch,
        engaged_threads,
        threads_needed,
        fits: length_m >= least_m - EQUAL
            && thread_below_nut_m >= -EQUAL
            && engaged_threads >= threads_needed,
    })
}
