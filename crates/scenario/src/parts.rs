//! Bolts, grades and materials by name.
//!
//! References: ISO 261/262 (coarse pitches) and ISO 898-1 (grades, stress area) \[recalled\]; ASME B1.1 (UNC
//! threads, stress area) \[recalled\]; ISO 4014 and 4032 (heads and nuts, nominal head height and greatest nut
//! height) and ASME B18.2.6 (heavy hexagon heads and nuts, nominal) \[recalled\]; ASTM A307, F3125 grade A325 (as A325), A449 \[recalled\]; ASTM and EN
//! strengths of structural steel and of aluminium 6xxx tempers \[recalled\]. Check values for the areas and strengths: AISC 360-05
//! tables J3.1 and J3.1M, minimum pretension = 0.70 Fu A_s \[seen\].

use core::f64::consts::FRAC_PI_4;

/// A bolt size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltSize {
    /// As written: `M27`, `1-1/8 in`.
    pub name: &'static str,
    /// Nominal diameter d, m.
    pub diameter_m: f64,
    /// Thread pitch P, m; for inch threads 0.0254/n.
    pub pitch_m: f64,
    /// Threads per inch n for inch threads.
    pub threads_per_inch: Option<f64>,
    /// Height of the hexagon head, m.
    pub head_height_m: f64,
    /// Width of head and nut across the flats, m.
    pub across_flats_m: f64,
    /// Height of the nut, m.
    pub nut_height_m: f64,
}

impl BoltSize {
    /// Tensile stress area, m^2.
    pub fn stress_area_m2(&self) -> f64 {
        let root_m = match self.threads_per_inch {
            // A_s = (pi/4) (d - 0.9382 P)^2
            None => self.diameter_m - 0.9382 * self.pitch_m,
            // A_s = (pi/4) (d - 0.9743/n)^2, d and 1/n in inches
            Some(n) => self.diameter_m - 0.9743 / n * 0.0254,
        };
        FRAC_PI_4 * root_m * root_m
    }
}

/// `hexagon_mm`: height of the head, width across the flats, height of the nut.
const fn metric(
    name: &'static str,
    diameter_mm: f64,
    pitch_mm: f64,
    hexagon_mm: [f64; 3],
) -> BoltSize {
    BoltSize {
        name,
        diameter_m: diameter_mm / 1e3,
        pitch_m: pitch_mm / 1e3,
        threads_per_inch: None,
        head_height_m: hexagon_mm[0] / 1e3,
        across_flats_m: hexagon_mm[1] / 1e3,
        nut_height_m: hexagon_mm[2] / 1e3,
    }
}

/// `hexagon_in`: height of the head, width across the flats, height of the nut.
const fn inch(name: &'static str, diameter_in: f64, n: f64, hexagon_in: [f64; 3]) -> BoltSize {
    BoltSize {
        name,
        diameter_m: diameter_in * 254.0 / 1e4,
        pitch_m: 254.0 / 1e4 / n,
        threads_per_inch: Some(n),
        head_height_m: hexagon_in[0] * 254.0 / 1e4,
        across_flats_m: hexagon_in[1] * 254.0 / 1e4,
        nut_height_m: hexagon_in[2] * 254.0 / 1e4,
    }
}

/// Bolt sizes: ISO coarse pitch with ISO 4014 heads and ISO 4032 nuts, UNC with heavy hexagon heads and nuts
/// \[recalled\].
pub const BOLT_SIZES: &[BoltSize] = &[
    metric("M12", 12.0, 1.75, [7.5, 18.0, 10.8]),
    metric("M16", 16.0, 2.0, [10.0, 24.0, 14.8]),
    metric("M20", 20.0, 2.5, [12.5, 30.0, 18.0]),
    metric("M22", 22.0, 2.5, [14.0, 34.0, 19.4]),
    metric("M24", 24.0, 3.0, [15.0, 36.0, 21.5]),
    metric("M27", 27.0, 3.0, [17.0, 41.0, 23.8]),
    metric("M30", 30.0, 3.5, [18.7, 46.0, 25.6]),
    metric("M33", 33.0, 3.5, [21.0, 50.0, 28.7]),
    metric("M36", 36.0, 4.0, [22.5, 55.0, 31.0]),
    metric("M39", 39.0, 4.0, [25.0, 60.0, 33.4]),
    metric("M42", 42.0, 4.5, [26.0, 65.0, 34.0]),
    inch("1/2 in", 0.5, 13.0, [0.3125, 0.875, 0.484375]),
    inch("5/8 in", 0.625, 11.0, [0.390625, 1.0625, 0.609375]),
    inch("3/4 in", 0.75, 10.0, [0.46875, 1.25, 0.734375]),
    inch("7/8 in", 0.875, 9.0, [0.546875, 1.4375, 0.859375]),
    inch("1 in", 1.0, 8.0, [0.609375, 1.625, 0.984375]),
    inch("1-1/8 in", 1.125, 7.0, [0.6875, 1.8125, 1.109375]),
    inch("1-1/4 in", 1.25, 7.0, [0.78125, 2.0, 1.21875]),
    inch("1-3/8 in", 1.375, 6.0, [0.84375, 2.1875, 1.34375]),
    inch("1-1/2 in", 1.5, 6.0, [0.9375, 2.375, 1.46875]),
];

