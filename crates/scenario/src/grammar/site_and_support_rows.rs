//! Rows of the top of the file, `[site]` and `[support]`.

use giveway_units::Dimension::{Acceleration, Angle, Area, Density, Length, Mass, Speed, Stress};

use super::fastener_rows::fastener;
use super::row::{Options, Row, choice, count, number, quantity, text};
use crate::makers as make;
use crate::model::Section;

const PI: f64 = core::f64::consts::PI;

/// Rows that every tube shares: shape, diameters, wall, material.
macro_rules! tube {
    ($at:literal, $foot:literal) => {
        [
            choice(concat!($at, ".section"), Options::Fixed(Section::NAMES))
                .value(Section::Round.name(), "the usual section")
                .means("Shape of the cross-section; diameters of polygons are across the flats."),
            quantity(concat!($at, ".base_diameter"), Length, "mm")
                .possible(0.01, 2.0)
                .plausible(0.04, 0.5)
                .means(concat!("Outside diameter at the ", $foot, ".")),
            quantity(concat!($at, ".tip_diameter"), Length, "mm")
                .computed("the base diameter: no taper", make::tip_diameter)
                .possible(0.01, 2.0)
                .plausible(0.04, 0.5)
                .means("Outside diameter at the tip."),
            quantity(concat!($at, ".wall"), Length, "mm")
                .possible(0.0002, 0.5)
                .plausible(0.002, 0.03)
                .means("Wall thickness."),
            choice(concat!($at, ".material"), Options::Materials)
                .means("Material by its generic name; `other` needs all five values below."),
            quantity(concat!($at, ".density"), Density, "kg/m3")
                .computed("from the material", make::density)
                .possible(100.0, 25_000.0)
                .plausible(1500.0, 9000.0)
                .means("Density."),
            quantity(concat!($at, ".youngs_modulus"), Stress, "GPa")
                .computed("from the material", make::youngs)
                .possible(1e8, 1e12)
                .plausible(1e10, 2.5e11)
                .means("Young's modulus E."),
            number(concat!($at, ".poisson"))
                .computed("from the material", make::poisson)
                .possible(0.0, 0.499)
                .plausible(0.2, 0.4)
                .means("Poisson's ratio."),
            quantity(concat!($at, ".yield_strength"), Stress, "MPa")
                .computed("from the material", make::yield_strength)
                .possible(1e6, 5e9)
                .plausible(5e7, 1e9)
                .means("Yield strength F_y."),
            quantity(concat!($at, ".tensile_strength"), Stress, "MPa")
                .computed("from the material", make::tensile_strength)
                .possible(1e6, 6e9)
                .plausible(1e8, 1.5e9)
                .means("Tensile strength F_u."),
        ]
    };
}

const POLE: [Row; 10] = tube!("support.pole", "foot");
const ARM: [Row; 10] = tube!("support.arm[]", "root, where it meets the pole");

const SCREW: [Row; 12] = fastener!(
    "support.arm[].joint",
    "M20",
    "assumed: a common cap screw of arm flanges",
    "8.8",
    "high-strength cap screws; common practice, no source"
);

