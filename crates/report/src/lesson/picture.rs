//! The slip base of a case at one instant, from the side and from above: small enough for a handout.

use giveway_impact::outcome::{Engagement, Snapshot};
use giveway_scenario::model::Scenario;

use crate::ReportError;
use crate::closeup::{self, CLOSE, panel};
use crate::found::as_drawn;
use crate::storyboard::check;
use crate::view::{Look, travel};
use giveway_draw::{Figure, Window};

/// Size of one of the two views, px, and the gap between them.
const VIEW: (f64, f64) = (440.0, 330.0);
const GAP: f64 = 16.0;

/// The picture; `name` becomes its identifier.
///
/// # Errors
/// No snapshots, or a number that is not finite.
pub fn base_figure(
    name: &str,
    title: &str,
    scenario: &Scenario,
    engagement: &Engagement,
    time_s: f64,
) -> Result<Figure, ReportError> {
    let snapshot = nearest(engagement, time_s).ok_or(ReportError::NoSnapshots)?;
    check(name, snapshot)?;
    let mut f = Figure::new(name, title, 2.0 * VIEW.0 + GAP, VIEW.1);
    let drawn = as_drawn(scenario);
    let travel = travel(&drawn);
    let scale = VIEW.0 / (CLOSE.0 + CLOSE.1);
    let later = snapshot.time_s > 0.0;
    let bars = if later { &engagement.bars[..] } else { &[] };
    for (k, look) in [Look::FromTheSide, Look::FromAbove].into_iter().enumerate() {
        let left = (VIEW.0 + GAP) * k as f64;
        let window = Window::sized((left, 0.0), VIEW);
        let view = closeup::view(look, window, (scale, 0.5 * VIEW.1), travel);
        panel(&mut f, &view, &drawn, snapshot, bars);
    }
    f.set_alt_text(format!(
        "{title}: the slip base {:.0} ms after first touch, from the side and from above.",
        1e3 * snapshot.time_s
    ));
    Ok(f.finish()?)
}

/// The snapshot nearest to a time.
pub fn nearest(engagement: &Engagement, time_s: f64) -> Option<&Snapshot> {
    let apart = |s: &&Snapshot| (s.time_s - time_s).abs();
    (engagement.snapshots.iter()).min_by(|a, b| apart(a).total_cmp(&apart(b)))
}
