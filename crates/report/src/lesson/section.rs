//! The section through one bolt along the car's travel, as layers that the page and the film move: ground, grout, lower plate,
//! bolt, upper plate with the pole. What lies in the cut is drawn strong, what lies behind it pale. Grout fills all that it
//! fills, on both sides of the head. Lengths in mm: along the travel from the pole's axis, and up from the ground.

use super::words::Words;
use crate::base::plate;
use crate::dossier::picture::hex;
use crate::found::as_drawn;
use crate::printed::escaped;
use giveway_draw::{
    Anchor, Colour, EARTH, INK, LIMIT, NAVY, PAPER, RUST, SKY, SLATE, STEEL, STONE,
};
use giveway_results::replay::Scene;
use giveway_scenario::model::Scenario;
use std::fmt::Write as _;

/// Grout in the cut, and its dots.
pub const GROUT: Colour = (0xd8, 0xc4, 0x96);
pub const DOTS: Colour = (0x8a, 0x74, 0x4a);
/// Plates behind the cut.
const LOWER_BEHIND: Colour = (0xe6, 0xe2, 0xdc);
const UPPER_BEHIND: Colour = (0xdc, 0xeb, 0xf7);
const WASHER: Colour = (0x8d, 0x97, 0x9f);
/// Height of letters.
pub const LETTER: f64 = 12.5;
/// Width over height of the picture.
const ASPECT: f64 = 1.6;

/// What is drawn together.
pub struct Layer {
    /// Name for styles: when it is seen.
    pub class: &'static str,
    /// What carries it; none stands still.
    pub moves: Option<Carrier>,
    /// What is in it, the first below.
    pub things: Vec<Thing>,
}

impl Layer {
    fn new(class: &'static str, moves: Option<Carrier>, things: Vec<Thing>) -> Self {
        Self {
            class,
            moves,
            things,
        }
    }
}

/// What carries a layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carrier {
    Plate,
    Bolt,
}

/// A thing of a section.
pub enum Thing {
    Shape {
        points: Vec<Point>,
        paint: Paint,
    },
    Letters {
        /// Its foot.
        at: Point,
        text: String,
        colour: Colour,
        /// Which end of it lies there.
        anchor: Anchor,
        /// Whether a pale edge keeps it apart.
        halo: bool,
    },
}

/// Along the travel and up, mm.
pub type Point = (f64, f64);

/// How a shape looks.
#[derive(Clone, Copy)]
pub struct Paint {
    pub fill: Fill,
    pub stroke: Colour,
    /// Its width; 0 has none.
    pub wide: f64,
    /// Whether it is the pole's shaft, which a moving picture draws itself.
    pub shaft: bool,
}

/// Inside of a shape.
#[derive(Clone, Copy, PartialEq)]
pub enum Fill {
    /// Only a dashed line.
    Dashes,
    Plain(Colour),
    Grout,
}

/// A case's section.
pub struct Section<'a> {
    /// What stands there.
    pub scene: &'a Scene,
    /// Its scenario, for the outline of the plates.
    pub scenario: &'a Scenario,
    /// Bolt that is cut, from 0.
    pub bolt: usize,
}

/// What a section needs of its place.
pub struct Frame {
    /// Along the travel and to its left of the bolt's seat, mm.
    seat: (f64, f64),
    /// Left, top (upward negative), width, height of the picture, mm.
    pub view: [f64; 4],
}

/// The bolt that lies furthest ahead in the direction of travel, from 0: it must leave the lower plate. Of two that are
/// alike, the one on the viewer's side.
pub fn ahead(scene: &Scene, scenario: &Scenario) -> usize {
    let travel = scenario.impact.velocity_direction_rad;
    let mut best = (f64::NEG_INFINITY, 0);
    for (i, a) in scene.base.azimuths_rad.iter().enumerate() {
        // A little to the right counts for the viewer's side.
        let along = libm::cos(a - travel) - 1e-3 * libm::sin(a - travel);
        if along > best.0 {
            best = (along, i);
        }
    }
    best.1
}

