//! One slow push: the rigid upper plate on its bolts under a load that grows.

use super::{DeadLoad, SMALL_TRAVEL_M, WindAction};
use crate::joint::{BoltState, Departure, JointLaw, Motion};
use nalgebra::{Matrix6, Vector2, Vector6};
use serde::{Deserialize, Serialize};

/// What can happen to a base in the wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Event {
    /// A washer carries nothing any more.
    Gaps,
    /// A bolt slides in its notches.
    Slides,
    /// The plates have slipped by the small travel.
    Travels,
    /// A bolt or a plate yields.
    Yields,
    /// The threads of a nut strip, of which too few are engaged.
    Strips,
    /// A bolt is out of its notches, or there is no equilibrium any more.
    ComesApart,
}

/// Number of events.
const EVENTS: usize = 6;

/// What a push found: for each event the multiple of the wind at which it came first, and the bolt.
#[derive(Debug, Clone)]
pub struct Push {
    first: [Option<(f64, Option<usize>)>; EVENTS],
    washers: Vec<f64>,
}

impl Push {
    /// Multiple of the wind at which the event came, and the bolt (from 1) where it is one.
    pub fn first(&self, event: Event) -> Option<(f64, Option<usize>)> {
        self.first[event as usize]
    }

    /// Washer force of a bolt in the wind itself (multiple 1), N; 0 where the base has not got there.
    pub fn washer_in_design_wind(&self, bolt: usize) -> f64 {
        self.washers.get(bolt).copied().unwrap_or(0.0)
    }

    fn note(&mut self, event: Event, at: f64, bolt: Option<usize>) {
        let slot = &mut self.first[event as usize];
        if slot.is_none() {
            *slot = Some((at, bolt));
        }
    }
}

/// Sliding less than this is rounding, m.
const SLIDES_M: f64 = 1e-6;
/// Steps of the wind's multiple beyond the elastic range: the largest, and the smallest when the search shortens them.
const STEP: f64 = 0.1;
const LEAST_STEP: f64 = 1e-3;
/// How closely forces balance, as a share of the weight and the wind.
const BALANCE: f64 = 1e-7;
/// A plate that has moved this far in the search is on its way out, m.
const FAR_M: f64 = 0.2;

/// The plate at rest under its dead load.
pub(super) struct Plate<'a> {
    laws: &'a [JointLaw],
    radius: f64,
    /// Load of the weight: forces along x, y, z, moments about x, y, z.
    dead: Vector6<f64>,
    /// Pose and bolts at rest; none where the clamp does not carry the dead load.
    rest: Option<Stand>,
}

/// The plate's pose (displacements, small turns) and its bolts.
#[derive(Clone)]
struct Stand {
    pose: Vector6<f64>,
    bolts: Vec<BoltState>,
}

impl Stand {
    fn largest(&self, of: impl Fn(&BoltState) -> f64) -> (f64, usize) {
        self.bolts
            .iter()
            .enumerate()
            .map(|(i, b)| (of(b), i + 1))
            .fold((f64::NEG_INFINITY, 0), |a, b| if b.0 > a.0 { b } else { a })
    }
}

impl<'a> Plate<'a> {
    pub fn new(laws: &'a [JointLaw], axes: &[[f64; 2]], radius: f64, dead: &DeadLoad) -> Self {
        let load = Vector6::new(
            0.0,
            0.0,
            -dead.weight_n,
            dead.moment_nm[0],
            dead.moment_nm[1],
            0.0,
        );
        let mut plate = Self {
            laws,
            radius,
            dead: load,
            rest: None,
        };
        let bolts = laws
            .iter()
            .zip(axes)
            .map(|(law, axis)| {
                BoltState::at_rest(Vector2::new(axis[0], axis[1]), law, Vector2::zeros(), 0.0)
            })
            .collect();
        let start = Stand {
            pose: Vector6::zeros(),
            bolts,
        };
        plate.rest = plate.balanced(&start, &load, load.norm());
        plate
    }

