//! The flange joint of an arm: cap screws in tapped holes, their length, tightening and margin.
//!
//! Loads at the arm's root: dead load of arm and luminaires, and the design wind on them from every side. The levers run
//! from the pole's axis, a little more than to the flange (the upper estimate). In the flange's plane, n screws on a circle
//! of radius R share them as an elastic group about its middle: the bending moment M gives at most 2 M/(n R) at one screw
//! whichever way the pattern is turned, an axial pull N/n, the shear V/n and the torsion T/(n R), added as if they
//! pointed the same way (the upper estimate). Prying of the flange is left out.

use super::balance::loads;
use super::fastener::{series, standard_length, thread_length};
use super::tightening::PROOF_SHARE;
use crate::clamp::{bolt_shear, bolt_stiffness, cone_stiffness, tensile_load};
use crate::strength::{InputError, not_negative, positive, within};
use crate::wind::WindModel;
use giveway_scenario::model::{Arm, ArmJoint, Bolt, Site, Support};
use schemars::JsonSchema;
use serde::Serialize;
use std::f64::consts::TAU;

/// Clamp of the cap screws over their proof load (common practice, no source).
const CLAMP_OF_PROOF: f64 = 0.70;
/// Engagement of steel in steel, in screw diameters, at least (recalled).
const ENGAGEMENT: f64 = 1.0;
/// Wind directions that are tried.
const DIRECTIONS: usize = 24;
/// Bearing diameter of the head over d (Shigley, recalled).
const HEAD_RATIO: f64 = 1.5;

/// Length of the cap screws.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct ScrewLength {
    /// Least length: grip and one diameter of thread, m.
    pub least_m: f64,
    /// Greatest length: grip and the tapped depth, m.
    pub most_m: f64,
    /// Length that is used: as supplied, or else the next standard one, m.
    pub length_m: f64,
    /// Whether the length is given by the design.
    pub supplied: bool,
    /// Thread engaged in the hole, m.
    pub engaged_m: f64,
    /// Room left below the screw's end, m; below zero it bottoms before it clamps.
    pub room_m: f64,
    /// Whether it engages enough, does not bottom and keeps its shank out of the hole.
    pub fits: bool,
}

/// Length of the cap screws of a joint: grip + d <= l <= grip + tapped depth.
///
/// # Errors
/// A size without meaning.
pub fn screw_length(joint: &ArmJoint) -> Result<ScrewLength, InputError> {
    let d = positive("diameter of the cap screws, m", joint.screw.diameter_m)?;
    let grip = positive("grip of the cap screws, m", joint.grip_m)?;
    let tapped = positive("depth of the tapped holes, m", joint.tapped_m)?;
    let least_m = grip + ENGAGEMENT * d;
    let most_m = grip + tapped;
    let length_m = match joint.length_m {
        Some(l) => positive("length of the cap screws, m", l)?,
        None => standard_length(series(&joint.screw), least_m)?,
    };
    let shank = length_m - thread_length(&joint.screw, length_m)?;
    let equal = 1e-9;
    Ok(ScrewLength {
        least_m,
        most_m,
        length_m,
        supplied: joint.length_m.is_some(),
        engaged_m: (length_m - grip).clamp(0.0, tapped),
        room_m: most_m - length_m,
        fits: length_m >= least_m - equal && length_m <= most_m + equal && shank <= grip + equal,
    })
}

/// Stiffness of the parts under one cap screw, N/m: Shigley's cones for a screw in a tapped hole (recalled). The pressure
/// reaches d/2 into the thread, l = g + d/2; one cone widens from the head (1.5 d) down over l/2, another from 1.5 d at
/// the depth l up over l/2. Flange and tapped part have the same modulus: k = k_cone(l/2)/2.
///
/// # Errors
/// An input that is not above zero.
pub fn tapped_stack_stiffness(
    youngs_pa: f64,
    grip_m: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let e = positive("Young's modulus, Pa", youngs_pa)?;
    let g = positive("grip of the cap screws, m", grip_m)?;
    let d = positive("diameter of the cap screws, m", diameter_m)?;
    Ok(0.5 * cone_stiffness(e, 0.5 * (g + 0.5 * d), HEAD_RATIO * d, d)?)
}

/// Stiffness of a cap screw of the joint and of the parts under it, N/m.
///
/// # Errors
/// An input that is not above zero.
pub fn screw_stiffnesses(joint: &ArmJoint) -> Result<[f64; 2], InputError> {
    let screw = &joint.screw;
    let (e, d) = (screw.youngs_pa, screw.diameter_m);
    Ok([
        bolt_stiffness(e, screw.stress_area_m2, joint.grip_m, d)?,
        tapped_stack_stiffness(e, joint.grip_m, d)?,
    ])
}

