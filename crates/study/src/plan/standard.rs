//! Scatter that is known, or assumed, of things that a study usually does not know better.
//!
//! Each row is data: which paths it moves, how, and where its shape comes from. Marks: \[seen\] read in the source or in
//! a text that quotes it; \[recalled\] from memory; assumed: chosen here, no source.
//!
//! References: J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints (scatter of torque wrenches)
//! \[recalled\]; G. L. Kulak, J. W. Fisher, J. H. A. Struik, Guide to Design Criteria for Bolted and Riveted Joints (slip
//! coefficients) \[recalled\]; W. H. Munse, 1967, in the RCSC commentary (relaxation) \[seen\]; FHWA-RD-99-025 (a pair of
//! torque and clamp) \[seen\]; NCHRP Report 350 (1993) and MASH (2016), test matrices (tolerances of mass) \[seen in part\].

use giveway_sampling::{Distribution, SamplingError};
use giveway_units::Dimension;

/// How a drawn number acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acts {
    /// It is the value.
    AsValue,
    /// It multiplies the value of the scenario; of a crush law, its forces.
    AsFactor,
    /// It is added to the value of the scenario.
    AsShift,
}

/// Shape of a standard distribution, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Low, high.
    Uniform(f64, f64),
    /// Mean, standard deviation, low, high.
    Normal(f64, f64, f64, f64),
    /// Median, standard deviation of the logarithm, low, high.
    Lognormal(f64, f64, f64, f64),
    /// Low, mode, high.
    Triangular(f64, f64, f64),
}

impl Shape {
    /// The distribution.
    ///
    /// # Errors
    /// None for the rows of [`STANDARD`], which a test draws from.
    pub fn distribution(self) -> Result<Distribution, SamplingError> {
        match self {
            Self::Uniform(low, high) => Distribution::uniform(low, high),
            Self::Normal(mean, deviation, low, high) => {
                Distribution::truncated_normal(mean, deviation, low, high)
            }
            Self::Lognormal(median, spread, low, high) => {
                Distribution::lognormal(median, spread)?.between(low, high)
            }
            Self::Triangular(low, mode, high) => Distribution::triangular(low, mode, high),
        }
    }
}

/// One standard distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standard {
    /// Name in the study file.
    pub name: &'static str,
    /// Paths that it moves, all by the same drawn number; `[*]` = every element.
    pub paths: &'static [&'static str],
    /// How the number acts.
    pub acts: Acts,
    /// Dimension of the number and unit of the page that lists these rows.
    pub measure: (Dimension, &'static str),
    /// Shape, SI.
    pub shape: Shape,
    /// Where it comes from, with its mark.
    pub source: &'static str,
}

use Acts::{AsFactor, AsShift, AsValue};
use Shape::{Lognormal, Normal, Triangular, Uniform};

