//! A run at one instant: poses from its tracks.

use giveway_impact::outcome::{BarOutcome, Snapshot};

use super::run::Shown;
use crate::view::travel;

/// How long a run is shown after the pole's tracks have ended, s.
const MORE_S: f64 = 0.15;

impl Shown<'_> {
    /// Until when it is slow, and when it ends, s. A pole that is not followed is shown a little longer than it is known.
    pub(super) fn span(&self) -> (f64, f64) {
        let r = self.replay;
        let until = self.pole_until();
        let end = match until {
            Some(until) => until + MORE_S,
            None if r.bolts.iter().all(|b| b.release_time_s.is_some()) => r.end_s,
            // A base that holds: nothing happens after the engagement.
            None => r.engagement_end_s + MORE_S,
        };
        (r.slow_until_s, end.min(r.end_s))
    }

    /// Cosine and sine of the direction of travel.
    pub(super) fn travel(&self) -> (f64, f64) {
        travel(&self.scenario)
    }

    /// When the pole's track ends, s; none = it holds to the end.
    pub(super) fn pole_until(&self) -> Option<f64> {
        self.tracks.get("pole_axis").and_then(|t| t.until_s)
    }

    /// Poses at a time; those of the support are its last ones where they are no longer known. None where a track is
    /// missing.
    pub(super) fn pose(&self, time_s: f64) -> Option<Snapshot> {
        let known = self.pole_until().map_or(time_s, |until| until.min(time_s));
        let (vehicle_position_m, vehicle_rotation) = self.tracks.get("vehicle")?.pose_at(time_s)?;
        let (plate_centre_m, plate_rotation) = self.tracks.get("plate")?.pose_at(known)?;
        let arms_m: Option<Vec<Vec<[f64; 3]>>> = (1..=self.scenario.support.arms.len())
            .map(|i| self.tracks.get(&format!("arm{i}"))?.points_at(known))
            .collect();
        Some(Snapshot {
            time_s,
            label: String::new(),
            vehicle_position_m,
            vehicle_rotation,
            crush_m: self.tracks.get("crush")?.at(time_s)?,
            pole_axis_m: self.tracks.get("pole_axis")?.points_at(known)?,
            arms_m: arms_m?,
            plate_centre_m,
            plate_rotation,
            bolts_m: (1..=self.scenario.base.bolt_count)
                .map(|i| {
                    let v = self.tracks.get(&format!("bolt{i}"))?.at(time_s)?;
                    v.first_chunk::<3>().copied()
                })
                .collect(),
        })
    }

    /// Bars that have given way; when they did is known only at the end of the engagement.
    pub(super) fn bars(&self, time_s: f64) -> Vec<BarOutcome> {
        if time_s < self.replay.engagement_end_s {
            return Vec::new();
        }
        (self.replay.bars.iter())
            .map(|b| BarOutcome {
                stub: b.stub,
                limit_n: 0.0,
                peak_n: 0.0,
                sheared: b.sheared,
                energy_j: 0.0,
            })
            .collect()
    }

    /// Value of a chart's curve at a time.
    pub(super) fn curve(&self, name: &str, time_s: f64) -> Option<f64> {
        self.tracks.get(name)?.at(time_s)?.first().copied()
    }
}
