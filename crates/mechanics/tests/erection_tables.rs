//! Numbers for the crew: hand calculations and SciPy (`tests/data/erection.toml`), order and worst inputs.

#[allow(
    dead_code,
    reason = "the checks of erection read parts of the scenario"
)]
mod static_base;
mod tables;

use giveway_mechanics::erection::*;
use giveway_mechanics::support::SupportMesh;
use giveway_scenario::model::{ArmJoint, Bolt, Section, SlipBase, Support};

const INCH: f64 = 0.0254;
const GRAVITY: f64 = 9.80665;

fn bolt(size: &str, grade: &str, diameter_m: f64) -> Bolt {
    Bolt {
        size: size.into(),
        grade: grade.into(),
        diameter_m,
        ..static_base::base().bolt
    }
}

/// A uniform round pole of 10 m without weight; `mass_kg` hangs `lever_m` beside its tip.
fn uniform(mass_kg: f64, lever_m: f64) -> Support {
    let mut support = static_base::support();
    support.pole = static_base::tube(Section::Round, 0.2, 0.2, 0.004);
    support.pole.material.density_kgpm3 = 1e-12;
    support.pole_length_m = 10.0;
    let arm = &mut support.arms[0];
    arm.tube.material.density_kgpm3 = 1e-12;
    arm.attachment_height_m = 10.0;
    arm.reach_m = lever_m;
    arm.rise_m = 0.0;
    arm.luminaires[0].mass_kg = mass_kg;
    arm.luminaires[0].lever_m = 0.0;
    support
}

fn joint() -> ArmJoint {
    static_base::support().arms[0].joint.clone()
}

#[test]
fn erection() {
    let base = static_base::base();
    let plan = bolt_length(&base).unwrap();
    assert_eq!(plan.slip_plane, SlipPlane::RunOut);
    assert!(plan.fits && !plan.supplied);
    let short = bolt_length(&SlipBase {
        bolt_length_m: Some(0.090),
        ..base.clone()
    })
    .unwrap();
    assert!(!short.fits && short.supplied);
    let thread = |b: &Bolt, length: f64| thread_length(b, length).unwrap();
    let (m24, inch) = (base.bolt.clone(), bolt("1 in", "A307", INCH));
    let wrench = tightening(&SlipBase {
        torque_nm: Some(200.0),
        ..base.clone()
    })
    .unwrap();
    let from_preload = tightening(&base).unwrap();
    assert!(from_preload.from_preload && !wrench.from_preload);

    let support = static_base::support();
    let whole = balance(&support).unwrap();
    let sling = sling_height(&whole, 11.0).unwrap();
    let hanging = hang(&whole, sling, GRAVITY).unwrap();
    assert!(hanging.foot_down);
    // The arm points to site y (90 degrees), the foot swings to -90.
    let turned = hanging.foot_swings_rad.unwrap().to_degrees();
    assert!((turned + 90.0).abs() < 1e-9, "{turned}");
    let line = |at: f64| level_line(&whole, 11.0, at, GRAVITY).unwrap();
    assert_eq!(line(sling).sinks, Some(End::Foot));
    assert_eq!(line(4.0).sinks, Some(End::Tip));

    // EI = 2.05e11 pi (0.2^4 - 0.192^4)/64; weights so small that they do not act on the bent axis.
    let fourth = |x: f64| x * x * x * x;
    let ei = 2.05e11 * std::f64::consts::PI * (fourth(0.2) - fourth(0.192)) / 64.0;
    let light = lean(&uniform(1e-4, 2.0), GRAVITY).unwrap();
    let moment = 1e-4 * GRAVITY * 2.0;
    let heavy = lean(&uniform(100.0, 2.0), GRAVITY).unwrap();
    let leaning = lean(&support, GRAVITY).unwrap();
    let arm = arm_joint(&static_base::site(40.0), &support, 0).unwrap();
    assert!(arm.length.fits);

    tables::compare("erection.toml", |id| {
        Some(match id {
            "erect-stack" => plan.grip_m * 1e3,
            "erect-least" => plan.least_m * 1e3,
            "erect-standard" => plan.standard_m * 1e3,
            "erect-shank" => plan.shank_m * 1e3,
            "erect-below-nut" => plan.thread_below_nut_m * 1e3,
            "erect-protruding" => plan.protruding_threads,
            "erect-engaged" => plan.engaged_threads,
            "erect-engaged-short" => short.engaged_threads,
            "erect-threads-needed" => plan.threads_needed,
            "erect-thread-130" => thread(&m24, 0.130) * 1e3,
            "erect-thread-220" => thread(&m24, 0.220) * 1e3,
            "erect-thread-inch" => thread(&inch, 5.0 * INCH) / INCH,
            "erect-thread-inch-long" => thread(&inch, 7.0 * INCH) / INCH,
            "erect-thread-structural" => thread(&bolt("1 in", "A325", INCH), 5.0 * INCH) / INCH,
            "erect-standard-inch" => standard_length(Series::Inch, 4.10 * INCH).unwrap() / INCH,
            "erect-stage" => wrench.stages[0].torque_nm,
            "erect-clamp" => wrench.clamp_n * 1e-3,
            "erect-clamp-low" => wrench.range_n[0] * 1e-3,
            "erect-of-yield" => wrench.of_yield,
            "erect-torque-back" => from_preload.stages[1].torque_nm,
            "erect-mass" => whole.mass_kg,
            "erect-balance" => whole.centre_m[2],
            "erect-off-axis" => whole.off_axis_m,
            "erect-balance-bare" => bare_balance(&support).unwrap().centre_m[2],
            "erect-sling" => sling,
            "erect-hangs" => hanging.lean_rad?.to_degrees(),
            "erect-foot-force" => hanging.foot_force_n,
            "erect-tip-line" => line(sling).force_n,
            "erect-foot-line" => line(4.0).force_n,
            "erect-arm-line" => arm_line(&whole, 2.5, GRAVITY).unwrap(),
            "erect-lean-slope" => light.tip_slope_rad / (moment * 10.0 / ei),
            "erect-lean-tip" => light.tip_m / (moment * 100.0 / (2.0 * ei)),
            "erect-lean-secant" => heavy.tip_m * 1e3,
            "erect-lean-secant-slope" => heavy.tip_slope_rad * 1e3,
            "erect-lean-moment" => leaning.moment_nm[1],
            "erect-lean-check" => leaning.tip_m * 1e3,
            "erect-lean-check-slope" => leaning.tip_slope_rad * 1e3,
            "erect-lean-share" => leaning.second_order_share,
            "erect-screw-length" => arm.length.length_m * 1e3,
            "erect-screw-room" => arm.length.room_m * 1e3,
            "erect-group-four" => group_tension(1000.0, 4, 0.16).unwrap() * 1e-3,
            "erect-group-summed" => group_tension(1000.0, 5, 0.20).unwrap() * 1e-3,
            "erect-arm-dead" => arm.dead_moment_nm,
            "erect-arm-moment" => arm.moment_nm,
            "erect-arm-torsion" => arm.torsion_nm.abs(),
            "erect-arm-shear" => arm.shear_n,
            "erect-arm-screw-tension" => arm.clamp_needed_n * 1e-3,
            "erect-arm-screw-shear" => arm.screw_shear_n,
            "erect-arm-margin" => arm.strength_margin?,
            "erect-arm-clamp" => arm.clamp_n * 1e-3,
            "erect-arm-turn" => arm.turn_rad.to_degrees(),
            _ => return None,
        })
    });
}

