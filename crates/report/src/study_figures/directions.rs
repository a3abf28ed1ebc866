//! What a base opposes to a slow push and what it does to a vehicle, by the direction of travel, round its bolt pattern.

use core::f64::consts::{PI, TAU};

use giveway_impact::outcome::Ending;
use giveway_mechanics::slip_resistance::Way;
use giveway_scenario::model::SlipBase;
use giveway_study::Direction;
use giveway_study::analysis::ColumnLimit;

use super::frame::sign;
use super::sheet::{column, sheet};
use crate::base::{azimuths, plate};
use crate::{FigureFile, ReportError, painted};
use giveway_draw::{
    Axis, Figure, GRID, INK, LIMIT, NAVY, PAPER, PENS, Point, RUST, SLATE, STONE, look,
};

/// Radius of a polar chart, px.
const RADIUS: f64 = 265.0;
/// Radius of the bolt pattern in its middle, px.
const PATTERN: f64 = 58.0;
const CENTRES: [Point; 2] = [(370.0, 480.0), (1030.0, 480.0)];

/// Draws resistance and velocity change round the base.
///
/// # Errors
/// No direction, a number that is not finite, a painter that fails.
pub fn directions_figure(
    name: &str,
    title: &str,
    base: &SlipBase,
    directions: &[Direction],
    velocity_limit: Option<&ColumnLimit>,
    caution: &str,
) -> Result<FigureFile, ReportError> {
    if directions.is_empty() {
        return Err(ReportError::BadColumn {
            column: "heading_rad".to_owned(),
            reason: "there is no direction to draw".to_owned(),
        });
    }
    let count = match directions.len() {
        1 => "one direction of travel".to_owned(),
        n => format!("{n} directions of travel round the same base"),
    };
    let line = format!("{title}: {count}");
    let mut f = sheet(name, "The base from all sides", &line, 960.0, caution);
    let push: Vec<Option<f64>> = (directions.iter())
        .map(|d| Some(1e-3 * d.resistance.along_n))
        .collect();
    let change: Vec<Option<f64>> = (directions.iter())
        .map(|d| d.numbers.as_ref().and_then(|n| n.velocity_change_mps()))
        .collect();
    let locked = |d: &Direction| d.resistance.bolts.iter().any(|b| b.way == Way::Locked);
    let held = |d: &Direction| d.numbers.as_ref().is_some_and(|n| n.ending == Ending::Held);
    let limit = velocity_limit.map(|l| l.value);
    let open: [&dyn Fn(&Direction) -> bool; 2] = [&locked, &held];
    let words = [
        ["Resistance to a slow push, kN", "kN"],
        ["Velocity change of the vehicle, m/s", "m/s"],
    ];
    for (i, (values, limit)) in [(&push, None), (&change, limit)].into_iter().enumerate() {
        let p = Polar::new(name, CENTRES[i], values, limit, words[i])?;
        p.frame(&mut f);
        p.pattern(&mut f, base);
        p.limit(&mut f, limit);
        p.curve(&mut f, directions, values, i, open[i]);
    }
    let open = open.map(|open| directions.iter().any(open));
    key(&mut f, directions, velocity_limit, open);
    f.set_alt_text(self::words(title, directions, &change, velocity_limit));
    painted(&f.finish()?)
}

/// One polar chart: values run outward from the rim of the bolt pattern.
struct Polar {
    centre: Point,
    axis: Axis,
    title: String,
}

impl Polar {
    fn new(
        name: &str,
        centre: Point,
        values: &[Option<f64>],
        limit: Option<f64>,
        [title, unit]: [&str; 2],
    ) -> Result<Self, ReportError> {
        let known = values.iter().flatten().copied().chain(limit);
        let known: Vec<f64> = known.chain([0.0]).collect();
        let mut axis = Axis::covering(&known, 0.05, name, unit)?;
        axis.low = 0.0;
        Ok(Self {
            centre,
            axis,
            title: title.to_owned(),
        })
    }

    /// Angle: direction of travel, to the left turning upward on the page, as on a plan.
    fn at(&self, angle: f64, value: f64) -> Point {
        let r = PATTERN + self.axis.fraction(value).clamp(0.0, 1.0) * (RADIUS - PATTERN);
        self.out(angle, r)
    }