/// Bolt size of that name.
pub fn bolt_size(name: &str) -> Option<&'static BoltSize> {
    BOLT_SIZES.iter().find(|size| size.name == name)
}

/// Strength of a bolt grade within a range of diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltGrade {
    /// As written: `8.8`, `A325`.
    pub name: &'static str,
    /// Applies up to this nominal diameter, m.
    pub up_to_m: f64,
    /// Yield strength, Pa.
    pub yield_pa: f64,
    /// Tensile strength, Pa.
    pub ultimate_pa: f64,
    /// Elongation at rupture.
    pub elongation: f64,
    /// Where the values come from.
    pub source: &'static str,
}

const KSI: f64 = 44_482_216_152_605.0 / 6_451_600.0;
const ANY: f64 = f64::INFINITY;

const fn grade(
    name: &'static str,
    up_to_m: f64,
    yield_pa: f64,
    ultimate_pa: f64,
    elongation: f64,
    source: &'static str,
) -> BoltGrade {
    BoltGrade {
        name,
        up_to_m,
        yield_pa,
        ultimate_pa,
        elongation,
        source,
    }
}

/// Bolt grades. The first row whose `up_to_m` is not below the diameter applies.
pub const BOLT_GRADES: &[BoltGrade] = &[
    grade("4.6", ANY, 240e6, 400e6, 0.22, "ISO 898-1 [recalled]"),
    grade("5.6", ANY, 300e6, 500e6, 0.20, "ISO 898-1 [recalled]"),
    grade(
        "8.8",
        0.016,
        640e6,
        800e6,
        0.12,
        "ISO 898-1, d <= 16 mm [recalled]",
    ),
    grade(
        "8.8",
        ANY,
        660e6,
        830e6,
        0.12,
        "ISO 898-1, d > 16 mm [recalled]",
    ),
    grade("10.9", ANY, 940e6, 1040e6, 0.09, "ISO 898-1 [recalled]"),
    grade(
        "A307",
        ANY,
        36.0 * KSI,
        60.0 * KSI,
        0.18,
        "ASTM A307 grade A [recalled]; its yield is not specified, 36 ksi assumed",
    ),
    grade(
        "A325",
        0.0255,
        92.0 * KSI,
        120.0 * KSI,
        0.14,
        "ASTM A325, d <= 1 in [recalled]",
    ),
    grade(
        "A325",
        ANY,
        81.0 * KSI,
        105.0 * KSI,
        0.14,
        "ASTM A325, d > 1 in [recalled]",
    ),
    grade("A325M", ANY, 660e6, 830e6, 0.14, "ASTM A325M [recalled]"),
    grade(
        "A449",
        0.0255,
        92.0 * KSI,
        120.0 * KSI,
        0.14,
        "ASTM A449, d <= 1 in [recalled]",
    ),
    grade(
        "A449",
        ANY,
        81.0 * KSI,
        105.0 * KSI,
        0.14,
        "ASTM A449, 1 in < d <= 1-1/2 in [recalled]",
    ),
    grade(
        "A490",
        ANY,
        130.0 * KSI,
        150.0 * KSI,
        0.14,
        "ASTM A490 [recalled]",
    ),
];

/// Strength of that grade for a bolt of that diameter.
pub fn bolt_grade(name: &str, diameter_m: f64) -> Option<&'static BoltGrade> {
    BOLT_GRADES
        .iter()
        .find(|grade| grade.name == name && diameter_m <= grade.up_to_m)
}

/// Material of a tube by its generic name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grade {
    /// As written: `steel-345`.
    pub name: &'static str,
    /// Density, kg/m^3.
    pub density_kgpm3: f64,
    /// Young's modulus, Pa.
    pub youngs_pa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Yield strength, Pa.
    pub yield_pa: f64,
    /// Tensile strength, Pa.
    pub ultimate_pa: f64,
    /// Where the values come from.
    pub source: &'static str,
}

