//! Runs every case of the tables in `tests/data` and compares it with its reference.

mod pulses;

use std::collections::BTreeSet;
use std::path::Path;

use giveway_occupant::asi::severity;
use giveway_occupant::filter::{ChannelClass, Edge, LowPass};
use giveway_occupant::trace_scores::corridor::corridor_score;
use giveway_occupant::trace_scores::{residuals, sprague_geers};
use giveway_occupant::{OccupantRisk, STANDARD_GRAVITY_MPS2 as G, assess};
use pulses::{Record, half_sine, plane_motion, sampled};

use core::f64::consts::{PI, TAU};

/// Compares all cases of a table; `compute` gives the value of a case.
fn check_table(file: &str, compute: impl Fn(&str) -> f64) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(file);
    let text = std::fs::read_to_string(path).unwrap();
    let table: toml::Table = text.parse().unwrap();
    let mut seen = BTreeSet::new();
    let mut misses = Vec::new();
    for case in table["case"].as_array().unwrap() {
        let text = |key: &str| {
            case[key]
                .as_str()
                .unwrap_or_else(|| panic!("{key} in {case:?}"))
        };
        let id = text("id");
        assert!(seen.insert(id.to_owned()), "{id} twice in {file}");
        for key in ["source", "quantity", "why_this_tolerance"] {
            assert!(!text(key).is_empty(), "{id}: {key} is empty");
        }
        assert!(
            ["seen", "recalled", "derived"].contains(&text("mark")),
            "{id}: mark"
        );
        let (expected, tolerance) = (
            case["expected"].as_float().unwrap(),
            case["tolerance"].as_float().unwrap(),
        );
        let found = compute(id);
        let hit = (found - expected).abs() <= tolerance;
        if !hit {
            misses.push(format!(
                "{id}: found {found}, expected {expected} +/- {tolerance}"
            ));
        }
    }
    assert!(misses.is_empty(), "{file}:\n{}", misses.join("\n"));
}

#[test]
fn filters() {
    check_table("filter.toml", |id| {
        let (name, number) = id.rsplit_once('-').unwrap();
        let sample = || number.parse::<usize>().unwrap();
        match name {
            "cfc60" => coefficient(ChannelClass::Cfc60, number),
            "cfc180" => coefficient(ChannelClass::Cfc180, number),
            "cfc600" => coefficient(ChannelClass::Cfc600, number),
            "cfc60-gain-at-100" => {
                gain_at(LowPass::channel(ChannelClass::Cfc60, 1e-4).unwrap(), 100)
            }
            "phaseless13-gain-at-13" => gain_at(
                LowPass::phaseless(13.0, 1.0 / (13.0 * 1000.0)).unwrap(),
                1000,
            ),
            "half-sine-cfc60" => {
                let signal = sampled(3000, |i| {
                    let t = (i + 0.5) * 1e-4;
                    if t < 0.1 {
                        20.0 * libm::sin(PI * t / 0.1)
                    } else {
                        0.0
                    }
                });
                let filter = LowPass::channel(ChannelClass::Cfc60, 1e-4).unwrap();
                filter.run(&signal, Edge::Rest, Edge::Rest)[sample()]
            }
            "offset-sine-cfc180" => {
                let signal = sampled(400, |i| 3.0 + libm::sin(0.03 * i));
                let filter = LowPass::channel(ChannelClass::Cfc180, 1e-4).unwrap();
                filter.run(&signal, Edge::Rest, Edge::Hold)[sample()]
            }
            _ => panic!("no computation for {id}"),
        }
    });
}

fn coefficient(class: ChannelClass, name: &str) -> f64 {
    let c = LowPass::channel(class, 1e-4).unwrap().coefficients();
    assert_eq!((c.a1, c.a2), (2.0 * c.a0, c.a0));
    match name {
        "a0" => c.a0,
        "b1" => c.b1,
        "b2" => c.b2,
        _ => panic!("no coefficient {name}"),
    }
}

