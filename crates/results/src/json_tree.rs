//! JSON as a tree that keeps the order of the file, for whoever compares results value by value.
//!
//! References: T. Bray, RFC 8259 (2017).

use std::fmt;

use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

/// A JSON value. Members keep the order of the file.
#[derive(Debug, Clone, PartialEq)]
pub enum JsonTree {
    /// `null`.
    Null,
    /// `true` or `false`.
    Flag(bool),
    /// A number; whole ones up to 2^53 in magnitude are exact.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<JsonTree>),
    /// Members of an object.
    Members(Vec<(String, JsonTree)>),
}

/// A value without members, with its path: `verdicts[0].checks[2].value`.
pub type Leaf<'a> = (String, &'a JsonTree);

impl JsonTree {
    /// Reads a text; none where it is not JSON, or nested deeper than 128 levels.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice(bytes).ok()
    }

    /// A member by name.
    pub fn member(&self, name: &str) -> Option<&JsonTree> {
        match self {
            Self::Members(members) => members.iter().find(|(n, _)| n == name).map(|(_, v)| v),
            _ => None,
        }
    }

    /// Every value without members in the order of the file; an empty list or object counts as one.
    pub fn leaves(&self) -> Vec<Leaf<'_>> {
        let mut leaves = Vec::new();
        self.walk(String::new(), &mut leaves);
        leaves
    }

    fn walk<'a>(&'a self, path: String, leaves: &mut Vec<Leaf<'a>>) {
        match self {
            Self::List(items) if !items.is_empty() => {
                for (i, item) in items.iter().enumerate() {
                    item.walk(format!("{path}[{i}]"), leaves);
                }
            }
            Self::Members(members) if !members.is_empty() => {
                for (name, value) in members {
                    let dot = if path.is_empty() { "" } else { "." };
                    value.walk(format!("{path}{dot}{name}"), leaves);
                }
            }
            _ => leaves.push((path, self)),
        }
    }

    /// The first place, in the order of the file, where two trees differ; numbers are compared by their bits.
    pub fn first_difference<'a>(&'a self, other: &'a Self) -> Option<TreeDifference<'a>> {
        self.differs_from(other, String::new())
    }

    fn differs_from<'a>(&'a self, other: &'a Self, path: String) -> Option<TreeDifference<'a>> {
        match (self, other) {
            (Self::List(a), Self::List(b)) => {
                for (i, (x, y)) in a.iter().zip(b).enumerate() {
                    if let Some(found) = x.differs_from(y, format!("{path}[{i}]")) {
                        return Some(found);
                    }
                }
                let at = a.len().min(b.len());
                (a.len() != b.len()).then(|| TreeDifference {
                    path: format!("{path}[{at}]"),
                    values: [a.get(at), b.get(at)],
                })
            }
            (Self::Members(a), Self::Members(b)) => {
                let below = |name: &str| {
                    let dot = if path.is_empty() { "" } else { "." };
                    format!("{path}{dot}{name}")
                };
                for (name, x) in a {
                    let Some(y) = other.member(name) else {
                        return Some(TreeDifference {
                            path: below(name),
                            values: [Some(x), None],
                        });
                    };
                    if let Some(found) = x.differs_from(y, below(name)) {
                        return Some(found);
                    }
                }
                let new = b.iter().find(|(name, _)| self.member(name).is_none());
                new.map(|(name, y)| TreeDifference {
                    path: below(name),
                    values: [None, Some(y)],
                })
            }
            (Self::Number(a), Self::Number(b)) if a.to_bits() == b.to_bits() => None,
            (Self::Number(_), Self::Number(_)) => Some(TreeDifference {
                path,
                values: [Some(self), Some(other)],
            }),
            (a, b) if a == b => None,
            _ => Some(TreeDifference {
                path,
                values: [Some(self), Some(other)],
            }),
        }
    }
}

/// Where two trees differ, and the two values; none where one has nothing there.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeDifference<'a> {
    /// Path of the place.
    pub path: String,
    /// What stands there in either.
    pub values: [Option<&'a JsonTree>; 2],
}

