//! What the bolts do now and which forces act: the same rules, signs and scales as in the interactive picture
//! (`crates/report/player/src/state.js`, `glyph.js`, `scene/arrows.js`). Colour, shape and word go together, so that it is read
//! in grey as well.

use giveway_scenario::model::Anchorage;

use super::run::Shown;
use crate::view::{Look, Place, View, closed, flat, placed};
use giveway_draw::{
    Colour, Figure, INK, LIMIT, NAVY, PAPER, Point, RUST, SLATE, STRAW, Window, circle, look,
    text_width,
};

/// A seat has moved when it is this far from where it was, m.
const MOVED_M: f64 = 1e-3;
/// A seat moves when it is quicker than this, m/s.
const MOVES_MPS: f64 = 0.03;
/// A push of the vehicle that counts, N.
const PUSH_N: f64 = 20e3;
/// Time over which the speed of a seat is taken, s.
const SPAN_S: f64 = 2e-3;
/// Least force that has an arrow, N.
const LEAST_N: f64 = 500.0;
/// Length of an arrow, m/N: in close-ups, of the push there, and where all is seen.
const NEAR: f64 = 0.26 / 60e3;
const NEAR_PUSH: f64 = 0.5 * NEAR;
const FAR: f64 = 2.6 / 150e3;
/// Close-ups from this scale on have room for numbers, px/m.
const LARGE: f64 = 300.0;

/// What a bolt does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// Nothing moves.
    Clamped,
    /// On its way out of a notch.
    Sliding,
    /// Pushed hard and cannot move, or still in when the blow is over.
    Held,
    /// Out of its notch.
    Free,
}

impl Doing {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clamped => "clamped",
            Self::Sliding => "sliding",
            Self::Held => "held",
            Self::Free => "free",
        }
    }

    fn colour(self) -> Colour {
        match self {
            Self::Clamped => NAVY,
            Self::Sliding => STRAW,
            Self::Held => LIMIT,
            Self::Free => PAPER,
        }
    }
}

/// A bolt at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltNow {
    /// Number, from 1.
    pub number: usize,
    /// What it does.
    pub doing: Doing,
    /// Force across the slip plane, N; 0 where it is free or no longer known.
    pub force_n: f64,
    place: Place,
    seat: Place,
}

/// What the vehicle does to the pole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Push {
    force_n: f64,
    direction: Place,
    at: Place,
}

impl Shown<'_> {
    /// The bolts at a time; none where the base is not one that slips.
    pub(super) fn bolts_now(&self, time_s: f64) -> Vec<BoltNow> {
        if self.scenario.base.anchorage == Anchorage::Fixed {
            return Vec::new();
        }
        let pushed = self.curve("contact_force_n", time_s).unwrap_or(0.0) > PUSH_N;
        (1..=self.scenario.base.bolt_count)
            .filter_map(|number| {
                let track = self.tracks.get(&format!("bolt{number}"))?;
                let start = track.at(track.from_s)?;
                let seat = *start.first_chunk::<3>()?;
                let column = |name: &str| track.columns.iter().position(|c| c == name);
                let preload = start.get(column("tension_n")?)?.max(1.0);
                let Some(now) = track.at(time_s) else {
                    return Some(BoltNow {
                        number,
                        doing: Doing::Free,
                        force_n: 0.0,
                        place: seat,
                        seat,
                    });
                };
                let force = *now.get(column("slip_force_n")?)?;
                let slip = self.seat_slip(seat, time_s)?;
                let before = self.seat_slip(seat, (time_s - SPAN_S).max(0.0))?;
                let quick = (slip - before).abs() / SPAN_S > MOVES_MPS;
                let over = time_s >= self.replay.engagement_end_s;
                let doing = if slip > MOVED_M && quick {
                    Doing::Sliding
                } else if (force > preload && slip <= 2.0 * MOVED_M)
                    || (slip > MOVED_M && pushed)
                    || (track.until_s.is_none() && over)
                {
                    Doing::Held
                } else {
                    Doing::Clamped
                };
                // A bolt that stays is followed to the end of the engagement only.
                let known = !over || track.times_s.last().is_some_and(|t| time_s <= t + 1e-6);
                Some(BoltNow {
                    number,
                    doing,
                    force_n: if known { force } else { 0.0 },
                    place: *now.first_chunk::<3>()?,
                    seat,
                })
            })
            .collect()
    }

    /// How far a bolt's seat in the upper plate is from that in the lower, m.
    fn seat_slip(&self, seat: Place, time_s: f64) -> Option<f64> {
        let track = self.tracks.get("plate")?;
        let known = track.until_s.map_or(time_s, |until| until.min(time_s));
        let (start, _) = track.pose_at(track.from_s)?;
        let (centre, turned) = track.pose_at(known)?;
        let arm = [0, 1, 2].map(|i| seat[i] - start[i]);
        let upper = placed(centre, turned, arm);
        Some(libm::hypot(upper[0] - seat[0], upper[1] - seat[1]))
    }

    /// The push of the vehicle at a time.
    pub(super) fn push(&self, time_s: f64) -> Option<Push> {
        let v = self.tracks.get("contact_force")?.at(time_s)?;
        let [x, y, z, at_x, at_y, at_z] = *v.as_slice() else {
            return None;
        };
        let force = libm::sqrt(x * x + y * y + z * z);
        (force > LEAST_N).then(|| Push {
            // The number that the chart tells.
            force_n: self.curve("contact_force_n", time_s).unwrap_or(force),
            direction: [x, y, z].map(|c| -c / force),
            at: [at_x, at_y, at_z],
        })
    }
}

