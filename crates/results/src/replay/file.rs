//! Writing and reading of `replay.json`.

use std::path::Path;

use super::model::{REPLAY_FORMAT, Replay};
use super::track::check;
use crate::ResultsError;
use crate::finite::check_finite;
use crate::read::{as_written, read_json};

/// Name of the file in the folder of a run.
pub const REPLAY_NAME: &str = "replay.json";

impl Replay {
    /// The file's content: one line without spaces, and an end of line.
    ///
    /// # Errors
    /// A number that is not finite, with its place.
    pub fn to_bytes(&self) -> Result<Vec<u8>, ResultsError> {
        check_finite("replay", self)?;
        let mut bytes =
            serde_json::to_vec(self).map_err(|e| ResultsError::json(REPLAY_NAME, "JSON", e))?;
        bytes.push(b'\n');
        Ok(bytes)
    }

    /// Reads the file's content; `path` is named in errors.
    ///
    /// # Errors
    /// Text that is no replay, another format, a track whose lists do not belong together.
    pub fn from_text(text: &str, path: &Path) -> Result<Self, ResultsError> {
        let replay = serde_json::from_str(text).map_err(|e| refused(path, e.to_string()))?;
        checked(replay, path)
    }
}

/// The replay of a run: `path` is its folder or the file itself.
///
/// # Errors
/// As [`Replay::from_text`], and what the system refuses; in a folder also a file that is not as its run wrote it.
pub fn read_replay(path: &Path) -> Result<Replay, ResultsError> {
    let file = if path.is_dir() {
        path.join(REPLAY_NAME)
    } else {
        path.to_owned()
    };
    if path.is_dir() && file.exists() {
        as_written(path, REPLAY_NAME)?;
    }
    checked(read_json(&file, WHAT)?, &file)
}

const WHAT: &str = "a replay";

fn refused(path: &Path, reason: String) -> ResultsError {
    ResultsError::Json {
        path: path.to_owned(),
        what: WHAT,
        reason,
    }
}

fn checked(replay: Replay, path: &Path) -> Result<Replay, ResultsError> {
    if replay.format != REPLAY_FORMAT {
        let found = replay.format;
        return Err(refused(
            path,
            format!("its format is {found}, this program reads {REPLAY_FORMAT}"),
        ));
    }
    let tick = replay.tick_s;
    if !(tick.is_finite() && tick > 0.0) {
        return Err(refused(path, "its unit of time is not positive".to_owned()));
    }
    for track in &replay.tracks {
        check(track).map_err(|e| refused(path, format!("track `{}`: {e}", track.name)))?;
    }
    Ok(replay)
}
