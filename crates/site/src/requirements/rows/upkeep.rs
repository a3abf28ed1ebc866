//! What carries the base, what ages and what stands in the papers.

use super::make::*;

pub(super) const FOUNDATION: Requirement = Requirement {
    item: item(
        "foundation",
        "whether the foundation stands firm when the pole is rocked by hand",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets(
            "firm",
            "no movement to be felt or seen, no open ring around it",
        ),
        fails("moves", "it moves, or an open ring shows around it", None),
    ]),
    title: "foundation firm",
    weight: Weight::Important,
    put_right: "Replace the foundation by one of the design's size, or compact the soil around it.",
    condition: Some(Kind::Foundation),
    details: &[
        detail(
            "foundation_diameter",
            "diameter of the pier",
            MM,
            "as_found.foundation.diameter",
        )
        .assumed(
            Literal("600 mm"),
            "a usual pier; common practice, no source",
        ),
        detail(
            "foundation_length",
            "embedded length of the pier, from its papers",
            Quantity(Length, "m"),
            "as_found.foundation.length",
        )
        .assumed(Literal("1.2 m"), "a short pier; common practice, no source")
        .by(Tool::Papers),
        detail(
            "foundation_friction_angle",
            "angle of internal friction of the soil around it",
            Quantity(Angle, "deg"),
            "as_found.foundation.friction_angle",
        )
        .by(Tool::Papers),
        detail(
            "foundation_unit_weight",
            "weight of the soil per volume",
            Quantity(UnitWeight, "kN/m3"),
            "as_found.foundation.unit_weight",
        )
        .by(Tool::Papers),
        detail(
            "foundation_density",
            "density of the pier",
            Quantity(Density, "kg/m3"),
            "as_found.foundation.density",
        )
        .by(Tool::Papers),
        detail(
            "foundation_movement",
            "movement of the pier's top at which the soil is exhausted",
            MM,
            "as_found.foundation.movement",
        )
        .by(Tool::Papers),
    ],
    worst: worst(Literal("moves"), "a short pier in loose sand"),
    ..ROW
};

pub(super) const PLATE_LEVEL: Requirement = Requirement {
    item: item(
        "plate_level",
        "slope of the lower plate",
        Tool::Level,
        Quantity(Angle, "deg"),
        None,
    ),
    title: "lower plate level",
    rule: Rule::WithinPlusMinus(Set(Bound::PlateLevel)),
    close: 0.1 * DEG,
    weight: Weight::Minor,
    put_right: "Level the lower plate on its nuts and grout it again, clear of the heads.",
    ..ROW
};

pub(super) const POLE_PLUMB: Requirement = Requirement {
    item: item(
        "pole_plumb",
        "lean of the pole out of plumb, with its arm",
        Tool::Level,
        Quantity(Angle, "deg"),
        None,
    ),
    title: "pole plumb",
    rule: Rule::WithinPlusMinus(Set(Bound::PolePlumb)),
    close: 0.2 * DEG,
    weight: Weight::Minor,
    put_right: "Plumb the pole at the levelling nuts below the lower plate; never by shims in the slip joint.",
    ..ROW
};

pub(super) const ZINC: Requirement = Requirement {
    item: item(
        "zinc",
        "state of the zinc coat of plates and bolts",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets("sound", "whole"),
        close("worn", "thin or scratched", None),
        fails("gone", "bare steel over more than spots", None),
    ]),
    title: "zinc coat sound",
    weight: Weight::Minor,
    put_right: "Clean the bare steel and renew the zinc.",
    ..ROW
};

pub(super) const TIGHTENING_RECORD: Requirement = Requirement {
    item: item(
        "tightening_record",
        "whether the papers show that the bolts were tightened in two stages, in turn",
        Tool::Papers,
        Measure::None,
        None,
    )
    .or(&[
        meets("two-stage", "snug in turn, then full in turn"),
        fails("one-stage", "each bolt at once to the full torque", None),
        fails("none", "no record", None),
    ]),
    title: "tightened in two stages, on record",
    weight: Weight::Minor,
    put_right: "Slacken the bolts, tighten them in two stages in turn, and record it.",
    ..ROW
};

pub(super) const LAST_CHECK: Requirement = Requirement {
    item: item(
        "last_check",
        "date of the last check of the torque",
        Tool::Papers,
        Measure::Date,
        None,
    )
    .or(&[fails("never", "no check on record", None)]),
    title: "torque checked in time",
    rule: Rule::NoOlderThan(Bound::CheckInterval),
    close: 31.0,
    weight: Weight::Minor,
    put_right: "Check the torque and enter the date.",
    ..ROW
};

pub(super) const WRENCH_CALIBRATION: Requirement = Requirement {
    item: item(
        "wrench_calibration",
        "date of the last calibration of the torque wrench",
        Tool::Papers,
        Measure::Date,
        None,
    )
    .or(&[fails("none", "no calibration on record", None)]),
    title: "wrench calibrated in time",
    rule: Rule::NoOlderThan(Bound::CalibrationInterval),
    close: 31.0,
    weight: Weight::Minor,
    put_right: "Have the wrench calibrated and read the torques again.",
    ..ROW
};
