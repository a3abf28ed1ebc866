//! What a row requires of a design: its limits in numbers and in words.

use giveway_scenario::model::Scenario;
use giveway_units::{System, shown};

use super::kinds::{Measure, Origin, Verdict};
use super::row::{Limit, Requirement, Rule};
use crate::date::span_of_days;
use crate::profile::{Basis, Profile};

/// Whether the rule needs a design value that this design does not have (a keeper, where there is none).
pub fn applies(row: &Requirement, basis: Basis<'_>) -> bool {
    let there = |limit: Limit| limit.of(basis).is_some();
    match row.rule {
        Rule::AtLeast(limit) | Rule::AtMost(limit) | Rule::WithinPlusMinus(limit) => there(limit),
        Rule::Between(low, high) => there(low) && there(high),
        Rule::NearDesign(_) => row.designed.is_some_and(|d| d.of(basis.design).is_some()),
        Rule::NoOlderThan(_) => matches!(row.item.measure, Measure::Date),
        Rule::ByWord => true,
    }
}

/// Lower and upper bound of a value written in a system, SI; none where the design does not give them.
pub fn bounds(
    row: &Requirement,
    basis: Basis<'_>,
    system: System,
) -> Option<(Option<f64>, Option<f64>)> {
    let of = |limit: Limit| limit.of(basis).map(|twin| twin.of(system));
    Some(match row.rule {
        Rule::AtLeast(limit) => (Some(of(limit)?), None),
        Rule::AtMost(limit) => (None, Some(of(limit)?)),
        Rule::Between(low, high) => (Some(of(low)?), Some(of(high)?)),
        Rule::WithinPlusMinus(limit) => {
            let most = of(limit)?;
            (Some(-most), Some(most))
        }
        Rule::NearDesign(fraction) => {
            let designed = row.designed?.of(basis.design)?;
            let slack = basis.profile.limit(fraction).si * designed.abs();
            (Some(designed - slack), Some(designed + slack))
        }
        Rule::NoOlderThan(_) | Rule::ByWord => return None,
    })
}

fn show(row: &Requirement, si: f64, system: System) -> String {
    match row.item.measure {
        Measure::Quantity(dimension, unit) => system.said(si, dimension, unit, 3),
        _ => shown(si, 3),
    }
}

/// The one bound of a requirement with its unit, for example `13 mm`; both where there are two.
pub fn bound_words(row: &Requirement, basis: Basis<'_>, system: System) -> String {
    match bounds(row, basis, system) {
        Some((Some(low), Some(high))) => {
            format!("{} to {}", show(row, low, system), show(row, high, system))
        }
        Some((Some(one), None) | (None, Some(one))) => show(row, one, system),
        _ => String::new(),
    }
}

/// The limit in words with its unit, for example `at least 13 mm`.
pub fn limit_words(row: &Requirement, basis: Basis<'_>, system: System) -> String {
    // A limit that is rounded to show must not claim more than it is: 3 figures suffice for a tape.
    match (row.rule, bounds(row, basis, system)) {
        (Rule::ByWord, _) => row
            .item
            .words
            .iter()
            .filter(|w| w.verdict == Verdict::Meets)
            .map(|w| w.word)
            .collect::<Vec<_>>()
            .join(" or "),
        (Rule::NoOlderThan(days), _) => {
            format!(
                "at most {} before",
                span_of_days(basis.profile.limit(days).si)
            )
        }
        (_, None) => "the design has none".to_owned(),
        (Rule::AtMost(_), Some((_, Some(0.0)))) => "none".to_owned(),
        (Rule::WithinPlusMinus(_), Some((_, Some(most)))) => {
            format!("within {} either way", show(row, most, system))
        }
        (_, Some((Some(_), Some(_)))) => bound_words(row, basis, system),
        (_, Some((Some(low), None))) => format!("at least {}", show(row, low, system)),
        (_, Some((None, Some(high)))) => format!("at most {}", show(row, high, system)),
        (_, Some((None, None))) => String::new(),
    }
}

impl Requirement {
    /// Where its limit comes from, and how well that is known: the profile where it sets the limit.
    pub fn origin_in(&self, basis: Basis<'_>) -> (String, Origin) {
        let set = self
            .rule
            .bounds()
            .into_iter()
            .find_map(|b| basis.profile.source(b));
        set.map_or((self.source.to_owned(), self.origin), |source| {
            (source, Origin::CommonPractice)
        })
    }

    /// What must be done to put it right, by the trade's own limits in SI.
    pub fn put_right_for(&self, design: &Scenario) -> String {
        let profile = &Profile::trade();
        self.put_right_in(Basis { design, profile }, System::Si)
    }

    /// What must be done to put it right, with the limit in a system of units.
    pub fn put_right_in(&self, basis: Basis<'_>, system: System) -> String {
        match self.put_right.contains("{limit}") {
            true => {
                let words = bound_words(self, basis, system);
                self.put_right.replace("{limit}", &words)
            }
            false => self.put_right.to_owned(),
        }
    }
}
