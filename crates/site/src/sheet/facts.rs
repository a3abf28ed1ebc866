//! What stands on the sheet, as data. Everything in SI.

use giveway_mechanics::erection::{
    ArmJointCheck, Balance, BoltLength, Hang, LevelLine, Series, Tightening,
};
use giveway_mechanics::service::{FatigueDetail, Recheck};
use giveway_mechanics::strength::InputError;
use giveway_results::summary::GradeCheck;
use giveway_scenario::model::{Arm, SlipBase, Tube};
use giveway_units::System;
use schemars::JsonSchema;
use serde::Serialize;

use crate::requirements::{Requirement, item};

/// Why there is no sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// Nothing to erect on a slip base.
    #[error(
        "slip_base.anchorage is \"fixed\": an immovable obstacle has no slip bolts, so there is nothing to install; \
         set it to \"slip\""
    )]
    FixedAnchorage,
    /// A value of the design that the sheet cannot do with.
    #[error("the sheet cannot be computed: {0}")]
    Value(#[from] InputError),
}

/// The sheet. Everything in SI.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct InstallationSheet {
    /// Title of the scenario.
    pub title: String,
    /// Name of the place.
    pub place: String,
    /// Profile and revision that the limits come from.
    pub profile: String,
    /// The agency's document for this work.
    pub drawing: Option<String>,
    /// Units of the sentences: `si` or `us`. Numbers are SI.
    pub units: String,
    /// Where the base is put together: `ground` or `foundation`.
    pub assembly: String,
    /// Turn of the arm's cap screws from snug by the practice rule, rad.
    pub cap_screw_turn_rad: f64,
    /// Angle out of plumb at which the pole may hang from its sling by itself, rad.
    pub hang_limit_rad: f64,
    /// Whether the bolts reach through their whole nut.
    pub full_nut: bool,
    /// The design that is drawn.
    pub design: Design,
    /// Length of the slip bolts and its checks.
    pub bolts: BoltLength,
    /// Series of the slip bolts.
    pub bolt_series: Series,
    /// Torque and clamp.
    pub tightening: Tightening,
    /// Bolts in the order in which each stage goes round, from 1.
    pub tightening_order: Vec<usize>,
    /// Tolerance of the torque, as a fraction of it.
    pub torque_tolerance: f64,
    /// Whether the tightened base holds the design wind.
    pub wind: WindHold,
    /// Mass, balance, sling and lines.
    pub lift: Lift,
    /// The sling on the arm, and the rope; none where there is no arm to sling.
    pub sling: Option<ArmSling>,
    /// What a level shows on the shaft once the sling is off, out of plumb towards the lean (mm in 1 m = 1e3 x rad).
    pub level: LevelReads,
    /// Lean under the dead load.
    pub lean: LeanFacts,
    /// Years of service.
    pub service: Service,
    /// The arms.
    pub arms: Vec<ArmSheet>,
    /// What must be kept clear.
    pub clearances: Vec<Clearance>,
    /// Every limit and rule of the trade on the sheet, with its source.
    pub limits: Vec<SheetLimit>,
    /// The work in its order.
    pub steps: Vec<Step>,
    /// What somebody must settle before the work begins.
    pub remarks: Vec<String>,
    /// The caution.
    pub caution: String,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Design {
    /// The slip base.
    pub base: SlipBase,
    /// The pole.
    pub pole: Tube,
    /// Its length, m.
    pub pole_length_m: f64,
    /// The arms.
    pub arms: Vec<Arm>,
    /// Height of the lower plate's top above the ground, m.
    pub slip_plane_height_m: f64,
    /// Its greatest height over the chord, m.
    pub stub_limit_m: f64,
    /// The chord, m.
    pub chord_m: f64,
    /// Least gap from the grout to the underside of a bolt head, m.
    pub grout_clear_m: f64,
    /// Least thickness of the plate washers that does not bend into the notch at the clamp, m; none where the design
    /// does not give it.
    pub least_plate_washer_m: Option<f64>,
    /// Greatest slope of the lower plate, rad.
    pub level_rad: f64,
}

/// The clamped base under dead load and wind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WindHold {
    /// Design wind, m/s.
    pub wind_mps: f64,
    /// Whether service and strength are met.
    pub holds: bool,
    /// Service, strength and survival, each with its wind.
    pub grades: Vec<GradeCheck>,
    /// Least washer force over preload in the design wind.
    pub gap_margin: f64,
}

/// Mass, balance, sling and lines.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lift {
    /// With arms, luminaires and all that is fixed.
    pub whole: Balance,
    /// Without arms and luminaires; none where there are none.
    pub bare: Option<Balance>,
    /// How it hangs from a sling round the shaft.
    pub hang: Hang,
    /// What holds it level while it lies in that sling; none where the sling is at the tip.
    pub level: Option<LevelLine>,
}

