//! The limits of the judging documents, as one table, and the tests they ask for.
//!
//! A limit can be overridden in the scenario by its key; the override's source is then reported. EN 12767 grades
//! instead of limiting; its tables are in [`crate::en12767`].
//!
//! References
//! - H. E. Ross and others, NCHRP Report 350, 1993.
//! - J. D. Michie, NCHRP Report 230, 1981.
//! - AASHTO, Manual for Assessing Safety Hardware (MASH), 2nd edition, 2016.
//! - AASHTO, Standard Specifications for Structural Supports for Highway Signs, Luminaires and Traffic Signals, 1985 and 1994 on.

use giveway_scenario::model::CriteriaSet;

use crate::verdict::Mark;

/// One foot, m.
const FOOT_M: f64 = 0.3048;

const US_SETS: &[CriteriaSet] = &[
    CriteriaSet::Mash2016,
    CriteriaSet::Nchrp350,
    CriteriaSet::Nchrp230,
    CriteriaSet::Aashto1994,
    CriteriaSet::Aashto1985,
];
const MASH: &[CriteriaSet] = &[CriteriaSet::Mash2016];
const NCHRP: &[CriteriaSet] = &[CriteriaSet::Nchrp350];
const NCHRP_230: &[CriteriaSet] = &[CriteriaSet::Nchrp230];
const AASHTO_1994: &[CriteriaSet] = &[CriteriaSet::Aashto1994];
const AASHTO_1985: &[CriteriaSet] = &[CriteriaSet::Aashto1985];

/// One row of the table of limits.
#[derive(Debug, Clone, Copy)]
pub struct Limit {
    /// Sets that use it.
    pub sets: &'static [CriteriaSet],
    /// Key of the check; its ending is the unit.
    pub key: &'static str,
    /// Key under which the scenario overrides it; none where it cannot.
    pub override_key: Option<&'static str>,
    /// Plain title.
    pub title: &'static str,
    /// Unit of the numbers.
    pub unit: &'static str,
    /// Preferred limit and how well it is known.
    pub preferred: Option<(f64, Mark)>,
    /// Maximum and how well it is known.
    pub max: (f64, Mark),
    /// Document, edition, subject, and the figures as printed where the unit differs.
    pub source: &'static str,
    /// Whether the set cannot be judged without it.
    pub essential: bool,
}

const OIV_X: &str = "Occupant impact velocity, longitudinal";
const OIV_Y: &str = "Occupant impact velocity, lateral";
const RIDE_X: &str = "Occupant ridedown acceleration, longitudinal (10 ms mean)";
const RIDE_Y: &str = "Occupant ridedown acceleration, lateral (10 ms mean)";
const CHANGE: &str = "Velocity change of the vehicle along its travel";

const MASH_OIV_X: &str = "MASH 2016, breakaway supports, longitudinal: 10 / 16 ft/s";
const MASH_OIV_Y: &str = "MASH 2016, limits of other devices carried over (30 / 40 ft/s): supports have a longitudinal limit only";
const MASH_RIDE: &str = "MASH 2016, ridedown: 15.0 / 20.49 g";
const MASH_TURN: &str = "MASH 2016, stability: roll and pitch up to 75 degrees";
const NCHRP_OIV_X: &str =
    "NCHRP Report 350 (1993), breakaway supports, longitudinal: 3.0 / 5.0 m/s";
const NCHRP_OIV_Y: &str = "NCHRP Report 350 (1993), limits of other devices carried over (9 / 12 m/s): supports have a longitudinal limit only";
const NCHRP_RIDE: &str = "NCHRP Report 350 (1993), ridedown: 15 / 20 g";
const NCHRP_230_OIV_X: &str = "NCHRP Report 230 (1981), breakaway supports, longitudinal: 40 ft/s over its factor of 2.67, 15 ft/s";
const NCHRP_230_OIV_Y: &str =
    "NCHRP Report 230 (1981), lateral: 30 ft/s over its factor of 1.5, 20 ft/s";
const NCHRP_230_RIDE: &str =
    "NCHRP Report 230 (1981), ridedown: 20 g over its factor of 1.33, 15 g";
const AASHTO_94: &str =
    "AASHTO support specifications, 1994 and later editions: 3.0 m/s / 16.0 ft/s";
const AASHTO_85: &str = "AASHTO support specifications, 1985: 10 / 15 ft/s";
const STUB: &str = "AASHTO support specifications: stub up to 100 mm above a 1.5 m chord";
const MASS: &str = "AASHTO support specifications: breakaway support up to 454 kg";
const HEIGHT: &str = "AASHTO support specifications: breakaway support up to 18.3 m high";

use Mark::{Derived, Recalled, Seen};