    fn out(&self, angle: f64, r: f64) -> Point {
        (
            self.centre.0 + r * libm::cos(angle),
            self.centre.1 - r * libm::sin(angle),
        )
    }

    fn circle(
        &self,
        f: &mut Figure,
        value: f64,
        width: f64,
        colour: giveway_draw::Colour,
        dash: &[f64],
    ) {
        let points = (0..=180).map(|i| self.at(TAU * f64::from(i) / 180.0, value));
        f.dashed(points, width, colour, dash);
    }

    fn frame(&self, f: &mut Figure) {
        let (cx, _) = self.centre;
        f.in_each(|f, system| {
            let (_, title) = self.axis.said(&self.title, 4, system);
            f.text((cx - RADIUS - 60.0, 118.0), &title, look(17.0, INK).bold());
        });
        for i in 0..12 {
            let a = TAU * f64::from(i) / 12.0;
            f.line([self.out(a, PATTERN), self.out(a, RADIUS)], 1.0, GRID);
            let text = format!("{}\u{b0}", 30 * i);
            f.text(self.out(a, RADIUS + 24.0), &text, look(15.0, INK).middle());
        }
        f.in_each(|f, system| {
            for (t, _) in self.axis.said(&self.title, 4, system).0 {
                self.circle(f, t, 1.0, GRID, &[]);
            }
        });
        let rim = (0..=180).map(|i| self.out(TAU * f64::from(i) / 180.0, RADIUS));
        f.line(rim, 1.5, INK);
    }

    /// Numbers along one ray, above everything.
    fn numbers(&self, f: &mut Figure) {
        f.in_each(|f, system| {
            let (ticks, _) = self.axis.said(&self.title, 4, system);
            for (t, text) in ticks.into_iter().filter(|(t, _)| *t > 0.0) {
                let at = self.at(1.25 * PI / 12.0 * 11.0, t);
                f.label(at, &text, look(14.0, SLATE).middle(), PAPER);
            }
        });
    }

    /// Plate with notches and bolts, numbered.
    fn pattern(&self, f: &mut Figure, base: &SlipBase) {
        let reach = base.plate_radius_m.max(0.5 * base.bolt_circle_m);
        let k = 0.88 * PATTERN / reach.max(1e-6);
        let place = |x: f64, y: f64| (self.centre.0 + k * x, self.centre.1 - k * y);
        let outline: Vec<Point> = plate(base, true)
            .into_iter()
            .map(|(x, y)| place(x, y))
            .collect();
        f.fill(outline.iter().copied(), STONE, 1.0);
        f.round(&outline, 1.5, INK);
        let seat = 0.5 * base.bolt_circle_m;
        for (i, a) in azimuths(base).into_iter().enumerate() {
            let p = place(seat * libm::cos(a), seat * libm::sin(a));
            f.disc(p, (0.5 * k * base.bolt.diameter_m).max(4.5), INK);
            let q = place(0.48 * seat * libm::cos(a), 0.48 * seat * libm::sin(a));
            f.text(q, &format!("{}", i + 1), look(14.0, INK).bold().middle());
        }
        let rim = (0..=90).map(|i| self.out(TAU * f64::from(i) / 90.0, PATTERN));
        f.line(rim, 1.0, SLATE);
    }

    fn limit(&self, f: &mut Figure, limit: Option<f64>) {
        if let Some(value) = limit {
            self.circle(f, value, 2.4, LIMIT, &[10.0, 6.0]);
        }
    }

    fn curve(
        &self,
        f: &mut Figure,
        directions: &[Direction],
        values: &[Option<f64>],
        which: usize,
        open: &dyn Fn(&Direction) -> bool,
    ) {
        let pen = PENS[which];
        let n = directions.len();
        for i in 0..n {
            let j = (i + 1) % n;
            let (Some(a), Some(b)) = (values[i], values[j]) else {
                continue;
            };
            let [p, q] = [(i, a), (j, b)].map(|(k, v)| self.at(directions[k].heading_rad, v));
            if n > 1 && open(&directions[i]) == open(&directions[j]) {
                f.line([p, q], 2.6, pen.colour);
            } else {
                f.dashed([p, q], 1.4, pen.colour, &[3.0, 4.0]);
            }
        }
        for (d, value) in directions.iter().zip(values) {
            match value {
                Some(v) => sign(f, self.at(d.heading_rad, *v), pen, !open(d)),
                None => {
                    let p = self.out(d.heading_rad, RADIUS - 12.0);
                    for side in [-5.0, 5.0] {
                        let stroke = [(p.0 - 5.0, p.1 + side), (p.0 + 5.0, p.1 - side)];
                        f.line(stroke, 1.8, SLATE);
                    }
                }
            }
        }
        self.numbers(f);
    }
}