/// Draws bolts and forces over a close-up.
pub(super) fn over_close(f: &mut Figure, view: &View, run: &Shown, time: f64) {
    let bolts = run.bolts_now(time);
    let push = run.push(time);
    let towards = push.map_or([view.travel.0, view.travel.1, 0.0], |p| p.direction);
    let flat = libm::hypot(towards[0], towards[1]).max(1e-9);
    let back = [-towards[0] / flat, -towards[1] / flat, 0.0];
    let base = &run.scenario.base;
    let size = (0.95 * base.bolt.diameter_m * view.scale).clamp(6.5, 16.0);
    // Over the nut, so that sign and arrow cover nothing.
    let above = base.upper_plate_m
        + 2.0 * base.plate_washer_m
        + 1.4 * base.bolt.diameter_m
        + 1.3 * size / view.scale;
    if view.look == Look::FromTheSide {
        for bolt in bolts.iter().filter(|b| b.doing != Doing::Free) {
            steel(f, view, run, bolt);
        }
    }
    if let Some(push) = push {
        // From the side the blow lies above the picture's edge: its arrow is let down to it.
        let w = view.window;
        let mut tip = view.at(push.at);
        tip.1 = tip.1.max(w.top + 14.0);
        let length = NEAR_PUSH * push.force_n * view.scale;
        let tail = along(view, tip, push.direction, -length);
        arrow(f, w, tail, tip, 0.5 * size + 2.0, RUST);
        if view.scale > LARGE && view.look == Look::FromTheSide {
            let text = format!("push of the car {:.0} kN", 1e-3 * push.force_n);
            let x = tail.0.max(w.left + 8.0);
            f.label((x, tip.1 + 17.0), &text, look(13.0, RUST).bold(), PAPER);
        }
    }
    for bolt in &bolts {
        if bolt.doing == Doing::Free && view.look == Look::FromTheSide {
            continue;
        }
        // From the side those behind stand higher, so that arrows do not lie over each other.
        let behind = view.depth(bolt.seat) > 0.0;
        let above = above + if behind { 2.4 * size / view.scale } else { 0.0 };
        let from_side = view.look == Look::FromTheSide;
        let lift = if from_side { above } else { 0.0 };
        let p = bolt.place;
        let at = view.at([p[0], p[1], p[2] + lift]);
        if !view.window.contains(at) {
            continue;
        }
        if bolt.doing == Doing::Free {
            sign(f, at, 0.8 * size, Doing::Free);
        } else {
            if bolt.force_n > LEAST_N {
                let tip = along(view, at, back, NEAR * bolt.force_n * view.scale);
                arrow(f, view.window, at, tip, 0.35 * size + 1.0, LIMIT);
                if view.scale > LARGE && view.look == Look::FromAbove {
                    let text = format!("{:.0} kN", 1e-3 * bolt.force_n);
                    let over = (tip.0.max(view.window.left + 8.0), at.1 - size - 3.0);
                    f.label(over, &text, look(12.0, LIMIT).bold(), PAPER);
                }
            }
            if view.look == Look::FromAbove {
                // The head below the sign.
                let head = 0.95 * base.bolt.diameter_m * view.scale;
                f.disc(at, head, PAPER);
                f.ring(at, head, 1.0, INK);
            }
            sign(f, at, 0.8 * size, bolt.doing);
        }
        number(f, view, bolt, at, size);
    }
}

