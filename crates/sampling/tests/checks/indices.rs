//! Sensitivity against closed forms.

use std::f64::consts::PI;

use giveway_sampling::{
    Complete, Crossed, Design, Interval, Resampling, SamplingError, Scrambling, Sobol, Trajectories,
};

fn run(design: &impl Design, model: impl Fn(&[f64]) -> f64) -> Vec<Option<f64>> {
    (0..design.size())
        .map(|index| Some(model(&design.point(index).expect("a point"))))
        .collect()
}

fn crossed(factors: usize, rows: u64, root: u64) -> Crossed<Sobol> {
    let base = Sobol::new(2 * factors, rows, Scrambling::Owen(root)).expect("a base");
    Crossed::new(base, rows).expect("a design")
}

/// f = sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1 on -pi to pi.
pub(crate) fn ishigami(u: &[f64]) -> f64 {
    let [a, b, c] = [0, 1, 2].map(|i| PI * (2.0 * u[i] - 1.0));
    let s = libm::sin(b);
    libm::sin(a) * (1.0 + 0.1 * c * c * c * c) + 7.0 * s * s
}

/// Checks indices against exact ones: within 0.02, and within their interval.
fn compare(factors: usize, model: impl Fn(&[f64]) -> f64, exact: &[(f64, f64)]) {
    let design = crossed(factors, 4096, 17);
    let results = run(&design, model);
    let found = design
        .indices(&results, &Resampling::usual(5))
        .expect("indices");
    assert_eq!(found.complete.to_string(), "all 4096 rows");
    let inside = |interval: Interval, x: f64| interval.contains(x);
    for (factor, &(first, total)) in found.factors.iter().zip(exact) {
        assert!((factor.first - first).abs() < 0.02, "{factor:?} {first}");
        assert!((factor.total - total).abs() < 0.02, "{factor:?} {total}");
        assert!(inside(factor.first_interval, first), "{factor:?} {first}");
        assert!(inside(factor.total_interval, total), "{factor:?} {total}");
    }
}

/// T. Ishigami, T. Homma, An importance quantification technique in uncertainty analysis for computer models, ISUMA (1990);
/// the indices 0.3139, 0.4424, 0 and 0.5576, 0.4424, 0.2437 as A. Saltelli et al., Global Sensitivity Analysis, The Primer
/// (2008), give them (recalled); here from the closed form of the variances.
#[test]
fn ishigami_indices_are_the_published_ones() {
    let (a, b) = (7.0, 0.1);
    let pi4 = PI * PI * PI * PI;
    // V1 = (1 + b pi^4/5)^2 / 2,  V2 = a^2/8,  V13 = b^2 pi^8 (1/18 - 1/50)
    let root = 1.0 + b * pi4 / 5.0;
    let (v1, v2) = (0.5 * root * root, a * a / 8.0);
    let v13 = b * b * pi4 * pi4 * (1.0 / 18.0 - 1.0 / 50.0);
    let v = v1 + v2 + v13;
    let exact = [(v1 / v, (v1 + v13) / v), (v2 / v, v2 / v), (0.0, v13 / v)];
    let published = [(0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437)];
    for (exact, published) in exact.iter().zip(published) {
        assert!((exact.0 - published.0).abs() < 5.1e-5 && (exact.1 - published.1).abs() < 5.1e-5);
    }
    compare(3, ishigami, &exact);
}

/// A. Saltelli, I. M. Sobol', About the use of rank transformation in sensitivity analysis of model output, Reliability
/// Engineering and System Safety 50 (1995): g-function with a = 0, 1, 4.5, 9, 99, 99, 99, 99; first-order indices
/// 0.716, 0.179, 0.0237, 0.0072, 0.0001 (recalled), here from the closed form.
#[test]
fn g_function_indices_are_the_published_ones() {
    let a = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0];
    // V_i = 1 / (3 (1 + a_i)^2),  V = prod(1 + V_i) - 1,  T_i = V_i prod(1 + V_j; j other than i) / V
    let parts = a.map(|a| 1.0 / (3.0 * (1.0 + a) * (1.0 + a)));
    let all: f64 = parts.iter().map(|v| 1.0 + v).product();
    let exact = parts.map(|v| (v / (all - 1.0), v * all / (1.0 + v) / (all - 1.0)));
    for (exact, published) in exact.iter().zip([0.716, 0.179, 0.0237, 0.0072, 0.0001]) {
        assert!((exact.0 - published).abs() < 6e-4);
    }
    let model = |u: &[f64]| {
        (u.iter().zip(a))
            .map(|(u, a)| ((4.0 * u - 2.0).abs() + a) / (1.0 + a))
            .product()
    };
    compare(8, model, &exact);
}

