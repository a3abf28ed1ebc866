//! Rows of `[as_found]`: findings on site. Nothing here has a value unless the file gives the finding's key
//! measurement, so that a file without this section is the base as designed.

use giveway_units::Dimension::{Angle, Density, Length, Stress, Torque, UnitWeight};

use super::row::{Kind, Options, Row, choice, number, other, quantity};
use crate::makers as make;
use crate::model::{Ice, Plate, Rust, Threads};
use crate::words::{KeeperWord, WashersWord};

const DEG: f64 = core::f64::consts::PI / 180.0;

/// States of the round washers, as in the model.
const ROUND_WASHERS: Options = Options::Fixed(WashersWord::NAMES);
const KEEPER: Options = Options::Fixed(KeeperWord::NAMES);
const THREADS: Options = Options::Fixed(Threads::NAMES);
const RUST: Options = Options::Fixed(Rust::NAMES);
const ICE: Options = Options::Fixed(Ice::NAMES);
const PLATES: Options = Options::Fixed(Plate::NAMES);

const fn mm(path: &'static str) -> Row {
    quantity(path, Length, "mm")
}

const fn azimuth(path: &'static str) -> Row {
    quantity(path, Angle, "deg")
        .possible(-720.0 * DEG, 720.0 * DEG)
        .plausible(-360.0 * DEG, 360.0 * DEG)
}

