//! Prints a flight in short: `flight_probe FILE [key=value ...]`.
#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    clippy::unwrap_used,
    missing_docs
)]
use giveway_impact::{Prepared, RecordRequest};

fn main() {
    let mut a = std::env::args().skip(1);
    let path = a.next().expect("file");
    let set: Vec<(String, String)> = a
        .filter_map(|s| s.split_once('=').map(|(k, v)| (k.to_owned(), v.to_owned())))
        .chain([("flight.follow_pole".to_owned(), "true".to_owned())])
        .collect();
    let text = std::fs::read_to_string(&path).expect("read");
    let loaded = giveway_scenario::read(&text, &path, &set).expect("scenario");
    let p = Prepared::new(&loaded.scenario).expect("prepared");
    let t0 = std::time::Instant::now();
    let e = p
        .engage(RecordRequest {
            trace: std::env::var("FRAMES").is_ok(),
            rollout: true,
        })
        .expect("run");
    println!(
        "{:?} end {:.4} s, {:.1} ms; dv {:.3}",
        e.ending,
        e.end_time_s,
        1e3 * t0.elapsed().as_secs_f64(),
        e.velocity_change_at_end_mps
    );
    if std::env::var("REPEAT").is_ok() {
        for (name, request) in [
            ("engagement", RecordRequest::NUMBERS),
            (
                "whole",
                RecordRequest {
                    trace: false,
                    rollout: true,
                },
            ),
        ] {
            let least = (0..40)
                .map(|_| {
                    let t = std::time::Instant::now();
                    let _ = p.engage(request);
                    t.elapsed().as_secs_f64()
                })
                .fold(f64::INFINITY, f64::min);
            println!("{name}: {:.2} ms", 1e3 * least);
        }
    }
    let Some(f) = e.flight else { return };
    println!("{:?} {:.3} s  work {:?}", f.ending, f.end_time_s, f.work);
    println!("hand-over {:?}", f.hand_over);
    for c in &f.contacts {
        println!(
            "  {:.4} s {:?} on {:?} at {:.2?} veh {:.2?} closing {:.2} blow {:.0} N.s {:.0} J, all {:.0} N.s {:.0} J",
            c.time_s,
            c.part,
            c.zone,
            c.place_m,
            c.on_vehicle_m,
            c.closing_mps,
            c.blow_ns,
            c.blow_j,
            c.impulse_ns,
            c.energy_j
        );
    }
    println!("roof {:?}", f.roof);
    println!("windscreen {:?}", f.windscreen);
    println!(
        "foot {:.2?} tip {:.2?} lum {:.2?} over roof {:?} driven {} clear {}",
        f.foot_m, f.tip_m, f.luminaires_m, f.least_over_roof_m, f.driven_over, f.clears_vehicle
    );
    println!(
        "dv end {:.3} stub {:?} energy {:?}",
        f.velocity_change_at_end_mps, f.stub_clearance_m, f.energy
    );
    let mut due = 0.0;
    for fr in &f.frames {
        if fr.time_s >= due {
            due += 0.05;
            let q = fr.pieces[0].rotation;
            let (w, x, y, z) = (q[0], q[1], q[2], q[3]);
            let l = loaded.scenario.support.pole_length_m;
            let a = [
                2.0 * (x * z + w * y) * l,
                2.0 * (y * z - w * x) * l,
                (1.0 - 2.0 * (x * x + y * y)) * l,
            ];
            let p0 = fr.pieces[0].position_m;
            println!(
                "t {:.3} car {:.2?} front {:.2} foot {:.2?} tip {:.2?} force {:.0?}",
                fr.time_s,
                fr.vehicle.position_m,
                fr.vehicle.position_m[0] + loaded.scenario.vehicle.cg_to_front_m,
                p0,
                [p0[0] + a[0], p0[1] + a[1], p0[2] + a[2]],
                fr.force_n
            );
        }
    }
    println!("sweep {:?}", f.sweep);
    for g in &e.flags {
        println!("{}: {}", g.word, g.sentence);
    }
}
