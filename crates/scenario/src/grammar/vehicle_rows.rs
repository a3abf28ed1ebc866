//! Rows of `[vehicle]`.

use giveway_units::Dimension::{Damping, Force, Frequency, Inertia, Length, Mass, Stiffness};

use super::row::{Kind, Options, Row, choice, flag, number, other, quantity, text};
use crate::makers as make;

const fn length(path: &'static str) -> Row {
    quantity(path, Length, "m")
}

macro_rules! face {
    ($at:literal) => {
        [
            flag(concat!($at, ".class_bands"))
                .value("true", "the bands of the class are used")
                .means("Whether the bands of the class are kept. With `false` only the bands given here count."),
            quantity(concat!($at, ".used"), Length, "mm")
                .value("0 mm", "a new face")
                .possible(0.0, 3.0)
                .plausible(0.0, 0.6)
                .means("How far an earlier blow left the face pushed in at the place that is struck now, where a straight post would touch it first: measured, or `giveway run --used FOLDER`. Every band that the post reached starts its crush law where it was left. The time counts from when a new face would touch."),
            text(concat!($at, ".band[].name"))
                .means("Name of the band."),
            length(concat!($at, ".band[].lower"))
                .possible(0.0, 5.0)
                .plausible(0.1, 1.5)
                .means("Lower edge above the ground."),
            length(concat!($at, ".band[].upper"))
                .possible(0.0, 5.0)
                .plausible(0.2, 2.0)
                .means("Upper edge above the ground. The force acts at mid height."),
            quantity(concat!($at, ".band[].setback"), Length, "mm")
                .value("0 mm", "assumed: on the foremost line")
                .possible(-1.0, 3.0)
                .plausible(0.0, 0.6)
                .means("How far the band lies behind the face's foremost line."),
            other(concat!($at, ".band[].crush"), Kind::Pairs((Length, "mm"), (Force, "kN")))
                .means("Force over crush for a narrow object: `[[\"0 mm\", \"0 kN\"], [\"75 mm\", \"30 kN\"], ...]`. Starts at 0, crush rises; the last slope continues."),
            quantity(concat!($at, ".band[].unloading"), Stiffness, "MN/m")
                .computed(
                    "the slope that gives a restitution of 0.15 (published range 0 to 0.2) for a blow up to the last point, F^2/(2 e^2 E); at least the steepest loading slope",
                    make::unloading,
                )
                .possible(1.0, 1e13)
                .plausible(1e5, 1e11)
                .means("Unloading slope k_u."),
        ]
    };
}

const FRONT: [Row; 8] = face!("vehicle.front");
const SIDE: [Row; 8] = face!("vehicle.side");

/// Rows in the order of the file.
pub(super) const ROWS: &[&[Row]] = &[VEHICLE, &FRONT, SIDE_BODY, &SIDE];

