//! The clamp of one slip bolt: preload, joint stiffness and the loads at which bolt, plates, washers and keeper give way.
//!
//! # References
//! - ISO 898-1 and ASME B1.1: tensile stress areas (recalled).
//! - RCSC Specification and its commentary; W. H. Munse 1967 therein: relaxation (seen).
//! - AISC 360-05, tables J3.1 and J3.1M: minimum pretension 0.70 F_u A_s (seen).
//! - G. L. Kulak, J. W. Fisher, J. H. A. Struik, Guide to Design Criteria for Bolted and Riveted Joints, 1987: bolt
//!   shear 0.62 of the tensile strength and the elliptical interaction (recalled).
//! - AISC 360, J3.10: bearing 2.4 d t F_u (recalled).

use crate::joint::AxialLaw;
use crate::strength::{InputError, finite, not_negative, positive, within};
use giveway_scenario::model::SlipBase;
use std::f64::consts::{FRAC_PI_4, PI};

mod plates;
mod stiffness;

pub use plates::{PlateBending, plate_bending};
pub use stiffness::{bolt_stiffness, cone_stiffness, grip, ring_stiffness, stack_stiffness};

/// Preload from a tightening torque, N: F_p = (1 - r) T / (K d).
///
/// # Errors
/// K or d not above zero, T negative, r outside 0 to below 1.
pub fn preload_from_torque(
    torque_nm: f64,
    nut_factor: f64,
    diameter_m: f64,
    relaxation: f64,
) -> Result<f64, InputError> {
    let t = not_negative("tightening torque T, N.m", torque_nm)?;
    let k = positive("nut factor K", nut_factor)?;
    let d = positive("bolt diameter d, m", diameter_m)?;
    let r = loss(relaxation)?;
    Ok((1.0 - r) * t / (k * d))
}

/// Tightening torque that leaves the preload F_p, N.m: T = F_p K d / (1 - r).
///
/// # Errors
/// K or d not above zero, F_p negative, r outside 0 to below 1.
pub fn torque_from_preload(
    preload_n: f64,
    nut_factor: f64,
    diameter_m: f64,
    relaxation: f64,
) -> Result<f64, InputError> {
    let f = not_negative("preload F_p, N", preload_n)?;
    let k = positive("nut factor K", nut_factor)?;
    let d = positive("bolt diameter d, m", diameter_m)?;
    let r = loss(relaxation)?;
    Ok(f * k * d / (1.0 - r))
}

/// A relaxation loss.
fn loss(relaxation: f64) -> Result<f64, InputError> {
    within(
        "relaxation loss r",
        relaxation,
        (0.0..1.0).contains(&relaxation),
        "from 0 to below 1",
    )
}

/// Tensile stress area of an ISO metric thread, m^2: A_s = (pi/4)(d - 0.9382 P)^2.
///
/// # Errors
/// d or P not above zero, or a pitch that leaves no core.
pub fn stress_area_iso(diameter_m: f64, pitch_m: f64) -> Result<f64, InputError> {
    thread_core(diameter_m, pitch_m, 0.9382)
}

/// Tensile stress area of an inch thread, m^2: A_s = (pi/4)(d - 0.9743/n)^2, n threads per inch, d in m.
///
/// # Errors
/// d or n not above zero, or a thread that leaves no core.
pub fn stress_area_inch(diameter_m: f64, threads_per_inch: f64) -> Result<f64, InputError> {
    let n = positive("threads per inch n", threads_per_inch)?;
    thread_core(diameter_m, 0.0254 / n, 0.9743)
}

/// (pi/4)(d - c P)^2.
fn thread_core(diameter_m: f64, pitch_m: f64, depth: f64) -> Result<f64, InputError> {
    let d = positive("bolt diameter d, m", diameter_m)?;
    let p = within(
        "thread pitch P, m",
        pitch_m,
        pitch_m > 0.0 && pitch_m < 0.5 * d,
        "above zero and below half the bolt diameter",
    )?;
    let core = d - depth * p;
    Ok(FRAC_PI_4 * core * core)
}

/// Minimum pretension of a slip-critical bolt, N: 0.70 F_u A_s (AISC 360-05 tables J3.1, J3.1M, seen). A slip base is
/// tightened far below it; the value is for comparison.
///
/// # Errors
/// An input that is not above zero.
pub fn minimum_pretension(ultimate_pa: f64, stress_area_m2: f64) -> Result<f64, InputError> {
    Ok(0.70 * tensile_load(ultimate_pa, stress_area_m2)?)
}

