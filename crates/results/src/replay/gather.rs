//! From a computed run to its tracks.

use giveway_impact::outcome::{Ending, Engagement, MotionFrame};
use giveway_mechanics::MODEL_VERSION;
use giveway_occupant::CAUTION;
use giveway_scenario::model::Scenario;

use super::model::{REPLAY_FORMAT, Replay, StandingBar, Track, TrackKind};
use super::scene::{ARM_POINTS, POLE_POINTS, scene};
use super::thin::{Column, TICK_S, Tolerance, pack, scalar};
use super::words::{bolts, events, headline, numbers};
use crate::manifest::hash_text;
use crate::{ResultsError, Summary};

/// Positions: tolerance and unit, m.
const PLACE: (f64, f64) = (2e-3, 1e-4);
/// The same for the plate and the bolts in the engagement.
const FINE: (f64, f64) = (2e-4, 1e-5);
/// Quaternions: tolerance and unit.
const TURN: (f64, f64) = (1e-3, 1e-5);
/// Interval of the vehicle's record that is kept where only the vehicle is followed, s.
const ROLLING_S: f64 = 2e-3;
/// A player goes on slowly for so long after the last release or contact, s.
const SLOW_MORE_S: f64 = 0.02;

impl Replay {
    /// The moving picture of a run. `input` is the resolved scenario text.
    ///
    /// # Errors
    /// No poses were kept, or a number that is not finite.
    pub fn of(
        scenario: &Scenario,
        engagement: &Engagement,
        summary: &Summary,
        input: &str,
    ) -> Result<Self, ResultsError> {
        let clock = Clock::new(scenario, engagement)?;
        let tracks = clock.tracks()?;
        let end_s = tracks
            .iter()
            .map(|t| t.times.iter().sum::<i64>())
            .max()
            .map_or(0.0, |ticks| ticks as f64 * TICK_S);
        let last = [engagement.release_time_s, engagement.contact_end_time_s];
        let last = last.into_iter().flatten().reduce(f64::max);
        Ok(Self {
            format: REPLAY_FORMAT,
            model_version: MODEL_VERSION,
            title: scenario.title.clone(),
            caution: CAUTION.to_owned(),
            input_blake3: hash_text(input),
            end_s,
            engagement_end_s: engagement.end_time_s,
            slow_until_s: (last.unwrap_or(engagement.end_time_s) + SLOW_MORE_S).min(end_s),
            tick_s: TICK_S,
            headline: headline(summary),
            numbers: numbers(summary),
            scene: scene(scenario)?,
            tracks,
            events: events(engagement),
            bolts: bolts(engagement),
            bars: engagement
                .bars
                .iter()
                .map(|b| StandingBar {
                    stub: b.stub,
                    sheared: b.sheared,
                })
                .collect(),
            sentences: summary.flags.iter().map(|f| f.sentence.clone()).collect(),
        })
    }
}

/// Frames of a run on their clocks.
struct Clock<'a> {
    engagement: &'a Engagement,
    frames: &'a [MotionFrame],
    times: Vec<f64>,
    /// The last frame that belongs to the engagement.
    handed_over: usize,
    /// Where the support's tracks end; none = they hold to the end.
    support_until: Option<f64>,
    /// For each arm whether it carries a luminaire, whose place is the last of its points.
    carries: Vec<bool>,
    bands: Vec<String>,
}

impl<'a> Clock<'a> {
    fn new(scenario: &Scenario, engagement: &'a Engagement) -> Result<Self, ResultsError> {
        let frames = engagement.frames.as_slice();
        let times: Vec<f64> = frames.iter().map(|f| f.pose.time_s).collect();
        let handed_over = times
            .partition_point(|t| *t <= engagement.end_time_s + 1e-9)
            .checked_sub(1)
            .ok_or(ResultsError::NoMotion)?;
        // Where the pole flies on and is not followed, nobody knows where it is.
        let stays = matches!(
            engagement.ending,
            Ending::Held | Ending::FixedObstacle | Ending::NoContact
        );
        let support_until = (engagement.flight.is_none() && !stays).then_some(times[handed_over]);
        let bands = super::scene::bands(scenario);
        Ok(Self {
            engagement,
            frames,
            handed_over,
            support_until,
            carries: scenario
                .support
                .arms
                .iter()
                .map(|a| !a.luminaires.is_empty())
                .collect(),
            bands: bands.iter().map(|b| format!("{}_m", b.name)).collect(),
            times,
        })
    }

