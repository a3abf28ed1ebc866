//! The section through one bolt along the car's travel, as layers that the page can move: ground, grout, lower plate, bolt,
//! upper plate with the pole. What lies in the cut is drawn strong, what lies behind it pale. Grout fills all that it fills,
//! on both sides of the head. Lengths in mm, upward negative, as in the page.

use std::fmt::Write as _;

use giveway_results::replay::Scene;
use giveway_scenario::model::Scenario;

use super::words::Words;
use crate::base::plate;
use crate::found::as_drawn;
use crate::palette::{EARTH, INK, LIMIT, NAVY, RUST, SKY, SLATE, STEEL, STONE};
use crate::printed::escaped;

/// Grout in the cut, and its dots.
const GROUT: &str = "#d8c496";
const DOTS: &str = "#8a744a";
/// Plates behind the cut.
const LOWER_BEHIND: &str = "#e6e2dc";
const UPPER_BEHIND: &str = "#dcebf7";
/// Height of letters.
const LETTER: f64 = 12.5;
/// Width over height of the picture.
const ASPECT: f64 = 1.6;

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
struct Frame {
    /// Along the travel and to its left of the bolt's seat, mm.
    seat: (f64, f64),
    /// Left, top, width, height of the picture, mm.
    view: [f64; 4],
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
        let frame = self.frame();
        let [left, top, wide, high] = frame.view;
        let travel = self.scenario.impact.velocity_direction_rad;
        let _ = write!(
            out,
            "<svg class=\"cut\" viewBox=\"{left:.1} {top:.1} {wide:.1} {high:.1}\" role=\"img\" aria-labelledby=\"{id}-title\" \
             data-bolt=\"{}\" data-travel=\"{travel:.6}\" font-family=\"Arial, Helvetica, 'Liberation Sans', sans-serif\" \
             font-size=\"{LETTER}\" font-weight=\"700\" fill=\"{}\">\n<title id=\"{id}-title\">{}</title>\n\
             <defs><pattern id=\"{id}-dots\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"9\" height=\"9\" fill=\"{GROUT}\"/><circle cx=\"2\" cy=\"3\" r=\"1.1\" fill=\"{DOTS}\"/>\
             <circle cx=\"6.5\" cy=\"7\" r=\"0.8\" fill=\"{DOTS}\"/></pattern></defs>\n",
            self.bolt + 1,
            hex(INK),
            escaped(title)
        );
        self.ground(&frame, words, &mut out);
        self.behind(&frame, words, &mut out);
        self.grout(id, &frame, words, &mut out);
        self.lower(&frame, words, &mut out);
        self.bolt(&frame, words, &mut out);
        self.upper(&frame, words, &mut out);
        self.stop(&frame, words, &mut out);
        out.push_str("</svg>");
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

