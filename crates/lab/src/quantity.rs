//! What of a run can be laid beside a measured number. Names as the columns of a study, where a study has them.

use giveway_impact::outcome::Engagement;
use giveway_scenario::model::Scenario;
use giveway_units::Dimension;
use toml::Spanned;

use crate::fault::Described;

/// One number of a run.
#[derive(Debug, Clone, Copy)]
pub struct Quantity {
    /// Name with unit.
    pub name: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Its dimension, and the unit for people.
    pub measure: (Dimension, &'static str),
    /// Its value; none where the run has none.
    pub of: Of,
}

/// Reads a number off a run and its scenario.
pub type Of = fn(&Scenario, &Engagement) -> Option<f64>;

const fn row(
    name: &'static str,
    meaning: &'static str,
    measure: (Dimension, &'static str),
    of: Of,
) -> Quantity {
    Quantity {
        name,
        meaning,
        measure,
        of,
    }
}

const fn time(name: &'static str, meaning: &'static str, of: Of) -> Quantity {
    row(name, meaning, (Dimension::Time, "ms"), of)
}

const fn force(name: &'static str, meaning: &'static str, of: Of) -> Quantity {
    row(name, meaning, (Dimension::Force, "kN"), of)
}

const fn length(name: &'static str, meaning: &'static str, of: Of) -> Quantity {
    row(name, meaning, (Dimension::Length, "mm"), of)
}

/// The table.
pub const QUANTITIES: &[Quantity] = &[
    row(
        "velocity_change_mps",
        "speed lost along the initial direction of travel, at loss of contact or at the end of the engagement",
        (Dimension::Speed, "m/s"),
        |_, e| {
            Some(
                e.velocity_change_at_contact_end_mps
                    .unwrap_or(e.velocity_change_at_end_mps),
            )
        },
    ),
    time(
        "release_time_s",
        "release of the last bolt after first touch",
        |_, e| e.release_time_s,
    ),
    time(
        "contact_end_time_s",
        "last touch of face and pole",
        |_, e| e.contact_end_time_s,
    ),
    force("peak_force_n", "largest contact force", |_, e| {
        Some(e.peak_force_n)
    }),
    length("peak_crush_m", "largest crush over all bands", |_, e| {
        Some(e.peak_crush_m)
    }),
    length("permanent_crush_m", "deepest crush that stays", |_, e| {
        e.permanent_crush_m.iter().copied().reduce(f64::max)
    }),
    row(
        "tension_rise",
        "largest rise of a bolt's tension over its preload before release, as a fraction",
        (Dimension::Ratio, "%"),
        |_, e| Some(e.tension_rise),
    ),
    force(
        "preload_n",
        "tension of each bolt before the impact, as designed",
        |s, _| Some(s.base.preload_n),
    ),
    row(
        "contact_impulse_ns",
        "impulse of the contact force along the initial direction of travel",
        (Dimension::Impulse, "N.s"),
        |_, e| Some(e.contact_impulse_ns),
    ),
    length("dent_m", "depth of the dent in the tube wall", |_, e| {
        Some(e.dent_m)
    }),
];

impl Quantity {
    /// The quantity of that name.
    pub fn named(name: &str) -> Option<&'static Self> {
        QUANTITIES.iter().find(|q| q.name == name)
    }

    /// A value in the unit for people, with it.
    pub fn shown(&self, si: f64) -> String {
        shown(si, self.measure)
    }
}

/// A number of a dimension in a unit, three figures.
pub(crate) fn shown(si: f64, (dimension, unit): (Dimension, &'static str)) -> String {
    if unit.is_empty() {
        giveway_units::shown(si, 3)
    } else {
        let number = giveway_units::in_unit(si, dimension, unit);
        format!("{} {unit}", giveway_units::shown(number, 3))
    }
}

/// The quantity of that name; else it is said which there are.
pub(crate) fn quantity_named(
    name: &Spanned<String>,
    d: &mut Described<'_>,
) -> Option<&'static Quantity> {
    let quantity = Quantity::named(name.get_ref());
    if quantity.is_none() {
        let names: Vec<&str> = QUANTITIES.iter().map(|q| q.name).collect();
        d.fault_at(
            name.span().start,
            name.get_ref(),
            format!("no run gives this number: {}", names.join(", ")),
        );
    }
    quantity
}
