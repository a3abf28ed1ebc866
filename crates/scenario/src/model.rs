//! The resolved scenario: every value in SI, nothing left to default.
//!
//! These are plain data. The file grammar (text with units, defaults, diagnostics) lives beside this
//! module; mechanics, impact, occupant and results read only these structs.
//! Frames: site frame x along the road in the direction of traffic, y to the left, z up, origin on the
//! ground at the pole axis. Azimuths and headings are anticlockwise from site x, in radians.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::words::words;

pub use crate::as_found::*;
// `Lump` itself is the mass on a pole.
pub use crate::as_found::Lump as NotchLump;

pub use crate::event::{ArmHold, Follow, Ground, Skin, Strip, StripUse};

/// One impact, fully specified.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// One line that names the run.
    pub title: String,
    /// Free text; may be empty.
    pub notes: String,
    /// Ground, gravity and wind at the pole.
    pub site: Site,
    /// What flies: pole, arms, lumps, upper slip plate.
    pub support: Support,
    /// The slip joint between the support and the ground, as designed.
    pub base: SlipBase,
    /// What was found on site where it differs from the design.
    pub as_found: AsFound,
    /// The striking vehicle.
    pub vehicle: Vehicle,
    /// How the vehicle meets the pole.
    pub impact: Impact,
    /// How vehicle and pole are followed after the engagement.
    pub flight: Follow,
    /// Which documents judge the run.
    pub criteria: Criteria,
    /// Numerical settings.
    pub solver: Solver,
    /// What is recorded.
    pub output: Output,
}

/// Ground, gravity and design wind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Name of the (invented) place.
    pub name: String,
    /// Acceleration of gravity, m/s^2.
    pub gravity_mps2: f64,
    /// Height of the slip plane (top of the lower plate) above the ground, m.
    pub slip_plane_height_m: f64,
    /// Tyre-road friction coefficient.
    pub road_friction: f64,
    /// Design wind, 3 s gust at 10 m, m/s.
    pub wind_speed_mps: f64,
    /// Wind of the service grade (yearly), 3 s gust at 10 m, m/s.
    pub wind_service_mps: f64,
    /// Wind of the survival grade (700-year), 3 s gust at 10 m, m/s.
    pub wind_survival_mps: f64,
    /// Gust factor G.
    pub wind_gust_factor: f64,
    /// Importance factor I_r.
    pub wind_importance: f64,
    /// Cross-section of the ground.
    pub ground: Ground,
}

/// Material of a tubular member.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Name in the scenario.
    pub name: String,
    /// Density, kg/m^3.
    pub density_kgpm3: f64,
    /// Young's modulus, Pa.
    pub youngs_pa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Yield strength F_y, Pa.
    pub yield_pa: f64,
    /// Tensile strength F_u, Pa.
    pub ultimate_pa: f64,
}

/// Cross-section of a tubular member; diameters are across the flats for polygons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Section {
    /// Round tube.
    Round,
    /// Square tube, 4 sides.
    Square,
    /// 8-sided tube.
    EightSided,
    /// 12-sided tube.
    TwelveSided,
    /// 16-sided tube.
    SixteenSided,
}

words!(Section {
    Round = "round",
    Square = "square",
    EightSided = "8-sided",
    TwelveSided = "12-sided",
    SixteenSided = "16-sided",
});

/// Tapered thin-walled tube.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// Shape of the section.
    pub section: Section,
    /// Outside diameter at the base (pole foot, arm root), m.
    pub base_diameter_m: f64,
    /// Outside diameter at the tip, m.
    pub tip_diameter_m: f64,
    /// Wall thickness, m.
    pub wall_m: f64,
    /// Material.
    pub material: Material,
}

/// Everything above the slip plane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Support {
    /// The pole's tube, standing on the upper slip plate.
    pub pole: Tube,
    /// Length of the pole from the underside of the upper plate to its tip, m.
    pub pole_length_m: f64,
    /// Mast arms.
    pub arms: Vec<Arm>,
    /// Extra point masses: signs, cameras, a post-top lantern.
    pub lumps: Vec<Lump>,
    /// Mass of the upper slip plate with its welds, kg.
    pub plate_mass_kg: f64,
    /// Damping ratio of the elastic modes.
    pub damping_ratio: f64,
}

/// A mast arm with its luminaire at the end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Arm {
    /// The arm's tube, root to tip.
    pub tube: Tube,
    /// Height of the arm's root above the pole foot, m.
    pub attachment_height_m: f64,
    /// Azimuth of the arm in the site frame, rad.
    pub azimuth_rad: f64,
    /// Horizontal reach, m.
    pub reach_m: f64,
    /// Rise of the tip over the root, m.
    pub rise_m: f64,
    /// Luminaires carried by this arm.
    pub luminaires: Vec<Luminaire>,
    /// How the arm is fixed to the pole.
    pub joint: ArmJoint,
}