/// A row whose check key is also its override key.
const fn row(
    sets: &'static [CriteriaSet],
    key: &'static str,
    title: &'static str,
    unit: &'static str,
    preferred: Option<(f64, Mark)>,
    max: (f64, Mark),
    source: &'static str,
) -> Limit {
    Limit {
        sets,
        key,
        override_key: Some(key),
        title,
        unit,
        preferred,
        max,
        source,
        essential: false,
    }
}

impl Limit {
    const fn essential(mut self) -> Self {
        self.essential = true;
        self
    }

    const fn overridden_by(mut self, key: Option<&'static str>) -> Self {
        self.override_key = key;
        self
    }
}

const RIDE_KEY: Option<&str> = Some("ridedown_g");
const TURN_KEY: Option<&str> = Some("roll_pitch_rad");
/// 75 degrees, rad.
const TURN_RAD: f64 = 75.0 * core::f64::consts::PI / 180.0;

/// The limits, in the order in which they are reported.
#[rustfmt::skip]
pub const LIMITS: &[Limit] = &[
    row(MASH, "oiv_longitudinal_mps", OIV_X, "m/s", Some((10.0 * FOOT_M, Recalled)), (16.0 * FOOT_M, Recalled), MASH_OIV_X).essential(),
    row(MASH, "oiv_lateral_mps", OIV_Y, "m/s", Some((30.0 * FOOT_M, Recalled)), (40.0 * FOOT_M, Recalled), MASH_OIV_Y),
    row(MASH, "ridedown_longitudinal_g", RIDE_X, "g", Some((15.0, Recalled)), (20.49, Recalled), MASH_RIDE).overridden_by(RIDE_KEY),
    row(MASH, "ridedown_lateral_g", RIDE_Y, "g", Some((15.0, Recalled)), (20.49, Recalled), MASH_RIDE).overridden_by(RIDE_KEY),
    row(NCHRP, "oiv_longitudinal_mps", OIV_X, "m/s", Some((3.0, Seen)), (5.0, Seen), NCHRP_OIV_X).essential(),
    row(NCHRP, "oiv_lateral_mps", OIV_Y, "m/s", Some((9.0, Recalled)), (12.0, Derived), NCHRP_OIV_Y),
    row(NCHRP, "ridedown_longitudinal_g", RIDE_X, "g", Some((15.0, Recalled)), (20.0, Recalled), NCHRP_RIDE).overridden_by(RIDE_KEY),
    row(NCHRP, "ridedown_lateral_g", RIDE_Y, "g", Some((15.0, Recalled)), (20.0, Recalled), NCHRP_RIDE).overridden_by(RIDE_KEY),
    row(NCHRP_230, "oiv_longitudinal_mps", OIV_X, "m/s", None, (15.0 * FOOT_M, Recalled), NCHRP_230_OIV_X).essential(),
    row(NCHRP_230, "oiv_lateral_mps", OIV_Y, "m/s", None, (20.0 * FOOT_M, Recalled), NCHRP_230_OIV_Y),
    row(NCHRP_230, "ridedown_longitudinal_g", RIDE_X, "g", None, (15.0, Recalled), NCHRP_230_RIDE).overridden_by(RIDE_KEY),
    row(NCHRP_230, "ridedown_lateral_g", RIDE_Y, "g", None, (15.0, Recalled), NCHRP_230_RIDE).overridden_by(RIDE_KEY),
    row(AASHTO_1994, "velocity_change_mps", CHANGE, "m/s", Some((3.0, Seen)), (16.0 * FOOT_M, Seen), AASHTO_94).essential(),
    row(AASHTO_1985, "velocity_change_mps", CHANGE, "m/s", Some((10.0 * FOOT_M, Recalled)), (15.0 * FOOT_M, Recalled), AASHTO_85).essential(),
    row(US_SETS, "stub_height_m", "Height of the stub left standing", "m", None, (0.100, Seen), STUB),
    row(US_SETS, "support_mass_kg", "Mass of the breakaway support", "kg", None, (454.0, Seen), MASS),
    row(US_SETS, "support_height_m", "Height of the breakaway support", "m", None, (18.3, Seen), HEIGHT),
    row(MASH, "roll_rad", "Largest roll of the vehicle", "rad", None, (TURN_RAD, Recalled), MASH_TURN).overridden_by(TURN_KEY),
    row(MASH, "pitch_rad", "Largest pitch of the vehicle", "rad", None, (TURN_RAD, Recalled), MASH_TURN).overridden_by(TURN_KEY),
    row(MASH, "roof_crush_m", "Roof crush", "m", None, (0.102, Recalled), "MASH 2016, vehicle damage: roof up to 102 mm").overridden_by(None),
    row(MASH, "windscreen_crush_m", "Windscreen deformation", "m", None, (0.076, Recalled), "MASH 2016, vehicle damage: windscreen up to 76 mm and no tear").overridden_by(None),
];

