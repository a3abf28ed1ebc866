//! What stands in the way of the foot: plates that touch, grout, bars, conduit, soil, and a lower plate that is too high.

use super::make::*;

pub(super) const ROUND_WASHERS: Requirement = Requirement {
    item: item(
        "round_washers",
        "where the round washers are: between the plates below the keeper, above it, or not there",
        Tool::Eye,
        Measure::None,
        Some("as_found.round_washers"),
    )
    .or(&[
        meets("between", "between the plates, below the keeper"),
        fails(
            "above-keeper",
            "between the plates, above the keeper",
            Some(("as_found.round_washers", "above-keeper")),
        ),
        fails(
            "missing",
            "left out, or not between the plates",
            Some(("as_found.round_washers", "missing")),
        ),
    ]),
    title: "round washers between the plates, below the keeper",
    source: "a highway agency's handbook: washers hold the plates 3 to 6 mm apart so that they cannot mate and bind",
    origin: Origin::Seen,
    weight: Weight::Essential,
    put_right: "Take the base apart and put a round washer on every bolt between the plates, below the keeper.",
    condition: Some(Kind::RoundWashers),
    details: &[detail(
        "plate_friction",
        "friction of plate on plate, where the plates touch",
        Measure::Number,
        "as_found.plate_friction",
    )
    .by(Tool::Eye)],
    worst: worst(
        Literal("missing"),
        "left out: the plates touch over their whole face",
    ),
    ..ROW
};

pub(super) const GROUT_GAP: Requirement = Requirement {
        item: item(
            "grout_gap",
            "smallest gap from the grout up to the underside of a bolt head; negative = how deep the head is embedded",
            Tool::Tape,
            MM,
            Some("as_found.grout.gap"),
        )
        .or(&[meets("none", "no grout under the plate near the bolts")]),
        title: "grout clear of the bolt heads",
        rule: Rule::AtLeast(Set(Bound::GroutGap)),
        close: 0.002,
        source: "clear of the heads; common practice, no source",
        weight: Weight::Essential,
        put_right: "Chip the grout away until every bolt head stands {limit} clear, on the side towards which it must move too.",
        condition: Some(Kind::Grout),
        details: &[
            detail(
                "grout_strength",
                "compressive strength of the grout, from its papers or a rebound hammer",
                Quantity(Stress, "MPa"),
                "as_found.grout.strength",
            )
            .by(Tool::Papers),
            detail(
                "grout_cover",
                "grout between a bolt head and the free edge of the grout in the bolt's way out",
                MM,
                "as_found.grout.cover",
            ),
            detail(
                "grout_shank_gap",
                "gap between a bolt's shank and grout in the mouth of the lower notch, on its way out; 0 = packed against it",
                MM,
                "as_found.grout.notch_gap",
            )
            .alone(),
            detail(
                "grout_bolts",
                "bolts whose heads are not clear",
                Measure::Bolts,
                "as_found.grout.bolts",
            )
            .by(Tool::Eye),
        ],
        worst: worst(
            Literal("-22 mm"),
            "the pad was floated up to the plate: heads embedded by about their own height",
        ),
        ..ROW
    };

pub(super) const GROUT_NOTCH_GAP: Requirement = Requirement {
    item: item(
        "grout_notch_gap",
        "smallest gap from the grout to the mouths of the lower notches",
        Tool::Tape,
        MM,
        None,
    )
    .or(&[meets("none", "no grout near the notches")]),
    title: "grout clear of the lower notches",
    rule: Rule::AtLeast(Set(Bound::GroutNotchGap)),
    close: 0.002,
    designed: None,
    source: "clear around the notches; common practice, no source",
    origin: Origin::CommonPractice,
    weight: Weight::Essential,
    put_right: "Chip the grout away until the lower notches stand {limit} clear all around.",
    ..ROW
};

pub(super) const STUB_PROJECTION: Requirement = Requirement {
        item: item(
            "stub_projection",
            "height of the end of an anchor bar above the top of the lower plate, outside the upper plate",
            Tool::Tape,
            MM,
            Some("as_found.stub[].projection"),
        )
        .or(&[meets("none", "no bar ends above the lower plate")])
        .several(),
        title: "no anchor bar in the slip plane",
        rule: Rule::AtMost(Set(Bound::StubProjection)),
        source: "nothing of anchor bars in the slip plane; common practice, no source",
        weight: Weight::Essential,
        put_right: "Saw the anchor bars off just above their nuts, below the top of the lower plate, and paint the cuts with zinc-rich primer.",
        condition: Some(Kind::Stub),
        details: &[
            detail(
                "stub_azimuth",
                "direction from the pole to the bar, anticlockwise from the direction of traffic",
                Quantity(Angle, "deg"),
                "as_found.stub[].azimuth",
            )
            .assumed(Text::Derived(from::travel_azimuth), "in the way of the foot")
            .by(Tool::Protractor)
            .several(),
            detail(
                "stub_gap",
                "gap between the rim of the upper plate and the bar",
                MM,
                "as_found.stub[].gap",
            )
            .assumed(Literal("10 mm"), "close to the rim: met at once")
            .several(),
            detail(
                "stub_diameter",
                "diameter of the bar",
                MM,
                "as_found.stub[].diameter",
            )
            .several(),
            detail(
                "stub_strength",
                "tensile strength of the bar, from its papers",
                Quantity(Stress, "MPa"),
                "as_found.stub[].tensile_strength",
            )
            .by(Tool::Papers)
            .several(),
        ],
        worst: worst(
            Literal("30 mm"),
            "a bar left as high as the upper plate is thick, in the way of the foot",
        ),
        ..ROW
    };