/// Class, sizes, inertias and suspension.
const VEHICLE: &[Row] = &[
    choice("vehicle.class", Options::Classes)
        .means("Class of the vehicle; gives every value below that is not given."),
    flag("vehicle.guided")
        .class()
        .means("Guided: heading and height are kept and no tyres act (a pendulum, a railed bogie)."),
    quantity("vehicle.mass", Mass, "kg")
        .class()
        .possible(50.0, 1e5)
        .plausible(500.0, 4000.0)
        .means("Mass."),
    length("vehicle.cg_height")
        .class()
        .possible(0.05, 5.0)
        .plausible(0.3, 1.2)
        .means("Height of the centre of mass above the ground."),
    length("vehicle.cg_to_front")
        .class()
        .possible(0.05, 20.0)
        .plausible(0.5, 4.0)
        .means("Distance from the centre of mass to the foremost line of the body."),
    length("vehicle.length")
        .class()
        .possible(0.2, 30.0)
        .plausible(1.0, 8.0)
        .means("Overall length."),
    length("vehicle.width")
        .class()
        .possible(0.1, 5.0)
        .plausible(0.3, 2.6)
        .means("Overall width."),
    length("vehicle.cg_to_front_axle")
        .class()
        .possible(0.02, 20.0)
        .plausible(0.3, 3.0)
        .means("Distance from the centre of mass to the front axle."),
    length("vehicle.wheelbase")
        .class()
        .possible(0.05, 20.0)
        .plausible(1.0, 5.0)
        .means("Wheelbase."),
    length("vehicle.track")
        .class()
        .possible(0.05, 4.0)
        .plausible(0.3, 2.2)
        .means("Track."),
    quantity("vehicle.roll_inertia", Inertia, "kg.m2")
        .computed("0.18 W - 150 lb.ft.s2, W in lb (NHTSA regression [recalled?]); at least m (0.3 width)^2", make::roll_inertia)
        .possible(0.1, 1e6)
        .plausible(30.0, 5000.0)
        .means("Moment of inertia about the longitudinal axis x."),
    quantity("vehicle.pitch_inertia", Inertia, "kg.m2")
        .computed("0.99 W - 1149 lb.ft.s2, W in lb (NHTSA regression [recalled?]); at least m (0.2 length)^2", make::pitch_inertia)
        .possible(0.1, 1e6)
        .plausible(100.0, 20_000.0)
        .means("Moment of inertia about the transverse axis y."),
    quantity("vehicle.yaw_inertia", Inertia, "kg.m2")
        .computed("1.03 W - 1206 lb.ft.s2, W in lb (NHTSA regression [recalled?]); at least m (0.2 length)^2", make::yaw_inertia)
        .possible(0.1, 1e6)
        .plausible(100.0, 20_000.0)
        .means("Moment of inertia about the vertical axis z."),
    length("vehicle.underside")
        .class()
        .possible(0.0, 3.0)
        .plausible(0.08, 0.5)
        .means("Height of the underside above the ground: the lowest part between the wheels."),
    number("vehicle.face_friction")
        .value("0.3", "assumed: painted sheet on a galvanised pole")
        .possible(0.0, 3.0)
        .plausible(0.0, 1.0)
        .means("Friction between the struck face and the pole."),
    other("vehicle.outline", Kind::Pairs((Length, "m"), (Length, "m")))
        .class()
        .means("Side view of the body from front to rear: distance behind the foremost line, height above the ground."),
    length("vehicle.head_ahead")
        .class()
        .possible(-10.0, 10.0)
        .plausible(-2.0, 1.0)
        .means("Occupant's head ahead of the centre of mass (negative: behind)."),
    length("vehicle.head_left")
        .class()
        .possible(-3.0, 3.0)
        .plausible(-1.0, 1.0)
        .means("Occupant's head to the left of the centre of mass."),
    quantity("vehicle.suspension.ride_frequency", Frequency, "Hz")
        .value("1.3 Hz", "assumed: common for passenger vehicles; common practice, no source")
        .possible(0.05, 1000.0)
        .plausible(0.8, 3.0)
        .excludes("vehicle.suspension.wheel_stiffness")
        .recipe()
        .means("Bounce frequency of the sprung mass, from which the wheel stiffness follows."),
    number("vehicle.suspension.damping_ratio")
        .value("0.3", "assumed: common for passenger vehicles; common practice, no source")
        .possible(0.0, 5.0)
        .plausible(0.1, 0.7)
        .excludes("vehicle.suspension.wheel_damping")
        .recipe()
        .means("Damping ratio of the bounce, from which the wheel damping follows."),
    quantity("vehicle.suspension.wheel_stiffness", Stiffness, "kN/m")
        .computed("m (2 pi f)^2 / 4", make::wheel_stiffness)
        .possible(0.0, 1e9)
        .plausible(5e3, 2e5)
        .excludes("vehicle.suspension.ride_frequency")
        .means("Vertical stiffness of one wheel with its suspension."),
    quantity("vehicle.suspension.wheel_damping", Damping, "kN.s/m")
        .computed("2 zeta sqrt(k m / 4), per wheel", make::wheel_damping)
        .possible(0.0, 1e8)
        .plausible(300.0, 2e4)
        .excludes("vehicle.suspension.damping_ratio")
        .means("Vertical damping of one wheel."),
];

/// What a struck side moves.
const SIDE_BODY: &[Row] = &[
    number("vehicle.side_body.share")
        .computed("0.2: doors, sills, floor and roof between the axles (assumed); 0 for a guided mass", make::struck_share)
        .possible(0.0, 0.9)
        .plausible(0.0, 0.4)
        .means("Share of the vehicle's mass that moves with a struck side; 0 = the vehicle is one rigid body."),
    quantity("vehicle.side_body.stiffness", Stiffness, "MN/m")
        .value("5 MN/m", "assumed: stiff against the crush of the side")
        .possible(1e4, 1e10)
        .plausible(5e5, 5e7)
        .means("Elastic stiffness of the body between the struck part and the rest."),
    quantity("vehicle.side_body.yield_force", Force, "kN")
        .computed("48 N for each kg of the vehicle (assumed): two frame rails of a pickup bend at about 100 kN", make::body_yield)
        .possible(0.0, 1e8)
        .plausible(1e4, 5e5)
        .means("Force at which the body begins to bend round the pole."),
    quantity("vehicle.side_body.hardening", Stiffness, "kN/m")
        .computed("147 N/m for each kg of the vehicle: with it a pickup carries 247 kN at 0.8 m (FHWA-RD-98-081) [derived]", make::body_hardening)
        .possible(0.0, 1e9)
        .plausible(1e4, 2e6)
        .means("Rise of that force with the way inward."),
];
