//! Where one looks: from near while vehicle and base are at work, then back so far that pole and vehicle fill the picture.

use giveway_impact::outcome::Snapshot;
use giveway_scenario::model::Anchorage;

use super::cut::Cut;
use super::run::{FilmView, Shown};
use crate::storyboard::body;
use crate::view::{Look, View, flat};
use giveway_draw::Window;

/// Ground below the scene from the side, px.
const GROUND: f64 = 26.0;
/// Room above the vehicle for the close-ups, px.
const CLOSE_UPS: f64 = 300.0;
/// Kept free round what is shown, m.
const MARGIN: f64 = 0.4;
/// Instants in a second at which the picture is framed.
const EVERY_S: f64 = 0.02;
/// The camera looks ahead, and moves gently, s.
const AHEAD_S: f64 = 0.3;
const GENTLE_S: f64 = 0.2;

/// What all runs share: the scale; and for each where one looks.
#[derive(Debug, Clone)]
pub struct Camera {
    view: FilmView,
    /// Width and height of the scene, px.
    size: (f64, f64),
    /// Until when vehicle and base are at work in any run, s.
    work_until_s: f64,
    keys: Vec<Vec<Shot>>,
}

/// Scale, px/m, and the middle of what is shown: along the travel, and up or to its left, m; its lower edge, m.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shot {
    scale: f64,
    middle: (f64, f64),
    low: f64,
}

/// What must be seen: along the travel, and up or to its left, m.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Extent {
    low: (f64, f64),
    high: (f64, f64),
}

impl Extent {
    fn of(points: impl Iterator<Item = (f64, f64)>) -> Self {
        let none = Self {
            low: (f64::INFINITY, f64::INFINITY),
            high: (f64::NEG_INFINITY, f64::NEG_INFINITY),
        };
        points.fold(none, |e, p| e.and(&Self { low: p, high: p }))
    }

    fn and(&self, other: &Self) -> Self {
        Self {
            low: (self.low.0.min(other.low.0), self.low.1.min(other.low.1)),
            high: (self.high.0.max(other.high.0), self.high.1.max(other.high.1)),
        }
    }

    fn mean(of: &[Self]) -> Self {
        let n = of.len().max(1) as f64;
        let mean = |f: &dyn Fn(&Self) -> f64| of.iter().map(f).sum::<f64>() / n;
        Self {
            low: (mean(&|e| e.low.0), mean(&|e| e.low.1)),
            high: (mean(&|e| e.high.0), mean(&|e| e.high.1)),
        }
    }

    /// Largest scale at which it fits.
    fn scale(&self, (wide, tall): (f64, f64)) -> f64 {
        let along = (self.high.0 - self.low.0).max(0.1);
        let up = (self.high.1 - self.low.1).max(0.1);
        (wide / along).min(tall / up)
    }
}

impl Camera {
    /// Frames all runs in windows of that size.
    pub fn new(
        runs: &[Shown],
        cuts: &[Option<Cut>],
        size: (f64, f64),
        view: FilmView,
        end_s: f64,
    ) -> Self {
        let work_until_s = runs.iter().map(|r| r.span().0).fold(0.0, f64::max) + 0.05;
        let room = match view {
            FilmView::Side => (size.0, size.1 - GROUND),
            _ => size,
        };
        let count = (end_s / EVERY_S).ceil().clamp(1.0, 2000.0) as usize;
        let time = |k: usize| k as f64 * EVERY_S;
        let steps = |span_s: f64| (span_s / EVERY_S).round() as usize;
        let mut framed: Vec<Vec<Extent>> = Vec::with_capacity(runs.len());
        for (run, cut) in runs.iter().zip(cuts) {
            let work = at_work(run, cut.as_ref(), view, room, work_until_s.min(end_s));
            let raw: Vec<Extent> = (0..=count)
                .map(|k| {
                    if time(k) <= work_until_s {
                        work
                    } else {
                        (run.pose(time(k))).map_or(work, |s| in_flight(run, &s, view))
                    }
                })
                .collect();
            let ahead: Vec<Extent> = (0..=count)
                .map(|k| {
                    if time(k) <= work_until_s {
                        return work;
                    }
                    let until = (k + steps(AHEAD_S)).min(count);
                    raw[k..=until].iter().fold(raw[k], |e, other| e.and(other))
                })
                .collect();
            framed.push(
                (0..=count)
                    .map(|k| Extent::mean(&ahead[k.saturating_sub(steps(GENTLE_S))..=k]))
                    .collect(),
            );
        }
        // A pole that does not slip has no section: it is framed by itself.
        let alone = |i: usize| view == FilmView::Section && cuts[i].is_none();
        let keys = (0..=count)
            .map(|k| {
                let shared = (0..runs.len())
                    .filter(|i| !alone(*i))
                    .map(|i| framed[i][k].scale(room))
                    .fold(f64::INFINITY, f64::min);
                (framed.iter().enumerate())
                    .map(|(i, f)| {
                        let e = f[k];
                        Shot {
                            scale: if alone(i) { e.scale(room) } else { shared },
                            middle: (0.5 * (e.low.0 + e.high.0), 0.5 * (e.low.1 + e.high.1)),
                            low: e.low.1,
                        }
                    })
                    .collect()
            })
            .collect();
        Self {
            view,
            size,
            work_until_s,
            keys,
        }
    }

