//! A TOML file as data of a type, with everything that is wrong in its form, and the places of its keys: for documents that
//! are no scenario.
//!
//! References: TOML 1.1 specification.

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeArray, DeFloat, DeInteger, DeString, DeTable, DeValue, Deserializer, Error};

use crate::tree::shortened_to;

/// Most problems of form that are told.
const MOST: usize = 20;
/// Most stand-ins that are tried in one file.
const MOST_STAND_INS: usize = 400;

/// What is wrong with the form of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// Byte offset.
    pub at: usize,
    /// Whether the rules of TOML are broken; else a key is not known or missing, or a value is of another kind.
    pub syntax: bool,
    /// In words.
    pub message: String,
    /// What to write instead, where that can be said.
    pub hint: Option<String>,
}

/// Reads a file as data.
///
/// # Errors
/// Every place that breaks the rules of TOML; in a file that keeps them, every key that is not known or missing and every
/// value of another kind.
pub fn typed<T: DeserializeOwned>(text: &str) -> Result<T, Vec<Misfit>> {
    match typed_in_part(text) {
        (Some(data), list) if list.is_empty() => Ok(data),
        (_, list) => Err(list),
    }
}

/// The same, with what of the data could be read all the same: keys that are not known are left out, and something stands in
/// for what is missing or of another kind. A `Spanned` that stands in lies beyond the end of the text; the text has no byte
/// order mark before it where places are asked for.
pub fn typed_in_part<T: DeserializeOwned>(text: &str) -> (Option<T>, Vec<Misfit>) {
    let start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let (mut table, errors) = DeTable::parse_recoverable(&text[start..]);
    let mut list: Vec<Misfit> = errors
        .iter()
        .take(MOST)
        .map(|e| Misfit {
            at: e.span().map_or(0, |s| s.start) + start,
            syntax: true,
            message: cut(e.message().trim()),
            hint: None,
        })
        .collect();
    let end = text.len() - start;
    let mut beyond = end;
    let mut data = None;
    while errors.is_empty() && list.len() < MOST && beyond < end + MOST_STAND_INS {
        let problem = match T::deserialize(Deserializer::from(table.clone())) {
            Ok(read) => {
                data = Some(read);
                break;
            }
            Err(problem) => problem,
        };
        // What is wrong with a stand-in was told of the value for which it stands.
        let at = at_of(&problem);
        if at <= end {
            list.push(misfit(&problem, at + start));
        }
        match without::<T>(&table, &problem, &mut beyond) {
            Some(rest) => table = rest,
            None => break,
        }
    }
    list.sort_by_key(|m| m.at);
    (data, list)
}

fn at_of(problem: &Error) -> usize {
    problem.span().map_or(0, |s| s.start)
}

fn misfit(problem: &Error, at: usize) -> Misfit {
    let message = problem.message().trim();
    let mut words = message.split('`').skip(1).step_by(2);
    let hint = if message.starts_with("unknown ") {
        let word = words.next().unwrap_or_default();
        giveway_units::nearest(word, words).map(|meant| format!("did you mean `{meant}`?"))
    } else if message.starts_with("invalid type") && message.ends_with("expected a string") {
        Some("in quotes; a quantity with its unit, for example \"0.5 m\"".to_owned())
    } else {
        None
    };
    Misfit {
        at,
        syntax: false,
        message: message.lines().next().map_or_else(String::new, in_words),
        hint,
    }
}

/// A message of the reader, types of numbers in words.
fn in_words(message: &str) -> String {
    let types = [
        (
            "a whole number from 0 on",
            ["usize", "u64", "u32", "u16", "u8"].as_slice(),
        ),
        ("a number", ["f64", "f32"].as_slice()),
    ];
    let found = types.into_iter().find_map(|(words, names)| {
        let (said, name) = message.rsplit_once(", expected ")?;
        names
            .contains(&name)
            .then(|| format!("{said}, expected {words}"))
    });
    found.map_or_else(|| cut(message), |message| cut(&message))
}

