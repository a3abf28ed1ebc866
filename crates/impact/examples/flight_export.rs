//! The pole at its hand-over as rods, with mass and motion, and what the flight makes of it, as JSON for another
//! engine: `flight_export FILE [key=value ...]`. The vehicle is moved out of the way.
#![allow(clippy::print_stdout, clippy::expect_used)]

use giveway_impact::Prepared;
use giveway_impact::flight::outcome::Zone;
use giveway_impact::flight::{EndState, fly};
use serde_json::json;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let path = arguments.next().expect("a file");
    let set: Vec<(String, String)> = arguments
        .filter_map(|s| s.split_once('=').map(|(k, v)| (k.to_owned(), v.to_owned())))
        .collect();
    let text = std::fs::read_to_string(&path).expect("the file");
    let loaded = giveway_scenario::read(&text, &path, &set).expect("a scenario");
    let p = Prepared::new(&loaded.scenario).expect("a sound scenario");
    let real = p.end_state().expect("an impact");
    let mut vehicle = real.vehicle;
    vehicle.position_m[0] -= 200.0;
    vehicle.velocity_mps = [0.0; 3];
    vehicle.angular_velocity_radps = [0.0; 3];
    let end = EndState::with_motion(&p, vehicle, real.support);
    let flight = fly(&p, &end, true).expect("a flight");
    let first = flight
        .first(&[Zone::Ground])
        .expect("a touch of the ground");
    let i = flight
        .frames
        .partition_point(|f| f.time_s < first.time_s)
        .min(flight.frames.len() - 1);
    let pose = flight.frames[i].pieces[0];
    let s = &loaded.scenario;
    let m = p.properties();
    println!(
        "{}",
        json!({
            "mass_kg": m.mass_kg, "centre_m": m.centre_m, "inertia_kgm2": m.inertia_kgm2,
            "gravity_mps2": s.site.gravity_mps2, "friction": s.site.ground.friction,
            "state": {"position_m": real.support.position_m, "velocity_mps": real.support.velocity_mps, "rotation": real.support.rotation, "angular_velocity_radps": real.support.angular_velocity_radps},
            "pole": {"length_m": s.support.pole_length_m, "base_m": s.support.pole.base_diameter_m, "tip_m": s.support.pole.tip_diameter_m},
            "plate": {"radius_m": s.base.plate_radius_m, "thickness_m": s.base.upper_plate_m},
            "arms": s.support.arms.iter().map(|a| json!({
                "height_m": a.attachment_height_m, "azimuth_rad": a.azimuth_rad, "reach_m": a.reach_m, "rise_m": a.rise_m,
                "base_m": a.tube.base_diameter_m, "tip_m": a.tube.tip_diameter_m,
                "luminaires": a.luminaires.iter().map(|l| json!({"lever_m": l.lever_m, "area_m2": l.drag_area_m2})).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "touch": {"time_s": first.time_s, "part": first.part, "foot_m": pose.position_m, "rotation": pose.rotation},
        })
    );
}
