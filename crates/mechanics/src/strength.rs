//! Limit loads of grout, concrete, anchor stubs, soil, tube sections and tube walls.
//!
//! Every function checks its inputs and returns [`InputError`] for a value that is not finite or has no
//! meaning; nothing here panics. Marks as in the validation tables: *seen* (read in a text of the source),
//! *recalled* (from memory), *derived* (computed here).
//!
//! # References
//! - ACI 318-19, 17.6.2.2.1 (concrete breakout, seen) and 22.8 (bearing, recalled).
//! - B. B. Broms, Lateral resistance of piles in cohesionless soils, J. Soil Mech. Found. Div. ASCE, 1964 (recalled).
//! - W. J. M. Rankine's passive pressure, any soil mechanics text (recalled).
//! - O. Furnes, J. Amdahl, Ship collisions with offshore platforms, 1980: dent of a tube wall (recalled).

use crate::tube::sides;
use giveway_scenario::model::Section;

/// An input of the static checks that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum InputError {
    /// The value is NaN or infinite.
    #[error("{quantity} is {value}; give a finite number")]
    NotFinite {
        /// What the value is, with its unit.
        quantity: &'static str,
        /// The value given.
        value: f64,
    },
    /// The value is finite but outside its meaning.
    #[error("{quantity} is {value}; it must be {allowed}")]
    OutOfRange {
        /// What the value is, with its unit.
        quantity: &'static str,
        /// The value given.
        value: f64,
        /// The allowed range in words.
        allowed: &'static str,
    },
}

/// A finite value.
pub(crate) fn finite(quantity: &'static str, value: f64) -> Result<f64, InputError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(InputError::NotFinite { quantity, value })
    }
}

/// A finite value that satisfies `ok`.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    ok: bool,
    allowed: &'static str,
) -> Result<f64, InputError> {
    finite(quantity, value)?;
    if ok {
        Ok(value)
    } else {
        Err(InputError::OutOfRange {
            quantity,
            value,
            allowed,
        })
    }
}

/// A finite value above zero.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, InputError> {
    within(quantity, value, value > 0.0, "above zero")
}

/// A finite value of zero or more.
pub(crate) fn not_negative(quantity: &'static str, value: f64) -> Result<f64, InputError> {
    within(quantity, value, value >= 0.0, "zero or more")
}

/// Bearing strength of grout or concrete under a loaded area A1 inside a supporting area A2, N.
///
/// 0.85 f'c A1 sqrt(A2/A1), the root at most 2 (ACI 318 22.8, recalled).
///
/// # Errors
/// A strength or A1 that is not above zero, or A2 below A1.
pub fn concrete_bearing(
    strength_pa: f64,
    loaded_area_m2: f64,
    supporting_area_m2: f64,
) -> Result<f64, InputError> {
    let fc = positive("concrete or grout strength, Pa", strength_pa)?;
    let a1 = positive("loaded area A1, m^2", loaded_area_m2)?;
    let a2 = within(
        "supporting area A2, m^2",
        supporting_area_m2,
        supporting_area_m2 >= a1,
        "at least the loaded area A1",
    )?;
    // P = 0.85 f'c A1 min(2, sqrt(A2/A1))
    Ok(0.85 * fc * a1 * (a2 / a1).sqrt().min(2.0))
}

/// Basic concrete breakout strength in tension, N_b = k_c sqrt(f'c) h_ef^1.5, in **pounds** for psi and inches
/// (ACI 318-19 17.6.2.2.1, seen; normal-weight concrete).
///
/// # Errors
/// A factor, strength or depth that is not above zero.
pub fn breakout_lb(
    factor_kc: f64,
    strength_psi: f64,
    embedment_in: f64,
) -> Result<f64, InputError> {
    let kc = positive("breakout factor k_c", factor_kc)?;
    let fc = positive("concrete strength, psi", strength_psi)?;
    let h = positive("effective embedment h_ef, in", embedment_in)?;
    Ok(kc * fc.sqrt() * h * h.sqrt())
}

/// Pascals in one pound per square inch (exact pound and inch).
const PSI_PA: f64 = 4.448_221_615_260_5 / (0.0254 * 0.0254);

