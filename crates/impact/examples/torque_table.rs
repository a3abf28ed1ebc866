//! Velocity change against tightening torque: `cargo run --release -p giveway-impact --example torque_table [FILE ...] [-- KEY=VALUE ...]`.
//!
//! One line a torque for each scenario: velocity change at the last contact of the engagement, slip onset and last release, the largest
//! rise of a bolt's tension, and how the engagement ended.

use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::read;

const TORQUES_NM: [f64; 9] = [20.0, 50.0, 100.0, 150.0, 180.0, 216.0, 270.0, 330.0, 400.0];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (settings, files): (Vec<_>, Vec<_>) = arguments.iter().partition(|a| a.contains('='));
    let settings: Vec<(String, String)> = settings
        .iter()
        .filter_map(|s| s.split_once('='))
        .map(|(k, v)| (k.to_owned(), v.to_owned()))
        .collect();
    for file in files {
        println!("{file}");
        let text = std::fs::read_to_string(file).expect("a scenario file");
        let single = settings.iter().any(|(k, _)| k == "one");
        let torques: &[f64] = if single { &[f64::NAN] } else { &TORQUES_NM };
        for &torque in torques {
            let mut changes: Vec<(String, String)> = settings
                .iter()
                .filter(|(k, _)| k != "one")
                .cloned()
                .collect();
            if !single {
                changes.push(("slip_base.clamp.torque".into(), format!("{torque} N.m")));
            }
            let loaded = match read(&text, file, &changes) {
                Ok(loaded) => loaded,
                Err(e) => {
                    println!("{e:?}");
                    break;
                }
            };
            let ready = Prepared::new(&loaded.scenario).expect("a sound scenario");
            let start = std::time::Instant::now();
            match ready.engage(RecordRequest::NUMBERS) {
                Ok(e) => {
                    let ms = start.elapsed().as_secs_f64() * 1e3;
                    let change = e
                        .velocity_change_at_contact_end_mps
                        .unwrap_or(e.velocity_change_at_end_mps);
                    println!(
                        "{torque:5.0} N.m  dv {change:6.3} m/s  impulse {:6.0} N.s  peak {:5.1} kN  release {:>6.1} ms  rise {:5.1} % (bolt {})  crush {:5.0} mm  {:?}  resid {:+.4} %  {} steps of {:.0} us, {ms:.2} ms  foot {:.2} kink {:.2}",
                        e.contact_impulse_ns,
                        e.peak_force_n / 1e3,
                        e.release_time_s.map_or(f64::NAN, |t| t * 1e3),
                        e.tension_rise * 100.0,
                        e.tension_rise_bolt,
                        e.peak_crush_m * 1e3,
                        e.ending,
                        100.0 * e.energy.residual_j / e.energy.initial_kinetic_j,
                        e.work.steps,
                        e.work.clamped_step_s * 1e6,
                        e.foot_moment_ratio,
                        e.contact_moment_ratio,
                    );
                }
                Err(e) => println!("{torque:5.0} N.m  {e}"),
            }
        }
    }
}
