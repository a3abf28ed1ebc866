//! The tree held against the grammar: every key known, every value of its kind.

use giveway_units::nearest;

use crate::diagnostic::{Findings, Place, Said};
use crate::grammar;
use crate::store::{Origin, Store, Value};
use crate::tree::{Content, Node, shortened};
use crate::value::{self, Ranged};

/// Reads every given value into the store.
pub(crate) fn walk(root: &Node, store: &mut Store, findings: &mut Findings<'_>) {
    section(root, "", "", store, findings);
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

fn section(
    node: &Node,
    generic: &str,
    concrete: &str,
    store: &mut Store,
    findings: &mut Findings<'_>,
) {
    let Content::Table(entries) = &node.content else {
        findings.error(
            "S012",
            node.place,
            concrete,
            Said::that(format!("this is {}, but a section is wanted", node.is()))
                .found(node.shown())
                .allowed(format!(
                    "the keys {}",
                    grammar::children(generic).join(", ")
                ))
                .hint(format!("[{concrete}]")),
        );
        store.set_broken(concrete);
        return;
    };
    store.set_section(concrete, node.place);
    for (key, child) in entries {
        let generic_child = join(generic, key);
        let concrete_child = join(concrete, key);
        if let Some(row) = grammar::row(&generic_child) {
            one_value(row, child, &concrete_child, store, findings);
        } else if let Some(list) = grammar::list(&generic_child) {
            elements(
                list,
                child,
                &generic_child,
                &concrete_child,
                store,
                findings,
            );
        } else if grammar::is_section(&generic_child) {
            section(child, &generic_child, &concrete_child, store, findings);
        } else {
            if let Some(meant) = unknown(key, child, generic, &concrete_child, findings) {
                // Not to be reported as missing as well.
                store.set_broken(&join(concrete, meant));
            }
        }
    }
}

fn one_value(
    row: &'static grammar::Row,
    node: &Node,
    path: &str,
    store: &mut Store,
    findings: &mut Findings<'_>,
) {
    let read = match value::read(row, node) {
        Ok(read) => read,
        Err(faults) => return broken(faults, path, store, findings),
    };
    match value::ranged(row, node, &read) {
        Ranged::Plausible => {}
        Ranged::Implausible(place, said) => findings.warning("S501", place, path, said),
        Ranged::Impossible(faults) => return broken(faults, path, store, findings),
    }
    let origin = match node.place {
        Place::Override(_) => Origin::Override,
        _ => Origin::File,
    };
    store.put(
        path,
        Value {
            data: read.data,
            literal: read.literal,
            origin,
            place: node.place,
        },
    );
}

/// A value that cannot be used: what is wrong with it, or with each element of its list.
fn broken(faults: value::Faults, path: &str, store: &mut Store, findings: &mut Findings<'_>) {
    for (place, (code, said)) in faults {
        findings.error(code, place, path, said);
    }
    store.set_broken(path);
}

fn elements(
    list: &'static grammar::List,
    node: &Node,
    generic: &str,
    concrete: &str,
    store: &mut Store,
    findings: &mut Findings<'_>,
) {
    let Some(items) = tables(node, generic, concrete, findings) else {
        store.set_broken(concrete);
        return;
    };
    if items.len() > list.most {
        findings.error(
            "S032",
            items[list.most].place,
            concrete,
            Said::that("there are too many of them")
                .found(items.len().to_string())
                .allowed(format!("at most {}", list.most)),
        );
        store.set_broken(concrete);
        return;
    }
    let mut names: Vec<String> = Vec::new();
    for (i, item) in items.iter().enumerate() {
        let name = if list.by_name {
            let Some(name) = own_name(
                item,
                &names,
                &format!("{concrete}[{}]", i + 1),
                concrete,
                findings,
            ) else {
                store.set_broken(concrete);
                continue;
            };
            name
        } else {
            (i + 1).to_string()
        };
        section(
            item,
            &format!("{generic}[]"),
            &format!("{concrete}[{name}]"),
            store,
            findings,
        );
        names.push(name);
    }
    store.set_list(concrete, names);
}

/// The elements of a list of tables; an error where it is none.
fn tables<'n>(
    node: &'n Node,
    generic: &str,
    concrete: &str,
    findings: &mut Findings<'_>,
) -> Option<&'n [Node]> {
    let one_table = matches!(node.content, Content::Table(_));
    match &node.content {
        Content::List(items)
            if items
                .iter()
                .all(|item| matches!(item.content, Content::Table(_))) =>
        {
            Some(items)
        }
        _ => {
            findings.error(
                "S012",
                node.place,
                concrete,
                Said::that(if one_table {
                    "this is a single table, but there may be several of them".into()
                } else {
                    format!("this is {}, but a list of tables is wanted", node.is())
                })
                .found(node.shown())
                .allowed(format!("one `[[{}]]` for each", grammar_header(generic)))
                .hint(format!("[[{}]]", grammar_header(generic))),
            );
            None
        }
    }
}

/// The name that an element gives itself: it has one, and none before it has the same.
fn own_name(
    item: &Node,
    names: &[String],
    place: &str,
    concrete: &str,
    findings: &mut Findings<'_>,
) -> Option<String> {
    let Some(name) = band_name(item) else {
        findings.error(
            "S011",
            item.place,
            &format!("{place}.name"),
            Said::that("a band needs a name: small letters, digits, - and _")
                .hint("name = \"bumper\""),
        );
        return None;
    };
    if names.contains(&name) {
        findings.error(
            "S014",
            item.place,
            concrete,
            Said::that(format!(
                "the name `{}` is given to two of them",
                shortened(&name)
            ))
            .allowed("each name once"),
        );
        return None;
    }
    Some(name)
}

/// The header of a list in the file: `support.arm.luminaire`.
pub(crate) fn grammar_header(generic: &str) -> String {
    generic.replace("[]", "")
}

/// A name that can stand in a path.
fn band_name(item: &Node) -> Option<String> {
    let Content::Table(entries) = &item.content else {
        return None;
    };
    let (_, node) = entries.iter().find(|(key, _)| key == "name")?;
    let name = match (&node.content, &node.raw) {
        (Content::Text(text), _) => text,
        (_, Some(raw)) => raw,
        _ => return None,
    };
    (!name.is_empty()
        && name.chars().count() <= 40
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_'))
    .then(|| name.clone())
}

/// Reports an unknown key; returns the key of this section that was meant, where there is a likely one.
fn unknown(
    key: &str,
    child: &Node,
    generic: &str,
    concrete: &str,
    findings: &mut Findings<'_>,
) -> Option<&'static str> {
    let here = grammar::children(generic);
    let meant = nearest(key, here.iter().copied());
    let suggestion = meant.map_or_else(
        || {
            // The very key in another section.
            grammar::rows()
                .find(|row| row.key() == key)
                .map(|row| format!("`{key}` belongs to [{}]", grammar_header(row.section())))
        },
        |name| Some(format!("did you mean `{name}`?")),
    );
    let place = if generic.is_empty() {
        "at the top of the file".to_owned()
    } else {
        format!("in [{}]", grammar_header(generic))
    };
    findings.error(
        "S010",
        child.place,
        concrete,
        Said::that(format!("`{}` is not known {place}", shortened(key)))
            .allowed(here.join(", "))
            .hint_of(suggestion),
    );
    meant
}
