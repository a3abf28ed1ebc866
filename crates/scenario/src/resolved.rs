//! The resolved copy: every value written out, each with where it came from, in the grammar it was read in.

use giveway_units::invisible;

use crate::grammar::{self, Row};
use crate::store::{Data, Origin, Store, Value};
use crate::walk::grammar_header;

/// A value that the file did not give.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Assumption {
    /// Path of the key.
    pub path: String,
    /// The value as text with its unit.
    pub value_text: String,
    /// Where it comes from.
    pub source: String,
}

/// Where a value came from, in words.
fn origin_text(origin: &Origin) -> String {
    let text = match origin {
        Origin::File => "given".to_owned(),
        Origin::Override => "given by --set".to_owned(),
        Origin::Default(source) => format!("default: {source}"),
        Origin::Class(source) => format!("class {source}"),
        Origin::Computed(how) => format!("computed: {how}"),
    };
    // A comment is one line.
    text.chars()
        .map(|c| if invisible(c) { ' ' } else { c })
        .collect()
}

/// Values that were not given, in the order of the grammar.
pub(crate) fn assumptions(store: &Store) -> Vec<Assumption> {
    each_value(store)
        .filter(|(_, _, value)| !matches!(value.origin, Origin::File | Origin::Override))
        .map(|(_, path, value)| Assumption {
            path,
            value_text: value_text(value),
            source: origin_text(&value.origin),
        })
        .collect()
}

/// A value without TOML quotes.
pub(crate) fn value_text(value: &Value) -> String {
    match &value.data {
        Data::Text(text) => text.clone(),
        _ => value.literal.replace('"', ""),
    }
}

pub(crate) fn each_value(store: &Store) -> impl Iterator<Item = (&'static Row, String, &Value)> {
    grammar::rows().flat_map(move |row| {
        store
            .expand(row.path)
            .into_iter()
            .filter_map(move |path| store.get(&path).map(|value| (row, path, value)))
    })
}

/// The TOML text.
pub(crate) fn resolved_text(store: &Store, file_name: &str) -> String {
    let name: String = file_name
        .chars()
        .map(|c| if invisible(c) { ' ' } else { c })
        .collect();
    let mut out = format!(
        "# Resolved copy of {name}: every value, and where it came from.\n# Reading this file gives the very same scenario, bit for bit.\n"
    );
    section(store, "", "", &mut out);
    out
}

/// Writes the section at a path and everything below it, in the order of the grammar.
fn section(store: &Store, generic: &str, concrete: &str, out: &mut String) {
    let mut lines = String::new();
    for row in grammar::rows().filter(|row| row.section() == generic) {
        let path = join(concrete, row.key());
        let Some(value) = store.get(&path) else {
            continue;
        };
        lines.push_str(&line(store, row, &path, value));
    }
    if !lines.is_empty() {
        if !generic.is_empty() {
            let header = grammar_header(generic);
            out.push_str(&if generic.ends_with("[]") {
                format!("\n[[{header}]]\n")
            } else {
                format!("\n[{header}]\n")
            });
        }
        out.push_str(&lines);
    }
    for child in grammar::children(generic) {
        let generic_child = join(generic, child);
        let concrete_child = join(concrete, child);
        if grammar::list(&generic_child).is_some() {
            for element in store.list(&concrete_child) {
                section(
                    store,
                    &format!("{generic_child}[]"),
                    &format!("{concrete_child}[{element}]"),
                    out,
                );
            }
        } else if grammar::is_section(&generic_child) {
            section(store, &generic_child, &concrete_child, out);
        }
    }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

fn line(store: &Store, row: &Row, path: &str, value: &Value) -> String {
    let key = row.key();
    let literal = &value.literal;
    let origin = origin_text(&value.origin);
    // What another value already says stays a comment, so that the two cannot contradict each other.
    let said_elsewhere = row.recipe
        || (matches!(value.origin, Origin::Computed(_))
            && row.excludes.is_some_and(|other| {
                store.has(other) && grammar::row(other).is_some_and(|o| !o.recipe)
            }));
    if said_elsewhere {
        return format!("# {key} = {literal}  # {origin}\n");
    }
    // All bands are written out here, so those of the class must not be added again.
    if key == "class_bands" && path.starts_with("vehicle.") {
        let whose = match &value.origin {
            Origin::File | Origin::Override => "",
            _ => "default: those of the class: ",
        };
        return format!("{key} = false  # {whose}all bands are written out below\n");
    }
    format!("{key} = {literal}  # {origin}\n")
}
