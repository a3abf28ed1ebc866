//! Rows of `[impact]`, `[criteria]`, `[solver]` and `[output]`.

use giveway_units::Dimension::{Acceleration, Angle, Length, Mass, Speed, Stiffness, Time};

use super::row::{Kind, Options, Row, choice, count, flag, number, other, quantity, text};
use crate::makers as make;
use crate::model::{CriteriaSet, RangeUse, StruckFace};
use crate::words::FacePlace;

const PI: f64 = core::f64::consts::PI;

/// Limits that may be overridden: name in the file, key in the model.
pub(crate) const LIMITS: &[(&str, &str)] = &[
    ("oiv_longitudinal", "oiv_longitudinal_mps"),
    ("oiv_lateral", "oiv_lateral_mps"),
    ("ridedown", "ridedown_g"),
    ("velocity_change", "velocity_change_mps"),
    ("asi", "asi"),
    ("thiv", "thiv_mps"),
    ("stub_height", "stub_height_m"),
    ("support_mass", "support_mass_kg"),
    ("support_height", "support_height_m"),
    ("roll_pitch", "roll_pitch_rad"),
];

const SOURCE: Row = text("criteria.limit.asi.source")
    .computed("given in the scenario", make::limit_source)
    .means("Where the limit comes from.");

const fn source(path: &'static str) -> Row {
    let mut row = SOURCE;
    row.path = path;
    row
}

const LIMIT: &str = "The limit that is used instead of the documents'.";

/// The impact, in the order of the file.
pub(super) const IMPACT: &[Row] = &[
    quantity("impact.speed", Speed, "km/h")
        .possible(0.01, 120.0)
        .plausible(1.0, 45.0)
        .means("Speed at first touch."),
    choice("impact.face", Options::Fixed(StruckFace::NAMES))
        .value(StruckFace::Front.name(), "a frontal impact")
        .means("Face of the vehicle that meets the pole."),
    quantity("impact.heading", Angle, "deg")
        .computed(
            "the velocity direction (0 where that is not given either); for a side impact turned so that the vehicle slides broadside",
            make::heading,
        )
        .possible(-4.0 * PI, 4.0 * PI)
        .plausible(-2.0 * PI, 2.0 * PI)
        .means("Heading of the vehicle's longitudinal axis, anticlockwise from the direction of traffic."),
    quantity("impact.velocity_direction", Angle, "deg")
        .computed("the heading; for a side impact at right angles to it", make::velocity_direction)
        .possible(-4.0 * PI, 4.0 * PI)
        .plausible(-2.0 * PI, 2.0 * PI)
        .means("Direction of the velocity, anticlockwise from the direction of traffic; differs from the heading when the vehicle slides."),
    other("impact.offset", Kind::LengthOrName(FacePlace::NAMES))
        .value(FacePlace::Centre.name(), "a central impact")
        .possible(-30.0, 30.0)
        .plausible(-6.0, 6.0)
        .means("Where the pole axis meets the face. Front: distance to the left of the vehicle's centre line; side: distance ahead of the centre of mass. Or a name: `centre`; on the front `quarter-left`, `quarter-right` (a quarter of the width off the centre line), `corner-left`, `corner-right` (0.45 of the width); on a side `quarter-front`, `quarter-rear` (a quarter of the length off the centre of mass); `miss` (0.5 m clear of the vehicle)."),
    number("impact.braking")
        .value("0.0", "assumed: rolling free")
        .possible(0.0, 1.0)
        .plausible(0.0, 1.0)
        .means("Fraction of full braking."),
];

