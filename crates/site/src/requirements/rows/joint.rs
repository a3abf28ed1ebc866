//! The clamped joint itself: rust, torque, threads, nut, washers, keeper and notches.

use super::make::*;

pub(super) const RUST: Requirement = Requirement {
    item: item(
        "rust",
        "rust between plates, washers and bolts",
        Tool::Eye,
        Measure::None,
        Some("as_found.rust"),
    )
    .or(&[
        meets("none", "zinc sound where the parts touch"),
        close("light", "surface rust", Some(("as_found.rust", "light"))),
        fails(
            "seized",
            "rusted together",
            Some(("as_found.rust", "seized")),
        ),
    ]),
    title: "no rust in the joint",
    weight: Weight::Essential,
    put_right: "Take the joint apart, clean plates and washers, renew the zinc and fit new bolts.",
    condition: Some(Kind::Rust),
    worst: worst(
        Literal("seized"),
        "upper end of the published range of friction, 0.60, rusted",
    ),
    ..ROW
};

pub(super) const ICE: Requirement = Requirement {
    item: item(
        "ice",
        "ice in the gap between the plates; a blade tells how far in",
        Tool::Eye,
        Measure::None,
        Some("as_found.ice"),
    )
    .or(&[
        meets("none", "gap free of ice"),
        fails(
            "rim",
            "ice along the rim only",
            Some(("as_found.ice", "rim")),
        ),
        fails(
            "filled",
            "ice as far as a blade goes",
            Some(("as_found.ice", "filled")),
        ),
    ]),
    title: "no ice between the plates",
    weight: Weight::Important,
    put_right: "Thaw the joint without flame, clear the gap's rim and let it drain.",
    condition: Some(Kind::Ice),
    worst: worst(
        Literal("filled"),
        "water stands in the whole gap and freezes",
    ),
    ..ROW
};

pub(super) const TORQUE: Requirement = Requirement {
    item: item(
        "torque",
        "torque at which each nut begins to turn on, bolt 1 first; one value = every bolt",
        Tool::TorqueWrench,
        Quantity(Torque, "N.m"),
        Some("as_found.torques"),
    )
    .several(),
    title: "torque of the design",
    rule: Rule::NearDesign(Bound::TorqueTolerance),
    designed: Some(from::torque),
    source: "about the design's torque; common practice, no source",
    weight: Weight::Essential,
    put_right: "Slacken the bolts and tighten them again in two stages to the design's torque, in turn.",
    condition: Some(Kind::Torque),
    worst: worst(
        Text::Derived(from::high_torque),
        "half as much again as the design, at least the upper end of the published range, 280 N.m",
    ),
    ..ROW
};

pub(super) const BOLT_THREADS: Requirement = Requirement {
    item: item(
        "bolt_threads",
        "state of the threads when the bolts were tightened",
        Tool::Eye,
        Measure::None,
        Some("as_found.threads"),
    )
    .or(&[
        meets(
            "as-designed",
            "new bolts in the state that the design's torque was set for",
        ),
        Word {
            word: "lubricated",
            meaning: "new, lubricated",
            verdict: Verdict::Meets,
            sets: Some(("as_found.threads", "lubricated")),
        },
        close("waxed", "new, waxed", Some(("as_found.threads", "waxed"))),
        fails(
            "dry",
            "galvanised and dry",
            Some(("as_found.threads", "dry")),
        ),
        fails(
            "reused",
            "used before, dry or dirty",
            Some(("as_found.threads", "reused")),
        ),
    ]),
    title: "new lubricated bolts",
    weight: Weight::Important,
    put_right: "Fit new bolts and nuts in the state that the design's torque was set for, and tighten them again.",
    condition: Some(Kind::Threads),
    worst: worst(
        Literal("waxed"),
        "waxed zinc, K 0.12 to 0.15 (recalled): the same torque clamps hardest",
    ),
    ..ROW
};

pub(super) const ENGAGED_THREADS: Requirement = Requirement {
    item: item(
        "engaged_threads",
        "threads of the nut that are on the bolt",
        Tool::Eye,
        Measure::Number,
        Some("as_found.engaged_threads"),
    )
    .or(&[meets("full", "the bolt stands out of the nut")]),
    title: "nut fully on",
    rule: Rule::AtLeast(Derived(from::full_threads)),
    designed: Some(from::full_threads),
    source: "nut height over pitch; common practice, no source",
    origin: Origin::Derived,
    weight: Weight::Essential,
    put_right: "Fit bolts long enough to stand out of their nuts.",
    condition: Some(Kind::Nut),
    worst: worst(
        Text::Derived(from::half_threads),
        "half of the nut on the bolt",
    ),
    ..ROW
};

