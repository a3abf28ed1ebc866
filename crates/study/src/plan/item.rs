//! A study file as a tree with places.
//!
//! References: TOML 1.1 specification.

use giveway_scenario::grammar::rows;
use giveway_units::nearest;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::finding::{Findings, Said};

/// Keys and values of a table, in the order of the file.
pub(super) type Entries = [(String, Item)];

/// One value with the place of its key.
#[derive(Debug, Clone)]
pub(super) struct Item {
    /// Byte offset.
    pub at: usize,
    /// As written, a text without its quotes.
    pub raw: String,
    pub content: Content,
}

#[derive(Debug, Clone)]
pub(super) enum Content {
    Text,
    Number(f64),
    Flag,
    Date,
    List(Vec<Item>),
    Table(Vec<(String, Item)>),
}

impl Item {
    /// What it is, in words.
    pub fn is(&self) -> &'static str {
        match self.content {
            Content::Text => "a text",
            Content::Number(_) => "a number",
            Content::Flag => "true or false",
            Content::Date => "a date",
            Content::List(_) => "a list",
            Content::Table(_) => "a table",
        }
    }

    /// The entries of a table; an error where it is none.
    pub fn table(&self, path: &str, findings: &mut Findings<'_>) -> &[(String, Item)] {
        match &self.content {
            Content::Table(entries) => entries,
            _ => {
                self.wrong(path, "a table", findings);
                &[]
            }
        }
    }

    /// The elements of a list; an error where it is none.
    pub fn list(&self, path: &str, findings: &mut Findings<'_>) -> &[Item] {
        match &self.content {
            Content::List(items) => items,
            _ => {
                self.wrong(path, "a list", findings);
                &[]
            }
        }
    }

    pub fn text(&self, path: &str, findings: &mut Findings<'_>) -> Option<&str> {
        match self.content {
            Content::Text => Some(&self.raw),
            _ => {
                self.wrong(path, "a text in quotes", findings);
                None
            }
        }
    }

    /// A whole number from 0 on.
    pub fn whole(&self, path: &str, findings: &mut Findings<'_>) -> Option<u64> {
        let number = match self.content {
            Content::Number(_) => self.raw.replace('_', "").parse().ok(),
            _ => None,
        };
        if number.is_none() {
            self.wrong(path, "a whole number from 0 on", findings);
        }
        number
    }

    /// Says that something else is wanted.
    pub fn wrong(&self, path: &str, wanted: &str, findings: &mut Findings<'_>) {
        let said = Said::that(format!("this is {}, but {wanted} is wanted", self.is()));
        findings.add("T012", self.at, path, said.found(self.raw.clone()));
    }
}

/// Reads the file.
pub(super) fn read(text: &str, findings: &mut Findings<'_>) -> Vec<(String, Item)> {
    let start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let (table, errors) = DeTable::parse_recoverable(&text[start..]);
    for error in errors.iter().take(20) {
        let at = error.span().map_or(0, |s| s.start) + start;
        if error.message().contains("duplicate key") {
            let said = Said::that("this key (or table) is given twice");
            findings.add("T003", at, "", said.allowed("each key once"));
        } else {
            let said = Said::that(format!("this is not TOML: {}", error.message()));
            let hint = "texts, quantities and paths with brackets stand in quotes";
            findings.add("T001", at, "", said.hint(hint));
        }
    }
    let entries = entries(table.get_ref(), &text[start..], start);
    if errors.is_empty() && entries.is_empty() {
        let said = Said::that("the file holds no study: not one key");
        findings.add("T002", 0, "", said.hint("base = \"../first.toml\""));
    }
    entries
}

fn entries(table: &DeTable<'_>, text: &str, shift: usize) -> Vec<(String, Item)> {
    let mut entries: Vec<(String, Item)> = table
        .iter()
        .map(|(key, value)| {
            let at = key.span().start + shift;
            (key.get_ref().to_string(), item(value, at, text, shift))
        })
        .collect();
    // In the order of the file: it is the order of the grid.
    entries.sort_by_key(|(_, item)| item.at);
    entries
}

fn item(value: &Spanned<DeValue<'_>>, at: usize, text: &str, shift: usize) -> Item {
    let mut raw = text.get(value.span()).unwrap_or_default().to_owned();
    let content = match value.get_ref() {
        DeValue::String(string) => {
            raw = string.to_string();
            Content::Text
        }
        // Forms that f64 does not read (hexadecimal) are refused as numbers where they are used.
        DeValue::Integer(_) | DeValue::Float(_) => {
            Content::Number(raw.replace('_', "").parse().unwrap_or(f64::NAN))
        }
        DeValue::Boolean(_) => Content::Flag,
        DeValue::Datetime(_) => Content::Date,
        DeValue::Array(list) => Content::List(
            list.iter()
                .map(|one| item(one, one.span().start + shift, text, shift))
                .collect(),
        ),
        DeValue::Table(table) => Content::Table(entries(table, text, shift)),
    };
    Item { at, raw, content }
}

/// The values below a table by their scenario path; `leaf` says which tables are values themselves.
pub(super) fn leaves<'i>(
    entries: &'i Entries,
    leaf: &dyn Fn(&Entries) -> bool,
) -> Vec<(String, &'i Item)> {
    let mut found = Vec::new();
    for (key, item) in entries {
        match &item.content {
            Content::Table(inner) if !leaf(inner) => {
                for (path, item) in leaves(inner, leaf) {
                    found.push((format!("{}.{path}", key.trim()), item));
                }
            }
            _ => found.push((key.trim().to_owned(), item)),
        }
    }
    found
}

/// Reports a key that is none of those known.
pub(super) fn unknown(
    key: &str,
    item: &Item,
    known: &[&str],
    place: &str,
    findings: &mut Findings<'_>,
) {
    let said = Said::that(format!(
        "`{}` is not known {place}",
        super::finding::shortened(key)
    ))
    .allowed(known.join(", "));
    let said = match nearest(key, known.iter().copied()) {
        Some(meant) => said.hint(format!("did you mean `{meant}`?")),
        None => said,
    };
    findings.add("T010", item.at, key, said);
}

/// A path that no scenario has.
pub(super) fn unknown_path(path: &str, at: usize, findings: &mut Findings<'_>) {
    let said = Said::that("the scenario has no such path");
    let plain = path.replace("[*]", "[]");
    let said = match nearest(&plain, rows().map(|row| row.path)) {
        Some(meant) => said.hint(format!("did you mean `{meant}`?")),
        None => said.hint("docs/scenario.md lists every path"),
    };
    findings.add("T010", at, path, said);
}

/// Changes as a template takes them.
pub(super) fn borrowed(changes: &[(String, String)]) -> Vec<(&str, &str)> {
    changes
        .iter()
        .map(|(p, v)| (p.as_str(), v.as_str()))
        .collect()
}
