//! Intervals and curves against SciPy, and their coverage.

use giveway_sampling::{
    Crossing, Design, Distribution, LevelCount, MonteCarlo, ProbabilityCurve, Running,
    SamplingError, Trend, checkpoints, clopper_pearson, clopper_pearson_upper, isotonic,
    mean_trace, normal_cdf, proportion_trace, quantile, quantile_between, quantile_estimate,
    wilson,
};

use crate::{Differences, references};

/// To 1e-9: the log-gamma function of `statrs` leaves 9 digits with a million trials.
#[test]
fn intervals_of_proportions_are_those_of_scipy() {
    let mut differences = Differences::default();
    for row in &references().proportions {
        let (k, n, level) = (row.successes, row.trials, row.level);
        let name = |what: &str| format!("{k} of {n} at {level}, {what}");
        let exact = clopper_pearson(k, n, level).expect("an interval");
        let score = wilson(k, n, level).expect("an interval");
        let upper = clopper_pearson_upper(k, n, 0.95_f64.max(level)).expect("a bound");
        differences.compare(|| name("exact low"), exact.low, row.exact[0], 1e-9);
        differences.compare(|| name("exact high"), exact.high, row.exact[1], 1e-9);
        differences.compare(|| name("wilson low"), score.low, row.wilson[0], 1e-9);
        differences.compare(|| name("wilson high"), score.high, row.wilson[1], 1e-9);
        if level >= 0.95 {
            differences.compare(|| name("upper"), upper, row.upper, 1e-9);
        }
    }
    differences.none();
    assert!(clopper_pearson(3, 2, 0.95).is_err());
    assert!(clopper_pearson(0, 0, 0.95).is_err());
    assert!(wilson(1, 2, 1.0).is_err());
}

/// Exact coverage, by adding up the binomial probabilities (no random numbers): never below 95 % for the exact interval,
/// 93 to 97 % on average for Wilson's.
#[test]
fn intervals_of_proportions_cover_what_they_say() {
    for n in [10_u64, 40, 150] {
        let interval = |k| {
            (
                clopper_pearson(k, n, 0.95).expect("an interval"),
                wilson(k, n, 0.95).expect("an interval"),
            )
        };
        let intervals: Vec<_> = (0..=n).map(interval).collect();
        let (mut mean, steps) = (0.0, 999);
        for step in 1..=steps {
            let p = f64::from(step) / f64::from(steps + 1);
            // ln P(0) = n ln(1 - p),  P(k + 1) = P(k) (n - k)/(k + 1) p/(1 - p)
            let mut log_chance = n as f64 * libm::log1p(-p);
            let (mut exact, mut score) = (0.0, 0.0);
            for (k, (outer, inner)) in (0..).zip(&intervals) {
                let chance = libm::exp(log_chance);
                exact += if outer.contains(p) { chance } else { 0.0 };
                score += if inner.contains(p) { chance } else { 0.0 };
                log_chance += libm::log((n - k) as f64 / (k + 1) as f64 * p / (1.0 - p));
            }
            assert!(exact >= 0.95 - 1e-12, "{exact} for {p} of {n}");
            mean += score / f64::from(steps);
        }
        println!("Wilson with {n}: {mean:.4}");
        assert!((0.93..=0.97).contains(&mean), "{mean} with {n}");
    }
}

#[test]
fn quantiles_and_their_bounds_are_those_of_numpy_and_scipy() {
    let mut differences = Differences::default();
    for row in &references().quantiles {
        let found = quantile_estimate(&row.data, row.p, row.level).expect("an estimate");
        let name = || format!("{} of {}", row.p, row.data.len());
        differences.compare(name, found.value, row.value, 1e-13);
        assert_eq!(quantile(&row.data, row.p), Ok(found.value));
        assert_eq!([found.low, found.high], row.bounds, "{}", name());
    }
    differences.none();
    assert!(quantile(&[], 0.5).is_err());
    assert_eq!(
        quantile(&[2.0, 1.0], 0.5),
        Err(SamplingError::Order { index: 1 })
    );
    assert!(quantile(&[1.0, f64::NAN], 0.5).is_err());
}

