//! The limit of a column: that of the document by which the runs were judged.

use giveway_occupant::limits::{LIMITS, document};
use giveway_scenario::model::CriteriaSet;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// On which side of a limit a value is beyond it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Magnitudes above it.
    Above,
    /// Values below it.
    Below,
}

/// A limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ColumnLimit {
    /// The limit, in the unit of the column.
    pub value: f64,
    /// Preferred limit, where the document has one.
    pub preferred: Option<f64>,
    /// Where values are beyond it.
    pub beyond: Side,
    /// Where it comes from.
    pub source: String,
}

impl ColumnLimit {
    /// A limit that was asked for.
    pub fn given(value: f64) -> Self {
        Self {
            value,
            preferred: None,
            beyond: Side::Above,
            source: "limit asked for".to_owned(),
        }
    }

    /// The limit of a column by the document of that name in the scenario file. Limits that a scenario overrides are not in
    /// the table; margins are computed with them.
    pub fn of(column: &str, document_name: Option<&str>) -> Option<Self> {
        if matches!(column, "margin_fraction" | "motion_margin_fraction") {
            return Some(Self {
                value: 0.0,
                preferred: None,
                beyond: Side::Below,
                source: "limit of the governing document".to_owned(),
            });
        }
        let set = (CriteriaSet::ALL.iter().copied()).find(|s| Some(s.name()) == document_name)?;
        let row = (LIMITS.iter()).find(|l| l.key == column && l.sets.contains(&set))?;
        Some(Self {
            value: row.max.0,
            preferred: row.preferred.map(|p| p.0),
            beyond: Side::Above,
            source: document(set).title.to_owned(),
        })
    }

    /// Whether a value is beyond.
    pub fn is_beyond(&self, value: f64) -> bool {
        match self.beyond {
            Side::Above => value.abs() > self.value,
            Side::Below => value < self.value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_those_of_the_document() {
        let of = |column, document| ColumnLimit::of(column, Some(document)).map(|l| l.value);
        assert_eq!(
            of("velocity_change_mps", "aashto-1994"),
            Some(16.0 * 0.3048)
        );
        assert_eq!(of("oiv_longitudinal_mps", "nchrp-350"), Some(5.0));
        assert_eq!(of("velocity_change_mps", "nchrp-350"), None);
        assert_eq!(of("peak_force_n", "nchrp-350"), None);
        assert_eq!(of("oiv_longitudinal_mps", "none"), None);
        let margin = ColumnLimit::of("margin_fraction", None).unwrap();
        assert!(margin.is_beyond(-0.1) && !margin.is_beyond(0.1));
        assert!(ColumnLimit::given(5.0).is_beyond(-6.0));
    }
}
