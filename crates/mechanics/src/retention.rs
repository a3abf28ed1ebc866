//! The other side of the torque window: does the clamped base hold under dead load and design wind?
//!
//! **Bolts.** The upper plate is rigid and stands on n equal joints on a circle of radius R. With u the opening at a bolt
//! from the preloaded state, bolt tension and washer force are T = F_p + k_b u and N = F_p - k_c u, so the external
//! tension that the bolt group must bring up at that bolt is X = T - N = (k_b + k_c) u. A rigid plate on equal springs gives
//!   X_i = -W/n + 2 (M_x y_i - M_y x_i) / (n R^2),
//! from sum X = -W and sum r_i x X_i = M (for n >= 3 evenly spaced: sum x^2 = sum y^2 = n R^2/2, sum x y = 0), and hence
//!   N_i = F_p - k_c/(k_b + k_c) X_i.
//! With k_c >> k_b and W = 0 the single bolt of three gaps at M = 1.5 F_p R, a pair of them together at 3 F_p R. A negative
//! N_i is the linear value and says how far the bolt is beyond gapping; the other bolts are then only indicative.
//!
//! **Slip.** Only the faces between the plates count, with mu_i N_i; friction under head and nut is left out, because
//! the bolt tilts in its notches before it carries shear across the plane (conservative; common practice, no source).
//! Bearing of bolts in the notch root is left out too. Each bolt's share of the shear V and torsion T is
//!   q_i = N_i (V/sum N + T_C/(sum N r_C^2) e_z x (r_i - C)),  C = sum N_i r_i / sum N,  T_C = T - (C x V)_z,
//! in words: in proportion to its washer force, about the centre of the washer forces. These shares are in equilibrium with the
//! demand, so the load factor min(mu_i N_i/|q_i|) is a lower bound of the plastic slip load (static theorem): 0.74 to 1.0 of
//! the exact limit for a typical support in a design wind, down to 0.57 where a bolt is near gapping. With equal N_i
//! it is the usual superposition of V/n and T/(n R) at the worst bolt.
//!
//! # References
//! - J. E. Shigley, C. R. Mischke, Mechanical Engineering Design, joint diagram (recalled).
//! - G. L. Kulak, J. W. Fisher, J. H. A. Struik, Guide to Design Criteria for Bolted and Riveted Joints, 1987,
//!   eccentrically loaded slip-resistant joints (recalled); shares weighted by N are derived here.

use crate::clamp::ClampProperties;
use crate::strength::{InputError, finite, not_negative, positive};
use crate::wind::{WindAction, WindModel};
use giveway_scenario::model::Scenario;
use serde::Serialize;
use std::f64::consts::PI;

/// Step between the wind directions that are tried before refining, rad.
const DIRECTIONS: usize = 72;

/// Static check of the clamped base, one bolt.
#[derive(Debug, Clone, Serialize)]
pub struct BoltRetention {
    /// Number, from 1.
    pub number: usize,
    /// Smallest washer force under dead load and design wind, over all wind directions, N; negative beyond gapping.
    pub washer_force_n: f64,
    /// Wind direction that gives it (the way the wind blows), rad.
    pub wind_azimuth_rad: f64,
    /// Washer force over preload: above 0 the bolt does not gap. Without preload there is no clamp: -1 where the
    /// washer force is 0 or less, else 0.
    pub gap_margin: f64,
}

/// Static check of the clamped base under dead load and design wind.
#[derive(Debug, Clone, Serialize)]
pub struct Retention {
    /// Largest wind shear at the slip plane, N.
    pub wind_shear_n: f64,
    /// Largest wind moment at the slip plane, N.m.
    pub wind_moment_nm: f64,
    /// Dead-load moment at the slip plane, N.m.
    pub dead_moment_nm: f64,
    /// Largest torsion at the slip plane, N.m.
    pub torsion_nm: f64,
    /// Per bolt.
    pub bolts: Vec<BoltRetention>,
    /// Friction capacity over demand (shear and torsion together) minus one, worst wind direction; none where the wind asks
    /// for nothing.
    pub slip_margin: Option<f64>,
    /// Wind direction that gives the slip margin (the way the wind blows), rad.
    pub slip_azimuth_rad: Option<f64>,
    /// Whether every bolt stays clamped and nothing slips.
    pub holds: bool,
}

