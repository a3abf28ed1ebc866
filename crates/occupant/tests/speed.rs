//! Informal timing: `cargo test -p giveway-occupant --test speed -- --ignored --nocapture`.

mod pulses;

use std::time::Instant;

use giveway_occupant::assess;
use pulses::{Record, half_sine};

/// Median of 200 assessments of 20 000 samples, with and without contact of the occupant.
#[test]
#[ignore = "a timing, not a check"]
fn twenty_thousand_samples() {
    let contact = half_sine(20.0, 0.1, 1e-4, 20_000);
    let mut quiet = Record::of(20_000, |k| [if k < 500 { -2.0 } else { 0.0 }, 0.1, 0.2]);
    quiet.yaw_rate_radps.fill(0.05);
    for v in quiet.acceleration_mps2.iter_mut().skip(500) {
        v[1] = 0.0;
    }
    for (name, record) in [("contact", contact), ("no contact", quiet)] {
        let mut times: Vec<_> = (0..200)
            .map(|_| {
                let start = Instant::now();
                std::hint::black_box(
                    assess(&std::hint::black_box(record.motion()), [0.0; 2]).unwrap(),
                );
                start.elapsed()
            })
            .collect();
        times.sort();
        println!("{name}: median {:?}, fastest {:?}", times[100], times[0]);
    }
}
