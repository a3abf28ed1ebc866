//! The predictive ranges of a run: what the tests in print leave open, by a few engagement runs at draws of their posterior.
//!
//! ```text
//! y_k = max(|y| + |q_k| - |q_0|, 0) exp(s_k z),   z standard normal, k = 1 ... 32
//! ```
//!
//! Where the base holds at a draw, the vehicle is stopped whatever the model error: its velocity change has none there, and its
//! impact velocities that of tests against what does not give.
//!
//! With y the run's number, q_0 that of the engagement alone with its vehicle rolling on, q_k the same at draw k (friction of a base
//! of its own, clamp at its torque, plates, front) and s_k the model error of that draw for the kind of number. The range is nine of ten of the mixture, and
//! holds y. Differences and not ratios: a number near zero stays near zero.

use giveway_impact::{ImpactError, Prepared};
use giveway_occupant::MotionRanges;
use giveway_sampling::{normal_cdf, normal_quantile, quantile_between};
use giveway_scenario::model::{Anchorage, Scenario, StruckFace};
use rayon::prelude::*;

use crate::brief::{BriefNumbers, BriefWorkspace, brief_numbers};
use crate::shared::{Acts, DEFAULT_FRICTION, Factors, SharedPosterior, stored};

/// Ends of nine of ten.
const ENDS: [f64; 2] = [0.05, 0.95];
/// Spread of a front that no test in print tells of: that of the standard distribution `front-stiffness`.
const UNKNOWN_FRONT: f64 = 0.2;

/// Numbers of a run, magnitudes: velocity change, impact velocity along and across, ridedown along and across.
pub(crate) type Motions = [Option<f64>; 5];

/// The ranges of these numbers; none where nothing can be said: no stored posterior, or the run without its flight fails.
pub(crate) fn motion_ranges(prepared: &Prepared, found: &Motions) -> Option<MotionRanges> {
    let posterior = stored()?;
    let mut scenario = prepared.scenario().clone();
    scenario.flight.pole = false;
    let run = |scenario: &Scenario| -> Option<(Motions, bool)> {
        let solution = prepared.solution();
        let other = match Prepared::with_support(scenario, solution) {
            Err(ImpactError::ForeignSupport) => Prepared::new(scenario),
            outcome => outcome,
        };
        let n = brief_numbers(&other.ok()?, &mut BriefWorkspace::default()).ok()?;
        Some((motions(&n), n.release_time_s.is_none()))
    };
    let (alone, _) = run(&scenario)?;
    let drawn: Vec<(Option<(Motions, bool)>, Errors)> = (0..posterior.draws.len())
        .into_par_iter()
        .map(|k| {
            let (factors, errors) = draw(posterior, &scenario, k);
            (run(&factors.applied(&scenario)), errors)
        })
        .collect();
    let range = |i: usize| {
        let (value, own) = (found[i]?, alone[i].unwrap_or(0.0));
        let parts: Vec<(f64, f64)> = drawn
            .iter()
            .filter_map(|(numbers, errors)| {
                let (numbers, held) = numbers.as_ref()?;
                let other = numbers[i].unwrap_or(own);
                let error = match (held, i) {
                    (true, 0) => 0.0,
                    (true, 1 | 2) => errors.stopped,
                    (false, 0..=2) => errors.released,
                    _ => errors.force,
                };
                Some(((value + other - own).max(0.0), error))
            })
            .collect();
        nine_of_ten(value, &parts)
    };
    Some(MotionRanges {
        velocity_change_mps: range(0),
        impact_velocity_mps: [range(1), range(2)],
        ridedown_g: [range(3), range(4)],
    })
}

fn motions(n: &BriefNumbers) -> Motions {
    let [along, across] = n.occupant_impact_velocity_mps;
    sizes([
        n.velocity_change_mps(),
        Some(along),
        Some(across),
        n.ridedown_g[0],
        n.ridedown_g[1],
    ])
}

