//! Rows of `[slip_base]`.

use giveway_units::Dimension::{Angle, Force, Length, Speed, Stiffness, Stress, Torque};

use super::fastener_rows::fastener;
use super::row::{Options, Row, choice, count, flag, number, quantity};
use crate::makers as make;
use crate::model::Anchorage;

const DEG: f64 = core::f64::consts::PI / 180.0;

const BOLT: [Row; 12] = fastener!(
    "slip_base.bolt",
    "M27",
    "chosen from the published range 25 to 32 mm",
    "8.8",
    "high-strength bolts; common practice, no source"
);

/// Rows in the order of the file.
pub(super) const ROWS: &[&[Row]] = &[CIRCLE, &BOLT, JOINT];

/// Anchorage and bolt circle.
const CIRCLE: &[Row] = &[
    choice("slip_base.anchorage", Options::Fixed(Anchorage::NAMES))
        .value(Anchorage::Slip.name(), "a slip base")
        .means("`slip`: the slip base described here. `fixed`: the support is an immovable obstacle (an instrumented rigid pole); only the crush acts."),
    count("slip_base.bolts")
        .value("3", "the triangular base is the most common; common practice, no source")
        .possible(3.0, 4.0)
        .plausible(3.0, 4.0)
        .means("Number of clamped bolts."),
    quantity("slip_base.bolt_circle", Length, "mm")
        .value("380 mm", "middle of the published range 330 to 430 mm")
        .possible(0.05, 3.0)
        .plausible(0.12, 0.6)
        .means("Diameter of the bolt circle."),
    quantity("slip_base.first_bolt_azimuth", Angle, "deg")
        .value("0 deg", "assumed: the first bolt lies in the direction of traffic")
        .possible(-720.0 * DEG, 720.0 * DEG)
        .plausible(-360.0 * DEG, 360.0 * DEG)
        .means("Direction of the first bolt, anticlockwise from the direction of traffic."),
];