/// The balance of this module against the mass matrix of the beam model.
#[test]
fn the_balance_is_that_of_the_beam_model() {
    let mut support = static_base::support();
    support.lumps.push(giveway_scenario::model::Lump {
        name: "sign".into(),
        mass_kg: 14.0,
        height_m: 4.2,
        offset_m: 0.5,
        azimuth_rad: 0.7,
        drag_area_m2: 0.6,
        drag_coefficient: 1.2,
    });
    let mesh = SupportMesh::build(&support, 0.028, 0.24, 24, 4).unwrap();
    let beam = mesh.mass_properties();
    let here = balance(&support).unwrap();
    assert!((here.mass_kg / beam.mass_kg - 1.0).abs() < 1e-9);
    for (a, b) in here.centre_m.iter().zip(beam.centre_m.iter()) {
        assert!((a - b).abs() < 1e-9, "{a} {b}");
    }
}

/// First-order lean against the stiffness matrix of the beam model.
#[test]
fn the_lean_is_that_of_the_beam_model() {
    let support = static_base::support();
    let mesh = SupportMesh::build(&support, 0.028, 0.24, 60, 4).unwrap();
    let dofs = 6 * mesh.nodes.len();
    let root = mesh.arm_nodes[0][0];
    let mut load = nalgebra::DVector::zeros(dofs);
    // The arm reaches along y: a moment about -x leans the pole to y.
    load[6 * root + 3] = -405.382_704_6;
    let free = dofs - 6;
    let stiffness = mesh.stiffness.view((6, 6), (free, free)).into_owned();
    let moved = stiffness
        .cholesky()
        .unwrap()
        .solve(&load.rows(6, free).into_owned());
    let tip = moved[6 * (mesh.pole_nodes - 1) - 6 + 1];
    let here = lean(&support, GRAVITY).unwrap();
    let first = here.tip_m * (1.0 - here.second_order_share);
    assert!((first / tip - 1.0).abs() < 1e-4, "{first} {tip}");
    let azimuth = here.azimuth_rad.unwrap().to_degrees();
    assert!((azimuth - 90.0).abs() < 1e-9);
    assert_eq!(here.rake_rad, here.tip_m / 11.0);
}

