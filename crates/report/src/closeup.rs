//! Close-ups of the slip base in the storyboard, from the side and from above.

use giveway_impact::outcome::{BarOutcome, Snapshot};
use giveway_scenario::model::{Anchorage, Scenario};

use crate::base;
use crate::found;
use crate::storyboard::body;
use crate::view::{Look, View, ends};
use giveway_draw::{EARTH, Figure, INK, PAPER, STEEL, Window, look};
use giveway_results::replay::silhouette::top;

/// Width where there is room, px.
pub const WIDTH_PX: f64 = 248.0;
/// Close-ups, m: from the pole's axis against and along the travel, half breadth, height.
pub const CLOSE: (f64, f64, f64, f64) = (0.33, 0.61, 0.36, 0.52);

/// Draws both close-ups into the sky of an elevation, left of the pole and above the vehicle's roof; returns their views.
pub fn draw(
    f: &mut Figure,
    side: &View,
    scenario: &Scenario,
    s: &Snapshot,
    bars: &[BarOutcome],
) -> Vec<View> {
    let mut views = Vec::new();
    if scenario.base.anchorage == Anchorage::Fixed {
        return views;
    }
    let (before, after, breadth, high) = CLOSE;
    let bottom = side.origin.1 - ((top(&scenario.vehicle) + 0.3) * side.scale).max(70.0);
    // Two pictures with a line of text over each, between the vehicle's roof and the window's top.
    let room = (bottom - side.window.top - 70.0).max(60.0);
    let width = WIDTH_PX.min(room * (before + after) / (high + 2.0 * breadth));
    let scale = width / (before + after);
    let (tall_above, tall_side) = (2.0 * breadth * scale, high * scale);
    let left = side.window.left + 6.0;
    let top = bottom - tall_above - tall_side - 28.0;
    let below = top + tall_side + 28.0;
    for (from, tall, look_at, seen) in [
        (top, tall_side, Look::FromTheSide, "from the side"),
        (below, tall_above, Look::FromAbove, "from above"),
    ] {
        let window = Window::sized((left, from), (width, tall));
        let view = view(look_at, window, (scale, breadth * scale), side.travel);
        panel(f, &view, scenario, s, bars);
        let words = format!("slip base {seen}");
        f.text((left, window.top - 9.0), &words, look(12.5, INK));
        views.push(view);
    }
    views
}

/// The view of a close-up in its window; scale, px/m, and how far the pole's axis lies over the lower edge where one looks
/// from above, px.
pub fn view(look: Look, window: Window, (scale, axis): (f64, f64), travel: (f64, f64)) -> View {
    let ground = match look {
        Look::FromTheSide => 0.08 * scale,
        Look::FromAbove => axis,
    };
    View {
        window,
        origin: (window.left + CLOSE.0 * scale, window.bottom - ground),
        scale,
        look,
        travel,
    }
}

/// One close-up in its window: ground, vehicle, what was found, base and pole, frame and a ruler of 100 mm. `bars`
/// tells which bars in the slip plane have given way.
pub fn panel(f: &mut Figure, view: &View, scenario: &Scenario, s: &Snapshot, bars: &[BarOutcome]) {
    let w = view.window;
    let ground = view.origin.1;
    f.rect(w, PAPER, 1.0);
    match view.look {
        Look::FromTheSide => {
            f.rect(((w.left, ground), (w.right, w.bottom)), EARTH, 1.0);
            f.line([(w.left, ground), (w.right, ground)], 1.2, INK);
            body(scenario, s).draw(f, view);
            found::beneath(f, view, scenario);
            base::draw(f, view, scenario, s);
            let d = ends(&scenario.support.pole);
            view.tube(f, &s.pole_axis_m, d, 2.0, STEEL);
            base::upper_plate(f, view, scenario, s);
        }
        Look::FromAbove => {
            found::beneath(f, view, scenario);
            body(scenario, s).shadow(f, view);
            base::draw(f, view, scenario, s);
        }
    }
    found::above(f, view, scenario, s, bars);
    f.frame(w, 1.2, INK);
    let (x, y) = (w.right - 8.0, w.bottom - 9.0);
    let tenth = 0.1 * view.scale;
    f.label((x - tenth - 5.0, y), "100 mm", look(11.0, INK).end(), PAPER);
    f.line([(x - tenth, y), (x, y)], 3.0, INK);
}