/// What the bolts clamp.
const JOINT: &[Row] = &[
    quantity("slip_base.bolt.length", Length, "mm")
        .absent()
        .possible(0.01, 2.0)
        .plausible(0.08, 0.4)
        .means("Length of the slip bolts under the head as supplied; left out = the installation sheet chooses it from the stack."),
    quantity("slip_base.clamp.torque", Torque, "N.m")
        .absent()
        .possible(0.0, 10_000.0)
        .plausible(20.0, 1000.0)
        .excludes("slip_base.clamp.preload")
        .means("Tightening torque T of each bolt. Give this or the preload."),
    quantity("slip_base.clamp.preload", Force, "kN")
        .computed("(1 - r) T / (K d); 0 on a fixed anchorage", make::preload)
        .possible(0.0, 5e6)
        .plausible(1e3, 4e5)
        .excludes("slip_base.clamp.torque")
        .means("Preload F_p of each bolt at the time of the impact. Give this or the torque."),
    number("slip_base.clamp.nut_factor")
        .value("0.20", "zinc-coated bolts [recalled]; a published pair of torque and clamp gives 0.198 (FHWA-RD-99-025) [seen]")
        .possible(0.01, 2.0)
        .plausible(0.1, 0.4)
        .means("Nut factor K in T = K d F."),
    number("slip_base.clamp.relaxation")
        .value("0.065", "galvanised plates, Munse 1967 in the RCSC commentary [seen]; bare plates 0.025")
        .possible(0.0, 0.99)
        .plausible(0.0, 0.2)
        .means("Loss of preload r by relaxation, complete within days. Applied to the torque only."),
    quantity("slip_base.notch.included_angle", Angle, "deg")
        .value("90 deg", "notches of 60 degrees bound in tests, 90 degrees cured it (FHWA letter SS-61, 1996) [seen]")
        .possible(5.0 * DEG, 175.0 * DEG)
        .plausible(50.0 * DEG, 120.0 * DEG)
        .means("Angle between the two walls of a notch, as measured with a protractor; the half of it is beta."),
    quantity("slip_base.notch.travel", Length, "mm")
        .computed("1.1 d: the published range 25 to 40 mm goes with bolts of 25 to 32 mm", make::notch_travel)
        .possible(0.001, 0.5)
        .plausible(0.015, 0.06)
        .means("Free travel L of a seated bolt until it is released."),
    quantity("slip_base.notch.span", Length, "mm")
        .computed("d + 2 mm (assumed)", make::notch_span)
        .possible(0.003, 0.5)
        .plausible(0.013, 0.06)
        .means("Width of the notch at the seated bolt: the span that the plate washers bridge. Span minus bolt diameter is the bolt's room in the notch: how far it can move across before it bears on the other wall. Until a blow has used the room of both notches up, the walls press on no bolt and a bolt that lies between them is not squeezed out."),
    quantity("slip_base.plates.upper_thickness", Length, "mm")
        .value("28 mm", "chosen from the published range 25 to 32 mm")
        .possible(0.001, 0.3)
        .plausible(0.012, 0.05)
        .means("Thickness of the upper slip plate."),
    quantity("slip_base.plates.lower_thickness", Length, "mm")
        .value("28 mm", "chosen from the published range 25 to 32 mm")
        .possible(0.001, 0.3)
        .plausible(0.012, 0.05)
        .means("Thickness of the lower slip plate."),
    quantity("slip_base.plates.radius", Length, "mm")
        .computed("half of the bolt circle + the notch travel: the notch mouths lie on the rim", make::plate_radius)
        .possible(0.03, 3.0)
        .plausible(0.12, 0.45)
        .means("Radius of the circle that circumscribes the lower plate."),
    quantity("slip_base.plates.lever", Length, "mm")
        .computed("half of the bolt circle - half of the pole's base diameter", make::plate_lever)
        .possible(0.0, 1.0)
        .plausible(0.01, 0.2)
        .means("Distance from the pole's wall to the bolt, over which the plates bend; 0 = plates that do not bend."),
    number("slip_base.plates.give")
        .value("1", "median of the shared calibration over tests in print (docs/validation.md); 1 = the plates by themselves")
        .possible(0.1, 10.0)
        .plausible(0.5, 3.0)
        .means("Length over which the plates bend elastically over their lever: the give of plates, anchorage and seats together. What makes them yield is the lever alone."),
    quantity("slip_base.plates.yield_strength", Stress, "MPa")
        .value("250 MPa", "ASTM A36 plate [recalled]")
        .possible(1e7, 3e9)
        .plausible(2e8, 7e8)
        .means("Yield strength of the plates."),
    quantity("slip_base.plates.tensile_strength", Stress, "MPa")
        .value("400 MPa", "ASTM A36 plate [recalled]")
        .possible(1e7, 4e9)
        .plausible(3e8, 1e9)
        .means("Tensile strength of the plates."),
    quantity("slip_base.plates.youngs_modulus", Stress, "GPa")
        .value("200 GPa", "steel; common practice, no source")
        .possible(1e10, 1e12)
        .plausible(6e10, 2.2e11)
        .means("Young's modulus of the plates."),
    quantity("slip_base.washers.plate_diameter", Length, "mm")
        .computed("2.25 d (assumed)", make::plate_washer)
        .possible(0.005, 1.0)
        .plausible(0.03, 0.12)
        .means("Outside diameter (or side) of the plate washers under head and nut."),
    quantity("slip_base.washers.plate_thickness", Length, "mm")
        .value("8 mm", "assumed: thick enough not to dish into the notch")
        .possible(0.0002, 0.1)
        .plausible(0.003, 0.02)
        .means("Thickness of the plate washers."),
    quantity("slip_base.washers.plate_yield", Stress, "MPa")
        .value("900 MPa", "hardened washers of 300 HV or harder; common practice, no source")
        .possible(1e7, 3e9)
        .plausible(2e8, 1.5e9)
        .means("Yield strength of the plate washers."),
    quantity("slip_base.washers.round_diameter", Length, "mm")
        .computed("1.85 d: about ISO 7089 [recalled]", make::round_washer)
        .possible(0.005, 1.0)
        .plausible(0.025, 0.1)
        .means("Outside diameter of the round washers between the plates."),
    quantity("slip_base.washers.round_thickness", Length, "mm")
        .value("4 mm", "washers hold the plates 3 to 6 mm apart (highway handbook) [seen]")
        .possible(0.0002, 0.1)
        .plausible(0.002, 0.008)
        .means("Thickness of the round washers."),
    flag("slip_base.keeper.present")
        .value("true", "the usual base has one; common practice, no source")
        .means("Whether there is a keeper sheet."),
    quantity("slip_base.keeper.thickness", Length, "mm")
        .value("0.5 mm", "chosen from the published range 0.38 to 1.0 mm")
        .possible(0.00005, 0.02)
        .plausible(0.0003, 0.002)
        .means("Thickness t_k of the keeper sheet."),
    quantity("slip_base.keeper.edge_distance", Length, "mm")
        .computed("1.5 d (assumed)", make::keeper_edge)
        .possible(0.001, 0.5)
        .plausible(0.015, 0.1)
        .means("Distance e_k from the centre of its bolt hole to the edge that tears."),
    quantity("slip_base.keeper.tensile_strength", Stress, "MPa")
        .value("310 MPa", "assumed: galvanised mild sheet")
        .possible(1e7, 3e9)
        .plausible(1e8, 6e8)
        .means("Tensile strength of the keeper sheet."),
    number("slip_base.friction.outer")
        .value("0.20", "zinc; published range 0.10 greased to 0.60 rusted, galvanised about 0.18 [recalled]")
        .possible(0.0, 3.0)
        .plausible(0.05, 0.7)
        .means("Static friction mu_o under head and nut."),
    number("slip_base.friction.inner")
        .value("0.18", "galvanised as received, mean slip coefficient (Kulak, Fisher and Struik) [recalled]")
        .possible(0.0, 3.0)
        .plausible(0.05, 0.7)
        .means("Static friction mu_i between plates, round washers and keeper: what a slip test measures."),
    number("slip_base.friction.wall")
        .value("0.15", "assumed: a bolt shank rubbing on a galvanised notch wall")
        .possible(0.0, 3.0)
        .plausible(0.05, 0.7)
        .means("Static friction mu_w of the bolt on the notch wall."),
    number("slip_base.friction.sliding.outer")
        .computed("2/3 of the static friction", make::sliding_outer)
        .possible(0.0, 3.0)
        .plausible(0.03, 0.7)
        .means("Friction under head and nut while they slide fast."),
    number("slip_base.friction.sliding.inner")
        .computed("2/3 of the static friction", make::sliding_inner)
        .possible(0.0, 3.0)
        .plausible(0.03, 0.7)
        .means("Friction between plates, round washers and keeper while they slide fast."),
    number("slip_base.friction.sliding.wall")
        .computed("2/3 of the static friction", make::sliding_wall)
        .possible(0.0, 3.0)
        .plausible(0.03, 0.7)
        .means("Friction of the bolt on the notch wall while it slides fast."),
    quantity("slip_base.friction.transition", Speed, "m/s")
        .value("0.1 m/s", "order of magnitude of the speed at which lubricated faces stop sticking (Armstrong-Helouvry and others 1994) [recalled]")
        .possible(1e-4, 100.0)
        .plausible(0.005, 1.0)
        .means("Sliding speed at which half of the difference between static and sliding friction is left."),
    quantity("slip_base.stiffness.bolt", Stiffness, "MN/m")
        .absent()
        .possible(1e5, 1e11)
        .plausible(5e7, 5e9)
        .means("Axial stiffness k_b of one bolt; left out = A_s E/(grip + d)."),
    quantity("slip_base.stiffness.clamp", Stiffness, "MN/m")
        .absent()
        .possible(1e5, 1e12)
        .plausible(2e8, 5e10)
        .means("Stiffness k_c of the clamped stack at one bolt; left out = from the stack."),
    quantity("slip_base.stiffness.plates", Stiffness, "MN/m")
        .absent()
        .possible(1e5, 1e12)
        .plausible(1e7, 1e10)
        .means("Stiffness k_p of both plates together between the pole's wall and a bolt; left out = from their geometry."),
    number("slip_base.stiffness.load_introduction")
        .value("0.5", "middle of 0.3 to 0.7 for forces that enter between the plates' faces, VDI 2230 [recalled]")
        .possible(0.01, 1.0)
        .plausible(0.2, 1.0)
        .means("Load introduction factor n: 1 where the force enters under head and nut, less where it enters between the plates."),
];
