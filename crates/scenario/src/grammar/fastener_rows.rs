//! Rows that every bolt and screw shares: size and grade, and the numbers that follow from them.

/// Twelve rows below a path; default size and grade, each with its source.
macro_rules! fastener {
    ($at:literal, $size:literal, $size_source:literal, $grade:literal, $grade_source:literal) => {{
        use crate::grammar::row::{Options, choice, number, quantity};
        use crate::makers as make;
        use giveway_units::Dimension::{Area, Length, Stress};
        [
            choice(concat!($at, ".size"), Options::BoltSizes)
                .value($size, $size_source)
                .means("Size: ISO coarse thread or UNC."),
            choice(concat!($at, ".grade"), Options::BoltGrades)
                .value($grade, $grade_source)
                .means("Grade."),
            quantity(concat!($at, ".diameter"), Length, "mm")
                .computed("from the size", make::bolt_diameter)
                .possible(0.003, 0.2)
                .plausible(0.012, 0.045)
                .means("Nominal diameter d."),
            quantity(concat!($at, ".pitch"), Length, "mm")
                .computed("from the size", make::bolt_pitch)
                .possible(0.0002, 0.02)
                .plausible(0.001, 0.006)
                .means("Thread pitch P."),
            quantity(concat!($at, ".stress_area"), Area, "mm2")
                .computed(
                    "(pi/4)(d - 0.9382 P)^2, ISO; (pi/4)(d - 0.9743/n)^2, inch",
                    make::bolt_stress_area,
                )
                .possible(5e-6, 0.03)
                .plausible(7e-5, 1.5e-3)
                .means("Tensile stress area A_s."),
            quantity(concat!($at, ".youngs_modulus"), Stress, "GPa")
                .value("205 GPa", "steel; common practice, no source")
                .possible(1e10, 1e12)
                .plausible(1.9e11, 2.2e11)
                .means("Young's modulus."),
            quantity(concat!($at, ".yield_strength"), Stress, "MPa")
                .computed("from the grade", make::bolt_yield)
                .possible(1e7, 5e9)
                .plausible(2e8, 1.2e9)
                .means("Yield strength."),
            quantity(concat!($at, ".tensile_strength"), Stress, "MPa")
                .computed("from the grade", make::bolt_tensile)
                .possible(1e7, 6e9)
                .plausible(3.5e8, 1.4e9)
                .means("Tensile strength."),
            number(concat!($at, ".elongation"))
                .computed("from the grade", make::bolt_elongation)
                .possible(0.001, 1.0)
                .plausible(0.07, 0.3)
                .means("Elongation at rupture, as a fraction of the grip."),
            quantity(concat!($at, ".head_height"), Length, "mm")
                .computed("from the size", make::head_height)
                .possible(0.0005, 0.2)
                .plausible(0.005, 0.03)
                .means("Height of the hexagon head."),
            quantity(concat!($at, ".across_flats"), Length, "mm")
                .computed("from the size", make::across_flats)
                .possible(0.003, 0.5)
                .plausible(0.015, 0.08)
                .means("Width of head and nut across the flats."),
            quantity(concat!($at, ".nut_height"), Length, "mm")
                .computed("from the size", make::nut_height)
                .possible(0.0005, 0.2)
                .plausible(0.007, 0.045)
                .means("Height of a nut of this size."),
        ]
    }};
}

pub(super) use fastener;