/// The sling round the arm at the balance point of pole with arm. A sling hangs plumb under the hook; pole and arm hang
/// under it with their centre of mass below it (statics, derived). The rope near the luminaire turns the load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct ArmSling {
    /// Number of the arm, from 1.
    pub arm: usize,
    /// Sling from the pole's axis, along the ground, m.
    pub out_m: f64,
    /// Sling above the foot, m.
    pub height_m: f64,
    /// Pole out of plumb when it hangs free, rad: nothing where the sling lies plumb above the balance point.
    pub lean_rad: f64,
    /// Rope from the pole's axis, m.
    pub rope_m: f64,
}

/// What a level shows on the outline of the shaft, rad out of plumb, positive towards the lean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct LevelReads {
    /// Half of the taper: outline against axis, rad.
    pub taper_rad: f64,
    /// Slope of the axis over the height of the level with the arm's weight on it and the foot plumb, rad.
    pub lean_rad: f64,
    /// On the back, the side away from the arm, after the sling is off and the back was plumbed in the sling, rad.
    pub back_rad: f64,
    /// On the front then, rad.
    pub front_rad: f64,
    /// Tip of the axis over the foot then, m, positive towards the lean.
    pub tip_m: f64,
}

/// Lean of the pole under the dead load of what hangs on it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeanFacts {
    /// Dead-load moment at the foot, N.m.
    pub moment_nm: f64,
    /// Displacement of the tip with the foot plumb, m.
    pub tip_m: f64,
    /// Slope of the axis at the tip, rad.
    pub tip_slope_rad: f64,
    /// Direction of the lean, rad; none where there is none.
    pub azimuth_rad: Option<f64>,
    /// Rake of the foot, away from that direction, that brings the tip over the foot, rad.
    pub rake_rad: f64,
    /// Displacement of the axis at a height that is reached with a long level, 1.5 m above the foot, m.
    pub at_level_m: f64,
}

/// What becomes of clamp, screws and foot in years of service.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Service {
    /// Part of the clamp as left by the wrench that is there after twenty years, where nothing walks.
    pub clamp_left: f64,
    /// When to read the torque again.
    pub recheck: Recheck,
    /// The foot under daily gusts; none where it cannot be computed.
    pub foot: Option<FatigueDetail>,
    /// The cap screws of each arm; none where they cannot be computed.
    pub arm_screws: Vec<Option<FatigueDetail>>,
}

/// One arm.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ArmSheet {
    /// Number, from 1.
    pub number: usize,
    /// The joint; none where it cannot be computed.
    pub joint: Option<ArmJointCheck>,
    /// Why not.
    pub problem: Option<String>,
}

/// Something that must be kept clear.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Clearance {
    /// What is required.
    pub requirement: String,
    /// Limit in words with its unit.
    pub limit: String,
    /// Where the limit comes from.
    pub source: String,
}

/// A step of the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Step {
    /// Number, from 1.
    pub number: usize,
    /// What to do.
    pub text: String,
    /// Why.
    pub why: String,
    /// What is read and written down, each beside an empty line.
    pub blanks: Vec<String>,
    /// What to do where it does not fit.
    pub otherwise: String,
    /// What must have been seen before the work goes on; none where this is no hold point.
    pub hold: Option<String>,
}

/// Height above the foot at which a crew plumbs with a long level, m (common practice, no source).
pub(super) const LEVEL_M: f64 = 1.5;
/// A balance point nearer to the pole's axis than this lies on it, m.
pub const OFF_AXIS_M: f64 = 0.0005;
/// A tip that moves less than this does not lean, m: two like arms leave only what rounding leaves.
pub(super) const LEANING_M: f64 = 1e-6;
/// What must be kept clear, in the order of the sheet: keys of the requirements.
pub(super) const CLEARANCES: [&str; 6] = [
    "grout_gap",
    "grout_notch_gap",
    "stub_projection",
    "conduit_projection",
    "plate_height",
    "soil_gap",
];

/// A limit or a rule of the trade, and where it comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SheetLimit {
    /// What is limited, in a word or two.
    pub name: String,
    /// What is limited.
    pub what: String,
    /// The limit with its unit.
    pub limit: String,
    /// Whether only a remark tells it, where the design does not keep to it.
    pub in_remarks_only: bool,
    /// Source with its mark `[seen]`, `[recalled]` or `[derived]`, or "common practice, no source".
    pub source: String,
}

impl InstallationSheet {
    /// The system of units of its sentences.
    pub fn system(&self) -> System {
        System::named(&self.units).unwrap_or_default()
    }
}

/// The requirement of that key.
pub(super) fn requirement(key: &str) -> Option<&'static Requirement> {
    item(key).map(|found| found.requirement())
}