/// The table.
pub const STANDARD: &[Standard] = &[
    Standard {
        name: "nut-factor",
        paths: &["slip_base.clamp.nut_factor"],
        acts: AsValue,
        measure: (Dimension::Ratio, ""),
        shape: Lognormal(0.20, 0.15, 0.12, 0.35),
        source: "median of zinc-coated bolts [recalled], 0.198 measured (FHWA-RD-99-025) [seen]; bounds from waxed 0.12 to unlubricated galvanised 0.35 [recalled]; spread: +/- 30 % of a torque wrench (Bickford) [recalled] taken as two standard deviations, assumed",
    },
    Standard {
        name: "friction-inner",
        paths: &["slip_base.friction.inner"],
        acts: AsValue,
        measure: (Dimension::Ratio, ""),
        shape: Triangular(0.10, 0.18, 0.60),
        source: "mode of galvanised plates as received (Kulak, Fisher and Struik) [recalled]; bounds from greased to rusted [recalled]; triangular shape assumed",
    },
    Standard {
        name: "friction-outer",
        paths: &["slip_base.friction.outer"],
        acts: AsValue,
        measure: (Dimension::Ratio, ""),
        shape: Triangular(0.10, 0.20, 0.60),
        source: "mode of zinc; bounds from greased to rusted [recalled]; triangular shape assumed",
    },
    Standard {
        name: "friction-wall",
        paths: &["slip_base.friction.wall"],
        acts: AsValue,
        measure: (Dimension::Ratio, ""),
        shape: Triangular(0.10, 0.15, 0.60),
        source: "assumed: a bolt shank on a galvanised wall, bounds as for the plates",
    },
    Standard {
        name: "friction-of-new",
        paths: &[
            "slip_base.friction.inner",
            "slip_base.friction.outer",
            "slip_base.friction.wall",
        ],
        acts: AsFactor,
        measure: (Dimension::Ratio, ""),
        shape: Lognormal(1.0, 0.45, 0.4, 2.5),
        source: "a base as installed, about the scenario's own frictions and all faces alike; spread between bases: median of the shared calibration over tests in print (docs/validation.md); bounds assumed",
    },
    Standard {
        name: "relaxation",
        paths: &["slip_base.clamp.relaxation"],
        acts: AsValue,
        measure: (Dimension::Ratio, ""),
        shape: Triangular(0.025, 0.065, 0.105),
        source: "2.5 % bare, 6.5 % galvanised plates in five days (Munse 1967) [seen]; the upper bound mirrors the lower one, assumed",
    },
    Standard {
        name: "bumper-height",
        paths: &[
            "vehicle.front.band[bumper].lower",
            "vehicle.front.band[bumper].upper",
        ],
        acts: AsShift,
        measure: (Dimension::Length, "mm"),
        shape: Uniform(-0.05, 0.05),
        source: "assumed: within the range 0.40 to 0.65 m of cars; the height of the band is kept",
    },
    Standard {
        name: "front-stiffness",
        paths: &["vehicle.front.band[*].crush"],
        acts: AsFactor,
        measure: (Dimension::Ratio, ""),
        shape: Lognormal(1.0, 0.20, 0.65, 1.55),
        source: "assumed: bounds as of 300 and 700 kN/m to their geometric middle, all bands alike",
    },
    Standard {
        name: "mass",
        paths: &["vehicle.mass"],
        acts: AsShift,
        measure: (Dimension::Mass, "kg"),
        shape: Uniform(-25.0, 25.0),
        source: "tolerance of test cars, +/- 25 kg at 820 and 1100 kg (NCHRP Report 350 [seen], MASH 2016 [seen in part]); uniform shape assumed",
    },
    Standard {
        name: "speed",
        paths: &["impact.speed"],
        acts: AsFactor,
        measure: (Dimension::Ratio, ""),
        shape: Normal(1.0, 0.10, 0.7, 1.3),
        source: "assumed: a tenth of the speed, cut at three standard deviations",
    },
    Standard {
        name: "offset",
        paths: &["impact.offset"],
        acts: AsShift,
        measure: (Dimension::Length, "mm"),
        shape: Uniform(-0.4, 0.4),
        source: "assumed: about a quarter of a car's width to either side",
    },
];

/// The row of a name.
pub fn standard(name: &str) -> Option<&'static Standard> {
    STANDARD.iter().find(|row| row.name == name)
}

#[cfg(test)]
mod tests {
    use giveway_scenario::grammar::{Kind, row_at};

    use super::*;

    #[test]
    fn rows_fit_the_grammar_and_are_marked() {
        for row in STANDARD {
            let law = row.shape.distribution().unwrap();
            let (low, high) = law.bounds();
            assert!(low < high, "{}", row.name);
            for path in row.paths {
                let kind = row_at(&path.replace("[*]", "[x]")).unwrap().kind;
                let fits = match kind {
                    Kind::Quantity(d, _) => row.acts == AsFactor || d == row.measure.0,
                    Kind::LengthOrName(_) => row.measure.0 == Dimension::Length,
                    Kind::Number => row.measure.0 == Dimension::Ratio,
                    Kind::Pairs(..) => row.acts == AsFactor,
                    _ => false,
                };
                assert!(fits, "{path}");
                if row.acts == AsValue {
                    let possible = row_at(path).unwrap().possible;
                    assert!(possible.0 <= low && high <= possible.1, "{path}");
                }
            }
            let marks = ["[seen]", "[recalled]", "[seen in part]", "assumed"];
            assert!(marks.iter().any(|m| row.source.contains(m)), "{}", row.name);
        }
    }
}
