//! A figure as a list of marks, checked when they are added, painted later as SVG or PNG.
//!
//! Coordinates are pixels of a page whose origin is the upper left corner. A coordinate that is not finite
//! never reaches the painter: it is remembered, and `Figure::finish` reports it.

use giveway_units::{System, spoken};

use crate::DrawError;
use crate::axis::Axis;
use crate::clip::Window;
use crate::palette::Colour;

/// A point on the page, px.
pub type Point = (f64, f64);

/// Where a text hangs on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The point is the left end.
    Start,
    /// The point is the middle.
    Middle,
    /// The point is the right end.
    End,
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextLook {
    /// Height of the em square, px.
    pub size: f64,
    /// Colour.
    pub colour: Colour,
    /// Bold face.
    pub bold: bool,
    /// Horizontal anchor; vertically the point is the middle of the line.
    pub anchor: Anchor,
    /// Turned a quarter anticlockwise (reads upwards).
    pub upright: bool,
}

/// Plain text of that size and colour, anchored at its left end.
pub fn look(size: f64, colour: Colour) -> TextLook {
    TextLook {
        size,
        colour,
        bold: false,
        anchor: Anchor::Start,
        upright: false,
    }
}

impl TextLook {
    /// The same, bold.
    pub fn bold(self) -> Self {
        TextLook { bold: true, ..self }
    }

    /// The same with another anchor.
    pub fn at(self, anchor: Anchor) -> Self {
        TextLook { anchor, ..self }
    }

    /// The same, its middle at the point.
    pub fn middle(self) -> Self {
        self.at(Anchor::Middle)
    }

    /// The same, its right end at the point.
    pub fn end(self) -> Self {
        self.at(Anchor::End)
    }

    /// The same, turned to read upwards.
    pub fn upright(self) -> Self {
        TextLook {
            upright: true,
            ..self
        }
    }
}

/// One mark on the page.
#[derive(Debug, Clone)]
pub enum Mark {
    /// A line.
    Stroke {
        /// Its corners, px.
        points: Vec<Point>,
        /// Width, px.
        width: f64,
        /// Colour.
        colour: Colour,
    },
    /// A surface.
    Fill {
        /// Its corners, px.
        points: Vec<Point>,
        /// Colour.
        colour: Colour,
        /// Opacity, 0 to 1.
        alpha: f64,
    },
    /// A line of text.
    Text {
        /// Where it hangs, px.
        at: Point,
        /// The words.
        text: String,
        /// How they look.
        look: TextLook,
    },
}

/// A plotting area whose horizontal axis is the time since first touch: a cursor may move in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clock {
    /// Plotting area, px.
    pub area: Window,
    /// Times at its left and right edge, s.
    pub span_s: (f64, f64),
}

/// A figure under construction.
#[derive(Debug, Clone)]
pub struct Figure {
    name: String,
    title: String,
    alt_text: String,
    width: f64,
    height: f64,
    /// Each mark, and the system of units that it is for; none for all.
    marks: Vec<(Option<System>, Mark)>,
    /// System that is being drawn for.
    only: Option<System>,
    /// System that is shown.
    system: System,
    clocks: Vec<Clock>,
    bad: Option<String>,
}

impl Figure {
    /// An empty page. `name` becomes the file stem; `title` and `alt_text` are written into the SVG.
    pub fn new(name: &str, title: &str, width: f64, height: f64) -> Self {
        Figure {
            name: name.to_owned(),
            title: title.to_owned(),
            alt_text: String::new(),
            width,
            height,
            marks: Vec::new(),
            only: None,
            system: System::Si,
            clocks: Vec::new(),
            bad: None,
        }
    }

    /// File stem.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Title.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What the figure shows, in words with numbers, for those who do not see it.
    pub fn alt_text(&self) -> &str {
        &self.alt_text
    }

    /// Sets the text alternative.
    pub fn set_alt_text(&mut self, text: String) {
        self.alt_text = text;
    }

    /// Width and height of the page, px.
    pub fn size(&self) -> (f64, f64) {
        (self.width, self.height)
    }

    /// What is shown in the figure's system of units.
    pub fn marks(&self) -> impl Iterator<Item = &Mark> {
        let shown = |only: Option<System>| only.is_none_or(|s| s == self.system);
        self.marks
            .iter()
            .filter(move |(only, _)| shown(*only))
            .map(|(_, mark)| mark)
    }

