//! What one impact leaves behind: plain data, no arithmetic.
//!
//! Every quantity is SI; the suffix of a name gives its unit. Time zero is the first touch.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How the engagement ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    /// The vehicle passed the pole without touching it.
    NoContact,
    /// Every bolt was released and the foot and the struck face are clear.
    Released,
    /// The base (or part of it) held; the vehicle was stopped or thrown back.
    Held,
    /// The pole is an immovable obstacle by request.
    FixedObstacle,
    /// The time limit came first.
    TimeLimit,
}

/// How one bolt left its notches, if it did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BoltFate {
    /// Still clamped at the end.
    Held,
    /// Left the lower plate's notch (case a).
    LeftLowerNotch,
    /// The upper plate left the bolt behind (case b).
    LeftUpperNotch,
    /// Squeezed outward between one wall of each notch (case c).
    SqueezedOut,
    /// Sheared off.
    Sheared,
    /// Pulled apart in tension.
    Ruptured,
    /// Its nut's threads stripped.
    Stripped,
}

/// One bolt's story.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BoltOutcome {
    /// Number, from 1.
    pub number: usize,
    /// Azimuth in the site frame, rad.
    pub azimuth_rad: f64,
    /// How it ended.
    pub fate: BoltFate,
    /// When it was released, s.
    pub release_time_s: Option<f64>,
    /// Preload, N.
    pub preload_n: f64,
    /// Largest tension before the release, N.
    pub peak_tension_n: f64,
    /// When that was, s.
    pub peak_tension_time_s: f64,
    /// Largest force that the bolt carried across the slip plane, N.
    pub peak_slip_force_n: f64,
    /// Energy that its friction took, J.
    pub friction_j: f64,
    /// Energy that tearing the keeper at this bolt took, J.
    pub keeper_j: f64,
    /// Largest force of what was found on site against the lower plate that was reached while the bolt slid, N.
    pub held_lower_n: f64,
    /// The same against the upper plate, N.
    pub held_upper_n: f64,
    /// What was found on site can hold this much against the lower plate at first, reached or not, N.
    #[serde(default)]
    pub could_hold_lower_n: f64,
    /// The same against the upper plate, N.
    #[serde(default)]
    pub could_hold_upper_n: f64,
    /// Energy that what was found on site took at this bolt, J.
    pub held_j: f64,
}

/// A plastic hinge of the shaft: at the foot, or where it is struck.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fold {
    /// Plastic moment of the section, N.m; where it is struck, with the dent at the end.
    pub plastic_moment_nm: f64,
    /// When it first turned, s; null where the shaft stayed straight.
    pub since_s: Option<f64>,
    /// Angle of the hinge at the end of the engagement, less the elastic part, rad.
    pub angle_rad: f64,
    /// Sum of all its turning, rad.
    pub path_rad: f64,
}

/// A stub or the conduit in the slip plane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BarOutcome {
    /// Number of the stub, from 1; null for the conduit.
    pub stub: Option<usize>,
    /// Load at which it gives way, N.
    pub limit_n: f64,
    /// Largest force on the upper plate, N.
    pub peak_n: f64,
    /// Whether it has given way.
    pub sheared: bool,
    /// Energy that it took, J.
    pub energy_j: f64,
}

/// Energies and what became of them, J. Inflow = outflow + residual.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EnergyBook {
    /// Kinetic energy of the vehicle at first touch.
    pub initial_kinetic_j: f64,
    /// Kinetic energy of the vehicle now.
    pub vehicle_kinetic_j: f64,
    /// Kinetic energy of the support, rigid and elastic.
    pub support_kinetic_j: f64,
    /// Change of strain energy of the support's bending since first touch.
    pub bending_strain_j: f64,
    /// Change of potential energy of vehicle and support since first touch.
    pub gravity_j: f64,
    /// Change of elastic energy of the clamped joint since first touch (sticking and opening).
    pub joint_strain_j: f64,
    /// Taken by crushing the vehicle, including its elastic part.
    pub crush_j: f64,
    /// Taken by denting the tube wall.
    pub dent_j: f64,
    /// Taken by bolt friction.
    pub friction_j: f64,
    /// Taken by tearing the keeper.
    pub keeper_j: f64,
    /// Taken by bolts that sheared or yielded.
    pub bolt_failure_j: f64,
    /// Taken by rubbing of the plates after release.
    pub plate_rub_j: f64,
    /// Taken by the shaft's plastic hinge at its foot.
    pub fold_j: f64,
    /// Taken by crushing and breaking grout at the bolt heads.
    pub grout_j: f64,
    /// Taken by what stands in the slip plane (stubs, conduit, ...), including what it stores.
    pub bars_j: f64,
    /// Taken by plates that rub on each other because round washers are missing.
    pub mating_j: f64,
    /// Taken by climbing dished plate washers.
    pub dishing_j: f64,
    /// Taken by shearing lumps in the notches.
    pub lumps_j: f64,
    /// Taken by wall friction of bolts forced into notches that do not match.
    pub forcing_j: f64,
    /// Taken by the friction that rust adds.
    pub rust_j: f64,
    /// Taken by stripping the threads of nuts that are not fully on.
    pub stripping_j: f64,
    /// Taken by soil behind the foot.
    pub soil_j: f64,
    /// Taken by a foundation that moves: its motion, the ground's spring and its yielding.
    pub foundation_j: f64,
    /// Taken by rubbing of the struck face on the pole.
    pub face_rub_j: f64,
    /// Taken by tyres (slip, braking and their dampers) plus the change of their springs.
    pub tyre_j: f64,
    /// Taken by damping of bending and joint.
    pub damping_j: f64,
    /// Elastic energy of bolts and stack set free by releases.
    pub release_j: f64,
    /// What does not add up.
    pub residual_j: f64,
}

