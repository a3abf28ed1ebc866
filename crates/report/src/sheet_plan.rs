//! The lower plate from above: bolts with their numbers, notches, directions of traffic and arms.

use core::f64::consts::{PI, TAU};

use giveway_scenario::model::{Arm, SlipBase, Tube};

use crate::base::{azimuths, plate};
use crate::printed::drawing::{Drawing, ENLARGED, Filling, Line, Place, width_of};
use giveway_draw::Anchor;
use giveway_site::sheet::words::Say;

/// Size of the drawing, mm.
pub const WIDTH: f64 = 70.0;
const HEIGHT: f64 = 60.0;
/// Largest radius of the plate on paper, mm.
const RADIUS: f64 = 24.0;
/// How far an arm's arrow reaches beyond the rim, mm.
const ARM: f64 = 4.5;
/// Scales that are tried, 1 : n.
const SCALES: [f64; 11] = [4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0, 20.0, 50.0];

/// The drawing with its scale 1 : n. Site x, the direction of traffic, points to the right.
pub fn draw(base: &SlipBase, pole: &Tube, arms: &[Arm], say: Say) -> (Drawing, f64) {
    let fits = |n: &&f64| 1e3 * base.plate_radius_m / (**n * ENLARGED) <= RADIUS;
    let n = *SCALES
        .iter()
        .find(fits)
        .unwrap_or(&SCALES[SCALES.len() - 1]);
    let mut plan = Plan {
        d: Drawing::new(WIDTH, HEIGHT),
        k: 1e3 / (n * ENLARGED),
        say,
        base,
        arms: directions(arms),
    };
    plan.plate(pole);
    plan.arms();
    plan.bolts();
    plan.circle();
    plan.traffic();
    plan.notch();
    plan.arm_names();
    (plan.d, n)
}

/// Azimuths of the arms, each direction once, with the number of the first arm that has it.
fn directions(arms: &[Arm]) -> Vec<(f64, usize)> {
    let mut out: Vec<(f64, usize)> = Vec::new();
    for (i, arm) in arms.iter().enumerate() {
        if out.iter().all(|(a, _)| apart(*a, arm.azimuth_rad) > 1e-3) {
            out.push((arm.azimuth_rad, i + 1));
        }
    }
    out
}

/// Angle between two directions, 0 to pi.
fn apart(a: f64, b: f64) -> f64 {
    let d = libm::fmod(libm::fabs(a - b), TAU);
    d.min(TAU - d)
}

struct Plan<'a> {
    d: Drawing,
    /// mm on paper per m.
    k: f64,
    /// Units of its texts.
    say: Say,
    base: &'a SlipBase,
    arms: Vec<(f64, usize)>,
}