/// 2 M/(n R) is the largest share over every place of the pattern: summed screw by screw.
#[test]
fn the_group_share_is_an_upper_bound_that_is_reached() {
    for n in 3..=8usize {
        let mut worst: f64 = 0.0;
        for turn in 0..360 {
            let places: Vec<f64> = (0..n)
                .map(|i| {
                    let a =
                        f64::from(turn).to_radians() + std::f64::consts::TAU * i as f64 / n as f64;
                    0.1 * libm::sin(a)
                })
                .collect();
            let second: f64 = places.iter().map(|y| y * y).sum();
            let most = places.iter().copied().fold(0.0, f64::max);
            worst = worst.max(1000.0 * most / second);
        }
        let share = group_tension(1000.0, n, 0.2).unwrap();
        assert!(
            worst <= share * (1.0 + 1e-12) && worst > share * 0.999,
            "{n}: {worst} {share}"
        );
    }
}

#[test]
fn a_pole_without_arms_stands_and_hangs_straight() {
    let mut support = static_base::support();
    support.arms.clear();
    let straight = lean(&support, GRAVITY).unwrap();
    assert_eq!((straight.tip_m, straight.rake_rad), (0.0, 0.0));
    assert_eq!(straight.azimuth_rad, None);
    let bare = balance(&support).unwrap();
    assert_eq!(bare, bare_balance(&static_base::support()).unwrap());
    let hanging = hang(&bare, 5.0, GRAVITY).unwrap();
    assert_eq!(hanging.lean_rad, Some(0.0));
    assert_eq!(hanging.foot_force_n, 0.0);
    assert_eq!(hanging.foot_swings_rad, None);
    // Slung below its balance point it turns over; at it, it lies level by itself.
    let low = hang(&bare, 4.0, GRAVITY).unwrap();
    assert!(!low.foot_down && low.lean_rad.is_none());
    let level = level_line(&bare, 11.0, bare.centre_m[2], GRAVITY).unwrap();
    assert_eq!((level.sinks, level.force_n), (None, 0.0));
}

#[test]
fn two_arms_in_balance_do_not_lean() {
    let mut support = static_base::support();
    let mut other = support.arms[0].clone();
    other.azimuth_rad = -std::f64::consts::FRAC_PI_2;
    support.arms.push(other);
    let level = lean(&support, GRAVITY).unwrap();
    assert!(level.tip_m < 1e-15);
}

#[test]
fn the_shank_stays_out_of_the_nut_and_out_of_the_hole() {
    let base = static_base::base();
    // 140 mm: the thread is 60 mm, the shank of 80 mm reaches through the grip of 78.53 mm.
    let long = bolt_length(&SlipBase {
        bolt_length_m: Some(0.140),
        ..base.clone()
    })
    .unwrap();
    assert!(long.thread_below_nut_m < 0.0 && !long.fits);
    assert_eq!(long.slip_plane, SlipPlane::Shank);
    let mut joint = joint();
    joint.length_m = Some(0.055);
    let deep = screw_length(&joint).unwrap();
    assert!(deep.room_m < 0.0 && !deep.fits);
    joint.length_m = Some(0.040);
    assert!(!screw_length(&joint).unwrap().fits);
    joint.length_m = Some(0.050);
    assert!(screw_length(&joint).unwrap().fits);
}

#[test]
fn more_wind_and_more_weight_leave_less_margin() {
    let margin = |wind: f64, mass: f64| {
        let mut support = static_base::support();
        support.arms[0].luminaires[0].mass_kg = mass;
        let check = arm_joint(&static_base::site(wind), &support, 0).unwrap();
        (
            check.strength_margin.unwrap(),
            check.closure_margin.unwrap(),
        )
    };
    let calm = margin(0.0, 9.0);
    let windy = margin(50.0, 9.0);
    let heavy = margin(50.0, 30.0);
    assert!(calm.0 > windy.0 && windy.0 > heavy.0);
    assert!(calm.1 > windy.1 && windy.1 > heavy.1);
}

