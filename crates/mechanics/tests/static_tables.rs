//! Bolts, wind, strength and retention against published values, hand values and SciPy (`tests/data`).

mod static_base;
mod tables;

use giveway_mechanics::clamp::*;
use giveway_mechanics::retention::{DeadLoad, retention};
use giveway_mechanics::strength::*;
use giveway_mechanics::wind::*;
use giveway_scenario::model::Section;

const INCH: f64 = 0.0254;
const POUND: f64 = 4.448_221_615_260_5;
const KSI: f64 = 1000.0 * POUND / (INCH * INCH);
const PRINTED_IN2: f64 = INCH * INCH;

/// A325 pretension in kips.
fn kips(d_in: f64, threads: f64, ksi: f64) -> f64 {
    let area = stress_area_inch(d_in * INCH, threads).unwrap();
    minimum_pretension(ksi * KSI, area).unwrap() / (1000.0 * POUND)
}

/// A325M pretension in kN.
fn kilonewtons(d_mm: f64, pitch_mm: f64) -> f64 {
    let area = stress_area_iso(d_mm * 1e-3, pitch_mm * 1e-3).unwrap();
    minimum_pretension(830e6, area).unwrap() * 1e-3
}

/// Shigley's cone in 1e6 lbf/in.
fn cone(mpsi: f64, t_in: f64, end_in: f64) -> f64 {
    let e = mpsi * 1000.0 * KSI;
    cone_stiffness(e, t_in * INCH, end_in * INCH, 0.5 * INCH).unwrap() * INCH / POUND * 1e-6
}

#[test]
fn bolts() {
    let m24 = stress_area_iso(0.024, 0.003).unwrap();
    let m20 = stress_area_iso(0.020, 0.0025).unwrap();
    let m36 = stress_area_iso(0.036, 0.004).unwrap();
    let inch = |d: f64, n: f64| stress_area_inch(d * INCH, n).unwrap() / PRINTED_IN2;
    tables::compare("bolts.toml", |id| {
        Some(match id {
            "bolt-area-m20" => m20 * 1e6,
            "bolt-area-m24" => m24 * 1e6,
            "bolt-area-m36" => m36 * 1e6,
            "bolt-area-7/8-in" => inch(0.875, 9.0),
            "bolt-area-1-in" => inch(1.0, 8.0),
            "bolt-area-1-1/4-in" => inch(1.25, 7.0),
            "bolt-pretension-a325-7/8-in" => kips(0.875, 9.0, 120.0),
            "bolt-pretension-a325-1-in" => kips(1.0, 8.0, 120.0),
            "bolt-pretension-a325-1-1/4-in" => kips(1.25, 7.0, 105.0),
            "bolt-pretension-m20" => kilonewtons(20.0, 2.5),
            "bolt-pretension-m24" => kilonewtons(24.0, 3.0),
            "bolt-pretension-m36" => kilonewtons(36.0, 4.0),
            "bolt-torque-pair" => {
                preload_from_torque(280.0, 0.198, 1.25 * INCH, 0.0).unwrap() * 1e-3
            }
            "bolt-torque-with-relaxation" => {
                preload_from_torque(200.0, 0.2, 0.025, 0.065).unwrap() * 1e-3
            }
            "bolt-torque-back" => torque_from_preload(37_400.0, 0.2, 0.025, 0.065).unwrap(),
            "bolt-stiffness-m24" => bolt_stiffness(2e11, m24, 0.08, 0.024).unwrap() * 1e-6,
            "clamp-cone-steel" => cone(30.0, 0.595, 0.75),
            "clamp-cone-iron-thin" => cone(14.5, 0.0775, 1.437),
            "clamp-cone-iron-thick" => cone(14.5, 0.6725, 0.75),
            "clamp-stack" => stack_stiffness(&static_base::base()).unwrap() * 1e-6,
            "bolt-shear-m24" => bolt_shear(830e6, m24, 1).unwrap() * 1e-3,
            "bolt-tension-shear" => shear_under_tension(60.0, 100.0, 1.0).unwrap(),
            "bolt-bearing" => bearing_load(0.025, 0.025, 400e6).unwrap() * 1e-3,
            "keeper-tear-out" => keeper_tear(0.030, 0.00053, 310e6, 0.0254).unwrap(),
            "keeper-bearing" => keeper_tear(0.060, 0.00053, 310e6, 0.0254).unwrap(),
            "thread-engagement" => {
                let per_thread = stripping_load(830e6, 0.024, 0.003, 1.0).unwrap();
                tensile_load(830e6, m24).unwrap() / per_thread * 0.003 / 0.024
            }
            "washer-strip" => washer_strip_load(0.008, 0.060, 0.030, 250e6).unwrap(),
            _ => return None,
        })
    });
}