impl Plan<'_> {
    /// Site coordinates about the pole's axis, m, on paper.
    fn at(&self, x: f64, y: f64) -> Place {
        (0.5 * WIDTH + self.k * x, 0.5 * HEIGHT - self.k * y)
    }

    /// At a distance of `r` mm on paper in that direction.
    fn towards(&self, azimuth: f64, r: f64) -> Place {
        let (c, s) = (libm::cos(azimuth), libm::sin(azimuth));
        (0.5 * WIDTH + r * c, 0.5 * HEIGHT - r * s)
    }

    fn rim(&self) -> f64 {
        self.k * self.base.plate_radius_m
    }

    fn plate(&mut self, pole: &Tube) {
        let outline = plate(self.base, true).into_iter();
        let outline: Vec<Place> = outline.map(|(x, y)| self.at(x, y)).collect();
        self.d.outline(&outline, Filling::Grey, Line::Outline);
        let centre = self.at(0.0, 0.0);
        for (diameter_m, filling, line) in [
            (pole.base_diameter_m, Filling::Paper, Line::Dashed),
            (self.base.bolt_circle_m, Filling::None, Line::Axis),
        ] {
            let radius = 0.5 * self.k * diameter_m;
            self.d.circle(centre, radius, filling, line);
        }
        let far = self.rim() + 2.0;
        for a in [0.0, 0.5 * PI] {
            let line = [self.towards(a, far), self.towards(a + PI, far)];
            self.d.line(&line, Line::Axis);
        }
    }

    /// Arrows from the axis outwards.
    fn arms(&mut self) {
        for (azimuth, _) in self.arms.clone() {
            let from = self.towards(azimuth, 0.0);
            let to = self.towards(azimuth, self.rim() + ARM);
            self.d.line(&[from, to], Line::Outline);
            self.d.head(from, to, 2.6);
        }
    }

    /// Names of the arms beside their arrows' heads, where nothing else is written.
    fn arm_names(&mut self) {
        let several = self.arms.len() > 1;
        for (azimuth, number) in self.arms.clone() {
            let text = if several {
                format!("arm {number}")
            } else {
                "arm".to_owned()
            };
            let (x, y) = self.towards(azimuth, self.rim() + ARM);
            let places = [
                ((x + 1.6, y), Anchor::Start),
                ((x - 1.6, y), Anchor::End),
                ((x, y - 2.6), Anchor::Middle),
                ((x, y + 2.6), Anchor::Middle),
                ((x + 1.6, y - 2.6), Anchor::Start),
                ((x - 1.6, y - 2.6), Anchor::End),
                ((x + 1.6, y + 2.6), Anchor::Start),
                ((x - 1.6, y + 2.6), Anchor::End),
            ];
            // On no arrow, else at least on no other text.
            let free: Vec<_> = (places.iter())
                .filter(|(at, hang)| self.d.is_free(*at, &text, *hang))
                .collect();
            let clear = (free.iter()).find(|(at, hang)| !self.on_an_arrow(*at, &text, *hang));
            let (at, hang) = **clear.or(free.first()).unwrap_or(&&places[2]);
            self.d.bold(at, &text, hang);
        }
    }

    /// Whether a bold text there would lie on the arrow of an arm.
    fn on_an_arrow(&self, at: Place, text: &str, hang: Anchor) -> bool {
        let length = self.rim() + ARM;
        self.arms.iter().any(|(azimuth, _)| {
            let along = |i| self.towards(*azimuth, length * f64::from(i) / 100.0);
            (0..=100).any(|i| Drawing::covers(at, text, hang, along(i)))
        })
    }

    /// Bolts with their numbers: in the bolt where there is room, else inside the circle.
    fn bolts(&mut self) {
        let seat = 0.5 * self.k * self.base.bolt_circle_m;
        let radius = 0.5 * self.k * self.base.bolt.diameter_m;
        for (i, a) in azimuths(self.base).into_iter().enumerate() {
            let place = self.towards(a, seat);
            self.d.circle(place, radius, Filling::Paper, Line::Outline);
            let place = if radius > 1.2 {
                place
            } else {
                self.towards(a, seat - radius - 2.2)
            };
            self.d.bold(place, &format!("{}", i + 1), Anchor::Middle);
        }
    }

    /// The angle between the walls, at the notch that is farthest from everything else and has room for its text.
    fn notch(&mut self) {
        let free = |a: f64| {
            let others = (self.arms.iter())
                .map(|a| &a.0)
                .chain(&[1.25 * PI])
                .map(|b| apart(a, *b));
            // Room for the text is wider at the sides.
            others.fold(PI, f64::min) + 0.2 * libm::fabs(libm::cos(a))
        };
        let mut all = azimuths(self.base);
        all.sort_by(|p, q| free(*q).total_cmp(&free(*p)));
        let beta = self.base.notch_half_angle_rad;
        // The walls touch the seated bolt: they meet r/sin(beta) inside its axis.
        let apex = 0.5 * self.base.bolt_circle_m
            - 0.5 * self.base.bolt.diameter_m / libm::sin(beta).max(0.05);
        let arc = self.rim() - self.k * apex + 2.5;
        let degrees = 2.0 * beta.to_degrees();
        let decimals = usize::from((degrees - degrees.round()).abs() > 0.05);
        let text = format!("{degrees:.decimals$}\u{b0}");
        let half = 0.5 * width_of(&text, true) + 0.8;
        let from = |a: f64, angle: f64, r: f64| {
            let meet = self.towards(a, self.k * apex);
            (meet.0 + r * libm::cos(angle), meet.1 - r * libm::sin(angle))
        };
        let place = |a: f64| {
            let reach =
                arc + 1.0 + half * libm::fabs(libm::cos(a)) + 1.6 * libm::fabs(libm::sin(a));
            from(a, a, reach)
        };
        let room = |a: &&f64| self.d.is_free(place(**a), &text, Anchor::Middle);
        let Some(&a) = all.iter().find(room).or(all.first()) else {
            return;
        };
        let walls = [-1.0, 1.0].map(|side| {
            let wall = a + side * beta;
            [from(a, wall, 0.35 * arc), from(a, wall, arc + 1.5)]
        });
        let between = |i: i32| from(a, a + beta * (f64::from(i) / 12.0 - 1.0), arc);
        let places: Vec<Place> = (0..=24).map(between).collect();
        let at = place(a);
        for wall in walls {
            self.d.line(&wall, Line::Thin);
        }
        self.d.line(&places, Line::Thin);
        for (end, before) in [(0, 3), (24, 21)] {
            self.d.head(places[before], places[end], 1.5);
        }
        self.d.bold(at, &text, Anchor::Middle);
    }

    /// Diameter of the bolt circle, from the upper left corner.
    fn circle(&mut self) {
        let radius = 0.5 * self.k * self.base.bolt_circle_m;
        let all = azimuths(self.base);
        let free = |a: f64| {
            all.iter()
                .chain(self.arms.iter().map(|a| &a.0))
                .map(|b| apart(a, *b))
                .fold(PI, f64::min)
                - 0.1 * apart(a, 0.75 * PI)
        };
        let a = (0..=16)
            .map(|i| PI * (0.55 + 0.025 * f64::from(i)))
            .max_by(|p, q| free(*p).total_cmp(&free(*q)))
            .unwrap_or(0.75 * PI);
        let place = self.towards(a, radius);
        self.d.line(&[place, (5.0, 4.2)], Line::Thin);
        self.d.circle(place, 0.45, Filling::Ink, Line::Thin);
        let text = format!("bolt circle {}", self.say.length(self.base.bolt_circle_m));
        self.d.text((0.5, 2.4), &text, Anchor::Start);
    }

    fn traffic(&mut self) {
        let y = HEIGHT - 2.0;
        self.d.line(&[(1.0, y), (15.0, y)], Line::Outline);
        self.d.head((1.0, y), (16.5, y), 2.6);
        self.d.bold((0.5, y - 3.0), "traffic", Anchor::Start);
    }
}
