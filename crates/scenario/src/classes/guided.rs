//! Pendulums and bogie.

use super::row::{ASSUMED, Class, ClassBand, ClassValue, SOFT_SIDE, band, v};

const TEN_STAGE: &str = "surrogate ten-stage honeycomb nose [recalled]; rise of each step over 6 mm and the end stop assumed";

/// Ten honeycomb steps of 25, 2, 65 x 4, 114 x 3 and 142 kN, 76 mm each, the second 51 mm; then the end stop.
const TEN_STAGE_CRUSH: &str = r#"[["0 mm", "0 kN"], ["6 mm", "25 kN"], ["76 mm", "25 kN"], ["82 mm", "2 kN"], ["127 mm", "2 kN"], ["133 mm", "65 kN"], ["431 mm", "65 kN"], ["437 mm", "114 kN"], ["659 mm", "114 kN"], ["665 mm", "142 kN"], ["735 mm", "142 kN"], ["741 mm", "600 kN"]]"#;

/// A very stiff nose: 50 MN/m.
const RIGID_CRUSH: &str = r#"[["0 mm", "0 kN"], ["10 mm", "500 kN"]]"#;

const NO_AXLES: &str = "has no axles: not used while it is guided";
const SETS: ClassValue = v(
    "criteria.sets",
    r#"["nchrp-350", "aashto-1994"]"#,
    "the documents that such tests were judged by",
);

/// The one band of a nose.
const fn nose(crush: &'static str, source: &'static str) -> ClassBand {
    band("nose", ("0.382 m", "0.532 m"), "0 mm", crush, source)
}

const PENDULUM: &[ClassValue] = &[
    v("vehicle.guided", "true", "it hangs from its frame"),
    v(
        "vehicle.mass",
        "820 kg",
        "820 to 907 kg in print [seen]; the lower",
    ),
    v(
        "vehicle.cg_height",
        "0.457 m",
        "at the height of the nose (assumed)",
    ),
    v("vehicle.cg_to_front", "1.0 m", ASSUMED),
    v("vehicle.length", "2.0 m", ASSUMED),
    v("vehicle.width", "0.6 m", ASSUMED),
    v("vehicle.cg_to_front_axle", "0.6 m", NO_AXLES),
    v("vehicle.wheelbase", "1.2 m", NO_AXLES),
    v("vehicle.track", "0.5 m", NO_AXLES),
    v(
        "vehicle.underside",
        "0.3 m",
        "assumed: the lower edge of the hanging mass, below its nose",
    ),
    v(
        "vehicle.outline",
        r#"[["0 m", "0.7 m"], ["2.0 m", "0.7 m"]]"#,
        ASSUMED,
    ),
    v("vehicle.head_ahead", "0 m", "no occupant: centre of mass"),
    v("vehicle.head_left", "0 m", "no occupant: centre of mass"),
    SETS,
];

pub(super) const PENDULUM_RIGID: Class = Class {
    name: "pendulum-rigid",
    meaning: "guided pendulum of 820 kg with a rigid nose",
    values: PENDULUM,
    front: &[nose(
        RIGID_CRUSH,
        "rigid nose stood for by 50 MN/m (assumed); height published 0.457 m",
    )],
    side: &[nose(RIGID_CRUSH, ASSUMED)],
};

pub(super) const PENDULUM_CRUSHABLE: Class = Class {
    name: "pendulum-crushable",
    meaning: "guided pendulum of 820 kg with the surrogate ten-stage crushable nose",
    values: PENDULUM,
    front: &[nose(TEN_STAGE_CRUSH, TEN_STAGE)],
    side: &[nose(TEN_STAGE_CRUSH, ASSUMED)],
};

pub(super) const BOGIE: Class = Class {
    name: "bogie",
    meaning: "guided bogie of 840 kg with the surrogate ten-stage crushable nose",
    values: &[
        v(
            "vehicle.guided",
            "true",
            "it runs on a rail or a straight track",
        ),
        v(
            "vehicle.mass",
            "840 kg",
            "about the 839 kg of FHWA letter SS-61 (1996) [seen]",
        ),
        v("vehicle.cg_height", "0.5 m", ASSUMED),
        v("vehicle.cg_to_front", "1.5 m", ASSUMED),
        v("vehicle.length", "3.5 m", ASSUMED),
        v("vehicle.width", "1.5 m", ASSUMED),
        v("vehicle.cg_to_front_axle", "0.9 m", ASSUMED),
        v("vehicle.wheelbase", "2.0 m", ASSUMED),
        v("vehicle.track", "1.3 m", ASSUMED),
        v(
            "vehicle.underside",
            "0.2 m",
            "assumed: the bogie's frame between its wheels",
        ),
        v(
            "vehicle.outline",
            r#"[["0 m", "0.6 m"], ["0.75 m", "0.7 m"], ["3.5 m", "0.7 m"]]"#,
            ASSUMED,
        ),
        v("vehicle.head_ahead", "0 m", "no occupant: centre of mass"),
        v("vehicle.head_left", "0 m", "no occupant: centre of mass"),
        SETS,
    ],
    front: &[nose(TEN_STAGE_CRUSH, TEN_STAGE)],
    side: SOFT_SIDE,
};