/// Turn of a screw from snug that brings its clamp to F, rad: F (1/k_b + 1/k_c) = P turn/(2 pi). How tight "snug" is,
/// is left to the wrench (common practice, no source).
///
/// # Errors
/// A clamp below zero; a stiffness or pitch that is not above zero.
pub fn turn_from_snug(
    clamp_n: f64,
    bolt_stiffness_npm: f64,
    clamp_stiffness_npm: f64,
    pitch_m: f64,
) -> Result<f64, InputError> {
    let f = not_negative("clamp of a screw, N", clamp_n)?;
    let kb = positive("stiffness of the screw k_b, N/m", bolt_stiffness_npm)?;
    let kc = positive("stiffness of the flange k_c, N/m", clamp_stiffness_npm)?;
    let p = positive("thread pitch P, m", pitch_m)?;
    Ok(TAU * f * (1.0 / kb + 1.0 / kc) / p)
}

/// Largest tension that a bending moment gives to one of n screws on a circle, N: 2 M/(n R), at the screw farthest
/// from the axis of bending (elastic group: sum r^2 = n R^2/2 about any axis in the plane).
///
/// # Errors
/// Fewer than three screws (two have no stiffness about the line through them), a circle that is not above zero, a negative
/// moment.
pub fn group_tension(moment_nm: f64, screws: usize, circle_m: f64) -> Result<f64, InputError> {
    let m = not_negative("moment at the arm's root, N.m", moment_nm)?;
    within(
        "number of cap screws",
        screws as f64,
        screws >= 3,
        "at least 3",
    )?;
    let radius = 0.5 * positive("circle of the cap screws, m", circle_m)?;
    Ok(2.0 * m / (screws as f64 * radius))
}

/// The joint of one arm.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ArmJointCheck {
    /// Length of the screws.
    pub length: ScrewLength,
    /// Moment of the dead load at the root, N.m.
    pub dead_moment_nm: f64,
    /// Moment of the wind alone in the governing direction, N.m.
    pub wind_moment_nm: f64,
    /// The way the governing wind blows, rad.
    pub wind_azimuth_rad: f64,
    /// Bending moment at the root under both, N.m.
    pub moment_nm: f64,
    /// Torsion about the arm's direction, N.m.
    pub torsion_nm: f64,
    /// Shear across the arm, N.
    pub shear_n: f64,
    /// Pull along the arm, N; below zero it presses.
    pub pull_n: f64,
    /// Largest external tension at one screw, N: the clamp that keeps the flange closed.
    pub clamp_needed_n: f64,
    /// Shear at that screw, N.
    pub screw_shear_n: f64,
    /// Clamp to which the screws are tightened, 0.70 of the proof load, N.
    pub clamp_n: f64,
    /// Turn from snug that gives it, rad.
    pub turn_rad: f64,
    /// Clamp over clamp needed, minus one; none where nothing is needed.
    pub closure_margin: Option<f64>,
    /// Strength of the screws over the load, minus one, from (X/T_u)^2 + (Q/V_u)^2 = 1; none without load.
    pub strength_margin: Option<f64>,
}

/// Loads at an arm's root.
struct RootLoad {
    force_n: [f64; 3],
    moment_nm: [f64; 3],
}

/// What the loads do to the group.
struct Group {
    moment_nm: f64,
    torsion_nm: f64,
    shear_n: f64,
    pull_n: f64,
    tension_n: f64,
    screw_shear_n: f64,
    utilisation: f64,
}

impl Group {
    fn new(load: &RootLoad, azimuth_rad: f64, joint: &ArmJoint) -> Result<Self, InputError> {
        let [fx, fy, fz] = load.force_n;
        let [mx, my, mz] = load.moment_nm;
        let (cos, sin) = (libm::cos(azimuth_rad), libm::sin(azimuth_rad));
        let pull_n = fx * cos + fy * sin;
        let shear_n = libm::hypot(fy * cos - fx * sin, fz);
        let torsion_nm = mx * cos + my * sin;
        let moment_nm = libm::hypot(my * cos - mx * sin, mz);
        let n = joint.screws as f64;
        let bending = group_tension(moment_nm, joint.screws, joint.circle_m)?;
        let tension_n = (bending + pull_n / n).max(0.0);
        let screw_shear_n = shear_n / n + torsion_nm.abs() / (0.5 * joint.circle_m * n);
        let screw = &joint.screw;
        let utilisation = libm::hypot(
            tension_n / tensile_load(screw.ultimate_pa, screw.stress_area_m2)?,
            screw_shear_n / bolt_shear(screw.ultimate_pa, screw.stress_area_m2, 1)?,
        );
        Ok(Self {
            moment_nm,
            torsion_nm,
            shear_n,
            pull_n,
            tension_n,
            screw_shear_n,
            utilisation,
        })
    }
}

