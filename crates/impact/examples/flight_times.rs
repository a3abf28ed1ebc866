//! Time of the flight of every shipped scenario, and the median: `cargo run --release -p giveway-impact --example
//! flight_times [REPEATS] [key=value ...]`.
//!
//! A flight's time is that of the whole event with its record less that of the engagement alone, each the least of
//! REPEATS (40). On a busy machine ask for more of them.
#![allow(clippy::print_stdout, clippy::expect_used)]
use giveway_impact::{Prepared, RecordRequest};

fn least(repeats: usize, mut run: impl FnMut()) -> f64 {
    (0..repeats)
        .map(|_| {
            let start = std::time::Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

fn main() {
    let (mut repeats, mut set) = (40, Vec::new());
    for a in std::env::args().skip(1) {
        match a.split_once('=') {
            Some((k, v)) => set.push((k.to_owned(), v.to_owned())),
            None => repeats = a.parse().expect("a number of repeats"),
        }
    }
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of scenarios")
        .map(|f| f.expect("a file").path())
        .filter(|f| f.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    println!("| scenario | steps | with contact | near the face | flight, ms | engagement, ms |");
    println!("|---|---|---|---|---|---|");
    let mut all = Vec::new();
    for file in files {
        let name = file
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let text = std::fs::read_to_string(&file).expect("a scenario");
        let loaded = giveway_scenario::read(&text, &name, &set).expect("a sound scenario");
        let p = Prepared::new(&loaded.scenario).expect("a sound support");
        let request = RecordRequest {
            trace: false,
            rollout: true,
        };
        let Some(flight) = p.engage(request).expect("a run").flight else {
            continue;
        };
        let whole = least(repeats, || drop(p.engage(request)));
        let alone = least(repeats, || drop(p.engage(RecordRequest::NUMBERS)));
        let (w, ms) = (flight.work, 1e3 * (whole - alone));
        println!(
            "| `{name}` | {} | {} | {} | {ms:.1} | {:.1} |",
            w.steps,
            w.contact_steps,
            w.face_steps,
            1e3 * alone
        );
        all.push(ms);
    }
    all.sort_by(f64::total_cmp);
    let (n, half) = (all.len(), all.len() / 2);
    let median = if n % 2 == 1 {
        all[half]
    } else {
        0.5 * (all[half - 1] + all[half])
    };
    println!(
        "\nmedian of {n}: {median:.1} ms, largest {:.1} ms",
        all[n - 1]
    );
}
