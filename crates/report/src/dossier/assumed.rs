//! What was assumed: every value that the scenario left open, and where it came from.

use std::collections::BTreeMap;

use giveway_results::RunContents;
use giveway_scenario::{Stated, stated_values};

use super::markup::{Cell, Markup, Table};
use super::words::{cut, or_dash};

/// Most rows of one list.
const MOST_ROWS: usize = 400;
/// Most runs in one table of differing inputs.
const MOST_BESIDE: usize = 4;

/// The assumed values of one run.
pub fn chapter(m: &mut Markup, run: &RunContents) {
    let Some(text) = &run.scenario_toml else {
        m.paragraph("The resolved scenario is missing from the folder, or was changed: what was assumed cannot be told.");
        return;
    };
    let stated = stated_values(text).into_iter();
    let assumed: Vec<Stated> = stated.filter(Stated::assumed).collect();
    m.paragraph(&format!(
        "{} values were not given. Each default names its source; \u{201c}assumed\u{201d} means that there is none. The folder's \
         scenario.toml holds every value, given or not.",
        assumed.len()
    ));
    list(m, "Values that the scenario did not give", &assumed);
}

fn list(m: &mut Markup, caption: &str, values: &[Stated]) {
    let mut t = Table::new(caption, &["Value", "Taken as", "Where it comes from"]);
    let mut section = "";
    for s in values.iter().take(MOST_ROWS) {
        let (place, key) = s.path.rsplit_once('.').unwrap_or(("", &s.path));
        if place != section {
            t.row(vec![Cell::Group(cut(place, 120))]);
            section = place;
        }
        t.row(vec![
            Cell::text(&cut(key, 120)),
            Cell::text(&cut(&s.value_text, 200)),
            Cell::text(&cut(&s.origin, 300)),
        ]);
    }
    m.table(&t);
    if let left @ 1.. = values.len().saturating_sub(MOST_ROWS) {
        m.paragraph(&format!(
            "{left} more stand in scenario.toml of the folder."
        ));
    }
}

/// Several runs: what differs between their inputs, and apart from it what was assumed in all of them.
pub fn compared(m: &mut Markup, assumed: &mut Markup, runs: &[(&RunContents, String)]) {
    let read: Vec<(&str, Vec<Stated>)> = (runs.iter())
        .filter_map(|(run, label)| {
            Some((label.as_str(), stated_values(run.scenario_toml.as_deref()?)))
        })
        .collect();
    if read.len() < runs.len() {
        m.paragraph("The resolved scenario of some of these folders is missing or was changed; they are not in these tables.");
    }
    if read.len() < 2 {
        assumed.paragraph(
            "There are no two inputs to compare: the report of one run lists what it assumed.",
        );
        return;
    }
    let mut order: Vec<&str> = Vec::new();
    let mut values: BTreeMap<&str, Vec<Option<&Stated>>> = BTreeMap::new();
    for (n, (_, list)) in read.iter().enumerate() {
        for s in list {
            let row = values.entry(&s.path).or_insert_with(|| {
                order.push(&s.path);
                vec![None; read.len()]
            });
            row[n] = Some(s);
        }
    }
    let (mut differing, mut common) = (Vec::new(), Vec::new());
    for path in order {
        let row = &values[path];
        let first = row[0].map(|s| &s.value_text);
        if row.iter().all(|s| s.map(|s| &s.value_text) == first) {
            common.extend(
                row[0]
                    .filter(|_| row.iter().flatten().all(|s| s.assumed()))
                    .cloned(),
            );
        } else if path != "title" && path != "notes" {
            differing.push((path, row));
        }
    }
    if differing.is_empty() {
        m.paragraph("The inputs are the same in every value.");
    }
    for part in (0..read.len()).collect::<Vec<_>>().chunks(MOST_BESIDE) {
        let mut heads = vec!["Value"];
        heads.extend(part.iter().map(|n| read[*n].0));
        let mut t = Table::new("Inputs that differ between the runs", &heads);
        for (path, row) in differing.iter().take(MOST_ROWS) {
            let mut cells = vec![Cell::text(&cut(path, 120))];
            let value = |n: &usize| or_dash(row[*n].map(|s| cut(&s.value_text, 120)));
            cells.extend(part.iter().map(|n| Cell::text(&value(n))));
            t.row(cells);
        }
        m.table(&t);
    }
    if let left @ 1.. = differing.len().saturating_sub(MOST_ROWS) {
        m.paragraph(&format!("{left} more values differ."));
    }
    let count = common.len();
    assumed.paragraph(&format!(
        "{count} values were given by none of them and are the same in all."
    ));
    let caption = "Values that no scenario gave, alike in all runs";
    list(assumed, caption, &common);
}
