//! Worst inputs and limits of the static checks: errors that name the quantity, no panic, no infinity in a result.

mod static_base;

use giveway_mechanics::clamp::*;
use giveway_mechanics::retention::{DeadLoad, Grade, Retention, retention};
use giveway_mechanics::strength::InputError;
use giveway_mechanics::wind::{WindModel, drag_coefficient, height_factor};
use giveway_scenario::model::{Section, SlipBase};

const DEAD: DeadLoad = DeadLoad {
    weight_n: 2600.0,
    moment_nm: [-1100.0, 0.0],
};

fn check(wind_mps: f64, edit: impl Fn(&mut SlipBase)) -> Retention {
    let mut scenario = static_base::scenario(wind_mps);
    edit(&mut scenario.base);
    let clamp = ClampProperties::from_base(&scenario.base).unwrap();
    let result = retention(&scenario, &clamp, &DEAD).unwrap();
    for value in [
        result.wind_shear_n,
        result.wind_moment_nm,
        result.dead_moment_nm,
        result.torsion_nm,
        result.grades[0].margin.unwrap_or(0.0),
        result.grades[1].margin.unwrap_or(0.0),
        result.grades[2].margin.unwrap_or(0.0),
    ] {
        assert!(value.is_finite());
    }
    for bolt in &result.bolts {
        assert!(bolt.washer_force_n.is_finite() && bolt.gap_margin.is_finite());
        assert!((0.0..std::f64::consts::TAU).contains(&bolt.wind_azimuth_rad));
    }
    result
}

#[test]
fn no_wind_asks_for_no_friction() {
    let calm = check(0.0, |_| {});
    assert!(calm.grades.iter().all(|g| g.holds && g.margin.is_none()));
    assert_eq!((calm.wind_shear_n, calm.torsion_nm), (0.0, 0.0));
    assert!(calm.holds);
    // N still shows the dead load: the arm to the left presses the bolt on that side (130 degrees).
    assert!(calm.bolts[1].washer_force_n > calm.bolts[2].washer_force_n);
    assert!(calm.bolts[1].washer_force_n > 60_000.0);
}

#[test]
fn too_little_clamp_does_not_hold() {
    let loose = check(40.0, |b| b.preload_n = 8_000.0);
    assert!(!loose.holds);
    assert!(loose.bolts.iter().any(|b| b.gap_margin == 0.0));
    let none = check(40.0, |b| b.preload_n = 0.0);
    assert!(!none.holds);
    assert_eq!(none.bolts[0].gap_margin, 0.0);
    let slippery = |mu: f64| {
        check(40.0, |b| {
            b.keeper = None;
            (b.friction_inner, b.friction_outer, b.friction_wall) = (mu, mu, mu);
        })
    };
    // Next to no friction at all: the wind pushes it off.
    let greased = slippery(0.002);
    assert!(greased.graded(Grade::Strength).margin.unwrap() < 0.0 && !greased.holds);
    // Friction counts once the washers do not gap first.
    let margins = [0.01, 0.02].map(|mu| slippery(mu).graded(Grade::Strength).margin.unwrap());
    assert!(margins[0] < margins[1], "{margins:?}");
}

#[test]
fn margins_turn_with_the_site() {
    // Turning arm, bolts and dead moment by 90 degrees together must change no margin.
    let first = check(40.0, |_| {});
    let mut turned = static_base::scenario(40.0);
    let quarter = std::f64::consts::FRAC_PI_2;
    turned.base.first_bolt_azimuth_rad += quarter;
    turned.support.arms[0].azimuth_rad += quarter;
    let clamp = ClampProperties::from_base(&turned.base).unwrap();
    // M = (-1100, 0) turned by 90 degrees.
    let dead = DeadLoad {
        weight_n: 2600.0,
        moment_nm: [0.0, -1100.0],
    };
    let second = retention(&turned, &clamp, &dead).unwrap();
    for (a, b) in first.bolts.iter().zip(&second.bolts) {
        assert!((a.washer_force_n - b.washer_force_n).abs() < 0.1);
    }
    for (a, b) in first.grades.iter().zip(&second.grades) {
        assert_eq!((a.holds, a.by), (b.holds, b.by));
        let (a, b) = (a.margin.unwrap_or(9.0), b.margin.unwrap_or(9.0));
        assert!((a - b).abs() < 0.01 * (1.0 + a), "{a} {b}");
    }
}

