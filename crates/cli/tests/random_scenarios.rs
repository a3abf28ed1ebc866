//! Random valid scenarios through the whole program: nothing panics, every number is finite, the books
//! close, and the result does not depend on how the site is turned or mirrored.
//!
//! The generator is seeded: the same scenarios are tried every time. Ranges are those of published
//! supports and tests (poles of 5 to 15 m, clamps by 60 to 280 N.m, 20 to 110 km/h) with every
//! combination, also those that nobody would build: a fair part of these shafts would fold.
//!
//! Where the result says that the shaft would fold, the elastic model has left its domain: the run must then
//! still be finite, keep its momentum book and be honest about its energy book, but it need not close it.

#[path = "../../../tests/thorough.rs"]
mod thorough;

use std::fmt::Write as _;

use giveway_impact::outcome::Engagement;
use giveway_impact::{Prepared, RecordRequest};
use giveway_occupant::Outcome;
use giveway_results::Summary;
use giveway_results::summary::Status;
use giveway_scenario::Loaded;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

/// Runs the property on seeded random scenarios.
fn on_random_scenarios(cases: u32, property: impl Fn(&Draw) -> Result<(), TestCaseError>) {
    let config = Config {
        cases: thorough::of(cases),
        failure_persistence: None,
        max_shrink_iters: 60,
        ..Config::default()
    };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    if let Err(problem) = runner.run(&draws(), |draw| property(&draw)) {
        panic!("{problem}");
    }
}

/// What is drawn; everything else keeps its default.
#[derive(Debug, Clone)]
struct Draw {
    pole: Pole,
    arms: Vec<Arm>,
    base: Base,
    strike: Strike,
}

#[derive(Debug, Clone)]
struct Pole {
    section: &'static str,
    length_m: f64,
    base_mm: f64,
    taper: f64,
    wall_mm: f64,
    material: &'static str,
}

#[derive(Debug, Clone)]
struct Arm {
    azimuth_deg: f64,
    reach_m: f64,
    rise_m: f64,
    luminaire_kg: f64,
}

#[derive(Debug, Clone)]
struct Base {
    bolts: usize,
    size: &'static str,
    first_bolt_deg: f64,
    torque_nm: f64,
    notch_deg: f64,
    travel_mm: f64,
    friction: [f64; 3],
    keeper: bool,
}

#[derive(Debug, Clone)]
struct Strike {
    class: &'static str,
    face: &'static str,
    speed_kmph: f64,
    heading_deg: f64,
    /// Part of the half width (front) or half length (side).
    offset: f64,
    braking: f64,
}

fn draws() -> impl Strategy<Value = Draw> {
    let pole = (
        prop::sample::select(vec!["round", "square", "8-sided", "12-sided", "16-sided"]),
        5.0..15.0,
        140.0..270.0,
        0.4..1.0,
        3.0..8.0,
        prop::sample::select(vec![
            "steel-235",
            "steel-345",
            "steel-380",
            "aluminium-6063-t6",
        ]),
    )
        .prop_map(
            |(section, length_m, base_mm, taper, wall_mm, material)| Pole {
                section,
                length_m,
                base_mm,
                taper,
                wall_mm,
                material,
            },
        );
    let arm = (-180.0..180.0, 0.6..4.0, 0.0..1.5, 4.0..25.0).prop_map(
        |(azimuth_deg, reach_m, rise_m, luminaire_kg)| Arm {
            azimuth_deg,
            reach_m,
            rise_m,
            luminaire_kg,
        },
    );
    let base = (
        3usize..5,
        prop::sample::select(vec!["M24", "M27", "M30", "1 in", "1-1/8 in"]),
        -180.0..180.0,
        60.0..280.0,
        60.0..100.0,
        25.0..40.0,
        prop::array::uniform3(0.1..0.4),
        any::<bool>(),
    )
        .prop_map(
            |(bolts, size, first_bolt_deg, torque_nm, notch_deg, travel_mm, friction, keeper)| {
                Base {
                    bolts,
                    size,
                    first_bolt_deg,
                    torque_nm,
                    notch_deg,
                    travel_mm,
                    friction,
                    keeper,
                }
            },
        );
    let strike = (
        prop::sample::select(vec![
            "small-car-820",
            "small-car-1100",
            "pickup-2270",
            "pendulum-crushable",
        ]),
        prop::sample::select(vec!["front", "front", "front", "left-side", "right-side"]),
        20.0..110.0,
        -25.0..25.0,
        -0.8..0.8,
        0.0..1.0,
    )
        .prop_map(
            |(class, face, speed_kmph, heading_deg, offset, braking)| Strike {
                class,
                face,
                speed_kmph,
                heading_deg,
                offset,
                braking,
            },
        );
    (pole, prop::collection::vec(arm, 0..3), base, strike).prop_map(|(pole, arms, base, strike)| {
        Draw {
            pole,
            arms,
            base,
            strike,
        }
    })
}