impl Section<'_> {
    /// The drawing as SVG; `id` makes its names unique.
    pub fn svg(&self, id: &str, title: &str, words: &Words) -> String {
        let mut out = String::new();
        let [left, top, wide, high] = self.frame().view;
        let travel = self.scenario.impact.velocity_direction_rad;
        let (grout, dots) = (hex(GROUT), hex(DOTS));
        let _ = write!(
            out,
            "<svg class=\"cut\" viewBox=\"{left:.1} {top:.1} {wide:.1} {high:.1}\" role=\"img\" aria-labelledby=\"{id}-title\" \
             data-bolt=\"{}\" data-travel=\"{travel:.6}\" font-family=\"Arial, Helvetica, 'Liberation Sans', sans-serif\" \
             font-size=\"{LETTER}\" font-weight=\"700\" fill=\"{}\">\n<title id=\"{id}-title\">{}</title>\n\
             <defs><pattern id=\"{id}-dots\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"9\" height=\"9\" fill=\"{grout}\"/><circle cx=\"2\" cy=\"3\" r=\"1.1\" fill=\"{dots}\"/>\
             <circle cx=\"6.5\" cy=\"7\" r=\"0.8\" fill=\"{dots}\"/></pattern></defs>\n",
            self.bolt + 1,
            hex(INK),
            escaped(title)
        );
        for layer in self.layers(words) {
            let moves = match layer.moves {
                None => "",
                Some(Carrier::Plate) => " data-moves=\"plate\"",
                Some(Carrier::Bolt) => " data-moves=\"bolt\"",
            };
            let _ = write!(out, "<g class=\"{}\"{moves}>", layer.class);
            for thing in &layer.things {
                written(thing, id, &mut out);
            }
            out.push_str("</g>\n");
        }
        out.push_str("</svg>");
        out
    }

    /// All layers, the first below.
    pub fn layers(&self, words: &Words) -> Vec<Layer> {
        let frame = self.frame();
        let mut out = vec![self.ground(&frame, words)];
        self.behind(&frame, words, &mut out);
        out.extend(self.grout(&frame, words));
        out.push(self.lower(&frame, words));
        self.bolt(&frame, words, &mut out);
        self.upper(&frame, words, &mut out);
        out.extend(self.stop(&frame, words));
        out
    }

    /// Slip plane, top of the head's washer, underside of the head; height of the plates apart, mm.
    fn levels(&self) -> (f64, f64, f64, f64) {
        let base = &self.scene.base;
        let slip = 1e3 * self.scene.site.slip_plane_height_m;
        let washer = if base.round_washer.missing {
            0.0
        } else {
            1e3 * base.round_washer.thickness_m
        };
        let apart = washer + base.keeper.as_ref().map_or(0.0, |k| 1e3 * k.thickness_m);
        let head_top = slip - 1e3 * (base.lower_plate_m + base.plate_washer.thickness_m);
        let under = head_top - 1e3 * base.bolt.head_height_m;
        (slip, head_top, under, apart)
    }

    /// What the picture shows.
    pub fn frame(&self) -> Frame {
        let base = &self.scene.base;
        let azimuth = base.azimuths_rad.get(self.bolt).copied().unwrap_or(0.0)
            - self.scenario.impact.velocity_direction_rad;
        let circle = 500.0 * base.bolt_circle_m;
        let seat = (circle * libm::cos(azimuth), circle * libm::sin(azimuth));
        let slip = 1e3 * self.scene.site.slip_plane_height_m;
        let high = slip + 170.0;
        let mut wide = ASPECT * high;
        let left = seat.0 - 0.58 * wide;
        if let Some(soil) = &self.scene.found.soil {
            wide = wide.max(1e3 * (base.plate_radius_m + soil.gap_m) + 70.0 - left);
        }
        let more = (wide / ASPECT - high).max(0.0);
        Frame {
            seat,
            view: [left, -slip - 118.0 - more, wide, high + more],
        }
    }

    /// Metal of a plate in the cut, and how far it reaches behind it, along the travel, mm.
    fn plates(&self, frame: &Frame) -> (Vec<(f64, f64)>, (f64, f64)) {
        let drawn = as_drawn(self.scenario);
        let travel = self.scenario.impact.velocity_direction_rad;
        let (c, s) = (libm::cos(travel), libm::sin(travel));
        let outline: Vec<(f64, f64)> = (plate(&drawn.base, true).iter())
            .map(|p| (1e3 * (p.0 * c + p.1 * s), 1e3 * (p.1 * c - p.0 * s)))
            .collect();
        let level = frame.seat.1 + 1e-6;
        let mut crossings = Vec::new();
        for (i, a) in outline.iter().enumerate() {
            let b = outline[(i + 1) % outline.len()];
            if (a.1 > level) != (b.1 > level) {
                crossings.push(a.0 + (b.0 - a.0) * (level - a.1) / (b.1 - a.1));
            }
        }
        crossings.sort_by(f64::total_cmp);
        let half = 500.0 * self.scene.base.bolt.diameter_m;
        // The notch is round at its floor: metal ends at the bolt.
        let snapped = |x: f64| match x - frame.seat.0 {
            d if libm::fabs(d + half) < 0.8 * half => frame.seat.0 - half,
            d if libm::fabs(d - half) < 0.8 * half => frame.seat.0 + half,
            _ => x,
        };
        let cut = crossings
            .chunks_exact(2)
            .map(|p| (snapped(p[0]), snapped(p[1])))
            .collect();
        let behind = (outline.iter().filter(|p| p.1 >= level))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                (low.min(p.0), high.max(p.0))
            });
        (cut, behind)
    }

    fn ground(&self, frame: &Frame, words: &Words) -> Layer {
        let [left, top, wide, high] = frame.view;
        let far = 30_000.0;
        let at = (left + 0.3 * wide, 10.0 - top - high);
        let ground = block((-far, far), (-4000.0, 0.0), EARTH, INK, 1.5);
        let name = letters(at, &words.part_ground, INK);
        Layer::new("ground", None, vec![ground, name])
    }

    fn behind(&self, frame: &Frame, words: &Words, out: &mut Vec<Layer>) {
        let base = &self.scene.base;
        let (slip, _, _, apart) = self.levels();
        let (_, (from, to)) = self.plates(frame);
        let foot = self.foot();
        let low = slip - 1e3 * base.lower_plate_m;
        let mut things = vec![
            block((-foot, foot), (0.0, low), LOWER_BEHIND, SLATE, 0.8),
            block((from, to), (low, slip), LOWER_BEHIND, SLATE, 0.8),
        ];
        for stub in &self.scene.found.stubs {
            let ahead = self.ahead_of(stub.azimuth_rad);
            let at = ahead * 1e3 * (base.plate_radius_m + stub.gap_m + 0.5 * stub.diameter_m);
            let half = 500.0 * stub.diameter_m;
            let tip = slip + 1e3 * stub.projection_m;
            things.push(block((at - half, at + half), (-60.0, tip), LIMIT, INK, 1.2));
            let foot = (at + half + 5.0, 0.25 * slip);
            things.push(letters_from(foot, &words.part_bar, LIMIT));
        }
        if let Some(soil) = &self.scene.found.soil {
            let near = self.ahead_of(soil.azimuth_rad) * 1e3 * (base.plate_radius_m + soil.gap_m);
            let rise = slip + 1e3 * soil.height_m;
            let far = rise + 3000.0 * libm::tan(soil.slope_rad);
            let end = near + 3000.0;
            let outline = [(near, 0.0), (near, rise), (end, far), (end, 0.0)];
            things.push(shape(&outline, EARTH, INK, 1.2));
            things.push(letters((near + 36.0, 0.5 * slip), &words.part_soil, INK));
        }
        out.push(Layer::new("behind", None, things));
        // What belongs to the pole moves with the plate.
        let (bottom, top) = (slip + apart, slip + apart + 1e3 * base.upper_plate_m);
        let mut shaft = block((-foot, foot), (top, top + 6000.0), UPPER_BEHIND, NAVY, 1.2);
        if let Thing::Shape { paint, .. } = &mut shaft {
            paint.shaft = true;
        }
        let plate = block((from, to), (bottom, top), UPPER_BEHIND, SLATE, 0.8);
        let carried = vec![shaft, plate];
        out.push(Layer::new("behind", Some(Carrier::Plate), carried));
        if let Some(conduit) = &self.scene.found.conduit {
            let half = 500.0 * conduit.diameter_m;
            let tip = slip + 1e3 * conduit.projection_m;
            let conduit = block((-half, half), (-60.0, tip), LIMIT, INK, 1.2);
            out.push(Layer::new("behind", None, vec![conduit]));
        }
    }

    fn grout(&self, frame: &Frame, words: &Words) -> Option<Layer> {
        let (_, _, under, _) = self.levels();
        let base = &self.scene.base;
        let right = frame.view[0] + frame.view[2];
        let Some(grout) = &self.scene.found.grout else {
            let at = (frame.seat.0 + 1e3 * base.bolt.across_flats_m, 0.28 * under);
            let free = under > 6.0 && self.scene.found.stubs.is_empty();
            return free
                .then(|| Layer::new("free", None, vec![letters_from(at, &words.part_free, INK)]));
        };
        let surface = under - 1e3 * grout.gap_m;
        if surface <= 1.0 {
            return None;
        }
        let whole = grout.bolts.is_empty() || grout.bolts.len() >= base.bolt_count;
        let (from, to) = if whole {
            let reach = 500.0 * base.bolt_circle_m + 1e3 * grout.cover_m.clamp(0.05, 0.16);
            let chord = libm::sqrt((reach * reach - frame.seat.1 * frame.seat.1).max(0.0));
            (-chord, chord)
        } else {
            let reach = 1e3 * grout.cover_m.clamp(0.03, 0.08);
            (frame.seat.0 - reach, frame.seat.0 + reach)
        };
        let mut solid = block((from, to), (0.0, surface), GROUT, INK, 1.6);
        if let Thing::Shape { paint, .. } = &mut solid {
            paint.fill = Fill::Grout;
        }
        let at = (0.5 * (frame.seat.0 + 21.0 + to.min(right)), 0.2 * surface);
        let name = letters(at, &words.part_grout, INK);
        Some(Layer::new("grout", None, vec![solid, name]))
    }

    fn lower(&self, frame: &Frame, words: &Words) -> Layer {
        let (slip, ..) = self.levels();
        let thick = 1e3 * self.scene.base.lower_plate_m;
        let spans = self.plates(frame).0.into_iter();
        let mut things: Vec<Thing> = spans
            .map(|span| block(span, (slip - thick, slip), STONE, INK, 1.6))
            .collect();
        let at = (self.middle(frame), slip - 0.5 * thick - 0.36 * LETTER);
        things.push(letters(at, &words.part_lower, INK));
        Layer::new("lower", None, things)
    }

    fn bolt(&self, frame: &Frame, words: &Words, out: &mut Vec<Layer>) {
        let base = &self.scene.base;
        let (slip, head_top, under, apart) = self.levels();
        let x = frame.seat.0;
        let around = |half: f64| (x - half, x + half);
        let flats = 500.0 * base.bolt.across_flats_m;
        let shank = 500.0 * base.bolt.diameter_m;
        let washer = 500.0 * base.plate_washer.diameter_m;
        let thick = 1e3 * base.plate_washer.thickness_m;
        let over = slip + apart + 1e3 * base.upper_plate_m;
        let nut = over + thick + 1e3 * base.bolt.nut_height_m;
        // Where the head was, once it has left.
        let mut ghost = block(around(flats), (under, head_top), PAPER, SLATE, 1.2);
        if let Thing::Shape { paint, .. } = &mut ghost {
            paint.fill = Fill::Dashes;
        }
        out.push(Layer::new("ghost", None, vec![ghost]));
        let end = nut + 0.3 * 2.0 * shank;
        let below = (head_top, head_top + thick);
        let mut things = vec![
            block(around(shank), (head_top, end), STEEL, INK, 1.2),
            block(around(washer), below, WASHER, INK, 1.2),
            block(around(washer), (over, over + thick), WASHER, INK, 1.2),
        ];
        if !base.round_washer.missing {
            let half = 500.0 * base.round_washer.diameter_m;
            let high = 1e3 * base.round_washer.thickness_m;
            things.push(block(around(half), (slip, slip + high), WASHER, INK, 0.8));
        }
        things.push(block(around(flats), (over + thick, nut), NAVY, INK, 1.2));
        things.push(block(around(flats), (under, head_top), NAVY, INK, 1.6));
        let at = (x, 0.5 * (under + head_top) - 0.36 * LETTER);
        things.push(letters(at, &words.part_head, PAPER));
        out.push(Layer::new("bolt", Some(Carrier::Bolt), things));
    }

    fn upper(&self, frame: &Frame, words: &Words, out: &mut Vec<Layer>) {
        let base = &self.scene.base;
        let (slip, _, _, apart) = self.levels();
        let low = slip + apart;
        let high = low + 1e3 * base.upper_plate_m;
        let spans = self.plates(frame).0.into_iter();
        let mut things: Vec<Thing> = spans
            .map(|span| block(span, (low, high), SKY, NAVY, 1.6))
            .collect();
        let at = (self.middle(frame), 0.5 * (low + high) - 0.36 * LETTER);
        things.push(letters(at, &words.part_upper, INK));
        let left = frame.view[0].max(-self.foot());
        let mid = 0.5 * (left + self.foot());
        things.push(letters((mid, high + 20.0), &words.part_pole, INK));
        // The push of the car, on the pole's side.
        let z = -frame.view[1] - 20.0;
        let (from, to) = (left + 8.0, self.foot() + 4.0);
        let neck = to - 22.0;
        let push = [
            (from, z + 6.0),
            (neck, z + 6.0),
            (neck, z + 13.0),
            (to, z),
            (neck, z - 13.0),
            (neck, z - 6.0),
            (from, z - 6.0),
        ];
        let at = (to - 26.0, z - 26.0);
        let pushed = vec![
            shape(&push, RUST, INK, 1.0),
            written_at(at, &words.part_push, INK, Anchor::End, false),
        ];
        out.push(Layer::new("upper", Some(Carrier::Plate), things));
        out.push(Layer::new("push", Some(Carrier::Plate), pushed));
    }

    /// Where something stands in the way: shown when it is met.
    fn stop(&self, frame: &Frame, words: &Words) -> Option<Layer> {
        let base = &self.scene.base;
        let found = &self.scene.found;
        let (slip, head_top, under, _) = self.levels();
        let deep = (found.grout.as_ref()).is_some_and(|g| g.gap_m < -0.002);
        // Face that is met, middle and height of it; where the arrow stands; letters beside it or above it.
        let (face, z, length, arrow, above) = if deep {
            let x = frame.seat.0 + 500.0 * base.bolt.across_flats_m;
            let middle = 0.5 * (under + head_top);
            (x, middle, head_top - under, x + 5.0, false)
        } else {
            let stub = found.stubs.first()?;
            let x = 1e3 * (base.plate_radius_m + stub.gap_m);
            let z = slip + 0.6 * 1e3 * stub.projection_m;
            (x, z, 24.0, x + 1e3 * stub.diameter_m + 4.0, true)
        };
        let at = if above {
            (arrow + 4.0, z + 16.0)
        } else {
            (arrow + 56.0, z - 0.36 * LETTER)
        };
        let half = 0.5 * length;
        let points = [
            (0.0, 0.0),
            (18.0, 11.0),
            (18.0, 4.0),
            (48.0, 4.0),
            (48.0, -4.0),
            (18.0, -4.0),
            (18.0, -11.0),
        ];
        let points = points.map(|p| (arrow + p.0, z + p.1));
        let things = vec![
            block((face, face + 5.0), (z - half, z + half), LIMIT, LIMIT, 0.0),
            shape(&points, LIMIT, PAPER, 1.0),
            written_at(at, &words.part_stop, LIMIT, Anchor::Start, true),
        ];
        Some(Layer::new("stop", None, things))
    }

    /// Radius of the pole's foot, mm.
    fn foot(&self) -> f64 {
        1e3 * (self.scene.pole.radii_m.first()).copied().unwrap_or(0.1)
    }

    /// Whether a direction lies ahead or behind, as a factor.
    fn ahead_of(&self, azimuth_rad: f64) -> f64 {
        libm::cos(azimuth_rad - self.scenario.impact.velocity_direction_rad)
    }

    /// Middle of the metal left of the bolt within the picture.
    fn middle(&self, frame: &Frame) -> f64 {
        let end = frame.seat.0 - 500.0 * self.scene.base.bolt.diameter_m;
        let spans = self.plates(frame).0;
        let own = spans.iter().find(|s| libm::fabs(s.1 - end) < 1.0);
        let start = own.map_or(frame.view[0], |s| s.0.max(frame.view[0]));
        0.5 * (start + end)
    }
}

