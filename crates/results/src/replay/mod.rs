//! The moving picture of a run: poses of every body, bending of the pole, bolts, contact force and crush, thinned by
//! curvature and packed as whole numbers, in one file `replay.json`.
//!
//! ```text
//! Scenario, Engagement, Summary --Replay::of--> Replay --to_bytes--> replay.json --read_replay--> Replay --Tracks--> values at any time
//! ```
//!
//! A track is a list of samples. Between samples a reader interpolates linearly; a sample stands where leaving it out
//! would miss by more than the track's tolerance. Times and values are written as differences of whole multiples of a unit.
//!
//! # References
//! - Ramer, U., Computer Graphics and Image Processing 1, 1972, p 244; Douglas, D. H., Peucker, T. K., Cartographica 10,
//!   1973, p 112 (thinning of a line). \[recalled\]

mod file;
mod gather;
mod gltf;
mod model;
mod scene;
pub mod silhouette;
mod thin;
mod track;
mod words;

pub use file::{REPLAY_NAME, read_replay};
pub use model::{
    ArmScene, BandScene, BaseScene, BoltEnd, BoltSize, Event, FoundScene, Glass, KeeperSheet,
    LampBox, PierSize, PoleScene, REPLAY_FORMAT, Replay, ReplayHeadline, ReplayNumber, RoundWasher,
    Scene, SiteScene, StandingBar, StripScene, Track, TrackKind, VehicleScene, Washer,
};
pub use track::{Samples, Tracks};
