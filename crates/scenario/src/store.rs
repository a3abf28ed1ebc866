//! Values by path, each with its literal text and where it came from.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};

use foldhash::fast::FixedState;

use crate::diagnostic::Place;
use crate::words::Word;

/// Names under which the resolution notes what checks and parts look at.
pub(crate) fn note(what: &str, number: usize) -> String {
    format!("{what} {number}")
}

/// Name under which the place of the offset is noted.
pub(crate) const NAMED_OFFSET: &str = "named offset";

/// A value in SI.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Data {
    Real(f64),
    Count(usize),
    Flag(bool),
    Text(String),
    Texts(Vec<String>),
    Pairs(Vec<(f64, f64)>),
    Reals(Vec<f64>),
    Counts(Vec<usize>),
}

/// Where a value came from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Origin {
    /// The file.
    File,
    /// An override.
    Override,
    /// A default; its source.
    Default(String),
    /// The vehicle class; the source of that value.
    Class(String),
    /// Computed from other values; how.
    Computed(String),
}

#[derive(Debug, Clone)]
pub(crate) struct Value {
    pub data: Data,
    /// TOML text that reads to the very same data.
    pub literal: String,
    pub origin: Origin,
    pub place: Place,
}

#[derive(Debug, Default, Clone)]
pub(crate) struct Store {
    /// Looked up by the hundred; nothing depends on their order.
    values: HashMap<String, Value, FixedState>,
    /// Elements of each list, by the list's path: numbers from 1, or the names of bands.
    lists: BTreeMap<String, Vec<String>>,
    /// Paths whose value was given but is wrong: not to be reported again as missing.
    broken: BTreeSet<String>,
    /// Where each section stands.
    sections: BTreeMap<String, Place>,
    /// Notes whose data are read; none = nobody wants to know.
    watch: Option<RefCell<Watch>>,
    /// The place on the face that the offset was given as.
    named_offset: Option<String>,
}

/// What a watched store notes.
#[derive(Debug, Default, Clone)]
struct Watch {
    /// Paths read since the last attribution.
    reads: BTreeSet<String>,
    /// Paths from which each thing was made.
    made_from: BTreeMap<String, BTreeSet<String>>,
}

impl Store {
    pub fn put(&mut self, path: &str, value: Value) {
        self.values.insert(path.to_owned(), value);
    }

    pub fn get(&self, path: &str) -> Option<&Value> {
        self.values.get(path)
    }

    /// The data at a path; a watched store notes it.
    fn data(&self, path: &str) -> Option<&Data> {
        if let Some(watch) = &self.watch {
            watch.borrow_mut().reads.insert(path.to_owned());
        }
        self.get(path).map(|value| &value.data)
    }

    /// Begins to note whose data are read; whether a value is there or given does not count.
    pub fn watch(&mut self) {
        self.watch = Some(RefCell::default());
    }

    /// Whether it is noted.
    pub fn watched(&self) -> bool {
        self.watch.is_some()
    }

    /// What was read since the last call is what this thing was made from; none where it was not made.
    pub fn attribute(&self, made: Option<&str>) {
        if let Some(watch) = &self.watch {
            let watch = &mut *watch.borrow_mut();
            let reads = std::mem::take(&mut watch.reads);
            if let Some(name) = made {
                watch.made_from.insert(name.to_owned(), reads);
            }
        }
    }

    /// Ends the watch: each thing with the paths that it was made from.
    pub fn end_watch(&mut self) -> BTreeMap<String, BTreeSet<String>> {
        self.watch
            .take()
            .map(|watch| watch.into_inner().made_from)
            .unwrap_or_default()
    }

    /// Replaces the data of a value that is there; its literal is left as it was.
    pub fn set_data(&mut self, path: &str, data: Data) -> bool {
        let Some(value) = self.values.get_mut(path) else {
            return false;
        };
        value.data = data;
        true
    }

    /// The name that the offset was given as, where it was one.
    pub fn named_offset(&self) -> Option<&str> {
        self.named_offset.as_deref()
    }

    pub fn set_named_offset(&mut self, name: &str) {
        self.named_offset = Some(name.to_owned());
    }

    pub fn remove(&mut self, path: &str) {
        self.values.remove(path);
    }

    /// Paths of the values that an override gave, with the override's index, in no order.
    pub fn overridden(&self) -> impl Iterator<Item = (usize, &str)> {
        self.values
            .iter()
            .filter_map(|(path, value)| match value.place {
                Place::Override(i) => Some((i, path.as_str())),
                _ => None,
            })
    }