#[test]
fn nonsense_is_an_error() {
    let support = static_base::support();
    let whole = balance(&support).unwrap();
    let site = static_base::site(40.0);
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        let base = SlipBase {
            bolt_length_m: Some(bad),
            ..static_base::base()
        };
        assert!(bolt_length(&base).is_err());
        assert!(standard_length(Series::Metric, bad).is_err());
        assert!(thread_length(&base.bolt, bad).is_err());
        assert!(hang(&whole, bad, GRAVITY).is_err());
        assert!(level_line(&whole, 11.0, bad, GRAVITY).is_err());
        assert!(level_line(&whole, bad, 4.0, GRAVITY).is_err());
        assert!(arm_line(&whole, bad, GRAVITY).is_err());
        assert!(sling_height(&whole, bad).is_err());
        assert!(lean(&support, bad).is_err());
        assert!(group_tension(1.0, 4, bad).is_err());
        assert!(turn_from_snug(1e5, 1e9, bad, 0.0025).is_err());
        assert!(tapped_stack_stiffness(2e11, bad, 0.02).is_err());
        let mut broken = support.clone();
        broken.pole.wall_m = bad;
        assert!(balance(&broken).is_err() && lean(&broken, GRAVITY).is_err());
        let mut broken = support.clone();
        broken.arms[0].joint.screw.stress_area_m2 = bad;
        assert!(arm_joint(&site, &broken, 0).is_err());
    }
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        let mut broken = support.clone();
        broken.arms[0].luminaires[0].mass_kg = bad;
        assert!(balance(&broken).is_err() && lean(&broken, GRAVITY).is_err());
        let torque = SlipBase {
            torque_nm: Some(bad),
            ..static_base::base()
        };
        assert!(tightening(&torque).is_err());
        assert!(group_tension(bad, 4, 0.2).is_err());
    }
    assert!(standard_length(Series::Metric, 0.7).is_err());
    assert!(standard_length(Series::Inch, 0.7).is_err());
    assert!(level_line(&whole, 11.0, 11.0, GRAVITY).is_err());
    assert!(arm_joint(&site, &support, 1).is_err());
    let mut two = support.clone();
    two.arms[0].joint.screws = 2;
    assert!(arm_joint(&site, &two, 0).is_err());
    // A pole that its own load buckles: pi^2 E I/(4 L^2) is 59.8 kN, 7 t weigh 68.6 kN.
    let said = lean(&uniform(7000.0, 0.1), GRAVITY)
        .unwrap_err()
        .to_string();
    assert!(said.contains("buckles"), "{said}");
}

/// The joint against a blow: stiffness and mass of a tapered arm by SciPy's quad (relative error 1e-12), the rest by hand.
#[test]
fn an_arm_folds_or_its_screws_break() {
    let mut support = static_base::support();
    let arm = &mut support.arms[0];
    (arm.reach_m, arm.rise_m) = (2.5, 0.0);
    arm.tube = static_base::tube(Section::Round, 0.09, 0.06, 0.003);
    arm.tube.material.youngs_pa = 200e9;
    arm.tube.material.density_kgpm3 = 7850.0;
    arm.tube.material.yield_pa = 345e6;
    arm.luminaires.truncate(1);
    arm.luminaires[0].mass_kg = 12.0;
    arm.joint.screws = 4;
    arm.joint.circle_m = 0.17;
    arm.joint.screw.stress_area_m2 = 245e-6;
    arm.joint.screw.ultimate_pa = 830e6;
    let strong = arm_blow(&support, 0).unwrap();
    assert!((strong.tip_stiffness_npm / 21_950.929_809_97 - 1.0).abs() < 1e-6);
    assert!((strong.tip_mass_kg / 15.139_056_939_5 - 1.0).abs() < 1e-6);
    // M = 4 x 0.085 m x 203.35 kN / 2 = 34.57 kN.m; Z = (0.09^3 - 0.084^3)/6 = 22.716 cm^3.
    assert!((strong.joint_moment_nm - 34_569.5).abs() < 0.1);
    assert!((strong.fold_moment_nm - 345e6 * 22.716e-6).abs() < 1e-6);
    assert_eq!(strong.breaks_above_mps, None);
    // M8 screws of the lowest grade: 36.6 mm^2 x 400 MPa = 14.64 kN, M = 2.489 kN.m;
    // v = M/(L sqrt(k m)) = 2488.8/(2.5 x 576.48) = 1.727 m/s.
    support.arms[0].joint.screw.stress_area_m2 = 36.6e-6;
    support.arms[0].joint.screw.ultimate_pa = 400e6;
    let weak = arm_blow(&support, 0).unwrap();
    assert!((weak.breaks_above_mps.unwrap() - 1.727).abs() < 1e-3);
    assert!(arm_blow(&support, 1).is_err());
    support.arms[0].joint.screws = 2;
    assert!(arm_blow(&support, 0).is_err());
    support.arms[0].joint.screws = 4;
    support.arms[0].tube.wall_m = f64::NAN;
    assert!(arm_blow(&support, 0).is_err());
}
