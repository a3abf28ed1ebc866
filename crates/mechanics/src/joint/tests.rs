//! Hand values of one bolt and of bolt groups.

use std::f64::consts::PI;

use super::*;

/// Friction that does not fall with the speed: 0.20 under head and nut, 0.15 between the plates, and this on the wall.
fn even(wall: f64) -> FrictionLaw {
    FrictionLaw {
        outer: Friction::even(0.20),
        inner: Friction::even(0.15),
        wall: Friction::even(wall),
        transition: 0.1,
    }
}

/// Constant clamp: very soft joint diagram, no keeper, T = N = 40 kN.
fn law(beta_deg: f64) -> JointLaw {
    let beta = beta_deg.to_radians();
    JointLaw {
        axial: AxialLaw::new(1.0, 1.0, 1.0, 0.0, 40e3, 200e3, [1e9, 1.0]),
        damping_time: 0.0,
        tensile_load: 300e3,
        rupture_stretch: 0.01,
        friction: even(0.15),
        sin_beta: libm::sin(beta),
        cos_beta: libm::cos(beta),
        travel_lower: 0.035,
        travel_upper: 0.035,
        room: 0.0,
        diameter: 0.025,
        keeper_tear: 0.0,
        keeper_way: 0.025,
        shear_load: 180e3,
        bearing_load: 500e3,
        stick_stiffness: 8e7,
        strips: false,
        faults: None,
    }
}

/// Pushes the upper plate along x and returns the largest force against it along x.
fn slide(law: &JointLaw, azimuths_deg: &[f64], to: f64) -> (f64, Vec<BoltState>) {
    let mut bolts: Vec<BoltState> = azimuths_deg
        .iter()
        .map(|a| {
            let a = a.to_radians();
            let axis = Vector2::new(libm::cos(a), libm::sin(a));
            BoltState::at_rest(axis, law, Vector2::zeros(), 0.0)
        })
        .collect();
    let mut most = 0.0_f64;
    let n = 20_000;
    for i in 1..=n {
        let s = Vector2::new(to * f64::from(i) / f64::from(n), 0.0);
        for b in &mut bolts {
            b.advance(law, s, 0.0, &Motion::default());
        }
        most = most.max(-bolts.iter().map(|b| b.force.x).sum::<f64>());
    }
    (most, bolts)
}

const F: f64 = (0.20 + 0.15) * 40e3;

/// Resistance along x of one squeezed bolt whose notch stands at gamma to the motion, written out
/// from the equilibrium of the massless bolt with equal f on both plates.
fn squeezed(gamma_deg: f64, beta_deg: f64, mu: f64) -> f64 {
    let (g, b) = (gamma_deg.to_radians(), beta_deg.to_radians());
    // N_L = N_U = f cos b/(sin b - mu cos b); force against the motion along t and n.
    let n = F * libm::cos(b) / (libm::sin(b) - mu * libm::cos(b));
    let t = n * libm::cos(b) + (F + mu * n) * libm::sin(b);
    let r = n * libm::sin(b) - (F + mu * n) * libm::cos(b);
    t * libm::sin(g) + r * libm::cos(g)
}

#[test]
fn three_bolts_by_hand_in_both_orientations() {
    // First bolt ahead of the blow: one bolt leaves the lower notch, two are squeezed at 120 degrees.
    let (most, bolts) = slide(&law(45.0), &[0.0, 120.0, -120.0], 0.02);
    let hand = F + 2.0 * squeezed(120.0, 45.0, 0.15);
    assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
    // First bolt behind: it is left behind, two are squeezed at 60 degrees.
    let (most, _) = slide(&law(45.0), &[180.0, 60.0, -60.0], 0.02);
    let hand = F + 2.0 * squeezed(60.0, 45.0, 0.15);
    assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
    assert!(bolts.iter().all(|b| b.departure.is_none()));
}

#[test]
fn rigid_wedge_without_wall_friction() {
    // gamma = 90 degrees, mu_w = 0: S = f/sin b.
    for beta in [30.0, 45.0] {
        let l = JointLaw {
            friction: even(0.0),
            ..law(beta)
        };
        let (most, _) = slide(&l, &[90.0], 0.02);
        let hand = F / libm::sin(f64::to_radians(beta));
        assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
    }
}

/// Along one wall by statics, written out in the notch's own axes (n, t): the spring's force p drives the bolt out of
/// the lower wall at p.(e_L + mu m_L) = f and out of the upper wall at p.(e_U - mu m_U) = f.
fn edges(beta_deg: f64, mu: f64) -> [Vector2<f64>; 2] {
    let (sin, cos) = (
        libm::sin(beta_deg.to_radians()),
        libm::cos(beta_deg.to_radians()),
    );
    let (e_l, m_l) = (Vector2::new(cos, sin), Vector2::new(sin, -cos));
    let (e_u, m_u) = (Vector2::new(-cos, sin), Vector2::new(sin, cos));
    [e_l + m_l * mu, e_u - m_u * mu]
}