    fn tracks(&self) -> Result<Vec<Track>, ResultsError> {
        let mut tracks = vec![self.vehicle()?, self.plate()?];
        let pole = |f: &MotionFrame| spread(&f.pose.pole_axis_m, POLE_POINTS);
        tracks.push(self.line("pole_axis", &pole)?);
        for arm in 0..self.carries.len() {
            tracks.push(self.arm(arm)?);
        }
        for index in 0..self.engagement.bolts.len() {
            tracks.extend(self.bolt(index)?);
        }
        tracks.push(self.crush()?);
        tracks.extend(self.contact_force()?);
        tracks.extend(self.curves()?);
        Ok(tracks)
    }

    fn column(&self, name: &str, value: impl Fn(&MotionFrame) -> f64) -> Column {
        Column {
            name: name.to_owned(),
            values: self.frames.iter().map(value).collect(),
            scale: PLACE.1,
            tolerance: Tolerance::Same(PLACE.0),
        }
    }

    /// The vehicle: with the frames, then along its record where only the vehicle is followed.
    fn vehicle(&self) -> Result<Track, ResultsError> {
        let mut times = self.times.clone();
        let mut places: Vec<[f64; 3]> = self
            .frames
            .iter()
            .map(|f| f.pose.vehicle_position_m)
            .collect();
        let mut turns: Vec<[f64; 4]> = self
            .frames
            .iter()
            .map(|f| f.pose.vehicle_rotation)
            .collect();
        for (time, i) in self.rolling() {
            let r = &self.engagement.record;
            times.push(time);
            places.push(r.position_m[i]);
            turns.push(quaternion(r.attitude_rad[i]));
        }
        let columns = pose_columns(&places, turns, (PLACE.1, Tolerance::Same(PLACE.0)));
        pack("vehicle", TrackKind::Pose, &times, &columns, (0.0, None))
    }

    /// Times and indices of the vehicle's record after the last frame.
    fn rolling(&self) -> Vec<(f64, usize)> {
        let r = &self.engagement.record;
        if self.engagement.flight.is_some() || r.interval_s <= 0.0 {
            return Vec::new();
        }
        let every = ((ROLLING_S / r.interval_s).round() as usize).max(1);
        let last = self.times.last().copied().unwrap_or(0.0);
        let rows = r.position_m.len().min(r.attitude_rad.len());
        (0..rows)
            .filter(|i| (i + 1).is_multiple_of(every) || i + 1 == rows)
            .map(|i| ((i + 1) as f64 * r.interval_s, i))
            .filter(|(time, _)| *time > last + 0.5 * TICK_S)
            .collect()
    }

    fn plate(&self) -> Result<Track, ResultsError> {
        let places: Vec<[f64; 3]> = self.frames.iter().map(|f| f.pose.plate_centre_m).collect();
        let turns = self.frames.iter().map(|f| f.pose.plate_rotation).collect();
        let tolerance = Tolerance::Until(self.engagement.end_time_s, FINE.0, PLACE.0);
        let columns = pose_columns(&places, turns, (FINE.1, tolerance));
        let span = (0.0, self.support_until);
        pack("plate", TrackKind::Pose, &self.times, &columns, span)
    }

    fn line(
        &self,
        name: &str,
        points: &dyn Fn(&MotionFrame) -> Vec<[f64; 3]>,
    ) -> Result<Track, ResultsError> {
        let all: Vec<Vec<[f64; 3]>> = self.frames.iter().map(points).collect();
        let count = all.first().map_or(0, Vec::len);
        let mut columns = Vec::with_capacity(3 * count);
        for i in 0..count {
            for (axis, letter) in ["x", "y", "z"].into_iter().enumerate() {
                columns.push(Column {
                    name: format!("{letter}{i}"),
                    values: all
                        .iter()
                        .map(|points| points.get(i).map_or(f64::NAN, |p| p[axis]))
                        .collect(),
                    scale: PLACE.1,
                    tolerance: Tolerance::Same(PLACE.0),
                });
            }
        }
        let span = (0.0, self.support_until);
        pack(name, TrackKind::Line, &self.times, &columns, span)
    }

    fn arm(&self, arm: usize) -> Result<Track, ResultsError> {
        self.line(&format!("arm{}", arm + 1), &|f| {
            let mut points = f.pose.arms_m.get(arm).cloned().unwrap_or_default();
            let lamp = self.carries[arm].then(|| points.pop()).flatten();
            let mut line = spread(&points, ARM_POINTS);
            line.extend(lamp);
            line
        })
    }

