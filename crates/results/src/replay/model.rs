//! What `replay.json` holds.

use giveway_scenario::model::{Conduit, Grout, NotchLump, Rust, SoilBehind, StripUse, Stub};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Version of the layout of `replay.json`.
pub const REPLAY_FORMAT: u32 = 1;

/// The motion of one run, for a moving picture. Lengths m, times s after first touch, site frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Replay {
    /// Version of this layout.
    pub format: u32,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Title of the scenario.
    pub title: String,
    /// Said with every verdict.
    pub caution: String,
    /// blake3 of the resolved scenario text.
    pub input_blake3: String,
    /// Last instant of any track, s.
    pub end_s: f64,
    /// End of the engagement, s.
    pub engagement_end_s: f64,
    /// Until here a player runs slowly, s: last release or contact and a little more.
    pub slow_until_s: f64,
    /// Unit of the tracks' times, s.
    pub tick_s: f64,
    /// The verdict of the governing document.
    pub headline: ReplayHeadline,
    /// A few numbers for a caption.
    pub numbers: Vec<ReplayNumber>,
    /// What does not move.
    pub scene: Scene,
    /// What moves.
    pub tracks: Vec<Track>,
    /// Instants with a name, in order.
    pub events: Vec<Event>,
    /// What became of each bolt.
    pub bolts: Vec<BoltEnd>,
    /// Anchor-bar stubs and conduit in the slip plane that took part.
    #[serde(default)]
    pub bars: Vec<StandingBar>,
    /// Findings that a person must see, in sentences.
    pub sentences: Vec<String>,
}

/// The verdict in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReplayHeadline {
    /// `pass`, `marginal`, `fail`, `not-evaluated`, or `none` where no document judges.
    pub outcome: String,
    /// One sentence.
    pub sentence: String,
}

/// A number for a caption.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReplayNumber {
    /// What it is.
    pub name: String,
    /// Value in the unit.
    pub value: f64,
    /// Unit.
    pub unit: String,
}

/// An instant with a name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Event {
    /// Time, s.
    pub time_s: f64,
    /// A few words.
    pub label: String,
    /// Number of the bolt that it is about, from 1; null for other events.
    pub bolt: Option<usize>,
}

/// What became of a bolt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BoltEnd {
    /// Number, from 1.
    pub number: usize,
    /// How it ended, a word of `summary.json`.
    pub fate: String,
    /// When it was released, s; null where it held.
    pub release_time_s: Option<f64>,
    /// The same in words.
    pub words: String,
}

/// A stub or the conduit in the slip plane.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StandingBar {
    /// Number of the stub, from 1; null for the conduit.
    pub stub: Option<usize>,
    /// Whether it has given way by the end.
    pub sheared: bool,
}

/// How a track is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TrackKind {
    /// Place and unit quaternion of a body: x, y, z, w, i, j, k.
    Pose,
    /// Points of a line, x, y, z each.
    Line,
    /// Columns that mean what their names say.
    State,
    /// A force and the place where it acts.
    Force,
    /// One column for a chart.
    Curve,
}

/// One thing in the course of time. time_i = tick (t_0 + ... + t_i); value_ci = scale_c (v_c0 + ... + v_ci); linear
/// between samples, held before the first and after the last.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Track {
    /// Name.
    pub name: String,
    /// How it is read.
    pub kind: TrackKind,
    /// Names of the columns, with units.
    pub columns: Vec<String>,
    /// Unit of each column's whole numbers.
    pub scale: Vec<f64>,
    /// It holds from here, s.
    pub from_s: f64,
    /// ... to here, s; null = to the end.
    pub until_s: Option<f64>,
    /// Times of the samples, ticks: the first, then differences.
    pub times: Vec<i64>,
    /// For each column: its first value, then differences.
    pub values: Vec<Vec<i64>>,
}

/// What does not move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Scene {
    /// Ground.
    pub site: SiteScene,
    /// Vehicle.
    pub vehicle: VehicleScene,
    /// Pole.
    pub pole: PoleScene,
    /// Arms.
    pub arms: Vec<ArmScene>,
    /// Slip base as found.
    pub base: BaseScene,
    /// What was found on site.
    pub found: FoundScene,
}

/// Ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SiteScene {
    /// Height of the slip plane above the ground, as found, m.
    pub slip_plane_height_m: f64,
    /// Slope beyond `slope_from_m`, rad; positive = rising away from the pole.
    pub slope_rad: f64,
    /// Where it begins, site y, m.
    pub slope_from_m: f64,
    /// Strips of the cross-section.
    pub strips: Vec<StripScene>,
}

/// A strip along the road.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StripScene {
    /// Name.
    pub name: String,
    /// Who uses it.
    pub used_by: StripUse,
    /// Right edge, site y, m.
    pub right_m: f64,
    /// Left edge, site y, m.
    pub left_m: f64,
}

