//! Stiffness of a bolt and of the stack that it clamps.
//!
//! # References
//! - J. E. Shigley, C. R. Mischke, Mechanical Engineering Design, pressure-cone stiffness with a 30 degree half-angle
//!   (recalled); VDI 2230:2003 uses the same kind of substitution body (recalled).

use crate::strength::{InputError, not_negative, positive, within};
use giveway_scenario::model::SlipBase;
use std::f64::consts::{FRAC_PI_4, PI};

/// tan 30 degrees: half-angle of the pressure cones (Shigley, recalled).
const CONE_TAN: f64 = 0.577_350_269_189_625_8;
/// Bearing diameter of a bolt head or nut over the bolt diameter (Shigley, recalled).
const HEAD_RATIO: f64 = 1.5;

/// Axial stiffness of a bolt, N/m: k_b = A_s E / (grip + d); the added d stands for head and nut.
///
/// # Errors
/// An input that is not above zero.
pub fn bolt_stiffness(
    youngs_pa: f64,
    stress_area_m2: f64,
    grip_m: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let e = positive("Young's modulus of the bolt, Pa", youngs_pa)?;
    let a = positive("stress area A_s, m^2", stress_area_m2)?;
    let length = positive("grip, m", grip_m)? + positive("bolt diameter d, m", diameter_m)?;
    Ok(a * e / length)
}

/// Stiffness of one pressure cone with a 30 degree half-angle around a bolt, N/m (Shigley, recalled):
/// k = pi E d tan a / ln[(2 t tan a + D - d)(D + d) / ((2 t tan a + D + d)(D - d))].
///
/// `small_diameter_m` is the diameter D at the small end, `thickness_m` the height t.
///
/// # Errors
/// An input that is not above zero, or D not above d.
pub fn cone_stiffness(
    youngs_pa: f64,
    thickness_m: f64,
    small_diameter_m: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let e = positive("Young's modulus, Pa", youngs_pa)?;
    let t = positive("thickness of the cone, m", thickness_m)?;
    let d = positive("bolt diameter d, m", diameter_m)?;
    let end = above_bolt(
        "small diameter of the pressure cone D, m",
        small_diameter_m,
        d,
    )?;
    let wide = 2.0 * t * CONE_TAN + end;
    let ratio = (wide - d) * (end + d) / ((wide + d) * (end - d));
    Ok(PI * e * d * CONE_TAN / libm::log(ratio))
}

/// Stiffness of a flat ring around a bolt (a round washer), N/m: k = E (pi/4)(D^2 - d^2)/t.
///
/// # Errors
/// An input that is not above zero, or D not above d.
pub fn ring_stiffness(
    youngs_pa: f64,
    thickness_m: f64,
    outside_diameter_m: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let e = positive("Young's modulus, Pa", youngs_pa)?;
    let t = positive("thickness of the washer, m", thickness_m)?;
    let d = positive("bolt diameter d, m", diameter_m)?;
    let outside = above_bolt("outside diameter of the washer, m", outside_diameter_m, d)?;
    Ok(e * FRAC_PI_4 * (outside * outside - d * d) / t)
}

/// A diameter larger than the bolt.
fn above_bolt(quantity: &'static str, value: f64, bolt_m: f64) -> Result<f64, InputError> {
    within(quantity, value, value > bolt_m, "above the bolt diameter")
}

/// Grip of one bolt, m: two plate washers, two plates, one round washer, the keeper.
///
/// # Errors
/// A plate that is not above zero, a washer or keeper below zero.
pub fn grip(base: &SlipBase) -> Result<f64, InputError> {
    Ok(
        2.0 * not_negative("plate washer thickness, m", base.plate_washer_m)?
            + positive("upper plate thickness, m", base.upper_plate_m)?
            + positive("lower plate thickness, m", base.lower_plate_m)?
            + not_negative("round washer thickness, m", base.round_washer_m)?
            + keeper_thickness(base)?,
    )
}

/// Thickness of the keeper, 0 where there is none.
fn keeper_thickness(base: &SlipBase) -> Result<f64, InputError> {
    base.keeper.as_ref().map_or(Ok(0.0), |k| {
        positive("keeper thickness t_k, m", k.thickness_m)
    })
}

