//! Which file of a crate names which, read from its own words: `use` lines and paths in the code, without tests.
//!
//! A path leads to the file of the deepest module that it names; `pub use` is a signpost to where the thing stands and
//! no edge of its own.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};

/// Modules from the crate's root to a file or a thing in it.
type Names = Vec<String>;

struct File {
    shown: String,
    words: Vec<String>,
    /// Child modules that are declared here, without those of tests.
    children: BTreeSet<String>,
    /// Names that this file passes on, with the path behind each; a macro's own bare name is none.
    passed_on: BTreeMap<String, Names>,
    /// Paths that its own code names, from the file's own module.
    named: Vec<Names>,
}

/// The circles of a crate: each a list of files that name each other, over one or more of them, in a round.
pub fn circles(crate_folder: &Path) -> Vec<Vec<String>> {
    let source = crate_folder.join("src");
    let root = ["lib.rs", "main.rs"].map(|name| source.join(name));
    let root = root.into_iter().find(|path| path.is_file());
    let mut files = BTreeMap::new();
    read(
        &root.expect("a crate has a root"),
        &source,
        vec![],
        &mut files,
    );
    let place: BTreeMap<&Names, usize> = files.keys().enumerate().map(|(i, m)| (m, i)).collect();
    let n = files.len();
    // reaches[i][j]: file i names file j, by itself or over others
    let mut reaches = vec![vec![false; n]; n];
    for (module, file) in &files {
        for path in &file.named {
            if let Some(target) = resolve(&files, module, path, 0)
                && target != *module
            {
                reaches[place[module]][place[&target]] = true;
            }
        }
    }
    for over in 0..n {
        let row = reaches[over].clone();
        for reach in reaches.iter_mut().filter(|reach| reach[over]) {
            for (to, by) in reach.iter_mut().zip(&row) {
                *to |= by;
            }
        }
    }
    let shown: Vec<&String> = files.values().map(|file| &file.shown).collect();
    let in_a_round = |i: usize, j: usize| i == j || (reaches[i][j] && reaches[j][i]);
    let circles: BTreeSet<Vec<usize>> = (0..n)
        .map(|i| (0..n).filter(|&j| in_a_round(i, j)).collect())
        .collect();
    circles
        .into_iter()
        .filter(|circle| circle.len() > 1)
        .map(|circle| circle.into_iter().map(|i| shown[i].clone()).collect())
        .collect()
}

/// Reads the file of a module and of its children.
fn read(path: &Path, source: &Path, module: Names, files: &mut BTreeMap<Names, File>) {
    let text = std::fs::read_to_string(path).expect("readable source");
    let tokens: TokenStream = text.parse().expect("source in Rust");
    let mut words = Vec::new();
    flatten(tokens, &mut words);
    let words = without_tests(words);
    let mut file = File {
        shown: path
            .strip_prefix(source)
            .expect("inside")
            .display()
            .to_string(),
        children: declared(&words),
        words,
        passed_on: BTreeMap::new(),
        named: Vec::new(),
    };
    file.take_paths();
    let children = file.children.clone();
    files.insert(module.clone(), file);
    let folder = module
        .iter()
        .fold(source.to_owned(), |f, name| f.join(name));
    for child in children {
        let inside = [&module[..], std::slice::from_ref(&child)].concat();
        let two: [PathBuf; 2] = [
            folder.join(format!("{child}.rs")),
            folder.join(&child).join("mod.rs"),
        ];
        let path = two.iter().find(|path| path.is_file());
        read(
            path.expect("a declared module has a file"),
            source,
            inside,
            files,
        );
    }
}

fn flatten(tokens: TokenStream, words: &mut Vec<String>) {
    for token in tokens {
        match token {
            TokenTree::Group(group) => {
                let (open, close) = match group.delimiter() {
                    proc_macro2::Delimiter::Brace => ("{", "}"),
                    proc_macro2::Delimiter::Bracket => ("[", "]"),
                    _ => ("(", ")"),
                };
                words.push(open.to_owned());
                flatten(group.stream(), words);
                words.push(close.to_owned());
            }
            TokenTree::Ident(ident) => words.push(ident.to_string()),
            TokenTree::Punct(punct) => words.push(punct.as_char().to_string()),
            TokenTree::Literal(_) => words.push("\"".to_owned()),
        }
    }
}

