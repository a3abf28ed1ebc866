//! What the flight leaves behind: plain data, no arithmetic. SI; time zero is the first touch of face and pole.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What of the support touches.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// The pole's tube.
    Pole,
    /// A mast arm.
    Arm,
    /// A luminaire.
    Luminaire,
    /// The upper slip plate.
    Plate,
}

/// What is touched.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Zone {
    /// The struck face again.
    Face,
    /// Bonnet, from the nose to the windscreen.
    Bonnet,
    /// Windscreen.
    Windscreen,
    /// Roof.
    Roof,
    /// Rear window.
    RearWindow,
    /// Deck behind the cabin.
    Deck,
    /// Ground.
    Ground,
    /// Lower plate and stub.
    Stub,
}

/// How the flight ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FlightEnding {
    /// Pole and arms lie still.
    AtRest,
    /// The time limit came first.
    TimeLimit,
}

/// One part of the support on one part of the vehicle, or on the ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Contact {
    /// What touches.
    pub part: Part,
    /// What is touched.
    pub zone: Zone,
    /// First touch, s.
    pub time_s: f64,
    /// Where, site frame, m.
    pub place_m: [f64; 3],
    /// Where on the vehicle: behind the foremost line, to the left of the centre line, above the ground line of the
    /// standing vehicle, m; none for ground and stub.
    pub on_vehicle_m: Option<[f64; 3]>,
    /// Speed at which the two come together along the normal, m/s.
    pub closing_mps: f64,
    /// Impulse of the first blow (until 20 ms without touch), N.s.
    pub blow_ns: f64,
    /// Energy that the first blow took, J.
    pub blow_j: f64,
    /// Impulse of all blows, N.s.
    pub impulse_ns: f64,
    /// Energy that all blows took, J.
    pub energy_j: f64,
    /// Last touch, s.
    pub last_s: f64,
}

/// A dent as an estimate with its range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Dent {
    /// Largest depth, m.
    pub largest_m: f64,
    /// What stays of it, m: the estimate.
    pub remaining_m: f64,
    /// What would stay on a skin that is stiffer by the scenario's spread, and a tenth less for the course of the flight, m.
    pub low_m: f64,
    /// The same on one that is softer by it, and a tenth more, m.
    pub high_m: f64,
    /// Limit, m.
    pub limit_m: f64,
    /// Where the limit comes from.
    pub source: String,
    /// Estimate and range against the limit.
    pub verdict: DentVerdict,
}

/// A dent's estimate and range against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DentVerdict {
    /// Not touched.
    Untouched,
    /// The whole range lies below the limit.
    Below,
    /// The limit lies within the range: the estimate cannot decide.
    Marginal,
    /// The whole range lies above the limit.
    Above,
}

/// What the hand-over from the engagement kept.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HandOver {
    /// Time, s.
    pub time_s: f64,
    /// Difference of linear momentum of both bodies, over their momentum.
    pub momentum_fraction: f64,
    /// Difference of the support's angular momentum, over its size.
    pub angular_momentum_fraction: f64,
    /// Strain energy of the bending that the rigid pole does not have, J.
    pub bending_strain_j: f64,
    /// Kinetic energy of that bending, J.
    pub bending_kinetic_j: f64,
    /// Difference of all other energy, over the kinetic energy.
    pub energy_fraction: f64,
}

/// Energies of the flight, J. At every time: start = the rest + residual.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FlightEnergy {
    /// Kinetic energy of vehicle and rigid support, potential energy and tyre springs at the hand-over.
    pub start_j: f64,
    /// The same at the end.
    pub end_j: f64,
    /// Of it kinetic energy of the vehicle.
    pub vehicle_kinetic_j: f64,
    /// Of it kinetic energy of pole and arms.
    pub support_kinetic_j: f64,
    /// Taken by denting the skin, including what is elastic.
    pub dent_j: f64,
    /// Taken by rubbing on skin and face.
    pub rub_j: f64,
    /// Taken by crush of the struck face and the tube's dent.
    pub crush_j: f64,
    /// Given to bending by the struck face.
    pub bending_j: f64,
    /// Taken by tyres and their dampers.
    pub tyre_j: f64,
    /// Taken by ground and stub.
    pub ground_j: f64,
    /// Lost where arms break off (none: they keep their motion).
    pub residual_j: f64,
}

