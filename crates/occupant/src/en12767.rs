//! EN 12767: classes of a support by the speed it leaves to the vehicle and by the severity for the occupant.
//!
//! A support is tested with a 900 kg car at 35 km/h and at its class speed (seen). The energy absorption class comes
//! from the exit speed of the class-speed test, taken 12 m behind the impact point (seen); the occupant class from
//! ASI and THIV of both tests. One run shows one of the two tests: the class that a support earns is the worse of both.
//!
//! References
//! - EN 12767:2019, Passive safety of support structures for road equipment (recalled); the energy classes also 2007.

mod classes;

use giveway_scenario::model::LimitOverride;

pub use classes::{ClassSpeed, Classes, EnergyClass, OccupantClass, TestSpeed};

use crate::KMPH_PER_MPS;
use crate::judge::{Inputs, Measured, finish, override_of};
use crate::limits::Limit;
use crate::risk::OccupantRisk;
use crate::verdict::{Check, Mark, Outcome};

/// Speed of the low-speed test, km/h (seen).
pub const LOW_SPEED_KMPH: f64 = 35.0;

/// Occupant class with its largest ASI and THIV (km/h) at 35 km/h and at the class speed (recalled).
pub const OCCUPANT_CLASSES: [(OccupantClass, [f64; 2], [f64; 2]); 4] = [
    (OccupantClass::B, [0.6, 11.0], [0.6, 11.0]),
    (OccupantClass::C, [1.0, 27.0], [1.0, 27.0]),
    (OccupantClass::D, [1.0, 27.0], [1.2, 33.0]),
    (OccupantClass::E, [1.0, 27.0], [1.4, 44.0]),
];

/// Energy absorption class for an exit speed in km/h; below zero (thrown back) counts as stopped.
pub fn energy_class(class: ClassSpeed, exit_speed_kmph: f64) -> EnergyClass {
    let (high, low) = class.bounds_kmph();
    // a rounding unit or two must not decide at 5, 30, 50 or 70 km/h
    let slack = 1e-9;
    if exit_speed_kmph <= high + slack {
        EnergyClass::High
    } else if exit_speed_kmph <= low + slack {
        EnergyClass::Low
    } else {
        EnergyClass::None
    }
}

/// Best occupant class that allows this ASI and THIV (km/h); none beyond class E.
pub fn occupant_class(test: TestSpeed, asi: f64, thiv_kmph: f64) -> Option<OccupantClass> {
    OCCUPANT_CLASSES
        .iter()
        .find(|(_, low, class)| {
            let [max_asi, max_thiv] = if test == TestSpeed::Low { *low } else { *class };
            asi <= max_asi && thiv_kmph <= max_thiv + 1e-9
        })
        .map(|(name, _, _)| *name)
}

/// The test nearer to the impact speed; without a class speed, the boundary is half-way between 35 and 50 km/h.
fn test_of(inputs: &Inputs) -> Option<TestSpeed> {
    let kmph = inputs.impact_speed_mps? * KMPH_PER_MPS;
    let class = inputs.class_speed.unwrap_or(ClassSpeed::Kmph50).kmph();
    Some(if kmph < (LOW_SPEED_KMPH + class) / 2.0 {
        TestSpeed::Low
    } else {
        TestSpeed::Class
    })
}

/// The checks and classes of one run.
pub(crate) fn checks(
    risk: &OccupantRisk,
    inputs: &Inputs,
    overrides: &[LimitOverride],
) -> (Vec<Check>, Classes) {
    let test = test_of(inputs);
    let (asi, thiv) = (measured_asi(risk), measured_thiv(risk));
    let occupant = test.and_then(|test| {
        let thiv_kmph = thiv.value? * KMPH_PER_MPS;
        occupant_class(test, asi.value?, thiv_kmph)
    });
    let (exit, energy) = exit_check(inputs, test);
    let rows = outermost(test.unwrap_or(TestSpeed::Class));
    let mut list = Vec::with_capacity(3);
    for (row, mut measured) in rows.into_iter().zip([asi, thiv]) {
        if test.is_none() {
            measured = Measured::missing(
                "the impact speed is not given, so the test it stands for is unknown",
            );
        }
        list.push(finish(&row, measured, override_of(&row, overrides)));
    }
    list.push(exit);
    let remark = match test {
        Some(TestSpeed::Low) => {
            "This run is the 35 km/h test; the class-speed test is needed too, and the worse occupant class counts."
        }
        Some(TestSpeed::Class) => {
            "This run is the class-speed test; the 35 km/h test is needed too, and the worse occupant class counts."
        }
        None => "Impact speed not given.",
    };
    let classes = Classes {
        test,
        class_speed: inputs.class_speed,
        energy,
        occupant,
        remark: remark.to_owned(),
    };
    (list, classes)
}

/// The limits of class E: beyond them no class is left.
fn outermost(test: TestSpeed) -> [Limit; 2] {
    let (_, low, class) = OCCUPANT_CLASSES[OCCUPANT_CLASSES.len() - 1];
    let ([asi, thiv_kmph], source) = match test {
        TestSpeed::Low => (
            low,
            "EN 12767:2019, occupant classes, outermost class E in the 35 km/h test: ASI 1.0, THIV 27 km/h",
        ),
        TestSpeed::Class => (
            class,
            "EN 12767:2019, occupant classes, outermost class E in the class-speed test: ASI 1.4, THIV 44 km/h",
        ),
    };
    let row = |key, title, unit, max| Limit {
        sets: &[],
        key,
        override_key: Some(key),
        title,
        unit,
        preferred: None,
        max: (max, Mark::Recalled),
        source,
        essential: true,
    };
    [
        row(
            "asi",
            "Acceleration severity index (13 Hz filter)",
            "-",
            asi,
        ),
        row(
            "thiv_mps",
            "Theoretical head impact velocity",
            "m/s",
            thiv_kmph / KMPH_PER_MPS,
        ),
    ]
}

