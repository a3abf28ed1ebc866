//! Records that are empty, tiny, broken or absurd: an error that names the place, or a result that says what is missing.

mod pulses;

use giveway_occupant::OccupantError;
use giveway_occupant::flail::{RidedownStatus, Surface, VelocityBasis};
use giveway_occupant::trace_scores::corridor::corridor_score;
use giveway_occupant::trace_scores::{accept, sprague_geers};
use giveway_occupant::{STANDARD_GRAVITY_MPS2 as G, assess};
use pulses::Record;

fn error_of(record: &Record) -> OccupantError {
    assess(&record.motion(), [0.0, 0.0]).unwrap_err()
}

#[test]
fn empty_record() {
    assert_eq!(
        error_of(&Record::of(0, |_| [0.0; 3])),
        OccupantError::EmptyRecord
    );
}

#[test]
fn interval_that_is_not_positive() {
    for interval_s in [0.0, -1e-4, f64::NAN, f64::INFINITY] {
        let mut record = Record::of(10, |_| [0.0; 3]);
        record.interval_s = interval_s;
        let error = error_of(&record);
        assert!(matches!(error, OccupantError::Interval { .. }), "{error}");
    }
}

#[test]
fn value_that_is_no_number_is_named() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
        let mut record = Record::of(10, |_| [0.0; 3]);
        record.acceleration_mps2[7][2] = value;
        let error = error_of(&record);
        let OccupantError::NotUsable {
            quantity, index, ..
        } = error
        else {
            panic!("{error}")
        };
        assert_eq!((quantity, index), ("acceleration_mps2", 7));
        assert!(
            error.to_string().starts_with("acceleration_mps2[7] is "),
            "{error}"
        );

        let mut record = Record::of(10, |_| [0.0; 3]);
        record.yaw_rate_radps[9] = value;
        let error = error_of(&record);
        assert!(matches!(
            error,
            OccupantError::NotUsable {
                quantity: "yaw_rate_radps",
                index: 9,
                ..
            }
        ));

        let mut record = Record::of(2, |_| [0.0; 3]);
        record.position_m = vec![[0.0; 3], [0.0, value, 0.0]];
        let error = error_of(&record);
        assert!(matches!(
            error,
            OccupantError::NotUsable {
                quantity: "position_m",
                index: 1,
                ..
            }
        ));
    }
    let record = Record::of(10, |_| [0.0; 3]);
    let error = assess(&record.motion(), [f64::NAN, 0.0]).unwrap_err();
    assert!(matches!(
        error,
        OccupantError::NotUsable {
            quantity: "contact_velocity_change_mps",
            ..
        }
    ));
}

#[test]
fn histories_of_different_lengths() {
    let mut record = Record::of(10, |_| [0.0; 3]);
    record.yaw_rate_radps.pop();
    let expected = OccupantError::Length {
        quantity: "yaw_rate_radps",
        expected: 10,
        found: 9,
    };
    assert_eq!(error_of(&record), expected);
    let mut record = Record::of(10, |_| [0.0; 3]);
    record.attitude_rad = vec![[0.0; 3]; 3];
    let expected = OccupantError::Length {
        quantity: "attitude_rad",
        expected: 10,
        found: 3,
    };
    assert_eq!(error_of(&record), expected);
}

#[test]
fn one_sample() {
    let record = Record::of(1, |_| [-50.0, 0.0, 0.0]);
    let risk = assess(&record.motion(), [0.005, 0.0]).unwrap();
    assert_eq!(risk.flail.basis, VelocityBasis::ContactVelocityChange);
    assert_eq!(risk.flail.oiv_longitudinal_mps, 0.005);
    assert_eq!(risk.flail.ridedown_status, RidedownStatus::NoContact);
    assert_eq!((risk.asi_50ms_mean, risk.largest_10ms_mean), (None, None));
    assert_eq!((risk.head.thiv_mps, risk.speed_after_12m_mps), (None, None));
    assert!(risk.asi_13hz_filter.is_some_and(|i| i.asi.is_finite()));
    assert!((risk.peak.longitudinal.value_g + 50.0 / G).abs() < 1e-12);
}