    /// Draws what is not the same in every system of units, such as the numbers along an axis: once for each.
    pub fn in_each(&mut self, mut draw: impl FnMut(&mut Self, System)) {
        match self.only {
            Some(system) => draw(self, system),
            None => {
                for system in System::ALL {
                    self.only = Some(system);
                    draw(self, system);
                }
                self.only = None;
            }
        }
    }

    /// The figure in a system of units: its own numbers along axes, every text in its units.
    pub fn said(&self, system: System) -> Self {
        let mut figure = self.clone();
        figure.system = system;
        figure.title = spoken(&figure.title, system);
        figure.alt_text = spoken(&figure.alt_text, system);
        for (_, mark) in &mut figure.marks {
            if let Mark::Text { text, .. } = mark {
                *text = spoken(text, system);
            }
        }
        figure
    }

    /// The system that is shown.
    pub(crate) fn system(&self) -> System {
        self.system
    }

    fn add(&mut self, mark: Mark) {
        self.marks.push((self.only, mark));
    }

    pub(crate) fn clocks(&self) -> &[Clock] {
        &self.clocks
    }

    /// Tells that the area's horizontal axis is the time in ms.
    pub fn clock(&mut self, area: Window, time_ms: Axis) {
        let span_s = (1e-3 * time_ms.low, 1e-3 * time_ms.high);
        if span_s.0.is_finite() && span_s.1.is_finite() && span_s.0 < span_s.1 {
            self.clocks.push(Clock { area, span_s });
        }
    }

    // Far outside the page nothing can be seen, and the painter's integers must not overflow.
    fn sane(&mut self, points: impl IntoIterator<Item = Point>, what: &str) -> Vec<Point> {
        let mut out = Vec::new();
        for (x, y) in points {
            if x.is_finite() && y.is_finite() {
                out.push((x.clamp(-1.0e5, 1.0e5), y.clamp(-1.0e5, 1.0e5)));
            } else if self.bad.is_none() {
                self.bad = Some(what.to_owned());
            }
        }
        out
    }

    /// A line through the points.
    pub fn line(&mut self, points: impl IntoIterator<Item = Point>, width: f64, colour: Colour) {
        self.dashed(points, width, colour, &[]);
    }

    /// A line of a dash pattern.
    pub fn dashed(
        &mut self,
        points: impl IntoIterator<Item = Point>,
        width: f64,
        colour: Colour,
        dash: &[f64],
    ) {
        let points = self.sane(points, "a line");
        if points.len() < 2 {
            return;
        }
        for points in dashed(&points, dash) {
            self.add(Mark::Stroke {
                points,
                width,
                colour,
            });
        }
    }

    /// A line round the points, back to the first.
    pub fn round(&mut self, points: &[Point], width: f64, colour: Colour) {
        self.line(points.iter().chain(points.first()).copied(), width, colour);
    }

    /// A filled polygon (the last point joins the first).
    pub fn fill(&mut self, points: impl IntoIterator<Item = Point>, colour: Colour, alpha: f64) {
        let points = self.sane(points, "a filled shape");
        if points.len() >= 3 {
            self.add(Mark::Fill {
                points,
                colour,
                alpha,
            });
        }
    }

    /// A filled disc.
    pub fn disc(&mut self, centre: Point, radius: f64, colour: Colour) {
        self.fill(circle(centre, radius, sides(radius)), colour, 1.0);
    }

    /// A circle line.
    pub fn ring(&mut self, centre: Point, radius: f64, width: f64, colour: Colour) {
        self.round(&circle(centre, radius, sides(radius)), width, colour);
    }

    /// A filled rectangle.
    pub fn rect(&mut self, w: impl Into<Window>, colour: Colour, alpha: f64) {
        self.fill(w.into().corners(), colour, alpha);
    }

    /// A rectangle's outline.
    pub fn frame(&mut self, w: impl Into<Window>, width: f64, colour: Colour) {
        let [a, b, c, d] = w.into().corners();
        self.line([a, b, c, d, a], width, colour);
    }

    /// A text; vertically the point is the middle of the line.
    pub fn text(&mut self, at: Point, text: &str, look: TextLook) {
        if let Some(&at) = self.sane([at], "a text").first() {
            self.add(Mark::Text {
                at,
                text: text.to_owned(),
                look,
            });
        }
    }

