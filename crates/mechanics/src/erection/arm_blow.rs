//! Whether an arm's joint holds when pole or arm strikes something: the blow that its cap screws bear.
//!
//! The arm is a cantilever whose root is stopped at the closing speed v, or whose tip is: with the stiffness k of its tip
//! and the mass m that moves there, the largest force is F = v sqrt(k m) and the moment at the root F L (a blow that is short
//! against a quarter of the arm's period; what is struck gives way as well, so this is the upper estimate). Where the arm
//! folds at its root before the screws break, no blow breaks them.
//!
//! # References
//! - Lord Rayleigh's effective mass of a cantilever at its tip, 33/140 of its own (derived here for a uniform one from the
//!   shape of a tip load).
//! - J. E. Shigley, C. R. Mischke, Mechanical Engineering Design: elastic bolt group (recalled).

use giveway_scenario::model::Support;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::arm_joint::{arm_at, group_tension};
use crate::clamp::tensile_load;
use crate::strength::{InputError, positive};
use crate::tube::{along, plastic_moment, properties_at};

/// Part of a cantilever's own mass that counts at its tip: 33/140.
const TIP_SHARE: f64 = 33.0 / 140.0;

/// An arm against a blow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ArmBlow {
    /// Moment at the root that breaks the first cap screw, N.m.
    pub joint_moment_nm: f64,
    /// Plastic moment of the arm at its root, N.m.
    pub fold_moment_nm: f64,
    /// Length of the arm, m.
    pub length_m: f64,
    /// Stiffness of the tip against a force across, N/m.
    pub tip_stiffness_npm: f64,
    /// Mass that moves at the tip: luminaires and 33/140 of the arm, kg.
    pub tip_mass_kg: f64,
    /// Closing speed of a blow above which the screws break, m/s; none where the arm folds first.
    pub breaks_above_mps: Option<f64>,
}

/// Arm `index` (from 0) of a support.
///
/// # Errors
/// No such arm; sizes, strengths or masses without meaning.
pub fn arm_blow(support: &Support, index: usize) -> Result<ArmBlow, InputError> {
    let arm = arm_at(support, index)?;
    let joint = &arm.joint;
    let length_m = positive(
        "length of an arm, m",
        (arm.reach_m * arm.reach_m + arm.rise_m * arm.rise_m).sqrt(),
    )?;
    // One screw at 2 M/(n R): M = T_u / (2/(n R)).
    let screw = tensile_load(joint.screw.ultimate_pa, joint.screw.stress_area_m2)?;
    let joint_moment_nm = screw / group_tension(1.0, joint.screws, joint.circle_m)?;
    let fold_moment_nm = plastic_moment(&arm.tube, 0.0)?;
    // 1/k = int (L - s)^2/(E I) ds
    let youngs = positive("Young's modulus of an arm, Pa", arm.tube.material.youngs_pa)?;
    let mut give = 0.0;
    let mut own_kg = 0.0;
    for (x, part) in along(length_m) {
        let section = properties_at(&arm.tube, x);
        let left = length_m * (1.0 - x);
        give += part * left * left / (youngs * section.second_moment_m4);
        own_kg += part * section.area_m2 * arm.tube.material.density_kgpm3;
    }
    let tip_stiffness_npm = 1.0 / positive("give of an arm's tip, m/N", give)?;
    let carried: f64 = arm.luminaires.iter().map(|l| l.mass_kg).sum();
    let tip_mass_kg = carried + TIP_SHARE * own_kg;
    // M = v sqrt(k m) L
    let per_speed = (tip_stiffness_npm * tip_mass_kg).sqrt() * length_m;
    let breaks_above_mps = (joint_moment_nm < fold_moment_nm).then(|| joint_moment_nm / per_speed);
    Ok(ArmBlow {
        joint_moment_nm,
        fold_moment_nm,
        length_m,
        tip_stiffness_npm,
        tip_mass_kg,
        breaks_above_mps,
    })
}