#[test]
fn means_and_their_bounds_are_those_of_scipy() {
    let mut differences = Differences::default();
    for row in &references().means {
        let mut running = Running::new();
        for value in &row.data {
            running.push(*value);
        }
        let name = |what: &str| format!("{what} of {}", row.data.len());
        let sd = running.standard_deviation().expect("two values");
        let bounds = running.mean_interval(row.level).expect("an interval");
        differences.compare(
            || name("mean"),
            running.mean().expect("a value"),
            row.mean,
            1e-13,
        );
        differences.compare(|| name("sd"), sd, row.standard_deviation, 1e-13);
        differences.compare(|| name("low"), bounds.low, row.bounds[0], 1e-10);
        differences.compare(|| name("high"), bounds.high, row.bounds[1], 1e-10);
    }
    differences.none();
}

/// 4000 studies of 12 normal runs: 95 % with a standard error of 0.34 %.
#[test]
fn intervals_of_the_mean_cover_what_they_say() {
    let law = Distribution::normal(3.0, 2.0).expect("a distribution");
    let design = MonteCarlo::new(12, 4000, 77).expect("a design");
    let covered = (0..4000)
        .filter(|&study| {
            let mut running = Running::new();
            for u in design.point(study).expect("a point") {
                running.push(law.quantile(u).expect("a value"));
            }
            running
                .mean_interval(0.95)
                .expect("an interval")
                .contains(3.0)
        })
        .count();
    assert!((3745..=3855).contains(&covered), "{covered}");
}

#[test]
fn a_trace_settles_and_tells_what_is_missing() {
    assert_eq!(checkpoints(100), [16, 32, 64, 100]);
    assert_eq!(checkpoints(5), [5]);
    let design = MonteCarlo::new(1, 5000, 3).expect("a design");
    let values: Vec<Option<f64>> = (0..5000)
        .map(|i| Some(design.point(i).expect("a point")[0]).filter(|_| i % 10 != 7))
        .collect();
    let trace = mean_trace(&values, 0.95).expect("a trace");
    let last = trace.last().expect("a point");
    assert_eq!(
        last.complete.to_string(),
        "4500 of 5000 runs; 500 left out, since they have no result"
    );
    assert!(last.interval.contains(0.5));
    // Half width 1.96 sqrt(1/12) / sqrt n
    assert!(
        (last.interval.width() / (2.0 * 1.96 * (1.0 / 12.0 / 4500.0_f64).sqrt()) - 1.0).abs()
            < 0.03
    );
    assert!(trace.windows(2).all(|pair| pair[0].runs < pair[1].runs));
    let outcomes: Vec<Option<bool>> = values.iter().map(|v| v.map(|v| v < 0.2)).collect();
    let trace = proportion_trace(&outcomes, 0.95).expect("a trace");
    let last = trace.last().expect("a point");
    let hits = outcomes.iter().flatten().filter(|hit| **hit).count() as u64;
    assert_eq!(
        last.interval,
        clopper_pearson(hits, 4500, 0.95).expect("an interval")
    );
    assert!(last.interval.contains(0.2));
    assert!(mean_trace(&[], 0.95).is_err());
    assert!(proportion_trace(&[None; 20], 0.95).is_err());
}

#[test]
fn monotone_fits_are_those_of_scipy() {
    let row = references().isotonic;
    let mut differences = Differences::default();
    for (trend, theirs) in [(Trend::Rising, &row.rising), (Trend::Falling, &row.falling)] {
        let ours = isotonic(&row.values, &row.weights, trend).expect("a fit");
        for (ours, theirs) in ours.iter().zip(theirs) {
            differences.compare(|| format!("{trend:?}"), *ours, *theirs, 1e-12);
        }
    }
    differences.none();
}

fn level(at: f64, exceeded: u64, runs: u64) -> LevelCount {
    LevelCount { at, exceeded, runs }
}

