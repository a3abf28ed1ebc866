//! Technical drawings as SVG elements: outlines, hatching, dimension lines, names with leaders.
//!
//! Coordinates are millimetres on paper, origin in the upper left corner, y down. Line widths follow the custom of
//! technical drawings: 0.35 mm for outlines, 0.18 mm for the rest. Every text is remembered with its box, so that a
//! test can ask whether two of them overlap ([`Drawing::overlaps`]).

use std::fmt::Write as _;

use super::content::Picture;
use super::escape::escaped;
use super::style::INK;
use giveway_draw::{Anchor, Window, text_width};

/// Size of text, mm.
pub const TEXT: f64 = 2.5;
/// A drawing is printed this much larger than it is laid out, so that its text is 10 pt: scales are those of the paper.
pub const ENLARGED: f64 = 10.0 * 25.4 / 72.0 / TEXT;
/// Width of an outline, mm.
pub const OUTLINE: f64 = 0.35;
/// Width of any other line, mm.
pub const THIN: f64 = 0.18;
/// Length of an arrow head, mm.
const ARROW: f64 = 1.8;

/// A place on paper, mm.
pub type Place = (f64, f64);

/// Kinds of line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// Outline.
    Outline,
    /// Thin, unbroken.
    Thin,
    /// Dashes: hidden edges and limits.
    Dashed,
    /// Dash and dot: axes and circles of holes.
    Axis,
}

impl Line {
    fn attributes(self) -> String {
        let (width, dash) = match self {
            Self::Outline => (OUTLINE, ""),
            Self::Thin => (THIN, ""),
            Self::Dashed => (THIN, " stroke-dasharray=\"1.4 0.9\""),
            Self::Axis => (THIN, " stroke-dasharray=\"3.2 0.8 0.5 0.8\""),
        };
        format!("stroke=\"{INK}\" stroke-width=\"{width}\"{dash}")
    }
}

/// What fills an outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filling {
    /// Nothing.
    None,
    /// Paper: hides what is behind.
    Paper,
    /// Solid ink.
    Ink,
    /// Light grey: seen behind the cut.
    Grey,
}

impl Filling {
    fn colour(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Paper => "#ffffff",
            Self::Ink => INK,
            Self::Grey => "#e4e7ea",
        }
    }
}

/// Box of a text, and the text.
#[derive(Debug, Clone, PartialEq)]
struct Written {
    edges: Window,
    text: String,
}

/// A drawing under construction.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    width: f64,
    height: f64,
    body: String,
    written: Vec<Written>,
    finite: bool,
}

