//! Cross-section to scale through one slip bolt, with what must be kept clear.
//!
//! The cut stands upright through the pole's axis and the bolt. To the left lies the pole's axis; to the right the
//! notches are open, so the plates are not cut there and only their walls are seen behind the bolt.

use giveway_scenario::model::SlipBase;
use giveway_site::sheet::words::Say;

use crate::printed::drawing::{Drawing, ENLARGED, Filling, Line, Place, width_of};
use giveway_draw::{Anchor, Window};

/// What the drawing needs besides the base itself, all in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Length of the bolt under its head.
    pub bolt_length_m: f64,
    /// Length of its thread, from the end.
    pub thread_length_m: f64,
    /// Least gap between grout and the underside of the heads.
    pub grout_clear_m: f64,
    /// Greatest height of the lower plate's top over the chord.
    pub stub_limit_m: f64,
    /// Length of that chord.
    pub chord_m: f64,
    /// Height of the lower plate's top above the ground, as designed.
    pub slip_plane_height_m: f64,
    /// Units of its texts.
    pub say: Say,
}

/// Widest and highest that the drawing may be, mm.
const WIDTH: f64 = 115.0;
const HEIGHT: f64 = 50.0;
/// Room for the dimensions on the left and for the names on the right, mm.
const LEFT: f64 = 38.5;
const RIGHT: f64 = 34.0;
/// Between the base and the names, mm.
const CLEAR: f64 = 8.0;
/// Scales that are tried, 1 : n.
const SCALES: [f64; 8] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0];

/// Levels of everything above the slip plane (the top of the lower plate), m.
struct Levels {
    ground: f64,
    grout: f64,
    head_bottom: f64,
    head_top: f64,
    lower_bottom: f64,
    washer_top: f64,
    keeper_top: f64,
    upper_top: f64,
    nut_bottom: f64,
    nut_top: f64,
    end: f64,
}

impl Levels {
    fn new(base: &SlipBase, m: &Measures) -> Self {
        let lower_bottom = -base.lower_plate_m;
        let head_top = lower_bottom - base.plate_washer_m;
        let head_bottom = head_top - base.bolt.head_height_m;
        let washer_top = base.round_washer_m;
        let keeper_top = washer_top + base.keeper.as_ref().map_or(0.0, |k| k.thickness_m);
        let upper_top = keeper_top + base.upper_plate_m;
        let nut_bottom = upper_top + base.plate_washer_m;
        Self {
            ground: -m.slip_plane_height_m,
            grout: head_bottom - m.grout_clear_m,
            head_bottom,
            head_top,
            lower_bottom,
            washer_top,
            keeper_top,
            upper_top,
            nut_bottom,
            nut_top: nut_bottom + base.bolt.nut_height_m,
            end: head_top + m.bolt_length_m,
        }
    }
}

/// The drawing with its scale 1 : n.
pub fn draw(base: &SlipBase, m: &Measures) -> (Drawing, f64) {
    let levels = Levels::new(base, m);
    let washer = 0.5 * base.plate_washer_diameter_m;
    // From the bolt's axis to the break on the left and to the rim on the right, m.
    let inner = washer + 0.5 * base.bolt.diameter_m;
    let rim = (base.plate_radius_m - 0.5 * base.bolt_circle_m).max(0.0);
    let outer = rim.max(washer).max(0.6 * base.bolt.across_flats_m);
    let low = levels.ground.min(levels.grout);
    let high = levels
        .end
        .max(levels.nut_top)
        .max(m.stub_limit_m - m.slip_plane_height_m);
    let laid_out = |n: f64| 1e3 / (n * ENLARGED);
    let fits = |n: &&f64| {
        let k = laid_out(**n);
        k * (inner + outer) <= WIDTH - LEFT - RIGHT - CLEAR && k * (high - low) <= HEIGHT - 11.0
    };
    let n = *SCALES
        .iter()
        .find(fits)
        .unwrap_or(&SCALES[SCALES.len() - 1]);
    let k = laid_out(n);
    let height = (k * (high - low) + 11.0).min(3.0 * HEIGHT);
    let mut sheet = Sheet {
        d: Drawing::new(WIDTH, height),
        k,
        axis: LEFT + k * inner,
        zero: 4.0 + k * high,
        base,
        m,
        levels,
        inner,
        rim,
    };
    sheet.ground();
    sheet.plates();
    sheet.between();
    sheet.bolt();
    sheet.dimensions();
    sheet.names();
    (sheet.d, n)
}

