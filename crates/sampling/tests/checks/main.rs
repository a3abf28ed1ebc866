//! Distributions, designs, indices and estimates against references that are not ours: values of mpmath, SciPy and NumPy
//! (`tests/data/references.json`, written by `tests/referee/sampling_checks.py`), closed forms, and exact coverage.

mod designs;
mod distributions;
mod estimates;
mod indices;
mod laws;
mod posterior;
mod sampled;

use serde::Deserialize;

/// The stored references.
#[derive(Deserialize)]
struct References {
    distributions: Vec<LawRow>,
    discrete: DiscreteRow,
    sobol: Vec<SobolRow>,
    grid: GridRow,
    discrepancy: DiscrepancyRow,
    proportions: Vec<ProportionRow>,
    quantiles: Vec<QuantileRow>,
    means: Vec<MeanRow>,
    isotonic: IsotonicRow,
}

#[derive(Deserialize)]
struct LawRow {
    kind: String,
    numbers: Vec<f64>,
    cut: Option<[Option<f64>; 2]>,
    probabilities: Vec<f64>,
    quantiles: Vec<f64>,
    cdf: Vec<f64>,
    /// What the last digit of each quantile, or of the mean, is worth in probability.
    rounded: Vec<f64>,
    mean: f64,
    standard_deviation: f64,
}

#[derive(Deserialize)]
struct DiscreteRow {
    weighted: Vec<(f64, f64)>,
    probabilities: Vec<f64>,
    quantiles: Vec<f64>,
    mean: f64,
    standard_deviation: f64,
}

#[derive(Deserialize)]
struct SobolRow {
    dimensions: usize,
    index: u64,
    point: Vec<f64>,
}

#[derive(Deserialize)]
struct GridRow {
    counts: Vec<u64>,
    levels: Vec<Vec<u64>>,
}

#[derive(Deserialize)]
struct DiscrepancyRow {
    points: u64,
    dimensions: usize,
    latin_range: [f64; 2],
    latin_mean: f64,
    independent_mean: f64,
    some_points: Vec<Vec<f64>>,
    some_value: f64,
}

#[derive(Deserialize)]
struct ProportionRow {
    successes: u64,
    trials: u64,
    level: f64,
    exact: [f64; 2],
    wilson: [f64; 2],
    upper: f64,
}

#[derive(Deserialize)]
struct QuantileRow {
    data: Vec<f64>,
    p: f64,
    level: f64,
    value: f64,
    bounds: [Option<f64>; 2],
}

#[derive(Deserialize)]
struct MeanRow {
    data: Vec<f64>,
    level: f64,
    mean: f64,
    standard_deviation: f64,
    bounds: [f64; 2],
}

#[derive(Deserialize)]
struct IsotonicRow {
    values: Vec<f64>,
    weights: Vec<f64>,
    rising: Vec<f64>,
    falling: Vec<f64>,
}

fn references() -> References {
    let text = include_str!("../data/references.json");
    serde_json::from_str(text).expect("the stored references are readable")
}

/// Collects what differs by more than a relative tolerance.
#[derive(Default)]
struct Differences {
    compared: usize,
    largest: f64,
    told: Vec<String>,
}

impl Differences {
    fn compare(&mut self, what: impl Fn() -> String, ours: f64, theirs: f64, tolerance: f64) {
        self.compared += 1;
        let difference = if ours == theirs {
            0.0
        } else {
            (ours - theirs).abs() / theirs.abs()
        };
        self.largest = self.largest.max(difference);
        if difference.is_nan() || difference > tolerance {
            let what = what();
            self.told.push(format!(
                "{what}: {ours:e}, reference {theirs:e}, off by {difference:.1e}"
            ));
        }
    }

    fn none(&self) {
        println!("{} compared, largest {:.1e}", self.compared, self.largest);
        assert!(self.compared > 0);
        assert!(self.told.is_empty(), "{}", self.told.join("\n"));
    }
}