/// Stiffness of the clamped stack at one bolt, N/m, from its geometry.
///
/// Springs in series: 1/k_c = sum 1/k of plate washer, plate, round washer, keeper, plate, plate washer.
/// - A plate washer carries a cone from the head (1.5 d) outward, no wider than the washer.
/// - A plate carries two cones that grow from its loaded faces (plate washer's cone outside, round washer inside) and
///   meet where they are equally wide. The open notch takes its sector out of them: factor 1 - beta/pi. Cones are not
///   cut at the plate's outline.
/// - Round washer and keeper are rings of the washer's diameter. Without a round washer the plate's outer cone runs
///   through the whole plate, and the keeper is as wide as that cone.
///
/// Washers and keeper are taken as steel with the bolt's modulus. Cones and rings are Shigley's (recalled); the notch
/// factor is an engineering choice (common practice, no source).
///
/// # Errors
/// A size that is not above zero or does not fit around the bolt.
pub fn stack_stiffness(base: &SlipBase) -> Result<f64, InputError> {
    let d = positive("bolt diameter d, m", base.bolt.diameter_m)?;
    let steel = positive("Young's modulus of the bolt, Pa", base.bolt.youngs_pa)?;
    let plate_e = positive("Young's modulus of the plates, Pa", base.plate_youngs_pa)?;
    let beta = within(
        "notch half-angle beta, rad",
        base.notch_half_angle_rad,
        base.notch_half_angle_rad > 0.0 && base.notch_half_angle_rad < 0.5 * PI,
        "above zero and below 90 degrees",
    )?;
    let sector = 1.0 - beta / PI;
    let mut compliance = 0.0;

    // Outer plate washers, one under head and one under nut.
    let washer = not_negative("plate washer thickness, m", base.plate_washer_m)?;
    let mut outer = HEAD_RATIO * d;
    if washer > 0.0 {
        let limit = above_bolt(
            "outside diameter of the plate washer, m",
            base.plate_washer_diameter_m,
            d,
        )?;
        let head = outer.min(limit);
        let full = 2.0 * washer * CONE_TAN + head;
        let cone = if full <= limit {
            washer
        } else {
            (limit - head) / (2.0 * CONE_TAN)
        };
        if cone > 0.0 {
            compliance += 2.0 / cone_stiffness(steel, cone, head, d)?;
        }
        if washer > cone {
            compliance += 2.0 / ring_stiffness(steel, washer - cone, limit, d)?;
        }
        outer = full.min(limit);
    }

    // Plates, and the ring between them.
    let gap = not_negative("round washer thickness, m", base.round_washer_m)?;
    let mut ring = 2.0 * base.upper_plate_m.min(base.lower_plate_m) * CONE_TAN + outer;
    if gap > 0.0 {
        ring = above_bolt(
            "outside diameter of the round washer, m",
            base.round_washer_diameter_m,
            d,
        )?;
        compliance += 1.0 / ring_stiffness(steel, gap, ring, d)?;
    }
    let keeper = keeper_thickness(base)?;
    if keeper > 0.0 {
        compliance += 1.0 / ring_stiffness(steel, keeper, ring, d)?;
    }
    for (quantity, thickness) in [
        ("upper plate thickness, m", base.upper_plate_m),
        ("lower plate thickness, m", base.lower_plate_m),
    ] {
        let t = positive(quantity, thickness)?;
        // D_o + 2 a tan = D_i + 2 (t - a) tan  =>  a = t/2 + (D_i - D_o)/(4 tan), kept within the plate.
        let from_outside = if gap > 0.0 {
            (0.5 * t + (ring - outer) / (4.0 * CONE_TAN)).clamp(0.0, t)
        } else {
            t
        };
        for (height, end) in [(from_outside, outer), (t - from_outside, ring)] {
            if height > 0.0 {
                compliance += 1.0 / (sector * cone_stiffness(plate_e, height, end, d)?);
            }
        }
    }
    Ok(1.0 / compliance)
}
