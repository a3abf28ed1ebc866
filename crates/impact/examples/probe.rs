//! Prints the numbers of one resolved scenario (JSON) and the time it takes.
//! `cargo run --release -p giveway-impact --example probe -- case.json [field=value ...]`
use giveway_impact::{Prepared, RecordRequest};

fn main() {
    let mut args = std::env::args().skip(1);
    let path = args.next().expect("path of a resolved scenario");
    let text = std::fs::read_to_string(path).expect("readable");
    let mut value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    if let Some(o) = value.as_object_mut() {
        o.remove("joint");
        o.remove("case");
    }
    for a in args {
        let (k, v) = a.split_once('=').expect("field=value");
        let slot = value
            .pointer_mut(&format!("/{}", k.replace('.', "/")))
            .expect("field");
        *slot = serde_json::from_str(v).expect("value");
    }
    let s = serde_json::from_value(value).expect("scenario");
    let t = std::time::Instant::now();
    let p = Prepared::new(&s).expect("prepared");
    println!("prepared in {:?}", t.elapsed());
    let e = p.engage(RecordRequest::NUMBERS).expect("run");
    println!("{:?} {:?}", p.properties(), p.clamp());
    println!(
        "{:?} end {:.5} release {:?} contact end {:?}\n dv release {:?} contact {:?} end {:.6}\n peak {:.1} at {:.5} crush {:.5} dent {:.6} moments {:.3} {:.3} rise {:.4} bolt {} at {:.5}\n{:?}\n{:?}\n{:?}",
        e.ending,
        e.end_time_s,
        e.release_time_s,
        e.contact_end_time_s,
        e.velocity_change_at_release_mps,
        e.velocity_change_at_contact_end_mps,
        e.velocity_change_at_end_mps,
        e.peak_force_n,
        e.peak_force_time_s,
        e.peak_crush_m,
        e.dent_m,
        e.foot_moment_ratio,
        e.contact_moment_ratio,
        e.tension_rise,
        e.tension_rise_bolt,
        e.tension_rise_time_s,
        e.energy,
        e.momentum,
        e.work
    );
    for b in &e.bolts {
        println!("{b:?}");
    }
    for f in &e.flags {
        println!("{f:?}");
    }
    let mut times: Vec<f64> = (0..101)
        .map(|_| {
            let t = std::time::Instant::now();
            let e = p.engage(RecordRequest::NUMBERS).expect("run");
            std::hint::black_box(&e);
            t.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "least {:.3} ms, median {:.3} ms, {:.0} ns a step",
        times[0] * 1e3,
        times[50] * 1e3,
        times[50] * 1e9 / e.work.steps as f64
    );
}