    /// A bolt until it is gone.
    fn bolt(&self, index: usize) -> Result<Option<Track>, ResultsError> {
        let there: Vec<(f64, [f64; 3])> = self.frames[..=self.handed_over]
            .iter()
            .map_while(|f| {
                let place = f.pose.bolts_m.get(index).copied().flatten()?;
                Some((f.pose.time_s, place))
            })
            .collect();
        if there.is_empty() {
            return Ok(None);
        }
        let times: Vec<f64> = there.iter().map(|(t, _)| *t).collect();
        let mut columns: Vec<Column> = ["x_m", "y_m", "z_m"]
            .into_iter()
            .enumerate()
            .map(|(axis, name)| Column {
                name: name.to_owned(),
                values: there.iter().map(|(_, p)| p[axis]).collect(),
                scale: FINE.1,
                tolerance: Tolerance::Same(FINE.0),
            })
            .collect();
        for name in ["tension_n", "slip_force_n", "opening_m"] {
            let whole = format!("bolt{}_{name}", index + 1);
            columns.push(scalar(name, self.traced(&whole, &times)));
        }
        let bolt = &self.engagement.bolts[index];
        let name = format!("bolt{}", bolt.number);
        let span = (0.0, bolt.release_time_s);
        pack(&name, TrackKind::State, &times, &columns, span).map(Some)
    }

    /// A column of the history at these times: the row at or before; nothing where the history has no such column.
    fn traced(&self, name: &str, times: &[f64]) -> Vec<f64> {
        let trace = &self.engagement.trace;
        let column = trace.column(name).unwrap_or(&[]);
        times
            .iter()
            .map(|t| {
                let row = trace.time_s.partition_point(|at| *at <= t + 1e-9);
                column.get(row.saturating_sub(1)).copied().unwrap_or(0.0)
            })
            .collect()
    }

    fn crush(&self) -> Result<Track, ResultsError> {
        let columns: Vec<Column> = self
            .bands
            .iter()
            .enumerate()
            .map(|(i, name)| {
                let value = |f: &MotionFrame| f.pose.crush_m.get(i).copied().unwrap_or(0.0);
                self.column(name, value)
            })
            .collect();
        pack(
            "crush",
            TrackKind::State,
            &self.times,
            &columns,
            (0.0, None),
        )
    }

    /// The contact force; its place is kept through times without contact, so that no line leads to nowhere.
    fn contact_force(&self) -> Result<Option<Track>, ResultsError> {
        let places: Vec<Option<[f64; 3]>> = self.frames.iter().map(|f| f.force_place_m).collect();
        let Some(mut at) = places.iter().flatten().next().copied() else {
            return Ok(None);
        };
        let filled: Vec<[f64; 3]> = places
            .iter()
            .map(|place| {
                at = place.unwrap_or(at);
                at
            })
            .collect();
        let size = |f: &MotionFrame| f.force_n.iter().map(|c| c * c).sum::<f64>().sqrt();
        // All three components with the tolerance of the force itself.
        let whole = scalar("force", self.frames.iter().map(size).collect());
        let mut columns: Vec<Column> = ["fx_n", "fy_n", "fz_n"]
            .into_iter()
            .enumerate()
            .map(|(axis, name)| Column {
                name: name.to_owned(),
                values: self.frames.iter().map(|f| f.force_n[axis]).collect(),
                ..whole.clone()
            })
            .collect();
        columns.extend(
            ["px_m", "py_m", "pz_m"]
                .into_iter()
                .enumerate()
                .map(|(axis, name)| Column {
                    name: name.to_owned(),
                    values: filled.iter().map(|p| p[axis]).collect(),
                    scale: 1e-3,
                    tolerance: Tolerance::Same(5e-2),
                }),
        );
        pack(
            "contact_force",
            TrackKind::Force,
            &self.times,
            &columns,
            (0.0, None),
        )
        .map(Some)
    }

