//! From text to a scenario: tree, walk, fill, checks, assembly.

use crate::diagnostic::{Diagnostic, Findings, Place, Said};
use crate::model::Scenario;
use crate::resolved::{self, Assumption};
use crate::store::{Store, note};
use crate::tree::{self, Node};
use crate::{assemble, checks, fill, grammar, walk};

/// A scenario that was read without errors.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The scenario, SI, nothing left to default.
    pub scenario: Scenario,
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
pub(crate) fn resolve(
    mut root: Node,
    overrides: &[(String, String)],
    store: &mut Store,
    findings: &mut Findings<'_>,
) -> Option<Scenario> {
    lay_over(&mut root, overrides, findings);
    // What a file with syntax errors lacks may stand in the lines that could not be read.
    let whole = !findings.any_error();
    walk::walk(&root, store, findings);
    if whole {
        fill::fill(store, findings);
        for (i, check) in checks::CHECKS.iter().enumerate() {
            store.attribute(None);
            check(store, findings);
            store.attribute(Some(&note("check", i)));
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
                store.attribute(Some(&note("part", i)));
            }
        }
        Some(_) => {}
        None => findings.error(
            "S011",
            Place::Nowhere,
            "",
            Said::that("a value is missing that nothing could supply"),
        ),
    }
    scenario
}

fn lay_over(root: &mut Node, overrides: &[(String, String)], findings: &mut Findings<'_>) {
    for (i, (path, value)) in overrides.iter().enumerate() {
        let place = Place::Override(i);
        if let Err(message) = tree::lay_over(root, path.trim(), value, place) {
            findings.error(
                "S041",
                place,
                path,
                Said::that(message)
                    .allowed("a path such as slip_base.clamp.torque or support.arm[1].reach"),
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
