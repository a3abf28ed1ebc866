//! What was found on site where it differs from the design, in quantities that a person can measure.
//!
//! The scenario's other sections say what the base should be; these say what tape, feeler gauge and torque
//! wrench showed. A default value of every part means "as designed": it changes nothing, to the last bit.
//! To put a condition right is to set its part back to the default.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::words::words;

/// Required clearance between grout and bolt heads, m (common practice, no source).
pub const GROUT_CLEARANCE_M: f64 = 0.013;
/// What a tape in inches calls the same, 1/2 in, less half a millimetre that no tape tells, m.
pub const GROUT_CLEARANCE_READ_M: f64 = 0.0127 - 0.0005;
/// Largest height of what is left standing above a 1.5 m chord of the ground, m (AASHTO, NCHRP Report 350, seen).
pub const STUB_HEIGHT_LIMIT_M: f64 = 0.100;
/// What a tape in inches calls the same, 4 in, and half a millimetre that no tape tells, m.
pub const STUB_HEIGHT_READ_M: f64 = 0.1016 + 0.0005;

/// Findings on site. Lists of bolt numbers count from 1, anticlockwise; an empty list means every bolt.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AsFound {
    /// Grout at the bolt heads under the lower plate; none = clean.
    pub grout: Option<Grout>,
    /// Ends of anchor bars that stand up into the slip plane.
    pub stubs: Vec<Stub>,
    /// Conduit that stands up into the slip plane, inside the base; none = cut off below it.
    pub conduit: Option<Conduit>,
    /// Where the round washers are.
    pub round_washers: RoundWashers,
    /// Thickness of the plate washers as found, m; none = as designed.
    pub plate_washer_m: Option<f64>,
    /// The keeper sheet.
    pub keeper: KeeperFound,
    /// Threads of the nut that are engaged; none = all.
    pub engaged_threads: Option<f64>,
    /// Tightening torque of each bolt as found, N.m; one value = every bolt, empty = as designed.
    pub torques_nm: Vec<f64>,
    /// State of the bolts' threads.
    pub threads: Threads,
    /// Zinc lump or burr in a notch; none = clean.
    pub lump: Option<Lump>,
    /// How far the upper plate's notches stand off the lower plate's, along the bolt circle, m.
    pub notch_offset_m: f64,
    /// Rust between plates, washers and bolts.
    pub rust: Rust,
    /// Ice between the plates.
    #[serde(default)]
    pub ice: Ice,
    /// Angle by which the bolt pattern is turned from the design, anticlockwise, rad.
    pub turned_rad: f64,
    /// Height of the lower plate's top above the ground as found, over a 1.5 m chord, m; none = as designed.
    pub slip_plane_height_m: Option<f64>,
    /// Soil, kerb or pocket wall behind the foot; none = free.
    pub soil: Option<SoilBehind>,
    /// A foundation that can move; none = firm.
    pub foundation: Option<Foundation>,
}

/// Grout at the bolt heads under the lower plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Grout {
    /// Gap from the grout up to the underside of the bolt head, m; negative = embedded depth.
    pub gap_m: f64,
    /// Gap from a bolt's shank to grout in the mouth of the lower notch, m; 0 = packed against it, none = what stands in the
    /// notch follows from `gap_m`.
    pub notch_gap_m: Option<f64>,
    /// Compressive strength f'c, Pa.
    pub strength_pa: f64,
    /// Grout between a bolt's head and the free edge towards which it must move, m.
    pub cover_m: f64,
    /// Bolts in grout.
    pub bolts: Vec<usize>,
}

/// The end of an anchor bar that stands above the lower plate's top, outside the upper plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stub {
    /// Direction from the pole axis to the stub, site frame, rad.
    pub azimuth_rad: f64,
    /// Height above the lower plate's top, m.
    pub projection_m: f64,
    /// Gap between the upper plate's rim and the stub, m.
    pub gap_m: f64,
    /// Diameter of the bar, m.
    pub diameter_m: f64,
    /// Tensile strength of the bar, Pa.
    pub ultimate_pa: f64,
}

/// A conduit that stands above the lower plate's top inside the upper plate's central opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Conduit {
    /// Height above the lower plate's top, m.
    pub projection_m: f64,
    /// Gap to the edge of the opening, m.
    pub gap_m: f64,
    /// Outside diameter, m.
    pub diameter_m: f64,
    /// Wall thickness, m.
    pub wall_m: f64,
    /// Tensile strength of its material, Pa.
    pub ultimate_pa: f64,
}

/// Where the round washers are.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum RoundWashers {
    /// Between the plates, below the keeper, as they should be.
    #[default]
    Between,
    /// Between the plates, above the keeper.
    AboveKeeper,
    /// Left out, or not between the plates: the plates touch.
    Missing {
        /// Friction of plate on plate.
        plate_friction: f64,
    },
}

/// The keeper sheet as found.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum KeeperFound {
    /// As designed.
    #[default]
    AsDesigned,
    /// Not there.
    Missing,
    /// Of this thickness, m.
    Thickness(f64),
}

