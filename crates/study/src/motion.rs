//! The vehicle's motion as the occupant's crate reads it.

use giveway_impact::outcome::{Engagement, VehicleRecord};
use giveway_occupant::Motion;
use giveway_scenario::model::Scenario;

/// The vehicle's record as occupant numbers are computed from it.
pub(crate) fn motion_of<'a>(scenario: &Scenario, record: &'a VehicleRecord) -> Motion<'a> {
    Motion {
        interval_s: record.interval_s,
        initial_heading_rad: record.heading_rad,
        initial_velocity_mps: record.velocity_mps,
        head_m: [scenario.vehicle.head_x_m, scenario.vehicle.head_y_m],
        acceleration_mps2: &record.acceleration_mps2,
        yaw_rate_radps: &record.yaw_rate_radps,
        end_velocity_mps: &record.end_velocity_mps,
        position_m: &record.position_m,
        attitude_rad: &record.attitude_rad,
    }
}

/// Change of the vehicle's velocity during its contact with the support or parts of it, also in flight, m/s.
pub(crate) fn change_in_contact_mps(engagement: &Engagement, motion: &Motion) -> [f64; 2] {
    let flight = engagement.flight.as_ref();
    let last_touch = flight
        .and_then(|f| f.contact_end_time_s)
        .or(engagement.contact_end_time_s);
    change_by_mps(last_touch, motion)
}

/// Change of the vehicle's velocity by an instant, m/s; none without one.
pub(crate) fn change_by_mps(last_touch_s: Option<f64>, motion: &Motion) -> [f64; 2] {
    last_touch_s.map_or([0.0, 0.0], |end_s| motion.velocity_change_by_mps(end_s))
}