/// A message of the reader of TOML, which may repeat what the file says.
fn cut(message: &str) -> String {
    shortened_to(message, 300)
}

/// The table without what a problem is about, so that what follows can be read: a key that is not known is taken out, for all
/// else something stands in, at a place beyond the text. None where nothing can.
fn without<'a, T: DeserializeOwned>(
    table: &Spanned<DeTable<'a>>,
    problem: &Error,
    beyond: &mut usize,
) -> Option<Spanned<DeTable<'a>>> {
    let (at, message) = (at_of(problem), problem.message());
    let again =
        |tried: &Spanned<DeTable<'a>>| T::deserialize(Deserializer::from(tried.clone())).err();
    let mut rest = table.clone();
    if message.starts_with("unknown field") {
        taken_out(&mut rest, |key, _| key == at)?;
        return Some(rest);
    }
    let missing = message.strip_prefix("missing field `");
    let missing = missing.and_then(|m| m.split_once('`')).map(|m| m.0);
    // A table that begins there may hold another one that begins there too.
    for nth in 0.. {
        let mut values = stand_ins();
        values.extend(choice(message));
        while let Some(value) = values.pop() {
            *beyond += 1;
            let value = Spanned::new(*beyond..*beyond, value);
            let mut tried = table.clone();
            let put = match missing {
                Some(key) => put_into(&mut tried, at, nth, key, &value),
                None => put_instead(&mut tried, at, nth, &value),
            };
            if !put {
                // What nothing stands in for, a list of a fixed length: where it may be left out.
                if missing.is_some() {
                    return None;
                }
                let key = taken_out(&mut rest, |_, value| value == at)?;
                let needed = format!("missing field `{key}`");
                let next = again(&rest);
                return next
                    .is_none_or(|next| !next.message().starts_with(&needed))
                    .then_some(rest);
            }
            let Some(next) = again(&tried) else {
                return Some(tried);
            };
            let unfit = at_of(&next) == *beyond && !next.message().starts_with("missing field");
            let same = at_of(&next) == at && next.message() == message;
            if !unfit && !same {
                return Some(tried);
            }
            if unfit && !values.is_empty() {
                values.extend(choice(next.message()));
            }
        }
    }
    None
}

/// Values that stand in, the last one tried first.
fn stand_ins<'a>() -> Vec<DeValue<'a>> {
    vec![
        DeValue::Array(DeArray::new()),
        DeValue::Table(DeTable::new()),
        DeValue::Boolean(false),
        DeValue::Float(DeFloat::default()),
        DeValue::Integer(DeInteger::default()),
        DeValue::String(DeString::Borrowed("")),
    ]
}

/// The first word of a choice that a message names.
fn choice<'a>(message: &str) -> Option<DeValue<'a>> {
    let (_, words) = message
        .strip_prefix("unknown variant ")?
        .split_once("expected ")?;
    let word = words.split('`').nth(1)?;
    Some(DeValue::String(DeString::Owned(word.to_owned())))
}

/// Whether this holds for a value below a table: each value before those in it, until one does.
fn any_below<'a>(
    table: &mut DeTable<'a>,
    holds: &mut dyn FnMut(&mut Spanned<DeValue<'a>>) -> bool,
) -> bool {
    let mut values: Vec<&mut Spanned<DeValue<'a>>> = table.iter_mut().map(|e| e.1).collect();
    while let Some(value) = values.pop() {
        if holds(value) {
            return true;
        }
        let found = match value.get_mut() {
            DeValue::Table(inner) => any_below(inner, holds),
            DeValue::Array(items) => {
                values.extend(items.iter_mut());
                false
            }
            _ => false,
        };
        if found {
            return true;
        }
    }
    false
}

/// The same for a table and those below it; told is whether the table begins at a place.
fn any_table<'a>(
    root: &mut Spanned<DeTable<'a>>,
    at: usize,
    mut holds: impl FnMut(&mut DeTable<'a>, bool) -> bool,
) -> bool {
    let here = root.span().start == at;
    holds(root.get_mut(), here)
        || any_below(root.get_mut(), &mut |value| {
            let here = value.span().start == at;
            match value.get_mut() {
                DeValue::Table(inner) => holds(inner, here),
                _ => false,
            }
        })
}

