//! The file as a tree with positions: TOML read with recovery, overrides laid over it.
//!
//! References: TOML 1.1 specification.

use giveway_units::invisible;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use crate::diagnostic::{Findings, Place, Said};

/// One value, or a table of values.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    /// Where its key stands (for elements of a list: where the element starts).
    pub place: Place,
    /// What it holds.
    pub content: Content,
    /// Text of an override, to be read as plain text where text is wanted.
    pub raw: Option<String>,
}

#[derive(Debug, Clone)]
pub(crate) enum Content {
    Text(String),
    Integer(String),
    Float(String),
    Flag(bool),
    Date(String),
    List(Vec<Node>),
    Table(Vec<(String, Node)>),
}

impl Node {
    /// What it is, in words.
    pub fn is(&self) -> &'static str {
        match self.content {
            Content::Text(_) => "a text",
            Content::Integer(_) => "a whole number",
            Content::Float(_) => "a number",
            Content::Flag(_) => "true or false",
            Content::Date(_) => "a date",
            Content::List(_) => "a list",
            Content::Table(_) => "a table",
        }
    }

    /// The value as a person would write it, shortened.
    pub fn shown(&self) -> String {
        let text = match &self.content {
            Content::Text(t) => format!("\"{t}\""),
            Content::Integer(t) | Content::Float(t) | Content::Date(t) => t.clone(),
            Content::Flag(b) => b.to_string(),
            Content::List(l) => format!("a list of {}", l.len()),
            Content::Table(_) => "a table".to_owned(),
        };
        shortened(&text)
    }
}

/// At most 60 characters, invisible ones escaped.
pub(crate) fn shortened(text: &str) -> String {
    shortened_to(text, 60)
}

/// At most `most` characters, invisible ones escaped.
pub(crate) fn shortened_to(text: &str, most: usize) -> String {
    let mut out: String = text
        .chars()
        .take(most)
        .flat_map(|c| {
            if invisible(c) {
                c.escape_default().collect::<Vec<_>>()
            } else {
                vec![c]
            }
        })
        .collect();
    if text.chars().count() > most {
        out.push_str("...");
    }
    out
}

/// Reads the file. Syntax errors are findings; what could be read is returned all the same.
pub(crate) fn read_file(text: &str, findings: &mut Findings<'_>) -> Node {
    let text = text.strip_prefix('\u{feff}').map_or(text, |_| text);
    let body_start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let (table, errors) = DeTable::parse_recoverable(&text[body_start..]);
    let mut last = None;
    for error in &errors {
        let offset = error.span().map_or(0, |s| s.start) + body_start;
        // Recovery may report one slip several times; one report a line is enough.
        let line = crate::diagnostic::position(text, offset).0;
        let duplicate = error.message().contains("duplicate key");
        if last == Some(line) && !duplicate {
            continue;
        }
        last = Some(line);
        if duplicate {
            findings.error(
                "S003",
                Place::File(offset),
                "",
                Said::that("this key (or table) is given twice")
                    .allowed("each key once; an arm, a luminaire or a band is a new `[[...]]`"),
            );
        } else {
            findings.error(
                "S001",
                Place::File(offset),
                "",
                Said::that(format!("this is not TOML: {}", error.message()))
                    .hint("texts and quantities stand in quotes: `speed = \"30 km/h\"`"),
            );
        }
    }
    let mut root = Node {
        place: Place::Nowhere,
        content: table_content(table.get_ref(), body_start),
        raw: None,
    };
    root.place = Place::File(0);
    if errors.is_empty() && matches!(&root.content, Content::Table(t) if t.is_empty()) {
        findings.error(
            "S002",
            Place::Nowhere,
            "",
            Said::that("the file holds no scenario: not one key")
                .hint("start from scenarios/first.toml"),
        );
    }
    root
}

fn table_content(table: &DeTable<'_>, shift: usize) -> Content {
    let mut entries: Vec<(String, Node)> = table
        .iter()
        .map(|(key, value)| {
            (
                key.get_ref().to_string(),
                node(value, key.span().start + shift, shift),
            )
        })
        .collect();
    // In the order of the file, so that findings come in that order.
    entries.sort_by_key(|(_, node)| node.place);
    Content::Table(entries)
}

fn node(value: &Spanned<DeValue<'_>>, offset: usize, shift: usize) -> Node {
    let content = match value.get_ref() {
        DeValue::String(text) => Content::Text(text.to_string()),
        DeValue::Integer(number) => Content::Integer(number.to_string()),
        DeValue::Float(number) => Content::Float(number.as_str().to_owned()),
        DeValue::Boolean(flag) => Content::Flag(*flag),
        DeValue::Datetime(date) => Content::Date(date.to_string()),
        DeValue::Array(list) => list_content(list, shift),
        DeValue::Table(table) => table_content(table, shift),
    };
    Node {
        place: Place::File(offset),
        content,
        raw: None,
    }
}