impl Drawing {
    /// An empty sheet of that size, mm.
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            body: String::new(),
            written: Vec::new(),
            finite: true,
        }
    }

    /// An open line.
    pub fn line(&mut self, places: &[Place], line: Line) {
        let d = self.path(places, false);
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"none\" {}/>",
            line.attributes()
        );
    }

    /// A closed outline.
    pub fn outline(&mut self, places: &[Place], filling: Filling, line: Line) {
        let d = self.path(places, true);
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"{}\" stroke-linejoin=\"round\" {}/>",
            filling.colour(),
            line.attributes()
        );
    }

    /// A filled shape without outline.
    pub fn patch(&mut self, places: &[Place], filling: Filling) {
        let d = self.path(places, true);
        let _ = writeln!(self.body, "<path d=\"{d}\" fill=\"{}\"/>", filling.colour());
    }

    /// A rectangle between two opposite corners.
    pub fn rectangle(&mut self, a: Place, b: Place, filling: Filling, line: Line) {
        self.outline(&corners(a, b), filling, line);
    }

    /// A rectangle of cut material: hatched at 45 degrees, lines `gap` mm apart, rising to the right or to the left.
    pub fn cut(&mut self, a: Place, b: Place, gap: f64, rising: bool) {
        self.patch(&corners(a, b), Filling::Paper);
        let (x0, x1) = (a.0.min(b.0), a.0.max(b.0));
        let (y0, y1) = (a.1.min(b.1), a.1.max(b.1));
        let (w, h) = (x1 - x0, y1 - y0);
        // Lines x + y = c of a box at the origin, mirrored where they fall to the right.
        let gap = gap * core::f64::consts::SQRT_2;
        let count = if gap > 0.0 {
            ((w + h) / gap).min(2000.0) as usize
        } else {
            0
        };
        let mut d = String::new();
        for i in 0..count {
            let c = gap * (i as f64 + 0.5);
            let (from, to) = ((c.min(w), (c - w).max(0.0)), ((c - h).max(0.0), c.min(h)));
            let at = |p: Place| {
                let x = if rising { p.0 } else { w - p.0 };
                (x0 + x, y0 + p.1)
            };
            d.push_str(&self.path(&[at(from), at(to)], false));
        }
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"none\" {}/>",
            Line::Thin.attributes()
        );
        self.rectangle(a, b, Filling::None, Line::Outline);
    }

    /// A circle.
    pub fn circle(&mut self, centre: Place, radius: f64, filling: Filling, line: Line) {
        let (x, y) = (self.number(centre.0), self.number(centre.1));
        let r = self.number(radius.max(0.0));
        let _ = writeln!(
            self.body,
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"{}\" {}/>",
            filling.colour(),
            line.attributes()
        );
    }

    /// A text; vertically the place is the middle of the line. A halo of paper keeps lines away from it.
    pub fn text(&mut self, at: Place, text: &str, hang: Anchor) {
        self.write(at, text, hang, false, false);
    }

    /// The same, bold.
    pub fn bold(&mut self, at: Place, text: &str, hang: Anchor) {
        self.write(at, text, hang, true, false);
    }

    /// A text that reads upwards, centred on its place.
    pub fn upright(&mut self, at: Place, text: &str) {
        self.write(at, text, Anchor::Middle, false, true);
    }

    /// Whether a bold text could stand there: on the sheet, and on no other text.
    pub fn is_free(&self, at: Place, text: &str, hang: Anchor) -> bool {
        let edges = edges(at, width_of(text, true), hang, false);
        self.on_sheet(&edges) && !self.written.iter().any(|w| w.edges.meets(&edges))
    }

    /// Whether a bold text there would lie on a place.
    pub fn covers(at: Place, text: &str, hang: Anchor, place: Place) -> bool {
        edges(at, width_of(text, true), hang, false).contains(place)
    }

    fn on_sheet(&self, w: &Window) -> bool {
        w.left >= 0.0 && w.top >= 0.0 && w.right <= self.width && w.bottom <= self.height
    }

    fn write(&mut self, at: Place, text: &str, hang: Anchor, bold: bool, upright: bool) {
        let edges = edges(at, width_of(text, bold), hang, upright);
        self.written.push(Written {
            edges,
            text: text.to_owned(),
        });
        let anchor = match hang {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        // The baseline lies half the height of capitals below the middle.
        let drop = 0.36 * TEXT;
        let (x, y) = (self.number(at.0), self.number(at.1));
        let place = if upright {
            format!("transform=\"translate({x} {y}) rotate(-90)\" y=\"{drop:.2}\"")
        } else {
            format!("x=\"{x}\" y=\"{}\"", self.number(at.1 + drop))
        };
        let weight = if bold { " font-weight=\"bold\"" } else { "" };
        let _ = writeln!(
            self.body,
            "<text {place} font-size=\"{TEXT}\" text-anchor=\"{anchor}\"{weight} fill=\"{INK}\" \
             stroke=\"#ffffff\" stroke-width=\"0.7\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            escaped(text)
        );
    }

    /// An arrow from `from` with its head at `to`.
    pub fn arrow(&mut self, from: Place, to: Place, line: Line) {
        self.line(&[from, to], line);
        self.head(from, to, ARROW);
    }

    /// A solid arrow head at `to`, coming from `from`.
    pub fn head(&mut self, from: Place, to: Place, length: f64) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let l = libm::hypot(dx, dy).max(1e-9);
        let (ux, uy) = (dx / l, dy / l);
        let back = (to.0 - length * ux, to.1 - length * uy);
        let half = 0.18 * length;
        let corners = [
            to,
            (back.0 - half * uy, back.1 + half * ux),
            (back.0 + half * uy, back.1 - half * ux),
        ];
        self.patch(&corners, Filling::Ink);
    }

    /// A vertical dimension at `x` from `y0` to `y1`, with extension lines that start at `from` (one for each end), and
    /// its text on the left: along the line where it is long enough, else beside it.
    pub fn dimension(&mut self, x: f64, y0: f64, y1: f64, from: [f64; 2], text: &str) {
        for (y, start) in [(y0, from[0]), (y1, from[1])] {
            let beyond = if start > x { -1.0 } else { 1.0 };
            self.line(&[(start - 0.6, y), (x + beyond, y)], Line::Thin);
        }
        let (top, bottom) = (y0.min(y1), y0.max(y1));
        let middle = 0.5 * (top + bottom);
        if bottom - top > 2.6 * ARROW {
            self.line(&[(x, top), (x, bottom)], Line::Thin);
            self.head((x, middle), (x, top), ARROW);
            self.head((x, middle), (x, bottom), ARROW);
        } else {
            // No room between the arrows: they point from outside.
            let out = ARROW + 1.2;
            self.line(&[(x, top - out), (x, bottom + out)], Line::Thin);
            self.head((x, top - out), (x, top), ARROW);
            self.head((x, bottom + out), (x, bottom), ARROW);
        }
        if width_of(text, false) + 1.0 < bottom - top {
            self.upright((x - 0.75 * TEXT, middle), text);
        } else {
            self.text((x - 0.9, middle), text, Anchor::End);
        }
    }

    /// Names at `x`, each with a leader to its place; the names keep the order of their places and never overlap. A
    /// leader runs level from its place to `bend`, then straight to its name.
    pub fn names(&mut self, x: f64, bend: f64, names: &[(Place, String)]) {
        let pitch = 1.3 * TEXT;
        let mut order: Vec<usize> = (0..names.len()).collect();
        order.sort_by(|a, b| names[*a].0.1.total_cmp(&names[*b].0.1));
        let wanted: Vec<f64> = order.iter().map(|i| names[*i].0.1).collect();
        let low = 0.6 * TEXT;
        let placed = spread(&wanted, pitch, low, self.height - low);
        for (i, y) in order.iter().zip(placed) {
            let (place, text) = &names[*i];
            self.line(&[*place, (bend, place.1), (x - 0.8, y)], Line::Thin);
            self.circle(*place, 0.45, Filling::Ink, Line::Thin);
            self.text((x, y), text, Anchor::Start);
        }
    }

    /// Pairs of texts whose boxes overlap, and texts that leave the sheet; empty in a good drawing.
    pub fn overlaps(&self) -> Vec<(String, String)> {
        let mut out = Vec::new();
        for (i, a) in self.written.iter().enumerate() {
            if !self.on_sheet(&a.edges) {
                out.push((a.text.clone(), "edge of the sheet".to_owned()));
            }
            for b in &self.written[i + 1..] {
                if a.edges.meets(&b.edges) {
                    out.push((a.text.clone(), b.text.clone()));
                }
            }
        }
        out
    }

    /// Whether every coordinate was a finite number.
    pub fn is_finite(&self) -> bool {
        self.finite
    }

    /// The finished picture, enlarged for paper.
    pub fn picture(self, title: &str, description: &str) -> Picture {
        Picture {
            title: title.to_owned(),
            description: description.to_owned(),
            width: self.width,
            height: self.height,
            body: self.body,
            width_mm: ENLARGED * self.width,
        }
    }

    fn path(&mut self, places: &[Place], closed: bool) -> String {
        let mut d = String::new();
        for (i, p) in places.iter().enumerate() {
            let (x, y) = (self.number(p.0), self.number(p.1));
            let _ = write!(d, "{}{x} {y}", if i == 0 { "M" } else { "L" });
        }
        if closed {
            d.push('Z');
        }
        d
    }

    /// A coordinate in hundredths of a millimetre.
    fn number(&mut self, v: f64) -> String {
        if !v.is_finite() {
            self.finite = false;
            return "0".to_owned();
        }
        let text = format!("{:.2}", v.clamp(-1e4, 1e4));
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" {
            "0".to_owned()
        } else {
            text.to_owned()
        }
    }
}