/// Takes the first entry out for whose beginnings of key and value this holds; its key.
fn taken_out(root: &mut Spanned<DeTable<'_>>, is: impl Fn(usize, usize) -> bool) -> Option<String> {
    let mut taken = None;
    any_table(root, 0, |table, _| {
        taken = table
            .iter()
            .find(|(key, value)| is(key.span().start, value.span().start))
            .map(|(key, _)| key.get_ref().clone().into_owned());
        if let Some(key) = &taken {
            table.remove(key.as_str());
        }
        taken.is_some()
    });
    taken
}

/// Puts a key into the table that begins at a place and lacks it, `left` such tables passed over.
fn put_into<'a>(
    root: &mut Spanned<DeTable<'a>>,
    at: usize,
    mut left: usize,
    key: &str,
    value: &Spanned<DeValue<'a>>,
) -> bool {
    any_table(root, at, |table, here| {
        if !here || table.contains_key(key) {
            return false;
        }
        if left > 0 {
            left -= 1;
            return false;
        }
        let key = Spanned::new(value.span(), DeString::Owned(key.to_owned()));
        table.insert(key, value.clone());
        true
    })
}

/// Puts a value in place of the one that begins at a place, `left` such values passed over.
fn put_instead<'a>(
    root: &mut Spanned<DeTable<'a>>,
    at: usize,
    mut left: usize,
    value: &Spanned<DeValue<'a>>,
) -> bool {
    any_below(root.get_mut(), &mut |found| {
        if found.span().start != at {
            return false;
        }
        if left > 0 {
            left -= 1;
            return false;
        }
        *found = value.clone();
        true
    })
}

/// Byte offset of a key such as `case[2].view`, elements counted from 1; of the deepest one above it that the file has.
pub fn place_of(text: &str, path: &str) -> usize {
    let start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let (table, _) = DeTable::parse_recoverable(&text[start..]);
    let mut place = 0;
    let mut here = Some(table.get_ref());
    for step in path.split('.') {
        let (name, index) = match step.split_once('[') {
            Some((name, rest)) => (name, rest.trim_end_matches(']').parse::<usize>().ok()),
            None => (step, None),
        };
        let Some(entry) = here.and_then(|t| t.iter().find(|(key, _)| key.get_ref() == name)) else {
            break;
        };
        let mut value = entry.1;
        let mut at = entry.0.span().start;
        if let (Some(i), DeValue::Array(items)) = (index, value.get_ref()) {
            let Some(item) = i.checked_sub(1).and_then(|i| items.get(i)) else {
                break;
            };
            (value, at) = (item, item.span().start);
        }
        place = at + start;
        here = match value.get_ref() {
            DeValue::Table(inner) => Some(inner),
            _ => None,
        };
    }
    place
}

/// What a document is, by the keys that it has at its top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DocumentKind {
    /// A scenario: also whatever is none of the others.
    Scenario,
    /// Many runs.
    Study,
    /// A study with what was measured beside it.
    Fit,
    /// A study with what tests would measure.
    NextTest,
    /// The record of an installed pole.
    SiteRecord,
    /// The description of a test's record.
    TestRecord,
    /// A lesson.
    Lesson,
    /// An agency's profile.
    Profile,
    /// What is in print for the shared calibration.
    Evidence,
}

