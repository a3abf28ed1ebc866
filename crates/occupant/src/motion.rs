//! The motion of the vehicle, as the occupant numbers need it.
//!
//! References
//! - ISO 8855:2011, Road vehicles - Vehicle dynamics and road-holding ability - Vocabulary: vehicle axes.

use crate::error::OccupantError;

/// Largest magnitude of an acceleration that is taken for data, m/s^2.
const ACCELERATION_CEILING_MPS2: f64 = 1e7;
/// Largest magnitude of a yaw rate that is taken for data, rad/s.
const YAW_RATE_CEILING_RADPS: f64 = 1e4;
/// Largest magnitude of a velocity (m/s), position (m) or angle (rad) that is taken for data.
const STATE_CEILING: f64 = 1e6;

/// One evenly sampled record of a vehicle, starting at first touch.
///
/// `acceleration_mps2` and `yaw_rate_radps` have one entry per interval. `end_velocity_mps`, `position_m` and
/// `attitude_rad` have one entry per interval as well, or none at all when they are unknown (a measured record);
/// the numbers that need them are then absent.
#[derive(Debug, Clone, Copy)]
pub struct Motion<'a> {
    /// Sampling interval, s.
    pub interval_s: f64,
    /// Heading psi_0 at first touch, rad, anticlockwise from site x.
    pub initial_heading_rad: f64,
    /// Velocity of the centre of mass at first touch, site frame, m/s.
    pub initial_velocity_mps: [f64; 3],
    /// Where the occupant's head starts: ahead of and to the left of the centre of mass, vehicle axes, m.
    pub head_m: [f64; 2],
    /// Mean acceleration of the centre of mass over each interval, vehicle axes, m/s^2.
    pub acceleration_mps2: &'a [[f64; 3]],
    /// Yaw rate at the middle of each interval, rad/s.
    pub yaw_rate_radps: &'a [f64],
    /// Velocity of the centre of mass at each interval's end, site frame, m/s.
    pub end_velocity_mps: &'a [[f64; 3]],
    /// Centre of mass at each interval's end, site frame, m.
    pub position_m: &'a [[f64; 3]],
    /// Roll, pitch, yaw at each interval's end, rad.
    pub attitude_rad: &'a [[f64; 3]],
}

