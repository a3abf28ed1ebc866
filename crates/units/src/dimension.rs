//! Dimensions and the units that each of them may be written in.
//!
//! A unit is a pair of numbers: SI value = number * `times` / `over`. Where both are whole numbers that
//! f64 holds exactly, a written value reaches SI through one exact product and one correctly rounded
//! division, so that "27 mm" is the f64 nearest to 0.027. Factors are exact by definition unless the
//! comment says "rounded" (then the decimal value is exact but has more digits than f64 holds).
//!
//! References: NIST SP 811 (2008), appendix B; International yard and pound agreement, 1959.

use core::f64::consts::PI;

/// What a quantity measures. Torque and energy are kept apart although both are N.m in the SI.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Length, m.
    Length,
    /// Area, m^2.
    Area,
    /// Mass, kg.
    Mass,
    /// Time, s.
    Time,
    /// Frequency, Hz.
    Frequency,
    /// Speed, m/s.
    Speed,
    /// Acceleration, m/s^2.
    Acceleration,
    /// Force, N.
    Force,
    /// Torque or moment, N.m.
    Torque,
    /// Energy, J.
    Energy,
    /// Impulse or momentum, N.s.
    Impulse,
    /// Stress or pressure, Pa.
    Stress,
    /// Plane angle, rad.
    Angle,
    /// Rate of turning, rad/s.
    AngularRate,
    /// Stiffness, N/m.
    Stiffness,
    /// Viscous damping, N.s/m.
    Damping,
    /// Density, kg/m^3.
    Density,
    /// Weight of a volume of soil, N/m^3.
    UnitWeight,
    /// Moment of inertia, kg.m^2.
    Inertia,
    /// A plain ratio; may be written in percent.
    Ratio,
}

/// One way to write a quantity.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// How it is written, for example `km/h`.
    pub name: &'static str,
    /// Other spellings that are read as the same unit.
    pub aliases: &'static [&'static str],
    /// SI value = number * `times` / `over`.
    pub times: f64,
    /// See `times`.
    pub over: f64,
}