/// Mean 0.5 and variance 1/12 of one uniform factor, of a model that adds a large constant.
#[test]
fn mean_and_variance_stand_beside_the_indices() {
    let design = crossed(2, 2048, 3);
    let results = run(&design, |u| 1e6 + u[0]);
    let found = design
        .indices(&results, &Resampling::usual(1))
        .expect("indices");
    assert!((found.mean - 1e6 - 0.5).abs() < 1e-3);
    assert!((found.variance - 1.0 / 12.0).abs() < 1e-3);
    assert!((found.factors[0].first - 1.0).abs() < 0.01);
    assert!(found.factors[1].total.abs() < 1e-12);
}

#[test]
fn rows_without_a_result_are_told() {
    let design = crossed(3, 256, 3);
    let mut results = run(&design, ishigami);
    let whole = design
        .indices(&results, &Resampling::usual(1))
        .expect("indices");
    // Two runs of row 2 and one of row 9; a row has five runs.
    (results[10], results[13], results[45]) = (None, None, None);
    let found = design
        .indices(&results, &Resampling::usual(1))
        .expect("indices");
    assert_eq!(
        found.complete,
        Complete {
            what: "rows",
            used: 254,
            left_out: 2,
            missing_runs: 3
        }
    );
    assert_eq!(
        found.complete.to_string(),
        "254 of 256 rows; 2 left out, since 3 runs have no result"
    );
    assert_ne!(found.factors, whole.factors);
    // The same as a study of the other rows alone.
    let rest: Vec<_> = (0..256 * 5)
        .filter(|run| ![2, 9].contains(&(run / 5)))
        .map(|run| results[run])
        .collect();
    let alone = crossed(3, 254, 3)
        .indices(&rest, &Resampling::usual(1))
        .expect("indices");
    assert_eq!(found.factors, alone.factors);

    results[45] = Some(f64::NAN);
    let error = design.indices(&results, &Resampling::usual(1));
    assert!(matches!(
        error,
        Err(SamplingError::Result { index: 45, .. })
    ));
}

#[test]
fn studies_that_say_nothing_are_refused() {
    let design = crossed(2, 16, 3);
    let usual = Resampling::usual(1);
    let constant = vec![Some(4.0); 64];
    assert_eq!(
        design.indices(&constant, &usual),
        Err(SamplingError::Constant)
    );
    assert!(matches!(
        design.indices(&constant[1..], &usual),
        Err(SamplingError::Results {
            given: 63,
            runs: 64
        })
    ));
    assert!(matches!(
        design.indices(&[None; 64], &usual),
        Err(SamplingError::TooFew { given: 0, .. })
    ));
    let none = Resampling { times: 0, ..usual };
    assert!(design.indices(&constant, &none).is_err());
    let sure = Resampling {
        confidence: 1.0,
        ..usual
    };
    assert!(design.indices(&constant, &sure).is_err());
    let odd = Sobol::new(3, 16, Scrambling::Plain).expect("a base");
    assert_eq!(
        Crossed::new(odd, 16).err(),
        Some(SamplingError::OddBase { dimensions: 3 })
    );
    let short = Sobol::new(4, 16, Scrambling::Plain).expect("a base");
    assert!(Crossed::new(short, 17).is_err());

    let screening = Trajectories::new(2, 1, 4, 1).expect("a design");
    let effects = screening.effects(&[Some(1.0), Some(2.0), Some(3.0)], &usual);
    assert!(matches!(
        effects,
        Err(SamplingError::TooFew {
            given: 1,
            least: 2,
            ..
        })
    ));
    assert!(Trajectories::new(2, 10, 5, 1).is_err());
    assert!(
        Trajectories::new(2, 10, 4, 1)
            .expect("a design")
            .with_edge(0.5)
            .is_err()
    );
}

