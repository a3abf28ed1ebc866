//! Section properties of tapered thin-walled tubes, round and polygonal.
//!
//! Polygons are regular, measured across the flats; their area and second moment are exact, their
//! torsion constant is Bredt's. A round tube is exact throughout.
//!
//! References: W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, regular polygon and
//! thin-walled closed section (recalled).

use giveway_scenario::model::{Section, Tube};

use crate::strength::{InputError, plastic_modulus};

/// Properties of one cross-section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionProperties {
    /// Area, m^2.
    pub area_m2: f64,
    /// Second moment of area about any axis in the plane, m^4.
    pub second_moment_m4: f64,
    /// Torsion constant, m^4.
    pub torsion_m4: f64,
    /// Polar second moment (for rotary inertia), m^4.
    pub polar_m4: f64,
}

/// Number of sides; 0 for round.
pub fn sides(section: Section) -> usize {
    match section {
        Section::Round => 0,
        Section::Square => 4,
        Section::EightSided => 8,
        Section::TwelveSided => 12,
        Section::SixteenSided => 16,
    }
}

/// Area and second moment of a solid regular polygon (or disc) with the given distance across flats.
fn solid(section: Section, across_m: f64) -> (f64, f64) {
    let a = 0.5 * across_m;
    let n = sides(section);
    if n == 0 {
        let area = std::f64::consts::PI * a * a;
        return (area, 0.25 * area * a * a);
    }
    let angle = std::f64::consts::PI / n as f64;
    // A = n a^2 tan(pi/n);  I = A/24 (6 R^2 - s^2),  R = a/cos(pi/n),  s = 2 a tan(pi/n)
    let tan = libm::tan(angle);
    let area = n as f64 * a * a * tan;
    let r = a / libm::cos(angle);
    let s = 2.0 * a * tan;
    (area, area / 24.0 * (6.0 * r * r - s * s))
}

/// Properties of a tube section with outside diameter (across flats) and wall thickness, m.
pub fn section_properties(section: Section, outside_m: f64, wall_m: f64) -> SectionProperties {
    let inside = (outside_m - 2.0 * wall_m).max(0.0);
    let (a_o, i_o) = solid(section, outside_m);
    let (a_i, i_i) = solid(section, inside);
    let area = a_o - a_i;
    let second = i_o - i_i;
    let n = sides(section);
    let torsion = if n == 0 {
        2.0 * second
    } else {
        // Bredt: J = 4 A_m^2 t / p_m on the middle line.
        let mid = outside_m - wall_m;
        let (a_m, _) = solid(section, mid);
        let perimeter = n as f64 * mid * libm::tan(std::f64::consts::PI / n as f64);
        4.0 * a_m * a_m * wall_m / perimeter
    };
    SectionProperties {
        area_m2: area,
        second_moment_m4: second,
        torsion_m4: torsion,
        polar_m4: 2.0 * second,
    }
}

/// Outside diameter of a tapered tube at the fraction `x` (0 base, 1 tip) of its length, m.
pub fn diameter_at(tube: &Tube, x: f64) -> f64 {
    tube.base_diameter_m + (tube.tip_diameter_m - tube.base_diameter_m) * x
}

/// Section properties of a tapered tube at the fraction `x` of its length.
pub fn properties_at(tube: &Tube, x: f64) -> SectionProperties {
    section_properties(tube.section, diameter_at(tube, x), tube.wall_m)
}

/// Plastic moment M_p = F_y Z of the tube at the fraction `x` of its length, N.m.
///
/// # Errors
/// Sizes that make no tube.
pub fn plastic_moment(tube: &Tube, x: f64) -> Result<f64, InputError> {
    let z = plastic_modulus(tube.section, diameter_at(tube, x), tube.wall_m)?;
    Ok(tube.material.yield_pa * z)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn square_tube_is_exact() {
        // 200 x 200 x 4.3: A = 200^2 - 191.4^2, I = (200^4 - 191.4^4)/12 (handbook definition).
        let p = section_properties(Section::Square, 0.2, 0.0043);
        assert!((p.area_m2 - (0.04 - 0.1914f64 * 0.1914)).abs() < 1e-15);
        let i4 = 0.1914f64 * 0.1914 * 0.1914 * 0.1914;
        assert!((p.second_moment_m4 - (0.0016 - i4) / 12.0).abs() < 1e-15);
        // Bredt for a square of side b: J = b^3 t.
        assert!((p.torsion_m4 - 0.1957f64 * 0.1957 * 0.1957 * 0.0043).abs() < 1e-15);
    }

    #[test]
    fn polygons_approach_the_circle() {
        let round = section_properties(Section::Round, 0.25, 0.005);
        let p16 = section_properties(Section::SixteenSided, 0.25, 0.005);
        assert!((p16.area_m2 / round.area_m2 - 1.0).abs() < 0.015);
        assert!((p16.second_moment_m4 / round.second_moment_m4 - 1.0).abs() < 0.03);
    }
}