/// The surface of one squeezed bolt with the notch axis x, moved towards +y, and the resistances f.
fn walls(beta_deg: f64, mu: f64, f: [f64; 2], shear: f64) -> Surface {
    let [(e_l, p_l), (e_u, p_u)] = {
        let (sin, cos) = (
            libm::sin(beta_deg.to_radians()),
            libm::cos(beta_deg.to_radians()),
        );
        [
            (Vector2::new(cos, sin), Vector2::new(-sin, cos)),
            (Vector2::new(-cos, sin), Vector2::new(sin, cos)),
        ]
    };
    let wall = |along, press, limit| Wall {
        along,
        press,
        limit,
        friction: mu,
    };
    Surface::Walls {
        walls: [wall(e_l, p_l, f[0]), wall(e_u, p_u, f[1])],
        shear_squared: shear * shear,
    }
}

/// Force of 5.3 of the theory in notch axes, from A and B.
fn squeezed_force(beta_deg: f64, mu: f64, f: [f64; 2]) -> Vector2<f64> {
    let (sin, cos) = (
        libm::sin(beta_deg.to_radians()),
        libm::cos(beta_deg.to_radians()),
    );
    let a = (f[0] + f[1]) * cos / (sin - mu * cos);
    let b = -(f[1] - f[0]) * sin / (cos + mu * sin);
    let n_u = 0.5 * (a + b);
    Vector2::new(
        n_u * sin - (f[1] + mu * n_u) * cos,
        n_u * cos + (f[1] + mu * n_u) * sin,
    )
}

#[test]
fn along_one_wall_only_that_wall_rubs() {
    // The blow at 120 degrees to the notch of 45 degrees, mu_w = 0.15: the upper wall yields first.
    let f = [13.7e3, 7.7e3];
    let blow = Vector2::new(libm::cos(2.0 * PI / 3.0), libm::sin(2.0 * PI / 3.0));
    let surface = walls(45.0, 0.15, f, f64::INFINITY);
    let [_, g_u] = edges(45.0, 0.15);
    let hand = f[1] / blow.dot(&g_u);
    assert!((hand - 8.3e3).abs() < 10.0, "{hand}");
    assert!(!surface.hold(blow * (hand - 1e-6)).1);
    let (held, slid) = surface.hold(blow * (hand + 1.0));
    assert!(slid && (held.dot(&g_u) - f[1]).abs() < 1e-9 * f[1]);
    // A bolt pushed that way in the program, through the whole law.
    let l = JointLaw {
        keeper_tear: f[0] - f[1],
        friction: FrictionLaw {
            outer: Friction::even(0.0),
            inner: Friction::even(f[1] / 40e3),
            ..even(0.15)
        },
        ..law(45.0)
    };
    let mut bolt = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
    let mut at_first_slide = 0.0;
    for i in 1..4000 {
        let s = blow * (1e-7 * f64::from(i));
        bolt.advance(&l, s, 0.0, &Motion::default());
        if bolt.energy.friction > 1e-6 {
            at_first_slide = -bolt.force.dot(&blow);
            break;
        }
    }
    assert!(
        (at_first_slide / hand - 1.0).abs() < 2e-3,
        "{at_first_slide} {hand}"
    );
}

#[test]
fn the_corner_of_the_walls_is_the_squeezed_force() {
    for beta in [15.0, 30.0, 45.0] {
        for mu in [0.0, 0.1, 0.25] {
            for f in [[1e4, 1e4], [13.7e3, 7.7e3], [3e3, 11e3], [0.0, 1e4]] {
                let p = squeezed_force(beta, mu, f);
                let (held, slid) = walls(beta, mu, f, f64::INFINITY).hold(p * 1.5);
                let off = (held - p).norm() / p.norm();
                assert!(slid && off < 1e-12, "{beta} {mu} {f:?}: {held} {p} {off:e}");
                let (held, _) = walls(beta, mu, f, 0.5 * p.norm()).hold(p * 1.5);
                assert!((held.norm() / (0.5 * p.norm()) - 1.0).abs() < 1e-12);
            }
        }
    }
}

