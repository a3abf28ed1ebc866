//! How well a row is explained, and what is predicted of it.

use giveway_sampling::{normal_cdf, normal_density, normal_quantile, quantile_between};
use giveway_study::shared::Acts;

use super::PARTS;
use super::evidence::{Evidence, Parameter, Row, Says};
use super::response::Response;

/// Bases of one kind: standard normal pairs for friction and clamp.
pub struct Bases(Vec<[f64; 2]>);

impl Bases {
    /// Ten points of a lattice in one quadrant, mirrored to all four: mean 0, deviation 1 and no correlation, exactly.
    pub fn new() -> Self {
        const COUNT: usize = 10;
        let place = |i: usize, pace: f64| {
            let part = ((i as f64 + 0.5) * pace) % 1.0;
            normal_quantile(0.5 + 0.5 * part)
        };
        // The second pace is the golden section of the unit interval.
        let [first, second] = [1.0 / COUNT as f64, 0.618_033_988_749_894_9].map(|pace| {
            let raw: Vec<f64> = (0..COUNT).map(|i| place(i, pace)).collect();
            let square: f64 = raw.iter().map(|x| x * x).sum();
            let scale = (COUNT as f64 / square).sqrt();
            raw.into_iter().map(|x| scale * x).collect::<Vec<f64>>()
        });
        let quadrants = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]];
        let all = first.iter().zip(&second);
        Self(
            all.flat_map(|(a, b)| quadrants.map(|[s, t]| [s * a, t * b]))
                .collect(),
        )
    }
}

/// The shared numbers as they act.
pub struct Shared {
    friction: f64,
    static_ratio: f64,
    friction_spread: f64,
    lever: f64,
    nut_spread: f64,
    fronts: Vec<(String, f64)>,
    errors: Vec<(String, f64)>,
}

impl Shared {
    /// From values in the order of the parameters.
    pub fn of(evidence: &Evidence, values: &[f64]) -> Self {
        let all = || evidence.parameter.iter().zip(values);
        let one = |acts: Acts| all().find(|(p, _)| p.acts == acts);
        // Runs have the default already.
        let factor = |(p, v): (&Parameter, &f64)| libm::log(v / p.acts.default());
        let named = |acts: Acts| all().filter(move |(p, _)| p.acts == acts);
        Self {
            friction: one(Acts::Friction).map_or(0.0, factor),
            static_ratio: one(Acts::StaticRatio).map_or(0.0, factor),
            friction_spread: one(Acts::FrictionSpread).map_or(0.0, |(_, v)| *v),
            lever: one(Acts::PlateLever).map_or(0.0, factor),
            nut_spread: evidence.nut_factor.spread,
            fronts: named(Acts::Front)
                .map(|(p, v)| (p.name.clone(), factor((p, v))))
                .collect(),
            errors: named(Acts::ModelError)
                .map(|(p, v)| (p.name.clone(), *v))
                .collect(),
        }
    }

    /// The model error of a row's kind of quantity.
    fn error(&self, row: &Row) -> f64 {
        let own = self.errors.iter().find(|e| e.0 == row.error);
        own.map_or(0.0, |e| e.1)
    }

    fn front(&self, row: &Row) -> f64 {
        let own = |name: &String| self.fronts.iter().find(|f| f.0 == *name).map(|f| f.1);
        row.front.as_ref().and_then(own).unwrap_or(0.0)
    }

    fn point(&self, row: &Row, base: &[f64; 2]) -> [f64; 5] {
        [
            self.friction + self.static_ratio + self.friction_spread * base[0],
            self.nut_spread * base[1],
            self.lever,
            self.front(row),
            -self.static_ratio,
        ]
    }
}

/// Standard deviation of the logarithm of what is in print about what the grid gives.
fn spread(row: &Row, of: &Response, shared: &Shared) -> f64 {
    let reading = row.says.reading();
    let error = shared.error(row);
    (error * error + reading * reading + of.error * of.error).sqrt()
}

/// ln of the computed number (of the ratio, for a pair), and the part held.
fn computed(row: &Row, of: &Response, shared: &Shared, base: &[f64; 2]) -> (f64, f64) {
    let x = shared.point(row, base);
    let (value, held) = of.run.at(x);
    let other = of.against.as_ref().map_or(0.0, |a| a.at(x).0);
    (value - other, held)
}

/// Probability of what is in print, of each base: a density for a number.
fn chance(row: &Row, of: &Response, shared: &Shared, bases: &Bases) -> f64 {
    let s = spread(row, of, shared);
    let mean = |f: &dyn Fn(f64, f64) -> f64| {
        let sum: f64 = bases
            .0
            .iter()
            .map(|b| {
                let (y, held) = computed(row, of, shared, b);
                f(y, held)
            })
            .sum();
        sum / bases.0.len() as f64
    };
    match row.says {
        Says::Value { value: x, .. } | Says::Ratio { ratio: x, .. } => {
            let x = libm::log(x);
            mean(&|y, _| normal_density((x - y) / s) / s)
        }
        Says::Most { most: x, .. } => {
            let x = libm::log(x);
            mean(&|y, _| normal_cdf((x - y) / s))
        }
        Says::Above { above: x, .. } => {
            let x = libm::log(x);
            mean(&|y, _| normal_cdf((y - x) / s))
        }
        Says::Outcomes { outcomes: x, .. } => {
            let x = libm::log(x);
            let passed = mean(&|y, held| (1.0 - held) * normal_cdf((x - y) / s));
            let over = mean(&|y, held| (1.0 - held) * normal_cdf((y - x) / s));
            let stopped = mean(&|_, held| held);
            // Three tests in any order.
            6.0 * passed * over * stopped
        }
    }
}

/// ln of the likelihood of a row.
pub fn log_likelihood(row: &Row, of: &Response, shared: &Shared, bases: &Bases) -> f64 {
    libm::log(chance(row, of, shared, bases).max(1e-300))
}

/// What is predicted of a row.
pub struct Prediction {
    /// Quantiles of what would be measured.
    pub quantiles: [f64; 5],
    /// Probability of less than what was measured; of what is in print, where that is no number.
    pub probability: f64,
}

/// The prediction of these draws.
pub fn prediction(row: &Row, of: &Response, draws: &[Shared], bases: &Bases) -> Prediction {
    let mut parts: Vec<(f64, f64)> = Vec::new();
    for shared in draws {
        let s = spread(row, of, shared);
        parts.extend(bases.0.iter().map(|b| (computed(row, of, shared, b).0, s)));
    }
    let below = |x: f64| {
        let sum: f64 = parts.iter().map(|(y, s)| normal_cdf((x - y) / s)).sum();
        sum / parts.len() as f64
    };
    let probability = match row.says.number() {
        Some(x) => below(libm::log(x)),
        None => {
            let sum: f64 = draws.iter().map(|d| chance(row, of, d, bases)).sum();
            sum / draws.len() as f64
        }
    };
    let ends = |more: f64| {
        let all = parts.iter().map(|(y, s)| y + more * s);
        all.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], x| {
            [l.min(x), h.max(x)]
        })
    };
    let range = [ends(-5.0)[0], ends(5.0)[1]];
    let quantiles = PARTS.map(|part| libm::exp(quantile_between(range, part, below)));
    Prediction {
        quantiles,
        probability,
    }
}

/// What a run gives with what runs have at present.
pub fn present(row: &Row, of: &Response, evidence: &Evidence) -> f64 {
    let values: Vec<f64> = evidence.parameter.iter().map(|p| p.present).collect();
    let shared = Shared::of(evidence, &values);
    libm::exp(computed(row, of, &shared, &[0.0, 0.0]).0)
}
