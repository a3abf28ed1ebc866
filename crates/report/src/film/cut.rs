//! The section through one bolt, moved as in a lesson (`crates/report/player/src/opening.js`); then the picture draws back.

use giveway_impact::outcome::Snapshot;
use giveway_scenario::model::Anchorage;

use super::run::Shown;
use super::work::{self, Doing};
use crate::ReportError;
use crate::lesson::{
    Carrier, DOTS, Fill, GROUT, LETTER, Layer, Paint, Section, Thing, ahead, words,
};
use crate::storyboard::{SKY_PALE, body};
use crate::view::{Look, View, closed, ends, flat, placed};
use giveway_draw::{EARTH, Figure, INK, LIMIT, NAVY, PAPER, RUST, SKY, Window, look};

/// A free bolt falls on for so long, s; its fall is not computed.
const FALL_S: f64 = 0.3;
/// Time over which the speed of a bolt that is let go is taken, s.
const LAST_S: f64 = 0.003;
/// Half of the gravity of earth, m/s2.
const HALF_G: f64 = 4.905;
/// From this scale on letters are read, px/m; below the other vehicle and pole are seen as a whole.
const READ: f64 = 500.0;
pub const WHOLE: f64 = 250.0;
/// What the bolt has left is shown once it has gone so far, mm.
const LEFT_MM: f64 = 8.0;

/// A run's section.
pub struct Cut {
    layers: Vec<Layer>,
    /// Number of the bolt, from 1.
    number: usize,
    /// Left, top (upward negative), width and height of the picture, mm.
    pub frame: [f64; 4],
    /// When that which stands in the way is met, s.
    met_s: f64,
}

impl core::fmt::Debug for Cut {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "section through bolt {}", self.number)
    }
}

/// Where a thing went: along the travel and up, mm; turned clockwise as seen, about a point.
#[derive(Clone, Copy, Default)]
struct Motion {
    by: (f64, f64),
    turn_rad: f64,
    about: (f64, f64),
}

impl Motion {
    fn of(&self, p: (f64, f64)) -> (f64, f64) {
        let (s, c) = (libm::sin(self.turn_rad), libm::cos(self.turn_rad));
        let (x, z) = (p.0 - self.about.0, p.1 - self.about.1);
        (
            self.by.0 + self.about.0 + c * x + s * z,
            self.by.1 + self.about.1 - s * x + c * z,
        )
    }
}

impl Cut {
    /// The section of a run; none where its base does not slip.
    pub fn of(run: &Shown) -> Result<Option<Self>, ReportError> {
        let scene = &run.replay.scene;
        if run.scenario.base.anchorage == Anchorage::Fixed || scene.base.azimuths_rad.is_empty() {
            return Ok(None);
        }
        let words = words("en").map_err(|reason| ReportError::Film { reason })?;
        let bolt = ahead(scene, &run.scenario);
        let section = Section {
            scene,
            scenario: &run.scenario,
            bolt,
        };
        let mut cut = Self {
            layers: section.layers(&words),
            number: bolt + 1,
            frame: section.frame().view,
            met_s: f64::INFINITY,
        };
        let stub = scene.found.stubs.first().map(|s| 1e3 * s.gap_m - 0.5);
        let slow = run.span().0;
        let mut time = 0.001;
        while time < slow {
            let met = match stub {
                Some(gap) => cut.plate(run, time).is_some_and(|m| m.by.0 >= gap),
                None => (run.bolts_now(time).iter())
                    .any(|b| b.number == cut.number && b.doing == Doing::Held),
            };
            if met {
                cut.met_s = time;
                break;
            }
            time += 0.0005;
        }
        Ok(Some(cut))
    }