    /// The bolts moved on to a pose, and what the loads lack to balance.
    fn moved(
        &self,
        from: &Stand,
        pose: &Vector6<f64>,
        load: &Vector6<f64>,
    ) -> (Vector6<f64>, Stand) {
        let mut residual = *load;
        let mut bolts = from.bolts.clone();
        for (bolt, law) in bolts.iter_mut().zip(self.laws) {
            let seat = bolt.axis * self.radius;
            // d + theta x r, r in the slip plane
            let slip = Vector2::new(pose[0] - pose[5] * seat.y, pose[1] + pose[5] * seat.x);
            let opening = pose[2] + pose[3] * seat.y - pose[4] * seat.x;
            bolt.advance(law, slip, opening, &Motion::default());
            let (f, lift) = (bolt.force, bolt.lift);
            residual += Vector6::new(
                f.x,
                f.y,
                lift,
                seat.y * lift,
                -seat.x * lift,
                seat.x * f.y - seat.y * f.x,
            );
        }
        (residual, Stand { pose: *pose, bolts })
    }

    /// Equilibrium under a load, from a stand whose slip and set are kept; none where there is none.
    fn balanced(&self, from: &Stand, load: &Vector6<f64>, scale: f64) -> Option<Stand> {
        let scale = scale.max(1.0);
        let mut pose = from.pose;
        let (mut residual, mut stand) = self.moved(from, &pose, load);
        for _ in 0..40 {
            if residual.norm() <= BALANCE * scale {
                return Some(stand);
            }
            let mut tangent = Matrix6::zeros();
            for c in 0..6 {
                let h = if c < 3 { 1e-9 } else { 1e-9 / self.radius };
                let mut d = Vector6::zeros();
                d[c] = h;
                let (plus, _) = self.moved(from, &(pose + d), load);
                tangent.set_column(c, &((plus - residual) / h));
            }
            let step = tangent.lu().solve(&residual)?;
            // Shortened until the balance gets better.
            let found = (0..12).find_map(|halvings| {
                let part = 1.0 / f64::from(1 << halvings);
                let next = pose - step * part;
                let (r, s) = self.moved(from, &next, load);
                (r.norm() < (1.0 - 1e-3 * part) * residual.norm()).then_some((next, r, s))
            });
            let (next, r, s) = found?;
            let moved = next.fixed_rows::<3>(0).norm();
            if moved.is_nan() || moved >= FAR_M {
                return None;
            }
            (pose, residual, stand) = (next, r, s);
        }
        (residual.norm() <= 1e-4 * scale).then_some(stand)
    }

    fn load(&self, wind: &WindAction, multiple: f64) -> Vector6<f64> {
        let w = Vector6::new(
            wind.shear_n[0],
            wind.shear_n[1],
            0.0,
            wind.moment_nm[0],
            wind.moment_nm[1],
            wind.torsion_nm,
        );
        self.dead + w * multiple
    }

    /// Notes what has happened on the way from one stand to the next.
    fn note(&self, push: &mut Push, rest: &Stand, here: &Stand, at: f64) {
        let (slid, bolt) = {
            let slid: Vec<f64> = here
                .bolts
                .iter()
                .zip(rest.bolts.iter().zip(self.laws))
                .map(|(b, (r, law))| (b.slid(law) - r.slid(law)).abs())
                .collect();
            slid.iter()
                .enumerate()
                .fold((0.0, 0), |a, (i, s)| if *s > a.0 { (*s, i + 1) } else { a })
        };
        if slid > SLIDES_M {
            push.note(Event::Slides, at, Some(bolt));
        }
        if slid > SMALL_TRAVEL_M {
            push.note(Event::Travels, at, Some(bolt));
        }
        let (gap, bolt) = here.largest(|b| -b.washer);
        if gap >= 0.0 {
            push.note(Event::Gaps, at, Some(bolt));
        }
        let (kept, bolt) = here.largest(|b| b.kept()[0].max(b.kept()[1].abs()));
        if kept > 0.0 {
            let stretched = here.bolts[bolt - 1].kept()[0] >= kept;
            let event = if stretched && self.laws[bolt - 1].strips {
                Event::Strips
            } else {
                Event::Yields
            };
            push.note(event, at, Some(bolt));
        }
        if let Some(i) = here.bolts.iter().position(
            |b| matches!(b.departure, Some(d) if d != Departure::Stripped || b.washer <= 0.0),
        ) {
            push.note(Event::ComesApart, at, Some(i + 1));
        }
    }

