//! A vehicle that is used for a second test starts with the dent that it has.

use giveway_scenario::model::Scenario;
use giveway_scenario::read;
use giveway_study::compute;

/// 900 kg on one straight band of 400 kN/m, unloading ten times as steep, at 10 m/s against a rigid post.
fn blow(used: &str) -> Scenario {
    let text = format!(
        r#"
[support.pole]
length = "4 m"
base_diameter = "254 mm"
wall = "40 mm"
material = "steel-345"
[slip_base]
anchorage = "fixed"
[vehicle]
class = "pendulum-crushable"
mass = "900 kg"
face_friction = 0.0
[vehicle.front]
class_bands = false
used = "{used}"
[[vehicle.front.band]]
name = "nose"
lower = "0.45 m"
upper = "0.55 m"
crush = [["0 mm", "0 kN"], ["1000 mm", "400 kN"]]
unloading = "4 MN/m"
[impact]
speed = "36 km/h"
"#
    );
    match read(&text, "blow", &[]) {
        Ok(loaded) => loaded.scenario,
        Err(problems) => panic!("{problems:?}"),
    }
}

/// By hand: M V^2/2 = k X^2/2, X = V sqrt(M/k) = 474.34 mm, left X (1 - k/k_u) = 0.9 X = 426.91 mm. Again at the same speed, the law
/// is k_u to k X and then k: k (x^2 - X^2)/2 + (k X)^2/(2 k_u) = M V^2/2, so x = X sqrt(2 - 1/10) = 653.84 mm, F = k x = 261.53 kN,
/// left 0.9 x = 588.45 mm.
#[test]
fn the_second_blow_finds_the_dent_of_the_first() {
    let new = blow("0 mm");
    let first = compute(&new, 0).expect("computes").summary.contact;
    let dent = new.struck_face().dent_left_m(&first.permanent_crush_m);
    assert!((first.peak_crush_m - 0.474_342).abs() < 1e-4);
    assert!((dent - 0.426_907).abs() < 2e-4, "{dent}");

    let used = blow(&format!("{} mm", 1e3 * 0.426_907_5));
    let second = compute(&used, 0).expect("computes").summary.contact;
    assert!(
        (second.peak_force_n - 261_534.0).abs() < 60.0,
        "{}",
        second.peak_force_n
    );
    let deepest = second.peak_crush_m + 0.426_907_5;
    assert!((deepest - 0.653_835).abs() < 2e-4, "{deepest}");
    let dent = used.struck_face().dent_left_m(&second.permanent_crush_m);
    assert!((dent - 0.588_451).abs() < 4e-4, "{dent}");
    // A harder face: what the first blow took is gone.
    assert!(second.peak_force_n > 1.3 * first.peak_force_n);
}

#[test]
fn a_face_cannot_be_drawn_out() {
    for wrong in ["-1 mm", "nan mm", "4 m", "3 kN"] {
        let text =
            format!("[vehicle]\nclass = \"small-car-820\"\n[vehicle.front]\nused = \"{wrong}\"\n");
        let problems = read(&text, "wrong", &[]).unwrap_err();
        assert!(
            problems.iter().any(|p| p.path == "vehicle.front.used"),
            "{wrong}: {problems:?}"
        );
    }
}
