//! The rows of the table, in the order in which a crew would care: first what holds the foot, then how it is clamped,
//! then what only ages.

mod anchors;
mod in_the_way;
mod joint;
mod make;
mod parts;
mod upkeep;

use super::row::Requirement;

/// The requirements, in the order of the reports.
pub const REQUIREMENTS: &[Requirement] = &[
    in_the_way::ROUND_WASHERS,
    in_the_way::GROUT_GAP,
    in_the_way::GROUT_NOTCH_GAP,
    in_the_way::STUB_PROJECTION,
    in_the_way::CONDUIT_PROJECTION,
    in_the_way::SOIL_GAP,
    joint::RUST,
    joint::TORQUE,
    joint::BOLT_THREADS,
    joint::ENGAGED_THREADS,
    joint::PLATE_WASHER_THICKNESS,
    joint::KEEPER_THICKNESS,
    joint::NOTCH_LUMP,
    joint::NOTCH_OFFSET,
    joint::ICE,
    parts::NOTCH_ANGLE,
    in_the_way::PLATE_HEIGHT,
    joint::PATTERN_TURNED,
    parts::ROUND_WASHER_THICKNESS,
    parts::WASHERS_HARDENED,
    parts::BOLT_GRADE,
    parts::BOLT_DIAMETER,
    parts::PROJECTING_THREADS,
    parts::ARM_SCREWS,
    anchors::ANCHOR_BARS,
    anchors::ANCHOR_NUTS,
    anchors::BARS_PRIMED,
    upkeep::FOUNDATION,
    upkeep::PLATE_LEVEL,
    upkeep::POLE_PLUMB,
    upkeep::ZINC,
    upkeep::TIGHTENING_RECORD,
    upkeep::LAST_CHECK,
    upkeep::WRENCH_CALIBRATION,
    anchors::WIRING_DISCONNECT,
];
