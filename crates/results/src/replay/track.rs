//! A track unpacked, and its values at any time.

use super::model::{Replay, Track, TrackKind};

/// Largest whole number of ticks or units that is read; a number of it is exact in floating point.
const LARGEST: u64 = 1 << 53;

/// An unpacked track.
#[derive(Debug, Clone, PartialEq)]
pub struct Samples {
    /// Name.
    pub name: String,
    /// How it is read.
    pub kind: TrackKind,
    /// Names of the columns.
    pub columns: Vec<String>,
    /// It holds from here, s.
    pub from_s: f64,
    /// ... to here, s; none = to the end.
    pub until_s: Option<f64>,
    /// Times, s, rising.
    pub times_s: Vec<f64>,
    /// Values of each column, SI.
    pub values: Vec<Vec<f64>>,
}

/// All tracks of a replay, unpacked.
#[derive(Debug, Clone, PartialEq)]
pub struct Tracks(pub Vec<Samples>);

impl Tracks {
    /// Unpacks.
    pub fn of(replay: &Replay) -> Self {
        Self(
            replay
                .tracks
                .iter()
                .map(|t| t.unpack(replay.tick_s))
                .collect(),
        )
    }

    /// The track of that name.
    pub fn get(&self, name: &str) -> Option<&Samples> {
        self.0.iter().find(|t| t.name == name)
    }
}

impl Track {
    /// Times in seconds and values in SI.
    pub fn unpack(&self, tick_s: f64) -> Samples {
        Samples {
            name: self.name.clone(),
            kind: self.kind,
            columns: self.columns.clone(),
            from_s: self.from_s,
            until_s: self.until_s,
            times_s: summed(&self.times, tick_s),
            values: self
                .values
                .iter()
                .zip(&self.scale)
                .map(|(column, scale)| summed(column, *scale))
                .collect(),
        }
    }
}

fn summed(differences: &[i64], unit: f64) -> Vec<f64> {
    let mut sum = 0_i64;
    differences
        .iter()
        .map(|d| {
            sum = sum.saturating_add(*d);
            unit * sum as f64
        })
        .collect()
}

impl Samples {
    /// Whether the track holds at a time.
    pub fn holds_at(&self, time_s: f64) -> bool {
        time_s >= self.from_s && self.until_s.is_none_or(|until| time_s <= until)
    }

    /// Values of all columns at a time: linear between samples, held outside them, quaternions of unit length. None
    /// where the track does not hold or has no samples.
    pub fn at(&self, time_s: f64) -> Option<Vec<f64>> {
        if !self.holds_at(time_s) {
            return None;
        }
        let last = self.times_s.len().checked_sub(1)?;
        let next = self.times_s.partition_point(|t| *t <= time_s);
        let (i, j) = (next.saturating_sub(1), next.min(last));
        let span = self.times_s[j] - self.times_s[i];
        let part = if span > 0.0 {
            ((time_s - self.times_s[i]) / span).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let mut out: Vec<f64> = self
            .values
            .iter()
            .map(|column| column[i] + part * (column[j] - column[i]))
            .collect();
        if self.kind == TrackKind::Pose
            && let Some(q) = out.get_mut(3..7)
        {
            let norm = q.iter().map(|c| c * c).sum::<f64>().sqrt();
            if norm > 0.0 {
                q.iter_mut().for_each(|c| *c /= norm);
            }
        }
        Some(out)
    }

    /// Points of a line at a time.
    pub fn points_at(&self, time_s: f64) -> Option<Vec<[f64; 3]>> {
        let values = self.at(time_s)?;
        let (points, _) = values.as_chunks::<3>();
        Some(points.to_vec())
    }

    /// Place and quaternion w, x, y, z of a body at a time.
    pub fn pose_at(&self, time_s: f64) -> Option<([f64; 3], [f64; 4])> {
        match *self.at(time_s)? {
            [x, y, z, w, i, j, k] => Some(([x, y, z], [w, i, j, k])),
            _ => None,
        }
    }
}

/// Refuses a track that cannot be unpacked.
pub(super) fn check(track: &Track) -> Result<(), String> {
    let (columns, samples) = (track.columns.len(), track.times.len());
    if samples == 0 || columns == 0 {
        return Err("it holds no samples".to_owned());
    }
    if track.scale.len() != columns || track.values.len() != columns {
        return Err("columns, units and values are not equally many".to_owned());
    }
    if let Some((name, _)) = track
        .columns
        .iter()
        .zip(&track.values)
        .find(|(_, values)| values.len() != samples)
    {
        return Err(format!(
            "`{name}` has not as many values as there are times"
        ));
    }
    let fits = match track.kind {
        TrackKind::Pose => columns == 7,
        TrackKind::Line => columns % 3 == 0,
        TrackKind::Force => columns == 6,
        TrackKind::Curve => columns == 1,
        TrackKind::State => true,
    };
    if !fits {
        return Err(format!("{columns} columns do not fit its kind"));
    }
    let limits = [Some(track.from_s), track.until_s];
    if track.scale.iter().any(|s| !s.is_finite()) || limits.iter().flatten().any(|t| !t.is_finite())
    {
        return Err("a unit or limit is not finite".to_owned());
    }
    if track.times[1..].iter().any(|d| *d <= 0) {
        return Err("its times do not rise".to_owned());
    }
    for list in track.values.iter().chain([&track.times]) {
        let mut sum = 0_i64;
        for d in list {
            sum = sum
                .checked_add(*d)
                .filter(|sum| sum.unsigned_abs() <= LARGEST)
                .ok_or("a number is too large")?;
        }
    }
    Ok(())
}