pub(super) const PLATE_WASHER_THICKNESS: Requirement = Requirement {
    item: item(
        "plate_washer_thickness",
        "thickness of the plate washers under head and nut",
        Tool::FeelerGauge,
        MM,
        Some("as_found.plate_washer_thickness"),
    ),
    title: "plate washers that do not dish into the notch",
    rule: Rule::AtLeast(Derived(from::least_plate_washer)),
    close: 0.0005,
    designed: Some(from::plate_washer),
    source: "a highway agency's handbook: washers must not dish into the notches (seen); the thickness that stays elastic while the wrench is on it",
    origin: Origin::Derived,
    weight: Weight::Essential,
    put_right: "Replace the plate washers by those of the design.",
    condition: Some(Kind::PlateWashers),
    worst: worst(
        Literal("4 mm"),
        "ordinary round washers instead of plate washers, ISO 7089 (recalled)",
    ),
    ..ROW
};

pub(super) const KEEPER_THICKNESS: Requirement = Requirement {
    item: item(
        "keeper_thickness",
        "thickness of the keeper sheet",
        Tool::FeelerGauge,
        MM,
        Some("as_found.keeper_thickness"),
    )
    .or(&[
        meets("as-designed", "the sheet of the design"),
        fails("missing", "no keeper", Some(("as_found.keeper", "missing"))),
    ]),
    title: "keeper there, thin enough to tear",
    rule: Rule::Between(
        Lesser(Bound::KeeperLeast, from::keeper),
        Greater(Bound::KeeperMost, from::keeper),
    ),
    close: 0.00002,
    designed: Some(from::keeper),
    source: "keeper sheets of the published range 0.38 to 1.0 mm, or as designed",
    origin: Origin::Recalled,
    weight: Weight::Essential,
    put_right: "Fit the keeper sheet of the design between the plates.",
    condition: Some(Kind::Keeper),
    worst: worst(
        Text::Derived(from::thick_keeper),
        "the thickest sheet of the published range: it tears last",
    ),
    ..ROW
};

pub(super) const NOTCH_LUMP: Requirement = Requirement {
    item: item(
        "notch_lump",
        "how far a zinc lump or burr stands out from a notch wall",
        Tool::FeelerGauge,
        MM,
        Some("as_found.lump.height"),
    )
    .or(&[meets("none", "notches clean")]),
    title: "clean notches",
    rule: Rule::AtMost(Nothing),
    weight: Weight::Important,
    put_right: "File the notch walls smooth and repair the zinc.",
    condition: Some(Kind::Lump),
    details: &[
        detail(
            "lump_length",
            "length of the lump along the notch wall",
            MM,
            "as_found.lump.length",
        ),
        detail(
            "lump_width",
            "width of the lump across the plate's thickness",
            MM,
            "as_found.lump.width",
        ),
        detail(
            "lump_strength",
            "tensile strength of the lump",
            Quantity(Stress, "MPa"),
            "as_found.lump.tensile_strength",
        )
        .by(Tool::Papers),
        detail(
            "lump_plate",
            "plate whose notch it sits in",
            Measure::None,
            "as_found.lump.plate",
        )
        .by(Tool::Eye)
        .or(&[
            choice("lower", "lower plate", "as_found.lump.plate"),
            choice("upper", "upper plate", "as_found.lump.plate"),
        ]),
        detail(
            "lump_bolts",
            "bolts whose notches have it",
            Measure::Bolts,
            "as_found.lump.bolts",
        )
        .by(Tool::Eye),
    ],
    worst: worst(Literal("5 mm"), "a drip of zinc in every notch"),
    ..ROW
};

pub(super) const NOTCH_OFFSET: Requirement = Requirement {
    item: item(
        "notch_offset",
        "how far the upper notches stand off the lower ones along the bolt circle",
        Tool::Tape,
        MM,
        Some("as_found.notch_offset"),
    ),
    title: "notches that match",
    rule: Rule::WithinPlusMinus(Set(Bound::NotchOffset)),
    close: 0.0005,
    designed: Some(|_| Some(0.0)),
    source: "within the clearance of a bolt hole; common practice, no source",
    weight: Weight::Important,
    put_right: "Slacken the bolts, turn the pole until the notches match, and tighten again; replace a plate that cannot match.",
    condition: Some(Kind::NotchOffset),
    worst: worst(
        Literal("5 mm"),
        "plates of two batches, forced together; common practice, no source",
    ),
    ..ROW
};

pub(super) const PATTERN_TURNED: Requirement = Requirement {
    item: item(
        "pattern_turned",
        "angle by which the bolts are turned from the drawing, anticlockwise",
        Tool::Protractor,
        Quantity(Angle, "deg"),
        Some("as_found.turned"),
    ),
    title: "bolt pattern as drawn",
    rule: Rule::WithinPlusMinus(Set(Bound::PatternTurned)),
    close: DEG,
    designed: Some(|_| Some(0.0)),
    weight: Weight::Important,
    put_right: "Turn the lower plate on its anchors, or reset the foundation, so that the bolts point as drawn.",
    condition: Some(Kind::Turned),
    worst: worst(
        Text::Derived(from::half_pattern),
        "half of the angle between two bolts: more turns it back",
    ),
    ..ROW
};