/// The flange joint of an arm: cap screws on a circle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ArmJoint {
    /// Number of cap screws.
    pub screws: usize,
    /// The cap screws.
    pub screw: Bolt,
    /// Diameter of their circle, m.
    pub circle_m: f64,
    /// Clamped thickness under the screw's head: flange and washer, m.
    pub grip_m: f64,
    /// Depth of the tapped hole, m.
    pub tapped_m: f64,
    /// Length of the screws under the head as supplied, m; none = the sheet chooses it.
    pub length_m: Option<f64>,
}

/// A luminaire on an arm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Luminaire {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Distance of its centre of mass beyond the arm's tip, horizontally along the arm, m.
    pub lever_m: f64,
    /// Area exposed to wind, m^2.
    pub drag_area_m2: f64,
    /// Drag coefficient.
    pub drag_coefficient: f64,
}

/// A point mass fixed to the pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lump {
    /// What it is.
    pub name: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Height above the pole foot, m.
    pub height_m: f64,
    /// Horizontal distance from the pole axis, m.
    pub offset_m: f64,
    /// Direction of that offset in the site frame, rad.
    pub azimuth_rad: f64,
    /// Area exposed to wind, m^2.
    pub drag_area_m2: f64,
    /// Drag coefficient.
    pub drag_coefficient: f64,
}

/// How the foot is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Anchorage {
    /// A slip base as described.
    Slip,
    /// The support is an immovable obstacle (an instrumented rigid pole); only the crush acts.
    Fixed,
}

words!(Anchorage {
    Slip = "slip",
    Fixed = "fixed",
});

/// The slip base. Bolts are numbered from 1 anticlockwise, starting at `first_bolt_azimuth_rad`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlipBase {
    /// Slip base or fixed obstacle.
    pub anchorage: Anchorage,
    /// Number of clamped bolts, 3 or 4.
    pub bolt_count: usize,
    /// Diameter of the bolt circle, m.
    pub bolt_circle_m: f64,
    /// Azimuth of the first bolt, rad.
    pub first_bolt_azimuth_rad: f64,
    /// The bolts.
    pub bolt: Bolt,
    /// Tightening torque, N.m, where the clamp was given as a torque.
    pub torque_nm: Option<f64>,
    /// Nut factor K in T = K d F.
    pub nut_factor: f64,
    /// Loss of preload by relaxation, 0 to 1.
    pub relaxation: f64,
    /// Preload of each bolt at the time of the impact, N: (1 - r) T / (K d), or given directly.
    pub preload_n: f64,
    /// Angle between notch axis and notch wall, beta, rad (half of the included angle).
    pub notch_half_angle_rad: f64,
    /// Free travel of a seated bolt to its release, L, m.
    pub notch_travel_m: f64,
    /// Width of the notch at the seated bolt: the span of the plate washers, m.
    pub notch_span_m: f64,
    /// Thickness of the upper plate, m.
    pub upper_plate_m: f64,
    /// Thickness of the lower plate, m.
    pub lower_plate_m: f64,
    /// Radius of the circle that circumscribes the lower plate, m.
    pub plate_radius_m: f64,
    /// Yield strength of the plates, Pa.
    pub plate_yield_pa: f64,
    /// Tensile strength of the plates, Pa.
    pub plate_ultimate_pa: f64,
    /// Young's modulus of the plates, Pa.
    pub plate_youngs_pa: f64,
    /// Plate washer under head and nut: outside diameter (or side), m.
    pub plate_washer_diameter_m: f64,
    /// Plate washer thickness, m.
    pub plate_washer_m: f64,
    /// Yield strength of the plate washers, Pa.
    pub plate_washer_yield_pa: f64,
    /// Round washer between the plates: outside diameter, m.
    pub round_washer_diameter_m: f64,
    /// Round washer thickness, m.
    pub round_washer_m: f64,
    /// Keeper sheet; none where it is absent.
    pub keeper: Option<Keeper>,
    /// Static friction under head and nut, mu_o.
    pub friction_outer: f64,
    /// Static friction between plates, washers and keeper, mu_i.
    pub friction_inner: f64,
    /// Static friction of the bolt on the notch wall, mu_w.
    pub friction_wall: f64,
    /// Sliding friction under head and nut.
    pub sliding_outer: f64,
    /// Sliding friction between plates, washers and keeper.
    pub sliding_inner: f64,
    /// Sliding friction of the bolt on the notch wall.
    pub sliding_wall: f64,
    /// Sliding speed at which half of the difference between static and sliding friction is left, m/s.
    pub friction_transition_mps: f64,
    /// Length of the slip bolts under the head as supplied, m; none = the sheet chooses it.
    pub bolt_length_m: Option<f64>,
    /// Axial stiffness of one bolt k_b, N/m; none = from its geometry.
    pub bolt_stiffness_npm: Option<f64>,
    /// Stiffness of the clamped stack at one bolt k_c, N/m; none = from its geometry.
    pub clamp_stiffness_npm: Option<f64>,
    /// Distance from the pole's wall to the bolt over which the plates bend, m.
    pub plate_lever_m: f64,
    /// Elastic length of the plates over their lever.
    pub plate_give: f64,
    /// Stiffness of both plates between wall and bolt k_p, N/m; none = from their geometry.
    pub plate_stiffness_npm: Option<f64>,
    /// Load introduction factor n of the joint diagram.
    pub load_introduction: f64,
}

