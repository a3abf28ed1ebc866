//! The joint answers to its torque: clamp and friction weigh alike, a clean base is hardly pried, bolts that cannot pry give
//! the impulse of the statics by hand, grout holds.

use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::read;

fn prepared(file: &str, changes: &[(&str, &str)]) -> Prepared {
    let path = format!("../../scenarios/{file}.toml");
    let text = std::fs::read_to_string(&path).expect("a shipped scenario");
    let changes: Vec<(String, String)> = changes
        .iter()
        .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
        .collect();
    let loaded = read(&text, &path, &changes).unwrap_or_else(|e| panic!("{path}: {e:?}"));
    Prepared::new(&loaded.scenario).expect("ready")
}

fn run(file: &str, changes: &[(&str, &str)]) -> Engagement {
    prepared(file, changes)
        .engage(RecordRequest::NUMBERS)
        .expect("it runs")
}

fn change(e: &Engagement) -> f64 {
    e.velocity_change_at_contact_end_mps
        .unwrap_or(e.velocity_change_at_end_mps)
}

/// +20 % of clamp and +20 % of every friction move the velocity change by amounts within a factor of 1.5 of each other.
#[test]
fn clamp_and_friction_are_on_an_equal_footing() {
    let plain = change(&run("first", &[]));
    let clamp = change(&run("first", &[("slip_base.clamp.torque", "216 N.m")])) - plain;
    let friction = [
        ("slip_base.friction.outer", "0.24"),
        ("slip_base.friction.inner", "0.216"),
    ];
    let friction = change(&run("first", &friction)) - plain;
    assert!(clamp > 0.05 * plain, "{clamp} of {plain}");
    let ratio = friction / clamp;
    assert!((1.0 / 1.5..=1.5).contains(&ratio), "{friction} / {clamp}");
    // A nut factor and a friction that scatter by the same share move it alike, so that the nut factor's part of the
    // variance, about 1/(1 + ratio^2) to first order, is at least a quarter of friction's.
    assert!(1.0 / (ratio * ratio) > 0.25);
}

/// A broadside blow on a 15 m pole of about 440 kg, three 32 mm bolts at 42.6 kN, two bolts on the struck side: in print the
/// tension rose by 0 to 3 % (instrumented test); below 10 % with parameters chosen beforehand.
#[test]
fn a_broadside_blow_hardly_pries() {
    let e = run("published/v10_broadside_clamp", &[]);
    assert_eq!(e.ending, Ending::Released);
    assert!(e.tension_rise < 0.10, "{}", e.tension_rise);
    assert!(e.tension_rise > 0.0 && e.slip_onset_time_s < e.release_time_s);
}

/// With bolts and plates so soft that nothing pries, a rigid nose on a rigid pole without keeper gives the impulse by hand:
/// the momentum of the pole struck off its centre, and the work of the slip over the vehicle's speed; at full clamp the work of
/// the slip by hand is what friction has taken.
#[test]
fn soft_bolts_give_the_impulse_by_hand() {
    // One coefficient at every speed.
    let soft = |preload: &'static str| {
        prepared(
            "published/v1_rigid_soft",
            &[("slip_base.clamp.preload", preload)],
        )
    };
    for (preload, force_n) in [("0.5 kN", 500.0), ("15.9 kN", 15_900.0)] {
        let p = soft(preload);
        let s = p.scenario();
        let e = p.engage(RecordRequest::NUMBERS).expect("it runs");
        let body = p.properties();
        let h = 0.457 - s.site.slip_plane_height_m;
        let z = body.centre_m[2];
        let about = body.inertia_kgm2[1][1];
        // m_e = 1/(1/m + (z_c - h)^2/I)
        let effective = 1.0 / (1.0 / body.mass_kg + (z - h) * (z - h) / about);
        let (mass, speed) = (s.vehicle.mass_kg, s.impact.speed_mps);
        let momentum = mass * effective / (mass + effective) * speed;
        // f = (mu_o + mu_i) F; one bolt leaves the lower notch on the way L, two are squeezed at 120 degrees, out when
        // delta cos b = L; the outermost half diameter fades.
        let f = (s.base.friction_outer + s.base.friction_inner) * force_n;
        let (travel, d) = (s.base.notch_travel_m, s.base.bolt.diameter_m);
        let b = s.base.notch_half_angle_rad;
        let (g, mu) = (120f64.to_radians(), s.base.friction_wall);
        let squeezed = f / (libm::sin(b) - mu * libm::cos(b)) * libm::sin(g);
        // Squeezed once their room 2 c is used up, at s sin g - 2 c = -s cos g tan b; before that the plate leaves them behind, at f.
        let room = s.base.notch_span_m - d;
        let tan = libm::tan(b);
        let alone = room / (libm::sin(g) + libm::cos(g) * tan);
        let way = (2.0 * travel + room / tan) / (libm::sin(g) / tan - libm::cos(g));
        let fade = 0.25 * d / travel;
        let pair = 2.0 * (f * alone + squeezed * (way - alone));
        let work = f * travel * (1.0 - fade) + pair * (1.0 - 0.5 * fade);
        let rubbed = e.energy.friction_j / work;
        // A nose of 50 MN/m makes the plate bounce at next to no clamp, which slides a little more.
        let band = if force_n > 1e3 { 0.05 } else { 0.2 };
        assert!((rubbed - 1.0).abs() < band, "{preload}: {rubbed}");
        // With next to no clamp the base's own impulse on the pole is small beside the momentum.
        let hand = momentum + work / speed;
        let ratio = e.contact_impulse_ns / hand;
        assert!(
            force_n > 1e3 || (ratio - 1.0).abs() < 0.05,
            "{preload}: {} by hand {hand} (momentum {momentum})",
            e.contact_impulse_ns
        );
        // Next to no clamp rises by any opening.
        assert!(force_n < 1e3 || e.tension_rise < 0.1, "{}", e.tension_rise);
        println!("{preload}: ratio {ratio}");
    }
}

/// Bolts buried over head and notch hold a small car at 30 and 35 km/h; at 60 and 100 km/h they cost at least twice the clean
/// base's velocity change.
#[test]
fn grout_holds() {
    let grouted = ("as_found.grout.gap", "-30 mm");
    for speed in ["30 km/h", "35 km/h"] {
        let e = run("first", &[("impact.speed", speed), grouted]);
        assert_eq!(e.ending, Ending::Held, "{speed}");
    }
    for speed in ["60 km/h", "100 km/h"] {
        let clean = change(&run("first", &[("impact.speed", speed)]));
        let e = run("first", &[("impact.speed", speed), grouted]);
        assert!(change(&e) > 2.0 * clean, "{speed}: {} {clean}", change(&e));
        // Held, and the shaft kinked where it was struck: that is what gave.
        assert!(e.kink.path_rad > 0.1 || e.release_time_s.is_some());
    }
    // Grout in the mouth of the notch alone.
    let notch = [
        ("as_found.grout.gap", "13 mm"),
        ("as_found.grout.notch_gap", "0 mm"),
    ];
    let packed = change(&run("first", &notch));
    assert!(packed > 2.0 * change(&run("first", &[])), "{packed}");
}