const fn steel(
    name: &'static str,
    yield_mpa: f64,
    ultimate_mpa: f64,
    source: &'static str,
) -> Grade {
    Grade {
        name,
        density_kgpm3: 7850.0,
        youngs_pa: 200e9,
        poisson: 0.3,
        yield_pa: yield_mpa * 1e6,
        ultimate_pa: ultimate_mpa * 1e6,
        source,
    }
}

const fn aluminium(
    name: &'static str,
    yield_mpa: f64,
    ultimate_mpa: f64,
    source: &'static str,
) -> Grade {
    Grade {
        name,
        density_kgpm3: 2700.0,
        youngs_pa: 69.6e9,
        poisson: 0.33,
        yield_pa: yield_mpa * 1e6,
        ultimate_pa: ultimate_mpa * 1e6,
        source,
    }
}

/// Materials: minimum strengths of the common structural grades \[recalled\].
pub const MATERIALS: &[Grade] = &[
    steel("steel-235", 235.0, 360.0, "EN 10025 S235 [recalled]"),
    steel("steel-250", 250.0, 400.0, "ASTM A36 [recalled]"),
    steel("steel-275", 275.0, 410.0, "EN 10025 S275 [recalled]"),
    steel("steel-345", 345.0, 450.0, "ASTM A572 grade 50 [recalled]"),
    steel("steel-355", 355.0, 470.0, "EN 10025 S355 [recalled]"),
    steel(
        "steel-380",
        380.0,
        485.0,
        "ASTM A595 grade A, 55 ksi and 70 ksi [recalled]",
    ),
    aluminium(
        "aluminium-6061-t6",
        240.0,
        260.0,
        "extruded tube 6061-T6 [recalled]",
    ),
    aluminium(
        "aluminium-6063-t6",
        170.0,
        205.0,
        "extruded tube 6063-T6 [recalled]",
    ),
    aluminium(
        "aluminium-6005a-t6",
        215.0,
        255.0,
        "extruded tube 6005A-T6 [recalled]",
    ),
];

/// Name for a material that is in no table: all its values must then be given.
pub const OTHER_MATERIAL: &str = "other";

/// Material of that name.
pub fn material(name: &str) -> Option<&'static Grade> {
    MATERIALS.iter().find(|grade| grade.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nominal stress areas as tabulated, mm^2 (ISO 898-1) and in^2 (ASME B1.1) \[recalled\].
    #[test]
    fn stress_areas_match_the_tables() {
        for (name, mm2) in [
            ("M20", 245.0),
            ("M24", 353.0),
            ("M27", 459.0),
            ("M30", 561.0),
            ("M36", 817.0),
        ] {
            let area = bolt_size(name).unwrap().stress_area_m2() * 1e6;
            assert!((area - mm2).abs() < 0.6, "{name}: {area}");
        }
        for (name, in2) in [
            ("7/8 in", 0.462),
            ("1 in", 0.606),
            ("1-1/8 in", 0.763),
            ("1-1/4 in", 0.969),
            ("1-1/2 in", 1.405),
        ] {
            let area = bolt_size(name).unwrap().stress_area_m2() / 6.4516e-4;
            assert!((area - in2).abs() < 0.0006, "{name}: {area}");
        }
    }

    /// AISC 360-05 tables J3.1 and J3.1M: minimum pretension = 0.70 Fu A_s, rounded there to 1 kip and 1 kN.
    #[test]
    fn pretensions_match_the_tables() {
        let pretension = |size: &str, grade: &str| {
            let size = bolt_size(size).unwrap();
            0.70 * bolt_grade(grade, size.diameter_m).unwrap().ultimate_pa * size.stress_area_m2()
        };
        for (size, kips) in [("7/8 in", 39.0), ("1 in", 51.0), ("1-1/4 in", 71.0)] {
            let got = pretension(size, "A325") / 4_448.221_615_260_5;
            assert!((got - kips).abs() < 0.6, "{size}: {got}");
        }
        for (size, kn) in [("M20", 142.0), ("M24", 205.0), ("M36", 475.0)] {
            let got = pretension(size, "A325M") / 1e3;
            assert!((got - kn).abs() < 0.6, "{size}: {got}");
        }
    }

    #[test]
    fn grades_follow_the_diameter() {
        assert_eq!(bolt_grade("8.8", 0.016).unwrap().ultimate_pa, 800e6);
        assert_eq!(bolt_grade("8.8", 0.027).unwrap().ultimate_pa, 830e6);
        assert!(bolt_grade("12.3", 0.02).is_none());
        assert!(bolt_size("M28").is_none());
        assert!(material("steel-999").is_none());
    }
}