impl Motion<'_> {
    /// Checks lengths and values.
    ///
    /// # Errors
    /// An empty record, an interval that is not positive, histories of different lengths, or the first value
    /// that is not finite or beyond any vehicle (1e7 m/s^2, 1e4 rad/s, 1e6 m, m/s or rad).
    pub fn check(&self) -> Result<(), OccupantError> {
        if !(self.interval_s > 0.0 && self.interval_s.is_finite()) {
            return Err(OccupantError::Interval {
                interval_s: self.interval_s,
            });
        }
        let intervals = self.acceleration_mps2.len();
        if intervals == 0 {
            return Err(OccupantError::EmptyRecord);
        }
        if self.yaw_rate_radps.len() != intervals {
            return Err(OccupantError::Length {
                quantity: "yaw_rate_radps",
                expected: intervals,
                found: self.yaw_rate_radps.len(),
            });
        }
        let states = [
            ("end_velocity_mps", self.end_velocity_mps),
            ("position_m", self.position_m),
            ("attitude_rad", self.attitude_rad),
        ];
        for (quantity, values) in states {
            if !values.is_empty() && values.len() != intervals {
                return Err(OccupantError::Length {
                    quantity,
                    expected: intervals,
                    found: values.len(),
                });
            }
        }
        usable(
            "acceleration_mps2",
            self.acceleration_mps2.as_flattened(),
            3,
            ACCELERATION_CEILING_MPS2,
        )?;
        usable(
            "yaw_rate_radps",
            self.yaw_rate_radps,
            1,
            YAW_RATE_CEILING_RADPS,
        )?;
        for (quantity, values) in states {
            usable(quantity, values.as_flattened(), 3, STATE_CEILING)?;
        }
        usable("head_m", &self.head_m, 1, STATE_CEILING)?;
        usable(
            "initial_velocity_mps",
            &self.initial_velocity_mps,
            1,
            STATE_CEILING,
        )?;
        usable(
            "initial_heading_rad",
            &[self.initial_heading_rad],
            1,
            STATE_CEILING,
        )
    }

    /// Length of the record, s.
    pub fn length_s(&self) -> f64 {
        self.acceleration_mps2.len() as f64 * self.interval_s
    }

    /// Velocity that an occupant would have relative to the vehicle at `time_s`, longitudinal and lateral, m/s.
    ///
    /// This is minus the integral of the vehicle's acceleration in vehicle axes, positive forward and to the
    /// left: a vehicle that lost 4 m/s head-on gives (4, 0). With the time at which contact ended it is the
    /// velocity change that [`crate::assess`] falls back to. A time outside the record counts as its end.
    pub fn velocity_change_by_mps(&self, time_s: f64) -> [f64; 2] {
        let mut change = [0.0; 2];
        let place = time_s / self.interval_s;
        for (k, a) in self.acceleration_mps2.iter().enumerate() {
            // share of interval k that lies before `time_s`
            let share = (place - k as f64).clamp(0.0, 1.0);
            if share == 0.0 {
                break;
            }
            change[0] -= a[0] * share * self.interval_s;
            change[1] -= a[1] * share * self.interval_s;
        }
        change
    }

    /// Horizontal speed when the centre of mass has moved `distance_m` along the initial direction of travel, m/s.
    /// None where positions or velocities are unknown or the record ends before.
    pub fn speed_after_travel_mps(&self, distance_m: f64) -> Option<f64> {
        let ends = self.position_m.iter().zip(self.end_velocity_mps);
        let [ux, uy] = self.travel_direction();
        let speed = |v: &[f64; 3]| (v[0] * v[0] + v[1] * v[1]).sqrt();
        let first_velocity = self.end_velocity_mps.first()?;
        let first_position = self.position_m.first()?;
        // x(0) = x(T) - T (v(0) + v(T)) / 2
        let mean = |axis: usize| (self.initial_velocity_mps[axis] + first_velocity[axis]) / 2.0;
        let origin = [
            first_position[0] - self.interval_s * mean(0),
            first_position[1] - self.interval_s * mean(1),
        ];
        let (mut travel_before, mut speed_before) = (0.0, speed(&self.initial_velocity_mps));
        for (position, velocity) in ends {
            let travel = (position[0] - origin[0]) * ux + (position[1] - origin[1]) * uy;
            let speed_now = speed(velocity);
            if travel >= distance_m {
                let part = if travel > travel_before {
                    ((distance_m - travel_before) / (travel - travel_before)).clamp(0.0, 1.0)
                } else {
                    1.0
                };
                return Some(speed_before + part * (speed_now - speed_before));
            }
            (travel_before, speed_before) = (travel, speed_now);
        }
        None
    }

    /// Largest magnitudes of roll and pitch, rad; none where the attitude is unknown.
    pub fn largest_roll_pitch_rad(&self) -> Option<[f64; 2]> {
        if self.attitude_rad.is_empty() {
            return None;
        }
        let mut largest = [0.0_f64; 2];
        for attitude in self.attitude_rad {
            largest[0] = largest[0].max(attitude[0].abs());
            largest[1] = largest[1].max(attitude[1].abs());
        }
        Some(largest)
    }

    /// Unit vector of the initial velocity in the ground plane; the heading where the vehicle stands.
    fn travel_direction(&self) -> [f64; 2] {
        let [vx, vy, _] = self.initial_velocity_mps;
        let speed = (vx * vx + vy * vy).sqrt();
        if speed > 0.0 {
            [vx / speed, vy / speed]
        } else {
            [
                libm::cos(self.initial_heading_rad),
                libm::sin(self.initial_heading_rad),
            ]
        }
    }
}

/// Refuses the first value that is not a finite number of at most `ceiling`; `width` values make one sample.
pub(crate) fn usable(
    quantity: &'static str,
    values: &[f64],
    width: usize,
    ceiling: f64,
) -> Result<(), OccupantError> {
    // a comparison with NaN is false; eight at a time without a branch between
    let all = |part: &[f64]| part.iter().fold(true, |ok, v| ok & (v.abs() <= ceiling));
    if values.chunks(8).all(all) {
        return Ok(());
    }
    for (i, &value) in values.iter().enumerate() {
        // NaN must be refused, which `value.abs() > ceiling` would not do
        let accepted = value.abs() <= ceiling;
        if !accepted {
            return Err(OccupantError::NotUsable {
                quantity,
                index: i / width,
                value,
                ceiling,
            });
        }
    }
    Ok(())
}
