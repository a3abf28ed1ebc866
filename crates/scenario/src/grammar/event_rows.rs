//! Rows of `[site.ground]`, `[[site.strip]]`, `[vehicle.skin]` and `[flight]`: what the whole event needs.

use giveway_units::Dimension::{Angle, Force, Length, Time};

use super::row::{Options, Row, choice, flag, number, quantity, text};
use crate::makers as make;
use crate::model::{ArmHold, StripUse};

/// Rows of the site, in the order of the file.
pub(super) const SITE: &[Row] = &[
    number("site.ground.friction")
        .value("0.5", "assumed: steel on turf, paving or asphalt; common practice, no source")
        .possible(0.0, 3.0)
        .plausible(0.2, 1.0)
        .means("Friction of pole, arm and plate on the ground."),
    quantity("site.ground.slope", Angle, "deg")
        .value("0 deg", "assumed: level ground")
        .possible(-1.2, 1.2)
        .plausible(-0.6, 0.6)
        .means("Angle of the ground beyond `slope_from`: positive where it rises away from the pole, negative where it falls. The road itself is level."),
    quantity("site.ground.slope_from", Length, "m")
        .value("-3 m", "assumed: 3 m to the right of the pole")
        .possible(-200.0, 200.0)
        .plausible(-30.0, 30.0)
        .means("Lateral position where the slope begins, positive to the left of the pole's axis. It lies beyond, away from the pole."),
    text("site.strip[].name").means("Name of the strip."),
    choice("site.strip[].use", Options::Fixed(StripUse::NAMES)).means("Who uses it."),
    quantity("site.strip[].right", Length, "m")
        .possible(-500.0, 500.0)
        .plausible(-60.0, 60.0)
        .means("Right edge, seen in the direction of traffic: lateral position, positive to the left of the pole's axis."),
    quantity("site.strip[].left", Length, "m")
        .possible(-500.0, 500.0)
        .plausible(-60.0, 60.0)
        .means("Left edge."),
];

/// Rows of the vehicle.
pub(super) const SKIN: &[Row] = &[
    quantity("vehicle.skin.roof_width", Length, "m")
        .computed("0.72 of the width (assumed)", make::roof_width)
        .possible(0.05, 5.0)
        .plausible(0.3, 2.0)
        .means("Width of roof, windscreen and rear window."),
    quantity("vehicle.skin.depth", Length, "mm")
        .value("127 mm", "stroke of the roof crush test, FMVSS 216 [recalled]")
        .possible(0.001, 2.0)
        .plausible(0.05, 0.3)
        .means("Dent at which the forces below are given; the force grows in proportion to the dent and beyond."),
    quantity("vehicle.skin.roof_force", Force, "kN")
        .computed(
            "1.5 times the weight: the least resistance within 127 mm of a plate on the front corner of the roof (FMVSS 216 [recalled]), taken for a pole across the roof (assumed)",
            make::roof_force,
        )
        .possible(1.0, 1e8)
        .plausible(2e3, 2e5)
        .means("Force of the roof on a pole at that dent."),
    quantity("vehicle.skin.panel_force", Force, "kN")
        .computed("half of the roof's (assumed)", make::panel_force)
        .possible(1.0, 1e8)
        .plausible(1e3, 2e5)
        .means("Force of bonnet and deck at that dent."),
    quantity("vehicle.skin.glass_force", Force, "kN")
        .computed(
            "55.6 kN/m: a pedestrian headform of 4.5 kg at 40 km/h (278 J) dents the middle of a windscreen by about 100 mm [recalled, the order of magnitude]",
            make::glass_force,
        )
        .possible(1.0, 1e8)
        .plausible(500.0, 2e5)
        .means("Force of windscreen and rear window at that dent."),
    number("vehicle.skin.recovery")
        .value("0.2", "assumed: a fifth of a dent springs back")
        .possible(0.01, 1.0)
        .plausible(0.05, 0.5)
        .means("Part of a dent that springs back."),
    number("vehicle.skin.spread")
        .value("2.0", "assumed: roofs differ and a pole is no plate")
        .possible(1.0, 10.0)
        .plausible(1.2, 4.0)
        .means("The forces may be larger or smaller by this factor; it gives the range of the dent."),
];

/// Rows of the flight.
pub(super) const FLIGHT: &[Row] = &[
    flag("flight.follow_pole")
        .value("true", "the whole event is computed")
        .means("Whether the pole is followed through the air, over the vehicle and to the ground, so that the occupant numbers rest on the record of the whole event and roof and windscreen are assessed. Without it the vehicle rolls on alone after the engagement; a study of many thousand runs is then several times as fast."),
    quantity("flight.limit", Time, "s")
        .value("4 s", "long enough for most poles to come to rest")
        .possible(0.01, 60.0)
        .plausible(0.5, 15.0)
        .means("Longest time since first touch."),
    quantity("flight.step", Time, "ms")
        .value("2 ms", "halving it moves the first contact by less than 5 ms and 50 mm (tested)")
        .possible(1e-5, 5e-3)
        .plausible(1e-4, 4e-3)
        .means("Largest time step of the flight."),
    choice("flight.arms", Options::Fixed(ArmHold::NAMES))
        .value(ArmHold::ByStrength.name(), "the cap screws of the arm's joint against the blow; an arm that folds before they break stays")
        .means("What the arms do when pole or arm strikes ground or vehicle: break off where the blow is harder than the weakest joint bears, stay on the pole, or break off at the first hard blow and fly on."),
];