    fn plate(&self, run: &Shown, time: f64) -> Option<Motion> {
        let track = run.tracks.get("plate")?;
        let known = track.until_s.map_or(time, |until| until.min(time));
        let (start, turned) = track.pose_at(0.0)?;
        let (now, turned_now) = track.pose_at(known)?;
        let (c, s) = run.travel();
        let flat = |p: [f64; 3]| (1e3 * flat((c, s), p).0, 1e3 * p[2]);
        let (from, to) = (flat(start), flat(now));
        let angle = |centre: [f64; 3], q: [f64; 4]| {
            let (a, b) = (flat(placed(centre, q, [c, s, 0.0])), flat(centre));
            libm::atan2(a.1 - b.1, a.0 - b.0)
        };
        Some(Motion {
            by: (to.0 - from.0, to.1 - from.1),
            turn_rad: angle(start, turned) - angle(now, turned_now),
            about: from,
        })
    }

    /// The bolt; none once it has fallen out of sight.
    fn bolt(&self, run: &Shown, time: f64) -> Option<Motion> {
        let track = run.tracks.get(&format!("bolt{}", self.number))?;
        let (c, s) = run.travel();
        let flat = |v: &[f64]| {
            let at = |i: usize| v.get(i).copied().unwrap_or(0.0);
            (1e3 * (at(0) * c + at(1) * s), 1e3 * at(2))
        };
        let seat = flat(&track.at(track.from_s)?);
        if let Some(now) = track.at(time) {
            let p = flat(&now);
            return Some(Motion {
                by: (p.0 - seat.0, p.1 - seat.1),
                turn_rad: 0.0,
                about: seat,
            });
        }
        let until = track.until_s?;
        let gone = time - until;
        if gone >= FALL_S {
            return None;
        }
        let p = flat(&track.at(until)?);
        let before = flat(&track.at((until - LAST_S).max(track.from_s))?);
        let k = gone / LAST_S;
        let fallen = p.1 - seat.1 + (p.1 - before.1) * k - 1e3 * HALF_G * gone * gone;
        Some(Motion {
            // It comes to lie on what is below, and does not sink into it.
            by: (p.0 - seat.0 + (p.0 - before.0) * k, fallen.max(-seat.1)),
            turn_rad: (500.0 * gone).min(80.0).to_radians(),
            about: seat,
        })
    }

    /// Draws the section at a time.
    pub fn draw(&self, f: &mut Figure, run: &Shown, s: &Snapshot, view: &View, time: f64) {
        let w = view.window;
        f.rect(w, SKY_PALE, 1.0);
        let plate = self.plate(run, time);
        let bolt = self.bolt(run, time);
        let moved = bolt.is_some_and(|m| m.by.0.abs() > LEFT_MM);
        let read = view.scale > READ;
        for (i, layer) in self.layers.iter().enumerate() {
            if i == 1 {
                self.shaft(f, run, s, view);
            }
            let shown = match layer.class {
                "push" => read && run.push(time).is_some(),
                "stop" => read && time >= self.met_s,
                "ghost" => read && moved,
                _ => true,
            };
            let motion = match layer.moves {
                None => Some(Motion::default()),
                Some(Carrier::Plate) => plate,
                Some(Carrier::Bolt) => bolt,
            };
            if let (true, Some(motion)) = (shown, motion) {
                for thing in &layer.things {
                    drawn(f, view, thing, &motion, read);
                }
            }
        }
        if read {
            self.told(f, run, view, time);
            overview(f, run, s, view);
        }
        f.frame(w, 1.2, INK);
    }

    fn shaft(&self, f: &mut Figure, run: &Shown, s: &Snapshot, view: &View) {
        let (foot, tip) = ends(&run.scenario.support.pole);
        for (more, colour) in [(2.4 / view.scale, NAVY), (0.0, SKY)] {
            let d = (foot + more, tip + more);
            view.tube(f, &s.pole_axis_m, d, 2.5, colour);
        }
    }

    /// What the bolt in the cut does, in a sign and a word.
    fn told(&self, f: &mut Figure, run: &Shown, view: &View, time: f64) {
        let bolts = run.bolts_now(time);
        let Some(bolt) = bolts.iter().find(|b| b.number == self.number) else {
            return;
        };
        let at = (view.window.left + 22.0, view.window.top + 24.0);
        work::sign(f, at, 10.0, bolt.doing);
        let text = format!("bolt {}: {}", bolt.number, bolt.doing.word());
        f.label((at.0 + 20.0, at.1), &text, look(17.0, INK).bold(), PAPER);
    }
}

