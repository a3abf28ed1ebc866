//! Pickups.

use super::row::{
    ASSUMED, Class, ClassBand, ClassValue, MASH, NCHRP, OF_1993, OF_2016, ROLLS_FREE, band, v,
};

const RAIL: &str = "frame rail 300 mm in (FHWA-RD-98-081) [seen]; the rail itself gives way at about 150 kN (assumed), what the vehicle does behind it stands in vehicle.side_body; height of the rail 0.45 to 0.60 m, common practice, no source";
const SILL: &str = "sill of the cab below the door, 0.40 to 0.55 m (assumed); carries 70 % of the body side's 307 kN/m until the rail takes over (assumed)";
const DOOR: &str =
    "door skin, soft: 30 % of the body side's 307 kN/m until the rail takes over (assumed)";

const PICKUP_SIDE: &[ClassBand] = &[
    band(
        "sill",
        ("0.40 m", "0.55 m"),
        "0 mm",
        r#"[["0 mm", "0 kN"], ["300 mm", "64.5 kN"], ["900 mm", "64.5 kN"]]"#,
        SILL,
    ),
    band(
        "frame-rail",
        ("0.45 m", "0.60 m"),
        "300 mm",
        r#"[["0 mm", "0 kN"], ["50 mm", "150 kN"], ["600 mm", "200 kN"]]"#,
        RAIL,
    ),
    band(
        "door",
        ("0.55 m", "1.05 m"),
        "0 mm",
        r#"[["0 mm", "0 kN"], ["300 mm", "27.6 kN"], ["900 mm", "27.6 kN"]]"#,
        DOOR,
    ),
];

const PICKUP_FRONT: &[ClassBand] = &[
    band(
        "lower",
        ("0.40 m", "0.55 m"),
        "75 mm",
        r#"[["0 mm", "0 kN"], ["400 mm", "36 kN"]]"#,
        "assumed: 15 % of 600 kN/m",
    ),
    band(
        "bumper",
        ("0.55 m", "0.75 m"),
        "0 mm",
        r#"[["0 mm", "0 kN"], ["75 mm", "40 kN"], ["475 mm", "208 kN"]]"#,
        "height: lower half of the published 0.6 to 0.9 m, since the rails behind it meet the bumper zone of cars, 0.41 to 0.51 m (agreement of makers, 2003) [recalled]; force assumed: 70 % of 600 kN/m after a soft 75 mm",
    ),
    band(
        "bonnet-edge",
        ("0.75 m", "1.10 m"),
        "75 mm",
        r#"[["0 mm", "0 kN"], ["400 mm", "36 kN"]]"#,
        "assumed: 15 % of 600 kN/m",
    ),
];

const UNDERSIDE: ClassValue = v(
    "vehicle.underside",
    "0.22 m",
    "assumed: pickups clear 0.20 to 0.24 m; the middle",
);

pub(super) const PICKUP_2000: Class = Class {
    name: "pickup-2000",
    meaning: "pickup of 2000 kg, NCHRP Report 350",
    values: &[
        ROLLS_FREE,
        v("vehicle.mass", "2000 kg", NCHRP),
        v("vehicle.cg_height", "0.70 m", NCHRP),
        v(
            "vehicle.cg_to_front",
            "2.2 m",
            "1.40 m to the axle and 0.80 m overhang, NCHRP Report 350 [recalled]",
        ),
        v("vehicle.length", "5.35 m", NCHRP),
        v("vehicle.width", "1.95 m", ASSUMED),
        v("vehicle.cg_to_front_axle", "1.4 m", NCHRP),
        v("vehicle.wheelbase", "3.35 m", NCHRP),
        v("vehicle.track", "1.65 m", NCHRP),
        UNDERSIDE,
        v(
            "vehicle.outline",
            r#"[["0 m", "0.95 m"], ["0.15 m", "1.05 m"], ["1.4 m", "1.12 m"], ["2.05 m", "1.75 m"], ["3.05 m", "1.75 m"], ["3.3 m", "1.15 m"], ["5.35 m", "1.1 m"]]"#,
            ASSUMED,
        ),
        v(
            "vehicle.head_ahead",
            "-0.3 m",
            "assumed: driver's head 1.70 m behind the front axle, left seat",
        ),
        v("vehicle.head_left", "0.42 m", ASSUMED),
        OF_1993,
    ],
    front: PICKUP_FRONT,
    side: PICKUP_SIDE,
};

pub(super) const PICKUP_2270: Class = Class {
    name: "pickup-2270",
    meaning: "pickup of 2270 kg, MASH test 3-62",
    values: &[
        ROLLS_FREE,
        v(
            "vehicle.mass",
            "2270 kg",
            "MASH test 3-62: 2270 +/- 50 kg [seen]",
        ),
        v(
            "vehicle.cg_height",
            "0.72 m",
            "MASH 2016: at least 0.71 m [recalled]",
        ),
        v(
            "vehicle.cg_to_front",
            "2.59 m",
            "1.60 m to the axle and 0.99 m overhang, MASH 2016 [recalled]",
        ),
        v("vehicle.length", "6.02 m", MASH),
        v("vehicle.width", "1.98 m", MASH),
        v("vehicle.cg_to_front_axle", "1.6 m", MASH),
        v("vehicle.wheelbase", "3.76 m", MASH),
        v("vehicle.track", "1.7 m", MASH),
        UNDERSIDE,
        v(
            "vehicle.outline",
            r#"[["0 m", "1.0 m"], ["0.15 m", "1.1 m"], ["1.5 m", "1.2 m"], ["2.2 m", "1.9 m"], ["3.9 m", "1.9 m"], ["4.15 m", "1.25 m"], ["6.02 m", "1.2 m"]]"#,
            ASSUMED,
        ),
        v(
            "vehicle.head_ahead",
            "-0.2 m",
            "assumed: driver's head 1.80 m behind the front axle, left seat",
        ),
        v("vehicle.head_left", "0.43 m", ASSUMED),
        OF_2016,
    ],
    front: PICKUP_FRONT,
    side: PICKUP_SIDE,
};