#[test]
fn a_curve_of_probability_is_monotone_and_crosses_where_lines_say() {
    let levels = [
        level(10.0, 0, 100),
        level(20.0, 12, 100),
        level(30.0, 8, 100),
        level(40.0, 60, 100),
        level(50.0, 100, 100),
    ];
    let curve = ProbabilityCurve::new(&levels, Trend::Rising, 0.95).expect("a curve");
    let fitted: Vec<f64> = curve.points().iter().map(|p| p.fitted).collect();
    for (ours, exact) in fitted.iter().zip([0.0, 0.1, 0.1, 0.6, 1.0]) {
        assert!((ours - exact).abs() < 1e-15);
    }
    let crossing = |p| curve.crossing(p).expect("a probability");
    // 0.35 lies halfway from 0.1 at 30 to 0.6 at 40.
    assert!(matches!(crossing(0.35), Crossing::At(at) if (at - 35.0).abs() < 1e-12));
    assert_eq!(crossing(1.0), Crossing::Never);
    for pair in curve.points().windows(2) {
        assert!(pair[0].band.low <= pair[1].band.low && pair[0].band.high <= pair[1].band.high);
    }
    for point in curve.points() {
        let LevelCount { exceeded, runs, .. } = point.level;
        assert_eq!(
            point.pointwise,
            clopper_pearson(exceeded, runs, 0.95).expect("an interval")
        );
    }
    // Upper bounds, one-sided 95 %: 1 - 0.05^(1/100) = 0.0295 for none of 100; about 0.187 for 12 of 100.
    assert_eq!(curve.last_within(0.05, 0.95), Ok(Some(10.0)));
    assert_eq!(curve.last_within(0.02, 0.95), Ok(None));
    assert_eq!(curve.last_within(0.19, 0.95), Ok(Some(30.0)));

    let mirrored: Vec<LevelCount> = (levels.iter().rev())
        .map(|l| level(-l.at, l.exceeded, l.runs))
        .collect();
    let falling = ProbabilityCurve::new(&mirrored, Trend::Falling, 0.95).expect("a curve");
    assert!(matches!(falling.crossing(0.35), Ok(Crossing::At(at)) if (at + 35.0).abs() < 1e-12));
    assert_eq!(falling.last_within(0.05, 0.95), Ok(Some(-10.0)));

    let high = ProbabilityCurve::new(&levels[3..], Trend::Rising, 0.95).expect("a curve");
    assert_eq!(high.crossing(0.5), Ok(Crossing::BeforeFirst));
    let wrong = |levels: &[LevelCount]| ProbabilityCurve::new(levels, Trend::Rising, 0.95).is_err();
    assert!(wrong(&[]));
    assert!(wrong(&[level(1.0, 0, 0)]));
    assert!(wrong(&[level(1.0, 3, 2)]));
    assert!(wrong(&[level(2.0, 0, 5), level(1.0, 0, 5)]));
    assert!(wrong(&[level(f64::NAN, 0, 5)]));
}

/// A curve that really rises: the band holds all true probabilities at once in at least 95 % of 1000 studies, also where the
/// same random numbers are used at every level.
#[test]
fn the_band_of_a_curve_covers_all_points_at_once() {
    let truth = [0.02, 0.1, 0.3, 0.7, 0.95];
    let design = MonteCarlo::new(80, 1000, 31).expect("a design");
    let covered = (0..1000)
        .filter(|&study| {
            let draws = design.point(study).expect("a point");
            let levels: Vec<LevelCount> = (truth.iter().zip(1..))
                .map(|(p, at)| {
                    let exceeded = draws.iter().filter(|u| *u < p).count() as u64;
                    level(f64::from(at), exceeded, 80)
                })
                .collect();
            let curve = ProbabilityCurve::new(&levels, Trend::Rising, 0.95).expect("a curve");
            (curve.points().iter().zip(truth)).all(|(point, p)| point.band.contains(p))
        })
        .count();
    println!("{covered} of 1000");
    assert!(covered >= 950, "{covered} of 1000");
}

/// A smooth distribution to the last halving, and a step at its place.
#[test]
fn a_quantile_between_two_ends() {
    let q = quantile_between([-9.0, 9.0], 0.95, normal_cdf);
    assert!((q - 1.644_853_626_951_472_7).abs() < 1e-12, "{q}");
    let step = |x: f64| f64::from(u8::from(x >= 2.0));
    let q = quantile_between([0.0, 5.0], 0.5, step);
    assert!((q - 2.0).abs() < 1e-14, "{q}");
    // Never below the part asked for: the upper end.
    assert!((quantile_between([0.0, 5.0], 0.5, |_| 0.0) - 5.0).abs() < 1e-14);
}
