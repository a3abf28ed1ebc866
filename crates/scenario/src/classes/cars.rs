//! Small cars.

use super::row::{
    ASSUMED, Class, ClassBand, ClassValue, MASH, NCHRP, OF_1993, OF_2016, ROLLS_FREE, SOFT_SIDE,
    band, v,
};

const EN: &str = "EN 1317-1, vehicle of 900 kg [recalled]";

const MIDDLE: &str = "height: bumper zone of 49 CFR 581, 16 to 20 in (0.41 to 0.51 m) [recalled]; force: middle of the published range, chosen once for the class";

const SPLIT: &str = "middle of the published range; its split over the bands is assumed";

const CAR_OCCUPANT: &str = "assumed: driver's head 1.35 m behind the front axle, left seat";

const UNDERSIDE: ClassValue = v(
    "vehicle.underside",
    "0.15 m",
    "assumed: small cars clear 0.15 to 0.18 m; the lower",
);

/// The front of a car: crush of the bands below and above the bumper, and of the bumper.
const fn front(edges: &'static str, bumper: &'static str) -> [ClassBand; 3] {
    [
        band("lower", ("0.25 m", "0.40 m"), "75 mm", edges, SPLIT),
        band("bumper", ("0.40 m", "0.55 m"), "0 mm", bumper, MIDDLE),
        band("bonnet-edge", ("0.55 m", "0.76 m"), "75 mm", edges, SPLIT),
    ]
}

pub(super) const SMALL_CAR_820: Class = Class {
    name: "small-car-820",
    meaning: "small car of 820 kg, NCHRP Report 350 tests 3-60 and 3-61",
    values: &[
        ROLLS_FREE,
        v(
            "vehicle.mass",
            "820 kg",
            "NCHRP Report 350 tests 3-60, 3-61: 820 +/- 25 kg [seen]",
        ),
        v("vehicle.cg_height", "0.55 m", NCHRP),
        v(
            "vehicle.cg_to_front",
            "1.55 m",
            "0.80 m to the axle [recalled] and 0.75 m overhang (assumed)",
        ),
        v("vehicle.length", "3.7 m", NCHRP),
        v("vehicle.width", "1.55 m", ASSUMED),
        v("vehicle.cg_to_front_axle", "0.8 m", NCHRP),
        v("vehicle.wheelbase", "2.3 m", NCHRP),
        v("vehicle.track", "1.35 m", NCHRP),
        UNDERSIDE,
        v(
            "vehicle.outline",
            r#"[["0 m", "0.68 m"], ["0.15 m", "0.76 m"], ["0.95 m", "0.92 m"], ["1.75 m", "1.38 m"], ["3.1 m", "1.36 m"], ["3.7 m", "0.95 m"]]"#,
            ASSUMED,
        ),
        v("vehicle.head_ahead", "-0.55 m", CAR_OCCUPANT),
        v("vehicle.head_left", "0.33 m", CAR_OCCUPANT),
        OF_1993,
    ],
    front: &front(
        r#"[["0 mm", "0 kN"], ["400 mm", "26 kN"]]"#,
        r#"[["0 mm", "0 kN"], ["75 mm", "30 kN"], ["475 mm", "150 kN"]]"#,
    ),
    side: SOFT_SIDE,
};

pub(super) const SMALL_CAR_900: Class = Class {
    name: "small-car-900",
    meaning: "small car of 900 kg, EN 12767",
    values: &[
        ROLLS_FREE,
        v("vehicle.mass", "900 kg", "EN 12767: 900 kg car [seen]"),
        v("vehicle.cg_height", "0.49 m", EN),
        v(
            "vehicle.cg_to_front",
            "1.62 m",
            "0.90 m to the axle [recalled] and 0.72 m overhang (assumed)",
        ),
        v("vehicle.length", "3.75 m", ASSUMED),
        v("vehicle.width", "1.58 m", ASSUMED),
        v("vehicle.cg_to_front_axle", "0.9 m", EN),
        v("vehicle.wheelbase", "2.35 m", ASSUMED),
        v("vehicle.track", "1.35 m", EN),
        UNDERSIDE,
        v(
            "vehicle.outline",
            r#"[["0 m", "0.68 m"], ["0.15 m", "0.76 m"], ["0.95 m", "0.93 m"], ["1.75 m", "1.40 m"], ["3.15 m", "1.38 m"], ["3.75 m", "0.95 m"]]"#,
            ASSUMED,
        ),
        v("vehicle.head_ahead", "-0.45 m", CAR_OCCUPANT),
        v("vehicle.head_left", "0.33 m", CAR_OCCUPANT),
        v(
            "criteria.sets",
            r#"["en-12767"]"#,
            "the document of the class",
        ),
    ],
    front: &front(
        r#"[["0 mm", "0 kN"], ["400 mm", "28 kN"]]"#,
        r#"[["0 mm", "0 kN"], ["75 mm", "30 kN"], ["475 mm", "162 kN"]]"#,
    ),
    side: SOFT_SIDE,
};

pub(super) const SMALL_CAR_1100: Class = Class {
    name: "small-car-1100",
    meaning: "small car of 1100 kg, MASH tests 3-60 and 3-61",
    values: &[
        ROLLS_FREE,
        v(
            "vehicle.mass",
            "1100 kg",
            "MASH tests 3-60, 3-61: 1100 +/- 25 kg [seen]",
        ),
        v("vehicle.cg_height", "0.56 m", ASSUMED),
        v(
            "vehicle.cg_to_front",
            "1.88 m",
            "0.99 m to the axle and 0.89 m overhang, MASH 2016 [recalled]",
        ),
        v("vehicle.length", "4.29 m", MASH),
        v("vehicle.width", "1.65 m", MASH),
        v("vehicle.cg_to_front_axle", "0.99 m", MASH),
        v("vehicle.wheelbase", "2.49 m", MASH),
        v("vehicle.track", "1.42 m", MASH),
        UNDERSIDE,
        v(
            "vehicle.outline",
            r#"[["0 m", "0.68 m"], ["0.15 m", "0.76 m"], ["1.15 m", "0.97 m"], ["2.0 m", "1.44 m"], ["3.3 m", "1.42 m"], ["4.29 m", "1.02 m"]]"#,
            ASSUMED,
        ),
        v("vehicle.head_ahead", "-0.36 m", CAR_OCCUPANT),
        v("vehicle.head_left", "0.35 m", CAR_OCCUPANT),
        OF_2016,
    ],
    front: &front(
        r#"[["0 mm", "0 kN"], ["400 mm", "34 kN"]]"#,
        r#"[["0 mm", "0 kN"], ["75 mm", "30 kN"], ["475 mm", "190 kN"]]"#,
    ),
    side: SOFT_SIDE,
};