/// Vehicle. Points of the side view: behind the foremost line, above the ground of the standing vehicle, m.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VehicleScene {
    /// Class.
    pub name: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// A pendulum or railed bogie: without wheels.
    pub guided: bool,
    /// Length, m.
    pub length_m: f64,
    /// Width, m.
    pub width_m: f64,
    /// Height of the centre of mass, m.
    pub cg_height_m: f64,
    /// From the centre of mass to the foremost line, m.
    pub cg_to_front_m: f64,
    /// From the centre of mass to the front axle, m.
    pub cg_to_front_axle_m: f64,
    /// Wheelbase, m.
    pub wheelbase_m: f64,
    /// Track, m.
    pub track_m: f64,
    /// Radius of the wheels, drawn from proportions, m.
    pub wheel_radius_m: f64,
    /// Underside, m.
    pub underside_m: f64,
    /// Width of the roof, m.
    pub roof_width_m: f64,
    /// Closed contour of the side view.
    pub side_view: Vec<[f64; 2]>,
    /// Windows, drawn from proportions; null where there are none.
    pub windows: Option<Glass>,
    /// Struck face: `front`, `left-side` or `right-side`.
    pub face: String,
    /// Bands of the struck face, from low to high.
    pub bands: Vec<BandScene>,
}

/// Windows of a car in its side view.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Glass {
    /// Contour above the waist, closed by it.
    pub side: Vec<[f64; 2]>,
    /// Height of the waist, m.
    pub waist_m: f64,
    /// Where the roof begins and ends, m.
    pub roof: [f64; 2],
    /// Where the glass begins and ends, m.
    pub glass: [f64; 2],
}

/// A band of the struck face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BandScene {
    /// Name.
    pub name: String,
    /// Lower edge, m.
    pub lower_m: f64,
    /// Upper edge, m.
    pub upper_m: f64,
    /// How far it lies behind the foremost line, m.
    pub setback_m: f64,
}

/// Pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PoleScene {
    /// Number of sides; 0 = round.
    pub sides: u32,
    /// Radius at each point of the track `pole_axis`, m.
    pub radii_m: Vec<f64>,
}

/// An arm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ArmScene {
    /// Radius at each point of its track that belongs to the arm, m. A luminaire's point follows them without a radius.
    pub radii_m: Vec<f64>,
    /// What it carries; null where it carries nothing.
    pub luminaire: Option<LampBox>,
}

/// A luminaire as a box along its arm (assumed: the scenario knows no sizes).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LampBox {
    /// Length along the arm, m.
    pub length_m: f64,
    /// Width, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
}

/// Slip base as found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BaseScene {
    /// An immovable obstacle: there is no slip base.
    pub fixed: bool,
    /// Number of bolts.
    pub bolt_count: usize,
    /// Bolt circle, m.
    pub bolt_circle_m: f64,
    /// Radius of the circle around the plates, m.
    pub plate_radius_m: f64,
    /// Thickness of the upper plate, m.
    pub upper_plate_m: f64,
    /// Thickness of the lower plate, m.
    pub lower_plate_m: f64,
    /// Half of the angle between the walls of a notch, rad.
    pub notch_half_angle_rad: f64,
    /// Travel of a bolt to its release, m.
    pub notch_travel_m: f64,
    /// Width of the notch at the seated bolt, m.
    pub notch_width_m: f64,
    /// Bolts.
    pub bolt: BoltSize,
    /// Plate washer under head and nut.
    pub plate_washer: Washer,
    /// Round washer between the plates.
    pub round_washer: RoundWasher,
    /// Keeper sheet; null where it is missing.
    pub keeper: Option<KeeperSheet>,
    /// Azimuth of each bolt as found, rad.
    pub azimuths_rad: Vec<f64>,
    /// A pier that can move; null = firm.
    pub foundation: Option<PierSize>,
}

/// A slip bolt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BoltSize {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Height of the head, m.
    pub head_height_m: f64,
    /// Width of head and nut across the flats, m.
    pub across_flats_m: f64,
    /// Height of the nut, m.
    pub nut_height_m: f64,
    /// Length under the head, m.
    pub length_m: f64,
}

/// A washer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Washer {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Thickness, m.
    pub thickness_m: f64,
}

/// The round washers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RoundWasher {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Left out.
    pub missing: bool,
}

/// The keeper sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct KeeperSheet {
    /// Thickness, m.
    pub thickness_m: f64,
    /// Edge distance of its holes, m.
    pub edge_distance_m: f64,
}

/// A pier in the ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PierSize {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Length, m.
    pub length_m: f64,
}

/// What was found on site, as in the scenario.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FoundScene {
    /// Grout at the bolt heads.
    pub grout: Option<Grout>,
    /// Ends of anchor bars.
    pub stubs: Vec<Stub>,
    /// Conduit.
    pub conduit: Option<Conduit>,
    /// Lumps in notches.
    pub lumps: Vec<NotchLump>,
    /// Soil behind the foot.
    pub soil: Option<SoilBehind>,
    /// Rust.
    pub rust: Rust,
}