    /// What is looked at.
    pub fn view(&self) -> FilmView {
        self.view
    }

    /// Height of the scene, px.
    pub fn tall(&self) -> f64 {
        self.size.1
    }

    /// Whether the slip base is seen from near at a time.
    pub fn close_at(&self, time: f64) -> bool {
        match self.view {
            FilmView::Side | FilmView::Section => time <= self.work_until_s,
            FilmView::Plan => false,
            FilmView::Base => true,
        }
    }

    /// The view of a run in its window at a time.
    pub fn at(&self, run: usize, window: Window, travel: (f64, f64), time: f64) -> View {
        let place = (time / EVERY_S).clamp(0.0, (self.keys.len() - 1) as f64);
        let k = place.floor() as usize;
        let share = place - k as f64;
        let (a, b) = (
            self.keys[k][run],
            self.keys[(k + 1).min(self.keys.len() - 1)][run],
        );
        let between = |x: f64, y: f64| x + share * (y - x);
        let scale = between(a.scale, b.scale);
        let middle = (
            between(a.middle.0, b.middle.0),
            between(a.middle.1, b.middle.1),
        );
        let up = match self.view {
            FilmView::Side => window.bottom - GROUND,
            // The ground of all runs lies at one height.
            FilmView::Section => window.bottom + scale * between(a.low, b.low),
            _ => 0.5 * (window.top + window.bottom) + scale * middle.1,
        };
        View {
            window,
            origin: (0.5 * (window.left + window.right) - scale * middle.0, up),
            scale,
            look: match self.view {
                FilmView::Plan => Look::FromAbove,
                _ => Look::FromTheSide,
            },
            travel,
        }
    }
}

/// Along the travel, and up or to its left.
fn seen(run: &Shown, view: FilmView) -> impl Fn([f64; 3]) -> (f64, f64) {
    let travel = run.travel();
    move |p| {
        let (u, v) = flat(travel, p);
        (u, if view == FilmView::Plan { v } else { p[2] })
    }
}

fn grown(e: Extent, view: FilmView) -> Extent {
    let below = match view {
        FilmView::Side => 0.0,
        FilmView::Section => -0.8,
        _ => e.low.1 - MARGIN,
    };
    Extent {
        low: (e.low.0 - MARGIN, below),
        high: (e.high.0 + MARGIN, e.high.1 + MARGIN),
    }
}

/// While vehicle and base are at work: the vehicle and the pole's foot, or the section.
fn at_work(
    run: &Shown,
    cut: Option<&Cut>,
    view: FilmView,
    room: (f64, f64),
    until_s: f64,
) -> Extent {
    if let (FilmView::Section, Some(cut)) = (view, cut) {
        let [left, top, wide, high] = cut.frame.map(|x| 1e-3 * x);
        return Extent {
            low: (left, -top - high),
            high: (left + wide, -top),
        };
    }
    const INSTANTS: usize = 24;
    let flat = seen(run, view);
    let seen = (0..=INSTANTS)
        .filter_map(|k| run.pose(until_s * k as f64 / INSTANTS as f64))
        .map(|s| {
            let near = Extent::of(
                (body(&run.scenario, &s).corners().into_iter())
                    .chain(s.pole_axis_m.first().copied())
                    .map(&flat),
            );
            if view == FilmView::Plan {
                near.and(&Extent::of(pole(&s).map(&flat)))
            } else {
                near
            }
        })
        .reduce(|a, b| a.and(&b))
        .unwrap_or(Extent {
            low: (-3.0, 0.0),
            high: (3.0, 3.0),
        });
    let mut e = grown(seen, view);
    if view == FilmView::Side && run.scenario.base.anchorage == Anchorage::Slip {
        // The close-ups stand over the vehicle.
        let most = (room.1 - CLOSE_UPS).max(0.35 * room.1) / e.high.1;
        e.high.1 = e.high.1.max(room.1 / most);
    }
    e
}

fn pole(s: &Snapshot) -> impl Iterator<Item = [f64; 3]> {
    s.pole_axis_m
        .iter()
        .chain(s.arms_m.iter().flatten())
        .copied()
}

/// Once the base has done its work: the pole, and of the vehicle what is not far away.
fn in_flight(run: &Shown, s: &Snapshot, view: FilmView) -> Extent {
    let flat = seen(run, view);
    let pole = Extent::of(pole(s).map(&flat));
    let mut vehicle = Extent::of(body(&run.scenario, s).corners().into_iter().map(&flat));
    let far = 0.6 * run.scenario.support.pole_length_m;
    for x in [&mut vehicle.low.0, &mut vehicle.high.0] {
        *x = x.clamp(pole.low.0 - far, pole.high.0 + far);
    }
    if view == FilmView::Plan {
        for y in [&mut vehicle.low.1, &mut vehicle.high.1] {
            *y = y.clamp(pole.low.1 - far, pole.high.1 + far);
        }
    }
    grown(pole.and(&vehicle), view)
}