const fn unit(name: &'static str, aliases: &'static [&'static str], times: f64, over: f64) -> Unit {
    Unit {
        name,
        aliases,
        times,
        over,
    }
}

/// Pound-force: 0.45359237 kg * 9.80665 m/s^2 = 4.4482216152605 N, exact; times 1e13 to stay whole.
const LBF_E13: f64 = 44_482_216_152_605.0;
/// Foot pound-force: 4.4482216152605 * 0.3048 = 1.35581794833140040 N.m, exact.
const LBF_FT: f64 = 1.355_817_948_331_400_4;
/// Inch pound-force: 4.4482216152605 * 0.0254 = 0.1129848290276167 N.m, exact.
const LBF_IN: f64 = 0.112_984_829_027_616_7;

const LENGTH: &[Unit] = &[
    unit("m", &["metre", "metres", "meter", "meters"], 1.0, 1.0),
    unit("mm", &[], 1.0, 1e3),
    unit("cm", &[], 1.0, 1e2),
    unit("um", &[], 1.0, 1e6),
    unit("km", &[], 1e3, 1.0),
    unit("in", &["inch", "inches", "IN", "In"], 254.0, 1e4),
    unit("ft", &["foot", "feet", "FT", "Ft"], 3048.0, 1e4),
    unit("yd", &["yard", "yards"], 9144.0, 1e4),
];
const AREA: &[Unit] = &[
    unit("m2", &["sq.m"], 1.0, 1.0),
    unit("mm2", &[], 1.0, 1e6),
    unit("cm2", &[], 1.0, 1e4),
    unit("in2", &["sq.in"], 64_516.0, 1e8),
    unit("ft2", &["sq.ft"], 9_290_304.0, 1e8),
];
const MASS: &[Unit] = &[
    unit("kg", &[], 1.0, 1.0),
    unit("t", &["tonne", "tonnes"], 1e3, 1.0),
    unit("lb", &["lbs", "lbm", "pound", "pounds"], 45_359_237.0, 1e8),
    // lbf / (ft/s^2) = 4.4482216152605 / 0.3048 kg
    unit("slug", &["slugs"], LBF_E13, 3_048_000_000_000.0),
];
const TIME: &[Unit] = &[
    unit("s", &["sec", "second", "seconds"], 1.0, 1.0),
    unit("ms", &[], 1.0, 1e3),
    unit("us", &[], 1.0, 1e6),
    unit("min", &[], 60.0, 1.0),
];
const FREQUENCY: &[Unit] = &[
    unit("Hz", &["1/s", "hz"], 1.0, 1.0),
    unit("kHz", &["khz"], 1e3, 1.0),
];
const SPEED: &[Unit] = &[
    unit("m/s", &["mps"], 1.0, 1.0),
    // 1000 / 3600 = 10 / 36
    unit("km/h", &["kph", "kmh", "km/hr", "kmph"], 10.0, 36.0),
    // 1609.344 m / 3600 s = 0.44704 m/s, exact
    unit("mph", &["mi/h", "mile/h", "miles/h", "MPH"], 44_704.0, 1e5),
    unit("ft/s", &["fps", "ft/sec"], 3048.0, 1e4),
    unit("mm/s", &[], 1.0, 1e3),
    unit("km/s", &[], 1e3, 1.0),
];
const ACCELERATION: &[Unit] = &[
    unit("m/s2", &["m/s/s"], 1.0, 1.0),
    // standard gravity 9.80665 m/s^2
    unit("g", &["g0", "gn", "G"], 980_665.0, 1e5),
    unit("ft/s2", &[], 3048.0, 1e4),
];
const FORCE: &[Unit] = &[
    unit("N", &["newton", "newtons"], 1.0, 1.0),
    unit("kN", &[], 1e3, 1.0),
    unit("MN", &[], 1e6, 1.0),
    unit("lbf", &[], LBF_E13, 1e13),
    // 1000 lbf
    unit("kip", &["kips", "klbf"], LBF_E13, 1e10),
    unit("kgf", &[], 980_665.0, 1e5),
];
/// How crews write a torque in pounds and feet.
const FOOT_POUNDS: &[&str] = &[
    "ft.lbf",
    "lb.ft",
    "ft.lb",
    "lbs.ft",
    "ft.lbs",
    "ftlb",
    "ftlbs",
    "lbft",
    "foot.pound",
    "foot.pounds",
    "pound.feet",
    "FT.LB",
    "FT.LBS",
    "Ft.Lb",
    "Ft.Lbs",
    "LB.FT",
    "LBF.FT",
];
/// The same in inches.
const INCH_POUNDS: &[&str] = &[
    "in.lbf",
    "lb.in",
    "in.lb",
    "lbs.in",
    "in.lbs",
    "inch.pounds",
    "IN.LB",
    "IN.LBS",
];
const TORQUE: &[Unit] = &[
    unit("N.m", &["Nm"], 1.0, 1.0),
    unit("kN.m", &["kNm"], 1e3, 1.0),
    unit("N.mm", &["Nmm"], 1.0, 1e3),
    // On a wrench a pound is always a force.
    unit("lbf.ft", FOOT_POUNDS, LBF_FT, 1.0),
    unit("lbf.in", INCH_POUNDS, LBF_IN, 1.0),
    // 1000 lbf.ft, 1000 lbf.in
    unit("kip.ft", &["ft.kip"], 1_355.817_948_331_400_4, 1.0),
    unit("kip.in", &["in.kip"], 112.984_829_027_616_7, 1.0),
];
const ENERGY: &[Unit] = &[
    unit("J", &["joule", "joules"], 1.0, 1.0),
    unit("kJ", &[], 1e3, 1.0),
    unit("MJ", &[], 1e6, 1.0),
    unit("ft.lbf", &["lbf.ft"], LBF_FT, 1.0),
];
const IMPULSE: &[Unit] = &[
    unit("N.s", &["Ns", "kg.m/s"], 1.0, 1.0),
    unit("kN.s", &["kNs"], 1e3, 1.0),
    unit("lbf.s", &["lbf.sec"], LBF_E13, 1e13),
];
const STRESS: &[Unit] = &[
    unit("Pa", &["N/m2"], 1.0, 1.0),
    unit("kPa", &["kN/m2"], 1e3, 1.0),
    unit("MPa", &["N/mm2"], 1e6, 1.0),
    unit("GPa", &[], 1e9, 1.0),
    // lbf/in^2 = 4.4482216152605 / 0.00064516 Pa
    unit("psi", &["lbf/in2"], LBF_E13, 6_451_600_000.0),
    unit("ksi", &["kip/in2"], LBF_E13, 6_451_600.0),
    unit("psf", &["lbf/ft2"], LBF_E13, 929_030_400_000.0),
];
const ANGLE: &[Unit] = &[
    unit("rad", &["radian", "radians"], 1.0, 1.0),
    // pi / 180
    unit("deg", &["degree", "degrees"], PI, 180.0),
    unit("mrad", &[], 1.0, 1e3),
    // Slopes as a level shows them, taken as angles: at 3 degrees the angle is 0.1 % smaller than its tangent.
    unit("mm/m", &["mm.per.m", "mm.in.1.m"], 1.0, 1e3),
    unit("in/ft", &["in.per.ft", "in.per.foot"], 1.0, 12.0),
];
const ANGULAR_RATE: &[Unit] = &[unit("rad/s", &[], 1.0, 1.0), unit("deg/s", &[], PI, 180.0)];
const STIFFNESS: &[Unit] = &[
    unit("N/m", &[], 1.0, 1.0),
    unit("kN/m", &[], 1e3, 1.0),
    unit("MN/m", &[], 1e6, 1.0),
    unit("N/mm", &[], 1e3, 1.0),
    unit("kN/mm", &[], 1e6, 1.0),
    // 4.4482216152605 / 0.0254 N/m
    unit("lbf/in", &[], LBF_E13, 254_000_000_000.0),
    unit("kip/in", &[], LBF_E13, 254_000_000.0),
    unit("lbf/ft", &[], LBF_E13, 3_048_000_000_000.0),
];
const DAMPING: &[Unit] = &[
    unit("N.s/m", &["Ns/m"], 1.0, 1.0),
    unit("kN.s/m", &["kNs/m"], 1e3, 1.0),
    unit("lbf.s/in", &[], LBF_E13, 254_000_000_000.0),
];
const DENSITY: &[Unit] = &[
    unit("kg/m3", &[], 1.0, 1.0),
    unit("t/m3", &["g/cm3"], 1e3, 1.0),
    // 0.45359237 / 0.028316846592 kg/m^3
    unit("lb/ft3", &["pcf"], 453_592_370_000.0, 28_316_846_592.0),
];
const UNIT_WEIGHT: &[Unit] = &[
    unit("N/m3", &[], 1.0, 1.0),
    unit("kN/m3", &[], 1e3, 1.0),
    // 4.4482216152605 / 0.028316846592 N/m^3
    unit("lbf/ft3", &[], LBF_E13, 283_168_465_920.0),
];
const INERTIA: &[Unit] = &[
    unit("kg.m2", &["kgm2"], 1.0, 1.0),
    // 1 lbf.ft.s^2 = 1 slug.ft^2 = 1.3558179483314004 kg.m^2
    unit("slug.ft2", &["lbf.ft.s2"], LBF_FT, 1.0),
    // 0.45359237 * 0.09290304 kg.m^2 = 0.0421401100938048, exact
    unit("lb.ft2", &[], 0.042_140_110_093_804_8, 1.0),
];
const RATIO: &[Unit] = &[unit("%", &["percent"], 1.0, 1e2)];

impl Dimension {
    /// Every dimension.
    pub const ALL: &'static [Dimension] = &[
        Dimension::Length,
        Dimension::Area,
        Dimension::Mass,
        Dimension::Time,
        Dimension::Frequency,
        Dimension::Speed,
        Dimension::Acceleration,
        Dimension::Force,
        Dimension::Torque,
        Dimension::Energy,
        Dimension::Impulse,
        Dimension::Stress,
        Dimension::Angle,
        Dimension::AngularRate,
        Dimension::Stiffness,
        Dimension::Damping,
        Dimension::Density,
        Dimension::UnitWeight,
        Dimension::Inertia,
        Dimension::Ratio,
    ];

    /// The units of this dimension; the first one is the SI unit with factor 1 (percent for ratios).
    pub fn units(self) -> &'static [Unit] {
        match self {
            Dimension::Length => LENGTH,
            Dimension::Area => AREA,
            Dimension::Mass => MASS,
            Dimension::Time => TIME,
            Dimension::Frequency => FREQUENCY,
            Dimension::Speed => SPEED,
            Dimension::Acceleration => ACCELERATION,
            Dimension::Force => FORCE,
            Dimension::Torque => TORQUE,
            Dimension::Energy => ENERGY,
            Dimension::Impulse => IMPULSE,
            Dimension::Stress => STRESS,
            Dimension::Angle => ANGLE,
            Dimension::AngularRate => ANGULAR_RATE,
            Dimension::Stiffness => STIFFNESS,
            Dimension::Damping => DAMPING,
            Dimension::Density => DENSITY,
            Dimension::UnitWeight => UNIT_WEIGHT,
            Dimension::Inertia => INERTIA,
            Dimension::Ratio => RATIO,
        }
    }

    /// The dimension in words, for messages: `a speed`.
    pub fn noun(self) -> &'static str {
        match self {
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Mass => "a mass",
            Dimension::Time => "a time",
            Dimension::Frequency => "a frequency",
            Dimension::Speed => "a speed",
            Dimension::Acceleration => "an acceleration",
            Dimension::Force => "a force",
            Dimension::Torque => "a torque",
            Dimension::Energy => "an energy",
            Dimension::Impulse => "an impulse",
            Dimension::Stress => "a stress",
            Dimension::Angle => "an angle",
            Dimension::AngularRate => "a rate of turning",
            Dimension::Stiffness => "a stiffness",
            Dimension::Damping => "a damping",
            Dimension::Density => "a density",
            Dimension::UnitWeight => "a unit weight",
            Dimension::Inertia => "a moment of inertia",
            Dimension::Ratio => "a ratio",
        }
    }
}
