//! What the whole event needs beyond the impact: the ground's cross-section, the vehicle's skin, how the pole is
//! followed after its release.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::words::words;

/// The ground across the road at the pole, seen in the direction of traffic. Lateral positions are site y: positive to
/// the left of the pole's axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ground {
    /// Friction of pole, arm and plate on the ground.
    pub friction: f64,
    /// Angle of the ground beyond `slope_from_m`, rad; positive = it rises away from the pole, negative = it falls.
    pub slope_rad: f64,
    /// Lateral position where the slope begins, m. It lies beyond it, on the side away from the pole's axis; at 0 on the
    /// right.
    pub slope_from_m: f64,
    /// Lanes, footways and the like.
    pub strips: Vec<Strip>,
}

impl Default for Ground {
    /// Flat ground without strips.
    fn default() -> Self {
        Self {
            friction: 0.5,
            slope_rad: 0.0,
            slope_from_m: -3.0,
            strips: Vec::new(),
        }
    }
}

impl Ground {
    /// Side of the slope: +1 left, -1 right.
    pub fn slope_side(&self) -> f64 {
        if self.slope_from_m > 0.0 { 1.0 } else { -1.0 }
    }
}

/// A strip of the cross-section along the road.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Name.
    pub name: String,
    /// Who uses it.
    pub used_by: StripUse,
    /// Right edge, site y, m.
    pub right_m: f64,
    /// Left edge, site y, m.
    pub left_m: f64,
}

/// Who uses a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StripUse {
    /// A lane in the direction of traffic.
    Lane,
    /// A lane of the opposite direction.
    OppositeLane,
    /// A footway.
    Footway,
    /// A cycle track.
    CycleTrack,
    /// A shoulder or verge: nobody.
    Verge,
}

words!(StripUse {
    Lane = "lane",
    OppositeLane = "opposite-lane",
    Footway = "footway",
    CycleTrack = "cycle-track",
    Verge = "verge",
});

/// How the vehicle's upper skin answers a pole that falls on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Skin {
    /// Width of roof, windscreen and rear window, m.
    pub roof_width_m: f64,
    /// Dent at which the forces below are given, m.
    pub depth_m: f64,
    /// Force of the roof at that dent, N.
    pub roof_force_n: f64,
    /// Force of bonnet and deck at that dent, N.
    pub panel_force_n: f64,
    /// Force of windscreen and rear window at that dent, N.
    pub glass_force_n: f64,
    /// Part of a dent that springs back, 0 to 1.
    pub recovery: f64,
    /// The forces may be larger or smaller by this factor: the range of the dent.
    pub spread: f64,
}

impl Default for Skin {
    /// A small car.
    fn default() -> Self {
        Self {
            roof_width_m: 1.2,
            depth_m: 0.127,
            roof_force_n: 16e3,
            panel_force_n: 8e3,
            glass_force_n: 7.06e3,
            recovery: 0.2,
            spread: 2.0,
        }
    }
}

/// How vehicle and pole are followed after the engagement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Follow {
    /// Whether the pole is followed to its rest; otherwise only the vehicle rolls on.
    pub pole: bool,
    /// Longest time since first touch, s.
    pub limit_s: f64,
    /// Largest time step, s.
    pub step_s: f64,
    /// What the arms do at the first hard contact.
    pub arms: ArmHold,
}

impl Default for Follow {
    fn default() -> Self {
        Self {
            pole: true,
            limit_s: 4.0,
            step_s: 2e-3,
            arms: ArmHold::ByStrength,
        }
    }
}

/// What the arms do when pole or arm first strikes ground or vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ArmHold {
    /// They stay on the pole.
    Stay,
    /// Their flanges break and they fly on by themselves.
    Break,
    /// They break off where a blow is harder than the weakest joint bears.
    ByStrength,
}

words!(ArmHold {
    ByStrength = "by-strength",
    Stay = "stay",
    Break = "break",
});