impl Draw {
    /// The scenario file, with every direction mirrored at the road's axis and turned by `turn_deg`.
    fn text(&self, mirrored: bool, turn_deg: f64) -> String {
        let side = if mirrored { -1.0 } else { 1.0 };
        let direction = |deg: f64| side * deg + turn_deg;
        let (p, b, s) = (&self.pole, &self.base, &self.strike);
        let face = match (s.face, mirrored) {
            ("left-side", true) => "right-side",
            ("right-side", true) => "left-side",
            (face, _) => face,
        };
        // A side impact slides broadside: the struck side leads.
        let (heading, offset_m) = match s.face {
            "left-side" => (s.heading_deg - 90.0, 1.5 * s.offset),
            "right-side" => (s.heading_deg + 90.0, 1.5 * s.offset),
            _ => (s.heading_deg, 0.7 * s.offset * side),
        };
        // The pendulum's nose is narrow and has no sides worth striking.
        let pendulum = s.class.starts_with("pendulum");
        let (face, heading, offset_m) = if pendulum {
            ("front", s.heading_deg, 0.2 * s.offset * side)
        } else {
            (face, heading, offset_m)
        };
        let mut text = format!(
            "[support.pole]\nlength = \"{} m\"\nsection = \"{}\"\nbase_diameter = \"{} mm\"\ntip_diameter = \"{} mm\"\n\
             wall = \"{} mm\"\nmaterial = \"{}\"\n",
            p.length_m,
            p.section,
            p.base_mm,
            p.base_mm * p.taper,
            p.wall_mm,
            p.material,
        );
        for a in &self.arms {
            let _ = write!(
                text,
                "[[support.arm]]\nazimuth = \"{} deg\"\nreach = \"{} m\"\nrise = \"{} m\"\nbase_diameter = \"90 mm\"\n\
                 tip_diameter = \"60 mm\"\nwall = \"3 mm\"\nmaterial = \"{}\"\n[[support.arm.luminaire]]\nmass = \"{} kg\"\n",
                direction(a.azimuth_deg),
                a.reach_m,
                a.rise_m,
                p.material,
                a.luminaire_kg,
            );
        }
        let [outer, inner, wall] = b.friction;
        let _ = write!(
            text,
            "[slip_base]\nbolts = {}\nfirst_bolt_azimuth = \"{} deg\"\n[slip_base.bolt]\nsize = \"{}\"\n\
             [slip_base.clamp]\ntorque = \"{} N.m\"\n[slip_base.notch]\nincluded_angle = \"{} deg\"\ntravel = \"{} mm\"\n\
             [slip_base.friction]\nouter = {outer}\ninner = {inner}\nwall = {wall}\n[slip_base.keeper]\npresent = {}\n",
            b.bolts,
            direction(b.first_bolt_deg),
            b.size,
            b.torque_nm,
            b.notch_deg,
            b.travel_mm,
            b.keeper,
        );
        let _ = write!(
            text,
            "[vehicle]\nclass = \"{}\"\n[impact]\nspeed = \"{} km/h\"\nface = \"{face}\"\nheading = \"{} deg\"\n\
             velocity_direction = \"{} deg\"\noffset = \"{offset_m} m\"\nbraking = {}\n[solver]\nrecord_limit = \"0.6 s\"\n",
            s.class,
            s.speed_kmph,
            direction(heading),
            direction(s.heading_deg),
            s.braking,
        );
        text
    }

    fn load(&self, mirrored: bool, turn_deg: f64) -> Result<Loaded, TestCaseError> {
        let text = self.text(mirrored, turn_deg);
        giveway_scenario::read(&text, "random.toml", &[]).map_err(|problems| {
            let list: Vec<String> = problems.iter().map(ToString::to_string).collect();
            TestCaseError::fail(format!("not accepted: {}\n{text}", list.join("\n")))
        })
    }
}

