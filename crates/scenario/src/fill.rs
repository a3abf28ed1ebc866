//! What is not given: class values, defaults, values computed from others; then what is still missing.

use giveway_units::{Dimension, exact_text};

use crate::classes;
use crate::diagnostic::{Findings, Place, Said};
use crate::grammar::{self, Fallback, Kind, Row};
use crate::makers;
use crate::store::{Data, NAMED_OFFSET, Origin, Store, Value};
use crate::tree;
use crate::value;

/// Fills the store and reports what is missing.
pub(crate) fn fill(store: &mut Store, findings: &mut Findings<'_>) {
    class_bands(store);
    store.attribute(None);
    let mut round = 0;
    // Computed values may need other computed values: repeat until nothing more can be made.
    while one_round(store) && round < 12 {
        round += 1;
    }
    named_offset(store, findings);
    store.attribute(Some(NAMED_OFFSET));
    missing(store, findings);
}

fn one_round(store: &mut Store) -> bool {
    let mut progress = false;
    for row in grammar::rows() {
        for path in store.expand(row.path) {
            if store.has(&path) || store.is_broken(&path) {
                continue;
            }
            let made = stand_in(row, &path, store, true);
            store.attribute(made.is_some().then_some(path.as_str()));
            if let Some(value) = made {
                store.put(&path, value);
                progress = true;
            }
        }
    }
    progress
}

