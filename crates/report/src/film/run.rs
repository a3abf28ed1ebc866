//! A run as it is drawn, the page that it is drawn on, and what is looked at.

use giveway_results::Replay;
use giveway_results::replay::Tracks;
use giveway_scenario::model::Scenario;

/// Height of the page that every picture is drawn on, px; pictures of other sizes are scaled.
pub const HEIGHT: f64 = 720.0;
/// Height of the strip with the clock at the foot, and of the caution below it, px.
pub const FOOT: (f64, f64) = (62.0, 24.0);

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FilmView {
    /// From the right of the travel, with close-ups of the slip base.
    Side,
    /// From above.
    Plan,
    /// Only the slip base, from the side and from above.
    Base,
    /// The section through the bolt that lies furthest ahead; then the picture draws back.
    Section,
}

/// A run as it is drawn.
#[derive(Debug)]
pub struct Shown<'a> {
    pub heading: String,
    pub scenario: Scenario,
    pub replay: &'a Replay,
    pub tracks: Tracks,
}
