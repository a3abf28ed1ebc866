//! What of a run can be laid beside a measured number. Names as the columns of a study, where a study has them.

use giveway_impact::outcome::Engagement;
use giveway_scenario::model::Scenario;
use giveway_units::Dimension;

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
    pub of: fn(&Scenario, &Engagement) -> Option<f64>,
}

/// The table.
pub const QUANTITIES: &[Quantity] = &[
    Quantity {
        name: "velocity_change_mps",
        meaning: "speed lost along the initial direction of travel, at loss of contact or at the end of the engagement",
        measure: (Dimension::Speed, "m/s"),
        of: |_, e| {
            Some(
                e.velocity_change_at_contact_end_mps
                    .unwrap_or(e.velocity_change_at_end_mps),
            )
        },
    },
    Quantity {
        name: "release_time_s",
        meaning: "release of the last bolt after first touch",
        measure: (Dimension::Time, "ms"),
        of: |_, e| e.release_time_s,
    },
    Quantity {
        name: "contact_end_time_s",
        meaning: "last touch of face and pole",
        measure: (Dimension::Time, "ms"),
        of: |_, e| e.contact_end_time_s,
    },
    Quantity {
        name: "peak_force_n",
        meaning: "largest contact force",
        measure: (Dimension::Force, "kN"),
        of: |_, e| Some(e.peak_force_n),
    },
    Quantity {
        name: "peak_crush_m",
        meaning: "largest crush over all bands",
        measure: (Dimension::Length, "mm"),
        of: |_, e| Some(e.peak_crush_m),
    },
    Quantity {
        name: "permanent_crush_m",
        meaning: "deepest crush that stays",
        measure: (Dimension::Length, "mm"),
        of: |_, e| e.permanent_crush_m.iter().copied().reduce(f64::max),
    },
    Quantity {
        name: "tension_rise",
        meaning: "largest rise of a bolt's tension over its preload before release, as a fraction",
        measure: (Dimension::Ratio, "%"),
        of: |_, e| Some(e.tension_rise),
    },
    Quantity {
        name: "preload_n",
        meaning: "tension of each bolt before the impact, as designed",
        measure: (Dimension::Force, "kN"),
        of: |s, _| Some(s.base.preload_n),
    },
    Quantity {
        name: "contact_impulse_ns",
        meaning: "impulse of the contact force along the initial direction of travel",
        measure: (Dimension::Impulse, "N.s"),
        of: |_, e| Some(e.contact_impulse_ns),
    },
    Quantity {
        name: "dent_m",
        meaning: "depth of the dent in the tube wall",
        measure: (Dimension::Length, "mm"),
        of: |_, e| Some(e.dent_m),
    },
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