fn list_content(list: &DeArray<'_>, shift: usize) -> Content {
    Content::List(
        list.iter()
            .map(|item| node(item, item.span().start + shift, shift))
            .collect(),
    )
}

/// Reads a literal as written in a table of defaults or after `--set key=`: a TOML value if it is one,
/// else plain text (`200 N.m`).
pub(crate) fn literal(text: &str, place: Place) -> Node {
    let content = match DeValue::parse(text.trim()) {
        Ok(value) => node(&value, 0, 0).content,
        Err(_) => Content::Text(text.trim().to_owned()),
    };
    let mut result = Node {
        place,
        content,
        raw: Some(text.trim().to_owned()),
    };
    set_place(&mut result, place);
    result
}

fn set_place(node: &mut Node, place: Place) {
    node.place = place;
    match &mut node.content {
        Content::List(list) => list.iter_mut().for_each(|n| set_place(n, place)),
        Content::Table(table) => table.iter_mut().for_each(|(_, n)| set_place(n, place)),
        _ => {}
    }
}

/// One step of an override's path: `arm[2]` is a key with an index.
struct Step<'a> {
    key: &'a str,
    index: Option<&'a str>,
}

fn steps(path: &str) -> Option<Vec<Step<'_>>> {
    path.split('.')
        .map(|part| {
            let part = part.trim();
            let (key, index) = match part.split_once('[') {
                Some((key, rest)) => (key, Some(rest.strip_suffix(']')?)),
                None => (part, None),
            };
            let plain = |t: &str| {
                !t.is_empty()
                    && t.chars()
                        .all(|c| c.is_alphanumeric() || c == '_' || c == '-')
            };
            (plain(key) && index.is_none_or(plain)).then_some(Step { key, index })
        })
        .collect()
}

/// Lays one override over the tree. `support.arm[1].reach` counts from 1; a band or lump may be named
/// instead of counted: `vehicle.front.band[bumper].lower`.
pub(crate) fn lay_over(
    root: &mut Node,
    path: &str,
    value: &str,
    place: Place,
) -> Result<(), String> {
    let steps = steps(path).ok_or_else(|| {
        "the path of an override is keys joined by dots, with [1] or [name] after a list".to_owned()
    })?;
    let mut at = root;
    let count = steps.len();
    for (i, step) in steps.iter().enumerate() {
        let last = i + 1 == count;
        let child = {
            if !matches!(at.content, Content::Table(_)) {
                at.content = Content::Table(Vec::new());
                at.place = place;
            }
            let Content::Table(table) = &mut at.content else {
                return Err("not a table".to_owned());
            };
            let found = table.iter().position(|(key, _)| key == step.key);
            let position = found.unwrap_or_else(|| {
                table.push((
                    step.key.to_owned(),
                    Node {
                        place,
                        content: if step.index.is_some() {
                            Content::List(Vec::new())
                        } else {
                            Content::Table(Vec::new())
                        },
                        raw: None,
                    },
                ));
                table.len() - 1
            });
            &mut table[position].1
        };
        at = match step.index {
            None => child,
            Some(index) => element(child, step.key, index, place)?,
        };
        if last {
            *at = literal(value, place);
        }
    }
    Ok(())
}

/// The element of a list, by number from 1 or by its `name`; one past the end makes a new element.
fn element<'n>(
    list: &'n mut Node,
    key: &str,
    index: &str,
    place: Place,
) -> Result<&'n mut Node, String> {
    let Content::List(items) = &mut list.content else {
        return Err(format!("`{key}` is not a list, so it takes no [{index}]"));
    };
    let new = |content| Node {
        place,
        content,
        raw: None,
    };
    let position = match index.parse::<usize>() {
        Ok(number) if number >= 1 && number <= items.len() => number - 1,
        Ok(number) if number == items.len() + 1 => {
            items.push(new(Content::Table(Vec::new())));
            number - 1
        }
        Ok(_) => {
            return Err(format!(
                "`{key}[{index}]`: there are {} of them, counted from 1",
                items.len()
            ));
        }
        Err(_) => {
            let named = items.iter().position(|item| {
                matches!(&item.content, Content::Table(t) if t.iter().any(|(k, n)| {
                    k == "name" && matches!(&n.content, Content::Text(t) if t == index)
                }))
            });
            named.unwrap_or_else(|| {
                let name = ("name".to_owned(), new(Content::Text(index.to_owned())));
                items.push(new(Content::Table(vec![name])));
                items.len() - 1
            })
        }
    };
    Ok(&mut items[position])
}

/// Takes a key out of the tree; true where it was there.
pub(crate) fn remove(root: &mut Node, path: &str) -> bool {
    let mut at = root;
    let mut keys = path.split('.').peekable();
    while let Some(key) = keys.next() {
        let Content::Table(table) = &mut at.content else {
            return false;
        };
        let Some(position) = table.iter().position(|(k, _)| k == key) else {
            return false;
        };
        if keys.peek().is_none() {
            table.remove(position);
            return true;
        }
        at = &mut table[position].1;
    }
    false
}