/// Clamp of a cap screw, 0.70 of its proof load, N.
fn target_clamp(screw: &Bolt) -> Result<f64, InputError> {
    // F = 0.70 x 0.90 F_y A_s
    Ok(CLAMP_OF_PROOF * PROOF_SHARE * tensile_load(screw.yield_pa, screw.stress_area_m2)?)
}

/// Arm `index` (from 0) of a support.
///
/// # Errors
/// No such arm.
pub(super) fn arm_at(support: &Support, index: usize) -> Result<&Arm, InputError> {
    within(
        "number of the arm (from 0)",
        index as f64,
        index < support.arms.len(),
        "below the number of arms",
    )?;
    Ok(&support.arms[index])
}

/// The flange joint of arm `index` (from 0) of a support under dead load and design wind.
///
/// # Errors
/// No such arm; a size, strength, mass or wind without meaning; fewer than three screws.
pub fn arm_joint(
    site: &Site,
    support: &Support,
    index: usize,
) -> Result<ArmJointCheck, InputError> {
    let arm = arm_at(support, index)?;
    let joint = &arm.joint;
    let gravity = positive("gravity, m/s^2", site.gravity_mps2)?;
    // The support with this arm alone, and without it: their difference is the arm's wind.
    let alone = Support {
        arms: vec![arm.clone()],
        lumps: vec![],
        ..support.clone()
    };
    let none = Support {
        arms: vec![],
        ..alone.clone()
    };
    let (with, without) = (WindModel::new(site, &alone)?, WindModel::new(site, &none)?);
    let root = arm.attachment_height_m;

    let mut dead = RootLoad {
        force_n: [0.0; 3],
        moment_nm: [0.0; 3],
    };
    for load in loads(&alone, true)? {
        // r x (0, 0, -W)
        let w = load.mass_kg * gravity;
        dead.force_n[2] -= w;
        dead.moment_nm[0] -= load.place_m[1] * w;
        dead.moment_nm[1] += load.place_m[0] * w;
    }
    let wind = |azimuth: f64| {
        let (a, b) = (with.action(azimuth), without.action(azimuth));
        let force = [a.shear_n[0] - b.shear_n[0], a.shear_n[1] - b.shear_n[1]];
        // Moments about the root: M - r x F with r = (0, 0, root).
        RootLoad {
            force_n: [force[0], force[1], 0.0],
            moment_nm: [
                a.moment_nm[0] - b.moment_nm[0] + root * force[1],
                a.moment_nm[1] - b.moment_nm[1] - root * force[0],
                a.torsion_nm - b.torsion_nm,
            ],
        }
    };
    let both = |w: &RootLoad| RootLoad {
        force_n: [0, 1, 2].map(|k| dead.force_n[k] + w.force_n[k]),
        moment_nm: [0, 1, 2].map(|k| dead.moment_nm[k] + w.moment_nm[k]),
    };
    let under = |azimuth: f64| Group::new(&both(&wind(azimuth)), arm.azimuth_rad, joint);
    let mut azimuth = arm.azimuth_rad;
    let mut group = under(azimuth)?;
    for i in 1..DIRECTIONS {
        let next = arm.azimuth_rad + TAU * i as f64 / DIRECTIONS as f64;
        let there = under(next)?;
        if there.utilisation > group.utilisation {
            (azimuth, group) = (next, there);
        }
    }
    let wind_moment_nm = Group::new(&wind(azimuth), arm.azimuth_rad, joint)?.moment_nm;

    let screw = &joint.screw;
    let clamp_n = target_clamp(screw)?;
    let [kb, kc] = screw_stiffnesses(joint)?;
    let over = |have: f64, need: f64| (need > 0.0).then(|| have / need - 1.0);
    Ok(ArmJointCheck {
        length: screw_length(joint)?,
        dead_moment_nm: libm::hypot(dead.moment_nm[0], dead.moment_nm[1]),
        wind_moment_nm,
        wind_azimuth_rad: azimuth - TAU * libm::floor(azimuth / TAU),
        moment_nm: group.moment_nm,
        torsion_nm: group.torsion_nm,
        shear_n: group.shear_n,
        pull_n: group.pull_n,
        clamp_needed_n: group.tension_n,
        screw_shear_n: group.screw_shear_n,
        clamp_n,
        turn_rad: turn_from_snug(clamp_n, kb, kc, screw.pitch_m)?,
        closure_margin: over(clamp_n, group.tension_n),
        strength_margin: over(1.0, group.utilisation),
    })
}
