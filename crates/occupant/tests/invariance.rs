//! What must not change the numbers: finer sampling of the same piecewise constant motion, mirroring, and running twice.

mod pulses;

use giveway_occupant::OccupantRisk;
use pulses::{Record, plane_motion};

fn close(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance, "{what}: {a} against {b}");
}

/// Each interval cut into three of the same acceleration: the same motion, so the same flail space and means.
#[test]
fn cutting_the_intervals_changes_nothing() {
    let whole = plane_motion();
    let mut cut = Record::of(12_000, |k| whole.acceleration_mps2[k / 3]);
    cut.interval_s = whole.interval_s / 3.0;
    let (a, b) = (whole.assess(), cut.assess());
    close(
        a.flail.contact_time_s.unwrap(),
        b.flail.contact_time_s.unwrap(),
        1e-11,
        "t*",
    );
    close(
        a.flail.oiv_longitudinal_mps,
        b.flail.oiv_longitudinal_mps,
        1e-10,
        "OIV x",
    );
    close(
        a.flail.oiv_lateral_mps,
        b.flail.oiv_lateral_mps,
        1e-10,
        "OIV y",
    );
    let ridedown = |r: &OccupantRisk| r.flail.ridedown_lateral.unwrap().value_g;
    close(ridedown(&a), ridedown(&b), 1e-9, "ridedown");
    close(
        a.asi_50ms_mean.unwrap().asi,
        b.asi_50ms_mean.unwrap().asi,
        1e-11,
        "ASI",
    );
    let mean = |r: &OccupantRisk| r.largest_10ms_mean.unwrap().lateral.value_g;
    close(mean(&a), mean(&b), 1e-10, "10 ms mean");
}

/// Left and right exchanged: lateral signs turn, everything else stays to the bit.
#[test]
fn mirroring_turns_the_lateral_signs() {
    let record = plane_motion();
    let mut mirrored = Record::of(4000, |k| {
        let [x, y, z] = record.acceleration_mps2[k];
        [x, -y, z]
    });
    mirrored.yaw_rate_radps = record.yaw_rate_radps.iter().map(|w| -w).collect();
    mirrored.head_m = [record.head_m[0], -record.head_m[1]];
    let (a, b) = (record.assess(), mirrored.assess());
    assert_eq!(a.flail.contact_time_s, b.flail.contact_time_s);
    assert_eq!(a.flail.oiv_longitudinal_mps, b.flail.oiv_longitudinal_mps);
    assert_eq!(a.flail.oiv_lateral_mps, -b.flail.oiv_lateral_mps);
    assert_eq!(a.head.contact_time_s, b.head.contact_time_s);
    assert_eq!(a.head.thiv_mps, b.head.thiv_mps);
    assert_eq!(
        a.head.relative_velocity_mps[1],
        -b.head.relative_velocity_mps[1]
    );
    assert_eq!(a.head.phd_10hz_filter, b.head.phd_10hz_filter);
    assert_eq!(
        a.asi_13hz_filter.unwrap().asi,
        b.asi_13hz_filter.unwrap().asi
    );
}

#[test]
fn the_same_record_gives_the_same_bits() {
    let record = plane_motion();
    assert_eq!(record.assess(), record.assess());
}