/// Load on the stress area at a given strength, N: F_u A_s (tensile load) or F_y A_s (yield load).
///
/// # Errors
/// An input that is not above zero.
pub fn tensile_load(strength_pa: f64, stress_area_m2: f64) -> Result<f64, InputError> {
    Ok(positive("strength of the bolt, Pa", strength_pa)?
        * positive("stress area A_s, m^2", stress_area_m2)?)
}

/// Shear load of one bolt, N: 0.62 F_u A_s per shear plane, threads in the plane.
///
/// # Errors
/// An input that is not above zero.
pub fn bolt_shear(ultimate_pa: f64, stress_area_m2: f64, planes: usize) -> Result<f64, InputError> {
    within(
        "number of shear planes",
        planes as f64,
        planes > 0,
        "at least 1",
    )?;
    Ok(0.62 * planes as f64 * tensile_load(ultimate_pa, stress_area_m2)?)
}

/// Bearing load of a bolt on a plate of thickness t, N: 2.4 d t F_u.
///
/// # Errors
/// An input that is not above zero.
pub fn bearing_load(
    diameter_m: f64,
    thickness_m: f64,
    ultimate_pa: f64,
) -> Result<f64, InputError> {
    Ok(2.4
        * positive("bolt diameter d, m", diameter_m)?
        * positive("plate thickness t, m", thickness_m)?
        * positive("tensile strength of the plate, Pa", ultimate_pa)?)
}

/// Shear that a bolt under the tension T can still carry, N: from (T/T_u)^2 + (V/V_u)^2 = 1; 0 from T_u on.
///
/// # Errors
/// A load that is not above zero, a negative tension.
pub fn shear_under_tension(
    tension_n: f64,
    tensile_load_n: f64,
    shear_load_n: f64,
) -> Result<f64, InputError> {
    let t = not_negative("bolt tension T, N", tension_n)?;
    let tensile = positive("tensile load T_u, N", tensile_load_n)?;
    let shear = positive("shear load V_u, N", shear_load_n)?;
    Ok(shear_left(t, tensile, shear))
}

/// (T/T_u)^2 + (V/V_u)^2 = 1 solved for V; a negative tension counts as 0. Plain arithmetic, for every time step.
pub(crate) fn shear_left(tension_n: f64, tensile_load_n: f64, shear_load_n: f64) -> f64 {
    squared_shear_left(tension_n, tensile_load_n, shear_load_n).sqrt()
}

/// V^2 of [`shear_left`], N^2.
pub(crate) fn squared_shear_left(tension_n: f64, tensile_load_n: f64, shear_load_n: f64) -> f64 {
    let ratio = (tension_n.max(0.0) / tensile_load_n).min(1.0);
    shear_load_n * shear_load_n * (1.0 - ratio * ratio).max(0.0)
}

/// Force at which one bolt begins to tear out of the keeper sheet, N: min(1.2 l_c t_k F_u, 2.4 d t_k F_u), with the clear
/// ligament l_c = e_k - d/2 in front of the bolt (AISC 360, J3.10, recalled: two shear planes of the clear distance).
///
/// # Errors
/// An input that is not above zero, an edge distance of half a diameter or less.
pub fn keeper_tear(
    edge_distance_m: f64,
    thickness_m: f64,
    ultimate_pa: f64,
    diameter_m: f64,
) -> Result<f64, InputError> {
    let clear = keeper_ligament(edge_distance_m, diameter_m)?;
    let t = positive("keeper thickness t_k, m", thickness_m)?;
    let fu = positive("tensile strength of the keeper, Pa", ultimate_pa)?;
    Ok((1.2 * clear * t * fu).min(2.4 * diameter_m * t * fu))
}

/// Ligament of the keeper in front of a bolt, m: l_c = e_k - d/2.
///
/// # Errors
/// A diameter that is not above zero, an edge distance of half a diameter or less.
pub fn keeper_ligament(edge_distance_m: f64, diameter_m: f64) -> Result<f64, InputError> {
    let d = positive("bolt diameter d, m", diameter_m)?;
    let e = within(
        "edge distance in the keeper e_k, m",
        edge_distance_m,
        edge_distance_m > 0.5 * d,
        "above half the bolt diameter",
    )?;
    Ok(e - 0.5 * d)
}

