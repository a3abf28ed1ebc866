//! Values of one section of the filled store.

use crate::store::Store;
use crate::words::Word;

/// Reads values of one section. None = a value is missing, which the filling has reported.
pub(super) struct At<'a> {
    store: &'a Store,
    path: String,
}

impl At<'_> {
    fn path(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            [self.path.as_str(), ".", key].concat()
        }
    }
    pub fn real(&self, key: &str) -> Option<f64> {
        self.store.real(&self.path(key))
    }
    pub fn count(&self, key: &str) -> Option<usize> {
        self.store.count(&self.path(key))
    }
    pub fn flag(&self, key: &str) -> Option<bool> {
        self.store.flag(&self.path(key))
    }
    pub fn text(&self, key: &str) -> Option<String> {
        self.store.text(&self.path(key)).map(str::to_owned)
    }
    /// The variant that the word names.
    pub fn word<W: Word>(&self, key: &str) -> Option<W> {
        self.store.word(&self.path(key))
    }
    /// Whether the section holds this key: what makes a finding.
    pub fn has(&self, key: &str) -> bool {
        self.store.has(&self.path(key))
    }
    /// Numbers of bolts; empty = every bolt.
    pub fn numbers(&self, key: &str) -> Vec<usize> {
        self.store
            .counts(&self.path(key))
            .map_or_else(Vec::new, <[_]>::to_vec)
    }
    pub fn reals(&self, key: &str) -> Vec<f64> {
        self.store
            .reals(&self.path(key))
            .map_or_else(Vec::new, <[_]>::to_vec)
    }
    pub fn pairs(&self, key: &str) -> Option<Vec<(f64, f64)>> {
        self.store.pairs(&self.path(key)).map(<[_]>::to_vec)
    }
    pub fn sub(&self, key: &str) -> At<'_> {
        At {
            store: self.store,
            path: self.path(key),
        }
    }
    pub fn each<T>(&self, key: &str, read: impl Fn(&At<'_>) -> Option<T>) -> Option<Vec<T>> {
        let list = self.path(key);
        self.store
            .list(&list)
            .iter()
            .map(|i| {
                read(&At {
                    store: self.store,
                    path: format!("{list}[{i}]"),
                })
            })
            .collect()
    }
}

impl Store {
    pub(super) fn at(&self, path: &str) -> At<'_> {
        At {
            store: self,
            path: path.to_owned(),
        }
    }
}