/// A closed outline.
fn shape(points: &[Point], fill: Colour, stroke: Colour, wide: f64) -> Thing {
    Thing::Shape {
        points: points.to_vec(),
        paint: Paint {
            fill: Fill::Plain(fill),
            stroke,
            wide,
            shaft: false,
        },
    }
}

/// A rectangle from `x` to `x`, from height `z` to height `z`.
fn block(x: (f64, f64), z: (f64, f64), fill: Colour, stroke: Colour, wide: f64) -> Thing {
    let right = x.1.max(x.0);
    let top = z.1.max(z.0);
    let corners = [(x.0, z.0), (right, z.0), (right, top), (x.0, top)];
    shape(&corners, fill, stroke, wide)
}

fn letters(at: Point, text: &str, colour: Colour) -> Thing {
    written_at(at, text, colour, Anchor::Middle, false)
}

fn letters_from(at: Point, text: &str, colour: Colour) -> Thing {
    written_at(at, text, colour, Anchor::Start, false)
}

fn written_at(at: Point, text: &str, colour: Colour, anchor: Anchor, halo: bool) -> Thing {
    Thing::Letters {
        at,
        text: text.to_owned(),
        colour,
        anchor,
        halo,
    }
}

fn written(thing: &Thing, id: &str, out: &mut String) {
    match thing {
        Thing::Shape { points, paint } => {
            if let [(left, low), (right, _), (_, high), (_, other)] = points[..]
                && high == other.max(low)
                && left == points[3].0
            {
                let (wide, tall) = (right - left, high - low);
                let _ = write!(
                    out,
                    "<rect x=\"{left:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"{tall:.1}\"",
                    0.0 - high
                );
            } else {
                out.push_str("<path d=\"");
                for (i, p) in points.iter().enumerate() {
                    let to = if i == 0 { 'M' } else { 'L' };
                    let _ = write!(out, "{to}{:.1} {:.1}", p.0, 0.0 - p.1);
                }
                out.push_str("Z\"");
            }
            let (fill, dashes) = match paint.fill {
                Fill::Dashes => ("none".to_owned(), " stroke-dasharray=\"4 3\""),
                Fill::Plain(colour) => (hex(colour), ""),
                Fill::Grout => (format!("url(#{id}-dots)"), ""),
            };
            let shaft = if paint.shaft { " class=\"shaft\"" } else { "" };
            let _ = write!(out, " fill=\"{fill}\"{shaft}");
            if paint.wide > 0.0 {
                let stroke = hex(paint.stroke);
                let _ = write!(
                    out,
                    " stroke=\"{stroke}\" stroke-width=\"{}\"{dashes}",
                    paint.wide
                );
            }
            out.push_str("/>");
        }
        Thing::Letters {
            at,
            text,
            colour,
            anchor,
            halo,
        } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let edge = if *halo {
                " stroke=\"#ffffff\" stroke-width=\"3\" paint-order=\"stroke\""
            } else {
                ""
            };
            let _ = write!(
                out,
                "<text x=\"{:.1}\" y=\"{:.1}\"{anchor} fill=\"{}\"{edge}>{}</text>",
                at.0,
                0.0 - at.1,
                hex(*colour),
                escaped(text)
            );
        }
    }
}
