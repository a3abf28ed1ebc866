//! Cost of an engagement, of the support's solution and of making a scenario ready.
//!
//! `cargo bench -p giveway-impact`; what came out on which machine stands in `docs/performance.md`.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use giveway_impact::{Prepared, RecordRequest, SupportSolution};
use giveway_scenario::model::Scenario;

const SCENARIOS: [&str; 5] = [
    "first",
    "class_speed_70",
    "four_bolt_square",
    "heavy_15m_long_arm",
    "side_impact",
];

fn scenario(stem: &str) -> Scenario {
    let path = format!("{}/../../scenarios/{stem}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("scenario file");
    giveway_scenario::read(&text, &path, &[])
        .unwrap_or_else(|e| panic!("{path}: {e:?}"))
        .scenario
}

/// One engagement on a support that is solved already.
fn engagement(c: &mut Criterion) {
    for (name, request) in [
        ("engagement, numbers", RecordRequest::NUMBERS),
        ("engagement, full record", RecordRequest::FULL),
    ] {
        let mut group = c.benchmark_group(name);
        for stem in SCENARIOS {
            let prepared = Prepared::new(&scenario(stem)).expect("a sound scenario");
            let work = prepared.engage(request).expect("a run").work;
            println!(
                "{name}, {stem}: {} steps, {} of roll-out, {} elastic coordinates",
                work.steps, work.rollout_steps, work.elastic_coordinates
            );
            group.bench_with_input(BenchmarkId::from_parameter(stem), &prepared, |b, p| {
                b.iter(|| black_box(p.engage(black_box(request))));
            });
        }
        group.finish();
    }
}

/// The support's eigenproblem with its shape tables.
fn support(c: &mut Criterion) {
    let mut group = c.benchmark_group("support solution");
    group.sample_size(20);
    for stem in SCENARIOS {
        let scenario = scenario(stem);
        group.bench_with_input(BenchmarkId::from_parameter(stem), &scenario, |b, s| {
            b.iter(|| black_box(SupportSolution::solve(black_box(s))));
        });
    }
    group.finish();
}

/// A scenario made ready on a support that is solved already: what a sweep pays for each point besides the engagement.
fn ready(c: &mut Criterion) {
    let mut group = c.benchmark_group("made ready on a solved support");
    for stem in SCENARIOS {
        let scenario = scenario(stem);
        let solution = SupportSolution::solve(&scenario).expect("a sound support");
        group.bench_with_input(BenchmarkId::from_parameter(stem), &scenario, |b, s| {
            b.iter(|| black_box(Prepared::with_support(black_box(s), solution.clone())));
        });
    }
    group.finish();
}

criterion_group!(benches, engagement, support, ready);
criterion_main!(benches);