#[test]
fn huge_samples_reach_the_surface() {
    // 500 m/s lost in 100 us moves the occupant by 25 mm only
    let record = Record::of(1, |_| [-5e6, 0.0, 0.0]);
    let risk = assess(&record.motion(), [0.0, 0.0]).unwrap();
    assert_eq!(risk.flail.basis, VelocityBasis::ContactVelocityChange);
    // twelve such intervals bring it to the front, and leave less than 10 ms for the ridedown
    let record = Record::of(12, |_| [-5e6, 0.0, 0.0]);
    let risk = assess(&record.motion(), [0.0, 0.0]).unwrap();
    assert_eq!(risk.flail.surface, Some(Surface::Forward));
    assert_eq!(risk.flail.ridedown_status, RidedownStatus::RecordTooShort);
    // t = sqrt(2 s / a)
    let t = (1.2_f64 / 5e6).sqrt();
    assert!((risk.flail.contact_time_s.unwrap() - t).abs() < 1e-12);
    assert!((risk.head.contact_time_s.unwrap() - t).abs() < 1e-12);
}

#[test]
fn sampling_too_coarse_for_the_filters() {
    let mut record = Record::of(40, |_| [-10.0, 0.0, 0.0]);
    record.interval_s = 0.05;
    let risk = record.assess();
    assert_eq!(
        (risk.asi_13hz_filter, risk.head.phd_10hz_filter),
        (None, None)
    );
    assert!((risk.asi_50ms_mean.unwrap().asi - 10.0 / G / 12.0).abs() < 1e-12);
    assert!((risk.flail.contact_time_s.unwrap() - (0.12_f64).sqrt()).abs() < 1e-12);
}

#[test]
fn nothing_happens() {
    let risk = Record::of(5000, |_| [0.0; 3]).assess();
    assert_eq!(risk.flail.contact_time_s, None);
    assert_eq!(risk.asi_13hz_filter.unwrap().asi, 0.0);
    assert_eq!(risk.asi_50ms_mean.unwrap().asi, 0.0);
    assert_eq!(risk.head.relative_velocity_mps, [0.0, 0.0]);
}

#[test]
fn the_four_surfaces() {
    let cases = [
        ([-50.0, 0.0, 0.0], Surface::Forward),
        ([50.0, 0.0, 0.0], Surface::Rearward),
        ([0.0, -50.0, 0.0], Surface::Left),
        ([0.0, 50.0, 0.0], Surface::Right),
    ];
    for (acceleration, surface) in cases {
        let risk = Record::of(3000, |_| acceleration).assess();
        assert_eq!(
            (risk.flail.surface, risk.head.surface),
            (Some(surface), Some(surface))
        );
        let velocity = [risk.flail.oiv_longitudinal_mps, risk.flail.oiv_lateral_mps];
        for axis in 0..2 {
            assert!(
                velocity[axis] * acceleration[axis] <= 0.0,
                "occupant moves against the acceleration"
            );
        }
    }
}

#[test]
fn a_surface_is_met_between_samples_even_if_the_occupant_turns_back() {
    // two intervals of 0.4 s: the vehicle brakes, then accelerates as much
    let mut record = Record::of(2, |k| [if k == 0 { -5.0 } else { 5.0 }, 0.0, 0.0]);
    record.interval_s = 0.4;
    // after 0.4 s: u = 0.4 m, v = 2 m/s; then 0.4 + 2 t - 2.5 t^2 = 0.6 at t = 0.11716, back at 0.4 m by 0.8 s
    let risk = record.assess();
    let expected = 0.4 + (2.0 - 2.0_f64.sqrt()) / 5.0;
    assert!(
        (risk.flail.contact_time_s.unwrap() - expected).abs() < 1e-12,
        "{risk:?}"
    );
}

#[test]
fn traces_that_cannot_be_compared() {
    assert!(matches!(
        sprague_geers(&[1.0], &[1.0]),
        Err(OccupantError::TooFewSamples { .. })
    ));
    assert!(matches!(
        sprague_geers(&[], &[]),
        Err(OccupantError::TooFewSamples { .. })
    ));
    assert!(matches!(
        sprague_geers(&[1.0; 3], &[1.0; 2]),
        Err(OccupantError::Length { .. })
    ));
    let zero = OccupantError::ZeroTrace { trace: "measured" };
    assert_eq!(accept(&[0.0; 20], &[1.0; 20]), Err(zero.clone()));
    assert_eq!(corridor_score(&[0.0; 20], &[1.0; 20]), Err(zero));
    let bad = [1.0, f64::NAN];
    let error = sprague_geers(&[1.0, 2.0], &bad).unwrap_err();
    assert!(matches!(
        error,
        OccupantError::NotUsable {
            quantity: "computed",
            index: 1,
            ..
        }
    ));
}