/// Bolt tension at which the bolt's threads strip in the nut, N, for `engaged` threads (fractions allowed):
/// 0.6 F_u (3/4) pi D_1 P n with D_1 = d - 1.0825 P (ISO basic profile, shear of the bolt's threads at the nut's minor
/// diameter; recalled). A nut weaker than the bolt is not covered. No more than the tensile load needs to be applied.
///
/// # Errors
/// An input that is not above zero (threads: below zero), or a pitch that leaves no core.
pub fn stripping_load(
    ultimate_pa: f64,
    diameter_m: f64,
    pitch_m: f64,
    engaged: f64,
) -> Result<f64, InputError> {
    let fu = positive("tensile strength of the bolt, Pa", ultimate_pa)?;
    thread_core(diameter_m, pitch_m, 0.9382)?;
    let n = not_negative("engaged threads", engaged)?;
    let minor = diameter_m - 1.0825 * pitch_m;
    Ok(0.6 * fu * 0.75 * PI * minor * pitch_m * n)
}

/// Bolt tension at which a plate washer yields as a strip over the notch, N: T = t^2 W F_y / (1.5 b); the strip of width
/// W is a simple beam of span b loaded in its middle: T b/4 = F_y W t^2/6 (derived).
///
/// # Errors
/// An input that is not above zero.
pub fn washer_strip_load(
    thickness_m: f64,
    width_m: f64,
    span_m: f64,
    yield_pa: f64,
) -> Result<f64, InputError> {
    let t = positive("plate washer thickness t, m", thickness_m)?;
    let w = positive("width of the washer strip W, m", width_m)?;
    let b = positive("span over the notch b, m", span_m)?;
    let fy = positive("yield strength of the washer, Pa", yield_pa)?;
    Ok(t * t * w * fy / (1.5 * b))
}

/// Everything the slip joint needs to know about the clamp, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct ClampProperties {
    /// Number of bolts.
    pub bolt_count: usize,
    /// Radius of the bolt circle R, m.
    pub bolt_radius_m: f64,
    /// Azimuth of the first bolt, rad; the others follow evenly, anticlockwise.
    pub first_bolt_azimuth_rad: f64,
    /// Nominal bolt diameter d, m.
    pub diameter_m: f64,
    /// Grip, m.
    pub grip_m: f64,
    /// Preload F_p, N, no more than the yield load.
    pub preload_n: f64,
    /// Whether the preload asked for was cut to the yield load.
    pub preload_capped: bool,
    /// Tension at which the bolt yields, N.
    pub yield_load_n: f64,
    /// Tensile load T_u, N.
    pub tensile_load_n: f64,
    /// Minimum pretension of a slip-critical bolt, for comparison, N.
    pub minimum_pretension_n: f64,
    /// Stiffness of one bolt k_b, N/m.
    pub bolt_stiffness_npm: f64,
    /// Stiffness of the clamped stack at one bolt k_c, N/m.
    pub clamp_stiffness_npm: f64,
    /// Load introduction factor n: 1 under head and nut, less between the plates' faces.
    pub load_introduction: f64,
    /// Stiffness of both plates between wall and bolt k_p, N/m; infinite for plates that do not bend.
    pub plate_stiffness_npm: f64,
    /// Force at one bolt at which the weaker plate bends for good X_p, N.
    pub plate_yield_n: f64,
    /// Distance between the plates: round washer and keeper, m.
    pub plate_gap_m: f64,
    /// Plastic stretch at which the bolt ruptures, m: elongation times grip.
    pub rupture_stretch_m: f64,
    /// Shear load V_u, one plane, N.
    pub shear_load_n: f64,
    /// Bearing load in the upper plate's notch, N.
    pub upper_bearing_n: f64,
    /// Bearing load in the lower plate's notch, N.
    pub lower_bearing_n: f64,
    /// Force at which the keeper begins to tear at one bolt, N; 0 without a keeper.
    pub keeper_tear_n: f64,
    /// Ligament that is torn through at one bolt, m.
    pub keeper_ligament_m: f64,
}