/// Momentum balance along the three site axes, N.s.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MomentumBook {
    /// Change of momentum of vehicle plus support.
    pub change_ns: [f64; 3],
    /// Impulse of ground, gravity, tyres and lower plate.
    pub external_impulse_ns: [f64; 3],
    /// Largest component of the difference, over the initial momentum.
    pub residual_fraction: f64,
}

/// Counts that show the work done.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WorkCount {
    /// Time steps of the engagement.
    pub steps: usize,
    /// Time steps of the vehicle's roll-out after the engagement.
    pub rollout_steps: usize,
    /// Located events (releases, keeper tears, shears).
    pub events: usize,
    /// Elastic coordinates used (modes and attachment shapes).
    pub elastic_coordinates: usize,
    /// Step while the joint is clamped, s.
    pub clamped_step_s: f64,
    /// Step after the last release, s.
    pub free_step_s: f64,
}

/// Mass properties of the support and its first frequencies.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SupportProperties {
    /// Mass of everything that flies, kg.
    pub mass_kg: f64,
    /// Centre of mass above the slip plane and off the axis (site axes), m.
    pub centre_m: [f64; 3],
    /// Inertia tensor about the centre of mass, row by row, kg.m^2.
    pub inertia_kgm2: [[f64; 3]; 3],
    /// First free-free frequencies, Hz.
    pub free_frequencies_hz: Vec<f64>,
    /// Largest static overturning moment at the foot by dead load, N.m.
    pub dead_moment_nm: f64,
}

/// Time histories on one clock. All vectors have the length of `time_s`.
#[derive(Debug, Clone, Default)]
pub struct Trace {
    /// Time since first touch, s; every 100 us.
    pub time_s: Vec<f64>,
    /// Named columns with their unit in the name, in file order.
    pub columns: Vec<Column>,
}

/// One recorded quantity.
#[derive(Debug, Clone)]
pub struct Column {
    /// Name with unit, for example `vehicle_speed_mps` or `bolt2_tension_n`.
    pub name: String,
    /// What it is, one line.
    pub meaning: &'static str,
    /// Values.
    pub values: Vec<f64>,
}

impl Trace {
    /// The column of that name.
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        self.columns
            .iter()
            .find(|c| c.name == name)
            .map(|c| c.values.as_slice())
    }
}

/// The vehicle's whole record (engagement and roll-out), evenly sampled, for the occupant numbers.
#[derive(Debug, Clone, Default)]
pub struct VehicleRecord {
    /// Sampling interval, s.
    pub interval_s: f64,
    /// Initial heading psi0, rad, and initial velocity in the site frame, m/s.
    pub heading_rad: f64,
    /// Velocity at first touch, site frame, m/s.
    pub velocity_mps: [f64; 3],
    /// Mean acceleration of the centre of mass over each interval, vehicle axes, m/s^2.
    pub acceleration_mps2: Vec<[f64; 3]>,
    /// Yaw rate at each interval's middle, rad/s.
    pub yaw_rate_radps: Vec<f64>,
    /// Centre of mass at each interval's end, site frame, m.
    pub position_m: Vec<[f64; 3]>,
    /// Velocity at each interval's end, site frame, m/s.
    pub end_velocity_mps: Vec<[f64; 3]>,
    /// Roll, pitch, yaw at each interval's end, rad.
    pub attitude_rad: Vec<[f64; 3]>,
    /// Number of intervals that belong to the engagement.
    pub engagement_intervals: usize,
}

/// Poses at one instant, for drawing to scale. Site frame, m.
#[derive(Debug, Clone, Serialize)]
pub struct Snapshot {
    /// Time, s.
    pub time_s: f64,
    /// What happens then, a few words.
    pub label: String,
    /// Vehicle's centre of mass.
    pub vehicle_position_m: [f64; 3],
    /// Vehicle's rotation, quaternion w, x, y, z (vehicle axes to site axes).
    pub vehicle_rotation: [f64; 4],
    /// Crush of each band of the struck face, m.
    pub crush_m: Vec<f64>,
    /// Points of the bent pole axis from foot to tip.
    pub pole_axis_m: Vec<[f64; 3]>,
    /// Points of each arm from root to tip, luminaire last.
    pub arms_m: Vec<Vec<[f64; 3]>>,
    /// Upper plate: centre and its rotation as quaternion w, x, y, z.
    pub plate_centre_m: [f64; 3],
    /// Rotation of the upper plate.
    pub plate_rotation: [f64; 4],
    /// Position of each bolt in the slip plane; none once it is gone.
    pub bolts_m: Vec<Option<[f64; 3]>>,
}