#[test]
fn dead_load_of_an_arm_to_the_left() {
    // Centre of mass 0.42 m to the left: the moment about x is -y W, and the left side is pressed.
    let dead = DeadLoad::from_mass(265.0, [0.0, 0.42], 9.80665);
    assert!((dead.moment_nm[0] + 0.42 * 265.0 * 9.80665).abs() < 1e-9);
}

#[test]
fn clamp_of_the_test_base() {
    let clamp = ClampProperties::from_base(&static_base::base()).unwrap();
    assert!((clamp.grip_m - 0.07853).abs() < 1e-12);
    let ratio = clamp.clamp_stiffness_npm / clamp.bolt_stiffness_npm;
    assert!((3.0..20.0).contains(&ratio), "k_c/k_b = {ratio}");
    assert!(!clamp.preload_capped);
    assert!((clamp.locked_limit_n(0.0) - clamp.shear_load_n).abs() < 1e-9);
    assert_eq!(clamp.locked_limit_n(2.0 * clamp.tensile_load_n), 0.0);
    let mut hard = static_base::base();
    hard.preload_n = 1e7;
    hard.bolt_stiffness_npm = Some(5e8);
    hard.clamp_stiffness_npm = Some(6e9);
    let hard = ClampProperties::from_base(&hard).unwrap();
    assert!(hard.preload_capped && hard.preload_n == hard.yield_load_n);
    assert_eq!(
        (hard.bolt_stiffness_npm, hard.clamp_stiffness_npm),
        (5e8, 6e9)
    );
}

#[test]
fn stack_without_washers_or_keeper_is_stiffer_and_finite() {
    let full = stack_stiffness(&static_base::base()).unwrap();
    let mut bare = static_base::base();
    bare.keeper = None;
    bare.round_washer_m = 0.0;
    bare.round_washer_diameter_m = 0.0;
    let bare_k = stack_stiffness(&bare).unwrap();
    assert!(bare_k.is_finite() && bare_k > full);
    bare.plate_washer_m = 0.0;
    bare.plate_washer_diameter_m = 0.0;
    assert!(stack_stiffness(&bare).unwrap().is_finite());
    // A plate washer thicker than its own cone, and a round washer narrower than the outer cone.
    let mut odd = static_base::base();
    odd.plate_washer_m = 0.030;
    odd.plate_washer_diameter_m = 0.045;
    odd.round_washer_diameter_m = 0.030;
    assert!(stack_stiffness(&odd).unwrap() < full);
}

#[test]
fn unusable_bases_are_errors() {
    let edits: [fn(&mut SlipBase, f64); 14] = [
        |b, v| b.bolt_circle_m = v,
        |b, v| b.bolt.diameter_m = v,
        |b, v| b.bolt.stress_area_m2 = v,
        |b, v| b.bolt.youngs_pa = v,
        |b, v| b.bolt.yield_pa = v,
        |b, v| b.bolt.ultimate_pa = v,
        |b, v| b.upper_plate_m = v,
        |b, v| b.lower_plate_m = v,
        |b, v| b.plate_ultimate_pa = v,
        |b, v| b.plate_youngs_pa = v,
        |b, v| b.notch_half_angle_rad = v,
        |b, v| b.plate_washer_diameter_m = v,
        |b, v| b.round_washer_diameter_m = v,
        |b, v| b.bolt_stiffness_npm = Some(v),
    ];
    for edit in edits {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0] {
            let mut base = static_base::base();
            edit(&mut base, bad);
            assert!(ClampProperties::from_base(&base).is_err());
        }
    }
    let mut base = static_base::base();
    base.bolt_count = 2;
    assert!(ClampProperties::from_base(&base).is_err());
    base.bolt_count = 3;
    base.preload_n = f64::NAN;
    assert!(matches!(
        ClampProperties::from_base(&base),
        Err(InputError::NotFinite {
            quantity: "preload F_p, N",
            ..
        })
    ));
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        assert!(preload_from_torque(bad, 0.2, 0.024, 0.0).is_err());
        assert!(preload_from_torque(100.0, bad, 0.024, 0.0).is_err());
        assert!(preload_from_torque(100.0, 0.2, 0.024, bad).is_err());
        assert!(stress_area_iso(0.024, bad).is_err());
        assert!(stress_area_inch(0.024, bad).is_err());
        assert!(shear_under_tension(bad, 1.0, 1.0).is_err());
        assert!(stripping_load(8e8, 0.024, 0.003, bad).is_err());
    }
    assert!(stress_area_iso(0.024, 0.024).is_err());
}