pub(super) const CONDUIT_PROJECTION: Requirement = Requirement {
    item: item(
        "conduit_projection",
        "height of the conduit above the top of the lower plate",
        Tool::Tape,
        MM,
        Some("as_found.conduit.projection"),
    )
    .or(&[meets("none", "no conduit above the lower plate")]),
    title: "no conduit in the slip plane",
    rule: Rule::AtMost(Set(Bound::ConduitProjection)),
    source: "nothing of conduit in the slip plane; common practice, no source",
    weight: Weight::Essential,
    put_right: "Cut the conduit off below the top of the lower plate and fit a bushing.",
    condition: Some(Kind::Conduit),
    details: &[
        detail(
            "conduit_gap",
            "gap between the conduit and the edge of the upper plate's opening",
            MM,
            "as_found.conduit.gap",
        )
        .assumed(Literal("10 mm"), "close to the edge: met at once"),
        detail(
            "conduit_diameter",
            "outside diameter of the conduit",
            MM,
            "as_found.conduit.diameter",
        ),
        detail(
            "conduit_wall",
            "wall thickness of the conduit",
            MM,
            "as_found.conduit.wall",
        )
        .by(Tool::FeelerGauge),
        detail(
            "conduit_strength",
            "tensile strength of the conduit, from its papers",
            Quantity(Stress, "MPa"),
            "as_found.conduit.tensile_strength",
        )
        .by(Tool::Papers),
    ],
    worst: worst(
        Literal("50 mm"),
        "a steel conduit left standing inside the upper plate",
    ),
    ..ROW
};

pub(super) const SOIL_GAP: Requirement = Requirement {
        item: item(
            "soil_gap",
            "gap between the rim of the upper plate and soil, kerb or pocket wall behind it that stands above the slip plane",
            Tool::Tape,
            MM,
            Some("as_found.soil.gap"),
        )
        .or(&[meets("free", "nothing stands above the slip plane behind the foot")]),
        title: "room behind the foot to move and lift",
        rule: Rule::AtLeast(Derived(from::plate_diameter)),
        close: 0.05,
        source: "free over the diameter of the lower plate, after which the foot is clear of it; common practice, no source",
        origin: Origin::Derived,
        weight: Weight::Essential,
        put_right: "Grade the slope behind the foot below the slip plane until the foot can move and lift freely.",
        condition: Some(Kind::Soil),
        details: &[
            detail(
                "soil_azimuth",
                "direction from the pole to the soil, anticlockwise from the direction of traffic",
                Quantity(Angle, "deg"),
                "as_found.soil.azimuth",
            )
            .assumed(Text::Derived(from::travel_azimuth), "in the way of the foot")
            .by(Tool::Protractor),
            detail(
                "soil_height",
                "height of its face above the slip plane",
                MM,
                "as_found.soil.height",
            )
            .assumed(Literal("200 mm"), "a slope that was never graded"),
            detail(
                "soil_slope",
                "slope of its surface behind the face",
                Quantity(Angle, "deg"),
                "as_found.soil.slope",
            )
            .by(Tool::Level),
            detail(
                "soil_friction_angle",
                "angle of internal friction of the soil",
                Quantity(Angle, "deg"),
                "as_found.soil.friction_angle",
            )
            .by(Tool::Papers),
            detail(
                "soil_cohesion",
                "cohesion of the soil",
                Quantity(Stress, "kPa"),
                "as_found.soil.cohesion",
            )
            .by(Tool::Papers),
            detail(
                "soil_unit_weight",
                "weight of the soil per volume",
                Quantity(UnitWeight, "kN/m3"),
                "as_found.soil.unit_weight",
            )
            .by(Tool::Papers),
        ],
        worst: worst(Literal("50 mm"), "a slope that was never graded, close behind the foot"),
        ..ROW
    };

pub(super) const PLATE_HEIGHT: Requirement = Requirement {
    item: item(
        "plate_height",
        "height of the top of the lower plate above the ground under a straight edge of 1.5 m (5 ft)",
        Tool::Tape,
        MM,
        Some("as_found.slip_plane_height"),
    ),
    title: "lower plate not above the limit height",
    rule: Rule::AtMost(Set(Bound::PlateHeight)),
    close: 0.005,
    designed: Some(from::plate_height),
    source: Bound::PlateHeight.standard().source,
    origin: Origin::Seen,
    weight: Weight::Essential,
    put_right: "Raise the ground around the base, or lower the foundation, until the plate stands at the design's height.",
    condition: Some(Kind::PlateHeight),
    worst: worst(
        Literal("150 mm"),
        "half as high again as the limit: ground washed away",
    ),
    ..ROW
};
