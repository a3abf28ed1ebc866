//! Closed forms of impact mechanics against the solver, from the table beside this file.
//!
//! Each case of `data/impact.toml` is computed here from its own formula with plain arithmetic; the
//! table holds the expected values, which were worked out by hand (calculator) from the same formulas.

mod cases;

use std::collections::BTreeMap;

use cases::{first, scenario};
use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::{Anchorage, Band, Scenario};
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    expected: f64,
    tolerance: f64,
}

fn run(s: &Scenario) -> Engagement {
    Prepared::new(s)
        .unwrap()
        .engage(RecordRequest::NUMBERS)
        .unwrap()
}

/// A guided mass of `mass` kg with one linear band of stiffness `k` at 0.5 m.
fn pendulum(s: &mut Scenario, mass: f64, k: f64, speed: f64) {
    s.vehicle.guided = true;
    s.vehicle.mass_kg = mass;
    s.impact.speed_mps = speed;
    s.vehicle.face_friction = 0.0;
    s.vehicle.front.bands = vec![Band {
        name: "nose".into(),
        lower_m: 0.45,
        upper_m: 0.55,
        setback_m: 0.0,
        crush_curve: vec![(0.0, 0.0), (1.0, k)],
        unloading_npm: k,
    }];
}

/// A rigid free body: no clamp, no keeper, nothing to bear on, no gravity, no dent.
fn free_pole(s: &mut Scenario) {
    s.support.arms.clear();
    s.solver.elastic_modes = 0;
    s.base.preload_n = 0.0;
    s.base.keeper = None;
    s.base.notch_travel_m = 1e-7;
    s.base.plate_radius_m = 1e-3;
    s.base.friction_inner = 0.0;
    s.base.bolt_stiffness_npm = Some(1.0);
    s.base.clamp_stiffness_npm = Some(1.0);
    s.base.bolt.diameter_m = 1e-6;
    s.support.pole.material.yield_pa = 1e13;
    s.site.gravity_mps2 = 0.0;
}

/// Velocity change of an elastic blow (the front gives back what it took) and its closed form, twice that
/// of a plastic one.
fn elastic_blow(offset_up: f64) -> (f64, f64) {
    let mut s = first(&[]);
    free_pole(&mut s);
    pendulum(&mut s, 900.0, 5e9, 10.0);
    let b = &mut s.vehicle.front.bands[0];
    b.lower_m += offset_up;
    b.upper_m += offset_up;
    s.solver.step_s = 1e-6;
    // The first blow only: as the pole turns, its shaft comes back to the front later.
    s.solver.engagement_limit_s = 5e-4;
    let p = Prepared::new(&s).unwrap();
    let e = p.engage(RecordRequest::NUMBERS).unwrap();
    let q = p.properties();
    // m_e = 1/(1/m + (z_c - h)^2/I),  dV = (1 + e) V m_e/(M + m_e), e = 1
    let lever = q.centre_m[2] - (0.5 + offset_up - s.site.slip_plane_height_m);
    let m_e = 1.0 / (1.0 / q.mass_kg + lever * lever / q.inertia_kgm2[1][1]);
    (e.velocity_change_at_end_mps, 20.0 * m_e / (900.0 + m_e))
}

fn computed() -> BTreeMap<&'static str, f64> {
    let mut out = BTreeMap::new();

    // An obstacle that never lets go, linear front: V sqrt(k M) and V sqrt(M/k).
    let mut s = first(&[]);
    s.support.arms.clear();
    s.base.anchorage = Anchorage::Fixed;
    pendulum(&mut s, 900.0, 4e5, 10.0);
    let e = run(&s);
    assert_eq!(e.ending, Ending::FixedObstacle);
    out.insert("fixed-peak-force", e.peak_force_n);
    out.insert("fixed-crush", e.peak_crush_m);
    out.insert("fixed-rebound", e.velocity_change_at_end_mps);

    // The same, base locked by its notches and too strong to shear: the foot gives a little.
    let mut s = first(&[]);
    s.support.arms.clear();
    s.base.notch_half_angle_rad = 0.1;
    s.base.bolt.ultimate_pa *= 40.0;
    s.base.bolt.yield_pa *= 40.0;
    s.base.preload_n = 2e6;
    s.base.plate_ultimate_pa *= 40.0;
    s.solver.elastic_modes = 0;
    s.support.pole.material.yield_pa = 1e13;
    s.base.plate_stiffness_npm = Some(1e12);
    pendulum(&mut s, 900.0, 4e5, 10.0);
    let e = run(&s);
    assert_eq!(e.ending, Ending::Held);
    out.insert("locked-peak-force", e.peak_force_n);
    out.insert("locked-crush", e.peak_crush_m);

    // Free rigid pole struck at bumper height.
    for (id, up) in [("free-blow-low", 0.0), ("free-blow-high", 1.0)] {
        let (got, closed) = elastic_blow(up);
        out.insert(id, got / closed);
    }
    out
}

#[test]
fn closed_forms_come_out() {
    let text = std::fs::read_to_string("tests/data/impact.toml").unwrap();
    let table: Table = toml::from_str(&text).unwrap();
    let got = computed();
    assert_eq!(table.case.len(), got.len());
    for case in table.case {
        let value = got[case.id.as_str()];
        assert!(
            (value - case.expected).abs() <= case.tolerance,
            "{}: {value} against {} +/- {}",
            case.id,
            case.expected,
            case.tolerance
        );
    }
}

#[test]
fn low_speed_governs_the_base_and_high_speed_the_mass() {
    // dV = BE/(M V) + V m_e/(M + m_e): falls, then rises with speed.
    let at = |v: f64| {
        let mut s = scenario("../../scenarios/first.toml", &[], false);
        s.impact.speed_mps = v;
        run(&s).velocity_change_at_end_mps
    };
    // The base takes little since sliding friction lies below static friction: its share shows below 15 km/h.
    let (slow, middle, fast) = (at(3.5), at(6.0), at(33.0));
    assert!(slow > middle && middle < fast, "{slow} {middle} {fast}");
}