/// [`breakout_lb`] with SI at its border: Pa and m in, N out. `factor_kc` stays the psi-inch factor (24 cast in, 17
/// and up post-installed, recalled).
///
/// # Errors
/// As [`breakout_lb`].
pub fn breakout_n(factor_kc: f64, strength_pa: f64, embedment_m: f64) -> Result<f64, InputError> {
    let pounds = breakout_lb(factor_kc, strength_pa / PSI_PA, embedment_m / 0.0254)?;
    Ok(pounds * 4.448_221_615_260_5)
}

/// Force at which an anchor-bar stub in the slip plane gives way, N: the smaller of its shear strength and
/// the plate edge that it indents, min(0.6 F_u A_bar, 3 F_y d h) (common practice, no source).
///
/// `bar_area_m2` is the sheared area of the bar, `bar_diameter_m` its width against the plate, `height_m` the
/// height over which plate and bar meet.
///
/// # Errors
/// A size or strength that is not above zero.
pub fn stub_limit(
    bar_ultimate_pa: f64,
    bar_area_m2: f64,
    plate_yield_pa: f64,
    bar_diameter_m: f64,
    height_m: f64,
) -> Result<f64, InputError> {
    let shear = 0.6
        * positive("tensile strength of the bar, Pa", bar_ultimate_pa)?
        * positive("area of the bar, m^2", bar_area_m2)?;
    let plate = 3.0
        * positive("yield strength of the plate, Pa", plate_yield_pa)?
        * positive("diameter of the bar, m", bar_diameter_m)?
        * positive("contact height on the stub, m", height_m)?;
    Ok(shear.min(plate))
}

/// Rankine's passive pressure coefficient K_p = tan^2(45 deg + phi/2) (recalled).
///
/// # Errors
/// A friction angle outside 0 to 60 degrees.
pub fn rankine_kp(friction_angle_rad: f64) -> Result<f64, InputError> {
    let phi = within(
        "angle of internal friction, rad",
        friction_angle_rad,
        (0.0..=std::f64::consts::FRAC_PI_3).contains(&friction_angle_rad),
        "from 0 to 60 degrees",
    )?;
    let t = libm::tan(std::f64::consts::FRAC_PI_4 + 0.5 * phi);
    Ok(t * t)
}

/// Passive resistance of soil behind a wall of the given width and depth, N:
/// P = (gamma H^2 K_p / 2 + 2 c H sqrt(K_p)) b (Rankine, level ground, recalled).
///
/// # Errors
/// A negative or unusable input.
pub fn passive_force(
    unit_weight_npm3: f64,
    cohesion_pa: f64,
    friction_angle_rad: f64,
    depth_m: f64,
    width_m: f64,
) -> Result<f64, InputError> {
    let kp = rankine_kp(friction_angle_rad)?;
    let gamma = not_negative("unit weight of soil, N/m^3", unit_weight_npm3)?;
    let c = not_negative("cohesion of soil, Pa", cohesion_pa)?;
    let h = not_negative("depth of the wall, m", depth_m)?;
    let b = not_negative("width of the wall, m", width_m)?;
    Ok((0.5 * gamma * h * h * kp + 2.0 * c * h * kp.sqrt()) * b)
}

/// Lateral capacity of a short free-headed pier in sand, N: P = 0.5 gamma D L^3 K_p / (e + L)
/// (Broms 1964, recalled); `height_m` is the height e of the load above the ground.
///
/// # Errors
/// A size or weight that is not above zero, a negative height.
pub fn broms_short_pier(
    unit_weight_npm3: f64,
    diameter_m: f64,
    length_m: f64,
    friction_angle_rad: f64,
    height_m: f64,
) -> Result<f64, InputError> {
    let kp = rankine_kp(friction_angle_rad)?;
    let gamma = positive("unit weight of soil, N/m^3", unit_weight_npm3)?;
    let d = positive("pier diameter D, m", diameter_m)?;
    let l = positive("pier length L, m", length_m)?;
    let e = not_negative("height of the load e, m", height_m)?;
    Ok(0.5 * gamma * d * l * l * l * kp / (e + l))
}

