//! Distributions against mpmath and NumPy.

use giveway_sampling::{Distribution, Levels, SamplingError};

use crate::{Differences, LawRow, references};

fn made(row: &LawRow) -> Distribution {
    let n = &row.numbers;
    let law = match row.kind.as_str() {
        "uniform" => Distribution::uniform(n[0], n[1]),
        "normal" => Distribution::normal(n[0], n[1]),
        "lognormal" => Distribution::lognormal(n[0], n[1]),
        "lognormal_from_mean" => Distribution::lognormal_from_mean(n[0], n[1]),
        "triangular" => Distribution::triangular(n[0], n[1], n[2]),
        other => panic!("no distribution {other}"),
    }
    .expect("valid numbers");
    match row.cut {
        None => law,
        Some([low, high]) => law
            .between(
                low.unwrap_or(f64::NEG_INFINITY),
                high.unwrap_or(f64::INFINITY),
            )
            .expect("a valid cut"),
    }
}

/// 17 distributions at 24 probabilities from 1e-12 to 1 - 1e-9, by mpmath with 40 digits (SciPy agrees to its own accuracy,
/// see `tests/referee/test_sampling.py`). All to 1e-12; a probability is allowed two last digits of its argument or the mean
/// besides, which near a cut are worth more.
#[test]
fn quantiles_probabilities_and_moments_are_exact() {
    let mut differences = Differences::default();
    for row in &references().distributions {
        assert!(row.probabilities.len() >= 20);
        let law = made(row);
        let name = |what: &str, at: f64| {
            format!("{} {:?} {:?} {what} {at:e}", row.kind, row.numbers, row.cut)
        };
        let worth = row.cdf.iter().zip(&row.rounded);
        for ((&u, &x), (&p, &digit)) in row.probabilities.iter().zip(&row.quantiles).zip(worth) {
            let ours = law.quantile(u).expect("a value");
            differences.compare(|| name("quantile", u), ours, x, 1e-12);
            differences.compare(|| name("cdf", x), law.cdf(x), p, 1e-12 + 2.0 * digit / p);
        }
        differences.compare(|| name("mean", 0.0), law.mean(), row.mean, 1e-12);
        let sd = law.standard_deviation();
        differences.compare(|| name("sd", 0.0), sd, row.standard_deviation, 1e-12);
    }
    differences.none();
}

#[test]
fn listed_values_are_those_of_numpy() {
    let row = references().discrete;
    let law = Distribution::discrete(&row.weighted).expect("a list");
    for (&u, &x) in row.probabilities.iter().zip(&row.quantiles) {
        assert_eq!(law.quantile(u), Ok(x), "at {u}");
    }
    let mut differences = Differences::default();
    differences.compare(|| "mean".to_owned(), law.mean(), row.mean, 1e-14);
    let sd = law.standard_deviation();
    differences.compare(|| "sd".to_owned(), sd, row.standard_deviation, 1e-14);
    differences.none();
}

#[test]
fn words_come_in_their_order_and_share() {
    let levels = Levels::new(&[("dry", 1.0), ("never", 0.0), ("greased", 3.0), ("nor", 0.0)])
        .expect("a list of words");
    assert_eq!(levels.shares(), [0.25, 0.0, 0.75, 0.0]);
    let picked = [0.0, 0.1, 0.25, 0.2500001, 0.9, 1.0].map(|u| levels.pick(u).expect("a word"));
    assert_eq!(
        picked,
        ["dry", "dry", "dry", "greased", "greased", "greased"]
    );
    let first_never = Levels::new(&[("never", 0.0), ("always", 2.0)]).expect("a list of words");
    assert_eq!(first_never.pick(0.0), Ok("always"));
    assert!(levels.pick(1.5).is_err());
    assert!(Levels::new(&[("twice", 1.0), ("twice", 1.0)]).is_err());
    assert!(Levels::new(&[("less", -1.0)]).is_err());
    assert!(Levels::new(&[("none", 0.0)]).is_err());
    assert!(Levels::new::<&str>(&[]).is_err());
}

#[test]
fn wrong_numbers_are_refused_with_what_is_allowed() {
    let nan = f64::NAN;
    let told = |result: Result<Distribution, SamplingError>| match result {
        Err(error) => error.to_string(),
        Ok(law) => panic!("{law:?} was not refused"),
    };
    let rows = [
        (
            told(Distribution::uniform(2.0, 1.0)),
            "the lower bound 2 is not below the upper bound 1",
        ),
        (told(Distribution::uniform(1.0, 1.0)), "not below"),
        (
            told(Distribution::uniform(nan, 1.0)),
            "the lower bound is NaN",
        ),
        (told(Distribution::uniform(-1e308, 1.7e308)), "the width"),
        (told(Distribution::normal(0.0, 0.0)), "above zero"),
        (
            told(Distribution::normal(f64::INFINITY, 1.0)),
            "the mean is inf",
        ),
        (
            told(Distribution::truncated_normal(0.0, 1.0, 1.0, nan)),
            "not below",
        ),
        (
            told(Distribution::truncated_normal(0.0, 1.0, 3.0, -3.0)),
            "not below",
        ),
        (
            told(Distribution::truncated_normal(1500.0, 200.0, 900e3, 2300e3)),
            "look for a wrong unit",
        ),
        (told(Distribution::lognormal(-1.0, 0.2)), "the median is -1"),
        (told(Distribution::lognormal(1.0, nan)), "finite"),
        (
            told(Distribution::lognormal_from_mean(0.0, 0.2)),
            "the mean is 0",
        ),
        (
            told(Distribution::triangular(0.0, 2.0, 1.0)),
            "the mode 2 is outside",
        ),
        (
            told(Distribution::triangular(0.0, nan, 1.0)),
            "the mode is NaN",
        ),
        (told(Distribution::triangular(1.0, 1.0, 1.0)), "not below"),
        (
            told(Distribution::discrete(&[])),
            "none has a weight above zero",
        ),
        (
            told(Distribution::discrete(&[(1.0, -0.5), (2.0, 1.0)])),
            "the weight -0.5 of 1",
        ),
        (
            told(Distribution::discrete(&[(1.0, 0.5), (1.0, 1.0)])),
            "1 stands twice",
        ),
        (
            told(Distribution::discrete(&[(1.0, nan)])),
            "the weight NaN of 1",
        ),
        (
            told(Distribution::discrete(&[(nan, 1.0)])),
            "a value is NaN",
        ),
        (
            told(Distribution::uniform(0.0, 1.0).and_then(|law| law.between(0.2, 0.4))),
            "a uniform distribution has bounds already",
        ),
    ];
    for (text, part) in &rows {
        assert!(text.contains(part), "`{text}` does not say `{part}`");
    }
    let normal = Distribution::normal(0.0, 1.0).expect("a distribution");
    assert_eq!(
        normal.quantile(0.0),
        Err(SamplingError::Infinite { value: 0.0 })
    );
    assert_eq!(
        normal.quantile(1.5),
        Err(SamplingError::Probability { value: 1.5 })
    );
    assert!(normal.quantile(nan).is_err());
    let cut = normal.between(-2.0, 3.0).expect("a cut");
    assert_eq!((cut.quantile(0.0), cut.quantile(1.0)), (Ok(-2.0), Ok(3.0)));
}