/// Dead load at the slip plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeadLoad {
    /// Weight of everything above the slip plane, N.
    pub weight_n: f64,
    /// Its moment about the foot, about site x and y, N.m.
    pub moment_nm: [f64; 2],
}

impl DeadLoad {
    /// Dead load of a mass with its centre off the pole axis: W = m g, M_x = -y W, M_y = x W.
    pub fn from_mass(mass_kg: f64, centre_m: [f64; 2], gravity_mps2: f64) -> Self {
        let weight_n = mass_kg * gravity_mps2;
        Self {
            weight_n,
            moment_nm: [-centre_m[1] * weight_n, centre_m[0] * weight_n],
        }
    }
}

/// Washer force N_i at every bolt under a weight and a moment about the foot (site x and y), N; the linear value, negative
/// beyond gapping. See the module's text for the derivation.
pub fn washer_forces(clamp: &ClampProperties, weight_n: f64, moment_nm: [f64; 2]) -> Vec<f64> {
    let n = clamp.bolt_count as f64;
    let share = clamp.unloading_share();
    let radius = clamp.bolt_radius_m;
    (0..clamp.bolt_count)
        .map(|i| {
            let [cos, sin] = clamp.bolt_direction(i);
            // X_i = -W/n + 2 (M_x y_i - M_y x_i)/(n R^2),  N_i = F_p - k_c/(k_b + k_c) X_i
            let tension =
                -weight_n / n + 2.0 * (moment_nm[0] * sin - moment_nm[1] * cos) / (n * radius);
            clamp.preload_n - share * tension
        })
        .collect()
}

/// Demand over friction capacity of the inner faces, worst bolt, for washer forces `washer_n`, a shear vector and a torsion at
/// the pole axis: max |q_i|/(mu_i N_i). 0 without demand, infinite where no face can carry it.
pub fn slip_utilisation(
    clamp: &ClampProperties,
    washer_n: &[f64],
    friction: f64,
    shear_n: [f64; 2],
    torsion_nm: f64,
) -> f64 {
    if shear_n == [0.0, 0.0] && torsion_nm == 0.0 {
        return 0.0;
    }
    let faces: Vec<(f64, [f64; 2])> = washer_n
        .iter()
        .enumerate()
        .map(|(i, &force)| {
            let [cos, sin] = clamp.bolt_direction(i);
            let place = [clamp.bolt_radius_m * cos, clamp.bolt_radius_m * sin];
            (force.max(0.0), place)
        })
        .collect();
    let total: f64 = faces.iter().map(|(n, _)| n).sum();
    if total <= 0.0 || friction <= 0.0 {
        return f64::INFINITY;
    }
    // C = sum N r / sum N
    let centre = [0, 1].map(|k| faces.iter().map(|(n, r)| n * r[k]).sum::<f64>() / total);
    // J = sum N |r - C|^2,  T_C = T - (C x V)_z
    let polar: f64 = faces
        .iter()
        .map(|(n, r)| n * (square(r[0] - centre[0]) + square(r[1] - centre[1])))
        .sum();
    let torsion = torsion_nm - (centre[0] * shear_n[1] - centre[1] * shear_n[0]);
    let twist = if torsion == 0.0 { 0.0 } else { torsion / polar };
    if !twist.is_finite() {
        return f64::INFINITY;
    }
    // |q_i|/(mu N_i) = |V/sum N + T_C/J e_z x (r_i - C)|/mu
    faces
        .iter()
        .filter(|(n, _)| *n > 0.0)
        .map(|(_, r)| {
            let x = shear_n[0] / total - twist * (r[1] - centre[1]);
            let y = shear_n[1] / total + twist * (r[0] - centre[0]);
            libm::hypot(x, y) / friction
        })
        .fold(0.0, f64::max)
}

fn square(x: f64) -> f64 {
    x * x
}