/// Title, notes and site, in the order of the file.
pub(super) const TITLE_AND_SITE: &[Row] = &[
    text("title")
        .value("untitled", "no title given")
        .means("One line that names the run."),
    text("notes")
        .value("", "no notes given")
        .means("Free text: what is drawn here, what was not in print, where values come from."),
    text("site.name")
        .value(
            "Harrow Vale ring road",
            "the invented town of all shipped scenarios",
        )
        .means("Name of the place."),
    quantity("site.gravity", Acceleration, "m/s2")
        .value("9.80665 m/s2", "standard gravity, CGPM 1901")
        .possible(0.0, 100.0)
        .plausible(9.7, 9.9)
        .means("Acceleration of gravity; 0 for a comparison with a closed form."),
    quantity("site.slip_plane_height", Length, "mm")
        .value("75 mm", "middle of the published range 50 to 100 mm")
        .possible(-0.5, 2.0)
        .plausible(0.03, 0.15)
        .means("Height of the slip plane (top of the lower plate) above the ground."),
    number("site.road_friction")
        .value(
            "0.76",
            "tyre friction 0.76 +/- 0.06, dry, sliding, published [seen]",
        )
        .possible(0.0, 2.0)
        .plausible(0.2, 1.0)
        .means("Friction coefficient between tyre and road."),
    quantity("site.wind.speed", Speed, "m/s")
        .value("40 m/s", "assumed: about the 90 mph of common design maps")
        .possible(0.0, 150.0)
        .plausible(0.0, 80.0)
        .means("Design wind, 3 s gust at 10 m."),
    quantity("site.wind.yearly_speed", Speed, "m/s")
        .computed(
            "0.61 of the design wind: yearly over 50-year gust, 0.36 + 0.1 ln(12 T) (Peterka and Shahid 1998) [recalled]",
            make::yearly_wind,
        )
        .possible(0.0, 120.0)
        .plausible(5.0, 60.0)
        .means("Wind of the service grade, 3 s gust at 10 m: in it no bolt may gap or slide."),
    quantity("site.wind.survival_speed", Speed, "m/s")
        .computed(
            "1.26 of the design wind: 700-year over 50-year gust, 0.36 + 0.1 ln(12 T) (Peterka and Shahid 1998) [recalled]",
            make::survival_wind,
        )
        .possible(0.0, 200.0)
        .plausible(10.0, 110.0)
        .means("Wind of the survival grade, 3 s gust at 10 m: in it the base may not come apart."),
    number("site.wind.gust_factor")
        .value("1.14", "AASHTO support specifications, G [recalled]")
        .possible(0.5, 3.0)
        .plausible(1.0, 2.0)
        .means("Gust factor G."),
    number("site.wind.importance")
        .value(
            "1.0",
            "AASHTO support specifications, 50-year design life [recalled]",
        )
        .possible(0.1, 3.0)
        .plausible(0.5, 1.3)
        .means("Importance factor I_r."),
];

/// The support, in the order of the file.
pub(super) const SUPPORT: &[&[Row]] = &[SHAFT, &POLE, ARM_PLACE, &ARM, LUMINAIRE, &SCREW, REST];

/// The pole, before its tube.
const SHAFT: &[Row] = &[
    number("support.damping_ratio")
        .value("0.005", "assumed: welded steel, small amplitudes")
        .possible(0.0, 0.9)
        .plausible(0.001, 0.05)
        .means("Damping ratio of the elastic modes."),
    quantity("support.pole.length", Length, "m")
        .possible(0.3, 60.0)
        .plausible(3.0, 20.0)
        .means("Length from the underside of the upper slip plate to the tip."),
];

/// Where an arm stands.
const ARM_PLACE: &[Row] = &[
    quantity("support.arm[].attachment_height", Length, "m")
        .computed("the pole's length: at its tip", make::attachment_height)
        .possible(0.0, 60.0)
        .plausible(2.0, 20.0)
        .means("Height of the arm's root above the pole foot."),
    quantity("support.arm[].azimuth", Angle, "deg")
        .value(
            "90 deg",
            "assumed: the pole stands on the right, the arm reaches over the road",
        )
        .possible(-4.0 * PI, 4.0 * PI)
        .plausible(-2.0 * PI, 2.0 * PI)
        .means("Direction of the arm, anticlockwise from the direction of traffic."),
    quantity("support.arm[].reach", Length, "m")
        .possible(0.05, 30.0)
        .plausible(0.3, 9.0)
        .means("Horizontal reach from the pole axis to the tip."),
    quantity("support.arm[].rise", Length, "m")
        .value("0 m", "assumed: a level arm")
        .possible(-10.0, 10.0)
        .plausible(-0.5, 3.0)
        .means("Rise of the tip over the root."),
];