impl DocumentKind {
    /// Of a text, which may break the rules of TOML in places.
    pub fn of(text: &str) -> Self {
        let text = text.trim_start_matches('\u{feff}');
        let (table, errors) = DeTable::parse_recoverable(text);
        // Behind some slips the reader of TOML gives up: what lines begin with says it as well.
        let begun = if errors.is_empty() {
            Vec::new()
        } else {
            begun(text)
        };
        let has = |name: &str| {
            begun.contains(&name) || table.get_ref().iter().any(|(key, _)| key.get_ref() == name)
        };
        let any = |names: &[&str]| names.iter().any(|name| has(name));
        if any(&["base", "files", "grid", "sample"]) {
            return match (any(&["data", "trace"]), has("measure")) {
                (true, _) => Self::Fit,
                (false, true) => Self::NextTest,
                _ => Self::Study,
            };
        }
        if has("channel") && any(&["file", "scenario"]) {
            Self::TestRecord
        } else if has("case") {
            Self::Lesson
        } else if any(&["revision", "limits"]) || (has("pole") && has("name")) {
            Self::Profile
        } else if has("row") && any(&["parameter", "nut_factor"]) {
            Self::Evidence
        } else if any(&["pole", "measured"]) {
            Self::SiteRecord
        } else {
            Self::Scenario
        }
    }

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Scenario => "scenario",
            Self::Study => "study",
            Self::Fit => "fit",
            Self::NextTest => "plan of tests",
            Self::SiteRecord => "site record",
            Self::TestRecord => "description of a test record",
            Self::Lesson => "lesson",
            Self::Profile => "profile",
            Self::Evidence => "evidence of tests in print",
        }
    }
}