/// Plastic section modulus of a tube, m^3; `diameter_m` is measured across the flats of a polygon.
///
/// Round: Z = (D^3 - (D - 2t)^3)/6. A regular polygon of N sides, neutral axis through two corners:
/// Z = (D^3 - (D - 2t)^3)/(6 cos(pi/N)), derived by summing its triangles; it is the smallest over all axes (a square:
/// sqrt(2)/6 D^3 about the diagonal against D^3/4). Corners are taken sharp. N without end gives the round tube.
///
/// # Errors
/// Sizes that are not above zero, or a wall above half the diameter.
pub fn plastic_modulus(section: Section, diameter_m: f64, wall_m: f64) -> Result<f64, InputError> {
    let d = positive("tube diameter D, m", diameter_m)?;
    let t = tube_wall(wall_m, d)?;
    let inside = d - 2.0 * t;
    let corner = match sides(section) {
        0 => 1.0,
        n => libm::cos(std::f64::consts::PI / n as f64),
    };
    Ok((d * d * d - inside * inside * inside) / (6.0 * corner))
}

/// A wall thickness that fits the diameter.
fn tube_wall(wall_m: f64, diameter_m: f64) -> Result<f64, InputError> {
    within(
        "tube wall t, m",
        wall_m,
        wall_m > 0.0 && 2.0 * wall_m <= diameter_m,
        "above zero and at most half the diameter",
    )
}

/// 15 m_p sqrt(D/t) sqrt(2/D) with m_p = F_y t^2/4: the dent law is P = this times sqrt(X).
pub fn dent_factor(yield_pa: f64, diameter_m: f64, wall_m: f64) -> Result<f64, InputError> {
    let fy = positive("yield strength of the tube, Pa", yield_pa)?;
    let d = positive("tube diameter D, m", diameter_m)?;
    let t = tube_wall(wall_m, d)?;
    let plastic_moment = 0.25 * fy * t * t;
    Ok(15.0 * plastic_moment * (d / t).sqrt() * (2.0 / d).sqrt())
}

/// Force that holds a dent of depth X in the tube wall, N:
/// P = 15 m_p sqrt(D/t) sqrt(2X/D), m_p = F_y t^2/4 (Furnes and Amdahl 1980, recalled).
///
/// # Errors
/// A size or strength that is not above zero, a negative depth.
pub fn dent_force(
    yield_pa: f64,
    diameter_m: f64,
    wall_m: f64,
    depth_m: f64,
) -> Result<f64, InputError> {
    let x = not_negative("depth of the dent X, m", depth_m)?;
    Ok(dent_factor(yield_pa, diameter_m, wall_m)? * x.sqrt())
}

/// Depth of the dent that a force P leaves, m: the inverse of [`dent_force`].
///
/// # Errors
/// A size or strength that is not above zero, a negative force.
pub fn dent_depth(
    yield_pa: f64,
    diameter_m: f64,
    wall_m: f64,
    force_n: f64,
) -> Result<f64, InputError> {
    let p = not_negative("force on the tube wall P, N", force_n)?;
    let root = p / dent_factor(yield_pa, diameter_m, wall_m)?;
    Ok(root * root)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_is_an_error_that_names_the_quantity() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert!(concrete_bearing(bad, 1.0, 1.0).is_err());
            assert!(concrete_bearing(1.0, bad, 1.0).is_err());
            assert!(breakout_lb(17.0, bad, 1.0).is_err());
            assert!(breakout_n(17.0, 2e7, bad).is_err());
            assert!(stub_limit(4e8, bad, 2.5e8, 0.03, 0.01).is_err());
            assert!(broms_short_pier(bad, 1.0, 1.0, 0.5, 0.0).is_err());
            assert!(plastic_modulus(Section::Round, bad, 0.1).is_err());
            assert!(plastic_modulus(Section::Round, 0.1, bad).is_err());
            assert!(dent_force(bad, 0.2, 0.004, 0.01).is_err());
        }
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert!(rankine_kp(bad).is_err());
            assert!(passive_force(bad, 0.0, 0.5, 1.0, 1.0).is_err());
            assert!(dent_force(2.5e8, 0.2, 0.004, bad).is_err());
            assert!(dent_depth(2.5e8, 0.2, 0.004, bad).is_err());
        }
        let said = plastic_modulus(Section::Round, 0.1, 0.06).unwrap_err();
        assert_eq!(
            said.to_string(),
            "tube wall t, m is 0.06; it must be above zero and at most half the diameter"
        );
    }

    #[test]
    fn dent_depth_inverts_the_dent_law() {
        let p = dent_force(3.45e8, 0.22, 0.0045, 0.037).unwrap();
        let x = dent_depth(3.45e8, 0.22, 0.0045, p).unwrap();
        assert!((x - 0.037).abs() < 1e-15);
    }
}