/// Rows in the order of the file.
pub(super) const ROWS: &[Row] = &[
    choice("as_found.round_washers", ROUND_WASHERS)
        .absent()
        .means("Where the round washers are: between the plates below the keeper (as designed), above the keeper, or missing so that the plates touch."),
    number("as_found.plate_friction")
        .computed(
            "0.33 where the round washers are missing: clean mill scale (Kulak, Fisher and Struik) [recalled]",
            make::plate_friction,
        )
        .possible(0.0, 3.0)
        .plausible(0.05, 0.7)
        .with("round_washers")
        .means("Friction of plate on plate, where the round washers are missing."),
    mm("as_found.plate_washer_thickness")
        .absent()
        .possible(0.0002, 0.1)
        .plausible(0.0015, 0.02)
        .means("Thickness of the plate washers under head and nut as found."),
    choice("as_found.keeper", KEEPER)
        .absent()
        .excludes("as_found.keeper_thickness")
        .means("Whether the keeper sheet is there."),
    mm("as_found.keeper_thickness")
        .absent()
        .possible(0.00005, 0.02)
        .plausible(0.0002, 0.005)
        .excludes("as_found.keeper")
        .means("Thickness of the keeper sheet as found."),
    number("as_found.engaged_threads")
        .absent()
        .possible(0.0, 60.0)
        .plausible(0.5, 16.0)
        .means("Threads of the nut that are engaged with the bolt; left out = all. A part of a thread counts."),
    other("as_found.torques", Kind::Quantities(Torque, "N.m"))
        .absent()
        .possible(0.0, 10_000.0)
        .plausible(0.0, 1500.0)
        .means("Tightening torque as found: one value for every bolt, or one for each bolt in order."),
    choice("as_found.threads", THREADS)
        .absent()
        .means("State of the bolts' threads when they were tightened. It sets the nut factor K: waxed 0.13, lubricated 0.18, galvanised and dry 0.25, reused 0.35 [recalled]; as designed: the design's."),
    mm("as_found.notch_offset")
        .absent()
        .possible(-0.2, 0.2)
        .plausible(-0.02, 0.02)
        .means("How far the upper plate's notches stand off the lower plate's, along the bolt circle, anticlockwise."),
    choice("as_found.rust", RUST)
        .absent()
        .means("Rust between plates, washers and bolts: with light rust every friction is at least 0.35, seized at least 0.60."),
    choice("as_found.ice", ICE)
        .absent()
        .means("Ice between the plates and the keeper: along the rim (25 mm wide), or filling the gap. It adheres with 0.5 MPa [recalled] until it breaks."),
    quantity("as_found.turned", Angle, "deg")
        .absent()
        .possible(-360.0 * DEG, 360.0 * DEG)
        .plausible(-180.0 * DEG, 180.0 * DEG)
        .means("Angle by which the bolt pattern is turned from the design, anticlockwise."),
    mm("as_found.slip_plane_height")
        .absent()
        .possible(-0.5, 2.0)
        .plausible(0.0, 0.4)
        .means("Height of the lower plate's top above the ground as found, over a chord of 1.5 m."),
    mm("as_found.grout.gap")
        .absent()
        .possible(-0.3, 0.3)
        .plausible(-0.08, 0.15)
        .means("Gap from the grout up to the underside of the bolt head; negative = depth to which the head is embedded. This key makes the finding."),
    mm("as_found.grout.notch_gap")
        .absent()
        .possible(0.0, 0.3)
        .plausible(0.0, 0.1)
        .with("gap")
        .means("Gap from a bolt's shank to grout in the mouth of the lower notch, on its way out; 0 = packed against it. Left out = only what the embedded depth brings into the notch."),
    quantity("as_found.grout.strength", Stress, "MPa")
        .value("28 MPa", "assumed: common grout, about 4000 psi")
        .possible(1e5, 2e8)
        .plausible(5e6, 8e7)
        .with("gap")
        .means("Compressive strength f'c of the grout."),
    mm("as_found.grout.cover")
        .value("150 mm", "assumed: from the bolt circle to the edge of a usual grout pad")
        .possible(0.0, 5.0)
        .plausible(0.01, 1.0)
        .with("gap")
        .means("Grout between a bolt's head and the free edge towards which it must move."),
    other("as_found.grout.bolts", Kind::Numbers)
        .absent()
        .with("gap")
        .means("Bolts in grout; left out = every bolt."),
    azimuth("as_found.stub[].azimuth")
        .means("Direction from the pole axis to the stub, anticlockwise from the direction of traffic."),
    mm("as_found.stub[].projection")
        .possible(0.0, 0.5)
        .plausible(0.0, 0.1)
        .means("Height of the stub above the lower plate's top."),
    mm("as_found.stub[].gap")
        .possible(0.0, 2.0)
        .plausible(0.0, 0.5)
        .means("Gap between the upper plate's rim and the stub."),
    mm("as_found.stub[].diameter")
        .value("25 mm", "the least usual anchor bar; common practice, no source")
        .possible(0.003, 0.2)
        .plausible(0.012, 0.05)
        .means("Diameter of the bar."),
    quantity("as_found.stub[].tensile_strength", Stress, "MPa")
        .value("400 MPa", "ASTM F1554 grade 36, 58 ksi [recalled]")
        .possible(1e7, 5e9)
        .plausible(3e8, 1.2e9)
        .means("Tensile strength of the bar."),
    mm("as_found.conduit.projection")
        .absent()
        .possible(0.0, 0.5)
        .plausible(0.0, 0.15)
        .means("Height of the conduit above the lower plate's top. This key makes the finding."),
    mm("as_found.conduit.gap")
        .possible(0.0, 1.0)
        .plausible(0.0, 0.3)
        .with("projection")
        .means("Gap from the conduit to the edge of the opening, in the direction in which the foot moves."),
    mm("as_found.conduit.diameter")
        .value("60 mm", "rigid steel conduit of 2 in, 60.3 mm outside (ANSI C80.1) [recalled]")
        .possible(0.005, 0.5)
        .plausible(0.015, 0.15)
        .with("projection")
        .means("Outside diameter."),
    mm("as_found.conduit.wall")
        .value("3.7 mm", "rigid steel conduit of 2 in (ANSI C80.1) [recalled]")
        .possible(0.0002, 0.05)
        .plausible(0.001, 0.01)
        .with("projection")
        .means("Wall thickness."),
    quantity("as_found.conduit.tensile_strength", Stress, "MPa")
        .value("310 MPa", "assumed: mild steel; a plastic conduit has about 50 MPa")
        .possible(1e6, 3e9)
        .plausible(2e7, 6e8)
        .with("projection")
        .means("Tensile strength of its material."),
    mm("as_found.lump.height")
        .absent()
        .possible(0.0, 0.1)
        .plausible(0.0, 0.015)
        .means("How far the lump stands out from the notch wall; up to the bolt's clearance it is out of the way. This key makes the finding."),
    mm("as_found.lump.length")
        .value("10 mm", "assumed: a drip about as long as wide")
        .possible(0.0001, 0.3)
        .plausible(0.001, 0.05)
        .with("height")
        .means("Its length along the notch wall."),
    mm("as_found.lump.width")
        .value("10 mm", "assumed: a drip about as long as wide")
        .possible(0.0001, 0.3)
        .plausible(0.001, 0.05)
        .with("height")
        .means("Its width across the plate's thickness."),
    quantity("as_found.lump.tensile_strength", Stress, "MPa")
        .value("120 MPa", "assumed: soft zinc, about 100 to 150 MPa [recalled?]; a steel burr has 400 MPa and more")
        .possible(1e6, 3e9)
        .plausible(2e7, 8e8)
        .with("height")
        .means("Tensile strength of its material."),
    choice("as_found.lump.plate", PLATES)
        .value(Plate::Lower.name(), "assumed: the plate that is seen when the pole is off")
        .with("height")
        .means("Plate whose notch it sits in."),
    other("as_found.lump.bolts", Kind::Numbers)
        .absent()
        .with("height")
        .means("Bolts concerned; left out = every bolt."),
    azimuth("as_found.soil.azimuth")
        .with("gap")
        .means("Direction from the pole axis in which it stands, anticlockwise from the direction of traffic."),
    mm("as_found.soil.gap")
        .absent()
        .possible(0.0, 10.0)
        .plausible(0.0, 1.5)
        .means("Gap between the upper plate's rim and the soil. This key makes the finding."),
    mm("as_found.soil.height")
        .possible(0.0, 5.0)
        .plausible(0.0, 1.0)
        .with("gap")
        .means("Height of its face above the slip plane."),
    quantity("as_found.soil.slope", Angle, "deg")
        .value("0 deg", "assumed: level behind its face")
        .possible(-60.0 * DEG, 60.0 * DEG)
        .plausible(-35.0 * DEG, 40.0 * DEG)
        .with("gap")
        .means("Slope of its surface behind the face, rising away from the foot."),
    quantity("as_found.soil.friction_angle", Angle, "deg")
        .value("32 deg", "assumed: medium dense sand and gravel")
        .possible(0.0, 60.0 * DEG)
        .plausible(0.0, 45.0 * DEG)
        .with("gap")
        .means("Angle of internal friction phi."),
    quantity("as_found.soil.cohesion", Stress, "kPa")
        .value("0 kPa", "assumed: none in sand and gravel")
        .possible(0.0, 5e7)
        .plausible(0.0, 2e7)
        .with("gap")
        .means("Cohesion c. A concrete kerb or pocket wall is stood for by half of its compressive strength."),
    quantity("as_found.soil.unit_weight", UnitWeight, "kN/m3")
        .value("18 kN/m3", "assumed: moist sand and gravel; common practice, no source")
        .possible(1e3, 4e4)
        .plausible(1.4e4, 2.5e4)
        .with("gap")
        .means("Unit weight."),
    mm("as_found.foundation.diameter")
        .absent()
        .possible(0.05, 10.0)
        .plausible(0.3, 2.0)
        .means("Diameter D of the pier. This key makes the finding."),
    quantity("as_found.foundation.length", Length, "m")
        .possible(0.1, 30.0)
        .plausible(0.5, 6.0)
        .with("diameter")
        .means("Embedded length L."),
    quantity("as_found.foundation.friction_angle", Angle, "deg")
        .value("30 deg", "assumed: loose to medium sand, Rankine's Kp = 3")
        .possible(0.0, 60.0 * DEG)
        .plausible(20.0 * DEG, 45.0 * DEG)
        .with("diameter")
        .means("Angle of internal friction of the soil around it."),
    quantity("as_found.foundation.unit_weight", UnitWeight, "kN/m3")
        .value("18 kN/m3", "assumed: moist sand; common practice, no source")
        .possible(1e3, 4e4)
        .plausible(8e3, 2.2e4)
        .with("diameter")
        .means("Unit weight of the soil; under water its buoyant unit weight."),
    quantity("as_found.foundation.density", Density, "kg/m3")
        .value("2400 kg/m3", "concrete; common practice, no source")
        .possible(500.0, 10_000.0)
        .plausible(1800.0, 2600.0)
        .with("diameter")
        .means("Density of the pier."),
    mm("as_found.foundation.movement")
        .value("25 mm", "assumed: some hundredths of the diameter")
        .possible(0.0001, 1.0)
        .plausible(0.003, 0.1)
        .with("diameter")
        .means("Movement of the pier's top at which the soil's capacity is reached."),
];