#[test]
fn wind() {
    // The bare check pole stands on the ground in 90 mph.
    let mut ground = static_base::site(90.0 * 0.44704);
    ground.slip_plane_height_m = 0.0;
    let mut bare = static_base::support();
    bare.pole = static_base::tube(Section::Round, 0.20, 0.10, 0.003);
    bare.pole_length_m = 10.0;
    bare.arms.clear();
    let pole = WindModel::new(&ground, &bare).unwrap().action(0.0);
    let model = WindModel::new(&static_base::site(40.0), &static_base::support()).unwrap();
    let toward = |degrees: f64| model.action(degrees.to_radians());
    let shear = |a: WindAction| libm::hypot(a.shear_n[0], a.shear_n[1]);
    tables::compare("wind.toml", |id| {
        Some(match id {
            "wind-kz-5" => height_factor(3.0),
            "wind-kz-10" => height_factor(10.0),
            "wind-kz-15" => height_factor(15.0),
            "wind-pressure" => wind_pressure(1.0, 1.14, 90.0 * 0.44704, 1.0, 1.1).unwrap(),
            "wind-drag-round-fall" => drag_coefficient(Section::Round, 8.0),
            "wind-drag-round-kink" => drag_coefficient(Section::Round, 5.33 + 1e-9),
            "wind-drag-12-kink" => drag_coefficient(Section::TwelveSided, 10.66),
            "wind-drag-16-kink" => drag_coefficient(Section::SixteenSided, 10.66),
            "wind-pole-shear" => pole.shear_n[0] * 1e-3,
            "wind-pole-moment" => pole.moment_nm[1] * 1e-3,
            "wind-pole-shear-quad" => pole.shear_n[0],
            "wind-pole-moment-quad" => pole.moment_nm[1],
            "wind-support-shear-0" => shear(toward(0.0)),
            "wind-support-moment-0" => toward(0.0).moment_nm[1],
            "wind-support-torsion-0" => toward(0.0).torsion_nm,
            "wind-support-shear-30" => shear(toward(30.0)),
            "wind-support-torsion-30" => toward(30.0).torsion_nm,
            "wind-support-shear-90" => shear(toward(90.0)),
            "wind-support-torsion-90" => toward(90.0).torsion_nm,
            _ => return None,
        })
    });
}

#[test]
fn strength() {
    let phi = 30f64.to_radians();
    tables::compare("strength.toml", |id| {
        Some(match id {
            "breakout-kc-17" => breakout_lb(17.0, 4500.0, 12.0).unwrap(),
            "breakout-kc-21" => breakout_lb(21.0, 4000.0, 5.75).unwrap(),
            "breakout-si" => breakout_n(17.0, 31.0264e6, 0.3048).unwrap() * 1e-3,
            "concrete-bearing" => concrete_bearing(25e6, 2.5e-3, 5.625e-3).unwrap() * 1e-3,
            "concrete-bearing-cap" => concrete_bearing(25e6, 2.5e-3, 1.0).unwrap() * 1e-3,
            "stub-shear" => stub_limit(400e6, 3e-4, 250e6, 0.0195, 0.025).unwrap() * 1e-3,
            "stub-plate" => stub_limit(400e6, 3e-4, 250e6, 0.0195, 0.003).unwrap() * 1e-3,
            "rankine-kp-30" => rankine_kp(phi).unwrap(),
            "rankine-passive" => passive_force(18e3, 0.0, phi, 0.5, 0.6).unwrap() * 1e-3,
            "rankine-passive-clay" => passive_force(18e3, 20e3, 0.0, 0.5, 0.6).unwrap() * 1e-3,
            "broms-pier" => broms_short_pier(18e3, 0.6, 2.0, phi, 0.5).unwrap() * 1e-3,
            "plastic-round" => plastic_modulus(Section::Round, 0.2, 0.005).unwrap() * 1e6,
            "plastic-square-diagonal" => plastic_modulus(Section::Square, 1.0, 0.5).unwrap(),
            "plastic-12-sided" => plastic_modulus(Section::TwelveSided, 0.24, 0.006).unwrap() * 1e6,
            "dent-law" => dent_force(250e6, 0.2, 0.004, 0.025).unwrap() * 1e-3,
            _ => return None,
        })
    });
}

/// Three bolts, R 190 mm, with the tables' stiffnesses.
fn clamp(preload_n: f64) -> ClampProperties {
    let mut base = static_base::base();
    base.preload_n = preload_n;
    base.bolt_stiffness_npm = Some(6.2e8);
    base.clamp_stiffness_npm = Some(7.1e9);
    // The rigid plates and the load under head and nut of the reference.
    base.load_introduction = 1.0;
    base.plate_lever_m = 0.0;
    ClampProperties::from_base(&base).unwrap()
}

#[test]
fn retained() {
    let dead = DeadLoad {
        weight_n: 2600.0,
        moment_nm: [-1100.0, 0.0],
    };
    let scan = retention(&static_base::scenario(40.0), &clamp(60_000.0), &dead).unwrap();
    assert!(scan.holds, "{:?}", scan.grades);
    tables::compare("retention.toml", |id| {
        Some(match id {
            "retention-scan-bolt-1" => scan.bolts[0].washer_force_n,
            "retention-scan-bolt-2" => scan.bolts[1].washer_force_n,
            "retention-scan-bolt-3" => scan.bolts[2].washer_force_n,
            "retention-scan-shear" => scan.wind_shear_n,
            "retention-scan-torsion" => scan.torsion_nm,
            _ => return None,
        })
    });
}
