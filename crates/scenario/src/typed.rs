//! A TOML file as data of a type, with everything that is wrong in its form, and the places of its keys: for documents that
//! are no scenario.
//!
//! References: TOML 1.1 specification.

use serde::de::DeserializeOwned;
use toml::de::{DeTable, DeValue};

use crate::tree::shortened_to;

/// Most problems of form that are told.
const MOST: usize = 20;

/// What is wrong with the form of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// Byte offset.
    pub at: usize,
    /// Whether the rules of TOML are broken; else a key is not known or missing, or a value is of another kind.
    pub syntax: bool,
    /// In words.
    pub message: String,
}

/// Reads a file as data.
///
/// # Errors
/// Every place that breaks the rules of TOML; in a file that keeps them, every key that is not known and the first value or
/// missing key that does not fit.
pub fn typed<T: DeserializeOwned>(text: &str) -> Result<T, Vec<Misfit>> {
    let start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let mut left = text[start..].to_owned();
    let (_, errors) = DeTable::parse_recoverable(&text[start..]);
    let mut list: Vec<Misfit> = errors
        .iter()
        .take(MOST)
        .map(|e| Misfit {
            at: e.span().map_or(0, |s| s.start) + start,
            syntax: true,
            message: e.message().trim().to_owned(),
        })
        .collect();
    while list.len() < MOST && (list.is_empty() || !list[0].syntax) {
        let problem = match toml::from_str(&left) {
            Ok(data) if list.is_empty() => return Ok(data),
            Ok(_) => break,
            Err(problem) => problem,
        };
        let message = problem.message().trim().to_owned();
        let span = problem.span().unwrap_or(0..0);
        let unknown = message.starts_with("unknown field");
        list.push(Misfit {
            at: span.start + start,
            syntax: false,
            message: message.lines().next().map_or_else(String::new, cut),
        });
        // A key that is not known hides nothing: what follows is read without it.
        match without(&left, span.start) {
            Some(rest) if unknown => left = rest,
            _ => break,
        }
    }
    list.sort_by_key(|m| m.at);
    Err(list)
}

/// A message of the reader of TOML, which may repeat what the file says.
fn cut(message: &str) -> String {
    shortened_to(message, 300)
}

/// The text with blanks in place of the key that begins there and its value; none where that cannot be taken out.
fn without(text: &str, at: usize) -> Option<String> {
    let (table, errors) = DeTable::parse_recoverable(text);
    let end = end_of(table.get_ref(), at).filter(|_| errors.is_empty())?;
    let blank = |c: char| if c == '\n' { '\n' } else { ' ' };
    let mut rest = String::with_capacity(text.len());
    for (i, c) in text.char_indices() {
        if (at..end).contains(&i) {
            // As many bytes as before: places stay where they are.
            rest.extend(std::iter::repeat_n(blank(c), c.len_utf8()));
        } else {
            rest.push(c);
        }
    }
    DeTable::parse_recoverable(&rest)
        .1
        .is_empty()
        .then_some(rest)
}

/// Where the value of the key ends that begins at a place.
fn end_of(table: &DeTable<'_>, at: usize) -> Option<usize> {
    table.iter().find_map(|(key, value)| {
        if key.span().start == at {
            return Some(value.span().end.max(key.span().end));
        }
        match value.get_ref() {
            DeValue::Table(inner) => end_of(inner, at),
            DeValue::Array(items) => items.iter().find_map(|item| match item.get_ref() {
                DeValue::Table(inner) => end_of(inner, at),
                _ => None,
            }),
            _ => None,
        }
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
}

impl DocumentKind {
    /// Of a text, which may break the rules of TOML in places.
    pub fn of(text: &str) -> Self {
        let (table, _) = DeTable::parse_recoverable(text.trim_start_matches('\u{feff}'));
        let has = |name: &str| table.get_ref().iter().any(|(key, _)| key.get_ref() == name);
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
        }
    }
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

    #[test]
    fn every_place_that_is_no_toml_is_found() {
        let text = "a = \nb = 30 km\n";
        assert!(misfits(text).len() > 1);
        assert!(misfits(text).iter().all(|m| m.1));
        assert_eq!(misfits("\u{feff}a = 1\nq = 2\n"), [(9, false)]);
        // A value of another kind, a missing key, nothing at all.
        assert_eq!(misfits("q = 1\na = \"x\"\n").len(), 1);
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
