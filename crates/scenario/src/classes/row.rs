//! What a class is written with, and what several classes share.

/// One value of a class: key below `[vehicle]` (or another section), literal, source.
pub struct ClassValue {
    /// Path in the grammar.
    pub path: &'static str,
    /// Literal as in a scenario file; quantities without quotes.
    pub literal: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// One band of a face.
pub struct ClassBand {
    /// Name.
    pub name: &'static str,
    /// Lower edge.
    pub lower: &'static str,
    /// Upper edge.
    pub upper: &'static str,
    /// Set-back.
    pub setback: &'static str,
    /// Force-crush polyline.
    pub crush: &'static str,
    /// Where the values come from.
    pub source: &'static str,
}

/// A vehicle class.
pub struct Class {
    /// Name in the scenario.
    pub name: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Values.
    pub values: &'static [ClassValue],
    /// Front.
    pub front: &'static [ClassBand],
    /// Side.
    pub side: &'static [ClassBand],
}

pub(super) const fn v(
    path: &'static str,
    literal: &'static str,
    source: &'static str,
) -> ClassValue {
    ClassValue {
        path,
        literal,
        source,
    }
}

pub(super) const fn band(
    name: &'static str,
    edges: (&'static str, &'static str),
    setback: &'static str,
    crush: &'static str,
    source: &'static str,
) -> ClassBand {
    ClassBand {
        name,
        lower: edges.0,
        upper: edges.1,
        setback,
        crush,
        source,
    }
}

/// The documents of a class.
pub(super) const fn sets(literal: &'static str) -> ClassValue {
    v("criteria.sets", literal, "the documents of the class")
}

/// A vehicle on its wheels.
pub(super) const ROLLS_FREE: ClassValue = v("vehicle.guided", "false", "it rolls free");
pub(super) const OF_1993: ClassValue = sets(r#"["nchrp-350", "aashto-1994"]"#);
pub(super) const OF_2016: ClassValue = sets(r#"["mash-2016", "aashto-1994"]"#);

pub(super) const NCHRP: &str = "NCHRP Report 350 (1993) [recalled]";
pub(super) const MASH: &str = "MASH 2016 [recalled]";
pub(super) const ASSUMED: &str = "assumed";
pub(super) const SOFT_SIDE: &[ClassBand] = &[
    band(
        "sill",
        ("0.20 m", "0.40 m"),
        "40 mm",
        r#"[["0 mm", "0 kN"], ["300 mm", "60 kN"]]"#,
        "assumed; height: sills of cars stand below the bumper zone; common practice, no source",
    ),
    band(
        "door",
        ("0.40 m", "0.85 m"),
        "0 mm",
        r#"[["0 mm", "0 kN"], ["250 mm", "20 kN"], ["500 mm", "60 kN"]]"#,
        ASSUMED,
    ),
];