fn key(
    f: &mut Figure,
    directions: &[Direction],
    limit: Option<&ColumnLimit>,
    [locked, held]: [bool; 2],
) {
    let y = 822.0;
    // A vehicle that travels at 0 degrees.
    f.line([(60.0, y), (120.0, y)], 3.0, INK);
    f.fill([(134.0, y), (116.0, y - 8.0), (116.0, y + 8.0)], INK, 1.0);
    let text = "0\u{b0} is travel to the right, along the road; 90\u{b0} is travel up the page. A value stands in the direction \
                in which the vehicle travels; it comes from the other side.";
    column(f, (150.0, y), 520.0, text, INK);
    let mut y = y;
    let x = 740.0;
    if let Some(limit) = limit {
        f.dashed([(x, y), (x + 44.0, y)], 2.4, LIMIT, &[10.0, 6.0]);
        let text = format!("limit {:.2} m/s ({})", limit.value, limit.source);
        y = column(f, (x + 56.0, y), 560.0, &text, LIMIT) + 8.0;
    }
    let sheared = "a bolt is locked between two walls: it must be sheared";
    let stopped = "the base holds: the vehicle is stopped";
    let told = [(locked, 0, sheared, NAVY), (held, 1, stopped, RUST)];
    for (_, pen, text, colour) in told.into_iter().filter(|t| t.0) {
        sign(f, (x + 22.0, y), PENS[pen], false);
        y = column(f, (x + 56.0, y), 560.0, text, colour) + 8.0;
    }
    if directions.iter().any(|d| d.numbers.is_none()) {
        let text = "\u{d7} at the rim: could not be computed";
        column(f, (x + 56.0, y), 560.0, text, SLATE);
    }
}

fn words(
    title: &str,
    directions: &[Direction],
    change: &[Option<f64>],
    limit: Option<&ColumnLimit>,
) -> String {
    let degrees = |d: &Direction| format!("{:.0} degrees", d.heading_rad.to_degrees());
    let by = |key: &dyn Fn(usize) -> Option<f64>, most: bool| {
        let mut found: Option<(f64, usize)> = None;
        for i in 0..directions.len() {
            if let Some(v) = key(i)
                && found.is_none_or(|(b, _)| if most { v > b } else { v < b })
            {
                found = Some((v, i));
            }
        }
        found
    };
    let push = |i: usize| Some(1e-3 * directions[i].resistance.along_n);
    let lost = |i: usize| change[i];
    let say = |found: Option<(f64, usize)>, unit: &str| {
        found.map_or_else(
            || "nothing".to_owned(),
            |(v, i)| format!("{v:.1} {unit} at {}", degrees(&directions[i])),
        )
    };
    let held: Vec<String> = (directions.iter())
        .filter(|d| d.numbers.as_ref().is_some_and(|n| n.ending == Ending::Held))
        .map(degrees)
        .collect();
    let holds = if held.is_empty() {
        "The base lets go in every direction.".to_owned()
    } else {
        format!("The base holds at {}.", held.join(", "))
    };
    let limit = limit.map_or(String::new(), |l| {
        format!(" Limit {:.2} m/s ({}).", l.value, l.source)
    });
    format!(
        "{title}: two polar charts against the direction of travel round the bolt pattern. Resistance to a slow push: least {}, \
         most {}. Velocity change: least {}, most {}. {holds}{limit}",
        say(by(&push, false), "kN"),
        say(by(&push, true), "kN"),
        say(by(&lost, false), "m/s"),
        say(by(&lost, true), "m/s")
    )
}
