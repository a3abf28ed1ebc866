//! How scenarios stand in the wind, by grade: `cargo run --release -p giveway-impact --example stand FILE ... [KEY=VALUE ...]`.

use giveway_impact::Prepared;
use giveway_scenario::read;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (settings, files): (Vec<_>, Vec<_>) = arguments.iter().partition(|a| a.contains('='));
    let changes: Vec<(String, String)> = settings
        .iter()
        .filter_map(|s| s.split_once('='))
        .map(|(k, v)| (k.to_owned(), v.to_owned()))
        .collect();
    for file in files {
        let text = std::fs::read_to_string(file).expect("a scenario file");
        let loaded = read(&text, file, &changes).expect("a sound scenario");
        let start = std::time::Instant::now();
        match Prepared::new(&loaded.scenario).map(|p| (start.elapsed(), p.retention())) {
            Ok((prepared, Ok(Some(r)))) => {
                let ms = (start.elapsed() - prepared).as_secs_f64() * 1e3;
                println!(
                    "{file}: wind {:.0} N, {:.0} N.m, torsion {:.0} N.m, dead {:.0} N.m, {ms:.1} ms",
                    r.wind_shear_n, r.wind_moment_nm, r.torsion_nm, r.dead_moment_nm
                );
                for g in r.grades {
                    println!(
                        "  {:?} {:.1} m/s: {} margin {:?} by {:?} bolt {:?} wind towards {:.0} deg",
                        g.grade,
                        g.wind_mps,
                        if g.holds { "holds" } else { "FAILS" },
                        g.margin,
                        g.by,
                        g.bolt,
                        g.azimuth_rad.to_degrees()
                    );
                }
            }
            Ok((_, other)) => println!("{file}: {other:?}"),
            Err(e) => println!("{file}: {e}"),
        }
    }
}