/// What an arm carries, and its flange.
const LUMINAIRE: &[Row] = &[
    quantity("support.arm[].luminaire[].mass", Mass, "kg")
        .possible(0.01, 1000.0)
        .plausible(1.0, 60.0)
        .means("Mass."),
    quantity("support.arm[].luminaire[].lever", Length, "m")
        .value("0.25 m", "assumed: half of a common luminaire's length")
        .possible(-5.0, 5.0)
        .plausible(0.0, 1.5)
        .means("Distance of its centre of mass beyond the arm's tip, along the arm."),
    quantity("support.arm[].luminaire[].drag_area", Area, "m2")
        .value(
            "0.1 m2",
            "assumed: a common roadway luminaire from the side",
        )
        .possible(0.0, 20.0)
        .plausible(0.0, 1.0)
        .means("Area exposed to wind."),
    number("support.arm[].luminaire[].drag_coefficient")
        .value(
            "0.5",
            "AASHTO support specifications, rounded luminaire; flat 1.2 [recalled]",
        )
        .possible(0.0, 5.0)
        .plausible(0.3, 2.0)
        .means("Drag coefficient."),
    count("support.arm[].joint.screws")
        .value("4", "assumed: four cap screws on a square flange")
        .possible(2.0, 24.0)
        .plausible(3.0, 12.0)
        .means("Number of cap screws."),
];

/// The joint beside its screws, and what else the pole carries.
const REST: &[Row] = &[
    quantity("support.arm[].joint.circle", Length, "mm")
        .computed(
            "the arm's root diameter + 4 d (assumed: room for a socket beside the weld)",
            make::joint_circle,
        )
        .possible(0.02, 3.0)
        .plausible(0.06, 0.8)
        .means("Diameter of the screws' circle."),
    quantity("support.arm[].joint.grip", Length, "mm")
        .value(
            "24 mm",
            "assumed: a flange of 20 mm and a washer of 4 mm",
        )
        .possible(0.001, 0.5)
        .plausible(0.008, 0.08)
        .means("Clamped thickness under the screw's head: flange and washer."),
    quantity("support.arm[].joint.tapped", Length, "mm")
        .computed("1.5 d (assumed)", make::joint_tapped)
        .possible(0.001, 0.5)
        .plausible(0.012, 0.1)
        .means("Depth of thread in the tapped hole."),
    quantity("support.arm[].joint.length", Length, "mm")
        .absent()
        .possible(0.005, 1.0)
        .plausible(0.025, 0.2)
        .means("Length of the screws under the head as supplied; left out = the installation sheet chooses it."),
    text("support.lump[].name")
        .value("lump", "no name given")
        .means("What it is."),
    quantity("support.lump[].mass", Mass, "kg")
        .possible(0.001, 5000.0)
        .plausible(0.1, 300.0)
        .means("Mass."),
    quantity("support.lump[].height", Length, "m")
        .possible(0.0, 60.0)
        .plausible(0.0, 20.0)
        .means("Height above the pole foot."),
    quantity("support.lump[].offset", Length, "m")
        .value("0 m", "assumed: on the axis")
        .possible(-10.0, 10.0)
        .plausible(0.0, 3.0)
        .means("Horizontal distance from the pole axis."),
    quantity("support.lump[].azimuth", Angle, "deg")
        .value("0 deg", "assumed: in the direction of traffic")
        .possible(-4.0 * PI, 4.0 * PI)
        .plausible(-2.0 * PI, 2.0 * PI)
        .means("Direction of that distance, anticlockwise from the direction of traffic."),
    quantity("support.lump[].drag_area", Area, "m2")
        .value("0 m2", "assumed: not exposed")
        .possible(0.0, 50.0)
        .plausible(0.0, 5.0)
        .means("Area exposed to wind."),
    number("support.lump[].drag_coefficient")
        .value(
            "1.2",
            "AASHTO support specifications, flat shapes [recalled]",
        )
        .possible(0.0, 5.0)
        .plausible(0.3, 2.0)
        .means("Drag coefficient."),
    quantity("support.slip_plate.mass", Mass, "kg")
        .computed(
            "the outline round the bolts (edge 1.25 d) less the notches, of the upper thickness, at 7850 kg/m3",
            make::slip_plate_mass,
        )
        .possible(0.01, 2000.0)
        .plausible(3.0, 100.0)
        .means("Mass of the upper slip plate with its welds."),
];