/// What follows the flight, in the order of the file.
pub(super) const ROWS: &[Row] = &[
    other("criteria.sets", Kind::Choices(Options::Fixed(CriteriaSet::NAMES)))
        .class()
        .means("The judging documents; the first governs the headline verdict."),
    choice("criteria.ranges", Options::Fixed(RangeUse::NAMES))
        .value(RangeUse::Tell.name(), "the values are judged, as in all that compares many runs")
        .means("What the predictive ranges of velocity change, occupant impact velocity and ridedown do in a results folder: `tell`, they stand beside the values, which are judged; `decide`, they are judged: pass, undecided (marginal) or fail; `none`, they are not computed, which saves 33 engagement runs. Rows of studies, windows and comparisons are points in any case."),
    quantity("criteria.limit.oiv_longitudinal.value", Speed, "m/s").absent().possible(0.01, 100.0).means(LIMIT),
    source("criteria.limit.oiv_longitudinal.source"),
    quantity("criteria.limit.oiv_lateral.value", Speed, "m/s").absent().possible(0.01, 100.0).means(LIMIT),
    source("criteria.limit.oiv_lateral.source"),
    quantity("criteria.limit.ridedown.value", Acceleration, "g").absent().possible(0.1, 2000.0).means(LIMIT),
    source("criteria.limit.ridedown.source"),
    quantity("criteria.limit.velocity_change.value", Speed, "m/s").absent().possible(0.01, 100.0).means(LIMIT),
    source("criteria.limit.velocity_change.source"),
    number("criteria.limit.asi.value").absent().possible(0.01, 100.0).means(LIMIT),
    SOURCE,
    quantity("criteria.limit.thiv.value", Speed, "km/h").absent().possible(0.01, 100.0).means(LIMIT),
    source("criteria.limit.thiv.source"),
    quantity("criteria.limit.stub_height.value", Length, "mm").absent().possible(0.0, 5.0).means(LIMIT),
    source("criteria.limit.stub_height.source"),
    quantity("criteria.limit.support_mass.value", Mass, "kg").absent().possible(1.0, 1e5).means(LIMIT),
    source("criteria.limit.support_mass.source"),
    quantity("criteria.limit.support_height.value", Length, "m").absent().possible(0.1, 200.0).means(LIMIT),
    source("criteria.limit.support_height.source"),
    quantity("criteria.limit.roll_pitch.value", Angle, "deg").absent().possible(0.01, PI).means(LIMIT),
    source("criteria.limit.roll_pitch.source"),
    count("solver.elastic_modes")
        .value("14", "with the attachment shapes within 1 % of the converged velocity change on sound bases of steel poles (tested)")
        .possible(0.0, 60.0)
        .means("Elastic free-free modes kept, besides the attachment shapes; 0 = rigid support."),
    count("solver.pole_elements")
        .value("24", "at least 20")
        .possible(20.0, 60.0)
        .means("Beam elements on the pole."),
    count("solver.arm_elements")
        .value("8", "assumed: enough for an arm")
        .possible(2.0, 30.0)
        .means("Beam elements on each arm."),
    quantity("solver.step", Time, "us")
        .value("50 us", "halving it changes the velocity change of sound bases by less than 0.3 % (tested)")
        .possible(1e-7, 1e-4)
        .plausible(1e-6, 1e-4)
        .means("Largest time step where bolts begin to slide or leave. The solver takes a whole fraction of 100 us that is stable and no larger than this, up to twice as much elsewhere, and more only if this is 50 us or more."),
    quantity("solver.stick_stiffness", Stiffness, "MN/m")
        .value("3000 MN/m", "stiff enough that doubling it changes the velocity change by less than 0.5 % (tested)")
        .possible(1e5, 1e11)
        .plausible(5e7, 1e10)
        .means("Stick stiffness of one bolt in the slip plane."),
    quantity("solver.joint_damping", Time, "us")
        .value("2 us", "assumed: calms the clamped stack without taking notable energy")
        .possible(0.0, 1e-3)
        .plausible(0.0, 5e-5)
        .means("Damping force of the clamped stack = this time x stiffness x opening rate."),
    quantity("solver.engagement_limit", Time, "s")
        .value("0.4 s", "longest engagement")
        .possible(0.001, 10.0)
        .plausible(0.1, 2.0)
        .means("Longest engagement."),
    quantity("solver.record_limit", Time, "s")
        .value("2 s", "long enough for the flail distance at 0.3 m/s")
        .possible(0.001, 30.0)
        .plausible(0.4, 10.0)
        .means("Longest record, including the roll-out of the vehicle."),
    flag("output.history").value("true", "recorded unless switched off").means("Write time histories (Parquet and CSV)."),
    flag("output.figures").value("true", "drawn unless switched off").means("Draw figures (SVG and PNG)."),
];
