//! Limits, design values and assumed values that come from the scenario of a pole's type.

use giveway_mechanics::clamp::{torque_from_preload, washer_strip_load};
use giveway_mechanics::erection::tightening;
use giveway_scenario::model::Scenario;
use giveway_units::{Dimension, shortest_number, shown_in};
use serde::Deserialize;

use crate::profile::Bound;

const DEG_PER_RAD: f64 = 180.0 / core::f64::consts::PI;

/// A number of a design, SI, by its name in the table.
#[derive(Clone, Copy, Deserialize)]
#[serde(try_from = "String")]
pub struct DesignNumber(fn(&Scenario) -> Option<f64>);

impl DesignNumber {
    /// The number; none where the design does not give it.
    pub fn of(self, design: &Scenario) -> Option<f64> {
        self.0(design)
    }
}

impl TryFrom<String> for DesignNumber {
    type Error = String;

    fn try_from(name: String) -> Result<Self, String> {
        Ok(Self(match name.as_str() {
            "zero" => |_| Some(0.0),
            "torque" => torque,
            "full-threads" => full_threads,
            "least-plate-washer" => least_plate_washer,
            "keeper" => keeper,
            "plate-washer" => |s| Some(s.base.plate_washer_m),
            "round-washer" => |s| Some(s.base.round_washer_m),
            "notch-angle" => |s| Some(2.0 * s.base.notch_half_angle_rad),
            "bolt-diameter" => |s| Some(s.base.bolt.diameter_m),
            "plate-height" => |s| Some(s.site.slip_plane_height_m),
            // A foot that has moved by the diameter of the lower plate is clear of it, m.
            "plate-diameter" => |s| Some(2.0 * s.base.plate_radius_m),
            _ => return Err(format!("`{name}` is no number of a design")),
        }))
    }
}

/// A text that is made from a design, by its name in the table.
#[derive(Clone, Copy, Deserialize)]
#[serde(try_from = "String")]
pub struct MadeText(fn(&Scenario) -> String);

impl MadeText {
    /// The text.
    pub fn of(self, design: &Scenario) -> String {
        self.0(design)
    }
}

impl TryFrom<String> for MadeText {
    type Error = String;

    fn try_from(name: String) -> Result<Self, String> {
        Ok(Self(match name.as_str() {
            "half-threads" => half_threads,
            "thick-keeper" => thick_keeper,
            "high-torque" => high_torque,
            "travel-azimuth" => travel_azimuth,
            "half-pattern" => half_pattern,
            _ => return Err(format!("`{name}` is no text of a design")),
        }))
    }
}

/// Design torque of a bolt, N.m: as given, or T = F_p K d / (1 - r) of the preload.
fn torque(s: &Scenario) -> Option<f64> {
    let b = &s.base;
    b.torque_nm.or_else(|| {
        torque_from_preload(b.preload_n, b.nut_factor, b.bolt.diameter_m, b.relaxation).ok()
    })
}

/// Threads of a nut that is fully on: n = m / P.
fn full_threads(s: &Scenario) -> Option<f64> {
    let n = s.base.bolt.nut_height_m / s.base.bolt.pitch_m;
    n.is_finite().then_some(n)
}

/// Half of the threads of a full nut.
fn half_threads(s: &Scenario) -> String {
    full_threads(s).map_or_else(|| "3".to_owned(), |n| shortest_number((0.5 * n).round()))
}

/// Least thickness of a plate washer that does not yield over the notch while the wrench is on it, m: the clamp is then
/// T/(K d), before anything settles, as for the window's limit. The load T_y at which the strip yields grows with the
/// square of its thickness, so t_min = t sqrt(T/(K d) / T_y(t)).
fn least_plate_washer(s: &Scenario) -> Option<f64> {
    let b = &s.base;
    let width = b.plate_washer_diameter_m - b.bolt.diameter_m;
    let t = b.plate_washer_m;
    let yields = washer_strip_load(t, width, b.notch_span_m, b.plate_washer_yield_pa).ok()?;
    let tight = tightening(b).ok()?.first_clamp_n;
    let least = t * (tight / yields).sqrt();
    least.is_finite().then_some(least)
}

/// Thickness of the keeper by the design, m.
fn keeper(s: &Scenario) -> Option<f64> {
    s.base.keeper.as_ref().map(|k| k.thickness_m)
}

/// The thickest plausible keeper, as text: the published 1.0 mm, or the design's where that is thicker.
fn thick_keeper(s: &Scenario) -> String {
    let most = keeper(s)
        .unwrap_or(0.0)
        .max(Bound::KeeperMost.standard().twin.si);
    shown_in(most, Dimension::Length, "mm", 4)
}

/// The torque that is plausible at worst: the upper end of the published range, 280 N.m, or 1.5 times the design's.
fn high_torque(s: &Scenario) -> String {
    let most = torque(s).map_or(280.0, |t| (1.5 * t).max(280.0));
    shown_in(most, Dimension::Torque, "N.m", 4)
}

/// The direction in which the foot is driven by a vehicle that travels as in the type's scenario.
fn travel_azimuth(s: &Scenario) -> String {
    let degrees = s.impact.velocity_direction_rad * DEG_PER_RAD;
    format!("{} deg", shortest_number(degrees))
}

/// Half of the angle between two bolts: the bolt pattern cannot be turned further.
fn half_pattern(s: &Scenario) -> String {
    let bolts = s.base.bolt_count.max(1) as f64;
    format!("{} deg", shortest_number(180.0 / bolts))
}