/// Keys and sections at the top, by what lines begin with.
fn begun(text: &str) -> Vec<&str> {
    let mut names = Vec::new();
    let mut top = true;
    for line in text.lines().map(str::trim) {
        if let Some(section) = line.strip_prefix('[') {
            top = false;
            let name = section.trim_start_matches('[').split([']', '.']).next();
            names.extend(name.map(str::trim));
        } else if let (true, Some((key, _))) = (top, line.split_once('=')) {
            names.push(key.trim());
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Outer {
        #[serde(rename = "a")]
        _a: u8,
        #[serde(default)]
        inner: Vec<Inner>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Inner {
        #[serde(rename = "b")]
        _b: u8,
    }

    fn misfits(text: &str) -> Vec<(usize, bool)> {
        let list = typed::<Outer>(text).unwrap_err();
        list.iter().map(|m| (m.at, m.syntax)).collect()
    }

    #[test]
    fn every_unknown_key_is_found_in_one_pass() {
        let text =
            "a = 1\nq = \"\u{e9}\"\n[[inner]]\nb = 1\nc = [1,\n2]\n[[inner]]\nb = 2\nd = 3\n";
        let at = |key: &str| text.find(key).unwrap();
        let wanted = [at("q ="), at("c ="), at("d =")].map(|at| (at, false));
        assert_eq!(misfits(text), wanted);
        assert_eq!(
            typed::<Outer>("a = 1\n[[inner]]\nb = 1\n")
                .unwrap()
                .inner
                .len(),
            1
        );
    }

    #[derive(Debug, Deserialize, PartialEq)]
    #[serde(rename_all = "kebab-case")]
    enum Word {
        OneWord,
        Other,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Deep {
        name: Spanned<String>,
        word: Word,
        part: Part,
        pair: Option<[String; 2]>,
        item: Vec<Spanned<Part>>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Part {
        size: f64,
        word: Option<Word>,
        count: usize,
        on: bool,
    }

    #[test]
    fn every_value_of_another_kind_and_every_missing_key_is_found_in_one_pass() {
        let text = "name = 5\nword = \"one-wort\"\npair = [\"a\"]\n[part]\nsize = \"x\"\ncount = -1\nmore = 2\n\
            [[item]]\nsize = 1.0\ncount = true\non = \"yes\"\n[[item]]\nsize = []\ncount = 3\non = true\nword = 7\n";
        let (data, list) = typed_in_part::<Deep>(text);
        let at = |what: &str| text.find(what).unwrap();
        let found: Vec<usize> = list.iter().map(|m| m.at).collect();
        let wanted = [
            at("5\n"),
            at("\"one-wort"),
            at("[\"a"),
            at("[part]"),
            at("\"x\""),
            at("-1"),
            at("more"),
            at("true\n"),
            at("\"yes"),
            at("[]\n"),
            at("7\n"),
        ];
        assert_eq!(found, wanted, "{list:#?}");
        assert_eq!(list[1].hint.as_deref(), Some("did you mean `one-word`?"));
        assert!(list[3].message.contains("missing field `on`"), "{list:?}");
        assert!(list[4].message.ends_with("expected a number"), "{list:?}");
        assert!(
            list[5].message.ends_with("a whole number from 0 on"),
            "{list:?}"
        );
        let data = data.expect("the rest of it");
        // What stands in lies beyond the text; what was right is there.
        assert!(data.name.span().start > text.len());
        assert_eq!((data.item.len(), data.item[1].get_ref().count), (2, 3));
        assert_eq!((data.pair, data.word), (None, Word::OneWord));
        let part = data.part;
        assert_eq!(
            (part.size, part.count, part.on, part.word),
            (0.0, 0, false, None)
        );
        // Whole sections that are missing are told once each, not key by key.
        let (data, list) = typed_in_part::<Deep>("");
        assert_eq!(list.len(), 4, "{list:#?}");
        assert!(data.is_some());
        let (_, list) = typed_in_part::<Deep>("[part]\nsize = 1.0\n");
        let missing = ["count", "on", "name", "word", "item"];
        let told = |key: &str| list.iter().any(|m| m.message.contains(&format!("`{key}`")));
        assert!(
            list.len() == 5 && missing.into_iter().all(told),
            "{list:#?}"
        );
    }

    #[test]
    fn a_file_of_nothing_but_faults_ends() {
        let text: String = (0..3000)
            .map(|i| format!("[[inner]]\nb = \"{i}\"\n"))
            .collect();
        let (data, list) = typed_in_part::<Outer>(&format!("a = 1\n{text}"));
        assert!(data.is_none() && list.len() == MOST);
    }

    #[test]
    fn every_place_that_is_no_toml_is_found() {
        let text = "a = \nb = 30 km\n";
        assert!(misfits(text).len() > 1);
        assert!(misfits(text).iter().all(|m| m.1));
        assert_eq!(misfits("\u{feff}a = 1\nq = 2\n"), [(9, false)]);
        // A key that is not known and a value of another kind, a missing key in a file with nothing at all.
        assert_eq!(misfits("q = 1\na = \"x\"\n"), [(0, false), (10, false)]);
        assert_eq!(misfits("").len(), 1);
        assert!(!misfits("\0").is_empty());
    }

    #[test]
    fn documents_are_told_apart_while_they_are_broken() {
        for (text, kind) in [
            ("", DocumentKind::Scenario),
            ("[impact]\nspeed = 30 km/h\n", DocumentKind::Scenario),
            ("base = \"a.toml\"\n[grid\n", DocumentKind::Study),
            ("files = []\n[[data]]\nname = 1\n", DocumentKind::Fit),
            ("base = 1\n[[measure]]\n", DocumentKind::NextTest),
            ("pole = \"HV-1\"\n", DocumentKind::SiteRecord),
            ("[file]\n[[channel]]\n", DocumentKind::TestRecord),
            ("\u{feff}title = 1\n[[case]]\n", DocumentKind::Lesson),
            ("name = 1\n[[pole]]\n", DocumentKind::Profile),
            ("[limits]\n", DocumentKind::Profile),
            ("title \"x\"\n[[case]]\nview = 1\n", DocumentKind::Lesson),
            ("title \"x\"\nbase = 1\n[ grid ]\n", DocumentKind::Study),
            ("[nut_factor]\n[[row]]\nsays = \n", DocumentKind::Evidence),
        ] {
            assert_eq!(DocumentKind::of(text), kind, "{text}");
        }
    }

    #[test]
    fn keys_have_places() {
        let text = "title = 1\n[[case]]\nview = 1\n[[case]]\nview = 2\n";
        assert_eq!(place_of(text, "case[2].view"), text.rfind("view").unwrap());
        assert_eq!(place_of(text, "title"), 0);
        let second = text.rfind("[[case]]").unwrap();
        assert!(place_of(text, "case[2].beside") >= second);
        assert_eq!(place_of(text, "nothing"), 0);
        assert_eq!(place_of("= [", "case[0].view"), 0);
    }
}
