//! Cost of a light run and of a comparison of conditions, on a support that is solved already.
//!
//! `cargo bench -p giveway-study`; what came out on which machine stands in `docs/performance.md`.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use giveway_impact::RecordRequest;
use giveway_scenario::model::Scenario;
use giveway_study::{Supports, compare_conditions, numbers};

/// Findings on site, as sections of a scenario file.
const FOUND: &str = "[as_found]\nrust = \"light\"\nkeeper = \"missing\"\n";

fn scenario(found: &str) -> Scenario {
    let path = format!("{}/../../scenarios/first.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("scenario file");
    giveway_scenario::read(&format!("{text}\n{found}"), &path, &[])
        .unwrap_or_else(|e| panic!("{path}: {e:?}"))
        .scenario
}

/// One light run and its parts.
fn light(c: &mut Criterion) {
    let s = scenario("");
    let supports = Supports::new();
    let prepared = supports.prepare(&s).expect("a sound scenario");
    c.bench_function("made ready on a kept support", |b| {
        b.iter(|| supports.prepare(black_box(&s)).expect("a sound scenario"))
    });
    c.bench_function("engagement and roll-out", |b| {
        let request = RecordRequest {
            trace: false,
            rollout: true,
        };
        b.iter(|| black_box(&prepared).engage(request).expect("a run"))
    });
    c.bench_function("light run", |b| {
        b.iter(|| numbers(black_box(&prepared)).expect("a run"))
    });
}

/// Four runs: as found, put right, and each of two conditions alone.
fn comparison(c: &mut Criterion) {
    let s = scenario(FOUND);
    let supports = Supports::new();
    assert_eq!(compare_conditions(&s, &supports).runs, 4);
    c.bench_function("two conditions compared", |b| {
        b.iter(|| compare_conditions(black_box(&s), &supports))
    });
}

criterion_group! {
    name = many_runs;
    config = Criterion::default().sample_size(50);
    targets = light, comparison
}
criterion_main!(many_runs);