/// Amplitude of a filtered sine of `period` samples, over one period in the middle of 40.
fn gain_at(filter: LowPass, period: usize) -> f64 {
    let wave = |i: f64, shift: f64| libm::sin(TAU * i / period as f64 + shift);
    let filtered = filter.run(
        &sampled(40 * period, |i| wave(i, 0.0)),
        Edge::Rest,
        Edge::Rest,
    );
    let part = |shift: f64| -> f64 {
        let middle = filtered.iter().enumerate().skip(20 * period).take(period);
        middle
            .map(|(k, y)| 2.0 * y * wave(k as f64, shift))
            .sum::<f64>()
            / period as f64
    };
    libm::hypot(part(0.0), part(PI / 2.0))
}

#[test]
fn occupant_numbers() {
    check_table("occupant.toml", |id| match id {
        "constant-5g-time" => time(&constant([-5.0, 0.0, 0.0])),
        "constant-5g-oiv" => constant([-5.0, 0.0, 0.0]).flail.oiv_longitudinal_mps,
        "lateral-10g-time" => time(&constant([0.0, -10.0, 0.0])),
        "lateral-10g-oiv" => constant([0.0, -10.0, 0.0]).flail.oiv_lateral_mps,
        "coasting-time" => time(&lost(4.0, 0.050, 0.3)),
        "coasting-oiv" => lost(4.0, 0.050, 0.3).flail.oiv_longitudinal_mps,
        "half-sine-10g-change" => half_sine(10.0, 0.1, 1e-4, 3000)
            .motion()
            .velocity_change_by_mps(1.0)[0],
        "half-sine-10g-time" => time(&pulse(10.0)),
        "half-sine-20g-time" => time(&pulse(20.0)),
        "half-sine-20g-oiv" => pulse(20.0).flail.oiv_longitudinal_mps,
        "half-sine-20g-ridedown" => {
            half_sine(20.0, 0.1, 1e-5, 20_000)
                .assess()
                .flail
                .ridedown_longitudinal
                .unwrap()
                .value_g
        }
        "second-pulse-ridedown" => second_pulse().flail.ridedown_longitudinal.unwrap().value_g,
        "slow-occupant-time" => time(&lost(0.59, 0.020, 1.2)),
        "slow-occupant-fallback" => lost(0.59, 0.020, 0.9).flail.oiv_longitudinal_mps,
        "plane-motion-flail-time" => time(&plane_motion().assess()),
        "plane-motion-flail-oiv-x" => plane_motion().assess().flail.oiv_longitudinal_mps,
        "plane-motion-flail-oiv-y" => plane_motion().assess().flail.oiv_lateral_mps,
        "thiv-8g" => constant([-8.0, 0.0, 0.0]).head.thiv_kmph.unwrap(),
        "thiv-yaw-time" => pure_yaw().head.contact_time_s.unwrap(),
        "thiv-yaw" => pure_yaw().head.thiv_kmph.unwrap(),
        "thiv-plane-motion-time" => plane_motion().assess().head.contact_time_s.unwrap(),
        "thiv-plane-motion" => plane_motion().assess().head.thiv_kmph.unwrap(),
        "phd-constant-8g" => {
            constant([-8.0, 0.0, 0.0])
                .head
                .phd_10ms_mean
                .unwrap()
                .value_g
        }
        "phd-10hz-half-sine-20g" => pulse(20.0).head.phd_10hz_filter.unwrap().value_g,
        "asi-constant" => severity([6.0, 4.5, 5.0]),
        "asi-of-steady-record" => constant([6.0, 4.5, 5.0]).asi_50ms_mean.unwrap().asi,
        "asi-half-sine-20g" => pulse(20.0).asi_50ms_mean.unwrap().asi,
        "asi-13hz-half-sine-20g" => pulse(20.0).asi_13hz_filter.unwrap().asi,
        "mean50-half-sine-20g" => pulse(20.0).largest_50ms_mean.unwrap().longitudinal.value_g,
        "mean10-half-sine-20g" => pulse(20.0).largest_10ms_mean.unwrap().longitudinal.value_g,
        "exit-speed" => braking().speed_after_12m_mps.unwrap(),
        _ => panic!("no computation for {id}"),
    });
}

fn time(risk: &OccupantRisk) -> f64 {
    risk.flail.contact_time_s.unwrap()
}

