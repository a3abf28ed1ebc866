//! The clamped base under a slow push, by hand and against the published trend.

#[expect(
    dead_code,
    reason = "shared with the static tables, which use all of it"
)]
mod static_base;

use giveway_mechanics::slip_resistance::{Way, slip_resistance};
use giveway_scenario::model::SlipBase;

/// Three bolts, the first along x, notches of 90 degrees, mu_w = 0.2.
fn base() -> SlipBase {
    SlipBase {
        first_bolt_azimuth_rad: 0.0,
        ..static_base::base()
    }
}

/// f = (mu_o + mu_i) F_p = 0.4 x 60 kN.
const F: f64 = 24_000.0;

fn along(base: &SlipBase, degrees: f64) -> f64 {
    slip_resistance(base, degrees.to_radians()).unwrap().along_n
}

#[test]
fn three_bolts_by_hand() {
    // A squeezed bolt: S = f/(sin b - mu_w cos b), its share |sin gamma| along the push.
    let s = F / (0.8 * std::f64::consts::FRAC_1_SQRT_2);
    let sixty = 0.75f64.sqrt();
    // 0 degrees: one leaves the lower notch, two at 120 degrees are squeezed; 180: one is left behind, two at 60 degrees.
    for degrees in [0.0, 180.0, 60.0] {
        let r = along(&base(), degrees);
        assert!((r / (F + 2.0 * s * sixty) - 1.0).abs() < 1e-12, "{r}");
    }
    // 30 degrees: one leaves, one is left behind, one is squeezed square on.
    let r = slip_resistance(&base(), 30f64.to_radians()).unwrap();
    assert!((r.along_n / (2.0 * F + s) - 1.0).abs() < 1e-12);
    assert_eq!(
        r.bolts.iter().map(|b| b.way).collect::<Vec<_>>(),
        [Way::LeavesLower, Way::Squeezed, Way::LeftBehind]
    );
}

/// The static rigid wedge: gamma = 90 degrees, mu_w = 0 gives f/sin b.
#[test]
fn a_wedge_without_wall_friction() {
    let base = SlipBase {
        friction_wall: 0.0,
        ..base()
    };
    let r = slip_resistance(&base, 90f64.to_radians()).unwrap();
    let square = &r.bolts[0];
    assert!((square.along_n * std::f64::consts::FRAC_1_SQRT_2 / F - 1.0).abs() < 1e-12);
    assert!(square.across_n.abs() < 1e-9 * F);
}

/// Texas Transportation Institute report 75-10 (1967): least resistance near 30 degrees, rising with the tension (seen).
#[test]
fn least_near_thirty_degrees_and_rising_with_the_tension() {
    let least = (0..=60)
        .map(|d| (d, along(&base(), f64::from(d))))
        .filter(|(_, r)| *r <= along(&base(), 30.0) * (1.0 + 1e-12))
        .map(|(d, _)| d)
        .collect::<Vec<_>>();
    // A plateau within 15 degrees of 30: at its ends a bolt begins to be squeezed.
    assert_eq!(least, (15..=45).collect::<Vec<_>>());
    let tighter = SlipBase {
        preload_n: 90_000.0,
        ..base()
    };
    for degrees in [0.0, 30.0, 47.0] {
        let ratio = along(&tighter, degrees) / along(&base(), degrees);
        assert!((ratio - 1.5).abs() < 1e-12);
    }
}

#[test]
fn the_pattern_repeats_and_walls_that_hold_lock() {
    for degrees in [3.0, 41.0, 77.0] {
        let turned = along(&base(), degrees + 120.0) / along(&base(), degrees);
        let mirrored = along(&base(), -degrees) / along(&base(), degrees);
        assert!((turned - 1.0).abs() < 1e-12 && (mirrored - 1.0).abs() < 1e-12);
    }
    let rough = SlipBase {
        friction_wall: 1.0,
        ..base()
    };
    let r = slip_resistance(&rough, 0.0).unwrap();
    assert_eq!(r.bolts[1].way, Way::Locked);
    assert!(r.along_n > 10.0 * F);
    assert!(slip_resistance(&base(), f64::NAN).is_err());
}