    fn curves(&self) -> Result<Vec<Track>, ResultsError> {
        let engaged = &self.times[..=self.handed_over];
        let flying = &self.frames[self.handed_over + 1..];
        let mut force = self.traced("contact_force_n", engaged);
        force.extend(
            flying
                .iter()
                .map(|f| f.force_n.iter().map(|c| c * c).sum::<f64>().sqrt()),
        );
        let crush: Vec<f64> = self
            .frames
            .iter()
            .map(|f| f.pose.crush_m.iter().copied().fold(0.0, f64::max))
            .collect();
        let mut lost = self.traced("velocity_change_mps", engaged);
        let mut times = engaged.to_vec();
        let r = &self.engagement.record;
        let [vx, vy, _] = r.velocity_mps;
        let speed = (vx * vx + vy * vy).sqrt();
        // (v0 - v) . v0 / |v0|
        let loss = |v: &[f64; 3]| {
            if speed > 0.0 {
                ((vx - v[0]) * vx + (vy - v[1]) * vy) / speed
            } else {
                0.0
            }
        };
        if self.engagement.flight.is_some() && r.interval_s > 0.0 {
            for f in flying {
                let interval = (f.pose.time_s / r.interval_s).round() as usize;
                if let Some(v) = interval
                    .checked_sub(1)
                    .and_then(|i| r.end_velocity_mps.get(i))
                {
                    times.push(f.pose.time_s);
                    lost.push(loss(v));
                }
            }
        }
        for (time, i) in self.rolling() {
            if let Some(v) = r.end_velocity_mps.get(i) {
                times.push(time);
                lost.push(loss(v));
            }
        }
        let moment = self.traced("foot_moment_nm", engaged);
        [
            ("velocity_change_mps", times.as_slice(), lost, None),
            ("contact_force_n", self.times.as_slice(), force, None),
            ("crush_m", self.times.as_slice(), crush, None),
            (
                "foot_moment_nm",
                engaged,
                moment,
                Some(engaged[self.handed_over]),
            ),
        ]
        .into_iter()
        .map(|(name, times, values, until)| {
            let column = [scalar(name, values)];
            pack(name, TrackKind::Curve, times, &column, (0.0, until))
        })
        .collect()
    }
}

/// Columns of a pose; the signs of the quaternions go on without a jump.
fn pose_columns(
    places: &[[f64; 3]],
    mut turns: Vec<[f64; 4]>,
    (scale, tolerance): (f64, Tolerance),
) -> Vec<Column> {
    for i in 1..turns.len() {
        let (a, b) = (turns[i - 1], turns[i]);
        let along: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
        if along < 0.0 {
            turns[i] = b.map(|c| -c);
        }
    }
    let mut columns = Vec::with_capacity(7);
    for (axis, name) in ["x_m", "y_m", "z_m"].into_iter().enumerate() {
        columns.push(Column {
            name: name.to_owned(),
            values: places.iter().map(|p| p[axis]).collect(),
            scale,
            tolerance,
        });
    }
    for (axis, name) in ["qw", "qx", "qy", "qz"].into_iter().enumerate() {
        columns.push(Column {
            name: name.to_owned(),
            values: turns.iter().map(|q| q[axis]).collect(),
            scale: TURN.1,
            tolerance: Tolerance::Same(TURN.0),
        });
    }
    columns
}

/// So many points, evenly along the list: linear between its points.
fn spread(points: &[[f64; 3]], count: usize) -> Vec<[f64; 3]> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    (0..count)
        .map(|k| {
            let at = k as f64 / (count - 1) as f64 * last as f64;
            let i = (at as usize).min(last.saturating_sub(1));
            let part = at - i as f64;
            let (a, b) = (points[i], points[(i + 1).min(last)]);
            [0, 1, 2].map(|axis| a[axis] + part * (b[axis] - a[axis]))
        })
        .collect()
}

/// Unit quaternion w, x, y, z of roll, pitch and yaw (z-y-x sequence).
fn quaternion([roll, pitch, yaw]: [f64; 3]) -> [f64; 4] {
    let half = |angle: f64| (libm::cos(0.5 * angle), libm::sin(0.5 * angle));
    let ((cr, sr), (cp, sp), (cy, sy)) = (half(roll), half(pitch), half(yaw));
    [
        cr * cp * cy + sr * sp * sy,
        sr * cp * cy - cr * sp * sy,
        cr * sp * cy + sr * cp * sy,
        cr * cp * sy - sr * sp * cy,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quaternion_gives_its_angles_back() {
        let angles = [0.11, -0.23, 2.4];
        let [w, x, y, z] = quaternion(angles);
        let attitude = giveway_mechanics::attitude::Attitude {
            w,
            v: [x, y, z].into(),
        };
        for (a, b) in attitude.roll_pitch_yaw().iter().zip(angles) {
            assert!((a - b).abs() < 1e-12, "{a} {b}");
        }
    }

    #[test]
    fn points_are_spread_evenly() {
        let line: Vec<[f64; 3]> = (0..4).map(|i| [f64::from(i), 0.0, 2.0]).collect();
        let out = spread(&line, 7);
        for (k, p) in out.iter().enumerate() {
            assert!((p[0] - 0.5 * k as f64).abs() < 1e-12 && p[2] == 2.0);
        }
        assert!(spread(&[], 5).is_empty());
    }
}