    /// Pushes with the wind in rising multiples up to `most`.
    pub fn push(&self, wind: &WindAction, most: f64) -> Push {
        let mut push = Push {
            first: [None; EVENTS],
            washers: Vec::new(),
        };
        let Some(rest) = &self.rest else {
            for event in [
                Event::Gaps,
                Event::Slides,
                Event::Travels,
                Event::Yields,
                Event::Strips,
                Event::ComesApart,
            ] {
                push.note(event, 0.0, None);
            }
            return push;
        };
        self.note(&mut push, rest, rest, 0.0);
        let scale = self.load(wind, 1.0).norm();
        let (mut here, mut at, mut step) = (rest.clone(), 0.0, STEP);
        while at < most {
            // The design wind itself is one of the steps.
            let reaches = at < 1.0 && at + step >= 1.0 - 1e-12;
            let next = if reaches { 1.0 } else { at + step };
            let Some(stand) = self.balanced(&here, &self.load(wind, next), scale) else {
                step *= 0.5;
                if step < LEAST_STEP {
                    // It slides away on its last step: by how much the friction is beyond does not matter.
                    for event in [Event::Slides, Event::Travels, Event::ComesApart] {
                        push.note(event, next, None);
                    }
                    break;
                }
                continue;
            };
            let before = push.clone();
            let last = self.events(&mut push, rest, &here, &stand, wind, [at, next], scale);
            (here, at) = (stand, next);
            if at == 1.0 {
                push.washers = here.bolts.iter().map(|b| b.washer).collect();
            }
            if last || push.first(Event::ComesApart).is_some() {
                break;
            }
            if before.first.iter().flatten().count() == push.first.iter().flatten().count() {
                step = (2.0 * step).min(STEP);
            }
        }
        push
    }