    fn frame(&self) -> Frame {
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

    fn ground(&self, frame: &Frame, words: &Words, out: &mut String) {
        let [left, top, wide, high] = frame.view;
        let far = 30_000.0;
        let _ = writeln!(
            out,
            "<g class=\"ground\"><rect x=\"-{far}\" y=\"0\" width=\"{}\" height=\"4000\" fill=\"{}\" stroke=\"{}\" stroke-width=\"1.5\"/>\
             {}</g>",
            2.0 * far,
            hex(EARTH),
            hex(INK),
            letters(
                left + 0.3 * wide,
                top + high - 10.0,
                &words.part_ground,
                INK
            )
        );
    }

    fn behind(&self, frame: &Frame, words: &Words, out: &mut String) {
        let base = &self.scene.base;
        let (slip, _, _, apart) = self.levels();
        let (_, (from, to)) = self.plates(frame);
        let foot = self.foot();
        out.push_str("<g class=\"behind\">");
        block(
            out,
            (-foot, foot),
            (0.0, slip - 1e3 * base.lower_plate_m),
            LOWER_BEHIND,
            &hex(SLATE),
            0.8,
        );
        block(
            out,
            (from, to),
            (slip - 1e3 * base.lower_plate_m, slip),
            LOWER_BEHIND,
            &hex(SLATE),
            0.8,
        );
        for stub in &self.scene.found.stubs {
            let ahead = self.ahead_of(stub.azimuth_rad);
            let at = ahead * 1e3 * (base.plate_radius_m + stub.gap_m + 0.5 * stub.diameter_m);
            let half = 500.0 * stub.diameter_m;
            let tip = slip + 1e3 * stub.projection_m;
            block(
                out,
                (at - half, at + half),
                (-60.0, tip),
                &hex(LIMIT),
                &hex(INK),
                1.2,
            );
            out.push_str(&letters_from(
                at + half + 5.0,
                -0.25 * slip,
                &words.part_bar,
                LIMIT,
            ));
        }
        if let Some(soil) = &self.scene.found.soil {
            let near = self.ahead_of(soil.azimuth_rad) * 1e3 * (base.plate_radius_m + soil.gap_m);
            let rise = slip + 1e3 * soil.height_m;
            let _ = write!(
                out,
                "<path d=\"M{near:.1} 0V{:.1}L{:.1} {:.1}V0Z\" fill=\"{}\" stroke=\"{}\" stroke-width=\"1.2\"/>{}",
                -rise,
                near + 3000.0,
                -rise - 3000.0 * libm::tan(soil.slope_rad),
                hex(EARTH),
                hex(INK),
                letters(near + 36.0, -0.5 * slip, &words.part_soil, INK)
            );
        }
        out.push_str("</g>\n");
        // What belongs to the pole moves with the plate.
        let _ = write!(out, "<g data-moves=\"plate\" class=\"behind\">");
        let bottom = slip + apart + 1e3 * base.upper_plate_m;
        let _ = write!(
            out,
            "<rect class=\"shaft\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"6000\" fill=\"{UPPER_BEHIND}\" stroke=\"{}\" \
             stroke-width=\"1.2\"/>",
            -foot,
            -bottom - 6000.0,
            2.0 * foot,
            hex(NAVY)
        );
        block(
            out,
            (from, to),
            (slip + apart, slip + apart + 1e3 * base.upper_plate_m),
            UPPER_BEHIND,
            &hex(SLATE),
            0.8,
        );
        out.push_str("</g>\n");
        if let Some(conduit) = &self.scene.found.conduit {
            let half = 500.0 * conduit.diameter_m;
            out.push_str("<g class=\"behind\">");
            block(
                out,
                (-half, half),
                (-60.0, slip + 1e3 * conduit.projection_m),
                &hex(LIMIT),
                &hex(INK),
                1.2,
            );
            out.push_str("</g>\n");
        }
    }

    fn grout(&self, id: &str, frame: &Frame, words: &Words, out: &mut String) {
        let (_, _, under, _) = self.levels();
        let base = &self.scene.base;
        let right = frame.view[0] + frame.view[2];
        let Some(grout) = &self.scene.found.grout else {
            if under > 6.0 && self.scene.found.stubs.is_empty() {
                let _ = writeln!(
                    out,
                    "<g class=\"free\">{}</g>",
                    letters_from(
                        frame.seat.0 + 1e3 * base.bolt.across_flats_m,
                        -0.28 * under,
                        &words.part_free,
                        INK
                    )
                );
            }
            return;
        };
        let surface = under - 1e3 * grout.gap_m;
        if surface <= 1.0 {
            return;
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
        out.push_str("<g class=\"grout\">");
        block(
            out,
            (from, to),
            (0.0, surface),
            &format!("url(#{id}-dots)"),
            &hex(INK),
            1.6,
        );
        out.push_str(&letters(
            0.5 * (frame.seat.0 + 21.0 + to.min(right)),
            -0.2 * surface,
            &words.part_grout,
            INK,
        ));
        out.push_str("</g>\n");
    }

    fn lower(&self, frame: &Frame, words: &Words, out: &mut String) {
        let (slip, ..) = self.levels();
        let thick = 1e3 * self.scene.base.lower_plate_m;
        out.push_str("<g class=\"lower\">");
        for span in self.plates(frame).0 {
            block(out, span, (slip - thick, slip), &hex(STONE), &hex(INK), 1.6);
        }
        out.push_str(&letters(
            self.middle(frame),
            -slip + 0.5 * thick + 0.36 * LETTER,
            &words.part_lower,
            INK,
        ));
        out.push_str("</g>\n");
    }

    fn bolt(&self, frame: &Frame, words: &Words, out: &mut String) {
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
        let _ = writeln!(
            out,
            "<g class=\"ghost\"><rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"{}\" \
             stroke-width=\"1.2\" stroke-dasharray=\"4 3\"/></g>",
            x - flats,
            -head_top,
            2.0 * flats,
            head_top - under,
            hex(SLATE)
        );
        out.push_str("<g data-moves=\"bolt\">");
        let ink = hex(INK);
        block(
            out,
            around(shank),
            (head_top, nut + 0.3 * 2.0 * shank),
            &hex(STEEL),
            &ink,
            1.2,
        );
        block(
            out,
            around(washer),
            (head_top, head_top + thick),
            "#8d979f",
            &ink,
            1.2,
        );
        block(
            out,
            around(washer),
            (over, over + thick),
            "#8d979f",
            &ink,
            1.2,
        );
        if !base.round_washer.missing {
            let half = 500.0 * base.round_washer.diameter_m;
            let high = 1e3 * base.round_washer.thickness_m;
            block(out, around(half), (slip, slip + high), "#8d979f", &ink, 0.8);
        }
        block(
            out,
            around(flats),
            (over + thick, nut),
            &hex(NAVY),
            &ink,
            1.2,
        );
        block(out, around(flats), (under, head_top), &hex(NAVY), &ink, 1.6);
        let _ = write!(
            out,
            "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\" font-size=\"{:.1}\" fill=\"#ffffff\">{}</text>",
            -0.5 * (under + head_top) + 0.36 * LETTER,
            LETTER,
            escaped(&words.part_head)
        );
        out.push_str("</g>\n");
    }

    fn upper(&self, frame: &Frame, words: &Words, out: &mut String) {
        let base = &self.scene.base;
        let (slip, _, _, apart) = self.levels();
        let low = slip + apart;
        let high = low + 1e3 * base.upper_plate_m;
        out.push_str("<g data-moves=\"plate\">");
        for span in self.plates(frame).0 {
            block(out, span, (low, high), &hex(SKY), &hex(NAVY), 1.6);
        }
        out.push_str(&letters(
            self.middle(frame),
            -0.5 * (low + high) + 0.36 * LETTER,
            &words.part_upper,
            INK,
        ));
        let left = frame.view[0].max(-self.foot());
        let mid = 0.5 * (left + self.foot());
        out.push_str(&letters(mid, -high - 20.0, &words.part_pole, INK));
        // The push of the car, on the pole's side.
        let y = frame.view[1] + 20.0;
        let (from, to) = (left + 8.0, self.foot() + 4.0);
        let _ = write!(
            out,
            "<g class=\"push\"><path d=\"M{from:.1} {:.1}H{:.1}V{:.1}L{to:.1} {y:.1}L{:.1} {:.1}V{:.1}H{from:.1}Z\" fill=\"{}\" \
             stroke=\"{}\" stroke-width=\"1\"/><text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text></g>",
            y - 6.0,
            to - 22.0,
            y - 13.0,
            to - 22.0,
            y + 13.0,
            y + 6.0,
            hex(RUST),
            hex(INK),
            to - 26.0,
            y + 26.0,
            escaped(&words.part_push)
        );
        out.push_str("</g>\n");
    }

    /// Where something stands in the way: shown when it is met.
    fn stop(&self, frame: &Frame, words: &Words, out: &mut String) {
        let base = &self.scene.base;
        let found = &self.scene.found;
        let (slip, head_top, under, _) = self.levels();
        let deep = (found.grout.as_ref()).is_some_and(|g| g.gap_m < -0.002);
        // Face that is met, middle and height of it; where the arrow stands; letters beside it or above it.
        let (face, z, length, arrow, above) = if deep {
            let x = frame.seat.0 + 500.0 * base.bolt.across_flats_m;
            (
                x,
                0.5 * (under + head_top),
                head_top - under,
                x + 5.0,
                false,
            )
        } else if let Some(stub) = found.stubs.first() {
            let x = 1e3 * (base.plate_radius_m + stub.gap_m);
            let z = slip + 0.6 * 1e3 * stub.projection_m;
            (x, z, 24.0, x + 1e3 * stub.diameter_m + 4.0, true)
        } else {
            return;
        };
        let (letters_x, letters_y) = if above {
            (arrow + 4.0, -z - 16.0)
        } else {
            (arrow + 56.0, -z + 0.36 * LETTER)
        };
        let _ = writeln!(
            out,
            "<g class=\"stop\"><rect x=\"{face:.1}\" y=\"{:.1}\" width=\"5\" height=\"{length:.1}\" fill=\"{red}\"/>\
             <path d=\"M{arrow:.1} {y:.1}l18 -11v7h30v8h-30v7z\" fill=\"{red}\" stroke=\"#ffffff\" stroke-width=\"1\"/>\
             <text x=\"{letters_x:.1}\" y=\"{letters_y:.1}\" fill=\"{red}\" stroke=\"#ffffff\" stroke-width=\"3\" paint-order=\"stroke\">{}</text></g>",
            -z - 0.5 * length,
            escaped(&words.part_stop),
            red = hex(LIMIT),
            y = -z,
        );
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

/// A rectangle from `x` to `x`, from height `z` to height `z`.
fn block(out: &mut String, x: (f64, f64), z: (f64, f64), fill: &str, stroke: &str, wide: f64) {
    let _ = write!(
        out,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"{wide}\"/>",
        x.0,
        -z.1,
        (x.1 - x.0).max(0.0),
        (z.1 - z.0).max(0.0)
    );
}

fn hex(c: crate::palette::Colour) -> String {
    format!("#{:02x}{:02x}{:02x}", c.0, c.1, c.2)
}

fn letters(x: f64, y: f64, text: &str, colour: crate::palette::Colour) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\" fill=\"{}\">{}</text>",
        hex(colour),
        escaped(text)
    )
}

fn letters_from(x: f64, y: f64, text: &str, colour: crate::palette::Colour) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" fill=\"{}\">{}</text>",
        hex(colour),
        escaped(text)
    )
}