/// Poses and contact force at one instant of the motion.
#[derive(Debug, Clone)]
pub struct MotionFrame {
    /// Poses; the label is empty.
    pub pose: Snapshot,
    /// Force of the support on the vehicle, site frame, N.
    pub force_n: [f64; 3],
    /// Where it acts (weighted by force), site frame, m; none without contact.
    pub force_place_m: Option<[f64; 3]>,
}

/// The whole engagement.
#[derive(Debug, Clone)]
pub struct Engagement {
    /// How it ended.
    pub ending: Ending,
    /// When it ended, s after first touch.
    pub end_time_s: f64,
    /// When the last bolt was released, s.
    pub release_time_s: Option<f64>,
    /// Until when the velocity change is counted, s: the last touch of the struck face after which vehicle and support have
    /// parted, or the time at which a free occupant has met the interior where that comes first (a base that lets go only).
    pub contact_end_time_s: Option<f64>,
    /// When the plates had begun to slide (by 1 mm at a bolt), s.
    pub slip_onset_time_s: Option<f64>,
    /// Largest crush then, m.
    pub slip_onset_crush_m: Option<f64>,
    /// Largest crush at the last release, m.
    pub crush_at_release_m: Option<f64>,
    /// When a free occupant has crossed the flail space (0.6 m ahead or 0.3 m to the side) during the engagement, s.
    pub occupant_met_time_s: Option<f64>,
    /// Speed lost along the initial direction of travel at release of the last bolt, m/s.
    pub velocity_change_at_release_mps: Option<f64>,
    /// The velocity change that is counted, m/s: impulse of the contact along the initial direction of travel over the
    /// vehicle's mass, until vehicle and support have parted, or the occupant has met the interior.
    pub velocity_change_at_contact_end_mps: Option<f64>,
    /// The same at the end of the engagement, m/s.
    pub velocity_change_at_end_mps: f64,
    /// Largest contact force on the face, N, and when, s.
    pub peak_force_n: f64,
    /// When the largest contact force occurred, s.
    pub peak_force_time_s: f64,
    /// Impulse of the contact force along the initial direction of travel, N.s.
    pub contact_impulse_ns: f64,
    /// Largest crush over all bands, m.
    pub peak_crush_m: f64,
    /// Permanent crush of each band, m.
    pub permanent_crush_m: Vec<f64>,
    /// Depth of the dent in the tube wall (deepest band), m.
    pub dent_m: f64,
    /// Largest bending moment at the foot over the plastic moment there.
    pub foot_moment_ratio: f64,
    /// Largest bending moment at the contact height over the plastic moment there.
    pub contact_moment_ratio: f64,
    /// The shaft's plastic hinge at the foot.
    pub fold: Fold,
    /// The shaft's plastic hinge at the struck height.
    pub kink: Fold,
    /// Bars in the slip plane.
    pub bars: Vec<BarOutcome>,
    /// Largest force of soil behind the foot, N.
    pub soil_peak_n: f64,
    /// Largest movement of the foundation's top, m.
    pub foundation_peak_m: f64,
    /// Largest rise of bolt tension over the preload before release, fraction.
    pub tension_rise: f64,
    /// Which bolt (from 1) and when, s.
    pub tension_rise_bolt: usize,
    /// When the largest rise occurred, s.
    pub tension_rise_time_s: f64,
    /// Bolts.
    pub bolts: Vec<BoltOutcome>,
    /// Energy book at the end of the engagement.
    pub energy: EnergyBook,
    /// Momentum book at the end of the engagement.
    pub momentum: MomentumBook,
    /// Counts.
    pub work: WorkCount,
    /// Time histories of the engagement (empty unless asked for).
    pub trace: Trace,
    /// Vehicle's whole record.
    pub record: VehicleRecord,
    /// Instants for the storyboard (empty unless asked for).
    pub snapshots: Vec<Snapshot>,
    /// The whole motion, for a moving picture: the engagement, then the flight where the pole is followed (empty unless
    /// asked for).
    pub frames: Vec<MotionFrame>,
    /// The pole's flight, where the scenario follows it and the base let go.
    pub flight: Option<crate::flight::outcome::Flight>,
    /// Plain findings, for example that the shaft would fold.
    pub flags: Vec<Flag>,
}

/// A finding that a person must see.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Flag {
    /// One word, defined in `docs/results.md`.
    pub word: &'static str,
    /// A plain sentence.
    pub sentence: String,
}
