//! Sections and lists of the grammar.

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A section of the file.
#[derive(serde::Deserialize)]
pub struct Section {
    /// Path; empty for the top of the file.
    pub path: &'static str,
    /// What it holds.
    pub meaning: &'static str,
}

/// A list of tables, `[[...]]`.
pub struct List {
    /// Path without brackets at its end.
    pub path: &'static str,
    /// Most elements.
    pub most: usize,
    /// Whether elements are told apart by their `name`.
    pub by_name: bool,
}

/// Sections in the order of the file.
pub static SECTIONS: LazyLock<Vec<Section>> = LazyLock::new(|| {
    let mut file: BTreeMap<&str, Vec<Section>> =
        toml::from_str(include_str!("sections.toml")).expect("the sections that are built in read");
    file.remove("sections").unwrap_or_default()
});

const fn list(path: &'static str, most: usize, by_name: bool) -> List {
    List {
        path,
        most,
        by_name,
    }
}

/// Lists of tables.
pub const LISTS: &[List] = &[
    list("site.strip", 12, false),
    list("support.arm", 6, false),
    list("support.arm[].luminaire", 6, false),
    list("support.lump", 24, false),
    list("as_found.stub", 12, false),
    list("vehicle.front.band", 12, true),
    list("vehicle.side.band", 12, true),
];
