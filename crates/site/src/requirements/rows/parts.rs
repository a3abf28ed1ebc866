//! The parts of the joint as they were delivered, and the screws of the arm.

use super::make::*;

pub(super) const ROUND_WASHER_THICKNESS: Requirement = Requirement {
    item: item(
        "round_washer_thickness",
        "thickness of the round washers between the plates",
        Tool::FeelerGauge,
        MM,
        None,
    ),
    title: "round washers that keep the plates apart",
    rule: Rule::Between(
        Lesser(Bound::RoundWasherLeast, from::round_washer),
        Greater(Bound::RoundWasherMost, from::round_washer),
    ),
    designed: Some(from::round_washer),
    source: Bound::RoundWasherLeast.standard().source,
    origin: Origin::Seen,
    weight: Weight::Important,
    put_right: "Fit round washers of the design's thickness.",
    ..ROW
};

pub(super) const WASHERS_HARDENED: Requirement = Requirement {
    item: item(
        "washers_hardened",
        "whether the washers are the hardened ones, by their mark",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets("hardened", "marked as hardened"),
        fails("soft", "unmarked, or dented by the nut", None),
    ]),
    title: "hardened washers",
    weight: Weight::Important,
    put_right: "Fit hardened flat washers.",
    ..ROW
};

pub(super) const BOLT_GRADE: Requirement = Requirement {
    item: item(
        "bolt_grade",
        "grade on the heads of the slip bolts against the design's",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets("as-designed", "the design's mark"),
        close("higher", "a higher grade than the design's", None),
        fails("lower", "a lower grade", None),
        fails("unmarked", "no mark on the head", None),
    ]),
    title: "bolts of the design's grade",
    weight: Weight::Important,
    put_right: "Fit new bolts of the design's grade, with heavy nuts of the matching grade.",
    ..ROW
};

pub(super) const BOLT_DIAMETER: Requirement = Requirement {
    item: item(
        "bolt_diameter",
        "diameter of the slip bolts",
        Tool::FeelerGauge,
        MM,
        None,
    ),
    title: "bolts of the design's diameter",
    rule: Rule::NearDesign(Bound::BoltTolerance),
    designed: Some(from::bolt_diameter),
    weight: Weight::Important,
    put_right: "Fit bolts of the design's diameter.",
    ..ROW
};

pub(super) const PROJECTING_THREADS: Requirement = Requirement {
    item: item(
        "projecting_threads",
        "threads that stand out of the nut; a full nut is the rule, threads beyond it are good practice",
        Tool::Eye,
        Measure::Number,
        None,
    ),
    title: "threads beyond the nut",
    rule: Rule::AtLeast(Nothing),
    weight: Weight::Minor,
    put_right: "Nothing: a full nut is the rule.",
    ..ROW
};

pub(super) const NOTCH_ANGLE: Requirement = Requirement {
    item: item(
        "notch_angle",
        "included angle of the notches",
        Tool::Protractor,
        Quantity(Angle, "deg"),
        None,
    ),
    title: "notches wide enough not to bind",
    rule: Rule::AtLeast(Lesser(Bound::NotchAngle, from::notch_angle)),
    designed: Some(from::notch_angle),
    source: Bound::NotchAngle.standard().source,
    origin: Origin::Seen,
    weight: Weight::Important,
    put_right: "Replace the plate by one of the design.",
    ..ROW
};

pub(super) const ARM_SCREWS: Requirement = Requirement {
    item: item(
        "arm_screws",
        "how the cap screws of the arm were tightened, from the papers or a witness mark",
        Tool::Papers,
        Measure::None,
        None,
    )
    .or(&[
        meets("turned", "snug, then the turn of the sheet"),
        meets("no-arm", "there is no arm, or it has no flange"),
        fails("snug", "snug only", None),
        fails("loose", "a screw turns, or is not there", None),
    ]),
    title: "arm's cap screws tightened by turn",
    weight: Weight::Important,
    put_right: "Fit new lubricated cap screws, all snug, then each the turn of the installation sheet.",
    ..ROW
};
