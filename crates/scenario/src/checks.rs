//! Values held against each other: what each key alone cannot show.
//!
//! A check runs only where all values it needs are there, so that one slip gives one finding.

mod as_found;
mod base;
mod impact;
mod said;
mod support;
mod vehicle;

use giveway_units::{Dimension, shown_in};
use said::said;

use crate::diagnostic::{Findings, Said};
use crate::grammar;
use crate::store::Store;

/// One check of several values.
pub(crate) type Check = fn(&Store, &mut Findings<'_>);

/// Every check, each by itself.
pub(crate) const CHECKS: [Check; 11] = [
    exclusive,
    support::support,
    base::base,
    base::clamp,
    as_found::as_found,
    vehicle::vehicle,
    |store, findings| vehicle::bands(store, "vehicle.front", findings),
    |store, findings| vehicle::bands(store, "vehicle.side", findings),
    impact::impact,
    strips,
    solver,
];

/// Pairs of keys of which only one may be given.
fn exclusive(store: &Store, findings: &mut Findings<'_>) {
    for row in grammar::rows() {
        let Some(other) = row.excludes else { continue };
        if row.path < other && store.given(row.path) && store.given(other) {
            findings.error(
                "S040",
                store.place(row.path).max(store.place(other)),
                row.path,
                Said::that(format!(
                    "`{}` and `{other}` are both given, but they exclude each other",
                    row.path
                ))
                .allowed("one of them"),
            );
        }
    }
}

/// The right edge of a strip lies to the right of its left edge.
fn strips(store: &Store, findings: &mut Findings<'_>) {
    for i in store.list("site.strip") {
        let (right, left) = (
            format!("site.strip[{i}].right"),
            format!("site.strip[{i}].left"),
        );
        if let (Some(r), Some(l)) = (store.real(&right), store.real(&left))
            && r >= l
        {
            findings.error(
                "S069",
                store.place(&right).max(store.place(&left)),
                &right,
                said(
                    "the strip's right edge lies to the left of its left edge",
                    shown_in(r, Dimension::Length, "m", 4),
                    format!(
                        "less than {}, the left edge",
                        shown_in(l, Dimension::Length, "m", 4)
                    ),
                ),
            );
        }
    }
}

fn solver(store: &Store, findings: &mut Findings<'_>) {
    let path = "solver.record_limit";
    if let (Some(engagement), Some(record)) =
        (store.real("solver.engagement_limit"), store.real(path))
        && engagement > record
    {
        let s = |x| shown_in(x, Dimension::Time, "s", 4);
        findings.error(
            "S068",
            store
                .place(path)
                .max(store.place("solver.engagement_limit")),
            path,
            said(
                "the record is shorter than the engagement may be",
                s(record),
                format!("at least {}, the engagement limit", s(engagement)),
            ),
        );
    }
}
