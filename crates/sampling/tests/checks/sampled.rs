//! What the crate itself draws and estimates, stored for two ends: a change of any digit is seen here, and
//! `tests/referee/test_sampling.py` gives the same numbers to SciPy and SALib.
//!
//! `GIVEWAY_SAMPLED=file cargo test -p giveway-sampling stored` writes the file anew; old studies then no longer have the
//! same points.

use giveway_sampling::{
    Crossed, Design, LatinHypercube, MonteCarlo, Placement, Resampling, Scrambling, Sobol,
    Trajectories,
};
use serde_json::{Value, json};

use crate::indices::ishigami;

fn points(design: &impl Design) -> Vec<Vec<f64>> {
    (0..design.size())
        .map(|index| design.point(index).expect("a point"))
        .collect()
}

/// Bends, pairs and an idle factor.
fn uneven(u: &[f64]) -> f64 {
    4.0 * u[0] - 3.0 * u[1] * u[2] + (u[3] - 0.4) * (u[3] - 0.4)
}

fn sampled() -> Value {
    let base = Sobol::new(6, 64, Scrambling::Plain).expect("a base");
    let crossed = Crossed::new(base, 64).expect("a design");
    let runs = points(&crossed);
    let results: Vec<Option<f64>> = runs.iter().map(|u| Some(ishigami(u))).collect();
    let resampling = Resampling::usual(9);
    let indices = crossed.indices(&results, &resampling).expect("indices");

    let screening = Trajectories::new(5, 12, 4, 6).expect("a design");
    let walks = points(&screening);
    let ends: Vec<Option<f64>> = walks.iter().map(|u| Some(uneven(u))).collect();
    let effects = screening.effects(&ends, &resampling).expect("effects");

    let latin = LatinHypercube::new(4, 64, Placement::Random, 11).expect("a design");
    let owen = Sobol::new(4, 64, Scrambling::Owen(11)).expect("a design");
    let independent = MonteCarlo::new(2, 400, 11).expect("a design");
    json!({
        "crossed": {
            "factors": 3,
            "points": runs,
            "results": results,
            "first": indices.factors.iter().map(|f| f.first).collect::<Vec<_>>(),
            "total": indices.factors.iter().map(|f| f.total).collect::<Vec<_>>(),
            "first_interval": indices.factors.iter()
                .map(|f| [f.first_interval.low, f.first_interval.high]).collect::<Vec<_>>(),
        },
        "screening": {
            "factors": 5,
            "levels": 4,
            "points": walks,
            "results": ends,
            "mean": effects.factors.iter().map(|f| f.mean).collect::<Vec<_>>(),
            "mean_absolute": effects.factors.iter().map(|f| f.mean_absolute).collect::<Vec<_>>(),
            "standard_deviation": effects.factors.iter()
                .map(|f| f.standard_deviation).collect::<Vec<_>>(),
        },
        "latin": points(&latin),
        "owen": points(&owen),
        "independent": points(&independent),
    })
}

#[test]
fn points_and_estimates_are_the_stored_ones() {
    let now = sampled();
    if let Some(path) = std::env::var_os("GIVEWAY_SAMPLED") {
        let Value::Object(blocks) = &now else {
            panic!("an object");
        };
        let lines: Vec<String> = blocks
            .iter()
            .map(|(key, value)| format!(" {key:?}: {value}"))
            .collect();
        std::fs::write(path, format!("{{\n{}\n}}\n", lines.join(",\n"))).expect("a file");
        return;
    }
    let stored: Value =
        serde_json::from_str(include_str!("../data/sampled.json")).expect("readable numbers");
    for key in ["latin", "owen", "independent", "screening", "crossed"] {
        assert_eq!(stored[key], now[key], "{key}");
    }
}