fn measured_asi(risk: &OccupantRisk) -> Measured {
    match (&risk.asi_13hz_filter, &risk.asi_50ms_mean) {
        (Some(index), _) => Measured::value(index.asi),
        (None, Some(index)) => Measured::with_remark(
            index.asi,
            "50 ms means (earlier edition): the sampling is too coarse for the 13 Hz filter",
        ),
        (None, None) => Measured::missing("the record is too short and too coarse for the index"),
    }
}

fn measured_thiv(risk: &OccupantRisk) -> Measured {
    let head = &risk.head;
    if let Some(thiv_mps) = head.thiv_mps {
        return Measured::value(thiv_mps);
    }
    let [vx, vy] = head.relative_velocity_mps;
    Measured::with_remark(
        (vx * vx + vy * vy).sqrt(),
        "no contact: the head reaches no surface in the record; its speed relative to the vehicle at the end of the \
         record stands in (common practice, no source)",
    )
}

fn exit_check(inputs: &Inputs, test: Option<TestSpeed>) -> (Check, Option<EnergyClass>) {
    let mut check = Check {
        key: "exit_speed_mps".to_owned(),
        title: "Exit speed 12 m behind the impact point".to_owned(),
        unit: "m/s".to_owned(),
        value: inputs.exit_speed_mps.filter(|v| v.is_finite()),
        value_range: None,
        point_estimate: false,
        limit_preferred: None,
        limit_max: None,
        source: "EN 12767:2019, energy absorption classes; exit speed at 12 m".to_owned(),
        mark: Mark::Recalled,
        preferred_mark: None,
        margin_fraction: None,
        outcome: Outcome::NotEvaluated,
        essential: true,
        remark: None,
        advice: None,
    };
    let reason = match (test, inputs.class_speed, check.value) {
        (Some(TestSpeed::Class), Some(class), Some(exit_mps)) => {
            let energy = energy_class(class, exit_mps * KMPH_PER_MPS);
            check.outcome = Outcome::Pass;
            check.remark = Some(format!(
                "energy absorption class {} at {} km/h",
                energy.letters(),
                class.kmph()
            ));
            return (check, Some(energy));
        }
        (Some(TestSpeed::Low), _, _) => {
            check.essential = false;
            "the class-speed test decides the energy absorption class"
        }
        (None, _, _) => "the impact speed is not given, so the test it stands for is unknown",
        (_, None, _) => "no class speed (50, 70 or 100 km/h) is given",
        (_, _, None) => {
            "the exit speed 12 m behind the impact point is unknown: it needs the motion after the engagement"
        }
    };
    check.remark = Some(reason.to_owned());
    (check, None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn energy_classes_at_their_bounds() {
        use EnergyClass::{High, Low, None as Not};
        let cases = [
            (
                ClassSpeed::Kmph50,
                [
                    (-2.0, High),
                    (0.0, High),
                    (0.1, Low),
                    (5.0, Low),
                    (5.1, Not),
                    (50.0, Not),
                ],
            ),
            (
                ClassSpeed::Kmph70,
                [
                    (0.0, High),
                    (5.0, High),
                    (5.1, Low),
                    (30.0, Low),
                    (30.1, Not),
                    (70.0, Not),
                ],
            ),
            (
                ClassSpeed::Kmph100,
                [
                    (0.0, High),
                    (50.0, High),
                    (50.1, Low),
                    (70.0, Low),
                    (70.1, Not),
                    (100.0, Not),
                ],
            ),
        ];
        for (class, table) in cases {
            for (exit, expected) in table {
                assert_eq!(energy_class(class, exit), expected, "{class:?} {exit}");
            }
        }
    }

    #[test]
    fn occupant_classes_at_their_bounds() {
        use TestSpeed::{Class, Low};
        let cases = [
            (Low, 0.6, 11.0, Some(OccupantClass::B)),
            (Low, 0.61, 11.0, Some(OccupantClass::C)),
            (Low, 1.0, 27.0, Some(OccupantClass::C)),
            (Low, 1.01, 5.0, None),
            (Class, 0.5, 11.1, Some(OccupantClass::C)),
            (Class, 1.2, 20.0, Some(OccupantClass::D)),
            (Class, 1.0, 33.5, Some(OccupantClass::E)),
            (Class, 1.4, 44.0, Some(OccupantClass::E)),
            (Class, 1.4, 44.1, None),
            (Class, f64::NAN, 1.0, None),
        ];
        for (test, asi, thiv, expected) in cases {
            assert_eq!(
                occupant_class(test, asi, thiv),
                expected,
                "{test:?} {asi} {thiv}"
            );
        }
    }

    #[test]
    fn class_speed_of_an_impact() {
        assert_eq!(ClassSpeed::near(50.0 / 3.6), Some(ClassSpeed::Kmph50));
        assert_eq!(ClassSpeed::near(97.0 / 3.6), Some(ClassSpeed::Kmph100));
        assert_eq!(ClassSpeed::near(35.0 / 3.6), None);
    }
}
