//! Lengths in which bolts are made and the length of their thread.

use crate::strength::{InputError, positive, within};
use giveway_scenario::model::Bolt;
use giveway_scenario::parts::bolt_size;
use schemars::JsonSchema;
use serde::Serialize;

/// Inch in m.
const INCH: f64 = 0.0254;
/// Lengths below this difference count as equal, m.
const EQUAL: f64 = 1e-9;

/// The series of sizes that a bolt belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Series {
    /// ISO metric.
    Metric,
    /// Unified inch.
    Inch,
}

/// Series of a bolt, by the name of its size.
pub fn series(bolt: &Bolt) -> Series {
    let inch = bolt_size(&bolt.size).map_or(bolt.size.trim_end().ends_with("in"), |size| {
        size.threads_per_inch.is_some()
    });
    if inch { Series::Inch } else { Series::Metric }
}

/// Preferred lengths of metric bolts and screws, mm (ISO 888, recalled).
const METRIC_MM: [f64; 41] = [
    20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0, 100.0, 110.0,
    120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0, 220.0, 240.0, 260.0, 280.0, 300.0, 320.0,
    340.0, 360.0, 380.0, 400.0, 420.0, 440.0, 460.0, 480.0, 500.0, 520.0, 540.0, 560.0, 580.0,
];

/// The shortest standard length that is not below `least_m`, m: ISO 888 (5 mm steps to 70, 10 to 160, 20 beyond), inch
/// bolts by quarter inches up to 24 in (both recalled).
///
/// # Errors
/// A length that is not above zero, or longer than any standard bolt.
pub fn standard_length(series: Series, least_m: f64) -> Result<f64, InputError> {
    let least = positive("least length of a bolt, m", least_m)?;
    let found = match series {
        Series::Metric => METRIC_MM
            .iter()
            .map(|mm| mm / 1e3)
            .find(|l| *l >= least - EQUAL),
        Series::Inch => {
            let quarters = libm::ceil((least - EQUAL) / (0.25 * INCH)).max(1.0);
            (quarters <= 96.0).then_some(quarters * 0.25 * INCH)
        }
    };
    found.ok_or(InputError::OutOfRange {
        quantity: "least length of a bolt, m",
        value: least,
        allowed: "at most 580 mm or 24 in",
    })
}

/// Thread length of inch structural bolts by diameter, in (ASME B18.2.6, recalled).
const STRUCTURAL_INCH: [(f64, f64); 9] = [
    (0.5, 1.0),
    (0.625, 1.25),
    (0.75, 1.375),
    (0.875, 1.5),
    (1.0, 1.75),
    (1.125, 2.0),
    (1.25, 2.0),
    (1.375, 2.25),
    (1.5, 2.25),
];

/// Thread length of metric structural bolts by diameter, mm: up to 100 mm long, and beyond (ISO 7412, recalled).
const STRUCTURAL_METRIC: [(f64, f64, f64); 7] = [
    (16.0, 31.0, 38.0),
    (20.0, 36.0, 43.0),
    (22.0, 38.0, 45.0),
    (24.0, 41.0, 48.0),
    (27.0, 44.0, 51.0),
    (30.0, 49.0, 56.0),
    (36.0, 56.0, 63.0),
];

/// Thread length b of a bolt of the given length, m; no more than the length.
///
/// Metric 2 d + 6 mm up to 125 mm, 2 d + 12 mm up to 200 mm, 2 d + 25 mm beyond (ISO 4014, recalled); inch 2 d + 1/4 in up to
/// 6 in, 2 d + 1/2 in beyond (ASME B18.2.1, recalled); structural grades (A325, A325M, A490) have their own shorter
/// threads (ASME B18.2.6, ISO 7412, recalled) where their size is in the table.
///
/// # Errors
/// A diameter or length that is not above zero.
pub fn thread_length(bolt: &Bolt, length_m: f64) -> Result<f64, InputError> {
    let d = positive("bolt diameter d, m", bolt.diameter_m)?;
    let length = within(
        "length of the bolt, m",
        length_m,
        length_m > 0.0,
        "above zero",
    )?;
    let same = |a: f64, b: f64| (a - b).abs() < 1e-5;
    let structural = match (series(bolt), bolt.grade.as_str()) {
        (Series::Inch, "A325" | "A490") => STRUCTURAL_INCH
            .iter()
            .find(|row| same(row.0 * INCH, d))
            .map(|row| row.1 * INCH),
        (Series::Metric, "A325" | "A325M" | "A490") => STRUCTURAL_METRIC
            .iter()
            .find(|row| same(row.0 / 1e3, d))
            .map(|row| if length > 0.1 + EQUAL { row.2 } else { row.1 } / 1e3),
        _ => None,
    };
    let thread = structural.unwrap_or_else(|| match series(bolt) {
        Series::Metric if length <= 0.125 + EQUAL => 2.0 * d + 0.006,
        Series::Metric if length <= 0.200 + EQUAL => 2.0 * d + 0.012,
        Series::Metric => 2.0 * d + 0.025,
        Series::Inch if length <= 6.0 * INCH + EQUAL => 2.0 * d + 0.25 * INCH,
        Series::Inch => 2.0 * d + 0.5 * INCH,
    });
    Ok(thread.min(length))
}