struct Sheet<'a> {
    d: Drawing,
    /// mm on paper per m.
    k: f64,
    /// Place of the bolt's axis, mm.
    axis: f64,
    /// Place of the slip plane, mm.
    zero: f64,
    base: &'a SlipBase,
    m: &'a Measures,
    levels: Levels,
    inner: f64,
    rim: f64,
}

impl Sheet<'_> {
    /// Right of the bolt's axis by `r` m, above the slip plane by `z` m.
    fn at(&self, r: f64, z: f64) -> Place {
        (self.axis + self.k * r, self.zero - self.k * z)
    }

    fn left(&self) -> f64 {
        self.axis - self.k * self.inner
    }

    fn right(&self) -> f64 {
        self.axis + self.k * self.rim
    }

    /// Foundation under the base up to its highest allowed level, ground beside it.
    fn ground(&mut self) {
        let level = |z: f64| self.at(0.0, z).1;
        let (grout, ground) = (level(self.levels.grout), level(self.levels.ground));
        let head = level(self.levels.head_bottom);
        let bottom = grout.max(ground) + 5.0;
        let (l, r) = (self.left() - 6.0, self.right() + 3.0);
        self.d.cut((l, grout), (r, bottom), 2.6, false);
        // The lower edge is a break, not an edge.
        let edge = Window::new((l - 1.0, bottom - 0.4), (r + 1.0, bottom + 1.0));
        self.d.patch(&edge.corners(), Filling::Paper);
        // A text that would stand on the line gets its place.
        let close = (0.5 * (head + grout) - ground).abs() < 3.0;
        let stop = if close { self.left() - 22.0 } else { l };
        for (a, b) in [(1.0, stop), (r, r + 5.0)] {
            self.d.line(&[(a, ground), (b, ground)], Line::Outline);
            let mut x = a + 1.0;
            while x + 0.2 < b {
                let stroke = [(x, ground), (x - 1.0, ground + 1.6)];
                self.d.line(&stroke, Line::Thin);
                x += 2.2;
            }
        }
    }

    fn plates(&mut self) {
        let half = 0.5 * self.base.notch_span_m;
        let l = &self.levels;
        for (bottom, top, rising) in [
            (l.lower_bottom, 0.0, true),
            (l.keeper_top, l.upper_top, false),
        ] {
            // Seen behind the cut: the notch wall up to the rim.
            let (a, b) = (self.at(-half, bottom), self.at(self.rim, top));
            self.d.rectangle(a, b, Filling::Grey, Line::Thin);
            let (a, b) = (self.at(-self.inner, bottom), self.at(-half, top));
            self.d.cut(a, b, 1.7, rising);
            self.broken(a, b.1);
        }
    }

    /// A break line at the left end of a plate, from `foot` up to `top`.
    fn broken(&mut self, foot: Place, top: f64) {
        let (x, low) = foot;
        let middle = 0.5 * (low + top);
        let zigzag = [
            (x, low + 1.0),
            (x, middle + 1.2),
            (x - 1.1, middle + 0.5),
            (x + 1.1, middle - 0.5),
            (x, middle - 1.2),
            (x, top - 1.0),
        ];
        let edge = Window::new((x - 0.4, low + 0.1), (x + 0.15, top - 0.1));
        self.d.patch(&edge.corners(), Filling::Paper);
        self.d.line(&zigzag, Line::Thin);
    }

    /// Washers and keeper.
    fn between(&mut self) {
        let d = 0.5 * self.base.bolt.diameter_m;
        let round = 0.5 * self.base.round_washer_diameter_m;
        let plate = 0.5 * self.base.plate_washer_diameter_m;
        let l = &self.levels;
        let rings = [
            (0.0, l.washer_top, round),
            (l.head_top, l.lower_bottom, plate),
            (l.upper_top, l.nut_bottom, plate),
        ];
        for (bottom, top, radius) in rings {
            for side in [-1.0, 1.0] {
                let (a, b) = (self.at(side * d, bottom), self.at(side * radius, top));
                self.d.cut(a, b, 0.9, side > 0.0);
            }
        }
        if let Some(keeper) = &self.base.keeper {
            let (z0, z1) = (self.levels.washer_top, self.levels.keeper_top);
            // A thin sheet is filled in, never thinner than an outline.
            for (from, to) in [(-self.inner - 0.004, -d), (d, keeper.edge_distance_m)] {
                let (a, b) = (self.at(from, z0), self.at(to, z1));
                let sheet = Window::new(a, (b.0, b.1.min(a.1 - 0.35)));
                self.d.patch(&sheet.corners(), Filling::Ink);
            }
        }
    }

    fn bolt(&mut self) {
        let d = 0.5 * self.base.bolt.diameter_m;
        let flats = self.base.bolt.across_flats_m;
        // A hexagon seen onto a face: corners at s/sqrt 3, edges at s/(2 sqrt 3).
        let corner = flats / 3.0_f64.sqrt();
        let l = &self.levels;
        let end = self.at(0.0, l.end).1;
        let (head_bottom, head_top, nut_bottom, nut_top) =
            (l.head_bottom, l.head_top, l.nut_bottom, l.nut_top);
        let shank = (self.at(-d, head_top), self.at(d, l.end));
        let thread = l.end - self.m.thread_length_m.min(self.m.bolt_length_m);
        self.d
            .rectangle(shank.0, shank.1, Filling::Paper, Line::Outline);
        // Thread: minor diameter d - 1.0825 P, up to its run-out.
        let minor = d - 0.5 * 1.0825 * self.base.bolt.pitch_m;
        let run_out = self.at(0.0, thread).1;
        for side in [-1.0, 1.0] {
            let x = self.at(side * minor, 0.0).0;
            self.d.line(&[(x, end), (x, run_out)], Line::Thin);
        }
        self.d
            .line(&[(shank.0.0, run_out), (shank.1.0, run_out)], Line::Thin);
        for (bottom, top) in [(head_bottom, head_top), (nut_bottom, nut_top)] {
            let (a, b) = (self.at(-corner, bottom), self.at(corner, top));
            self.d.rectangle(a, b, Filling::Paper, Line::Outline);
            for side in [-0.5, 0.5] {
                let (a, b) = (self.at(side * corner, bottom), self.at(side * corner, top));
                self.d.line(&[a, b], Line::Thin);
            }
        }
        let (low, high) = (
            self.at(0.0, head_bottom).1 + 2.0,
            self.at(0.0, self.levels.end.max(nut_top)).1 - 2.5,
        );
        self.d
            .line(&[(self.axis, low), (self.axis, high)], Line::Axis);
    }

    fn dimensions(&mut self) {
        let l = &self.levels;
        let corner = self.base.bolt.across_flats_m / 3.0_f64.sqrt();
        let d = 0.5 * self.base.bolt.diameter_m;
        let y = |z: f64| self.zero - self.k * z;
        let (end, head_top, head_bottom, grout, ground) = (
            y(l.end),
            y(l.head_top),
            y(l.head_bottom),
            y(l.grout),
            y(l.ground),
        );
        let bolt_edge = self.axis - self.k * d;
        let head_edge = self.axis - self.k * corner;
        let washer_edge = self.axis - 0.5 * self.k * self.base.plate_washer_diameter_m;
        let left = self.left();
        let near = left - 8.0;
        let bolt = format!("bolt {}", self.m.say.length(self.m.bolt_length_m));
        let whole = format!("{bolt} under the head");
        let bolt = fitting(&[&whole, &bolt], (head_top - end).abs());
        let from = [bolt_edge, washer_edge];
        self.d.dimension(near, end, head_top, from, &bolt);
        let clear = format!("min {}", self.m.say.fine(self.m.grout_clear_m));
        let from = [head_edge, left - 5.4];
        self.d.dimension(near, head_bottom, grout, from, &clear);
        let middle = near - width_of(&clear, false) - 4.5;
        let tall = (ground - self.zero).abs();
        let height = self.m.say.length(self.m.slip_plane_height_m);
        let height = fitting(&[&format!("{height} as designed"), &height], tall);
        // A text that has no room along its line would reach the next one on the left: it goes to the right.
        let along = width_of(&height, false) + 1.0 < tall;
        let from = [left - 1.0, middle - 1.0];
        let text = if along { &*height } else { "" };
        self.d.dimension(middle, self.zero, ground, from, text);
        if !along {
            let at = (middle + 0.9, 0.5 * (self.zero + ground));
            self.d.text(at, &height, Anchor::Start);
        }
        let far = middle - 6.5;
        let limit = y(self.m.stub_limit_m + self.levels.ground);
        let words = self.m.say.fine(self.m.stub_limit_m);
        let chord = self.m.say.long(self.m.chord_m);
        let most = format!("at most {words}");
        let whole = format!("{most} over a chord of {chord}");
        let words = fitting(&[&whole, &most, &words], (ground - limit).abs());
        let line = [(far - 1.0, limit), (near - 2.5, limit)];
        self.d.line(&line, Line::Dashed);
        let from = [far + 1.0, far + 1.0];
        self.d.dimension(far, limit, ground, from, &words);
        // Towards the pole's axis, above the limit's line.
        let above = y(l.nut_top).min(limit - 3.0);
        let arrow = if above > 4.0 { above } else { limit + 6.0 };
        let from = near - 4.6;
        self.d.text((from, arrow - 2.4), "pole axis", Anchor::End);
        let to = (from - 10.0, arrow);
        self.d.arrow((from, arrow), to, Line::Thin);
    }

    fn names(&mut self) {
        let base = self.base;
        let l = &self.levels;
        let middle = |a: f64, b: f64| 0.5 * (a + b);
        let corner = base.bolt.across_flats_m / 3.0_f64.sqrt();
        let d = 0.5 * base.bolt.diameter_m;
        let plate = 0.5 * base.plate_washer_diameter_m;
        let round = 0.5 * base.round_washer_diameter_m;
        let inset = 0.8 / self.k;
        let beyond = l.end - l.nut_top;
        let fine = |name: &str, metres: f64| format!("{name} {}", self.m.say.fine(metres));
        let mut names = Vec::new();
        let mut name = |r: f64, z: f64, text: &str| names.push((self.at(r, z), text.to_owned()));
        let washer = fine("plate washer", base.plate_washer_m);
        let bolt = 0.5 * (corner + d);
        let rim = self.rim - 2.0 * inset;
        let out = plate - 2.0 * inset;
        name(bolt, middle(l.nut_bottom, l.nut_top), "nut");
        name(out, middle(l.upper_top, l.nut_bottom), &washer);
        let text = fine("upper plate", base.upper_plate_m);
        name(rim, middle(l.keeper_top, l.upper_top), &text);
        let text = fine("round washer", base.round_washer_m);
        name(round - inset, middle(0.0, l.washer_top), &text);
        let text = fine("lower plate", base.lower_plate_m);
        name(rim, middle(l.lower_bottom, 0.0), &text);
        name(out, middle(l.head_top, l.lower_bottom), &washer);
        name(bolt, middle(l.head_bottom, l.head_top), "bolt head, down");
        name(plate, l.grout, "grout: no higher");
        let ground = (self.right() + 4.5, self.zero - self.k * l.ground);
        names.push((ground, "ground".to_owned()));
        if let Some(keeper) = &base.keeper {
            let height = middle(l.washer_top, l.keeper_top);
            let at = self.at(keeper.edge_distance_m - inset, height);
            names.push((at, fine("keeper", keeper.thickness_m)));
        }
        if beyond > 0.0 {
            let at = self.at(0.5 * d, middle(l.nut_top, l.end));
            let text = format!("beyond nut {}", self.m.say.length(beyond));
            names.push((at, text));
        }
        self.d
            .names(WIDTH - RIGHT + 2.0, WIDTH - RIGHT - 3.0, &names);
    }
}

/// The first of the texts that fits along a line of that length, else the last.
fn fitting(texts: &[&str], length: f64) -> String {
    let found = texts.iter().find(|t| width_of(t, false) + 1.0 < length);
    found
        .or(texts.last())
        .map_or(String::new(), |t| (*t).to_owned())
}
