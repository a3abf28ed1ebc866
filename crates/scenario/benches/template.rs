//! Cost of a scenario: read whole, and from a template with three numbers changed.
//!
//! `cargo bench -p giveway-scenario`; what came out on which machine stands in `docs/performance.md`.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use giveway_scenario::{Template, read};

const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn scenarios(c: &mut Criterion) {
    let torques: Vec<String> = (0..100).map(|i| format!("{} N.m", 100 + i)).collect();
    let template = Template::new(FIRST, "first.toml").expect("a sound file");
    let mut i = 0;
    let mut next = move || {
        i = (i + 1) % 100;
        i
    };
    c.bench_function("read with three changes", |b| {
        b.iter(|| {
            let changes = [
                ("slip_base.clamp.torque", torques[next()].as_str()),
                ("vehicle.mass", "1000 kg"),
                ("impact.speed", "50 km/h"),
            ]
            .map(|(p, v)| (p.to_owned(), v.to_owned()));
            read(black_box(FIRST), "first.toml", &changes).expect("a scenario")
        })
    });
    for (name, path, value) in [
        ("template, torque", "slip_base.clamp.torque", "100 N.m"),
        ("template, torque and mass", "vehicle.mass", "1000 kg"),
    ] {
        c.bench_function(name, |b| {
            b.iter(|| {
                let changes = [
                    ("slip_base.clamp.torque", torques[next()].as_str()),
                    (path, value),
                ];
                template.with(black_box(&changes)).expect("a scenario")
            })
        });
    }
    c.bench_function("template, torque, mass and speed", |b| {
        b.iter(|| {
            let changes = [
                ("slip_base.clamp.torque", torques[next()].as_str()),
                ("vehicle.mass", "1000 kg"),
                ("impact.speed", "50 km/h"),
            ];
            template.with(black_box(&changes)).expect("a scenario")
        })
    });
}

criterion_group!(benches, scenarios);
criterion_main!(benches);
