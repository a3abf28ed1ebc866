//! Mass and centre of mass of a support, sling and tag line.
//!
//! Lying: the pole is slung level at one place; the weight at the balance point turns it about the sling, and a line at
//! the light end holds it level: F_l a_l = W (distance of balance point and sling).
//! Upright: the pole hangs from a sling round its shaft above the balance point. An arm draws the centre of mass off the
//! axis, so that the pole hangs crooked by atan(x/(z_s - z_c)), the foot away from the arm; a level line at the foot, pulled
//! to the arm's side, holds it plumb and the arm as designed: F z_s = W x. Moments about the sling (derived); the sling is
//! taken as a point on the axis.

use crate::strength::{InputError, finite, not_negative, positive, within};
use crate::tube::properties_at;
use giveway_scenario::model::{Support, Tube};
use schemars::JsonSchema;
use serde::Serialize;

/// How far the sling stands above the balance point, as a part of the pole's length (common practice, no source).
const SLING_SHARE: f64 = 0.05;

/// Mass and centre of mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Balance {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Centre of mass from the foot on the pole's axis, site axes, m; the third is the balance point along the pole.
    pub centre_m: [f64; 3],
    /// Its distance from the pole's axis, m.
    pub off_axis_m: f64,
    /// Direction of that distance, rad; none where it is zero.
    pub azimuth_rad: Option<f64>,
}

/// Mass of a straight tapered tube, kg, and its centroid as a fraction of its length from the base.
pub(super) fn tube_mass(tube: &Tube, length_m: f64) -> Result<(f64, f64), InputError> {
    let length = positive("length of a tube, m", length_m)?;
    let density = positive("density of a tube, kg/m^3", tube.material.density_kgpm3)?;
    for (quantity, d) in [
        ("base diameter of a tube, m", tube.base_diameter_m),
        ("tip diameter of a tube, m", tube.tip_diameter_m),
    ] {
        positive(quantity, d)?;
        within(
            "wall of a tube, m",
            tube.wall_m,
            tube.wall_m > 0.0 && 2.0 * tube.wall_m <= d,
            "above zero and at most half of either diameter",
        )?;
    }
    // Simpson is exact for the linear area of a tapered tube and its first moment.
    let [base, middle, tip] = [0.0, 0.5, 1.0].map(|x| properties_at(tube, x).area_m2);
    let area = (base + 4.0 * middle + tip) / 6.0;
    let first = (2.0 * middle + tip) / 6.0;
    Ok((density * length * area, first / area))
}

/// A mass at a place on the support.
pub(super) struct Load {
    pub mass_kg: f64,
    pub place_m: [f64; 3],
    /// Height on the pole where it is fixed, m.
    pub fixed_m: f64,
}

/// Arms and luminaires (where `arms` is true) and lumps of a support.
pub(super) fn loads(support: &Support, arms: bool) -> Result<Vec<Load>, InputError> {
    let length = positive("pole length, m", support.pole_length_m)?;
    let mut loads = Vec::new();
    for arm in support.arms.iter().filter(|_| arms) {
        let reach = not_negative("reach of an arm, m", arm.reach_m)?;
        let rise = finite("rise of an arm, m", arm.rise_m)?;
        let azimuth = finite("azimuth of an arm, rad", arm.azimuth_rad)?;
        let root = not_negative("attachment height of an arm, m", arm.attachment_height_m)?;
        let root = root.min(length);
        let (cos, sin) = (libm::cos(azimuth), libm::sin(azimuth));
        let (mass_kg, centroid) = tube_mass(&arm.tube, libm::hypot(reach, rise))?;
        let mut place = |mass_kg: f64, out: f64, up: f64| {
            loads.push(Load {
                mass_kg,
                place_m: [out * cos, out * sin, root + up],
                fixed_m: root,
            });
        };
        place(mass_kg, centroid * reach, centroid * rise);
        for luminaire in &arm.luminaires {
            let mass = not_negative("mass of a luminaire, kg", luminaire.mass_kg)?;
            let lever = finite("luminaire lever, m", luminaire.lever_m)?;
            place(mass, reach + lever, rise);
        }
    }
    for lump in &support.lumps {
        let azimuth = finite("azimuth of a lump, rad", lump.azimuth_rad)?;
        let offset = finite("offset of a lump, m", lump.offset_m)?;
        let height = finite("height of a lump, m", lump.height_m)?.clamp(0.0, length);
        loads.push(Load {
            mass_kg: not_negative("mass of a lump, kg", lump.mass_kg)?,
            place_m: [
                offset * libm::cos(azimuth),
                offset * libm::sin(azimuth),
                height,
            ],
            fixed_m: height,
        });
    }
    Ok(loads)
}

fn weigh(support: &Support, arms: bool) -> Result<Balance, InputError> {
    let length = positive("pole length, m", support.pole_length_m)?;
    let (pole, centroid) = tube_mass(&support.pole, length)?;
    let mut mass_kg = pole + not_negative("mass of the slip plate, kg", support.plate_mass_kg)?;
    let mut first = [0.0, 0.0, pole * centroid * length];
    for load in loads(support, arms)? {
        mass_kg += load.mass_kg;
        for (sum, x) in first.iter_mut().zip(load.place_m) {
            *sum += load.mass_kg * x;
        }
    }
    let centre_m = first.map(|f| f / mass_kg);
    let off_axis_m = libm::hypot(centre_m[0], centre_m[1]);
    Ok(Balance {
        mass_kg,
        centre_m,
        off_axis_m,
        azimuth_rad: (off_axis_m > 0.0).then(|| libm::atan2(centre_m[1], centre_m[0])),
    })
}

