//! Every limit that can be set, with the trade's own value in both systems.

use giveway_units::{Dimension, System};

use crate::requirements::{Measure, Origin};

const DEG: f64 = core::f64::consts::PI / 180.0;
const INCH: f64 = 0.0254;
const PRACTICE: &str = "common practice, no source";
const AASHTO: &str =
    "AASHTO support specifications: stub up to 100 mm (4 in) above a 1.5 m (5 ft) chord";
const HANDBOOK: &str = "a highway agency's handbook: washers hold the plates 3 to 6 mm apart so that they cannot mate and bind";
const KEEPERS: &str = "keeper sheets of the published range 0.38 to 1.0 mm";

/// A limit in both systems, each in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twin {
    /// For values written in SI units.
    pub si: f64,
    /// For values written in US units.
    pub us: f64,
}

impl Twin {
    /// The same in both.
    pub const fn both(value: f64) -> Self {
        Self {
            si: value,
            us: value,
        }
    }

    /// The one of a system.
    pub fn of(self, system: System) -> f64 {
        match system {
            System::Si => self.si,
            System::Us => self.us,
        }
    }
}

/// One limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standard {
    /// Key below `[limits]` of a profile.
    pub key: &'static str,
    /// What it limits.
    pub what: &'static str,
    /// What is measured.
    pub measure: Measure,
    /// The trade's own value.
    pub twin: Twin,
    /// Half of what the instrument resolves in inches, SI: what a value may stand above its inch twin.
    pub slack: f64,
    /// Where the trade's value comes from.
    pub source: &'static str,
    /// How well it is known.
    pub origin: Origin,
}

const fn standard(key: &'static str, what: &'static str, measure: Measure, twin: Twin) -> Standard {
    Standard {
        key,
        what,
        measure,
        twin,
        slack: INCH / 32.0,
        source: PRACTICE,
        origin: Origin::CommonPractice,
    }
}

impl Standard {
    const fn seen(mut self, source: &'static str) -> Self {
        self.source = source;
        self.origin = Origin::Seen;
        self
    }

    const fn recalled(mut self, source: &'static str) -> Self {
        self.source = source;
        self.origin = Origin::Recalled;
        self
    }
}

const fn twin(si: f64, us: f64) -> Twin {
    Twin { si, us }
}

const MM: Measure = Measure::Quantity(Dimension::Length, "mm");
const ANGLE: Measure = Measure::Quantity(Dimension::Angle, "deg");

macro_rules! bounds {
    ($($(#[doc = $doc:literal])+ $name:ident = $standard:expr;)*) => {
        /// The limits.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
        #[serde(try_from = "String")]
        pub enum Bound { $($(#[doc = $doc])+ $name),* }

        impl Bound {
            /// Every limit.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// The trade's own.
            pub const fn standard(self) -> Standard {
                match self { $(Self::$name => $standard),* }
            }
        }
    };
}

bounds! {
    /// Gap from the grout to the bolt heads.
    GroutGap = standard("grout_gap", "least gap from the grout to a bolt head", MM, twin(0.013, 0.5 * INCH));
    /// Gap from the grout to the notches.
    GroutNotchGap = standard("grout_notch_gap", "least gap from the grout to the notches", MM, twin(0.013, 0.5 * INCH));
    /// Height of anchor bars above the lower plate.
    StubProjection = standard("stub_projection", "most that an anchor bar stands above the lower plate", MM, Twin::both(0.0));
    /// Height of the conduit above the lower plate.
    ConduitProjection = standard("conduit_projection", "most that the conduit stands above the lower plate", MM, Twin::both(0.0));
    /// Height of the lower plate above the ground.
    PlateHeight = standard("plate_height", "greatest height of the lower plate's top above the chord", MM, twin(0.100, 4.0 * INCH)).seen(AASHTO);
    /// The chord under which the height is measured.
    Chord = standard("chord", "straight edge for the height of the lower plate", MM, twin(1.5, 60.0 * INCH)).seen(AASHTO);
    /// Offset of the notches.
    NotchOffset = standard("notch_offset", "most that the notches stand off each other", MM, twin(0.002, INCH / 16.0));
    /// Turn of the bolt pattern.
    PatternTurned = standard("pattern_turned", "most that the bolts are turned from the drawing", ANGLE, Twin::both(5.0 * DEG));
    /// Included angle of the notches.
    NotchAngle = standard("notch_angle", "least included angle of the notches", ANGLE, Twin::both(90.0 * DEG)).seen("FHWA letter SS-61, 1996: 60 degrees bound in tests, 90 did not");
    /// Slope of the lower plate.
    PlateLevel = standard("plate_level", "greatest slope of the lower plate", ANGLE, Twin::both(0.6 * DEG));
    /// Lean of the pole.
    PolePlumb = standard("pole_plumb", "greatest lean of the pole", ANGLE, Twin::both(1.0 * DEG));
    /// Time between two checks of the torque.
    CheckInterval = standard("check_interval_days", "days between two checks of the torque", Measure::Number, Twin::both(731.0));
    /// Time between two calibrations of the wrench.
    CalibrationInterval = standard("calibration_interval_days", "days between two calibrations of the wrench", Measure::Number, Twin::both(366.0));
    /// Tolerance of the torque.
    TorqueTolerance = standard("torque_tolerance", "tolerance of the torque, as a part of it", Measure::Number, Twin::both(0.10));
    /// Tolerance of a bolt's diameter.
    BoltTolerance = standard("bolt_tolerance", "tolerance of a bolt's diameter, as a part of it", Measure::Number, Twin::both(0.03));
    /// Least thickness of the round washers.
    RoundWasherLeast = standard("round_washer_least", "least thickness of the round washers", MM, twin(0.003, INCH / 8.0)).seen(HANDBOOK);
    /// Greatest thickness of the round washers.
    RoundWasherMost = standard("round_washer_most", "greatest thickness of the round washers", MM, twin(0.006, INCH / 4.0)).seen(HANDBOOK);
    /// Least thickness of the keeper.
    KeeperLeast = standard("keeper_least", "least thickness of the keeper sheet", MM, twin(0.38e-3, 0.015 * INCH)).recalled(KEEPERS);
    /// Greatest thickness of the keeper.
    KeeperMost = standard("keeper_most", "greatest thickness of the keeper sheet", MM, twin(1.0e-3, 0.040 * INCH)).recalled(KEEPERS);
    /// Mass of the support.
    SupportMass = standard("support_mass", "greatest mass of the support", Measure::Quantity(Dimension::Mass, "kg"), twin(454.0, 453.592_37)).seen("AASHTO support specifications: 454 kg (1000 lb)");
    /// Angle out of plumb at which a pole hangs from its sling before something must hold it.
    HangOutOfPlumb = standard("hang_out_of_plumb", "angle out of plumb at which a pole may hang from its sling by itself", ANGLE, Twin::both(5.0 * DEG));
    /// Turn of the arm's cap screws from snug.
    CapScrewTurn = standard("cap_screw_turn", "turn of the arm's cap screws from snug", ANGLE, Twin::both(120.0 * DEG));
    /// Threads that should stand out of the nut.
    ProjectingThreads = standard("projecting_threads", "threads that stand out of the nut, as good practice", Measure::Number, Twin::both(3.0));
}

impl Bound {
    /// The limit of that key.
    pub fn named(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|b| b.standard().key == key)
    }
}

impl TryFrom<String> for Bound {
    type Error = String;

    fn try_from(key: String) -> Result<Self, String> {
        Self::named(&key).ok_or_else(|| format!("`{key}` is no limit"))
    }
}