/// A slip bolt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bolt {
    /// Size as written, for example `M27` or `1-1/8 in`.
    pub size: String,
    /// Grade as written, for example `8.8` or `A325`.
    pub grade: String,
    /// Nominal diameter d, m.
    pub diameter_m: f64,
    /// Thread pitch, m.
    pub pitch_m: f64,
    /// Tensile stress area A_s, m^2.
    pub stress_area_m2: f64,
    /// Young's modulus, Pa.
    pub youngs_pa: f64,
    /// Yield strength, Pa.
    pub yield_pa: f64,
    /// Tensile strength, Pa.
    pub ultimate_pa: f64,
    /// Elongation at rupture, as a fraction of the grip.
    pub elongation: f64,
    /// Height of the head, m.
    pub head_height_m: f64,
    /// Width of head and nut across the flats, m.
    pub across_flats_m: f64,
    /// Height of the nut, m.
    pub nut_height_m: f64,
}

/// Keeper sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Keeper {
    /// Thickness t_k, m.
    pub thickness_m: f64,
    /// Edge distance of its bolt holes e_k, m.
    pub edge_distance_m: f64,
    /// Tensile strength, Pa.
    pub ultimate_pa: f64,
}

/// The striking vehicle (or the pendulum, or the bogie).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Vehicle {
    /// Class name as in the scenario file.
    pub class: String,
    /// Guided: the mass keeps its heading and height (a pendulum or a railed bogie); no tyres act.
    pub guided: bool,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Height of the centre of mass above the ground, m.
    pub cg_height_m: f64,
    /// Distance from the centre of mass to the foremost line of the body, m.
    pub cg_to_front_m: f64,
    /// Overall length, m.
    pub length_m: f64,
    /// Overall width, m.
    pub width_m: f64,
    /// Distance from the centre of mass to the front axle, m.
    pub cg_to_front_axle_m: f64,
    /// Wheelbase, m.
    pub wheelbase_m: f64,
    /// Track, m.
    pub track_m: f64,
    /// Roll inertia about x, kg.m^2.
    pub roll_inertia_kgm2: f64,
    /// Pitch inertia about y, kg.m^2.
    pub pitch_inertia_kgm2: f64,
    /// Yaw inertia about z, kg.m^2.
    pub yaw_inertia_kgm2: f64,
    /// Height of the underside above the ground (lowest part between the wheels), m.
    pub underside_m: f64,
    /// Vertical stiffness of one wheel with its suspension, N/m.
    pub wheel_stiffness_npm: f64,
    /// Vertical damping of one wheel, N.s/m.
    pub wheel_damping_nspm: f64,
    /// Front face.
    pub front: Face,
    /// Side face (both sides alike).
    pub side: Face,
    /// How the part behind a struck side moves against the rest of the vehicle.
    pub side_body: StruckBody,
    /// Friction between the face and the pole.
    pub face_friction: f64,
    /// Side view of the body from front to rear: (distance behind the foremost line, height above ground), m.
    pub outline: Vec<(f64, f64)>,
    /// What falls on the upper side of the body meets this.
    pub skin: Skin,
    /// Occupant's head ahead of the centre of mass, x0, m (negative = behind).
    pub head_x_m: f64,
    /// Occupant's head to the left of the centre of mass, y0, m.
    pub head_y_m: f64,
}

/// The part of the body behind a struck side, which a pole stops before the rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StruckBody {
    /// Its share of the vehicle's mass; 0 = the vehicle is one rigid body.
    pub share: f64,
    /// Elastic stiffness of its coupling with the rest, N/m.
    pub stiffness_npm: f64,
    /// Force at which the body begins to bend round the pole, N.
    pub yield_n: f64,
    /// Rise of that force with the way, N/m.
    pub hardening_npm: f64,
}

/// A struck face: horizontal bands, each with its force-crush law for a narrow object.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Face {
    /// Bands from low to high.
    pub bands: Vec<Band>,
}