/// A value on one line; lists and objects by their size.
impl fmt::Display for JsonTree {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::Null => f.write_str("null"),
            Self::Flag(flag) => write!(f, "{flag}"),
            Self::Number(number) => f.write_str(&number_text(*number)),
            Self::Text(text) => write!(f, "{:?}", shortened(text)),
            Self::List(items) => write!(f, "a list of {}", items.len()),
            Self::Members(members) => write!(f, "an object of {}", members.len()),
        }
    }
}

/// The shortest text that reads back to the same number.
pub(crate) fn number_text(number: f64) -> String {
    if number.fract() == 0.0 && number.abs() < 1e15 {
        return format!("{number}");
    }
    let magnitude = number.abs();
    if (1e-4..1e15).contains(&magnitude) {
        format!("{number}")
    } else {
        format!("{number:e}")
    }
}

/// At most 60 characters of a text.
pub(crate) fn shortened(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    let head: String = text.chars().take(MOST).collect();
    format!("{head}\u{2026}")
}

impl<'de> Deserialize<'de> for JsonTree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TreeVisitor)
    }
}

struct TreeVisitor;

impl<'de> Visitor<'de> for TreeVisitor {
    type Value = JsonTree;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: de::Error>(self) -> Result<JsonTree, E> {
        Ok(JsonTree::Null)
    }

    fn visit_bool<E: de::Error>(self, v: bool) -> Result<JsonTree, E> {
        Ok(JsonTree::Flag(v))
    }

    fn visit_i64<E: de::Error>(self, v: i64) -> Result<JsonTree, E> {
        Ok(JsonTree::Number(v as f64))
    }

    fn visit_u64<E: de::Error>(self, v: u64) -> Result<JsonTree, E> {
        Ok(JsonTree::Number(v as f64))
    }

    fn visit_f64<E: de::Error>(self, v: f64) -> Result<JsonTree, E> {
        Ok(JsonTree::Number(v))
    }

    fn visit_str<E: de::Error>(self, v: &str) -> Result<JsonTree, E> {
        Ok(JsonTree::Text(v.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<JsonTree, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = seq.next_element()? {
            items.push(item);
        }
        Ok(JsonTree::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<JsonTree, A::Error> {
        let mut members = Vec::new();
        while let Some(member) = map.next_entry()? {
            members.push(member);
        }
        Ok(JsonTree::Members(members))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> JsonTree {
        JsonTree::read(text.as_bytes()).unwrap()
    }

    #[test]
    fn leaves_keep_the_order_of_the_file() {
        let t = tree(r#"{"z": {"b": 1, "a": [2.5, null]}, "c": [], "d": "x"}"#);
        let paths: Vec<String> = t.leaves().into_iter().map(|l| l.0).collect();
        assert_eq!(paths, ["z.b", "z.a[0]", "z.a[1]", "c", "d"]);
        assert!(JsonTree::read(b"{\"a\": 1").is_none());
        assert!(JsonTree::read("[".repeat(100_000).as_bytes()).is_none());
    }

    #[test]
    fn the_first_difference_is_that_of_the_file() {
        let first = |a: &str, b: &str| {
            let (a, b) = (tree(a), tree(b));
            let found = a.first_difference(&b)?;
            let text = found.values.map(|v| v.map(ToString::to_string));
            Some((found.path, text))
        };
        let some = |path: &str, a: Option<&str>, b: Option<&str>| {
            Some((path.to_owned(), [a, b].map(|v| v.map(str::to_owned))))
        };
        let one = r#"{"z": 1, "a": {"v": [1, 2.5]}}"#;
        assert_eq!(first(one, one), None);
        assert_eq!(
            first(one, r#"{"z": 2, "a": {"v": [1, 3]}}"#),
            some("z", Some("1"), Some("2"))
        );
        assert_eq!(
            first(one, r#"{"z": 1, "a": {"v": [1, 2.5000000000000004]}}"#),
            some("a.v[1]", Some("2.5"), Some("2.5000000000000004"))
        );
        assert_eq!(
            first(one, r#"{"z": 1, "a": {"v": [1]}}"#),
            some("a.v[1]", Some("2.5"), None)
        );
        assert_eq!(
            first(r#"{"a":0}"#, r#"{"a":-0.0}"#),
            some("a", Some("0"), Some("-0"))
        );
        assert_eq!(first("{}", r#"{"n":null}"#), some("n", None, Some("null")));
    }
}