#[test]
fn unusable_sites_and_supports_are_errors() {
    let good = static_base::support();
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(WindModel::new(&static_base::site(bad), &good).is_err());
        let mut site = static_base::site(40.0);
        site.wind_gust_factor = bad;
        assert!(WindModel::new(&site, &good).is_err());
        let site = static_base::site(40.0);
        let mut support = static_base::support();
        support.pole_length_m = bad;
        assert!(WindModel::new(&site, &support).is_err());
        support = static_base::support();
        support.pole.tip_diameter_m = bad;
        assert!(WindModel::new(&site, &support).is_err());
        support = static_base::support();
        support.arms[0].reach_m = bad;
        assert!(WindModel::new(&site, &support).is_err());
        support = static_base::support();
        support.arms[0].luminaires[0].drag_area_m2 = bad;
        assert!(WindModel::new(&site, &support).is_err());
    }
    let scenario = static_base::scenario(40.0);
    let clamp = ClampProperties::from_base(&scenario.base).unwrap();
    for bad in [f64::NAN, f64::INFINITY] {
        let mut dead = DEAD;
        dead.moment_nm[1] = bad;
        assert!(retention(&scenario, &clamp, &dead).is_err());
        dead = DEAD;
        dead.weight_n = bad;
        assert!(retention(&scenario, &clamp, &dead).is_err());
    }
}

#[test]
fn drag_falls_where_the_table_says() {
    use Section::*;
    for (section, low, high) in [
        (Round, 1.10, 0.45),
        (SixteenSided, 1.10, 0.83),
        (TwelveSided, 1.20, 0.79),
        (EightSided, 1.20, 1.20),
        (Square, 2.0, 2.0),
    ] {
        for vd in [0.0, 1.0, 5.33] {
            assert_eq!(drag_coefficient(section, vd), low);
        }
        assert_eq!(drag_coefficient(section, 10.67), high);
        // The branches meet to two decimals at both kinks.
        for kink in [5.33, 10.66] {
            let jump = drag_coefficient(section, kink + 1e-9) - drag_coefficient(section, kink);
            assert!(jump.abs() < 0.005, "{section:?} at {kink}: {jump}");
        }
    }
    assert_eq!(height_factor(-1.0), height_factor(5.0));
}

#[test]
fn wind_turns_with_everything_that_hangs_off_the_axis() {
    // A lump to the right (toward -90 degrees), wind toward +x: x F_y - y F_x = +offset times force.
    let mut support = static_base::support();
    support.arms.clear();
    let bare = WindModel::new(&static_base::site(40.0), &support).unwrap();
    support.lumps.push(giveway_scenario::model::Lump {
        name: "sign".into(),
        mass_kg: 5.0,
        height_m: 4.0,
        offset_m: 0.5,
        azimuth_rad: -std::f64::consts::FRAC_PI_2,
        drag_area_m2: 0.36,
        drag_coefficient: 1.2,
    });
    let with = WindModel::new(&static_base::site(40.0), &support).unwrap();
    let (a, b) = (bare.action(0.0), with.action(0.0));
    // 0.613 x 1.14 x 1600 x K_z(5 m) x 0.36 x 1.2, by hand with K_z = 0.8654.
    let force = b.shear_n[0] - a.shear_n[0];
    assert!((force - 418.0).abs() < 0.5, "{force}");
    assert!((b.torsion_nm - 0.5 * force).abs() < 1e-9);
    assert!((b.moment_nm[1] - a.moment_nm[1] - 4.0 * force).abs() < 1e-9);
}