/// Largest value of `f` over all wind directions and the direction that gives it: every 5 degrees, then golden section
/// within 5 degrees of the best.
fn worst_direction(f: impl Fn(f64) -> f64) -> (f64, f64) {
    let step = 2.0 * PI / DIRECTIONS as f64;
    let mut best = (f(0.0), 0.0);
    for i in 1..DIRECTIONS {
        let azimuth = i as f64 * step;
        let value = f(azimuth);
        if value > best.0 {
            best = (value, azimuth);
        }
    }
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut low, mut high) = (best.1 - step, best.1 + step);
    for _ in 0..48 {
        let left = high - GOLDEN * (high - low);
        let right = low + GOLDEN * (high - low);
        if f(left) >= f(right) {
            high = right;
        } else {
            low = left;
        }
    }
    let middle = 0.5 * (low + high);
    let refined = f(middle);
    // A refinement that only changes the last digits keeps the round direction.
    if refined > best.0 + 1e-12 * best.0.abs() {
        let turn = 2.0 * PI;
        best = (refined, middle - turn * libm::floor(middle / turn));
    }
    best
}

/// Static check of the clamped base: every bolt's washer force and the friction of the joint, each over the worst wind direction.
///
/// `holds` is true where every washer force and the slip margin stay above zero.
///
/// # Errors
/// Site, support, clamp or dead load with a value that is not finite or has no meaning.
pub fn retention(
    scenario: &Scenario,
    clamp: &ClampProperties,
    dead: &DeadLoad,
) -> Result<Retention, InputError> {
    let friction = not_negative(
        "friction between the plates mu_i",
        scenario.base.friction_inner,
    )?;
    let weight = not_negative("weight above the slip plane, N", dead.weight_n)?;
    let dead_x = finite("dead-load moment about x, N.m", dead.moment_nm[0])?;
    let dead_y = finite("dead-load moment about y, N.m", dead.moment_nm[1])?;
    positive("bolt circle radius R, m", clamp.bolt_radius_m)?;
    not_negative("preload F_p, N", clamp.preload_n)?;
    positive("bolt stiffness k_b, N/m", clamp.bolt_stiffness_npm)?;
    positive("clamp stiffness k_c, N/m", clamp.clamp_stiffness_npm)?;
    let model = WindModel::new(&scenario.site, &scenario.support)?;

    let forces = |wind: &WindAction| {
        let moment = [dead_x + wind.moment_nm[0], dead_y + wind.moment_nm[1]];
        washer_forces(clamp, weight, moment)
    };
    let bolts: Vec<BoltRetention> = (0..clamp.bolt_count)
        .map(|i| {
            let (unloading, azimuth) = worst_direction(|a| -forces(&model.action(a))[i]);
            let washer_force_n = -unloading;
            BoltRetention {
                number: i + 1,
                washer_force_n,
                wind_azimuth_rad: azimuth,
                gap_margin: if clamp.preload_n > 0.0 {
                    washer_force_n / clamp.preload_n
                } else if washer_force_n > 0.0 {
                    0.0
                } else {
                    -1.0
                },
            }
        })
        .collect();

    let (utilisation, slip_azimuth) = worst_direction(|a| {
        let wind = model.action(a);
        let washers = forces(&wind);
        slip_utilisation(clamp, &washers, friction, wind.shear_n, wind.torsion_nm)
    });
    let demanded = utilisation > 0.0;
    let slip_margin = demanded.then(|| 1.0 / utilisation - 1.0);
    let largest = |f: fn(&WindAction) -> f64| worst_direction(|a| f(&model.action(a))).0;
    Ok(Retention {
        wind_shear_n: largest(|w| libm::hypot(w.shear_n[0], w.shear_n[1])),
        wind_moment_nm: largest(|w| libm::hypot(w.moment_nm[0], w.moment_nm[1])),
        dead_moment_nm: libm::hypot(dead_x, dead_y),
        torsion_nm: largest(|w| w.torsion_nm.abs()),
        holds: clamp.preload_n > 0.0
            && bolts.iter().all(|b| b.washer_force_n > 0.0)
            && slip_margin.is_none_or(|m| m > 0.0),
        bolts,
        slip_margin,
        slip_azimuth_rad: demanded.then_some(slip_azimuth),
    })
}