/// y = 2 u1 - 3 u2 + 0 u3 + (u4 - 1/2)^2 on four levels, where each effect of the last is +1/3 or -1/3: every step goes
/// from 0 to 2/3 or from 1/3 to 1, or back, and ((1/6)^2 - (1/2)^2) / (2/3) = -1/3.
#[test]
fn effects_of_a_linear_and_a_bent_factor_are_exact() {
    let design = Trajectories::new(4, 40, 4, 12).expect("a design");
    let bend = |u: f64| (u - 0.5) * (u - 0.5);
    let results = run(&design, |u| 2.0 * u[0] - 3.0 * u[1] + bend(u[3]));
    let found = design
        .effects(&results, &Resampling::usual(1))
        .expect("effects");
    let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
    let [rising, falling, idle, bent] = found.factors[..] else {
        panic!("four factors");
    };
    assert!(near(rising.mean, 2.0) && near(rising.mean_absolute, 2.0));
    assert!(near(falling.mean, -3.0) && near(falling.mean_absolute, 3.0));
    assert!(near(rising.standard_deviation, 0.0) && near(falling.standard_deviation, 0.0));
    assert!(near(idle.mean_absolute, 0.0));
    assert!(near(bent.mean_absolute, 1.0 / 3.0));
    // Half the effects are +1/3, half -1/3: mean 0 with a standard error of 1/3 / sqrt 40.
    assert!(bent.mean.abs() < 4.0 / 3.0 / 40.0_f64.sqrt());
    // s^2 = n/(n - 1) (1/9 - m^2)
    let s = (40.0 / 39.0 * (1.0 / 9.0 - bent.mean * bent.mean)).sqrt();
    assert!(near(bent.standard_deviation, s));
    assert!(found.factors.iter().all(|f| f.used == 40));
    assert_eq!(found.complete.to_string(), "all 160 effects");
}

/// A step moves one factor by p/(2 (p - 1)), every factor once in a trajectory; and with an edge every level stays inside.
#[test]
fn trajectories_move_one_factor_at_a_time() {
    for (levels, edge) in [(4, 0.0), (6, 0.0), (8, 0.01)] {
        let design = Trajectories::new(5, 30, levels, 2)
            .and_then(|design| design.with_edge(edge))
            .expect("a design");
        let step = (1.0 - 2.0 * edge) * f64::from(levels) / (2.0 * f64::from(levels - 1));
        for trajectory in 0..30 {
            let walk: Vec<_> = (0..6)
                .map(|run| design.point(trajectory * 6 + run).expect("a point"))
                .collect();
            let mut moved = Vec::new();
            for pair in walk.windows(2) {
                for (factor, (before, after)) in pair[0].iter().zip(&pair[1]).enumerate() {
                    let by = (after - before).abs();
                    if by > 0.0 {
                        assert!((by - step).abs() < 1e-12);
                        moved.push(factor);
                    }
                }
            }
            moved.sort_unstable();
            assert_eq!(moved, [0, 1, 2, 3, 4]);
            let mut all = walk.iter().flatten();
            assert!(all.all(|u| (edge..=1.0 - edge).contains(u)));
        }
    }
}

#[test]
fn effects_without_a_result_are_told() {
    let design = Trajectories::new(3, 10, 4, 12).expect("a design");
    let mut results = run(&design, |u| u[0] + 2.0 * u[1] - u[2]);
    // A run in the middle of a trajectory belongs to two effects.
    results[5] = None;
    let found = design
        .effects(&results, &Resampling::usual(1))
        .expect("effects");
    assert_eq!(
        found.complete.to_string(),
        "28 of 30 effects; 2 left out, since 1 run has no result"
    );
    assert_eq!(found.factors.iter().map(|f| f.used).sum::<u64>(), 28);
}

/// The intervals of mu hold the exact mean as often as they say. y = u1 u2: the effect of factor 1 is the level of factor 2,
/// even over 0, 1/3, 2/3, 1 with the mean 1/2. 400 screenings of 60 trajectories; percentile intervals of 60 values are known
/// to cover a little less than their 95 %; sd of the count 4.4.
#[test]
fn bootstrap_intervals_cover_what_they_say() {
    let mut covered = 0;
    for root in 0..400 {
        let design = Trajectories::new(2, 60, 4, root).expect("a design");
        let results = run(&design, |u| u[0] * u[1]);
        let resampling = Resampling {
            times: 300,
            ..Resampling::usual(root)
        };
        let found = design.effects(&results, &resampling).expect("effects");
        covered += i32::from(found.factors[0].mean_interval.contains(0.5));
    }
    println!("{covered} of 400");
    assert!((364..=396).contains(&covered), "{covered} of 400");
}
