//! Tightening of the slip bolts in two stages and the clamp that it gives.

use crate::clamp::{preload_from_torque, tensile_load, torque_from_preload};
use crate::strength::{InputError, not_negative};
use giveway_scenario::model::SlipBase;
use schemars::JsonSchema;
use serde::Serialize;

/// Stages, as parts of the torque: all bolts to the first, then all to the second (common practice, no source).
const STAGES: [f64; 2] = [0.5, 1.0];
/// Scatter of the clamp of a torque wrench, as a part of its mean (Bickford, recalled).
pub const WRENCH_SCATTER: f64 = 0.30;
/// Proof load over yield load (ISO 898-1: 0.88 to 0.94 by grade, recalled; 0.9 is used for every grade).
pub const PROOF_SHARE: f64 = 0.90;

/// One stage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Stage {
    /// Part of the torque.
    pub share: f64,
    /// Torque, N.m.
    pub torque_nm: f64,
}

/// Torque of the slip bolts and the clamp that it gives.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Tightening {
    /// The stages in their order.
    pub stages: Vec<Stage>,
    /// Whether the torque was worked out from a preload that the design gives directly.
    pub from_preload: bool,
    /// Clamp of one bolt as it is left by the wrench, T/(K d), N.
    pub first_clamp_n: f64,
    /// Clamp of one bolt after relaxation, N.
    pub clamp_n: f64,
    /// Least and largest clamp after relaxation with the wrench's scatter, N.
    pub range_n: [f64; 2],
    /// Yield load of the bolt, N.
    pub yield_load_n: f64,
    /// Largest clamp as left by the wrench over the yield load.
    pub of_yield: f64,
    /// The same over the proof load.
    pub of_proof: f64,
}

/// Tightening of the slip bolts: T = F K d/(1 - r) or as given, in two stages, with the clamp (1 - r) T/(K d) and its
/// scatter.
///
/// # Errors
/// A torque, preload, nut factor, relaxation or bolt without meaning.
pub fn tightening(base: &SlipBase) -> Result<Tightening, InputError> {
    let d = base.bolt.diameter_m;
    let torque = match base.torque_nm {
        Some(t) => not_negative("tightening torque T, N.m", t)?,
        None => torque_from_preload(base.preload_n, base.nut_factor, d, base.relaxation)?,
    };
    let first_clamp_n = preload_from_torque(torque, base.nut_factor, d, 0.0)?;
    let clamp_n = preload_from_torque(torque, base.nut_factor, d, base.relaxation)?;
    let yield_load_n = tensile_load(base.bolt.yield_pa, base.bolt.stress_area_m2)?;
    let of_yield = (1.0 + WRENCH_SCATTER) * first_clamp_n / yield_load_n;
    Ok(Tightening {
        stages: STAGES
            .iter()
            .map(|&share| Stage {
                share,
                torque_nm: share * torque,
            })
            .collect(),
        from_preload: base.torque_nm.is_none(),
        first_clamp_n,
        clamp_n,
        range_n: [
            (1.0 - WRENCH_SCATTER) * clamp_n,
            (1.0 + WRENCH_SCATTER) * clamp_n,
        ],
        yield_load_n,
        of_yield,
        of_proof: of_yield / PROOF_SHARE,
    })
}