/// Draws a thing where its motion took it.
fn drawn(f: &mut Figure, view: &View, thing: &Thing, motion: &Motion, read: bool) {
    let k = 1e-3 * view.scale;
    let page = |p: (f64, f64)| {
        let p = motion.of(p);
        (view.origin.0 + k * p.0, view.origin.1 - k * p.1)
    };
    match thing {
        Thing::Shape { paint, .. } if paint.shaft => {}
        Thing::Shape { points, paint } => {
            let outline: Vec<_> = points.iter().map(|p| page(*p)).collect();
            let inside = view.window.polygon(&outline);
            match paint.fill {
                Fill::Dashes => {}
                Fill::Plain(colour) => f.fill(inside, colour, 1.0),
                Fill::Grout => {
                    f.fill(inside, GROUT, 1.0);
                    dots(f, view, points, &page);
                }
            }
            let outline = closed(&outline);
            let dashes = paint.fill == Fill::Dashes;
            let dash: &[f64] = if dashes { &[5.0, 4.0] } else { &[] };
            let Paint { stroke, wide, .. } = *paint;
            if wide > 0.0 {
                view.stroke(f, &outline, wide.min(wide * k + 0.4), stroke, dash);
            }
        }
        Thing::Letters {
            at,
            text,
            colour,
            anchor,
            halo,
        } => {
            let size = (LETTER * k).min(24.0);
            let foot = page(*at);
            let middle = (foot.0, foot.1 - 0.36 * size);
            if !read || !view.window.contains(middle) {
                return;
            }
            let style = look(size, *colour).bold().at(*anchor);
            if *halo {
                f.label(middle, text, style, PAPER);
            } else {
                f.text(middle, text, style);
            }
        }
    }
}

/// The dots of grout.
fn dots(
    f: &mut Figure,
    view: &View,
    corners: &[(f64, f64)],
    page: &impl Fn((f64, f64)) -> (f64, f64),
) {
    if view.scale < READ {
        return;
    }
    const STEP: f64 = 12.0;
    let (from, to) = (corners[0], corners[2]);
    let mut z = from.1 + 0.5 * STEP;
    while z < to.1 - 2.0 {
        let mut x = from.0 + 0.5 * STEP;
        while x < to.0 - 2.0 {
            for p in [page((x, z)), page((x + 5.0, z + 4.0))] {
                if view.window.contains(p) {
                    let r = 1e-3 * view.scale;
                    let corners = [(-r, 0.0), (0.0, -r), (r, 0.0), (0.0, r)];
                    f.fill(corners.map(|c| (p.0 + c.0, p.1 + c.1)), DOTS, 1.0);
                }
            }
            x += STEP;
        }
        z += STEP;
    }
}

/// Vehicle and pole as a whole in the corner, with a ring round what the section shows.
fn overview(f: &mut Figure, run: &Shown, s: &Snapshot, from: &View) {
    let (wide, tall) = (0.27, 0.3);
    let w = from.window;
    let window = Window::new(
        (w.right - wide * (w.right - w.left), w.top),
        (w.right, w.top + tall * (w.bottom - w.top)),
    );
    f.rect(window, PAPER, 1.0);
    let (across, length) = (window.right - window.left, run.scenario.vehicle.length_m);
    let scale = across / (length + 2.4);
    let view = View {
        window,
        origin: (window.right - 1.4 * scale, window.bottom - 8.0),
        scale,
        look: Look::FromTheSide,
        travel: from.travel,
    };
    let ground = (window.left, view.origin.1);
    f.rect((ground, (window.right, window.bottom)), EARTH, 1.0);
    body(&run.scenario, s).draw(f, &view);
    let d = ends(&run.scenario.support.pole);
    view.tube(f, &s.pole_axis_m, d, 3.0, RUST);
    f.ring(view.at([0.0, 0.0, 0.1]), (0.4 * scale).max(6.0), 2.0, LIMIT);
    f.frame(window, 1.2, INK);
}
