//! Quantities read from text, and text that reads back to the same bits.

use giveway_units::{Dimension, UnitError, exact_text, parse, shown_in};
use proptest::prelude::*;

fn si(text: &str, dimension: Dimension) -> f64 {
    parse(text, dimension)
        .unwrap_or_else(|e| panic!("{text}: {e}"))
        .si
}

/// Values of NIST SP 811 (2008), appendix B.8 (as printed there, to the printed digits), and by definition.
#[test]
fn published_factors() {
    use Dimension::*;
    let rows: &[(&str, Dimension, f64, f64)] = &[
        // text, dimension, SI value, tolerance (half of the last printed digit)
        ("1 in", Length, 0.0254, 0.0),
        ("1 ft", Length, 0.3048, 0.0),
        ("1 lb", Mass, 0.453_592_37, 0.0),
        ("1 slug", Mass, 14.593_90, 5e-6),
        ("1 lbf", Force, 4.448_222, 5e-7),
        ("1 kip", Force, 4448.222, 5e-4),
        ("1 kgf", Force, 9.806_65, 0.0),
        ("1 lbf.ft", Torque, 1.355_818, 5e-7),
        ("1 lbf.in", Torque, 0.112_984_8, 5e-8),
        ("1 ft.lbf", Energy, 1.355_818, 5e-7),
        ("1 psi", Stress, 6894.757, 5e-4),
        ("1 ksi", Stress, 6_894_757.0, 0.5),
        ("1 psf", Stress, 47.880_26, 5e-6),
        ("1 lbf/in", Stiffness, 175.126_8, 5e-5),
        ("1 lbf/ft", Stiffness, 14.593_90, 5e-6),
        ("1 mph", Speed, 0.447_04, 0.0),
        ("1 km/h", Speed, 0.277_777_8, 5e-8),
        ("1 ft/s", Speed, 0.3048, 0.0),
        ("1 g", Acceleration, 9.806_65, 0.0),
        ("1 lb/ft3", Density, 16.018_46, 5e-6),
        ("1 lb.ft2", Inertia, 0.042_140_11, 5e-9),
        ("1 ft2", Area, 0.092_903_04, 0.0),
        ("1 in2", Area, 6.4516e-4, 0.0),
        ("1 deg", Angle, 0.017_453_29, 5e-9),
    ];
    for &(text, dimension, expected, tolerance) in rows {
        let got = si(text, dimension);
        assert!(
            (got - expected).abs() <= tolerance,
            "{text}: {got} against {expected}"
        );
    }
}

/// What crews write: pounds on a wrench, gauges, fractions of one letter, slopes of a level.
#[test]
fn spellings_of_a_crew() {
    use Dimension::*;
    for text in [
        "150 ft-lb",
        "150 lb-ft",
        "150 ft.lb",
        "150 ft-lbs.",
        "150 FT-LBS",
        "150 lbf.ft",
        "150 foot-pounds",
        "150 lbs ft",
    ] {
        assert!(
            (si(text, Torque) - 203.372_692_249_71).abs() < 1e-9,
            "{text}"
        );
    }
    assert_eq!(si("1800 in-lb", Torque), si("150 lbf.ft", Torque));
    assert_eq!(si("28 ga", Length), 0.0149 * 0.0254);
    assert_eq!(si("28 gauge", Length), si("0.0149 in", Length));
    assert_eq!(si("\u{bd} in", Length), 0.0127);
    assert_eq!(si("4\u{bd} in", Length), 0.1143);
    assert_eq!(si("4 \u{bd} in", Length), 0.1143);
    assert_eq!(si("1\u{2044}2\"", Length), 0.0127);
    assert_eq!(si("4 1/2\"", Length), 0.1143);
    assert_eq!(si("35'", Length), 10.668);
    assert!((si("1/8 in per ft", Angle) - 1.0 / 96.0).abs() < 1e-15);
    assert_eq!(si("3 mm/m", Angle), 0.003);
    assert_eq!(si("1/8\"/ft", Angle), si("1/8 in/ft", Angle));
    // No such gauge, and no gauge of a bolt's torque.
    assert!(parse("99 ga", Length).is_err() && parse("28 ga", Torque).is_err());
    assert!(parse("150 ft-lb", Length).is_err());
}