    pub fn has(&self, path: &str) -> bool {
        self.values.contains_key(path)
    }

    /// Whether the file or an override gives this value.
    pub fn given(&self, path: &str) -> bool {
        self.get(path)
            .is_some_and(|v| matches!(v.origin, Origin::File | Origin::Override))
    }

    pub fn place(&self, path: &str) -> Place {
        self.get(path).map_or(Place::Nowhere, |v| v.place)
    }

    pub fn real(&self, path: &str) -> Option<f64> {
        match *self.data(path)? {
            Data::Real(x) => Some(x),
            _ => None,
        }
    }

    pub fn count(&self, path: &str) -> Option<usize> {
        match *self.data(path)? {
            Data::Count(n) => Some(n),
            _ => None,
        }
    }

    pub fn flag(&self, path: &str) -> Option<bool> {
        match *self.data(path)? {
            Data::Flag(b) => Some(b),
            _ => None,
        }
    }

    pub fn text(&self, path: &str) -> Option<&str> {
        match self.data(path)? {
            Data::Text(t) => Some(t),
            _ => None,
        }
    }

    /// The variant that the text at this path names.
    pub fn word<W: Word>(&self, path: &str) -> Option<W> {
        self.text(path).and_then(W::of)
    }

    pub fn texts(&self, path: &str) -> Option<&[String]> {
        match self.data(path)? {
            Data::Texts(t) => Some(t),
            _ => None,
        }
    }

    pub fn pairs(&self, path: &str) -> Option<&[(f64, f64)]> {
        match self.data(path)? {
            Data::Pairs(p) => Some(p),
            _ => None,
        }
    }

    pub fn reals(&self, path: &str) -> Option<&[f64]> {
        match self.data(path)? {
            Data::Reals(values) => Some(values),
            _ => None,
        }
    }

    pub fn counts(&self, path: &str) -> Option<&[usize]> {
        match self.data(path)? {
            Data::Counts(numbers) => Some(numbers),
            _ => None,
        }
    }

    pub fn list(&self, path: &str) -> &[String] {
        self.lists.get(path).map_or(&[], Vec::as_slice)
    }

    pub fn set_list(&mut self, path: &str, elements: Vec<String>) {
        self.lists.insert(path.to_owned(), elements);
    }

    pub fn set_broken(&mut self, path: &str) {
        self.broken.insert(path.to_owned());
    }

    /// Whether this path, or a section that holds it, was given in a wrong way.
    pub fn is_broken(&self, path: &str) -> bool {
        self.broken.iter().any(|b| {
            path == b
                || path
                    .strip_prefix(b.as_str())
                    .is_some_and(|rest| rest.starts_with(['.', '[']))
        })
    }

    pub fn set_section(&mut self, path: &str, place: Place) {
        self.sections.entry(path.to_owned()).or_insert(place);
    }

    /// Place of the innermost section that holds this path and stands in the file.
    pub fn section_place(&self, path: &str) -> Place {
        let mut path = path;
        while let Some((outer, _)) = path.rsplit_once('.') {
            if let Some(&place) = self.sections.get(outer) {
                return place;
            }
            path = outer;
        }
        Place::Nowhere
    }

    /// Concrete paths of a grammar path: `support.arm[].reach` gives `support.arm[1].reach`, ...
    pub fn expand(&self, generic: &str) -> Vec<String> {
        let mut paths = vec![String::new()];
        let mut parts = generic.split("[]").peekable();
        while let Some(part) = parts.next() {
            for path in &mut paths {
                path.push_str(part);
            }
            if parts.peek().is_some() {
                paths = paths
                    .iter()
                    .flat_map(|path| self.list(path).iter().map(move |e| format!("{path}[{e}]")))
                    .collect();
            }
        }
        paths
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_expand_in_order() {
        let mut store = Store::default();
        store.set_list("support.arm", vec!["1".into(), "2".into()]);
        store.set_list("support.arm[2].luminaire", vec!["1".into()]);
        assert_eq!(
            store.expand("support.arm[].reach"),
            ["support.arm[1].reach", "support.arm[2].reach"]
        );
        assert_eq!(
            store.expand("support.arm[].luminaire[].mass"),
            ["support.arm[2].luminaire[1].mass"]
        );
    }
}