/// Magnitudes of what is finite.
pub(crate) fn sizes(numbers: Motions) -> Motions {
    numbers.map(|x| x.filter(|x| x.is_finite()).map(f64::abs))
}

/// Model errors of a draw, one for each kind of number.
#[derive(Default)]
struct Errors {
    /// Velocities of a vehicle that its support lets go.
    released: f64,
    /// Impact velocities of one that is stopped.
    stopped: f64,
    /// Ridedown.
    force: f64,
}

/// Factors and model errors of draw `k`. Friction that is not the default is the base's own: only its spread counts.
fn draw(posterior: &SharedPosterior, scenario: &Scenario, k: usize) -> (Factors, Errors) {
    // Lattices over pairs of draws, which stand in the order of their spreads: standard normal numbers that belong to this base
    // and to this vehicle, in a pair of opposite sign, so that their middle is 0 also where they multiply a spread.
    let pair = (k / 2) as f64 + 0.5;
    let side = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
    let lattice = |pace: f64| side * normal_quantile((pair * pace) % 1.0);
    let (first, second, third) = (
        lattice(0.618_033_988_749_894_9),
        lattice(0.414_213_562_373_095_1),
        lattice(0.732_050_807_568_877_3),
    );
    let (mut friction, mut sliding) = (1.0, 1.0);
    let mut factors = Factors::NONE;
    let mut errors = Errors::default();
    let name = front_name(scenario);
    let base = &scenario.base;
    let usual = [base.friction_outer, base.friction_inner, base.friction_wall] == DEFAULT_FRICTION;
    let mut front = match name {
        Front::Rigid => 1.0,
        Front::Named(_) => libm::exp(UNKNOWN_FRONT * third),
    };
    for (p, value) in posterior.parameters.iter().zip(&posterior.draws[k]) {
        match p.acts {
            Acts::Friction if usual => friction *= value / p.acts.default(),
            Acts::StaticRatio if usual => {
                friction *= value / p.acts.default();
                sliding = p.acts.default() / value;
            }
            Acts::FrictionSpread => friction *= libm::exp(value * first),
            Acts::PlateLever => factors.lever = value / p.acts.default(),
            Acts::ModelError => match p.name.as_str() {
                "error-released" => errors.released = *value,
                "error-stopped" => errors.stopped = *value,
                "error-force" => errors.force = *value,
                _ => {}
            },
            Acts::Front if name == Front::Named(&p.name) => front = value / p.acts.default(),
            Acts::Friction | Acts::StaticRatio | Acts::Front => {}
        }
    }
    factors.front = front;
    if base.anchorage == Anchorage::Slip {
        factors.friction = friction;
        factors.sliding = sliding;
        if base.torque_nm.is_some() {
            factors.clamp = libm::exp(posterior.nut_spread * second);
        }
    }
    (factors, errors)
}

#[derive(PartialEq)]
enum Front<'a> {
    /// It does not give.
    Rigid,
    /// By its parameter, where a test in print tells of it.
    Named(&'a str),
}

fn front_name(scenario: &Scenario) -> Front<'static> {
    let class = scenario.vehicle.class.as_str();
    let front = scenario.impact.face == StruckFace::Front;
    Front::Named(match class {
        "pendulum-rigid" => return Front::Rigid,
        "pendulum-crushable" | "bogie" => "front-surrogate",
        _ if class.starts_with("small-car") && front => "front-small-car",
        _ if class.starts_with("small-car") => "side-small-car",
        _ if class.starts_with("pickup") && !front => "side-pickup",
        _ => "",
    })
}