impl ClampProperties {
    /// The clamp of a resolved slip base.
    ///
    /// # Errors
    /// Fewer than three bolts, or any size, strength or preload without meaning.
    pub fn from_base(base: &SlipBase) -> Result<Self, InputError> {
        let bolt = &base.bolt;
        within(
            "number of slip bolts",
            base.bolt_count as f64,
            base.bolt_count >= 3,
            "at least 3",
        )?;
        let area = positive("stress area A_s, m^2", bolt.stress_area_m2)?;
        let yield_load_n = tensile_load(bolt.yield_pa, area)?;
        let preload = not_negative("preload F_p, N", base.preload_n)?;
        let grip_m = grip(base)?;
        let bolt_stiffness_npm = match base.bolt_stiffness_npm {
            Some(k) => positive("bolt stiffness k_b, N/m", k)?,
            None => bolt_stiffness(bolt.youngs_pa, area, grip_m, bolt.diameter_m)?,
        };
        let clamp_stiffness_npm = match base.clamp_stiffness_npm {
            Some(k) => positive("clamp stiffness k_c, N/m", k)?,
            None => stack_stiffness(base)?,
        };
        let (keeper_tear_n, keeper_ligament_m) = match &base.keeper {
            Some(k) => (
                keeper_tear(
                    k.edge_distance_m,
                    k.thickness_m,
                    k.ultimate_pa,
                    bolt.diameter_m,
                )?,
                keeper_ligament(k.edge_distance_m, bolt.diameter_m)?,
            ),
            None => (0.0, bolt.diameter_m),
        };
        let bending = plate_bending(base)?;
        let plate_stiffness_npm = match base.plate_stiffness_npm {
            Some(k) => positive("stiffness of the plates k_p, N/m", k)?,
            None => bending.stiffness_npm,
        };
        let load_introduction = within(
            "load introduction factor n",
            base.load_introduction,
            base.load_introduction > 0.0 && base.load_introduction <= 1.0,
            "above 0 and at most 1",
        )?;
        Ok(Self {
            bolt_count: base.bolt_count,
            bolt_radius_m: 0.5 * positive("bolt circle diameter, m", base.bolt_circle_m)?,
            first_bolt_azimuth_rad: finite("azimuth of bolt 1, rad", base.first_bolt_azimuth_rad)?,
            diameter_m: positive("bolt diameter d, m", bolt.diameter_m)?,
            grip_m,
            preload_n: preload.min(yield_load_n),
            preload_capped: preload > yield_load_n,
            yield_load_n,
            tensile_load_n: tensile_load(bolt.ultimate_pa, area)?,
            minimum_pretension_n: minimum_pretension(bolt.ultimate_pa, area)?,
            bolt_stiffness_npm,
            clamp_stiffness_npm,
            load_introduction,
            plate_stiffness_npm,
            plate_yield_n: bending.yield_n,
            plate_gap_m: base.round_washer_m + base.keeper.as_ref().map_or(0.0, |k| k.thickness_m),
            rupture_stretch_m: not_negative("elongation of the bolt", bolt.elongation)? * grip_m,
            shear_load_n: bolt_shear(bolt.ultimate_pa, area, 1)?,
            upper_bearing_n: bearing_load(
                bolt.diameter_m,
                base.upper_plate_m,
                base.plate_ultimate_pa,
            )?,
            lower_bearing_n: bearing_load(
                bolt.diameter_m,
                base.lower_plate_m,
                base.plate_ultimate_pa,
            )?,
            keeper_tear_n,
            keeper_ligament_m,
        })
    }

    /// The joint diagram of one bolt at the preload `preload_n`, with `yield_n` as the load at which it yields.
    pub fn axial_law(&self, preload_n: f64, yield_n: f64) -> AxialLaw {
        AxialLaw::new(
            self.bolt_stiffness_npm,
            self.clamp_stiffness_npm,
            self.load_introduction,
            1.0 / self.plate_stiffness_npm,
            preload_n,
            yield_n,
            [self.plate_yield_n, self.plate_gap_m],
        )
    }

    /// Azimuth of bolt `index` (from 0), rad.
    pub fn bolt_azimuth_rad(&self, index: usize) -> f64 {
        self.first_bolt_azimuth_rad + 2.0 * PI * index as f64 / self.bolt_count as f64
    }

    /// Unit vector from the pole axis to bolt `index` (from 0): the outward notch axis n_i in the slip plane.
    pub fn bolt_direction(&self, index: usize) -> [f64; 2] {
        let azimuth = self.bolt_azimuth_rad(index);
        [libm::cos(azimuth), libm::sin(azimuth)]
    }

    /// Load across the slip plane at which a bolt that cannot move gives way under the tension T, N: its shear
    /// with tension, or the bearing of a notch where that is less. A tension at or above T_u leaves 0; a negative one
    /// counts as 0. Plain arithmetic without allocation, for use in every time step.
    pub fn locked_limit_n(&self, tension_n: f64) -> f64 {
        let shear = shear_left(tension_n, self.tensile_load_n, self.shear_load_n);
        shear.min(self.upper_bearing_n).min(self.lower_bearing_n)
    }
}