/// Keys that the scenario may override; `asi` and `thiv_mps` belong to EN 12767.
pub const OVERRIDE_KEYS: &[&str] = &[
    "oiv_longitudinal_mps",
    "oiv_lateral_mps",
    "ridedown_g",
    "velocity_change_mps",
    "asi",
    "thiv_mps",
    "stub_height_m",
    "support_mass_kg",
    "support_height_m",
    "roll_pitch_rad",
];

/// A test that a document asks for.
#[derive(Debug, Clone, Copy)]
pub struct DocumentTest {
    /// The document.
    pub set: CriteriaSet,
    /// Number of the test.
    pub name: &'static str,
    /// Mass of the vehicle, kg.
    pub mass_kg: f64,
    /// Tolerance of that mass, kg; none where it is not known here.
    pub mass_tolerance_kg: Option<f64>,
    /// Speed, km/h.
    pub speed_kmph: f64,
    /// How well it is known.
    pub mark: Mark,
}

/// The tests of breakaway supports. 30 and 100 km/h of MASH are its 19 and 62 mph.
#[rustfmt::skip]
pub const TESTS: &[DocumentTest] = &[
    DocumentTest { set: CriteriaSet::Nchrp350, name: "3-60", mass_kg: 820.0, mass_tolerance_kg: Some(25.0), speed_kmph: 35.0, mark: Seen },
    DocumentTest { set: CriteriaSet::Nchrp350, name: "3-61", mass_kg: 820.0, mass_tolerance_kg: Some(25.0), speed_kmph: 100.0, mark: Seen },
    DocumentTest { set: CriteriaSet::Nchrp230, name: "62", mass_kg: 820.0, mass_tolerance_kg: None, speed_kmph: 32.0, mark: Recalled },
    DocumentTest { set: CriteriaSet::Nchrp230, name: "63", mass_kg: 820.0, mass_tolerance_kg: None, speed_kmph: 97.0, mark: Recalled },
    DocumentTest { set: CriteriaSet::Mash2016, name: "3-60", mass_kg: 1100.0, mass_tolerance_kg: Some(25.0), speed_kmph: 30.0, mark: Seen },
    DocumentTest { set: CriteriaSet::Mash2016, name: "3-61", mass_kg: 1100.0, mass_tolerance_kg: Some(25.0), speed_kmph: 100.0, mark: Seen },
    DocumentTest { set: CriteriaSet::Mash2016, name: "3-62", mass_kg: 2270.0, mass_tolerance_kg: Some(50.0), speed_kmph: 100.0, mark: Seen },
    DocumentTest { set: CriteriaSet::En12767, name: "low speed", mass_kg: 900.0, mass_tolerance_kg: None, speed_kmph: 35.0, mark: Seen },
    DocumentTest { set: CriteriaSet::En12767, name: "class speed 50", mass_kg: 900.0, mass_tolerance_kg: None, speed_kmph: 50.0, mark: Seen },
    DocumentTest { set: CriteriaSet::En12767, name: "class speed 70", mass_kg: 900.0, mass_tolerance_kg: None, speed_kmph: 70.0, mark: Seen },
    DocumentTest { set: CriteriaSet::En12767, name: "class speed 100", mass_kg: 900.0, mass_tolerance_kg: None, speed_kmph: 100.0, mark: Seen },
];

/// A judging document.
#[derive(Debug, Clone, Copy)]
pub struct Document {
    /// Title with edition.
    pub title: &'static str,
    /// The document whose rows of [`TESTS`] a support is put through for it: the slow one first, then by speed.
    pub tests_of: CriteriaSet,
    /// Vehicle class of those tests in the scenario grammar.
    pub class: &'static str,
    /// Whether its fast test meets the front at a quarter of the width; else in its centre.
    pub quarter: bool,
}

/// The document of a set.
pub fn document(set: CriteriaSet) -> Document {
    let (title, tests_of, class) = match set {
        CriteriaSet::Mash2016 => (
            "AASHTO Manual for Assessing Safety Hardware (MASH), 2nd edition, 2016",
            set,
            "small-car-1100",
        ),
        CriteriaSet::Nchrp230 => ("NCHRP Report 230, 1981", set, "small-car-820"),
        CriteriaSet::Nchrp350 => ("NCHRP Report 350, 1993", set, "small-car-820"),
        CriteriaSet::Aashto1994 => (
            "AASHTO support specifications, 1994 and later editions",
            CriteriaSet::Nchrp350,
            "small-car-820",
        ),
        CriteriaSet::Aashto1985 => (
            "AASHTO support specifications, 1985",
            CriteriaSet::Nchrp350,
            "small-car-820",
        ),
        CriteriaSet::En12767 => ("EN 12767:2019", set, "small-car-900"),
    };
    Document {
        title,
        tests_of,
        class,
        quarter: set != CriteriaSet::En12767,
    }
}