/// Draws the push of the vehicle where the whole scene is seen.
pub(super) fn over_wide(f: &mut Figure, view: &View, run: &Shown, time: f64) {
    // From above there are no close-ups and so no signs to be explained.
    let words = if view.look == Look::FromAbove {
        "push of the car "
    } else {
        ""
    };
    let Some(push) = run.push(time) else { return };
    let tip = view.at(push.at);
    let tail = along(view, tip, push.direction, -FAR * push.force_n * view.scale);
    arrow(f, view.window, tail, tip, 7.0, RUST);
    let w = view.window;
    let text = format!("{words}{:.0} kN", 1e-3 * push.force_n);
    let half = 0.5 * text_width(&text, 14.0, true) + 6.0;
    let x = (0.5 * (tail.0 + tip.0)).clamp(w.left + half, w.right - half);
    let place = (x, tip.1 - 18.0);
    if w.contains(place) {
        f.label(place, &text, look(14.0, RUST).bold().middle(), PAPER);
    }
}

/// What signs and arrows mean, from `left` to `right` about the height `y`.
pub(super) fn legend(f: &mut Figure, (left, right): (f64, f64), y: f64) {
    const SIZE: f64 = 13.0;
    const ARROW: f64 = 26.0;
    let words = ["push of the car", "how hard a bolt holds the plate back"];
    let signs = [Doing::Clamped, Doing::Sliding, Doing::Held, Doing::Free];
    let gap = 16.0;
    let wide = |word: &str, sign: f64| sign + text_width(word, SIZE, false) + gap;
    let of_signs = signs.iter().map(|s| wide(s.word(), 20.0));
    let of_words = words.iter().map(|w| wide(w, ARROW + 6.0));
    let width = of_signs.chain(of_words).sum::<f64>() - gap;
    let k = ((right - left) / width).min(1.0);
    let size = SIZE * k;
    let mut x = left + 0.5 * (right - left - k * width);
    for doing in signs {
        sign(f, (x + 7.0 * k, y), 6.0 * k, doing);
        f.text((x + 19.0 * k, y), doing.word(), look(size, INK));
        x += k * wide(doing.word(), 20.0);
    }
    let all = Window::new((left, y - 20.0), (right, y + 20.0));
    let arrows = [(0.0, ARROW, 6.0, RUST), (ARROW, 0.0, 4.0, LIMIT)];
    for (words, (from, to, thick, colour)) in words.iter().zip(arrows) {
        let (tail, tip) = ((x + k * from, y), (x + k * to, y));
        arrow(f, all, tail, tip, thick * k, colour);
        f.text((x + k * (ARROW + 6.0), y), words, look(size, INK));
        x += k * wide(words, ARROW + 6.0);
    }
}

/// A point of the page so far from another along a direction of space, seen in the view.
fn along(view: &View, from: Point, direction: Place, length: f64) -> Point {
    let (a, b) = (view.at([0.0; 3]), view.at(direction));
    (
        from.0 + length * (b.0 - a.0) / view.scale,
        from.1 + length * (b.1 - a.1) / view.scale,
    )
}

fn arrow(f: &mut Figure, w: Window, tail: Point, tip: Point, thick: f64, colour: Colour) {
    let length = libm::hypot(tip.0 - tail.0, tip.1 - tail.1);
    if length < 2.0 {
        return;
    }
    let (u, v) = ((tip.0 - tail.0) / length, (tip.1 - tail.1) / length);
    let head = (2.2 * thick).min(0.75 * length);
    let at = |s: f64, t: f64| (tail.0 + s * u - t * v, tail.1 + s * v + t * u);
    let (half, wide, neck) = (0.5 * thick, 1.15 * thick, length - head);
    let outline = [
        at(0.0, -half),
        at(neck, -half),
        at(neck, -wide),
        at(length, 0.0),
        at(neck, wide),
        at(neck, half),
        at(0.0, half),
    ];
    let shown = w.polygon(&outline);
    f.fill(shown.iter().copied(), colour, 1.0);
    // A pale edge keeps it apart from what lies below, also in grey.
    f.round(&shown, 1.0, PAPER);
}