/// One horizontal band of a struck face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Name, for example `bumper`.
    pub name: String,
    /// Lower edge above the ground, m.
    pub lower_m: f64,
    /// Upper edge above the ground, m.
    pub upper_m: f64,
    /// How far the band lies behind the face's foremost line, m.
    pub setback_m: f64,
    /// Force-crush polyline (crush in m, force in N), starting at (0, 0) with crush strictly rising;
    /// forces may stay level or fall. Beyond the last point the last slope continues.
    pub crush_curve: Vec<(f64, f64)>,
    /// Unloading slope k_u, N/m.
    pub unloading_npm: f64,
}

/// Which face meets the pole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StruckFace {
    /// The front.
    Front,
    /// The left side.
    LeftSide,
    /// The right side.
    RightSide,
}

words!(StruckFace {
    Front = "front",
    LeftSide = "left-side",
    RightSide = "right-side",
});

/// How the vehicle meets the pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Impact {
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Heading psi of the vehicle's x axis, rad.
    pub heading_rad: f64,
    /// Direction of the velocity, rad; equals the heading unless the car slides.
    pub velocity_direction_rad: f64,
    /// Struck face.
    pub face: StruckFace,
    /// Where the pole axis meets the face, m. Front: distance to the left (+) of the vehicle's centre line.
    /// Side: distance ahead (+) of the centre of mass.
    pub offset_m: f64,
    /// Fraction of full braking, 0 to 1.
    pub braking: f64,
}

/// Which documents judge the run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Criteria {
    /// The judging documents, first one governs the headline verdict.
    pub sets: Vec<CriteriaSet>,
    /// Limits that override the document's, by key (see `docs/scenario.md`), in the key's unit.
    pub overrides: Vec<LimitOverride>,
    /// What predictive ranges of numbers of the motion do.
    pub ranges: RangeUse,
}

/// What the predictive ranges of numbers of the motion do in a results folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RangeUse {
    /// They stand beside the values; the values are judged.
    Tell,
    /// They are judged.
    Decide,
    /// They are not computed.
    None,
}

words!(RangeUse {
    Tell = "tell",
    Decide = "decide",
    None = "none",
});

/// A judging document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CriteriaSet {
    /// MASH 2016, breakaway supports.
    #[serde(rename = "mash-2016")]
    Mash2016,
    /// NCHRP Report 350, breakaway supports.
    #[serde(rename = "nchrp-350")]
    Nchrp350,
    /// NCHRP Report 230, breakaway supports.
    #[serde(rename = "nchrp-230")]
    Nchrp230,
    /// AASHTO support specifications 1994 on: vehicle velocity change.
    #[serde(rename = "aashto-1994")]
    Aashto1994,
    /// AASHTO support specifications 1985: vehicle velocity change.
    #[serde(rename = "aashto-1985")]
    Aashto1985,
    /// EN 12767:2019.
    #[serde(rename = "en-12767")]
    En12767,
}

words!(CriteriaSet {
    Mash2016 = "mash-2016",
    Nchrp350 = "nchrp-350",
    Nchrp230 = "nchrp-230",
    Aashto1994 = "aashto-1994",
    Aashto1985 = "aashto-1985",
    En12767 = "en-12767",
});

/// One overridden limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitOverride {
    /// Key of the limit: `oiv_longitudinal_mps`, `oiv_lateral_mps`, `ridedown_g`, `velocity_change_mps`,
    /// `asi`, `thiv_mps`, `stub_height_m`, `support_mass_kg`, `support_height_m`, `roll_pitch_rad`.
    pub key: String,
    /// Value, SI (g where the key says g).
    pub value: f64,
    /// Where the value comes from.
    pub source: String,
}

/// Numerical settings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Solver {
    /// Elastic free-free modes kept, besides the attachment shapes; 0 = rigid support.
    pub elastic_modes: usize,
    /// Beam elements on the pole, at least 20.
    pub pole_elements: usize,
    /// Beam elements on each arm.
    pub arm_elements: usize,
    /// Largest time step, s. The solver takes the whole fraction of 100 us that is stable and no larger than this.
    pub step_s: f64,
    /// Stick stiffness of one bolt in the slip plane, N/m.
    pub stick_stiffness_npm: f64,
    /// Loss factor time of the clamped stack: normal damping force = this times stiffness times opening rate, s.
    pub joint_damping_s: f64,
    /// Longest engagement, s.
    pub engagement_limit_s: f64,
    /// Longest record including the roll-out of the vehicle, s.
    pub record_limit_s: f64,
}

/// What is recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Output {
    /// Write time histories (Parquet and CSV).
    pub history: bool,
    /// Draw figures (SVG and PNG).
    pub figures: bool,
}