/// Counts of the work.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FlightWork {
    /// Steps in all.
    pub steps: usize,
    /// Of them with the contact engine.
    pub contact_steps: usize,
    /// Of them with the struck face near the pole.
    pub face_steps: usize,
}

/// How far the pole reaches into one strip of the cross-section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StripReach {
    /// Name of the strip.
    pub name: String,
    /// Whether anything passes through it below head height.
    pub entered: bool,
    /// First time, s.
    pub since_s: Option<f64>,
    /// Lateral extent that is swept within it, right and left, site y, m.
    pub swept_m: Option<[f64; 2]>,
    /// Lateral extent of what lies in it at the end, m.
    pub remains_m: Option<[f64; 2]>,
}

/// What the pole sweeps below head height, and where it comes to rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sweep {
    /// Height below which a passing part counts, m.
    pub height_m: f64,
    /// Area swept in plan, m^2.
    pub area_m2: f64,
    /// Extent along the road, site x from and to, m.
    pub along_m: [f64; 2],
    /// Extent across, site y from and to, m.
    pub across_m: [f64; 2],
    /// Strips of the site.
    pub strips: Vec<StripReach>,
}

/// Pose of a body, site frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pose {
    /// Vehicle: centre of mass. Pole: its foot. Arm broken off: its root on the pole. m.
    pub position_m: [f64; 3],
    /// Unit quaternion w, x, y, z.
    pub rotation: [f64; 4],
}

/// One instant of the flight.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Time, s.
    pub time_s: f64,
    /// Vehicle.
    pub vehicle: Pose,
    /// Pole, then arms that have broken off. The position is that of the support's origin (pole foot) carried by the
    /// piece.
    pub pieces: Vec<Pose>,
    /// Elastic coordinates of the pole's bending.
    pub elastic: Vec<f64>,
    /// Crush of each band of the struck face, m.
    pub crush_m: Vec<f64>,
    /// Force of the support on the vehicle, site frame, N.
    pub force_n: [f64; 3],
    /// Where it acts (force-weighted), site frame, m; none without contact.
    pub force_place_m: Option<[f64; 3]>,
    /// Impulse of the ground on pole and arms since the last frame, N.s.
    pub ground_ns: [f64; 3],
}

/// The flight of the pole after its release, and the vehicle's motion meanwhile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Flight {
    /// What the hand-over kept.
    pub hand_over: HandOver,
    /// How it ended.
    pub ending: FlightEnding,
    /// When the pole came to rest, or the time limit, s.
    pub end_time_s: f64,
    /// Contacts in the order of their first touch.
    pub contacts: Vec<Contact>,
    /// Whether the pole never touched bonnet, windscreen, roof, rear window or deck.
    pub clears_vehicle: bool,
    /// Least height of pole or arms over the roof line while over the cabin, m; none where they never were.
    pub least_over_roof_m: Option<f64>,
    /// Roof.
    pub roof: Dent,
    /// Windscreen.
    pub windscreen: Dent,
    /// Whether the vehicle drove over the pole (not modelled).
    pub driven_over: bool,
    /// Closing speed of the hardest blow after which the arms stay on the pole, m/s; null where none breaks them off.
    pub arms_bear_mps: Option<f64>,
    /// Whether the arms broke off, and when, s.
    pub arms_off_s: Option<f64>,
    /// Pole foot at the end, site frame, m.
    pub foot_m: [f64; 3],
    /// Pole tip at the end, m.
    pub tip_m: [f64; 3],
    /// Luminaires at the end, arm by arm, m.
    pub luminaires_m: Vec<[f64; 3]>,
    /// What is swept.
    pub sweep: Sweep,
    /// Speed lost by the vehicle along the initial direction of travel at the end of the flight, m/s.
    pub velocity_change_at_end_mps: f64,
    /// When the vehicle last touched the support, s.
    pub contact_end_time_s: Option<f64>,
    /// Least clearance between the vehicle's underside and what stands at the base since the hand-over, m; none where the
    /// vehicle never was over it.
    pub stub_clearance_m: Option<f64>,
    /// Energies.
    pub energy: FlightEnergy,
    /// Counts.
    pub work: FlightWork,
    /// Instants at the flight's steps (empty unless asked for).
    #[serde(skip)]
    pub frames: Vec<Frame>,
}

impl Flight {
    /// The first contact with any of these zones.
    pub fn first(&self, zones: &[Zone]) -> Option<&Contact> {
        self.contacts.iter().find(|c| zones.contains(&c.zone))
    }
}
