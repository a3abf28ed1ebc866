//! Time of the whole event against that of the engagement: `cargo bench -p giveway-impact --bench flight`.

use criterion::{Criterion, criterion_group, criterion_main};
use giveway_impact::flight::fly;
use giveway_impact::{Prepared, RecordRequest};

fn flights(c: &mut Criterion) {
    for name in ["first", "class_speed_70", "light_9m_aluminium"] {
        let path = format!("../../scenarios/{name}.toml");
        let text = std::fs::read_to_string(&path).expect("scenario file");
        let loaded = giveway_scenario::read(&text, &path, &[]).expect("a sound scenario");
        let p = Prepared::new(&loaded.scenario).expect("a sound support");
        c.bench_function(&format!("{name}: engagement"), |b| {
            b.iter(|| p.engage(RecordRequest::NUMBERS));
        });
        let end = p.end_state().expect("an impact");
        let flight = fly(&p, &end, false).expect("a flight");
        let w = &flight.work;
        let label = format!(
            "{name}: flight, {} steps, {} in contact",
            w.steps, w.contact_steps
        );
        c.bench_function(&label, |b| b.iter(|| fly(&p, &end, false)));
    }
}

criterion_group!(benches, flights);
criterion_main!(benches);