/// State of the bolts' threads when they were tightened; it sets the nut factor K (docs/conditions.md).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Threads {
    /// As designed: the design's nut factor.
    #[default]
    AsDesigned,
    /// Waxed, K = 0.13.
    Waxed,
    /// Lubricated, K = 0.18.
    Lubricated,
    /// Galvanised and dry, K = 0.25.
    Dry,
    /// Used before, dry or dirty, K = 0.35.
    Reused,
}

words!(Threads {
    AsDesigned = "as-designed",
    Waxed = "waxed",
    Lubricated = "lubricated",
    Dry = "dry",
    Reused = "reused",
});

impl Threads {
    /// Nut factor K of the state; none = the design's (recalled values, see the module of the clamp).
    pub fn nut_factor(self) -> Option<f64> {
        match self {
            Self::AsDesigned => None,
            Self::Waxed => Some(0.13),
            Self::Lubricated => Some(0.18),
            Self::Dry => Some(0.25),
            Self::Reused => Some(0.35),
        }
    }
}

/// A zinc lump or burr that stands on a notch wall in the bolt's way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lump {
    /// How far it stands out from the wall, m. Up to the bolt's clearance it is out of the way.
    pub height_m: f64,
    /// Its length along the notch wall, m.
    pub length_m: f64,
    /// Its width across the plate's thickness, m.
    pub width_m: f64,
    /// Tensile strength of its material, Pa.
    pub ultimate_pa: f64,
    /// Plate whose notch it sits in.
    pub plate: Plate,
    /// Bolts concerned.
    pub bolts: Vec<usize>,
}

/// One of the two plates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Plate {
    /// The lower plate.
    #[default]
    Lower,
    /// The upper plate.
    Upper,
}

words!(Plate {
    Lower = "lower",
    Upper = "upper",
});

/// Rust between plates, washers and bolts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Rust {
    /// As designed.
    #[default]
    None,
    /// Surface rust: every friction at least 0.35 (Kulak, Fisher and Struik: clean mill scale 0.33, recalled).
    Light,
    /// Seized: every friction at least 0.60, the upper end of the published range.
    Seized,
}

words!(Rust {
    None = "none",
    Light = "light",
    Seized = "seized",
});

impl Rust {
    /// Least friction coefficient of the state.
    pub fn least_friction(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Light => 0.35,
            Self::Seized => 0.60,
        }
    }
}

/// Ice between the plates and the keeper: water that stood in the gap and froze.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Ice {
    /// As designed: dry, or drained.
    #[default]
    None,
    /// A ring of [`ICE_RIM_M`] along the rim; a blade pushed in further meets no ice.
    Rim,
    /// The whole gap.
    Filled,
}

words!(Ice {
    None = "none",
    Rim = "rim",
    Filled = "filled",
});

/// Width of the ring of ice along the rim, m (assumed: what rain that freezes at once closes).
pub const ICE_RIM_M: f64 = 0.025;

impl Ice {
    /// Area over which it adheres to a plate, m^2: all of the gap, pi R^2 less the tube's bore and the round washers, or of that
    /// the ring along the rim.
    pub fn area_m2(self, radius_m: f64, bore_m: f64, washers: usize, washer_m: f64) -> f64 {
        let disc = |d: f64| 0.25 * core::f64::consts::PI * d * d;
        let whole = disc(2.0 * radius_m) - disc(bore_m) - washers as f64 * disc(washer_m);
        let ring = disc(2.0 * radius_m) - disc(2.0 * (radius_m - ICE_RIM_M).max(0.0));
        match self {
            Self::None => 0.0,
            Self::Rim => ring.min(whole).max(0.0),
            Self::Filled => whole.max(0.0),
        }
    }
}

/// Soil, a kerb or a pocket wall behind the foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SoilBehind {
    /// Direction from the pole axis in which it stands, site frame, rad.
    pub azimuth_rad: f64,
    /// Gap between the upper plate's rim and the soil, m.
    pub gap_m: f64,
    /// Height of its face above the slip plane, m.
    pub height_m: f64,
    /// Slope of its surface behind the face, rising away from the foot, rad.
    pub slope_rad: f64,
    /// Angle of internal friction phi, rad.
    pub friction_angle_rad: f64,
    /// Cohesion c, Pa.
    pub cohesion_pa: f64,
    /// Unit weight, N/m^3.
    pub unit_weight_npm3: f64,
}

/// A round concrete pier in sand that can move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Foundation {
    /// Diameter D, m.
    pub diameter_m: f64,
    /// Embedded length L, m.
    pub length_m: f64,
    /// Angle of internal friction of the soil, rad.
    pub friction_angle_rad: f64,
    /// Unit weight of the soil, N/m^3.
    pub unit_weight_npm3: f64,
    /// Density of the pier, kg/m^3.
    pub density_kgpm3: f64,
    /// Movement of the top at which the capacity is reached, m.
    pub movement_m: f64,
}