#[test]
fn every_slide_dissipates_ends_on_the_surface_and_is_the_same_mirrored() {
    for beta in [12.0, 20.0, 30.0, 45.0, 55.0] {
        for mu in [0.0, 0.15, 0.2] {
            for f in [[1e4, 1e4], [13.7e3, 7.7e3], [3e3, 11e3], [1e4, 0.0]] {
                let surface = walls(beta, mu, f, f64::INFINITY);
                let mirror = walls(beta, mu, [f[1], f[0]], f64::INFINITY);
                let [e_l, e_u] = edges(beta, 0.0);
                for i in 0..360 {
                    for size in [5e3, 1e4, 3e4, 2e5] {
                        let a = f64::from(i).to_radians();
                        let trial = Vector2::new(libm::cos(a), libm::sin(a)) * size;
                        let (p, slid) = surface.hold(trial);
                        let what = format!("{beta} {mu} {f:?} {i} {size}: {p}");
                        // trial - p = a e_L + b e_U; each slide in the sense of the force along it.
                        let gap = trial - p;
                        let cross = |x: &Vector2<f64>, y: &Vector2<f64>| x.x * y.y - x.y * y.x;
                        let det = cross(&e_l, &e_u);
                        let ways = [cross(&gap, &e_u) / det, cross(&e_l, &gap) / det];
                        for (way, e) in ways.into_iter().zip([e_l, e_u]) {
                            assert!(way * p.dot(&e) >= -1e-6 * size * size, "{what}");
                        }
                        let again = surface.hold(p).0;
                        assert!((again - p).norm() <= 1e-8 * size, "{what} then {again}");
                        assert!(slid || p == trial);
                        let back = mirror.hold(Vector2::new(-trial.x, trial.y)).0;
                        let off = (back - Vector2::new(-p.x, p.y)).norm();
                        assert!(off <= 1e-6 * size, "{what} mirrored {back}");
                    }
                }
            }
        }
    }
}

#[test]
fn bolts_leave_by_the_right_notch_and_give_back_no_more_than_they_took() {
    let l = law(45.0);
    let (_, bolts) = slide(&l, &[0.0, 90.0, 180.0, -90.0], 0.08);
    let fates: Vec<_> = bolts.iter().map(|b| b.departure).collect();
    assert_eq!(
        fates,
        [
            Some(Departure::LowerNotch),
            Some(Departure::Squeezed),
            Some(Departure::UpperNotch),
            Some(Departure::Squeezed)
        ]
    );
    // Friction f over L, the last half diameter of it fading: f (L - d/4).
    let hand = F * (0.035 - 0.25 * 0.025);
    for i in [0, 2] {
        let e = bolts[i].energy;
        assert!(
            (e.friction / hand - 1.0).abs() < 0.01,
            "{} {hand}",
            e.friction
        );
    }
}

#[test]
fn narrow_notches_lock_and_shear() {
    // tan 8 deg = 0.14 < mu_w: the bolt must be sheared at its capacity under tension.
    let l = law(8.0);
    assert!(l.locks());
    let (most, bolts) = slide(&l, &[90.0], 0.02);
    let hand = 180e3 * (1.0_f64 - (40.0_f64 / 300.0) * (40.0 / 300.0)).sqrt();
    assert!((most / hand - 1.0).abs() < 1e-3, "{most} {hand}");
    assert_eq!(bolts[0].departure, Some(Departure::Sheared));
}

#[test]
fn a_bolt_shears_within_a_step() {
    // Steps of 0.1 mm on a stick spring that takes 2.2 mm to the shear V: impulse over velocity and energy are V^2/(2 k),
    // wherever the steps fall.
    let l = law(8.0);
    let capacity = l.shear_capacity(40e3);
    let hand = capacity * capacity / (2.0 * l.stick_stiffness);
    for start in [0.0, 0.02e-3, 0.07e-3] {
        let mut b = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
        let mut work = 0.0;
        for i in 0..30 {
            let s = start + 1e-4 * f64::from(i);
            b.advance(&l, Vector2::new(0.0, s), 0.0, &Motion::default());
            work -= b.force.y * 1e-4;
        }
        assert_eq!(b.departure, Some(Departure::Sheared));
        assert!(
            (b.energy.failure / hand - 1.0).abs() < 1e-3,
            "{} {hand}",
            b.energy.failure
        );
        assert!((work / hand - 1.0).abs() < 2e-3, "{work} {hand}");
    }
}

#[test]
fn keeper_tears_through_its_ligament() {
    let l = JointLaw {
        keeper_tear: 5e3,
        ..law(45.0)
    };
    let (most, bolts) = slide(&l, &[0.0], 0.05);
    assert!((most / (F + 5e3) - 1.0).abs() < 1e-4);
    // What is left of the ligament falls evenly to nothing: half of the force times the way.
    let hand = 0.5 * 5e3 * 0.025;
    assert!((bolts[0].energy.keeper / hand - 1.0).abs() < 0.01);
    assert!(bolts[0].keeper_torn());
}