/// Mass and balance point of the whole support: pole, slip plate (at the foot), arms, luminaires, lumps.
///
/// # Errors
/// A size, mass or place without meaning.
pub fn balance(support: &Support) -> Result<Balance, InputError> {
    weigh(support, true)
}

/// The same without arms and luminaires: the pole as it is lifted where the arm follows later.
///
/// # Errors
/// As [`balance`].
pub fn bare_balance(support: &Support) -> Result<Balance, InputError> {
    weigh(support, false)
}

/// Height of the sling above the foot, m: 5 % of the pole's length above the balance point (common practice, no source),
/// no higher than the tip.
///
/// # Errors
/// A pole length that is not above zero.
pub fn sling_height(balance: &Balance, pole_length_m: f64) -> Result<f64, InputError> {
    let length = positive("pole length, m", pole_length_m)?;
    Ok((balance.centre_m[2] + SLING_SHARE * length).min(length))
}

/// How a support hangs from one sling round the shaft.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Hang {
    /// Sling above the foot, m.
    pub sling_m: f64,
    /// Whether the foot hangs down; false: the sling is at or below the balance point and the pole turns over.
    pub foot_down: bool,
    /// Angle of the pole from the plumb line when it hangs free, rad; none where it turns over.
    pub lean_rad: Option<f64>,
    /// Direction in which the foot swings out, rad; none without an offset.
    pub foot_swings_rad: Option<f64>,
    /// Level force at the foot, away from that direction, that holds the pole plumb, N.
    pub foot_force_n: f64,
}

/// How the support hangs from a sling `sling_m` above the foot and what holds it plumb: tan(lean) = x/(z_s - z_c),
/// F = W x/z_s.
///
/// # Errors
/// A sling height or gravity that is not above zero, a balance that is not finite.
pub fn hang(balance: &Balance, sling_m: f64, gravity_mps2: f64) -> Result<Hang, InputError> {
    let sling = positive("height of the sling above the foot, m", sling_m)?;
    let gravity = positive("gravity, m/s^2", gravity_mps2)?;
    let weight = not_negative("mass, kg", balance.mass_kg)? * gravity;
    let off = not_negative("offset of the balance point, m", balance.off_axis_m)?;
    let above = sling - finite("height of the balance point, m", balance.centre_m[2])?;
    Ok(Hang {
        sling_m: sling,
        foot_down: above > 0.0,
        lean_rad: (above > 0.0).then(|| libm::atan(off / above)),
        // The centre of mass swings under the sling, the foot with it to the other side of the arm.
        foot_swings_rad: balance
            .azimuth_rad
            .map(|a| libm::remainder(a + std::f64::consts::PI, std::f64::consts::TAU)),
        foot_force_n: weight * off / sling,
    })
}

/// Upward force of a line on the arm, `line_m` from the pole's axis, that holds the arm level while the pole lies in its
/// sling, N: F = W x/a. Without it the pole rolls until the arm hangs down.
///
/// # Errors
/// A lever or gravity that is not above zero, a balance that is not finite.
pub fn arm_line(balance: &Balance, line_m: f64, gravity_mps2: f64) -> Result<f64, InputError> {
    let lever = positive("place of the line on the arm, m", line_m)?;
    let gravity = positive("gravity, m/s^2", gravity_mps2)?;
    let off = not_negative("offset of the balance point, m", balance.off_axis_m)?;
    Ok(not_negative("mass, kg", balance.mass_kg)? * gravity * off / lever)
}

/// An end of the pole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// The foot.
    Foot,
    /// The tip.
    Tip,
}

/// What holds a lying pole level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct LevelLine {
    /// The end that sinks; none where the pole is slung at its balance point.
    pub sinks: Option<End>,
    /// Downward force of a line at the other end, N.
    pub force_n: f64,
}

/// The line that holds a pole level that lies in a sling `sling_m` from its foot: a downward force at the light end,
/// W (z_s - z_c)/(L - z_s) at the tip or W (z_c - z_s)/z_s at the foot.
///
/// # Errors
/// A sling that is not between foot and tip, gravity that is not above zero, a balance that is not finite.
pub fn level_line(
    balance: &Balance,
    pole_length_m: f64,
    sling_m: f64,
    gravity_mps2: f64,
) -> Result<LevelLine, InputError> {
    let length = positive("pole length, m", pole_length_m)?;
    let sling = within(
        "place of the sling from the foot, m",
        sling_m,
        sling_m > 0.0 && sling_m < length,
        "between foot and tip",
    )?;
    let gravity = positive("gravity, m/s^2", gravity_mps2)?;
    let weight = not_negative("mass, kg", balance.mass_kg)? * gravity;
    let centre = finite("height of the balance point, m", balance.centre_m[2])?;
    Ok(if sling > centre {
        LevelLine {
            sinks: Some(End::Foot),
            force_n: weight * (sling - centre) / (length - sling),
        }
    } else if sling < centre {
        LevelLine {
            sinks: Some(End::Tip),
            force_n: weight * (centre - sling) / sling,
        }
    } else {
        LevelLine {
            sinks: None,
            force_n: 0.0,
        }
    })
}