    /// A text on a pale plate, so that lines behind it do not disturb.
    pub fn label(&mut self, at: Point, text: &str, look: TextLook, paper: Colour) {
        if spoken(text, System::Us) == text {
            self.plate(at, text, look, paper);
        } else {
            self.in_each(|f, system| f.plate(at, &spoken(text, system), look, paper));
        }
    }

    fn plate(&mut self, at: Point, text: &str, look: TextLook, paper: Colour) {
        let w = crate::lettering::text_width(text, look.size, look.bold);
        let x0 = match look.anchor {
            Anchor::Start => at.0,
            Anchor::Middle => at.0 - 0.5 * w,
            Anchor::End => at.0 - w,
        };
        let h = 0.62 * look.size;
        let bar = ((x0 - 3.0, at.1 - h), (x0 + w + 3.0, at.1 + h));
        self.rect(bar, paper, 0.85);
        self.text(at, text, look);
    }

    /// The same larger or smaller, on a page of that many pixels.
    pub fn scaled(mut self, factor: f64, size: (u32, u32)) -> Self {
        let at = |p: &Point| (factor * p.0, factor * p.1);
        for (_, mark) in &mut self.marks {
            match mark {
                Mark::Stroke { points, width, .. } => {
                    points.iter_mut().for_each(|p| *p = at(p));
                    *width *= factor;
                }
                Mark::Fill { points, .. } => points.iter_mut().for_each(|p| *p = at(p)),
                Mark::Text {
                    at: place, look, ..
                } => {
                    *place = at(place);
                    look.size *= factor;
                }
            }
        }
        (self.width, self.height) = (f64::from(size.0), f64::from(size.1));
        self
    }

    /// Ends the drawing: an error when something was not finite.
    pub fn finish(self) -> Result<Self, DrawError> {
        match self.bad {
            Some(what) => Err(DrawError::NotFinite {
                figure: self.name,
                what,
            }),
            None => Ok(self),
        }
    }
}

fn sides(radius: f64) -> u32 {
    if radius < 6.0 { 20 } else { 48 }
}

/// A circle as a polygon of so many sides.
pub fn circle((x, y): Point, radius: f64, sides: u32) -> Vec<Point> {
    let corner = |i: u32| {
        let a = core::f64::consts::TAU * f64::from(i) / f64::from(sides);
        (x + radius * libm::cos(a), y + radius * libm::sin(a))
    };
    (0..sides).map(corner).collect()
}

// Cuts a polyline into the inked pieces of a dash pattern.
fn dashed(points: &[Point], dash: &[f64]) -> Vec<Vec<Point>> {
    if dash.is_empty() || dash.iter().any(|d| d.is_nan() || *d <= 0.1) {
        return vec![points.to_vec()];
    }
    let mut pieces = Vec::new();
    let mut piece = vec![points[0]];
    let (mut index, mut left, mut ink) = (0, dash[0], true);
    for pair in points.windows(2) {
        let (mut a, b) = (pair[0], pair[1]);
        loop {
            let length = libm::hypot(b.0 - a.0, b.1 - a.1);
            if length <= left {
                left -= length;
                if ink {
                    piece.push(b);
                }
                break;
            }
            let s = left / length;
            a = (a.0 + s * (b.0 - a.0), a.1 + s * (b.1 - a.1));
            if ink {
                piece.push(a);
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece = vec![a];
            }
            ink = !ink;
            index = (index + 1) % dash.len();
            left = dash[index];
        }
    }
    if ink && piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dash_pattern_covers_its_share_of_the_line() {
        let pieces = dashed(&[(0.0, 0.0), (50.0, 0.0), (100.0, 0.0)], &[6.0, 4.0]);
        let inked: f64 = pieces.iter().map(|p| p.last().unwrap().0 - p[0].0).sum();
        assert_eq!(pieces.len(), 10);
        assert!((inked - 60.0).abs() < 1e-9);
    }

    #[test]
    fn a_point_that_is_not_finite_is_reported() {
        let mut f = Figure::new("x", "x", 10.0, 10.0);
        f.line([(0.0, 0.0), (f64::NAN, 1.0)], 1.0, (0, 0, 0));
        assert!(matches!(
            f.finish(),
            Err(DrawError::NotFinite { figure, .. }) if figure == "x"
        ));
    }
}
