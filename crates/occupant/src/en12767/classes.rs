//! The classes of EN 12767 by name.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::KMPH_PER_MPS;

/// Speed class: the speed of the second test (seen).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ClassSpeed {
    /// 50 km/h.
    #[serde(rename = "50 km/h")]
    Kmph50,
    /// 70 km/h.
    #[serde(rename = "70 km/h")]
    Kmph70,
    /// 100 km/h.
    #[serde(rename = "100 km/h")]
    Kmph100,
}

impl ClassSpeed {
    /// All classes, slowest first.
    pub const ALL: [Self; 3] = [Self::Kmph50, Self::Kmph70, Self::Kmph100];

    /// The speed, km/h.
    pub const fn kmph(self) -> f64 {
        match self {
            Self::Kmph50 => 50.0,
            Self::Kmph70 => 70.0,
            Self::Kmph100 => 100.0,
        }
    }

    /// Largest exit speed of HE and of LE, km/h (recalled).
    pub(super) const fn bounds_kmph(self) -> (f64, f64) {
        match self {
            Self::Kmph50 => (0.0, 5.0),
            Self::Kmph70 => (5.0, 30.0),
            Self::Kmph100 => (50.0, 70.0),
        }
    }

    /// The class whose speed lies within 5 km/h of an impact speed (common practice, no source); none otherwise.
    pub fn near(impact_speed_mps: f64) -> Option<Self> {
        let kmph = impact_speed_mps * KMPH_PER_MPS;
        Self::ALL
            .into_iter()
            .find(|class| (class.kmph() - kmph).abs() <= 5.0)
    }
}

/// Energy absorption class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum EnergyClass {
    /// High energy absorbing.
    #[serde(rename = "HE")]
    High,
    /// Low energy absorbing.
    #[serde(rename = "LE")]
    Low,
    /// Not energy absorbing.
    #[serde(rename = "NE")]
    None,
}

impl EnergyClass {
    /// The two letters.
    pub const fn letters(self) -> &'static str {
        match self {
            Self::High => "HE",
            Self::Low => "LE",
            Self::None => "NE",
        }
    }
}

/// Occupant safety class, 2019; B is the safest. Class A is for harmless items of class NE and not computed.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[allow(missing_docs)]
pub enum OccupantClass {
    B,
    C,
    D,
    E,
}

/// Which of the two tests a run is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TestSpeed {
    /// 35 km/h.
    Low,
    /// The class speed.
    Class,
}

/// The classes that this run would earn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Classes {
    /// Which test the run is taken for; none where the impact speed is unknown.
    pub test: Option<TestSpeed>,
    /// Speed class.
    pub class_speed: Option<ClassSpeed>,
    /// Energy absorption class; needs the class-speed test and its exit speed.
    pub energy: Option<EnergyClass>,
    /// Best occupant class that the run satisfies; none where it satisfies no class or was not evaluated.
    pub occupant: Option<OccupantClass>,
    /// What else the classes need.
    pub remark: String,
}
