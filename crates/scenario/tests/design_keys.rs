//! Keys that the installation sheet needs: heads, nuts and lengths of bolts, washers, the joint of an arm, the underside.

use giveway_scenario::{Diagnostic, Loaded, read};

const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn set(pairs: &[(&str, &str)]) -> Result<Loaded, Vec<Diagnostic>> {
    let pairs: Vec<(String, String)> = pairs
        .iter()
        .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
        .collect();
    read(FIRST, "first.toml", &pairs)
}

/// The file again from its resolved copy, compared bit for bit.
fn survives(first: &Loaded) {
    let again = read(&first.resolved_text, "copy", &[])
        .unwrap_or_else(|e| panic!("{}\n{}", e[0], first.resolved_text));
    assert_eq!(
        serde_json::to_string(&first.scenario).unwrap(),
        serde_json::to_string(&again.scenario).unwrap(),
        "{}",
        first.resolved_text
    );
    assert_eq!(first.scenario, again.scenario);
}

#[test]
fn design_keys_of_bolts_washers_joint_and_underside() {
    let plain = set(&[]).unwrap().scenario;
    let base = &plain.base;
    assert_eq!(base.bolt.size, "M27");
    // ISO 4014 and 4032 \[recalled\]: head 17 mm, 41 mm across flats, nut 23.8 mm.
    assert_eq!(
        (
            base.bolt.head_height_m,
            base.bolt.across_flats_m,
            base.bolt.nut_height_m
        ),
        (0.017, 0.041, 0.0238)
    );
    assert!((base.notch_span_m - 0.029).abs() < 1e-15);
    assert_eq!(base.plate_washer_yield_pa, 900e6);
    assert_eq!(base.bolt_length_m, None);
    assert_eq!(plain.vehicle.underside_m, 0.15);
    let inch = set(&[("slip_base.bolt.size", "1 in")])
        .unwrap()
        .scenario
        .base;
    // Heavy hexagon, ASME B18.2.6 \[recalled\]: 39/64, 1-5/8 and 63/64 in.
    for (got, inches) in [
        (inch.bolt.head_height_m, 39.0 / 64.0),
        (inch.bolt.across_flats_m, 1.625),
        (inch.bolt.nut_height_m, 63.0 / 64.0),
    ] {
        assert!((got - inches * 0.0254).abs() < 1e-15, "{got}");
    }
    let all = set(&[
        ("slip_base.bolt.length", "160 mm"),
        ("slip_base.notch.span", "31 mm"),
        ("slip_base.washers.plate_yield", "345 MPa"),
        ("vehicle.underside", "0.2 m"),
        ("support.arm[1].reach", "2 m"),
        ("support.arm[1].base_diameter", "80 mm"),
        ("support.arm[1].wall", "3 mm"),
        ("support.arm[1].material", "steel-345"),
        ("support.arm[1].joint.size", "3/4 in"),
        ("support.arm[1].joint.grade", "A325"),
        ("support.arm[1].joint.screws", "6"),
        ("support.arm[1].joint.length", "2.5 in"),
    ])
    .unwrap();
    survives(&all);
    let s = &all.scenario;
    assert_eq!(s.base.bolt_length_m, Some(0.16));
    assert_eq!(
        (s.base.notch_span_m, s.base.plate_washer_yield_pa),
        (0.031, 345e6)
    );
    assert_eq!(s.vehicle.underside_m, 0.2);
    let joint = &s.support.arms[0].joint;
    assert_eq!((joint.screws, joint.screw.size.as_str()), (6, "3/4 in"));
    // 0.334 in2, ASME B1.1 \[recalled\]; 120 ksi.
    assert!((joint.screw.stress_area_m2 / 6.4516e-4 - 0.334).abs() < 6e-4);
    assert!((joint.screw.ultimate_pa / 827.37e6 - 1.0).abs() < 1e-5);
    // Root diameter + 4 d, 1.5 d deep.
    assert!((joint.circle_m - (0.08 + 4.0 * 0.01905)).abs() < 1e-15);
    assert!((joint.tapped_m - 1.5 * 0.01905).abs() < 1e-15);
    assert_eq!(joint.grip_m, 0.024);
    assert!((joint.length_m.unwrap() - 0.0635).abs() < 1e-15);
    let inside = set(&[
        ("support.arm[1].reach", "2 m"),
        ("support.arm[1].base_diameter", "80 mm"),
        ("support.arm[1].wall", "3 mm"),
        ("support.arm[1].material", "steel-345"),
        ("support.arm[1].joint.circle", "95 mm"),
    ])
    .unwrap_err();
    assert_eq!(
        (inside[0].code, inside[0].path.as_str()),
        ("S053", "support.arm[1].joint.circle")
    );
}