/// The words without modules for tests alone: `#[cfg(test)] mod`, also with more conditions.
fn without_tests(words: Vec<String>) -> Vec<String> {
    let mut kept = Vec::with_capacity(words.len());
    let mut at = 0;
    while at < words.len() {
        let here = &words[at..];
        let attribute = here.iter().position(|word| word == "]").unwrap_or(0);
        let condition = &here[..attribute];
        let named = |name: &str| condition.iter().any(|word| word == name);
        let begins = condition.len() > 2 && condition[..3] == ["#", "[", "cfg"];
        if begins
            && named("test")
            && !named("not")
            && here.get(attribute + 1).is_some_and(|word| word == "mod")
        {
            // `mod`, the name, then a semicolon or a block
            at += attribute + 3;
            let mut depth = 0;
            while at < words.len() {
                match words[at].as_str() {
                    "{" => depth += 1,
                    "}" => depth -= 1,
                    _ => {}
                }
                at += 1;
                if depth == 0 {
                    break;
                }
            }
        } else {
            kept.push(words[at].clone());
            at += 1;
        }
    }
    kept
}

fn declared(words: &[String]) -> BTreeSet<String> {
    words
        .windows(3)
        .filter(|three| three[0] == "mod" && three[2] == ";")
        .map(|three| three[1].clone())
        .collect()
}

impl File {
    fn take_paths(&mut self) {
        let words = std::mem::take(&mut self.words);
        let mut at = 0;
        while at < words.len() {
            if words[at] == "use" && words[at + 1] != "<" {
                let public = at > 0 && matches!(words[at - 1].as_str(), "pub" | ")");
                let end = words[at..].iter().position(|word| word == ";");
                let end = at + end.expect("a use ends with a semicolon");
                let mut leaves = Vec::new();
                tree(&words[at + 1..end], vec![], &mut leaves);
                for (path, name) in leaves {
                    if public && path.len() > 1 {
                        self.passed_on.insert(name, path);
                    } else if path.len() > 1 {
                        self.named.push(path);
                    }
                }
                at = end;
            } else {
                let starts = matches!(words[at].as_str(), "crate" | "super" | "self")
                    || self.children.contains(&words[at]);
                let follows = at > 0 && matches!(words[at - 1].as_str(), ":" | ".");
                let mut path = vec![words[at].clone()];
                while words.get(at + 1).is_some_and(|word| word == ":")
                    && words.get(at + 2).is_some_and(|word| word == ":")
                    && let Some(next) = words.get(at + 3)
                {
                    path.push(next.clone());
                    at += 3;
                }
                if starts && !follows && path.len() > 1 {
                    self.named.push(path);
                }
            }
            at += 1;
        }
    }
}

/// The leaves of a `use` tree: path, and the name that it gets here.
fn tree(words: &[String], before: Names, leaves: &mut Vec<(Names, String)>) {
    let mut path = before;
    let mut at = 0;
    while at < words.len() {
        match words[at].as_str() {
            ":" => {}
            "{" => {
                let mut depth = 0;
                let inside = &words[at + 1..words.len() - 1];
                let parts = inside.split(|word| {
                    match word.as_str() {
                        "{" => depth += 1,
                        "}" => depth -= 1,
                        _ => {}
                    }
                    depth == 0 && word == ","
                });
                for part in parts.filter(|part| !part.is_empty()) {
                    tree(part, path.clone(), leaves);
                }
                return;
            }
            "as" => {
                leaves.push((path, words[at + 1].clone()));
                return;
            }
            word => path.push(word.to_owned()),
        }
        at += 1;
    }
    if path.last().is_some_and(|last| last == "self") {
        path.pop();
    }
    let name = path.last().cloned().unwrap_or_default();
    leaves.push((path, name));
}

/// The module of the file that a path leads to, seen from `module`; none for another crate.
fn resolve(
    files: &BTreeMap<Names, File>,
    module: &[String],
    path: &[String],
    signposts: usize,
) -> Option<Names> {
    assert!(signposts < 20, "{path:?} leads in a round");
    let mut rest = path.iter();
    let mut here = module.to_vec();
    let first = path.first()?;
    match first.as_str() {
        "crate" => {
            here.clear();
            rest.next();
        }
        "self" => {
            rest.next();
        }
        "super" => {
            while rest.clone().next().is_some_and(|name| name == "super") {
                here.pop();
                rest.next();
            }
        }
        name if files[module].children.contains(name)
            || files[module].passed_on.contains_key(name) => {}
        _ => return None,
    }
    while let Some(name) = rest.next() {
        let file = &files[&here];
        if file.children.contains(name) {
            here.push(name.clone());
        } else if let Some(behind) = file.passed_on.get(name) {
            let whole: Names = behind.iter().chain(rest.clone()).cloned().collect();
            return resolve(files, &here, &whole, signposts + 1);
        } else {
            break;
        }
    }
    Some(here)
}
