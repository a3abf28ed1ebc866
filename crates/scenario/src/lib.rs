//! Scenario files: text with units in, one fully resolved scenario in SI out. It does not compute mechanics.
//!
//! One table ([`grammar`]) says what a file may hold. From it come the parser, the diagnostics, the resolved
//! copy, the JSON Schema for editors ([`schema`]) and the reference page ([`reference_markdown`]).
//!
//! ```
//! let text = r#"
//! [support.pole]
//! length = "9 m"
//! base_diameter = "170 mm"
//! wall = "4 mm"
//! material = "steel-345"
//! [slip_base.clamp]
//! torque = "150 N.m"
//! [vehicle]
//! class = "small-car-1100"
//! [impact]
//! speed = "30 km/h"
//! "#;
//! let loaded = giveway_scenario::read(text, "example.toml", &[]).unwrap();
//! assert_eq!(loaded.scenario.vehicle.mass_kg, 1100.0);
//! let again = giveway_scenario::read(&loaded.resolved_text, "again.toml", &[]).unwrap();
//! assert_eq!(again.scenario, loaded.scenario);
//! ```

mod as_found;
mod assemble;
mod checks;
pub mod classes;
mod codes;
mod conditions;
mod diagnostic;
mod event;
mod fill;
pub mod grammar;
mod makers;
pub mod model;
pub mod parts;
mod reading;
mod reference;
mod resolved;
mod schema;
mod stated;
mod store;
mod template;
mod tree;
mod typed;
mod used_face;
mod value;
mod values;
mod walk;
mod words;

pub use codes::{all_codes, explain};
pub use conditions::{Condition, ConditionKind};
pub use diagnostic::{Diagnostic, Said, Severity, clipped, position};
pub use reading::{Loaded, read};
pub use reference::reference_markdown;
pub use resolved::Assumption;
pub use schema::schema;
pub use stated::{Stated, assumed_values, stated_values};
pub use template::{Current, Template};
pub use typed::{DocumentKind, Misfit, place_of, typed, typed_in_part};
pub use values::{ResolvedValue, values};