#[test]
fn every_run_is_finite_and_closes_its_books() {
    let inside = std::cell::Cell::new(0);
    on_random_scenarios(120, |draw| {
        let loaded = draw.load(false, 0.0)?;
        let computed = giveway_study::compute(&loaded.scenario, 0).map_err(|e| {
            TestCaseError::fail(format!("not computed: {e}\n{}", draw.text(false, 0.0)))
        })?;
        let summary = &computed.summary;
        giveway_results::check_finite("summary", summary)
            .map_err(|e| TestCaseError::fail(e.to_string()))?;
        let books = &summary.books;
        let said = format!(
            "energy {:e}, momentum {:e}\n{}",
            books.energy_residual_fraction,
            books.momentum_residual_fraction,
            draw.text(false, 0.0)
        );
        prop_assert!(books.momentum_closed, "{said}");
        if would_fold(summary) {
            let closed = summary.status == Status::Complete;
            prop_assert_eq!(closed, books.books_closed);
            prop_assert!(closed || summary.headline.outcome == Outcome::NotEvaluated);
            return Ok(());
        }
        inside.set(inside.get() + 1);
        prop_assert!(books.books_closed, "{said}");
        // No vehicle leaves with more kinetic energy than it brought.
        let energy = &summary.energy;
        let kinetic = energy.vehicle_kinetic_j + energy.support_kinetic_j;
        prop_assert!(
            kinetic <= energy.initial_kinetic_j * 1.01 + 50.0,
            "{energy:?}"
        );
        for taken in [
            energy.crush_j,
            energy.dent_j,
            energy.friction_j,
            energy.keeper_j,
        ] {
            // A plate that tilts far on a shaft that folds shares its work between opening and friction to first order of
            // the tilt only; the whole book closes.
            let split = if energy.fold_j > 100.0 {
                0.01 * energy.initial_kinetic_j
            } else {
                1.0
            };
            prop_assert!(taken >= -split, "{energy:?}");
        }
        Ok(())
    });
    // The generator must not have wandered off into shafts that fold.
    assert!(
        inside.get() >= 12,
        "only {} runs in the domain of the model",
        inside.get()
    );
}

fn would_fold(summary: &Summary) -> bool {
    summary.contact.foot_moment_ratio > 1.0 || summary.contact.contact_moment_ratio > 1.0
}

#[test]
fn the_resolved_copy_is_the_same_scenario() {
    on_random_scenarios(256, |draw| {
        let first = draw.load(false, 0.0)?;
        let again = giveway_scenario::read(&first.resolved_text, "again.toml", &[])
            .map_err(|e| TestCaseError::fail(format!("{e:?}\n{}", first.resolved_text)))?;
        prop_assert_eq!(&first.scenario, &again.scenario);
        Ok(())
    });
}

fn engage(loaded: &Loaded) -> Result<Engagement, TestCaseError> {
    let fail = |e: giveway_impact::ImpactError| TestCaseError::fail(e.to_string());
    Prepared::new(&loaded.scenario)
        .map_err(fail)?
        .engage(RecordRequest::NUMBERS)
        .map_err(fail)
}

/// Runs a scenario from two points of view and compares what must not depend on them, wherever the shaft does
/// not fold. Directions round differently in the two, so the numbers agree closely and not bit for bit.
fn seen_twice(draw: &Draw, mirrored: bool, turn_deg: f64) -> Result<(), TestCaseError> {
    let a = engage(&draw.load(false, 0.0)?)?;
    let b = engage(&draw.load(mirrored, turn_deg)?)?;
    if a.foot_moment_ratio > 1.0 || a.contact_moment_ratio > 1.0 {
        return Ok(());
    }
    let text = draw.text(false, 0.0);
    prop_assert_eq!(a.ending, b.ending, "{}", text);
    let pairs = [
        (
            // What is counted: at the end of the engagement brakes have gone on for a step more or less of the parted pole.
            "velocity change, m/s",
            a.velocity_change_at_contact_end_mps.unwrap_or(0.0),
            b.velocity_change_at_contact_end_mps.unwrap_or(0.0),
            0.1,
        ),
        ("peak force, N", a.peak_force_n, b.peak_force_n, 1e3),
        ("peak crush, m", a.peak_crush_m, b.peak_crush_m, 0.01),
        (
            "release, s",
            a.release_time_s.unwrap_or(0.0),
            b.release_time_s.unwrap_or(0.0),
            0.01,
        ),
        (
            "friction, J",
            a.energy.friction_j,
            b.energy.friction_j,
            100.0,
        ),
    ];
    for (what, x, y, scale) in pairs {
        let difference = (x - y).abs() / x.abs().max(scale);
        prop_assert!(difference < 1e-4, "{what}: {x} against {y}\n{text}");
    }
    Ok(())
}

#[test]
fn a_mirrored_site_gives_the_same_result() {
    on_random_scenarios(40, |draw| seen_twice(draw, true, 0.0));
}

#[test]
fn a_turned_site_gives_the_same_result() {
    on_random_scenarios(40, |draw| seen_twice(draw, false, 37.0));
}