/// Width of a text, mm.
pub fn width_of(text: &str, bold: bool) -> f64 {
    text_width(text, TEXT, bold)
}

/// Box of a text of that width.
fn edges(at: Place, width: f64, hang: Anchor, upright: bool) -> Window {
    let half = 0.52 * TEXT;
    if upright {
        let along = 0.5 * width;
        return Window::new((at.0 - half, at.1 - along), (at.0 + half, at.1 + along));
    }
    let left = match hang {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - 0.5 * width,
        Anchor::End => at.0 - width,
    };
    Window::new((left, at.1 - half), (left + width, at.1 + half))
}

fn corners(a: Place, b: Place) -> [Place; 4] {
    [a, (b.0, a.1), b, (a.0, b.1)]
}

/// Places near the wanted ones (rising), at least `pitch` apart, between `low` and `high` where they can be.
fn spread(wanted: &[f64], pitch: f64, low: f64, high: f64) -> Vec<f64> {
    // Groups that touch are set around the mean of what their members want.
    let mut groups: Vec<(f64, Vec<f64>)> = Vec::new();
    let room = |n: usize| pitch * (n - 1) as f64;
    let start = |members: &[f64]| {
        let mean = members.iter().sum::<f64>() / members.len() as f64;
        let span = room(members.len());
        (mean - 0.5 * span).min(high - span).max(low)
    };
    for w in wanted {
        groups.push((start(&[*w]), vec![*w]));
        while groups.len() > 1 {
            let n = groups.len();
            let (above, below) = (&groups[n - 2], &groups[n - 1]);
            if above.0 + room(above.1.len()) + pitch <= below.0 {
                break;
            }
            let mut members = above.1.clone();
            members.extend(&below.1);
            groups.truncate(n - 2);
            groups.push((start(&members), members));
        }
    }
    (groups.iter())
        .flat_map(|(first, members)| (0..members.len()).map(move |i| first + pitch * i as f64))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_spread_and_keep_their_order() {
        let y = spread(&[10.0, 10.1, 10.2, 30.0], 3.0, 0.0, 100.0);
        assert!(
            (y[0] - 7.1).abs() < 1e-9 && (y[2] - 13.1).abs() < 1e-9,
            "{y:?}"
        );
        assert_eq!(y[3], 30.0);
        let y = spread(&[99.0, 99.5], 3.0, 0.0, 100.0);
        assert_eq!(y, [97.0, 100.0]);
        let y = spread(&[0.0, 0.0, 1.0], 3.0, 0.0, 100.0);
        assert_eq!(y, [0.0, 3.0, 6.0]);
    }

    #[test]
    fn hatching_stays_in_its_rectangle() {
        let mut d = Drawing::new(100.0, 100.0);
        d.cut((10.0, 20.0), (40.0, 25.0), 1.5, true);
        d.cut((10.0, 20.0), (12.0, 60.0), 1.5, false);
        let numbers: Vec<f64> = d
            .body
            .split("d=\"")
            .skip(1)
            .flat_map(|p| {
                p.split('"')
                    .next()
                    .unwrap_or_default()
                    .split(['M', 'L', 'Z', ' '])
            })
            .filter_map(|t| t.parse().ok())
            .collect();
        assert!(numbers.len() > 40);
        for p in numbers.chunks(2) {
            assert!(
                (10.0..=40.0).contains(&p[0]) && (20.0..=60.0).contains(&p[1]),
                "{p:?}"
            );
        }
    }

    #[test]
    fn overlapping_texts_are_found() {
        let mut d = Drawing::new(50.0, 20.0);
        d.text((10.0, 10.0), "one", Anchor::Start);
        d.text((10.0, 14.0), "two", Anchor::Start);
        assert!(d.overlaps().is_empty());
        d.text((12.0, 11.0), "three", Anchor::Start);
        assert_eq!(d.overlaps().len(), 1);
        d.text((49.0, 5.0), "four", Anchor::Start);
        assert_eq!(d.overlaps().len(), 2);
    }

    #[test]
    fn a_coordinate_that_is_not_finite_is_remembered() {
        let mut d = Drawing::new(50.0, 20.0);
        d.line(&[(0.0, 0.0), (1.0, f64::NAN)], Line::Thin);
        assert!(!d.is_finite());
    }
}