/// Nine of ten of a mixture of log-normal parts (median, spread), widened to hold the value.
fn nine_of_ten(value: f64, parts: &[(f64, f64)]) -> Option<[f64; 2]> {
    let largest = parts
        .iter()
        .fold(0.0_f64, |m, p| m.max(p.0 * libm::exp(5.0 * p.1)));
    if parts.is_empty() || !largest.is_finite() {
        return None;
    }
    let below = |x: f64| {
        let part = |(y, s): &(f64, f64)| match (*y > 0.0, *s > 0.0) {
            (true, true) => normal_cdf(libm::log(x / y) / s),
            _ => f64::from(u8::from(*y <= x)),
        };
        parts.iter().map(part).sum::<f64>() / parts.len() as f64
    };
    let [low, high] = ENDS.map(|part| quantile_between([0.0, largest], part, below));
    Some([low.min(value), high.max(value)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nine_of_ten_of_parts() {
        let [low, high] = nine_of_ten(2.0, &[(2.0, 0.1), (2.0, 0.1)]).unwrap();
        let z = 1.644_853_626_951_472_7;
        assert!((low - 2.0 * libm::exp(-0.1 * z)).abs() < 1e-9, "{low}");
        assert!((high - 2.0 * libm::exp(0.1 * z)).abs() < 1e-9, "{high}");
        // Held in one of two, and the value outside of all parts.
        let [low, high] = nine_of_ten(0.5, &[(1.0, 0.01), (9.0, 0.01)]).unwrap();
        assert!(low == 0.5 && (high - 9.0).abs() < 0.2, "{low} {high}");
        assert_eq!(
            nine_of_ten(1.0, &[(1.0, 0.0), (3.0, 0.0)]).map(|r| r[0].round()),
            Some(1.0)
        );
        assert_eq!(nine_of_ten(0.0, &[(0.0, 0.2)]), Some([0.0, 0.0]));
        assert_eq!(nine_of_ten(1.0, &[]), None);
        assert_eq!(
            nine_of_ten(1.0, &[(f64::NAN, 0.1)]).map(|r| r[0]),
            Some(0.0)
        );
    }

    /// Friction that was measured is the base's own: what tests say of a typical base moves neither its middle nor static over
    /// sliding; only the spread between bases stays.
    #[test]
    fn given_friction_keeps_its_own_middle() {
        let posterior = crate::shared::stored().unwrap();
        let of = |friction: &str| {
            let first = include_str!("../../../scenarios/first.toml");
            let set = [("slip_base.friction.inner".to_owned(), friction.to_owned())];
            let scenario = giveway_scenario::read(first, "first.toml", &set)
                .unwrap()
                .scenario;
            let draws: Vec<Factors> = (0..posterior.draws.len())
                .map(|k| draw(posterior, &scenario, k).0)
                .collect();
            let ln = draws.iter().map(|f| libm::log(f.friction));
            let mean = ln.clone().sum::<f64>() / draws.len() as f64;
            let square = ln.map(|x| (x - mean) * (x - mean)).sum::<f64>() / draws.len() as f64;
            let turned = draws.iter().any(|f| f.sliding != 1.0);
            (mean, square.sqrt(), turned)
        };
        let (given, usual) = (of("0.1801"), of("0.18"));
        // A normal number times the drawn spread between bases, on a lattice.
        let place = |acts: Acts| {
            (posterior.parameters.iter())
                .position(|p| p.acts == acts)
                .unwrap()
        };
        let of_all = |f: &dyn Fn(&Vec<f64>) -> f64| {
            posterior.draws.iter().map(f).sum::<f64>() / posterior.draws.len() as f64
        };
        let spread = place(Acts::FrictionSpread);
        let expected = of_all(&|d| d[spread] * d[spread]).sqrt();
        // The two of a pair have spreads that hardly differ.
        assert!(given.0.abs() < 0.01 && !given.2, "{given:?}");
        assert!(
            (given.1 / expected - 1.0).abs() < 0.1,
            "{given:?} {expected}"
        );
        // The usual one has the middle of the tests.
        let shift = [Acts::Friction, Acts::StaticRatio]
            .map(|acts| of_all(&|d| libm::log(d[place(acts)] / acts.default())));
        let off = usual.0 - given.0 - shift[0] - shift[1];
        assert!(usual.2 && off.abs() < 1e-9, "{usual:?} {given:?} {shift:?}");
    }
}