    /// Notes the events of a step, each where it comes first, by halving. True once the base has come apart.
    #[allow(clippy::too_many_arguments)]
    fn events(
        &self,
        push: &mut Push,
        rest: &Stand,
        from: &Stand,
        to: &Stand,
        wind: &WindAction,
        [low, high]: [f64; 2],
        scale: f64,
    ) -> bool {
        let mut whole = push.clone();
        self.note(&mut whole, rest, to, high);
        for k in 0..EVENTS {
            let (None, Some((_, bolt))) = (push.first[k], whole.first[k]) else {
                continue;
            };
            let (mut without, mut with) = (low, (high, bolt));
            for _ in 0..8 {
                let middle = 0.5 * (without + with.0);
                let mut trial = push.clone();
                match self.balanced(from, &self.load(wind, middle), scale) {
                    Some(stand) => self.note(&mut trial, rest, &stand, middle),
                    None => trial.first[k] = Some((middle, with.1)),
                }
                match trial.first[k] {
                    Some((_, bolt)) => with = (middle, bolt),
                    None => without = middle,
                }
            }
            whole.first[k] = Some(with);
        }
        *push = whole;
        push.first(Event::ComesApart).is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::{AxialLaw, Friction, FrictionLaw};

    const F: f64 = 40e3;
    const R: f64 = 0.19;

    /// A clean bolt without keeper: F_p 40 kN, static friction 0.20 and 0.15, walls 0.15, notches of 90 degrees.
    fn law() -> JointLaw {
        let mu = |at_rest: f64| Friction {
            at_rest,
            sliding: 0.5 * at_rest,
        };
        JointLaw {
            axial: AxialLaw::new(0.7e9, 4.2e9, 0.5, 1.0 / 8e7, F, 300e3, [200e3, 4e-3]),
            damping_time: 1e-4,
            tensile_load: 380e3,
            rupture_stretch: 0.01,
            friction: FrictionLaw {
                outer: mu(0.20),
                inner: mu(0.15),
                wall: mu(0.15),
                transition: 0.1,
            },
            sin_beta: std::f64::consts::FRAC_1_SQRT_2,
            cos_beta: std::f64::consts::FRAC_1_SQRT_2,
            travel_lower: 0.03,
            travel_upper: 0.03,
            room: 0.0,
            diameter: 0.027,
            keeper_tear: 0.0,
            keeper_way: 0.027,
            shear_load: 230e3,
            bearing_load: 700e3,
            stick_stiffness: 8e7,
            strips: false,
            faults: None,
        }
    }

    /// Three bolts, the first along y, without weight, under a load with the multiple 1.
    fn pushed(shear_n: [f64; 2], moment_nm: [f64; 2], torsion_nm: f64) -> Push {
        let laws = vec![law(); 3];
        let axes = [90.0_f64, 210.0, 330.0]
            .map(|a| [libm::cos(a.to_radians()), libm::sin(a.to_radians())]);
        let dead = DeadLoad {
            weight_n: 0.0,
            moment_nm: [0.0; 2],
        };
        let plate = Plate::new(&laws, &axes, R, &dead);
        let wind = WindAction {
            azimuth_rad: 0.0,
            shear_n,
            moment_nm,
            torsion_nm,
        };
        plate.push(&wind, 8.0)
    }

    #[test]
    fn washers_gap_where_statics_say() {
        // X_1 = 2 M/(3 R); the washer gaps at X = F/(1 - n Phi), Phi = 0.7/4.9: M = 1.5 X R alone, 3 X R as a pair.
        let x = F / (1.0 - 0.5 * 0.7 / 4.9);
        for (sign, hand) in [(1.0, 1.5 * x * R), (-1.0, 3.0 * x * R)] {
            let push = pushed([0.0; 2], [sign * 5e3, 0.0], 0.0);
            let (at, _) = push.first(Event::Gaps).expect("it gaps");
            assert!((at * 5e3 / hand - 1.0).abs() < 2e-3, "{} {hand}", at * 5e3);
        }
        // Half of the single bolt's gapping load leaves it half of its clamp.
        let push = pushed([0.0; 2], [0.75 * x * R, 0.0], 0.0);
        assert!((push.washer_in_design_wind(0) / (0.5 * F) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn torsion_and_shear_slide_where_the_notches_say() {
        // Turning: every bolt is squeezed at 90 degrees, S = f/(sin b - mu_w cos b) each.
        let f = 0.35 * F;
        let s = f / (std::f64::consts::FRAC_1_SQRT_2 * 0.85);
        let push = pushed([0.0; 2], [0.0; 2], 5e3);
        let (at, _) = push.first(Event::ComesApart).expect("it turns");
        assert!(
            (at * 5e3 / (3.0 * s * R) - 1.0).abs() < 2e-3,
            "{}",
            at * 5e3
        );
        // Pushed along y: one bolt leaves the lower notch at f, two are squeezed at 120 degrees: S sin(60) each.
        let push = pushed([0.0, 20e3], [0.0; 2], 0.0);
        let (at, _) = push.first(Event::ComesApart).expect("it slides");
        let hand = f + 2.0 * s * libm::sin(60f64.to_radians());
        assert!(
            (at * 20e3 / hand - 1.0).abs() < 2e-3,
            "{} {hand}",
            at * 20e3
        );
        // Pushed along -y: the first bolt is left behind at f, two are squeezed at 60 degrees.
        let push = pushed([0.0, -20e3], [0.0; 2], 0.0);
        let (at, _) = push.first(Event::ComesApart).expect("it slides");
        assert!(
            (at * 20e3 / hand - 1.0).abs() < 2e-3,
            "{} {hand}",
            at * 20e3
        );
    }

    #[test]
    fn a_plate_without_load_stays() {
        let push = pushed([0.0; 2], [0.0; 2], 0.0);
        for event in [Event::Gaps, Event::Slides, Event::Yields, Event::ComesApart] {
            assert_eq!(push.first(event), None);
        }
        assert!((push.washer_in_design_wind(2) / F - 1.0).abs() < 1e-12);
    }
}