#[test]
fn plates_rub_after_release_with_the_friction_found_between_them() {
    let rub = |faults: Option<BoltFaults>| {
        let l = JointLaw {
            axial: AxialLaw::new(1e8, 1e8, 1.0, 0.0, 40e3, 200e3, [1e9, 1.0]),
            faults,
            ..law(45.0)
        };
        let mut b = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
        b.advance(&l, Vector2::new(0.05, 0.0), 0.0, &Motion::default());
        assert_eq!(b.departure, Some(Departure::LowerNotch));
        b.advance(&l, Vector2::new(0.05, 0.0), 0.0, &Motion::default());
        let motion = Motion {
            velocity: Vector2::new(100.0, 0.0),
            ..Motion::default()
        };
        b.advance(&l, Vector2::new(0.055, 0.0), -1e-4, &motion);
        // 10 kN of pressure at full sliding, smoothed at 0.05 m/s.
        assert!((b.lift / 1e4 - 1.0).abs() < 1e-9, "{}", b.lift);
        -b.force.x / b.lift
    };
    let rusted = |rust: f64| BoltFaults {
        rust: [Friction::even(rust); 2],
        ..BoltFaults::default()
    };
    let touching = |plate: f64| BoltFaults {
        plate_friction: Some([Friction::even(plate), Friction::even(0.15)]),
        ..BoltFaults::default()
    };
    for (faults, hand) in [
        (None, 0.15),
        (Some(BoltFaults::default()), 0.15),
        (Some(rusted(0.20)), 0.35),
        (Some(touching(0.40)), 0.40),
    ] {
        let mu = rub(faults);
        assert!((mu - hand).abs() < 1e-6, "{mu} {hand}");
    }
}

#[test]
fn joint_diagram_shares_an_external_pull() {
    let l = JointLaw {
        axial: AxialLaw::new(8e8, 4e9, 1.0, 0.0, 40e3, 200e3, [1e9, 1.0]),
        ..law(45.0)
    };
    let mut b = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
    // Opening 5 um: T rises by k_b u, N falls by k_c u.
    b.advance(&l, Vector2::zeros(), 5e-6, &Motion::default());
    assert!((b.tension - 44e3).abs() < 1e-6 && (b.washer - 20e3).abs() < 1e-6);
    // Gapped at F_p/k_c = 10 um.
    b.advance(&l, Vector2::zeros(), 20e-6, &Motion::default());
    assert!((b.tension - 56e3).abs() < 1e-6 && b.washer == 0.0);
}

/// A bolt struck from 60 degrees beside the notch's back (gamma = 120 degrees, 90 degree notch) is squeezed from the start only
/// where it has no room: alpha = (s sin g - 2 c + s cos g tan b)/(2 sin b) is above zero from s = 2 c/(sin 120 + cos 120) on.
#[test]
fn a_bolt_with_room_is_squeezed_only_when_the_room_is_used_up() {
    let l = JointLaw {
        room: 2e-3,
        friction: even(0.0),
        ..law(45.0)
    };
    let f = 0.35 * 40e3;
    // 2 mm/(0.866 - 0.5) = 5.46 mm by hand: up to there the upper plate leaves it behind, at f.
    let (most, _) = slide(&l, &[120.0], 5.4e-3);
    assert!((most / f - 1.0).abs() < 1e-6, "{most}");
    // Beyond, both walls: f (alpha' + delta') = f s/s (sin g/sin b) along s.
    let (most, _) = slide(&l, &[120.0], 9e-3);
    let squeezed = f * libm::sin(120f64.to_radians()) / libm::sin(45f64.to_radians());
    assert!((most / squeezed - 1.0).abs() < 1e-3, "{most} {squeezed}");
    let (bare, _) = slide(&JointLaw { room: 0.0, ..l }, &[120.0], 5.4e-3);
    assert!((bare / squeezed - 1.0).abs() < 1e-3, "{bare}");
}

#[test]
fn a_bolt_tells_that_it_leaves_soon() {
    // Slid along its notch at 4 m/s in steps of 100 us: out after L and the stretch of its spring.
    let l = law(45.0);
    let motion = Motion {
        inverse_dt: 1e4,
        ..Motion::default()
    };
    let mut b = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
    assert!(!b.leaves_within(1.0), "at rest");
    for step in 1.. {
        b.advance(&l, Vector2::new(4e-4 * f64::from(step), 0.0), 0.0, &motion);
        if b.departure.is_some() {
            break;
        }
        let way = l.travel_lower + b.force.norm() / l.stick_stiffness;
        let left = way / 4.0 - 1e-4 * f64::from(step);
        if step > 5 {
            // Within half a step: the stretch falls with the friction at the mouth.
            assert!(b.leaves_within(left + 5e-5), "{step}");
            assert!(!b.leaves_within(left - 5e-5), "{step}");
        }
    }
    assert_eq!(b.departure, Some(Departure::LowerNotch));
}
