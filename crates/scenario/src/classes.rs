//! Vehicle classes: one table of values, each with its mark.
//!
//! Published masses and the sizes of the test documents are as recalled. Fronts are not in print: each
//! unknown value was chosen once, from the published range, before any comparison, and is the same for every
//! scenario of the class. The rule for the fronts of cars: the middle of the published range everywhere,
//! except for the height of the bumper, which stands in the zone of 49 CFR 581 (0.41 to 0.51 m; recalled), mid height 0.475 m: soft first 75 mm (50 to 100) up to 30 kN (20 to 40), then 500 kN/m
//! (300 to 700) at the middle mass of 960 kg and in proportion to the mass; 70 % of that slope in the bumper, 15 % each in the lower front
//! and the bonnet edge, which are set back by the soft part (the split is assumed). Sides of cars are assumed.
//!
//! References: H. E. Ross and others, NCHRP Report 350 (1993); AASHTO Manual for Assessing Safety Hardware (2016);
//! EN 12767:2019 and EN 1317-1; FHWA-RD-98-081 (pickup side, 307 kN/m on average).

mod cars;
mod guided;
mod pickups;
mod row;

pub use row::{Class, ClassBand, ClassValue};

/// The classes.
pub const CLASSES: &[Class] = &[
    cars::SMALL_CAR_820,
    cars::SMALL_CAR_900,
    cars::SMALL_CAR_1100,
    pickups::PICKUP_2000,
    pickups::PICKUP_2270,
    guided::PENDULUM_RIGID,
    guided::PENDULUM_CRUSHABLE,
    guided::BOGIE,
];

/// The class of that name.
pub fn class(name: &str) -> Option<&'static Class> {
    CLASSES.iter().find(|class| class.name == name)
}