/// 0.5 s of a constant acceleration in g.
fn constant(acceleration_g: [f64; 3]) -> OccupantRisk {
    Record::of(5000, |_| acceleration_g.map(|a| a * G)).assess()
}

/// Half sine over 100 ms, then rest until 0.5 s.
fn pulse(peak_g: f64) -> OccupantRisk {
    half_sine(peak_g, 0.1, 1e-4, 5000).assess()
}

/// `change_mps` lost evenly in `duration_s`, then coasting until `length_s`.
fn lost(change_mps: f64, duration_s: f64, length_s: f64) -> OccupantRisk {
    let intervals = (length_s / 1e-4).round() as usize;
    let record = Record::of(intervals, |k| {
        let braking = (k as f64 + 0.5) * 1e-4 < duration_s;
        [
            if braking {
                -change_mps / duration_s
            } else {
                0.0
            },
            0.0,
            0.0,
        ]
    });
    let change = record.motion().velocity_change_by_mps(duration_s);
    assess(&record.motion(), change).unwrap()
}

/// 4 m/s lost in 50 ms, contact at 175 ms, -12 g from 200 to 230 ms.
fn second_pulse() -> OccupantRisk {
    Record::of(3000, |k| {
        let acceleration = match k {
            0..500 => -4.0 / 0.050,
            2000..2300 => -12.0 * G,
            _ => 0.0,
        };
        [acceleration, 0.0, 0.0]
    })
    .assess()
}

fn pure_yaw() -> OccupantRisk {
    let mut record = Record::of(6000, |_| [0.0; 3]);
    record.yaw_rate_radps.fill(3.0);
    record.head_m = [0.5, 0.0];
    record.assess()
}

/// 15 m/s and -3 m/s^2 in a direction oblique to the site, 1 ms apart.
fn braking() -> OccupantRisk {
    let mut record = Record::of(2000, |_| [-3.0, 0.0, 0.0]);
    let (ux, uy) = (0.8, -0.6);
    record.interval_s = 1e-3;
    record.initial_velocity_mps = [15.0 * ux, 15.0 * uy, 0.0];
    for k in 1..=2000 {
        let t = f64::from(k) * 1e-3;
        let (s, v) = (15.0 * t - 1.5 * t * t, 15.0 - 3.0 * t);
        record.position_m.push([7.0 + s * ux, 3.0 + s * uy, 0.5]);
        record.end_velocity_mps.push([v * ux, v * uy, 0.0]);
    }
    record.assess()
}

#[test]
fn trace_scores() {
    let sine = sampled(1000, |i| libm::sin(TAU * i / 200.0));
    let scaled: Vec<f64> = sine.iter().map(|m| 1.2 * m).collect();
    let offset: Vec<f64> = sine.iter().map(|m| m + 0.03).collect();
    let shifted = sampled(1000, |i| libm::sin(TAU * (i / 200.0 - 0.05)));
    let damped = |tau: f64| {
        sampled(2001, move |i| {
            let t = i * 1e-3 - tau;
            if t < 0.0 {
                0.0
            } else {
                libm::exp(-t) * libm::sin(TAU * t)
            }
        })
    };
    check_table("trace_scores.toml", |id| match id {
        "scaled-magnitude" => sprague_geers(&sine, &scaled).unwrap().magnitude,
        "scaled-phase" => sprague_geers(&sine, &scaled).unwrap().phase,
        "shifted-phase" => sprague_geers(&sine, &shifted).unwrap().phase,
        "damped-magnitude" => {
            sprague_geers(&damped(0.14), &damped(0.04))
                .unwrap()
                .magnitude
        }
        "damped-phase" => sprague_geers(&damped(0.14), &damped(0.04)).unwrap().phase,
        "offset-mean-residual" => residuals(&sine, &offset).unwrap().mean_fraction,
        "offset-deviation" => residuals(&sine, &offset).unwrap().deviation_fraction,
        "scaled-deviation" => residuals(&sine, &scaled).unwrap().deviation_fraction,
        "corridor-constant" => corridor_score(&[1.0; 20], &[1.1; 20]).unwrap(),
        _ => panic!("no computation for {id}"),
    });
}