/// The sign of what a bolt does: a disc, a triangle, a square with a cross, a broken ring.
pub(super) fn sign(f: &mut Figure, (x, y): Point, r: f64, doing: Doing) {
    let outline: Vec<Point> = match doing {
        Doing::Clamped | Doing::Free => circle((x, y), r, 24),
        Doing::Sliding => vec![
            (x + 1.25 * r, y),
            (x - 0.85 * r, y - 1.15 * r),
            (x - 0.85 * r, y + 1.15 * r),
        ],
        Doing::Held => Window::about((x, y), r).corners().to_vec(),
    };
    f.fill(outline.iter().copied(), doing.colour(), 1.0);
    if doing == Doing::Free {
        let line = closed(&outline);
        f.dashed(line, (0.2 * r).max(1.2), SLATE, &[0.5 * r, 0.4 * r]);
    } else {
        f.round(&outline, (0.15 * r).max(1.0), INK);
    }
    if doing == Doing::Held {
        let k = 0.5 * r;
        for side in [-k, k] {
            let stroke = [(x - k, y - side), (x + k, y + side)];
            f.line(stroke, (0.3 * r).max(1.3), PAPER);
        }
    }
}

/// Head and nut from the side in the colour of what the bolt does; a nut behind the pole's foot is not seen.
fn steel(f: &mut Figure, view: &View, run: &Shown, bolt: &BoltNow) {
    let base = &run.scenario.base;
    let d = base.bolt.diameter_m;
    let p = bolt.place;
    let (c, s) = view.travel;
    let foot = 0.5 * run.scenario.support.pole.base_diameter_m;
    let (u, v) = flat(view.travel, p);
    let hidden = v > 0.0 && u.abs() < foot + 0.8 * d;
    // As the close-up draws them.
    let gap = 2.0 * base.plate_washer_m;
    let bottom = p[2] - base.lower_plate_m - gap - 0.65 * d;
    let top = p[2] + base.upper_plate_m + gap + 0.9 * d;
    // Upright, across the view, from `a` to `b` beside the bolt's axis.
    let upright = |(a, b): (f64, f64), (low, high): (f64, f64)| {
        [(a, low), (b, low), (b, high), (a, high)].map(|q| [p[0] + q.0 * c, p[1] + q.0 * s, q.1])
    };
    let (head, nut) = ((bottom, bottom + 0.65 * d), (top - 0.9 * d, top));
    let parts = [Some(head), Some(nut).filter(|_| !hidden)];
    for heights in parts.into_iter().flatten() {
        let part = upright((-0.8 * d, 0.8 * d), heights);
        view.shape(f, &part, bolt.doing.colour(), Some((INK, 1.0)));
        if bolt.doing == Doing::Held {
            // White stripes, for those who see no red.
            for k in [-0.45, 0.2] {
                let stripe = upright((k * d, (k + 0.25) * d), heights);
                view.shape(f, &stripe, PAPER, None);
            }
        }
    }
}

/// The bolt's number beside its sign: outward from the middle, or over it.
fn number(f: &mut Figure, view: &View, bolt: &BoltNow, at: Point, size: f64) {
    let place = match view.look {
        Look::FromTheSide => (at.0 + 1.3 * size + 5.0, at.1),
        Look::FromAbove => {
            let (o, p) = (view.at([0.0; 3]), view.at(bolt.seat));
            let (dx, dy) = (p.0 - o.0, p.1 - o.1);
            let far = libm::hypot(dx, dy).max(1.0);
            let out = 1.9 * size + 5.0;
            (p.0 + out * dx / far, p.1 + out * dy / far)
        }
    };
    if view.window.contains(place) {
        let text = bolt.number.to_string();
        f.label(place, &text, look(12.5, INK).bold().middle(), PAPER);
    }
}