#[test]
fn spellings_of_the_trade() {
    use Dimension::*;
    assert_eq!(si("50 km/h", Speed), 50.0 / 3.6);
    assert_eq!(si("50km/h", Speed), 50.0 / 3.6);
    assert_eq!(si("200 N.m", Torque), 200.0);
    for text in [
        "200 N\u{b7}m",
        "200 N*m",
        "200 N m",
        "200 Nm",
        "200 N-m",
        " 200  N.m ",
    ] {
        assert_eq!(si(text, Torque), 200.0, "{text}");
    }
    let torque = si("150 lbf.ft", Torque);
    for text in [
        "150 ft\u{b7}lbf",
        "150 ft-lbf",
        "150 lbf\u{b7}ft",
        "150 lbf ft",
    ] {
        assert_eq!(si(text, Torque), torque, "{text}");
    }
    assert_eq!(si("1-1/8 in", Length), 0.028_575);
    assert_eq!(si("1 1/8 in", Length), 0.028_575);
    assert_eq!(si("27 mm", Length), 0.027);
    assert_eq!(si("36 ft", Length), 10.9728);
    assert_eq!(si("5 ft 6 in", Length), 1.6764);
    assert_eq!(si("5 ft 6-1/2 in", Length), 1.6891);
    assert_eq!(si("30 deg", Angle), core::f64::consts::PI / 6.0);
    assert_eq!(si("90\u{b0}", Angle), core::f64::consts::FRAC_PI_2);
    assert_eq!(si("0.5 g", Acceleration), 4.903_325);
    assert_eq!(si("9.81 m/s\u{b2}", Acceleration), 9.81);
    assert_eq!(si("9.81 m/s^2", Acceleration), 9.81);
    assert_eq!(si("20 kN", Force), 20_000.0);
    assert_eq!(si("7850 kg/m\u{b3}", Density), 7850.0);
    assert_eq!(si("25 us", Time), 25e-6);
    assert_eq!(si("25 \u{b5}s", Time), 25e-6);
    assert_eq!(si("50 MN/m", Stiffness), 5e7);
    assert_eq!(si("80 kN/mm", Stiffness), 8e7);
    assert_eq!(si("1 lbf ft s2", Inertia), si("1 slug.ft2", Inertia));
    assert_eq!(si("6.5 %", Ratio), 0.065);
    assert_eq!(si("0.065", Ratio), 0.065);
}

#[test]
fn each_kind_of_mistake_is_named() {
    use Dimension::*;
    let error = |text: &str, dimension| parse(text, dimension).unwrap_err();

    let e = error("200", Torque);
    assert!(matches!(e, UnitError::MissingUnit { .. }));
    assert_eq!(e.suggestion(), Some("200 N.m"));
    assert_eq!(error("50", Speed).suggestion(), Some("50 km/h"));
    // A fraction of a length is one of an inch: in mm a plate that is too high would pass.
    assert_eq!(error("4-1/2", Length).suggestion(), Some("4-1/2 in"));
    assert_eq!(error("1/2 im", Length).suggestion(), Some("1/2 in"));

    let e = error("50 kmm/h", Speed);
    assert!(matches!(e, UnitError::UnknownUnit { .. }));
    assert_eq!(e.suggestion(), Some("50 km/h"));

    let e = error("50 kN", Speed);
    assert!(matches!(e, UnitError::WrongDimension { .. }), "{e}");
    assert_eq!(
        e.to_string(),
        "`kN` is a unit of a force, but a speed is needed"
    );
    assert_eq!(error("2000 lb", Force).suggestion(), Some("2000 lbf"));

    assert!(matches!(error("", Speed), UnitError::Empty { .. }));
    assert!(matches!(error("fast", Speed), UnitError::NotANumber { .. }));
    assert!(matches!(
        error("nan m/s", Speed),
        UnitError::NonFinite { .. }
    ));
    assert!(matches!(
        error("-inf m", Length),
        UnitError::NonFinite { .. }
    ));
    assert!(matches!(
        error("1e999 m", Length),
        UnitError::NonFinite { .. }
    ));
    assert!(matches!(
        error("1e306 km", Length),
        UnitError::NonFinite { .. }
    ));
    assert_eq!(error("1,5 m", Length).suggestion(), Some("1.5 m"));
    assert_eq!(error("\u{2212}3 m", Length).suggestion(), Some("-3 m"));
}

#[test]
fn text_is_readable_where_the_value_is() {
    use Dimension::*;
    assert_eq!(exact_text(50.0 / 3.6, Speed, "km/h"), "50 km/h");
    assert_eq!(exact_text(0.027, Length, "mm"), "27 mm");
    assert_eq!(
        exact_text(core::f64::consts::FRAC_PI_2, Angle, "deg"),
        "90 deg"
    );
    assert_eq!(exact_text(-0.0, Length, "mm"), "-0 mm");
    assert_eq!(exact_text(0.065, Ratio, ""), "0.065");
    assert_eq!(shown_in(13.888_888, Speed, "km/h", 3), "50 km/h");
}

fn same_bits(value: f64) {
    for &dimension in Dimension::ALL {
        for unit in dimension.units() {
            let text = exact_text(value, dimension, unit.name);
            let back = parse(&text, dimension).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(back.si.to_bits(), value.to_bits(), "{value:e} as {text}");
        }
    }
}

#[test]
fn extremes_survive() {
    for value in [
        0.0,
        -0.0,
        f64::MIN_POSITIVE,
        5e-324,
        f64::MAX,
        f64::MIN,
        f64::EPSILON,
        0.1 + 0.2,
        1.0 / 3.0,
    ] {
        same_bits(value);
    }
}

proptest! {
    #[test]
    fn any_finite_value_survives_text(bits in any::<u64>()) {
        let value = f64::from_bits(bits);
        prop_assume!(value.is_finite());
        same_bits(value);
    }

    #[test]
    fn everyday_values_survive_text(value in -1e6f64..1e6) {
        same_bits(value);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,40}") {
        for &dimension in Dimension::ALL {
            if let Ok(q) = parse(&text, dimension) {
                prop_assert!(q.si.is_finite());
            }
        }
    }

    #[test]
    fn near_texts_do_not_panic(text in "[-+0-9.eE/ ,a-zA-Z%]{0,16}") {
        for &dimension in Dimension::ALL {
            let _ = parse(&text, dimension);
        }
    }
}
