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
mod reference;
mod resolved;
mod schema;
mod stated;
mod store;
mod template;
mod tree;
mod value;
mod values;
mod walk;

pub use codes::{all_codes, explain};
pub use conditions::ConditionKind;
pub use diagnostic::{Diagnostic, Severity};
pub use reference::reference_markdown;
pub use resolved::Assumption;
pub use schema::schema;
pub use stated::{Stated, assumed_values, stated_values};
pub use template::{Current, Template};
pub use values::{ResolvedValue, values};

use diagnostic::{Findings, Place, Said};
use store::Store;

/// A scenario that was read without errors.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The scenario, SI, nothing left to default.
    pub scenario: model::Scenario,
    /// What a person should look at.
    pub warnings: Vec<Diagnostic>,
    /// Every value that the file did not give.
    pub assumptions: Vec<Assumption>,
    /// The scenario as a file again: every value explicit, each with where it came from.
    pub resolved_text: String,
}

/// Reads a scenario.
///
/// `file_name` is only used in diagnostics. Each override is a path and a value as after
/// `--set path=value`: `("slip_base.clamp.torque", "200 N.m")`, `("support.arm[1].reach", "6 m")`; the value
/// may carry TOML quotes or not. An override of one of two values that exclude each other replaces the
/// other one of the file.
///
/// Errors: every problem of the file and of the overrides at once, in the order of the file, warnings last.
pub fn read(
    text: &str,
    file_name: &str,
    overrides: &[(String, String)],
) -> Result<Loaded, Vec<Diagnostic>> {
    let mut findings = Findings::new(file_name, text, overrides);
    let root = tree::read_file(text, &mut findings);
    let mut store = Store::default();
    let scenario = resolve(root, overrides, &mut store, &mut findings);
    let (mut errors, warnings) = findings.finish();
    match scenario {
        Some(scenario) => Ok(Loaded {
            scenario,
            warnings,
            assumptions: resolved::assumptions(&store),
            resolved_text: resolved::resolved_text(&store, file_name),
        }),
        None => {
            errors.extend(warnings);
            Err(errors)
        }
    }
}

/// Lays the overrides over the tree and resolves it into an empty store; none where there are errors.
fn resolve(
    mut root: tree::Node,
    overrides: &[(String, String)],
    store: &mut Store,
    findings: &mut Findings<'_>,
) -> Option<model::Scenario> {
    lay_over(&mut root, overrides, findings);
    // What a file with syntax errors lacks may stand in the lines that could not be read.
    let whole = !findings.any_error();
    walk::walk(&root, store, findings);
    if whole {
        fill::fill(store, findings);
        for (i, check) in checks::CHECKS.iter().enumerate() {
            store.attribute(None);
            check(store, findings);
            store.attribute(Some(&template::note("check", i)));
        }
    }
    if findings.any_error() {
        return None;
    }
    let scenario = assemble::assemble(store);
    match &scenario {
        Some(scenario) if store.watched() => {
            for (i, part) in assemble::PARTS.iter().enumerate() {
                store.attribute(None);
                // A part that was assembled a line above is assembled again, to see what it reads.
                let _ = part(store, &mut scenario.clone());
                store.attribute(Some(&template::note("part", i)));
            }
        }
        Some(_) => {}
        None => findings.error(
            "S011",
            Place::Nowhere,
            "",
            Said {
                message: "a value is missing that nothing could supply".into(),
                ..Said::default()
            },
        ),
    }
    scenario
}

fn lay_over(root: &mut tree::Node, overrides: &[(String, String)], findings: &mut Findings<'_>) {
    for (i, (path, value)) in overrides.iter().enumerate() {
        let place = Place::Override(i);
        if let Err(message) = tree::lay_over(root, path.trim(), value, place) {
            findings.error(
                "S041",
                place,
                path,
                Said {
                    message,
                    allowed: Some(
                        "a path such as slip_base.clamp.torque or support.arm[1].reach".into(),
                    ),
                    ..Said::default()
                },
            );
        }
    }
    // An override of the torque replaces a preload in the file, and the other way round.
    for (path, _) in overrides {
        let Some(other) = grammar::row(path.trim()).and_then(|row| row.excludes) else {
            continue;
        };
        if !overrides.iter().any(|(p, _)| p.trim() == other) {
            tree::remove(root, other);
        }
    }
}