/// Makes these values anew, without literals; they stand in the order of the grammar. False where one of them could
/// not be made.
pub(crate) fn remake(store: &mut Store, paths: &[(&'static Row, String)]) -> bool {
    for (_, path) in paths {
        store.remove(path);
    }
    let mut progress = true;
    while progress {
        progress = false;
        for (row, path) in paths {
            if store.has(path) {
                continue;
            }
            if let Some(value) = stand_in(row, path, store, false) {
                store.put(path, value);
                progress = true;
            }
        }
    }
    paths.iter().all(|(_, path)| store.has(path))
}

/// The class's value, the default or the computed value of a row.
fn stand_in(row: &Row, path: &str, store: &Store, literals: bool) -> Option<Value> {
    if let Some(value) = class_value(row, path, store) {
        return Some(value);
    }
    if row.companion(path).is_some_and(|key| !store.has(&key)) {
        return None;
    }
    match row.fallback {
        Fallback::Value(literal, source) => {
            from_literal(row, literal, Origin::Default(source.into()))
        }
        Fallback::Computed(_, computation) => {
            let at = path.rsplit_once('.').map_or("", |(section, _)| section);
            let made = (computation.0)(store, at)?;
            let literal = if literals {
                literal_of(row, &made.data)
            } else {
                String::new()
            };
            Some(Value {
                data: made.data,
                literal,
                origin: Origin::Computed(made.how),
                place: Place::Nowhere,
            })
        }
        Fallback::Required | Fallback::Absent | Fallback::Class => None,
    }
}

fn class_value(row: &Row, path: &str, store: &Store) -> Option<Value> {
    let class = classes::class(store.text("vehicle.class")?)?;
    let entry = class.values.iter().find(|v| v.path == path)?;
    from_literal(
        row,
        &entry.literal,
        Origin::Class(format!("{}: {}", class.name, entry.source)),
    )
}

fn from_literal(row: &Row, literal: &str, origin: Origin) -> Option<Value> {
    let read = value::read(row, &tree::literal(literal, Place::Nowhere)).ok();
    debug_assert!(read.is_some(), "{}: bad literal {literal}", row.path);
    let read = read?;
    Some(Value {
        data: read.data,
        literal: read.literal,
        origin,
        place: Place::Nowhere,
    })
}

/// TOML text of a computed value.
pub(crate) fn literal_of(row: &Row, data: &Data) -> String {
    match (data, row.kind) {
        (Data::Real(x), Kind::Quantity(dimension, unit)) => {
            value::quoted(&exact_text(*x, dimension, unit))
        }
        (Data::Real(x), Kind::LengthOrName(_)) => {
            value::quoted(&exact_text(*x, Dimension::Length, "m"))
        }
        (Data::Real(x), _) => value::float_literal(*x),
        (Data::Count(n), _) => n.to_string(),
        (Data::Flag(b), _) => b.to_string(),
        (Data::Text(t), _) => value::quoted(t),
        (Data::Texts(t), _) => format!(
            "[{}]",
            t.iter()
                .map(|t| value::quoted(t))
                .collect::<Vec<_>>()
                .join(", ")
        ),
        // Lists of numbers and pairs are never computed.
        (Data::Pairs(_) | Data::Reals(_) | Data::Counts(_), _) => String::new(),
    }
}

/// The bands of the class come first, then those that only the file names.
fn class_bands(store: &mut Store) {
    let Some(class) = store.text("vehicle.class").and_then(classes::class) else {
        return;
    };
    for (face, bands) in [
        ("vehicle.front", &class.front),
        ("vehicle.side", &class.side),
    ] {
        let keep = format!("{face}.class_bands");
        if store.flag(&keep) == Some(false) || store.is_broken(&keep) {
            continue;
        }
        let list = format!("{face}.band");
        if store.is_broken(&list) {
            continue;
        }
        let mut names: Vec<String> = bands.iter().map(|b| b.name.clone()).collect();
        for name in store.list(&list) {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
        for band in bands {
            let source = format!("{}: {}", class.name, band.source);
            for (key, literal) in [
                ("name", &band.name),
                ("lower", &band.lower),
                ("upper", &band.upper),
                ("setback", &band.setback),
                ("crush", &band.crush),
            ] {
                let path = format!("{list}[{}].{key}", band.name);
                if store.has(&path) || store.is_broken(&path) {
                    continue;
                }
                let Some(row) = grammar::row(&format!("{list}[].{key}")) else {
                    continue;
                };
                if let Some(value) = from_literal(row, literal, Origin::Class(source.clone())) {
                    store.put(&path, value);
                }
            }
        }
        store.set_list(&list, names);
    }
}

/// Turns a named place on the face into a length.
pub(crate) fn named_offset(store: &mut Store, findings: &mut Findings<'_>) {
    let path = "impact.offset";
    let Some(name) = store.text(path).map(str::to_owned) else {
        return;
    };
    store.set_named_offset(&name);
    let Some(found) = makers::named_offset(store, &name) else {
        // Something it needs is missing or wrong and reported elsewhere.
        store.set_broken(path);
        return;
    };
    let (place, origin) = match store.get(path) {
        Some(value) => (value.place, value.origin.clone()),
        None => return,
    };
    match found {
        Ok(made) => {
            let Some(row) = grammar::row(path) else {
                return;
            };
            let literal = literal_of(row, &made.data);
            let origin = match origin {
                Origin::Default(source) => Origin::Default(source),
                _ => Origin::Computed(made.how),
            };
            store.put(
                path,
                Value {
                    data: made.data,
                    literal,
                    origin,
                    place,
                },
            );
        }
        Err(why) => findings.error(
            "S066",
            place,
            path,
            Said::that(format!("`{name}` {why}")).found(name.clone()),
        ),
    }
}

/// Reports every required value that nothing could supply.
fn missing(store: &Store, findings: &mut Findings<'_>) {
    let class_unknown = store.text("vehicle.class").is_none();
    without_companion(store, findings);
    for row in grammar::rows() {
        for path in store.expand(row.path) {
            if store.has(&path) || store.is_broken(&path) {
                continue;
            }
            if row.companion(&path).is_some_and(|key| !store.has(&key)) {
                continue;
            }
            let said = match row.fallback {
                Fallback::Absent | Fallback::Value(..) => continue,
                Fallback::Class if class_unknown => continue,
                Fallback::Class | Fallback::Required => {
                    Said::that(format!("a value is missing: {}", row.meaning))
                        .allowed(value::wanted(row.kind))
                        .hint_of(example(row))
                }
                Fallback::Computed(..) => match uncomputed(row, &path, store) {
                    Some(said) => said,
                    None => continue,
                },
            };
            findings.error("S011", store.section_place(&path), &path, said);
        }
    }
    limits(store, findings);
}

/// Values that say nothing because the key they belong to is missing; one finding for each such key.
fn without_companion(store: &Store, findings: &mut Findings<'_>) {
    let mut reported: Vec<String> = Vec::new();
    for row in grammar::rows() {
        for path in store.expand(row.path) {
            let Some(key) = row.companion(&path) else {
                continue;
            };
            if !store.given(&path)
                || store.has(&key)
                || store.is_broken(&key)
                || reported.contains(&key)
            {
                continue;
            }
            let Some(wanted) = grammar::row(&key) else {
                continue;
            };
            findings.error(
                "S011",
                store.place(&path),
                &key,
                Said::that(format!(
                    "`{}` is given but not `{}`, without which it says nothing: {}",
                    row.key(),
                    wanted.key(),
                    wanted.meaning
                ))
                .allowed(value::wanted(wanted.kind))
                .hint_of(example(wanted)),
            );
            reported.push(key);
        }
    }
}

/// A computed value that could not be made although nothing it needs is reported as missing.
fn uncomputed(row: &Row, path: &str, store: &Store) -> Option<Said> {
    if path == "slip_base.clamp.preload" {
        let wrong = ["torque", "preload", "nut_factor", "relaxation"]
            .iter()
            .any(|key| store.is_broken(&format!("slip_base.clamp.{key}")));
        return (!wrong && !store.has("slip_base.clamp.torque")).then(|| {
            Said::that("the clamp is missing: a torque or a preload of each bolt")
                .allowed("torque 20 to 1000 N.m, or preload 1 to 400 kN")
                .hint("[slip_base.clamp] torque = \"150 N.m\"")
        });
    }
    let section = path.rsplit_once('.').map_or("", |(section, _)| section);
    let material = format!("{section}.material");
    (store.text(&material) == Some(crate::parts::OTHER_MATERIAL)).then(|| {
        Said::that(format!(
            "a material `other` needs this value: {}",
            row.meaning
        ))
        .allowed(value::wanted(row.kind))
    })
}

/// An example line for a missing value.
fn example(row: &Row) -> Option<String> {
    let text = match row.kind {
        Kind::Quantity(dimension, unit) => {
            let (low, high) = row.plausible;
            if !(low > 0.0 && high.is_finite()) {
                return None;
            }
            // Geometric middle of the usual range.
            value::quoted(&giveway_units::shown_in(
                (low * high).sqrt(),
                dimension,
                unit,
                2,
            ))
        }
        Kind::Choice(options) => value::quoted(options.names().first()?),
        _ => return None,
    };
    Some(format!("{} = {text}", row.key()))
}

/// A source without a value is a limit half written.
fn limits(store: &Store, findings: &mut Findings<'_>) {
    for row in grammar::rows() {
        let Some(section) = row
            .path
            .strip_suffix(".source")
            .filter(|s| s.starts_with("criteria.limit."))
        else {
            continue;
        };
        let path = format!("{section}.value");
        if store.given(row.path) && !store.has(&path) && !store.is_broken(&path) {
            findings.error(
                "S011",
                store.place(row.path),
                &path,
                Said::that("a limit has a source but no value"),
            );
        }
    }
}
