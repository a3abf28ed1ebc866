//! The law of a face that an earlier blow has pushed in, by hand values.

use giveway_scenario::model::{Band, Face};

fn band(setback_m: f64) -> Band {
    Band {
        name: "bumper".into(),
        lower_m: 0.4,
        upper_m: 0.5,
        setback_m,
        crush_curve: vec![(0.0, 0.0), (0.075, 30e3), (0.475, 150e3)],
        unloading_npm: 3e6,
    }
}

/// By hand: F = 30 kN + 300 kN/m (c - 75 mm), c - F/3 MN/m = 100 mm: c = 0.1025/0.9 = 113.889 mm, F = 41.667 kN.
#[test]
fn the_law_starts_where_the_dent_is() {
    let used = Face {
        bands: vec![band(0.0)],
    }
    .used(0.1);
    let b = &used.bands[0];
    assert!((b.setback_m - 0.1).abs() < 1e-12);
    assert_eq!(b.crush_curve.len(), 3);
    assert_eq!(b.crush_curve[0], (0.0, 0.0));
    let (x, f) = b.crush_curve[1];
    assert!(
        (f - 41_666.667).abs() < 0.01 && (x - 0.013_888_9).abs() < 1e-7,
        "{x} {f}"
    );
    let (x, f) = b.crush_curve[2];
    assert!((x - 0.375).abs() < 1e-12 && f == 150e3, "{x} {f}");
}

#[test]
fn new_faces_deep_dents_and_bands_behind() {
    let face = Face {
        bands: vec![band(0.0), band(0.2)],
    };
    assert_eq!(face.clone().used(0.0), face);
    let used = face.clone().used(0.15);
    assert_eq!(used.bands[1], face.bands[1]);
    // A straight post touches first what stands foremost: 0.4 m against 0.2 + 0.25 m.
    assert_eq!(face.dent_left_m(&[0.4, 0.25]), 0.4);
    assert_eq!(face.dent_left_m(&[0.1, 0.0]), 0.1);
    assert_eq!(face.dent_left_m(&[0.0, 0.0]), 0.0);
    assert_eq!(face.depth_m(), 0.675);
    // The post was 0.2525/0.9 m deep: the second band was crushed by 0.280556 - 0.2 m, 31.667 kN, and stays 0.27 m behind.
    let twice = face.clone().used(0.25);
    assert!((twice.bands[1].setback_m - 0.27).abs() < 1e-9, "{twice:?}");
    // A second blow that is softer leaves the dent of the first.
    assert!((twice.dent_left_m(&[0.0, 0.0]) - 0.25).abs() < 1e-12);
    // Beyond the last point: c (1 - 0.1) = 0.6 + (30 - 22.5)/3000, and 300 kN/m from there on.
    let deep = &face.used(0.6).bands[0].crush_curve;
    let (force, slope) = (deep[1].1, (deep[2].1 - deep[1].1) / (deep[2].0 - deep[1].0));
    assert!(
        (force - (7.5e3 + 300e3 * 0.6025 / 0.9)).abs() < 1e-6,
        "{force}"
    );
    assert!((slope - 300e3).abs() < 1e-6, "{slope}");
}

/// A face that springs back whole is set back and keeps its law.
#[test]
fn an_elastic_band_keeps_its_law() {
    let mut b = band(0.0);
    b.crush_curve = vec![(0.0, 0.0), (1.0, 3e6)];
    let used = Face {
        bands: vec![b.clone()],
    }
    .used(0.1);
    assert_eq!(used.bands[0].crush_curve, b.crush_curve);
    assert_eq!(used.bands[0].setback_m, 0.1);
}
