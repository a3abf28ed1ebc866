//! The documents keep up with the code: every column, flag word and exit code is described.

use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn text(path: &str) -> String {
    let path = root().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn every_column_is_described() {
    let page = text("docs/results.md");
    let columns = giveway_results::history_columns()
        .into_iter()
        .chain(giveway_results::record_columns());
    let missing: Vec<&str> = columns
        .map(|(name, _)| name)
        .filter(|name| !page.contains(&format!("`{name}`")))
        .collect();
    assert!(missing.is_empty(), "docs/results.md lacks {missing:?}");
}

#[test]
fn every_flag_word_is_described() {
    let pages = ["docs/results.md", "docs/conditions.md"].map(|path| (path, text(path)));
    // Flag words are string literals that follow `add(` in the module that collects a run's findings; those of
    // conditions found on site are listed by kind as well.
    let mut source = text("crates/impact/src/flags.rs");
    for file in ["bolts", "ground", "notches", "plates"] {
        source.push_str(&text(&format!("crates/impact/src/flags/{file}.rs")));
    }
    let of_kinds = giveway_scenario::ConditionKind::ALL
        .into_iter()
        .flat_map(|kind| &kind.record().words)
        .copied();
    let mut words: Vec<&str> = source
        .split("add(")
        .skip(1)
        .filter_map(|rest| rest.trim_start().strip_prefix('"'))
        .filter_map(|rest| rest.split('"').next())
        .collect();
    assert!(words.len() >= 20, "found only {words:?}");
    for word in of_kinds {
        words.push(word);
    }
    for word in words {
        for (path, page) in &pages {
            assert!(
                page.contains(&format!("| `{word}` |")),
                "{path} lacks the flag {word}"
            );
        }
    }
}

#[test]
fn the_workspace_has_its_pages() {
    for page in [
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "docs/architecture.md",
        "docs/codes.md",
        "docs/conditions.md",
        "docs/limits.md",
        "docs/performance.md",
        "docs/results.md",
        "docs/scenario.md",
        "docs/symbols.md",
        "docs/theory.md",
        "docs/validation.md",
    ] {
        assert!(text(page).len() > 500, "{page} is nearly empty");
    }
}

/// Links between the pages lead somewhere.
#[test]
fn relative_links_exist() {
    let mut broken = Vec::new();
    let mut pages = vec![
        "README.md".to_owned(),
        "DEVELOPERS.md".to_owned(),
        "CHANGELOG.md".to_owned(),
    ];
    for entry in std::fs::read_dir(root().join("docs")).expect("docs") {
        let name = entry
            .expect("entry")
            .file_name()
            .to_string_lossy()
            .into_owned();
        if name.ends_with(".md") {
            pages.push(format!("docs/{name}"));
        }
    }
    for page in pages {
        let folder = root().join(&page).parent().expect("a folder").to_owned();
        for link in text(&page)
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split(')').next())
        {
            let target = link.split('#').next().unwrap_or_default();
            if target.is_empty() || target.contains("://") {
                continue;
            }
            if !folder.join(target).exists() {
                broken.push(format!("{page}: {link}"));
            }
        }
    }
    assert!(broken.is_empty(), "{broken:?}");
}
