//! The clamped pole stands, whatever its bolts: every base either computes or says what to change.

mod cases;
#[path = "../../../tests/thorough.rs"]
mod thorough;

use cases::{first, heavy_with_arm};
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::{
    AsFound, Grout, KeeperFound, NotchLump, Plate, RoundWashers, Rust, Scenario, Threads,
};

const RUST: [Rust; 3] = [Rust::None, Rust::Light, Rust::Seized];

/// Moves nothing by itself and closes its book.
fn sound(name: &str, s: &Scenario) {
    let p = Prepared::new(s).unwrap_or_else(|e| panic!("{name}: {e}"));
    let e = p
        .engage(RecordRequest::NUMBERS)
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    let residual = e.energy.residual_j.abs() / e.energy.initial_kinetic_j;
    assert!(residual < 0.005, "{name}: {residual:e}");
}

#[test]
fn bolts_without_torque_stand_at_every_rust_arm_and_number_of_bolts() {
    for bolts in [3, 4] {
        for reach in [0.5, 2.0, 6.0] {
            for torque in [0.0, 0.01, 1.0, 180.0, 540.0] {
                for rust in RUST {
                    let mut s = if reach > 5.0 {
                        heavy_with_arm(&[])
                    } else {
                        first(&[])
                    };
                    s.base.bolt_count = bolts;
                    s.support.arms[0].reach_m = reach;
                    s.as_found.torques_nm = vec![torque];
                    s.as_found.rust = rust;
                    sound(
                        &format!("{bolts} bolts, {reach} m arm, {torque} N.m, {rust:?}"),
                        &s,
                    );
                }
            }
        }
    }
}

#[test]
fn a_pole_on_loose_bolts_stands_still() {
    for rust in RUST {
        for torques in [vec![0.0], vec![0.0, 180.0, 0.0]] {
            let mut s = first(&[]);
            s.as_found.torques_nm = torques.clone();
            s.as_found.rust = rust;
            let moved = Prepared::new(&s).unwrap().stand_still(0.5).unwrap();
            assert!(moved < 1e-5, "{torques:?} N.m, {rust:?}: moved {moved:e} m");
        }
    }
}

/// A small linear congruential generator: the same findings in every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        of[(self.roll() * of.len() as f64) as usize].clone()
    }
}

fn findings(dice: &mut Dice, bolts: usize, torque: f64) -> AsFound {
    let mut f = AsFound {
        rust: dice.pick(&RUST),
        torques_nm: (0..bolts)
            .map(|_| torque * dice.pick(&[0.0, 0.02, 0.5, 1.0, 3.0]))
            .collect(),
        threads: dice.pick(&[Threads::AsDesigned, Threads::Waxed, Threads::Reused]),
        turned_rad: dice.pick(&[0.0, 0.5, 2.0]),
        notch_offset_m: dice.pick(&[0.0, 0.003, -0.012]),
        keeper: dice.pick(&[
            KeeperFound::AsDesigned,
            KeeperFound::Missing,
            KeeperFound::Thickness(0.002),
        ]),
        round_washers: dice.pick(&[
            RoundWashers::Between,
            RoundWashers::Missing {
                plate_friction: 0.4,
            },
        ]),
        engaged_threads: dice.pick(&[None, None, Some(3.0), Some(0.5), Some(0.0)]),
        plate_washer_m: dice.pick(&[None, Some(0.003)]),
        ..AsFound::default()
    };
    if dice.roll() < 0.3 {
        f.grout = Some(Grout {
            notch_gap_m: None,
            gap_m: -0.02,
            strength_pa: 28e6,
            cover_m: 0.1,
            bolts: vec![1],
        });
    }
    if dice.roll() < 0.3 {
        f.lump = Some(NotchLump {
            height_m: 0.004,
            length_m: 0.01,
            width_m: 0.02,
            ultimate_pa: 1.2e8,
            plate: Plate::Upper,
            bolts: vec![2],
        });
    }
    f
}

#[test]
fn findings_at_random_compute_or_say_what_to_change() {
    let mut dice = Dice(11);
    let mut refused = 0;
    let count = thorough::of(400);
    for i in 0..count {
        let mut s = if dice.roll() < 0.5 {
            first(&[])
        } else {
            heavy_with_arm(&[])
        };
        s.base.bolt_count = dice.pick(&[3, 4]);
        s.base.first_bolt_azimuth_rad = dice.roll() * 6.0;
        s.support.arms[0].azimuth_rad = dice.roll() * 6.0;
        s.as_found = findings(&mut dice, s.base.bolt_count, 180.0);
        match Prepared::new(&s) {
            Ok(p) => {
                p.engage(RecordRequest::NUMBERS)
                    .unwrap_or_else(|e| panic!("{i}: {e}\n{:?}", s.as_found));
            }
            Err(e) => {
                refused += 1;
                let text = e.to_string();
                assert!(
                    text.contains("engaged_threads") && s.as_found.engaged_threads.is_some(),
                    "{i}: {text}\n{:?}",
                    s.as_found
                );
            }
        }
    }
    // Nuts on half a thread or less do not hold up an arm; everything else stands.
    assert!(refused < count / 4, "{refused} refused");
}
