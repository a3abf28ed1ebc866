//! Requirements of an installed base: one table, `crates/site/requirements.toml`. Reading, judging, putting right and the worst plausible case of
//! what was not measured all come from it.
//!
//! A [`Requirement`] is one thing that an inspector measures or looks at. Its [`Detail`]s are measured only where the
//! finding itself was made (how strong the grout is matters once there is grout at the heads); each has a value that is
//! assumed where it was not measured.
//!
//! Marks tell where a limit comes from: *seen* in a text of the source or of a text that quotes it, *recalled* from
//! memory, *derived* here from a formula; without a publication it is *common practice, no source*.
//!
//! References
//! - AASHTO, Standard Specifications for Structural Supports for Highway Signs, Luminaires and Traffic Signals: stub up
//!   to 100 mm above a 1.5 m chord (seen).
//! - A highway agency's handbook: washers hold the plates 3 to 6 mm apart so that they cannot mate and bind; they must
//!   not dish into the notches (seen).

mod derived;
mod kinds;
mod limits;
mod row;

pub use derived::{DesignNumber, MadeText};
pub use kinds::{Measure, Origin, Tool, Verdict, Weight, Word};
pub use limits::{applies, bounds, limit_words};
pub use row::{Detail, Item, Limit, REQUIREMENTS, Requirement, Rule, Text, Worst};

/// The requirement or detail behind a key.
#[derive(Clone, Copy)]
pub struct Found {
    /// Place of the requirement in the table.
    pub requirement: usize,
    /// Place of the detail in the requirement; none = its own item.
    pub detail: Option<usize>,
}

impl Found {
    /// The requirement.
    pub fn requirement(self) -> &'static Requirement {
        &REQUIREMENTS[self.requirement]
    }

    /// The item itself.
    pub fn item(self) -> &'static Item {
        match self.detail {
            None => &REQUIREMENTS[self.requirement].item,
            Some(i) => &REQUIREMENTS[self.requirement].details[i].item,
        }
    }
}

/// Every item of the table, in its order, details after their requirement.
pub fn items() -> impl Iterator<Item = Found> {
    REQUIREMENTS.iter().enumerate().flat_map(|(i, row)| {
        let own = Found {
            requirement: i,
            detail: None,
        };
        let details = (0..row.details.len()).map(move |d| Found {
            requirement: i,
            detail: Some(d),
        });
        std::iter::once(own).chain(details)
    })
}

/// The item of that key.
pub fn item(key: &str) -> Option<Found> {
    items().find(|found| found.item().key == key)
}
